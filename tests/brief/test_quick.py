"""The quick sums of a search are those of the rooms they are taken from, lay-up by lay-up, neck by neck."""

from dataclasses import replace

import numpy as np
import pytest

from tonewood.brief.quick import FRET, STATIONS, TARGET, Quick, Terms
from tonewood.brief.space import LayUp, layup_of
from tonewood.lesson.shared.shop import NECK_12, REINFORCEMENT
from tonewood.neck.load.relief import relief
from tonewood.neck.load.rod import set_rod
from tonewood.neck.report.evaluation import evaluate
from tonewood.neck.seasons.movement import movement
from tonewood.neck.seasons.year import year
from tonewood.sound.instrument import Instrument
from tonewood.sound.modes import modes
from tonewood.wood.spread import draw_boards

SOFT = LayUp(stripes=(("sitka_spruce", 0.02), ("wenge", 0.02), ("sitka_spruce", 0.02)), ring_angle=np.pi / 2,
             fretboard="hard_maple", bars=REINFORCEMENT["two shallow carbon bars (3 × 6 mm)"])
DAMP = NECK_12.changed(town="Singapore", rod="single-acting")
CASES = {"No. 12": (layup_of(NECK_12), NECK_12), "spruce with carbon": (SOFT, NECK_12),
         "spruce, single-acting rod": (replace(SOFT, bars=()), DAMP)}


@pytest.fixture(params=CASES, scope="module")
def both(request):
    """(quick values, the same necks for the rooms, the design, the terms)"""
    layup, base = CASES[request.param]
    terms = Terms(base=base, woods=tuple(sorted(layup.woods)), draws=120)
    quick, neck = Quick(terms), layup.neck(base)
    boards = draw_boards(neck.pieces, 120, 1, streams=[*range(1, len(layup.stripes) + 1), 0],
                         woods=terms.woods)
    drawn = neck.with_pieces(boards)
    drawn = replace(drawn, fretboard=replace(drawn.fretboard, slot_fill=quick._fill))
    return quick(layup), drawn, base, terms


def test_relief_and_rod_are_those_of_the_load_room(both):
    found, neck, base, terms = both
    slack = relief(neck, base.string_set(), base.setup(), base.body_joint(), count=STATIONS)
    np.testing.assert_allclose(found.relief, slack.at(8), rtol=1e-9)
    needed = (TARGET - slack.at(8)) / set_rod(slack, terms.rod).per_unit / terms.rod.limit
    reachable = found.effort < 9.0
    np.testing.assert_allclose(found.effort[reachable], np.abs(needed)[reachable], rtol=1e-9)
    assert np.all(needed[~reachable] < 0) and (terms.rod.is_double <= reachable).all()


def test_stiffness_loss_and_weight_are_those_of_the_whole_evaluation(both):
    found, neck, base, terms = both
    whole = evaluate(neck, base.string_set(), 0.08, 0.08, base.setup(), STATIONS, base.body_joint())
    for name in ("stiffness", "loss", "mass"):
        np.testing.assert_allclose(getattr(found, name), getattr(whole, name), rtol=1e-9, err_msg=name)


def test_swing_is_the_year_of_the_seasons_room_but_for_the_shortcut(both):
    found, neck, base, terms = both
    whole = year(neck, base.town, points=53, seed=terms.seed, count=STATIONS)
    start = np.broadcast_to(whole.moisture[:, :1], whole.moisture.shape)
    bow = movement(neck, start, whole.moisture).relief_at[..., FRET - 1]
    swing = np.ptp(bow, axis=-1)
    # each layer's part is taken in proportion to its change of moisture
    assert np.max(np.abs(found.swing - swing)) < 0.10 * np.percentile(swing, 95)
    assert np.median(found.swing) == pytest.approx(np.median(swing), rel=0.06)
    width = np.ptp(movement(neck, start, whole.moisture).width_end, axis=-1)
    # the fretboard has its say
    assert np.median(found.width) == pytest.approx(np.median(width), rel=0.40)


def test_modes_move_as_the_first_order_rule_says(both):
    found, neck, base, terms = both
    full = modes(Instrument(neck), terms.modes, 0).frequency
    assert np.max(np.abs(found.modes / full - 1)) < 0.08
    assert np.median(np.abs(found.modes / full - 1)) < 0.03


def test_a_stripe_keeps_its_luck_when_another_wood_changes():
    base = layup_of(NECK_12)
    other = replace(base, stripes=(("sapele", base.widths[0]), *base.stripes[1:]))
    quick = Quick(Terms(base=NECK_12, woods=tuple(sorted({*base.woods, *other.woods})), draws=300))
    one, two = quick(base), quick(other)
    together = np.std(one.stiffness - two.stiffness)
    apart = np.hypot(np.std(one.stiffness), np.std(two.stiffness))
    assert together < 0.5 * apart


def test_terms_refuse_what_cannot_be():
    few = NECK_12.changed(frets=8, joint_fret=8)
    for wrong in ({"draws": 1}, {"modes": 9}, {"modes": 1.5}, {"base": few}):
        with pytest.raises(ValueError, match="accepted"):
            Terms(**{"base": NECK_12, "woods": ("wenge",), **wrong})
