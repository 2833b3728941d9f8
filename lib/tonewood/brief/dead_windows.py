"""Where a mode of the instrument must lie for a named note to be dead. Model: sound.decay."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from tonewood import checks
from tonewood.brief.quick import Terms

STEPS = 41      # places tried over four semitones


@dataclass(frozen=True)
class Window:
    """A named note dies while bending mode `mode` (from 0) lies between these frequencies, Hz."""

    note: str
    mode: int
    low: float
    high: float


def windows_for(notes: Iterable[tuple[int, int]], terms: Terms) -> tuple[Window, ...]:
    """The Windows of named notes (string from 0 at the bass, fret): where each of the first modes would have
    to lie for the note to be dead (sound.decay), found by moving one mode at a time over 2 semitones either
    way.
    The loss of other lay-ups is taken as the base neck's. Raises ValueError for a note that is not there.

    >>> from tonewood.neck.design import example_design
    >>> terms = Terms(base=example_design(), woods=("wenge",), draws=50)
    >>> [(w.note, w.mode) for w in windows_for([(3, 5)], terms)]
    [('string 4, fret 5', 1)]
    """
    from tonewood.sound.dead_notes import note_decay
    from tonewood.sound.instrument import Instrument
    from tonewood.sound.modes import modes
    from tonewood.strings.pitch import interval, note_frequency

    base = terms.base
    neck, strings, setup = base.neck(), base.string_set(), base.setup()
    plain = modes(Instrument(neck), max(terms.modes, 1), 0)
    found = []
    for string, fret in notes:
        checks.whole("string (0 is the bass-most)", string, 0, len(strings) - 1)
        checks.whole("fret", fret, 0, base.frets)
        pitch = note_frequency(strings.tuning[string]) * interval(fret)
        places = np.asarray(pitch * interval(np.linspace(-2, 2, STEPS)))
        for k in range(terms.modes):
            if not 0.5 < pitch / plain.frequency[k] < 2.0:
                continue
            tried = np.repeat(plain.frequency[None], STEPS, axis=0)
            tried[:, k] = places
            fields: dict[str, Any] = {name: np.repeat(np.asarray(getattr(plain, name))[None], STEPS, axis=0)
                                      for name in ("loss_factor", "shape", "slope", "mass", "centre",
                                                   "inertia", "energy_share", "loss_share")}
            many = replace(plain, frequency=tried, **fields)
            dead = note_decay(many, neck, strings, string, fret, setup=setup).dead[:, 0, 0]
            if dead.any():
                at = places[dead]
                found.append(Window(f"string {string + 1}, fret {fret}", k, float(at.min()), float(at.max())))
    return tuple(found)
