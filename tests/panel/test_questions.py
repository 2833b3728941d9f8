"""Predictions and self-checking questions, driven as the learner drives them."""

import pytest

from tonewood.panel.asked import Page
from tonewood.panel.controls import slider
from tonewood.panel.live_figure import LiveFigure
from tonewood.panel.questions import ask, ask_number, nearest, predict

ANSWERS = {"stiffer": "Stiffness follows depth cubed.", "softer": "More wood cannot bend more easily.",
           "the same": "Depth counts three times over."}


def figure():
    return LiveFigure(lambda fig: fig.subplots().plot([0, 1]), lambda art, n: f"It is {n:g}.",
                      {"n": slider("N", 1, 0, 2, 1)}, inches=(2, 1), alt="A line")


def test_a_prediction_is_committed_before_the_figure_shows():
    def outcome(g):
        return f"Computed: stiffer by {1.1 ** 3 - 1:.0%}; {'as' if g == 'stiffer' else 'not as'} you said."

    guess = predict("Deeper: stiffer or softer?", list(ANSWERS), outcome)
    gate = guess.then(figure())
    assert not gate.opened and "First make your prediction" in gate.widget.children[0].value
    guess._button.click()
    assert not guess.committed and not gate.opened and guess.guess is None
    assert "Mark one answer first" in guess.reply
    guess._entry.value = "softer"
    guess._button.click()
    assert guess.committed and gate.opened and gate.widget.children == (gate.figure.widget,)
    assert guess.reply == "Your prediction: softer. Computed: stiffer by 33%; not as you said."
    guess.answer = "stiffer"
    guess.commit()
    assert guess.guess == "softer" and "softer" in guess.reply
    assert guess.then(figure()).opened


def test_a_prediction_by_slider():
    guess = predict("How much relief?", slider("My guess", 0.2, 0, 1, 0.05, "mm"))
    guess.answer = 0.4
    guess.commit()
    assert guess.guess == 0.4 and guess.reply == "Your prediction: 0.40 mm. Now look below."
    assert "✓" not in guess._reply.value


def test_a_prediction_is_told_right_or_wrong_once_the_answer_is_known():
    for said, right in (("softer", False), ("stiffer", True)):
        guess = predict("Deeper: stiffer or softer?", list(ANSWERS), lambda _: "Depth counts.",
                        right=lambda: max(ANSWERS, key=lambda label: label == "stiffer"))
        guess.answer = said
        guess.commit()
        told = "Right: you said “stiffer”." if right else "Not so: you said “softer”, it is “stiffer”."
        assert guess.reply == f"{told} Depth counts."
        assert ("tonewood-right" if right else "tonewood-wrong") in guess._reply.value
    for said, right in ((70.0, False), (50.0, True), (45.0, True)):
        guess = predict("How much?", slider("Left", 60, 0, 100, 5, "%"), right=lambda: 47.3,
                        within=5)
        guess.answer = said
        guess.commit()
        told = f"{'Right' if right else 'Not so'}: you said “{said:.0f} %”, it is “47 %”."
        assert guess.reply.startswith(told)
    with pytest.raises(ValueError, match="right answer"):
        guess = predict("Up?", ["up", "down"], right=lambda: "level")
        guess.answer = "up"
        guess.commit()


def test_an_answer_between_two_choices_is_refused():
    assert nearest({"a tenth": 0.1, "half": 0.5}, 0.4) == "half"
    with pytest.raises(ValueError, match="between"):
        nearest({"a tenth": 0.1, "half": 0.5}, 0.22)


def test_progress_counts_what_is_done_and_takes_a_cell_that_runs_again_once():
    page = Page()
    guess = predict("Up?", ["up", "down"], on=page)
    first, again = (ask("What?", ANSWERS, lambda: "stiffer", "h", "s", on=page) for _ in range(2))
    number = ask_number("How long?", lambda: 2.0, "s", 0.1, "h", "s", on=page)
    assert page.words() == "0 of 3 done on this page" and first.page is page
    guess.answer = "up"
    guess.commit()
    again.answer = "softer"
    again.check()
    assert page.words() == "1 of 3 done on this page"
    number.answer = "2 seconds"
    number.check()
    assert all("2 of 3 done" in each.progress.value for each in (guess, again, number))
    assert "2 of 3 done on this page." in number._reply.value and "2 of 3" not in number.reply


def test_a_relative_tolerance_follows_the_answer_and_a_slip_is_known_as_exactly():
    density = ask_number("Density?", lambda: 911.0, "kg/m³", 0.01, "h", "s", relative=True,
                         slips=[(lambda: 0.911, "That is in grams per cubic centimetre.")])
    assert density._counts() == "What is within 1 % (about 9 kg/m³) counts as right."
    for typed, right, words in (("904", True, "You said 904.0 kg/m³; it is 911.0 kg/m³."),
                                ("0,911 g/cm³", True, "911"), ("0.91", False, "grams"),
                                ("1", False, "too low"), ("0.5", False, "too low"),
                                ("1.5", False, "too low"), ("922", False, "too high")):
        density.answer = typed
        assert density.check() is right and words in density.reply, typed


def test_predictions_open_one_at_a_time_and_the_one_just_made_keeps_its_words_in_sight():
    on = Page()
    three = [predict(f"{n}?", ["up", "down"], lambda _: "So it is.", lambda: "up", on=on)
             for n in ("A", "B", "C")]
    assert [each._head.description for each in three] == ["1 of 3 · A?", "2 of 3 · B?", "3 of 3 · C?"]

    def opened():
        return [each.question[0] for each in three if "tonewood-open" in each.widget._dom_classes]

    assert opened() == ["A"]
    for answered, shown in ((0, ["A", "B"]), (1, ["B", "C"]), (2, ["C"])):
        three[answered].answer = "up"
        three[answered]._button.click()
        assert opened() == shown and "tonewood-answered" in three[answered].widget._dom_classes
    for pressed, shown in ((0, ["A"]), (0, []), (1, ["B"])):
        three[pressed]._head.click()
        assert opened() == shown
    assert "<span class='tonewood-more'>So it is.</span>" in three[0]._reply.value


def test_an_outcome_that_fails_is_seen_and_nothing_is_kept():
    guess = predict("Up?", ["up", "down"], lambda g: 1 / 0)
    guess.answer = "up"
    guess._button.click()
    assert "did not work: division by zero" in guess.reply and not guess.committed and guess.guess is None
    with pytest.raises(ZeroDivisionError):
        guess.commit()


def test_saved_pages_do_not_give_the_figure_away():
    guess = predict("Up?", ["up", "down"])
    shown = guess.then(figure())._repr_mimebundle_()
    assert "image/png" not in shown
    assert shown["text/html"].startswith("<details>") and 'alt="A line. It is 1."' in shown["text/html"]
    assert shown["text/plain"] == "[after your prediction, a figure: A line]"
    assert guess._repr_mimebundle_()["text/plain"] == "[prediction: Up? (up / down)]"


@pytest.mark.parametrize("answers", [["one"], ["same", "same"], []])
def test_prediction_refuses(answers):
    with pytest.raises(ValueError, match="at least two"):
        predict("Up?", answers)
    with pytest.raises(ValueError, match="question"):
        predict(" ", ["a", "b"])


def test_a_choice_is_judged_with_its_own_reason():
    q = ask("One tenth deeper: what happens?", ANSWERS, lambda: "stiffer" if 1.1 ** 3 > 1 else "softer",
            "Think of a ruler on edge.", "Depth enters cubed.")
    assert q.check() is None and "No answer is marked" in q.reply and q.attempts == 0 and q._extra.value == ""
    for wrong in ("softer", "the same"):
        q.answer = wrong
        assert q.check() is False
        assert q.reply == f"Not yet. {ANSWERS[wrong]} Hint: Think of a ruler on edge."
    assert "<details" in q._extra.value and "Depth enters cubed." in q._extra.value
    q._entry.value = "stiffer"
    q._button.click()
    assert q.solved and q.attempts == 3 and q.reply == f"Right. {ANSWERS['stiffer']}"


def test_the_right_choice_is_computed_not_typed():
    for computed in ("stiffer", "softer"):
        q = ask("What happens?", ANSWERS, lambda computed=computed: computed, "h", "s")
        q.answer = "stiffer"
        assert q.check() is (computed == "stiffer")
    with pytest.raises(ValueError, match="right answer"):
        ask("What happens?", ANSWERS, lambda: "heavier", "h", "s")


def test_a_choice_without_a_reason_is_refused():
    with pytest.raises(ValueError, match="each with a reason"):
        ask("What?", {"a": "because", "b": ""}, lambda: "a", "h", "s")
    with pytest.raises(ValueError, match="hint or solution"):
        ask("What?", ANSWERS, lambda: "stiffer", "", "s")
    with pytest.raises(ValueError, match="Did you mean 'stiffer'"):
        ask("What?", ANSWERS, lambda: "stiffer", "h", "s").answer = "stifer"


def test_a_number_is_judged_with_tolerance_and_slips():
    q = ask_number("How deep is three eighths of an inch?", lambda: 3 / 8 * 25.4, "mm", 0.05,
                   "One inch is 25.4 mm.", "3/8 x 25.4 = 9.525 mm",
                   [(lambda: 3 / 8, "That is in inches; millimetres are asked.")])
    for typed, right, words in [("9.5", True,
                                 "You said 9.500 mm; it is 9.525 mm. What is within 0.05 mm"),
                                ("3/8 in", True, "Right"),
                                ("9,57 mm", True, "Right"),
                                ("9.58", False, "You said 9.580 mm, which is too high."),
                                ("9.4", False, "too low"), ("0.375", False, "That is in inches")]:
        q.answer = typed
        assert q.check() is right, typed
        assert words in q.reply
        mark, edge = ("✓", "tonewood-right") if right else ("✗", "tonewood-wrong")
        assert mark in q._reply.value and edge in q._reply.value
    tries = q.attempts
    for typed in ("", "deep", "3 kg"):
        q.answer = typed
        assert q.check() is None
    assert q.attempts == tries


def test_a_slip_equal_to_the_answer_is_refused():
    with pytest.raises(ValueError, match="within the tolerance"):
        ask_number("How deep?", lambda: 1, "mm", 0.1, "h", "s", [(lambda: 1.05, "r")])


def test_words_are_escaped_everywhere():
    q = ask("<b>Q</b>?", {"<i>": "<u>", "b": "c"}, lambda: "b", "<h>", "<s>")
    q.answer = "<i>"
    q.check()
    static = q._repr_mimebundle_()["text/html"]
    for text in (static, q._reply.value, q._extra.value, q.widget.children[1].value):
        assert not any(tag in text for tag in ("<b>", "<i>", "<u>", "<h>", "<s>"))
    assert "&lt;h&gt;" in static and "<summary>Solution</summary>" in static
