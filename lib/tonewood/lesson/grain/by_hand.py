"""The number worked by hand: what 1 in 15 of run-out leaves of the stiffness, from the constants of one
plane."""

from __future__ import annotations

import numpy as np

from tonewood.lesson.grain.model import along, shortcut
from tonewood.wood.species import species

RATIOS = "published ratios of hard maple"


def run_out_by_hand() -> list[tuple[str, float, str, int, str]]:
    """Stiffness left at 1 in 15 for flat-sawn hard maple, from the constants of its L-R plane: lines for
    `say_all`."""
    e, angle = species("hard maple").elastic, np.arctan(1 / 15)
    degrees, c2, s2 = float(np.degrees(angle)), np.cos(angle) ** 2, np.sin(angle) ** 2
    stretch, shear, squeeze = c2**2, s2 * c2 * (e.E_L / e.G_LR - 2 * e.nu_LR), s2**2 * e.E_L / e.E_R
    return [("angle of 1 in 15", degrees, "°", 2, "geometry"),
            ("stretching the fibres", stretch, "", 4, "geometry"),
            ("sliding past one another", shear, "", 4, RATIOS),
            ("squeezing across", squeeze, "", 4, RATIOS),
            ("stiffness left, by hand: 1 ÷ sum", 1 / (stretch + shear + squeeze), "", 4,
             "estimated by linear elasticity"),
            ("stiffness left, by the library", float(along(e, 0.0, degrees, 0.0)), "", 4,
             "estimated by the full calculation"),
            ("stiffness left, by the shortcut, exponent 2", float(shortcut(e, 0.0, degrees, 0.0, 2.0)), "", 4,
             "estimated by Hankinson's formula")]
