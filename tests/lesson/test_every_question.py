"""Every question with choices: of its answers exactly one is right, as computed, and it alone is taken."""

import importlib
import inspect
import pkgutil
import re

import pytest

import tonewood.lesson
from tonewood.panel.questions import Question, ask, lowest

LESSONS = [name for _, name, is_package in pkgutil.iter_modules(tonewood.lesson.__path__) if is_package]


def made(kind):
    """(lesson, function) of everything public that a questions module makes and that is of that kind."""
    for lesson in LESSONS:
        try:
            module = importlib.import_module(f"tonewood.lesson.{lesson}.questions")
        except ModuleNotFoundError:
            continue
        for name, make in inspect.getmembers(module, inspect.isfunction):
            own = make.__module__ == module.__name__ and not name.startswith("_")
            if own and make.__annotations__.get("return") == kind:
                yield pytest.param(make, id=f"{lesson}.{name}")


@pytest.mark.parametrize("make", list(made("Question")))
def test_exactly_one_answer_is_right(make):
    question = make()
    assert re.search(r"\d", question.solution), "a solution ends in a number"
    if not question.answers:
        question.answer = f"{question.right:.6g}"
        assert question.check() is True
        return
    taken = []
    for label in question.answers:
        question.answer = label
        taken += [label] * bool(question.check())
        assert question.answers[label] in question.reply
    assert taken == [question.right]


@pytest.mark.parametrize("make", list(made("Prediction")))
def test_a_prediction_says_who_was_right(make):
    """But for the learner's own score in a blind test, which nobody knows yet."""
    prediction = make()
    if make.__name__ == "guess_score":
        assert prediction.right is None and prediction.settle(9) == ""
        prediction.answer = 12.0
        prediction.commit()
        assert "you said" not in prediction.reply
        assert prediction.settle(9.0) == "Not so: you said “12”, it is “9”." == prediction.reply
        assert prediction.settle(11.0).startswith("Right: you said “12”, it is “11”")
    elif prediction.labels is None:
        assert prediction.within > 0 and prediction._entry.low < prediction.right() < prediction._entry.high
    else:
        assert prediction.right() in prediction.labels


def test_questions_were_found():
    assert len(list(made("Question"))) >= 20


def test_two_right_answers_are_refused():
    answers = {"a": "why", "b": "why", "c": "why"}
    with pytest.raises(ValueError, match="exactly one"):
        ask("Which?", answers, lambda: {"a": True, "b": True, "c": False}, "hint", "solution")
    with pytest.raises(ValueError, match="exactly one"):
        ask("Which?", answers, lambda: {"a": False}, "hint", "solution")
    with pytest.raises(ValueError, match="exactly one"):
        ask("Which is least?", answers, lambda: lowest({"a": 1.0, "b": 1.001, "c": 2.0}), "hint", "solution")
    asked = ask("Which?", answers, lambda: lowest({"a": 1.0, "b": 0.1, "c": 2.0}), "hint", "solution")
    assert isinstance(asked, Question) and asked.right == "b"
