"""The number worked by hand: relief from pull, height and stiffness, beside the full model."""

from __future__ import annotations

from typing import Any

import numpy as np

from tonewood.lesson.whole_neck.model import build
from tonewood.lesson.whole_neck.view import VIEW_FRET
from tonewood.neck.load.relief import relief
from tonewood.neck.report.evaluation import even_stiffness

SECTION = "estimated by the section model"


def relief_by_hand(**changes: Any) -> list[tuple[str, float, str, int, str]]:
    """Relief of neck No. 12 (or with `changes` to its controls) from pull × height ÷ stiffness, and the
    library's: lines for `say_all`. Raises ValueError for a name that is no control."""
    design = build(**changes)
    neck, strings = design.neck(), design.string_set()
    bent = relief(neck, strings, design.setup(), design.body_joint())
    moment = float(bent.moment[np.argmin(np.abs(bent.x - float(neck.fret(VIEW_FRET))))])
    pull, stiffness = float(np.sum(strings.tension)), float(even_stiffness(neck))
    length = neck.end - float(neck.fret(1))
    full = ("relief by the library (tapering height, strings acting on the bow, body from fret "
            f"{design.joint_fret})")
    return [("string pull, all six", pull, "N", 0, "estimated from round generic gauges"),
            (f"height above the stiffness axis at fret {VIEW_FRET}", 1e3 * moment / pull, "mm", 1, SECTION),
            ("stiffness EI (N·m²)", stiffness, "", 0, SECTION),
            ("relief by hand", 1e3 * moment * length**2 / (8 * stiffness), "mm", 2, ""),
            (full, 1e3 * float(bent.maximum), "mm", 2, "")]
