"""Predictions and questions of notebooks 00 and 01, each driven right and wrong; what they tell is computed and agrees with the model."""

import re

import pytest

from tonewood.lesson.whole_neck import questions as bench
from tonewood.lesson.start_here import figure as first
from tonewood.lesson.whole_neck.figure import build, evaluated, _defaults


@pytest.mark.parametrize("make, right", [
    (bench.answer_stiffness, "two deep carbon bars"), (bench.answer_origin, "seven stripes from seven trees"),
    (first.read_a_band, "it happens, about once in 20 boards or less"), (first.which_number, "its loss factor")])
def test_choice_right_and_wrong(make, right):
    question = make()
    assert question.right == right
    for answer in question.answers:
        question.answer = answer
        assert question.check() is (answer == right)
        assert question.answers[answer] in question.reply
        assert ("Hint" in question.reply) is (answer != right)
    assert question.solved


def test_weight_question_is_density_times_the_main_stripes():
    """Independently derived: volume of the main stripes by the section's areas, times the difference in density."""
    import numpy as np
    from tonewood.neck.section.section import regions
    question = bench.answer_weight()
    neck, lighter = build(**_defaults()), build(**{**_defaults(), "main": "mahogany"})
    parts = regions(neck)
    main = [i for i, piece in enumerate(parts.piece) if 0 <= piece < 7 and neck.pieces[piece].species.key == "hard_maple"]
    volume = np.trapezoid(parts.area[main].sum(0), parts.x)
    by_hand = 1e3 * volume * (neck.pieces[0].rho - lighter.pieces[0].rho)
    assert question.right == pytest.approx(by_hand, abs=question.tolerance / 3)
    question.answer = f"{by_hand:.0f}"
    assert question.check() is True
    for wrong in (by_hand / 2, 2 * by_hand, -by_hand):
        question.answer = f"{wrong:.0f}"
        assert question.check() is False
    question.answer = "heavy"
    assert question.check() is None


@pytest.mark.parametrize("make", [bench.guess_quarter, bench.guess_stripes, bench.guess_season, first.guess_band])
def test_prediction_waits_for_an_answer_then_tells_a_number(make):
    guess = make()
    guess.commit()
    assert not guess.committed
    guess.answer = guess.labels[0]
    guess.commit()
    assert guess.committed and re.search(r"\d", guess.reply)


def test_predictions_tell_what_the_model_says():
    def told(make):
        guess = make()
        guess.answer = guess.labels[0]
        guess.commit()
        return guess.reply
    assert re.search(r"changes by 0\.0 %", told(bench.guess_quarter)) and re.search(r"changes by 0\.0 %", told(bench.guess_stripes))
    rises = float(re.search(r"rises in (\d+) of 100", told(bench.guess_season))[1])
    assert rises == pytest.approx(100 * (evaluated(**_defaults())[1].relief_change > 0).mean(), abs=0.51)
    low, high, ratio = map(float, re.search(r"between ([\d.]+) and ([\d.]+) GPa, a ratio of (\d+\.\d+)", told(first.guess_band)).groups())
    assert ratio == pytest.approx(high / low, abs=0.02) and 1.4 < ratio < 1.8


def test_first_slider_counts_its_own_dots():
    live = first.first_slider()
    for boards in (1, 20, 200):
        live.set(boards=boards)
        inside, shown = map(int, re.search(r"(\d+) of these (\d+) dots", live.sentence).groups())
        low, high = map(float, re.search(r"from ([\d.]+) to ([\d.]+) GPa", live.sentence).groups())
        x = live.art.dots.get_xdata()
        assert shown == boards == len(x) and inside == pytest.approx(((x >= low) & (x <= high)).sum(), abs=2)
    wide = high - low
    live.set(measured=True)
    low, high = map(float, re.search(r"from ([\d.]+) to ([\d.]+) GPa", live.sentence).groups())
    assert high - low < wide / 3
