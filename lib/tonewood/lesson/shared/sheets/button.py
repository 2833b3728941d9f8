"""The button that makes a sheet: which one, on which paper, in which units, as which kind of file."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from tonewood.lesson.shared.sheets.build_sheet import build_sheet
from tonewood.lesson.shared.sheets.client_sheet import NO_WORDS, Words, client_sheet
from tonewood.lesson.shared.sheets.paper import PAPERS, Sheet
from tonewood.neck.design import Design
from tonewood.panel import chosen, units
from tonewood.panel.boxes import panel, row
from tonewood.panel.controls import pick
from tonewood.panel.pocket import Maker

KINDS = ("client sheet", "build sheet")
FORMS = (("web page", "html"), ("PDF, to print", "pdf"), ("pictures, one a page", "png"))


class SheetMaker(Maker):
    """Choices and a button. `.make()` does what the button does; `.kind`, `.paper`, `.units`, `.form` are the
    choices, `.name` the file's name without its ending, `.reply` the answer, `.written` the files, `.widget`
    the whole. design, words: functions that give the Design to print and what people said of it, asked at
    each press; folder: where the sheets go."""

    def __init__(self, design: Callable[[], Design], words: Callable[[], Words] = lambda: NO_WORDS,
                 folder: str | Path = ".") -> None:
        super().__init__("Make the sheet", "Writes it beside the notebook", "Drawing it …",
                         placeholder="as the neck is called")
        self._design, self._words, self.folder, self.written = design, words, Path(folder), ()
        self.kind, self.paper = pick("Sheet", KINDS), pick("Paper", list(PAPERS))
        self.units = pick("Units", [units.METRIC, units.INCH], chosen.now())
        self.form = pick("Kind of file", FORMS)
        self.widget = panel([self.kind, self.paper, self.units, self.form], row([self.name, self.button]),
                            self.reply, explain=False)

    def sheet(self) -> Sheet:
        """The Sheet as chosen. Raises ValueError."""
        design, how = self._design(), {"size": self.paper.value, "system": self.units.value}
        words = self._words()
        with chosen.reading(self.units.value):
            if self.kind.value == KINDS[0]:
                return client_sheet(design, words, **how)
            return build_sheet(design, workshop=words.workshop, date=words.date, **how)

    def _write(self) -> tuple[Sequence[Path], str]:
        made = self.sheet()
        stem = self.name.value.strip() or self._stem(made.title)
        self.folder.mkdir(exist_ok=True)
        self.written = made.save(self.folder / f"{stem}.{self.form.value}")
        return self.written, f"{', '.join(map(str, self.written))}."

    @staticmethod
    def _stem(title: str) -> str:
        """A file name from the title of a sheet."""
        kept = "".join(letter if letter.isalnum() else "_" for letter in title)
        return "_".join(filter(None, kept.split("_")))[:80] or "sheet"
