"""The one factory for what a learner sets: sliders with a number box, choices and switches.

Every control has a visible label and unit, a start value, a range with a reason, and works from code as from
the keyboard: `control.value = 30` behaves as if the learner had done it, and raises ValueError when the value
is out of range. One that would change nothing as things stand is greyed and says why (`control.unless`).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from html import escape
from math import ceil, floor, isclose
from typing import Any as Anything

import ipywidgets
from traitlets import HasTraits, TraitType, dlink, validate

from tonewood import checks
from tonewood.panel import chosen, search, style, units
from tonewood.panel.boxes import cell


class Control(HasTraits):
    """What all controls share: `.name` (the label), `.value`, `.default`, `.low`, `.high`, `.unit`, `.why`,
    `.widget`, `.observe(…)`, `.reset()`, `.unless(…)`."""

    value = TraitType()         # whatever `accepted` admits; unlike Any it does not let None past that
    low = high = None
    unit = resting = ""
    waits: Callable[[dict[str, Anything]], str] | None = None

    @validate("value")
    def _checked(self, proposal: dict[str, Anything]) -> Anything:
        return self.accepted(proposal["value"])

    def accepted(self, value: Anything) -> Anything:
        """The value as it will be kept. Raises ValueError."""
        raise NotImplementedError

    def reset(self) -> None:
        """Go back to the start value."""
        self.value = self.default

    def meaning(self) -> str:
        """The accepted range and the reason for it, one plain sentence."""
        return chosen.said(self.why)

    def unless(self, waits: Callable[[dict[str, Anything]], str]) -> Control:
        """Grey this control out whenever waits({name: value} of the figure's controls) gives a reason why
        moving it would change nothing; "" if it would. The figure asks at each redraw. Returns the
        control."""
        self.waits, self._reason = waits, ipywidgets.HTML(layout={"flex": "1 1 100%", "margin": "0"})
        self._reason.add_class("tonewood-note")
        self.widget.children = (*self.widget.children, self._reason)
        return self

    def ask(self, values: dict[str, Anything]) -> None:
        """Grey out or wake up as these values of the figure have it."""
        reason = self.waits(values) if self.waits else ""
        if reason != self.resting:
            self.resting, self._reason.value = reason, style.says(reason) if reason else ""
            for part in self._parts:
                part.disabled = bool(reason)

    def _repr_mimebundle_(self, include: Anything = None, exclude: Anything = None) -> dict[str, Anything]:
        return {**self.widget._repr_mimebundle_(),
                "text/plain": f"[{self.name}: {self.value} {self.unit}]".replace(" ]", "]")}


class Slider(Control):
    """A slider with a number box. The box takes and shows the exact number, the handle stands at the step
    nearest to it. Made by `slider`."""

    def __init__(self, label: str, value: float, low: float, high: float, step: float, unit: str = "",
                 why: str = "", continuous: bool = True) -> None:
        super().__init__()
        self.name, self.unit, self.why = str(label), unit, why
        self.low = checks.number(f"{label}: low end", low)
        self.high = checks.number(f"{label}: high end", high, self.low, open_low=True)
        self.step = checks.number(f"{label}: step", step, 0, self.high - self.low, unit, open_low=True)
        count = (self.high - self.low) / self.step
        if not isclose(count, round(count), abs_tol=1e-6):
            raise ValueError(f"{label}: step {step:g} given; accepted: a step that divides the range {low:g} "
                             f"to {high:g} {unit} evenly")
        self._counts = not unit and self.step == 1 and self.low == int(self.low)
        self.default = self.accepted(value)
        self._factor, self._shown_unit, self._busy = 1.0, unit, False
        self._track = ipywidgets.FloatSlider(description=self.name, readout=False,
                                             continuous_update=continuous,
                                             style={"description_width": "100%"},
                                             layout={"flex": "1 1 120px", "flex_flow": "row wrap",
                                                     "width": "auto", "min_width": "110px"})
        # a text, since the browser's own number field drops a comma or a point, as its language has it
        self._box = ipywidgets.Text(continuous_update=False, layout={"flex": "0 0 auto", "width": "68px"},
                                    style={"description_width": "initial"})
        self._unit = ipywidgets.HTML(layout={"flex": "0 0 auto", "width": "auto",
                                             "margin": "2px 2px 2px 2px"})
        self._note = ipywidgets.HTML(layout={"flex": "1 1 100%", "width": "auto", "margin": "0"})
        self._box.add_class("tonewood-number")
        self._unit.add_class("tonewood-unit")
        self._note.add_class("tonewood-note")
        line = ipywidgets.Box([self._track, self._box, self._unit], layout={"display": "flex",
                                                                            "flex": "1 1 100%",
                                                                            "align_items": "flex-end",
                                                                            "overflow": "visible"})
        self.widget = cell("tonewood-slider", [line, self._note])
        self._scale(unit, 1.0, self.step)
        self.value = self.default
        self._show()
        self.observe(self._show, names="value")
        self._track.observe(self._slid, names="value")
        self._box.observe(self._typed, names="value")
        self._box.on_msg(lambda *_: setattr(self._note, "value", ""))       # Enter; a refusal comes after it
        self._parts = self._track, self._box
        chosen.follow(self)
        self.in_units()

    def in_units(self) -> None:
        """Display in the units chosen now; `.value` stays in the first unit."""
        if self.unit in units.UNITS:
            shown = units.in_system(self.unit, chosen.now())
            if shown != self._shown_unit:
                factor = units.convert(1.0, self.unit, shown)
                self.show_in(shown, factor, self.step if shown == self.unit
                             else units.nice_step(self.step * factor))

    def accepted(self, value: Anything) -> float:
        """The number within the ends; a whole one where the slider counts. Raises ValueError."""
        found = checks.number(self.name, value, self.low, self.high, self.unit)
        if not isinstance(found, float):
            raise ValueError(f"{self.name}: {value!r} given; accepted: one number")
        if self._counts:
            checks.whole(self.name, found, int(self.low), int(self.high))
        return found + 0.0                                                           # no -0

    @property
    def shown(self) -> float:
        """The value in the unit now displayed (equal to `.value` unless `show_in` changed it)."""
        return round(self.value * self._factor, 9)

    def _nearest(self) -> float:
        """Where the handle stands: the page would round to a step anyway, and send that back."""
        track = self._track
        steps = round((self.shown - track.min) / track.step)
        return min(self.shown if self.value == self.high else track.min + steps * track.step, track.max)

    def meaning(self) -> str:
        """The accepted range in the displayed unit and the reason for it."""
        low, high = (f"{self._factor * end:.{6 if self._shown_unit == self.unit else 3}g}"
                     for end in (self.low, self.high))
        return (f"{low} to {high} {self._shown_unit}".rstrip()
                + (f": {chosen.said(self.why)}" if self.why else ""))

    def show_in(self, unit: str, factor: float, step: float) -> None:
        """Display in another unit: shown = value * factor, moved by `step` of that unit. `.value` itself
        stays in the first unit."""
        self._scale(unit, checks.number(f"{self.name}: factor", factor, 0, open_low=True),
                    checks.number(f"{self.name}: step", step, 0, open_low=True))
        self._show()

    def _scale(self, unit: str, factor: float, step: float) -> None:
        self._factor, self._shown_unit, self._busy = factor, unit, True
        low, high = self.low * factor, self.high * factor
        if unit != self.unit:               # the handle goes by round numbers, the box to the very ends
            low, high = step * ceil(low / step - 1e-6), step * floor(high / step + 1e-6)
        with self._track.hold_trait_notifications():
            self._track.min, self._track.max, self._track.step = min(low, self._track.max), high, step
            self._track.min = low
        self._box.step = step
        self._box.description = f"{self.name}, exact number" + (f" in {unit}" if unit else "")
        self._unit.value = escape(unit)
        self._track.tooltip = self._box.tooltip = self.meaning()
        self._busy = False

    def _show(self, change: Anything = None) -> None:
        if self._busy == "slid":
            return
        before, self._busy = self._busy, True
        self._track.value = self._stands = self._nearest()
        self._box.value, self._note.value = self._number(), ""
        self._busy = before

    def _number(self) -> str:
        """The value as the box shows it; one that is round in the first unit only, to four digits."""
        steps = (self.value - self.low) / self.step
        round_there = self._shown_unit != self.unit and isclose(steps, round(steps), abs_tol=1e-6)
        return f"{self.shown:.{4 if round_there else 6}g}"

    def _slid(self, change: Anything) -> None:
        if self._busy or isclose(change["new"], self._stands, rel_tol=0, abs_tol=1e-6 * self._track.step):
            return                                        # rounding of the page is no move of the hand
        self._busy, self._stands = "slid", change["new"]    # telling the handle again could make it jump back
        try:
            self.value = min(max(round(change["new"], 9) / self._factor, self.low), self.high)
        finally:                           # the picture first, the number box after it
            self._box.value, self._note.value, self._busy = self._number(), "", False

    def _typed(self, change: Anything) -> None:
        if self._busy:
            return
        try:
            wanted = self._read(change["new"])
        except ValueError as error:
            self._show()
            self._note.value = style.alarm(f"{error}. The value stays at {self.shown:g} {self._shown_unit}.")
        else:
            self.value = wanted
            self._show()

    def _read(self, words: str) -> float:
        """The typed number in the slider's own unit."""
        low, high = round(self.low * self._factor, 6), round(self.high * self._factor, 6)
        grouped = re.search(r"\d[.,]\d{3}$", words.strip())
        wanted = checks.number(
            self.name, units.read(words, self._shown_unit, self.name), low, high, self._shown_unit,
            lambda v: f"Comma and point both begin the decimals here: write {1000 * v:g}"
            if grouped and low <= 1000 * v <= high else None)
        return self.accepted(min(max(wanted / self._factor, self.low), self.high))


class Pick(Control):
    """A choice from a list. Made by `pick`."""

    def __init__(self, label: str, options: Iterable[Anything] | Callable[[], Iterable[Anything]],
                 value: Anything = None, why: str = "") -> None:
        super().__init__()
        self.name, self.why, self._list = str(label), why, None
        self._asked = options if callable(options) else lambda: options
        self.options = self._read()
        self.default = self.options[0][1] if value is None else self.accepted(value)
        self._list = ipywidgets.Dropdown(description=self.name, options=self.options, value=self.default,
                                         style={"description_width": "100%"},
                                         layout={"flex": "1 1 100%", "flex_flow": "row wrap",
                                                 "width": "auto"})
        dlink((self._list, "label"), (self._list, "tooltip"))       # all of it, where the box cuts it
        self.widget = cell("tonewood-pick", [self._list])
        self._also = getattr(options, "also", None)
        if self._also:
            self._names = ipywidgets.HTML(layout={"display": "none"})
            self.widget.children += (self._names,)
            self.widget.add_class("tonewood-find")
            self._name_others()
        self.value, self._parts = self.default, (self._list,)
        self.observe(lambda change: setattr(self._list, "value", change["new"]), names="value")
        self._list.observe(self._chosen, names="value")
        chosen.follow(self)

    def in_units(self) -> None:
        """List in the units chosen now."""
        self.look()

    def _read(self) -> list[tuple[str, Anything]]:
        listed = (o if isinstance(o, tuple) else (str(o), o) for o in self._asked())
        return [(chosen.said(words), value) for words, value in listed]

    def look(self) -> None:
        """Ask anew what there is to choose from, where `options` was a function; the choice stays."""
        now = self._read()
        if now != self.options and self.value in [value for _, value in now]:
            self.options = now
            self._list.unobserve(self._chosen, names="value")       # a new list starts at its first entry
            self._list.options, self._list.value = now, self.value
            self._name_others()
            self._list.observe(self._chosen, names="value")

    def _name_others(self) -> None:
        if self._also:
            self._names.value = search.other_names(self._also())

    def _chosen(self, change: Anything) -> None:
        try:
            wanted = self.accepted(change["new"])
        except ValueError:
            self._list.value = self.value
            raise
        self.value = wanted

    def accepted(self, value: Anything) -> Anything:
        """One of the values to choose from, asked anew where it is not among those known. Raises ValueError.
        """
        if self._list is not None and value not in [v for _, v in self.options]:
            self.look()
        return checks.choice(self.name, value, [v for _, v in self.options])


class Switch(Control):
    """On or off. Made by `switch`."""

    def __init__(self, label: str, value: bool = False, why: str = "") -> None:
        super().__init__()
        self.name, self.why, self.default = str(label), why, bool(value)
        self._tick = ipywidgets.Checkbox(description=self.name, value=self.default, indent=False,
                                         layout={"width": "auto"})
        self.widget = cell("tonewood-switch", [self._tick])
        self.value, self._parts = self.default, (self._tick,)
        self.observe(lambda change: setattr(self._tick, "value", change["new"]), names="value")
        self._tick.observe(lambda change: setattr(self, "value", change["new"]), names="value")

    def accepted(self, value: Anything) -> bool:
        """True or False. Raises ValueError."""
        return bool(checks.choice(self.name, value, [True, False]))


def slider(label: str, value: float, low: float, high: float, step: float, unit: str = "", why: str = "",
           continuous: bool = True) -> Slider:
    """A labelled slider with a number box.

    label: what is set, without the unit; value: start value; low, high, step: in `unit`, the step must divide
    the range evenly; why: the reason for the range, shown with it; continuous=False only for a figure that
    takes longer than about 0.15 s per step. Without a unit and moved by 1 it counts things and takes whole
    numbers only; any other takes every number within its ends. Returns a Slider. Raises ValueError.
    """
    return Slider(label, value, low, high, step, unit, why, continuous)


def pick(label: str, options: Iterable[Anything] | Callable[[], Iterable[Anything]], value: Anything = None,
         why: str = "") -> Pick:
    """A labelled choice. options: words, or (shown words, value) pairs, or a function that gives them, asked
    again when a value is not among them; with an attribute `also`, a function that gives {shown words: other
    names}, the list is searched by typing any part of either. value: the start value (the first if None).
    Returns a Pick."""
    return Pick(label, options, value, why)


def switch(label: str, value: bool = False, why: str = "") -> Switch:
    """A labelled switch, on or off. Returns a Switch."""
    return Switch(label, value, why)
