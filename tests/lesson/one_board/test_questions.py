"""Predictions and questions about one board, driven right and wrong."""

import re

import pytest

from tonewood.lesson.one_board import questions


@pytest.mark.parametrize(("make", "right"),
                         [(questions.guess_weigh, "about four fifths"),
                          (questions.guess_bend, "about a fifth"), (questions.guess_books, "25 %")])
def test_predictions_tell_the_computed_outcome(make, right):
    said = set()
    for label in make().labels:
        guess = make()
        guess.answer = label
        guess.commit()
        said.add(guess.outcome(label))
        assert guess.committed and "Computed" in guess.reply
    assert len(said) == 1
    number = float(re.search(r"(\d+) %", said.pop())[1])
    nearest = {"about four fifths": 80, "about half": 50, "about a tenth": 10, "about a fifth": 20,
               "nearly all of it": 95, "2 %": 2, "10 %": 10, "25 %": 25}
    assert min(make().labels, key=lambda label: abs(nearest[label] - number)) == right


@pytest.mark.parametrize("make", [questions.answer_narrow, questions.answer_error])
def test_choices_right_and_wrong(make):
    for label in make().answers:
        question = make()
        question.answer = label
        assert question.check() is (label == question.right)
        assert question.answers[label] in question.reply
    question = make()
    assert question.check() is None and "No answer" in question.reply


@pytest.mark.parametrize("make", [questions.answer_outside])
def test_numbers_right_wrong_and_slips(make):
    question = make()
    question.answer = f"{question.right:.2f}"
    assert question.check() is True
    for value, reason in question.slips:
        question.answer = repr(float(value))
        assert question.check() is False and reason in question.reply
    question.answer = "twelve"
    assert question.check() is None
    question.answer = f"{10 * question.right}"
    assert question.check() is False and "too high" in question.reply
