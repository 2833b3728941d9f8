"""Loss factor of a glued section in bending: each piece counts by its share of the bending energy.

A section bent to a curvature stores E_i I_i in piece i, with I_i taken about the axis common to all pieces,
and loses the part eta_i of it in each radian of a cycle. Hence eta = sum(eta_i E_i I_i) / sum(E_i I_i) (modal
strain-energy method, exact to first order in eta). A piece near the common axis hardly counts, whatever it is
made of; a piece at the outside counts most. In twist the shares are those of the twisting energy.
Source: the strain-energy rule of damped composites, as in any text on vibration damping.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from tonewood import checks
from tonewood.draws import Array, Draws
from tonewood.neck.layup.neck import Neck
from tonewood.neck.section.shear import inverted, lost_in_shear
from tonewood.neck.section.stations import AtStations, at_stations
from tonewood.neck.section.torsion import summed_over_regions


def bending_shares(modulus: ArrayLike, area: ArrayLike, first_moment: ArrayLike,
                   second_moment: ArrayLike) -> Array:
    """Share of the bending energy stored in each piece of a section.

    area, first_moment, second_moment: (R,) or (R, S) integrals of 1, z, z^2 over each region [m2, m3, m4], z
    from any origin, S stations. modulus along the neck [Pa]: (…, R), or (…, R, 1) or (…, R, S) where there
    are stations. Returns shares (…, R) or (…, R, S) that sum to 1 over the regions. Raises ValueError for a
    modulus below zero or a section without stiffness.

    >>> bending_shares([1e9, 1e9], [1.0, 1.0], [-1.0, 1.0], [1.0, 1.0]).tolist()
    [0.5, 0.5]
    """
    E = np.asarray(checks.number("modulus", modulus, 0.0, unit="Pa"))
    area, first, second = (np.asarray(checks.number(name, value)) for name, value in (
        ("area", area), ("first moment", first_moment), ("second moment", second_moment)))
    # the region axis, with or without draws in front
    axis = -area.ndim
    EA = np.sum(E * area, axis=axis, keepdims=True)
    if not np.all(EA > 0):
        raise ValueError("bending shares: a section without stiffness given; at least one piece with "
                         "modulus and area above zero is expected")
    z_bar = np.sum(E * first, axis=axis, keepdims=True) / EA
    energy = E * (second - 2 * z_bar * first + z_bar**2 * area)
    total = np.sum(energy, axis=axis, keepdims=True)
    if not np.all(total > 0):
        raise ValueError("bending shares: integrals of a section that cannot bend given; accepted: second "
                         "moments above what area and first moment leave")
    return energy / total


def loss_factor(name: str, value: Draws) -> Draws:
    """A loss factor, from 0 to below 1 (float or array). Raises ValueError that suspects a percentage or a Q.

    >>> loss_factor("loss factor", 0.01)
    0.01
    """
    return checks.number(name, value, 0.0, 1.0, open_high=True, slip=lambda v: (
        f"Wood lies near 0.01; if {v:g} is a quality factor Q, give 1/Q = {1 / v:.4g}; if a percentage, "
        f"give {v / 100:.4g}") if v >= 1 else None)


def composite_loss(neck: Neck | AtStations, x: ArrayLike | None = None) -> Draws:
    """Loss factor of the neck in bending, from the woods' loss factors along the neck and the shares of its
    regions.

    x: one station (m), several (S,), or None for the whole neck (or all stations of an AtStations) bent by an
    even moment, where the softer places store and lose more. The slotted layer of the fretboard counts with
    the stiffness it keeps. Friction in fret slots, joints and hardware is not in it. Returns a float or (D,)
    for one station or None, (S,) or (D, S) for several. Raises ValueError for a station off the neck.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> round(composite_loss(example_neck()), 4), composite_loss(example_neck(), [0.1, 0.2]).shape
    (0.0062, (2,))
    """
    here = at_stations(neck, x)
    s, parts = here.section, here.regions
    eta = loss_factor("loss factor", here.per_region(lambda board: board.eta, lambda bar: bar.loss))
    area, first, lost = here.summed(here.moduli * eta, parts.integrals[[0, 2, 4]])
    lost += (s.z_bar * area - 2 * first) * s.z_bar
    if x is None:
        result = np.trapezoid(lost / s.EI**2, here.x, axis=-1) / np.trapezoid(1 / s.EI, here.x, axis=-1)
    else:
        result = lost / s.EI if np.ndim(x) else (lost / s.EI)[..., 0]
    return float(result) if np.ndim(result) == 0 else result


def stripe_shares(neck: Neck | AtStations, x: ArrayLike | None = None, across: str = "z"
                  ) -> tuple[tuple[str, ...], Array]:
    """Names and bending-energy shares of every region of the neck (stripes, fretboard layers, bars) at
    stations x (S,), m.

    across: "z" for bending in the plane of the strings, "y" for side bow. Returns (names (R,), shares (R, S)
    or (D, R, S), summing to 1 over the regions). Raises ValueError for a station off the neck.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> round(float(stripe_shares(example_neck(), [0.2])[1].sum()), 9)
    1.0
    """
    here = at_stations(neck, x)
    parts = here.regions
    first, second = (parts.Sz, parts.Szz) if checks.choice("across", across,
                                                           ("z", "y")) == "z" else (parts.Sy, parts.Syy)
    return parts.names, bending_shares(here.moduli_here, parts.area, first, second)


def twisting_loss(neck: Neck | AtStations, x: ArrayLike | None = None) -> Array:
    """Loss factor of the section in twist at stations x (S,), m: (S,) or (D, S); every piece counts, the
    fretboard and bars too.

    Each piece loses in shear what its rotated compliance does with the loss factor of each of its terms; a
    bar what it loses along its fibre. The loss is that of GJ in section.torsion, the mean of what its two
    bounds would lose (exact to first order in the loss and in the moduli). Friction in slots, joints and
    hardware, and a rattling rod, are not in it. Source: complex moduli put into Saint-Venant's torsion
    (correspondence principle). Raises ValueError for a station off the neck.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> twisting_loss(example_neck(), [0.1, 0.2]).round(4).tolist()
    [0.0124, 0.0124]
    """
    here = at_stations(neck, x)
    twist, slotted, factor = here.torsion, here.regions.slotted, here.slots_in_twist
    stiff, boards = here.shear_stiffness, [lost_in_shear(board) for board in here.neck.pieces]
    lost = np.stack([here.per_region([board[..., k] for board in boards], of_bar) for k, of_bar in enumerate(
        2 * [lambda bar: bar.loss / bar.shear_modulus] + [lambda bar: 0.0])], -1)
    xy, xz, cross = (stiff[..., k] for k in range(3))
    a, b, c = (lost[..., k] for k in range(3))
    strained = np.stack([xy * (xy * a + 2 * cross * c) + cross**2 * b,      # C S" C of each region
                         xz * (xz * b + 2 * cross * c) + cross**2 * a,
                         cross * (xy * a + xz * b) + (xy * xz + cross**2) * c], -1)
    kept = ((strained, stiff, twist.strain, factor), (lost, inverted(stiff), twist.stress, 1 / factor))
    by_bound = [summed_over_regions(loss, integrals, slotted, slots) / summed_over_regions(
        whole, integrals, slotted, slots) for loss, whole, integrals, slots in kept]
    return (by_bound[0] + by_bound[1]) / 2
