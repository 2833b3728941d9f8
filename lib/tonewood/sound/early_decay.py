"""The first moments of a pluck in closed form: level and decay for many drawn necks at once.

Each harmonic of the string is paired with the one mode of the instrument that engages it most
(sound.coupled.two_root); the pair starts with the string pulled aside and the neck at rest, so beats between
them are kept. Model: held against the full eigenproblem (sound.pluck) over the notes of a guitar, the fall in
the first 200 ms is right within 0.06 dB (rms), and within 0.35 dB where a neck mode sits on the note (tests).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from tonewood import checks
from tonewood.draws import Array
from tonewood.neck.layup.neck import Neck
from tonewood.neck.load.setup import Setup
from tonewood.sound.coupled import at_mode, string_ends
from tonewood.sound.decay import string_places
from tonewood.sound.hearing import decibels
from tonewood.sound.modes import Modes
from tonewood.sound.notes import Notes, harmonics_of, solve
from tonewood.sound.partials import RIGID_ENDS, ComplexArray, EndModes, SpeakingString, speaking_string
from tonewood.sound.stroke import Stroke
from tonewood.strings.wire import StringSet

START = 0.005          # s after release: where "the start" is read, as in pluck.level_at
GRID = np.concatenate([[0.0], np.geomspace(0.02, 150.0, 30)])
READ = np.geomspace(0.01, 150.0, 300)          # s after START at which a level is looked at


@dataclass(frozen=True, eq=False)
class EarlyDecay:
    """One pluck on one or many necks, harmonic by harmonic.

    amplitudes, rates: complex, (..., N, R): velocity under the pickup at release (m/s), shared between the R
    roots of each of the N harmonics (two for each direction of motion), and their rates (1/s). Signal =
    Re(sum of amplitude exp(rate t)); leading axis: draws.
    """

    amplitudes: ComplexArray = field(repr=False)
    rates: ComplexArray = field(repr=False)

    def _motion(self, times: ArrayLike) -> ComplexArray:
        """Each root's complex motion (..., N, R, T)."""
        return self.amplitudes[..., None] * np.exp(self.rates[..., None] * np.asarray(times, float))

    def harmonics(self, times: ArrayLike) -> Array:
        """Mean square of each harmonic at the times (T,) in s, m2/s2, (..., N, T); beats inside a harmonic
        are kept."""
        return np.abs(np.sum(self._motion(times), axis=-2)) ** 2 / 2

    def level(self, times: ArrayLike) -> Array:
        """Level of the note at the times (T,) in s, dB re 1 m/s, (..., T); harmonics are added by energy."""
        return decibels(np.sum(self.harmonics(times), axis=-2))

    def fall(self, times: ArrayLike, start: float = START) -> Array:
        """How far the level has fallen from `start` to the times (T,) in s, dB, (..., T)."""
        found = self.level(np.concatenate([[start], np.asarray(times, float)]))
        return found[..., :1] - found[..., 1:]

    def reading(self, drop: float = 30.0, fundamental: bool = False) -> Array:
        """T60 (s) as somebody reads it off a level meter or a recording: 60 / drop times the seconds until
        the level stays `drop` dB below where it began, (...,). fundamental: of the first harmonic alone,
        beats with the neck kept; otherwise of the whole note. At most 150 s times 60 / drop."""
        times = START + np.concatenate([[0.0], READ])
        level = decibels(self.harmonics(times)[..., 0, :]) if fundamental else self.level(times)
        above = level > level[..., :1] - drop
        last = np.minimum(above.shape[-1] - 1 - np.argmax(above[..., ::-1], axis=-1), len(READ) - 1)
        here, after = (np.take_along_axis(level, (last + k)[..., None], -1)[..., 0] for k in (0, 1))
        share = (here - level[..., 0] + drop) / np.where(here == after, 1.0, here - after)
        t = times - START
        return 60 / drop * (t[last] + np.clip(share, 0, 1) * (t[last + 1] - t[last]))

    def decay_times(self) -> tuple[Array, Array]:
        """(early, late) 60 dB times, s, each (...,): six times the first fall of the level by 10 dB, and six
        times the fall from 25 to 35 dB of what energy is still to come (as pluck.Pluck has them; read on 30
        times from 20 ms to 150 s with straight lines in dB between). Raises ValueError for a partial without
        loss."""
        if np.any(self.rates.real >= 0):
            raise ValueError("decay times: a partial without loss never dies away; accepted: a string with a "
                             "loss factor above 0")
        motion = self._motion(GRID)
        level = np.sum(np.abs(np.sum(motion, axis=-2)) ** 2, axis=-2)
        # Energy still to come: the product of every two roots' motions, integrated in closed form from t on.
        weight = -1 / (self.rates[..., :, None] + self.rates.conj()[..., None, :])
        left = np.sum((motion * (weight @ motion.conj())).real, axis=(-3, -2))
        fallen, spent = (decibels(power[..., :1] / np.maximum(power, 1e-300)) for power in (level, left))
        return 6 * _passing(fallen, 10.0), 6 * (_passing(spent, 35.0) - _passing(spent, 25.0))


def early_decay(string: SpeakingString, normal: EndModes = RIGID_ENDS, parallel: EndModes = RIGID_ENDS, *,
                harmonics: int = 12, **stroke: float) -> EarlyDecay:
    """The first moments of a pluck: velocity under the pickup, m/s; draws allowed in `normal` and `parallel`,
    no glide.

    harmonics: how many of the string's harmonics are added up; a dozen hold all but 0.2 dB of the level;
    stroke: fields of stroke.Stroke. Returns EarlyDecay. Raises ValueError.

    >>> early_decay(SpeakingString(0.65, 1e-3, 70.0, loss=1e-3)).fall([0.2]).round(1).tolist()
    [2.0]
    """
    count = checks.whole("harmonics", harmonics, 1, 100)
    omegas = string.omegas(count)
    ways = zip((normal, parallel), Stroke(**stroke).ways(string, count), strict=False)
    return _both([_roots(harmonics_of(string, count), ends, shape * omegas * seen)
                  for ends, (shape, seen) in ways])


def _both(parts: list[tuple[Any, ComplexArray]]) -> EarlyDecay:
    """What the directions of motion (amplitudes, rates) make together."""
    lead = np.broadcast_shapes(*(rates.shape[:-1] for _, rates in parts))
    return EarlyDecay(*(np.concatenate([np.broadcast_to(p, lead + p.shape[-1:]) for p in both], axis=-1)
                        for both in zip(*parts, strict=True)))


def note_ends(modes: Modes, neck: Neck, strings: StringSet, frets: Sequence[int], setup: Setup = Setup()
              ) -> EndModes:
    """The instrument as the strings feel it at some frets, out of the fretboard plane: EndModes (..., S, F,
    N), draws in front. Raises ValueError.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> from tonewood.sound.instrument import Instrument
    >>> from tonewood.sound.modes import modes
    >>> from tonewood.strings.sets import string_set
    >>> note_ends(modes(Instrument(example_neck()), 4, 0), example_neck(), string_set("six"), [5]).fret.shape
    (6, 1, 6)
    """
    x, y, y_bridge = string_places(neck, strings, setup, frets)
    return string_ends(modes, x, neck.scale_length, y, y_bridge[:, None])


def plucked_notes(modes: Modes | None, neck: Neck, strings: StringSet, frets: Sequence[int], age: float = 0.0,
                  setup: Setup = Setup(), harmonics: int = 12, parallel: Modes | None = None, **stroke: float
                  ) -> EarlyDecay:
    """Every string plucked at some frets: EarlyDecay with the axes (..., S, F).

    modes: of the instrument out of the fretboard plane, draws allowed; None: ends that do not move. parallel:
    its modes along that plane; None: what moves along it is not added. age: of the strings, 0 new to 1 well
    played; stroke: fields of stroke.Stroke (m). Raises ValueError.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> from tonewood.strings.sets import string_set
    >>> alone = plucked_notes(None, example_neck(), string_set("six"), [0, 5])
    >>> (alone.reading() < alone.reading(fundamental=True)).all(axis=1).tolist()
    [True, True, True, True, True, True]
    """
    frets = [checks.whole("fret", fret, 0, 30) for fret in frets]
    S, F = len(strings), len(frets)
    lines = [speaking_string(strings, s, int(f), age) for s in range(S) for f in frets]
    each = [harmonics_of(line, harmonics) for line in lines]
    fields = {name: np.array([np.broadcast_to(getattr(n, name), harmonics) for n in each]).reshape(S, F, -1)
              for name in ("frequency", "length", "tension", "own", "stiffness")}
    notes = Notes(air=0.0, harmonic=each[0].harmonic, **fields)
    found, how = [], Stroke(**stroke)
    strokes = [[shape * line.omegas(harmonics) * seen for shape, seen in how.ways(line, harmonics)]
               for line in lines]
    for struck, way in zip(zip(*strokes, strict=True), (modes, *[parallel] * (parallel is not None)),
                           strict=False):
        ends = RIGID_ENDS if way is None else note_ends(way, neck, strings, frets, setup)
        found.append(_roots(notes, ends, np.reshape(struck, (S, F, harmonics))))
    return _both(found)


def _roots(notes: Notes, ends: EndModes, heard: Array) -> tuple[Any, ComplexArray]:
    """(amplitudes, rates), each (..., N, R), of one direction of motion."""
    if not ends.omega.size:
        return heard[..., None] + 0j, 1j * notes.damped[..., None]
    modes = ends.beside_notes
    pair = solve(notes, modes, exact=False)
    mode = at_mode(modes.omega * (1 + 0.5j * modes.eta), pair.mode)
    gap = pair.string - pair.partner
    apart = np.abs(gap) > 1e-9 * np.abs(pair.string)
    share = np.where(apart, (pair.string - mode) / np.where(gap == 0, 1.0, gap), 1.0)
    return (heard[..., None] * np.stack([share, 1 - share], axis=-1),
            1j * np.stack([pair.string, pair.partner], axis=-1))


def _passing(fallen: Array, drop: float) -> Array:
    """First time (...,) at which the fall (..., T) on GRID passes `drop` dB; infinite if it never does."""
    below = fallen >= drop
    after = np.maximum(np.argmax(below, axis=-1), 1)
    low, high = (np.take_along_axis(fallen, (after + k)[..., None], -1)[..., 0] for k in (-1, 0))
    share = (drop - low) / np.where(high == low, 1.0, high - low)
    return np.where(below.any(axis=-1), GRID[after - 1] + share * (GRID[after] - GRID[after - 1]), np.inf)
