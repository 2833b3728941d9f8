"""The numbers of one design that its sheets print, from one set of possible necks: weight, stiffness, gap
under the strings, rod, a year in the client's town."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from tonewood.draws import Array, Draws, band
from tonewood.lesson.shared.ledger import DRAWS, READ, SEED, USUAL
from tonewood.lesson.shared.shop import ROOM, possible, truss_rod
from tonewood.neck.design import Design
from tonewood.neck.layup.neck import Neck
from tonewood.neck.load.relief import relief
from tonewood.neck.load.rod import RodSetting, set_rod
from tonewood.neck.report.evaluation import even_stiffness
from tonewood.neck.seasons.year import Year, year
from tonewood.neck.section.stations import at_stations
from tonewood.remember import remember
from tonewood.wood.climate import MONTHS, Air, indoor, places
from tonewood.wood.climate import place as place_of
from tonewood.wood.facts import rule
from tonewood.wood.moisture import humidity_for

TARGET = 0.0002
"""Gap (m) at fret READ that the rod is set to."""
QUARTERS = ((12, 1, 2), (3, 4, 5), (6, 7, 8), (9, 10, 11))
"""The months of a quarter, January 1."""
DELIVERED = "October"
FELT = 0.05
"""How far (mm) a fret end stands out before it is named: common practice, no source, as for unevenness at the
frets (rule bow_shows)."""


@dataclass(frozen=True)
class Number:
    """One number of a sheet: key; what it is, in plain words; value, a float or (D,), in `unit`; decimals;
    what it rests on."""

    key: str
    what: str
    unit: str
    decimals: int
    value: Draws = field(repr=False)
    rests_on: str

    @property
    def band(self) -> Array:
        """5, 50 and 95 % points (3,), in its unit."""
        return band(self.value)


@dataclass(frozen=True, kw_only=True)
class Quarter:
    """Three months in the client's room. months: first and last by name; humidity: lowest and highest monthly
    mean (fractions); gap: 5 % point of the lowest and 95 % point of the highest month, mm at fret READ;
    fret_end: by how much fret ends then stand out on each side, 95 % point of the month with most, mm;
    leaves: share of necks that leave USUAL at some time in it."""

    months: str
    humidity: tuple[float, float]
    gap: tuple[float, float]
    fret_end: float
    leaves: float


@dataclass(frozen=True, eq=False, kw_only=True)
class Facts:
    """All of one design: necks with their draws, the rod's setting (None: no rod), numbers in
    the order they are printed, room and year in the town (None where no temperatures are published)."""

    design: Design
    neck: Neck
    setting: RodSetting | None
    numbers: tuple[Number, ...]
    room: Air | None
    year: Year | None
    start: Draws
    """Gap (m) at fret READ on the day of delivery."""

    def number(self, key: str) -> Number:
        """The Number of that key. Raises KeyError."""
        return {number.key: number for number in self.numbers}[key]

    def gap(self) -> Array:
        """Gap (D, T) at fret READ over the year, mm."""
        assert self.year is not None
        return 1e3 * (np.asarray(self.start)[..., None] + self.year.relief)

    def quarters(self) -> tuple[Quarter, ...]:
        """The year by quarters, none without a year."""
        if self.year is None or self.room is None:
            return ()
        names, gap, found = self.year.month, self.gap(), []
        ends = 1e3 * np.percentile(self.year.fret_end, 95, axis=0)
        for months in QUARTERS:
            at = [k for k, name in enumerate(names) if MONTHS.index(name) + 1 in months]
            room = np.asarray(self.room.humidity)[[m - 1 for m in months]]
            low, _, high = band(gap[:, at])
            out = np.any((gap[:, at] < USUAL[0]) | (gap[:, at] > USUAL[1]), axis=-1)
            found.append(Quarter(months=f"{MONTHS[months[0] - 1][:3]} to {MONTHS[months[2] - 1][:3]}",
                                 humidity=(float(room.min()), float(room.max())),
                                 gap=(float(low.min()), float(high.max())), fret_end=float(ends[at].max()),
                                 leaves=float(out.mean())))
        return tuple(found)


@remember(8)
def facts(design: Design, held: tuple[float, float] | None = None) -> Facts:
    """The Facts of a design: its necks are those of the relief ledger, delivered in October with the rod set
    to TARGET (or as the strings leave them, without a rod) and then left alone. held: lowest and highest
    humidity (fractions) of the room, None: as is usual in the town. Raises ValueError."""
    neck = possible(design.neck(), "different trees", DRAWS, SEED, design.fretboard.slot_fill)
    slack = relief(neck, design.string_set(), design.setup(), design.body_joint())
    here = at_stations(neck, neck.stations(16))
    gap, setting, rod, start, effort = slack.at(READ), None, None, slack.at(READ), 0.0
    if design.rod != "none":
        rod = truss_rod(neck, design.rod)
        setting = set_rod(slack, rod, TARGET, READ)
        effort = np.clip(setting.effort, rod.lowest_effort, rod.limit)
        start = gap + effort * setting.per_unit
    section, model = here.section, "section model"
    numbers = [Number("weight", "Weight, nut to last fret, without head and tuners", "g", 0,
                      1e3 * np.trapezoid(section.mass_per_length, here.x, axis=-1), model),
               Number("stiffness", "Bending stiffness, one number for the neck", "N·m²", 0,
                      even_stiffness(here), model),
               Number("gap", f"Gap at fret {READ} under the strings, rod slack", "mm", 2, 1e3 * gap,
                      "bending model, round generic gauges")]
    if setting is not None:
        numbers.append(Number("reserve", "Share of the rod's planned strength it takes", "%", 0,
                              100 * (1 - np.asarray(setting.reserve)), "rod model, steel from memory"))
    made = Facts(design=design, neck=neck, setting=setting, numbers=tuple(numbers), room=None, year=None,
                 start=start)
    town = place_of(design.town).name
    if town not in places():
        return made
    shop = Air(ROOM, humidity_for(ROOM, design.shop_moisture), design.shop_moisture)
    room = indoor(town, held=held)
    gone = year(here, town, DELIVERED, shop, setup_relief=start, rod=rod, effort=np.maximum(effort, 0.0),
                points=13, seed=SEED, held=held)
    made = replace(made, room=room, year=gone)
    model = "season model, usual home"
    dry, damp = (int(f(room.humidity)) for f in (np.argmin, np.argmax))
    seen, at = made.gap(), [gone.month.index(MONTHS[m]) for m in (dry, damp)]
    numbers += [Number(key, f"Gap at fret {READ} in {MONTHS[m]}, the {word} month", "mm", 2,
                       seen[:, t], model)
                for key, m, word, t in (("dry", dry, "driest", at[0]), ("damp", damp, "dampest", at[1]))]
    numbers += [Number("swing", "Swing of that gap, lowest to highest month", "mm", 2, np.ptp(seen, axis=-1),
                       model), Number("ends", f"Fret ends stand out, each side, in {MONTHS[dry]}", "mm", 2,
                                      1e3 * gone.fret_end[:, at[0]], model)]
    return replace(made, numbers=tuple(numbers))


def care(design: Design, quarter: Quarter) -> str:
    """What to do in a quarter, one or two sentences: the humidity to stay within is common practice (rule
    workshop_humidity)."""
    low, high = rule("workshop_humidity").limits
    said = []
    if quarter.humidity[0] < low:
        said.append(f"Dry: keep the case humidified, above {100 * low:.0f} %.")
    if quarter.humidity[1] > high:
        said.append(f"Damp: air or dry the room, below {100 * high:.0f} %.")
    if not said:
        said.append("The room suits the wood.")
    if quarter.leaves >= 0.05:
        touch = "the rod wants a touch" if design.rod != "none" else "have the setup looked at"
        said.append(f"Look at the gap: in {100 * quarter.leaves:.0f} of 100 such necks {touch}.")
    if quarter.fret_end >= FELT:
        said.append("Fret ends may be felt.")
    return " ".join(said)
