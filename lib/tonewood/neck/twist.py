"""Twist that moisture and load put into a neck through slanting grain.

A piece whose grain slants would, free, shear as it moves with moisture (gamma = 2 a dM, a the swelling tensor) and as it is bent (gamma = coupling
times strain along x). Reciprocity with the unit twist of Saint-Venant (tau: its stresses) gives the rate of twist of the glued section:

    rate = integral over the section of (tau_xy gamma_xy + tau_xz gamma_xz) / GJ

which needs only sums of tau over every region. Positive: right-hand turn about x, bass edge rising towards the treble as x grows.
Source: Maxwell-Betti reciprocity and Saint-Venant torsion, as in any text on elasticity.
"""

import numpy as np

from tonewood import checks


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
    J = b * h**3 / 3 * (1 - 192 * h / (np.pi**5 * b) * np.sum(np.tanh(n * np.pi * b / (2 * h)) / n**5))
    return 2 * np.asarray(checks.number("free shear", shear, -0.2, 0.2)) * middle / J


def twist_rate(neck, x, change):
    """Rate of twist (rad/m) from a change of moisture, (S,) or (D, S).

    x: stations (S,) m; change: moisture change of every piece, (P,) or (D, P), in the order of neck.pieces. Zero, without further work, when
    no piece slants.
    """
    shear = [2 * np.stack([piece.swelling_xyz[..., 0, 1], piece.swelling_xyz[..., 0, 2]]) * change[..., i] for i, piece in enumerate(neck.pieces)]
    draws = checks.draw_count(**{f"piece {i + 1}": s[0] for i, s in enumerate(shear)})
    if all(np.max(np.abs(s)) < 1e-12 for s in shear):
        return np.zeros((len(x),) if draws is None else (draws, len(x)))
    weights = per_shear(neck, x)
    return sum(s[0][..., None] * w[0] + s[1][..., None] * w[1] for s, w in zip(shear, weights))
