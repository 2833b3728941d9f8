"""Numbers of the string-pull lesson worked by hand beside the library's, and a stiffness from a gap measured at the bench."""

from dataclasses import dataclass

import numpy as np

from tonewood import checks
from tonewood.lesson.shared.shop import truss_rod
from tonewood.lesson.string_pull.model import READ, build, defaults, setup_for, strung
from tonewood.neck.report.evaluation import even_stiffness
from tonewood.neck.load.joint import Joint
from tonewood.neck.load.relief import relief
from tonewood.neck.load.rod import set_rod

CAUTIONS = (
    "Over-tightening strips or breaks a rod and can split the neck: turn no more than a quarter turn at a time, and "
    "stop when it gets hard.",
    "Slacken the strings before tightening a stiff rod, tune up again and read the relief after the neck has rested "
    "(common practice, no source).",
    "Strings under tension can break and whip: wear eye protection.",
)
"""For the box beside all work on strings and rods."""


@dataclass(frozen=True)
class ByHand:
    """By hand and by the library (SI): tension of the first string (N); pull (N), height over the axis (m) and stiffness (N m2) read from the library; moment (N m), length
    between first and last fret (m), gap at the reading fret (m), and the couple of a double-acting rod that leaves `target` (N m)."""
    tension: float
    tension_library: float
    pull: float
    height: float
    stiffness: float
    length: float
    moment: float
    gap: float
    gap_library: float
    couple: float
    couple_library: float


def by_hand(target=0.0002):
    """The start design by one-line formulas, beside the full model. Returns ByHand."""
    v = defaults()
    strings, instrument = strung(v["tuned"], v["gauge"])
    neck = build(instrument, **v)
    bent = relief(neck, strings, setup_for(v["action"], instrument), Joint(v["joint"]))
    rod = set_rod(bent, truss_rod(neck), target, READ)
    first = strings.strings[-1]
    tension = first.density * np.pi / 4 * first.diameter**2 * (2 * strings.length[-1] * strings.frequency[-1]) ** 2
    pull = strings.total_tension
    moment = float(np.interp(neck.fret(READ), bent.x, bent.moment))
    stiffness, length = float(even_stiffness(neck)), neck.end - float(neck.fret(1))
    gap = moment * length**2 / (8 * stiffness)
    return ByHand(float(tension), float(strings.tension[-1]), pull, moment / pull, stiffness, length, moment, gap, float(bent.at(READ)), moment * (1 - target / gap),
                  float(rod.effort))


def stiffness_from_gap(change, reading=0.03, **design):
    """Even stiffness (N m2) of a neck whose gap at mid-board grows by `change` mm when the strings go on: (low, middle, high) for a reading good to `reading` mm.

    design: the controls of the figure that differ from the start design (they set pull and height). Formula: moment x length^2 / (8 x gap). Raises ValueError.
    """
    change = checks.number("growth of the gap", change, 0.02, 3.0, "mm", lambda w: "Is that in metres?" if 0 < w < 0.02 else None)
    reading = checks.number("how well the gap is read", reading, 0.0, change, "mm", open_high=True)
    v = {**defaults(), **design}
    strings, instrument = strung(v["tuned"], v["gauge"])
    neck = build(instrument, **v)
    bent = relief(neck, strings, setup_for(v["action"], instrument), Joint(v["joint"]))
    moment = float(np.interp(neck.fret(READ), bent.x, bent.moment))
    length = neck.end - float(neck.fret(1))
    return tuple(moment * length**2 / (8e-3 * gap) for gap in (change + reading, change, change - reading))
