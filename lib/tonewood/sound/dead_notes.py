"""Dead notes: which mode makes each, how far it may wander along its string, and one note with all that is not known about it.

A note dies where its pitch meets a mode that moves much at the fret. If the mode is a semitone higher, the dead note lies a fret higher; so what
is not known about a mode's frequency is not known about the place of the dead note, one fret for each 6 %.
"""

from dataclasses import replace

import numpy as np

from tonewood import checks
from tonewood.neck.load.setup import Setup
from tonewood.strings.pitch import semitones
from tonewood.strings.wire import StringSet
from tonewood.sound.decay import decay_of, note_names

Z90 = 1.6448536269514722


def mode_names(modes):
    """Names of the modes in the order of Modes.all_at: the rigid motions, then "bending 1" …, then "twist 1" …; a tuple."""
    bending = np.shape(modes.frequency)[-1]
    twist = 0 if modes.twist_frequency is None else np.shape(modes.twist_frequency)[-1]
    rigid = ("rise", "rock") + (("roll",) if twist else ())
    return rigid + tuple(f"bending {k + 1}" for k in range(bending)) + tuple(f"twist {k + 1}" for k in range(twist))


def dead_range(decay, modes, level=0.90):
    """Frets between which each dead note lies in `level` of the possible instruments: low and high (2, S, F), not a number where no note is dead.

    decay: of the middle instrument (no draws); modes: Modes of the draws, the same numbers of bending and twisting modes. A dead note is carried along
    with its mode. Whole frets are where it is heard; the numbers here are fractions of a fret. Raises ValueError.
    """
    if decay.draws or not modes.draws:
        raise ValueError(f"dead range: a decay with {decay.draws or 'no'} draws and modes with {modes.draws or 'no'} draws given; "
                         "accepted: a decay of one instrument, modes of many")
    drawn = modes.all_at(0.0)[1]
    if drawn.shape[-1] != len(decay.mode_frequency):
        raise ValueError(f"dead range: {drawn.shape[-1]} modes given, the decay was found with {len(decay.mode_frequency)}; accepted: the same number")
    tail = 50 * (1 - level)
    here = np.where(decay.mode_frequency > 0, decay.mode_frequency, 1.0)
    shift = semitones(np.where(decay.mode_frequency > 0, np.percentile(drawn, [tail, 100 - tail], axis=0), 1.0) / here)     # (2, N)
    return np.where(decay.dead, np.arange(decay.t60.shape[-1]) + shift[:, decay.mode], np.nan)


def with_string_doubt(decay, seed=0):
    """The same draws, each with the string's own loss drawn from its band (lognormal, 90 % between value / band and value * band).

    decay: Decay with draws. Loss factors are small, so a change of one adds to the sum; exact where string and mode do not mix. `alone` becomes
    (D, S, F). Returns Decay. Raises ValueError without draws.
    """
    if not decay.draws:
        raise ValueError("string doubt: a decay without draws given; accepted: one with draws")
    band = np.broadcast_to(np.asarray(decay.string_factor, dtype=float), decay.t60.shape[1:2] + (1,))
    z = np.random.default_rng(seed).standard_normal((decay.draws, len(band), 1))
    more = band ** (z / Z90) - 1
    air, own = decay.loss_by_cause[:, 0], decay.loss_by_cause[:, 1]
    loss = decay.loss + own * more
    by_cause = decay.loss_by_cause.copy()
    by_cause[:, 1] = own * (1 + more)
    return replace(decay, t60=decay.t60 * decay.loss / loss, loss=loss, loss_by_cause=by_cause, alone=decay.alone / (1 + own / (air + own) * more),
                   string_factor=1.0)


def note_decay(modes, neck, strings, string, fret, age=0.0, setup=Setup()):
    """Decay of one note only, (..., 1, 1): quick enough for many draws. string: 0 for the bass-most; the other arguments as for sound.decay.decay.

    modes: of the instrument, draws allowed. Returns Decay. Raises ValueError for a string or fret that is not there.
    """
    string = int(checks.number("string (0 is the bass-most)", string, 0, len(strings) - 1))
    fret = int(checks.number("fret", fret, 0, neck.frets))
    length = float(strings.length[string])
    one = StringSet((strings.strings[string],), (strings.tuning[string],), length)
    places = neck.scale_length - length * 2 ** (-np.array([0, fret]) / 12)
    across = setup.places(neck, np.append(places, neck.scale_length), len(strings))[string]
    both = decay_of(modes, one, places, neck.scale_length, across[None, :2], across[2:], age)
    keep = lambda v: v[..., 1:] if np.ndim(v) >= 2 and np.shape(v)[-2:] == (1, 2) else v
    fields = {name: keep(value) for name, value in vars(both).items()}
    return replace(both, **fields | {"loss_by_mode": both.loss_by_mode[..., 1:, :], "notes": note_names(one, fret + 1)[:, -1:]})
