"""Creep: how relief grows while the strings stay on, as a wide band and not a forecast.

relief(t) = relief(0) (1 + phi(t)), phi(t) = phi_end (t / ten years)^n: a plain display law. Its end values,
exponent and the factor either way are the creep rows of data/rules.csv, remembered and made for building
timber; the band takes both ends of the exponent and the factor. Not in it: changing humidity, which adds
creep of its own (direction: more), and recovery when strings come off. It acts on the relief that lasting
loads make, strings less rod: a neck held straight by its rod creeps less in bending.
"""

from __future__ import annotations

import numpy as np

from tonewood.checks import choice, length, number
from tonewood.constants import YEAR
from tonewood.draws import Array, Draws
from tonewood.wood.facts import rule

END = 10.0 * YEAR
PLACES = ("indoors", "sheltered outdoors")


def coefficient(time: Draws, place: str = "indoors") -> Array:
    """phi (3, …), low, middle and high, at time(s) (…) in s, in one of PLACES. Raises ValueError beyond ten
    years, where the law is not meant to go.

    >>> from tonewood.constants import DAY
    >>> coefficient(30 * DAY).round(2).tolist()
    [0.04, 0.14, 0.46]
    """
    share = np.asarray(number("time under load", time, 0.0, END, "s",
                              lambda v: "That is more than ten years" if v > END else None)) / END
    final = rule(f"creep_{choice('place', place, PLACES).replace(' ', '_')}").value
    exponent, factor = rule("creep_exponent"), rule("creep_factor").value
    low, high = exponent.limits
    # share is below 1, so the larger exponent gives the smaller creep.
    return final * np.stack([share**high / factor, share**exponent.value, share**low * factor])


def creep(relief: Draws, time: Draws, place: str = "indoors") -> Array:
    """Relief (m, one number or (D,)) after time(s) (s, one or (T,)) under lasting load: low, middle and high,
    (3, …, T), m. Raises ValueError.

    >>> from tonewood.constants import DAY
    >>> (1e3 * creep(0.0003, [DAY, END])).round(3).tolist()
    [[0.303, 0.39], [0.315, 0.48], [0.37, 0.66]]
    """
    relief = np.asarray(length("relief", relief, -0.01, 0.01, open_low=False))
    time = np.atleast_1d(np.asarray(number("time under load", time, 0.0, END, "s")))
    return np.stack([relief[..., None] * (1.0 + band) for band in coefficient(time, place)])
