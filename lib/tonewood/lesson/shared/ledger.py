"""The relief ledger: one running account of a neck's relief, from the strings to a year at the client's, the
same possible necks all the way down."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from tonewood.constants import YEAR
from tonewood.draws import Z90, Array, band
from tonewood.lesson.shared.shop import NECK_12, RODS, ROOM, possible, role_woods, truss_rod
from tonewood.lesson.shared.strung import strung, wedged
from tonewood.neck.design import Design
from tonewood.neck.layup.neck import Neck
from tonewood.neck.load.creep import coefficient
from tonewood.neck.load.rod import set_rod
from tonewood.neck.seasons.year import Year, year
from tonewood.neck.section.stations import at_stations
from tonewood.remember import remember
from tonewood.wood.climate import Air
from tonewood.wood.facts import rule
from tonewood.wood.moisture import equilibrium_moisture, humidity_for

READ, DRAWS, SEED = 8, 200, 21
"""The fret at which relief is read; possible necks, and their seed: those of the lesson on seasons."""
SHOP_ROWS = ("strings on, rod slack", "tangs over their slots", "rod set", "creep, first year")
HOME_ROWS = ("shop to home, on average", "driest month", "dampest month", "driest month, strips read")
"""Names of the lines, in the workshop and at home."""
USUAL = rule("relief_usual").limits
"""Relief (mm) to stay within: common practice, no source."""
STRIP, STRIP_LENGTH, READING, DRY = 0.003, 0.400, 5e-5, 0.30
"""The measured strip: thickness of each of its two layers, its length, how well a straightedge and feeler
gauges read its bow (90 of 100 readings), m; and the humidity of the dry room (fraction)."""


@dataclass(frozen=True, eq=False)
class Line:
    """One line of the account: relief (m) before and after, (D,) each; known: whether its size follows from
    what is set or foreseen, not from a wide band or from chance. rod: the kind it holds for, or ''."""

    name: str
    before: Array = field(repr=False)
    after: Array = field(repr=False)
    known: bool
    rod: str = ""

    @property
    def step(self) -> Array:
        """Low, middle and high of the change, (3,), m."""
        return band(self.after - self.before)

    @property
    def total(self) -> Array:
        """Low, middle and high of the relief after it, (3,), m."""
        return band(self.after)


@dataclass(frozen=True)
class Ledger:
    """lines: the account; years: {kind of rod: Year}; dry, damp: moments of the driest and dampest room;
    best: {kind: (relief mm to set, share of necks that then stay within USUAL from driest to dampest)}."""

    lines: tuple[Line, ...]
    years: dict[str, Year] = field(default_factory=dict, repr=False)
    dry: int = 0
    damp: int = 0
    best: dict[str, tuple[float, float]] = field(default_factory=dict)

    def line(self, name: str, rod: str = "") -> Line:
        """The line of that name and kind of rod. Raises ValueError."""
        for line in self.lines:
            if (line.name, line.rod) == (name, rod):
                return line
        raise ValueError(f"line: {name!r}, {rod!r} given; accepted: "
                         f"{', '.join(repr((known.name, known.rod)) for known in self.lines)}")


def growth(draws: int) -> Array:
    """Creep phi (D,) after a year, drawn so that 5, 50 and 95 of 100 lie at the law's ends and middle."""
    at = np.random.default_rng(SEED + 1).uniform(0.05, 0.95, draws)
    return np.exp(np.interp(at, (0.05, 0.5, 0.95), np.log(coefficient(YEAR))))


def lengthwise(neck: Neck, stripes: list[int] | None = None) -> Array:
    """Lengthwise swelling per moisture (D,) of the stripes, by their widths (None: all), less the board's."""
    edges, half = neck.layup.edges, neck.outline.end_width / 2
    share = np.diff(np.clip(edges, -half, half))
    chosen = range(len(share)) if stripes is None else stripes
    boards = neck.pieces
    mean = sum(share[i] * boards[i].swelling_xyz[..., 0, 0] for i in chosen) / sum(share[i] for i in chosen)
    top = boards[len(share):]
    return np.asarray(mean - (top[-1].swelling_xyz[..., 0, 0] if top else 0.0))


def after_strips(neck: Neck, design: Design, found: Year, moment: int) -> Array:
    """Relief change (D,), m, at a moment, as far as it stays unknown once a strip of each main stripe,
    glued to an offcut of the board, was read in the shop and in a room at 30 %.

    What is left: the stripes not measured, the readings, and what lengthwise movement does not explain.
    """
    main = role_woods(design)["main"].key
    told = [i for i, stripe in enumerate(design.stripes) if stripe.wood == main]
    whole, seen = lengthwise(neck), lengthwise(neck, told)
    dried = design.shop_moisture - float(equilibrium_moisture(ROOM, DRY))
    per_bow = 1.5 * dried / (2 * STRIP) * STRIP_LENGTH**2 / 8
    error = np.sqrt(2 / len(told)) * READING / Z90 / per_bow
    read = seen + error * np.random.default_rng(SEED + 2).normal(size=whole.size)
    change = found.relief[:, moment]
    return change - np.polyfit(read, change, 1)[0] * (read - read.mean())


@remember(8)
def ledger(design: Design = NECK_12, target: float = 0.2, tang: float = 0.0, town: str | None = None
           ) -> Ledger:
    """The Ledger of a design. target: relief (mm) the rod is set to at fret READ; tang: width of the tangs
    over their slots (mm); town: of the client, delivered in October; None: the workshop's lines only. Raises
    ValueError."""
    neck = possible(design.neck(), "different trees", DRAWS, SEED, design.fretboard.slot_fill)
    slack, zero = strung(neck, design, 1e-3 * tang), np.zeros(DRAWS)
    wedge = wedged(neck, design, 1e-3 * tang, fret=READ) + zero
    gap = slack.at(READ) + zero
    alone = gap - wedge
    lines = [Line(SHOP_ROWS[0], zero, alone, True),
             Line(SHOP_ROWS[1], alone, gap, False)]
    phi, years, crept = growth(DRAWS), {}, {}
    shop = Air(ROOM, humidity_for(ROOM, design.shop_moisture), design.shop_moisture)
    here = at_stations(neck, neck.stations(16))
    for kind in RODS:
        setting = set_rod(slack, truss_rod(neck, kind), 1e-3 * target, READ)
        effort = np.clip(setting.effort, setting.rod.lowest_effort, setting.limit)
        done = gap + effort * setting.per_unit
        crept[kind] = done + phi * (done - wedge)
        lines += [Line(SHOP_ROWS[2], gap, done, True, kind),
                  Line(SHOP_ROWS[3], done, crept[kind], False, kind)]
        if town is not None:
            years[kind] = year(here, town, "October", shop, setup_relief=done, rod=setting.rod,
                               effort=np.maximum(effort, 0.0), points=13, seed=SEED)
    if town is None:
        return Ledger(tuple(lines))
    room = years[RODS[0]].room.humidity[:-1]
    dry, damp = int(np.argmin(room)), int(np.argmax(room))
    best = {}
    for kind, found in years.items():
        home = crept[kind] + found.relief[:, :-1].mean(-1)
        lines.append(Line(HOME_ROWS[0], crept[kind], home, kind == RODS[1], kind))
        lines += [Line(name, home, crept[kind] + found.relief[:, at], kind == RODS[1], kind)
                  for name, at in zip(HOME_ROWS[1:], (dry, damp), strict=False)]
        if kind == RODS[0]:
            measured = after_strips(neck, design, found, dry)
            lines.append(Line(HOME_ROWS[3], home, crept[kind] + measured, False, kind))
        best[kind] = _best(1e3 * found.relief[:, [dry, damp]])
    return Ledger(tuple(lines), years, dry, damp, best)


def _best(change: Array) -> tuple[float, float]:
    """Relief (mm, to 0.05) to set so that most necks stay within USUAL; change (D, 2), mm."""
    tried = np.arange(0.0, 0.41, 0.05)
    stay = [np.mean(np.all((t + change >= USUAL[0]) & (t + change <= USUAL[1]), axis=-1)) for t in tried]
    return float(tried[int(np.argmax(stay))]), float(np.max(stay))
