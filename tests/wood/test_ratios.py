"""Scatter of the cross-grain constants: size, independence, physical sense, refusals."""

import numpy as np
import pytest

from tonewood.wood.facts import rule
from tonewood.wood.ratios import draw_ratios
from tonewood.wood.species import all_species, species


def test_scatter_has_the_stated_size_and_keeps_the_mean():
    e = species("hard maple").elastic
    drawn = draw_ratios(e, 20000, 1)
    for name in ("E_R", "E_T", "G_LR", "G_LT", "G_RT"):
        values = getattr(drawn, name)
        assert values.mean() == pytest.approx(getattr(e, name), rel=0.01)
        assert values.std() / values.mean() == pytest.approx(rule("cov_transverse_ratio").value, rel=0.05)
    assert np.all(drawn.E_L == e.E_L)
    assert np.abs(np.corrcoef([drawn.E_R, drawn.E_T, drawn.G_LR, drawn.G_LT,
                               drawn.G_RT]) - np.eye(5)).max() < 0.03


def test_every_draw_of_every_wood_is_physically_possible():
    found = {w.key: np.linalg.eigvalsh(draw_ratios(w.elastic, 3000, 2, 0.30).compliance)
             for w in all_species()}
    assert [key for key, values in found.items() if values.shape != (3000, 6) or not np.all(values > 0)] == []


def test_no_scatter_gives_the_wood_back():
    e = species("Sitka spruce").elastic
    np.testing.assert_allclose(draw_ratios(e, 3, 0, 0.0).compliance, np.broadcast_to(e.compliance, (3, 6, 6)))


def test_seed_decides():
    e = species("wenge").elastic
    assert np.array_equal(draw_ratios(e, 10, 4).E_R, draw_ratios(e, 10, 4).E_R)
    assert not np.array_equal(draw_ratios(e, 10, 4).E_R, draw_ratios(e, 10, 5).E_R)


def test_refusals():
    e = species("wenge").elastic
    with pytest.raises(ValueError, match="coefficient of variation: 30 given"):
        draw_ratios(e, 10, 0, 30)
    with pytest.raises(ValueError, match="draws: 0 given"):
        draw_ratios(e, 0)
    with pytest.raises(ValueError, match="seed: −1 given"):
        draw_ratios(e, 10, -1)
