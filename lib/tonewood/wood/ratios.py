"""How uncertain the cross-grain and shear constants of one wood are: draws of its nine elastic constants
about the table's values.

Source of the scatter: rule cov_transverse_ratio (from memory, unverified) and wood.spread.filled_ratios.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from tonewood import checks
from tonewood.wood.elastic import MODULI, Elastic
from tonewood.wood.facts import rule
from tonewood.wood.spread import scattered


def draw_ratios(elastic: Elastic, draws: int = 300, seed: int = 0, cov: float | None = None,
                filled: Mapping[str, float] | None = None) -> Elastic:
    """`elastic` (single values) with E_R, E_T and the three shear moduli scattered independently about their
    values, as wood.spread.scattered does it. Returns Elastic of (D,), Pa.

    cov: coefficient of variation, up to 0.30; the rule cov_transverse_ratio if None. filled: for each modulus
    that a rule filled, how far the wood may lie from the rule besides (wood.spread.filled_ratios), up to 1.
    Raises ValueError.
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
    return scattered(elastic, z, each)
