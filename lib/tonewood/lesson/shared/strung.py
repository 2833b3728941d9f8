"""A design's neck under its strings, rod slack, and what tangs wider than their slots do to it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from tonewood.draws import Draws
from tonewood.lesson.shared import shop
from tonewood.neck.design import Design
from tonewood.neck.layup.neck import Neck
from tonewood.neck.load.relief import Relief, fret_wedge, relief
from tonewood.wood.facts import rule


def strung(neck: Neck, design: Design, tang: float = 0.0, kept: Draws | None = None) -> Relief:
    """Relief, rod slack, of a neck built after `design`.

    tang (m): by how much the tangs are wider than their slots; such tangs bear fully whatever the neck says.
    kept: the share of it that still wedges, a number or (D,); None: drawn evenly within its band (rule
    tang_kept), or its middle for a neck without draws.
    """
    extra: tuple[Draws, Draws] | float = 0.0
    if tang > 0.0:
        neck = replace(neck, fretboard=replace(neck.fretboard, slot_fill=1.0))
        if kept is None:
            share = rule("tang_kept")
            kept = share.value if neck.draws is None else np.random.default_rng(shop.SEED + 4).uniform(
                *share.limits, neck.draws)
        extra = fret_wedge(neck, tang * kept)
    return relief(neck, design.string_set(), design.setup(), design.body_joint(), extra)


def wedged(neck: Neck, design: Design, tang: float, kept: Draws | None = None, fret: int = 8) -> Draws:
    """What the tangs' wedging alone does to the relief at a fret, m, negative: back bow."""
    if tang <= 0.0:
        return 0.0
    with_tangs = strung(neck, design, tang, kept)
    bearing = replace(neck, fretboard=replace(neck.fretboard, slot_fill=1.0))
    return with_tangs.at(fret) - strung(bearing, design).at(fret)
