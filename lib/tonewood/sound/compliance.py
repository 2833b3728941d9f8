"""How much a neck gives along one string: a pull of one newton shortens and bends the wood between fret and body, and the string's ends approach."""

import numpy as np

from tonewood import checks
from tonewood.neck.load.setup import Setup
from tonewood.neck.section.section import section


def give_along(neck, strings, index, fret=0, setup=Setup(), stations=40):
    """Approach of the string's ends per newton of its pull, m/N: integral of 1/EA + e^2/EI from the fret to the body, e the string's height
    above the stiffness axis. Float, or (D,) for a neck with draws.

    neck: neck.design.Neck; strings: neck.strings.StringSet; index: 0 for the bass-most; fret: 0 open. Slow pull; the body, far stiffer, and what
    lies behind the fret are left out. Plane sections (any mechanics text). Raises ValueError.
    """
    count = len(strings)
    index = int(checks.number("string (0 is the bass-most)", index, 0, count - 1))
    start, end = float(neck.fret(checks.number("fret", fret, 0, neck.frets - 1))), float(neck.body_start or neck.end)
    if start >= end:
        raise ValueError(f"fret: {fret:g} given; accepted: a fret before the body, which begins {1e3 * end:.0f} mm from the nut")
    x = np.linspace(start, end, int(checks.number("stations", stations, 3, 1000)))
    s = section(neck, x)
    arm = setup.heights(neck, x, count)[index] - s.z_bar
    give = np.trapezoid(1 / s.EA + arm**2 / s.EI, x, axis=-1)
    return float(give) if np.ndim(give) == 0 else give
