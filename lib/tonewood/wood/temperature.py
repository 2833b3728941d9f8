"""What warmth and cold do to the stiffness and strength of wood while they last: a warm board bends more and
bears less, and is as before once it is back at 20 C.

Source: Wood Handbook, FPL-GTR-282, Table 5-15 (rows of data/temperature_effects.csv), straight between the
temperatures and moistures printed. Left out: what long heat takes away for good.
"""

from __future__ import annotations

import numpy as np

from tonewood import checks
from tonewood.draws import Array, Draws, plain
from tonewood.remember import remember
from tonewood.tables import read_table

QUANTITIES = ("modulus", "modulus_across", "bending_strength")
"""What the table tells of: modulus along the grain, across it, and strength in bending."""


@remember(8)
def _slopes(quantity: str, cold: bool) -> tuple[Array, Array]:
    """Moistures (fractions, rising) and the change for each kelvin away from 20 C there (fractions)."""
    rows = [row for row in read_table("temperature_effects.csv")
            if row["property"] == quantity and (row["temperature"] < 20) == cold]
    rows.sort(key=lambda row: row["moisture"])
    return (np.array([row["moisture"] / 100 for row in rows]),
            np.array([row["change"] / 100 / (row["temperature"] - 20) for row in rows]))


def temperature_factor(quantity: str, moisture: Draws, temperature: Draws) -> Draws:
    """Value at `temperature` (C, -50 to 50; below 20 only where the table has cold rows) over that at 20 C,
    at `moisture` (fraction; the end rows hold beyond them). quantity: of QUANTITIES. Arrays broadcast. Raises
    ValueError. Source: see above.

    >>> temperature_factor("modulus", 0.12, [20.0, 35.0, 50.0]).round(3).tolist()
    [1.0, 0.965, 0.93]
    """
    checks.choice("quantity", quantity, QUANTITIES)
    coldest = -50.0 if len(_slopes(quantity, True)[0]) else 20.0
    t = np.asarray(checks.temperature("temperature of the wood", temperature, coldest, 50.0))
    m = np.asarray(checks.moisture("moisture content", moisture))
    warm = np.interp(m, *_slopes(quantity, False))
    slope = np.where(t < 20, np.interp(m, *_slopes(quantity, True)), warm) if coldest < 20 else warm
    return plain(1 + slope * (t - 20))
