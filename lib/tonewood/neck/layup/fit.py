"""Whether the parts of a neck fit each other: plain geometry, no mechanics."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from tonewood.neck.layup.neck import Neck


def no_overlap(neck: Neck) -> None:
    """Raises ValueError (lengths in mm) for bars that do not lie in the wood, clear of each other and of the
    channel, at the nut where the neck is smallest and at the end.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> no_overlap(example_neck())
    """
    spans = []
    if neck.channel is not None:
        c = neck.channel
        spans.append(("rod channel", -c.width / 2, c.width / 2, c.depth))
        _under_slots(neck, "roof of the rod channel", c.below)
    for i, bar in enumerate(neck.bars):
        _under_slots(neck, f"top of bar {i + 1}", bar.below)
        spans.append((f"bar {i + 1}", bar.offset - bar.width / 2, bar.offset + bar.width / 2,
                      bar.below + bar.depth))
    for x in (0.0, neck.end):
        a, b = float(neck.outline.width(x)) / 2, float(neck.back.depth(x))
        for name, left, right, depth in spans:
            reach = max(abs(left), abs(right))
            if reach >= a:
                raise ValueError(f"{name}: reaches {1e3 * reach:.1f} mm from the centre line at x = "
                                 f"{1e3 * x:.0f} mm; "
                                 f"accepted: less than {1e3 * a:.1f} mm, the edge of the neck")
            room = -float(neck.back.surface(reach, a, b))
            if depth >= room:
                raise ValueError(f"{name}: {1e3 * depth:.1f} mm deep at x = {1e3 * x:.0f} mm; accepted: "
                                 f"less than {1e3 * room:.1f} mm, or it comes out of the back")
    ordered = sorted(spans, key=lambda s: s[1])
    for first, second in zip(ordered, ordered[1:], strict=False):
        if second[1] < first[2] - 1e-12:
            raise ValueError(f"{first[0]} and {second[0]} overlap: one ends at y = {1e3 * first[2]:.1f} mm, "
                             f"the next begins at {1e3 * second[1]:.1f} mm; accepted: clear of each other")


def _under_slots(neck: Neck, name: str, below: float) -> None:
    slots = neck.fretboard.slot_depth
    if not neck.fretboard.layers and below < slots:
        raise ValueError(f"{name}: {1e3 * below:g} mm below the frets of a neck without a fretboard given; "
                         f"accepted: {1e3 * slots:g} mm, the depth of the fret slots, or more. Without a "
                         "fretboard it is cut from the back and closed with a strip")


def no_crossing(neck: Neck) -> None:
    """Raises ValueError (lengths in mm) for glue lines that lean or run aslant so far that they meet each
    other, or the sides of the blank, in the neck.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> no_crossing(example_neck())
    """
    for x in (0.0, neck.end):
        for z in (0.0, -float(neck.back.depth(x))):
            thinnest = np.diff(neck.layup.edges_at(x, z))
            if thinnest.min() <= 0:
                k = int(np.argmin(thinnest))
                raise ValueError(f"stripe {k + 1}: {1e3 * thinnest[k]:.1f} mm wide at x = {1e3 * x:.0f} mm, "
                                 f"{-1e3 * z:.0f} mm below the fretboard, where its glue lines lean or "
                                 "taper; accepted: more than 0 mm. Use smaller angles or a wider stripe")
