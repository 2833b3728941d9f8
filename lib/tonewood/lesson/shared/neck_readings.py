"""Readings of a neck on the page: boxes for one reading, what was foretold of it, the log it is kept in, the
gap's year before and after, and over many necks whether the bands hold.

Kept in the log LOG beside the notebooks. Everything shown is worked out from the drawing of the neck that is
named; readings of a neck without a drawing are listed and not compared.
"""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import date as Day
from html import escape
from pathlib import Path

import ipywidgets

from tonewood.bench import log
from tonewood.bench.foretold import Foretold, foretell
from tonewood.bench.readings import KINDS, Reading, reading
from tonewood.bench.readings_log import NotRead, delivery, readings_of, row_of
from tonewood.bench.stock import Stock, stock_of
from tonewood.bench.update import Updated, update
from tonewood.constants import GRAVITY
from tonewood.lesson.shared.design_strip import FOLDER
from tonewood.lesson.shared.made_necks import made_necks
from tonewood.lesson.shared.own_woods import LOG
from tonewood.lesson.shared.readings_view import (
    after_words,
    picture,
    readings_table,
    stock_table,
    together,
)
from tonewood.lesson.shared.shop import NECK_12, truss_rod
from tonewood.neck import design_file
from tonewood.neck.design import Design
from tonewood.panel import boxes, style, units
from tonewood.panel.page import Shown
from tonewood.panel.reckoning import Below
from tonewood.panel.reruns import replace_older

SHOWN = {"load": ("Weight hung on it", "kg", 1 / GRAVITY, 10.0),
         "span": ("Between the sticks", "mm", 1e3, 700.0),
         "thickness": ("Thickness of the blank", "mm", 1e3, 22.0),
         "length": ("Length of the blank", "mm", 1e3, 750.0),
         "humidity": ("Humidity of the dry room", "%", 1e2, 30.0), "fret": ("Read at fret", "", 1.0, 8.0),
         "string": ("String, 1 the thinnest", "", 1.0, 4.0)}
"""Circumstances as a form asks for them: words, unit, units in one of SI, what stands there at first."""
START = {"blank weight": "690", "blank sag": "0.94", "strip bow": "0.10", "gap, strings off": "0.00",
         "gap, strings on": "0.28", "rod turns": "0.25", "gap, rod set": "0.20", "room humidity": "35",
         "twist": "0.05", "dead note": "8"}


def designs(beside: str = ".") -> dict[str, Design]:
    """Designs by their names: the shop's own and those kept in the folder of necks in `beside`; files that
    are none are passed over."""
    found = {NECK_12.name: NECK_12}
    for path in sorted((Path(beside) / FOLDER).glob("*.json"), key=lambda p: p.name.lower()):
        try:
            design = design_file.load(path)
        except ValueError:
            continue
        found.setdefault(design.name, design)
    return found


@dataclass(frozen=True)
class Kept:
    """What a log holds of necks: readings by neck, the rows that gave none, and the shop's own boards."""

    readings: dict[str, list[Reading]]
    left: list[NotRead]
    stock: tuple[Stock, ...]


def kept(path: str = LOG) -> Kept:
    """What a log holds; nothing where there is no log yet. Raises ValueError for a file that is no log."""
    if not Path(path).exists():
        return Kept({}, [], ())
    found = log.read_log(path)
    readings, left = readings_of(found.measurements)
    faults = [NotRead(fault.line, "", str(fault)) for fault in found.faults]
    return Kept(readings, left + faults, stock_of(found.boards()))


def possible(design: Design, readings: Sequence[Reading], draws: int = 2000,
             stock: tuple[Stock, ...] = ()) -> Foretold:
    """Possible necks of a design that left the workshop as its readings say, from this stock."""
    rod = truss_rod(design.neck(), design.rod) if design.rod != "none" else None
    return foretell(design, rod, *delivery(readings), draws, stock=of_design(design, stock))


def of_design(design: Design, stock: tuple[Stock, ...]) -> tuple[Stock, ...]:
    """What of a stock a design uses: woods it has, with boards enough to be drawn towards."""
    woods = {piece.species.key for piece in design.neck().pieces}
    return tuple(one for one in stock if one.wood in woods
                 and (one.enough("modulus") or one.enough("density")))


def compared(design: Design, readings: Sequence[Reading], draws: int = 2000,
             stock: tuple[Stock, ...] = ()) -> tuple[Updated, list[NotRead]]:
    """The neck after its readings, and those that this neck or its year does not allow, with the reason. The
    reading it left with is where its year starts, and teaches nothing."""
    necks, good, left = possible(design, readings, draws, stock), [], []
    for read in readings:
        if read.kind == "gap, rod set" and (read.date, read.value) == (necks.delivered, necks.left):
            continue
        try:
            necks.predicted(read)
        except ValueError as problem:
            left.append(NotRead(0, read.neck, str(problem)))
        else:
            good.append(read)
    return update(necks, good), left


class NeckReadings(boxes.Answering, Below):
    """Boxes for one reading of one neck and what follows from it. Made by `neck_readings`. `.keep()` and
    `.compare()` do what its buttons do; `.reply`, `.result` and `.after` tell the state."""

    def __init__(self, kinds: Sequence[str], year: bool, start: dict[str, str]) -> None:
        super().__init__()
        self._kinds, self._year = tuple(kinds), year
        self._neck = ipywidgets.Dropdown(description="Neck", **boxes.FULL)
        self._kind = ipywidgets.Dropdown(description="What was read", options=[
            (KINDS[kind].words, kind) for kind in kinds], **boxes.FULL)
        self._value = ipywidgets.Text(continuous_update=False, **boxes.FULL)
        self._date = ipywidgets.Text(description="Date", value=str(Day.today()), continuous_update=False,
                                     **boxes.FULL)
        self._places = {name: ipywidgets.Text(
            description=f"{words}{f', {unit}' if unit else ''}", value=f"{value:g}", continuous_update=False,
            **boxes.FULL) for name, (words, unit, _, value) in SHOWN.items()}
        self._cells = {name: boxes.cell("tonewood-entry", [box]) for name, box in self._places.items()}
        self._how = boxes.prose("note")
        self._start = {**START, **start}
        parts = [[self._neck], [self._kind], [self._value], [self._date]]
        row = boxes.buttons(Compare=self.compare, Keep_in_the_log=self.keep, Look_again=self.look)
        self.widget = boxes.panel([*(boxes.cell("tonewood-entry", part) for part in parts
                                     if len(kinds) > 1 or part != [self._kind]), *self._cells.values()],
                                  self._how, row, self._answer, self._result, explain=False)
        self._kind.observe(lambda change: self._ask(), names="value")
        self._ask()
        self.look()
        replace_older(self)

    @property
    def kind(self) -> str:
        """The kind of reading chosen."""
        return str(self._kind.value)

    def look(self) -> None:
        """List the necks anew and show what the log holds of the one chosen; where it holds none of these
        kinds, what was foretold of the reading in the boxes."""
        self._designs = designs()
        chosen = self._neck.value
        boxes.relist(self._neck, list(self._designs), chosen if chosen in self._designs else NECK_12.name)
        self._say("")
        tried = None
        if not self._year and not self._holds():
            with suppress(ValueError):
                tried = self.read()
        self._show(tried)

    def _holds(self) -> bool:
        """Does the log hold a reading of these kinds of the neck chosen? True where it cannot be read."""
        try:
            mine = kept(LOG).readings.get(self._neck.value, [])
        except ValueError:
            return True
        return any(read.kind in self._kinds for read in mine)

    def _ask(self) -> None:
        """The boxes of the kind chosen."""
        kind = KINDS[self.kind]
        self._value.description = f"{kind.words[0].upper()}{kind.words[1:]}, {kind.unit}"
        self._value.value = self._start[self.kind]
        for name, cell in self._cells.items():
            cell.layout.display = "flex" if name in kind.needs else "none"
        self._how.value = style.says(f"How: {kind.how}.")

    def read(self) -> Reading:
        """The reading in the boxes. Raises ValueError."""
        kind = KINDS[self.kind]
        told = {name: units.read(self._places[name].value, SHOWN[name][1], SHOWN[name][0]) / SHOWN[name][2]
                for name in kind.needs}
        value = units.read(self._value.value, kind.unit if kind.unit in units.UNITS else "", kind.words)
        return reading(self._neck.value, self.kind, value, self._date.value, **told)

    def compare(self) -> None:
        """Show the reading in the boxes beside what was foretold, with nothing kept."""
        found = self._comparable()
        self._say("Not kept yet.")
        self._show(found)

    def keep(self) -> None:
        """Keep the reading in the boxes in the log, and show what follows."""
        found = self._comparable()
        log.add(LOG, row_of(found))
        self._say(f"Kept in {LOG}: {KINDS[found.kind].words}, {self._value.value} "
                   f"{KINDS[found.kind].unit}, {found.neck}, {found.date}.")
        self._show()

    def _comparable(self) -> Reading:
        """The reading in the boxes. Raises ValueError if it cannot be compared with this neck."""
        found, there = self.read(), kept(LOG)
        mine = there.readings.get(found.neck, [])
        possible(self._designs[found.neck], [*mine, found], stock=there.stock).predicted(found)
        return found

    def _show(self, tried: Reading | None = None) -> None:
        design = self._designs[self._neck.value]
        try:
            there = kept(LOG)
        except ValueError as problem:
            self._result.value = style.alarm(f"{problem}.")
            self.result = Shown(self._result.value, str(problem))
            return
        mine = list(there.readings.get(design.name, []))
        made = not mine and tried is None
        if made and self._year and design == NECK_12:
            mine = list(made_necks()[0][1])
        if tried is not None:
            mine.append(tried)
        mine.sort(key=lambda read: read.date)
        self.after, refused = compared(design, mine, stock=there.stock)
        shown = readings_table(self.after, self._kinds if not self._year else (), tried)
        if used := of_design(design, there.stock):
            shown = together([shown, stock_table(used)])
        words = after_words(self.after, made and bool(mine))
        if tried is not None and self._value.value == self._start[self.kind]:
            words.insert(0, "An example stands in the boxes until you set yours.")
        words += [f"Line {row.line} of {LOG} is not compared: {row.why}." for row in there.left
                  if row.neck in (design.name, "")]
        words += [f"Not compared: {row.why}." for row in refused]
        image, told = "", ""
        if self._year:
            try:
                image, told = picture(self.after)
            except ValueError as problem:                   # a town without temperatures, say
                words.append(f"The year at home is not shown: {problem}.")
        self._put(Shown(shown.html + image + "".join(f"<p>{escape(w)}</p>" for w in words),
                        "\n".join([shown.plain, *([told] if told else []), *words])))


def neck_readings(*kinds: str, **start: str) -> NeckReadings:
    """Boxes for readings of a neck. kinds: of KINDS; none: all, with the gap's year drawn before and after
    the readings. start: what stands in the box of a kind at first (words with _ for
    spaces). Raises ValueError for a kind that is not known."""
    for kind in kinds:
        if kind not in KINDS:
            raise ValueError(f"kind of reading: {kind!r} given; accepted: {', '.join(map(repr, KINDS))}")
    given = {name.replace("_", " "): value for name, value in start.items()}
    return NeckReadings(kinds or tuple(KINDS), not kinds, given)
