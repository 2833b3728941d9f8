"""Turning a stripe before glue-up: what that does to its grain, and which turn makes a balanced pair.

Two stripes sawn from one board have the same ring angle, run-out and slope. Turning one of them half a turn about

    x (face down, same end to the nut)    changes the sign of run-out and slope, keeps the ring angle;
    y (face down and end for end)         changes the sign of slope and ring angle, keeps the run-out: the mirror image across the centre line;
    z (end for end on the bench)          changes the sign of run-out and ring angle, keeps the slope.

Wood does not know head from tail (its stiffness and swelling are the same along +L and -L), so a half turn is also a mirror: about y, left for
right. What follows for a pair beside the centre line:

    slope opposed (x or y)    the slope's twist under string load and with moisture cancels;
    run-out equal (y)         no twist when moisture changes;
    run-out opposed (x or z)  twists with moisture: the two halves shear opposite ways;
    any turn                  no side bow from moisture if both come from one board: swelling and stiffness along the neck are the same.

So about y is the turn to make, and the easy one, end for end on the bench, is the recipe for twist. Balance is symmetry, not rest: forward bow is the same
for every turn. The trade calls any flipped pair balanced; by mechanics only one of the three is, and only where the two stripes are alike.
"""

from dataclasses import dataclass, replace

import numpy as np

from tonewood import checks
from tonewood.neck.design import Layup, Stripe
from tonewood.neck.movement import between, movement
from tonewood.neck.torsion import bending_twist

# signs of ring angle, run-out and slope
TURNS = {"as sawn": (1, 1, 1), "about x": (1, -1, -1), "about y": (-1, 1, -1), "about z": (-1, -1, 1)}
TURN_WORDS = {"as sawn": "both as sawn", "about x": "one rolled over, same end to the nut", "about y": "one rolled over and end for end (the mirror)",
              "about z": "one end for end on the bench"}


def turned_angles(ring_angle, run_out, slope, turn):
    """Ring angle, run-out and slope (rad, floats or arrays) after half a turn: 'about x', 'about y', 'about z' or 'as sawn'. Raises ValueError."""
    signs = TURNS[checks.choice("turn", turn, TURNS)]
    return tuple(sign * np.asarray(angle) if np.ndim(angle) else sign * angle for sign, angle in zip(signs, (ring_angle, run_out, slope)))


def turned(board, turn):
    """The Board after half a turn (see turned_angles)."""
    return replace(board, **dict(zip(("ring_angle", "run_out", "slope"), turned_angles(board.ring_angle, board.run_out, board.slope, turn))))


def mirrored(board):
    """The mirror image of a Board across the neck's centre line: the same as turning it about y."""
    return turned(board, "about y")


def paired(neck, turn):
    """The neck with its treble stripes taken from the boards of its bass stripes, turned: stripe k from the right is stripe k from the left.

    A middle stripe stays as it is. Raises ValueError when the widths of a pair differ.
    """
    stripes = list(neck.layup.stripes)
    for i in range(len(stripes) // 2):
        left, right = stripes[i], stripes[-1 - i]
        if abs(left.width - right.width) > 1e-9:
            raise ValueError(f"stripes {i + 1} and {len(stripes) - i}: {1e3 * left.width:.2f} and {1e3 * right.width:.2f} mm wide; accepted for a pair: equal widths")
        stripes[-1 - i] = Stripe(turned(left.board, turn), right.width)
    return replace(neck, layup=Layup(tuple(stripes)))


@dataclass(frozen=True)
class Turns:
    """One lay-up with its pairs turned in each of four ways, T = 4 in the order of `turns`; each (T,) or (D, T).

    moisture_twist, load_twist: rad between first and last fret, positive when the treble edge stands higher at the last fret;
    side_bow, relief: change with moisture, m.
    """

    turns: tuple
    moisture_twist: np.ndarray
    load_twist: np.ndarray
    side_bow: np.ndarray
    relief: np.ndarray

    def table(self):
        """DataFrame: one row per turn; the largest size over draws (95 % point) if there are any."""
        import pandas as pd

        def shown(v):
            return v if v.ndim == 1 else np.percentile(np.abs(v), 95, axis=0)
        return pd.DataFrame({"turn": [TURN_WORDS[t] for t in self.turns], "twist with moisture (degrees)": np.degrees(shown(self.moisture_twist)),
                             "twist under the strings (degrees)": np.degrees(shown(self.load_twist)), "side bow (mm)": 1e3 * shown(self.side_bow),
                             "relief change (mm)": 1e3 * shown(self.relief)}, index=list(self.turns))


def compare_turns(neck, start, end, moment, tension=0.0):
    """Twist, side bow and relief change of a neck with its pairs turned in each of the four ways. Returns Turns.

    start, end: moisture (fractions; forms as for movement). moment: bending moment of the strings (N m, about 5 to 6 for six steel strings, or (S,) at
    neck.stations()); tension: their pull (N). Raises ValueError.
    """
    moment = np.asarray(checks.number("string moment", moment, 0.0, 50.0, "N m"))
    tension = checks.number("string pull", tension, 0.0, 2000.0, "N")
    found = []
    for turn in TURNS:
        pair = paired(neck, turn)
        moved = movement(pair, start, end)
        x = neck.stations()
        last = neck.end if neck.body_start is None else min(neck.end, max(neck.body_start, float(neck.fret(1))))
        under_load = between(x, bending_twist(pair, moment, tension, x), float(neck.fret(1)), last)
        found.append((moved.twist, under_load, moved.side_bow, moved.relief))
    return Turns(tuple(TURNS), *(np.stack(np.broadcast_arrays(*column), -1) for column in zip(*found)))
