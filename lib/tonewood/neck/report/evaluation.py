"""One whole design evaluated at once: stiffness, relief, loss factor, seasonal movement, weight. What the
bench figure shows. Sources: those of the models it calls."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from tonewood.draws import Array, Draws, band_table
from tonewood.neck.layup.neck import Neck
from tonewood.neck.load.bow import evened
from tonewood.neck.load.joint import Joint
from tonewood.neck.load.relief import relief
from tonewood.neck.load.setup import Setup
from tonewood.neck.seasons.movement import Moisture, movement
from tonewood.neck.section.damping import composite_loss
from tonewood.neck.section.stations import AtStations, at_stations
from tonewood.strings.wire import StringSet

if TYPE_CHECKING:
    import pandas


@dataclass(frozen=True, kw_only=True)
class Evaluation:
    """What a neck does; each value a float or (D,), SI.

    stiffness: one number for the whole neck, N·m2: the even EI that would bow as much between first and last
    fret under an even moment. relief: largest gap under the strings, rod slack, m; relief_curve (F + 1,) or
    (D, F + 1) at x (F + 1,), the nut and every fret. loss: in bending. relief_change, width_change (at the
    last fret), fret_end (each side): from the first to the second moisture content, m. mass: neck from nut to
    last fret with fretboard, bars and rod, without head and hardware, kg.
    """

    x: Array
    stiffness: Draws
    relief: Draws
    relief_curve: Array
    loss: Draws
    relief_change: Draws
    width_change: Draws
    fret_end: Draws
    mass: Draws

    def table(self) -> pandas.DataFrame:
        """DataFrame with units: one row, or the 5, 50 and 95 % points of the draws."""
        return band_table({"stiffness EI (N·m²)": self.stiffness, "relief (mm)": 1e3 * self.relief,
                           "loss factor (thousandths)": 1e3 * self.loss,
                           "relief change (mm)": 1e3 * self.relief_change,
                           "width change at last fret (mm)": 1e3 * self.width_change,
                           "fret ends, each side (mm)": 1e3 * self.fret_end, "weight (g)": 1e3 * self.mass})


def even_stiffness(neck: Neck | AtStations) -> Draws:
    """The even bending stiffness (N·m2) that bows as much as the tapering neck at mid-span of the fretted
    length. Float or (D,).

    >>> from tonewood.neck.layup.neck import example_neck
    >>> round(float(even_stiffness(example_neck())), 1)
    410.3
    """
    here = at_stations(neck)
    return evened(here.x, here.section.EI, float(here.neck.fret(1)), here.neck.end)


def evaluate(neck: Neck, strings: StringSet, start: Moisture, end: Moisture, setup: Setup = Setup(),
             count: int = 40, joint: Joint | None = None) -> Evaluation:
    """Evaluate a neck under `strings`, and from moisture `start` to `end` (fractions; forms as for movement).
    Returns Evaluation.

    count: stations along the neck; 16 are within 0.03 % of 40 for a straight taper. joint: with the body, as
    for relief. Raises ValueError.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> from tonewood.strings.sets import string_set
    >>> round(1e3 * float(evaluate(example_neck(), string_set("six"), 0.08, 0.06).mass))
    319
    """
    bent = relief(neck, strings, setup, joint, count=count)
    # the same stations for all, so that the section is worked out once
    here = at_stations(bent.strung.here or neck)
    moved = movement(here, start, end)
    return Evaluation(x=np.concatenate([here.x[:1], bent.fret_positions]), stiffness=even_stiffness(here),
                      relief=bent.maximum,
                      relief_curve=np.concatenate([bent.deflection[..., :1], bent.at_fret], -1),
                      loss=composite_loss(here),
                      relief_change=moved.relief, width_change=moved.width_end, fret_end=moved.fret_end,
                      mass=np.trapezoid(here.section.mass_per_length, here.x, axis=-1))
