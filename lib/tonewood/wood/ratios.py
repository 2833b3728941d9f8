"""How uncertain the cross-grain and shear constants of one wood are: draws of its nine elastic constants
about the table's values."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

import numpy as np

from tonewood import checks
from tonewood.wood.elastic import MODULI, Elastic
from tonewood.wood.facts import rule
from tonewood.wood.spread import mean_keeping_factor

if TYPE_CHECKING:
    from tonewood.wood.species import Species


def filled_ratios(wood: Species) -> dict[str, float]:
    """How far each modulus of a wood that a rule filled may lie from the rule: {"G_LR": coefficient of
    variation, a fraction}, that of one wood among those of its group; what was read is not in it.

    >>> from tonewood.wood.species import species
    >>> {name: round(cov, 2) for name, cov in filled_ratios(species("hard maple")).items()}
    {'G_RT': 0.57}
    """
    facts = {name: wood.fact(f"{name}_ratio") for name in MODULI}
    return {name: fact.cov for name, fact in facts.items() if fact.source == "derived" and fact.cov}


def draw_ratios(elastic: Elastic, draws: int = 300, seed: int = 0, cov: float | None = None,
                filled: Mapping[str, float] | None = None) -> Elastic:
    """`elastic` (single values) with E_R, E_T and the three shear moduli scattered independently about their
    values; E_L kept. Returns Elastic of (D,), Pa.

    cov: coefficient of variation, up to 0.30; the rule cov_transverse_ratio if None; cut off at 2.5 standard
    deviations. filled: for each modulus that a rule filled, how far the wood may lie from the rule besides
    (filled_ratios), up to 1. Poisson's ratios follow by the square roots of the moduli, so that every
    draw stays as physically possible as the wood itself. Raises ValueError. Derived: the determinants of the
    compliance then scale with the moduli.
    >>> from tonewood.wood.species import species
    >>> draw_ratios(species("wenge").elastic, 5).E_R.shape
    (5,)
    """
    given = rule("cov_transverse_ratio").value if cov is None else cov
    cov = float(checks.number("coefficient of variation", given, 0.0, 0.30))
    shape = 5, checks.whole("draws", draws, 1, 100_000)
    z = np.random.default_rng([checks.whole("seed", seed, 0), 5]).standard_normal(shape)
    known = dict(filled or {})
    each = [float(np.hypot(cov, checks.fraction(f"scatter of the filled {name}", known.pop(name, 0.0))))
            for name in MODULI]
    for name in known:
        checks.choice("filled modulus", name, MODULI)
    R, T, LR, LT, RT = (mean_keeping_factor(row, scatter)
                        for row, scatter in zip(np.clip(z, -2.5, 2.5), each, strict=True))
    e = elastic
    return Elastic(E_L=np.full_like(R, e.E_L), E_R=e.E_R * R, E_T=e.E_T * T, G_LR=e.G_LR * LR,
                   G_LT=e.G_LT * LT, G_RT=e.G_RT * RT, nu_LR=e.nu_LR / np.sqrt(R), nu_LT=e.nu_LT / np.sqrt(T),
                   nu_RT=np.minimum(e.nu_RT * np.sqrt(R / T), 2.0))
