"""Draws: a number known exactly is a float; one that is not is an array whose leading axis is possible boards."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    import pandas

Draws = float | NDArray[np.float64]
"""A float, or a float array whose leading axis is possible boards (D,); any further axis is stations, frets or moments."""

POINTS = (5, 50, 95)
"""The percentiles of a 90 % band and its middle."""


def band(values: Draws) -> NDArray[np.float64]:
    """5, 50 and 95 % points over the draws: (3,) from a number or (D,), (3, …) from (D, …).

    A single number is its own band. Definition: linear percentiles.

    >>> band(2.0).tolist()
    [2.0, 2.0, 2.0]
    >>> band(np.arange(101.0)).tolist()
    [5.0, 50.0, 95.0]
    """
    values = np.asarray(values, dtype=float)
    return np.full(3, float(values)) if values.ndim == 0 else np.percentile(values, POINTS, axis=0)


def band_table(columns: Mapping[str, Draws]) -> pandas.DataFrame:
    """DataFrame of quantities by name (with unit): one row "value" if none has draws, else rows "5 %", "50 %", "95 %"."""
    import pandas as pd

    if all(np.ndim(v) == 0 for v in columns.values()):
        return pd.DataFrame({name: [float(v)] for name, v in columns.items()}, index=["value"])
    return pd.DataFrame({name: band(v) for name, v in columns.items()}, index=[f"{p} %" for p in POINTS])


def single(values: NDArray[np.float64], axis_count: int = 1, how: Callable[..., NDArray[np.float64]] = np.mean
           ) -> NDArray[np.float64]:
    """Values (…) as they are, or `how` (the mean) over the draws where there is one axis more than `axis_count`."""
    return how(values, axis=0) if np.ndim(values) > axis_count else values
