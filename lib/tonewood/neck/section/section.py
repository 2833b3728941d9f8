"""The section of a neck in one call: what it is made of, stiffness and mass, torsion, at any stations.

Each function takes a Neck and stations x (S,), m (None: neck.stations()), or an AtStations, which works
everything out once: make one with stations.at_stations and hand it down wherever several of these are needed.
Source of the sums: composite-beam theory.
"""

from __future__ import annotations

from numpy.typing import ArrayLike

from tonewood.neck.layup.neck import Neck
from tonewood.neck.section.regions import Regions
from tonewood.neck.section.stations import AtStations, Section, at_stations
from tonewood.neck.section.torsion import Torsion


def regions(neck: Neck | AtStations, x: ArrayLike | None = None) -> Regions:
    """Area moments (m2, m3, m4) of each stripe, the two fretboard layers and each bar. Returns Regions.

    Raises ValueError for a station before the nut or beyond one scale length.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> round(1e6 * float(regions(example_neck(), [0.2]).area.sum()))
    884
    """
    return at_stations(neck, x).regions


def section(neck: Neck | AtStations, x: ArrayLike | None = None) -> Section:
    """Stiffness (N, N·m2) and mass (kg/m) of the section. Returns Section. Raises ValueError for stations off
    the neck.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> section(example_neck(), [0.2]).EI.round(1).tolist()
    [390.0]
    """
    return at_stations(neck, x).section


def torsion(neck: Neck | AtStations, x: ArrayLike | None = None) -> Torsion:
    """Torsional stiffness (N·m2) and the fields of the unit twist. Returns Torsion. Raises ValueError for
    stations off the neck.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> torsion(example_neck(), [0.2]).GJ.round(0).tolist()
    [88.0]
    """
    return at_stations(neck, x).torsion
