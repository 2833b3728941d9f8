"""The truss rod of usual sizes that goes into a neck's channel.

Sizes are round numbers, common practice, no source; give the sizes of the rod in hand to Rod itself.
"""

from __future__ import annotations

from typing import Any

from tonewood.checks import choice
from tonewood.neck.layup.neck import Channel, Neck
from tonewood.neck.load.rod import Rod

ROD_BAR, ROD_SHORT = 0.005, 0.036
"""Thickness of the bars of a usual truss rod, and how far before the last fret it ends (m)."""
ROOM = Channel(width=0.006, depth=0.010)
"""The channel a rod is given where a neck has none."""


def usual_rod(neck: Neck, kind: str = "double-acting") -> Rod:
    """The Rod of a neck: bars of 5 mm, or as thick as the channel lets them be. kind: "double-acting", lying
    straight, or "single-acting", dipping 3 mm to the bottom of the channel. Raises ValueError.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> usual_rod(example_neck()).unit, round(usual_rod(example_neck()).diameter, 4)
    ('N m', 0.005)
    """
    room = neck.channel or ROOM
    bar = min(ROD_BAR, room.width, (room.depth - room.below) / 2)
    ends: dict[str, Any] = {"start": max(0.010, room.start), "end": min(neck.end - ROD_SHORT, room.end),
                            "diameter": bar}
    if choice("truss rod", kind, ("double-acting", "single-acting")) == "double-acting":
        return Rod(**ends, gap=bar, depth_ends=room.below + bar, depth_middle=room.below + bar)
    middle = room.depth - bar / 2
    return Rod.single(**ends, depth_ends=max(middle - 0.003, room.below + bar / 2), depth_middle=middle)
