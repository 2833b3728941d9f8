"""The shop's own stock: boards that were measured, by wood, and the possible boards of the next neck drawn
towards them.

Each wood's density and modulus are pooled with the published value (bench.pooled); a stripe that was not
measured itself is then one more board of this shop: its middle the same for all stripes of its wood, its own
scatter about it. Weight and stiffness of one board keep the correlation of wood.spread. Movement and loss
stay as published. Source: those modules.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tonewood import checks
from tonewood.bench import measure
from tonewood.bench.pooled import Pooled, pooled
from tonewood.draws import Array, Draws
from tonewood.neck.layup.neck import Neck
from tonewood.remember import remember
from tonewood.wood import moisture as water
from tonewood.wood.climate import workshop
from tonewood.wood.facts import rule

if TYPE_CHECKING:
    from tonewood.bench.log_boards import MeasuredBoard

FEWEST = 2
"""Boards of a wood from which on its estimate is drawn towards them: one alone may be the odd one."""


@dataclass(frozen=True)
class Stock:
    """What a shop measured of one wood: its key; modulus (Pa) and density (kg/m3) of its boards at 12 %
    moisture, each with the label of its tree."""

    wood: str
    moduli: tuple[tuple[str, float], ...] = ()
    densities: tuple[tuple[str, float], ...] = ()

    def pooled(self, quantity: str) -> Pooled:
        """The Pooled of 'modulus' (Pa) or 'density' (kg/m3). Raises ValueError for another."""
        return _pooled(self, checks.choice("quantity", quantity, ("modulus", "density")))

    def enough(self, quantity: str) -> bool:
        """Whether at least FEWEST boards were measured."""
        return len(self.moduli if quantity == "modulus" else self.densities) >= FEWEST


@remember(64)
def _pooled(stock: Stock, quantity: str) -> Pooled:
    read = stock.moduli if quantity == "modulus" else stock.densities
    return pooled(stock.wood, quantity, [value for _, value in read], [tree for tree, _ in read])


def stock_of(boards: Iterable[MeasuredBoard]) -> tuple[Stock, ...]:
    """Stock of each wood among the boards of a log, carried to 12 % moisture (a board whose moisture was not
    measured counts as settled in a workshop at 45 %). Boards whose labels differ only behind the last - are
    of one tree: A7-1 and A7-2. Values out of the range of wood are passed over.

    >>> stock_of([])
    ()
    """
    found: dict[str, dict[str, list[tuple[str, float]]]] = {}
    for board in boards:
        wood = board.species
        if wood is None or wood.one_board:
            continue
        there = found.setdefault(wood.key, {"modulus": [], "density": []})
        moisture = float(workshop().moisture) if board.moisture is None else board.moisture.value
        moisture = min(moisture, wood.fibre_saturation)
        tree = board.label.rpartition("-")[0] or board.label
        if board.modulus is not None:
            E = float(measure.modulus_at_12(board.modulus.value, moisture, wood.green_ratio, wood.mp))
            if checks.MODULUS_LIMITS[0] < E < checks.MODULUS_LIMITS[1]:
                there["modulus"].append((tree, E))
        if board.density is not None:
            rho = float(measure.density_at_12(board.density.value, moisture, wood.swelling))
            if checks.DENSITY_LIMITS[0] < rho < checks.DENSITY_LIMITS[1]:
                there["density"].append((tree, rho))
    return tuple(Stock(wood, tuple(read["modulus"]), tuple(read["density"])) for wood, read in found.items())


def _values(found: Pooled, shared: Array, own: Array, at: NDArray[np.int_]) -> Array:
    """Possible values (D,) of one more board: `at` (D,) chooses the scatter, shared and own are normals."""
    return np.asarray(np.exp(found.means[at] + found.errors[at] * shared + found.scatters[at] * own))


def towards_stock(neck: Neck, plan: Neck, stock: Sequence[Stock], seed: int = 0) -> Neck:
    """The possible necks `neck` (with draws) of a neck of single values `plan`, each board of a wood in stock
    that was not measured itself drawn anew from the shop's own estimate. seed: a whole number.

    >>> from tonewood.neck.layup.neck import example_neck, spread
    >>> boards = tuple((label, 13e9) for label in "abcdefgh")
    >>> drawn = towards_stock(spread(example_neck(), 500), example_neck(), [Stock("hard_maple", boards)])
    >>> round(float(np.median(drawn.pieces[0].modulus)) / 1e9, 1)
    13.7
    """
    if neck.draws is None or not stock:
        return neck
    draws, by_wood = neck.draws, {one.wood: one for one in stock}
    together, pieces = rule("correlation_density_modulus").value, []
    for i, (drawn, single) in enumerate(zip(neck.pieces, plan.pieces, strict=True)):
        mine = by_wood.get(single.species.key)
        if mine is None or single.species.one_board:
            pieces.append(drawn)
            continue
        wood, place = single.species, list(by_wood).index(single.species.key)
        common = np.random.default_rng([seed, 51_000 + place])
        shared = common.standard_normal((2, draws))
        z = np.random.default_rng([seed, 52_000 + i]).standard_normal((2, draws))
        z[1] = together * z[0] + np.sqrt(1 - together**2) * z[1]
        new: dict[str, Draws] = {}
        for k, (quantity, limits) in enumerate((("modulus", checks.MODULUS_LIMITS),
                                                ("density", checks.DENSITY_LIMITS))):
            if getattr(single, quantity) is not None or not mine.enough(quantity):
                continue
            found = mine.pooled(quantity)
            at = common.choice(len(found.weights), draws, p=found.weights)
            here = (water.modulus_at(1.0, wood.green_ratio, single.moisture, wood.mp) if k == 0 else
                    water.density_at(1.0, single.moisture, *wood.swelling))
            new[quantity] = np.clip(_values(found, shared[k], z[k], at) * here, *limits)
        pieces.append(replace(drawn, **new) if new else drawn)  # type: ignore[arg-type]
    return neck.with_pieces(pieces)
