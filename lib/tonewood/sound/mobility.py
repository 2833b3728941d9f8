"""How willingly the instrument moves where a string ends: mobility (velocity per force) at any fret, normal
to the fretboard.

Y(x) = sum over modes of i w phi(x)^2 / (w_k^2 - w^2 + i eta_k w_k w), time factor exp(+i w t), by definition.
The instrument as a rigid body belongs to the sum, with w_k = 0: it carries no loss but shifts the pitch, and
leaving it out falsifies the low notes. The real part, the conductance, is what drains a string; it is never
negative.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from tonewood import checks
from tonewood.sound.coupled import string_ends
from tonewood.sound.modes import Modes
from tonewood.sound.partials import ComplexArray


def mobility(modes: Modes, x: ArrayLike, frequency: ArrayLike, y: float = 0.0) -> ComplexArray:
    """Driving-point mobility of an instrument at P places for F frequencies: complex, s/kg, (P, F) or (D, P,
    F).

    x: places (P,) from the nut, m (a fret: neck.fret(n)); frequency: (F,) Hz, above 0; y: offset from the
    centre line (m), which adds the twisting modes if they were solved. Raises ValueError for a place off the
    instrument or a frequency of 0.

    >>> from tonewood.sound.beam import Beam
    >>> from tonewood.sound.modes import beam_modes
    >>> found = beam_modes(Beam(np.linspace(0, 0.9, 31), 500.0, 1.0), 4, added_loss=0.01)
    >>> mobility(found, [0.0, 0.45], 98.3).real.round(2).tolist()
    [[0.72], [0.27]]
    """
    frequency = checks.frequency("frequency", frequency, 1.0, 20e3)
    w = 2 * np.pi * np.atleast_1d(frequency)
    place = np.atleast_1d(np.asarray(checks.number("place on the instrument", x, unit="m")))
    ends = string_ends(modes, place, place, y, y).beside_notes                       # (..., P, 1, N)
    return 1j * w * np.sum(ends.fret**2 * ends.receptance(w), axis=-1)
