"""Damping of wood: the loss factor along the grain, off the grain, and with moisture.

Loss factor = tan delta = 1/Q = logarithmic decrement / pi. The relation for woods without a measured value is remembered, its level checked
against seven published values; it must not be used to rank woods. Numbers and their status: data/rules.csv.
"""

from dataclasses import dataclass

import numpy as np

from tonewood import checks
from tonewood.wood.facts import GROUPS, rule

NOTE = "A teaching estimate with a wide band: it cannot rank woods."


@dataclass(frozen=True)
class Loss:
    """A loss factor (float or (D,)) and how sure it is: 90 % of boards lie between value / band and value * band."""

    value: object
    band: float
    status: str
    note: str

    @property
    def low(self):
        """Lower end of the 90 % band."""
        return self.value / self.band

    @property
    def high(self):
        """Upper end of the 90 % band."""
        return self.value * self.band

    def table(self):
        """One row: loss factor, band, status, note."""
        import pandas as pd

        return pd.DataFrame({"loss factor": np.atleast_1d(self.value), "low (5 %)": np.atleast_1d(self.low), "high (95 %)": np.atleast_1d(self.high),
                             "status": self.status, "note": self.note})


@dataclass(frozen=True)
class Losses:
    """Loss factors of the terms of the compliance: pull along L, R, T and shear in LR, LT, RT; floats or (D,)."""

    L: object
    R: object
    T: object
    LR: object
    LT: object
    RT: object


def relation(specific_modulus):
    """Loss factor along the grain from specific modulus, E in GPa over specific gravity (rho/1000): 10^-1.23 (E/rho)^-0.68.

    Float or array. Raises ValueError outside 3 to 60 GPa. Constants from memory (attributed to Ono and Norimoto); that a power law holds is
    published (Brémaud and others, 2010), that it explains only half of the variance too.
    """
    x = checks.number("specific modulus", specific_modulus, 3.0, 60.0, "GPa per unit specific gravity",
                      lambda v: f"Did you mean {v / 1e6:g}? E in GPa over density / 1000 is expected" if v > 1e6 else None)
    return 10 ** rule("loss_factor_log10").value * x ** rule("loss_factor_exponent").value


def estimate(modulus, density, loss_class):
    """Loss factor of a board that nobody tapped. modulus: E_L in Pa, density in kg/m3 (floats or (D,)); loss_class: 'ordinary' (softwoods and pale
    temperate hardwoods), 'tropical', 'extractive-rich' (padauk, rosewoods). Returns Loss; raises ValueError."""
    short = checks.choice("loss class", loss_class, ("ordinary", "tropical", "extractive-rich")).split("-")[0]
    density = checks.number("density", density, 50.0, 1500.0, "kg/m3", lambda v: f"Did you mean {1000 * v:g} kg/m3?" if v < 2 else None)
    modulus = checks.number("modulus along the grain", modulus, 1e9, 60e9, "Pa", lambda v: f"Did you mean {v * 1e9:g} Pa?" if v < 100 else None)
    value = rule(f"loss_{short}_factor").value * relation(modulus / 1e9 / (density / 1000))
    return Loss(value, rule(f"loss_{short}_band").value, rule("loss_factor_log10").status, f"{NOTE} Relation with constants from memory, level checked.")


def loss_at(value, moisture, reference=0.12):
    """A loss factor known at `reference` moisture carried to `moisture` (fractions): +4 % of its value per +1 % moisture above 8 %, level below.

    Floats or arrays that broadcast. The size is from memory; that damping rises towards high moisture and has a minimum in between is published
    (Merhar 2024; Wood Handbook, FPL-GTR-282, p. 5-21). Raises ValueError above fibre saturation.
    """
    step = 100 * rule("loss_per_moisture").value

    def shape(m):
        return 1 + step * np.maximum(m - 0.08, 0.0)

    out = value * shape(checks.moisture("moisture content", moisture)) / shape(checks.moisture("reference moisture content", reference))
    return float(out) if np.ndim(out) == 0 else out


def losses(eta_L, group):
    """The other loss factors from the one along the grain, by the stated ratios of the group ('hardwood' or 'softwood'). Returns Losses.

    Tangential is taken as radial, LT shear as LR shear, and RT shear as radial: no numbers for them were read (estimated).
    """
    checks.choice("group", group, GROUPS)
    eta_L = checks.number("loss factor along the grain", eta_L, 0.0, 1.0, open_low=True)
    across, shear = rule(f"loss_{group}_R_ratio").value, rule(f"loss_{group}_LR_ratio").value
    return Losses(eta_L, across * eta_L, across * eta_L, shear * eta_L, shear * eta_L, across * eta_L)


def lossy_compliance(elastic, each):
    """Imaginary part of the compliance, (..., 6, 6) in 1/Pa: every term times its own loss factor; Poisson terms carry that of their own pull.

    elastic: Elastic; each: Losses. Turn it with wood.elastic.rotate_compliance; any diagonal entry over that of the real part is the loss factor of that
    modulus in neck axes. Theory: linear viscoelasticity at small loss.
    """
    S = elastic.compliance
    eta = [np.asarray(getattr(each, name), dtype=float) for name in ("L", "R", "T", "RT", "LT", "LR")]
    shape = np.broadcast_shapes(S.shape[:-2], *(e.shape for e in eta))
    out = np.zeros(shape + (6, 6))
    for i in range(6):
        for j in range(6):
            out[..., i, j] = S[..., i, j] * eta[min(i, j)]
    return out


def off_axis_loss(elastic, direction, eta_L, group=None, each=None):
    """Loss factor of Young's modulus along `direction` ((..., 3) components of the unit vector along L, R, T).

    Each term of 1/E along the direction carries its own loss: sum(term * eta) / sum(term), the Poisson terms that of the pull they belong to. In the
    L-R and L-T planes this is the textbook four-term form. Give eta_L (float or (D,)) and group, or each=Losses. Raises ValueError.
    Theory: linear viscoelasticity at small loss; ratios between directions: data/rules.csv.
    """
    direction = np.asarray(checks.number("direction", direction, -1.000001, 1.000001), dtype=float)
    if direction.shape[-1:] != (3,) or np.any(np.abs(np.sum(direction**2, axis=-1) - 1) > 1e-6):
        raise ValueError("direction: accepted: three components along L, R, T of a vector of length 1")
    n = each if each is not None else losses(eta_L, group)
    ll, rr, tt = (direction[..., k] ** 2 for k in range(3))
    e = elastic
    terms = ((ll**2 / e.E_L, n.L), (rr**2 / e.E_R, n.R), (tt**2 / e.E_T, n.T),
             (ll * rr / e.G_LR, n.LR), (ll * tt / e.G_LT, n.LT), (rr * tt / e.G_RT, n.RT),
             (-2 * ll * rr * e.nu_LR / e.E_L, n.L), (-2 * ll * tt * e.nu_LT / e.E_L, n.L), (-2 * rr * tt * e.nu_RT / e.E_R, n.R))
    out = sum(term * eta for term, eta in terms) / sum(term for term, _ in terms)
    return float(out) if np.ndim(out) == 0 else out
