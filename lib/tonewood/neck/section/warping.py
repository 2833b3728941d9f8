"""Saint-Venant torsion of one composite section: the warping function by finite elements.

Twisted by 1 rad/m, the section's shear strains are

    gamma_xy = dw/dy - z        gamma_xz = dw/dz + y        [tau_xy; tau_xz] = C [gamma_xy; gamma_xz]

with w the warping. w makes the energy least; twice that least energy is GJ, so a finite element w gives GJ
from above. Holes need no extra condition. Source: Saint-Venant's torsion as in any text on elasticity, here
with shear stiffness that differs between regions and directions.

The mesh is columns between lines y = const by rows between curves z(y), biquadratic, integrated with 3 x 3
points on the true curves.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tonewood.draws import Array
from tonewood.remember import remember

# stiffness of a hole relative to the stiffest region: keeps the node grid regular, carries nothing
_HOLE = 1e-7

_POINTS = np.sqrt(0.6) * np.array([-1.0, 0.0, 1.0])
_WEIGHTS = np.array([5.0, 8.0, 5.0]) / 9


def _reference_element() -> tuple[Array, Array, Array]:
    """Nine-node shape functions' slopes at 3 x 3 Gauss points: d/dxi and d/deta (9, 9), weights (9,)."""
    p = _POINTS
    value = np.array([p * (p - 1) / 2, 1 - p * p, p * (p + 1) / 2])
    slope = np.array([p - 0.5, -2 * p, p + 0.5])
    along = np.einsum("ag,bh->abgh", slope, value).reshape(9, 9)
    across = np.einsum("ag,bh->abgh", value, slope).reshape(9, 9)
    return along, across, np.outer(_WEIGHTS, _WEIGHTS).reshape(9)


_XI, _ETA, _W = _reference_element()


@dataclass(frozen=True)
class UnitTwist:
    """Fields of a section twisted by 1 rad/m, summed over each region (last axis R).

    GJ: N m2. strain: (3, R) integrals of gamma_xy^2, gamma_xz^2 and 2 gamma_xy gamma_xz [m4]. stress: (3, R)
    integrals of tau_xy^2, tau_xz^2, 2 tau_xy tau_xz [N2]. flow: (2, R) integrals of tau_xy, tau_xz [N m];
    flow_y, flow_z: (2, R) the same weighted with y and with z [N m2].
    """

    GJ: float
    strain: Array
    stress: Array
    flow: Array
    flow_y: Array
    flow_z: Array


@remember(32)
def _numbering(columns: int, rows: int) -> tuple[NDArray[np.intp], NDArray[np.bool_], NDArray[np.intp], int,
                                                 int]:
    """Element-to-node table (columns, rows, 9) and, for the lower band of the matrix, which entries to keep
    and where they go."""
    height = 2 * rows + 1
    first = 2 * np.arange(columns)[:, None] * height + 2 * np.arange(rows)
    nodes = first[..., None] + (np.arange(3)[:, None] * height + np.arange(3)).ravel()
    count, band = (2 * columns + 1) * height, 2 * height + 3
    i, j = np.broadcast_arrays(nodes[..., :, None], nodes[..., None, :])
    keep = i >= j
    return nodes, keep, ((i - j) * count + j)[keep], count, band


def unit_twist(edges: ArrayLike, levels: Callable[[Array], Array], region: ArrayLike, stiffness: ArrayLike
               ) -> UnitTwist:
    """Twist a section by 1 rad/m. Returns UnitTwist.

    edges: y of the column edges (columns + 1,), m, rising. levels: function of y (n,) -> z of the row curves
    (rows + 1, n), m, rising; it may have kinks at the edges and must not fold. region: (columns, rows) region
    number of each cell, -1 for a hole. stiffness: (R, 3) shear stiffness C_xy, C_xz and the cross term C_xyxz
    of each region, Pa (cross term 0 for growth rings parallel or square to the face).

    >>> square = unit_twist([-0.5, 0.0, 0.5], lambda y: np.array([[-0.5], [0.0], [0.5]]) + 0 * y,
    ...                     np.zeros((2, 2), int), [[1.0, 1.0, 0.0]])
    >>> round(square.GJ, 3)
    0.143
    """
    from scipy.linalg import solveh_banded

    edges, region = np.asarray(edges, dtype=float), np.asarray(region)
    stiffness = np.asarray(stiffness, dtype=float)
    columns, rows = region.shape
    nodes, keep, slot, count, band = _numbering(columns, rows)
    dy_, dz_, y, z, weight = _map(edges, levels, columns, rows)

    top = stiffness[:, :2].max()
    cell = np.where((region >= 0)[..., None], stiffness[region], np.array([_HOLE * top, _HOLE * top, 0.0]))
    C_xy, C_xz, C_cross = (cell[..., k, None] for k in range(3))
    t_xy = dy_ * (C_xy * weight)[:, :, None] + dz_ * (C_cross * weight)[:, :, None]
    t_xz = dy_ * (C_cross * weight)[:, :, None] + dz_ * (C_xz * weight)[:, :, None]
    K = t_xy @ np.swapaxes(dy_, -1, -2) + t_xz @ np.swapaxes(dz_, -1, -2)
    load = (t_xy @ z[..., None] - t_xz @ y[..., None])[..., 0]
    lower = np.bincount(slot, K[keep], minlength=band * count).reshape(band, count)
    lower[0, 0] *= 1e6  # w is free up to a constant: hold one node
    w = solveh_banded(lower, np.bincount(nodes.ravel(), load.ravel(), minlength=count), lower=True,
                      overwrite_ab=True, check_finite=False)[nodes]

    g_xy = (w[:, :, None] @ dy_)[:, :, 0] - z
    g_xz = (w[:, :, None] @ dz_)[:, :, 0] + y
    s_xy, s_xz = C_xy * g_xy + C_cross * g_xz, C_cross * g_xy + C_xz * g_xz

    def summed(*fields: Array) -> Array:
        cells = np.stack([(f * weight).sum(-1) for f in fields])
        return np.stack([np.bincount(region.ravel() + 1, c.ravel(), minlength=len(stiffness) + 1)[1:]
                         for c in cells])

    strain = summed(g_xy * g_xy, g_xz * g_xz, 2 * g_xy * g_xz)
    return UnitTwist(GJ=float((strain * stiffness.T).sum()), strain=strain,
                     stress=summed(s_xy * s_xy, s_xz * s_xz, 2 * s_xy * s_xz), flow=summed(s_xy, s_xz),
                     flow_y=summed(y * s_xy, y * s_xz), flow_z=summed(z * s_xy, z * s_xz))


def _map(edges: Array, levels: Callable[[Array], Array], columns: int, rows: int) -> tuple[Array, ...]:
    """Slopes d/dy, d/dz of the shape functions (columns, rows, 9 nodes, 9 points), and y, z, weight at the
    points (columns, rows, 9)."""
    width = np.diff(edges)
    if not width.min() > 0:
        raise ValueError(f"section mesh: a column {1e3 * width.min():g} mm wide; accepted: edges that rise "
                         "from bass to treble")
    y = edges[:-1, None] + (1 + _POINTS) / 2 * width[:, None]
    step = 1e-6 * width.min()
    curve = np.moveaxis(levels(y.ravel()).reshape(rows + 1, columns, 3), 0, 1)
    tilt = np.moveaxis(((levels(y.ravel() + step) - levels(y.ravel() - step))
                        / (2 * step)).reshape(rows + 1, columns, 3), 0, 1)
    up = (1 + _POINTS) / 2
    z = (curve[:, :-1, :, None] * (1 - up) + curve[:, 1:, :, None] * up).reshape(columns, rows, 9)
    tilt = (tilt[:, :-1, :, None] * (1 - up) + tilt[:, 1:, :, None] * up).reshape(columns, rows, 9)
    height = np.repeat(np.diff(curve, axis=1), 3, axis=-1)
    if not height.min() > 0:
        raise ValueError(f"section mesh: a row {1e3 * height.min():g} mm high; accepted: row curves that "
                         "rise and do not touch")
    d_z = _ETA * (2 / height)[:, :, None]
    d_y = _XI * (2 / width)[:, None, None, None] - d_z * tilt[:, :, None]
    weight = _W * height / 2 * (width / 2)[:, None, None]
    y = np.broadcast_to(np.repeat(y, 3, axis=-1)[:, None], z.shape)
    return d_y, d_z, y, z, weight
