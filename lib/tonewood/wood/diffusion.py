"""How fast wood follows the air: moisture spreading through a slab, and through layers glued on each other.

Fick's law with one diffusivity per piece, across the grain only. Moisture contents are fractions, times in seconds, diffusivity in m2/s; a film
coefficient h (m/s) is the moisture flow through a surface per difference of moisture fraction, over the ovendry density.

How sure: times are good to a factor of three either way (diffusion_band). Not modelled: end grain, which is about thirteen times faster and so
first to dry; the rise of diffusivity with moisture and temperature; the slow second stage of sorption.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from tonewood import checks
from tonewood.wood.facts import rule

DAY = 86400.0
_EARLY = 0.002


def diffusivity(density):
    """Diffusivity across the grain (m2/s) of wood of `density` (kg/m3, near 8 to 12 % moisture), 20 C. Raises ValueError.

    Estimated: falls exponentially with density between three values, half of them from memory (data/rules.csv).
    90 % band of one board: times and divided by rule("diffusion_band").
    """
    density = np.asarray(checks.number("density", density, 50.0, 1500.0, "kg/m3", lambda v: f"Did you mean {1000 * v:g} kg/m3?" if v < 2 else None))
    value = rule("diffusion_at_400").value * np.exp(-(density - 400.0) / rule("diffusion_density_fall").value)
    return float(value) if value.ndim == 0 else value


def roots(biot, count=40):
    """The first `count` roots of b tan b = Bi, (..., count), by bisection; Bi may be infinite. biot: float or array, 0 or more."""
    biot = np.asarray(checks.number("Biot number", np.minimum(biot, 1e15), 0.0))[..., None]
    low = np.pi * np.arange(count) + np.zeros_like(biot)
    high = low + np.pi / 2
    for _ in range(54):
        middle = (low + high) / 2
        past = middle * np.sin(middle) * np.where(np.arange(count) % 2, -1, 1) > biot * np.abs(np.cos(middle))
        low, high = np.where(past, low, middle), np.where(past, middle, high)
    return (low + high) / 2


def uptake(fourier, biot=np.inf):
    """Share (0 to 1) of its final change that a slab's mean moisture has made after a step in the air.

    fourier: D t / a^2, a the half thickness with both faces open (or the whole thickness with one face sealed); biot: h a / D,
    infinite for no surface resistance. Floats or arrays that broadcast. Raises ValueError for negative values.
    Source: J. Crank, The Mathematics of Diffusion (1975), plane sheet with surface evaporation: 1 - sum 2 Bi^2 e^(-b^2 Fo)/(b^2 (b^2 + Bi^2 + Bi)).
    Below Fo = 0.002 the same book's solution for a very thick piece, whose far face has not yet noticed.
    """
    fourier = np.asarray(checks.number("Fourier number D t / a2", fourier, 0.0))
    biot = np.asarray(checks.number("Biot number h a / D", np.minimum(biot, 1e15), 0.0, open_low=True))
    b, bi = roots(biot), biot[..., None]
    weight = 2 / (b**2 * (1 + (b**2 + bi) / bi**2))
    value = 1 - np.sum(weight * np.exp(-(b**2) * fourier[..., None]), -1)
    if np.any(fourier < _EARLY):
        value = np.where(fourier < _EARLY, _early_uptake(np.minimum(fourier, _EARLY), biot), value)
    return float(value) if value.ndim == 0 else value


def _early_uptake(fourier, biot):
    from scipy.special import erfcx

    x = biot * np.sqrt(fourier)
    small = np.maximum(x, 1e-3)
    shape = np.where(x < 1e-3, 1 - 4 * x / (3 * np.sqrt(np.pi)), (erfcx(small) - 1 + 2 * small / np.sqrt(np.pi)) / small**2)
    return biot * fourier * shape


def time_to(share, half_thickness, diffusivity, film=np.inf):
    """Time (s) until a slab's mean moisture has made `share` (0 to below 1) of its change. Floats or arrays that broadcast.

    half_thickness m (both faces open), diffusivity m2/s, film coefficient h m/s. Bisection on `uptake`. Raises ValueError.
    """
    share = np.asarray(checks.number("share of the change", checks.fraction("share of the change", share), high=1.0, open_high=True))
    a = np.asarray(checks.number("half thickness", half_thickness, 0.0, 0.5, "m", lambda v: f"Did you mean {v / 1000:g} m?", open_low=True))
    D = np.asarray(_positive_diffusivity(diffusivity))
    biot = np.asarray(checks.number("film coefficient", np.minimum(film, 1e30), 0.0, unit="m/s", open_low=True)) * a / D
    low, high = np.zeros(np.broadcast_shapes(share.shape, biot.shape)), 3.0 + 3.0 / np.minimum(biot, 1e15)
    high = high * np.maximum(1.0, -np.log1p(-share))
    for _ in range(60):
        middle = (low + high) / 2
        early = uptake(middle, biot) < share
        low, high = np.where(early, middle, low), np.where(early, high, middle)
    value = (low + high) / 2 * a**2 / D
    return float(value) if value.ndim == 0 else value


def _positive_diffusivity(value):
    return checks.number("diffusivity", value, 0.0, 1e-6, "m2/s", lambda v: "Transverse values lie near 1e-10 m2/s; is it in mm2/s?" if v > 1e-6 else None, open_low=True)


@dataclass(frozen=True)
class Column:
    """Layers glued on each other, moisture moving up and down between two faces; the glue lets it pass freely.

    thickness (m), diffusivity (m2/s), density (kg/m3): one entry per layer from the bottom, each a float or an array (K,) of possibilities.
    bottom, top: film coefficient of either face per moisture fraction of the wood it touches (m/s), float or (K,): 0 sealed, infinite
    for none. cells: steps per layer; finer near the faces. Raises ValueError.

    Method: finite volumes; the modes of the balance are found once, then any history of the air is followed exactly.
    """

    thickness: tuple
    diffusivity: tuple
    density: tuple
    bottom: object
    top: object
    cells: int = 12

    def __post_init__(self):
        for name in ("thickness", "diffusivity", "density"):
            object.__setattr__(self, name, tuple(getattr(self, name)))
        if not len(self.thickness) == len(self.diffusivity) == len(self.density) >= 1:
            raise ValueError(f"layers: {len(self.thickness)} thicknesses, {len(self.diffusivity)} diffusivities, {len(self.density)} densities given; "
                             "accepted: one of each per layer")
        for t, D, rho in zip(self.thickness, self.diffusivity, self.density):
            checks.number("layer thickness", t, 0.0, 0.5, "m", lambda v: f"Did you mean {v / 1000:g} m?", open_low=True)
            _positive_diffusivity(D)
            checks.number("density", rho, 0.0, 3000.0, "kg/m3", open_low=True)
        faces = [np.asarray(checks.number("film coefficient", np.minimum(v, 1e30), 0.0, unit="m/s")) for v in (self.bottom, self.top)]
        if np.any((faces[0] == 0) & (faces[1] == 0)):
            raise ValueError("film coefficient: 0 m/s on both faces given; accepted: at least one face open to the air, or nothing ever changes")

    @cached_property
    def modes(self):
        """Rates (..., n), 1/s, and weights (..., layers, n): layer mean = sum of weight x mode, each mode chasing the air at its own rate."""
        n, layers = self.cells, len(self.thickness)
        share = np.diff((1 - np.cos(np.pi * np.arange(n + 1) / n)) / 2)
        size = np.concatenate([share * np.asarray(t)[..., None] for t in np.broadcast_arrays(*self.thickness)], -1)
        D, rho = (np.concatenate([np.repeat(np.asarray(v, dtype=float)[..., None], n, -1) for v in np.broadcast_arrays(*values)], -1)
                  for values in (self.diffusivity, self.density))
        resistance = size / (2 * D * rho)
        between = 1 / (resistance[..., :-1] + resistance[..., 1:])
        bottom, top = (1 / (1 / (np.maximum(h, 1e-300) * rho[..., cell]) + resistance[..., cell]) for h, cell in ((self.bottom, 0), (self.top, -1)))
        size, rho, between, bottom, top = _same_lead(size, rho, between, bottom[..., None], top[..., None])
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

    def follow(self, times, air, start):
        """Mean moisture of every layer while the air changes.

        times: (T,) s, rising; air: (T,) equilibrium moisture of the air, straight between times; start: moisture throughout at times[0].
        Returns (T, layers) or (K, T, layers). Raises ValueError.
        """
        times = np.atleast_1d(checks.number("times", times, unit="s"))
        air = np.atleast_1d(checks.moisture("equilibrium moisture of the air", air))
        if times.shape != air.shape or np.any(np.diff(times) <= 0):
            raise ValueError(f"times: {times.shape} given for {air.shape} values of the air; accepted: as many, rising, in s")
        rates, weights = self.modes
        mode = np.full(rates.shape, float(checks.moisture("start moisture", start)))
        means = [np.einsum("...lk,...k->...l", weights, mode)]
        for dt, before, after in zip(np.diff(times), air, air[1:]):
            z = rates * dt
            lag = np.where(z > 1e-12, -np.expm1(-z) / np.maximum(z, 1e-12), 1.0)
            mode = before + (mode - before) * np.exp(-z) + (after - before) * (1 - lag)
            means.append(np.einsum("...lk,...k->...l", weights, mode))
        return np.stack(means, -2)


def _same_lead(*arrays):
    """The arrays with all axes but the last broadcast to one shape."""
    lead = np.broadcast_shapes(*(a.shape[:-1] for a in arrays))
    return [np.broadcast_to(a, lead + a.shape[-1:]) for a in arrays]
