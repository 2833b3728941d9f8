"""What waits for a prediction."""

from __future__ import annotations

import base64
from html import escape
from typing import Any

import ipywidgets

from tonewood.panel import style
from tonewood.panel.reruns import replace_older


class Gate:
    """Keeps a figure out of sight until its prediction is made. Readers of the saved page find the picture
    folded."""

    def __init__(self, question: str, figure: Any) -> None:
        self.figure, self.opened = figure, False
        waiting = style.says(f"First make your prediction: {question}")
        self.widget = ipywidgets.VBox([ipywidgets.HTML(waiting)])
        self.widget.add_class("tonewood-waits")
        replace_older(self)

    def open(self) -> None:
        """Show the figure, unless its cell has run again since."""
        if self.figure is None or getattr(self.figure, "closed", False):
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
