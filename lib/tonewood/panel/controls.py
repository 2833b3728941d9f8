"""The one factory for what a learner sets: sliders with a number box, choices, switches, buttons, and the
panel that holds them.

Every control has a visible label and unit, a start value, a range with a reason, and works from code as from
the keyboard: `control.value = 30` behaves as if the learner had done it, and raises ValueError when the value
is out of range.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from html import escape
from math import isclose
from typing import Any as Anything

import ipywidgets
from traitlets import Any, Bool, Float, HasTraits, validate

from tonewood import checks
from tonewood.panel import style, units


class Control(HasTraits):
    """What all controls share: `.name` (the label), `.value`, `.default`, `.low`, `.high`, `.unit`, `.why`,
    `.widget`, `.observe(…)`, `.reset()`."""

    low = high = None
    unit = ""

    def reset(self) -> None:
        """Go back to the start value."""
        self.value = self.default

    def meaning(self) -> str:
        """The accepted range and the reason for it, one plain sentence."""
        return self.why

    def _repr_mimebundle_(self, include: Anything = None, exclude: Anything = None) -> dict[str, Anything]:
        return {**self.widget._repr_mimebundle_(),
                "text/plain": f"[{self.name}: {self.value} {self.unit}]".replace(" ]", "]")}


class Slider(Control):
    """A slider with a number box for exact entry; both show the same value. Made by `slider`."""

    value = Float()

    def __init__(self, label: str, value: float, low: float, high: float, step: float, unit: str = "",
                 why: str = "", continuous: bool = True) -> None:
        super().__init__()
        self.name, self.unit, self.why = str(label), unit, why
        self.low, self.high = checks.number(f"{label}: low end",
                                            low), checks.number(f"{label}: high end", high, low,
                                                                open_low=True)
        self.step = checks.number(f"{label}: step", step, 0, self.high - self.low, unit, open_low=True)
        count = (self.high - self.low) / self.step
        if not isclose(count, round(count), abs_tol=1e-6):
            raise ValueError(f"{label}: step {step:g} given; accepted: a step that divides the range {low:g} "
                             f"to {high:g} {unit} evenly")
        self.default = checks.number(label, value, self.low, self.high, unit)
        self._factor, self._shown_unit, self._busy = 1.0, unit, False
        self._track = ipywidgets.FloatSlider(description=self.name, readout=False,
                                             continuous_update=continuous,
                                             style={"description_width": "100%"},
                                             layout={"flex": "1 1 120px", "flex_flow": "row wrap",
                                                     "width": "auto", "min_width": "110px"})
        self._box = ipywidgets.FloatText(layout={"flex": "0 0 auto", "width": "68px"},
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

    @validate("value")
    def _within(self, proposal: dict[str, Anything]) -> float:
        return checks.number(self.name, proposal["value"], self.low, self.high, self.unit)

    @property
    def shown(self) -> float:
        """The value in the unit now displayed (equal to `.value` unless `show_in` changed it)."""
        return round(self.value * self._factor, 9)

    def meaning(self) -> str:
        """The accepted range in the displayed unit and the reason for it."""
        low, high = self.low * self._factor, self.high * self._factor
        return f"{low:.6g} to {high:.6g} {self._shown_unit}".rstrip() + (f": {self.why}" if self.why else "")

    def show_in(self, unit: str, factor: float, step: float) -> None:
        """Display in another unit: shown = value * factor, moved by `step` of that unit. `.value` itself
        stays in the first unit."""
        self._scale(unit, checks.number(f"{self.name}: factor", factor, 0, open_low=True),
                    checks.number(f"{self.name}: step", step, 0, open_low=True))
        self._show()

    def _scale(self, unit: str, factor: float, step: float) -> None:
        self._factor, self._shown_unit, self._busy = factor, unit, True
        low, high = self.low * factor, self.high * factor
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
        self._track.value = self._box.value = self.shown
        self._note.value = ""
        self._busy = before

    def _slid(self, change: Anything) -> None:
        if self._busy:
            return
        self._busy = "slid"     # the handle already stands there: telling it again could make it jump back
        try:
            self.value = min(max(round(change["new"], 9) / self._factor, self.low), self.high)
        finally:                           # the picture first, the number box after it
            self._box.value, self._note.value, self._busy = self.shown, "", False

    def _typed(self, change: Anything) -> None:
        if self._busy:
            return
        try:
            low, high = round(self.low * self._factor, 6), round(self.high * self._factor, 6)
            wanted = checks.number(self.name, change["new"], low, high, self._shown_unit)
        except ValueError as error:
            self._show()
            self._note.value = style.alarm(f"{error}. The value stays at {self.shown:g} {self._shown_unit}.")
        else:
            self.value = min(max(wanted / self._factor, self.low), self.high)
            self._show()


class Pick(Control):
    """A choice from a list. Made by `pick`."""

    value = Any()

    def __init__(self, label: str, options: Iterable[Anything], value: Anything = None,
                 why: str = "") -> None:
        super().__init__()
        self.name, self.why = str(label), why
        self.options = [(str(o), o) if not isinstance(o, tuple) else o for o in options]
        self.default = self.options[0][1] if value is None else checks.choice(self.name, value,
                                                                              [v for _, v in self.options])
        self._list = ipywidgets.Dropdown(description=self.name, options=self.options, value=self.default,
                                         style={"description_width": "100%"},
                                         layout={"flex": "1 1 100%", "flex_flow": "row wrap",
                                                 "width": "auto"})
        self.widget = cell("tonewood-pick", [self._list])
        self.value = self.default
        self.observe(lambda change: setattr(self._list, "value", change["new"]), names="value")
        self._list.observe(lambda change: setattr(self, "value", change["new"]), names="value")

    @validate("value")
    def _known(self, proposal: dict[str, Anything]) -> Anything:
        return checks.choice(self.name, proposal["value"], [v for _, v in self.options])


class Switch(Control):
    """On or off. Made by `switch`."""

    value = Bool()

    def __init__(self, label: str, value: bool = False, why: str = "") -> None:
        super().__init__()
        self.name, self.why, self.default = str(label), why, bool(value)
        self._tick = ipywidgets.Checkbox(description=self.name, value=self.default, indent=False,
                                         layout={"width": "auto"})
        self.widget = cell("tonewood-switch", [self._tick])
        self.value = self.default
        self.observe(lambda change: setattr(self._tick, "value", change["new"]), names="value")
        self._tick.observe(lambda change: setattr(self, "value", change["new"]), names="value")


def slider(label: str, value: float, low: float, high: float, step: float, unit: str = "", why: str = "",
           continuous: bool = True) -> Slider:
    """A labelled slider with a number box.

    label: what is set, without the unit; value: start value; low, high, step: in `unit`, the step must divide
    the range evenly; why: the reason for the range, shown with it; continuous=False only for a figure that
    takes longer than about 0.15 s per step. Returns a Slider. Raises ValueError.
    """
    return Slider(label, value, low, high, step, unit, why, continuous)


def pick(label: str, options: Iterable[Anything], value: Anything = None, why: str = "") -> Pick:
    """A labelled choice. options: words, or (shown words, value) pairs; value: the start value (the first if
    None). Returns a Pick."""
    return Pick(label, options, value, why)


def switch(label: str, value: bool = False, why: str = "") -> Switch:
    """A labelled switch, on or off. Returns a Switch."""
    return Switch(label, value, why)


def units_choice(controls: Iterable[Anything], label: str = "Units") -> Pick:
    """A choice between metric and inches and ounces that redisplays the given sliders; their `.value` stays
    in the first unit.

    Hand it to the figure as one more control, so that its sentence can follow (`units.text(…, system=…)`).
    Returns a Pick.
    """
    sliders = [c for c in controls if isinstance(c, Slider) and c.unit in units.UNITS]
    choice = Pick(label, [units.METRIC, units.INCH], why="the numbers shown change, the design does not")

    def redisplay(change: Anything) -> None:
        for s in sliders:
            unit = units.in_system(s.unit, change["new"])
            factor = units.convert(1.0, s.unit, unit)
            s.show_in(unit, factor, s.step if unit == s.unit else units.nice_step(s.step * factor))

    choice.observe(redisplay, names="value")
    return choice


def buttons(**actions: Callable[[], Anything]) -> ipywidgets.Box:
    """A row of buttons that wraps: buttons(Reset=do, Keep_this_design=keep). Underscores in a name show as
    spaces; each action takes nothing.

    What an action raises is shown beside the buttons and raised again.
    """
    alert = ipywidgets.HTML(layout={"margin": "0"})
    alert.add_class("tonewood-alert")

    def act(action: Callable[[], Anything]) -> None:
        alert.value = ""
        try:
            action()
        except Exception as error:
            alert.value = style.alarm(str(error) or type(error).__name__)
            raise

    made = []
    for label, action in actions.items():
        button = ipywidgets.Button(description=label.replace("_", " "), layout={"width": "auto"})
        button.on_click(lambda _, action=action: act(action))
        made.append(button)
    return ipywidgets.Box([*made, alert], layout={"display": "flex", "flex_flow": "row wrap"})


def panel(controls: Iterable[Anything], *more: ipywidgets.Widget, explain: bool = True) -> ipywidgets.VBox:
    """Controls side by side, wrapping to the next row on narrow screens, with a folded list of what each
    range means.

    controls: Control objects (or plain widgets); more: widgets placed below them. Returns an ipywidgets box.
    """
    controls = list(controls)
    row = ipywidgets.Box([getattr(c, "widget", c) for c in controls],
                         layout={"display": "flex", "flex_flow": "row wrap", "width": "100%",
                                 "align_items": "flex-start", "overflow": "visible"})
    row.add_class("tonewood-row")
    rows = [row, *more]
    told = [c for c in controls if isinstance(c, Control) and c.meaning()]
    if explain and told:
        items = "".join(f"<dt>{escape(c.name)}</dt><dd>{escape(c.meaning())}</dd>" for c in told)
        rows.append(ipywidgets.HTML("<details class='tonewood-means'><summary>What the ranges mean</summary>"
                                    f"<dl>{items}</dl></details>"))
    box = ipywidgets.VBox([ipywidgets.HTML(style.sheet(), layout={"height": "0", "margin": "0"}), *rows],
                          layout={"width": "100%"})
    box.add_class("tonewood-panel")
    return box


def fold(label: str, folded: ipywidgets.Widget) -> tuple[ipywidgets.Button, ipywidgets.Widget]:
    """A button that shows what is folded and folds it again, and the folded widget, folded."""
    button = ipywidgets.Button(layout={"width": "auto"})
    button.add_class("tonewood-fold")

    def show(open_now: bool) -> None:
        folded.layout.display = "" if open_now else "none"
        button.description = f"{label} {'▾' if open_now else '▸'}"

    button.on_click(lambda _: show(folded.layout.display == "none"))
    show(False)
    return button, folded


def cell(kind: str, children: Sequence[ipywidgets.Widget]) -> ipywidgets.Box:
    """A box for one thing to set, on its own line on narrow screens; kind: its class in the style sheet."""
    made = ipywidgets.Box(children, layout={"display": "flex", "flex_flow": "row wrap", "flex": "1 1 250px",
                                            "min_width": "min(100%, 240px)",
                                            "max_width": "430px", "margin": "2px 12px 6px 0",
                                            "overflow": "visible"})
    made.add_class("tonewood-control")
    made.add_class(kind)
    return made
