"""Whether the parts of a neck fit each other: plain geometry, no mechanics."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from tonewood import checks
from tonewood.draws import Array, written
from tonewood.neck.layup.shapes import Back, Bar, Channel, Outline


def no_overlap(outline: Outline, back: Back, channel: Channel | None, bars: tuple[Bar, ...], slots: float,
               end: float) -> None:
    """Raises ValueError (lengths in mm) for bars that do not lie in the wood, clear of each other, of the
    channel and of fret slots cut `slots` (m) into the neck's own wood, at the nut where the neck is smallest
    and at its end (m).

    >>> no_overlap(Outline(), Back(), Channel(), (), 0.0, 0.46)
    """
    slots = float(checks.length("slots cut into the neck", slots, 0.0, 0.01, open_low=False))
    end = float(checks.length("end of the neck", end, 0.05, 2.0))
    spans = []
    if channel is not None:
        spans.append(("rod channel", -channel.width / 2, channel.width / 2, channel.depth))
        _under_slots(slots, "roof of the rod channel", channel.below)
    for i, bar in enumerate(bars):
        _under_slots(slots, f"top of bar {i + 1}", bar.below)
        spans.append((f"bar {i + 1}", bar.offset - bar.width / 2, bar.offset + bar.width / 2,
                      bar.below + bar.depth))
    for x in (0.0, end):
        a, b = float(outline.width(x)) / 2, float(back.depth(x))
        for name, left, right, depth in spans:
            reach = max(abs(left), abs(right))
            if reach >= a:
                raise ValueError(f"{name}: reaches {1e3 * reach:.1f} mm from the centre line at x = "
                                 f"{1e3 * x:.0f} mm; "
                                 f"accepted: less than {1e3 * a:.1f} mm, the edge of the neck")
            room = -float(back.surface(reach, a, b))
            if depth >= room:
                raise ValueError(f"{name}: {1e3 * depth:.1f} mm deep at x = {1e3 * x:.0f} mm; accepted: "
                                 f"less than {1e3 * room:.1f} mm, or it comes out of the back")
    ordered = sorted(spans, key=lambda s: s[1])
    for first, second in zip(ordered, ordered[1:], strict=False):
        if second[1] < first[2] - 1e-12:
            raise ValueError(f"{first[0]} and {second[0]} overlap: one ends at y = {1e3 * first[2]:.1f} mm, "
                             f"the next begins at {1e3 * second[1]:.1f} mm; accepted: clear of each other")


def _under_slots(slots: float, name: str, below: float) -> None:
    if below < slots:
        raise ValueError(f"{name}: {1e3 * below:g} mm below the frets of a neck without a fretboard given; "
                         f"accepted: {1e3 * slots:g} mm, the depth of the fret slots, or more. Without a "
                         "fretboard it is cut from the back and closed with a strip")


def no_crossing(edges_at: Callable[[float, float], Array], back: Back, end: float) -> None:
    """Raises ValueError (lengths in mm) for glue lines that lean or run aslant so far that they meet each
    other, or the sides of the blank, in the neck. edges_at: Layup.edges_at; end: where the neck ends (m).

    >>> no_crossing(lambda x, z: np.array([-0.03, 0.0, 0.03]), Back(), 0.46)
    """
    for x in (0.0, float(checks.length("end of the neck", end, 0.05, 2.0))):
        for z in (0.0, -float(back.depth(x))):
            thinnest = np.diff(edges_at(x, z))
            if thinnest.min() <= 0:
                k = int(np.argmin(thinnest))
                raise ValueError(f"stripe {k + 1}: {written(1e3 * thinnest[k], 1)} mm wide {1e3 * x:.0f} mm "
                                 f"from the nut, {abs(1e3 * z):.0f} mm below the fretboard, where its glue "
                                 "lines lean or taper; accepted: more than 0 mm. Use smaller angles or a "
                                 "wider stripe")
