"""Two necks side by side for a client: what is different, what is not, how they sound, and a page to take
home."""

from __future__ import annotations

from typing import Any

import ipywidgets

from tonewood.lesson.client_talk.model import Answer, answer, defaults, other
from tonewood.lesson.shared.clients import client
from tonewood.lesson.shared.listening import BlindListening, Players
from tonewood.lesson.shared.sheets.client_sheet import Words
from tonewood.lesson.shared.sheets.take_home import compared, sounds, take_home_button
from tonewood.neck.design import Design
from tonewood.panel import boxes, style
from tonewood.panel.live_figure import LiveFigure
from tonewood.panel.reckoning import LOOK
from tonewood.panel.reruns import replace_older

TRIALS = 12
TOUCH = """<style>.tonewood-touch :is(select, .widget-button, input[type=text]) {min-height:44px;
 font-size:1rem} .tonewood-touch .widget-dropdown {height:auto}</style>"""
"""Look of what a finger presses, for what carries the class tonewood-touch."""


class TwoNecks:
    """The neck on show and one at the other end of the scale of feel. `.designs()`, `.differences()`,
    `.listen()`, `.guess()`, `.widget`."""

    def __init__(self, live: LiveFigure | None = None, who: str = "harbour") -> None:
        self._live, self._who = live, who
        self.said, self.told = (ipywidgets.HTML(layout={"width": "auto"}) for _ in range(2))
        self.told.add_class("tonewood-reckoned")
        self._heard, self._home = ipywidgets.VBox(), ipywidgets.VBox()
        self.widget = boxes.panel([], boxes.buttons(
            What_is_different=self.differences, Listen_to_both=self.listen, Hear_them_blind=self.guess,
            To_take_home=self.home), self.said, self.told, self._heard, self._home, explain=False)
        self.widget.add_class("tonewood-touch")
        self.said.value = TOUCH + style.says("The neck chosen above, and one that feels the other way. "
                                             "Press a "
                                     "button; each takes a few seconds.")
        replace_older(self)

    def _values(self) -> dict[str, Any]:
        return self._live.values if self._live is not None else defaults(self._who)

    def answers(self) -> tuple[Answer, Answer]:
        """The two Answers."""
        v = self._values()
        return answer(**v), answer(**{**v, "feel": other(v["feel"])})

    def designs(self) -> dict[str, Design]:
        """The two designs by plain names."""
        one, two = (a.design for a in self.answers())
        v = self._values()
        return {f"the first neck ({v['feel']})": one,
                f"the second neck ({other(v['feel'])})": two}

    def differences(self) -> None:
        """Say what tells the two apart beyond the luck of the boards."""
        self.told.value = LOOK + compared(self.designs())
        self._on_top(self.told)

    def _on_top(self, part: ipywidgets.Widget) -> None:
        """What was asked for last stands right below the buttons."""
        *head, _, _, _ = self.widget.children
        parts = (self.told, self._heard, self._home)
        self.widget.children = (*head, part, *(other for other in parts if other is not part))

    def _rendering(self) -> tuple[Any, list[str]]:
        designs = self.designs()
        return sounds(designs), list(designs)

    def listen(self) -> None:
        """Put both into players."""
        heard, names = self._rendering()
        self._heard.children = (Players(heard, f"Three notes on {names[0]} and {names[1]}").widget,)
        self._on_top(self._heard)

    def guess(self) -> None:
        """A blind test between the two; nothing is kept."""
        heard, names = self._rendering()
        self._heard.children = (BlindListening(heard, *names, trials=TRIALS).widget,)
        self._on_top(self._heard)

    def home(self) -> None:
        """Offer the page to take home."""
        one = client(self._values()["who"])
        self._home.children = (take_home_button(self.designs(), Words(client=one.brief.client,
                                                                      why=one.brief.words)).widget,)
        self._on_top(self._home)

    def _repr_mimebundle_(self, include: Any = None, exclude: Any = None) -> dict[str, Any]:
        return {**self.widget._repr_mimebundle_(), "text/plain": "[two necks side by side]"}


def two_necks(live: LiveFigure | None = None) -> TwoNecks:
    """Two necks side by side; last line of a cell."""
    return TwoNecks(live)
