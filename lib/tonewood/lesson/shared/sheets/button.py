"""The button that makes a sheet: which one, on which paper, in which units, as which kind of file."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import ipywidgets

from tonewood.lesson.shared.sheets.build_sheet import build_sheet
from tonewood.lesson.shared.sheets.client_sheet import NO_WORDS, Words, client_sheet
from tonewood.lesson.shared.sheets.paper import PAPERS, Sheet
from tonewood.neck.design import Design
from tonewood.panel import style, units
from tonewood.panel.boxes import button, panel
from tonewood.panel.controls import pick
from tonewood.panel.pocket import copy_link

KINDS = ("client sheet", "build sheet")
FORMS = (("PDF, to print", "pdf"), ("web page", "html"), ("pictures, one a page", "png"))


class SheetMaker:
    """Choices and a button. `.make()` does what the button does; `.kind`, `.paper`, `.units`, `.form` are the
    choices, `.name` the file's name without its ending, `.reply` the answer, `.written` the files, `.widget`
    the whole. design: a function that gives the Design to print, asked at each press."""

    def __init__(self, design: Callable[[], Design], words: Words = NO_WORDS) -> None:
        self._design, self._words, self.written = design, words, ()
        self.kind, self.paper = pick("Sheet", KINDS), pick("Paper", list(PAPERS))
        self.units, self.form = pick("Units", [units.METRIC, units.INCH]), pick("Kind of file", FORMS)
        self.name = ipywidgets.Text(value="", placeholder="as the neck is called", continuous_update=False,
                                    description="Name of the file", layout={"width": "auto"},
                                    style={"description_width": "initial"})
        self.button = button("Make the sheet", self.make, "Writes it beside the notebook")
        self.reply = ipywidgets.HTML(layout={"width": "auto"})
        self.reply.add_class("tonewood-sentence")
        row = ipywidgets.Box([self.name, self.button], layout={"display": "flex", "flex_flow": "row wrap"})
        self.widget = panel([self.kind, self.paper, self.units, self.form], row, self.reply, explain=False)

    def sheet(self) -> Sheet:
        """The Sheet as chosen. Raises ValueError."""
        design, how = self._design(), {"size": self.paper.value, "system": self.units.value}
        if self.kind.value == KINDS[0]:
            return client_sheet(design, self._words, **how)
        return build_sheet(design, workshop=self._words.workshop, date=self._words.date, **how)

    def make(self) -> None:
        """Make the sheet and write it; what is refused is told."""
        self.button.disabled, self.reply.value = True, style.says("Drawing it …")
        try:
            made = self.sheet()
            stem = self.name.value.strip() or self._stem(made.title)
            self.written = made.save(f"{stem}.{self.form.value}")
        except ValueError as problem:
            self.reply.value = style.alarm(f"{problem}. Nothing was written.")
        else:
            names = ", ".join(str(path) for path in self.written)
            self.reply.value = style.says(f"Written: {names}.") + "".join(
                copy_link(path.name, Path(path).read_bytes()) for path in self.written)
        finally:
            self.button.disabled = False

    @staticmethod
    def _stem(title: str) -> str:
        """A file name from the title of a sheet."""
        kept = "".join(letter if letter.isalnum() else "_" for letter in title)
        return "_".join(filter(None, kept.split("_")))[:80] or "sheet"

    def _repr_mimebundle_(self, include: Any = None, exclude: Any = None) -> dict[str, Any]:
        return {**self.widget._repr_mimebundle_(), "text/plain": "[button: Make the sheet]"}


def sheet_button(design: Design | Callable[[], Design], words: Words = NO_WORDS) -> SheetMaker:
    """The button that makes client and build sheet of a design, or of what a function then gives (the neck on
    show in a figure)."""
    return SheetMaker(design if callable(design) else lambda: design, words)
