"""Readings of a neck while it is built and through its first year at home: what can be read, with which unit,
what else must be known beside it, and how well it is read.

SI inside (a form shows `Kind.unit`); humidity as a fraction. Reading
errors are rules of data/rules.csv, mostly common practice.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date as Day
from functools import cached_property

import numpy as np

from tonewood import checks
from tonewood.constants import GRAVITY
from tonewood.draws import Z90, readable
from tonewood.tables import read_table
from tonewood.wood.facts import rule

WORKSHOP, HOME = "in the workshop", "at home"
_UNITS = {"g": (1e-3, "kg"), "mm": (1e-3, "m"), "%": (1e-2, "(a fraction)"), "turns": (1.0, "turns"),
          "fret": (1.0, "(a fret)")}
"""What one of each unit that people read is in SI, and that unit's name."""


@dataclass(frozen=True, kw_only=True)
class Kind:
    """One kind of reading: words, the unit people read it in and what one of it is in SI, the range accepted
    (in that unit), where it is read, the circumstances it needs (fields of Reading), and how it is done."""

    words: str
    unit: str
    si: float
    low: float
    high: float
    where: str
    needs: tuple[str, ...]
    how: str


KINDS = {row["kind"]: Kind(words=row["words"], unit=row["unit"], si=_UNITS[row["unit"]][0], low=row["low"],
                           high=row["high"], where=row["done"], needs=tuple(row["needs"].split()),
                           how=row["how"]) for row in read_table("neck_readings.csv")}
"""What can be read."""

LIMITS = {"load": (0.5, 500.0, "N"), "span": (0.2, 1.5, "m"), "thickness": (0.008, 0.08, "m"),
          "length": (0.2, 2.0, "m"), "humidity": (0.03, 0.99, "(a fraction)")}
"""Range accepted of each circumstance, SI."""


@dataclass(frozen=True, kw_only=True)
class Reading:
    """One reading of one neck. Raises ValueError.

    neck: its name; kind: a key of KINDS; value in SI; date (a date, or '2026-11-27'). error: standard
    uncertainty of the reading in SI, None: as usual for the kind. Circumstances, SI, as KINDS[kind].needs
    asks: load (N), span, thickness, length (m) of the blank, humidity of the dry room (fraction), fret,
    string (1: the thinnest). note: free words.
    """

    neck: str
    kind: str
    value: float
    date: Day
    error: float | None = None
    load: float | None = None
    span: float | None = None
    thickness: float | None = None
    length: float | None = None
    humidity: float | None = None
    fret: int | None = None
    string: int | None = None
    note: str = ""

    def __post_init__(self) -> None:
        kind = KINDS[checks.choice("kind of reading", self.kind, KINDS)]
        if not str(self.neck).strip():
            raise ValueError("neck: no name given; accepted: the name of the neck that was read")
        object.__setattr__(self, "date", day(self.date))
        object.__setattr__(self, "value", float(checks.number(kind.words, self.value,
                                                                unit=_UNITS[kind.unit][1])))
        shown = self.value / kind.si
        if not kind.low - 1e-9 <= shown <= kind.high + 1e-9:
            raise ValueError(readable(f"{kind.words}: {shown:g} {kind.unit} given; accepted: from "
                                      f"{kind.low:g} to {kind.high:g} {kind.unit}{_slip(kind, shown)}"))
        if self.error is not None:
            checks.number(f"error of the {kind.words}", self.error, 0.0, abs(kind.si) * kind.high,
                          open_low=True)
        for name in kind.needs:
            given = getattr(self, name)
            if given is None:
                raise ValueError(f"{self.kind}: no {name} given; accepted: a reading with its "
                                 f"{', '.join(kind.needs)}")
            if name in LIMITS:
                low, high, unit = LIMITS[name]
                found = (checks.length(name, given, low, high) if unit == "m" else
                         _load(given, low, high) if unit == "N" else checks.fraction(name, given, low, high))
                object.__setattr__(self, name, float(found))
            else:
                object.__setattr__(self, name, checks.whole(name, given, 1, 36))
        if "span" in kind.needs and self.span is not None and self.thickness is not None:
            checks.number("span over thickness", self.span / self.thickness, 12.0,
                          slip="Bend a longer span: shear would hide the bending")

    @cached_property
    def shown(self) -> float:
        """The value in the unit people read."""
        return self.value / KINDS[self.kind].si

    @cached_property
    def doubt(self) -> float:
        """Standard uncertainty of the reading in SI: as told, else by the rules of its kind."""
        if self.error is not None:
            return self.error
        feeler = 1e-3 * rule("feeler_reading").value / Z90
        return {"blank weight": rule("density_error").value * abs(self.value),
                "blank sag": float(np.hypot(rule("modulus_error").value * self.value, 1e-5)),
                "strip bow": np.sqrt(2.0) * feeler, "rod turns": rule("turn_reading").value,
                "room humidity": rule("hygrometer_reading").value,
                "twist": 1e-3 * rule("winding_reading").value,
                "dead note": 12**-0.5}.get(self.kind, feeler)


def _slip(kind: Kind, shown: float) -> str:
    """The likely slip of a value out of range, as a sentence, or nothing."""
    for other in (shown * 1000, shown / 1000) if kind.unit in ("mm", "g") else ():
        if kind.low <= other <= kind.high and abs(shown) > 1e-6:
            return f". Did you mean {other:g} {kind.unit}?"
    return ". A percentage as a fraction?" if kind.unit == "%" and 0 < shown < kind.low else ""


def _load(value: float, low: float, high: float) -> float:
    return float(checks.number("load", value, low, high, "N", lambda v: f"Grams? {v:g} g pull with "
                               f"{v * GRAVITY / 1000:.3g} N" if v > high else None))


def day(given: Day | str) -> Day:
    """A date from itself or from words as '2026-11-27' (year, month, day). Raises ValueError.

    >>> day("2026-11-27").month
    11
    """
    if isinstance(given, Day):
        return given
    try:
        return Day.fromisoformat(str(given).strip())
    except ValueError:
        raise ValueError(f"date: {given!r} given; accepted: year, month and day as in 2026-11-27") from None


def reading(neck: str, kind: str, shown: float, date: Day | str, **circumstances: float | int | str | None
            ) -> Reading:
    """A Reading of a value in the unit people read (Kind.unit); circumstances in SI. Raises ValueError.

    >>> reading("No. 12", "gap, strings on", 0.31, "2026-10-03", fret=8).value
    0.00031
    """
    of = KINDS[checks.choice("kind of reading", kind, KINDS)]
    told = float(checks.number(of.words, shown, unit=of.unit))
    if of.unit == "mm" and 0 < abs(told) < 0.005:
        raise ValueError(f"{of.words}: {told:g} mm given; accepted: 0, or at least 0.005 mm; nothing finer "
                         f"is read here. Did you mean {1000 * told:g} mm ({told:g} m)?")
    return Reading(neck=neck, kind=kind, value=round(told * of.si, 12), date=day(date),
                   **circumstances)  # type: ignore[arg-type]
