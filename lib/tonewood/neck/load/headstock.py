"""What the headstock's angle does to the neck: it presses the nut, and it leaves the bending of the neck as it was.

The string pulls the nut along both of its directions and the tuner back towards the nut. Behind the nut the two cancel, whatever the angle and
wherever the tuner stands; what is left is the pull towards the bridge. Statics of a cut neck, as in any text on mechanics.
"""

from dataclasses import dataclass

import numpy as np

from tonewood.checks import angle, number
from tonewood.strings.wire import nut_force


@dataclass(frozen=True)
class HeadLoad:
    """One pull on nut and tuner: on_nut (N), the force that presses the nut; from_nut and from_tuner (N m), their moments about the axis at the cut, forward
    bow positive; moment (N m), the sum of both. Each shaped like the inputs.
    """
    on_nut: np.ndarray
    from_nut: np.ndarray
    from_tuner: np.ndarray
    moment: np.ndarray


def head_load(pull, head_angle, nut_height, height, distance, reach=0.10):
    """What strings of `pull` (N) do to the neck when the headstock leans back by head_angle (rad). Returns HeadLoad.

    nut_height, height: of the strings above the neck's stiffness axis at the nut and at the cut (m); distance: nut to cut (m); reach: nut to tuner (m). All
    broadcast. Friction in the nut changes the parts, not their sum. Raises ValueError.
    """
    pull = np.asarray(number("string pull", pull, 0.0, unit="N"))
    head_angle = np.asarray(angle("headstock angle", head_angle))
    nut_height, height = (number(f"height above the axis at the {place}", value, -0.1, 0.1, "m") for place, value in (("nut", nut_height), ("cut", height)))
    distance = number("distance from nut to cut", distance, 0.0, 2.0, "m", open_low=True)
    reach = number("reach from nut to tuner", reach, 0.0, 1.0, "m", open_low=True)
    rise = np.arctan((height - nut_height) / distance)
    to_bridge, to_tuner = (np.cos(rise), np.sin(rise)), (-np.cos(head_angle), -np.sin(head_angle))

    def about_the_cut(at, force):
        return at[1] * force[0] - at[0] * force[1]

    nut = -distance, nut_height
    tuner = nut[0] + reach * to_tuner[0], nut[1] + reach * to_tuner[1]
    from_nut = about_the_cut(nut, [pull * (b + t) for b, t in zip(to_bridge, to_tuner)])
    from_tuner = about_the_cut(tuner, [-pull * t for t in to_tuner])
    return HeadLoad(nut_force(pull, head_angle + rise), from_nut, from_tuner, from_nut + from_tuner)
