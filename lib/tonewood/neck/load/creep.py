"""Creep: how relief grows while the strings stay on, as a wide band and not a forecast.

relief(t) = relief(0) (1 + phi(t)). phi reaches 0.6 indoors and 0.8 in a sheltered outdoor climate after about ten years, remembered from timber
practice (EN 1995-1-1, Table 3.2, k_def for service classes 1 and 2): from memory, unverified, and made for building timber. The path
phi(t) = phi_end (t / ten years)^0.3 is a plain display law whose exponent (0.2 to 0.4) is also from memory. The band takes both ends of the
exponent and a factor of 2 either way. Not in it: changing humidity, which adds creep of its own (direction: more), and recovery when strings come off.
It acts on the relief that lasting loads make, strings less rod: a neck held straight by its rod creeps less in bending.
"""

from dataclasses import dataclass

import numpy as np

from tonewood.checks import choice, number

DAY = 86400.0
YEAR = 365.25 * DAY
END = 10.0 * YEAR
FINAL = {"indoors": 0.6, "sheltered outdoors": 0.8}
EXPONENT = (0.2, 0.3, 0.4)
FACTOR = 2.0
STATUS = "from memory, unverified: structural-timber practice and a plain display law; true values within about a factor of 2"


@dataclass(frozen=True)
class Creep:
    """Relief under lasting load. time (T,) s; coefficient_low, _middle, _high: phi (T,); relief_low, _middle, _high: (…, T) m; status: its standing."""
    time: np.ndarray
    coefficient_low: np.ndarray
    coefficient_middle: np.ndarray
    coefficient_high: np.ndarray
    relief_low: np.ndarray
    relief_middle: np.ndarray
    relief_high: np.ndarray
    status: str = STATUS

    def table(self):
        """One row a time; mean over draws if there are any."""
        import pandas
        mean = lambda v: v.mean(0) if v.ndim > 1 else v
        return pandas.DataFrame({"time (days)": self.time / DAY, "phi, low (-)": self.coefficient_low, "phi, middle (-)": self.coefficient_middle,
                                 "phi, high (-)": self.coefficient_high, "relief, low (mm)": 1e3 * mean(self.relief_low),
                                 "relief, middle (mm)": 1e3 * mean(self.relief_middle), "relief, high (mm)": 1e3 * mean(self.relief_high)})


def coefficient(time, place="indoors"):
    """phi at time(s) (s): (low, middle, high), each shaped like time. Raises ValueError beyond ten years, where the law is not meant to go."""
    share = np.asarray(number("time under load", time, 0.0, END, "s", lambda v: "That is more than ten years" if v > END else None)) / END
    final = FINAL[choice("place", place, FINAL)]
    low, middle, high = (final * share**exponent for exponent in EXPONENT)
    # share is below 1, so the larger exponent gives the smaller creep.
    return np.minimum(low, high) / FACTOR, middle, np.maximum(low, high) * FACTOR


def creep(relief, time, place="indoors"):
    """Relief (m, one number or (D,)) over time(s) (s, one or (T,)) under lasting load. Returns Creep. Raises ValueError."""
    relief = np.asarray(number("relief", relief, -0.01, 0.01, "m", lambda v: f"Did you mean {v / 1000:g} m ({v:g} mm)?" if abs(v) < 10 else None))
    time = np.atleast_1d(np.asarray(number("time under load", time, 0.0, END, "s"), dtype=float))
    bands = coefficient(time, place)
    low, middle, high = (relief[..., None] * (1.0 + phi) for phi in bands)
    return Creep(time, *bands, low, middle, high)
