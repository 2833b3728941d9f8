"""What is known about one board: from its wood's tables alone, and after it was weighed or bent; and which woods a measured board may be.

Stiffness and density of a wood's boards are taken as jointly lognormal, with the scatter and the correlation of wood.spread. Measuring then narrows
both by the rules for joint normal errors (Bayes); weighing tells a little about stiffness, bending a little about density.
"""

from dataclasses import dataclass, replace

import numpy as np

from tonewood import checks
from tonewood.wood.board import Board
from tonewood.wood.facts import rule
from tonewood.wood.species import all_species
from tonewood.wood.spread import draw_boards

DENSITY_ERROR, MODULUS_ERROR = 0.01, 0.03
"""Relative standard uncertainty of weighing and measuring with a caliper, and of a careful bend: estimated. Reading errors alone make about 2 % of a bend
(bench.measure.uncertainty); supports that give and boards that are not even are added by judgement."""


@dataclass(frozen=True)
class Knowledge:
    """Joint normal of (ln modulus along the board, ln density), SI units: mean (2,), covariance (2, 2)."""

    mean: np.ndarray
    covariance: np.ndarray

    @property
    def middle(self):
        """(modulus in Pa, density in kg/m3) in the middle of what is known."""
        return tuple(np.exp(self.mean))

    @property
    def spread(self):
        """Relative standard deviations of modulus and density (of their logarithms)."""
        return tuple(np.sqrt(np.diag(self.covariance)))

    def ellipse(self, share=0.90, points=73):
        """Outline that holds `share` of such boards: (modulus (points,), density (points,))."""
        radius = np.sqrt(-2 * np.log1p(-checks.number("share", share, 0.0, 1.0, open_low=True, open_high=True)))
        turn = np.linspace(0, 2 * np.pi, points)
        circle = radius * np.stack([np.cos(turn), np.sin(turn)])
        out = np.exp(self.mean[:, None] + np.linalg.cholesky(self.covariance) @ circle)
        return out[0], out[1]

    def outside(self, modulus=None, density=None, errors=(MODULUS_ERROR, DENSITY_ERROR)):
        """Share of boards that differ from the middle by at least as much as these readings do, 0 to 1 (chi-square); 1 when nothing was read."""
        H, y, R = _readings(modulus, density, errors)
        if not len(y):
            return 1.0
        gap = y - H @ self.mean
        distance = gap @ np.linalg.solve(H @ self.covariance @ H.T + R, gap)
        return float(np.exp(-distance / 2)) if len(y) == 2 else float(_two_sided(np.sqrt(distance)))


def _two_sided(z):
    from math import erfc
    return erfc(z / np.sqrt(2))


def _readings(modulus, density, errors):
    """Which of the two was read: selection H (n, 2), logarithms y (n,), error covariance R (n, n)."""
    rows = [(i, value, error) for i, (value, error) in enumerate(zip((modulus, density), errors)) if value is not None]
    H = np.zeros((len(rows), 2))
    for k, (i, _, _) in enumerate(rows):
        H[k, i] = 1.0
    return H, np.log([value for _, value, _ in rows]), np.diag([error**2 for *_, error in rows]).reshape(len(rows), len(rows))


def _checked(modulus, density):
    if modulus is not None:
        checks.number("modulus along the board", modulus, 1e9, 60e9, "Pa", lambda v: f"Did you mean {v:g} GPa, that is {v * 1e9:g} Pa?" if v < 100 else None)
    if density is not None:
        checks.number("density", density, 50.0, 1500.0, "kg/m3", lambda v: f"Did you mean {1000 * v:g} kg/m3?" if v < 2 else None)


def from_tables(board):
    """What the tables alone tell about a Board of single values without own measurements: Knowledge of its modulus along the board (run-out
    included) and density at its moisture. Raises ValueError. Scatter and correlation: wood.spread."""
    if not isinstance(board, Board) or board.draws is not None or board.modulus is not None or board.density is not None:
        raise ValueError("board: one of single values and without own modulus or density is expected; give the readings to `learn`")
    wood = board.species
    board_var, source_var, density_var = (np.log1p(c**2) for c in (wood.cov_modulus, wood.cov_modulus_sources, wood.cov_density))
    shared = rule("correlation_density_modulus").value * np.sqrt(board_var * density_var)
    mean = np.array([np.log(board.E_x) - (board_var + source_var) / 2, np.log(board.rho) - density_var / 2])
    return Knowledge(mean, np.array([[board_var + source_var, shared], [shared, density_var]]))


def after(known, modulus=None, density=None, errors=(MODULUS_ERROR, DENSITY_ERROR)):
    """Knowledge after a modulus along the board (Pa) and/or a density (kg/m3) were read, each with its relative error. Raises ValueError.

    Source: conditioning of a joint normal distribution.
    """
    _checked(modulus, density)
    H, y, R = _readings(modulus, density, errors)
    if not len(y):
        return known
    gain = known.covariance @ H.T @ np.linalg.inv(H @ known.covariance @ H.T + R)
    return Knowledge(known.mean + gain @ (y - H @ known.mean), known.covariance - gain @ H @ known.covariance)


def learn(board, modulus=None, density=None, draws=1000, seed=0, errors=(MODULUS_ERROR, DENSITY_ERROR)):
    """The possible boards that are left: Board with draws, as draw_boards gives them, each moved towards the readings.

    board: Board of single values; modulus (Pa, along the board, run-out included) and density (kg/m3): readings at the board's moisture, or None.
    Swelling and damping stay as wide as the tables leave them. Raises ValueError. Source: conditioning by kriging of each draw (Matheron's rule).
    """
    known = from_tables(board)
    _checked(modulus, density)
    drawn = draw_boards([board], draws, seed)[0]
    H, y, R = _readings(modulus, density, errors)
    if not len(y):
        return drawn
    along = board.E_x / board.E_L
    x = np.stack([np.log(drawn.E_L * along), np.log(drawn.rho)])
    error = np.sqrt(np.diag(R))[:, None] * np.random.default_rng([seed, 30_000]).standard_normal((len(y), draws))
    gain = known.covariance @ H.T @ np.linalg.inv(H @ known.covariance @ H.T + R)
    x = x + gain @ (y[:, None] + error - H @ x)
    # Within what Board accepts: readings far off the wood's own leave draws that no board has.
    return replace(drawn, modulus=np.clip(np.exp(x[0]) / along, 1e9, 60e9), density=np.clip(np.exp(x[1]), 50.0, 1500.0))


@dataclass(frozen=True)
class Fit:
    """How well one wood fits a measured board: share of its boards that lie at least as far from its middle (0 to 1); fits: at least one in ten."""

    species: object
    share: float

    @property
    def fits(self):
        """True when the board lies where 90 of 100 of that wood's boards lie."""
        return self.share >= 0.10


def which_woods(modulus=None, density=None, moisture=0.08, errors=(MODULUS_ERROR, DENSITY_ERROR), woods=None):
    """Every wood of the tables, best fit first, for a straight-grained board with this modulus (Pa, slow bend) and density (kg/m3) at `moisture`.

    A fit is no name: colour, pores, rings and smell name a wood, weight and stiffness only exclude. Returns tuple of Fit. Raises ValueError.
    """
    _checked(modulus, density)
    if modulus is None and density is None:
        raise ValueError("readings: none given; accepted: a modulus, a density, or both")
    found = [Fit(wood, from_tables(Board(wood, moisture=moisture)).outside(modulus, density, errors)) for wood in (woods or all_species())]
    return tuple(sorted(found, key=lambda fit: -fit.share))
