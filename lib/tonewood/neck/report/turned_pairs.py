"""One lay-up with its pairs turned in each of the four ways, side by side: twist, side bow and relief change (rad, m). See neck.layup.half_turns."""

from dataclasses import dataclass

import numpy as np

from tonewood import checks
from tonewood.neck.layup.half_turns import TURNS, paired
from tonewood.neck.seasons.movement import between, movement
from tonewood.neck.section.torsion import bending_twist

TURN_WORDS = {"as sawn": "both as sawn", "about x": "one rolled over, same end to the nut", "about y": "one rolled over and end for end (the mirror)",
              "about z": "one end for end on the bench"}


@dataclass(frozen=True)
class Turns:
    """One lay-up with its pairs turned in each of four ways, T = 4 in the order of `turns`; each (T,) or (D, T).

    moisture_twist, load_twist: rad between first and last fret, positive when the treble edge stands higher at the last fret;
    side_bow, relief: change with moisture, m.
    """

    turns: tuple
    moisture_twist: np.ndarray
    load_twist: np.ndarray
    side_bow: np.ndarray
    relief: np.ndarray

    def table(self):
        """DataFrame: one row per turn; the largest size over draws (95 % point) if there are any."""
        import pandas as pd

        def shown(v):
            return v if v.ndim == 1 else np.percentile(np.abs(v), 95, axis=0)
        return pd.DataFrame({"turn": [TURN_WORDS[t] for t in self.turns], "twist with moisture (degrees)": np.degrees(shown(self.moisture_twist)),
                             "twist under the strings (degrees)": np.degrees(shown(self.load_twist)), "side bow (mm)": 1e3 * shown(self.side_bow),
                             "relief change (mm)": 1e3 * shown(self.relief)}, index=list(self.turns))


def compare_turns(neck, start, end, moment, tension=0.0):
    """Twist, side bow and relief change of a neck with its pairs turned in each of the four ways. Returns Turns.

    start, end: moisture (fractions; forms as for movement). moment: bending moment of the strings (N m, about 5 to 6 for six steel strings, or (S,) at
    neck.stations()); tension: their pull (N). Raises ValueError.
    """
    moment = np.asarray(checks.number("string moment", moment, 0.0, 50.0, "N m"))
    tension = checks.number("string pull", tension, 0.0, 2000.0, "N")
    found = []
    for turn in TURNS:
        pair = paired(neck, turn)
        moved = movement(pair, start, end)
        x = neck.stations()
        last = neck.end if neck.body_start is None else min(neck.end, max(neck.body_start, float(neck.fret(1))))
        under_load = between(x, bending_twist(pair, moment, tension, x), float(neck.fret(1)), last)
        found.append((moved.twist, under_load, moved.side_bow, moved.relief))
    return Turns(tuple(TURNS), *(np.stack(np.broadcast_arrays(*column), -1) for column in zip(*found)))
