"""What predictions and questions share: the words, the answer entry, the button, the announced reply, and how
many of a page's are done."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from html import escape
from math import isclose, log
from typing import Any
from weakref import WeakValueDictionary

import ipywidgets

from tonewood.panel import chosen, style
from tonewood.panel.boxes import button
from tonewood.panel.reruns import replace_older


class Page:
    """The predictions and questions of one page, and how many of them are done. One of the same words made
    again (its cell ran again) takes the place of the first."""

    def __init__(self) -> None:
        self._asked: WeakValueDictionary[str, Asked] = WeakValueDictionary()
        self._places: dict[str, int] = {}           # of each question, kept when its cell runs again

    def add(self, asked: Asked) -> None:
        """Count it in."""
        self._places.setdefault(asked.question, len(self._places))
        self._asked[asked.question] = asked
        self.show()

    def now_there(self) -> list[Asked]:
        """All on the page in the order they were first asked; what a cell that ran again has let go is not.
        """
        return sorted((each for each in list(self._asked.values()) if each.widget is not None),
                      key=lambda each: self._places[each.question])

    def find(self, question: str) -> Asked | None:
        """The one of these words, or None where it was not asked yet."""
        return next((each for each in self.now_there() if each.question == question), None)

    def words(self) -> str:
        """How many are done: "2 of 6 done on this page"."""
        all_of_them = self.now_there()
        return f"{sum(each.done for each in all_of_them)} of {len(all_of_them)} done on this page"

    def show(self) -> None:
        """Write it beside every question, and the place of each among those of its kind."""
        for each in self.now_there():
            each.progress.value = f"<p class='tonewood-progress'>{self.words()}</p>"
            each.placed([other for other in self.now_there() if type(other) is type(each)])


page = Page()          # one kernel runs one lesson


class Asked:
    """A question with an entry for the answer and a button; `.reply` is what was said last, `.done` whether
    it counts as done. Made by `predict`, `ask` and `ask_number`."""

    def __init__(self, question: str, entry: Any, words: str, action: Callable[[], Any],
                 on: Page | None = None) -> None:
        self.question = str(question).strip()
        if not self.question:
            raise ValueError("question: nothing given; accepted: one sentence")
        self._button = button(words, partial(self._act, action))
        self._button.layout.align_self = "flex-start"
        self._reply, self._extra, self.progress = (ipywidgets.HTML(layout={"width": "auto"})
                                                   for _ in range(3))
        self._reply.add_class("tonewood-sentence")
        self.widget = ipywidgets.VBox([ipywidgets.HTML(style.sheet(), layout={"height": "0", "margin": "0"}),
                                       self._heading(), entry, self._button, self._reply, self._extra,
                                       self.progress])
        self.widget.add_class("tonewood-question")
        self.reply, self.page = "", page if on is None else on
        replace_older(self)
        self.page.add(self)

    def _heading(self) -> ipywidgets.Widget:
        return ipywidgets.HTML(f"<p class='tonewood-says'><strong>{escape(chosen.said(self.question))}"
                               f"</strong></p>")

    def placed(self, among: list[Any]) -> None:
        """Told which of its kind are on the page, itself among them."""

    @property
    def answer(self) -> Any:
        """What is marked, set or typed now; None before anything is marked."""
        return self._entry.value

    @answer.setter
    def answer(self, value: Any) -> None:
        self._entry.value = self._accepted(value)

    def _accepted(self, value: Any) -> Any:
        raise NotImplementedError

    @property
    def done(self) -> bool:
        """Is the prediction made, or the question answered rightly?"""
        raise NotImplementedError

    def _act(self, action: Callable[[], Any]) -> None:
        try:
            action()
        except Exception as error:        # a button's error is otherwise seen by nobody
            self._tell(f"This did not work: {error or type(error).__name__}.")
            raise

    def _tell(self, words: str, right: bool | None = None, more: str = "") -> None:
        """Say the reply, `more` with it while the whole is in sight; for a screen reader also how many are
        done, which others see below."""
        self.reply = f"{words} {more}".strip()
        self._reply.value = (style.says(words, right, more)
                             + f"<span class='tonewood-spoken'>{self.page.words()}.</span>")
        self.page.show()

    def _static(self) -> tuple[str, str]:
        raise NotImplementedError

    def _repr_mimebundle_(self, include: Any = None, exclude: Any = None) -> dict[str, Any]:
        html, plain = self._static()
        return {**self.widget._repr_mimebundle_(), "text/html": html, "text/plain": plain}


def nearest(labels: dict[str, float], found: float) -> str:
    """The label whose number lies nearest to the one found, by ratio (all above 0), for `predict`. Raises
    ValueError where two lie about as near, so that nobody could say which is right.

    >>> nearest({"about 5 %": 5.0, "about 20 %": 20.0}, 17.0)
    'about 20 %'
    """
    off = {label: abs(log(number / found)) for label, number in labels.items()}
    first, second = sorted(off, key=off.__getitem__)[:2]
    if off[second] < 1.25 * off[first] or isclose(off[first], off[second]):
        raise ValueError(f"answers: {found:g} found, between {first!r} and {second!r}; accepted: a number "
                         "clearly nearer to one of them")
    return first


def lowest(scores: Mapping[str, float]) -> dict[str, bool]:
    """Which answers have the lowest score, for `ask`: more than one where others come within a twentieth of
    the whole range, so that a question whose answers cannot be told apart is refused.

    >>> lowest({"a": 1.0, "b": 3.0}), lowest({"a": 1.0, "b": 1.01, "c": 3.0})["b"]
    ({'a': True, 'b': False}, True)
    """
    least, most = min(scores.values()), max(scores.values())
    return {label: bool(score - least <= 0.05 * (most - least)) for label, score in scores.items()}
