"""Turning a stripe before glue-up: what that does to its grain, and what follows for a pair.

Two stripes sawn from one board have the same ring angle, run-out and slope. Turning one of them half a turn
about

    x (face down, same end to the nut)   changes the sign of run-out and slope, keeps the ring angle;
    y (face down and end for end)        changes the sign of slope and ring angle, keeps the run-out: the
                                         mirror image across the centre line;
    z (end for end on the bench)         changes the sign of run-out and ring angle, keeps the slope.

Wood does not know head from tail (its stiffness and swelling are the same along +L and -L), so a half turn is
also a mirror: about y, left for right. What follows for a pair beside the centre line:

    slope opposed (x or y)    the slope's twist under string load and with moisture cancels;
    run-out equal (y)         no twist when moisture changes;
    run-out opposed (x or z)  twists with moisture: the two halves shear opposite ways;
    any turn                  no side bow from moisture if both come from one board: swelling and stiffness
                              along the neck are the same. Forward bow is the same for every turn.

Derived from the symmetry of the swelling and compliance tensors under a half turn.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from tonewood import checks
from tonewood.draws import Draws
from tonewood.wood.board import Board

TURNS = {"as sawn": (1, 1, 1), "about x": (1, -1, -1), "about y": (-1, 1, -1), "about z": (-1, -1, 1)}
"""Signs that a half turn gives to ring angle, run-out and slope; and to the x, y and z part of any
direction."""


def turned_angles(ring_angle: Draws, run_out: Draws, slope: Draws, turn: str) -> tuple[Draws, ...]:
    """Ring angle, run-out and slope (rad, floats or arrays) after half a turn: 'about x', 'about y', 'about
    z' or 'as sawn'. Raises ValueError.

    >>> turned_angles(0.3, 0.02, 0.01, "about y")
    (-0.3, 0.02, -0.01)
    """
    signs = TURNS[checks.choice("turn", turn, TURNS)]
    for name, angle in (("ring angle", ring_angle), ("run-out", run_out), ("slope of grain", slope)):
        checks.angle(name, angle, np.pi)
    return tuple(sign * (np.asarray(angle) if np.ndim(angle) else angle)
                 for sign, angle in zip(signs, (ring_angle, run_out, slope), strict=True))


def turned(board: Board, turn: str) -> Board:
    """The Board after half a turn: its angles (rad) as turned_angles gives them. Raises ValueError.

    >>> from tonewood.wood.species import species
    >>> turned(Board(species("hard maple"), slope=0.02), "about x").slope
    -0.02
    """
    ring_angle, run_out, slope = turned_angles(board.ring_angle, board.run_out, board.slope, turn)
    return replace(board, ring_angle=ring_angle, run_out=run_out, slope=slope)
