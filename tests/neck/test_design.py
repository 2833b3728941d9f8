"""A design makes the neck, strings, setup and joint it names, and refuses parts that do not fit."""

from dataclasses import replace

import numpy as np
import pytest

from tonewood.neck.design import Design, FretboardPlan, StringPlan, StripePlan
from tonewood.neck.layup.half_turns import turned
from tonewood.neck.layup.shapes import Back, Bar, Channel, Outline
from tonewood.strings.sets import string_set
from tonewood.wood.board import Board
from tonewood.wood.species import species

DESIGN = Design(name="three stripes", outline=Outline(0.043, 0.056), back=Back("D"),
                channel=Channel(rod_mass=0.2), action_bass=0.0021,
                stripes=(StripePlan(wood="hard maple", width=0.02, ring_angle=0.4, run_out=0.02, slope=0.01),
                         StripePlan(wood="wenge", width=0.02),
                         StripePlan(wood="hard maple", width=0.02, ring_angle=0.4, run_out=0.02, slope=0.01,
                                    turn="about y")), fretboard=FretboardPlan(wood="Indian rosewood"),
                bars=(Bar(0.009, depth=0.006),), shop_moisture=0.07)


def test_the_neck_is_the_one_written_down():
    neck, maple = DESIGN.neck(), Board(species("hard maple"), 0.4, 0.02, 0.01, moisture=0.07)
    assert [s.width for s in neck.layup.stripes] == [0.02] * 3
    assert neck.layup.stripes[0].board == maple and neck.layup.stripes[2].board == turned(maple, "about y")
    assert neck.fretboard.board == Board(species("Indian rosewood"),
                                         moisture=0.07) and neck.fretboard.slot_fill == 0.5
    assert (neck.outline, neck.back, neck.channel, neck.bars) == (DESIGN.outline, DESIGN.back, DESIGN.channel,
                                                                  DESIGN.bars)
    assert neck.body_start == pytest.approx(0.648 * (1 - 2 ** (-17 / 12))) and neck.frets == 22
    assert DESIGN.changed(joint_fret=None).neck().body_start is None and DESIGN.neck() is neck
    assert replace(DESIGN,
                   fretboard=FretboardPlan(wood="wenge", slot_fill=0.0)).neck().fretboard.slot_fill == 0.0


def test_strings_setup_and_joint_are_those_named():
    assert DESIGN.setup().action == (0.0021, 0.0016) and DESIGN.setup().bridge_spread == 0.052
    assert DESIGN.body_joint().kind == "neck-through"
    plain, heavy = DESIGN.string_set(), DESIGN.changed(strings=StringPlan(gauge=1.1)).string_set()
    assert np.asarray(plain.tension) == pytest.approx(np.asarray(string_set("six").tension))
    assert np.asarray(heavy.tension) == pytest.approx(1.21 * np.asarray(plain.tension), rel=0.02)
    longer = DESIGN.changed(scale_length=0.66).string_set()
    assert np.asarray(longer.tension) == pytest.approx((0.66 / 0.648) ** 2 * np.asarray(plain.tension),
                                                       rel=1e-6)


def test_equal_designs_are_equal_and_names_of_woods_need_not_be_spelt_alike():
    other = replace(DESIGN, stripes=[replace(s, wood=species(s.wood).name) for s in DESIGN.stripes])
    assert other == DESIGN and hash(other) == hash(DESIGN) and other.neck() == DESIGN.neck()


@pytest.mark.parametrize("change, words", [
    (dict(name=" "), "name of the design"), (dict(stripes=()), "at least 1 stripe"),
    (dict(joint="nailed"), "joint"), (dict(rod="triple"), "truss rod"), (dict(town="Atlantis"), "Atlantis"),
    (dict(joint_fret=23), "joint fret"),
    (dict(frets=22.5), "number of frets"), (dict(stripe=()), "field of the design"),
    (dict(scale_length=648.0), "0.648 m"),
    (dict(shop_moisture=8.0), "0.08"), (dict(outline=Outline(0.043, 0.070)), "lay-up width"),
    (dict(bars=(Bar(0.001, depth=0.004),)), "overlap"), (dict(action_bass=-0.001), "action")])
def test_what_does_not_fit_is_named(change, words):
    with pytest.raises(ValueError, match=words):
        DESIGN.changed(**change)


@pytest.mark.parametrize("make, words", [(lambda: StripePlan(wood="oakk", width=0.02), "oakk"),
    (lambda: StripePlan(wood="wenge", width=20.0), "0.02 m"),
    (lambda: StripePlan(wood="wenge", width=0.02, turn="over"), "half turn"),
    (lambda: StripePlan(wood="wenge", width=0.02, run_out=5.0), "degrees"),
    (lambda: FretboardPlan(wood="wenge", slot_fill=50.0), "slot fill"),
    (lambda: StringPlan(set="five"), "string set"),
    (lambda: StringPlan(tuning="six, dropped"), "tuning"), (lambda: StringPlan(gauge=11.0), "gauges")])
def test_plans_check_themselves(make, words):
    with pytest.raises(ValueError, match=words):
        make()
