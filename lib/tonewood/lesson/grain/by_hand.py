"""The numbers worked by hand: what 1 in 15 of run-out leaves of the stiffness, from the constants of one
plane; how far round rings cup a board."""

from __future__ import annotations

import numpy as np

from tonewood.lesson.grain.model import along, moisture_change, shortcut
from tonewood.wood.board import Board
from tonewood.wood.species import species
from tonewood.wood.within import Growth, free_cup

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
            ("stiffness left, by Hankinson's formula, exponent 2",
             float(shortcut(e, 0.0, degrees, 0.0, 2.0)), "", 4, "estimated by Hankinson's formula")]


DRY, CUP_WIDTH, FAR, NEAR = 30.0, 0.060, 0.25, 0.04
"""Room (% humidity), width (m) and distances to the pith (m) of the boards that cup: examples."""


def cup_by_hand() -> list[tuple[str, float, str, int, str]]:
    """Hollow (mm) of free hard maple boards with round rings, workshop to a dry room, by hand and ray by ray:
    lines for `say_all`."""
    wood, change = species("hard maple"), moisture_change(DRY)
    _, C_R, C_T = wood.swelling

    def by_hand(pith: float) -> float:
        return -1e3 * CUP_WIDTH**2 * (C_T - C_R) * change / (4 * pith)

    def by_library(pith: float, ring: float) -> float:
        return 1e3 * float(free_cup(Board(wood, np.radians(ring)), Growth(pith=pith), CUP_WIDTH, change))

    rays = "estimated, each ray from the pith turned; the board left free"
    return [("change of moisture on the way to the dry room", 100 * change, "%", 1,
             "published curve, good to 1 %"),
            ("movement around the rings less that across them, per 1 % of moisture", C_T - C_R, "%", 3,
             "published"),
            (f"hollow of a flat-sawn board {1e3 * CUP_WIDTH:.0f} mm wide, {1e3 * FAR:.0f} mm from the pith, "
             "by hand", by_hand(FAR), "mm", 3, "estimated by geometry"),
            (f"the same {1e3 * NEAR:.0f} mm from the pith, by hand", by_hand(NEAR), "mm", 3,
             "estimated by geometry"),
            (f"{1e3 * NEAR:.0f} mm from the pith, by the library", by_library(NEAR, 0.0), "mm", 3, rays),
            (f"rift, 45°, {1e3 * FAR:.0f} mm from the pith, by the library", by_library(FAR, 45.0), "mm", 3,
             rays)]
