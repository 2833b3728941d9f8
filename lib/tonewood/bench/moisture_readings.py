"""Moisture by hand, three ways: a piece weighed before and after the oven, a meter's reading corrected for
wood and temperature, the room a board has lain in; and what was measured carried to the tables' 12 % with the
doubt that the moisture brings.

Moisture and humidity are fractions, temperature in degrees Celsius, masses in kg.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from tonewood import checks
from tonewood.bench import measure
from tonewood.constants import DAY
from tonewood.draws import Z90, Array
from tonewood.remember import remember
from tonewood.tables import Row, read_table
from tonewood.wood import diffusion
from tonewood.wood import moisture as water
from tonewood.wood.facts import rule
from tonewood.wood.filling import worst
from tonewood.wood.finish import finish
from tonewood.wood.species import Species

METER_RANGE = 0.06, 0.25
"""Readings between which the published lines and corrections hold, fractions."""


@dataclass(frozen=True, kw_only=True)
class MoistureReading:
    """A moisture content (fraction of ovendry mass) with its standard error, how it was found, and how sure
    its weakest step is (the error of a meter and of a room is from memory)."""

    value: float
    error: float
    how: str
    status: str

    @property
    def band(self) -> tuple[float, float]:
        """5 and 95 % points (fractions), the lower never below 0."""
        return max(self.value - Z90 * self.error, 0.0), self.value + Z90 * self.error


def oven_dry(mass: float, dry_mass: float, scale: float | None = None) -> MoistureReading:
    """Moisture of a piece that weighed `mass` and, dried at 103 C until it loses no more, `dry_mass` (kg).
    scale: standard error of the scale (kg; the rule scale_reading if None): a small piece on a kitchen scale
    tells little. Raises ValueError. Source: definition, Wood Handbook, Eq. 4-1.

    >>> found = oven_dry(0.0542, 0.0500, scale=0.00005)
    >>> round(found.value, 3), round(found.error, 4)
    (0.084, 0.0033)
    """
    wet, dry = (float(checks.mass(name, value, 20.0)) for name, value in (
        ("mass before drying", mass), ("mass after drying", dry_mass)))
    step = rule("scale_reading").value / 1000 if scale is None else float(
        checks.mass("error of the scale", scale, 0.1))
    if not dry <= wet <= 4 * dry:
        raise ValueError(f"mass after drying: {dry:g} kg given after {wet:g} kg; accepted: no more than "
                         "before and at least a quarter of it. Are the two swapped, or one of them in grams?")
    value = wet / dry - 1
    error = np.hypot(rule("oven_error").value / 100, step / dry * np.hypot(1.0, 1 + value))
    return MoistureReading(value=value, error=float(error), how="weighed before and after the oven",
                           status=rule("oven_error").status)


@remember(1)
def _lines() -> dict[str, Row]:
    return {row["species"]: row for row in read_table("meter_woods.csv")}


@remember(1)
def _chart() -> tuple[Array, Array, Array]:
    """Temperatures (T,), readings (R,) and corrections (T, R) of the chart, C and fractions."""
    rows = read_table("meter_temperature.csv")
    warm, shown = (np.unique([row[name] for row in rows]) for name in ("temperature", "reading"))
    found = {(row["temperature"], row["reading"]): row["correction"] / 100 for row in rows}
    return warm, shown / 100, np.array([[found[t, m] for m in shown] for t in warm])


def temperature_correction(reading: float, temperature: float) -> float:
    """What to add to a meter's reading (fraction) in wood of `temperature` (C, 0 to 50), for a meter
    calibrated at 21 C: cold wood conducts worse and reads too dry. Raises ValueError. Source: James,
    FPL-GTR-6, Figure 5, straight between its points.

    >>> round(temperature_correction(0.12, 15.0), 4)
    0.008
    """
    warm, shown, added = _chart()
    m = float(checks.fraction("reading of the meter", reading, *METER_RANGE))
    t = float(checks.temperature("temperature of the wood", temperature, 0.0, 50.0))
    return float(np.interp(t, warm, [np.interp(m, shown, row) for row in added]))


def _through(line: Row, reading: float) -> float:
    """Moisture (fraction) of the line's wood at the resistance at which the meter's scale shows `reading`."""
    scale = _lines()["douglas_fir"]
    log_resistance = (np.log10(100 * reading) - scale["intercept"]) / scale["slope"]
    return float(10 ** (line["intercept"] + line["slope"] * log_resistance)) / 100


def by_meter(reading: float, wood: Species, temperature: float = 20.0) -> MoistureReading:
    """Moisture from a meter with pins whose scale is that of Douglas-fir: `reading` (fraction, 0.06 to 0.25)
    corrected for the wood's temperature (C), then for the wood. A meter that has a list of woods is set to
    Douglas-fir first. A wood without a line of its own gets the mean of those that have one, and their
    scatter on top of the meter's error. Raises ValueError. Source: James, FPL-GTR-6, Table 1 and Figure 5
    (rows of data/meter_woods.csv and data/meter_temperature.csv).

    >>> from tonewood.wood.species import species
    >>> found = by_meter(0.12, species("black walnut"), 21.1)
    >>> round(found.value, 3), round(found.error, 3), found.status
    (0.124, 0.015, 'from memory')
    """
    warm = temperature_correction(reading, temperature) + float(reading)
    lines, error = _lines(), rule("meter_error")
    line = lines.get(wood.key)
    if line is not None:
        return MoistureReading(value=_through(line, warm), error=error.value / 100,
                               status=worst(line["status"], error.status),
                               how="meter, corrected for wood and temperature")
    every = np.array([_through(row, warm) for row in lines.values()])
    return MoistureReading(value=float(every.mean()), status=worst("estimated", error.status),
                           error=float(np.hypot(error.value / 100, every.std(ddof=1))),
                           how="meter, corrected for temperature; no line for this wood, mean of "
                               f"{len(every)}")


def by_room(humidity: float, temperature: float, wood: Species, thickness: float, days: float = 14.0,
            came_at: float | None = None) -> MoistureReading:
    """Moisture of a bare board, open on both faces, that has lain `days` in air held at `humidity`
    (fraction) and `temperature` (C); thickness in m. came_at: its moisture when it came (fraction), None
    where nobody knows: then what has not settled yet is doubt. Raises ValueError. Source: wood.moisture and
    wood.diffusion; the errors are the rules room_error, hygrometer_reading and unsettled_start.

    >>> from tonewood.wood.species import species
    >>> found = by_room(0.42, 20.0, species("hard maple"), 0.025)
    >>> round(found.value, 3), round(found.error, 3)
    (0.08, 0.014)
    """
    ends = float(water.equilibrium_moisture(temperature, humidity))
    left = 1 - settled_share(wood, thickness, days)
    doubts = [rule("room_error").value / 100]
    off = rule("hygrometer_reading").value
    damper, drier = (water.equilibrium_moisture(temperature, min(max(humidity + way, 0.0), 1.0))
                     for way in (off, -off))
    doubts.append(float(damper - drier) / 2)
    if came_at is None:
        value, how = ends, f"room held {days:g} days, {100 * (1 - left):.0f} % of the way there"
        doubts.append(left * rule("unsettled_start").value / 100)
    else:
        start = float(checks.moisture("moisture when the board came", came_at))
        value, how = ends + left * (start - ends), f"room held {days:g} days, from a known start"
    return MoistureReading(value=value, error=float(np.linalg.norm(doubts)), how=how,
                           status=worst("estimated", rule("room_error").status))


def settled_share(wood: Species, thickness: float, days: float) -> float:
    """Share (0 to 1) of its way to the room that a bare board's mean moisture has gone after `days`, both
    faces open; thickness in m. Raises ValueError. Source: wood.diffusion, the density's usual diffusivity.

    >>> from tonewood.wood.species import species
    >>> [round(settled_share(species("hard maple"), 0.025, days), 2) for days in (7.0, 14.0, 60.0)]
    [0.49, 0.71, 0.99]
    """
    half = float(checks.length("thickness", thickness, high=0.2)) / 2
    seconds = DAY * float(checks.number("days", days, 0.0, 3650.0, "days"))
    D, film = diffusion.diffusivity(wood.density), finish("bare").film(wood.density)
    return float(diffusion.uptake(D * seconds / half**2, film * half / D))


@dataclass(frozen=True, kw_only=True)
class At12:
    """A measured value carried to 12 % moisture (in its own unit), its relative standard error, and the part
    of that which the moisture reading brings."""

    value: float
    error: float
    from_moisture: float


def _at_12(value: float, error: float, reading: MoistureReading, carry: Callable[[float], float]) -> At12:
    middle, drier, damper = (carry(max(m, 0.0)) for m in (
        reading.value, reading.value - reading.error, reading.value + reading.error))
    part = abs(damper - drier) / 2 / middle
    return At12(value=value * middle, error=float(np.hypot(error, part)), from_moisture=float(part))


def modulus_at_12(modulus: float, reading: MoistureReading, wood: Species, error: float | None = None
                  ) -> At12:
    """A modulus along the grain (Pa) measured at the moisture of `reading`, carried to 12 %: At12 in Pa.
    error: of the measurement (relative; the rule modulus_error if None). Above fibre saturation it is taken
    as level. Raises ValueError. Source: Wood Handbook, Eq. 5-3.

    >>> from tonewood.wood.species import species
    >>> read = MoistureReading(value=0.08, error=0.015, how="", status="")
    >>> found = modulus_at_12(12e9, read, species("hard maple"))
    >>> round(found.value / 1e9, 2), round(found.error, 3), round(found.from_moisture, 3)
    (11.41, 0.035, 0.019)
    """
    own = rule("modulus_error").value if error is None else float(checks.fraction("error", error, high=0.5))
    E = float(checks.modulus("modulus along the grain", modulus))
    level = min(wood.fibre_saturation, 0.30)
    return _at_12(E, own, reading, lambda m: float(
        measure.modulus_at_12(1.0, min(m, level), wood.green_ratio, wood.mp)))


def density_at_12(density: float, reading: MoistureReading, wood: Species, error: float | None = None
                  ) -> At12:
    """A density (kg/m3) measured at the moisture of `reading`, carried to 12 %: At12 in kg/m3. error: of the
    measurement (relative; the rule density_error if None). Above fibre saturation wood gains weight and
    swells no more. Raises ValueError. Source: conservation of ovendry mass.

    >>> from tonewood.wood.species import species
    >>> read = MoistureReading(value=0.08, error=0.015, how="", status="")
    >>> found = density_at_12(690.0, read, species("hard maple"))
    >>> round(found.value), round(found.error, 3)
    (701, 0.012)
    """
    own = rule("density_error").value if error is None else float(checks.fraction("error", error, 0.0, 0.5))
    measured = float(checks.number("density", density, 50.0, 2500.0, "kg/m³"))
    level = min(wood.fibre_saturation, 0.30)

    def carry(m: float) -> float:
        wet = (1 + m) / (1 + min(m, level))                          # water that no longer swells the wood
        return float(measure.density_at_12(1.0, min(m, level), wood.swelling)) / wet

    return _at_12(measured, own, reading, carry)
