"""Predict first, then see; and questions that check themselves.

Right answers are computed when the lesson runs, never typed in. Everything works by keyboard, is announced to
screen readers, can be driven from code (`question.answer = …; question.check()`), and reads as plain text
where nothing runs.
"""

from __future__ import annotations

import base64
from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import partial
from html import escape
from typing import TYPE_CHECKING, Any

import ipywidgets

from tonewood import checks
from tonewood.panel import style, units
from tonewood.panel.boxes import button
from tonewood.panel.controls import Control
from tonewood.panel.record import Record, record

if TYPE_CHECKING:
    pass

Slips = Sequence[tuple[Callable[[], float], str]]
Right = Callable[[], "str | Mapping[str, bool]"]


class _Asked:
    """What predictions and questions share: the words, the answer entry, the button, the announced reply."""

    def __init__(self, question: str, entry: Any, words: str, action: Callable[[], Any]) -> None:
        self.question = str(question).strip()
        if not self.question:
            raise ValueError("question: nothing given; accepted: one sentence")
        self._button = button(words, partial(self._act, action))
        self._button.layout.align_self = "flex-start"
        self._reply, self._extra = (ipywidgets.HTML(layout={"width": "auto"}) for _ in range(2))
        self._reply.add_class("tonewood-sentence")
        asked = ipywidgets.HTML(f"<p class='tonewood-says'><strong>{escape(self.question)}</strong></p>")
        self.widget = ipywidgets.VBox([ipywidgets.HTML(style.sheet(), layout={"height": "0", "margin": "0"}),
                                       asked, entry, self._button, self._reply, self._extra])
        self.widget.add_class("tonewood-question")
        self.reply = ""

    def _act(self, action: Callable[[], Any]) -> None:
        try:
            action()
        except Exception as error:        # a button's error is otherwise seen by nobody
            self._tell(f"This did not work: {error or type(error).__name__}.")
            raise

    def _tell(self, words: str, right: bool | None = None) -> None:
        self.reply = words
        self._reply.value = style.says(words, right)

    def _static(self) -> tuple[str, str]:
        raise NotImplementedError

    def _repr_mimebundle_(self, include: Any = None, exclude: Any = None) -> dict[str, Any]:
        html, plain = self._static()
        return {**self.widget._repr_mimebundle_(), "text/html": html, "text/plain": plain}


def _choices(labels: list[str]) -> ipywidgets.RadioButtons:
    entry = ipywidgets.RadioButtons(options=labels, index=None, description="Your answer",
                                    layout={"width": "100%"}, style={"description_width": "initial"})
    entry.add_class("tonewood-radio")
    return entry


def _listed(labels: Iterable[str]) -> str:
    return "<ul>" + "".join(f"<li>{escape(o)}</li>" for o in labels) + "</ul>"


class Prediction(_Asked):
    """A guess the learner commits to before the figure appears. Made by `predict`."""

    def __init__(self, question: str, answers: Any, outcome: Callable[[Any], str] | None,
                 keep: Record) -> None:
        self.outcome, self._keep, self.committed, self.guess, self._gates = outcome, keep, False, None, []
        if isinstance(answers, Control):
            self.labels, self._entry = None, answers
            entry = ipywidgets.Box([answers.widget])                # its width must not become a height
        else:
            self.labels = [str(a) for a in answers]
            if len(self.labels) < 2 or len(set(self.labels)) < len(self.labels):
                raise ValueError(f"answers: {self.labels} given; accepted: at least two different ones, or a "
                                 f"slider")
            self._entry = entry = _choices(self.labels)
        super().__init__(question, entry, "This is my prediction", self.commit)

    @property
    def answer(self) -> Any:
        """What is marked or set now; None before anything is marked."""
        return self._entry.value

    @answer.setter
    def answer(self, value: Any) -> None:
        self._entry.value = value if self.labels is None else checks.choice("answer", value, self.labels)

    def commit(self) -> None:
        """Keep the present answer as the guess, record it, say the outcome, show what waits. A second commit
        changes nothing."""
        if self.committed:
            return
        if self.answer is None:
            self._tell("Mark one answer first. There is no penalty for a wrong guess; guessing is how the "
                       "surprise gets noticed.")
            return
        words = self.outcome(self.answer) if self.outcome else ""
        self.guess, self.committed = self.answer, True
        self._keep.add(self.question, self.guess, words)
        measured = isinstance(self.guess, float) and self._entry.unit in units.UNITS
        shown = units.text(self.guess, self._entry.unit, 2) if measured else str(self.guess)
        self._tell(f"Your prediction: {shown}. {words or 'Now look below.'}")
        self._button.disabled = True
        for gate in self._gates:
            gate.open()

    def then(self, figure: Any) -> Gate:
        """Show `figure` (a LiveFigure, or anything with `.widget`) in this place once the prediction is made.
        Returns a Gate; end the cell with it."""
        gate = Gate(self, figure)
        self._gates.append(gate)
        if self.committed:
            gate.open()
        return gate

    def _static(self) -> tuple[str, str]:
        choices, listed = (f" ({' / '.join(self.labels)})", _listed(self.labels)) if self.labels else ("", "")
        return (f"<p><strong>Predict first: {escape(self.question)}</strong></p>{listed}",
                f"[prediction: {self.question}{choices}]")


class Gate:
    """Keeps a figure out of sight until its prediction is made. Readers of the saved page find the picture
    folded."""

    def __init__(self, prediction: Prediction, figure: Any) -> None:
        self.figure, self.opened = figure, False
        waiting = style.says(f"First make your prediction: {prediction.question}")
        self.widget = ipywidgets.VBox([ipywidgets.HTML(waiting)])

    def open(self) -> None:
        """Show the figure, unless its cell has run again since."""
        if getattr(self.figure, "closed", False):
            return
        self.opened, self.widget.children = True, (self.figure.widget,)

    def _repr_mimebundle_(self, include: Any = None, exclude: Any = None) -> dict[str, Any]:
        alt = getattr(self.figure, "alt", "a figure")
        html = ""
        if hasattr(self.figure, "words"):
            words, data = escape(self.figure.words(), quote=True), base64.b64encode(self.figure.png).decode()
            html = (f"<details><summary>Make your prediction, then open this to see the picture</summary>"
                    f'<img alt="{words}" style="max-width:100%" '
                    f'src="data:image/png;base64,{data}"><p>{words}</p></details>')
        bundle = {**self.widget._repr_mimebundle_(),
                  "text/plain": f"[after your prediction, a figure: {alt}]"}
        return {**bundle, "text/html": html} if html else bundle


class Question(_Asked):
    """A question that checks itself. Made by `ask` or `ask_number`."""

    def __init__(self, question: str, entry: Any, hint: str, solution: str) -> None:
        if not str(hint).strip() or not str(solution).strip():
            raise ValueError("question: hint or solution missing; accepted: a sentence each")
        self.hint, self.solution, self.attempts, self.solved = str(hint), str(solution), 0, False
        super().__init__(question, entry, "Check my answer", self.check)

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
                             f"<p>{escape(self.solution)}</p></details>")
        return right

    def _folded(self) -> str:
        return "".join(f"<details><summary>{name}</summary><p>{escape(words)}</p></details>" for name,
                       words in (("Hint", self.hint), ("Solution", self.solution)))


class _Choice(Question):
    def __init__(self, question: str, answers: Mapping[str, str], right: Right, hint: str,
                 solution: str) -> None:
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
        super().__init__(question, self._entry, hint, solution)

    @property
    def answer(self) -> Any:
        return self._entry.value

    @answer.setter
    def answer(self, value: Any) -> None:
        self._entry.value = checks.choice("answer", value, self.answers)

    def _judge(self) -> tuple[bool, str]:
        if self.answer is None:
            raise ValueError("No answer is marked yet; mark one, then check")
        return self.answer == self.right, str(self.answers[self.answer])

    def _static(self) -> tuple[str, str]:
        return (f"<p><strong>{escape(self.question)}</strong></p>{_listed(self.answers)}{self._folded()}",
                f"[question: {self.question} ({' / '.join(self.answers)})]")


class _Number(Question):
    def __init__(self, question: str, right: Callable[[], float], unit: str, tolerance: float, slips: Slips,
                 hint: str, solution: str) -> None:
        self.unit, self.right = units.unit(unit), checks.number("right answer", right())
        self.tolerance = checks.number("tolerance", tolerance, 0, open_low=True)
        self.slips = [(checks.number("slip", value()), str(reason)) for value, reason in slips]
        for value, reason in self.slips:
            if self._near(value, self.right):
                raise ValueError(f"slip {reason!r}: its value {value:g} {unit} is within the tolerance of "
                                 f"the right answer; accepted: a wrong value")
        self._entry = ipywidgets.Text(description="Your answer" + (f" in {unit}" if unit else ""),
                                      style={"description_width": "initial"},
                                      layout={"width": "auto", "max_width": "340px"})
        counts = ipywidgets.HTML(style.says(self._counts()))
        super().__init__(question, ipywidgets.VBox([self._entry, counts]), hint, solution)

    @property
    def answer(self) -> Any:
        return self._entry.value

    @answer.setter
    def answer(self, value: Any) -> None:
        self._entry.value = str(value)

    def _counts(self) -> str:
        span = f"{self.tolerance:g}{'' if self.unit in ('', '°') else ' '}{self.unit}"
        return f"What is within {span} counts as right."

    def _near(self, value: float, target: float) -> bool:
        return abs(value - target) <= self.tolerance

    def _judge(self) -> tuple[bool, str]:
        value = units.read(self.answer, self.unit)
        if self._near(value, self.right):
            said, found = (units.text(v, self.unit, 3) for v in (value, self.right))
            return True, f"You said {said}; it is {found}. {self._counts()}"
        for wrong, reason in self.slips:
            if self._near(value, wrong):
                return False, reason
        return False, f"{units.text(value, self.unit, 3)} is too {'high' if value > self.right else 'low'}."

    def _static(self) -> tuple[str, str]:
        return (f"<p><strong>{escape(self.question)}</strong></p>{self._folded()}",
                f"[question: {self.question}]")


def predict(question: str, answers: Any, outcome: Callable[[Any], str] | None = None,
            keep: Record | None = None) -> Prediction:
    """Ask for a guess before anything is shown.

    answers: list of words to choose from, or a slider for a number; outcome: function(guess) -> sentence,
    called when the guess is committed, that computes and says what happens; keep: Record to write to (the
    session's own if None). Returns a Prediction; put `prediction.then(figure)` at the end of the next cell.
    Raises ValueError.
    """
    return Prediction(question, answers, outcome, record if keep is None else keep)


def lowest(scores: Mapping[str, float], margin: float = 0.05) -> dict[str, bool]:
    """Which answers have the lowest score, for `ask`: more than one where others come within `margin` of the
    whole range, so that a question whose answers cannot be told apart is refused.

    >>> lowest({"a": 1.0, "b": 3.0}), lowest({"a": 1.0, "b": 1.01, "c": 3.0})["b"]
    ({'a': True, 'b': False}, True)
    """
    least, most = min(scores.values()), max(scores.values())
    return {label: bool(score - least <= margin * (most - least)) for label, score in scores.items()}


def ask(question: str, answers: Mapping[str, str], right: Right, hint: str,
        solution: str) -> Question:
    """A question with answers to choose from.

    answers: {answer: reason}, the reason why it is right or what speaks against it; right: function -> the
    right answer's words, or {answer: does it hold} of which exactly one may, computed from the library; hint:
    shown with the first wrong answer; solution: folded, offered after the first try. Returns a Question.
    Raises ValueError.
    """
    return _Choice(question, answers, right, hint, solution)


def ask_number(question: str, right: Callable[[], float], unit: str, tolerance: float, hint: str,
               solution: str,
               slips: Slips = ()) -> Question:
    """A question whose answer is a number typed by the learner ("0.25", "3/8 in").

    right: function -> the number in `unit`, computed; tolerance: how far off still counts, in `unit`; slips:
    (function -> wrong number, reason) pairs for likely mistakes. Returns a Question. Raises ValueError.
    """
    return _Number(question, right, unit, tolerance, slips, hint, solution)
