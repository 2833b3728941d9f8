"""Twist that moisture, or the pull of the strings, puts into a neck through slanting grain.

A piece whose grain slants would, free, shear as it moves with moisture: gamma = 2 a dM, a the swelling tensor
in neck axes; pulled along the neck it shears too. Glued up, the section twists by the shear that its unit
twist works through. Positive turns y towards z: seen from the body towards the nut, the treble side rises as
x grows. Source: reciprocity, see section.torsion.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from tonewood import checks
from tonewood.draws import Array, Draws
from tonewood.neck.layup.neck import Neck
from tonewood.neck.section.stations import AtStations, at_stations

LENGTH, ACROSS, UP = 0, 1, 2
"""The neck's axes x, y, z."""


def twist_rate(neck: Neck | AtStations, change: Array) -> Array:
    """Rate of twist (rad/m) from a change of moisture, (S,) or (D, S).

    change: moisture change of every piece, (P,), (D, P) or (D, T, P) for T moments (the rate then (D, T, S)),
    in the order of neck.pieces. Zero, without further work, when no piece slants. Raises ValueError.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> twist_rate(at_stations(example_neck(), [0.1, 0.2]), np.array([-0.02, -0.02])).tolist()
    [0.0, 0.0]
    """
    here = at_stations(neck)
    change = np.asarray(checks.moisture_change("change of moisture", change))
    shears = [here.per_region([2 * beside(piece.swelling_xyz[..., LENGTH, axis], change) * change[..., i]
                               for i, piece in enumerate(here.neck.pieces)], lambda bar: 0.0)
                               for axis in (ACROSS, UP)]
    if max(np.max(np.abs(shear)) for shear in shears) < 1e-12:
        return np.zeros(shears[0].shape[:-1] + (len(here.x),))
    return here.torsion.twist_rate(*shears)


def beside(value: Draws, change: Array) -> Draws:
    """A value of a board, a number or (D,), ready to stand beside moistures (D, T) of T moments: (D, 1); as
    it is without moments.

    change: what tells, moisture of every piece, (P,), (D, P) or (D, T, P).

    >>> beside(np.ones(5), np.ones((5, 12, 3))).shape, beside(1.0, np.ones(3))
    ((5, 1), 1.0)
    """
    return np.asarray(value)[:, None] if np.ndim(value) and change.ndim == 3 else value


def bending_twist(neck: Neck | AtStations, moment: Draws, tension: float = 0.0,
                  x: ArrayLike | None = None) -> Array:
    """Twist (rad/m), (S,) or (D, S), from bending and pull where the grain runs at a slope: wood sheared by
    stress along the neck.

    moment: N m, positive for forward bow (strings' pull), (S,) or a number; tension: N in the strings,
    carried by the wood as compression; x: stations (S,) m. Reciprocity with the free shear strain (shear per
    strain along x) x (strain along x). First order in the coupling. Raises ValueError.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> abs(bending_twist(example_neck(), 5.5, 450.0, [0.1, 0.2])).round(9).tolist()
    [0.0, 0.0]
    """
    here = at_stations(neck, x)
    beam, twist = here.section, here.torsion
    checks.finite(moment=moment, string_tension=tension)
    compliance = [board.seen.compliance for board in here.neck.pieces]
    # shear strain per strain along x of every region, none in a bar
    xy, xz = (here.per_region([S[..., shear, 0] / S[..., 0, 0] for S in compliance], lambda bar: 0.0)
              for shear in (5, 4))
    # two bending planes: [EI EI_cross; EI_cross EI_side] [curvature; side curvature] = [-moment; 0]
    whole = beam.EI * beam.EI_side - beam.EI_cross**2
    curvature, side = -moment * beam.EI_side / whole, moment * beam.EI_cross / whole
    centre = -tension / beam.EA - curvature * beam.z_bar - side * beam.y_bar

    def worked(coupling: Array, flow: Array, flow_y: Array, flow_z: Array) -> Array:
        return centre * (coupling @ flow) + curvature * (coupling @ flow_z) + side * (coupling @ flow_y)

    return (worked(xy, twist.shear_xy, twist.shear_xy_y, twist.shear_xy_z)
            + worked(xz, twist.shear_xz, twist.shear_xz_y, twist.shear_xz_z)) / twist.reference


def between(x: Array, rate: Array, first: float, last: float) -> Draws:
    """Integral of a rate (S,) or (D, S), 1/m, straight between the stations x (S,), m, from `first` to
    `last` (m): a float or (D,). Raises ValueError.

    >>> round(float(between(np.array([0.0, 1.0]), np.array([0.0, 2.0]), 0.5, 1.0)), 9)
    0.75
    """
    checks.finite(station=x, rate=rate, first_point=first, last_point=last)
    points = np.concatenate([[first], x[(x > first) & (x < last)], [last]])
    weight = np.zeros(len(points))
    weight[:-1] += np.diff(points) / 2
    weight[1:] += np.diff(points) / 2
    return rate @ (np.array([np.interp(points, x, row) for row in np.eye(len(x))]) @ weight)
