"""Thirty real boards whose stiffness was measured four ways: how well does one test foretell another?

Source: johnson-wichern in data/sources.csv, Table 4.3 (data/board_stiffness.csv). No unit is printed, so only
ratios and correlations are used.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tonewood import checks
from tonewood.draws import Array
from tonewood.remember import remember
from tonewood.tables import read_table

TESTS = {"shock_wave": "shock wave sent down the board", "vibration": "vibrating the board",
         "static_a": "first slow test", "static_b": "second slow test"}


@remember(1)
def board_tests() -> dict[str, Array]:
    """{test: readings of the 30 boards (30,)}, tests as in TESTS, each in its own unit, which is not printed.
    >>> board_tests()["vibration"].shape
    (30,)
    """
    rows = read_table("board_stiffness.csv")
    return {name: np.array([row[name] for row in rows]) for name in TESTS}


@dataclass(frozen=True)
class Forecast:
    """How one test foretells another over the same boards: correlation; ratio of the means (other over one);
    scatter: coefficient of variation of the other; left: what is left of it once the best straight line is
    known."""

    correlation: float
    ratio: float
    scatter: float
    left: float


def forecast(one: str, other: str) -> Forecast:
    """Forecast of test `other` from test `one`, by name in TESTS. Raises ValueError for an unknown test.
    Source: least squares.
    >>> round(forecast("vibration", "static_a").correlation, 3)
    0.788
    """
    tests = board_tests()
    x, y = (tests[checks.choice("test", name, TESTS)] for name in (one, other))
    r = float(np.corrcoef(x, y)[0, 1])
    scatter = float(y.std(ddof=1) / y.mean())
    left = float(np.sqrt((1 - r**2) * (len(x) - 1) / (len(x) - 2)))
    return Forecast(r, float(y.mean() / x.mean()), scatter, scatter * left)
