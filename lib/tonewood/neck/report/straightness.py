"""Does the neck stay straight: what a lay-up does to stiffness, twist and bow, over a change of moisture and
under the strings.

One number each for the whole neck, so that lay-ups can be compared. Twist is that of the last fret against
the first. Sources: those of the models it calls.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from tonewood.draws import Array, Draws, band_table
from tonewood.neck.layup.neck import Neck
from tonewood.neck.load.bow import evened
from tonewood.neck.load.setup import Setup, string_moment
from tonewood.neck.report.evaluation import even_stiffness
from tonewood.neck.seasons.movement import Moisture, Movement, movement
from tonewood.neck.seasons.within_board import slopes_of, uneven_twist, with_uneven
from tonewood.neck.section.stations import AtStations, at_stations, bending_stiffness
from tonewood.neck.section.twist import bending_twist, between, twist_rate
from tonewood.strings.wire import StringSet
from tonewood.wood.within import Growth

if TYPE_CHECKING:
    import pandas


@dataclass(frozen=True, kw_only=True, eq=False)
class Straightness:
    """Each a float or (D,), SI, worked out when first asked for: a table of lay-ups asks for one or two.

    What was given: here, the neck at its stations; strings, setup; moved: its Movement, as if every board
    were alike all through; growth: of every piece, or None.
    """

    here: AtStations = field(repr=False)
    strings: StringSet
    setup: Setup
    moved: Movement = field(repr=False)
    growth: Sequence[Growth | None] | None = field(repr=False)

    @cached_property
    def _slopes(self) -> list[Array]:
        return slopes_of(self.here.neck, self.growth or ())

    @cached_property
    def _moved(self) -> Movement:
        return self.moved if self.growth is None else with_uneven(self.moved, self.growth, self._slopes)

    def _turned(self, rate: Array) -> Draws:
        """A rate (1/m) at the stations added up from the first fret to the last."""
        return between(self.here.x, rate, float(self.here.neck.fret(1)), self.here.neck.end)

    @cached_property
    def stiffness(self) -> Draws:
        """Even bending stiffness EI (N·m2, see report.evaluation)."""
        return even_stiffness(self.here)

    @cached_property
    def stripes_stiffness(self) -> Draws:
        """The same of the shaped neck before the fretboard is on."""
        return stripes_stiffness(self.here)

    @cached_property
    def twisting_stiffness(self) -> Draws:
        """The even GJ (N·m2) that twists as much between first and last fret under an even torque."""
        neck = self.here.neck
        return (neck.end - float(neck.fret(1))) / self._turned(1 / self.here.torsion.GJ)

    @cached_property
    def twist(self) -> Draws:
        """Change of twist (rad) with moisture, sign as in seasons.movement."""
        change = self.moved.end - self.moved.start
        rate = twist_rate(self.here, change)
        if self.growth is not None:
            rate = rate + uneven_twist(self.here, change, self.growth, self._slopes)
        return self._turned(rate)

    @cached_property
    def side_bow(self) -> Draws:
        """Change of side bow (m) with moisture, sign as in seasons.movement."""
        return self._moved.side_bow

    @cached_property
    def relief_change(self) -> Draws:
        """Change of relief (m) with moisture, sign as in seasons.movement."""
        return self._moved.relief

    @cached_property
    def load_twist(self) -> Draws:
        """Twist (rad) when the strings go on."""
        neck, x = self.here.neck, self.here.x
        moment = string_moment(self.strings.tension, self.setup.heights(neck, x, len(self.strings)),
                               self.here.section.z_bar)
        return self._turned(bending_twist(self.here, moment, float(np.sum(self.strings.tension))))

    @property
    def width(self) -> float:
        """Width (m) of the neck at the last fret, which turns twist into a height difference of its edges."""
        return float(self.here.neck.outline.width(self.here.neck.end))

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
    return Straightness(here=here, strings=strings, setup=setup, moved=movement(here, start, end),
                        growth=growth)
