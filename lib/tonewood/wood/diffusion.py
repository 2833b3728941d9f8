"""How fast wood follows the air: moisture spreading through a slab, and through layers glued on each other.

Fick's law with one diffusivity per piece, across the grain only. Moisture contents are fractions, times in
seconds, diffusivity in m2/s; a film coefficient h (m/s) is the moisture flow through a surface per difference
of moisture fraction, over the ovendry density.

How sure: times are good to a factor of three either way (diffusion_band). Not modelled: end grain, which is
about thirteen times faster and so first to dry; the rise of diffusivity with moisture and temperature; the
slow second stage of sorption.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from tonewood import checks
from tonewood.draws import Array, Draws, bisect, plain
from tonewood.wood.facts import rule

_EARLY = 0.002
_LIKELY = np.array([-1.2816, -0.5244, 0.0, 0.5244, 1.2816]) / 1.6449
"""The 10, 30, 50, 70 and 90 % points of a normal distribution whose 95 % point is 1."""


def diffusivity(density: Draws) -> Draws:
    """Diffusivity across the grain (m2/s) of wood of `density` (kg/m3, near 8 to 12 % moisture), 20 C. Raises
    ValueError.

    Estimated: falls exponentially with density between three values, half of them from memory
    (data/rules.csv). 90 % band of one board: times and divided by rule("diffusion_band").
    >>> round(1e10 * diffusivity(700.0), 3)
    0.694
    """
    above = np.asarray(checks.density("density", density)) - 400.0
    return plain(rule("diffusion_at_400").value * np.exp(-above / rule("diffusion_density_fall").value))


def roots(biot: Draws, count: int = 40) -> Array:
    """The first `count` roots of b tan b = Bi, (..., count); Bi: float or array, 0 or more, may be infinite.
    Raises ValueError. Source: Newton's method on b = i pi + arctan(Bi / b), i the root's number from 0.
    >>> roots(1.0, 2).round(4).tolist()
    [0.8603, 3.4256]
    """
    biot = np.clip(checks.unbounded("Biot number", biot, 1e15), 1e-300, 1e300)[..., None]
    count = checks.whole("number of roots", count, 1, 1000)
    base = np.pi * np.arange(count)
    b = base + np.sqrt(1 / (1 / biot + 4 / np.pi**2)) * np.where(base > 0, 0.0, 1.0)
    for _ in range(7):
        b = b - (b - base - np.arctan2(biot, b)) / (1 + 1 / (b**2 / biot + biot))
    return b


def uptake(fourier: Draws, biot: Draws = np.inf) -> Draws:
    """Share (0 to 1) of its final change that a slab's mean moisture has made after a step in the air.

    fourier: D t / a^2, a the half thickness with both faces open (or the whole thickness with one face
    sealed); biot: h a / D, infinite for no surface resistance. Floats or arrays that broadcast. Raises
    ValueError for negative values. Source: J. Crank, The Mathematics of Diffusion (1975), plane sheet with
    surface evaporation: 1 - sum 2 Bi^2 e^(-b^2 Fo)/(b^2 (b^2 + Bi^2 + Bi)). Below Fo = 0.002 the same book's
    solution for a very thick piece, whose far face has not yet noticed.
    >>> round(uptake(0.1), 4), round(uptake(0.1, 1.0), 4)
    (0.3568, 0.0804)
    """
    fourier = np.asarray(checks.number("Fourier number D t / a2", fourier, 0.0))
    biot = np.asarray(checks.unbounded("Biot number h a / D", biot, 1e15, open_low=True))
    b, bi = roots(biot), biot[..., None]
    weight = 2 / (b**2 * (1 + (b**2 + bi) / bi**2))
    value = 1 - np.sum(weight * np.exp(-(b**2) * fourier[..., None]), -1)
    if np.any(fourier < _EARLY):
        value = np.where(fourier < _EARLY, _early_uptake(np.minimum(fourier, _EARLY), biot), value)
    return plain(value)


def _early_uptake(fourier: Array, biot: Array) -> Array:
    from scipy.special import erfcx

    x = biot * np.sqrt(fourier)
    small = np.maximum(x, 1e-3)
    shape = np.where(x < 1e-3, 1 - 4 * x / (3 * np.sqrt(np.pi)),
                     (erfcx(small) - 1 + 2 * small / np.sqrt(np.pi)) / small**2)
    return biot * fourier * shape


def time_to(share: Draws, half_thickness: Draws, diffusivity: Draws, film: Draws = np.inf) -> Draws:
    """Time (s) until a slab's mean moisture has made `share` (0 to below 1) of its change. Floats or arrays
    that broadcast.

    half_thickness m (both faces open), diffusivity m2/s, film coefficient h m/s. Bisection on `uptake`.
    Raises ValueError.
    >>> round(time_to(0.5, 0.010, 1e-10) / 86400, 2)
    2.28
    """
    share = np.asarray(checks.fraction("share of the change", share, open_high=True))
    a = np.asarray(checks.length("half thickness", half_thickness, high=0.5))
    D = np.asarray(_positive_diffusivity(diffusivity))
    biot = np.asarray(_film(film, open_low=True)) * a / D
    high = (3.0 + 3.0 / np.minimum(biot, 1e15)) * np.maximum(1.0, -np.log1p(-share))
    found = bisect(lambda fourier: uptake(fourier, biot) < share, np.zeros(high.shape), high, 60)
    return plain(found * a**2 / D)


def _positive_diffusivity(value: Draws) -> Draws:
    return checks.number("diffusivity", value, 0.0, 1e-6, "m²/s", lambda v:
                         "Transverse values lie near 1e-10 m²/s; is it in mm²/s?" if v > 1e-6 else None,
                         open_low=True)


def _film(value: Draws, open_low: bool = False) -> Draws:
    return checks.unbounded("film coefficient", value, 1e30, "m/s", open_low)


class Drying:
    """Pieces of wood whose mean moistures are sums of modes, each chasing the air at its own rate."""

    @property
    def modes(self) -> tuple[Array, Array]:
        """Rates (..., n), 1/s, and weights (..., parts, n): mean of a part = sum of weight x mode."""
        raise NotImplementedError

    def follow(self, times: Any, air: Any, start: float) -> Array:
        """Mean moisture of every part while the air changes: exact for air straight between times.

        times: (T,) s, rising; air: (T,) equilibrium moisture of the air; start: moisture throughout at
        times[0]. Returns (T, parts) or (K, T, parts). Raises ValueError.
        >>> slab = Column((0.02,), (1e-10,), (600.0,), 1e-7, 1e-7)
        >>> slab.follow([0.0, 864000.0], [0.10, 0.10], 0.06)[:, 0].round(4).tolist()
        [0.06, 0.0938]
        """
        (rates, weights), (times, air) = self.modes, _history(times, air)
        mode = np.full(rates.shape, float(checks.moisture("start moisture", start)))
        return _means(weights, _modes_in_time(rates, times, air, mode))

    def cycle(self, times: Any, air: Any) -> Array:
        """The same for air that comes round again and again (first value = last): what is left when the start
        is forgotten, each mode starting where it ends; times s, fractions of moisture. Raises ValueError.
        >>> slab = Column((0.02,), (1e-10,), (600.0,), 1e-7, 1e-7)
        >>> slab.cycle([0.0, 864000.0], [0.10, 0.10])[:, 0].round(9).tolist()
        [0.1, 0.1]
        """
        (rates, weights), (times, air) = self.modes, _history(times, air)
        if len(times) < 2 or abs(air[0] - air[-1]) > 1e-9:
            raise ValueError(f"cycle of air: {air[0]:g} at its start and {air[-1]:g} at its end given; "
                             "accepted: one value at both, moisture as a fraction")
        gained = _modes_in_time(rates, times, air, np.zeros(rates.shape))[-1]
        start = gained / -np.expm1(-np.maximum(rates, 1e-15) * (times[-1] - times[0]))
        return _means(weights, _modes_in_time(rates, times, air, start))


@dataclass(frozen=True)
class Column(Drying):
    """Layers glued on each other, moisture moving up and down between two faces; the glue lets it pass
    freely.

    thickness (m), diffusivity (m2/s), density (kg/m3): one entry per layer from the bottom, each a float or
    an array (K,) of possibilities. bottom, top: film coefficient of either face per moisture fraction of the
    wood it touches (m/s), float or (K,): 0 sealed, infinite for none. cells: steps per layer; finer near the
    faces. Raises ValueError.

    Method: finite volumes; the modes of the balance are found once, then any history of the air is followed
    exactly.
    """

    thickness: tuple[Draws, ...]
    diffusivity: tuple[Draws, ...]
    density: tuple[Draws, ...]
    bottom: Draws
    top: Draws
    cells: int = 12

    def __post_init__(self) -> None:
        for name in ("thickness", "diffusivity", "density"):
            object.__setattr__(self, name, tuple(getattr(self, name)))
        checks.whole("steps per layer", self.cells, 1, 200)
        if not len(self.thickness) == len(self.diffusivity) == len(self.density) >= 1:
            raise ValueError(f"layers: {len(self.thickness)} thicknesses, {len(self.diffusivity)} "
                             f"diffusivities, {len(self.density)} densities given; "
                             "accepted: one of each per layer")
        for t, D, rho in zip(self.thickness, self.diffusivity, self.density, strict=True):
            checks.length("layer thickness", t, high=0.5)
            _positive_diffusivity(D)
            checks.number("density", rho, 0.0, 3000.0, "kg/m³", open_low=True)
        if np.any(np.equal(_film(self.bottom), 0) & np.equal(_film(self.top), 0)):
            raise ValueError("film coefficient: 0 m/s on both faces given; accepted: at least one face open "
                             "to the air, or nothing ever changes")

    @cached_property
    def modes(self) -> tuple[Array, Array]:
        """Rates (..., n), 1/s, and weights (..., layers, n)."""
        n, layers = self.cells, len(self.thickness)
        share = np.diff((1 - np.cos(np.pi * np.arange(n + 1) / n)) / 2)
        size = np.concatenate([share * np.asarray(t)[..., None]
                               for t in np.broadcast_arrays(*self.thickness)], -1)
        D, rho = (np.concatenate([np.repeat(np.asarray(v, dtype=float)[..., None], n, -1)
                                  for v in np.broadcast_arrays(*values)], -1)
                                  for values in (self.diffusivity, self.density))
        resistance = size / (2 * D * rho)
        between = 1 / (resistance[..., :-1] + resistance[..., 1:])
        bottom, top = (1 / (1 / (np.maximum(h, 1e-300) * rho[..., cell]) + resistance[..., cell])[..., None]
                       for h, cell in ((self.bottom, 0), (self.top, -1)))
        size, rho, between, bottom, top = _same_lead(size, rho, between, bottom, top)
        capacity = size * rho
        diagonal = np.zeros_like(capacity)
        diagonal[..., :-1] += between
        diagonal[..., 1:] += between
        diagonal[..., :1] += bottom
        diagonal[..., -1:] += top
        scale = 1 / np.sqrt(capacity)
        S = np.zeros(capacity.shape + (n * layers,))
        i = np.arange(n * layers)
        S[..., i, i] = diagonal * scale**2
        S[..., i[1:], i[:-1]] = -between * scale[..., 1:] * scale[..., :-1]
        rates, V = np.linalg.eigh(S)
        follow = np.einsum("...ik,...i->...k", V, np.sqrt(capacity))
        cell = V * scale[..., :, None] * follow[..., None, :]
        cell = cell.reshape(cell.shape[:-2] + (layers, n, n * layers))
        return np.maximum(rates, 0.0), np.einsum("c,...lck->...lk", share, cell)


def _history(times: Any, air: Any) -> tuple[Array, Array]:
    times = np.atleast_1d(checks.number("times", times, unit="s"))
    air = np.atleast_1d(checks.moisture("equilibrium moisture of the air", air))
    if times.shape != air.shape or np.any(np.diff(times) <= 0):
        raise ValueError(f"times: {times.shape} given for {air.shape} values of the air; "
                         "accepted: as many, rising, in s")
    return times, air


def _means(weights: Array, modes: list[Array]) -> Array:
    return np.stack([np.einsum("...lk,...k->...l", weights, mode) for mode in modes], -2)


def _modes_in_time(rates: Array, times: Array, air: Array, mode: Array) -> list[Array]:
    """Every mode (..., n) at each of the times."""
    found = [mode]
    for dt, before, after in zip(np.diff(times), air[:-1], air[1:], strict=True):
        z = rates * dt
        lag = np.where(z > 1e-12, -np.expm1(-z) / np.maximum(z, 1e-12), 1.0)
        mode = before + (mode - before) * np.exp(-z) + (after - before) * (1 - lag)
        found.append(mode)
    return found


def _same_lead(*arrays: Array) -> list[Array]:
    """The arrays with all axes but the last broadcast to one shape."""
    lead = np.broadcast_shapes(*(a.shape[:-1] for a in arrays))
    return [np.broadcast_to(a, lead + a.shape[-1:]) for a in arrays]


def paces() -> Array:
    """Five equally likely paces of diffusion, as factors: the 10, 30, 50, 70 and 90 % points of a lognormal
    distribution with the 90 % band of rule diffusion_band.

    >>> paces().round(2).tolist()
    [0.42, 0.7, 1.0, 1.42, 2.35]
    """
    return np.exp(np.log(rule("diffusion_band").value) * _LIKELY)


def drawn_paces(draws: int, seed: int) -> tuple[tuple[Array, Array], Array]:
    """Pairs of paces, of neck and fretboard, (25,) each, as factors, and for every draw the number of its
    pair, (D,). Raises ValueError.

    >>> drawn_paces(3, 0)[1].tolist()
    [18, 2, 8]
    """
    one, draws = paces(), checks.whole("draws", draws, 1, 1_000_000)
    low, high = (np.ravel(p) for p in np.meshgrid(one, one, indexing="ij"))
    pick = np.random.default_rng([checks.whole("seed", seed, 0), 7]).integers(len(one), size=(2, draws))
    return (low, high), pick[0] * len(one) + pick[1]
