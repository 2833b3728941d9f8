"""Variation within one board: what changes from its pith side to its bark side, and what a piece sawn from a
place in it therefore is.

Three things are kept of how the tree grew: the rings are arcs about a pith at some distance; lengthwise
swelling falls outward from the pith; the grain winds about the pith at an angle that changes outward. Left
out: cross-grain swelling, density and stiffness, which change outward too, knots, waves, reaction wood, and
any change along the board. How steep the changes are is read for a conifer and judged for other woods: see
the within_ rows of data/rules.csv.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from tonewood import checks
from tonewood.draws import Array, Draws, plain
from tonewood.wood.elastic import orientation, swelling_tensor
from tonewood.wood.facts import rule

if TYPE_CHECKING:
    from tonewood.wood.board import Board

SOUND, NEAR_PITH = "sound, away from the pith", "near the pith"
GROWN = (SOUND, NEAR_PITH)
"""Which part of a tree boards come from."""
STEP = 1e-4
"""m, either way: over so much the change from place to place is taken."""
STEPS = np.array([[STEP, 0.0, -STEP, 0.0], [0.0, STEP, 0.0, -STEP]])


@dataclass(frozen=True, kw_only=True)
class Growth:
    """How one board grew, told at its middle; each a float or (D,).

    pith: distance to the pith (m). bark: +1 where the bark lies the way the board's R axis points, -1 where
    it lies the other way. fall: change of lengthwise swelling for each metre outward (per unit moisture
    fraction and m), below 0 where it falls. spiral: angle (rad) at which the grain winds about the pith, and
    wind: its change for each metre outward (rad/m). Raises ValueError.
    """

    pith: Draws = 0.15
    bark: Draws = 1.0
    fall: Draws = 0.0
    spiral: Draws = 0.0
    wind: Draws = 0.0

    def __post_init__(self) -> None:
        checks.length("distance to the pith", self.pith, high=2.0)
        checks.number("side of the bark", np.abs(checks.number("side of the bark", self.bark)), 1.0, 1.0)
        checks.number("change of lengthwise swelling", self.fall, -2.0, 2.0, "per unit moisture and m")
        checks.angle("spiral grain", self.spiral, np.pi / 4)
        checks.number("change of spiral grain", self.wind, -20.0, 20.0, "rad/m")
        checks.draw_count(**vars(self))


def piece_at(board: Board, growth: Growth, across: Draws, up: Draws) -> tuple[Board, Growth]:
    """The piece whose middle lies `across` (neck's y) and `up` (z) of the board's middle, m: a Board with its
    own ring angle, run-out, slope and lengthwise swelling, and its Growth. Nothing else changes.

    The angles of `board` are those read at its middle; the grain elsewhere differs by how the rings turn and
    by what the spiral gains. Raises ValueError for a place at the pith. Source: geometry.

    >>> from tonewood.wood.board import Board
    >>> from tonewood.wood.species import species
    >>> flat = piece_at(Board(species("hard maple")), Growth(pith=0.1), 0.01, 0.0)[0]
    >>> round(float(np.degrees(flat.ring_angle)), 2)
    5.71
    """
    across, up = (checks.length(name, value, -1.0, 1.0, open_low=False) for name, value in
                  (("place across the board", across), ("place up the board", up)))
    ring, run_out, slope, swelling, radius, spiral = _there(board, growth, across, up)
    here = replace(board, ring_angle=ring, run_out=run_out, slope=slope, swelling=swelling)
    return here, replace(growth, pith=radius, spiral=spiral)


def _there(board: Board, growth: Growth, across: Draws, up: Draws) -> tuple[Any, ...]:
    """(ring angle, run-out, slope, swelling, distance to the pith, spiral) of the wood at a place."""
    s, c = np.sin(board.ring_angle), np.cos(board.ring_angle)
    y, z = growth.bark * across + growth.pith * s, growth.bark * up + growth.pith * c
    radius = np.hypot(y, z)
    if np.any(radius < 1e-3):
        raise ValueError("place in the board: less than 1 mm from the pith; accepted: beside it")
    outward = radius - growth.pith
    spiral = growth.spiral + growth.wind * outward
    turn = np.arctan2(c * y - s * z, s * y + c * z)          # how far the rings have turned, continuous
    ring = board.ring_angle + turn
    C_L, C_R, C_T = board.swelling or board.species.swelling
    # the tangent T is (-cos, sin) of the ring angle; seen from the other side it points the other way
    slope = board.slope - growth.bark * (spiral * np.cos(ring) - growth.spiral * c)
    run_out = board.run_out + growth.bark * (spiral * np.sin(ring) - growth.spiral * s)
    ring = (ring + np.pi) % (2 * np.pi) - np.pi
    return ring, run_out, slope, (C_L + growth.fall * outward, C_R, C_T), radius, spiral


def swelling_slopes(board: Board, growth: Growth) -> Array:
    """How the swelling tensor in neck axes (per unit moisture fraction) changes across the board, per m:
    (2, 3, 3) or (2, D, 3, 3), first with y, then with z, at its middle. Raises ValueError.

    >>> from tonewood.wood.board import Board
    >>> from tonewood.wood.species import species
    >>> quarter = Board(species("hard maple"), np.pi / 2)
    >>> swelling_slopes(quarter, Growth(fall=-0.02))[:, 0, 0].round(6).tolist()
    [-0.02, 0.0]
    """
    count = max(map(np.ndim, (*vars(growth).values(), board.ring_angle, board.run_out, board.slope,
                              *(board.swelling or board.species.swelling))))
    across, up = (np.reshape(steps, (4,) + (1,) * count) for steps in STEPS)
    ring, run_out, slope, (C_L, C_R, C_T), *_ = _there(board, growth, across, up)
    after_y, after_z, before_y, before_z = swelling_tensor(C_L, C_R, C_T, orientation(ring, run_out, slope))
    return np.stack([after_y - before_y, after_z - before_z]) / (2 * STEP)


def free_cup(board: Board, growth: Growth, width: Draws, change: Draws) -> Draws:
    """How far (m) the edges of a free board of `width` (m) rise above its middle, on the side the neck's z
    points to, when its moisture changes by `change` (fraction): round rings pull straight as they dry.

    growth.pith is the distance to the middle of the board. Every ray from the pith turns by (C_T - C_R) x
    change of its angle from the middle, which leaves no stress: exact to first order in the strains whatever
    the wood's stiffness. Flat-sawn: (C_T - C_R) x change x width^2 / (4 pith) in size, hollow on the
    bark side. Raises ValueError. Source: polar strains that are the same everywhere, derived; checked by
    finite elements.

    >>> from tonewood.wood.board import Board
    >>> from tonewood.wood.species import species
    >>> maple = Board(species("hard maple"))
    >>> [round(1e3 * float(free_cup(maple, Growth(pith=pith), 0.060, -0.02)), 3) for pith in (0.04, 0.25)]
    [0.073, 0.013]
    """
    half = np.asarray(checks.length("width", width, high=1.0)) / 2
    gained = np.asarray(checks.number("change of moisture", change, -0.3, 0.3, "(fraction)"))
    _, C_R, C_T = board.swelling or board.species.swelling
    s, c = np.sin(board.ring_angle), np.cos(board.ring_angle)
    rise: Draws = 0.0
    for y in (-half, half):
        outward, along = y * growth.bark * s + growth.pith, y * growth.bark * c
        if np.any(outward <= 0):
            raise ValueError("board: reaches beyond the pith given; accepted: a distance to the pith (m) "
                             "that leaves the whole face on one side of it")
        turned = (C_T - C_R) * gained * np.arctan2(along, outward)
        rise = rise - growth.bark * turned * (y * growth.bark + growth.pith * s) / 2
    return plain(rise)


def turned_growth(growth: Growth, turn: str) -> Growth:
    """The growth of a board that is given half a turn ('about x', 'about y', 'about z' or 'as sawn'; see
    neck.layup.half_turns): a half turn is a rotation, so the winding keeps its sense.

    >>> turned_growth(Growth(), "about y").bark
    -1.0
    """
    return replace(growth, bark=-growth.bark) if turn in ("about x", "about y") else growth


def draw_growth(labels: Sequence[object], draws: int = 1000, seed: int = 0, part: str = SOUND
                ) -> list[Growth]:
    """A Growth of draws for every piece; pieces with one label were sawn from one board and get the same.
    part: of GROWN. Returns Growths with fields (draws,). Raises ValueError.

    Steepness, spiral and distance are drawn between the limits (or with the scatter) of the within_ rules;
    the side of the bark is a coin toss, since a drawing seldom tells it.

    >>> len(draw_growth(["a", "a", "b"], 50)), draw_growth(["a"], 50)[0].pith.shape
    (3, (50,))
    """
    near = checks.choice("part of the tree", part, GROWN) == NEAR_PITH
    draws = checks.whole("draws", draws, 1, 1_000_000)
    found: dict[object, Growth] = {}
    for label in labels:
        if label in found:
            continue
        rng = np.random.default_rng([seed, 40_000 + len(found)])
        pith, fall = (low + (high - low) * rng.random(draws) for low, high in (
            rule(f"within_{name}{'_near_pith' if near else ''}").limits for name in ("pith", "fall")))
        spiral, wind = (np.radians(rule(name).value) * rng.standard_normal(draws)
                        for name in ("within_spiral", "within_wind"))
        # The rule tells green to oven dry in % for 100 mm; the same over saturation is per unit moisture, m.
        per_metre = -fall / 100 / (rule("fibre_saturation").value / 100) / 0.1
        found[label] = Growth(pith=pith, bark=rng.choice([-1.0, 1.0], draws), fall=per_metre, spiral=spiral,
                              wind=wind / 0.1)
    return [found[label] for label in labels]


def from_the_core(board: Board, growth: Growth) -> Board:
    """The same board as wood from near the pith: its lengthwise swelling stands as much above sound wood's as
    it has yet to fall outward, to the edge of the core (rule within_core). Raises ValueError.

    >>> from tonewood.wood.board import Board
    >>> from tonewood.wood.species import species
    >>> round(float(from_the_core(Board(species("hard maple")), Growth(pith=0.04, fall=-0.3)).swelling[0]), 3)
    0.023
    """
    C_L, C_R, C_T = board.swelling or board.species.swelling
    left = np.maximum(rule("within_core").value - growth.pith, 0.0)
    return replace(board, swelling=(C_L - growth.fall * left, C_R, C_T))


def side_by_side(board: Board, growth: Growth, widths: Iterable[float]) -> list[tuple[Board, Growth]]:
    """Stripes of these widths (m) sawn side by side out of one board whose middle is told: a Board and Growth
    for each, from bass to treble. Raises ValueError.

    >>> from tonewood.wood.board import Board
    >>> from tonewood.wood.species import species
    >>> len(side_by_side(Board(species("hard maple")), Growth(), [0.02, 0.02, 0.02]))
    3
    """
    each = np.atleast_1d(checks.length("width of a piece", list(widths), high=1.0))
    middles = np.cumsum(each) - each / 2 - each.sum() / 2
    return [piece_at(board, growth, float(y), 0.0) for y in middles]
