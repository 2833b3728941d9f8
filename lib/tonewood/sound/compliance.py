"""How much a neck gives along one string: a newton of pull shortens and bends it, and the string's ends
approach."""

from __future__ import annotations

import numpy as np

from tonewood import checks
from tonewood.draws import Draws
from tonewood.neck.layup.neck import Neck
from tonewood.neck.load.setup import Setup
from tonewood.neck.section.section import section
from tonewood.strings.wire import StringSet


def compliance_along(neck: Neck, strings: StringSet, index: int, fret: float = 0, setup: Setup = Setup(),
                     stations: int = 40) -> Draws:
    """Approach of the string's ends per newton of its pull, m/N: integral of 1/EA + e^2/EI from the fret to
    the body.

    e: height of the string above the stiffness axis; index: 0 for the bass-most; fret: 0 open. Float, or (D,)
    for a neck with draws. Slow pull; the far stiffer body, and what lies behind the fret, are left out. Plane
    sections (beam theory). Raises ValueError.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> from tonewood.strings.sets import string_set
    >>> round(1e7 * compliance_along(example_neck(), string_set("six"), 0), 1)
    2.2
    """
    count = len(strings)
    index = checks.whole("string (0 is the bass-most)", index, 0, count - 1)
    start = float(neck.fret(checks.number("fret", fret, 0, neck.frets - 1)))
    end = float(neck.body_start or neck.end)
    if start >= end:
        raise ValueError(f"fret: {fret:g} given; accepted: a fret before the body, which begins "
                         f"{1e3 * end:.0f} mm from the nut")
    x = np.linspace(start, end, checks.whole("stations", stations, 3, 1000))
    s = section(neck, x)
    arm = setup.heights(neck, x, count)[index] - s.z_bar
    compliance = np.trapezoid(1 / s.EA + arm**2 / s.EI, x, axis=-1)
    return float(compliance) if np.ndim(compliance) == 0 else compliance
