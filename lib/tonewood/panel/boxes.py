"""What holds controls on the page: buttons, the panel, what is folded, the box of one thing to set."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from functools import partial
from html import escape
from typing import Any

import ipywidgets

from tonewood.panel import chosen, style, units

FULL: dict[str, Any] = {"style": {"description_width": "100%"},
                        "layout": {"flex": "1 1 100%", "flex_flow": "row wrap", "width": "auto"}}
"""Of a box to type or choose in: its words above it, both as wide as there is room."""


def button(words: str, action: Callable[[], Any], tooltip: str = "") -> ipywidgets.Button:
    """A button that does `action`. While the kernel is busy with something else the page answers a click at
    once ("still working"), until the mark set here tells it that the action is done."""
    made = ipywidgets.Button(description=words, tooltip=tooltip or None, layout={"width": "auto"})
    made.add_class("tonewood-button")

    def pressed(_: Any) -> None:
        try:
            action()
        finally:
            (made.remove_class if "tonewood-done" in made._dom_classes else made.add_class)("tonewood-done")

    made.on_click(pressed)
    return made


def row(children: Sequence[ipywidgets.Widget], **layout: str) -> ipywidgets.Box:
    """Widgets side by side, wrapping where the page is narrow."""
    return ipywidgets.Box(children, layout={"display": "flex", "flex_flow": "row wrap", **layout})


def prose(kind: str = "sentence") -> ipywidgets.HTML:
    """Room for mark-up as wide as the page; kind: its class in the style sheet (a sentence is announced)."""
    made = ipywidgets.HTML(layout={"width": "auto"})
    made.add_class(f"tonewood-{kind}")
    return made


class Answering:
    """What has buttons and answers them in words: `.reply` is what it last said, `._answer` where it stands.
    """

    reply = ""
    UNDONE = ""
    """Said after a refusal: what stays as it was."""

    def __init__(self) -> None:
        super().__init__()
        self._answer = prose()

    def _say(self, words: str, trouble: bool = False) -> None:
        self.reply = words
        self._answer.value = (style.alarm if trouble else style.says)(words) if words else ""

    def _act(self, action: Callable[[], Any]) -> None:
        """Do what a button does; what is refused is said, and what fails is said and raised again."""
        try:
            action()
        except Exception as problem:
            self._say(f"{self._refused(problem)} {self.UNDONE}".rstrip(), trouble=True)
            if not isinstance(problem, ValueError):
                raise

    def _refused(self, problem: Exception) -> str:
        return units.typed(str(problem) or type(problem).__name__)


def buttons(**actions: Callable[[], Any]) -> ipywidgets.Box:
    """A row of buttons that wraps: buttons(Reset=do, Keep_this_design=keep). Underscores in a name show as
    spaces; each action takes nothing.

    What an action raises is shown beside the buttons and raised again.
    """
    alert = ipywidgets.HTML(layout={"margin": "0"})
    alert.add_class("tonewood-alert")

    def act(action: Callable[[], Any]) -> None:
        alert.value = ""
        try:
            action()
        except Exception as error:
            alert.value = style.alarm(str(error) or type(error).__name__)
            raise

    made = [button(label.replace("_", " "), partial(act, action)) for label, action in actions.items()]
    return row([*made, alert])


def panel(controls: Iterable[Any], *more: ipywidgets.Widget, explain: bool = True) -> ipywidgets.VBox:
    """Controls side by side, wrapping to the next row on narrow screens, with a folded list of what each
    range means.

    controls: Control objects (or plain widgets); more: widgets placed below them. Returns an ipywidgets box.
    """
    controls = list(controls)
    first = row([getattr(c, "widget", c) for c in controls], width="100%", align_items="flex-start",
                overflow="visible")
    first.add_class("tonewood-row")
    rows = [first, *more]
    told = [c for c in controls if hasattr(c, "meaning") and c.meaning()]
    if explain and told:
        rows.append(_Means(told))
    box = ipywidgets.VBox([ipywidgets.HTML(style.sheet(), layout={"height": "0", "margin": "0"}), *rows],
                          layout={"width": "100%"})
    box.add_class("tonewood-panel")
    return box


class _Means(ipywidgets.HTML):
    """The folded list of what each range means, in the units chosen."""

    def __init__(self, controls: Sequence[Any]) -> None:
        super().__init__()
        self._of = controls
        chosen.follow(self)
        self.in_units()

    def in_units(self) -> None:
        items = "".join(f"<dt>{escape(c.name)}</dt><dd>{escape(c.meaning())}</dd>" for c in self._of)
        self.value = ("<details class='tonewood-means'><summary>What the ranges mean</summary>"
                      f"<dl>{items}</dl></details>")


def relist(drop: ipywidgets.Dropdown, options: Sequence[Any], chosen: Any = None) -> None:
    """Give a list other options and choose `chosen` among them, the first where it is not there."""
    drop.index = None               # the same place among other options would not count as a change
    drop.options = options
    values = [each[1] if isinstance(each, tuple) else each for each in options]
    drop.index = values.index(chosen) if chosen in values else 0 if values else None


def fold(label: str, folded: ipywidgets.Widget) -> tuple[ipywidgets.Button, ipywidgets.Widget]:
    """A button that shows what is folded and folds it again, and the folded widget, folded."""
    def show(open_now: bool) -> None:
        folded.layout.display = "" if open_now else "none"
        made.description = f"{label} {'▾' if open_now else '▸'}"

    made = button(label, lambda: show(folded.layout.display == "none"))
    made.add_class("tonewood-fold")
    show(False)
    return made, folded


def cell(kind: str, children: Sequence[ipywidgets.Widget]) -> ipywidgets.Box:
    """A box for one thing to set, on its own line on narrow screens; kind: its class in the style sheet."""
    made = row(children, flex="1 1 250px", min_width="min(100%, 240px)", max_width="430px",
               margin="2px 12px 6px 0", overflow="visible")
    made.add_class("tonewood-control")
    made.add_class(kind)
    return made


def ticked(name: str, words: str) -> Callable[[dict[str, Any]], str]:
    """For `control.unless`: it counts once the switch called `name`, labelled `words`, is on."""
    return lambda values: "" if values[name] else f"Counts once “{words}” is ticked."
