"""Dead notes: which mode makes each, how far it may wander along its string, and one note with all that is
not known about it.

A note dies where its pitch meets a mode that moves much at the fret. If the mode is a semitone higher, the
dead note lies a fret higher; so what is not known about a mode's frequency is not known about the place of
the dead note, one fret for each 6 %. Model: sound.decay.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from tonewood import checks
from tonewood.draws import Z90, Array, band
from tonewood.neck.layup.neck import Neck
from tonewood.neck.load.setup import Setup
from tonewood.sound.decay import REACH, Decay, decay_of, string_places
from tonewood.sound.modes import Modes
from tonewood.strings.pitch import note_name, note_number, semitones
from tonewood.strings.wire import StringSet


def mode_names(modes: Modes) -> tuple[str, ...]:
    """Names of the modes in the order of Modes.all_at: the rigid motions, then "bending 1" …, then "twist 1"
    ….

    >>> from tonewood.sound.beam import Beam
    >>> from tonewood.sound.modes import beam_modes
    >>> mode_names(beam_modes(Beam(np.linspace(0, 1, 9), 100.0, 1.0), 2))
    ('rise', 'rock', 'bending 1', 'bending 2')
    """
    bending = np.shape(modes.frequency)[-1]
    twist = 0 if modes.twist_frequency is None else np.shape(modes.twist_frequency)[-1]
    return ("rise", "rock", *["roll"] * bool(twist), *(f"bending {k + 1}" for k in range(bending)),
            *(f"twist {k + 1}" for k in range(twist)))


def dead_range(decay: Decay, modes: Modes) -> Array:
    """Frets between which each dead note lies in 90 % of the possible instruments: low and high (2, S, F),
    not a number where no note is dead.

    decay: of the middle instrument (no draws); modes: of the draws, the same numbers of bending and twisting
    modes. A dead note is carried along with its mode. Whole frets are where it is heard; the numbers here are
    fractions of a fret. Raises ValueError.

    >>> from tonewood.neck.layup.neck import example_neck, spread
    >>> from tonewood.sound.decay import decay
    >>> from tonewood.sound.instrument import Instrument
    >>> from tonewood.sound.modes import modes
    >>> from tonewood.strings.sets import string_set
    >>> neck = example_neck()
    >>> found = decay(Instrument(neck), string_set("six"), modes=modes(Instrument(neck), 4, 0))
    >>> dead_range(found, modes(Instrument(spread(neck, 20)), 4, 0)).shape
    (2, 6, 23)
    """
    if decay.draws or not modes.draws:
        raise ValueError(f"dead range: a decay with {decay.draws or 'no'} draws and modes with "
                         f"{modes.draws or 'no'} draws given; accepted: a decay of one instrument, modes "
                         "of many")
    drawn, found = modes.all_at(0.0)[1], decay.mode_frequency
    if drawn.shape[-1] != len(found):
        raise ValueError(f"dead range: {drawn.shape[-1]} modes given, the decay was found with {len(found)}; "
                         "accepted: the same number")
    limits = band(drawn)[[0, 2]]
    moved = semitones(np.where(found > 0, limits, 1.0) / np.where(found > 0, found, 1.0))
    return np.where(decay.dead, np.arange(decay.t60.shape[-1]) + np.asarray(moved)[:, decay.mode], np.nan)


def with_string_doubt(decay: Decay, seed: int = 0) -> Decay:
    """The same draws, each with the string's own loss factor drawn from its band (lognormal, 90 % between
    value / band and value * band).

    decay: with draws. Loss factors are small, so a change of one adds to the sum; exact where string and mode
    do not mix. `alone` becomes (D, S, F). Returns Decay. Raises ValueError without draws.

    >>> from tonewood.neck.layup.neck import example_neck, spread
    >>> from tonewood.sound.instrument import Instrument
    >>> from tonewood.sound.modes import modes
    >>> from tonewood.strings.sets import string_set
    >>> drawn = modes(Instrument(spread(example_neck(), 20)), 4, 0)
    >>> with_string_doubt(note_decay(drawn, example_neck(), string_set("six"), 2, 5)).t60.shape
    (20, 1, 1)
    """
    if not decay.draws:
        raise ValueError("string doubt: a decay without draws given; accepted: one with draws")
    factor = np.broadcast_to(np.asarray(decay.string_factor, dtype=float), decay.t60.shape[1:2] + (1,))
    z = np.random.default_rng(seed).standard_normal((decay.draws, len(factor), 1))
    air, own = decay.loss_by_cause[:, 0], decay.loss_by_cause[:, 1]
    more = own * (factor ** (z / Z90) - 1)
    by_cause = decay.loss_by_cause.copy()
    by_cause[:, 1] = own + more
    loss = decay.loss + more
    t60 = decay.t60 * decay.loss / loss
    # The frets beside are the same string at nearly the same pitch: they fall as much faster.
    return replace(decay, t60=t60, beside=1 / (1 / decay.beside + 1 / t60 - 1 / decay.t60), loss=loss,
                   loss_by_cause=by_cause, alone=decay.alone / (1 + more / (air + own)), string_factor=1.0)


def note_decay(modes: Modes, neck: Neck, strings: StringSet, string: int, fret: int, age: float = 0.0,
               setup: Setup = Setup()) -> Decay:
    """Decay of one note, (..., 1, 1), T60 in s, held against the frets beside it: quick enough for many
    draws. string: 0 for the bass-most; modes: of the instrument, draws allowed; the other arguments as for
    sound.decay.decay. Returns Decay. Raises ValueError for a string or fret that is not there.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> from tonewood.sound.instrument import Instrument
    >>> from tonewood.sound.modes import modes
    >>> from tonewood.strings.sets import string_set
    >>> note_decay(modes(Instrument(example_neck())), example_neck(), string_set("six"), 2, 5).notes.tolist()
    [['G3']]
    """
    s = checks.whole("string (0 is the bass-most)", string, 0, len(strings) - 1)
    fret = checks.whole("fret", fret, 0, neck.frets)
    one = StringSet((strings.strings[s],), (strings.tuning[s],), float(np.ravel(strings.length)[s]))
    first = min(max(fret - REACH, 0), max(neck.frets - 2 * REACH, 0))
    frets = sorted({0, *range(first, min(first + 2 * REACH, neck.frets) + 1)})        # 0 gives the pitches
    at = frets.index(fret)
    x, y, y_bridge = string_places(neck, strings, setup, frets)
    few = decay_of(modes, one, x[s], neck.scale_length, y[[s]], y_bridge[[s]], age)
    here = {name: v[..., [at]] for name, v in vars(few).items() if np.shape(v)[-2:] == (1, len(frets))}
    pitch = [[note_name(note_number(strings.tuning[s]) + fret)]]
    return replace(few, **here | {"loss_by_mode": few.loss_by_mode[..., [at], :], "notes": np.array(pitch)})
