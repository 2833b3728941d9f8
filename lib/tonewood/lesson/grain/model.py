"""One board and its three angles (degrees, they broadcast): stiffness along and across, movement, damping."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np

from tonewood.draws import Array, Draws, band
from tonewood.lesson.shared.shop import NECK_12, ROOM, shop_moisture
from tonewood.remember import remember
from tonewood.wood.elastic import Elastic, hankinson, modulus_along, orientation
from tonewood.wood.facts import rule
from tonewood.wood.loss import Losses, losses, off_axis_loss
from tonewood.wood.moisture import equilibrium_moisture
from tonewood.wood.ratios import draw_ratios
from tonewood.wood.species import Species, species
from tonewood.wood.spread import filled_ratios, mean_keeping_factor

SHOP = 45.0
"""Relative humidity (%) the blank comes from, as that of every lesson."""
WIDTH, THICKNESS = 60.0, 25.0
"""Of the blank, mm."""
DRAWS, SEED = 200, 7
RUN_OUTS, RINGS = np.arange(0, 15.01, 0.5), np.arange(0, 90.1, 2.5)


def defaults() -> dict[str, Any]:
    """Start values of the controls: the main wood of neck No. 12 as it is sawn."""
    main = NECK_12.stripes[0]
    return {"wood": main.wood, "ring_angle": float(np.degrees(main.ring_angle)), "run_out": 0.0, "slope": 0.0,
            "exponent": 2.0, "home": 30.0}


def _axes(ring_angle: Draws, run_out: Draws, slope: Draws) -> Array:
    return orientation(*(np.radians(angle) for angle in (ring_angle, run_out, slope)))


def along(elastic: Elastic, ring_angle: Draws, run_out: Draws, slope: Draws) -> Draws:
    """Modulus along the board over that along its grain; draws of `elastic` come first."""
    return _ratio(elastic, _axes(ring_angle, run_out, slope)[..., 0, :])


def across(elastic: Elastic, ring_angle: Draws, run_out: Draws, slope: Draws) -> tuple[Draws, Draws]:
    """(width, thickness): moduli across the board over that along the grain."""
    Q = _axes(ring_angle, run_out, slope)
    return _ratio(elastic, Q[..., 1, :]), _ratio(elastic, Q[..., 2, :])


def _ratio(elastic: Any, direction: Array) -> Draws:
    if np.ndim(elastic.E_L):        # draws down, angles along
        elastic = SimpleNamespace(**{k: np.asarray(v)[:, None] for k, v in vars(elastic).items()})
        direction = direction.reshape(-1, 3)
    return modulus_along(elastic, direction) / elastic.E_L


def shortcut(elastic: Elastic, ring_angle: Draws, run_out: Draws, slope: Draws, exponent: float) -> Draws:
    """The Hankinson value of the same ratio: from the angle between grain and board and the modulus straight
    across the grain in that tilt."""
    direction = _axes(ring_angle, run_out, slope)[..., 0, :]
    angle = np.arccos(np.clip(direction[..., 0], -1, 1))
    sideways = direction[..., 1:]
    length = np.linalg.norm(sideways, axis=-1, keepdims=True)
    unit = np.where(length > 1e-9, sideways / np.maximum(length, 1e-9), [1.0, 0.0])
    E_across = modulus_along(elastic, np.concatenate([np.zeros_like(length), unit], -1))
    return hankinson(elastic.E_L, E_across, angle, exponent) / elastic.E_L


def loss_along(wood: Species, ring_angle: Draws, run_out: Draws, slope: Draws) -> tuple[Draws, ...]:
    """(low, middle, high) of the loss factor along the board over that along its grain: the stated range."""
    direction = _axes(ring_angle, run_out, slope)[..., 0, :]
    R, LR = (rule(f"loss_{wood.group}_{name}_ratio") for name in ("R", "LR"))
    each = (Losses(1.0, R.low, R.low, LR.low, LR.low, R.low), losses(0.5, wood.group),
            Losses(1.0, R.high, R.high, LR.high, LR.high, R.high))
    return tuple(off_axis_loss(wood.elastic, direction, None, each=one) / one.L for one in each)


def moves(wood: Species, ring_angle: Draws, change: float, draws: int = 0) -> tuple[Draws, Draws]:
    """(width, thickness) change (mm) of a straight-grained blank for a `change` of moisture (fraction); with
    draws, both (D, angles)."""
    _, C_R, C_T = wood.swelling
    if draws:
        z = np.random.default_rng([SEED, 6]).standard_normal((2, draws, 1))
        scatter = np.hypot(wood.cov_swelling, wood.cov_movement_rule)
        C_R, C_T = (C * mean_keeping_factor(x, scatter) for C, x in zip((C_R, C_T), z, strict=True))
    s2 = np.sin(np.radians(ring_angle)) ** 2
    return WIDTH * change * (C_R * s2 + C_T * (1 - s2)), THICKNESS * change * (C_T * s2 + C_R * (1 - s2))


def moisture_change(home: float) -> float:
    """Change of moisture (fraction) from the shop to `home` (% humidity), both at 20 °C and fully settled."""
    return float(equilibrium_moisture(ROOM, home / 100)) - shop_moisture(SHOP / 100)


@remember(64)
def drawn_ratios(wood: str) -> Elastic:
    """The elastic constants of boards of a wood (key), as draws; with the rule's scatter where one filled
    them."""
    found = species(wood)
    return draw_ratios(found.elastic, DRAWS, SEED, filled=filled_ratios(found))


def seven(wood: str, ring_angle: float, run_out: float, slope: float, exponent: float, home: float,
          run_outs: Draws, rings: Draws) -> list[Draws]:
    """The curves of the figure: over `run_outs` stiffness along and its shortcut (% of straight grain); over
    `rings` stiffness across in width and thickness (% of along the grain) and their movement (mm); over
    `run_outs` the damping (% of straight grain)."""
    found = species(wood)
    e = found.elastic
    return [100 * along(e, ring_angle, run_outs, slope),
            100 * shortcut(e, ring_angle, run_outs, slope, exponent),
            *(100 * v for v in across(e, rings, run_out, slope)), *moves(found, rings, moisture_change(home)),
            100 * loss_along(found, ring_angle, run_outs, slope)[1]]


def bands(wood: str, ring_angle: float, run_out: float, slope: float, exponent: float,
          home: float) -> list[Array]:
    """(5 %, 50 %, 95 %) of the curves but the shortcut over RUN_OUTS or RINGS; of the damping its range."""
    found, drawn = species(wood), drawn_ratios(wood)
    return [band(100 * along(drawn, ring_angle, RUN_OUTS, slope)),
            *(band(100 * v) for v in across(drawn, RINGS, run_out, slope)),
            *(band(v) for v in moves(found, RINGS, moisture_change(home), DRAWS)),
            100 * np.stack(loss_along(found, ring_angle, RUN_OUTS, slope))]
