"""Orthotropic elasticity of wood and its rotation into neck axes. The three angles are defined here, once.

Neck axes: x along the strings towards the body, y from bass to treble, z out of the fretboard.
Wood axes: L along the grain, R along the ray, T around the ring.
Angles (radians), applied in this order:
  ring_angle  between the growth-ring tangent and the y axis in the end view: 0 flat-sawn, pi/2 quarter-sawn,
  between: rift; run_out     grain diving through the fretboard plane in the side view (L gets a +z part when
  positive); slope       grain leaving the neck axis in the face view (L gets a +y part when positive).
Voigt order everywhere: 11, 22, 33, 23, 13, 12 with engineering shear strains.

Source of the relations: linear orthotropic elasticity as in the Wood Handbook, FPL-GTR-282, chapter 5, and
standard tensor rotation.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields, replace

import numpy as np

from tonewood import checks
from tonewood.draws import Array, Draws

MODULI = ("E_R", "E_T", "G_LR", "G_LT", "G_RT")
"""The moduli that tables give as shares of E_L."""
POISSON = ("nu_LR", "nu_LT", "nu_RT")
"""Poisson's ratios that tables give."""
PAIRS = ((0, 0), (1, 1), (2, 2), (1, 2), (0, 2), (0, 1))


@dataclass(frozen=True, eq=False, kw_only=True)
class Elastic:
    """Nine constants of one piece of wood: moduli in Pa, Poisson's ratios nu_ij (strain along j over strain
    along i, load along i).

    Each field is a float or an array (D,) of draws; equal only to itself, so that what is turned can be kept.
    nu_RL, nu_TL and nu_TR follow from symmetry. Raises ValueError unless the stiffness is positive definite
    and no modulus across the grain is above E_L.
    """

    E_L: Draws
    E_R: Draws
    E_T: Draws
    G_LR: Draws
    G_LT: Draws
    G_RT: Draws
    nu_LR: Draws
    nu_LT: Draws
    nu_RT: Draws

    def __post_init__(self) -> None:
        for name, value in self._all().items():
            good = checks.stiffness(name, value) if name[0] in "EG" else checks.number(name, value, -1.0, 2.0)
            object.__setattr__(self, name, good)
        checks.draw_count(**self._all())
        name, across = max(("E_R", self.E_R), ("E_T", self.E_T), key=lambda pair: float(np.max(pair[1])))
        if np.any(self.E_L < across * (1 - 1e-9)):
            raise ValueError(f"E_L: {np.min(self.E_L):g} Pa given beside {name} {np.max(across):g} Pa; "
                             "accepted: E_L the largest, wood is stiffest along the grain. "
                             f"Are E_L and {name} swapped?")
        # Sylvester's criterion on the normal-stress block of the compliance, scaled by E_L, E_R, E_T.
        a, b = self.nu_LR**2 * self.E_R / self.E_L, self.nu_LT**2 * self.E_T / self.E_L
        c = self.nu_RT**2 * self.E_T / self.E_R
        d = 2 * self.nu_LR * self.nu_LT * self.nu_RT * self.E_T / self.E_L
        if np.any((1 - a <= 0) | (1 - a - b - c - d <= 0)):
            ratios = ", ".join(f"{n} {np.max(getattr(self, n)):g}" for n in POISSON)
            raise ValueError(f"elastic constants: Poisson's ratios {ratios} given, too large for the "
                             "moduli; accepted: a positive definite stiffness. "
                             "Is a ratio given the wrong way round (nu_RL for nu_LR)?")

    def _all(self) -> dict[str, Draws]:
        return {f.name: getattr(self, f.name) for f in fields(self)}

    def scaled(self, factor: Draws) -> Elastic:
        """The same wood with every modulus multiplied by `factor` (float or (D,)); Poisson's ratios
        unchanged."""
        return replace(self,
                       **{name: value * factor for name, value in self._all().items() if name[0] in "EG"})

    def mapped(self, change: Callable[[Draws], Draws]) -> Elastic:
        """The same with each constant (moduli in Pa) put through a function: one draw of all, their mean."""
        return replace(self, **{name: change(value) for name, value in self._all().items()})

    @property
    def compliance(self) -> Array:
        """Compliance matrix in wood axes, 1/Pa, shape (6, 6) or (D, 6, 6)."""
        S = np.zeros(np.broadcast_shapes(*map(np.shape, self._all().values())) + (6, 6))
        S[..., 0, 0], S[..., 1, 1], S[..., 2, 2] = 1 / self.E_L, 1 / self.E_R, 1 / self.E_T
        S[..., 0, 1] = S[..., 1, 0] = -self.nu_LR / self.E_L
        S[..., 0, 2] = S[..., 2, 0] = -self.nu_LT / self.E_L
        S[..., 1, 2] = S[..., 2, 1] = -self.nu_RT / self.E_R
        S[..., 3, 3], S[..., 4, 4], S[..., 5, 5] = 1 / self.G_RT, 1 / self.G_LT, 1 / self.G_LR
        return S


def _turn(Q: Array) -> Array:
    """An orientation matrix as `orientation` gives it: no entry beyond 1, or it is something else."""
    return np.asarray(checks.number("orientation (from `orientation`)", Q, -1.000001, 1.000001))


def _by_entry(Q: Array) -> Array:
    """Orientations (..., 3, 3) with each entry's values beside each other, (3, 3, ...): quicker sums."""
    return np.ascontiguousarray(np.moveaxis(Q, (-2, -1), (0, 1)))


def orientation(ring_angle: Draws, run_out: Draws = 0.0, slope: Draws = 0.0) -> Array:
    """Matrix Q whose columns are L, R, T in neck axes, shape (..., 3, 3): vector in neck axes = Q @ vector in
    wood axes.

    Angles in radians, floats or arrays that broadcast. Raises ValueError for angles beyond half a turn (ring)
    or a quarter turn (grain).
    >>> orientation(np.pi / 2).round(9).tolist()
    [[1.0, 0.0, 0.0], [0.0, 1.0, -0.0], [0.0, 0.0, 1.0]]
    """
    ring = np.asarray(checks.angle("ring angle", ring_angle, np.pi))
    dive = np.asarray(checks.angle("run-out", run_out))
    sweep = np.asarray(checks.angle("slope of grain", slope))
    ring, dive, sweep = np.broadcast_arrays(ring, dive, sweep)
    s, c = np.sin(ring), np.cos(ring)
    sa, ca, sb, cb = np.sin(dive), np.cos(dive), np.sin(sweep), np.cos(sweep)
    # the board turned about its length by the ring angle, then its length tilted by run-out and slope
    rows = ((cb * ca, -sb * s - cb * sa * c, sb * c - cb * sa * s),
            (sb * ca, cb * s - sb * sa * c, -cb * c - sb * sa * s), (sa, ca * c, ca * s))
    Q = np.empty((*ring.shape, 3, 3))
    for i, row in enumerate(rows):
        for j, entry in enumerate(row):
            np.add(entry, 0.0, out=Q[..., i, j])                                # no -0
    return Q


def rotate_compliance(S: Array, Q: Array) -> Array:
    """Compliance (..., 6, 6) turned from wood into neck axes by Q (..., 3, 3); both in Voigt order with
    engineering shears.

    Uses the 6x6 strain transformation K: S' = K S K^T. Source: standard tensor rotation (e.g. Auld's or
    Bond's form). Raises ValueError.
    >>> rotate_compliance(np.diag([1.0, 2, 3, 4, 5, 6]), orientation(np.pi / 2)).diagonal().round(9).tolist()
    [1.0, 2.0, 3.0, 4.0, 5.0, 6.0]
    """
    S, Q = np.asarray(checks.number("compliance", S)), _turn(Q)
    q, K = _by_entry(Q), np.empty((*Q.shape[:-2], 6, 6))
    for m, (i, j) in enumerate(PAIRS):
        for n, (a, b) in enumerate(PAIRS):
            entry = q[i, a] * q[j, b]
            if a != b:
                entry = 0.5 * (entry + q[i, b] * q[j, a])
            K[..., m, n] = entry if i == j else 2 * entry
    return K @ S @ np.swapaxes(K, -1, -2)


@dataclass(frozen=True, kw_only=True)
class OffAxis:
    """Engineering constants of a board in neck axes: moduli in Pa; each float or (D,).

    coupling_xz, coupling_xy: shear strain gamma_xz (gamma_xy) per unit strain along x under pull along x;
    zero for straight grain.
    """

    E_x: Draws
    E_y: Draws
    E_z: Draws
    G_xy: Draws
    G_xz: Draws
    G_yz: Draws
    coupling_xz: Draws
    coupling_xy: Draws


def off_axis(elastic: Elastic, Q: Array) -> OffAxis:
    """Engineering constants (Pa) of `elastic` in neck axes through Q (..., 3, 3). Full tensor rotation, no
    shortcut. Raises ValueError.
    >>> from tonewood.wood.species import species
    >>> wood = species("hard maple")
    >>> round(float(off_axis(wood.elastic, orientation(0.0, np.pi / 2)).E_x / wood.elastic.E_R), 9)
    1.0
    """
    S = rotate_compliance(elastic.compliance, Q)
    d = np.einsum("...ii->...i", S)
    moduli = {name: 1 / d[..., k] for name, k in dict(E_x=0, E_y=1, E_z=2, G_xy=5, G_xz=4, G_yz=3).items()}
    return OffAxis(**moduli, coupling_xz=S[..., 4, 0] / S[..., 0, 0], coupling_xy=S[..., 5, 0] / S[..., 0, 0])


def modulus_along(elastic: Elastic, direction: Array) -> Draws:
    """Young's modulus (Pa) along the unit vector `direction`, its L, R, T components (..., 3): the closed
    form of `off_axis(...).E_x`. Source: s'_1111 of the rotated compliance, written out; the mixed terms hold
    shear and Poisson parts. Raises ValueError.
    >>> from tonewood.wood.species import species
    >>> wood = species("hard maple")
    >>> round(float(modulus_along(wood.elastic, np.array([1.0, 0.0, 0.0])) / wood.modulus), 9)
    1.0
    """
    direction = np.asarray(checks.number("direction", direction, -1.000001, 1.000001))
    ll, rr, tt = (direction[..., k] ** 2 for k in range(3))
    e = elastic
    terms = (ll**2 / e.E_L, rr**2 / e.E_R, tt**2 / e.E_T,
             ll * rr * (1 / e.G_LR - 2 * e.nu_LR / e.E_L), ll * tt * (1 / e.G_LT - 2 * e.nu_LT / e.E_L),
             rr * tt * (1 / e.G_RT - 2 * e.nu_RT / e.E_R))
    return 1 / sum(terms)


def hankinson(E_L: Draws, E_across: Draws, angle: Draws, n: float = 2.0) -> Draws:
    """The handbook shortcut for modulus (Pa) at `angle` (rad) to the grain: E_L E_q / (E_L sin^n + E_q
    cos^n).

    It holds no shear modulus, so it agrees with the tensor only by chance; shown beside it. Source: Wood
    Handbook, FPL-GTR-282, ch. 5 (Hankinson-type formula, n = 2 for stiffness). Raises ValueError for an angle
    beyond a quarter turn.
    >>> round(float(hankinson(12e9, 1.5e9, np.radians(10.0)) / 12e9), 4)
    0.8257
    """
    angle = np.abs(checks.angle("angle to the grain", angle))
    E_L, E_across = checks.stiffness("E_L", E_L), checks.stiffness("modulus across the grain", E_across)
    checks.number("exponent", n, 1.0, 4.0)
    s, c = np.sin(angle) ** n, np.cos(angle) ** n
    return E_L * E_across / (E_L * s + E_across * c)


def swelling_tensor(C_L: Draws, C_R: Draws, C_T: Draws, Q: Array) -> Array:
    """Swelling per unit moisture fraction in neck axes, tensor components (not doubled), shape (..., 3, 3).

    C_L, C_R, C_T: strain per unit moisture fraction, floats or (D,). Same rotation as the elasticity: a = Q
    diag(C) Q^T. Raises ValueError.
    >>> swelling_tensor(0.005, 0.165, 0.353, orientation(np.pi / 2)).diagonal().round(9).tolist()
    [0.005, 0.165, 0.353]
    """
    each = zip(("C_L", "C_R", "C_T"), (C_L, C_R, C_T), strict=True)
    C, q = [np.asarray(checks.swelling(name, c)) for name, c in each], _by_entry(_turn(Q))
    a = np.empty((*np.broadcast_shapes(q.shape[2:], *(c.shape for c in C)), 3, 3))
    for i in range(3):
        turned = [q[i, k] * C[k] for k in range(3)]
        for j in range(i, 3):
            a[..., i, j] = a[..., j, i] = turned[0] * q[j, 0] + turned[1] * q[j, 1] + turned[2] * q[j, 2]
    return a
