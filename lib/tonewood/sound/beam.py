"""A free beam of varying section: elements, matrices and their reduction to a few shapes. The vibrating body behind every neck.

Two-node elements, constant along an element, with the exact static shape of a shear-flexible beam (Friedman and Kosmatka,
Computers & Structures 47 (1993) 473: the form; the matrices here are integrated from the shape functions). With zero shear compliance they
are the cubic Hermite elements of slender-beam theory. Degrees of freedom: deflection w and rotation theta at each node.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from tonewood import checks


@dataclass(frozen=True)
class Lump:
    """Something heavy and short at x (m): mass (kg) and, if it matters, its inertia about the y and x axes through that place (kg m2)."""

    x: float
    mass: float
    inertia: float = 0.0
    polar: float = 0.0
    name: str = "lump"

    def __post_init__(self):
        checks.number(f"{self.name}, place", self.x, unit="m")
        for name, unit in (("mass", "kg"), ("inertia", "kg m2"), ("polar", "kg m2")):
            checks.number(f"{self.name}, {name}", getattr(self, name), 0.0, unit=unit)


@dataclass(frozen=True)
class Cause:
    """One place where vibration is lost: its share of the bending and of the shear energy of each element, (n,) or (D, n), and loss factors."""

    name: str
    bending_share: object = 0.0
    bending_loss: object = 0.0
    shear_share: object = 0.0
    shear_loss: object = 0.0

    def __post_init__(self):
        from tonewood.neck.section.damping import loss_factor
        loss_factor(f"loss factor of {self.name}", self.bending_loss)
        loss_factor(f"shear loss factor of {self.name}", self.shear_loss)


@dataclass(frozen=True)
class Beam:
    """Plain description of a free-free beam of n elements.

    x: nodes (n + 1,), m, rising. EI (N m2), mass_per_length (kg/m): (n,) or (D, n). shear_compliance: 1 / (kappa G A), 1/N, 0 for a slender beam.
    rotary: inertia per length about y (kg m). GJ (N m2) and polar (kg m): torsion, or None. lumps: of Lump. causes: of Cause; the bending
    shares of all causes should sum to 1 in each element. torsion_loss: loss factor in twist, float or (n,) or (D, n).
    Raises ValueError for a beam without mass or stiffness.
    """

    x: object
    EI: object
    mass_per_length: object
    shear_compliance: object = 0.0
    rotary: object = 0.0
    GJ: object = None
    polar: object = None
    lumps: tuple = ()
    causes: tuple = (Cause("beam", 1.0, 0.0, 1.0, 0.0),)
    torsion_loss: object = 0.0

    def __post_init__(self):
        x = np.asarray(checks.number("beam nodes", self.x, unit="m"))
        if x.ndim != 1 or len(x) < 4 or np.any(np.diff(x) <= 0):
            raise ValueError(f"beam nodes: {x.size} given; accepted: at least 4, rising along x")
        object.__setattr__(self, "x", x)
        limits = {"EI": ("bending stiffness EI", "N m2", True), "mass_per_length": ("mass per length", "kg/m", True),
                  "shear_compliance": ("shear compliance", "1/N", False), "rotary": ("rotary inertia", "kg m", False),
                  "GJ": ("torsional stiffness GJ", "N m2", True), "polar": ("polar inertia", "kg m", True)}
        for field, (name, unit, strict) in limits.items():
            if getattr(self, field) is not None:
                value = np.asarray(checks.number(name, getattr(self, field), 0.0, unit=unit, open_low=strict))
                if value.ndim == 0 or value.shape[-1] != len(x) - 1:
                    value = np.broadcast_to(value[..., None] if value.ndim else value, (*value.shape[:1], len(x) - 1))
                object.__setattr__(self, field, value)
        self.draws
        for lump in self.lumps:
            if not x[0] - 1e-9 <= lump.x <= x[-1] + 1e-9:
                raise ValueError(f"{lump.name}: at x = {lump.x:g} m; accepted: {x[0]:g} to {x[-1]:g} m, on the instrument")

    @cached_property
    def h(self):
        return np.diff(self.x)

    @cached_property
    def draws(self):
        """Number of draws, or None."""
        return checks.draw_count(**{f: (v if np.ndim(v) == 2 else None) for f, v in vars(self).items() if f in
                                    ("EI", "mass_per_length", "shear_compliance", "rotary", "GJ", "polar")})

    @cached_property
    def phi(self):
        """Shear number of each element, 12 EI / (kappa G A h^2)."""
        return 12 * self.EI * self.shear_compliance / self.h**2

    def middle(self, stiffness=None):
        """One beam from the draws: mean values, or the given quantile (0..1) of the stiffnesses with mean masses; itself if there are no draws."""
        if self.draws is None:
            return self
        mean = lambda v: v if v is None or np.ndim(v) < 2 else np.mean(v, axis=0)
        stiff = lambda v: mean(v) if stiffness is None or np.ndim(v) < 2 else np.quantile(v, stiffness, axis=0)
        return Beam(self.x, stiff(self.EI), mean(self.mass_per_length), mean(self.shear_compliance), mean(self.rotary),
                    mean(self.GJ), mean(self.polar), self.lumps)


def _gauss(order=6):
    """Points and weights on 0..1, exact for the products of cubics below."""
    t, weight = np.polynomial.legendre.leggauss(order)
    return (t + 1) / 2, weight / 2


def deflection_shape(t, phi):
    """Deflection at t = 0..1 of an element with shear number phi, for the dofs (w1, h theta1, w2, h theta2). Broadcasts; last axis 4."""
    t, phi = np.broadcast_arrays(t, phi)
    first = np.stack([2 * t**3 - 3 * t**2 - phi * t + 1 + phi, t**3 - (2 + phi / 2) * t**2 + (1 + phi / 2) * t,
                      -2 * t**3 + 3 * t**2 + phi * t, t**3 - (1 - phi / 2) * t**2 - phi / 2 * t], axis=-1)
    return first / (1 + phi)[..., None]


def rotation_shape(t, phi):
    """Rotation times h at t, same conventions as deflection_shape."""
    t, phi = np.broadcast_arrays(t, phi)
    first = np.stack([6 * (t**2 - t), 3 * t**2 - (4 + phi) * t + 1 + phi, 6 * (t - t**2), 3 * t**2 - (2 - phi) * t], axis=-1)
    return first / (1 + phi)[..., None]


def _mass_parts(shape):
    """Integrals of N N^T over an element written as (A + phi B + phi^2 C)/(1 + phi)^2; returns (3, 4, 4)."""
    t, weight = _gauss()
    zero = shape(t, 0.0)
    one = 2 * shape(t, 1.0) - zero                                 # (1 + phi) N is linear in phi
    A, C = (np.einsum("g,gi,gj->ij", weight, n, n) for n in (zero, one))
    B = np.einsum("g,gi,gj->ij", weight, zero, one)
    return np.stack([A, B + B.T, C])


MASS = _mass_parts(deflection_shape)
ROTARY = _mass_parts(rotation_shape)


def weights(beam):
    """What each element contributes, in the forms the matrices are built from.

    Returns bend, slide (stiffness of relative rotation and of relative slide), shear (share of `slide` stored in shear),
    mass (3, ..., n) and rotary (3, ..., n): factors of the three parts of the mass matrices.
    """
    phi, h = beam.phi, beam.h
    powers = np.stack([np.ones_like(phi), phi, phi**2]) / (1 + phi) ** 2
    return (beam.EI / h, 12 * beam.EI / (h**3 * (1 + phi)), phi / (1 + phi) * np.ones_like(beam.EI),
            beam.mass_per_length * h * powers, beam.rotary / h * powers)


def element_dofs(beam, vectors):
    """Element dofs (w1, h theta1, w2, h theta2) of nodal vectors (2(n + 1), K): returns (n, 4, K)."""
    v = np.asarray(vectors).reshape(len(beam.x), 2, -1)
    h = beam.h[:, None]
    return np.stack([v[:-1, 0], h * v[:-1, 1], v[1:, 0], h * v[1:, 1]], axis=1)


def strains(u, h):
    """Relative rotation and slide of each element, (n, K) each, from its dofs (n, 4, K): the two straining motions."""
    h = h[:, None]
    return (u[:, 3] - u[:, 1]) / h, u[:, 0] - u[:, 2] + (u[:, 1] + u[:, 3]) / 2


def reduced(beam, vectors):
    """Stiffness and mass projected on nodal vectors (2(n + 1), K): (K, K) or (D, K, K) each.

    Every matrix of a beam is a sum over elements of a number that may differ between draws times a fixed small matrix, so a
    thousand draws cost one matrix product.
    """
    u = element_dofs(beam, vectors)
    K = u.shape[-1]
    bend, slide, _, mass, rotary = weights(beam)
    turn, shift = strains(u, beam.h)
    outer = lambda s: (s[:, :, None] * s[:, None, :]).reshape(len(s), K * K)
    stiffness = bend @ outer(turn) + slide @ outer(shift)
    inertia = 0
    for part, factor, table in [(p, f, t) for f, t in ((mass, MASS), (rotary, ROTARY)) for p in range(3)]:
        if np.any(factor[part]):
            inertia = inertia + factor[part] @ (np.swapaxes(u, 1, 2) @ (table[part] @ u)).reshape(len(u), K * K)
    shape = np.broadcast_shapes(stiffness.shape, inertia.shape)[:-1] + (K, K)
    lump = sum((l.mass * np.outer(*[values_at(beam, vectors, l.x)[0]] * 2) + l.inertia * np.outer(*[values_at(beam, vectors, l.x)[1]] * 2)
                for l in beam.lumps), np.zeros((K, K)))
    return np.broadcast_to(stiffness, shape[:-2] + (K * K,)).reshape(shape), np.broadcast_to(inertia, shape[:-2] + (K * K,)).reshape(shape) + lump


def place(beam, x):
    """Element index and position t in it (0..1) of places x (any shape). Raises ValueError off the beam."""
    x = np.asarray(checks.number("place on the instrument", x, beam.x[0] - 1e-9, beam.x[-1] + 1e-9, "m"))
    e = np.clip(np.searchsorted(beam.x, x, side="right") - 1, 0, len(beam.x) - 2)
    return e, (x - beam.x[e]) / beam.h[e]


def values_at(beam, vectors, x):
    """Deflection and rotation at one place x (m) of nodal vectors (2(n + 1), K): two (K,) arrays."""
    e, t = place(beam, x)
    u, phi = element_dofs(beam, vectors)[e], np.mean(beam.phi[..., e])
    return deflection_shape(t, phi) @ u, rotation_shape(t, phi) @ u / beam.h[e]


def full_matrices(beam):
    """Dense stiffness and mass (2(n + 1), 2(n + 1)) of a beam without draws. Raises ValueError if it has draws."""
    if beam.draws is not None:
        raise ValueError(f"full matrices: a beam with {beam.draws} draws given; accepted: one beam (use Beam.middle)")
    n, size = len(beam.h), 2 * len(beam.x)
    bend, slide, _, mass, rotary = weights(beam)
    turn, shift = np.zeros(4), np.array([1, .5, -1, .5])
    turn[[1, 3]] = -1, 1
    k = bend[:, None, None] / beam.h[:, None, None] ** 2 * np.outer(turn, turn) + slide[:, None, None] * np.outer(shift, shift)
    m = np.einsum("pe,pij->eij", mass, MASS) + np.einsum("pe,pij->eij", rotary, ROTARY)
    scale = np.ones((n, 4))
    scale[:, 1] = scale[:, 3] = beam.h
    K, M = np.zeros((size, size)), np.zeros((size, size))
    index = 2 * np.arange(n)[:, None] + np.arange(4)
    for target, source in ((K, k), (M, m)):
        np.add.at(target, (index[:, :, None], index[:, None, :]), source * scale[:, :, None] * scale[:, None, :])
    for lump in beam.lumps:
        e, t = place(beam, lump.x)
        w = deflection_shape(t, beam.phi[e]) * scale[e]
        r = rotation_shape(t, beam.phi[e]) * scale[e] / beam.h[e]
        M[np.ix_(index[e], index[e])] += lump.mass * np.outer(w, w) + lump.inertia * np.outer(r, r)
    return K, M
