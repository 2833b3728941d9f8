"""A plucked note: what a pickup over the string senses, computed from the damped partials of string and
instrument.

Neck-borne part of a model, not a recording: string, neck and body as they load the string's ends, and an
ideal pickup. No amplifier, no loudspeaker, no air-borne sound, no touch of the left hand.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tonewood import checks
from tonewood.draws import Array, Draws
from tonewood.sound.glide import share_relieved
from tonewood.sound.hearing import decibels
from tonewood.sound.partials import (
    MOST_PARTIALS,
    RIGID_ENDS,
    ComplexArray,
    EndModes,
    Partials,
    SpeakingString,
    partials,
)
from tonewood.sound.stroke import Stroke
from tonewood.strings.pitch import semitones

if TYPE_CHECKING:
    import pandas

LABEL = "Neck-borne part of a model, not a recording"
BLOCK = 64                 # samples stepped together; every block starts anew, so rounding cannot build up
MOST_OF_RATE = 0.45        # highest partial as a share of the sample rate when their number is left open
TIMES = (0.005, 0.050, 0.200)


@dataclass(frozen=True, eq=False, kw_only=True)
class Pluck:
    """One plucked note, or the same note on many drawn instruments.

    samples: string velocity under the pickup, m/s, (N,) or (D, N); rate, Hz; rates, amplitudes: complex rates
    and pickup amplitudes of the partials, signal = sum Re(2 amplitude exp(rate t)), (..., J); rise: slow
    relative rise of all frequencies at every 64th sample (..., blocks), zero without pitch glide; fundamental
    of the string on rigid ends, Hz; window: samples per mean of the envelope; power: mean square over the
    window from each sample on, m2/s2; label says what the sound is.
    """

    samples: Array = field(repr=False)
    rate: float
    rates: ComplexArray = field(repr=False)
    amplitudes: ComplexArray = field(repr=False)
    rise: Array = field(repr=False)
    fundamental: float
    window: int
    power: Array = field(repr=False)
    label: str = LABEL

    @property
    def time(self) -> Array:
        """Time of each sample after release, s."""
        return np.arange(self.samples.shape[-1]) / self.rate

    def _within(self, times: ArrayLike) -> Array:
        return np.atleast_1d(checks.number("time after release", times, 0.0, self.time[-1], "s",
                                           lambda v: f"Did you mean {v / 1000:g} s?" if v >= 1 else None))

    def level_at(self, times: ArrayLike = TIMES) -> Array:
        """Level of the envelope at the given times (s), dB re 1 m/s, (..., times). Raises ValueError outside
        the note."""
        return decibels(self.power[..., np.round(self._within(times) * self.rate).astype(int)])

    @cached_property
    def early_decay_time(self) -> Draws:
        """Six times the time until the note's power first lies 10 dB below its start, s (a 60 dB time), per
        draw.

        Power: partials nearest to the same harmonic are added with their phases, so beats count; harmonics
        are added by energy.
        """
        return self._per_draw(lambda r, a: 6 * _first_drop(r, a, self.fundamental, 10.0))

    @cached_property
    def late_T60(self) -> Draws:
        """60 dB time of the tail, from -25 to -35 dB of the remaining energy, times six, s, per draw."""
        return self._per_draw(lambda r, a: 6 * (_fall(r, a, 35.0) - _fall(r, a, 25.0)))

    def _per_draw(self, measure: Callable[[ComplexArray, ComplexArray], float]) -> Draws:
        found = [measure(r, a) for r, a in _each(self.rates, self.amplitudes)]
        return float(found[0]) if self.rates.ndim == 1 else np.array(found)

    def cents_at(self, times: ArrayLike) -> Array:
        """Rise of pitch above the small-amplitude note at the given times (s), cents, (..., times); zero
        without glide. Raises ValueError outside the note."""
        block = self._within(times) * self.rate / BLOCK
        before = block.astype(int)
        start, end = self.rise[..., before], self.rise[..., before + 1]
        return np.asarray(100 * semitones(1 + start + (block - before) * (end - start)))

    def table(self) -> pandas.DataFrame:
        """One row per draw: levels, decay times, pitch rise, with units in the column names."""
        import pandas
        level = np.atleast_2d(self.level_at()).T
        names = (f"level at {1000 * t:.0f} ms [dB re 1 m/s]" for t in TIMES)
        return pandas.DataFrame(dict(zip(names, level, strict=True)) | {
            "early decay time [s]": np.atleast_1d(self.early_decay_time),
            "late T60 [s]": np.atleast_1d(self.late_T60),
            "pitch rise at release [cents]": self.cents_at(0.0).reshape(-1)})


def pluck(string: SpeakingString, normal: EndModes = RIGID_ENDS, parallel: EndModes = RIGID_ENDS, *,
          parallel_loss: Draws | None = None, duration: float = 2.0, rate: float = 44100,
          modes: int | None = None, glide: bool = False, neck_compliance: Draws = 0.0,
          solved: Sequence[Partials] = (), **stroke: float) -> Pluck:
    """Pluck one string and listen through one pickup. Returns Pluck: velocity under the pickup, m/s.

    normal, parallel: EndModes for motion out of and along the fretboard plane (rigid ends unless given);
    parallel_loss: string loss factor in the parallel direction, like string.loss unless given; duration, s;
    rate, Hz; modes: number of string partials (all below 0.45 of the rate, 60 at most, unless given); glide:
    let the tension rise bend the pitch (needs string.axial_stiffness); neck_compliance, m/N: give of the neck
    along the string, which relieves the tension rise; solved: Partials of the normal and the parallel
    direction already found with these ends and `modes` partials, to strike the same string again without
    solving anew; stroke: fields of stroke.Stroke. The neck is taken at rest at release. With glide, all
    frequencies follow the slow mean tension; the partials' own ripple at twice their frequency and the mixing
    of partials by tension are left out. Raises ValueError: pick or pickup outside the string, sample rate too
    low for the partials asked for, values out of range.

    >>> pluck(SpeakingString(0.65, 1e-3, 70.0, loss=1e-3), duration=0.3).level_at([0.05]).round(1).tolist()
    [3.3]
    """
    duration = float(checks.number("duration", duration, 0.01, 30.0, "s"))
    rate = float(checks.number("sample rate", rate, 2000.0, 400000.0, "Hz",
                               lambda v: f"Did you mean {1000 * v:g} Hz?" if 8 <= v <= 400 else None))
    modes = _partials_that_fit(string, rate, modes)
    lines = string, string if parallel_loss is None else replace(string, loss=parallel_loss)
    count = int(round(duration * rate))
    window = int(round(np.ceil(0.005 * string.fundamental) / string.fundamental * rate))
    blocks = np.arange(-(-(count + window) // BLOCK) + 1) * BLOCK / rate
    rates, amplitudes, rise = [], [], np.zeros(len(blocks))
    for place, (shape, seen) in enumerate(Stroke(**stroke).ways(string, modes)):
        line, ends = lines[place], (normal, parallel)[place]
        found = solved[place] if len(solved) > place else partials(line, ends, modes)
        if found.shapes.shape[-2] != modes:
            raise ValueError(f"solved partials: {found.shapes.shape[-2]} string terms given; accepted: "
                             f"{modes}, as asked for by modes")
        strength = found.amplitudes(shape)
        rates.append(found.rates)
        amplitudes.append(np.einsum("n,...nj->...j", seen, found.shapes) * strength * found.rates)
        if glide:
            rise = rise + _slow_rise(line, found, strength, blocks, neck_compliance)
    lead = np.broadcast_shapes(rise.shape[:-1], *(p.shape[:-1] for p in rates + amplitudes))
    all_rates, all_amplitudes = (np.concatenate([np.broadcast_to(p, lead + p.shape[-1:]) for p in both], -1)
                                 for both in (rates, amplitudes))
    rise = np.broadcast_to(rise, lead + rise.shape[-1:])
    signal = np.stack([synthesise(r, a, count + window, rate, s if glide else None)
                       for r, a, s in _each(all_rates, all_amplitudes, rise)]).reshape(*lead, count + window)
    total = np.concatenate([np.zeros((*lead, 1)), np.cumsum(signal**2, axis=-1)], axis=-1)
    power = np.maximum(total[..., window:-1] - total[..., :-1 - window], 0.0) / window
    return Pluck(samples=signal[..., :count], rate=rate, rates=all_rates, amplitudes=all_amplitudes,
                 rise=rise, fundamental=string.fundamental, window=window, power=power[..., :count])


def synthesise(rates: ComplexArray, amplitudes: ComplexArray, count: int, rate: float,
               rise: Array | None = None) -> Array:
    """Signal sum_j Re(2 amplitude_j exp(rate_j t)) at `count` samples, (count,), in the unit of the
    amplitudes (m/s).

    rates, amplitudes: (J,) complex; rise: slow relative rise of all frequencies at the start of every block
    of 64 samples and at the end of the last, or None. Definition. Each block starts from an exact exponential
    and is stepped by complex multiplication, all blocks side by side. Raises ValueError.

    >>> synthesise(np.array([2j * np.pi]), np.array([0.5 + 0j]), 3, 4.0).round(9).tolist()
    [1.0, 0.0, -1.0]
    """
    count = checks.whole("number of samples", count, 1)
    checks.number("samples a second", rate, 0.0, 1e6, open_low=True)
    start = np.arange(0, count, BLOCK) / rate
    if rise is None:
        state = 2 * amplitudes * np.exp(np.outer(start, rates))
        step = np.exp(rates / rate)
    else:
        pace = 1 + (rise[:-1] + rise[1:]) / 2                       # mean speed-up within each block
        warped = np.concatenate([[0.0], np.cumsum(pace)[:-1]]) * BLOCK / rate
        state = 2 * amplitudes * np.exp(np.outer(start, rates.real) + 1j * np.outer(warped, rates.imag))
        step = np.exp((rates.real + 1j * np.outer(pace, rates.imag)) / rate)
    out = np.empty((len(start), BLOCK))
    for i in range(BLOCK):
        out[:, i] = state.real.sum(axis=1)
        state *= step
    return out.reshape(-1)[:count]


def _slow_rise(string: SpeakingString, found: Partials, strength: ComplexArray, times: Array,
               neck_compliance: Draws) -> Array:
    """Relative rise of frequency dT/(2T) at the times, (..., t), from the mean stretch EA/(2L) of the
    integral of y'^2.

    The mean square of each string term is half the squared modulus of its analytic signal: beats stay, the
    ripple at twice the frequency goes.
    """
    relief = 1 + np.asarray(share_relieved(neck_compliance, string.length, string.core))
    n = np.arange(1, found.shapes.shape[-2] + 1)
    slope = found.shapes * (n * np.pi / string.length)[:, None] * strength[..., None, :]
    gram = np.swapaxes(slope.conj(), -1, -2) @ slope
    motion = np.exp(found.rates[..., :, None] * times)
    stretch = string.length * np.einsum("...jt,...jt->...t", motion.conj(), gram @ motion).real
    return string.core / (4 * string.length * string.tension) * stretch / relief[..., None]


def _partials_that_fit(string: SpeakingString, rate: float, modes: int | None) -> int:
    """Number of string partials: as asked, if the sample rate carries them; else as many as fit, 60 at most.
    """
    pitch = string.omegas(MOST_PARTIALS) / (2 * np.pi)
    if modes is None:
        count = int(np.sum(pitch[:60] < MOST_OF_RATE * rate))
        if count < 1:
            raise ValueError(f"sample rate: {rate:g} Hz given; the note itself at {pitch[0]:.1f} Hz needs "
                             f"at least {pitch[0] / MOST_OF_RATE:.0f} Hz")
        return count
    modes = checks.whole("string partials", modes, 1, MOST_PARTIALS)
    if pitch[modes - 1] >= rate / 2:
        highest = pitch[modes - 1]
        fit = np.sum(pitch < rate / 2)
        raise ValueError(f"sample rate: {rate:g} Hz given; partial {modes} lies at {highest:.0f} Hz and "
                         f"needs more than {2 * highest:.0f} Hz. At this rate {fit} partials fit")
    return modes


def _each(*arrays: Array | ComplexArray) -> Iterator[tuple[Any, ...]]:
    """The arrays draw by draw."""
    return zip(*(a.reshape(-1, a.shape[-1]) for a in arrays), strict=True)


def _live(rates: ComplexArray, amplitudes: ComplexArray, share: float) -> tuple[ComplexArray, ComplexArray]:
    """The partials above a share of the strongest."""
    live = np.abs(amplitudes) > share * np.abs(amplitudes).max()
    return rates[live], amplitudes[live]


def _remaining(rates: ComplexArray, amplitudes: ComplexArray, times: Array) -> Array:
    """Energy left after each time for one draw; both products of conjugate pairs integrated in closed form.
    """
    rates, amplitudes = _live(rates, amplitudes, 1e-9)
    now = amplitudes[:, None] * np.exp(rates[:, None] * times)
    same = -1 / (rates[:, None] + rates)
    crossed = -1 / (rates[:, None] + rates.conj())
    return 2 * np.einsum("jt,jt->t", now, same @ now + crossed @ now.conj()).real


def _narrowed(below: Callable[[Array], NDArray[np.bool_]], low: float, high: float, rounds: int) -> float:
    """Where `below` turns true between low and high, narrowed 16-fold a round."""
    for _ in range(rounds):
        grid = np.linspace(low, high, 17)
        after = max(int(np.argmax(below(grid))), 1)
        low, high = grid[after - 1], grid[after]
    return (low + high) / 2


def _first_drop(rates: ComplexArray, amplitudes: ComplexArray, fundamental: float, drop: float) -> float:
    """First time at which the power of one draw lies `drop` dB below its start; beats within a harmonic are
    kept."""
    rates, amplitudes = _live(rates, amplitudes, 1e-6)
    if not (rates.real < 0).all():
        return np.inf
    harmonic = np.maximum(np.round(rates.imag / (2 * np.pi * fundamental)), 1)
    groups = (harmonic == np.unique(harmonic)[:, None]).astype(float)

    def power(t: Any) -> Array:
        return np.sum(np.abs(groups @ (amplitudes[:, None] * np.exp(rates[:, None] * t))) ** 2, axis=0)

    target = power(np.zeros(1))[0] * 10 ** (-drop / 10)
    start, step = 0.0, min(0.005, 0.1 / np.max(-rates.real))
    while True:                                           # ends: the power is below a falling exponential
        grid = start + step * np.arange(1001)
        below = power(grid) <= target
        if below.any():
            after = int(np.argmax(below))
            if not after:
                return start
            return _narrowed(lambda t: power(t) <= target, grid[after - 1], grid[after], 3)
        start, step = grid[-1], 2 * step if start > 1 else step


def _fall(rates: ComplexArray, amplitudes: ComplexArray, drop: float) -> float:
    """Time at which the remaining energy of one draw has fallen by `drop` dB."""
    if not (rates.real < 0).all():
        return np.inf
    target = _remaining(rates, amplitudes, np.zeros(1))[0] * 10 ** (-drop / 10)
    latest = drop / 8.0 / np.min(-rates.real)
    return _narrowed(lambda t: _remaining(rates, amplitudes, t) <= target, 0.0, latest, 6)
