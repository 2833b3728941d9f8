"""Mechanics of laminated guitar necks for teaching: wood, neck, sound, and what a learner can slide.

The names below are loaded when first asked for, so `import tonewood` itself costs nothing:

>>> import tonewood
>>> round(tonewood.species("hard maple").density)
706
"""

from __future__ import annotations

from importlib import import_module
from typing import Any

__version__ = "0.1.0"

_WHERE = {"wood.species": ("species", "all_species", "Species"), "wood.own": ("own_wood",),
          "wood.board": ("Board",), "wood.moisture": ("equilibrium_moisture",),
          "wood.climate": ("places", "indoor"), "wood.spread": ("draw_boards",),
          "strings.sets": ("string_set",), "strings.wire": ("StringSet", "plain", "wound"),
          "neck.layup.shapes": ("Outline", "Back", "Fretboard", "Channel", "Bar"),
          "neck.layup.neck": ("Stripe", "Layup", "striped", "Neck", "spread"),
          "neck.section.section": ("section", "torsion"), "neck.section.damping": ("composite_loss",),
          "neck.load.setup": ("Setup",), "neck.load.joint": ("Joint",), "neck.load.relief": ("relief",),
          "neck.load.rod": ("Rod", "set_rod", "relief_with_rod"), "neck.seasons.movement": ("movement",),
          "neck.seasons.year": ("year",), "neck.report.evaluation": ("evaluate", "even_stiffness"),
          "neck.design": ("Design", "StripePlan", "FretboardPlan", "StringPlan"),
          "sound.instrument": ("Instrument",), "sound.modes": ("modes",), "sound.decay": ("decay",),
          "draws": ("band",)}
_HOME = {name: f"tonewood.{module}" for module, names in _WHERE.items() for name in names}
__all__ = ["__version__", *sorted(_HOME)]


def __getattr__(name: str) -> Any:
    if name not in _HOME:
        raise AttributeError(f"module 'tonewood' has no attribute {name!r}")
    value = getattr(import_module(_HOME[name]), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return sorted({*globals(), *_HOME})
