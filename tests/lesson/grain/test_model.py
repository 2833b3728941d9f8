"""What the grain figure works out: movement, bands, the shortcut, the dip at rift."""

import numpy as np
import pytest

from tonewood.draws import band
from tonewood.lesson.grain import model as lesson
from tonewood.wood.board import Board
from tonewood.wood.elastic import Elastic
from tonewood.wood.moisture import equilibrium_moisture
from tonewood.wood.ratios import draw_ratios
from tonewood.wood.species import species
from tonewood.wood.spread import draw_boards

MAPLE = species("hard maple")


def test_movement_is_that_of_the_swelling_tensor():
    """Independently: the board's swelling tensor, and its draws for the band."""
    change = lesson.moisture_change(70)
    assert change == pytest.approx(equilibrium_moisture(20.0, 0.70) - equilibrium_moisture(20.0, 0.45))
    for ring in (0, 30, 90):
        strain = Board(MAPLE, np.radians(ring)).swelling_xyz * change
        assert lesson.moves(MAPLE, ring, change) == pytest.approx((60 * strain[1, 1], 25 * strain[2, 2]))
    drawn = draw_boards([Board(MAPLE, np.radians(90))], 20000, 2)[0].swelling_xyz[:, 1, 1] * change * 60
    low, _, high = band(lesson.moves(MAPLE, np.array([90.0]), change, 4000)[0])
    assert (low[0], high[0]) == pytest.approx(tuple(np.percentile(drawn, [5, 95])), rel=0.04)


def test_bands_of_stiffness_hold_nine_of_ten():
    def ends(drawn):
        return band(lesson.along(drawn, 90.0, np.array([10.0]), 0.0))[[0, 2], 0]

    assert ends(lesson.drawn_ratios("hard_maple")) == pytest.approx(ends(draw_ratios(MAPLE.elastic, 4000, 3)),
                                                                    rel=0.04)


def test_shortcut_in_the_planes_it_was_made_for():
    e = MAPLE.elastic
    angle = np.radians(10)
    for ring, E_q in ((0.0, e.E_R), (90.0, e.E_T)):
        for n in (1.5, 2.0):
            expected = E_q / (e.E_L * np.sin(angle) ** n + E_q * np.cos(angle) ** n)
            assert lesson.shortcut(e, ring, 10.0, 0.0, n) == pytest.approx(expected)
            # slope tilts in the other plane
            assert lesson.shortcut(e, 90.0 - ring, 0.0, 10.0, n) == pytest.approx(expected)
    assert lesson.shortcut(e, 40.0, 0.0, 0.0, 2.0) == 1.0


def test_moves_3_and_4_the_two_angles_change_places():
    e = MAPLE.elastic
    assert lesson.along(e, 90, 4, 0) < lesson.along(e, 0, 4, 0)
    assert lesson.along(e, 0, 0, 4) < lesson.along(e, 90, 0, 4)
    assert lesson.along(e, 90, 4, 0) == pytest.approx(lesson.along(e, 0, 0, 4))


def test_move_5_the_dip_and_the_shortcut():
    e = species("Sitka spruce").elastic
    flat, rift = (lesson.across(e, ring, 0.0, 0.0)[1] for ring in (0, 45))
    assert flat / rift == pytest.approx(7, abs=0.7)
    assert lesson.shortcut(e, 45, 5, 0, 2.0) < 0.75 * lesson.along(e, 45, 5, 0)


def test_move_6_the_wrong_exponent():
    assert lesson.shortcut(MAPLE.elastic, 90, 10, 0, 1.5) < 0.75 * lesson.along(MAPLE.elastic, 90, 10, 0)


def test_dip_at_rift():
    """DEMO softwood through the thickness; independently derived: numeric fourth-rank rotation."""
    soft = Elastic(E_L=10e9, E_R=0.8e9, E_T=0.45e9, G_LR=0.65e9, G_LT=0.62e9, G_RT=0.035e9, nu_LR=0.38,
                   nu_LT=0.45, nu_RT=0.45)
    found = 10 * lesson.across(soft, np.array([0, 15, 30, 45, 60, 75, 90]), 0.0, 0.0)[1]
    np.testing.assert_allclose(found, [0.8, 0.3554, 0.1670, 0.1294, 0.1545, 0.2736, 0.45], rtol=5e-4)
