"""What the headstock's angle does to the neck: it presses the nut, and it leaves the bending of the neck as
it was.

The string pulls the nut along both of its directions and the tuner back towards the nut. Behind the nut the
two cancel, whatever the angle and wherever the tuner stands; what is left is the pull towards the bridge.
Statics of a cut neck, as in any text on mechanics.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tonewood.checks import angle, length, number
from tonewood.draws import Draws
from tonewood.strings.wire import nut_force


@dataclass(frozen=True)
class HeadLoad:
    """One pull on nut and tuner, each shaped like the inputs. on_nut (N): the force that presses the nut;
    from_nut and from_tuner (N m): their moments about the axis at the cut, forward bow positive; moment (N
    m): the sum of both.
    """

    on_nut: Draws
    from_nut: Draws
    from_tuner: Draws
    moment: Draws


def head_load(pull: Draws, head_angle: Draws, nut_height: Draws, height: Draws, distance: Draws,
              reach: Draws = 0.10) -> HeadLoad:
    """What strings of `pull` (N) do to the neck when the headstock leans back by head_angle (rad). Raises
    ValueError.

    nut_height, height: of the strings above the neck's stiffness axis at the nut and at the cut (m);
    distance: nut to cut (m); reach: nut to tuner (m). All broadcast. Friction in the nut changes the parts,
    not their sum.

    >>> round(float(head_load(100.0, 0.2, 0.012, 0.012, 0.2).moment), 3)
    1.2
    """
    pull = np.asarray(number("string pull", pull, 0.0, unit="N"))
    head_angle = np.asarray(angle("headstock angle", head_angle))
    nut_height = length("height above the axis at the nut", nut_height, -0.1, 0.1, open_low=False)
    height = length("height above the axis at the cut", height, -0.1, 0.1, open_low=False)
    distance = length("distance from nut to cut", distance, 0.0, 2.0)
    reach = length("reach from nut to tuner", reach, 0.0, 1.0)
    rise = np.arctan((height - nut_height) / distance)
    # The nut gets the pull towards the bridge and towards the tuner, the tuner the latter backwards.
    along, down = np.cos(head_angle), np.sin(head_angle)
    from_nut = pull * (nut_height * (np.cos(rise) - along) + distance * (np.sin(rise) - down))
    from_tuner = pull * ((nut_height - reach * down) * along + (distance + reach * along) * down)
    return HeadLoad(nut_force(pull, head_angle - rise), from_nut, from_tuner, from_nut + from_tuner)
