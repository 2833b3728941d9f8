"""How uncertain the cross-grain and shear constants of one wood are: draws of its nine elastic constants about the table's values."""

import numpy as np

from tonewood import checks
from tonewood.wood.elastic import Elastic
from tonewood.wood.facts import rule
from tonewood.wood.spread import mean_keeping_factor


def draw_ratios(elastic, draws=300, seed=0, cov=None):
    """`elastic` (single values) with E_R, E_T and the three shear moduli scattered independently about their values; E_L kept. Returns Elastic, (D,).

    cov: coefficient of variation, up to 0.30; the rule cov_transverse_ratio if None (30 %, from memory); cut off at 2.5 standard deviations. Poisson's ratios follow by the square roots of the
    moduli, so that every draw stays as physically possible as the wood itself. Raises ValueError.
    """
    cov = rule("cov_transverse_ratio").value if cov is None else checks.number("coefficient of variation", cov, 0.0, 0.30)
    z = np.random.default_rng([int(checks.number("seed", seed, 0)), 5]).standard_normal((5, int(checks.number("draws", draws, 1, 100_000))))
    z = np.clip(z, -2.5, 2.5)
    f_R, f_T, f_LR, f_LT, f_RT = mean_keeping_factor(z, cov)
    e = elastic
    return Elastic(np.full_like(f_R, e.E_L), e.E_R * f_R, e.E_T * f_T, e.G_LR * f_LR, e.G_LT * f_LT, e.G_RT * f_RT,
                   e.nu_LR / np.sqrt(f_R), e.nu_LT / np.sqrt(f_T), e.nu_RT * np.sqrt(f_R / f_T))
