"""A cell that runs again lets go of what it made before."""

from __future__ import annotations

import gc
import sys
import weakref
from functools import partial
from typing import Any

import ipywidgets

_MADE: dict[str, tuple[str, int, list[weakref.ref[Any]]]] = {}
"""Of each notebook cell: its latest run, the number of that run, and what was made in it."""


def _notebook() -> Any:
    return sys.modules["IPython"].get_ipython() if "IPython" in sys.modules else None


def _cell_run() -> tuple[str, str] | None:
    """(cell, run) of the notebook cell now running; None in a callback and where the page names no cells."""
    shell = _notebook()
    asked = shell.get_parent() if hasattr(shell, "get_parent") else {}
    cell = asked.get("metadata", {}).get("cellId")
    return (cell, asked["header"]["msg_id"]) if cell else None


def replace_older(made_now: Any) -> None:
    """Close what earlier runs of the present cell have made (anything with `.widget`, or a `.close()` of its
    own). It would live on otherwise: the notebook's history of outputs and the widgets' own register hold
    it."""
    if where := _cell_run():
        cell, run = where
        number = getattr(getattr(_notebook(), "displayhook", None), "prompt_count", 0)
        before, number_before, made = _MADE.get(cell, (run, number, []))
        if before != run:
            for older in made:
                if (thing := older()) is not None:
                    getattr(thing, "close", partial(let_go, thing))()
            made = []
            history = getattr(_notebook(), "history_manager", None)
            getattr(history, "outputs", {}).pop(number_before, None)       # the same picture once more
            gc.collect()          # pictures are large, and figure, artists and callbacks point at each other
        _MADE[cell] = run, number, [*made, weakref.ref(made_now)]


def close_widget(widget: ipywidgets.Widget) -> None:
    """Close a widget with its layout, its style and all that it holds."""
    for name in widget.keys:
        value = getattr(widget, name)
        for part in value if isinstance(value, (tuple, list)) else (value,):
            if isinstance(part, ipywidgets.Widget):
                close_widget(part)
    widget.close()


def let_go(thing: Any) -> None:
    """Close the widget of a thing and take from it all it holds but words and numbers: the notebook's history
    keeps the thing itself."""
    close_widget(thing.widget)
    for name, value in list(vars(thing).items()):
        if not isinstance(value, (str, int, float)):
            setattr(thing, name, None)
