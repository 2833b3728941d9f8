"""Variation within a board: places by plain geometry, half turns as rotations, draws inside their bands."""

import numpy as np
import pytest

from tonewood.neck.layup.half_turns import TURNS, turned
from tonewood.wood.board import Board
from tonewood.wood.facts import rule
from tonewood.wood.species import species
from tonewood.wood.within import (
    GROWN,
    NEAR_PITH,
    Growth,
    draw_growth,
    piece_at,
    side_by_side,
    swelling_slopes,
    turned_growth,
)

MAPLE = species("hard maple")


@pytest.mark.parametrize("pith", [0.05, 0.1, 0.2, 0.4])
def test_ring_direction_turns_as_an_arc_does(pith):
    """Outside check, geometry of the circle: across a flat-sawn width w at a distance R the ring turns by
    2 arctan(w / 2R)."""
    ends = [piece_at(Board(MAPLE), Growth(pith=pith), y, 0.0)[0].ring_angle for y in (-0.0125, 0.0125)]
    assert ends[1] - ends[0] == pytest.approx(2 * np.arctan(0.0125 / pith), rel=1e-12)


def test_distance_and_lengthwise_swelling_follow_the_radius():
    grown, board = Growth(pith=0.1, bark=-1.0, fall=-0.02), Board(MAPLE, np.pi / 2)
    inner, there = piece_at(board, grown, 0.03, 0.0)    # bark on the bass side, treble nearer the pith
    assert there.pith == pytest.approx(0.07)
    assert inner.swelling[0] == pytest.approx(MAPLE.swelling[0] + 0.02 * 0.03)
    assert inner.swelling[1:] == MAPLE.swelling[1:] and there.fall == grown.fall


def test_spiral_grain_of_a_board_sawn_along_the_pith_stays_a_spiral():
    """Where slope and run-out at the middle are the spiral's own, every place keeps the angle to its ring."""
    beta = 0.02
    board = Board(MAPLE, 0.0, slope=-beta)                      # T points to -y
    for y, z in ((0.02, 0.0), (-0.01, 0.03)):
        here = piece_at(board, Growth(pith=0.1, spiral=beta), y, z)[0]
        tangent = np.array([-np.cos(here.ring_angle), np.sin(here.ring_angle)])
        outward = np.array([np.sin(here.ring_angle), np.cos(here.ring_angle)])
        grain = np.array([here.slope, here.run_out])
        assert grain @ tangent == pytest.approx(beta, abs=1e-12)
        assert grain @ outward == pytest.approx(0.0, abs=1e-12)


@pytest.mark.parametrize("turn", TURNS)
@pytest.mark.parametrize("ring", [0.0, 0.6, np.pi / 2])
def test_turning_the_board_turns_every_place_with_it(turn, ring):
    """A half turn is a rotation: sawing out and turning is turning and sawing out, swelling included."""
    board = Board(MAPLE, ring, run_out=0.01, slope=0.02)
    grown = Growth(pith=0.09, bark=-1.0, fall=-0.03, spiral=0.03, wind=0.2)
    signs = TURNS[turn]
    y, z = 0.013, -0.006
    sawn, of_sawn = piece_at(board, grown, y, z)
    whole = turned(board, turn), turned_growth(grown, turn)
    there, of_there = piece_at(*whole, signs[1] * y, signs[2] * z)
    S = np.diag(signs)
    assert np.allclose(there.swelling_xyz, S @ sawn.swelling_xyz @ S, atol=1e-12)
    assert np.allclose(swelling_slopes(*whole), [signs[1 + k] * S @ slope @ S for k, slope in
                                                 enumerate(swelling_slopes(board, grown))], atol=1e-9)
    assert of_there.pith == pytest.approx(of_sawn.pith) and of_there.bark == turned_growth(of_sawn, turn).bark


def test_pieces_of_pieces_are_pieces():
    board, grown = Board(MAPLE, 0.4), Growth(pith=0.12, fall=-0.02, spiral=0.03, wind=0.1)
    once = piece_at(board, grown, 0.02, 0.01)[0]
    twice = piece_at(*piece_at(board, grown, 0.015, -0.005), 0.005, 0.015)[0]
    for name in ("ring_angle", "run_out", "slope"):
        assert getattr(twice, name) == pytest.approx(getattr(once, name), abs=1e-12)
    assert twice.swelling == pytest.approx(once.swelling)


def test_side_by_side_covers_the_board():
    stripes = side_by_side(Board(MAPLE, np.pi / 2), Growth(pith=0.1), [0.01, 0.03, 0.02])
    assert [round(grown.pith, 6) for _, grown in stripes] == [0.075, 0.095, 0.12]


@pytest.mark.parametrize("part", GROWN)
def test_draws_keep_to_the_rules(part):
    one, same, other = draw_growth(["board 1", "board 1", "board 2"], 4000, 3, part)
    tail = "_near_pith" if part == NEAR_PITH else ""
    assert one is same and not np.allclose(one.pith, other.pith)
    low, high = rule(f"within_pith{tail}").limits
    assert low <= one.pith.min() and one.pith.max() <= high
    # % green to oven dry in 100 mm, over 30 points of moisture: per unit moisture and m
    low, high = (limit / 30 / 0.1 for limit in rule(f"within_fall{tail}").limits)
    assert -high <= one.fall.min() < one.fall.max() <= -low
    assert abs(np.mean(one.bark)) < 0.06 and set(np.unique(one.bark)) == {-1.0, 1.0}
    assert np.degrees(np.std(one.spiral)) == pytest.approx(rule("within_spiral").value, rel=0.05)


@pytest.mark.parametrize("given", [{"pith": 150.0}, {"bark": 0.5}, {"fall": -5.0}, {"spiral": 3.0}])
def test_a_slip_is_refused(given):
    with pytest.raises(ValueError, match="accepted"):
        Growth(**given)


def test_a_place_at_the_pith_is_refused():
    with pytest.raises(ValueError, match="pith"):
        piece_at(Board(MAPLE), Growth(pith=0.05), 0.0, -0.05)
