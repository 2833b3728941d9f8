"""What to measure on the way from the boards to the strung neck, with what the drawing foretells of each
reading: before glue, on the glued blank, before and after the strings.

The readings are those of the bench and of its log, under the same names, so that what is found can be kept
and compared. Sources: bench.foretold, which makes each reading on possible necks of the design; its bands
hold the boards, the building and the reading itself.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from tonewood.bench.foretold import READ, foretell
from tonewood.bench.readings import KINDS, Reading
from tonewood.brief.cut_list import CutList
from tonewood.constants import GRAVITY
from tonewood.draws import Array
from tonewood.neck.load.rod import Rod

WEIGHT = 10.0
"""Weight (kg) hung from the blank for its sag."""


@dataclass(frozen=True, kw_only=True)
class Checkpoint:
    """One thing to measure: kind, its name in the log; step of the work; what to do, with {} for each of
    `sizes`, (value, unit) that a reader may want in other units; unit and decimals to write; band: 5, 50 and
    95 % points (3,) of the reading, in that unit; aim: what to make it, in that unit, or None."""

    kind: str
    step: str
    what: str
    unit: str
    decimals: int
    band: Array = field(repr=False)
    aim: float | None = None
    sizes: tuple[tuple[float, str], ...] = ()


def checkpoints(cut: CutList, rod: Rod | None = None, target: float = 0.0002, span: float = 0.8,
                draws: int = 1000) -> tuple[Checkpoint, ...]:
    """Every Checkpoint in the order of the work. rod: None for none; target: gap (m) the neck leaves with;
    span (m): for the sag under WEIGHT, brought down to what the blank is long enough for, in steps of 50 mm;
    draws: possible necks, a number. Raises ValueError.

    >>> from tonewood.brief.cut_list import cut_list
    >>> from tonewood.neck.design import example_design
    >>> [c.kind for c in checkpoints(cut_list(example_design()), draws=100)][:3]
    ['moisture meter', 'blank weight', 'blank sag']
    """
    design, blank = cut.design, cut.blank
    span = min(span, 0.05 * int((blank.length - 0.02) / 0.05))
    told = foretell(design, rod, left=target, draws=draws)
    fret = min(READ, design.frets - 1)

    def point(kind: str, step: str, what: str, decimals: int, aim: float | None = None,
              sizes: tuple[tuple[float, str], ...] = (), **how: Any) -> Checkpoint:
        of = KINDS[kind]
        middle = of.si * (of.low + of.high) / 2
        read = Reading(neck=design.name, kind=kind, value=middle, date=told.delivered, **how)
        likely = float(np.clip(np.median(told.predicted(read)) / of.si, of.low, of.high))
        found = told.foretold(replace(read, value=of.si * likely))
        return Checkpoint(kind=kind, step=step, what=what, unit=of.unit, decimals=decimals,
                          band=found / of.si, aim=aim, sizes=sizes)

    moisture = 100 * design.shop_moisture
    points = [
        Checkpoint(kind="moisture meter", step="before glue", what="Moisture of every board", unit="%",
                   decimals=1, band=np.full(3, moisture), aim=moisture),
        point("blank weight", "glued blank, trued", "Weight of the blank, no channel, no fretboard", 0,
              length=blank.length, thickness=blank.depth),
        point("blank sag", "glued blank, trued", "Sag in the middle under {} more, on two round sticks {} "
              "apart, fretboard side up", 3, sizes=((WEIGHT, "kg"), (1e3 * span, "mm")),
              load=WEIGHT * GRAVITY, span=span, thickness=blank.depth),
        point("gap, strings off", "fretted, no strings", f"Gap at fret {fret}, rod slack", 2, 0.0, fret=fret),
        point("gap, strings on", "strung to pitch", f"Gap at fret {fret}, rod still slack", 2, fret=fret)]
    if rod is not None:
        points.append(point("rod turns", "rod set", "Turns of the nut from finger tight, until the gap at "
                            f"fret {fret} is {{}}", 2, sizes=((1e3 * target, "mm"),)))
    return tuple(points)
