"""A sound turned down to slow rotation, fitted by dying rotations: a matrix pencil (Hua and Sarkar, 1990)."""

from __future__ import annotations

from typing import Any

import numpy as np

from tonewood.draws import Array


def directions(z: Array) -> Array:
    """Of the windows of z, complex (M,), the directions they lie along, strongest first, one a row,
    dimensionless. Raises nothing.

    >>> directions(np.ones(6) + 0j).shape
    (3, 4)
    """
    from scipy.linalg import hankel
    size = len(z) // 2
    return np.asarray(np.linalg.svd(hankel(z[:size], z[size - 1:]), full_matrices=False)[2])


def pencil(z: Array, along: Array, count: int) -> tuple[Any, Any]:
    """Dying rotations in z, complex (M,), unit as given: per-sample factors (count,) and amplitudes (count,);
    along: its directions. Raises nothing.

    >>> z = 2.0 * 0.9 ** np.arange(20) + 0j
    >>> factors, amplitudes = pencil(z, directions(z), 1)
    >>> round(float(factors[0].real), 6), round(float(amplitudes[0].real), 6)
    (0.9, 2.0)
    """
    signal = along[:count].T
    factors = np.linalg.eigvals(np.linalg.lstsq(signal[:-1], signal[1:], rcond=None)[0])
    with np.errstate(all="ignore"):
        powers = factors[None, :] ** np.arange(len(z))[:, None]
    amplitude = np.linalg.lstsq(np.nan_to_num(powers), z, rcond=None)[0]
    return factors, amplitude


def unexplained(z: Array, factors: Any, amplitude: Any) -> float:
    """Root mean square of what a fit by `pencil` leaves of z, (M,), in the unit of z. Raises nothing.

    >>> z = 2.0 * 0.9 ** np.arange(20) + 0j
    >>> round(unexplained(z, *pencil(z, directions(z), 1)), 6)
    0.0
    """
    with np.errstate(all="ignore"):
        fit = np.nan_to_num(factors[None, :] ** np.arange(len(z))[:, None]) @ amplitude
    return float(np.sqrt(np.mean(np.abs(z - fit) ** 2)))
