"""Boards of one wood, drawn from the scatter of the tables; or one board, measured."""

from __future__ import annotations

import numpy as np

from tonewood.draws import Array, band
from tonewood.remember import remember
from tonewood.wood.board import Board
from tonewood.wood.species import species
from tonewood.wood.spread import draw_boards

WOOD, MOST, MANY, SEED = "hard maple", 200, 4000, 3


@remember(8)
def moduli(count: int, measured: bool = False, seed: int = SEED) -> Array:
    """Moduli (GPa) of `count` boards; measured: one board bent at 13 GPa, as the measurement leaves it
    uncertain."""
    board = Board(species(WOOD), modulus=13e9) if measured else Board(species(WOOD))
    return 1e-9 * draw_boards([board], count, seed)[0].E_L


def middle_band(measured: bool = False) -> tuple[float, float, float]:
    """(5 %, 50 %, 95 %) of the moduli, GPa."""
    low, middle, high = band(moduli(MANY, measured=measured))
    return float(low), float(middle), float(high)


def share_above(modulus: float) -> float:
    """Share of other boards of the wood that are stiffer than `modulus` (GPa)."""
    return float(np.mean(moduli(MANY, seed=SEED + 1) > modulus))
