"""Turning every stripe of a lay-up: which lie which way, which come from one board, and what the arrangement
cancels."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tonewood.neck.layup.half_turns import TURNS, turned
from tonewood.neck.layup.neck import Back, Channel, Fretboard, Layup, Neck, Outline, Stripe, striped
from tonewood.neck.layup.stripe_order import (
    ARRANGEMENTS,
    arranged,
    grain_direction,
    planks,
    stripe_turns,
)
from tonewood.neck.report.straightness import straightness
from tonewood.strings.sets import string_set
from tonewood.wood.board import Board
from tonewood.wood.facts import rule
from tonewood.wood.species import species
from tonewood.wood.spread import draw_boards

MAPLE, WALNUT, WENGE, ROSEWOOD = (species(name)
                                  for name in ("hard_maple", "black_walnut", "wenge", "indian_rosewood"))
STRINGS = string_set("six")


def neck_of(count, ring=90.0, run_out=0.0, slope=0.0, woods=(MAPLE, WENGE, WALNUT)):
    boards = [Board(wood, *np.radians((ring, run_out, slope))) for wood in woods]
    return Neck(striped(*boards, count), Outline(), Back("D"), Fretboard(Board(ROSEWOOD)), Channel())


def laid(arrangement, *args, **more):
    return straightness(arranged(neck_of(*args, **more), arrangement), STRINGS, 0.085, 0.062)


@settings(max_examples=40, deadline=None)
@given(st.floats(-1.5, 1.5), st.floats(-0.2, 0.2), st.floats(-0.2, 0.2), st.sampled_from(list(TURNS)))
def test_grain_direction_is_the_turned_board_s_own_but_for_its_sense(ring, run_out, slope, turn):
    """Wood does not know head from tail, so the turned angles give the direction up to its sign; the arrow
    keeps the sense."""
    board = Board(MAPLE, ring, run_out, slope)
    arrow, axis = grain_direction(board, turn), turned(board, turn).Q[:, 0]
    assert min(np.abs(arrow - axis).max(), np.abs(arrow + axis).max()) < 1e-12
    assert arrow[0] > 0 if turn in ("as sawn", "about x") else arrow[0] < 0


def test_counting_is_within_each_wood():
    seven = neck_of(7)                                       # maple wenge maple walnut maple wenge maple
    s, t = "as sawn", "about z"
    assert stripe_turns(seven, "every second about z") == (s, s, t, s, s, t, t)
    assert stripe_turns(seven, "mirrored pairs") == (s, s, s, s, "about y", "about y", "about y")
    assert stripe_turns(seven, "as sawn") == (s,) * 7
    one_wood = neck_of(7, woods=(MAPLE,) * 3)
    assert stripe_turns(one_wood, "every second about z") == (s, t, s, t, s, t, s)


def test_mirrored_pairs_are_mirror_images():
    neck = arranged(neck_of(8, 60.0, 3.0, 2.0), "mirrored pairs")
    boards = [stripe.board for stripe in neck.layup.stripes]
    for left, right in zip(boards[:4], boards[:3:-1], strict=False):
        assert right.species is left.species
        assert turned(left, "about y").swelling_xyz == pytest.approx(right.swelling_xyz, abs=1e-15)


@pytest.mark.parametrize("count", [2, 4, 6, 8, 10])
def test_an_even_mirrored_neck_of_slanting_grain_does_not_twist(count):
    """Mirror symmetry of wood and load across the centre plane leaves no twist and no side bow (independently
    derived: symmetry)."""
    found = laid("mirrored pairs", count, 60.0, 4.0, 3.0)
    for value in (found.twist, found.side_bow, found.load_twist):
        assert abs(value) < 1e-9


def test_an_odd_mirrored_neck_keeps_the_twist_of_its_middle_stripe():
    middle, all_straight = laid("mirrored pairs", 7, 60.0, 0.0, 3.0), laid("mirrored pairs", 7, 60.0)
    straight_middle = neck_of(7, 60.0, 0.0, 3.0)
    stripes = list(straight_middle.layup.stripes)
    stripes[3] = Stripe(Board(WALNUT), stripes[3].width)
    balanced = straightness(arranged(replace(straight_middle, layup=Layup(stripes)), "mirrored pairs"),
                            STRINGS, 0.085, 0.062)
    assert abs(middle.twist) > 1e-3
    assert abs(all_straight.twist) < 1e-9 and abs(balanced.twist) < 1e-9


def test_end_for_end_on_the_bench_twists_rolling_end_for_end_does_not():
    """Run-out only, quarter-sawn, all maple and even: opposed run-out left and right twists with moisture."""
    woods = (MAPLE,) * 3
    about = {axis: laid(f"every second about {axis}", 2, 90.0, 3.0, woods=woods).twist_across
             for axis in "xyz"}
    assert abs(about["z"]) > 1e-4 and about["x"] == pytest.approx(about["z"],
                                                                  rel=1e-9) and abs(about["y"]) < 1e-9
    assert abs(laid("as sawn", 2, 90.0, 3.0, woods=woods).twist) < 1e-9


def test_turning_leaves_stiffness_and_forward_bow():
    found = [laid(name, 7, 70.0, 3.0, 2.0) for name in ARRANGEMENTS]
    for one in found[1:]:
        assert one.stiffness == pytest.approx(found[0].stiffness, rel=1e-12)
        assert one.relief_change == pytest.approx(found[0].relief_change, rel=1e-9)


def drawn(neck, arrangement, draws, seed, kinship="different trees"):
    """The pieces of possible necks, the stripes so arranged."""
    pieces = arranged(neck, arrangement).pieces
    return draw_boards(pieces, draws, seed, kinship, planks(neck, arrangement))


def test_stripes_of_a_pair_come_from_one_board():
    neck = neck_of(6, woods=(MAPLE, MAPLE, MAPLE))
    assert planks(neck, "mirrored pairs") == (0, 1, 2, 2, 1, 0, 6)
    assert planks(neck, "as sawn") == tuple(range(7))
    found = np.corrcoef([np.log(b.E_L) for b in drawn(neck, "mirrored pairs", 20_000, 3)])
    alike = rule("kinship_same_board").value
    assert found[0, 5] == pytest.approx(alike, abs=0.02) and found[2, 3] == pytest.approx(alike, abs=0.02)
    assert np.abs([found[0, 1], found[0, 4], found[1, 2], found[3, 4], found[0, 6]]).max() < 0.03


def test_pairs_within_one_tree_keep_both_likenesses():
    neck = neck_of(6, woods=(MAPLE, MAPLE, MAPLE))
    found = np.corrcoef([np.log(b.E_L)
                         for b in drawn(neck, "mirrored pairs", 20_000, 3, "same tree")])
    assert found[0, 5] == pytest.approx(rule("kinship_same_board").value, abs=0.02)
    assert found[0, 1] == pytest.approx(rule("kinship_same_tree").value, abs=0.02)


def test_arranging_draws_the_same_boards_where_no_pair_is_made():
    neck = neck_of(7, 60.0, 3.0)
    sawn, turned_ = (drawn(neck, name, 40, 1) for name in ("as sawn", "every second about z"))
    for a, b in zip(sawn, turned_, strict=True):
        assert np.array_equal(a.E_L, b.E_L) and a.run_out in (b.run_out, -b.run_out)


@pytest.mark.parametrize("call, words", [
    (lambda: arranged(neck_of(5), "sideways"), "arrangement: 'sideways'"),
    (lambda: stripe_turns(neck_of(5), "mirrored pair"), "Did you mean"),
    (lambda: planks(neck_of(5), "mirror"), "arrangement"),
    (lambda: grain_direction(Board(MAPLE), "about w"), "half turn"), (lambda: arranged(replace(neck_of(1),
                              layup=Layup((Stripe(Board(MAPLE), 0.03), Stripe(Board(WALNUT), 0.03)))),
                              "mirrored pairs"), "one wood, equal widths"),
    (lambda: arranged(replace(neck_of(1),
                              layup=Layup((Stripe(Board(MAPLE), 0.03), Stripe(Board(MAPLE), 0.031)))),
                              "mirrored pairs"), "one wood, equal widths"),])
def test_bad_input_is_named(call, words):
    with pytest.raises(ValueError, match=words):
        call()


def test_planks_need_a_label_for_each_board():
    from tonewood.wood.spread import draw_boards
    with pytest.raises(ValueError, match="planks: 1 labels"):
        draw_boards([Board(MAPLE)] * 2, 10, 0, planks=("a",))


def test_every_turn_has_its_half_turn():
    assert set(ARRANGEMENTS.values()) == set(TURNS)
