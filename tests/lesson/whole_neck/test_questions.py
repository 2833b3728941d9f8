"""Predictions and questions of lesson 01, driven right and wrong; what they tell agrees with the model."""

import re

import numpy as np
import pytest

from tonewood.lesson.whole_neck import by_hand, questions
from tonewood.lesson.whole_neck.model import build, evaluated
from tonewood.neck.section.section import regions


@pytest.mark.parametrize("make, right", [(questions.answer_stiffness, "two deep carbon bars"),
                                         (questions.answer_origin, "seven stripes from seven trees")])
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
    """Independently derived: volume of the main stripes by the section's areas, times the difference in
    density."""
    question = questions.answer_weight()
    neck, lighter = build().neck(), build(main="mahogany").neck()
    parts = regions(neck)
    main = [i for i, piece in enumerate(parts.piece)
            if 0 <= piece < 7 and neck.pieces[piece].species.key == "hard_maple"]
    volume = np.trapezoid(parts.area[main].sum(0), parts.x)
    mass = 1e3 * volume * (neck.pieces[0].rho - lighter.pieces[0].rho)
    assert question.right == pytest.approx(mass, abs=question.tolerance / 3)
    question.answer = f"{mass:.0f}"
    assert question.check() is True
    for wrong in (mass / 2, 2 * mass, -mass):
        question.answer = f"{wrong:.0f}"
        assert question.check() is False
    question.answer = "heavy"
    assert question.check() is None


def told(make):
    guess = make()
    guess.commit()
    assert not guess.committed
    guess.answer = guess.labels[0]
    guess.commit()
    assert guess.committed
    return guess.reply


def test_predictions_wait_for_an_answer_then_tell_what_the_model_says():
    assert re.search(r"changes by 0\.0 %", told(questions.guess_quarter))
    assert re.search(r"changes by 0\.0 %", told(questions.guess_stripes))
    rises = float(re.search(r"rises in (\d+) of 100", told(questions.guess_season))[1])
    assert rises == pytest.approx(100 * (evaluated()[1].relief_change > 0).mean(), abs=0.51)


def test_relief_by_hand_is_pull_times_height_over_stiffness():
    pull, height, EI, hand, library = (value for _, value, *_ in by_hand.relief_by_hand())
    neck = build().neck()
    length = neck.end - float(neck.fret(1))
    assert hand == pytest.approx(pull * height * length**2 / (8 * EI))
    assert library == pytest.approx(hand, rel=0.05)                # "the two lie this close"
