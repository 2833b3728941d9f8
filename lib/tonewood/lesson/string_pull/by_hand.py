"""String pull by hand beside the library, and a stiffness from a gap measured at the bench."""

from __future__ import annotations

from typing import Any

import numpy as np

from tonewood import checks
from tonewood.draws import written
from tonewood.lesson.shared.shop import NECK_12, truss_rod
from tonewood.lesson.shared.strung import wedged
from tonewood.lesson.string_pull.model import READ, TUNED, build, slack
from tonewood.neck.design import Design
from tonewood.neck.load.rod import set_rod
from tonewood.neck.report.evaluation import even_stiffness
from tonewood.panel.controls import pick, slider
from tonewood.panel.page import Shown, table
from tonewood.panel.reckoning import Reckoning, reckon

CAUTIONS = (
    "Over-tightening strips or breaks a rod and can split the neck: turn no more than a quarter turn at a "
    "time, and stop when it gets hard.",
    "Slacken the strings before tightening a stiff rod, tune up again and read the relief after the neck has "
    "rested (common practice, no source).",
    "Refretting: tangs wider than their slots bow a neck back, further than a single-acting rod can undo. "
    "Try wire and slot on an offcut, plane the board with the rod slack, and wear eye protection when frets "
    "are hammered in.", "Strings under tension can break and whip: wear eye protection.")
"""For the box beside all work on strings and rods."""


def moment_and_length(design: Design) -> tuple[float, float]:
    """Moment of the strings at the reading fret (N m), and length between first and last fret (m)."""
    neck, bent = design.neck(), slack(design)
    return float(np.interp(neck.fret(READ), bent.x, bent.moment)), neck.end - float(neck.fret(1))


def pull_by_hand(target: float = 0.0002) -> list[tuple[str, float, str, int, str]]:
    """Neck No. 12 by one-line formulas beside the full model, rod set for `target` (m): lines for say_all."""
    neck, strings, bent = NECK_12.neck(), NECK_12.string_set(), slack(NECK_12)
    moment, length = moment_and_length(NECK_12)
    first, stiffness = strings.strings[-1], float(even_stiffness(neck))
    speed = 2 * strings.length[-1] * strings.frequency[-1]
    tension = first.density * np.pi / 4 * first.diameter**2 * speed**2
    gap = moment * length**2 / (8 * stiffness)
    rod = set_rod(bent, truss_rod(neck), target, READ)
    section, full, even = (f"estimated{by}" for by in (
        " by the section model", " by the full beam model", ", evenly bent beam"))
    return [("first string by hand: 7850 × π/4 × (0.000254 m)² × (2 × 0.648 × 329.63)²",
             float(tension), "N", 1,
             "wire density from memory"),
            ("first string by the library", float(strings.tension[-1]), "N", 1,
             "ideal string, round generic gauge"),
            ("pull of all six", strings.total_tension, "N", 0, "round generic gauges, common practice"),
            (f"height over the axis at fret {READ}", 1e3 * moment / strings.total_tension, "mm", 1, section),
            ("stiffness EI (N·m²)", stiffness, "", 0, section),
            ("gap by hand", 1e3 * gap, "mm", 2, even),
            (f"gap at fret {READ} by the library", 1e3 * float(bent.at(READ)), "mm", 2, full),
            (f"rod couple by hand, for {1e3 * target:.2f} mm (N·m)", moment * (1 - target / gap), "", 2,
             even),
            ("rod couple by the library (N·m)", float(rod.effort), "", 2, full)]


def stiffness_from_gap(change: float, reading: float = 0.03, **values: Any) -> tuple[float, float, float]:
    """Even stiffness (N m2) of a neck whose gap at mid-board grows by `change` mm when the strings go on:
    (low, middle, high) for a reading good to `reading` mm.

    values: the controls of the figure that differ from neck No. 12; they set pull and height. Formula:
    moment x length^2 / (8 x gap). Raises ValueError.
    """
    change = checks.number("growth of the gap", change, 0.02, 3.0, "mm",
                           lambda w: "Is that in metres?" if 0 < w < 0.02 else None)
    reading = checks.number("how well the gap is read", reading, 0.0, change, "mm", open_high=True)
    moment, length = moment_and_length(build(**values))
    low, middle, high = (moment * length**2 / 8e-3 / (change + off) for off in (reading, 0.0, -reading))
    return low, middle, high


def tang_from_strip(bow: float, length: float = 400.0, pitch: float = 20.0, thickness: float = 6.0,
                    depth: float = 2.5) -> tuple[float, float]:
    """How much wider than its slot a tang still is once hammered in, from a slotted and fretted strip of
    fretboard wood, and what it does to neck No. 12: (mm, relief change at the reading fret in mm).

    bow: growth of the strip's bow (mm) over `length`, hollow on the back, when the frets went in; pitch:
    between slots; thickness, depth: of strip and slots (all mm). One wood alone bends by pitch x bow x 8 /
    length^2 x thickness^3 / (6 depth (thickness - depth)), whatever its stiffness. Raises ValueError.

    >>> [round(v, 4) for v in tang_from_strip(2.4)]
    [0.0099, -0.3303]
    """
    bow = checks.number("bow of the strip", bow, 0.0, 20.0, "mm")
    thickness = checks.number("thickness of the strip", thickness, 1.0, 20.0, "mm")
    depth = checks.number("slot depth", depth, 0.0, thickness, "mm", open_low=True, open_high=True)
    length = checks.number("length of the strip", length, 50.0, 1000.0, "mm")
    pitch = checks.number("distance between slots", pitch, 5.0, length / 2, "mm")
    curvature = 8 * bow / length**2
    over = pitch * curvature * thickness**3 / (6 * depth * (thickness - depth))
    return over, 1e3 * float(wedged(NECK_12.neck(), NECK_12, 1e-3 * over, 1.0, READ))


def own_stiffness() -> Reckoning:
    """Boxes for the gap read on one's own neck, and its stiffness from `stiffness_from_gap`."""
    def work(change: float, reading: float, tuned: str) -> Shown:
        low, middle, high = stiffness_from_gap(change, reading=reading, tuned=tuned)
        rows = [("as read", f"{middle:.0f}"), (f"least, the gap {reading:g} mm larger", f"{low:.0f}"),
                (f"most, {reading:g} mm smaller", f"{high:.0f}")]
        return table(("stiffness EI of your neck", "N·m²"), rows,
                     f"Gap of {change:g} mm measured (0.28 until you set yours); heights of neck No. 12.")

    return reckon(work, change=slider("Growth of the gap", 0.28, 0.05, 3, 0.01, "mm",
                                      "less cannot be told from the reading, more is a broken neck"),
                  reading=slider("Gap read to the nearest", 0.03, 0.01, 0.2, 0.01, "mm",
                                 "the steps of your feeler gauges"),
                  tuned=pick("Your strings and tuning", list(TUNED), "six strings"))


def own_frets() -> Reckoning:
    """A box for the bow of one's own fretted strip, and what such frets do, from `tang_from_strip`."""
    def work(bow: float) -> Shown:
        over, change = tang_from_strip(bow)
        rows = [("tang thicker than its slot by, hammered in", f"{over:.4f}", "one wood in bending"),
                ("what such frets do to the relief of No. 12", written(change, 2, True),
                 "estimated by the section model")]
        return table(("from your strip", "mm", "label"), rows,
                     f"Bow of {bow:g} mm measured (1.2 until you set yours).")

    return reckon(work, bow=slider("Growth of the strip's bow", 1.2, 0, 8, 0.1, "mm",
                                   "hollow on the back, over 400 mm"))
