"""Predict first, then see; and questions that check themselves.

Right answers are computed when the lesson runs, never typed in. Everything works by keyboard, is announced to
screen readers, can be driven from code (`question.answer = …; question.check()`), and reads as plain text
where nothing runs.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from html import escape
from math import floor, isclose, log10
from typing import Any

import ipywidgets

from tonewood import checks
from tonewood.draws import written
from tonewood.panel import chosen, style, units
from tonewood.panel.asked import Asked, Page, lowest, nearest, page
from tonewood.panel.boxes import button
from tonewood.panel.controls import Control, Slider
from tonewood.panel.gate import Gate

__all__ = ["Prediction", "Question", "ask", "ask_number", "lowest", "nearest", "predict"]

Slips = Sequence[tuple[Callable[[], float], str]]
Right = Callable[[], "str | Mapping[str, bool]"]


def _choices(labels: list[str]) -> ipywidgets.RadioButtons:
    entry = ipywidgets.RadioButtons(options=[(chosen.said(label), label) for label in labels], index=None,
                                    description="Your answer", layout={"width": "100%"},
                                    style={"description_width": "initial"})
    entry.add_class("tonewood-radio")
    return entry


def _listed(labels: Iterable[str] | None) -> tuple[str, str]:
    """Answers to choose from, as mark-up and as words; nothing where there are none."""
    if not labels:
        return "", ""
    listed = "".join(f"<li>{escape(chosen.said(label))}</li>" for label in labels)
    return f"<ul>{listed}</ul>", f" ({' / '.join(labels)})"


class Prediction(Asked):
    """A guess the learner commits to before the figure appears. Made by `predict`. Of those on a page one is
    open at a time: the next opens when one is made, any of them by its heading, a button."""

    def __init__(self, question: str, answers: Any, outcome: Callable[[Any], str] | None,
                 right: Callable[[], Any] | None, within: float, on: Page | None) -> None:
        self.outcome, self.committed, self.guess = outcome, False, None
        # what waits for this question goes on waiting when its cell runs again
        self._gates = list(getattr((page if on is None else on).find(question.strip()), "_gates", ()))
        self.right, self.within = right, within
        if isinstance(answers, Control):
            self.labels, self._entry = None, answers
            entry = ipywidgets.Box([answers.widget])                # its width must not become a height
        else:
            self.labels = [str(a) for a in answers]
            if len(self.labels) < 2 or len(set(self.labels)) < len(self.labels):
                raise ValueError(f"answers: {self.labels} given; accepted: at least two different ones, or a "
                                 f"slider")
            self._entry = entry = _choices(self.labels)
        entry.add_class("tonewood-entry")
        self.opened, self._head = False, button("", self._turn)
        self._head.add_class("tonewood-head")
        super().__init__(question, entry, "This is my prediction", self.commit, on)
        self.widget.add_class("tonewood-guess")
        self.progress.add_class("tonewood-progress-line")

    def _heading(self) -> ipywidgets.Widget:
        return self._head

    def _show(self, opened: bool) -> None:
        self.opened = opened
        (self.widget.add_class if opened else self.widget.remove_class)("tonewood-open")

    def _turn(self, opened: bool | None = None) -> None:
        """Open it and fold the others, or fold it."""
        opened = not self.opened if opened is None else opened
        for each in self.page.now_there():
            if isinstance(each, Prediction):
                each._show(opened and each is self)

    def placed(self, among: list[Any]) -> None:
        """Write its place into the heading; the first that waits for an answer is open."""
        self._head.description = f"{among.index(self) + 1} of {len(among)} · {chosen.said(self.question)}"
        waiting = [each for each in among if not each.committed]
        if waiting and not any(each.opened for each in among):
            waiting[0]._show(True)

    def _accepted(self, value: Any) -> Any:
        return value if self.labels is None else checks.choice("answer", value, self.labels)

    def commit(self) -> None:
        """Keep the present answer as the guess, say the outcome, show what waits. A second commit changes
        nothing."""
        if self.committed:
            return
        if self.answer is None:
            self._tell("Mark one answer first. There is no penalty for a wrong guess; guessing is how the "
                       "surprise gets noticed.")
            return
        words = self.outcome(self.answer) if self.outcome else ""
        self.guess, self.committed = self.answer, True
        self._turn(True)
        self.widget.add_class("tonewood-answered")
        self._settle(self._found(), words or "Now look below.")
        self._button.disabled = True
        for gate in self._gates:
            gate.open()
        # its own words stay in sight; the keyboard goes on at the next one
        after = [each for each in self.page.now_there() if isinstance(each, Prediction) and not each.done]
        for each in after[:1]:
            each._show(True)
        (after or [self])[0]._head.focus()

    def _settle(self, found: Any, words: str) -> str:
        right, told = None, f"Your prediction: {self._shown(self.guess)}."
        if found is not None:
            right = found == self.guess if self.labels else abs(found - self.guess) <= self.within
            exact = self.labels is not None and right
            told = (f"{'Right' if right else 'Not so'}: you said “{self._shown(self.guess)}”"
                    f"{'' if exact else f', it is “{self._shown(found)}”'}.")
        self._tell(told, right, words)
        return told

    def settle(self, found: Any) -> str:
        """Say who was right now that only the learner's own doing has shown what is found (a number or a
        label); returns that sentence, "" where no prediction was made."""
        return self._settle(found, "") if self.committed else ""

    @property
    def done(self) -> bool:
        """Is the prediction made?"""
        return self.committed

    def _found(self) -> Any:
        """The right answer, computed now; None where nobody can tell yet."""
        found = self.right() if self.right else None
        return found if self.labels is None or found is None else checks.choice("right answer", found,
                                                                                self.labels)

    def _shown(self, answer: Any) -> str:
        """An answer in words: a number with the decimals of the slider's step and its unit."""
        if not isinstance(self._entry, Slider):
            return str(answer)
        step, unit = self._entry.step, self._entry.unit
        number = written(answer, next(d for d in range(7) if isclose(step, round(step, d), rel_tol=1e-6)))
        return f"{number}{'' if unit == '°' else ' '}{unit}".strip()

    def then(self, figure: Any) -> Gate:
        """Show `figure` (a LiveFigure, or anything with `.widget`) in this place once the prediction is made.
        Returns a Gate; end the cell with it."""
        gate = Gate(self.question, figure)
        self._gates = [*(waits for waits in self._gates if waits.figure is not None), gate]
        if self.committed:
            gate.open()
        return gate

    def _static(self) -> tuple[str, str]:
        listed, choices = _listed(self.labels)
        return (f"<p><strong>Predict first: {escape(chosen.said(self.question))}</strong></p>{listed}",
                chosen.said(f"[prediction: {self.question}{choices}]"))


class Question(Asked):
    """A question that checks itself. Made by `ask` or `ask_number`. answers: those to choose from, if any."""

    answers: Mapping[str, str] = {}

    def __init__(self, question: str, entry: Any, hint: str, solution: str, on: Page | None) -> None:
        if not str(hint).strip() or not str(solution).strip():
            raise ValueError("question: hint or solution missing; accepted: a sentence each")
        self.hint, self.solution, self.attempts, self.solved = str(hint), str(solution), 0, False
        super().__init__(question, entry, "Check my answer", self.check, on)

    @property
    def done(self) -> bool:
        """Was it answered rightly once?"""
        return self.solved

    def check(self) -> bool | None:
        """Judge the present answer; True, False, or None when there was nothing to judge. Says why, gives the
        hint, then unfolds a solution."""
        try:
            right, words = self._judge()
        except ValueError as error:
            self._tell(f"{error}.")
            return None
        self.attempts, self.solved = self.attempts + 1, self.solved or right
        self._tell(f"Right. {words}".strip() if right else f"Not yet. {words} Hint: {self.hint}", right)
        self._extra.value = ("<details class='tonewood-means'><summary>Solution</summary>"
                             f"<p>{escape(chosen.said(self.solution))}</p></details>")
        return right

    def _static(self) -> tuple[str, str]:
        folded = "".join(f"<details><summary>{name}</summary><p>{escape(chosen.said(words))}</p></details>"
                         for name, words in (("Hint", self.hint), ("Solution", self.solution)))
        listed, choices = _listed(self.answers)
        return (f"<p><strong>{escape(chosen.said(self.question))}</strong></p>{listed}{folded}",
                chosen.said(f"[question: {self.question}{choices}]"))


class _Choice(Question):
    def __init__(self, question: str, answers: Mapping[str, str], right: Right, hint: str,
                 solution: str, on: Page | None) -> None:
        self.answers = {str(label): reason for label, reason in answers.items()}
        found = right()
        holds = dict(found) if isinstance(found, Mapping) else {found: True}
        if sum(holds.values()) != 1:
            raise ValueError(f"right answers: {[label for label, good in holds.items() if good]} given; "
                             "accepted: exactly one")
        self.right = checks.choice("right answer", next(k for k, good in holds.items() if good), self.answers)
        silent = [label for label, reason in self.answers.items() if not str(reason or "").strip()]
        if len(self.answers) < 2 or silent:
            raise ValueError(f"answers: {silent or list(self.answers)} given; accepted: at least two "
                             f"answers, each with a reason why it is right or wrong")
        self._entry = _choices(list(self.answers))
        super().__init__(question, self._entry, hint, solution, on)

    def _accepted(self, value: Any) -> Any:
        return checks.choice("answer", value, self.answers)

    def _judge(self) -> tuple[bool, str]:
        if self.answer is None:
            raise ValueError("No answer is marked yet; mark one, then check")
        return self.answer == self.right, str(self.answers[self.answer])


class _Number(Question):
    def __init__(self, question: str, right: Callable[[], float], unit: str, tolerance: float, slips: Slips,
                 hint: str, solution: str, relative: bool, on: Page | None) -> None:
        self.unit, self.right = units.unit(unit), checks.number("right answer", right())
        self._asked_in = units.in_system(self.unit, chosen.now())                   # what a bare number is in
        share = checks.number("tolerance", tolerance, 0, open_low=True)
        self.share = share if relative else None
        self.tolerance = share * abs(self.right) if relative else share
        self.slips = [(checks.number("slip", value()), str(reason)) for value, reason in slips]
        for value, reason in self.slips:
            if abs(value - self.right) <= self.tolerance:
                raise ValueError(f"slip {reason!r}: its value {value:g} {unit} is within the tolerance of "
                                 f"the right answer; accepted: a wrong value")
        self._entry = ipywidgets.Text(description="Your answer" + (f" in {self._asked_in}" if unit else ""),
                                      style={"description_width": "initial"},
                                      layout={"width": "auto", "max_width": "340px"})
        counts = ipywidgets.HTML(style.says(self._counts()))
        super().__init__(question, ipywidgets.VBox([self._entry, counts]), hint, solution, on)

    def _accepted(self, value: Any) -> Any:
        return str(value)

    def _written(self, value: float) -> str:
        """A number one digit finer than the tolerance, with its unit."""
        return units.text(value, self.unit, max(0, 1 - floor(log10(self.tolerance))))

    def _counts(self) -> str:
        unit = f"{'' if self.unit in ('', '°') else ' '}{self.unit}"
        span = (f"{self.tolerance:g}{unit}" if self.share is None else
                f"{100 * self.share:g} % (about {float(f'{self.tolerance:.1g}'):g}{unit})")
        return f"What is within {span} counts as right."

    def _judge(self) -> tuple[bool, str]:
        value = units.convert(units.read(self.answer, self._asked_in), self._asked_in, self.unit)
        if abs(value - self.right) <= self.tolerance:
            return True, (f"You said {self._written(value)}; it is {self._written(self.right)}. "
                          f"{self._counts()}")
        for wrong, reason in self.slips:       # a slip a thousand times too small is known as exactly
            if abs(value - wrong) <= self.tolerance * min(1.0, abs(wrong / self.right)):
                return False, reason
        return False, (f"You said {self._written(value)}, which is too "
                       f"{'high' if value > self.right else 'low'}.")


def predict(question: str, answers: Any, outcome: Callable[[Any], str] | None = None,
            right: Callable[[], Any] | None = None, within: float = 0.0, on: Page | None = None
            ) -> Prediction:
    """Ask for a guess before anything is shown.

    answers: list of words to choose from, or a slider for a number; outcome: function(guess) -> sentence,
    called when the guess is committed, that computes and says what happens; right: function -> the right one
    of the answers, computed when the guess is committed (None where only the learner can find out); within:
    how far a slider's number may lie off it; on: the page on which it is counted (None: the session's own).
    Returns a Prediction; put `prediction.then(figure)` at the end of the next cell. Raises ValueError.
    """
    return Prediction(question, answers, outcome, right, within, on)


def ask(question: str, answers: Mapping[str, str], right: Right, hint: str, solution: str,
        on: Page | None = None) -> Question:
    """A question with answers to choose from.

    answers: {answer: reason}, the reason why it is right or what speaks against it; right: function -> the
    right answer's words, or {answer: does it hold} of which exactly one may, computed from the library; hint:
    shown with the first wrong answer; solution: folded, offered after the first try. Returns a Question.
    Raises ValueError.
    """
    return _Choice(question, answers, right, hint, solution, on)


def ask_number(question: str, right: Callable[[], float], unit: str, tolerance: float, hint: str,
               solution: str, slips: Slips = (), relative: bool = False, on: Page | None = None) -> Question:
    """A question whose answer is a number typed by the learner ("0.25", "3/8 in").

    right: function -> the number in `unit`, computed; tolerance: how far off still counts, in `unit`, or as a
    share of the right number if `relative` (where its size is not fixed); slips: (function -> wrong number,
    reason) pairs for likely mistakes. Returns a Question. Raises ValueError.
    """
    return _Number(question, right, unit, tolerance, slips, hint, solution, relative, on)
