"""Damping of wood: the loss factor along the grain, off the grain, and with moisture.

Loss factor = tan delta = 1/Q = logarithmic decrement / pi. The relation for woods without a measured value is
remembered, its level checked against seven published values. Numbers and their status: data/rules.csv.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from tonewood import checks
from tonewood.draws import Array, Draws, plain, readable
from tonewood.schema import GROUPS
from tonewood.wood.facts import rule

if TYPE_CHECKING:
    from tonewood.wood.elastic import Elastic

NOTE = "A teaching estimate with a wide band: it cannot rank woods."


@dataclass(frozen=True)
class Loss:
    """A loss factor (float or (D,)) and how sure it is: 90 % of boards lie between value / band and value *
    band."""

    value: Draws
    band: float
    status: str
    note: str

    @property
    def low(self) -> Draws:
        """Lower end of the 90 % band."""
        return self.value / self.band

    @property
    def high(self) -> Draws:
        """Upper end of the 90 % band."""
        return self.value * self.band


@dataclass(frozen=True)
class Losses:
    """Loss factors of the terms of the compliance: pull along L, R, T and shear in LR, LT, RT; floats or
    (D,)."""

    L: Draws
    R: Draws
    T: Draws
    LR: Draws
    LT: Draws
    RT: Draws


def relation(specific_modulus: Draws) -> Draws:
    """Loss factor along the grain from specific modulus, E in GPa over specific gravity (rho/1000): 10^a
    (E/rho)^b.

    Float or array. Raises ValueError outside 3 to 60 GPa. Constants from memory (attributed to Ono and
    Norimoto; rules loss_factor_log10, loss_factor_exponent); that a power law holds is published (Brémaud and
    others, 2010), that it explains only half of the variance too.
    >>> round(relation(18.0), 5)
    0.00825
    """
    x = checks.number("specific modulus", specific_modulus, 3.0, 60.0, "GPa per unit specific gravity",
                      lambda v:
                      f"Did you mean {v / 1e6:g}? E in GPa over density / 1000 is expected" if v > 1e6
                      else None)
    return 10 ** rule("loss_factor_log10").value * x ** rule("loss_factor_exponent").value


def loss_at(value: Draws, moisture: Draws) -> Draws:
    """A loss factor known at 12 % moisture carried to `moisture` (a fraction): it grows in proportion to
    moisture above a level part (rules loss_per_moisture, loss_level_below).

    Floats or arrays that broadcast. The size is from memory; that damping rises towards high moisture and has
    a minimum in between is published (Merhar 2024; Wood Handbook, FPL-GTR-282, p. 5-21). Raises ValueError
    above fibre saturation.
    >>> round(loss_at(0.008, 0.16), 5)
    0.0091
    """
    step, level = 100 * rule("loss_per_moisture").value, rule("loss_level_below").value / 100

    def shape(name: str, m: Draws) -> Draws:
        return 1 + step * np.maximum(checks.moisture(name, m) - level, 0.0)

    value = checks.number("loss factor", value, 0.0, 1.0)
    return plain(value * shape("moisture content", moisture) / shape("reference moisture content", 0.12))


def losses(eta_L: Draws, group: str) -> Losses:
    """Each other loss factor from the one along the grain, by the stated ratios of the group ('hardwood' or
    'softwood').

    Tangential is taken as radial, LT shear as LR shear, and RT shear as radial: no numbers for them were read
    (estimated). Raises ValueError.
    >>> losses(0.01, "hardwood").LR
    0.02
    """
    checks.choice("group", group, GROUPS)
    eta_L = checks.number("loss factor along the grain", eta_L, 0.0, 1.0, open_low=True)
    across, shear = (rule(f"loss_{group}_{pair}_ratio").value * eta_L for pair in ("R", "LR"))
    return Losses(L=eta_L, R=across, T=across, LR=shear, LT=shear, RT=across)


def lossy_compliance(elastic: Elastic, each: Losses) -> Array:
    """The loss part of the compliance (6, 6) or (D, 6, 6) in wood axes, 1/Pa: every entry times its own loss
    factor, a Poisson term with that of the pull it belongs to (as in off_axis_loss).

    >>> from tonewood.wood.species import species
    >>> wood = species("hard maple")
    >>> round(float(lossy_compliance(wood.elastic, losses(0.01, "hardwood"))[5, 5] * wood.elastic.G_LR), 9)
    0.02
    """
    eta = np.zeros(np.broadcast_shapes(*(np.shape(v) for v in vars(each).values())) + (6, 6))
    for k, loss in enumerate((each.L, each.R, each.T, each.RT, each.LT, each.LR)):
        eta[..., k, k] = loss
    eta[..., 0, 1] = eta[..., 1, 0] = eta[..., 0, 2] = eta[..., 2, 0] = each.L
    eta[..., 1, 2] = eta[..., 2, 1] = each.R
    return elastic.compliance * eta


def off_axis_loss(elastic: Elastic, direction: Any, eta_L: Draws, group: str = "",
                  each: Losses | None = None) -> Draws:
    """Loss factor of Young's modulus along `direction` ((..., 3) components of the unit vector along L, R,
    T).

    Each term of 1/E along the direction carries its own loss: sum(term * eta) / sum(term), the Poisson terms
    that of the pull they belong to. In the L-R and L-T planes this is the textbook four-term form. Give eta_L
    (float or (D,)) and group, or each=Losses. Raises ValueError. Theory: linear viscoelasticity at small
    loss; ratios: data/rules.csv.
    >>> from tonewood.wood.species import species
    >>> round(off_axis_loss(species("hard maple").elastic, [0.0, 1.0, 0.0], 0.01, "hardwood"), 5)
    0.022
    """
    d: Array = np.asarray(checks.number("direction", direction, -1.000001, 1.000001))
    if d.shape[-1:] != (3,) or np.any(np.abs(np.sum(d**2, axis=-1) - 1) > 1e-6):
        raise ValueError(readable(f"direction: {d.tolist()!s:.60} given; accepted: three components along "
                                  "L, R, T of a vector of length 1"))
    n = each or losses(eta_L, group)
    ll, rr, tt = (d[..., k] ** 2 for k in range(3))
    e = elastic
    terms = ((ll**2 / e.E_L, n.L), (rr**2 / e.E_R, n.R), (tt**2 / e.E_T, n.T),
             (ll * rr / e.G_LR, n.LR), (ll * tt / e.G_LT, n.LT), (rr * tt / e.G_RT, n.RT),
             (-2 * ll * rr * e.nu_LR / e.E_L, n.L), (-2 * ll * tt * e.nu_LT / e.E_L, n.L),
             (-2 * rr * tt * e.nu_RT / e.E_R, n.R))
    return plain(sum(term * eta for term, eta in terms) / sum(term for term, _ in terms))
