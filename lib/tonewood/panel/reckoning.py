"""Boxes for one's own readings, with what follows from them below, in place of code to edit."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import ipywidgets

from tonewood.panel import boxes, chosen, style
from tonewood.panel.controls import Control
from tonewood.panel.page import Shown, Worked
from tonewood.panel.reruns import replace_older

LOOK = """<style>.tonewood-reckoned .widget-html-content {line-height:1.45}
.tonewood-reckoned, .tonewood-reckoned > .widget-html-content {min-width:0; max-width:100%; width:100%}
.tonewood-reckoned table {min-width:min(100%, 36em); border-collapse:collapse; margin:4px 0}
.tonewood-reckoned :is(th, td) {padding:3px 14px 3px 0; white-space:normal !important}
.tonewood-reckoned thead th {border-bottom:1px solid var(--jp-border-color1, #bbb)}</style>"""
"""Look of tables below boxes, for what carries the class tonewood-reckoned."""


class Below(Worked):
    """Boxes with what follows from them below, `._result`."""

    def __init__(self) -> None:
        super().__init__()
        self._result = boxes.prose("reckoned")

    def _put(self, result: Shown) -> None:
        self.result = result
        self._result.value = f"{LOOK}<div role='status'>{result.html}</div>"


class Reckoning(Below):
    """Controls, and a result worked out anew whenever one of them changes. Made by `reckon`."""

    def __init__(self, work: Callable[..., Shown], controls: dict[str, Control],
                 *more: ipywidgets.Widget) -> None:
        super().__init__()
        self.controls, self._work = controls, work
        self._put(work(**self.values))
        self.widget = boxes.panel(controls.values(), self._result, *more)
        chosen.follow(self)
        for control in controls.values():
            control.observe(self._show, names="value")
        replace_older(self)

    @property
    def values(self) -> dict[str, Any]:
        """What stands in the boxes."""
        return {name: control.value for name, control in self.controls.items()}

    def in_units(self) -> None:
        """Work the result out anew, in the units chosen now."""
        self._show()

    def _show(self, change: Any = None) -> None:
        try:
            self._put(self._work(**self.values))
        except ValueError as error:
            self._result.value = style.alarm(f"{error}.")


def reckon(work: Callable[..., Shown], *more: ipywidgets.Widget, **controls: Control) -> Reckoning:
    """Boxes for readings: reckon(work, gap=slider("Gap", 0.3, 0.1, 3, 0.01, "mm")).

    work: function(values by name) -> what to show; a ValueError of it stands below the boxes in its own
    words; more: widgets below the result. Returns a Reckoning. Raises what `work` refuses of the start
    values.
    """
    return Reckoning(work, controls, *more)
