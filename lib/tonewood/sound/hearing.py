"""Just-noticeable differences of hearing, each with its source, to set beside computed differences.

They say what listeners notice in quiet, attentive comparison. A difference below them is unlikely to be
heard; a difference above them may still go unheard in music. Values, sources and status: data/hearing.csv.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tonewood import checks
from tonewood.draws import Draws
from tonewood.remember import remember
from tonewood.strings.pitch import semitones
from tonewood.tables import read_table


@dataclass(frozen=True, kw_only=True)
class Threshold:
    """One row of data/hearing.csv: quantity, value, unit, source (key of sources.csv), place, status and
    note."""

    quantity: str
    value: float
    unit: str
    source: str
    place: str
    status: str
    note: str = ""


@remember(1)
def thresholds() -> dict[str, Threshold]:
    """All thresholds by quantity, each with source and status. Raises ValueError for a faulty table.

    >>> thresholds()["shorter decay"].value
    0.75
    """
    return {row["quantity"]: Threshold(**row) for row in read_table("hearing.csv")}


def _value(quantity: str) -> float:
    return thresholds()[quantity].value


def decibels(power: Any) -> Any:
    """Level of a power over a reference of 1, 10 log10 (dB), by definition; silence is shown as -300 dB.
    Raises ValueError.

    >>> float(decibels(100.0)), float(decibels(0.0))
    (20.0, -300.0)
    """
    return 10 * np.log10(np.maximum(checks.number("power", power), 1e-30))


def level_step(sensation_level: Draws = 60.0) -> Draws:
    """Smallest level difference noticed between two tones (dB) at a level above the threshold of hearing
    (dB).

    10 log10(1 + 0.463 (I/I0)^-0.072): source jesteadt-1977. Raises ValueError.

    >>> round(float(level_step()), 2)
    0.69
    """
    sensation_level = checks.number("sensation level", sensation_level, 0.0, 120.0, "dB")
    intensity = 10 ** (sensation_level / 10)
    return decibels(1 + _value("level step factor") * intensity ** _value("level step exponent"))


def equivalent_rectangular_bandwidth(frequency: Draws) -> Draws:
    """Bandwidth of the ear's filter at a frequency (Hz), Hz. Source: ansi-s3.4-2007. Raises ValueError.

    >>> round(float(equivalent_rectangular_bandwidth(1000.0)), 1)
    132.4
    """
    frequency = checks.frequency("frequency", frequency, 20.0, 20000.0)
    return _value("ear filter at 0 Hz") * (_value("ear filter growth") * frequency + 1)


def glide_threshold(frequency: Draws) -> Draws:
    """Weakest initial pitch glide most listeners notice at a frequency (Hz), cents: a tenth of the ear's
    filter.

    Source: jarvelainen-valimaki-2001. Raises ValueError.

    >>> round(float(glide_threshold(110.0)))
    57
    """
    glide = _value("pitch glide") * equivalent_rectangular_bandwidth(frequency)
    return 100 * semitones(1 + glide / np.asarray(frequency, dtype=float))


def decay_noticed(ratio: Draws) -> NDArray[np.bool_]:
    """Whether a ratio of two decay times leaves the range heard as the same: True or False, shape of `ratio`.

    Source: tolonen-jarvelainen-2000, the upper end from memory. Raises ValueError.

    >>> decay_noticed(np.array([0.7, 1.3])).tolist()
    [True, False]
    """
    ratio = np.asarray(checks.number("ratio of decay times", ratio, 0.0, None, open_low=True))
    return (ratio < _value("shorter decay")) | (ratio > _value("longer decay"))
