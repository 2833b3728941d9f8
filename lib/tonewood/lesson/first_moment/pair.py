"""The two invented necks of the attack lesson, one stiff and one flexible, surveyed on every note."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from tonewood.lesson.first_moment.figure import defaults
from tonewood.lesson.first_moment.model import DRAWS, ends_of, guitar, strings, stroke
from tonewood.sound.attack import TIMES
from tonewood.sound.early_decay import early_decay
from tonewood.sound.partials import speaking_string

STIFF, FLEXIBLE = "the stiff wenge neck", "the flexible limba neck"
NECKS = {STIFF: {"wood": "wenge", "stripes": 1.0, "depth": 20.5}, FLEXIBLE: {"wood": "limba", "stripes": 1.0, "depth": 20.5}}
"""Offered to the invented client Ines: one piece each, same shape, same rosewood fretboard, boards of exactly average numbers."""
STROKE = ("pick", "strength", "direction", "pickup")
FRETS = 20


def start_stroke(**changes):
    """Keywords of a pluck for the start values of the sliders, with changes in people's units."""
    values = {**defaults(), **changes}
    return stroke(**{name: values[name] for name in STROKE})


@dataclass(frozen=True, eq=False)
class Survey:
    """One neck over all six strings and frets 0 to 19, the start stroke: fall (6, 20) from 5 to 200 ms and level at 5 ms (dB), rows from the low E;
    *_draws (100, 6, 20): of 100 such necks."""

    fall: np.ndarray
    level: np.ndarray
    fall_draws: np.ndarray
    level_draws: np.ndarray


@lru_cache(maxsize=4)
def survey(name):
    """Survey of one of the two necks, STIFF or FLEXIBLE."""
    neck, normal, along, many, _ = guitar(**NECKS[name])
    found = []
    for string in range(6, 0, -1):
        for fret in range(FRETS):
            line, side = speaking_string(strings(), 6 - string, fret), ends_of(neck, along, string, fret)
            for modes in (normal, many):
                q = early_decay(line, ends_of(neck, modes, string, fret), side, harmonics=10, **start_stroke())
                found.append(np.stack([q.fall([TIMES[-1]])[..., 0], q.level([TIMES[0]])[..., 0]]))
    one = np.array(found[0::2]).reshape(6, FRETS, 2)
    hundred = np.moveaxis(np.array(found[1::2]).reshape(6, FRETS, 2, DRAWS), -1, 0)
    return Survey(one[..., 0], one[..., 1], hundred[..., 0], hundred[..., 1])


def most_different():
    """(string, fret) of the note whose fall in the first 200 ms differs most between the two necks of average boards."""
    apart = np.abs(survey(FLEXIBLE).fall - survey(STIFF).fall)
    row, fret = np.unravel_index(int(np.argmax(apart)), apart.shape)
    return 6 - int(row), int(fret)
