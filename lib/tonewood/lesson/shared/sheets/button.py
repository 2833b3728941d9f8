"""The button that makes a sheet: which one, on which paper, in which units, as which kind of file."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import ipywidgets

from tonewood.lesson.shared.sheets.build_sheet import build_sheet
from tonewood.lesson.shared.sheets.client_sheet import NO_WORDS, Words, client_sheet
from tonewood.lesson.shared.sheets.paper import PAPERS, Sheet
from tonewood.neck.design import Design
from tonewood.panel import chosen, style, units
from tonewood.panel.boxes import button, panel
from tonewood.panel.controls import pick
from tonewood.panel.pocket import copy_link

KINDS = ("client sheet", "build sheet")
FORMS = (("web page", "html"), ("PDF, to print", "pdf"), ("pictures, one a page", "png"))


class SheetMaker:
    """Choices and a button. `.make()` does what the button does; `.kind`, `.paper`, `.units`, `.form` are the
    choices, `.name` the file's name without its ending, `.reply` the answer, `.written` the files, `.widget`
    the whole. design, words: functions that give the Design to print and what people said of it, asked at
    each press; folder: where the sheets go."""

    def __init__(self, design: Callable[[], Design], words: Callable[[], Words] = lambda: NO_WORDS,
                 folder: str | Path = ".") -> None:
        self._design, self._words, self.folder, self.written = design, words, Path(folder), ()
        self.kind, self.paper = pick("Sheet", KINDS), pick("Paper", list(PAPERS))
        self.units = pick("Units", [units.METRIC, units.INCH], chosen.now())
        self.form = pick("Kind of file", FORMS)
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
        words = self._words()
        with chosen.reading(self.units.value):
            if self.kind.value == KINDS[0]:
                return client_sheet(design, words, **how)
            return build_sheet(design, workshop=words.workshop, date=words.date, **how)

    def make(self) -> None:
        """Make the sheet and write it; what is refused is told."""
        self.button.disabled, self.reply.value = True, style.says("Drawing it …")
        try:
            made = self.sheet()
            stem = self.name.value.strip() or self._stem(made.title)
            self.folder.mkdir(exist_ok=True)
            self.written = made.save(self.folder / f"{stem}.{self.form.value}")
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
