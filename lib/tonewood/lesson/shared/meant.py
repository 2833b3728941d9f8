"""What a typed number means, said back: an angle in radians where degrees are asked, or °F where °C are, lies
within what is accepted and cannot be refused, but its meaning shows the slip."""

from __future__ import annotations

import numpy as np

from tonewood.draws import written

RADIANS = {"ring_angle": 3.2, "run_out": 0.35, "slope": 0.35}
"""Degrees up to which a value may have been meant in radians: half a turn, or the steepest grain."""


def cut(ring_angle: float) -> str:
    """What a shop calls rings at this angle (degrees): flat-sawn up to 25°, rift up to 65°, else quarter-sawn
    (common practice, no source)."""
    return "flat-sawn" if ring_angle <= 25 else "rift" if ring_angle < 65 else "quarter-sawn"


def meant(name: str, value: float) -> str:
    """What a ring angle, run-out or slope (rad) or a temperature (°C) means: "quarter-sawn", "1 in 19",
    "90 °F"; with what it would be if it was meant in radians. "" for other names.

    >>> meant("ring_angle", np.radians(1.5)), meant("run_out", 0.0)
    ('flat-sawn; if 1.5 was in radians, it is 85.9°', 'straight')
    """
    if name == "temperature":
        return f"{written(1.8 * value + 32, 0)} °F"
    if name not in RADIANS:
        return ""
    degrees = float(np.degrees(value))
    said = cut(min(abs(degrees), 180 - abs(degrees))) if name == "ring_angle" else (
        f"1 in {written(1 / np.tan(abs(value)), 0)}" if degrees else "straight")
    if 0 < abs(degrees) <= RADIANS[name]:
        said += f"; if {written(degrees, None)} was in radians, it is {written(np.degrees(degrees), 1)}°"
    return said
