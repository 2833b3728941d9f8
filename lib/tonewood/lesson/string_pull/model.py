"""Neck No. 12 under its strings, worked out for one setting of the string-pull figure: neck, strings, rod, what stays and how it creeps."""

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from tonewood.lesson.shared.shop import ROOM, truss_rod
from tonewood.panel.gauges import band
from tonewood.neck.load.creep import DAY, END, creep
from tonewood.neck.layup.neck import Back, Channel, Fretboard, Neck, Outline, spread, striped
from tonewood.neck.load.joint import Joint
from tonewood.neck.load.setup import Setup
from tonewood.neck.load.relief import Relief, relief
from tonewood.neck.load.rod import Rod, RodSetting, set_rod
from tonewood.neck.load.rod_limits import rod_limits
from tonewood.strings.sets import scaled, string_set
from tonewood.strings.wire import StringSet
from tonewood.wood.board import Board
from tonewood.wood.moisture import equilibrium_moisture
from tonewood.wood.species import species

DRAWS = 400
HUMIDITY = 0.45
READ = 8
"""The fret at which relief is read and the rod is set."""


@dataclass(frozen=True)
class Instrument:
    """Sizes (m) that go with a string set: round numbers, common practice, no source. joint_fret: where the body begins."""
    scale: float
    frets: int
    nut: float
    end: float
    blank: float
    joint_fret: int
    nut_spread: float
    bridge_spread: float


INSTRUMENTS = {"six": Instrument(0.648, 22, 0.043, 0.056, 0.060, 17, 0.035, 0.052), "seven": Instrument(0.648, 24, 0.048, 0.064, 0.068, 18, 0.041, 0.063),
               "eight": Instrument(0.686, 24, 0.055, 0.072, 0.076, 18, 0.047, 0.073), "bass four": Instrument(0.864, 20, 0.041, 0.062, 0.066, 16, 0.031, 0.057),
               "bass five": Instrument(0.864, 20, 0.046, 0.070, 0.074, 16, 0.036, 0.075)}
TUNED = {"six strings": "six", "six strings, half step down": "six, half step down", "six strings, dropped D": "six, dropped D",
         "six strings, whole step down": "six, whole step down", "seven strings": "seven", "seven strings, dropped A": "seven, dropped A", "eight strings": "eight",
         "eight strings, dropped E": "eight, dropped E", "bass, four strings": "bass four", "bass, four strings, dropped D": "bass four, dropped D",
         "bass, five strings": "bass five"}
"""Shown words of each string set and tuning, and the tuning's name in neck.pitch; the set is what stands before the comma."""
UNKNOWN = "not known: open to bearing"
SLOTS = {UNKNOWN: None, "open: tangs loose": 0.0, "half": 0.5, "bearing: tangs seated tight": 1.0}
RODS = ("double-acting", "single-acting")


def defaults():
    """Start values of the controls: Neck No. 12 of the Quillmere workshop."""
    return dict(tuned="six strings", gauge=100.0, action=2.0, depth=20.5, fretboard=species("Indian rosewood").key, thickness=6.0, slots=UNKNOWN, joint="neck-through",
                rod="double-acting", target=0.2)


@dataclass(frozen=True)
class Pulled:
    """One setting of the controls worked out: the neck as draws, its strings and rod; slack and setting at every fret; what stays whatever the rod does."""
    neck: Neck
    strings: StringSet
    setup: Setup
    instrument: Instrument
    rod: Rod
    slack: Relief
    setting: RodSetting
    limits: dict


def strung(tuned, gauge):
    """(StringSet, Instrument) of a shown tuning and a gauge in % of the ready set."""
    tuning = TUNED[tuned]
    name = tuning.split(",")[0]
    return scaled(string_set(name, tuning), gauge / 100), INSTRUMENTS[name]


def build(instrument, depth, fretboard, thickness, slots=UNKNOWN, rod="double-acting", stripes=7, wood="hard maple", accent="wenge", bars=(), **_):
    """Neck No. 12 (hard maple, wenge, black walnut) for an Instrument, single values. depth: whole neck at the nut, thickness: of the board (mm). The
    channel of a single-acting rod goes down to 4.5 mm from the back, that of a double-acting one is 10 mm deep."""
    moisture = equilibrium_moisture(ROOM, HUMIDITY)
    boards = [Board(species(key), moisture=moisture) for key in (wood, accent, "black walnut", fretboard)]
    fill = SLOTS[slots]
    end = float(instrument.scale * (1 - 2 ** (-instrument.frets / 12)))
    body = float(instrument.scale * (1 - 2 ** (-instrument.joint_fret / 12)))
    under = 1e-3 * (depth - thickness)
    deep = max(0.010, under - 0.0045) if rod == "single-acting" else 0.010
    return Neck(striped(*boards[:3], stripes, instrument.blank), Outline(instrument.nut, instrument.end, end), Back("D", under, under + 0.0025, end),
                Fretboard(boards[3], 1e-3 * thickness, slot_fill=0.5 if fill is None else fill), Channel(depth=deep, end=end, rod_mass=0.2), bars, instrument.scale,
                instrument.frets, body)


def drawn(neck, slots=UNKNOWN, draws=DRAWS, seed=1):
    """The neck as possible necks; slots not known: anywhere from open to fully bearing."""
    made = spread(neck, draws, seed)
    if SLOTS[slots] is not None:
        return made
    return replace(made, fretboard=replace(made.fretboard, slot_fill=np.random.default_rng(seed).random(draws)))


def setup_for(action, instrument):
    """Setup with `action` mm at fret 12 on the bass side, four fifths of it on the treble side."""
    return Setup(action=(1e-3 * action, 0.8e-3 * action), nut_spread=instrument.nut_spread, bridge_spread=instrument.bridge_spread)


@lru_cache(maxsize=8)
def _pulled(items):
    v = dict(items)
    strings, instrument = strung(v["tuned"], v["gauge"])
    neck = drawn(build(instrument, **v), v["slots"])
    rod, setup = truss_rod(neck, v["rod"]), setup_for(v["action"], instrument)
    slack = relief(neck, strings, setup, Joint(v["joint"]))
    target = 1e-3 * v["target"]
    return Pulled(neck, strings, setup, instrument, rod, slack, set_rod(slack, rod, target, READ), {m.name: m for m in rod_limits(slack, rod, target, READ)})


def pulled(**values):
    """Pulled for one setting of the controls (those left out: at their start values); kept for reuse."""
    return _pulled(tuple(sorted({**defaults(), **values}.items())))


def held_share(found):
    """The rod's effort as % of the limit to plan with, (D,); a rod asked for more is shown beyond 100."""
    return 100 * found.setting.effort / found.setting.limit


def reachable(found):
    """Gap (D, F), m, with the rod set for the wanted relief, or at its limit where that is not enough."""
    limit = found.setting.limit
    effort = np.clip(found.setting.effort, -limit, limit)
    return found.slack.at_fret + (effort - found.setting.effort)[:, None] * _unit(found) + (found.setting.relief.at_fret - found.slack.at_fret)


def _unit(found):
    """Gap per unit of effort (D, F), from the two reliefs already at hand; zero where the rod does nothing."""
    effort = found.setting.effort[:, None]
    moved = found.setting.relief.at_fret - found.slack.at_fret
    return np.divide(moved, effort, out=np.zeros_like(moved), where=np.abs(effort) > 1e-12)


TEN_YEARS = END * (1 - 1e-9)
TIMES = DAY * np.geomspace(1.0, TEN_YEARS / DAY, 25)
MONTH = 30 * DAY


def crept(gap, times=TIMES):
    """(low, middle, high) of the gap (D,) in m over times (s): the law's band around the 90 % band of the necks, each (T,)."""
    every = creep(np.array(band(gap)), times).relief
    return every[:, 0].min(0), every[1, 1], every[:, 2].max(0)
