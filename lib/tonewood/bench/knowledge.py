"""What is known about one board: from its wood's tables alone, and after it was weighed or bent; and which
woods a measured board may be.

Stiffness and density of a wood's boards are taken as jointly lognormal, with the scatter and the correlation
of wood.spread. Measuring then narrows both by the rules for joint normal errors (Bayes); weighing tells a
little about stiffness, bending a little about density. Readings are SI: modulus along the board (Pa, run-out
included), density (kg/m3), at the board's moisture; `errors` are their relative standard uncertainties
(modulus, density), the rules modulus_error and density_error if None.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import erfc

import numpy as np

from tonewood import checks
from tonewood.draws import Array
from tonewood.wood.board import Board
from tonewood.wood.elastic import MODULI
from tonewood.wood.facts import rule
from tonewood.wood.species import Species, all_species
from tonewood.wood.spread import draw_boards, filled_ratios, scattered

Errors = tuple[float, float] | None


@dataclass(frozen=True)
class Knowledge:
    """Joint normal of (ln modulus along the board, ln density), SI units: mean (2,), covariance (2, 2)."""

    mean: Array
    covariance: Array

    @property
    def middle(self) -> tuple[float, float]:
        """(modulus in Pa, density in kg/m3) in the middle of what is known."""
        modulus, density = np.exp(self.mean)
        return modulus, density

    @property
    def spread(self) -> tuple[float, float]:
        """Relative standard deviations of modulus and density (of their logarithms)."""
        modulus, density = np.sqrt(np.diag(self.covariance))
        return modulus, density

    def ellipse(self, share: float = 0.90, points: int = 73) -> tuple[Array, Array]:
        """Outline that holds `share` of such boards: (modulus (points,), density (points,)). Raises
        ValueError.
        >>> Knowledge(np.zeros(2), np.eye(2)).ellipse(0.9, 5)[0].round(3).tolist()
        [8.55, 1.0, 0.117, 1.0, 8.55]
        """
        radius = np.sqrt(-2 * np.log1p(-checks.fraction("share", share, open_low=True, open_high=True)))
        turn = np.linspace(0, 2 * np.pi, points)
        circle = radius * np.stack([np.cos(turn), np.sin(turn)])
        modulus, density = np.exp(self.mean[:, None] + np.linalg.cholesky(self.covariance) @ circle)
        return modulus, density

    def outside(self, modulus: float | None = None, density: float | None = None,
                errors: Errors = None) -> float:
        """The share of boards that differ from the middle by at least as much as these readings do, 0 to 1
        (chi-square); 1 when nothing was read. Raises ValueError.
        >>> known = from_tables(Board(all_species()[0]))
        >>> round(known.outside(*known.middle), 3)
        1.0
        """
        H, y, R = _readings(modulus, density, errors)
        if not len(y):
            return 1.0
        gap = y - H @ self.mean
        distance = gap @ np.linalg.solve(H @ self.covariance @ H.T + R, gap)
        return float(np.exp(-distance / 2)) if len(y) == 2 else float(erfc(np.sqrt(distance) / np.sqrt(2)))


def _readings(modulus: float | None, density: float | None, errors: Errors) -> tuple[Array, Array, Array]:
    """Which of the two was read: selection H (n, 2), logarithms y (n,), error covariance R (n, n). Checks
    both."""
    if modulus is not None:
        checks.modulus("modulus along the board", modulus)
    if density is not None:
        checks.density("density", density)
    errors = errors or (rule("modulus_error").value, rule("density_error").value)
    read = [i for i, value in enumerate((modulus, density)) if value is not None]
    y = np.log([value for value in (modulus, density) if value is not None])
    return np.eye(2)[read], y, np.diag([errors[i] ** 2 for i in read]).reshape(len(read), len(read))


def _gain(known: Knowledge, H: Array, R: Array) -> Array:
    """How far each reading moves what is known, (2, n). Source: conditioning of a joint normal
    distribution."""
    return known.covariance @ H.T @ np.linalg.inv(H @ known.covariance @ H.T + R)


def from_tables(board: Board) -> Knowledge:
    """What the tables alone tell about a Board of single values without own measurements: its modulus along
    the board (Pa, run-out included) and density (kg/m3) at its moisture. Raises ValueError. Scatter and
    correlation: wood.spread.
    >>> round(from_tables(Board(all_species()[0])).middle[1])
    692
    """
    if not isinstance(board,
                      Board) or any(v is not None for v in (board.draws, board.modulus, board.density)):
        raise ValueError("board: one of single values and without own modulus or density is expected; "
                         "give the readings to `learn`")
    wood = board.species
    board_var, source_var, density_var = (np.log1p(c**2) for c in
                                          (wood.cov_modulus, wood.cov_modulus_sources, wood.cov_density))
    shared = wood.correlation * np.sqrt(board_var * density_var)
    shift, rule_var = _of_the_rules(board)
    mean = np.array([np.log(board.E_x) - (board_var + source_var) / 2 + shift,
                     np.log(board.rho) - density_var / 2])
    return Knowledge(mean, np.array([[board_var + source_var + rule_var, shared], [shared, density_var]]))


def _of_the_rules(board: Board) -> tuple[float, float]:
    """(shift, variance) that filled moduli give the logarithm of the modulus along a board whose grain leaves
    it, to first order over one standard deviation either way."""
    cov = filled_ratios(board.species)
    if not cov or not (board.run_out or board.slope):
        return 0.0, 0.0
    z = np.concatenate([np.zeros((len(MODULI), 1)), np.eye(len(MODULI)), -np.eye(len(MODULI))], 1)
    drawn = scattered(board.species.elastic, z, [cov.get(name, 0.0) for name in MODULI])
    along = np.log(replace(board, constants=drawn).E_x / board.E_x)
    slopes = (along[1:1 + len(MODULI)] - along[1 + len(MODULI):]) / 2
    return float(along[0]), float(slopes @ slopes)


def after(known: Knowledge, modulus: float | None = None, density: float | None = None,
          errors: Errors = None) -> Knowledge:
    """Knowledge after a modulus (Pa) and/or a density (kg/m3) were read. Raises ValueError. Source:
    conditioning of a joint normal.
    >>> round(float(after(from_tables(Board(all_species()[0])), modulus=12e9).spread[0]), 3)
    0.029
    """
    H, y, R = _readings(modulus, density, errors)
    if not len(y):
        return known
    gain = _gain(known, H, R)
    return Knowledge(known.mean + gain @ (y - H @ known.mean), known.covariance - gain @ H @ known.covariance)


def learn(board: Board, modulus: float | None = None, density: float | None = None, draws: int = 1000,
          seed: int = 0,
          errors: Errors = None) -> Board:
    """The possible boards that are left: Board with draws, as draw_boards gives them, each moved towards the
    readings.

    board: Board of single values; modulus (Pa) and density (kg/m3): readings, or None. Swelling and damping
    stay as wide as the tables leave them. Raises ValueError. Source: conditioning by kriging of each draw
    (Matheron's rule).
    >>> learn(Board(all_species()[0]), modulus=12e9, draws=50).modulus.shape
    (50,)
    """
    known = from_tables(board)
    H, y, R = _readings(modulus, density, errors)
    drawn = draw_boards([board], draws, seed)[0]
    if not len(y):
        return drawn
    along = drawn.E_x / drawn.E_L
    x = np.stack([np.log(drawn.E_x), np.log(drawn.rho)])
    error = np.sqrt(np.diag(R))[:,
                                None] * np.random.default_rng([seed, 30_000]).standard_normal((len(y), draws))
    x = x + _gain(known, H, R) @ (y[:, None] + error - H @ x)
    # Within what Board accepts: readings far off the wood's own leave draws that no board has.
    return replace(drawn, modulus=np.clip(np.exp(x[0]) / along, *checks.MODULUS_LIMITS),
                   density=np.clip(np.exp(x[1]), *checks.DENSITY_LIMITS))


@dataclass(frozen=True)
class Fit:
    """How well one wood fits a measured board: share of its boards that lie at least as far from its middle
    (0 to 1); fits: at least one in ten."""

    species: Species
    share: float

    @property
    def fits(self) -> bool:
        """True when the board lies where 90 of 100 of that wood's boards lie."""
        return self.share >= 0.10


def which_woods(modulus: float | None = None, density: float | None = None, moisture: float = 0.08,
                errors: Errors = None) -> tuple[Fit, ...]:
    """Every wood of the tables, best fit first, for a straight-grained board with this modulus (slow bend,
    Pa) and density (kg/m3) at `moisture` (a fraction). A fit is no name:
    weight and stiffness only exclude. Raises ValueError.
    >>> which_woods(density=160.0)[0].species.name
    'balsa'
    """
    if modulus is None and density is None:
        raise ValueError("readings: none given; accepted: a modulus, a density, or both")
    found = [Fit(wood, from_tables(Board(wood, moisture=moisture)).outside(modulus, density, errors))
             for wood in all_species()]
    return tuple(sorted(found, key=lambda fit: -fit.share))
