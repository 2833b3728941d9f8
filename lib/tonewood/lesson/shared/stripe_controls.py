"""The controls that lessons of laminated necks share: woods of the stripes, origin of the boards."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from tonewood.lesson.shared.shop import absent, wood_list
from tonewood.panel.controls import Control, pick
from tonewood.wood.facts import rule
from tonewood.wood.spread import KINSHIP, SUPPLIES


def stripe_woods(start: Mapping[str, Any]) -> dict[str, Control]:
    """The woods of the main stripes, accents and centre stripe, fresh; start: {role: key}."""
    woods = wood_list("neck")
    return {"main": pick("Main wood", woods, start["main"]),
            "accent": pick("Accent stripes", woods, start["accent"],
                           "thin stripes, 2 mm each; they appear from 4 stripes on").unless(absent("accent")),
            "centre": pick("Centre stripe", woods, start["centre"],
                           "10 mm wide; it appears with an odd number of stripes from 3 on"
                           ).unless(absent("centre"))}


def boards_from(start: Mapping[str, Any]) -> dict[str, Control]:
    """Where stripes of one wood come from and how the boards were bought, fresh; start: {"origin": …,
    "supply": …}."""
    few, wide = (f"{100 * rule(name).value:.0f} %" for name in ("hardwood_cov_modulus", "supply_cov_modulus"))
    return {"origin": pick("Stripes of one wood come from", list(KINSHIP), start["origin"],
                           "boards of one tree are alike, so they average out less"),
            "supply": pick("How the boards were bought", list(SUPPLIES), start["supply"],
                           f"{few} in stiffness between boards of one delivery (estimated, lots of mostly "
                           f"single origin), {wide} over a wood's whole range (estimated, partly from memory)"
                           )}
