"""Lesson 10: the sliders weigh what is shown, the hand calculation ends in the library's, an own outline is
weighed and refused, the questions have one right answer."""

import numpy as np
import pytest

from tonewood.brief.balance import Seat, Strap, strap_balance, weigh
from tonewood.lesson.shared.clients import CLIENTS
from tonewood.lesson.weight_and_balance import by_hand as hand
from tonewood.lesson.weight_and_balance import model, questions, verdicts
from tonewood.lesson.weight_and_balance.figure import weight_and_balance
from tonewood.lesson.weight_and_balance.model import NAMES, balanced, defaults, instrument, middle, moved
from tonewood.wood.facts import rule


@pytest.mark.parametrize("who", NAMES)
def test_where_the_sliders_start_it_weighs_what_the_client_s_instrument_weighs(who):
    """But for the scatter of fittings, whose triangles are longer on the heavy side (some 5 %)."""
    design, whole = instrument(who)
    plain, now = weigh(design, whole), moved(who)
    assert float(plain.mass) == pytest.approx(middle(now.mass), rel=0.05)
    assert float(plain.centre) == pytest.approx(middle(now.centre), abs=0.015)
    names = {p.name for p in plain.parts}
    assert names == {p.name for p in now.weighed.parts}
    assert set(NAMES) == {"no_12", *CLIENTS}


def test_statics_by_hand_hold_draw_by_draw():
    now = moved("theatre")
    mass, moment = (sum(np.broadcast_to(v, now.mass.shape) for v in values) for values in
                    ([p.mass for p in now.weighed.parts], [p.mass * p.x for p in now.weighed.parts]))
    np.testing.assert_allclose(now.mass, mass)
    np.testing.assert_allclose(now.centre, moment / mass)
    front, rear = now.whole.buttons
    ratio = np.exp(0.25 * np.pi)
    assert now.strap.limit == pytest.approx((rear + ratio * front) / (1 + ratio))


@pytest.mark.parametrize("who", NAMES)
def test_every_slider_moves_it_the_way_it_must(who):
    start, base = defaults(who), moved(who)
    assert np.all(moved(who, tuner=start["tuner"] - 5).centre > base.centre)
    assert np.all(moved(who, button=start["button"] - 20).strap.margin > base.strap.margin)
    solid, hollow = moved(who, chambers=False), moved(who, chambers=True)
    assert np.all(hollow.mass < solid.mass)
    assert np.all(moved(who, thickness=start["thickness"] + 5).mass > base.mass)
    for thickness, button in ((30, 250), (60, 460)):
        balanced(**{**start, "thickness": thickness, "button": button, "chambers": True})


def test_three_lumps_by_hand_are_the_whole():
    rows = {name: value for name, value, *_ in hand.balance_by_hand()}
    design, whole = instrument("no_12")
    found = weigh(design, whole)
    assert rows["sum of m"] == pytest.approx(float(found.mass))
    assert rows["balance, sum of m x ÷ sum of m"] == pytest.approx(1e3 * float(found.centre))
    limit = next(v for k, v in rows.items() if k.startswith("limit"))
    assert limit == pytest.approx(1e3 * strap_balance(0.5, *whole.buttons).limit)


def test_the_figure_follows_its_instrument_and_says_its_verdicts():
    live = weight_and_balance()
    assert "probably stays level" in live.sentence and "±30 mm only" in live.sentence
    live.set(who="theatre")
    assert live.values["tuner"] == 58 and "head-heavy" in live.sentence
    live.set(tuner=125, button=460)
    assert "the head goes down" in live.sentence and "head's side" in live.sentence
    live.close()


def test_an_own_outline_is_weighed(tmp_path):
    """A rectangle by hand: 0.4 m × 0.3 m × 45 mm; as a path, in half the unit, and as a file."""
    given = dict(wood="limba", thickness=45, start=410, per_unit=1.0)
    by_path = hand.weighed_outline("M 0 -150 L 400 -150 L 400 150 L 0 150 Z", **given).plain
    half = hand.weighed_outline("m 0,-300 L 800 -300 L 800 300 L 0 300 Z", **{**given, "per_unit": 0.5}).plain
    file = tmp_path / "my_body.csv"
    file.write_text("x_mm,y_mm\n0,-150\n400,-150\n400,150\n0,150\n")
    assert by_path == half == hand.weighed_outline(str(file), **given).plain
    assert "1200 cm²" in by_path and "610 mm" in by_path and "200 mm" in by_path


def test_an_outline_that_is_none_is_refused_below_the_boxes():
    box = hand.own_outline()
    for text, words in (("", "nothing given"), ("nowhere.csv", "nowhere.csv: no such file"),
                        ("M 0 0 L 400 300 L 400 0 L 0 300 Z", "does not cross itself"),
                        ("M 0 0 L 400 0", "at least 3 points"), ("M 0 0 L 1 0 L 1 1 Z", "accepted")):
        box.controls["outline"].value = text
        assert words in box._result.value and "role='alert'" in box._result.value
    box.controls["outline"].value = hand.DRAWN
    assert "cm²" in box._result.value


def test_questions_and_guesses_are_computed():
    best = questions.remedies()
    assert max(best, key=lambda k: best[k]).startswith("the front strap button")
    answers = {questions.answer_tuners: 9.9, questions.answer_limit: 486.0, questions.answer_least: "pickup"}
    for make, answer in answers.items():
        made = make()
        made.answer = answer
        assert made.check() is True
    for guess, answer, words in ((questions.guess_remedy(), "a body 5 mm thicker", "g lighter each +"),
                                 (questions.guess_share(), 30, "of 3.")):
        guess.answer = answer
        guess.commit()
        assert words in guess.reply


def test_verdicts_are_no_stronger_than_the_strap_is_known():
    wood = verdicts.lighter_neck_cures_dive()
    assert wood.verdict.startswith("not by itself") and wood.sure == "medium"
    assert verdicts.chambers_make_neck_heavy().verdict.startswith("a little")


def test_words_for_strap_and_seat_turn_where_the_data_say():
    doubt, heavy = model.limit_doubt(), rule("press_heavy").value
    told = [model.on_strap(Strap(0.5, margin)) for margin in (
        1.01 * doubt, 0.99 * doubt, -0.99 * doubt, np.array([-3.0, -1.01, 1.0]) * doubt)]
    assert told == ["level", "probably level", "probably dives", "dives"]
    assert [model.seated(Seat(0.0, press)) for press in (0.0, 0.99 * heavy, 1.01 * heavy)] == [
        "rests by itself", "rests with the forearm on it", "is head-heavy"]
