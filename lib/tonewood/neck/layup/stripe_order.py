"""Which stripe lies which way: the half turn of every stripe of a lay-up, and which come from one board.

A builder saws boards into stripes and then turns some of them before glue-up. Counting is done within each
wood, from bass to treble, since stripes of one wood come off the same saw: "every second" maple stripe is
turned, whatever lies between. Mirrored pairs are sawn next to each other from one board, stripe k from the
treble side being the mirror image of stripe k from the bass side.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from tonewood import checks
from tonewood.draws import Array
from tonewood.neck.layup.half_turns import TURNS, turned
from tonewood.neck.layup.neck import Neck, Stripe
from tonewood.wood.board import Board

ARRANGEMENTS = {"as sawn": "as sawn", "every second about x": "about x", "every second about y": "about y",
                "every second about z": "about z", "mirrored pairs": "about y"}
"""How the stripes lie, and the half turn (see layup.half_turns) that some of them are given."""


def stripe_turns(neck: Neck, arrangement: str) -> tuple[str, ...]:
    """The half turn of every stripe from bass to treble, by name. Raises ValueError.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> stripe_turns(example_neck(), "mirrored pairs")
    ('as sawn',)
    """
    turn = ARRANGEMENTS[checks.choice("arrangement", arrangement, ARRANGEMENTS)]
    woods = [stripe.board.species.key for stripe in neck.layup.stripes]
    count = len(woods)
    if arrangement == "mirrored pairs":
        return tuple(turn if i >= (count + 1) // 2 else "as sawn" for i in range(count))
    return tuple(turn if woods[:i].count(wood) % 2 else "as sawn" for i, wood in enumerate(woods))


def arranged(neck: Neck, arrangement: str) -> Neck:
    """The neck with its stripes turned. neck: all stripes as they come off the saw, single values. Raises
    ValueError unless the two stripes of a mirrored pair are of one wood and equal width.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> arranged(example_neck(), "every second about x") == example_neck()
    True
    """
    stripes = neck.layup.stripes
    if arrangement == "mirrored pairs":
        for i in range(len(stripes) // 2):
            left, right = stripes[i], stripes[-1 - i]
            if left.board.species.key != right.board.species.key or abs(left.width - right.width) > 1e-9:
                raise ValueError(f"stripes {i + 1} and {len(stripes) - i}: {left.board.species.name}, "
                                 f"{1e3 * left.width:.2f} mm and {right.board.species.name}, "
                                 f"{1e3 * right.width:.2f} mm; accepted for a mirrored pair: one wood, "
                                 "equal widths")
    turns = stripe_turns(neck, arrangement)
    laid = tuple(Stripe(turned(s.board, turn), s.width) for s, turn in zip(stripes, turns, strict=True))
    return replace(neck, layup=replace(neck.layup, stripes=laid))


def planks(neck: Neck, arrangement: str) -> tuple[int, ...]:
    """A label for every piece (stripes, then the fretboard's layers) that tells which were sawn from one
    board: only the two of a mirrored pair. Raises ValueError.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> planks(example_neck(), "as sawn")
    (0, 1)
    """
    count = len(neck.layup.stripes)
    if checks.choice("arrangement", arrangement, ARRANGEMENTS) != "mirrored pairs":
        return tuple(range(len(neck.pieces)))
    return tuple(min(i, count - 1 - i) for i in range(count)) + tuple(range(count, len(neck.pieces)))


def grain_direction(board: Board, turn: str) -> Array:
    """Unit vector (3,) from the root end to the crown end of a board that was given half a turn: board as it
    came off the saw, with single values. Raises ValueError.

    >>> from tonewood.wood.species import species
    >>> grain_direction(Board(species("hard maple")), "about z").tolist()
    [-1.0, -0.0, 0.0]
    """
    return np.array(TURNS[checks.choice("half turn", turn, TURNS)]) * board.Q[:, 0]
