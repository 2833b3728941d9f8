"""What a row of the log can hold: one measurement of a board or a neck, its columns with their units and
ranges, and the kinds of measurement.

SI inside; in the file the units people read, which stand in the header. A file may use others of the units
listed; its columns keep them. Ranges are wide bounds that catch a slip of the unit. Definition: this file.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field, fields
from datetime import date as Day
from math import isfinite, pi
from typing import Any, NamedTuple

from tonewood import checks
from tonewood.constants import GRAVITY, INCH, POUND
from tonewood.draws import readable

LONGEST_TEXT = 2000
"""Signs of a note or a label: a spreadsheet's cell, and a row that can still be looked at."""


class Kind(NamedTuple):
    """A kind of measurement: what it is in words, the columns it cannot do without, the units that `value`
    may have (none: no value)."""

    words: str
    needs: tuple[str, ...] = ()
    units: tuple[str, ...] = ()


MEASURED: dict[str, Kind] = {
    "weigh": Kind("mass, with the sizes", ("mass",)),
    "bend": Kind("bent over two supports; load and deflection are differences",
                 ("load", "deflection", "span")),
    "tap": Kind("lowest tone of the free board", ("frequency",)),
    "twist tap": Kind("lowest twisting tone of the free board", ("frequency",)),
    "moisture meter": Kind("reading of a meter set to Douglas-fir, with the wood's temperature; without "
                           "one it counts as corrected already", ("moisture",)),
    "slanted strip": Kind("strip sawn at an angle: its stiffness, of a straight one's of the same board",
                          ("value", "slope"), ("%",)),
    "oven-dry": Kind("mass before, and as value the mass after drying", ("mass", "value"), ("g",)),
    "blank weight": Kind("weight of a glued blank", ("value",), ("g",)),
    "blank sag": Kind("sag of a blank under a weight", ("value",), ("mm",)),
    "strip bow": Kind("bow of a glued strip", ("value",), ("mm",)),
    "gap, strings off": Kind("gap at the fret named, before the strings go on", ("value",), ("mm",)),
    "gap, strings on": Kind("gap at the fret named, tuned, rod slack", ("value",), ("mm",)),
    "gap, rod set": Kind("gap at the fret named, rod as it was set", ("value",), ("mm",)),
    "rod turns": Kind("turns of the rod's nut from finger tight", ("value",), ("turns",)),
    "room humidity": Kind("relative humidity of the room", ("value",), ("%",)),
    "twist": Kind("twist from the first to the last fret", ("value",), ("mm", "degrees")),
    "dead note": Kind("a note that dies sooner than those beside it", ("value",), ("fret", "s", "dB/s")),
    "free note": Kind("T60 of any note, or how far it falls each second", ("value",), ("s", "dB/s")),
    "other": Kind("anything else; the note says what", ("value", "unit"))}
"""What can be measured."""


@dataclass(frozen=True, kw_only=True)
class Column:
    """A column: field of Measurement; words and unit of its header; type of its cells; range accepted in that
    unit; SI value of one unit; other units, each as (factor, offset) to the unit."""

    name: str
    words: str = ""
    type: str = "number"
    unit: str = ""
    low: float = float("-inf")
    high: float = float("inf")
    si: float = 1.0
    units: dict[str, tuple[float, float]] = field(default_factory=dict)

    @property
    def header(self) -> str:
        """Its name in a file, with the unit."""
        words = self.words or self.name
        return f"{words} ({self.unit})" if self.unit else words

    def accepted(self) -> str:
        """The range accepted, with its unit."""
        unit = f" {self.unit}" if self.unit else ""
        whole = "a whole number " if self.type == "whole" else ""
        return (readable(f"{whole}from {self.low:g} to {self.high:g}{unit}") if isfinite(self.low) else
                f"a number{unit}")

    def refused(self, value: float, typed: float | None = None) -> str | None:
        """Why a value in the column's own unit, typed as this number, is not accepted, with the likely slip;
        None where it is."""
        if isfinite(value) and self.low <= value <= self.high and not (self.type == "whole" and value % 1):
            return None
        for unit, (factor, offset) in self.units.items():
            there = (typed := value if typed is None else typed) * factor + offset
            if self.low <= there <= self.high and unit not in ("in", "oz", "lb"):
                plain = f"{typed:g} {unit or 'as a bare number'}"
                return f"{self.accepted()}. Did you mean {plain}, that is {there:g} {self.unit}?"
        return self.accepted()


_MM = {"m": (1000.0, 0.0), "cm": (10.0, 0.0), "in": (1e3 * INCH, 0.0)}
_SHARE = {"fraction": (100.0, 0.0)}
COLUMNS: tuple[Column, ...] = (
    Column(name="date", type="date"), Column(name="board", type="text"), Column(name="neck", type="text"),
    Column(name="wood", type="text"), Column(name="measured", type="kind"),
    Column(name="length", unit="mm", low=10, high=3000, si=1e-3, units=_MM),
    Column(name="width", unit="mm", low=1, high=1000, si=1e-3, units=_MM),
    Column(name="thickness", unit="mm", low=0.3, high=300, si=1e-3, units=_MM),
    Column(name="mass", unit="g", low=1, high=100e3, si=1e-3,
           units={"kg": (1000.0, 0.0), "oz": (1e3 * POUND / 16, 0.0), "lb": (1e3 * POUND, 0.0)}),
    Column(name="load", unit="kg", low=0.005, high=500, si=GRAVITY,
           units={"g": (1e-3, 0.0), "N": (1 / GRAVITY, 0.0), "lb": (POUND, 0.0)}),
    Column(name="span", unit="mm", low=10, high=3000, si=1e-3, units=_MM),
    Column(name="deflection", unit="mm", low=0.001, high=200, si=1e-3, units=_MM),
    Column(name="frequency", unit="Hz", low=5, high=20000, units={"kHz": (1000.0, 0.0)}),
    Column(name="loss", words="loss factor", unit="thousandths", low=0.5, high=300, si=1e-3,
           units={"": (1000.0, 0.0), "%": (10.0, 0.0)}),
    Column(name="moisture", unit="%", low=1, high=200, si=0.01, units=_SHARE),
    Column(name="temperature", unit="°C", low=-40, high=60,
           units={"°F": (1 / 1.8, -32 / 1.8), "C": (1.0, 0.0), "F": (1 / 1.8, -32 / 1.8)}),
    Column(name="humidity", unit="%", low=1, high=100, si=0.01, units=_SHARE),
    *(Column(name=name, words=words, unit="degrees", low=low, high=high, si=pi / 180,
             units={"rad": (180 / pi, 0.0)}) for name, words, low, high in (
        ("ring_angle", "ring angle", 0, 90), ("run_out", "run-out", -45, 45),
        ("slope", "slope of grain", -45, 45))),
    Column(name="string", type="whole", low=1, high=36), Column(name="fret", type="whole", low=0, high=36),
    Column(name="value"), Column(name="unit", type="text"), Column(name="who", type="text"),
    Column(name="note", type="text"))
"""Every column, in the order of a new file."""

BY_NAME = {column.name: column for column in COLUMNS}


@dataclass(frozen=True, kw_only=True)
class Measurement:
    """One measurement of a board or a neck. Raises ValueError.

    date (or text as 2026-11-27); board, neck: labels, at least one; wood: key or name, "" for unknown;
    measured: a key of MEASURED; length, width, thickness, span, deflection (m); mass (kg); load (N);
    frequency (Hz); loss: loss factor; moisture and humidity (fractions); temperature (°C); ring_angle,
    run_out, slope (rad); string, fret: counts; value with its unit, as people read it, for what has no
    column; who: a label only; note. more: (header, text) of columns of the
    learner's own; line: where it stands in its file, 0 before it is kept.
    >>> Measurement(date="2026-11-27", board="A7", measured="weigh", mass=0.412).date.year
    2026
    """

    date: Day | str
    measured: str
    board: str = ""
    neck: str = ""
    wood: str = ""
    length: float | None = None
    width: float | None = None
    thickness: float | None = None
    mass: float | None = None
    load: float | None = None
    span: float | None = None
    deflection: float | None = None
    frequency: float | None = None
    loss: float | None = None
    moisture: float | None = None
    temperature: float | None = None
    humidity: float | None = None
    ring_angle: float | None = None
    run_out: float | None = None
    slope: float | None = None
    string: int | None = None
    fret: int | None = None
    value: float | None = None
    unit: str = ""
    who: str = ""
    note: str = ""
    more: tuple[tuple[str, str], ...] = ()
    line: int = 0

    def __post_init__(self) -> None:
        for column in COLUMNS:
            given = getattr(self, column.name)
            if column.type in ("number", "whole"):
                good: Any = None if given is None else self._number(column, given)
            elif column.type == "date":
                good = given if isinstance(given, Day) else day(str(given))
            else:
                good = kind_of(str(given)) if column.type == "kind" else _text(column.name, given)
            object.__setattr__(self, column.name, good)
        object.__setattr__(self, "more", tuple((str(h).strip(), _text(str(h), t)) for h, t in self.more))
        if trouble := missing(self.measured, {f.name for f in fields(self)
                                              if getattr(self, f.name) not in (None, "")}, self.unit):
            raise ValueError(f"{trouble[0]}: {trouble[1]}")

    def _number(self, column: Column, given: Any) -> float:
        words = column.words or column.name
        value = float(checks.number(words, given))
        shown = float(f"{value / column.si:.12g}")
        if why := column.refused(shown):
            if column.si < 1 and column.low <= value <= column.high:
                why += f". Here SI units count: {value:g} {column.unit} is {value * column.si:g}"
            raise ValueError(readable(f"{words}: {shown:g} {column.unit}".rstrip()
                                      + f" given; accepted: {why}"))
        return int(value) if column.type == "whole" else value


def _text(name: str, given: Any) -> str:
    text = re.sub(r"\r\n?", "\n", str(given)).strip()
    if len(text) > LONGEST_TEXT or text.count("\n") > 50 or re.search(r"[\x00-\x08\x0b-\x1f\x7f]", text):
        raise ValueError(f"{name}: {text[:30]!r}… of {len(text)} signs given; accepted: up to {LONGEST_TEXT} "
                         "signs on up to 50 lines, no control signs")
    return text


def missing(measured: str, there: set[str], unit: str) -> tuple[str, str] | None:
    """(column, what is accepted) of what a measurement of this kind, with the columns `there` filled and this
    unit of its value, still lacks; None where it is whole.

    >>> missing("tap", {"date", "board"}, "")
    ('frequency', "empty; accepted: a number, which 'tap' cannot do without")
    """
    kind = MEASURED[measured]
    if "board" not in there and "neck" not in there:
        return "board", "empty, and so is neck; accepted: the label of the board or neck that was measured"
    for name in kind.needs:
        if name not in there:
            what = "a unit" if name == "unit" else "a number"
            return name, f"empty; accepted: {what}, which {measured!r} cannot do without"
    if kind.units and unit not in kind.units:
        return "unit", f"{unit!r} given; accepted: {' or '.join(kind.units)} for {measured!r}"
    return None


def kind_of(text: str) -> str:
    """The key of MEASURED that a text names, capitals or not. Raises ValueError that lists them.
    >>> kind_of(" Twist TAP")
    'twist tap'
    """
    plain = " ".join(text.casefold().split())
    return plain if plain in MEASURED else checks.choice("measured", text, MEASURED)


_DATE = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})(?:[T ][\d:.Z+-]*)?|(\d{1,2})\.(\d{1,2})\.(\d{4})")


def day(text: str) -> Day:
    """A date from text: year, month, day as in 2026-11-27 (a time behind it is passed over), or 27.11.2026,
    as some spreadsheets write it. Raises ValueError for others, 11/27/26 among them: which is the month?

    >>> day("27.11.2026").isoformat()
    '2026-11-27'
    """
    if found := _DATE.fullmatch(text.strip()):
        year, month, date, *other = (int(part) if part else 0 for part in found.groups())
        if other[2]:
            date, month, year = other
        try:
            if 1900 <= year <= 2200:
                return Day(year, month, date)
        except ValueError:
            pass
    raise ValueError(f"date: {text!r} given; accepted: year, month and day as in 2026-11-27")


def _folded(header: str) -> str:
    return re.sub(r"[^\w%°]+|_+", " ", header.casefold()).strip()


_HEADERS: dict[str, tuple[Column, float, float]] = {}
for _column in COLUMNS:
    for _name in {_column.name, _column.words or _column.name}:
        for _unit, _turn in {_column.unit: (1.0, 0.0), **_column.units}.items():
            _HEADERS[_folded(f"{_name} {_unit}")] = (_column, *_turn)


def column_of(header: str) -> tuple[Column, float, float] | None:
    """The column that a header names, capitals and brackets aside, with factor and offset from the unit it
    names to the column's own; None for a column of the learner's own. Raises ValueError for a column that is
    known but whose unit is missing or not known.

    >>> column_of("Length [cm]")[1:], column_of("length")
    Traceback (most recent call last):
    ValueError: 'length': no unit that is known; accepted: length (mm), length (m), length (cm), length (in)
    """
    folded = _folded(header)
    if folded in _HEADERS:
        return _HEADERS[folded]
    before = re.split(r"[(\[]", header)[0]
    known = {_folded(c.name): c for c in COLUMNS} | {_folded(c.words): c for c in COLUMNS if c.words}
    if column := known.get(_folded(before)):
        words = column.words or column.name
        accepted = ", ".join(f"{words} ({unit})" if unit else words for unit in (column.unit, *column.units))
        raise ValueError(f"{header!r}: no unit that is known; accepted: {accepted}")
    return None
