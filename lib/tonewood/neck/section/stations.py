"""One neck at these stations: its regions, moduli, section and torsion, each worked out once and handed down.

Plane sections and a perfect bond (Euler-Bernoulli beam of several materials). The geometry of a region does
not depend on the draws, so its area moments are found once and a thousand boards cost one matrix product.
Source of the sums: composite-beam theory as in any strength-of-materials text.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike

from tonewood import checks
from tonewood.draws import Array, Draws, single
from tonewood.neck.layup.neck import Bar, Neck, with_mean
from tonewood.neck.section.polygons import principal_axes
from tonewood.neck.section.regions import Regions, area_moments, weighted
from tonewood.neck.section.shear import kept_in_slots, shear_stiffness
from tonewood.neck.section.torsion import Torsion, solved_torsion
from tonewood.wood.board import Board

if TYPE_CHECKING:
    import pandas


@dataclass(frozen=True, kw_only=True)
class Section:
    """The section at S stations; every field (S,) or (D, S).

    EA (N), EI: bending in the plane of the strings, that is relief (N·m2), EI_side: side bow (N·m2), EI_cross
    (N·m2): zero if symmetric, y_bar, z_bar: stiffness-weighted axis (m), mass_per_length (kg/m), area (m2).
    here: what it was worked out from.
    """

    x: Array
    EA: Array
    EI: Array
    EI_side: Array
    EI_cross: Array
    y_bar: Array
    z_bar: Array
    mass_per_length: Array
    area: Array
    here: AtStations = field(repr=False, compare=False)

    @property
    def GJ(self) -> Array:
        """Torsional stiffness (N·m2), (S,) or (D, S): Saint-Venant torsion of the whole section, solved when
        first asked for."""
        return self.here.torsion.GJ

    @property
    def principal(self) -> tuple[Draws, Draws, Draws]:
        """Principal bending stiffnesses, larger first (N·m2), and the turn of the axes (rad), each (S,) or
        (D, S): see section.polygons.principal_axes."""
        return principal_axes(self.EI, self.EI_side, self.EI_cross)

    @property
    def centre_of_mass(self) -> tuple[Array, Array]:
        """y and z (m), (S,) or (D, S), of the centre of mass; the rod counts in the middle of its channel."""
        here, parts, channel = self.here, self.here.regions, self.here.neck.channel
        rho = here.per_region(lambda board: board.rho, lambda bar: bar.density)
        rod = np.zeros(len(self.x)) if channel is None else channel.rod_mass * (
            (self.x >= channel.start) & (self.x <= channel.end))
        deep = 0.0 if channel is None else (channel.below + channel.depth) / 2
        return rho @ parts.Sy / self.mass_per_length, (rho @ parts.Sz - rod * deep) / self.mass_per_length

    def table(self) -> pandas.DataFrame:
        """DataFrame: one row per station; the mean over draws if there are any."""
        import pandas as pd

        shown = {"x (mm)": 1e3 * self.x, "EA (MN)": 1e-6 * self.EA, "EI (N·m²)": self.EI,
                 "EI side (N·m²)": self.EI_side,
                 "EI cross (N·m²)": self.EI_cross, "y axis (mm)": 1e3 * self.y_bar,
                 "z axis (mm)": 1e3 * self.z_bar, "axes turned (degrees)": np.degrees(self.principal[2]),
                 "mass (g/m)": 1e3 * self.mass_per_length, **{
                     f"{axis} of mass (mm)": 1e3 * at
                     for axis, at in zip("yz", self.centre_of_mass, strict=True)}}
        return pd.DataFrame({name: single(value) for name, value in shown.items()})


@dataclass(frozen=True, eq=False)
class AtStations:
    """A neck at stations x (S,), m. Made by at_stations; ask it for regions, moduli, slots, section, torsion.

    Hand one object down and nothing is worked out twice. R regions, P pieces.
    """

    neck: Neck
    x: Array

    @cached_property
    def regions(self) -> Regions:
        """Area moments of each stripe, each row of the fretboard and each bar."""
        return area_moments(self.neck.geometry, tuple(self.x.tolist()))

    def per_region(self, wood: Callable[[Board], Draws] | Sequence[Draws], bar: Callable[[Bar], float]
                   ) -> Array:
        """One value a region, (R,) or (D, R), in its own unit: `wood` of its board (or one value a piece, in
        their order), `bar` of its bar.

        >>> from tonewood.neck.layup.neck import example_neck
        >>> here = at_stations(example_neck(), [0.2])
        >>> here.per_region(lambda board: board.moisture, lambda bar: 0.0).tolist()
        [0.08, 0.08, 0.08]
        """
        own = [wood(board) for board in self.neck.pieces] if callable(wood) else wood
        values = [own[p] if p >= 0 else bar(self.neck.bars[-1 - p]) for p in self.regions.piece]
        found = np.empty((len(values), *np.broadcast_shapes(*map(np.shape, values))))
        for row, value in enumerate(values):
            found[row] = value
        found.setflags(write=False)
        return np.moveaxis(found, 0, -1)

    @cached_property
    def moduli(self) -> Array:
        """Modulus along the neck of every region, (R,) or (D, R), Pa."""
        return self.per_region(lambda board: board.E_x, lambda bar: bar.modulus)

    @cached_property
    def slots(self) -> Array:
        """Factor on the modulus of what the slots cut at each station, (S,) or (D, S), one for all the
        woods in it, by their mean E/G (estimated); 1 if there are no slots."""
        if self.regions.slotted is None:
            return np.ones(len(self.x))
        return np.asarray(kept_in_slots(self.neck, self.x))

    @cached_property
    def moduli_here(self) -> Array:
        """Modulus along the neck of every region at every station, (R, S) or (D, R, S), Pa, the slots taken
        off."""
        found = self.moduli[..., None] * np.ones(np.shape(self.slots)[:-1] + self.regions.area.shape)
        if self.regions.slotted is not None:
            found[..., list(self.regions.slotted), :] *= self.slots[..., None, :]
        found.setflags(write=False)
        return found

    @cached_property
    def shear_stiffness(self) -> Array:
        """Shear stiffness (C_xy, C_xz, cross) of every region, (R, 3) or (D, R, 3), Pa, without the slots."""
        own = [shear_stiffness(board)[0] for board in self.neck.pieces]
        found = np.stack([self.per_region([C[..., k] for C in own], lambda bar, k=k: (  # type: ignore[misc]
            bar.shear_modulus if k < 2 else 0.0)) for k in range(3)], -1)
        found.setflags(write=False)
        return found

    @cached_property
    def slots_in_twist(self) -> Draws:
        """Share of its shear stiffness that the slotted layer keeps, (S,) or (D, S); 1 if there are no
        slots."""
        return 1.0 if self.regions.slotted is None else kept_in_slots(self.neck, self.x, twisted=True)

    @property
    def fretboard_regions(self) -> list[int]:
        """Indices of the fretboard's regions."""
        return [r for r, piece in enumerate(self.regions.piece) if piece >= len(self.neck.layup.stripes)]

    def summed(self, values: Array, moments: Array) -> Array:
        """Sum over regions of value (R,) or (D, R) x moment (R, S) at every station, the slots taken off:
        (S,) or (D, S), in the unit of their product; several moments (K, R, S) give (K, S) or (K, D, S)."""
        return weighted(values, moments, self.regions.slotted, self.slots)

    @cached_property
    def section(self) -> Section:
        """Stiffness and mass of the section."""
        parts, channel = self.regions, self.neck.channel
        EA, y_bar, z_bar, side, EI, cross = self.summed(self.moduli, parts.integrals)
        y_bar /= EA
        z_bar /= EA
        for about, one, other in ((EI, z_bar, z_bar), (side, y_bar, y_bar), (cross, y_bar, z_bar)):
            about -= EA * one * other
        mass = self.per_region(lambda board: board.rho, lambda bar: bar.density) @ parts.area
        if channel is not None:
            mass += channel.rod_mass * ((self.x >= channel.start) & (self.x <= channel.end))
        return Section(x=self.x, EA=EA, EI=EI, y_bar=y_bar, z_bar=z_bar, EI_side=side, mass_per_length=mass,
                       EI_cross=cross, area=parts.area.sum(0), here=self)

    @cached_property
    def with_mean(self) -> AtStations:
        """The same necks and, as one draw more, their mean (see layup.neck.with_mean)."""
        return AtStations(with_mean(self.neck), self.x)

    @cached_property
    def torsion(self) -> Torsion:
        """Torsional stiffness and the fields of the unit twist."""
        return solved_torsion(self.neck, self.regions, self.shear_stiffness, self.slots_in_twist)


def at_stations(neck: Neck | AtStations, x: ArrayLike | None = None) -> AtStations:
    """A neck at stations x (S,), m (None: neck.stations()); an AtStations is handed on as it is, unless x
    asks for other stations.

    Raises ValueError for a station before the nut or beyond one scale length.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> at_stations(example_neck(), [0.1, 0.2]).section.EI.round(1).tolist()
    [346.5, 390.0]
    """
    if isinstance(neck, AtStations):
        if x is None or x is neck.x or np.array_equal(np.asarray(x), neck.x):
            return neck
        neck = neck.neck
    if x is None:
        return AtStations(neck, neck.stations())
    return AtStations(neck,
                      np.atleast_1d(np.asarray(checks.number("station", x, 0.0, neck.scale_length, "m"))))


def bending_stiffness(parts: Regions, E: Array, slots: Draws) -> Array:
    """EI about the section's own axis (N·m2), (S,) or (D, S), of regions with moduli E (R,) or (D, R), Pa,
    and these slots.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> here = at_stations(example_neck(), [0.2])
    >>> bending_stiffness(here.regions, here.moduli, here.slots).round(1).tolist()
    [390.0]
    """
    EA, ES, EI = weighted(E, parts.integrals[[0, 2, 4]], parts.slotted, slots)
    return EI - ES**2 / EA
