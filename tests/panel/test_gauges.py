"""Gauges: what mark and number show."""

import numpy as np
import pytest
from matplotlib.figure import Figure

from tonewood.panel.gauges import Gauges, Row

DRAWS = np.arange(101.0) / 10


@pytest.fixture
def gauges():
    fig = Figure()
    return Gauges(fig, fig.add_gridspec(1, 1)[0], (Row("gap", "mm", 0.0, 8.0, 1),))


def test_mark_and_number_are_the_middle_of_the_draws(gauges):
    assert gauges.show([DRAWS])[0].tolist() == pytest.approx([0.5, 5.0, 9.5])
    assert gauges.marks[0].get_xdata()[0] == 5.0 and gauges.numbers[0].get_text() == "5.0 (0.5 to 9.5)"


def test_another_mark_leaves_the_band(gauges):
    gauges.show([DRAWS], marks=[2.0])
    assert gauges.marks[0].get_xdata()[0] == 2.0 and gauges.numbers[0].get_text() == "2.0 (0.5 to 9.5)"


def test_beyond_the_scale_the_number_still_tells(gauges):
    gauges.show([DRAWS + 6.0])
    assert gauges.marks[0].get_xdata()[0] == 8.0 and gauges.numbers[0].get_text() == "11.0 (6.5 to 15.5) ▸"
