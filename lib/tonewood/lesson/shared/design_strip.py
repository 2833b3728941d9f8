"""The strip above a lesson's figure: which neck is on show, open another one, keep this one for the other
lessons.

Kept necks lie in the folder `my_necks` beside the notebooks, one file each, on the learner's own disk only.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

import ipywidgets

from tonewood import files
from tonewood.lesson.shared.own_woods import trouble
from tonewood.lesson.shared.shop import NECK_12
from tonewood.lesson.shared.standing import with_cautions
from tonewood.neck import design_file
from tonewood.neck.design import Design
from tonewood.panel import style
from tonewood.panel.boxes import FULL, Answering, button, cell, fold, prose, relist, row
from tonewood.panel.controls import Pick
from tonewood.panel.live_figure import LiveFigure
from tonewood.panel.pocket import PageMaker, Progress, pocket

FOLDER = "my_necks"
SHOPS_OWN = f"{NECK_12.name}, the shop's own"
_RESERVED = re.compile(r"(?i)con|prn|aux|nul|(com|lpt)\d")     # names that Windows does not give to a file


@dataclass(frozen=True)
class LessonNeck:
    """How one lesson stands on a design.

    start: design -> {control: value}; keep: (design, {control: value}, name) -> the Design on show; cannot:
    design -> sentences, each one thing the lesson cannot show of it.
    """

    start: Callable[[Design], dict[str, Any]]
    keep: Callable[[Design, dict[str, Any], str], Design]
    cannot: Callable[[Design], list[str]]


def file_name(name: str) -> str:
    """A file name for a neck called `name`: its letters and digits, everything else as _. Raises ValueError
    if none are left.

    >>> file_name(" ../Anna's walnut, No. 3 ")
    'Anna_s_walnut_No_3.json'
    """
    stem = re.sub(r"[^\w-]+", "_", unicodedata.normalize("NFC", str(name))).strip("_-")[:60]
    if not stem:
        given = f"{str(name)!r} given" if str(name).strip() else "nothing given"
        raise ValueError(f"name of the neck: {given}; accepted: a name with a letter or a number in it, such "
                         "as Walnut for a bass player")
    return f"{stem}_neck.json" if _RESERVED.fullmatch(stem) else f"{stem}.json"


class Strip(Answering):
    """What `with_strip` puts above a figure. `.open(path)` and `.keep(name)` do what its buttons do;
    `.away` is the maker of a page to take away; `.widget` is the strip, `.shown`, `.missing` and `.reply` the
    words in it."""

    UNDONE = "The neck on show is as it was."

    def __init__(self, live: LiveFigure, lesson: LessonNeck) -> None:
        super().__init__()
        self._live, self._lesson, self._told = live, lesson, prose()
        self.list = ipywidgets.Dropdown(description="Open a neck", **FULL)
        self.path = ipywidgets.Text(description="or the file at", placeholder="path of a neck file", **FULL)
        self.name = ipywidgets.Text(description="Keep this neck as", placeholder="a name", **FULL)
        self.buttons = {}
        for label, tip, action in (
                ("Open", "Show the neck chosen from the list, or of the file", self._open_chosen),
                ("Look again", f"List the necks in {FOLDER} and your own woods anew", self.look),
                ("Keep", f"Write this neck to a file in {FOLDER}", lambda: self.keep(self.name.value))):
            self.buttons[label] = button(label, partial(self._act, action), tip)
        opened, again, kept = self.buttons.values()
        opening, entries = fold("Open or keep a neck", row(
            [cell("tonewood-entry", part) for part in (
                [self.list], [self.path, opened, again], [self.name, kept])],
            width="100%", align_items="flex-start"))
        self.away = PageMaker("Make the page", "to_take_away.html", self._page)
        taking, away = fold("Take it away as one page", self.away.widget)
        line = row([self._told, opening, taking], align_items="center")
        self.widget = ipywidgets.VBox([line, entries, away, self._answer], layout={"width": "100%"})
        self.widget.add_class("tonewood-strip")
        self.look()
        self._show(SHOPS_OWN if live.subject == NECK_12 else live.subject.name, lesson.cannot(live.subject))
        self._say("")

    def _page(self, progress: Progress) -> str:
        """The figure over its first two controls, for a reader without any installation."""
        return pocket(self._live, (), self._live.subject.name, self._live.alt, progress)

    def look(self) -> None:
        """List the kept necks, and in every list the own woods, anew."""
        for control in self._live.controls.values():
            if isinstance(control, Pick):
                control.look()
        kept = sorted(Path(FOLDER).glob("*.json"), key=lambda p: p.name.lower())
        relist(self.list, [(SHOPS_OWN, ""), *((p.stem, str(p)) for p in kept)], self.list.value)

    def open(self, path: str = "") -> None:
        """Show the neck in this file, the shop's own for "". Raises ValueError, with the neck on show as it
        was."""
        design = design_file.load(path) if path else NECK_12
        self.show(design, path)
        self._say(f"Opened {design.name}. The controls stand as this neck is built.")

    def show(self, design: Design, whence: str = "") -> None:
        """Put a design on show; whence: where it comes from. Raises ValueError, with the neck on show as it
        was."""
        missing = self._lesson.cannot(design)
        self._live.take(design, self._lesson.start(design))
        self._show(SHOPS_OWN if design == NECK_12 else f"{design.name} ({whence})", missing)
        self._live.tell_cautions()

    def _open_chosen(self) -> None:
        self.open(self.path.value.strip().strip("\"'") or self.list.value)
        self.path.value = ""

    def keep(self, name: str) -> Path:
        """Write the neck on show to a file named after `name`. Returns the path; raises ValueError, with
        nothing written."""
        path = Path(FOLDER) / file_name(name)
        design = self._lesson.keep(self._live.subject, self._live.values, name.strip())
        try:
            path.parent.mkdir(exist_ok=True)
        except OSError as problem:
            raise ValueError(f"folder {FOLDER}: cannot be made here ({problem.strerror}); accepted: a folder "
                             "you may write to") from None
        replaced = path.exists() and files.read(path) != design_file.to_text(design)
        design_file.save(design, path)
        self.look()
        self.list.value, self.name.value = str(path), ""
        earlier = f" The earlier neck of that name is now {path.name}.before." if replaced else ""
        self._say(f"Kept {design.name} as {path}.{earlier} Every lesson lists it from now on.")
        return path

    def _show(self, name: str, missing: list[str]) -> None:
        self.shown, self.missing = name, " ".join(missing)
        self._told.value = style.says(" ".join(filter(None, [f"Neck on show: {name}.", *missing, trouble()])))


def with_strip(live: LiveFigure, lesson: LessonNeck) -> LiveFigure:
    """The figure with the strip above it, as `.strip`, and below it the cautions of the woods of the neck on
    show; `live.subject` is the Design on show. Returns the same LiveFigure.

    Raises ValueError if the figure is not about a design.
    """
    if not isinstance(live.subject, Design):
        raise ValueError(f"subject of the figure: {live.subject!r} given; accepted: a Design")
    live.strip = Strip(live, lesson)
    head, *rest = live.widget.children
    live.widget.children = (head, live.strip.widget, *rest)

    def woods() -> list[str]:
        shown = lesson.keep(live.subject, live.values, live.subject.name)
        return list(shown.woods)

    return with_cautions(live, woods)
