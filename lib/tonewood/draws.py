"""Draws: a number known exactly is a float; one that is not is an array whose leading axis is possible
boards."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Mapping
from fractions import Fraction
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.polynomial import chebyshev
from numpy.typing import NDArray

from tonewood.constants import INCH

if TYPE_CHECKING:
    import pandas

Array = NDArray[np.float64]
Draws = float | Array
"""A float, or a float array whose leading axis is possible boards (D,); any further axis is stations, frets
or moments."""

POINTS = (5, 50, 95)
"""The percentiles of a 90 % band and its middle."""
Z90 = 1.6448536269514722
"""Standard deviations on either side of the mean of a normal distribution that hold 90 % of it."""


def band(values: Draws) -> Array:
    """5, 50 and 95 % points over the draws: (3,) from a number or (D,), (3, …) from (D, …).

    A single number is its own band. Definition: linear percentiles, as numpy.percentile gives them, but from
    one sort (for 1000 draws 16 µs instead of 76): every figure does this at every step of a slider.

    >>> band(2.0).tolist()
    [2.0, 2.0, 2.0]
    >>> band(np.arange(101.0)).tolist()
    [5.0, 50.0, 95.0]
    """
    values = np.asarray(values, dtype=float)
    if values.ndim == 0:
        return np.full(3, float(values))
    ordered, last = np.sort(values, axis=0), len(values) - 1
    at = np.array(POINTS) / 100 * last
    below = at.astype(int)
    part = (at - below).reshape(-1, *[1] * (values.ndim - 1))
    return ordered[below] + part * (ordered[np.minimum(below + 1, last)] - ordered[below])


def band_table(columns: Mapping[str, Draws]) -> pandas.DataFrame:
    """DataFrame of quantities by name (with unit): one row "value" if none has draws, else rows "5 %", "50
    %", "95 %".

    >>> band_table({"EI (N m2)": np.arange(101.0), "mass (kg)": 0.7}).loc["50 %"].tolist()
    [50.0, 0.7]
    """
    import pandas as pd

    if all(np.ndim(v) == 0 for v in columns.values()):
        return pd.DataFrame({name: [float(v)] for name, v in columns.items()}, index=["value"])
    return pd.DataFrame({name: band(v) for name, v in columns.items()}, index=[f"{p} %" for p in POINTS])


def single(values: Array, axis_count: int = 1, how: Callable[..., Array] = np.mean) -> Array:
    """Draws (…) as they are, or `how` (the mean) over the draws where there is one axis more than
    `axis_count`.

    >>> single(np.array([[1.0, 2.0], [3.0, 4.0]])).tolist()
    [2.0, 3.0]
    """
    return how(values, axis=0) if np.ndim(values) > axis_count else values


def plain(values: Draws) -> Draws:
    """A float from a number in whatever wrapping (0-d array), an array as it is.

    >>> plain(np.asarray(2.0)), plain(np.ones(2)).tolist()
    (2.0, [1.0, 1.0])
    """
    return float(values) if np.ndim(values) == 0 else values


def normal_share(z: Draws) -> Draws:
    """Share (0 to 1) of the standard normal below z, shaped as z. As scipy.special.ndtr, whose import would
    take longer than all that a first picture asks of it.

    >>> round(normal_share(-1.0), 4), normal_share(np.zeros(2)).tolist()
    (0.1587, [0.5, 0.5])
    """
    return plain(0.5 * np.asarray(_erfc(-np.asarray(z) / math.sqrt(2)), dtype=float))


_erfc = np.frompyfunc(math.erfc, 1, 1)


def bisect(below: Callable[[Array], NDArray[np.bool_]], low: Array, high: Array, steps: int) -> Array:
    """Where `below` (array -> True while still below the point sought) turns False between low and high, for
    every draw at once.

    low, high: arrays of one shape; steps: number of halvings; the point is found to (high - low) / 2^steps.
    Method: bisection.

    >>> bisect(lambda x: x**2 < 2.0, np.zeros(1), np.full(1, 2.0), 50).round(6).tolist()
    [1.414214]
    """
    for _ in range(steps):
        middle = (low + high) / 2
        under = below(middle)
        low, high = np.where(under, middle, low), np.where(under, high, middle)
    return (low + high) / 2


def smooth(function: Callable[[Array], Array], values: Array) -> Array:
    """function(values) for values (D, 1) above 0 that gives (D, S), at a fraction of the time: where they lie
    close together, by the polynomial through a few of them, which differs by rounding alone.

    For a function whose poles in the complex plane are no nearer to any value than 0 is. Method: Chebyshev
    interpolation, as many terms as its rate of convergence (Bernstein ellipse) asks for.

    >>> x = np.linspace(1.0, 1.7, 200)[:, None]
    >>> bool(np.abs(smooth(np.tanh, x) - np.tanh(x)).max() < 1e-14)
    True
    """
    low, high = float(np.min(values)), float(np.max(values))
    middle, half = (high + low) / 2, (high - low) / 2
    terms = 2 + math.ceil(36 / math.acosh(middle / half)) if 0 < low < high else len(values)
    if len(values) < 4 * terms:
        return function(values)
    points = chebyshev.chebpts1(terms)
    fitted = chebyshev.chebvander(points, terms - 1).T @ function(middle + half * points[:, None]) * 2 / terms
    fitted[0] /= 2                                                      # the polynomial through these points
    found: Array = chebyshev.chebvander((values[:, 0] - middle) / half, terms - 1) @ fitted
    return found


def in_batches(work: Callable[[slice], Any], draws: int, size: int = 250) -> list[Any]:
    """What `work` returns for each slice of `size` draws (their number): they stay in the processor's cache,
    far faster than all at once.

    >>> in_batches(lambda rows: (rows.start, rows.stop), 600)
    [(0, 250), (250, 500), (500, 750)]
    """
    return [work(slice(i, i + size)) for i in range(0, draws, size)]


def written(value: float, decimals: int | None = 2, sign: bool = False) -> str:
    """A number for reading: a true minus sign, never "−0.00". decimals None: as many as it has, up to six
    digits; sign: a plus too, none for 0.

    >>> written(-0.123), written(0.123, sign=True), written(-0.001, sign=True), written(-2.50, None)
    ('−0.12', '+0.12', '0.00', '−2.5')
    """
    shown = f"{value:{'+' if sign else ''}{'g' if decimals is None else f'.{decimals}f'}}"
    if float(shown) == 0:
        shown = shown.lstrip("+-")
    return shown.replace("-", "−")


def written_band(three: Iterable[float], decimals: int = 2, sign: bool = False) -> str:
    """(5 %, 50 %, 95 %) for reading: the middle first.

    >>> written_band((-0.1, 0.2, 0.51), 1)
    '0.2 (−0.1 to 0.5)'
    """
    low, middle, high = (written(v, decimals, sign) for v in three)
    return f"{middle} ({low} to {high})"


def written_inches(length: float, parts: int = 64) -> tuple[str, float]:
    """A length (m) as inches with a fraction of at most 1/parts, and what rounding has added to it (m).

    >>> written_inches(0.0271), written_inches(0.0508)
    (('1 1/16 in', -0.0001125), ('2 in', 0.0))
    """
    near = Fraction(round(length / INCH * parts), parts)
    whole, rest = divmod(abs(near), 1)
    shown = " ".join(str(part) for part in (whole, rest) if part) or "0"
    return f"{'−' if near < 0 else ''}{shown} in", round(float(near) * INCH - length, 12)


def readable(words: str) -> str:
    """The words as people read them: a true minus sign before a number, and nothing where nothing was given.

    >>> readable("density: -700 kg/m³ given; accepted: from 50 to 2000 kg/m³")
    'density: −700 kg/m³ given; accepted: from 50 to 2000 kg/m³'
    >>> readable("wood: '' given; accepted: a name")
    'wood: nothing given; accepted: a name'
    """
    words = re.sub(r"(?:''|None) given", "nothing given", words)
    return re.sub(r"(?<![\w.)\]])-(?=\d)", "−", words)
