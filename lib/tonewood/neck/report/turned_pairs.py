"""One lay-up with its pairs turned in each of the four ways, side by side: twist, side bow and relief change
(rad, m). Derived in neck.layup.half_turns."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from tonewood import checks
from tonewood.draws import Array, Draws, single
from tonewood.neck.layup.half_turns import TURNS, paired
from tonewood.neck.layup.neck import Neck
from tonewood.neck.seasons.movement import Moisture, between, movement
from tonewood.neck.section.stations import at_stations
from tonewood.neck.section.twist import bending_twist

if TYPE_CHECKING:
    import pandas

TURN_WORDS = {"as sawn": "both as sawn", "about x": "one rolled over, same end to the nut",
              "about y": "one rolled over and end for end (the mirror)",
              "about z": "one end for end on the bench"}


@dataclass(frozen=True)
class Turns:
    """One lay-up with its pairs turned in each of four ways, T = 4 in the order of `turns`; each (T,) or (D,
    T).

    moisture_twist, load_twist: rad between first and last fret, positive when the treble edge stands higher
    at the last fret; side_bow, relief: change with moisture, m.
    """

    turns: tuple[str, ...]
    moisture_twist: Array
    load_twist: Array
    side_bow: Array
    relief: Array

    def table(self) -> pandas.DataFrame:
        """DataFrame: one row per turn; the largest size over draws (95 % point) if there are any."""
        import pandas as pd

        def shown(v: Array) -> Array:
            return single(v, how=lambda values, axis: np.percentile(np.abs(values), 95, axis=axis))

        return pd.DataFrame({"turn": [TURN_WORDS[t] for t in self.turns],
                             "twist with moisture (degrees)": np.degrees(shown(self.moisture_twist)),
                             "twist under the strings (degrees)": np.degrees(shown(self.load_twist)),
                             "side bow (mm)": 1e3 * shown(self.side_bow),
                             "relief change (mm)": 1e3 * shown(self.relief)}, index=list(self.turns))


def compare_turns(neck: Neck, start: Moisture, end: Moisture, moment: Draws, tension: float = 0.0) -> Turns:
    """Twist, side bow and relief change of a neck with its pairs turned in each of the four ways. Returns
    Turns.

    start, end: moisture (fractions; forms as for movement). moment: bending moment of the strings (N m, about
    5 to 6 for six steel strings, or (S,) at neck.stations()); tension: their pull (N). Raises ValueError.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> compare_turns(example_neck(), 0.08, 0.06, 5.5).moisture_twist.tolist()
    [0.0, 0.0, 0.0, 0.0]
    """
    moment = np.asarray(checks.number("string moment", moment, 0.0, 50.0, "N m"))
    checks.number("string pull", tension, 0.0, 2000.0, "N")
    found = []
    for turn in TURNS:
        here = at_stations(paired(neck, turn))
        moved = movement(here, start, end)
        first = float(neck.fret(1))
        last = neck.end if neck.body_start is None else min(neck.end, max(neck.body_start, first))
        under_load = between(here.x, bending_twist(here, moment, tension), first, last)
        found.append((moved.twist, under_load, moved.side_bow, moved.relief))
    return Turns(tuple(TURNS),
                 *(np.stack(np.broadcast_arrays(*column), -1) for column in zip(*found, strict=True)))
