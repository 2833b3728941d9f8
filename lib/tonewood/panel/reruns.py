"""A cell that runs again lets go of the figure it made before."""

from __future__ import annotations

import gc
import sys
import weakref
from typing import Any

import ipywidgets

_MADE: dict[str, tuple[str, list[weakref.ref[Any]]]] = {}
"""Of each notebook cell: its latest run, and the figures made in it."""

def _cell_run() -> tuple[str, str] | None:
    """(cell, run) of the notebook cell now running; None in a callback and where the page names no cells."""
    shell = sys.modules["IPython"].get_ipython() if "IPython" in sys.modules else None
    asked = shell.get_parent() if hasattr(shell, "get_parent") else {}
    cell = asked.get("metadata", {}).get("cellId")
    return (cell, asked["header"]["msg_id"]) if cell else None


def replace_older(live: Any) -> None:
    """Close the figures that an earlier run of the present cell has made. They would live on otherwise: the
    notebook's history of outputs and the widgets' own register hold them."""
    if where := _cell_run():
        cell, run = where
        before, made = _MADE.get(cell, (run, []))
        if before != run:
            for older in made:
                if (figure := older()) is not None:
                    figure.close()
            made = []
            gc.collect()          # pictures are large, and figure, artists and callbacks point at each other
        _MADE[cell] = run, [*made, weakref.ref(live)]


def close_widget(widget: ipywidgets.Widget) -> None:
    """Close a widget with its layout, its style and all that it holds."""
    for name in widget.keys:
        value = getattr(widget, name)
        for part in value if isinstance(value, (tuple, list)) else (value,):
            if isinstance(part, ipywidgets.Widget):
                close_widget(part)
    widget.close()


