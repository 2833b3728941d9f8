"""What the drawing foretells of a neck's readings: possible necks of a design, and each reading made on every
one of them by the very procedure of the bench.

A possible neck is a draw of all that is not known of it: its boards (wood.spread: density, stiffness,
movement), how far its slots bear, and, besides its boards, unknowns of its own: the stiffness factor, the
bow it has without strings, creep, the pace of moisture and the room of the home, what a turn of the nut does,
run-out and slope as misread, and by how much the gap it
left with was misread. Their widths are rules of data/rules.csv (stiffness_as_built, built_straight,
creep_factor, home_humidity_off, turn_reaches, grain_read), mostly judgement: a band here is as wide as we
think it should be, and the coverage of many readings (bench.coverage) is what tests it.

Procedures. Blank: weight of stripes to a rectangle; sag in a three-point bend with its shear (beam theory, as
bench.measure). Strip: two layers (seasons.eigenstrain), mean over the stripes of the main wood. Gap: under a
straightedge on the first and last fret, at the fret named; strings by load.relief over the stiffness factor,
at home what the rod left, grown by creep, plus the season's change (seasons.year) in the usual room of the
town and in rooms drier and damper all year, between which each draw's room lies. The year counts from the
middle of the month of delivery. Turns: what the rod needs (load.rod) over the share of a turn that reaches
it. Twist: moisture on misread grain, each stripe by its own unit twist (section.torsion), swelling as
published. Dead note: the string's deadest fret on the middle instrument, carried along with its mode
(sound.dead_notes). Left out: tangs wider than their slots (they show as bow without strings), hours and days
in the room, movement before delivery.
"""

from __future__ import annotations

from dataclasses import dataclass, field, fields, replace
from datetime import date as Day
from functools import cached_property

import numpy as np

from tonewood import checks
from tonewood.bench.procedures import blank_sag, blank_weight, dead_fret, misread_twist, strip_bow
from tonewood.bench.readings import HOME, KINDS, Reading, day
from tonewood.bench.stock import Stock, towards_stock
from tonewood.constants import DAY
from tonewood.draws import Z90, Array, band
from tonewood.neck.design import Design
from tonewood.neck.layup.neck import Neck, spread
from tonewood.neck.load.creep import coefficient
from tonewood.neck.load.relief import Relief, relief
from tonewood.neck.load.rod import Rod, set_rod
from tonewood.neck.seasons.movement import movement
from tonewood.neck.seasons.year import Year, year
from tonewood.neck.section.stations import AtStations, at_stations
from tonewood.remember import remember
from tonewood.wood.climate import MONTHS, Air, indoor
from tonewood.wood.facts import rule
from tonewood.wood.moisture import equilibrium_moisture, humidity_for

ROOM, READ = 20.0, 8
"""°C of the workshop; the fret at which the gap is set."""
OFF = (-0.15, 0.0, 0.15)
"""Rooms that a year is worked out in: as usual, drier and damper all year (fraction of relative humidity).
Any room between them follows by the parabola through the three, so their distance is no fact of homes."""
NO_MATTER = ("neck", "value", "note")
"""What of a reading makes no difference to what is foretold of it."""
LAST = 380
"""Days after the middle of the month of delivery to which readings at home are compared."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Foretold:
    """Possible necks of a design, D draws, and what they foretell. Made by `foretell`.

    neck: with draws. rod: None for none. delivered: day it leaves the workshop; left (m): gap at fret READ
    the rod leaves; months: of the first year that are worked out. unknowns: {name: (D,)} what each draw has
    of its own, by name, for telling which of them a misfit points to.
    """

    design: Design
    neck: Neck = field(repr=False)
    rod: Rod | None = field(repr=False)
    delivered: Day
    left: float
    seed: int
    months: int = 12
    unknowns: dict[str, Array] = field(repr=False)

    @property
    def draws(self) -> int:
        """How many possible necks."""
        return len(self.unknowns["stiffness factor"])

    @cached_property
    def _slack(self) -> Relief:
        design = self.design
        return relief(self.neck, design.string_set(), design.setup(), design.body_joint(), count=24)

    @cached_property
    def _here(self) -> AtStations:
        return at_stations(self.neck, self.neck.stations(16))

    @property
    def _set(self) -> Array:
        """Gap (D,), m, each draw really leaves with."""
        return self.left + self.unknowns["gap it left with, as misread"]

    @cached_property
    def _rod_set(self) -> tuple[Array, Array]:
        """(effort, turns at the least) of each draw for the gap it leaves with."""
        assert self.rod is not None
        setting, factor = set_rod(self._slack, self.rod, self.left, READ), self.unknowns["stiffness factor"]
        free = self.unknowns["bow without strings"] + self._slack.at(READ) / factor
        effort = (self._set - free) / (setting.per_unit / factor)
        effort = np.clip(effort, self.rod.lowest_effort, None)
        s = self._slack.strung
        assert s.EA is not None
        return effort, effort / self.rod.effort(1.0, s.x, s.z_bar, s.EA, s.EI)

    @cached_property
    def _years(self) -> tuple[list[Year], list[Array]]:
        """The year in rooms OFF, and the change of the gap at every fret in each, (D, T, F)."""
        design, usual = self.design, indoor(self.design.town)
        shop = Air(ROOM, humidity_for(ROOM, design.shop_moisture), design.shop_moisture)
        tight = self.rod is not None and not self.rod.is_double
        effort = np.maximum(self._rod_set[0], 0.0) if tight else 0.0
        years, gaps = [], []
        for off in OFF:
            humidity = np.clip(usual.humidity + off, 0.05, 0.95)
            room = replace(usual, humidity=humidity,
                           moisture=equilibrium_moisture(usual.temperature, humidity))
            found = year(self._here, room, MONTHS[self.delivered.month - 1], shop, setup_relief=self.left,
                         rod=self.rod if tight else None, effort=effort, seed=self.seed,
                         points=np.linspace(0.0, 365.25, 13)[:self.months + 1])
            years.append(found)
            gaps.append(found.at_frets)
        return years, gaps

    def _in_own_room(self, values: list[Array]) -> Array:
        """Values (D, T, …) of the years in rooms OFF brought to each draw's room, by the parabola through
        them."""
        low, middle, high = values
        t = (self.unknowns["room, usual of the town"] / OFF[2]).reshape(-1, *[1] * (middle.ndim - 1))
        return np.asarray(middle + t * (high - low) / 2 + t**2 * ((high + low) / 2 - middle))

    @cached_property
    def days(self) -> Array:
        """Days (T,) from the middle of the month of delivery at which the ribbon is worked out."""
        return self._years[0][0].days

    @cached_property
    def _gap(self) -> Array:
        """Gap at home (D, T, F), m, rod untouched."""
        phi = self._creep(self.days)
        left = self._set[:, None]
        bow = left + (left - self.unknowns["bow without strings"][:, None]) * phi
        frets = self.neck.frets
        shape = self._slack.at_fret / self._slack.at(READ)[:, None] if frets > READ else np.ones((1, frets))
        return self._in_own_room(self._years[1]) + bow[..., None] * shape[:, None, :]

    def gap(self, fret: int = READ) -> Array:
        """Ribbon (D, T), m: the gap at a fret on `days`, rod untouched. Raises ValueError."""
        return self._gap[..., checks.whole("fret", fret, 1, self.neck.frets) - 1]

    def _creep(self, days: Array) -> Array:
        """Growth phi (D, T) of each draw."""
        law = np.log(np.maximum(coefficient(np.maximum(days, 0.0) * DAY), 1e-12))
        low, middle, high = law[:, None, :]
        at = self.unknowns["creep"][:, None]
        return np.exp(middle + np.where(at < 0.5, (at - 0.5) * (middle - low), (at - 0.5) * (high - middle))
                      / 0.45)

    def day_of(self, read: Reading) -> float:
        """Days (a number) of a reading at home from the middle of the month of delivery, at least 0. Raises
        ValueError for one before delivery or after the first year."""
        if read.date < self.delivered:
            raise ValueError(f"{read.kind}: read on {read.date}, before the delivery on {self.delivered}; "
                             "accepted: a day after it. Is the year right?")
        days = (read.date - Day(self.delivered.year, self.delivered.month, 15)).days
        if days > LAST - 365.25 + self.days[-1]:
            first = "first year" if self.months == 12 else f"first {self.months} months"
            raise ValueError(f"{read.kind}: read on {read.date}, {days} days after delivery; accepted: the "
                             f"{first}, which is as far as the seasons are worked out")
        return float(min(max(days, 0.0), self.days[-1]))

    def _at(self, read: Reading, values: Array) -> Array:
        """Values (D, T) at the day of a reading, (D,)."""
        at = self.day_of(read)
        k = min(int(np.searchsorted(self.days, at, "right")) - 1, len(self.days) - 2)
        part = (at - self.days[k]) / (self.days[k + 1] - self.days[k])
        return values[:, k] * (1 - part) + values[:, k + 1] * part

    @cached_property
    def _kept(self) -> dict[tuple[object, ...], Array]:
        return {}

    def predicted(self, read: Reading) -> Array:
        """The very quantity of a reading on every possible neck, (D,), SI, without the reading's own error,
        kept for reuse whatever was read. Raises ValueError where this neck or the day does not allow it."""
        how = tuple(getattr(read, part.name) for part in fields(read) if part.name not in NO_MATTER)
        if how not in self._kept:
            self._kept[how] = self._predicted(read)
        return self._kept[how]

    def _predicted(self, read: Reading) -> Array:
        if KINDS[read.kind].where == HOME:
            return self._at_home(read)
        every = np.zeros(self.draws)
        if read.kind == "blank weight":
            return every + blank_weight(self.neck, *_told(read.length, read.thickness))
        if read.kind == "blank sag":
            return every + blank_sag(self.neck, *_told(read.load, read.span, read.thickness))
        if read.kind == "strip bow":
            dried = equilibrium_moisture(ROOM, *_told(read.humidity)) - self.design.shop_moisture
            return every + strip_bow(self.neck, main_stripes(self.design), float(dried))
        if read.kind == "rod turns":
            if self.rod is None:
                raise ValueError("rod turns: this neck has no truss rod; accepted: another reading")
            return self._rod_set[1] / self.unknowns["share of a turn that reaches the rod"]
        fret = self._fret(read)
        built = self.unknowns["bow without strings"] * self._shape(fret)
        if read.kind == "gap, strings off":
            return built
        return built + self._slack.at(fret) / self.unknowns["stiffness factor"]

    def foretold(self, read: Reading) -> Array:
        """5, 50 and 95 % points (3,), SI, within which a reading is expected, its own error included. Raises
        ValueError as `predicted` does."""
        return band(self.with_error(self.predicted(read), read.doubt))

    def with_error(self, values: Array, error: float) -> Array:
        """Values (D,) as they would be read, with a normal error of this standard deviation, all in SI."""
        return values + error * np.random.default_rng([self.seed, 77]).standard_normal(self.draws)

    def _fret(self, read: Reading) -> int:
        return checks.whole("fret read", read.fret, 2, self.neck.frets - 1)

    def _shape(self, fret: int) -> float:
        """The bow at a fret over that at fret READ, of an evenly bent neck between first and last fret."""
        x, first, last = (self.neck.fret(n) for n in (np.array([fret, READ]), 1, self.neck.frets))
        bow = (x - first) * (last - x)
        return float(bow[0] / bow[1])

    def _at_home(self, read: Reading) -> Array:
        if read.kind == "gap, rod set":
            return self._at(read, self.gap(self._fret(read)))
        if read.kind == "room humidity":
            usual = np.stack([self._years[0][1].room.humidity] * self.draws)
            return np.clip(self._at(read, usual) + self.unknowns["room, usual of the town"], 0.02, 0.98)
        if read.kind == "twist":
            return self._at(read, self._twist)
        place = dead_fret(self.design, self.neck, int(*_told(read.string)))
        return np.clip(place + self.unknowns["place of dead notes"], 1.0, self.neck.frets)

    @cached_property
    def _twist(self) -> Array:
        """Height (D, T), m, of the treble over the bass edge at the last fret, since delivery."""
        plan, shop = self.design.neck(), self.design.shop_moisture
        single = movement(at_stations(plan, plan.stations(16)), shop, shop).here  # parted at the body
        moisture = self._in_own_room([found.moisture for found in self._years[0]])
        misread = {(slant, i): self.unknowns[f"{slant.replace('_', '-')} of stripe {i + 1}"]
                   for i in range(len(self.design.stripes)) for slant in ("run_out", "slope")}
        return misread_twist(single, moisture - moisture[:, :1], misread)


def _told(*values: float | None) -> list[float]:
    """The circumstances of a reading, which Reading has seen to be there."""
    return [float(value) for value in values if value is not None]


def main_stripes(design: Design) -> list[int]:
    """The stripes (numbers from 0, bass first) of the wood that takes the widest share of the blank.

    >>> from tonewood.neck.design import example_design
    >>> main_stripes(example_design())
    [0, 2]
    """
    share: dict[str, float] = {}
    for stripe in design.stripes:
        share[stripe.wood] = share.get(stripe.wood, 0.0) + stripe.width
    main = max(share, key=lambda wood: share[wood])
    return [i for i, stripe in enumerate(design.stripes) if stripe.wood == main]


@remember(5)
def foretell(design: Design, rod: Rod | None = None, delivered: Day | str = "2026-10-15",
             left: float = 0.0002, draws: int = 2000, seed: int = 31, stock: tuple[Stock, ...] = (),
             months: int = 12) -> Foretold:
    """Foretold of a design: `draws` possible necks.

    rod: the rod in it (None: none; the ribbon is then that of a neck whose gap was planed in); delivered: day
    it leaves the workshop; left (m): the gap at fret READ it leaves with; seed: whole number; stock: the
    shop's own measured boards, towards which unmeasured ones are drawn; months (1 to 12): how much of the
    year at home is worked out. Kept for reuse. Raises ValueError.

    >>> from tonewood.neck.design import example_design
    >>> from tonewood.bench.readings import reading
    >>> strung = reading("example", "gap, strings on", 0.40, "2026-10-01", fret=8)
    >>> (1e3 * foretell(example_design(), draws=300).foretold(strung)).round(1).tolist()
    [0.2, 0.3, 0.4]
    """
    if not isinstance(design, Design):
        raise ValueError(f"design: {design!r} given; accepted: a Design")
    draws = checks.whole("draws", draws, 100, 20000)
    rng = np.random.default_rng([seed, 60_000])
    fill, plan = rng.random(draws), design.fretboard.slot_fill
    neck = towards_stock(spread(design.neck(), draws, seed), design.neck(), stock, seed)
    neck = replace(neck, fretboard=replace(neck.fretboard, slot_fill=fill if plan is None else plan))
    sigma, turn = rule("stiffness_as_built").value, rule("turn_reaches").limits
    boards = neck.pieces
    own = {"stiffness factor": np.exp(sigma * rng.standard_normal(draws) - sigma**2 / 2),
           "bow without strings": 1e-3 * rule("built_straight").value * rng.standard_normal(draws),
           "gap it left with, as misread": (1e-3 * rule("feeler_reading").value / Z90
                                            * rng.standard_normal(draws)),
           "creep": 0.05 + 0.9 * rng.random(draws),
           "room, usual of the town": rule("home_humidity_off").value * rng.standard_normal(draws),
           "share of a turn that reaches the rod": rng.uniform(*turn, draws),
           "place of dead notes": rule("dead_note_off").value * rng.standard_normal(draws)}
    for i in range(len(design.stripes)):
        for slant in ("run_out", "slope"):
            own[f"{slant.replace('_', '-')} of stripe {i + 1}"] = np.radians(
                rule("grain_read").value) * rng.standard_normal(draws)
    share = np.array([stripe.width for stripe in design.stripes])

    def mean(values: list[Array]) -> Array:
        return np.asarray(sum(w * v for w, v in zip(share, values, strict=False)) / share.sum())

    along = [b.swelling_xyz[..., 0, 0] for b in boards]
    own |= {"modulus of the stripes": mean([np.asarray(b.E_x) for b in boards]),
            "density of the stripes": mean([np.asarray(b.rho) for b in boards]),
            "slots, how far they bear": fill if plan is None else np.full(draws, float(plan))}
    if neck.fretboard.layers:
        own |= {"modulus of the fretboard": np.asarray(boards[-1].E_x),
                "lengthwise movement, stripes less fretboard": mean(along) - along[-1]}
    return Foretold(design=design, neck=neck, rod=rod, delivered=day(delivered),
                    left=float(checks.length("gap it leaves with", left, -0.002, 0.005, open_low=False)),
                    seed=seed, months=checks.whole("months at home", months, 1, 12),
                    unknowns={name: v + np.zeros(draws) for name, v in own.items()})
