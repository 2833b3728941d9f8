"""Means of what a log holds of one board: results of one kind and of several, and its moisture as last read.
Weights and growth of the uncertainty as told in log_boards."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

import numpy as np

from tonewood.bench.log_columns import Measurement
from tonewood.bench.moisture_readings import by_meter
from tonewood.draws import Z90, Array
from tonewood.wood.facts import rule
from tonewood.wood.species import Species

SETTLED = timedelta(days=14)
"""Readings of moisture within so many days of the last count for the board as it is now."""


@dataclass(frozen=True)
class Mean:
    """A result in SI units with its standard uncertainty u in the same unit, from `count` measurements."""

    value: float
    u: float
    count: int = 1

    @property
    def relative(self) -> float:
        """The uncertainty as a share of the value."""
        return self.u / abs(self.value)


def _error(kind: str) -> float:
    """Relative standard uncertainty of one result of this kind."""
    if kind == "weigh":
        return rule("density_error").value
    if kind == "loss":
        return float(np.log(rule("loss_own_band").value)) / Z90
    bend, over = rule("modulus_error").value, rule("tap_over_bend")
    return float(np.hypot(bend, (over.sd or 0.0) / over.value)) if kind == "tap" else bend


def mean_of(values: list[tuple[float, str]]) -> Mean:
    """The mean of results above 0, each with its kind ('weigh', 'bend', 'tap', 'twist tap', 'loss'); unit as
    given. Raises nothing.

    >>> found = mean_of([(12e9, "bend"), (12.4e9, "bend")])
    >>> round(1e-9 * found.value, 2), round(found.relative, 3), found.count
    (12.2, 0.03, 2)
    """
    kinds: dict[str, list[float]] = {}
    for value, kind in values:
        kinds.setdefault(kind, []).append(float(np.log(value)))
    middles = np.array([np.mean(logs) for logs in kinds.values()])
    errors = np.array([max(_error(kind), np.std(logs, ddof=1) / len(logs) ** 0.5 if len(logs) > 1 else 0.0)
                       for kind, logs in kinds.items()])
    middle, error = _weighted(middles, errors)
    return Mean(float(np.exp(middle)), float(np.exp(middle)) * error, len(values))


def _weighted(values: Array, errors: Array) -> tuple[float, float]:
    """Weighted mean and its uncertainty, grown by Birge's ratio where the values quarrel, in one unit."""
    weights = errors**-2.0
    middle = float(weights @ values / weights.sum())
    quarrel = float(weights @ (values - middle) ** 2 / (len(values) - 1)) if len(values) > 1 else 0.0
    return middle, float(weights.sum() ** -0.5 * max(1.0, quarrel) ** 0.5)


def moisture_of(there: Iterable[Measurement], wood: Species | None) -> tuple[Mean | None, dict[int, str]]:
    """The board's moisture (fraction) as last read, by drying, by meter, or as noted beside other
    measurements; and why readings do not count, by their place in `there`. A meter's reading with its
    temperature is corrected for wood and temperature (moisture_readings.by_meter); without one it counts as
    corrected already. Raises nothing.

    >>> from tonewood.wood.species import species
    >>> row = Measurement(date="2026-11-27", board="A7", measured="moisture meter", moisture=0.12,
    ...                   temperature=10)
    >>> [round(moisture_of([row], wood)[0].value, 3) for wood in (species("black walnut"), None)]
    [0.139, 0.12]
    """
    reads: list[tuple[Any, float, str, float]] = []
    unused: dict[int, str] = {}
    for k, m in enumerate(there):
        if m.measured == "oven-dry" and m.mass and m.value:
            how = "oven_error"
            reads.append((m.date, m.mass / (1e-3 * m.value) - 1, how, 0.01 * rule(how).value))
        elif m.moisture is not None:
            how = "meter_error" if m.measured == "moisture meter" else "room_error"
            value, error = m.moisture, 0.01 * rule(how).value
            if how == "meter_error" and wood and m.temperature is not None:
                try:
                    read = by_meter(value, wood, m.temperature)
                except ValueError as problem:
                    unused[k] = f"line {m.line}, moisture meter: {problem}"
                    continue
                value, error = read.value, read.error
            reads.append((m.date, value, how, error))
    reads = [read for read in reads if read[0] >= reads[-1][0] - SETTLED]
    if not reads:
        return None, unused
    kinds = {how: [(value, error) for _, value, h, error in reads if h == how] for how in
             dict.fromkeys(read[2] for read in reads)}
    middle, error = _weighted(*np.array([np.mean(pairs, axis=0) for pairs in kinds.values()]).T)
    return Mean(middle, error, len(reads)), unused
