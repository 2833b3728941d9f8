"""The air wood lives in: outdoor months of known places, what heating and cooling make of them indoors, and
the workshop.

Temperature in degrees Celsius, humidity and moisture as fractions, months 1 to 12. Outdoor air carries its
water vapour indoors unchanged; warming it lowers the relative humidity. People, cooking and plants add vapour
in winter (set it with `added`); the milder it is, the more the windows are open. An air conditioner runs in
the hours that are warmer than the thermostat less what sun and people add (rule free_heat); the hours of a
month scatter about its mean as a normal curve (rule hourly_spread), and in the hours of cooling the vapour is
limited to saturation at the coil (rule cooled_dew_point). Left out: that vapour comes in spells of its own,
and what walls and furniture take up between day and night; against hour-by-hour typical years the cap is good
to about 3 % relative humidity, at most 7 %.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from difflib import get_close_matches
from typing import TYPE_CHECKING, Any

import numpy as np

from tonewood import checks
from tonewood.draws import Array, Draws, normal_share, plain
from tonewood.remember import remember
from tonewood.tables import Row, read_table
from tonewood.wood.facts import rule
from tonewood.wood.moisture import equilibrium_moisture

if TYPE_CHECKING:
    import pandas

MONTHS = ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October",
          "November", "December")


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
    at in it (fractions), floats or (n,)."""

    temperature: Draws
    humidity: Draws
    moisture: Draws

    def table(self) -> pandas.DataFrame:
        """DataFrame: one row per month or case."""
        import pandas as pd
        rows = {"temperature (C)": self.temperature, "relative humidity (%)": 100 * np.asarray(self.humidity),
                "wood settles at (% moisture)": 100 * np.asarray(self.moisture)}
        return pd.DataFrame({k: np.atleast_1d(v) for k, v in rows.items()})


@dataclass(frozen=True)
class Home:
    """What is usual in the homes of a region: heated_to (C) and cooled_share, the share of homes with air
    conditioning (fraction; None: no figure on file), both rows of data/rooms.csv with source and status."""

    heated_to: Row
    cooled_share: Row | None

    @property
    def heated(self) -> float:
        """Temperature homes there are heated to, C."""
        return float(self.heated_to["value"])

    @property
    def cooled(self) -> bool:
        """True where more than half of the homes are cooled."""
        return self.cooled_share is not None and self.cooled_share["value"] > 50


@dataclass(frozen=True, kw_only=True)
class Place:
    """One place: (12,) outdoor temperature (C), humidity, equilibrium moisture (fractions). temperature and
    humidity are None where only the outdoor equilibrium was published, and so is `home`. vapour: pressure of
    the water vapour (Pa) averaged over hours or days, nan where the table gives none. station, period: where
    and when it was measured."""

    name: str
    country: str
    continent: str
    station: str
    period: str
    temperature: Array | None
    humidity: Array | None
    moisture: Array
    vapour: Array
    home: Home | None
    source: str
    status: str
    note: str

    @property
    def listed(self) -> str:
        """Town, country and continent, as it stands in a list."""
        return f"{self.name} · {self.country} · {self.continent}"

    @property
    def vapour_pressure(self) -> Array:
        """Mean pressure of the water vapour (Pa), (12,): the table's own average over hours where it gives
        one, else from the mean temperature and humidity; brought indoors the two differ by 1.2 % relative
        humidity (standard deviation; 5 % at most). Raises ValueError for a place without temperatures."""
        if self.temperature is None or self.humidity is None:
            raise ValueError(f"place: {self.name!r} has published equilibrium moisture outdoors only, "
                             "no temperature; accepted for a room: one of the "
                             f"{len(places())} places of places(), such as {', '.join(places()[::20])}")
        means = self.humidity * saturation_pressure(self.temperature)
        return np.where(np.isnan(self.vapour), means, self.vapour)

    def table(self) -> pandas.DataFrame:
        """DataFrame: one row per month."""
        import pandas as pd
        frame: dict[str, Any] = {"month": MONTHS,
                                 "wood outdoors settles at (% moisture)": 100 * self.moisture}
        if self.temperature is not None and self.humidity is not None:
            frame |= {"temperature (C)": self.temperature, "relative humidity (%)": 100 * self.humidity}
        return pd.DataFrame(frame).set_index("month")


@remember(1)
def _homes() -> dict[str, Home]:
    facts: dict[str, dict[str, Row]] = {}
    for row in read_table("rooms.csv"):
        facts.setdefault(row["region"], {})[row["fact"]] = row
    if lacking := [region for region, found in facts.items() if "heated_to" not in found]:
        raise ValueError(f"rooms.csv: no row 'heated_to' for {', '.join(lacking)}; accepted: one each region")
    return {region: Home(found["heated_to"], found.get("cooled_share")) for region, found in facts.items()}


@remember(1)
def _places() -> dict[str, Place]:
    months: dict[str, list[Row]] = {}
    for row in read_table("climate.csv"):
        months.setdefault(row["place"], []).append(row)
    return {town["place"]: _place(town, months.get(town["place"], [])) for town in read_table("towns.csv")}


def _place(town: Row, rows: list[Row]) -> Place:
    name, region = town["place"], town["region"]
    if [row["month"] for row in rows] != list(range(1, 13)):
        given = ", ".join(f"{row['month']:g}" for row in rows)
        raise ValueError(f"climate.csv, place {name!r}, column 'month': {given} given; "
                         "accepted: 1 to 12 in order")

    def column(key: str, scale: float) -> Array:
        return np.array([np.nan if row[key] is None else row[key] * scale for row in rows])

    temperature, humidity, moisture = column("temperature", 1.0), column("humidity", 0.01), column(
        "equilibrium", 0.01)
    if known := not np.isnan(temperature + humidity).any():
        if region not in _homes():
            raise town.fault("region", "a region of rooms.csv for a town with temperatures")
        moisture = np.asarray(equilibrium_moisture(temperature, humidity))
    elif np.isnan(moisture).any():
        raise ValueError(f"climate.csv, place {name!r}: temperature and humidity or the equilibrium are "
                         "missing in some month; accepted: all twelve")
    told = ("country", "continent", "station", "period", "source", "status", "note")
    return Place(name=name, **{key: town[key] for key in told}, temperature=temperature if known else None,
                 humidity=humidity if known else None, moisture=moisture, vapour=column("vapour", 100.0),
                 home=_homes()[region] if known else None)


def places(indoor: bool = True) -> tuple[str, ...]:
    """The places by name, in the order of continent, country and town. indoor: only those whose temperature
    is known, so that rooms there can be worked out.
    >>> "Helsinki" in places(), len(places()) < len(places(indoor=False))
    (True, True)
    """
    return tuple(name for name, place in _places().items() if place.temperature is not None or not indoor)


def place(name: str) -> Place:
    """The Place called `name`; the town is enough, and a station in brackets behind it is passed over. Raises
    ValueError with near names.
    >>> place("denver").name, place("Detroit").name
    ('Denver', 'Detroit, MI')
    """
    found = _places()
    if name in found:
        return found[name]
    plain = str(name).split(" (")[0].strip().lower()
    for close in ([n for n in found if n.lower() == plain],
                  [n for n in found if n.lower().split(",")[0] == plain]):
        if close:
            return found[close[0]]
    near = get_close_matches(str(name), found, 3, 0.5)
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


def cooling_hours(outside: Draws, cooled_to: Draws | None = None) -> Draws:
    """Share (0 to 1) of a month's hours in which a home cooled to `cooled_to` (C; the rule cooled_to if None)
    is being cooled, its mean outdoors being `outside` (C). Broadcasts. Estimated: the hours are normal about
    the mean (rule hourly_spread), cooling begins the rule free_heat below the thermostat. Raises ValueError.
    >>> [round(cooling_hours(t, 24.0), 2) for t in (5.0, 18.0, 24.0)]
    [0.0, 0.5, 0.92]
    """
    given = rule("cooled_to").value if cooled_to is None else cooled_to
    outside = checks.temperature("outdoor temperature", outside, -60.0, 65.0)
    above = np.asarray(outside) - checks.temperature("cooled to", given, 10, 35) + rule("free_heat").value
    return normal_share(above / rule("hourly_spread").value)


def room(outside: Draws, vapour: Draws, heated_to: Draws = 20.0, added: Draws | None = None,
         cooled_to: Draws | None = None) -> Air:
    """The air of a room over a month whose outdoor mean is `outside` (C), its vapour pressure `vapour` (Pa).

    heated_to (C): in months warmer than that the room is as warm as outdoors. cooled_to (C, taken as
    heated_to where below it): in the share cooling_hours of the hours the room is at that temperature and its
    vapour at most that of the rule cooled_dew_point, in the others it is no warmer; None: not cooled. added:
    relative humidity from people (fraction) at 0 C outdoors and below (the rule added_humidity if None); it
    fades to nothing at heated_to as windows open. Broadcasts. Raises ValueError.
    >>> [round(room(23.0, 2000.0, cooled_to=to).humidity, 2) for to in (None, 24.0)]
    [0.71, 0.5]
    """
    setting = np.asarray(checks.temperature("room temperature", heated_to, 5.0, 35.0))
    outside = np.asarray(checks.temperature("outdoor temperature", outside, -60.0, 60.0))
    vapour = np.asarray(checks.number("vapour pressure", vapour, 0.0, 20e3, "Pa"))
    inside = np.maximum(outside, setting)
    share = np.zeros(())
    if cooled_to is not None:
        cooled_to = checks.temperature("cooled to", cooled_to, 10, 35)
        thermostat = np.maximum(cooled_to, setting)
        inside, share = np.minimum(inside, thermostat), np.asarray(cooling_hours(outside, thermostat))
        inside = inside + share * (thermostat - inside)
    full = np.asarray(saturation_pressure(inside))
    windows_shut = np.clip((setting - outside) / setting, 0.0, 1.0)
    added = rule("added_humidity").value if added is None else added
    added = checks.fraction("added humidity", added, high=0.5)
    brought = vapour + added * windows_shut * saturation_pressure(setting)
    coil = saturation_pressure(rule("cooled_dew_point").value)
    kept = np.minimum((1 - share) * brought + share * np.minimum(brought, coil), full)
    h = kept / full
    return Air(plain(inside), plain(h), equilibrium_moisture(inside, h))


def indoor(name: str, month: int | str | None = None, temperature: float | None = None,
           added: float | None = None, cooled: bool | None = None, held: tuple[float, float] | None = None,
           cooled_to: float | None = None) -> Air:
    """The air of a room at `name` in `month` (a number, a name, or None for all twelve): see `room`.

    temperature: what it is heated to (C), cooled: whether it is cooled in summer; None: as is usual in homes
    there (place(name).home). cooled_to (C): the rule of that name if None. held: (low, high) humidity between
    which a humidifier and a dehumidifier keep it, or None. Raises ValueError, also for a place without
    temperatures.
    >>> round(indoor("Helsinki", "January").humidity, 2)
    0.28
    """
    where = place(name)
    vapour = where.vapour_pressure
    home, outside = where.home, where.temperature
    assert home is not None and outside is not None     # vapour_pressure has refused the others
    heated = home.heated if temperature is None else temperature
    if cooled is None:
        cooled = home.cooled
    to = (rule("cooled_to").value if cooled_to is None else cooled_to) if cooled else None
    pick = slice(None) if month is None else month_number(month) - 1
    found = room(outside[pick], vapour[pick], heated, added, to)
    if held is None:
        return found
    low, high = (checks.fraction(f"humidity held {which}", value)
                 for which, value in zip(("from", "to"), held, strict=True))
    if low > high:
        raise ValueError(f"humidity held: from {low:g} to {high:g} given; accepted: the lower value first")
    h = plain(np.clip(found.humidity, low, high))
    return replace(found, humidity=h, moisture=equilibrium_moisture(found.temperature, h))


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
