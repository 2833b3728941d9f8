"""What holds controls on the page: buttons, the panel, what is folded, the box of one thing to set."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from functools import partial
from html import escape
from typing import Any

import ipywidgets

from tonewood.panel import chosen, style


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
    return ipywidgets.Box([*made, alert], layout={"display": "flex", "flex_flow": "row wrap"})


def panel(controls: Iterable[Any], *more: ipywidgets.Widget, explain: bool = True) -> ipywidgets.VBox:
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
    made = ipywidgets.Box(children, layout={"display": "flex", "flex_flow": "row wrap", "flex": "1 1 250px",
                                            "min_width": "min(100%, 240px)",
                                            "max_width": "430px", "margin": "2px 12px 6px 0",
                                            "overflow": "visible"})
    made.add_class("tonewood-control")
    made.add_class(kind)
    return made


def ticked(name: str, words: str) -> Callable[[dict[str, Any]], str]:
    """For `control.unless`: it counts once the switch called `name`, labelled `words`, is on."""
    return lambda values: "" if values[name] else f"Counts once “{words}” is ticked."
