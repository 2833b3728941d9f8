"""A wood's density or stiffness drawn towards the shop's own boards: partial pooling of the published value
and what the shop measured.

Model, all in natural logarithms of values at 12 % moisture. Boards of one shop scatter about the shop's own
middle m, part of the scatter between trees, the rest within a tree; each value is read with an error:

    y_ij = m + a_i + e_ij + error,   a_i ~ N(0, r s²),   e_ij ~ N(0, (1 - r) s²),   error ~ N(0, u²)
    m ~ N(m_0, t²),                  s² ~ scaled inverse chi-square (nu, s_0²)

i: the tree (boards without a label: a tree each), r: the between-tree share (rule kinship_same_tree), m_0 and
s_0: the published middle and scatter of the wood, t: how far the middle of one shop's wood lies from the
published one, nu: how well s_0 is known. With s known the answer is the normal-normal one: the mean of tree i
with n_i boards has variance v_i = r s² + ((1 - r) s² + u²) / n_i, and

    m | s ~ N((m_0 / t² + sum y_i / v_i) / L, 1 / L),   L = 1 / t² + sum 1 / v_i.

s is then integrated out over a grid of its logarithm. Source: normal hierarchical model, as in any text on
Bayesian statistics. Where t comes from: modulus, the scatter of boards bought anywhere over that of one
delivery (supply_cov_modulus of data/rules.csv) and the quarrel of the sources; density, the rule
delivery_cov_density. nu: from the limits of hardwood_cov_modulus or softwood_cov_modulus, taken as the 10 and
90 % points between lots; for density too. Left out: what weighing tells of stiffness (bench.knowledge does
that for one board).
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tonewood import checks
from tonewood.draws import Array, Draws, bisect, normal_share
from tonewood.wood.facts import rule
from tonewood.wood.species import Species, species

if TYPE_CHECKING:
    import pandas

QUANTITIES = {"density": "kg/m³", "modulus": "Pa"}
Z10 = 1.2815515655446004        # 10 % of a normal distribution lie beyond so many standard deviations
REACH, POINTS = 2.2, 241        # the grid of ln s about ln s_0: how far either way, how many points


@dataclass(frozen=True, kw_only=True, eq=False)
class Pooled:
    """A wood's density (kg/m3) or modulus along the grain (Pa), at 12 %, in one shop.

    quantity: of QUANTITIES. boards, trees: how many were measured. scatters (K,): the grid of s; weights (K,)
    of its points, adding up to 1; means, errors (K,): mean and standard deviation of m at each. share: of the
    own boards in the estimate, 0 (published value alone) to 1. own: middle of the own boards, None without.
    """

    wood: Species
    quantity: str
    boards: int
    trees: int
    scatters: Array = field(repr=False)
    weights: Array = field(repr=False)
    means: Array = field(repr=False)
    errors: Array = field(repr=False)
    share: float
    own: float | None

    def _points(self, spread: Array) -> Array:
        reach = 6.0 * spread
        low, high = np.full(3, np.min(self.means - reach)), np.full(3, np.max(self.means + reach))
        asked = np.array([0.05, 0.50, 0.95])

        def below(x: Array) -> NDArray[np.bool_]:
            return np.asarray(normal_share((x[:, None] - self.means) / spread) @ self.weights < asked)

        return np.exp(bisect(below, low, high, 60))

    @property
    def middle(self) -> Array:
        """5, 50 and 95 % points (3,) of the middle of this shop's boards, in the quantity's unit."""
        return self._points(self.errors)

    @property
    def board(self) -> Array:
        """5, 50 and 95 % points (3,) of one more board of this shop from another tree, unmeasured."""
        return self._points(np.hypot(self.errors, self.scatters))

    @property
    def scatter(self) -> Array:
        """5, 50 and 95 % points (3,) of the scatter between this shop's boards, coefficient of variation."""
        below = np.cumsum(self.weights) - self.weights / 2
        return np.sqrt(np.expm1(np.exp(np.interp([0.05, 0.5, 0.95], below, np.log(self.scatters))) ** 2))

    def draw(self, draws: int = 1000, seed: int = 0) -> Array:
        """Possible values (draws,) of one more board of this shop, kg/m3 or Pa; seed: a whole number. Raises
        ValueError.

        >>> pooled("hard maple", "density", [700.0, 720.0]).draw(50).shape
        (50,)
        """
        rng = np.random.default_rng([seed, 50_000])
        k = rng.choice(len(self.weights), checks.whole("draws", draws, 1, 1_000_000), p=self.weights)
        spread = np.hypot(self.errors, self.scatters)[k]
        return np.exp(self.means[k] + spread * rng.standard_normal(draws))

    def table(self) -> pandas.DataFrame:
        """DataFrame: 5, 50 and 95 % points of the shop's middle, of one more board, and of the scatter."""
        import pandas as pd

        unit, factor = ("GPa", 1e-9) if self.quantity == "modulus" else ("kg/m³", 1.0)
        rows = {f"middle of the shop's boards ({unit})": factor * self.middle,
                f"one more board ({unit})": factor * self.board,
                "scatter between boards (%)": 100 * self.scatter}
        return pd.DataFrame.from_dict(rows, orient="index", columns=["5 %", "50 %", "95 %"])


def prior(wood: Species, quantity: str) -> tuple[float, float, float, float]:
    """What the tables say of a wood before any board of the shop was measured: (m_0, t, s_0, nu), logarithms
    of SI units, standard deviations of logarithms, a number. Raises ValueError.

    >>> [round(v, 3) for v in prior(species("hard maple"), "density")]
    [6.553, 0.065, 0.1, 5.506]
    """
    quantity = checks.choice("quantity", quantity, QUANTITIES)
    lots = rule(f"{'softwood' if wood.group == 'softwood' else 'hardwood'}_cov_modulus").limits
    freedom = 0.5 * (2 * Z10 / np.log(lots[1] / lots[0])) ** 2
    if quantity == "density":
        value, cov, apart = wood.density, wood.cov_density, np.log1p(rule("delivery_cov_density").value ** 2)
    else:
        value, cov = wood.modulus, wood.cov_modulus
        anywhere = max(rule("supply_cov_modulus").value, cov)
        apart = (np.log1p(anywhere**2) - np.log1p(cov**2)) + np.log1p(wood.cov_modulus_sources**2)
    apart, within = max(float(apart), 1e-4), float(np.log1p(cov**2))
    return float(np.log(value) - (apart + within) / 2), apart**0.5, within**0.5, float(freedom)


def pooled(wood: Species | str, quantity: str, values: Draws | Sequence[float] = (),
           trees: Sequence[Hashable] | None = None, error: float | None = None,
           freedom: float | None = None) -> Pooled:
    """A wood's density or modulus drawn towards the shop's own boards.

    wood: Species or its name; quantity: 'density' (kg/m3) or 'modulus' along the grain (Pa), values (n,) of
    the shop's boards at 12 % moisture (bench.measure carries them there); trees: a label for each board,
    alike for boards of one tree, None: a tree each. error: relative standard uncertainty of each value
    (fraction; the rules density_error, modulus_error). freedom: how well the published scatter is known, in
    degrees of freedom (None: as lots of the tables differ; inf: as published). Returns Pooled; without values
    what the tables say. Raises ValueError.

    >>> round(float(pooled("hard maple", "density").middle[1])), round(pooled("hard maple", "density").share)
    (701, 0)
    >>> found = pooled("hard maple", "density", [760.0, 740.0, 755.0, 770.0])
    >>> round(float(found.middle[1])), round(found.share, 2)
    (739, 0.68)
    """
    wood = species(wood)
    m_0, t, s_0, usual = prior(wood, quantity)
    check = checks.density if quantity == "density" else checks.modulus
    read = np.atleast_1d(np.asarray(values, dtype=float))
    y = np.log(check(f"own {quantity}", read)) if read.size else read
    u = rule(f"{quantity}_error").value if error is None else checks.fraction("error of a value", error,
                                                                              high=0.5)
    nu = usual if freedom is None else checks.number("degrees of freedom", min(freedom, 1e9), 1.0)
    labels: list[Hashable] = list(range(y.size)) if trees is None else list(trees)
    if len(labels) != y.size:
        raise ValueError(f"trees: {len(labels)} labels given for {y.size} boards; accepted: one for each")
    which = {label: i for i, label in enumerate(dict.fromkeys(labels))}
    tree = np.array([which[label] for label in labels], dtype=int)
    count = np.bincount(tree, minlength=len(which)) if y.size else np.zeros(0)
    mean = np.bincount(tree, y, len(which)) / count if y.size else np.zeros(0)
    about = float(np.sum((y - mean[tree]) ** 2)) if y.size else 0.0

    s = np.array([s_0]) if nu >= 1e8 else s_0 * np.exp(np.linspace(-REACH, REACH, POINTS))
    r = rule("kinship_same_tree").value
    within = ((1 - r) * s**2 + u**2)[:, None]
    v = r * s[:, None] ** 2 + within / count
    precision = 1 / t**2 + np.sum(1 / v, -1)
    middle = (m_0 / t**2 + np.sum(mean / v, -1)) / precision
    log = (-nu * np.log(s) - nu * s_0**2 / (2 * s**2)
           - np.sum(np.log(v) + (mean - middle[:, None]) ** 2 / v, -1) / 2 - (middle - m_0) ** 2 / (2 * t**2)
           - np.log(precision) / 2
           - ((y.size - len(count)) * np.log(within[:, 0]) + about / within[:, 0]) / 2)
    weights = np.exp(log - log.max())
    weights /= weights.sum()
    share = float(weights @ (1 - 1 / (precision * t**2)))
    return Pooled(wood=wood, quantity=quantity, boards=int(y.size), trees=len(which), scatters=s,
                  weights=weights, means=middle, errors=precision**-0.5, share=max(share, 0.0),
                  own=float(np.exp(y.mean())) if y.size else None)


@dataclass(frozen=True)
class StripScatter:
    """Scatter of strips within their boards: cov (fraction), low and high of its 90 % band, how many strips
    and boards."""

    cov: float
    low: float
    high: float
    strips: int
    boards: int


def strip_scatter(boards: Mapping[Hashable, Iterable[float]]) -> StripScatter:
    """Scatter of strips within one board, pooled over boards (a class: one or more boards each). boards:
    {label: values of its strips}, any one unit; each strip counts as its deviation from its own board's mean,
    as a share of it. Squares added up, divided by strips less boards, root; band by chi-square. Raises
    ValueError.

    >>> found = strip_scatter({"A": [1.0, 1.1, 0.9], "B": [2.0, 2.2, 1.8]})
    >>> round(found.cov, 3), found.strips, found.boards
    (0.1, 6, 2)
    """
    from scipy.special import gammaincinv

    groups = [np.asarray(checks.number(f"strips of {label}", list(v), 0.0, open_low=True))
              for label, v in boards.items()]
    strips, free = sum(g.size for g in groups), sum(g.size - 1 for g in groups)
    if free < 1:
        raise ValueError(f"strips: {strips} given from {len(groups)} boards; accepted: at least two of one "
                         "board, since scatter within a board is asked for")
    squares = sum(float(np.sum((g / g.mean() - 1) ** 2)) for g in groups)
    low, high = np.sqrt(squares / (2 * gammaincinv(free / 2, (0.95, 0.05))))      # points of chi-square
    return StripScatter(float(np.sqrt(squares / free)), float(low), float(high), strips, len(groups))
