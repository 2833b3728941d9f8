"""One measured board: what the builder read of it, and what that leaves of the tables' uncertainty.

Readings are those of the board as it lies there, at its moisture and along its own length. They are carried
to straight grain and 12 % moisture (bench.measure, wood.elastic), their uncertainties with them to first
order, and meet what the tables say of the wood (bench.knowledge: Bayes for joint normal errors). The result
is an own wood (wood.own) that scatters as little as is left open, and stands wherever a wood is named.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from tonewood import checks
from tonewood.bench import measure
from tonewood.bench.knowledge import Knowledge, after, from_tables
from tonewood.wood import loss as damping
from tonewood.wood.board import Board
from tonewood.wood.facts import rule
from tonewood.wood.own import OwnWood
from tonewood.wood.species import Species, species

USUAL = {"modulus_u": "modulus_error", "density_u": "density_error"}


@dataclass(frozen=True, kw_only=True)
class OwnBoard:
    """One board as measured; None: not measured. Each number with its standard uncertainty (…_u).

    label: what is written on it; wood: name or key of its wood. density (kg/m3), modulus (Pa, along the
    board, of a slow bend), twist_modulus (Pa, mean of G_LR and G_LT) and loss (loss factor along the board)
    at `moisture` (fraction); their uncertainties are relative (None: the rules density_error, modulus_error;
    5 % for twist and loss, judgement). moisture_u: fraction; ring_angle, run_out, slope and their
    uncertainties: rad. Raises ValueError.
    """

    label: str
    wood: str
    moisture: float
    moisture_u: float = 0.01
    density: float | None = None
    density_u: float = None  # type: ignore[assignment]     # filled in from the rule
    modulus: float | None = None
    modulus_u: float = None  # type: ignore[assignment]
    twist_modulus: float | None = None
    twist_u: float = 0.05
    loss: float | None = None
    loss_u: float = 0.05
    ring_angle: float = 0.0
    run_out: float = 0.0
    run_out_u: float = 0.0
    slope: float = 0.0
    slope_u: float = 0.0

    def __post_init__(self) -> None:
        wood = species(self.wood)
        if wood.one_board:
            raise ValueError(f"wood of the board: {wood.name!r} is a board itself; accepted: a wood of the "
                             "tables or an own wood")
        object.__setattr__(self, "wood", wood.key)
        checks.fraction("uncertainty of the moisture", self.moisture_u, high=0.05)
        for name, rule_name in USUAL.items():
            if getattr(self, name) is None:
                object.__setattr__(self, name, rule(rule_name).value)
        for name in ("density_u", "modulus_u", "twist_u", "loss_u"):
            checks.fraction(f"uncertainty of {name[:-2]}", getattr(self, name), high=0.5, open_low=True)
        for name in ("run_out_u", "slope_u"):
            checks.angle(f"uncertainty of {name[:-2].replace('_', '-')}", getattr(self, name), 0.2)
        if self.twist_modulus is not None:
            checks.number("twist modulus", self.twist_modulus, 5e7, 2e10, "Pa", lambda v:
                          f"Did you mean {v:g} GPa, that is {1e9 * v:g} Pa?" if 0 < v < 100 else None)
        if self.loss is not None:
            checks.number("loss factor", self.loss, 0.0, 0.5, "", lambda v:
                          f"Thousandths? Give {v / 1000:g}" if 0.5 < v < 500 else None, open_low=True)
        self._board(self.moisture), self.at_12                              # refuse what no board has

    def _board(self, moisture: float) -> Board:
        return Board(species(self.wood), self.ring_angle, self.run_out, self.slope, moisture=moisture)

    @property
    def species(self) -> Species:
        """The wood it is."""
        return species(self.wood)

    @property
    def tables(self) -> Knowledge:
        """What the tables alone tell of it: straight grain, 12 % moisture."""
        return from_tables(Board(self.species, moisture=0.12))

    @property
    def at_12(self) -> dict[str, tuple[float, float]]:
        """{reading: (value in SI units, relative standard uncertainty)} of what was read, for straight grain
        at 12 % moisture, the doubts of moisture and grain in it."""
        wood, out = self.species, {}
        if self.density is not None:
            rho = checks.density("density", self.density)
            out["density"] = self._carried(self.density_u, lambda m, dive, sweep: (
                measure.density_at_12(rho, m, wood.swelling)))
        if self.modulus is not None:
            E, ratio, mp = checks.modulus("modulus along the board", self.modulus), wood.green_ratio, wood.mp
            out["modulus"] = self._carried(self.modulus_u, lambda m, dive, sweep: (
                measure.modulus_at_12(E, m, ratio, mp) / self._along(dive, sweep)))
        return out

    def _along(self, dive: float, sweep: float) -> float:
        """Modulus along the board over that along the grain."""
        board = Board(self.species, self.ring_angle, dive, sweep, moisture=0.12)
        return float(board.E_x / board.E_L)

    def _carried(self, own: float, value: Callable[[float, float, float], Any]) -> tuple[float, float]:
        """A reading carried to the standard state, and its relative uncertainty with what moisture and grain
        add, each by itself."""
        here = (self.moisture, self.run_out, self.slope)
        middle, squares = float(value(*here)), own**2
        for k, doubt in enumerate((self.moisture_u, self.run_out_u, self.slope_u)):
            if doubt:
                moved = list(here)
                moved[k] = min(here[k] + doubt, 0.28) if k == 0 else here[k] + doubt
                squares += (float(value(*moved)) / middle - 1) ** 2
        return middle, float(np.sqrt(squares))

    @property
    def known(self) -> Knowledge:
        """What is known after the readings: straight grain, 12 % moisture."""
        return after(self.tables, **self._read())

    @property
    def fit(self) -> float:
        """Share of its wood's boards that lie at least as far from the middle as it does, 0 to 1."""
        return self.tables.outside(**self._read())

    def _read(self) -> dict[str, Any]:
        """The readings at 12 % as bench.knowledge takes them, and their errors."""
        read = self.at_12
        return {name: value for name, (value, _) in read.items()} | {
            "errors": tuple(read.get(name, (0.0, 1.0))[1] for name in ("modulus", "density"))}

    def own(self) -> OwnWood:
        """The board as an own wood, to be kept (wood.own.keep). Raises ValueError.
        >>> board = OwnBoard(label="Mill maple 3", wood="hard maple", moisture=0.08, modulus=13e9)
        >>> wood = board.own().wood()
        >>> round(1e-9 * wood.modulus, 2), round(wood.cov_modulus, 3), wood.status("density")
        (12.43, 0.032, 'estimated')
        """
        known, read = self.known, self.at_12
        var = np.diag(known.covariance)
        E_L, rho = np.exp(known.mean + var / 2)                     # the mean of what a lognormal leaves open
        scatter = np.sqrt(np.expm1(var))
        given: dict[str, Any] = {}
        if read:
            given = {"modulus_error": float(scatter[0]), "density_error": float(scatter[1]),
                     "correlation": float(known.covariance[0, 1] / np.sqrt(var.prod())),
                     "E_L": float(E_L), "density": float(rho),
                     "follows": tuple(n for n, key in (("E_L", "modulus"), ("density", "density"))
                                      if key not in read)}
        if self.twist_modulus is not None:
            given |= self._shear()
        if self.loss is not None:
            at_12 = float(self.loss / damping.loss_at(1.0, self.moisture))
            given |= {"loss": at_12, "loss_error": self.loss_u}
        return OwnWood(name=self.label, like=self.wood, one_board=True, ring_angle=self.ring_angle,
                       run_out=self.run_out, slope=self.slope, **given)

    def _shear(self) -> dict[str, float]:
        """G_LR and G_LT (Pa) at 12 %, in the proportion that the wood has."""
        e, twist = self.species.elastic, measure.modulus_at_12(
            float(self.twist_modulus or 0.0), self.moisture, self.species.green_ratio, self.species.mp)
        times = float(twist / ((e.G_LR + e.G_LT) / 2))
        return {"G_LR": float(e.G_LR * times), "G_LT": float(e.G_LT * times)}


SHEAR = 3.0
"""A board's shear modulus that lies further from its wood's, as a factor, is a slip: judgement."""


def twist_expected(board: Board, mass: float, length: float, width: float, thickness: float) -> float:
    """The lowest twisting tone (Hz) of a free board (mass in kg, sizes in m) with the shear modulus of its
    wood, at its moisture. Raises ValueError. Source: measure.twist_modulus.

    >>> board = Board(species("hard maple"), moisture=0.085)
    >>> round(twist_expected(board, 0.571, 0.6, 0.062, 0.022))
    660
    """
    G = (board.elastic.G_LR + board.elastic.G_LT) / 2
    return float(100 * np.sqrt(G / measure.twist_modulus(mass, 100.0, length, width, thickness)))


def _twisted(board: Board, mass: float, twist: float, tone: float | None, sizes: dict[str, float]) -> float:
    """Shear modulus (Pa) from the twist tone (Hz). Raises ValueError where no board of this wood and size
    twists like that, with the likely slip: `tone` is its bending tone."""
    there = twist_expected(board, mass, **sizes)
    given = float(checks.frequency("twist tone", twist, 5.0, 20000.0))
    low, high = there / SHEAR**0.5, there * SHEAR**0.5
    if not low <= given <= high:
        hint = "Is it another tone, or a size in another unit?"
        if tone is not None and low <= tone <= high:
            hint = f"Are bending tone ({tone:g} Hz) and twist tone exchanged?"
        elif low <= 1000 * given <= high:
            hint = f"Kilohertz? {given:g} kHz is {1000 * given:g} Hz"
        elif given < low:
            hint = ("Is it the bending tone? Rest the board on the middle of its length and width, and tap a "
                    "corner")
        raise ValueError(f"twist tone: {given:g} Hz given; accepted: {low:.0f} to {high:.0f} Hz for a board "
                         f"of {board.species.name} of this size and weight. {hint}")
    return float(measure.twist_modulus(mass, given, **sizes))


def measured_board(label: str, wood: str, *, mass: float | None = None, length: float, width: float,
                   thickness: float, moisture: float, tone: float | None = None, tone_u: float = 0.002,
                   bend: tuple[float, float, float] | None = None, twist_tone: float | None = None,
                   size_u: float = 0.005, **more: Any) -> OwnBoard:
    """An OwnBoard from what scale, caliper, dial and tuner say: mass (kg; None: not weighed), length, width
    and thickness (m), moisture (fraction), lowest tap tone (Hz) and its relative uncertainty, bend: (load in
    N, deflection in m, span in m), twist_tone (Hz). size_u: relative uncertainty of the thickness; more:
    further fields of OwnBoard. A tap is brought to the level of a slow bend (rule tap_over_bend, with its
    scatter); where both were done, they are averaged by their weights, and doubted by half of what they lie
    apart. Raises ValueError. Source: bench.measure.
    >>> found = measured_board("3", "hard maple", mass=0.395, length=0.5, width=0.05, thickness=0.022,
    ...                        moisture=0.085, tone=420.0)
    >>> round(found.density), round(1e-9 * found.modulus, 2), round(found.modulus_u, 3)
    (718, 14.49, 0.031)
    """
    grain = {name: more.get(name, 0.0) for name in ("ring_angle", "run_out", "slope")}
    board = Board(species(wood), *grain.values(), moisture=moisture)
    ratio = float(board.E_x / board.G_xz)
    sizes = {"length": length, "width": width, "thickness": thickness}
    doubt = {"thickness": size_u, "mass": 0.001}
    given: dict[str, Any] = {}
    if mass is not None:
        given = {"density": measure.density(mass, **sizes),
                 "density_u": float(measure.uncertainty("density", width=0.002, **doubt))}
    elif tone is not None or twist_tone is not None:
        raise ValueError("mass: nothing given; accepted: the board's mass in kg. A tone says nothing without "
                         "the weight")
    if twist_tone is not None and mass is not None:
        given["twist_modulus"] = _twisted(board, mass, twist_tone, tone, sizes)
    found: list[tuple[float, float]] = []
    if tone is not None and mass is not None:
        excess = rule("tap_over_bend")
        read = measure.tap_modulus(mass, tone, **sizes, ratio=ratio) / excess.value
        error = float(measure.uncertainty("tap", frequency=tone_u, width=0.002, **doubt))
        found.append((float(read), float(np.hypot(error, (excess.sd or 0.0) / excess.value))))
    if bend is not None:
        load, deflection, span = bend
        read = measure.bend_modulus(load, deflection, span, width, thickness, ratio=ratio)
        found.append((float(read), rule("modulus_error").value))
    low, high = checks.MODULUS_LIMITS
    for E, _ in found:
        if not low <= E <= high:
            raise ValueError(f"modulus from these readings: {1e-9 * E:.3g} GPa; accepted: {1e-9 * low:g} to "
                             f"{1e-9 * high:g} GPa. Is the tone another one than the lowest, or a size in "
                             "another unit?")
    if found:
        weights = np.array([1 / u**2 for _, u in found])
        middle = float(np.exp(weights @ np.log([E for E, _ in found]) / weights.sum()))
        apart = abs(np.log(found[0][0] / found[-1][0])) / 2
        # both hang on one thickness, and where they quarrel neither can be trusted to its own error
        given |= {"modulus": middle, "modulus_u": float(max(weights.sum() ** -0.5, 3 * size_u,
                                                              min(apart, 0.5)))}
    return OwnBoard(label=label, wood=wood, moisture=moisture, **{**given, **more})
