"""The air wood lives in: outdoor months of known places, what heating or cooling makes of them indoors, and
the workshop.

Temperature in degrees Celsius, humidity and moisture as fractions, months 1 to 12. Outdoor air carries its
water vapour indoors unchanged; warming it lowers the relative humidity. People, cooking and plants add vapour
in winter (set it with `added`); the milder it is, the more the windows are open.
"""

from __future__ import annotations

from dataclasses import dataclass
from difflib import get_close_matches
from functools import lru_cache
from typing import TYPE_CHECKING, Any

import numpy as np

from tonewood import checks
from tonewood.draws import Array, Draws, plain
from tonewood.tables import Row, read_table
from tonewood.wood.facts import rule
from tonewood.wood.moisture import equilibrium_moisture

if TYPE_CHECKING:
    import pandas

MONTHS = ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October",
          "November",
          "December")


def saturation_pressure(temperature: Draws) -> Draws:
    """Pressure of saturated water vapour over water (Pa) at `temperature` (C, -45 to 60). Raises ValueError.

    Source: WMO-No. 8, Annex 4.B (wmo-8 in data/sources.csv): 611.2 exp(17.62 T/(243.12 + T)). Humidity of
    weather stations is given over water below freezing as well.
    >>> round(saturation_pressure(20.0))
    2333
    """
    t = np.asarray(checks.temperature("temperature", temperature, -45.0, 60.0))
    return plain(611.2 * np.exp(17.62 * t / (243.12 + t)))


@dataclass(frozen=True)
class Air:
    """Air of one or several months: temperature (C), relative humidity and the moisture content wood settles
    at in it (fractions), floats or (n,). dried: True where the vapour had to be limited (at saturation, or by
    the air conditioner)."""

    temperature: Draws
    humidity: Draws
    moisture: Draws
    dried: Any = False

    def table(self) -> pandas.DataFrame:
        """DataFrame: one row per month or case."""
        import pandas as pd
        rows = {"temperature (C)": self.temperature, "relative humidity (%)": 100 * np.asarray(self.humidity),
                "wood settles at (% moisture)": 100 * np.asarray(self.moisture)}
        return pd.DataFrame({k: np.atleast_1d(v) for k, v in rows.items()})


@dataclass(frozen=True, kw_only=True)
class Place:
    """One place: (12,) outdoor temperature (C), humidity, equilibrium moisture (fractions). temperature and
    humidity are None where only the outdoor equilibrium was published. heated_humidity, heated_moisture: the
    table's own values for this air at 20 C, nan in warmer months."""

    name: str
    country: str
    climate: str
    temperature: Array | None
    humidity: Array | None
    moisture: Array
    heated_humidity: Array
    heated_moisture: Array
    source: str
    status: str

    @property
    def vapour_pressure(self) -> Array:
        """Mean pressure of the water vapour (Pa), (12,): from the table's own hourly average where it gives
        one (heated_humidity), else from the mean temperature and humidity; the two differ by 1.3 % relative
        humidity indoors (standard deviation; 6 % at most). Raises ValueError for a place without
        temperatures."""
        if self.temperature is None or self.humidity is None:
            raise ValueError(f"place: {self.name!r} has published equilibrium moisture outdoors only, "
                             f"no temperature; accepted for a room: {', '.join(places())}")
        means = self.humidity * saturation_pressure(self.temperature)
        return np.where(np.isnan(self.heated_humidity), means,
                        self.heated_humidity * saturation_pressure(20.0))

    def table(self) -> pandas.DataFrame:
        """DataFrame: one row per month."""
        import pandas as pd
        frame: dict[str, Any] = {"month": MONTHS,
                                 "wood outdoors settles at (% moisture)": 100 * self.moisture}
        if self.temperature is not None and self.humidity is not None:
            frame |= {"temperature (C)": self.temperature, "relative humidity (%)": 100 * self.humidity}
        return pd.DataFrame(frame).set_index("month")


@lru_cache(maxsize=1)
def _places() -> dict[str, Place]:
    text = dict(place=str, country=str, climate=str, source=str, status=str)
    numbers = ("month", "temperature", "humidity", "equilibrium", "heated_humidity", "heated_equilibrium")
    required = ("place", "country", "month", "equilibrium", "source", "status")
    months: dict[str, list[Row]] = {}
    for row in read_table("climate.csv", text | dict.fromkeys(numbers, float), required):
        months.setdefault(row["place"], []).append(row)
    return {name: _place(name, rows) for name, rows in months.items()}


def _place(name: str, rows: list[Row]) -> Place:
    if [row["month"] for row in rows] != list(range(1, 13)):
        given = ", ".join(f"{row['month']:g}" for row in rows)
        raise ValueError(f"climate.csv, place {name!r}, column 'month': {given} given; "
                         "accepted: 1 to 12 in order")

    def column(key: str, scale: float = 0.01) -> Array:
        return np.array([np.nan if row[key] is None else row[key] * scale for row in rows])

    temperature, humidity = column("temperature", 1.0), column("humidity")
    known = not np.isnan(temperature).any()
    if known:
        checks.number(f"climate.csv, {name}, temperature", temperature, -45.0, 50.0, "degrees C")
        checks.fraction(f"climate.csv, {name}, humidity", humidity)
    return Place(name=name, **{key: rows[0][key] for key in ("country", "climate", "source", "status")},
                 temperature=temperature if known else None, humidity=humidity if known else None,
                 moisture=column("equilibrium"), heated_humidity=column("heated_humidity"),
                 heated_moisture=column("heated_equilibrium"))


def places(indoor: bool = True) -> tuple[str, ...]:
    """The places by name. indoor: only those whose temperature is known, so that rooms there can be worked
    out.
    >>> "Helsinki" in places(), len(places()) < len(places(indoor=False))
    (True, True)
    """
    return tuple(name for name, place in _places().items() if place.temperature is not None or not indoor)


def place(name: str) -> Place:
    """The Place called `name`; the town without its suffix is enough where it is the only one, or the only
    one with temperatures. Raises ValueError with near names.
    >>> place("denver").name
    'Denver (Aurora)'
    """
    found = _places()
    if name in found:
        return found[name]
    plain = str(name).strip().lower()
    close = ([n for n in found if n.lower() == plain]
             or [n for n in found if n.lower().split(" (")[0].split(",")[0] == plain])
    for choice in (close, [n for n in close if found[n].temperature is not None]):
        if len(choice) == 1:
            return found[choice[0]]
    near = close or get_close_matches(str(name), found, 3, 0.5)
    hint = f". Did you mean {' or '.join(map(repr, near))}?" if near else ""
    raise ValueError(f"place: {name!r} given; accepted: one of the {len(found)} places of the climate table "
                     f"(places()){hint}")


def month_number(month: int | str) -> int:
    """1 to 12 from a number or an English name (three letters are enough). Raises ValueError.
    >>> month_number("Oct")
    10
    """
    if not isinstance(month, str):
        return checks.whole("month", month, 1, 12)
    given = month.strip().lower()
    match = [i for i, name in enumerate(MONTHS, 1) if len(given) >= 3 and name.lower().startswith(given)]
    if len(match) != 1:
        raise ValueError(f"month: {month!r} given; accepted: 1 to 12 or a name, {', '.join(MONTHS)}")
    return match[0]


def _added(value: Draws | None) -> Draws:
    return checks.fraction("added humidity", rule("added_humidity").value if value is None else value,
                           high=0.5)


def brought_indoors(temperature_out: Draws, humidity_out: Draws, temperature: Draws = 20.0,
                    added: Draws = 0.0) -> Draws:
    """Relative humidity (fraction, at most 1) of outdoor air brought to `temperature` (C), plus `added`
    relative humidity. Broadcasts. Raises ValueError. Derived: the vapour is kept.
    >>> round(brought_indoors(-5.0, 0.8), 3)
    0.145
    """
    h = np.asarray(checks.fraction("outdoor relative humidity", humidity_out))
    vapour = h * saturation_pressure(temperature_out)
    return plain(np.minimum(vapour / saturation_pressure(temperature) + _added(added), 1.0))


def indoor(name: str, month: int | str | None = None, temperature: float = 20.0, added: float | None = None,
           cooled: bool = False, held: tuple[float, float] | None = None) -> Air:
    """The air of a room at `name` in `month` (a number, a name, or None for all twelve).

    temperature: what the room is heated to (C); in months warmer than that the room is as warm as outdoors,
    unless `cooled`: then it is brought down to `temperature` and dried to at most the rule cooled_dew_point.
    added: relative humidity from people (fraction) at 0 C outdoors and below (the rule added_humidity if
    None); it fades to nothing at the room's temperature as windows open. held: (low, high) humidity between
    which a humidifier and a dehumidifier keep it, or None. Raises ValueError, also for a place without
    temperatures.
    >>> round(indoor("Helsinki", "January").humidity, 2)
    0.29
    """
    where = place(name)
    pick = slice(None) if month is None else month_number(month) - 1
    vapour, outside = where.vapour_pressure[pick], where.temperature[pick]  # type: ignore[index]
    setting = checks.temperature("room temperature", temperature, 5.0, 35.0)
    warm = outside > setting
    room = np.where(warm & (not cooled), outside, setting)
    windows_shut = np.clip((setting - outside) / setting, 0.0, 1.0)
    h = vapour / saturation_pressure(room) + _added(added) * windows_shut
    coil = saturation_pressure(rule("cooled_dew_point").value)
    limit = np.where(warm & cooled, np.minimum(coil / saturation_pressure(room), 1.0), 1.0)
    dried, h = h > limit, np.minimum(h, limit)
    if held is not None:
        low, high = (checks.fraction(f"humidity held {which}", value)
                     for which, value in zip(("from", "to"), held, strict=True))
        if low > high:
            raise ValueError(f"humidity held: from {low:g} to {high:g} given; "
                             "accepted: the lower value first")
        h = np.clip(h, low, high)
    moisture = equilibrium_moisture(room, h)
    if month is None:
        return Air(room, h, moisture, dried)
    return Air(float(room), float(h), float(moisture), bool(dried))


def workshop(humidity: Draws | None = None, temperature: Draws = 20.0) -> Air:
    """The air of a workshop held at `humidity` (fraction; the rule workshop_humidity if None) and
    `temperature` (C). Raises ValueError.
    >>> round(workshop().moisture, 4)
    0.0849
    """
    h = checks.fraction("workshop humidity",
                        rule("workshop_humidity").value if humidity is None else humidity)
    t = checks.temperature("workshop temperature", temperature, 5.0, 40.0)
    return Air(t, h, equilibrium_moisture(t, h))
