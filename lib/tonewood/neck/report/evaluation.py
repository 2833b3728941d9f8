"""One whole design evaluated at once: stiffness, relief, loss factor, seasonal movement, weight. What the bench figure shows."""

from dataclasses import dataclass

import numpy as np

from tonewood.neck.load.bow import chord_matrix
from tonewood.neck.section.damping import composite_loss
from tonewood.neck.load.setup import Setup
from tonewood.neck.seasons.movement import movement
from tonewood.neck.load.relief import relief
from tonewood.neck.section.section import section


@dataclass(frozen=True)
class Evaluation:
    """What a neck does; each value a float or (D,), SI.

    stiffness: one number for the whole neck, N·m2: the even EI that would bow as much between first and last fret under an even moment.
    relief: largest gap under the strings, rod slack, m; relief_curve (F + 1,) or (D, F + 1) at x (F + 1,), the nut and every fret. loss: in bending.
    relief_change, width_change (at the last fret), fret_end (each side): from the first to the second moisture content, m.
    mass: neck from nut to last fret with fretboard, bars and rod, without head and hardware, kg.
    """

    x: np.ndarray
    stiffness: object
    relief: object
    relief_curve: np.ndarray
    loss: object
    relief_change: object
    width_change: object
    fret_end: object
    mass: object

    def table(self):
        """DataFrame with units: one row, or the 5, 50 and 95 % points of the draws."""
        import pandas as pd
        columns = {"stiffness EI (N·m2)": self.stiffness, "relief (mm)": 1e3 * self.relief, "loss factor (1/1000)": 1e3 * self.loss,
                   "relief change (mm)": 1e3 * self.relief_change, "width change at last fret (mm)": 1e3 * self.width_change,
                   "fret ends, each side (mm)": 1e3 * self.fret_end, "weight (g)": 1e3 * self.mass}
        if np.ndim(self.stiffness) == 0:
            return pd.DataFrame({k: [float(v)] for k, v in columns.items()}, index=["value"])
        draws = np.size(self.stiffness)
        return pd.DataFrame({k: np.percentile(np.broadcast_to(v, draws), [5, 50, 95]) for k, v in columns.items()}, index=["5 %", "50 %", "95 %"])


def even_stiffness(neck, s=None):
    """The even bending stiffness (N·m2) that bows as much as the tapering neck at mid-span of the fretted length. Float or (D,).

    s: the neck's Section if it is at hand. Source: unit-load integral of Euler-Bernoulli bending.
    """
    s = section(neck) if s is None else s
    first, last = float(neck.fret(1)), neck.end
    middle = (first + last) / 2
    sag = (1 / s.EI) @ chord_matrix(s.x, [middle], first, last)[0]
    return (last - first) ** 2 / 8 / sag


def evaluate(neck, strings, start, end, setup=Setup(), count=40, joint=None):
    """Evaluate a neck under `strings` (StringSet), and from moisture `start` to `end` (fractions; forms as for movement). Returns Evaluation.

    count: stations along the neck; 16 are within 0.03 % of 40 for a straight taper. joint: with the body, as for relief. Raises ValueError.
    """
    bent = relief(neck, strings, setup, joint, count=count)
    x = bent.x                                     # the same stations for all, so that the section is worked out once
    s = section(neck, x)
    moved = movement(neck, start, end, x)
    curve = np.concatenate([bent.deflection[..., :1], bent.at_fret], -1)
    return Evaluation(np.concatenate([x[:1], bent.fret_positions]), even_stiffness(neck, s), bent.maximum, curve, composite_loss(neck, stations=x), moved.relief, moved.width_end,
                      moved.fret_end, np.trapezoid(s.mass_per_length, s.x, axis=-1))
