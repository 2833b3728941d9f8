"""The cut list against plain geometry: allowances undo themselves, volumes add up, marks follow the turns."""

import itertools
import random
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest

from tonewood.bench.foretold import foretell
from tonewood.bench.log_columns import MEASURED
from tonewood.bench.measure import bend_modulus
from tonewood.bench.procedures import blank_sag
from tonewood.bench.readings import reading
from tonewood.brief.checkpoints import checkpoints
from tonewood.brief.cut_list import (
    Allowances,
    Size,
    blank_size,
    clamping_order,
    cut_list,
    planed,
    sawn,
    slots_of,
)
from tonewood.constants import GRAVITY, INCH
from tonewood.draws import written_inches
from tonewood.neck.design import StripePlan, example_design
from tonewood.neck.layup.half_turns import TURNS
from tonewood.neck.layup.neck import Bar
from tonewood.neck.load.rod import Rod

BARS = example_design().changed(bars=(Bar(0.012), Bar(-0.012)))
UNUSUAL = Allowances(kerf=0.0017, planing=0.0011, glue=0.00023, ends=0.031)
MANY = example_design().changed(stripes=tuple(
    StripePlan(wood=wood, width=width, turn=turn) for wood, width, turn in zip(
        ("hard maple", "wenge", "hard maple", "wenge", "hard maple"), (0.02, 0.002, 0.016, 0.002, 0.02),
        (*TURNS, "as sawn"), strict=True)))


@pytest.mark.parametrize("design", [example_design(), MANY, BARS])
@pytest.mark.parametrize("joint", ["bolt-on", "set", "neck-through"])
def test_allowances_undo_themselves_and_stripes_fill_the_blank(design, joint):
    cut = cut_list(design.changed(joint=joint), UNUSUAL)
    for piece, plan in zip(cut.stripes, design.stripes, strict=True):
        back = planed(piece.sawn, cut.allowances)
        assert [back.length, back.depth] == pytest.approx([cut.blank.length, cut.blank.depth], abs=1e-15)
        in_design = back.width + cut.allowances.glue * piece.lines / 2      # half of each line belongs to it
        assert in_design == pytest.approx(plan.width, abs=1e-15)
    wood = sum(piece.planed.volume for piece in cut.stripes)
    glue = cut.allowances.glue * (len(cut.stripes) - 1) * cut.blank.length * cut.blank.depth
    assert wood + glue == pytest.approx(cut.blank.volume, rel=1e-12)


def test_any_size_comes_back():
    chance = random.Random(3)
    for _ in range(200):
        a = Allowances(planing=chance.uniform(0, 0.01), ends=chance.uniform(0, 0.2))
        size = Size(*(chance.uniform(0.001, 1.0) for _ in range(3)))
        back = planed(sawn(size, a), a)
        assert (back.length, back.width, back.depth) == pytest.approx((size.length, size.width, size.depth))


@pytest.mark.parametrize("design", [example_design(), MANY])
def test_every_board_is_its_parts(design):
    cut = cut_list(design)
    for board in cut.boards:
        parts = board.finished + board.kerf + board.planing + board.ends
        assert parts == pytest.approx(board.size.volume, rel=1e-12)
        assert 0 < board.waste < 1
    by_hand = sum((p.sawn.width + cut.allowances.kerf) * p.sawn.length * p.sawn.depth
                  for p in (*cut.stripes, *cut.fretboard))
    assert cut.wood_volume == pytest.approx(by_hand, rel=1e-12)
    assert sum(board.count for board in cut.boards) == len(design.stripes) + 1


def test_marks_follow_the_half_turn():
    """A mark on the front face (0, 0, 1) and one at the head end (-1, 0, 0) after a rotation by 180°, by the
    rotation matrix about each axis."""
    about = {"about x": 0, "about y": 1, "about z": 2}
    for turn in TURNS:
        design = example_design()
        stripe = replace(design.stripes[0], turn=turn)
        piece = cut_list(design.changed(stripes=(stripe, *design.stripes[1:]))).stripes[0]
        R = -np.eye(3) if turn in about else np.eye(3)
        if turn in about:
            R[about[turn], about[turn]] = 1.0
        assert piece.face_up == ((R @ [0, 0, 1])[2] > 0)
        assert piece.to_head == ((R @ [-1, 0, 0])[0] < 0)


@pytest.mark.parametrize("count, lines", list(itertools.product(range(1, 14), (2, 4, 6))))
def test_every_stripe_is_clamped_once_and_evenly(count, lines):
    groups = clamping_order(count, lines)
    assert sorted(n for group in groups for n in group) == list(range(1, count + 1))
    lying: set[int] = set()
    for group in groups:
        opened = len(group) - 1 if not lying else len(group)
        assert opened <= lines
        lying |= set(group)
        assert min(lying) + max(lying) == count + 1 and max(lying) - min(lying) + 1 == len(lying)


def test_slots_hold_rod_and_bars():
    channel, bass, treble = slots_of(BARS)
    assert (channel.width, channel.depth) == (BARS.channel.width, BARS.channel.depth)
    assert (bass.offset, treble.offset) == (-0.012, 0.012)
    assert bass.width == pytest.approx(BARS.bars[0].width + 2 * Allowances().glue)


def test_a_blank_reaches_as_far_as_its_joint():
    design, a = example_design(), Allowances()
    end = {joint: blank_size(design.changed(joint=joint)).length - a.beyond_nut
           for joint in ("bolt-on", "set", "neck-through")}
    assert end["bolt-on"] == end["set"] == pytest.approx(design.neck().end + a.beyond_board)
    assert end["neck-through"] == pytest.approx(design.scale_length + a.beyond_bridge)
    assert blank_size(design, Allowances(heel=0.0)).depth == pytest.approx(
        float(design.back.depth(design.neck().end)))


def test_what_cannot_be_made_is_refused():
    with pytest.raises(ValueError, match="kerf"):
        Allowances(kerf=-0.001)
    with pytest.raises(ValueError, match="planing"):
        Allowances(planing=0.8)
    thin = tuple(StripePlan(wood="wenge", width=w) for w in (0.03, 0.0004, 0.0296))
    with pytest.raises(ValueError, match="stripe 2 without its glue"):
        cut_list(example_design().changed(stripes=thin), Allowances(glue=0.0005))
    with pytest.raises(ValueError, match="width left after planing"):
        planed(Size(0.9, 0.001, 0.02), Allowances())
    with pytest.raises(ValueError, match="span"):
        checkpoints(cut_list(example_design()), span=0.1, draws=100)


def test_the_sag_is_that_of_a_bent_board():
    """One wood: the bench's own reckoning of the modulus from this sag gives the board's modulus back."""
    one = example_design().changed(stripes=(StripePlan(wood="hard maple", width=0.06),))
    cut, neck = cut_list(one), one.neck()
    board = neck.pieces[0]
    sag = blank_sag(neck, 8.0 * GRAVITY, 0.5, cut.blank.depth)
    found = bend_modulus(8.0 * GRAVITY, sag, 0.5, cut.blank.width, cut.blank.depth, board.E_x / board.G_xz)
    assert found == pytest.approx(board.E_x, rel=1e-9)


def test_checkpoints_are_what_the_bench_foretells_under_the_logs_names():
    design = example_design()
    cut = cut_list(design)
    found = {point.kind: point for point in checkpoints(cut, Rod(), draws=200)}
    assert set(found) <= set(MEASURED)
    assert all(point.unit in (MEASURED[point.kind].units or (point.unit,)) for point in found.values())
    told = foretell(design, Rod(), draws=200)
    strung = told.foretold(reading("a", "gap, strings on", 0.3, told.delivered, fret=8))
    assert np.allclose(found["gap, strings on"].band, 1e3 * strung)
    weight = found["blank weight"].band
    by_hand = sum(piece.rho * stripe.width for piece, stripe in zip(
        design.neck().pieces, design.neck().layup.stripes, strict=False)) * cut.blank.length * cut.blank.depth
    assert weight[0] < 1e3 * by_hand < weight[2]
    neck, depth = design.neck(), cut.blank.depth
    E, G = (sum(getattr(s.board, name) * s.width for s in neck.layup.stripes) for name in ("E_x", "G_xz"))
    bent = 98.0665 * 0.8**3 / (48 * E * depth**3 / 12) + 98.0665 * 0.8 / (4 * 5 / 6 * G * depth)
    low, middle, high = found["blank sag"].band
    assert low < 1e3 * bent < high and middle == pytest.approx(1e3 * bent, rel=0.05)
    assert found["gap, strings off"].aim == 0.0 and found["blank sag"].sizes == ((10.0, "kg"), (800.0, "mm"))
    assert "rod turns" not in {point.kind for point in checkpoints(cut, draws=200)}


def test_inches_are_told_with_what_rounding_did():
    for k in range(400):
        length = 0.00037 * k
        text, error = written_inches(length)
        read = sum(Fraction(part) for part in text.removesuffix(" in").split())
        assert float(read) * INCH - length == pytest.approx(error, abs=1e-12)
        assert abs(error) <= INCH / 128 + 1e-12 and read.denominator in (1, 2, 4, 8, 16, 32, 64)
    assert written_inches(-INCH / 2)[0] == "−1/2 in"
