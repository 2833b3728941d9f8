"""Uneven boards in a neck: closed forms of beam theory and torsion, and the same board in thin strips."""

from dataclasses import replace

import numpy as np
import pytest

from tonewood.neck.layup.neck import Back, Fretboard, Layup, Neck, Outline, Stripe, example_neck
from tonewood.neck.seasons.movement import movement
from tonewood.neck.seasons.within_board import uneven_response, uneven_twist, with_uneven
from tonewood.neck.section.stations import at_stations
from tonewood.neck.section.twist import twist_rate
from tonewood.wood.board import Board
from tonewood.wood.species import species
from tonewood.wood.within import Growth, side_by_side

MAPLE = species("hard maple")
ROSEWOOD = Fretboard(Board(species("Indian rosewood")))
DRY = -0.02


def bare(board, fretboard=None):
    """Straight sides and no fretboard to speak of: one material."""
    top = fretboard or Fretboard(Board(MAPLE, modulus=1.001e9), 1e-5, 0.0)
    return Neck(Layup((Stripe(board, 0.060),)), Outline(0.056, 0.056), Back("D"), top)


def strips(board, growth, count, fretboard=None):
    cut = side_by_side(board, growth, [0.060 / count] * count)
    whole = bare(board, fretboard)
    return replace(whole, layup=Layup(tuple(Stripe(piece, 0.060 / count) for piece, _ in cut)))


def added(neck, *growth):
    here = at_stations(neck, [0.1, 0.3])
    change = np.full(len(neck.pieces), DRY)
    bent = uneven_response(here, 0.08 - 0 * change, 0.08 + change, [*growth, None])
    return bent, uneven_twist(here, change, [*growth, None])


@pytest.mark.parametrize("ring, field", [(np.pi / 2, "side_curvature"), (0.0, "curvature")])
@pytest.mark.parametrize("bark", [1.0, -1.0])
def test_even_slope_of_lengthwise_swelling_bends_by_slope_times_moisture(ring, field, bark):
    """Closed form, beam theory: a free strain that is a straight line across a section of one material is met
    exactly by a curvature; for a quarter-sawn piece sideways, for a flat-sawn one up and down."""
    bent, twist = added(bare(Board(MAPLE, ring)), Growth(fall=-0.02, bark=bark))
    other = "curvature" if field == "side_curvature" else "side_curvature"
    assert getattr(bent, field) == pytest.approx(-0.02 * bark * DRY, rel=1e-3)
    assert np.abs(getattr(bent, other)).max() < 1e-9 and np.abs(twist).max() < 1e-12


@pytest.mark.parametrize("slope, coefficient", [(0.0, 1), (-0.05, 2)])
def test_winding_grain_twists_by_half_the_slope_of_the_shear(slope, coefficient):
    """Closed form, Saint-Venant: free shear gamma_xz = b y twists a solid section of one material by b/2
    whatever its shape (the stress function carries half the torque either way). A flat-sawn board whose grain
    winds by beta has b = 2 beta (C - C_L) dM / R, with C radial where the board was sawn along its grain,
    tangential where it was sawn along the pith. (Turning of a whole log, b, is the upper bound.)"""
    pith, beta = 0.1, 0.05
    twist = added(bare(Board(MAPLE, 0.0, slope=slope)), Growth(pith=pith, spiral=beta))[1]
    b = 2 * beta * (MAPLE.swelling[coefficient] - MAPLE.swelling[0]) * DRY / pith
    assert np.abs(twist) == pytest.approx(abs(b) / 2, rel=0.04)     # the mesh's and the small angle's error


@pytest.mark.parametrize("fretboard", [None, ROSEWOOD], ids=["bare", "with fretboard"])
def test_thin_strips_of_the_same_board_bow_alike(fretboard):
    board, grown = Board(MAPLE, np.pi / 2), Growth(fall=-0.02)
    many = movement(strips(board, grown, 30, fretboard), 0.08, 0.08 + DRY)
    whole = bare(board, fretboard)
    moved = movement(whole, 0.08, 0.08 + DRY)
    assert many.side_bow == pytest.approx(float(with_uneven(moved, [grown, None]).side_bow), rel=5e-3)
    assert abs(many.side_bow) > 20 * abs(moved.side_bow)


@pytest.mark.parametrize("ring, grown", [(0.0, Growth(pith=0.1, spiral=0.05)),
                                         (np.pi / 2, Growth(pith=0.1, wind=0.25))],
                         ids=["flat-sawn, winding", "quarter-sawn, winding more outward"])
def test_thin_strips_of_the_same_board_twist_alike(ring, grown):
    board = Board(MAPLE, ring)
    many = twist_rate(at_stations(strips(board, grown, 12, ROSEWOOD), [0.2]), np.full(13, DRY))
    here = at_stations(bare(board, ROSEWOOD), [0.2])
    assert many == pytest.approx(uneven_twist(here, np.full(2, DRY), [grown, None]), rel=0.02)


def test_nothing_bends_beyond_the_body():
    neck = example_neck(body_start=0.3)
    moved = with_uneven(movement(neck, 0.08, 0.06), [Growth(fall=-0.02), None])
    plain = movement(neck, 0.08, 0.06)
    beyond = moved.x > 0.3
    assert np.array_equal(moved.response.curvature[beyond], plain.response.curvature[beyond])
    assert not np.allclose(moved.response.curvature[~beyond], plain.response.curvature[~beyond])


def test_draws_pass_through_and_a_wrong_number_is_refused():
    grown = Growth(fall=np.array([-0.02, 0.0, -0.01]))
    bent, twist = added(bare(Board(MAPLE, np.pi / 2)), grown)
    assert bent.side_curvature.shape == (3, 2) and twist.shape == (3, 2)
    assert bent.side_curvature[:, 0] == pytest.approx([0.0004, 0.0, 0.0002], rel=1e-3)
    with pytest.raises(ValueError, match="growth"):
        with_uneven(movement(example_neck(), 0.08, 0.06), [grown])
