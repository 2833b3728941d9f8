"""One board worked out: what the tables tell about it, and how weighing and bending narrow that."""

from __future__ import annotations

from typing import Any

import numpy as np

from tonewood.bench.knowledge import learn
from tonewood.draws import Array
from tonewood.lesson.shared.shop import ROOM
from tonewood.remember import remember
from tonewood.wood.board import Board
from tonewood.wood.facts import OWN, rule
from tonewood.wood.moisture import equilibrium_band, equilibrium_moisture
from tonewood.wood.species import all_species, origin, species

DRAWS, SEED = 1000, 5


def defaults() -> dict[str, Any]:
    """Start values of the controls."""
    return {"wood": species("wenge").key, "ring_angle": 90.0, "run_out": 0.0, "humidity": 45.0,
            "weighed": False, "density": 900.0, "bent": False, "modulus": 18.0}


def plain_board(wood: str, ring_angle: float, run_out: float, humidity: float, **_: Any) -> Board:
    """The Board of one setting before anything is measured. wood: key; angles in degrees, humidity in %."""
    return Board(species(wood), np.radians(ring_angle), np.radians(run_out),
                 moisture=equilibrium_moisture(ROOM, humidity / 100))


def readings(weighed: bool, density: float, bent: bool, modulus: float, **_: Any) -> dict[str, float | None]:
    """What was measured, as bench.knowledge takes it: {'modulus': Pa or None, 'density': kg/m³ or None}."""
    return {"modulus": 1e9 * modulus if bent else None, "density": density if weighed else None}


@remember(64)
def learned(wood: str, ring_angle: float, run_out: float, humidity: float, modulus: float | None = None,
            density: float | None = None) -> Board:
    """The board as draws, after these readings (Pa, kg/m³)."""
    return learn(plain_board(wood, ring_angle, run_out, humidity), modulus, density, DRAWS, SEED)


def gauge_draws(values: dict[str, Any], measured: bool = True) -> list[Array]:
    """Draws of the six gauges in their own units; measured: with the readings."""
    own = {name: values[name] for name in ("wood", "ring_angle", "run_out", "humidity")}
    drawn, air = learned(**own, **readings(**values) if measured else {}), (ROOM, own["humidity"] / 100)
    low, high = equilibrium_band(*air)
    # as many of each, so that the points of the 90 % band fall on them
    moisture = 100 * np.repeat([low, float(equilibrium_moisture(*air)), high], 9)
    swelling = drawn.swelling_xyz
    return [1e-9 * drawn.E_x, drawn.rho, moisture, swelling[:, 1, 1], swelling[:, 2, 2], 1e3 * drawn.eta]


def printed(board: Board) -> tuple[Array, Array]:
    """(moduli along the board in GPa, densities in kg/m³) that the sources read for this wood give, one of
    each source, carried to the board's moisture."""
    wood = board.species

    def read(key: str) -> Array:
        every = (wood.fact(key), *wood.alternatives.get(key, ()))
        first: dict[str, float] = {}
        for fact in every:
            if fact.source not in ("memory", OWN) and fact.place != "rules.csv":
                first.setdefault(origin(fact), fact.value)
        return np.array(list(first.values()))

    return (read("bending_modulus") * rule("longitudinal_modulus").value
            * (board.E_x / (1e-9 * wood.modulus)) * 1e-9, read("density") * (board.rho / wood.density))


@remember(1)
def all_woods() -> list[Array]:
    """Modulus at 12 % (Pa), green ratio, moisture exponent's end and density (kg/m³) of every wood."""
    return [np.array([getattr(w, name) for w in all_species()])
            for name in ("modulus", "green_ratio", "mp", "density")]
