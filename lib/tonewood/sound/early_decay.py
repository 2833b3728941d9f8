"""The first moments of a pluck in closed form: level and decay for many drawn necks at once.

Each harmonic of the string is paired with the one mode of the instrument that engages it most
(sound.coupled.two_root); the pair starts with the string pulled aside and the neck at rest, so beats between
them are kept. Model: held against the full eigenproblem (sound.pluck) over the notes of a guitar, the fall in
the first 200 ms is right within 0.06 dB (rms), and within 0.35 dB where a neck mode sits on the note (tests).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from tonewood import checks
from tonewood.draws import Array
from tonewood.sound.coupled import at_mode
from tonewood.sound.hearing import decibels
from tonewood.sound.notes import harmonics_of, solve
from tonewood.sound.partials import RIGID_ENDS, ComplexArray, EndModes, SpeakingString
from tonewood.sound.stroke import Stroke

START = 0.005          # s after release: where "the start" is read, as in pluck.level_at
GRID = np.concatenate([[0.0], np.geomspace(0.02, 150.0, 30)])


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
    parts = [_roots(string, ends, shape * omegas * seen) for ends, (shape, seen) in ways]
    lead = np.broadcast_shapes(*(rates.shape[:-1] for _, rates in parts))
    return EarlyDecay(*(np.concatenate([np.broadcast_to(p, lead + p.shape[-1:]) for p in both], axis=-1)
                        for both in zip(*parts, strict=True)))


def _roots(string: SpeakingString, ends: EndModes, heard: Array) -> tuple[Any, ComplexArray]:
    """(amplitudes, rates), each (..., N, R), of one direction of motion."""
    notes = harmonics_of(string, len(heard))
    if not ends.omega.size:
        return heard[:, None] + 0j, 1j * notes.damped[:, None]
    modes = ends.beside_notes
    pair = solve(notes, modes, exact=False)
    mode = at_mode(modes.omega * (1 + 0.5j * modes.eta), pair.mode)
    gap = pair.string - pair.partner
    apart = np.abs(gap) > 1e-9 * np.abs(pair.string)
    share = np.where(apart, (pair.string - mode) / np.where(gap == 0, 1.0, gap), 1.0)
    return (heard[:, None] * np.stack([share, 1 - share], axis=-1),
            1j * np.stack([pair.string, pair.partner], axis=-1))


def _passing(fallen: Array, drop: float) -> Array:
    """First time (...,) at which the fall (..., T) on GRID passes `drop` dB; infinite if it never does."""
    below = fallen >= drop
    after = np.maximum(np.argmax(below, axis=-1), 1)
    low, high = (np.take_along_axis(fallen, (after + k)[..., None], -1)[..., 0] for k in (-1, 0))
    share = (drop - low) / np.where(high == low, 1.0, high - low)
    return np.where(below.any(axis=-1), GRID[after - 1] + share * (GRID[after] - GRID[after - 1]), np.inf)
