"""Half turns of a stripe, against plain rotation of vectors, and what a pair of turned stripes does."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tonewood.neck.layup.half_turns import TURNS, turned, turned_angles
from tonewood.neck.layup.neck import Back, Channel, Fretboard, Layup, Neck, Outline, Stripe, spread
from tonewood.neck.seasons.movement import movement
from tonewood.neck.section.section import section
from tonewood.neck.section.twist import bending_twist, between
from tonewood.wood.board import Board
from tonewood.wood.elastic import Elastic, orientation, rotate_compliance, swelling_tensor
from tonewood.wood.species import species

MAPLE, WALNUT, EBONY = species("hard_maple"), species("black_walnut"), species("african_ebony")
HALF_TURN = {"as sawn": np.eye(3), "about x": np.diag([1.0, -1, -1]), "about y": np.diag([-1.0, 1, -1]),
             "about z": np.diag([-1.0, -1, 1])}
angles = st.floats(-0.2, 0.2)


def neck_of(ring=0.0, run_out=0.0, slope=0.0):
    board = Board(MAPLE, ring, run_out, slope)
    return Neck(Layup((Stripe(board, 0.028), Stripe(Board(WALNUT), 0.004), Stripe(board, 0.028))),
                Outline(), Back(), Fretboard(Board(EBONY)), Channel())


def paired(neck, turn):
    """The treble stripe taken from the bass stripe's board, turned."""
    left, middle, right = neck.layup.stripes
    return replace(neck, layup=Layup((left, middle, Stripe(turned(left.board, turn), right.width))))


def moved(neck):
    """The movement of the neck with its pair turned in each way."""
    return {turn: movement(paired(neck, turn), 0.09, 0.05) for turn in TURNS}


def load_twist(neck):
    """Twist under the strings between first and last fret, the pair turned in each way."""
    x = neck.stations()
    return {turn: between(x, bending_twist(paired(neck, turn), 5.5, 440.0, x), float(neck.fret(1)), neck.end)
            for turn in TURNS}


@settings(max_examples=60, deadline=None)
@given(st.floats(-1.5, 1.5), angles, angles, st.sampled_from(list(TURNS)))
def test_angles_after_a_turn_match_turning_the_wood_itself(ring, run_out, slope, turn):
    """Rotating the board's own axes half a turn gives the same stiffness and swelling as the board with the
    turned angles."""
    Q = HALF_TURN[turn] @ orientation(ring, run_out, slope)
    by_angles = orientation(*turned_angles(ring, run_out, slope, turn))
    assert swelling_tensor(0.005, 0.165, 0.353,
                           by_angles) == pytest.approx(swelling_tensor(0.005, 0.165, 0.353, Q), abs=1e-12)
    S = MAPLE.elastic.compliance
    assert rotate_compliance(S, by_angles) == pytest.approx(rotate_compliance(S, Q), abs=1e-9 * S.max())


@settings(max_examples=30, deadline=None)
@given(st.floats(-1.5, 1.5), angles, angles)
def test_turn_about_y_is_the_mirror(ring, run_out, slope):
    mirror = np.diag([1.0, -1.0, 1.0]) @ orientation(ring, run_out, slope)
    board = turned(Board(MAPLE, ring, run_out, slope), "about y")
    assert board.swelling_xyz == pytest.approx(swelling_tensor(*MAPLE.swelling, mirror), abs=1e-12)


def test_two_turns_undo_and_three_turns_return():
    board = Board(MAPLE, 0.4, 0.05, -0.03)
    for turn in TURNS:
        twice = turned(turned(board, turn), turn)
        assert (twice.ring_angle, twice.run_out, twice.slope) == (0.4, 0.05, -0.03)
    back = turned(turned(turned(board, "about x"), "about y"), "about z")
    assert (back.ring_angle, back.run_out, back.slope) == (0.4, 0.05, -0.03)


def test_mirror_cancels_every_twist():
    slanting = neck_of(1.0, np.radians(4), np.radians(3))
    season, load = {turn: found.twist for turn, found in moved(slanting).items()}, load_twist(slanting)
    for twist in (season, load):
        assert abs(twist["about y"]) < 1e-6 < abs(twist["as sawn"])


def test_end_for_end_on_the_bench_is_the_twist_recipe():
    """Run-out only: opposed left and right (about x and z) twists with moisture, equal (as sawn and about y)
    does not."""
    found = {turn: one.twist for turn, one in moved(neck_of(run_out=np.radians(4))).items()}
    assert abs(found["as sawn"]) < 1e-6 and abs(found["about y"]) < 1e-6
    assert abs(np.degrees(found["about z"])) > 0.2 and abs(np.degrees(found["about x"])) > 0.2


def test_slope_twists_under_load_unless_opposed():
    """Slope only: both alike twist under the strings; opposed (about x and y) cancel. Run-out alike does not
    twist under load."""
    found = load_twist(neck_of(slope=np.radians(4)))
    assert abs(found["as sawn"]) > 1e-4 and found["about z"] == pytest.approx(found["as sawn"], rel=1e-6)
    assert abs(found["about x"]) < 1e-6 and abs(found["about y"]) < 1e-6
    assert abs(load_twist(neck_of(run_out=np.radians(4)))["as sawn"]) < 1e-6


@pytest.mark.parametrize("shape", ["C", "D"])
def test_load_twist_of_a_neck_of_one_sloping_wood(shape):
    """For any section of one wood the twist under bending is |s16| M / (2 I) (first order; Lekhnitskii): held
    by the finite-element route."""
    board = Board(MAPLE, 0.0, 0.0, np.radians(5))
    whole = Neck(Layup((Stripe(board, 0.044),)), Outline(0.044, 0.044), Back(shape, 0.015, 0.015),
                 Fretboard(board, 0.005, 0.0))
    S = rotate_compliance(board.elastic.compliance, board.Q)
    area_moment = section(whole).EI[0] / board.E_x
    assert abs(bending_twist(whole,
                             5.5)[0]) == pytest.approx(abs(S[5, 0]) * 5.5 / (2 * area_moment), rel=0.01)


def test_compliance_of_sloped_grain_twists_a_round_number_block():
    """44 x 20 block, slope 5 degrees, 5.5 N m. Independently derived: displacement solution after
    Lekhnitskii."""
    wood = Elastic(E_L=12e9, E_R=1.6e9, E_T=0.8e9, G_LR=1.3e9, G_LT=0.8e9, G_RT=0.25e9, nu_LR=0.40,
                   nu_LT=0.48, nu_RT=0.70)
    S = rotate_compliance(wood.compliance, orientation(0.0, 0.0, np.radians(5)))
    rate = abs(S[5, 0]) * 5.5 / (2 * 0.044 * 0.020**3 / 12)
    assert rate == pytest.approx(0.00819, rel=2e-3)
    assert np.degrees(rate * 0.45) == pytest.approx(0.211, rel=3e-3)


def test_no_turn_changes_forward_bow_or_makes_side_bow():
    found = moved(spread(neck_of(0.7, 0.05, 0.04), 30, 2))
    for one in found.values():
        assert one.relief == pytest.approx(found["as sawn"].relief, rel=1e-9)
        assert np.max(np.abs(one.side_bow)) < 1e-12


def test_unlike_boards_are_not_saved_by_turning():
    """Where the lore overreaches: mirrored stripes from two different boards still bow sideways, by the
    difference of their lengthwise swelling."""
    neck = neck_of(0.7)
    unlike = spread(neck, 200, 5)
    assert np.percentile(np.abs(movement(unlike, 0.09, 0.05).side_bow), 95) > 1e-5
    assert np.max(np.abs(movement(paired(unlike, "about y"), 0.09, 0.05).side_bow)) < 1e-12


@pytest.mark.parametrize("turn, words", [("about w", "turn: 'about w'"), ("about Y", "Did you mean")])
def test_bad_input_is_named(turn, words):
    with pytest.raises(ValueError, match=words):
        turned(Board(MAPLE), turn)
