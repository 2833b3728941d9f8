"""Pieces that would like to change length by different amounts, glued into one section: what the section does instead.

Model: plane sections, perfect bond, linear elasticity. Every region r has a modulus E along the neck and a free strain (eigenstrain) e
it would take on its own. The section takes the strain

    strain(y, z) = centre + curvature * z + side_curvature * y

that leaves no net force and no net moments. With one sum per integral,

    [ EA   ES_z   ES_y  ] [ centre         ]   [ sum E e A   ]
    [ ES_z EI_zz  EI_yz ] [ curvature      ] = [ sum E e S_z ]
    [ ES_y EI_yz  EI_yy ] [ side_curvature ]   [ sum E e S_y ]

where the integrals are taken about the origin (z = 0 on the glue line of the fretboard, y = 0 in the middle). For two layers this is
the bimetal strip of S. Timoshenko, "Analysis of bi-metal thermostats", J. Opt. Soc. Am. 11 (1925) 233.

Signs: curvature = d strain / dz. Negative means the string side is shorter: hollow towards the strings, forward bow, more relief.
side_curvature = d strain / dy. Positive means the treble side is longer: the middle of the neck moves towards the treble.
"""

from dataclasses import dataclass

import numpy as np

from tonewood import checks

INTEGRALS = ("area", "Sy", "Sz", "Syy", "Szz", "Syz")
_BATCH = 250


@dataclass(frozen=True)
class Response:
    """Strain of the section at y = z = 0 and its two slopes [1/m]; shapes (S,) or (D, S)."""

    centre: np.ndarray
    curvature: np.ndarray
    side_curvature: np.ndarray

    def strain(self, y, z):
        """Strain at a point (y, z) [m] of every section."""
        return self.centre + self.curvature * z + self.side_curvature * y


def rectangles(width, height, y, z):
    """Integrals of rectangles, for one station.

    width, height [m], centres y, z [m]: (R,) each. Returns (6, R, 1): area, integral of y, of z, of y squared, of z squared, of y z.
    Raises ValueError.
    """
    width = checks.number("width", width, 0.0, unit="m", open_low=True)
    height = checks.number("height", height, 0.0, unit="m", open_low=True)
    width, height, y, z = np.broadcast_arrays(np.atleast_1d(width), height, checks.number("y", y, unit="m"), checks.number("z", z, unit="m"))
    area = width * height
    return np.stack([area, area * y, area * z, area * (y**2 + width**2 / 12), area * (z**2 + height**2 / 12), area * y * z])[:, :, None]


def response(integrals, modulus, eigenstrain, weakened=None, share=1.0):
    """Strain and curvatures of a glued section whose regions have free strains.

    integrals: (6, R, S), in the order of INTEGRALS, in m2, m3, m4. modulus [Pa] and eigenstrain: (R,) or (D, R).
    weakened: index of a region that keeps only `share` (S,) or (D, S) of its modulus, station by station (a fretboard cut by fret slots).
    Returns a Response with shapes (S,) or (D, S). Raises ValueError for a section without stiffness or a region with a negative modulus.
    """
    integrals = np.array(integrals, dtype=float)
    modulus = np.atleast_1d(checks.number("modulus", modulus, 0.0, unit="Pa"))
    eigenstrain = np.atleast_1d(checks.number("free strain", eigenstrain, -0.2, 0.2, "(a fraction of the length)"))
    share = np.asarray(checks.number("share of modulus kept", share, 0.0, 1.0 + 1e-9))
    regions = integrals.shape[1]
    if modulus.shape[-1] != regions or eigenstrain.shape[-1] != regions:
        raise ValueError(f"regions: {regions} in the section, {modulus.shape[-1]} moduli and {eigenstrain.shape[-1]} free strains given; "
                         "accepted: one of each for every region, along the last axis")
    checks.draw_count(modulus=modulus if modulus.ndim > 1 else None, free_strain=eigenstrain if eigenstrain.ndim > 1 else None,
                      share=share if share.ndim > 1 else None)
    lost = None
    if weakened is not None and share.ndim > 1:
        lost = share - 1.0
    elif weakened is not None:
        integrals[:, weakened] *= share
    load = modulus * eigenstrain
    draws = len(load) if load.ndim > 1 else None if lost is None else len(lost)
    if draws is None:
        return solve(*(modulus @ integrals), *(load @ integrals[:3]))
    modulus, load = (np.broadcast_to(values, (draws, regions)) for values in (modulus, load))

    def batch(rows):
        sums, loads = modulus[rows] @ integrals, load[rows] @ integrals[:3]
        if lost is not None:
            sums += modulus[rows, weakened, None] * lost[rows] * integrals[:, weakened, None]
            loads += load[rows, weakened, None] * lost[rows] * integrals[:3, weakened, None]
        return solve(*sums, *loads)

    # a few hundred draws at a time stay in the processor's cache: four times faster than all at once
    parts = [batch(slice(i, i + _BATCH)) for i in range(0, draws, _BATCH)]
    return Response(*(np.concatenate([getattr(part, name) for part in parts]) for name in ("centre", "curvature", "side_curvature")))


def solve(EA, ES_y, ES_z, EI_yy, EI_zz, EI_yz, N, N_y, N_z):
    """Solve the 3 x 3 balance for every section at once. All arguments share one shape: stiffness integrals and the three sums of E e.

    EI_yy is the integral of E y squared and EI_zz of E z squared about the origin. Returns a Response. Raises ValueError.
    """
    if not np.all(EA > 0):
        raise ValueError("section: no stiffness along the neck at some station; accepted: at least one region with a modulus above 0 Pa")
    y_bar, z_bar = ES_y / EA, ES_z / EA
    bend, side, cross = EI_zz - ES_z * z_bar, EI_yy - ES_y * y_bar, EI_yz - ES_y * z_bar
    moment, side_moment = N_z - N * z_bar, N_y - N * y_bar
    scale = 1.0 / (bend * side - cross * cross)
    curvature = (side * moment - cross * side_moment) * scale
    side_curvature = (bend * side_moment - cross * moment) * scale
    return Response(N / EA - curvature * z_bar - side_curvature * y_bar, curvature, side_curvature)


def stack(thickness, width, modulus, eigenstrain):
    """Layers glued flat on each other, listed from the bottom (z = 0 at the bottom face), centred on one another.

    thickness, width [m]: (R,); modulus [Pa], eigenstrain: (R,) or (D, R). Returns (Response, z) with one station, z (R+1,) the faces.
    """
    thickness = np.atleast_1d(checks.number("layer thickness", thickness, 0.0, unit="m", open_low=True))
    faces = np.concatenate([[0.0], np.cumsum(thickness)])
    return response(rectangles(width, thickness, 0.0, (faces[1:] + faces[:-1]) / 2), modulus, eigenstrain), faces


def stress(response, modulus, eigenstrain, y, z):
    """Stress along the neck [Pa] at a point (y, z) of a region: modulus * (strain - eigenstrain). Positive is tension."""
    return modulus * (response.strain(y, z) - eigenstrain)
