"""A free beam of varying section: elements, matrices and their reduction to a few shapes.

Two-node elements, constant along an element, with the exact static shape of a shear-flexible beam (Friedman
and Kosmatka, Computers & Structures 47 (1993) 473: the form; the matrices here are integrated from the shape
functions). With zero shear compliance they are the cubic Hermite elements of slender-beam theory. Degrees of
freedom: deflection w and rotation theta at each node.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import KW_ONLY, dataclass
from functools import cached_property, partial
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tonewood import checks
from tonewood.draws import Array, Draws, single
from tonewood.neck.section.damping import loss_factor


@dataclass(frozen=True)
class Lump:
    """Something heavy and short at x (m): mass (kg) and, if it matters, its inertia about the y and x axes
    through that place (kg m2). Raises ValueError."""

    x: float
    mass: float
    inertia: float = 0.0
    polar: float = 0.0
    name: str = "lump"

    def __post_init__(self) -> None:
        checks.number(f"{self.name}, place", self.x, unit="m")
        for name, unit in (("mass", "kg"), ("inertia", "kg·m²"), ("polar", "kg·m²")):
            checks.number(f"{self.name}, {name}", getattr(self, name), 0.0, unit=unit)


@dataclass(frozen=True)
class Cause:
    """One place where vibration is lost: its share of the bending and of the shear energy of each element,
    (n,) or (D, n), and loss factors. Raises ValueError."""

    name: str
    bending_share: Draws = 0.0
    bending_loss: Draws = 0.0
    shear_share: Draws = 0.0
    shear_loss: Draws = 0.0

    def __post_init__(self) -> None:
        loss_factor(f"loss factor of {self.name}", self.bending_loss)
        loss_factor(f"shear loss factor of {self.name}", self.shear_loss)


_FIELDS = {"EI": ("bending stiffness EI", "N·m²", True), "mass_per_length": ("mass per length", "kg/m", True),
           "shear_compliance": ("shear compliance", "1/N", False),
           "rotary": ("rotary inertia", "kg m", False), "polar": ("polar inertia", "kg m", True),
           "GJ": ("torsional stiffness GJ", "N·m²", True)}


@dataclass(frozen=True)
class Beam:
    """Plain description of a free-free beam of n elements; a number is spread over them.

    x: nodes (n + 1,), m, rising. EI (N m2), mass_per_length (kg/m): (n,) or (D, n). shear_compliance: 1 /
    (kappa G A), 1/N, 0 for a slender beam. rotary: inertia per length about y (kg m). GJ (N m2) and polar (kg
    m): torsion, or None. lumps: of Lump. causes: of Cause; the bending shares of all causes should sum to 1
    in each element. torsion_loss: loss factor in twist, float or (n,) or (D, n). Raises ValueError for a beam
    without mass or stiffness.
    """

    x: Array
    EI: Array
    mass_per_length: Array
    _: KW_ONLY
    shear_compliance: Array = 0.0       # type: ignore[assignment]
    rotary: Array = 0.0                 # type: ignore[assignment]
    GJ: Array | None = None
    polar: Array | None = None
    lumps: tuple[Lump, ...] = ()
    causes: tuple[Cause, ...] = (Cause("beam", 1.0, 0.0, 1.0, 0.0),)
    torsion_loss: Draws = 0.0

    def __post_init__(self) -> None:
        x = np.asarray(checks.number("beam nodes", self.x, unit="m"))
        if x.ndim != 1 or len(x) < 4 or np.any(np.diff(x) <= 0):
            raise ValueError(f"beam nodes: {x.size} given; accepted: at least 4, rising along x")
        object.__setattr__(self, "x", x)
        for field, (name, unit, strict) in _FIELDS.items():
            if getattr(self, field) is not None:
                value = np.asarray(checks.number(name, getattr(self, field), 0.0, unit=unit, open_low=strict))
                if value.ndim == 0 or value.shape[-1] != len(x) - 1:
                    value = np.broadcast_to(value[..., None] if value.ndim else value,
                                            (*value.shape[:1], len(x) - 1))
                object.__setattr__(self, field, value)
        checks.fraction("loss factor in twist", self.torsion_loss)
        _ = self.draws                                     # refuses numbers of draws that differ
        for lump in self.lumps:
            if not x[0] - 1e-9 <= lump.x <= x[-1] + 1e-9:
                raise ValueError(f"{lump.name}: at x = {lump.x:g} m given; accepted: {x[0]:g} to {x[-1]:g} "
                                 "m, on the instrument")

    @cached_property
    def h(self) -> Array:
        """Length of each element, m."""
        return np.diff(self.x)

    @cached_property
    def draws(self) -> int | None:
        """Number of draws, or None."""
        return checks.draw_count(**{f: v for f in _FIELDS if np.ndim(v := getattr(self, f)) == 2})

    @cached_property
    def phi(self) -> Array:
        """Shear number of each element, 12 EI / (kappa G A h^2)."""
        return 12 * self.EI * self.shear_compliance / self.h**2

    def middle(self, stiffness: float | None = None) -> Beam:
        """One beam from the draws: mean values, or the given quantile (0..1) of the stiffnesses with mean
        masses, a share; itself if there are no draws."""
        if self.draws is None:
            return self
        at = np.mean if stiffness is None else partial(np.quantile, q=stiffness)
        fields: dict[str, Any] = {f: single(v, 1, at if f in ("EI", "GJ") else np.mean)
                  for f in _FIELDS if (v := getattr(self, f)) is not None}
        return Beam(self.x, **fields, lumps=self.lumps)


def deflection_shape(t: ArrayLike, phi: ArrayLike) -> Array:
    """Deflection at t = 0..1 of an element with shear number phi, for the dofs (w1, h theta1, w2, h theta2),
    last axis 4, without unit. Broadcasts; source: Friedman and Kosmatka 1993.

    >>> deflection_shape(0.5, 0.0).tolist()
    [0.5, 0.125, 0.5, -0.125]
    """
    t, phi = np.broadcast_arrays(t, phi)
    first = np.stack([2 * t**3 - 3 * t**2 - phi * t + 1 + phi,
                      t**3 - (2 + phi / 2) * t**2 + (1 + phi / 2) * t, -2 * t**3 + 3 * t**2 + phi * t,
                      t**3 - (1 - phi / 2) * t**2 - phi / 2 * t], axis=-1)
    return first / (1 + phi)[..., None]


def _rotation_shape(t: ArrayLike, phi: ArrayLike) -> Array:
    """Rotation times h at t, same conventions as deflection_shape."""
    t, phi = np.broadcast_arrays(t, phi)
    first = np.stack([6 * (t**2 - t), 3 * t**2 - (4 + phi) * t + 1 + phi, 6 * (t - t**2),
                      3 * t**2 - (2 - phi) * t], axis=-1)
    return first / (1 + phi)[..., None]


def _mass_parts(shape: Callable[[ArrayLike, ArrayLike], Array]) -> Array:
    """Integrals of N N^T over an element written as (A + phi B + phi^2 C)/(1 + phi)^2; returns (3, 4, 4)."""
    t, weight = np.polynomial.legendre.leggauss(6)                 # exact for products of cubics
    t, weight = (t + 1) / 2, weight / 2                            # on 0..1
    zero = shape(t, 0.0)
    one = 2 * shape(t, 1.0) - zero                                 # (1 + phi) N is linear in phi
    A, C = (np.einsum("g,gi,gj->ij", weight, n, n) for n in (zero, one))
    B = np.einsum("g,gi,gj->ij", weight, zero, one)
    return np.stack([A, B + B.T, C])


MASS = _mass_parts(deflection_shape)
ROTARY = _mass_parts(_rotation_shape)


def _weights(beam: Beam) -> tuple[Array, Array, Array, Array, Array]:
    """What each element contributes, in the forms the matrices are built from (N m, N/m, share, kg, kg).

    Returns bend, slide (stiffness of relative rotation and of relative slide), shear (share of `slide` stored
    in shear), mass (3, ..., n) and rotary (3, ..., n): factors of the three parts of the mass matrices.
    """
    phi, h = beam.phi, beam.h
    powers = np.stack([np.ones_like(phi), phi, phi**2]) / (1 + phi) ** 2
    return (beam.EI / h, 12 * beam.EI / (h**3 * (1 + phi)), phi / (1 + phi) * np.ones_like(beam.EI),
            beam.mass_per_length * h * powers, beam.rotary / h * powers)


def _element_dofs(beam: Beam, vectors: Array) -> Array:
    """Element dofs (w1, h theta1, w2, h theta2) of nodal vectors (2(n + 1), K): returns (n, 4, K)."""
    v = np.asarray(vectors).reshape(len(beam.x), 2, -1)
    h = beam.h[:, None]
    return np.stack([v[:-1, 0], h * v[:-1, 1], v[1:, 0], h * v[1:, 1]], axis=1)


def _strains(u: Array, h: Array) -> tuple[Array, Array]:
    """Relative rotation and slide of each element, (n, K) each, from its dofs (n, 4, K): the straining
    motions."""
    return (u[:, 3] - u[:, 1]) / h[:, None], u[:, 0] - u[:, 2] + (u[:, 1] + u[:, 3]) / 2


def _outer(vectors: Array) -> Array:
    """Products of every two of the K entries along the last axis, (..., K) -> (..., K * K)."""
    return (vectors[..., :, None] * vectors[..., None, :]).reshape(*vectors.shape[:-1], -1)


def reduced(beam: Beam, vectors: Array) -> tuple[Array, Array]:
    """Stiffness and mass projected on nodal vectors (2(n + 1), K): (K, K) or (D, K, K) each, SI.

    Every matrix of a beam is a sum over elements of a number that may differ between draws times a fixed
    small matrix, so a thousand draws cost one matrix product.

    >>> beam = Beam(np.linspace(0, 2, 5), 2.0, 3.0)
    >>> reduced(beam, np.tile([1.0, 0.0], 5)[:, None])[1].round(9).tolist()
    [[6.0]]
    """
    u = _element_dofs(beam, vectors)
    K = u.shape[-1]
    bend, slide, _, mass, rotary = _weights(beam)
    turn, shift = _strains(u, beam.h)
    stiffness = bend @ _outer(turn) + slide @ _outer(shift)
    inertia: Any = 0
    for factor, table in ((mass, MASS), (rotary, ROTARY)):
        for part in range(3):
            if np.any(factor[part]):
                squares = np.swapaxes(u, 1, 2) @ (table[part] @ u)
                inertia = inertia + factor[part] @ squares.reshape(len(u), -1)
    for lump in beam.lumps:
        w, r = _values_at(beam, vectors, lump.x)
        inertia = inertia + lump.mass * _outer(w) + lump.inertia * _outer(r)
    shape = np.broadcast_shapes(stiffness.shape, inertia.shape)
    both = [np.broadcast_to(m, shape).reshape(*shape[:-1], K, K) for m in (stiffness, inertia)]
    return both[0], both[1]


def element_energies(beam: Beam, vectors: Array, coefficients: Array) -> tuple[Array, Array]:
    """Twice the bending and the shear energy of each element (J), (..., n, K) each, in the motions vectors @
    coefficients: (2(n + 1), N) @ (..., N, K).

    >>> beam = Beam(np.linspace(0, 2, 5), 2.0, 3.0)
    >>> [v.shape for v in element_energies(beam, np.eye(10), np.eye(10)[:, :3])]
    [(4, 3), (4, 3)]
    """
    bend, slide, shear_share, _, _ = _weights(beam)
    turn, shift = (s @ coefficients for s in _strains(_element_dofs(beam, vectors), beam.h))
    slid = slide[..., None] * shift**2
    shear = shear_share[..., None] * slid
    return bend[..., None] * turn**2 + slid - shear, shear


def locate(nodes: Array, x: ArrayLike) -> tuple[NDArray[np.intp], Array]:
    """Element index and position t in it (0..1) of places x (m, any shape) among nodes (m). Raises ValueError
    off them.

    >>> [v.tolist() for v in locate(np.array([0.0, 1.0, 3.0]), [2.5])]
    [[1], [0.75]]
    """
    x = np.asarray(checks.number("place on the instrument", x, nodes[0] - 1e-9, nodes[-1] + 1e-9, "m"))
    e = np.clip(np.searchsorted(nodes, x, side="right") - 1, 0, len(nodes) - 2)
    return e, (x - nodes[e]) / (nodes[e + 1] - nodes[e])


def _values_at(beam: Beam, vectors: Array, x: float) -> tuple[Array, Array]:
    """Deflection and rotation at one place x (m) of nodal vectors (2(n + 1), K): two (K,) arrays."""
    e, t = locate(beam.x, x)
    u, phi = _element_dofs(beam, vectors)[e], np.mean(beam.phi[..., e])
    return deflection_shape(t, phi) @ u, _rotation_shape(t, phi) @ u / beam.h[e]


def full_matrices(beam: Beam) -> tuple[Array, Array]:
    """Dense stiffness and mass (2(n + 1), 2(n + 1)), SI, of a beam without draws. Raises ValueError if it has
    draws.

    >>> full_matrices(Beam(np.linspace(0, 1, 5), 2.0, 1.0))[0].shape
    (10, 10)
    """
    if beam.draws is not None:
        raise ValueError(f"full matrices: a beam with {beam.draws} draws given; accepted: one, Beam.middle")
    n, size = len(beam.h), 2 * len(beam.x)
    bend, slide, _, mass, rotary = _weights(beam)
    turn, shift = np.zeros(4), np.array([1, 0.5, -1, 0.5])
    turn[[1, 3]] = -1, 1
    k = (np.multiply.outer(bend / beam.h**2, np.outer(turn, turn))
         + np.multiply.outer(slide, np.outer(shift, shift)))
    m = np.einsum("pe,pij->eij", mass, MASS) + np.einsum("pe,pij->eij", rotary, ROTARY)
    scale = np.ones((n, 4))
    scale[:, 1] = scale[:, 3] = beam.h
    K, M = np.zeros((size, size)), np.zeros((size, size))
    index = 2 * np.arange(n)[:, None] + np.arange(4)
    for target, source in ((K, k), (M, m)):
        scaled = source * scale[:, :, None] * scale[:, None, :]
        np.add.at(target, (index[:, :, None], index[:, None, :]), scaled)
    for lump in beam.lumps:
        e, t = locate(beam.x, lump.x)
        w = deflection_shape(t, beam.phi[e]) * scale[e]
        r = _rotation_shape(t, beam.phi[e]) * scale[e] / beam.h[e]
        M[np.ix_(index[e], index[e])] += lump.mass * np.outer(w, w) + lump.inertia * np.outer(r, r)
    return K, M
