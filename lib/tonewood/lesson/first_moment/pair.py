"""The two invented necks of the attack lesson, one stiff and one flexible, surveyed on every note."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tonewood.draws import Array
from tonewood.lesson.first_moment.model import LAST_FRET, STRINGS
from tonewood.lesson.shared.notes_played import Note, first_moments, note
from tonewood.lesson.shared.shop import NECK_12, changed
from tonewood.remember import remember
from tonewood.sound.attack import TIMES

STIFF, FLEXIBLE = "the stiff wenge neck", "the flexible limba neck"
NECKS = {name: changed(NECK_12, name=name, main=wood, stripes=1)
         for name, wood in ((STIFF, "wenge"), (FLEXIBLE, "limba"))}
"""Offered to the invented client Ines: neck No. 12 made of one piece, its shape and fretboard kept, boards of
exactly average numbers."""


@dataclass(frozen=True, eq=False)
class Survey:
    """One neck over all six strings and frets 0 to 19, the start stroke: fall (6, 20) from 5 to 200 ms and
    level at 5 ms (dB), rows from the low E; *_draws (100, 6, 20): of 100 such necks."""

    fall: Array
    level: Array
    fall_draws: Array
    level_draws: Array


@remember(4)
def survey(name: str) -> Survey:
    """Survey of one of the two necks, STIFF or FLEXIBLE."""
    found = []
    for many in (False, True):                      # two frets at a time stay in the processor's cache
        reads = (first_moments(NECKS[name], (fret, fret + 1), many) for fret in range(0, LAST_FRET + 1, 2))
        levels = np.concatenate([read.level([TIMES[0], TIMES[-1]]) for read in reads], axis=-2)
        found += [levels[..., 0] - levels[..., 1], levels[..., 0]]
    return Survey(*found)


def most_different(name: str = FLEXIBLE) -> Note:
    """The note, on one of the two necks, whose fall in the first 200 ms differs most between them."""
    apart = np.abs(survey(FLEXIBLE).fall - survey(STIFF).fall)
    row, fret = np.unravel_index(int(np.argmax(apart)), apart.shape)
    return note(NECKS[name], STRINGS - int(row), int(fret))
