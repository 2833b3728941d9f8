"""Orthotropic elasticity of wood and its rotation into neck axes. The three angles are defined here, once.

Neck axes: x along the strings towards the body, y from bass to treble, z out of the fretboard.
Wood axes: L along the grain, R along the ray, T around the ring.
Angles (radians), applied in this order:
  ring_angle  between the growth-ring tangent and the y axis in the end view: 0 flat-sawn, pi/2 quarter-sawn, between: rift;
  run_out     grain diving through the fretboard plane in the side view (L gets a +z part when positive);
  slope       grain leaving the neck axis in the face view (L gets a +y part when positive).
Voigt order everywhere: 11, 22, 33, 23, 13, 12 with engineering shear strains.

Source of the relations: linear orthotropic elasticity as in the Wood Handbook, FPL-GTR-282, chapter 5, and standard tensor rotation.
"""

from dataclasses import dataclass, fields, replace

import numpy as np

from tonewood import checks

PAIRS = ((0, 0), (1, 1), (2, 2), (1, 2), (0, 2), (0, 1))


@dataclass(frozen=True)
class Elastic:
    """Nine constants of one piece of wood: moduli in Pa, Poisson's ratios nu_ij (strain along j over strain along i, load along i).

    Each field is a float or an array (D,) of draws. nu_RL, nu_TL and nu_TR follow from symmetry. Raises ValueError unless
    all moduli are positive and the stiffness is positive definite.
    """

    E_L: object
    E_R: object
    E_T: object
    G_LR: object
    G_LT: object
    G_RT: object
    nu_LR: object
    nu_LT: object
    nu_RT: object

    def __post_init__(self):
        for field in fields(self):
            limits = {"low": 0.0, "open_low": True, "unit": "Pa"} if field.name[0] in "EG" else {"low": -1.0, "high": 2.0}
            object.__setattr__(self, field.name, checks.number(field.name, getattr(self, field.name), **limits))
        checks.draw_count(**{f.name: getattr(self, f.name) for f in fields(self)})
        # Sylvester's criterion on the normal-stress block of the compliance, scaled by E_L, E_R, E_T.
        a, b, c = self.nu_LR**2 * self.E_R / self.E_L, self.nu_LT**2 * self.E_T / self.E_L, self.nu_RT**2 * self.E_T / self.E_R
        d = 2 * self.nu_LR * self.nu_LT * self.nu_RT * self.E_T / self.E_L
        if np.any((1 - a <= 0) | (1 - a - b - c - d <= 0)):
            raise ValueError(f"elastic constants: Poisson's ratios nu_LR {np.max(self.nu_LR):g}, nu_LT {np.max(self.nu_LT):g}, nu_RT "
                             f"{np.max(self.nu_RT):g} are too large for these moduli; accepted: a positive definite stiffness. "
                             "Is a ratio given the wrong way round (nu_RL for nu_LR)?")

    def scaled(self, factor):
        """The same wood with every modulus multiplied by `factor` (float or (D,)); Poisson's ratios unchanged."""
        return replace(self, **{f.name: getattr(self, f.name) * factor for f in fields(self) if f.name[0] in "EG"})

    @property
    def compliance(self):
        """Compliance matrix in wood axes, 1/Pa, shape (6, 6) or (D, 6, 6)."""
        shape = np.broadcast_shapes(*(np.shape(getattr(self, f.name)) for f in fields(self)))
        S = np.zeros(shape + (6, 6))
        S[..., 0, 0], S[..., 1, 1], S[..., 2, 2] = 1 / self.E_L, 1 / self.E_R, 1 / self.E_T
        S[..., 0, 1] = S[..., 1, 0] = -self.nu_LR / self.E_L
        S[..., 0, 2] = S[..., 2, 0] = -self.nu_LT / self.E_L
        S[..., 1, 2] = S[..., 2, 1] = -self.nu_RT / self.E_R
        S[..., 3, 3], S[..., 4, 4], S[..., 5, 5] = 1 / self.G_RT, 1 / self.G_LT, 1 / self.G_LR
        return S


def orientation(ring_angle, run_out=0.0, slope=0.0):
    """Matrix Q whose columns are L, R, T in neck axes, shape (..., 3, 3): vector in neck axes = Q @ vector in wood axes.

    Angles in radians, floats or arrays that broadcast. Raises ValueError for angles beyond half a turn (ring) or a quarter turn (grain).
    """
    ring = np.asarray(checks.angle("ring angle", ring_angle, np.pi))
    dive = np.asarray(checks.angle("run-out", run_out))
    sweep = np.asarray(checks.angle("slope of grain", slope))
    ring, dive, sweep = np.broadcast_arrays(ring, dive, sweep)
    s, c = np.sin(ring), np.cos(ring)
    zero, one = np.zeros_like(s), np.ones_like(s)
    untilted = np.stack([np.stack([one, zero, zero], -1), np.stack([zero, s, -c], -1), np.stack([zero, c, s], -1)], -2)
    sa, ca, sb, cb = np.sin(dive), np.cos(dive), np.sin(sweep), np.cos(sweep)
    tilt = np.stack([np.stack([cb * ca, -sb, -cb * sa], -1), np.stack([sb * ca, cb, -sb * sa], -1), np.stack([sa, zero, ca], -1)], -2)
    return tilt @ untilted


def rotate_compliance(S, Q):
    """Compliance (..., 6, 6) turned from wood into neck axes by Q (..., 3, 3); both in Voigt order with engineering shears.

    Uses the 6x6 strain transformation K: S' = K S K^T. Source: standard tensor rotation (e.g. Auld's or Bond's form).
    """
    rows = []
    for i, j in PAIRS:
        row = []
        for a, b in PAIRS:
            entry = Q[..., i, a] * Q[..., j, b]
            if a != b:
                entry = 0.5 * (entry + Q[..., i, b] * Q[..., j, a])
            row.append(entry if i == j else 2 * entry)
        rows.append(np.stack(np.broadcast_arrays(*row), -1))
    K = np.stack(rows, -2)
    return K @ S @ np.swapaxes(K, -1, -2)


@dataclass(frozen=True)
class OffAxis:
    """Engineering constants of a board in neck axes: moduli in Pa; each float or (D,).

    coupling_xz, coupling_xy: shear strain gamma_xz (gamma_xy) per unit strain along x under pull along x; zero for straight grain.
    """

    E_x: object
    E_y: object
    E_z: object
    G_xy: object
    G_xz: object
    G_yz: object
    coupling_xz: object
    coupling_xy: object


def off_axis(elastic, Q):
    """Engineering constants of `elastic` seen in neck axes through Q. Returns OffAxis. Full tensor rotation, no shortcut."""
    S = rotate_compliance(elastic.compliance, Q)
    d = np.einsum("...ii->...i", S)
    return OffAxis(*(1 / d[..., k] for k in (0, 1, 2, 5, 4, 3)), S[..., 4, 0] / S[..., 0, 0], S[..., 5, 0] / S[..., 0, 0])


def compliance_terms(elastic, direction):
    """The six terms whose sum is 1/E along a direction: (LL, RR, TT, LR, LT, RT), each in 1/Pa, floats or (D,).

    direction: components of the unit vector along wood axes L, R, T, shape (..., 3). The mixed terms hold shear and Poisson parts.
    Source: s'_1111 of the rotated compliance, written out.
    """
    ll, rr, tt = (direction[..., k] ** 2 for k in range(3))
    e = elastic
    return (ll**2 / e.E_L, rr**2 / e.E_R, tt**2 / e.E_T,
            ll * rr * (1 / e.G_LR - 2 * e.nu_LR / e.E_L), ll * tt * (1 / e.G_LT - 2 * e.nu_LT / e.E_L),
            rr * tt * (1 / e.G_RT - 2 * e.nu_RT / e.E_R))


def modulus_along(elastic, direction):
    """Young's modulus (Pa) along a direction given by its L, R, T components (..., 3): the closed form of `off_axis(...).E_x`."""
    return 1 / sum(compliance_terms(elastic, direction))


def hankinson(E_L, E_across, angle, n=2.0):
    """The handbook shortcut for modulus (Pa) at `angle` (rad) to the grain: E_L E_q / (E_L sin^n + E_q cos^n).

    It holds no shear modulus, so it agrees with the tensor only by chance; shown beside it. Source: Wood Handbook, FPL-GTR-282, ch. 5
    (Hankinson-type formula, n = 2 for stiffness). Raises ValueError for an angle beyond a quarter turn.
    """
    angle = np.abs(checks.angle("angle to the grain", angle))
    s, c = np.sin(angle) ** n, np.cos(angle) ** n
    return E_L * E_across / (E_L * s + E_across * c)


def swelling_tensor(C_L, C_R, C_T, Q):
    """Swelling per unit moisture fraction in neck axes, tensor components (not doubled), shape (..., 3, 3).

    C_L, C_R, C_T: strain per unit moisture fraction, floats or (D,). Same rotation as the elasticity: a = Q diag(C) Q^T.
    """
    C = np.stack(np.broadcast_arrays(*(np.asarray(c, dtype=float) for c in (C_L, C_R, C_T))), -1)
    return (Q * C[..., None, :]) @ np.swapaxes(Q, -1, -2)
