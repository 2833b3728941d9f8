"""Note names, tunings and fret places: equal temperament, A4 = 440 Hz.

Exact by definition: f = 440 * 2^((m - 69) / 12), m counted in semitones with A4 = 69; fret n lies at
L (1 - 2^(-n/12)) from the nut.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

import numpy as np

from tonewood.checks import length, number, whole
from tonewood.draws import Draws

_STEPS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
_NAMES = ("C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B")
_SHIFTS = {"#": 1, "♯": 1, "b": -1, "♭": -1, "": 0}

# Bass to treble; which tunings are in use is common practice, no source.
TUNINGS = {"six": "E2 A2 D3 G3 B3 E4", "six, half step down": "Eb2 Ab2 Db3 Gb3 Bb3 Eb4",
           "six, whole step down": "D2 G2 C3 F3 A3 D4", "six, dropped D": "D2 A2 D3 G3 B3 E4",
           "six, open D": "D2 A2 D3 F#3 A3 D4", "six, open G": "D2 G2 D3 G3 B3 D4",
           "six, D A D G A D": "D2 A2 D3 G3 A3 D4", "seven": "B1 E2 A2 D3 G3 B3 E4",
           "seven, dropped A": "A1 E2 A2 D3 G3 B3 E4", "eight": "F#1 B1 E2 A2 D3 G3 B3 E4",
           "eight, dropped E": "E1 B1 E2 A2 D3 G3 B3 E4", "bass four": "E1 A1 D2 G2",
           "bass four, dropped D": "D1 A1 D2 G2", "bass five": "B0 E1 A1 D2 G2"}


def note_number(name: str) -> int:
    """Semitone number of a note name (A4 = 69). Raises ValueError.

    >>> note_number("E2"), note_number("Bb3")
    (40, 58)
    """
    shown = str(name).strip()
    found = re.fullmatch(r"([A-Ga-g])([#♯b♭]?)(-?\d+)", shown)
    if not found:
        octave_left_out = re.fullmatch(r"[A-Ga-g]", shown)
        hint = f". Did you mean {shown.upper()}2 (the octave is missing)?" if octave_left_out else ""
        raise ValueError(f"note: {shown!r} given; accepted: a letter A to G, perhaps # or b, and an octave "
                         f"number, such as E2, F#1, Bb3{hint}")
    letter, sign, octave = found.groups()
    if not 0 <= int(octave) <= 8:
        raise ValueError(f"note: {name!r} given; accepted: octaves 0 to 8 (E2 is the low E of a "
                         "guitar, E1 of a bass)")
    return 12 * (int(octave) + 1) + _STEPS[letter.upper()] + _SHIFTS[sign]


def interval(semitones: Draws) -> Draws:
    """Ratio of the frequencies of two notes so many semitones apart, equal temperament; up is above 1. By
    definition. Raises ValueError.

    >>> interval(12), round(interval(-5), 4)
    (2.0, 0.7492)
    """
    return 2.0 ** (number("semitones", semitones, -200.0, 200.0) / 12.0)


def note_frequency(name: str, a4: float = 440.0) -> float:
    """Frequency in Hz of a note name. Raises ValueError.

    >>> round(note_frequency("E2"), 4)
    82.4069
    """
    return float(number("pitch of A4", a4, 380.0, 500.0, "Hz") * interval(note_number(name) - 69))


def note_name(number: int) -> str:
    """Name of a semitone number (A4 = 69), 0 to 127, sharps only; by definition. Raises ValueError.

    >>> note_name(40), note_name(note_number("Bb3"))
    ('E2', 'A#3')
    """
    n = whole("semitone number", number, 0, 127)
    return f"{_NAMES[n % 12]}{n // 12 - 1}"


def semitones(ratio: Draws) -> Draws:
    """How many semitones (frets) a ratio of frequencies makes: 12 log2; a cent is a hundredth. Arrays
    broadcast. Raises ValueError.

    >>> float(semitones(2.0)), round(float(semitones(185 / 196)), 2)
    (12.0, -1.0)
    """
    return 12.0 * np.log2(number("ratio of frequencies", ratio, 0.0, open_low=True))


def notes(tuning: str | Iterable[str]) -> tuple[str, ...]:
    """A tuning as a tuple of note names: a name in TUNINGS, note names in one text, or a sequence of them.
    Raises ValueError.

    >>> notes("bass four")
    ('E1', 'A1', 'D2', 'G2')
    """
    if isinstance(tuning, str):
        tuning = TUNINGS.get(tuning.strip(), tuning).replace(",", " ").split()
    names = tuple(str(name).strip() for name in tuning)
    for name in names:
        note_number(name)
    return names


def fret_position(scale_length: float, fret: Draws) -> Draws:
    """Distance (m) from nut to fret(s) by number, equal temperament; fret 0 is the nut. Raises ValueError.

    >>> float(fret_position(0.648, 12))
    0.324
    """
    scale = length("scale length", scale_length, 0.2, 1.5, open_low=False)
    return scale * (1.0 - interval(-number("fret number", fret, 0, 48)))
