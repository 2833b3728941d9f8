"""The first moments of a pluck in closed form: level and decay for many drawn necks at once.

Each harmonic of the string is paired with the one mode of the instrument that engages it most (sound.coupled.two_root); the pair starts with
the string pulled aside and the neck at rest, so beats between them are kept. Held against the full eigenproblem (sound.pluck) over the notes of a
guitar, the fall in the first 200 ms is right within 0.06 dB (rms), and within 0.35 dB where a neck mode sits on the note (tests).
"""

from dataclasses import dataclass, field

import numpy as np

from tonewood import checks
from tonewood.sound.coupled import two_root
from tonewood.sound.partials import EndModes
from tonewood.sound.pluck import initial_shape, pickup_weights

START = 0.005          # s after release: where "the start" is read, as in pluck.level_at
GRID = np.geomspace(0.02, 150.0, 30)


@dataclass(frozen=True, eq=False)
class Early:
    """One pluck on one or many necks, harmonic by harmonic.

    parts: for each direction of motion a pair (amplitude, rates), complex, (..., N, R): velocity under the pickup at release [m/s], shared
    between the two roots R of each of the N harmonics, and their rates [1/s]. Signal = Re(sum of amplitude exp(rate t)); leading axis: draws.
    """

    parts: tuple = field(repr=False)

    def _motion(self, times):
        """Each root's complex motion, one array (..., N, R, T) per direction."""
        return [amplitude[..., None] * np.exp(rates[..., None] * np.asarray(times, float)) for amplitude, rates in self.parts]

    def harmonics(self, times):
        """Mean square of each harmonic at the times (T,) [m2/s2], (..., N, T); beats inside a harmonic are kept."""
        return np.abs(sum(np.sum(motion, axis=-2) for motion in self._motion(times))) ** 2 / 2

    def level(self, times):
        """Level of the note at the times (T,) [dB re 1 m/s], (..., T); harmonics are added by energy."""
        return 10 * np.log10(np.maximum(np.sum(self.harmonics(times), axis=-2), 1e-30))

    def fall(self, times, start=START):
        """How far the level has fallen since `start` [dB], (..., T)."""
        found = self.level(np.concatenate([[start], np.asarray(times, float)]))
        return found[..., :1] - found[..., 1:]

    def decay_times(self):
        """(early, late) 60 dB times [s], each (...,): six times the first fall of the level by 10 dB, and six times the fall from 25 to 35 dB of
        what energy is still to come (as pluck.Pluck has them; read on 30 times from 20 ms to 150 s with straight lines in dB between).
        """
        if any(np.any(rates.real >= 0) for _, rates in self.parts):
            raise ValueError("decay times: a partial without loss never dies away; give the string a loss factor above 0")
        motion = self._motion(GRID)
        level = np.sum(np.abs(sum(np.sum(m, axis=-2) for m in motion)) ** 2, axis=-2) / 2
        left = sum(_left(motion[i], self.parts[i][1], motion[j], self.parts[j][1]) for i in range(len(motion)) for j in range(len(motion)))
        start = sum(_left(self.parts[i][0][..., None], self.parts[i][1], self.parts[j][0][..., None], self.parts[j][1])
                    for i in range(len(motion)) for j in range(len(motion)))
        fallen = self.level([0.0]) - 10 * np.log10(np.maximum(level, 1e-30))
        spent = 10 * np.log10(start) - 10 * np.log10(np.maximum(left, 1e-300))
        return 6 * _passing(fallen, 10.0), 6 * (_passing(spent, 35.0) - _passing(spent, 25.0))


def _left(a, a_rates, b, b_rates):
    """Energy still to come (..., T) from the products of two directions' motions, (..., N, R, T) each: closed integral from t to the end of all sound."""
    weight = -1 / (a_rates[..., :, None] + b_rates.conj()[..., None, :])
    return np.sum((a * (weight @ b.conj())).real, axis=(-3, -2)) / 2


def early(string, normal=EndModes(), parallel=EndModes(), *, height=0.002, direction=0.0, pick=0.13, pick_width=0.002, pickup=0.16,
          pickup_width=0.02, sideways=0.1, harmonics=12):
    """The first moments of a pluck; arguments as for pluck.pluck, draws allowed in `normal` and `parallel`, no pitch glide.

    harmonics: how many of the string's harmonics are added up; a dozen hold all but 0.2 dB of the level. Returns Early. Raises ValueError.
    """
    height = checks.number("pluck height", height, 0.0, 0.01, "m", lambda v: f"Did you mean {v / 1000:g} m?" if 0.01 < v <= 10 else None, open_low=True)
    direction = checks.angle("pluck direction", direction)
    sideways = checks.number("share of parallel motion sensed", sideways, -1.0, 1.0)
    count = int(checks.number("harmonics", harmonics, 1, 100))
    heard = initial_shape(string, height, pick, pick_width, count) * string.omegas(count) * pickup_weights(string, pickup, pickup_width, count)
    parts = [_direction(string, normal, np.cos(direction) * heard)]
    if np.sin(direction) != 0:
        parts.append(_direction(string, parallel, sideways * np.sin(direction) * heard))
    return Early(tuple(parts))


def _direction(string, ends, heard):
    """(amplitudes, rates), each (..., N, R), of one direction of motion."""
    n = np.arange(1, len(heard) + 1)
    own = string.omegas(len(n)) * (1 + 0.5j * string.losses(len(n)))
    if not ends.omega.size:
        return heard[:, None] + 0j, 1j * own[:, None]
    modes = EndModes(*(part[..., None, :] for part in (ends.omega, ends.eta, ends.fret, ends.bridge)))
    pull = string.tension + string.bending_stiffness * (n * np.pi / string.length) ** 2
    pair = two_root(own, pull, string.length, n, modes)
    mode = np.take_along_axis(np.broadcast_to(modes.omega * (1 + 0.5j * modes.eta), pair.mode.shape + modes.omega.shape[-1:]), pair.mode[..., None], -1)[..., 0]
    gap = pair.string - pair.partner
    share = np.where(np.abs(gap) > 1e-9 * np.abs(pair.string), (pair.string - mode) / np.where(gap == 0, 1.0, gap), 1.0)
    return heard[:, None] * np.stack([share, 1 - share], axis=-1), 1j * np.stack([pair.string, pair.partner], axis=-1)


def _passing(fallen, drop):
    """First time (...,) at which the fall (..., T) on GRID passes `drop` dB, from 0 dB at time 0; infinite if it never does."""
    time = np.concatenate([[0.0], GRID])
    fallen = np.concatenate([np.zeros_like(fallen[..., :1]), fallen], axis=-1)
    below = fallen >= drop
    after = np.maximum(np.argmax(below, axis=-1), 1)
    low, high = (np.take_along_axis(fallen, (after + k)[..., None], -1)[..., 0] for k in (-1, 0))
    found = time[after - 1] + (drop - low) / np.where(high == low, 1.0, high - low) * (time[after] - time[after - 1])
    return np.where(below.any(axis=-1), found, np.inf)
