"""Pieces that would like to change length by different amounts, glued into one section: what the section does
instead.

Model: plane sections, perfect bond, linear elasticity. Every region r has a modulus E along the neck and a
free strain (eigenstrain) e it would take on its own. The section takes the strain

    strain(y, z) = centre + curvature * z + side_curvature * y

that leaves no net force and no net moments. With one sum per integral,

    [ EA   ES_z   ES_y  ] [ centre         ]   [ sum E e A   ]
    [ ES_z EI_zz  EI_yz ] [ curvature      ] = [ sum E e S_z ]
    [ ES_y EI_yz  EI_yy ] [ side_curvature ]   [ sum E e S_y ]

where the integrals are taken about the origin (z = 0 on the glue line of the fretboard, y = 0 in the middle).
For two layers this is the bimetal strip of S. Timoshenko, "Analysis of bi-metal thermostats", J. Opt. Soc.
Am. 11 (1925) 233.

Signs: curvature = d strain / dz. Negative means the string side is shorter: hollow towards the strings,
forward bow, more relief. side_curvature = d strain / dy. Positive means the treble side is longer: the middle
of the neck moves towards the treble.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tonewood import checks
from tonewood.draws import Array, Draws, in_batches


@dataclass(frozen=True)
class Response:
    """Strain of the section at y = z = 0 and its two slopes [1/m]; shapes (S,) or (D, S)."""

    centre: Array
    curvature: Array
    side_curvature: Array

    def strain(self, y: Draws, z: Draws) -> Array:
        """Strain at a point (y, z) [m] of every section."""
        return self.centre + self.curvature * z + self.side_curvature * y


def rectangles(width: ArrayLike, height: ArrayLike, y: ArrayLike, z: ArrayLike) -> Array:
    """Integrals of rectangles, for one station.

    width, height [m], centres y, z [m]: (R,) each. Returns (6, R, 1): area, integral of y, of z, of y
    squared, of z squared, of y z. Raises ValueError.

    >>> rectangles(1.0, 2.0, 0.0, 0.0)[:, 0, 0].round(3).tolist()
    [2.0, 0.0, 0.0, 0.167, 0.667, 0.0]
    """
    width = checks.number("width", width, 0.0, unit="m", open_low=True)
    height = checks.number("height", height, 0.0, unit="m", open_low=True)
    places = checks.number("y", y, unit="m"), checks.number("z", z, unit="m")
    w, h, y, z = np.broadcast_arrays(np.atleast_1d(width), height, *places)
    area = w * h
    return np.stack([area, area * y, area * z, area * (y**2 + w**2 / 12), area * (z**2 + h**2 / 12),
                     area * y * z])[:, :, None]


def response(integrals: ArrayLike, modulus: ArrayLike, eigenstrain: ArrayLike,
             weakened: int | Sequence[int] | None = None, share: Draws = 1.0) -> Response:
    """Strain and curvatures of a glued section whose regions have free strains.

    integrals: (6, R, S), area, Sy, Sz, Syy, Szz, Syz as in section.regions, in m2, m3, m4. modulus [Pa] and
    eigenstrain: (R,) or (D, R), or (D, T, R) with T moments. weakened: index of a region, or of several, that
    keep only `share` (S,) or (D, S) (with moments (D, 1, S)) of their modulus, station by station (a
    fretboard cut by fret slots).
    Returns a Response with shapes (S,), (D, S) or (D, T, S). Raises ValueError for a section without
    stiffness or a region with a negative modulus.

    >>> two = rectangles(0.02, [0.001, 0.001], 0.0, [0.0005, 0.0015])
    >>> response(two, [1e9, 1e9], [0.0, 0.001]).curvature.round(6).tolist()
    [0.75]
    """
    sums = np.array(checks.number("integrals of the section", integrals))
    E = np.atleast_1d(checks.number("modulus", modulus, 0.0, unit="Pa"))
    free = np.atleast_1d(checks.number("free strain", eigenstrain, -0.2, 0.2, "(a fraction of the length)"))
    share = np.asarray(checks.number("share of modulus kept", share, 0.0, 1.0 + 1e-9))
    regions, stations = sums.shape[1:]
    if E.shape[-1] != regions or free.shape[-1] != regions:
        raise ValueError(f"regions: {regions} in the section, {E.shape[-1]} moduli and {free.shape[-1]} "
                         "free strains given; accepted: one of each for every region, along the last axis")
    checks.draw_count(modulus=E if E.ndim > 1 else None, free_strain=free if free.ndim > 1 else None,
                      share=share if share.ndim > 1 else None)
    lost, cut = None, np.atleast_1d(0 if weakened is None else weakened)
    if weakened is not None and share.ndim > 1:
        lost = share - 1.0
    elif weakened is not None:
        sums[:, cut] *= share
    load = E * free
    lead = np.broadcast_shapes(load.shape[:-1], () if lost is None else lost.shape[:-1])
    if not lead:
        return solve(*(E @ sums), *(load @ sums[:3]))
    E, load = (np.broadcast_to(values, (*lead, regions)).reshape(-1, regions) for values in (E, load))
    off = np.broadcast_to(0.0 if lost is None else lost, (*lead, stations)).reshape(-1, stations).T
    columns = sums.transpose(0, 2, 1).reshape(-1, regions)              # one product for every integral
    weak = [(region, [(i, sums[i, region, :, None]) for i in range(6) if sums[i, region].any()])
            for region in (cut if lost is not None else ())]

    def batch(rows: slice) -> Response:
        """Of some rows, each value (S, rows)."""
        modulus, loaded = E[rows].T, load[rows].T
        stiffness = (columns @ modulus).reshape(6, stations, -1)
        loads = (columns[:3 * stations] @ loaded).reshape(3, stations, -1)
        for region, moments in weak:
            for totals, values in ((stiffness, modulus), (loads, loaded)):
                gone = values[region] * off[:, rows]
                for i, moment in moments:
                    if i < len(totals):
                        totals[i] += moment * gone
        return solve(*stiffness, *loads)

    parts = in_batches(batch, len(E))
    return Response(*(np.concatenate([getattr(part, name) for part in parts], 1).T.reshape(*lead, stations)
                      for name in ("centre", "curvature", "side_curvature")))


def solve(EA: Array, ES_y: Array, ES_z: Array, EI_yy: Array, EI_zz: Array, EI_yz: Array, N: Array, N_y: Draws,
          N_z: Draws) -> Response:
    """Solve the 3 x 3 balance for every section at once. All arguments share one shape: stiffness integrals
    and the sums of E e.

    EI_yy is the integral of E y squared and EI_zz of E z squared about the origin. Returns a Response. Raises
    ValueError.

    >>> solve(*np.array([2.0, 0.0, 0.0, 1.0, 1.0, 0.0, 1.0, 0.0, 0.5])[:, None]).curvature.tolist()
    [0.5]
    """
    if not np.all(EA > 0):
        raise ValueError("section: no stiffness along the neck given at some station; accepted: at least one "
                         "region with a modulus above 0 Pa")
    y_bar, z_bar = ES_y / EA, ES_z / EA
    bend, side, cross = EI_zz - ES_z * z_bar, EI_yy - ES_y * y_bar, EI_yz - ES_y * z_bar
    moment, side_moment = N_z - N * z_bar, N_y - N * y_bar
    scale = 1.0 / (bend * side - cross * cross)
    curvature = (side * moment - cross * side_moment) * scale
    side_curvature = (bend * side_moment - cross * moment) * scale
    return Response(N / EA - curvature * z_bar - side_curvature * y_bar, curvature, side_curvature)


def stack(thickness: ArrayLike, width: ArrayLike, modulus: ArrayLike, eigenstrain: ArrayLike
          ) -> tuple[Response, Array]:
    """Layers glued flat on each other, listed from the bottom (z = 0 at the bottom face), centred on one
    another.

    thickness, width [m]: (R,); modulus [Pa], eigenstrain: (R,) or (D, R). Returns (Response, z): one station,
    z (R+1,) the faces. Raises ValueError.

    >>> stack([0.001, 0.001], 0.02, [1e9, 1e9], [0.0, 0.001])[0].curvature.round(6).tolist()
    [0.75]
    """
    thickness = np.atleast_1d(checks.length("layer thickness", thickness, high=0.5))
    checks.length("layer width", width, high=1.0)
    faces = np.concatenate([[0.0], np.cumsum(thickness)])
    return response(rectangles(width, thickness, 0.0, (faces[1:] + faces[:-1]) / 2), modulus,
                    eigenstrain), faces
