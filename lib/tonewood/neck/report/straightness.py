"""Does the neck stay straight: what a lay-up does to stiffness, twist and bow, over a change of moisture and
under the strings.

One number each for the whole neck, so that lay-ups can be compared. Twist is that of the last fret against
the first. Sources: those of the models it calls.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from tonewood.draws import Draws, band_table
from tonewood.neck.layup.neck import Neck
from tonewood.neck.load.bow import evened
from tonewood.neck.load.setup import Setup, string_moment
from tonewood.neck.report.evaluation import even_stiffness
from tonewood.neck.seasons.movement import Moisture, movement
from tonewood.neck.seasons.within_board import slopes_of, uneven_twist, with_uneven
from tonewood.neck.section.stations import AtStations, at_stations, bending_stiffness
from tonewood.neck.section.twist import bending_twist, between, twist_rate
from tonewood.strings.wire import StringSet
from tonewood.wood.within import Growth

if TYPE_CHECKING:
    import pandas


@dataclass(frozen=True, kw_only=True)
class Straightness:
    """Each a float or (D,), SI.

    stiffness: even bending stiffness EI (N·m2, see report.evaluation); stripes_stiffness: the same of the
    shaped neck before the fretboard is on. twisting_stiffness: the even GJ (N·m2) that twists as much between
    first and last fret under an even torque. twist, side_bow, relief_change: change with moisture, rad and m,
    signs as in seasons.movement. load_twist: twist (rad) when the strings go on. width: of the neck at the
    last fret (m), to turn twist into a height difference of its two edges.
    """

    stiffness: Draws
    stripes_stiffness: Draws
    twisting_stiffness: Draws
    twist: Draws
    side_bow: Draws
    relief_change: Draws
    load_twist: Draws
    width: float

    @property
    def twist_across(self) -> Draws:
        """Height (m) by which the treble edge comes to stand above the bass edge at the last fret, measured
        from the first, with moisture."""
        return self.width * np.tan(self.twist)

    @property
    def load_twist_across(self) -> Draws:
        """The same under the strings."""
        return self.width * np.tan(self.load_twist)

    def table(self) -> pandas.DataFrame:
        """DataFrame with units: one row, or the 5, 50 and 95 % points of the draws."""
        return band_table({"stiffness EI (N·m²)": self.stiffness,
            "stiffness EI without fretboard (N·m²)": self.stripes_stiffness,
            "twisting stiffness GJ (N·m²)": self.twisting_stiffness,
            "twist with moisture (mm across the last fret)": 1e3 * self.twist_across,
            "side bow with moisture (mm)": 1e3 * self.side_bow,
            "relief change with moisture (mm)": 1e3 * self.relief_change,
            "twist under the strings (mm across the last fret)": 1e3 * self.load_twist_across})


def stripes_stiffness(neck: Neck | AtStations) -> Draws:
    """Even bending stiffness (N·m2) of stripes and bars alone, the shaped neck before the fretboard is on.
    Float or (D,).

    >>> from tonewood.neck.layup.neck import example_neck
    >>> round(float(stripes_stiffness(example_neck())), 1)
    156.8
    """
    here = at_stations(neck)
    E = np.array(here.moduli)
    E[..., here.fretboard_regions] = 0.0
    return evened(here.x, bending_stiffness(here.regions, E, 1.0), float(here.neck.fret(1)), here.neck.end)


def straightness(neck: Neck | AtStations, strings: StringSet, start: Moisture, end: Moisture,
                 setup: Setup = Setup(), count: int = 16,
                 growth: Sequence[Growth | None] | None = None) -> Straightness:
    """Stiffness and straightness of a neck under `strings`, and from moisture `start` to `end` (fractions;
    forms as for movement).

    count: stations along the neck; an AtStations brings its own. growth: of every piece as it lies in the
    neck (see seasons.within_board), None for boards that are alike all through. The strings' moment is taken
    about the stiffness axis; body and rod are left out. Returns Straightness. Raises ValueError.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> from tonewood.strings.sets import string_set
    >>> round(float(straightness(example_neck(), string_set("six"), 0.08, 0.06).twisting_stiffness))
    92
    """
    here = at_stations(neck, neck.stations(count) if isinstance(neck, Neck) else None)
    neck, x, s = here.neck, here.x, here.section
    first, last = float(neck.fret(1)), neck.end
    moved = movement(here, start, end)
    season = twist_rate(here, moved.end - moved.start)
    if growth is not None:
        slopes = slopes_of(neck, growth)
        moved = with_uneven(moved, growth, slopes)
        season = season + uneven_twist(here, moved.end - moved.start, growth, slopes)
    moment = string_moment(strings.tension, setup.heights(neck, x, len(strings)), s.z_bar)
    pulled = bending_twist(here, moment, float(np.sum(strings.tension)))
    return Straightness(stiffness=even_stiffness(here), stripes_stiffness=stripes_stiffness(here),
                        twisting_stiffness=(last - first) / between(x, 1 / here.torsion.GJ, first, last),
                        twist=between(x, season, first, last), side_bow=moved.side_bow,
                        relief_change=moved.relief,
                        load_twist=between(x, pulled, first, last), width=float(neck.outline.width(last)))
