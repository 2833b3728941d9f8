"""Where the neck meets the body: bolt-on, set or neck-through, as bending stiffness added from the joint on.

Estimates by a stated model and not measurements (rows joint_share_… and body_bending_stiffness of
data/rules.csv): the body is a plain beam of one bending stiffness; over the length of the joint a share of it
acts together with the neck; beyond the joint all of it acts. The joint itself may turn a little under the
string moment (`turn`, radian per N m, 0 unless measured).
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from tonewood.checks import choice, fraction, length, number
from tonewood.draws import Array, Draws
from tonewood.neck.load.bow import stiffness_in_bending
from tonewood.wood.facts import rule

JOINTS = ("bolt-on", "set", "neck-through")


@dataclass(frozen=True)
class Joint:
    """The body joint. start: x (m) where the heel or body begins, None: where the neck says; length of the
    joint (m), 70 mm unless given: common practice, no source; body_EI (N m2); share 0…1 of body_EI acting
    over the joint, None: by kind; turn: rotation of the joint per bending moment (rad per N m). Raises
    ValueError.
    """

    kind: str = "set"
    start: float | None = None
    length: float = 0.070
    body_EI: float = field(default_factory=lambda: rule("body_bending_stiffness").value)
    share: float | None = None
    turn: float = 0.0

    def __post_init__(self) -> None:
        choice("joint", self.kind, JOINTS)
        if self.start is not None:
            length("start of the body joint", self.start, 0.0, 1.2, open_low=False)
        length("length of the body joint", self.length, 0.0, 0.5, open_low=False)
        stiffness_in_bending("bending stiffness of the body", self.body_EI)
        number("turn of the joint", self.turn, 0.0, 0.1, "rad per N m")
        fraction("share of the body's stiffness acting over the joint", self.acting)

    @property
    def acting(self) -> float:
        """Share of body_EI that acts over the joint.

        >>> Joint("bolt-on").acting
        0.5
        """
        if self.share is not None:
            return float(self.share)
        return rule(f"joint_share_{self.kind.replace('-', '_')}").value

    def stiffness(self, x: Draws, start: float, neck_EI: Draws) -> Array:
        """EI (..., S), N m2, with the body added, for a joint that begins at `start`; neck_EI (..., S)
        without it, 0 beyond the neck's end. Raises ValueError.

        >>> Joint("bolt-on", body_EI=6000.0).stiffness([0.3, 0.45, 0.6], 0.4, [400.0, 450.0, 0.0]).tolist()
        [400.0, 3450.0, 6000.0]
        """
        x = np.asarray(x)
        added = np.where(x < start, 0.0, np.where(x <= start + self.length, self.acting, 1.0)) * self.body_EI
        total = np.asarray(neck_EI) + added
        if np.any(total <= 0):
            raise ValueError("body joint: nothing carries the strings between the end of the neck and the "
                             "body; accepted: a joint with some share of the body's stiffness, or one that "
                             "ends where the neck does")
        return total
