"""Readings of a neck on the page: they agree with the lessons that ask for them."""

import numpy as np
import pytest

from tonewood.bench.foretold import foretell
from tonewood.bench.readings import reading
from tonewood.lesson.client_year.by_hand import glued_strip
from tonewood.lesson.shared.ledger import ledger
from tonewood.lesson.shared.shop import NECK_12, changed, truss_rod


def test_strip_and_winter_agree_with_lesson_06():
    one = foretell(changed(NECK_12, stripes=1), draws=2000)
    bow = one.predicted(reading("1", "strip bow", 0.1, "2026-09-20", humidity=0.30))
    assert np.percentile(bow, [5, 95]) == pytest.approx([(strip := glued_strip()).low, strip.high], rel=0.10)
    winter = np.percentile(foretell(NECK_12, truss_rod(NECK_12.neck())).gap()[:, 3], [5, 95])
    line = ledger(NECK_12, 0.2, 0.0, "Chicago").line("driest month", "double-acting")
    # the ledger has all the first year's creep in it, ours that of three months, the home and the reading
    assert np.ptp(winter) == pytest.approx(np.ptp(line.total[[0, 2]]), rel=0.2)
    assert np.mean(winter) == pytest.approx(np.mean(line.total[[0, 2]]), abs=3e-5)
