"""The air wood lives in: outdoor months of known places, what heating or cooling makes of them indoors, and the workshop.

Temperature in degrees Celsius, humidity and moisture as fractions, months 1 to 12. Outdoor air carries its water vapour indoors unchanged; warming it
lowers the relative humidity. People, cooking and plants add vapour: in winter real rooms lie 5 to 15 % relative humidity higher than heated outdoor air
(estimated; set it with `added`); the milder it is, the more the windows are open.
"""

from dataclasses import dataclass
from difflib import get_close_matches
from functools import lru_cache

import numpy as np

from tonewood import checks
from tonewood.tables import read_table
from tonewood.wood.moisture import equilibrium_moisture

MONTHS = ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December")

WORKSHOP = 0.45
WORKSHOP_DRY, WORKSHOP_DAMP = 0.35, 0.65
"""Humidity to aim at in the workshop, and where to stop and wait: judgement, common practice, no source; museum advice for mixed wooden
objects centres on the same range (30 to 70 %, brown-rose-1997 in data/sources.csv)."""

ADDED = 0.10
"""Relative humidity that people add to a heated room in winter: the middle of 0.05 to 0.15, an estimate."""

COIL = 12.0
"""Dew point (C) to which an air conditioner dries the air it cools: common practice, no source."""


def saturation_pressure(temperature):
    """Pressure of saturated water vapour over water (Pa) at `temperature` (C, -45 to 60). Raises ValueError.

    Source: WMO-No. 8, Annex 4.B (wmo-8 in data/sources.csv): 611.2 exp(17.62 T/(243.12 + T)). Humidity of weather stations is given over water below freezing as well.
    """
    t = np.asarray(checks.number("temperature", temperature, -45.0, 60.0, "degrees C", lambda v: f"Fahrenheit? {v:g} F is {(v - 32) / 1.8:.0f} C" if v > 60 else None))
    value = 611.2 * np.exp(17.62 * t / (243.12 + t))
    return float(value) if value.ndim == 0 else value


@dataclass(frozen=True)
class Air:
    """Air of one or several months: temperature (C), relative humidity and the moisture content wood settles at in it (fractions), floats or (n,).

    dried: True where the vapour had to be limited (at saturation, or by the air conditioner).
    """

    temperature: object
    humidity: object
    moisture: object
    dried: object = False

    def table(self):
        """DataFrame: one row per month or case."""
        import pandas as pd
        rows = {"temperature (C)": self.temperature, "relative humidity (%)": 100 * np.asarray(self.humidity), "wood settles at (% moisture)": 100 * np.asarray(self.moisture)}
        return pd.DataFrame({k: np.atleast_1d(v) for k, v in rows.items()})


@dataclass(frozen=True)
class Place:
    """One place: (12,) outdoor temperature (C), humidity, equilibrium moisture (fractions). temperature and humidity are None where only the
    outdoor equilibrium was published. heated_humidity, heated_moisture: the table's own values for this air at 20 C, nan in warmer months."""

    name: str
    country: str
    climate: str
    temperature: np.ndarray
    humidity: np.ndarray
    moisture: np.ndarray
    heated_humidity: np.ndarray
    heated_moisture: np.ndarray
    source: str
    status: str

    @property
    def vapour_pressure(self):
        """Mean pressure of the water vapour (Pa), (12,): from the table's own hourly average where it gives one (heated_humidity), else from the mean
        temperature and humidity; the two differ by 1.3 % relative humidity indoors (standard deviation; 6 % at most)."""
        means = self.humidity * saturation_pressure(self.temperature)
        return np.where(np.isnan(self.heated_humidity), means, self.heated_humidity * saturation_pressure(20.0))

    def table(self):
        """DataFrame: one row per month."""
        import pandas as pd
        frame = {"month": MONTHS, "wood outdoors settles at (% moisture)": 100 * self.moisture}
        if self.temperature is not None:
            frame |= {"temperature (C)": self.temperature, "relative humidity (%)": 100 * self.humidity}
        return pd.DataFrame(frame).set_index("month")


@lru_cache(maxsize=1)
def _places():
    columns = dict(place=str, country=str, climate=str, month=float, temperature=float, humidity=float, equilibrium=float, heated_humidity=float,
                   heated_equilibrium=float, source=str, status=str)
    rows = {}
    for row in read_table("climate.csv", columns, required=("place", "country", "month", "equilibrium", "source", "status")):
        rows.setdefault(row["place"], []).append(row)
    found = {}
    for name, months in rows.items():
        if [row["month"] for row in months] != list(range(1, 13)):
            given = ", ".join(f"{row['month']:g}" for row in months)
            raise ValueError(f"climate.csv, place {name!r}, column 'month': {given} given; accepted: 1 to 12 in order")

        def column(key, scale=1.0):
            return np.array([np.nan if row[key] is None else row[key] * scale for row in months])

        temperature, humidity = column("temperature"), column("humidity", 0.01)
        known = not np.isnan(temperature).any()
        if known:
            checks.number(f"climate.csv, {name}, temperature", temperature, -45.0, 50.0, "degrees C")
            checks.fraction(f"climate.csv, {name}, humidity", humidity)
        first = months[0]
        found[name] = Place(name, first["country"], first["climate"], temperature if known else None, humidity if known else None,
                            column("equilibrium", 0.01), column("heated_humidity", 0.01), column("heated_equilibrium", 0.01), first["source"], first["status"])
    return found


def places(indoor=True):
    """Names of the places. indoor: only those whose temperature is known, so that rooms there can be worked out."""
    return tuple(name for name, place in _places().items() if place.temperature is not None or not indoor)


def place(name):
    """The Place called `name`; the town without its suffix is enough where it is the only one, or the only one with temperatures.

    Raises ValueError with near names.
    """
    found = _places()
    if name in found:
        return found[name]
    plain = str(name).strip().lower()
    close = [n for n in found if n.lower() == plain] or [n for n in found if n.lower().split(" (")[0].split(",")[0] == plain]
    full = [n for n in close if found[n].temperature is not None]
    for choice in (close, full):
        if len(choice) == 1:
            return found[choice[0]]
    near = close or get_close_matches(str(name), found, 3, 0.5)
    raise ValueError(f"place: {name!r} given; accepted: one of the {len(found)} places of the climate table (places())"
                     + (f". Did you mean {' or '.join(map(repr, near))}?" if near else ""))


def month_number(month):
    """1 to 12 from a number or an English name (three letters are enough). Raises ValueError."""
    if isinstance(month, str):
        match = [i + 1 for i, name in enumerate(MONTHS) if len(month.strip()) >= 3 and name.lower().startswith(month.strip().lower())]
        if len(match) == 1:
            return match[0]
        raise ValueError(f"month: {month!r} given; accepted: 1 to 12 or a name, {', '.join(MONTHS)}")
    if int(checks.number("month", month, 1, 12)) != month:
        raise ValueError(f"month: {month:g} given; accepted: a whole number from 1 to 12")
    return int(month)


def brought_indoors(temperature_out, humidity_out, temperature=20.0, added=0.0):
    """Relative humidity (fraction, at most 1) of outdoor air brought to `temperature` (C), plus `added` relative humidity. Broadcasts. Raises ValueError."""
    h = np.asarray(checks.fraction("outdoor relative humidity", humidity_out))
    vapour = h * saturation_pressure(temperature_out)
    value = np.minimum(vapour / saturation_pressure(temperature) + checks.number("added humidity", added, 0.0, 0.5, "(a fraction)",
                       lambda v: f"Did you mean {v / 100:g}?" if v > 0.5 else None), 1.0)
    return float(value) if value.ndim == 0 else value


def indoor(name, month=None, temperature=20.0, added=ADDED, cooled=False, held=None):
    """The air of a room at `name` in `month` (a number, a name, or None for all twelve). Returns Air.

    temperature: what the room is heated to (C); in months warmer than that the room is as warm as outdoors, unless `cooled`: then it is brought down
    to `temperature` and dried to a dew point of at most COIL. added: relative humidity from people (fraction) at 0 C outdoors and below; it fades
    to nothing at the room's temperature as windows open (shape of the building standard ISO 13788, from memory, unverified). held: (low, high) humidity between which a humidifier and a dehumidifier keep it, or None.
    Raises ValueError, also for a place without temperatures.
    """
    where = place(name)
    if where.temperature is None:
        raise ValueError(f"place: {where.name!r} has published equilibrium moisture outdoors only, no temperature; accepted for a room: {', '.join(places())}")
    pick = slice(None) if month is None else month_number(month) - 1
    outside, vapour = where.temperature[pick], where.vapour_pressure[pick]
    setting = checks.number("room temperature", temperature, 5.0, 35.0, "degrees C", lambda v: f"Fahrenheit? {v:g} F is {(v - 32) / 1.8:.0f} C" if v > 35 else None)
    warm = outside > setting
    room = np.where(warm & (not cooled), outside, setting)
    added = checks.number("added humidity", added, 0.0, 0.5, "(a fraction)", lambda v: f"Did you mean {v / 100:g}?" if v > 0.5 else None)
    windows_shut = np.clip((setting - outside) / setting, 0.0, 1.0)
    h = vapour / saturation_pressure(room) + added * windows_shut
    limit = np.where(warm & cooled, np.minimum(saturation_pressure(COIL) / saturation_pressure(room), 1.0), 1.0)
    dried, h = h > limit, np.minimum(h, limit)
    if held is not None:
        low, high = (checks.fraction(f"humidity held {which}", value) for which, value in zip(("from", "to"), held, strict=True))
        if low > high:
            raise ValueError(f"humidity held: from {low:g} to {high:g} given; accepted: the lower value first")
        h = np.clip(h, low, high)
    values = room, h, equilibrium_moisture(room, h), dried
    if month is None:
        return Air(*values)
    return Air(*(float(v) for v in values[:3]), bool(dried))


def workshop(humidity=WORKSHOP, temperature=20.0):
    """The air of a workshop held at `humidity` (fraction) and `temperature` (C). Returns Air. Raises ValueError."""
    return Air(checks.number("workshop temperature", temperature, 5.0, 40.0, "degrees C"), checks.fraction("workshop humidity", humidity),
               equilibrium_moisture(temperature, humidity))


def workshop_warning(humidity):
    """A sentence when the workshop is too dry or too damp to true or glue a neck in, else "". Limits are judgement. Raises ValueError."""
    h = checks.fraction("workshop humidity", humidity)
    if h < WORKSHOP_DRY:
        return f"{100 * h:.0f} % is dry: wood glued here swells wherever it goes. Aim at {100 * WORKSHOP:.0f} %, wait until it is above {100 * WORKSHOP_DRY:.0f} %."
    if h > WORKSHOP_DAMP:
        return f"{100 * h:.0f} % is damp: wood glued here shrinks in any heated room. Aim at {100 * WORKSHOP:.0f} %, wait until it is below {100 * WORKSHOP_DAMP:.0f} %."
    return ""
