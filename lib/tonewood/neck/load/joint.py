"""Where the neck meets the body: bolt-on, set or neck-through, as bending stiffness added from the joint on.

Assumptions, all estimates by a stated model and not measurements: the body is a plain beam of one bending stiffness; over the length of the
joint a share of it acts together with the neck (1 for a glued joint or a neck-through, 0.5 for a screwed pocket, range 0 to 1); beyond the
joint all of it acts. The joint itself may turn a little under the string moment (`turn`, radian per N m, 0 unless measured).
"""

from dataclasses import dataclass

import numpy as np

from tonewood.checks import choice, fraction, number

SHARE = {"bolt-on": 0.5, "set": 1.0, "neck-through": 1.0}
SHARE_STATUS = "estimated, no source; 0 to 1 is possible for a screwed pocket"
BODY_EI = 6000.0
BODY_STATUS = "estimated: a solid body 44 mm thick and a little over 100 mm wide beside the pickups, modulus 8 GPa"


@dataclass(frozen=True)
class Joint:
    """The body joint. start: x (m) where the heel or body begins, None: where the neck says; length of the joint (m); body_EI (N m2);
    share 0…1 of body_EI acting over the joint, None: by kind; turn: rotation of the joint per bending moment (rad per N m).

    Raises ValueError.
    """
    kind: str = "set"
    start: float = None
    length: float = 0.070
    body_EI: float = BODY_EI
    share: float = None
    turn: float = 0.0

    def __post_init__(self):
        choice("joint", self.kind, SHARE)
        if self.start is not None:
            number("start of the body joint", self.start, 0.0, 1.2, "m", lambda v: f"Did you mean {v / 1000:g} m?" if v < 1200 else None)
        number("length of the body joint", self.length, 0.0, 0.5, "m", lambda v: f"Did you mean {v / 1000:g} m?" if v < 500 else None)
        number("bending stiffness of the body", self.body_EI, 0.0, unit="N m2", open_low=True)
        number("turn of the joint", self.turn, 0.0, 0.1, "rad per N m")
        fraction("share of the body's stiffness acting over the joint", SHARE[self.kind] if self.share is None else self.share)

    @property
    def acting(self):
        """Share of body_EI that acts over the joint."""
        return SHARE[self.kind] if self.share is None else float(self.share)

    def stiffness(self, x, start, neck_EI):
        """EI (..., S) with the body added, for a joint that begins at `start`; neck_EI (..., S) without it (0 beyond the neck's end)."""
        x = np.asarray(x)
        added = np.where(x < start, 0.0, np.where(x <= start + self.length, self.acting, 1.0)) * self.body_EI
        total = neck_EI + added
        if np.any(total <= 0):
            raise ValueError("body joint: nothing carries the strings between the end of the neck and the body; accepted: a joint with some share of "
                             "the body's stiffness, or one that ends where the neck does")
        return total
