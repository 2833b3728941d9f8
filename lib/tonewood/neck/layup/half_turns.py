"""Turning a stripe before glue-up: what that does to its grain, and which turn makes a balanced pair.

Two stripes sawn from one board have the same ring angle, run-out and slope. Turning one of them half a turn
about

    x (face down, same end to the nut)    changes the sign of run-out and slope, keeps the ring angle;
    y (face down and end for end)         changes the sign of slope and ring angle, keeps the run-out: the mirror image across the centre line;
    z (end for end on the bench)          changes the sign of run-out and ring angle, keeps the slope.

Wood does not know head from tail (its stiffness and swelling are the same along +L and -L), so a half turn is
also a mirror: about y, left for right. What follows for a pair beside the centre line:

    slope opposed (x or y)    the slope's twist under string load and with moisture cancels;
    run-out equal (y)         no twist when moisture changes;
    run-out opposed (x or z)  twists with moisture: the two halves shear opposite ways;
    any turn                  no side bow from moisture if both come from one board: swelling and stiffness along the neck are the same.

So about y is the turn to make, and the easy one, end for end on the bench, is the recipe for twist. Balance
is symmetry, not rest: forward bow is the same for every turn. The trade calls any flipped pair balanced; by
mechanics only one of the three is, and only where the two stripes are alike.
"""

from dataclasses import replace

import numpy as np

from tonewood import checks
from tonewood.neck.layup.neck import Layup, Stripe

# signs of ring angle, run-out and slope
TURNS = {"as sawn": (1, 1, 1), "about x": (1, -1, -1), "about y": (-1, 1, -1), "about z": (-1, -1, 1)}


def turned_angles(ring_angle, run_out, slope, turn):
    """Ring angle, run-out and slope (rad, floats or arrays) after half a turn: 'about x', 'about y', 'about
    z' or 'as sawn'. Raises ValueError."""
    signs = TURNS[checks.choice("turn", turn, TURNS)]
    return tuple(sign * np.asarray(angle) if np.ndim(angle) else sign * angle for sign, angle in zip(signs, (ring_angle, run_out, slope)))


def turned(board, turn):
    """The Board after half a turn (see turned_angles)."""
    return replace(board, **dict(zip(("ring_angle", "run_out", "slope"), turned_angles(board.ring_angle, board.run_out, board.slope, turn))))


def mirrored(board):
    """The mirror image of a Board across the neck's centre line: the same as turning it about y."""
    return turned(board, "about y")


def paired(neck, turn):
    """The neck with its treble stripes taken from the boards of its bass stripes, turned: stripe k from the
    right is stripe k from the left.

    A middle stripe stays as it is. Raises ValueError when the widths of a pair differ.
    """
    stripes = list(neck.layup.stripes)
    for i in range(len(stripes) // 2):
        left, right = stripes[i], stripes[-1 - i]
        if abs(left.width - right.width) > 1e-9:
            raise ValueError(f"stripes {i + 1} and {len(stripes) - i}: {1e3 * left.width:.2f} and {1e3 * right.width:.2f} mm wide; accepted for a pair: equal widths")
        stripes[-1 - i] = Stripe(turned(left.board, turn), right.width)
    return replace(neck, layup=Layup(tuple(stripes)))
