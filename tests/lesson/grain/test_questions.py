"""The number by hand, predictions and questions of the grain lesson, driven right and wrong."""

import re

import numpy as np
import pytest

from tonewood.lesson.grain import questions
from tonewood.lesson.grain.by_hand import run_out_by_hand


def test_by_hand_and_library_agree():
    angle, stretch, shear, squeeze, hand, library, short = (value for _, value, *_ in run_out_by_hand())
    assert angle == pytest.approx(3.814, abs=1e-3)
    assert hand == pytest.approx(1 / (stretch + shear + squeeze)) == pytest.approx(library, rel=1e-9)
    assert shear > 50 * squeeze                        # "nearly all of the loss is sliding"
    assert abs(short - library) < 0.005


@pytest.mark.parametrize(("make", "right"),
                         [(questions.guess_run_out, "about 4 %"), (questions.guess_turn, "movement in width"),
                                             (questions.guess_rift, "less than either of the others")])
def test_predictions_tell_the_computed_outcome(make, right):
    for label in make().labels:
        guess = make()
        guess.answer = label
        guess.commit()
        assert guess.committed and guess.outcome(label) in guess.reply and "Computed" in guess.reply
    assert right in make().labels
    n = [float(v) for v in re.findall(r"\d+\.\d+", make().outcome(None))]
    if make is questions.guess_run_out:
        assert abs(np.mean(n) - 4) < 1
    elif make is questions.guess_turn:
        assert n[0] == 0.0 and n[2] < 0.6 * n[1]
    else:
        assert n[1] < min(n[0], n[2])


def test_choice_right_and_wrong():
    for label in questions.answer_dive().answers:
        question = questions.answer_dive()
        question.answer = label
        assert question.check() is (label == question.right) and question.answers[label] in question.reply
    assert question.right == "the quarter-sawn blank"
    assert questions.answer_dive().check() is None


@pytest.mark.parametrize("make", [questions.answer_angle, questions.answer_width])
def test_numbers_right_wrong_and_slips(make):
    question = make()
    question.answer = f"{question.right:.3f}"
    assert question.check() is True
    for value, reason in question.slips:
        question.answer = repr(float(value))
        assert question.check() is False and reason in question.reply
    question.answer = "a lot"
    assert question.check() is None
