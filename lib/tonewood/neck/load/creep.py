"""Creep: how relief grows while the strings stay on, as a wide band and not a forecast.

relief(t) = relief(0) (1 + phi(t)), phi(t) = phi_end (t / ten years)^n: a plain display law. Its end values,
exponent and the factor either way are the creep rows of data/rules.csv, remembered and made for building
timber; the band takes both ends of the exponent and the factor. Not in it: changing humidity, which adds
creep of its own (direction: more), and recovery when strings come off. It acts on the relief that lasting
loads make, strings less rod: a neck held straight by its rod creeps less in bending.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from tonewood.checks import choice, length, number
from tonewood.draws import Array, Draws, single
from tonewood.wood.facts import rule

if TYPE_CHECKING:
    import pandas

DAY = 86400.0
YEAR = 365.25 * DAY
END = 10.0 * YEAR
PLACES = ("indoors", "sheltered outdoors")


@dataclass(frozen=True, kw_only=True)
class Creep:
    """Relief under lasting load. time (T,) s; coefficient_low, _middle, _high: phi (T,); relief_low, _middle,
    _high: (…, T) m."""

    time: Array
    coefficient_low: Array
    coefficient_middle: Array
    coefficient_high: Array
    relief_low: Array
    relief_middle: Array
    relief_high: Array

    def table(self) -> pandas.DataFrame:
        """DataFrame: one row a time; mean over draws if there are any."""
        import pandas

        columns = {"time (days)": self.time / DAY}
        for name, scale, shown in (("coefficient", 1.0, "phi, {} (-)"), ("relief", 1e3, "relief, {} (mm)")):
            for end in ("low", "middle", "high"):
                columns[shown.format(end)] = scale * single(getattr(self, f"{name}_{end}"))
        return pandas.DataFrame(columns)


def coefficient(time: Draws, place: str = "indoors") -> tuple[Draws, Draws, Draws]:
    """phi at time(s) (s) in one of PLACES: (low, middle, high), each shaped like time. Raises ValueError
    beyond ten years, where the law is not meant to go.

    >>> [round(float(phi), 2) for phi in coefficient(30 * DAY)]
    [0.04, 0.14, 0.46]
    """
    share = np.asarray(number("time under load", time, 0.0, END, "s",
                              lambda v: "That is more than ten years" if v > END else None)) / END
    final = rule(f"creep_{choice('place', place, PLACES).replace(' ', '_')}").value
    exponent, factor = rule("creep_exponent"), rule("creep_factor").value
    # share is below 1, so the larger exponent gives the smaller creep.
    low, middle, high = (final * share**n for n in (exponent.high, exponent.value, exponent.low))
    return low / factor, middle, high * factor


def creep(relief: Draws, time: Draws, place: str = "indoors") -> Creep:
    """Relief (m, one number or (D,)) over time(s) (s, one or (T,)) under lasting load. Raises ValueError.

    >>> (1e3 * creep(0.0003, [DAY, END]).relief_middle).round(3).tolist()
    [0.315, 0.48]
    """
    relief = np.asarray(length("relief", relief, -0.01, 0.01, open_low=False))
    time = np.atleast_1d(np.asarray(number("time under load", time, 0.0, END, "s"), dtype=float))
    low, middle, high = (np.asarray(phi) for phi in coefficient(time, place))
    grown_low, grown_middle, grown_high = (relief[..., None] * (1.0 + phi) for phi in (low, middle, high))
    return Creep(time=time, coefficient_low=low, coefficient_middle=middle, coefficient_high=high,
                 relief_low=grown_low, relief_middle=grown_middle, relief_high=grown_high)
