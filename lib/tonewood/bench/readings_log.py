"""Readings of necks out of the log and into it: a row of the log is a Measurement (bench.log_columns), whose
kinds of neck readings are those of bench.readings. Definition of both: those files."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date as Day

from tonewood.bench.foretold import READ
from tonewood.bench.log_columns import Measurement
from tonewood.bench.readings import KINDS, Reading, reading

PLACES = ("load", "span", "thickness", "length", "humidity", "fret", "string")
"""Circumstances that a row and a Reading both name, SI in both."""

OTHERWISE, LEFT = Day(2026, 10, 15), 0.0002
"""Day and gap (m) with which a neck leaves the workshop where nothing was read."""


@dataclass(frozen=True)
class NotRead:
    """A row of the log about a neck that gives no reading, and why: line of the file, neck, reason."""

    line: int
    neck: str
    why: str


def readings_of(rows: Iterable[Measurement]) -> tuple[dict[str, list[Reading]], list[NotRead]]:
    """Readings by neck, each in the order of their dates (text), and the rows about necks that give none.

    >>> row = Measurement(date="2026-10-03", neck="A", measured="gap, strings on", value=0.3, unit="mm",
    ...                   fret=8)
    >>> readings_of([row])[0]["A"][0].shown
    0.3
    """
    found: dict[str, list[Reading]] = {}
    left: list[NotRead] = []
    for row in rows:
        if not row.neck or row.measured not in KINDS:
            continue
        try:
            found.setdefault(row.neck, []).append(_reading(row))
        except ValueError as problem:
            left.append(NotRead(row.line, row.neck, str(problem)))
    return {neck: sorted(mine, key=lambda r: r.date) for neck, mine in found.items() if mine}, left


def _reading(row: Measurement) -> Reading:
    kind = KINDS[row.measured]
    if row.unit != kind.unit:
        raise ValueError(f"unit: {row.unit!r} given; compared here in {kind.unit}")
    told = {name: getattr(row, name) for name in kind.needs}
    if "fret" in told and told["fret"] is None:
        told["fret"] = READ
    return reading(row.neck, row.measured, float(row.value or 0.0), row.date, note=row.note, **told)


def row_of(read: Reading) -> Measurement:
    """The row of the log that keeps a reading, its value in the unit people read.

    >>> row_of(reading("A", "rod turns", 0.25, "2026-10-03")).value
    0.25
    """
    told = {name: getattr(read, name) for name in PLACES if getattr(read, name) is not None}
    return Measurement(date=read.date, neck=read.neck, measured=read.kind, value=round(read.shown, 9),
                       unit=KINDS[read.kind].unit, note=read.note, **told)


def delivery(readings: Iterable[Reading]) -> tuple[Day, float]:
    """(day, gap at fret READ in m) a neck left the workshop with: those of its first reading with the rod
    set, else the later of its last reading and OTHERWISE, and LEFT.

    >>> delivery([reading("A", "gap, rod set", 0.25, "2026-11-02", fret=8)])
    (datetime.date(2026, 11, 2), 0.00025)
    """
    readings = sorted(readings, key=lambda read: read.date)
    for read in readings:
        if read.kind == "gap, rod set":
            return read.date, read.value
    return max([OTHERWISE, *(read.date for read in readings)]), LEFT
