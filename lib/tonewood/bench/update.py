"""What readings of a neck teach about it: the possible necks that are left, and what a misfit points to.

Importance weights: each possible neck (bench.foretold) counts by how likely it would give these readings,
their errors normal. The weights are worth an effective number of necks, 1 / sum of their squares. Where that
falls below FEWEST the weights rest on a handful of draws; then each draw is moved instead by linear
regression on the readings (conditioning by kriging of each draw, Matheron's rule, as bench.knowledge does),
which is exact where all is jointly normal and says so in `method`. Source: Bayes; ensemble smoother.

Misfit: the distance of all readings from what was foretold, in their joint normal (chi-square), as the share
of necks whose readings would lie at least as far off. Below UNLIKELY the update is of a neck that the drawing
does not describe: look at a reading's unit, the drawing, the woods. `shifts` tells which unknowns the
readings would have to move, in standard deviations; what is not among the unknowns cannot show there.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from tonewood import checks
from tonewood.bench.foretold import Foretold
from tonewood.bench.readings import Reading
from tonewood.draws import POINTS, Array, band

FEWEST = 100.0
UNLIKELY = 0.01
WEIGHTS, MOVED, NOTHING = "weights on the possible necks", "possible necks moved by regression", "no reading"


@dataclass(frozen=True, kw_only=True, eq=False)
class Updated:
    """What is left of D possible necks after n readings.

    method: WEIGHTS, MOVED or NOTHING; effective: number of necks the weights are worth (D without readings);
    weights (D,), adding up to 1; predicted (n, D): each reading on each neck, SI, without its error; errors
    (n,), SI; foretold (n, 3): 5, 50 and 95 % points of each before any reading came in; as_far: share of
    necks whose readings would lie at least as far off.
    """

    necks: Foretold
    readings: tuple[Reading, ...]
    method: str
    effective: float
    weights: Array = field(repr=False)
    predicted: Array = field(repr=False)
    errors: Array = field(repr=False)
    foretold: Array
    as_far: float

    @property
    def fits(self) -> bool:
        """Whether the readings are such as the drawing foretells: at least UNLIKELY of necks lie as far
        off."""
        return self.as_far >= UNLIKELY

    @cached_property
    def _pull(self) -> Array:
        """What each draw's readings lack, through the inverse of their covariance, (n, D)."""
        chance = np.random.default_rng([self.necks.seed, 80_000]).standard_normal(self.predicted.shape)
        values = np.array([r.value for r in self.readings])
        lacks = values[:, None] + self.errors[:, None] * chance - self.predicted
        return np.asarray(np.linalg.solve(_covariance(self.predicted, self.errors), lacks))

    def moved(self, values: Array) -> Array:
        """Values (D,) or (D, …) of the possible necks, moved towards the readings by regression, SI."""
        flat = values.reshape(len(values), -1)
        about = self.predicted - self.predicted.mean(-1, keepdims=True)
        gain = (flat - flat.mean(0)).T @ about.T / (len(flat) - 1)
        return np.asarray((flat + (gain @ self._pull).T).reshape(values.shape))

    def band(self, values: Array) -> Array:
        """5, 50 and 95 % points (3, …) of values (D, …) of the possible necks after the readings, in their
        unit."""
        if self.method == NOTHING:
            return band(values)
        if self.method == MOVED:
            return band(self.moved(values))
        flat = values.reshape(len(values), -1)
        order = np.argsort(flat, axis=0)
        below = np.cumsum(self.weights[order], axis=0) - self.weights[order] / 2
        found = [np.interp(np.array(POINTS) / 100, below[:, k], flat[order[:, k], k])
                 for k in range(flat.shape[1])]
        return np.stack(found, -1).reshape(3, *values.shape[1:])

    def mean(self, values: Array) -> Array:
        """Mean (…) of values (D, …) after the readings, SI."""
        if self.method == WEIGHTS:
            return np.asarray(np.tensordot(self.weights, values, 1))
        return np.asarray(self.moved(values).mean(0) if self.readings else values.mean(0))

    def ribbon(self) -> Array:
        """The gap at home at fret READ, (3, T) m, on `necks.days`, rod untouched, after the readings. Raises
        ValueError."""
        return self.band(self.necks.gap())

    def _first(self, chosen: Array) -> Updated:
        """The same necks after some of the readings only."""
        rows = self.predicted[chosen]
        values = np.array([self.readings[k].value for k in chosen])
        weights, worth = weigh(rows, values, self.errors[chosen])
        return replace(self, readings=tuple(self.readings[k] for k in chosen), predicted=rows,
                       weights=weights, errors=self.errors[chosen], foretold=self.foretold[chosen],
                       effective=worth, method=WEIGHTS if worth >= FEWEST else MOVED)

    @cached_property
    def expected(self) -> Array:
        """5, 50 and 95 % points (n, 3), SI, within which each reading was expected once those of earlier days
        were in; its own error included."""
        found = np.array(self.foretold)
        for k, read in enumerate(self.readings):
            earlier = np.array([i for i, other in enumerate(self.readings) if other.date < read.date], int)
            if len(earlier):
                values = self.necks.with_error(self.predicted[k], read.doubt)
                found[k] = self._first(earlier).band(values)
        return found

    @cached_property
    def shifts(self) -> dict[str, float]:
        """By how much the readings move the mean of each unknown, in its standard deviations, largest
        first."""
        found = {name: float((self.mean(v) - v.mean()) / v.std()) for name, v in self.necks.unknowns.items()
                 if v.std() > 0}
        return dict(sorted(found.items(), key=lambda item: -abs(item[1])))


def _covariance(predicted: Array, errors: Array) -> Array:
    """Of the readings, (n, n)."""
    return np.atleast_2d(np.cov(predicted)) + np.diag(errors**2)


def weigh(predicted: Array, values: Array, errors: Array) -> tuple[Array, float]:
    """Weights (D,), adding up to 1, of draws that foretell readings `predicted` (n, D) with `values` (n,) and
    standard `errors` (n,), all in one unit a row; and the number of draws they are worth. Source: Bayes,
    normal errors. Raises ValueError.

    >>> weights, worth = weigh(np.array([[0.0, 1.0]]), np.array([0.0]), np.array([0.5]))
    >>> weights.round(3).tolist(), round(worth, 2)
    ([0.881, 0.119], 1.27)
    """
    checks.finite(foretold_reading=predicted, reading=values)
    checks.number("error of a reading", errors, 0.0, open_low=True)
    log = -0.5 * np.sum(((values[:, None] - predicted) / errors[:, None]) ** 2, axis=0)
    weights = np.exp(log - log.max())
    weights /= weights.sum()
    return weights, float(1 / np.sum(weights**2))


def update(necks: Foretold, readings: Sequence[Reading], fewest: float = FEWEST) -> Updated:
    """Updated: the possible necks after these readings of one neck. fewest: effective number of necks below
    which they are moved instead of weighted. Raises ValueError for a reading this neck or its year does not
    allow, and for one of another neck.

    >>> from tonewood.bench.foretold import foretell
    >>> from tonewood.bench.readings import reading
    >>> from tonewood.neck.design import example_design
    >>> strung = reading("example", "gap, strings on", 0.45, "2026-10-01", fret=8)
    >>> found = update(foretell(example_design(), draws=300), [strung])
    >>> found.fits, list(found.shifts)[0]
    (True, 'bow without strings')
    """
    readings = tuple(readings)
    names = {read.neck for read in readings}
    if len(names) > 1:
        raise ValueError(f"readings: of {len(names)} necks ({', '.join(sorted(names))}); accepted: of one")
    checks.number("fewest", fewest, 1.0)
    D = necks.draws
    predicted = np.array([necks.predicted(read) for read in readings]).reshape(len(readings), D)
    foretold = np.array([band(necks.with_error(row, read.doubt)) for row, read in
                         zip(predicted, readings, strict=True)]).reshape(len(readings), 3)
    values, errors = (np.array([getattr(read, name) for read in readings]) for name in ("value", "doubt"))
    weights, worth = weigh(predicted, values, errors) if readings else (np.full(D, 1 / D), float(D))
    method = (WEIGHTS if worth >= fewest else MOVED) if readings else NOTHING
    as_far = 1.0
    if readings:
        off = values - predicted.mean(-1)
        from scipy.special import chdtrc

        as_far = float(chdtrc(len(readings), off @ np.linalg.solve(_covariance(predicted, errors), off)))
    return Updated(necks=necks, readings=readings, method=method, effective=worth, weights=weights,
                   predicted=predicted, errors=errors, foretold=foretold, as_far=as_far)
