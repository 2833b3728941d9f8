"""Loss factor of a glued section in bending: each piece counts by its share of the bending energy.

A section bent to a curvature stores E_i I_i in piece i, with I_i taken about the axis common to all pieces, and loses the part eta_i of
it in each radian of a cycle. Hence eta = sum(eta_i E_i I_i) / sum(E_i I_i) (modal strain-energy method, exact to first order in eta).
A piece near the common axis hardly counts, whatever it is made of; a piece at the outside counts most.
"""

import numpy as np

from tonewood import checks
from tonewood.neck.section.section import by_region, moduli, regions, section, slots, weighted


def bending_shares(modulus, area, first_moment, second_moment):
    """Share of the bending energy stored in each piece of a section.

    modulus: (R,) or (D, R) modulus along the neck of each region [Pa]; area, first_moment, second_moment: (R,) or (R, S) integrals of
    1, z, z^2 over each region [m2, m3, m4], z from any origin, S stations.
    Returns shares (R,), (R, S), (D, R) or (D, R, S) that sum to 1 over the regions.
    Raises ValueError for a modulus below zero or a section without stiffness.
    """
    modulus = np.asarray(checks.number("modulus", modulus, 0.0, unit="Pa"))
    area, first_moment, second_moment = (np.asarray(a, dtype=float) for a in (area, first_moment, second_moment))
    E = modulus.reshape(modulus.shape + (1,) * (area.ndim - 1))          # a region axis, then stations
    axis = -area.ndim                                                    # the region axis, with or without draws in front
    EA = np.sum(E * area, axis=axis, keepdims=True)
    if not np.all(EA > 0):
        raise ValueError("bending shares: a section without stiffness given; at least one piece with modulus and area above zero is expected")
    z_bar = np.sum(E * first_moment, axis=axis, keepdims=True) / EA
    energy = E * (second_moment - 2 * z_bar * first_moment + z_bar**2 * area)
    return energy / np.sum(energy, axis=axis, keepdims=True)


def loss_factor(name, value):
    """A loss factor, from 0 to below 1 (float or array). Raises ValueError that suspects a percentage or a Q."""
    return checks.number(name, value, 0.0, 1.0, open_high=True, slip=lambda v: (
        f"Wood lies near 0.01; if {v:g} is a quality factor Q, give 1/Q = {1 / v:.4g}; if a percentage, give {v / 100:.4g}") if v >= 1 else None)


def bending_loss(modulus, loss, area, first_moment, second_moment):
    """Loss factor of a glued section: sum of loss * bending share over the regions.

    loss: (R,) or (D, R), from 0 to below 1; the other arguments as in bending_shares.
    Returns a float, (S,), (D,) or (D, S). Raises ValueError.
    """
    loss = np.asarray(loss_factor("loss factor", loss))
    stations = np.ndim(area) - 1
    share = bending_shares(modulus, area, first_moment, second_moment)
    total = np.sum(share * loss.reshape(loss.shape + (1,) * stations), axis=-1 - stations)
    return float(total) if total.ndim == 0 else total


def composite_loss(neck, x=None, stations=None):
    """Loss factor of the neck in bending, from the woods' loss factors along the neck and the shares of stripes, fretboard and bars.

    x: one station (m), several (S,), or None for the whole neck bent by an even moment, where the softer places store and lose more.
    stations: where to look when x is None, from nut to last fret (S,), m; neck.stations() unless given. The slotted layer of the fretboard counts
    with the stiffness it keeps. Friction in fret slots, joints and hardware is not in it.
    Returns a float or (D,) for one station or None, (S,) or (D, S) for several. Raises ValueError for a station off the neck.
    """
    s = section(neck, stations if x is None else np.atleast_1d(x))
    parts = regions(neck, s.x)
    eta = loss_factor("loss factor", by_region(neck, parts, lambda board: board.eta, lambda bar: bar.loss))
    per_radian, factor, EI = moduli(neck, parts) * eta, slots(neck, parts), s.EI

    def total(moments):
        return weighted(per_radian, moments, parts.slotted, factor)

    lost = total(parts.Szz) - 2 * s.z_bar * total(parts.Sz) + s.z_bar**2 * total(parts.area)
    result = lost / EI if x is not None else np.trapezoid(lost / EI**2, parts.x, axis=-1) / np.trapezoid(1 / EI, parts.x, axis=-1)
    if x is not None and np.ndim(x) == 0:
        result = result[..., 0]
    return float(result) if np.ndim(result) == 0 else result


def stripe_shares(neck, x, across="z"):
    """Names and bending-energy shares of every region of the neck (stripes, fretboard layers, bars) at stations x (S,), m.

    across: "z" for bending in the plane of the strings, "y" for side bow. Returns (names (R,), shares (R, S) or (D, R, S), summing to 1 over the
    regions). Raises ValueError for a station off the neck.
    """
    parts = regions(neck, x)
    first, second = (parts.Sz, parts.Szz) if across == "z" else (parts.Sy, parts.Syy)
    E = moduli(neck, parts)
    kept = np.asarray(slots(neck, parts))
    factor = np.ones(kept.shape[:-1] + first.shape)
    if parts.slotted is not None:
        factor[..., parts.slotted, :] = kept
    E = E[..., None] * factor                                                # (..., R, S)
    axis = np.sum(E * first, -2, keepdims=True) / np.sum(E * parts.area, -2, keepdims=True)
    energy = E * (second - 2 * axis * first + axis**2 * parts.area)
    return parts.names, energy / np.sum(energy, -2, keepdims=True)
