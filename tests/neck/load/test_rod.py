"""Truss rods: worked values, what a setting reaches, what a rod cannot mend, rods that do not fit."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tonewood.neck.layup.neck import Back, Channel, Fretboard, Layup, Neck, Outline, Stripe, spread
from tonewood.neck.load.relief import Strung, bend, relief
from tonewood.neck.load.rod import Rod, fit, relief_with_rod, set_rod, unit_response
from tonewood.neck.load.rod_limits import best_setting, rod_limits
from tonewood.neck.load.usual_rod import usual_rod
from tonewood.strings.sets import string_set
from tonewood.wood.board import Board
from tonewood.wood.species import species

SCALE = 0.648
FRETS = SCALE * (1 - 2 ** (-np.arange(1, 23) / 12))
STRINGS = string_set("six")


def neck(**parts):
    board = Board(species("hard maple"))
    return Neck(layup=Layup((Stripe(board, 0.06),)), outline=Outline(), fretboard=Fretboard(board),
                **{"back": Back(), "channel": Channel(), **parts})


def beam(EI=lambda x: np.full(x.size, 350.0), moment=lambda x: np.full(x.size, 5.28), count=81, axis=-0.003,
         joint=None):
    x = np.linspace(0, SCALE, count)
    return bend(Strung(x=x, EI=EI(x), z_bar=np.full(count, axis), moment=moment(x), pull=0.0, frets=FRETS,
                       bridge=SCALE, EA=np.full(count, 12e6), second=False, joint=joint))


def tapered():
    return beam(lambda x: 260 + 220 * x / 0.46, lambda x: 440 * (0.0115 + 0.002 * x / 0.46))


def named(limits):
    return {limit.name: limit for limit in limits}


def test_couple_that_leaves_a_relief():
    """Independently derived: quadrature; the differential equation gives the same."""
    slack, rod = tapered(), Rod(start=0.0, end=SCALE)
    found = set_rod(slack, rod, target=0.00015, fret=8)
    assert -1e3 * found.per_unit == pytest.approx(0.06162, rel=1e-3)
    assert found.effort == pytest.approx(3.080, rel=2e-3)
    assert found.relief.at(8) == pytest.approx(0.00015, rel=1e-9)


def test_force_of_a_steel_rod_per_lengthening():
    """Worked: 0.2 mm over L (1/EA_rod + 1/EA_neck + e^2/EI), 4.6 mm steel of 200 GPa, 450 mm, 8 mm below the
    axis."""
    rod = Rod.single(start=0.0, end=0.45, depth_ends=0.011, depth_middle=0.011, diameter=0.0046,
                     modulus=200e9, pitch=0.0002)
    slack = beam()
    force = rod.effort(1.0, slack.strung.x, slack.strung.z_bar, slack.strung.EA, slack.strung.EI)
    assert force == pytest.approx(784, rel=1e-3)
    assert relief_with_rod(slack, rod, turns=1.0).at(8) == pytest.approx(
        relief_with_rod(slack, rod, effort=float(force)).at(8))


def test_double_acting_lengthening():
    """Worked: two bars of EA and a couple of gap F; 0.8 mm over 0.4 m (2/EA + gap^2/EI)."""
    rod = Rod(start=0.02, end=0.42, modulus=200e9)
    slack = beam()
    EA = 200e9 * np.pi / 4 * 0.004**2
    force = 0.0008 / (0.4 * (2 / EA + 0.005**2 / 350))
    assert rod.effort(1.0, slack.strung.x, slack.strung.z_bar, slack.strung.EA,
                      slack.strung.EI) == pytest.approx(0.005 * force, rel=1e-6)


def test_the_wood_moment_of_a_single_acting_rod_follows_its_channel():
    rod = Rod.single(start=0.05, end=0.45, depth_ends=0.004, depth_middle=0.010)
    x = np.linspace(0, SCALE, 1297)
    arm = rod.arm(x, np.full(x.size, -0.003))
    assert arm[500] == pytest.approx(0.007, abs=1e-6) and arm[150] == pytest.approx(
        -0.003 + 0.004 + 0.006 * 4 * 0.0625 * 0.9375, abs=1e-6)
    assert np.all(arm[x < 0.049] == 0) and np.all(arm[x > 0.451] == 0)


@given(st.floats(0, 0.2), st.floats(0.25, 0.6), st.integers(5, 60))
def test_covered_stations_add_up_to_the_length_of_the_rod(start, end, count):
    x = np.sort(np.concatenate([np.linspace(0, SCALE, count), [0.40001, 0.40002]]))
    assert np.trapezoid(Rod(start=start, end=end).covered(x), x) == pytest.approx(end - start)


@settings(deadline=None, max_examples=30)
@given(st.floats(-5, 8))
def test_rod_and_strings_add_up(couple):
    slack, rod = tapered(), Rod()
    both = relief_with_rod(slack, rod, effort=couple)
    assert both.at_fret == pytest.approx(slack.at_fret + couple * unit_response(slack, rod).at_fret,
                                         abs=1e-12)


def test_rod_and_strings_add_up_on_a_whole_neck_with_second_order():
    slack = relief(neck(), STRINGS)
    for rod in (Rod(), Rod.single()):
        unit = unit_response(slack, rod)
        effort = 0.4 * rod.limit
        assert relief_with_rod(slack, rod,
                               effort=effort).at_fret == pytest.approx(slack.at_fret + effort * unit.at_fret,
                                                                       abs=2e-9)
        assert np.all(unit.at_fret[1:-1] < 0)


@pytest.mark.parametrize("rod", [Rod(), Rod.single()])
def test_setting_meets_the_target_on_one_neck_and_on_draws(rod):
    for made in (neck(), spread(neck(), 40, 2)):
        slack = relief(made, STRINGS)
        found = set_rod(slack, rod, 0.0001, fret=7)
        assert found.relief.at(7) == pytest.approx(np.full(np.shape(slack.at(7)), 0.0001), abs=2e-8)
        assert np.all(found.effort > 0) and np.all(found.turns > 0) and np.all(
            found.reached == (found.reserve >= 0))
        assert found.reserve == pytest.approx(1 - found.effort / rod.limit)
        again = relief_with_rod(slack, rod, effort=found.effort)
        assert again.at_fret == pytest.approx(found.relief.at_fret)
        assert found.relief.strung is slack.strung
        assert len(found.table()) == (1 if made.draws is None else 3)


def test_turns_give_back_the_effort():
    slack = relief(neck(), STRINGS)
    for rod in (Rod(), Rod.single()):
        found = set_rod(slack, rod, 0.0001)
        assert relief_with_rod(slack, rod, turns=float(found.turns)).at(8) == pytest.approx(0.0001, abs=1e-9)


def test_single_acting_cannot_add_relief_and_double_acting_can():
    slack = relief(neck(), STRINGS)
    wanted = slack.at(8) + 0.0001
    single, double = set_rod(slack, Rod.single(), wanted), set_rod(slack, Rod(), wanted)
    assert single.effort == 0 and not single.reached and single.relief.at(8) == pytest.approx(slack.at(8))
    assert double.effort < 0 and double.reached and double.relief.at(8) == pytest.approx(wanted)
    told = named(rod_limits(slack, Rod.single(), wanted))["adding relief"]
    assert told.amount == pytest.approx(0.1) and told.unit == "mm" and told.matters
    assert not named(rod_limits(slack, Rod(), wanted))["adding relief"].matters


def test_reach_and_limit():
    slack, rod = relief(neck(), STRINGS), Rod()
    found = set_rod(slack, rod, 0.0002)
    assert found.lowest == pytest.approx(relief_with_rod(slack, rod, effort=rod.limit).at(8), abs=2e-9)
    assert found.highest == pytest.approx(relief_with_rod(slack, rod, effort=-rod.limit).at(8), abs=2e-9)
    weak = replace(rod, yield_stress=2e7)
    beyond = set_rod(slack, weak, 0.0)
    assert beyond.reserve < 0 and not beyond.reached
    told = named(rod_limits(slack, weak, 0.0))["taking relief away"]
    assert told.amount == pytest.approx(1e3 * beyond.lowest)


def test_limit_is_half_the_yield_force_of_the_thread():
    """Worked: M5 x 0.8 has a stress area of about 14.2 mm2 (published for the ISO thread), 250 MPa and one
    half."""
    assert Rod.single(diameter=0.005).limit == pytest.approx(0.5 * 250e6 * 14.2e-6, rel=0.01)


def test_the_same_rod_deeper_works_with_less_force():
    slack = beam()
    shallow, deep = (set_rod(slack, Rod.single(depth_ends=d, depth_middle=d), 0.0001).effort
                     for d in (0.006, 0.009))
    assert shallow == pytest.approx(2 * deep, rel=1e-9)


def test_s_curve_stays_and_even_bow_does_not():
    slack, rod = tapered(), Rod()
    even = unit_response(slack, rod).at_fret * -3.0
    assert named(rod_limits(slack, rod, shape=even))["s-curve"].amount == pytest.approx(0, abs=1e-9)
    along = (FRETS - FRETS[0]) / (FRETS[-1] - FRETS[0])
    wave = 0.0003 * np.sin(2 * np.pi * along)
    told = named(rod_limits(slack, rod, shape=wave))["s-curve"]
    assert 0.2 < told.amount < 0.4 and told.matters and told.share == 1.0


def test_flattest_setting_is_the_least_squares_one():
    slack = tapered()
    for rod in (Rod(), Rod.single()):
        best = best_setting(slack, rod)[1]
        for effort in np.linspace(0, rod.limit, 25):
            assert np.sum(best**2) <= np.sum(relief_with_rod(slack, rod, effort=effort).at_fret ** 2) + 1e-18
    back = beam(moment=lambda x: np.full(x.size, -5.0))
    assert best_setting(back, Rod.single())[1] == pytest.approx(back.at_fret)


def test_kink_at_the_joint_stays():
    """Worked: a hinge of 4 mrad at 0.38 m makes a gap of t (j - a)(b - j)/(b - a) there; an even curve cannot
    cancel most of it."""
    slack = beam(joint=0.38)
    told = named(rod_limits(slack, Rod(), kink=0.004))["kink at the body joint"]
    hinge = 4.0 * (0.38 - FRETS[0]) * (FRETS[-1] - 0.38) / (FRETS[-1] - FRETS[0])
    assert 0.1 < told.amount < hinge and told.matters
    shape = np.interp(FRETS, [FRETS[0], 0.38, FRETS[-1]], [0.0, hinge, 0.0])
    unit = unit_response(slack, Rod()).at_fret
    (best,), *_ = np.linalg.lstsq(unit[:, None], -shape, rcond=None)
    assert told.amount == pytest.approx(np.max(np.abs(shape + best * unit)), rel=1e-9)
    assert named(rod_limits(slack, Rod()))["kink at the body joint"].amount == 0
    assert named(rod_limits(beam(joint=0.60), Rod(), kink=0.004))["kink at the body joint"].amount == 0


def test_bow_outside_a_short_rod_is_told():
    slack = tapered()
    short, long = (named(rod_limits(slack, Rod(start=0.01, end=e)))["bow outside the rod"]
                   for e in (0.25, 0.45))
    assert short.amount > 0.1 and short.matters and long.amount < 0.02 and not long.matters
    whole = named(rod_limits(slack, Rod(start=0.0, end=FRETS[-1] + 0.02)))["bow outside the rod"]
    assert whole.amount < 1e-3


def test_twist_and_side_bow_are_told_as_they_are():
    slack = relief(neck(), STRINGS)
    told = named(rod_limits(slack, Rod(), twist=np.radians([0.05, 0.5, -0.5])))["twist"]
    assert told.amount == pytest.approx([0.05, 0.5, 0.5]) and told.matters.tolist() == [
        False, True, True
    ] and told.share == pytest.approx(2 / 3)
    assert named(rod_limits(slack, Rod()))["side bow"].amount == pytest.approx(
        1e3 * np.max(np.abs(slack.side_at_fret)))
    assert [limit.name for limit in rod_limits(slack, Rod())] == [
        "adding relief", "taking relief away", "twist", "side bow", "s-curve", "kink at the body joint",
        "bow outside the rod"
    ]


def test_a_rod_above_the_axis_is_refused():
    with pytest.raises(ValueError, match="above the neck's axis"):
        set_rod(beam(axis=-0.008), Rod.single(depth_ends=0.005, depth_middle=0.005))


@pytest.mark.parametrize("call, words", [
    (lambda: fit(Rod(depth_ends=0.004, depth_middle=0.004), neck(channel=None)),
     ["above the glue line", "fretboard"]), (lambda: fit(Rod(depth_ends=0.013, depth_middle=0.013),
                                                         neck(channel=None)), ["out of the back"]),
    (lambda: fit(Rod.single(depth_middle=0.016), neck(channel=None)), ["out of the back"]),
    (lambda: fit(Rod(end=0.52), neck(channel=None)), ["end of the neck"]),
    (lambda: fit(Rod(depth_ends=0.007, depth_middle=0.007), neck()), ["depth of the channel"]),
    (lambda: fit(Rod(diameter=0.0065, gap=0.0065, depth_ends=0.007, depth_middle=0.007),
                 neck(back=Back(depth_nut=0.02, depth_end=0.02))), ["width of the channel"]),
    (lambda: fit(Rod(), neck(channel=Channel(start=0.05, end=0.40))), ["inside the channel"]),
    (lambda: set_rod(relief(neck(), STRINGS), Rod(depth_ends=0.013, depth_middle=0.013)),
     ["out of the back"]), (lambda: Rod(action="triple"), ["single", "double"]),
    (lambda: Rod(start=0.4, end=0.3), ["end of the rod"]), (lambda: Rod(end=430.0), ["0.43"]),
    (lambda: Rod(diameter=0.02), ["rod diameter"]), (lambda: Rod(gap=0.003), ["gap between the bars"]),
    (lambda: Rod(diameter=0.002, gap=0.004, pitch=0.0025), ["core is left"]),
    (lambda: Rod(modulus=200), ["GPa"]), (lambda: Rod(yield_stress=250), ["MPa"]),
    (lambda: relief_with_rod(tapered(), Rod()), ["either effort or turns"]),
    (lambda: relief_with_rod(tapered(), Rod(), effort=1.0, turns=1.0), ["not both"]),
    (lambda: relief_with_rod(tapered(), Rod.single(), effort=-10.0), ["cannot add relief"]),
    (lambda: relief_with_rod(tapered(), Rod.single(), turns=-1.0), ["only pulls"]),
    (lambda: set_rod(tapered(), Rod(), target=0.15), ["0.00015"]),
    (lambda: set_rod(tapered(), Rod(), fret=30), ["fret", "22"]),
    (lambda: set_rod(tapered(), Rod(), fret=1), ["reading fret", "2 to 21"]),
    (lambda: rod_limits(tapered(), Rod(), twist=2.0), ["degrees"]),
    (lambda: rod_limits(tapered(), Rod(), kink=1.0), ["degrees"]),
    (lambda: rod_limits(tapered(), Rod(), shape=np.zeros(5)), ["22 frets"])
])
def test_bad_input_is_named(call, words):
    with pytest.raises(ValueError) as caught:
        call()
    assert all(word in str(caught.value) for word in words), str(caught.value)


@pytest.mark.parametrize("depth, below", [(0.010, 0.0), (0.008, 0.0), (0.010, 0.004)])
def test_two_bars_one_over_the_other_fit_a_usual_channel(depth, below):
    """Double-acting: two bars, their middles a bar's thickness apart, fill no more than the channel's depth,
    and all of it where it is too shallow for bars of 5 mm."""
    rod = usual_rod(neck(channel=Channel(depth=depth, below=below)))
    assert rod.gap == rod.diameter == pytest.approx(min(0.005, (depth - below) / 2))
    assert rod.depth_middle - rod.diameter == pytest.approx(below)
    dips = usual_rod(neck(channel=Channel(depth=depth, below=below)), "single-acting")
    assert dips.depth_middle + dips.diameter / 2 == pytest.approx(depth)
    assert dips.depth_middle - dips.depth_ends == pytest.approx(min(0.003, depth - below - dips.diameter))
    with pytest.raises(ValueError, match="roof of the rod channel"):
        Channel(depth=depth, below=depth - 0.0005)
