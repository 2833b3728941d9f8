"""Which stripe lies which way: the turning of every stripe of a lay-up, and which of them come from one
board.

A builder saws boards into stripes and then turns some of them before glue-up. Counting is done within each
wood, from bass to treble, since stripes of one wood come off the same saw: "every second" maple stripe is
turned, whatever lies between. Mirrored pairs are sawn next to each other from one board, stripe k from the
treble side being the mirror image of stripe k from the bass side.
"""

from dataclasses import replace

import numpy as np

from tonewood import checks
from tonewood.neck.layup.neck import Layup, Stripe
from tonewood.neck.layup.half_turns import turned
from tonewood.wood.spread import draw_boards

ARRANGEMENTS = {"as sawn": "as sawn", "every second about x": "about x", "every second about y": "about y", "every second about z": "about z",
                "mirrored pairs": "about y"}
"""How the stripes lie, and the half turn (see neck.turning) that some of them are given."""

HALF_TURNS = {"as sawn": (1, 1, 1), "about x": (1, -1, -1), "about y": (-1, 1, -1), "about z": (-1, -1, 1)}
"""What a half turn does to the components of any direction in the wood: a rotation by 180 degrees about that
axis."""


def stripe_turns(neck, arrangement):
    """The half turn of every stripe from bass to treble: a tuple of 'as sawn', 'about x', 'about y', 'about
    z'. Raises ValueError."""
    turn = ARRANGEMENTS[checks.choice("arrangement", arrangement, ARRANGEMENTS)]
    woods = [stripe.board.species.key for stripe in neck.layup.stripes]
    count = len(woods)
    if arrangement == "mirrored pairs":
        return tuple(turn if i >= (count + 1) // 2 else "as sawn" for i in range(count))
    return tuple(turn if woods[:i].count(wood) % 2 else "as sawn" for i, wood in enumerate(woods))


def arranged(neck, arrangement):
    """The neck with its stripes turned. neck: all stripes as they come off the saw, single values. Returns a
    Neck. Raises ValueError.

    For mirrored pairs the two stripes of a pair must be of one wood and equal width.
    """
    stripes = neck.layup.stripes
    if arrangement == "mirrored pairs":
        for i in range(len(stripes) // 2):
            left, right = stripes[i], stripes[-1 - i]
            if left.board.species.key != right.board.species.key or abs(left.width - right.width) > 1e-9:
                raise ValueError(f"stripes {i + 1} and {len(stripes) - i}: {left.board.species.name}, {1e3 * left.width:.2f} mm and {right.board.species.name}, "
                                 f"{1e3 * right.width:.2f} mm; accepted for a mirrored pair: one wood, equal widths")
    turns = stripe_turns(neck, arrangement)
    return replace(neck, layup=Layup(tuple(Stripe(turned(s.board, turn), s.width) for s, turn in zip(stripes, turns))))


def planks(neck, arrangement):
    """A label for every piece (stripes, then the fretboard) that tells which were sawn from one board: only
    the two of a mirrored pair."""
    count = len(neck.layup.stripes)
    if checks.choice("arrangement", arrangement, ARRANGEMENTS) != "mirrored pairs":
        return tuple(range(count + 1))
    return tuple(min(i, count - 1 - i) for i in range(count)) + (count,)


def grain_direction(board, turn):
    """Unit vector (3,) from the root end to the crown end of a board that was given half a turn: board as it
    came off the saw, with single values."""
    checks.choice("half turn", turn, HALF_TURNS)
    return np.array(HALF_TURNS[turn]) * board.Q[:, 0]


def spread_arranged(neck, arrangement, draws=1000, seed=0, kinship="different trees"):
    """`neck` with its stripes arranged, as `draws` possible necks. The stripes of a mirrored pair come from
    one board whatever `kinship` says of the others; likeness within a board is the rule of wood.spread.
    Returns a Neck. Raises ValueError.
    """
    laid = arranged(neck, arrangement)
    return laid.with_pieces(draw_boards(laid.pieces, draws, seed, kinship, planks(neck, arrangement)))
