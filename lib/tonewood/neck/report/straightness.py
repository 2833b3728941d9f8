"""Does the neck stay straight: what a lay-up does to stiffness, twist and bow, over a change of moisture and under the strings.

One number each for the whole neck, so that lay-ups can be compared. Twist is that of the last fret against the first.
"""

from dataclasses import dataclass

import numpy as np

from tonewood.neck.report.evaluation import even_stiffness
from tonewood.neck.load.setup import Setup, string_moment
from tonewood.neck.seasons.movement import between, movement
from tonewood.neck.section.section import moduli, regions, section
from tonewood.neck.section.torsion import bending_twist, torsion
from tonewood.neck.section.twist import twist_rate


@dataclass(frozen=True)
class Straightness:
    """Each a float or (D,), SI.

    stiffness: even bending stiffness EI (N·m2, see neck.evaluation); stripes_stiffness: the same of the shaped neck before the fretboard is on.
    twisting_stiffness: the even GJ (N·m2) that twists as much between first and last
    fret under an even torque. twist, side_bow, relief_change: change with moisture, rad and m, signs as in neck.movement. load_twist: twist (rad)
    when the strings go on. width: of the neck at the last fret (m), to turn twist into a height difference of its two edges.
    """

    stiffness: object
    stripes_stiffness: object
    twisting_stiffness: object
    twist: object
    side_bow: object
    relief_change: object
    load_twist: object
    width: float

    @property
    def twist_across(self):
        """Height (m) by which the treble edge comes to stand above the bass edge at the last fret, measured from the first, with moisture."""
        return self.width * np.tan(self.twist)

    @property
    def load_twist_across(self):
        """The same under the strings."""
        return self.width * np.tan(self.load_twist)

    def table(self):
        """DataFrame with units: one row, or the 5, 50 and 95 % points of the draws."""
        import pandas as pd
        columns = {"stiffness EI (N·m2)": self.stiffness, "stiffness EI without fretboard (N·m2)": self.stripes_stiffness, "twisting stiffness GJ (N·m2)": self.twisting_stiffness,
                   "twist with moisture (mm across the last fret)": 1e3 * self.twist_across, "side bow with moisture (mm)": 1e3 * self.side_bow,
                   "relief change with moisture (mm)": 1e3 * self.relief_change, "twist under the strings (mm across the last fret)": 1e3 * self.load_twist_across}
        if all(np.ndim(v) == 0 for v in columns.values()):
            return pd.DataFrame({k: [float(v)] for k, v in columns.items()}, index=["value"])
        draws = max(np.size(v) for v in columns.values())
        return pd.DataFrame({k: np.percentile(np.broadcast_to(v, draws), [5, 50, 95]) for k, v in columns.items()}, index=["5 %", "50 %", "95 %"])


@dataclass(frozen=True)
class Blank:
    """The shaped neck before the fretboard is on: x (S,), EI about its own stiffness axis (N·m2), (S,) or (D, S)."""

    x: np.ndarray
    EI: np.ndarray


def without_fretboard(neck, x):
    """Bending stiffness of stripes and bars alone at stations x (S,), m. Returns Blank."""
    parts = regions(neck, x)
    E = moduli(neck, parts)
    kept = [r for r, piece in enumerate(parts.piece) if piece != len(neck.pieces) - 1]
    EA, ES, EI = (E[..., kept] @ moments[kept] for moments in (parts.area, parts.Sz, parts.Szz))
    return Blank(parts.x, EI - ES**2 / EA)


def straightness(neck, strings, start, end, setup=Setup(), count=16):
    """Stiffness and straightness of a neck under `strings` (StringSet), and from moisture `start` to `end` (fractions; forms as for movement).

    count: stations along the neck. The strings' moment is taken about the stiffness axis; body and rod are left out. Returns Straightness. Raises ValueError.
    """
    x = neck.stations(count)
    first, last = float(neck.fret(1)), neck.end
    s, t = section(neck, x), torsion(neck, x)
    moved = movement(neck, start, end, x)
    season = twist_rate(neck, x, moved.end - moved.start, t)
    moment = string_moment(strings.tension, setup.heights(neck, x, len(strings)), s.z_bar)
    pulled = bending_twist(neck, moment, float(np.sum(strings.tension)), x, s, t)
    even = (last - first) / between(x, 1 / t.GJ, first, last)
    return Straightness(even_stiffness(neck, s), even_stiffness(neck, without_fretboard(neck, x)), even, between(x, season, first, last), moved.side_bow, moved.relief, between(x, pulled, first, last),
                        float(neck.outline.width(last)))
