"""Twist that moisture puts into a neck through slanting grain.

A piece whose grain slants would, free, shear as it moves with moisture: gamma = 2 a dM, a the swelling tensor in neck axes. Glued up, the
section twists by the shear that its unit twist works through (reciprocity, see neck.torsion). Positive turns y towards z: seen from
the body towards the nut, the treble side rises as x grows.
"""

import numpy as np

from tonewood import checks
from tonewood.neck.section.section import regions
from tonewood.neck.section.torsion import rectangle_constant, torsion

LENGTH, ACROSS, UP = 0, 1, 2


def opposed_halves(shear, width, height):
    """Rate of twist (rad/m) of a block whose left and right halves have free shears -shear and +shear (gamma_xz), one material.

    width, height in m; shear a strain, float or (D,). rate = 2 shear * (mid-plane integral of the stress function) / J of the rectangle;
    close to shear / width for a flat block. Source: Saint-Venant series for the rectangle. Raises ValueError.
    """
    b = checks.number("width", width, 0.0, unit="m", open_low=True)
    h = checks.number("height", height, 0.0, unit="m", open_low=True)
    n = np.arange(1, 200, 2)
    sech = 1 / np.cosh(np.minimum(n * np.pi * b / (2 * h), 700.0))
    middle = h**3 / 6 - 16 * h**3 / np.pi**4 * np.sum(sech / n**4)
    return 2 * np.asarray(checks.number("free shear", shear, -0.2, 0.2)) * middle / rectangle_constant(b, h)


def twist_rate(neck, x, change, twist=None):
    """Rate of twist (rad/m) from a change of moisture, (S,) or (D, S).

    x: stations (S,) m; change: moisture change of every piece, (P,) or (D, P), in the order of neck.pieces. Zero, without further work, when
    no piece slants. twist: the neck's Torsion at x if it is at hand.
    """
    parts = regions(neck, x)
    shears = []
    for axis in (ACROSS, UP):
        own = [2 * piece.swelling_xyz[..., LENGTH, axis] * change[..., i] for i, piece in enumerate(neck.pieces)]
        shears.append(np.stack(np.broadcast_arrays(*(own[p] if p >= 0 else 0.0 for p in parts.piece)), -1))
    if max(np.max(np.abs(shear)) for shear in shears) < 1e-12:
        return np.zeros(shears[0].shape[:-1] + (len(parts.x),))
    return (torsion(neck, x) if twist is None else twist).twist_rate(*shears)
