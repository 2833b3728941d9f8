"""From computed notes to sound a computer can play: one gain for all, nothing hidden, nothing too loud.

Every sound of a comparison gets the same gain, so a difference in level stays a difference in level. Scaling
each take to the same peak would hide it. Level matching is offered, is never silent about itself, and still
ends in one common gain. Definition: levels in decibels re full scale.
"""

from __future__ import annotations

import io
import wave
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from tonewood import checks
from tonewood.draws import Array
from tonewood.sound.pluck import LABEL, Pluck

PEAK = 0.5             # of full scale, unless asked otherwise
HIGHEST_PEAK = 0.9     # hard cap: never closer to clipping than this
HIGHEST_RMS = 0.25     # hard cap on the RMS of the loudest 50 ms: a sudden loud sound hurts ears
FADE_IN, FADE_OUT = 0.001, 0.03  # s


@dataclass(frozen=True, eq=False)
class Mix:
    """Several notes added up: samples, m/s; rate, Hz; label."""

    samples: Array = field(repr=False)
    rate: float
    label: str = LABEL


@dataclass(frozen=True, eq=False, kw_only=True)
class Rendering:
    """Sounds ready to play.

    names; samples: one array per name, all within the peak; rate, Hz, whole; gain: common factor from m/s to
    full scale; trims, dB: what level matching did to each sound (zeros without it); matched; label.
    """

    names: tuple[str, ...]
    samples: tuple[Array, ...] = field(repr=False)
    rate: int
    gain: float
    trims: Array
    matched: bool
    label: str = LABEL

    def index(self, name: str) -> int:
        """Place of a sound by name. Raises ValueError with the near names."""
        return self.names.index(checks.choice("sound", name, self.names))

    def duration(self, name: str) -> float:
        """Length of a sound, s."""
        return len(self.samples[self.index(name)]) / self.rate

    def wav(self, name: str) -> bytes:
        """The sound of this name as the bytes of a 16-bit mono WAV file."""
        return wav_bytes(self.samples[self.index(name)], self.rate)


def render(sounds: Mapping[str, Pluck | Mix], match_levels: bool = False, peak: float = PEAK,
           gain: float | None = None, match_over: float = 1.0) -> Rendering:
    """Turn plucks into playable sounds with one common gain.

    sounds: all at the same rate; match_levels: first bring every sound to the RMS of the quietest over the
    first `match_over` s; peak: largest peak of all sounds, share of full scale, at most 0.9; gain: use this
    gain (from an earlier Rendering) instead, so that sounds made apart stay comparable. The loudest 50 ms is
    held to an RMS of 0.25 of full scale. Each sound gets a 1 ms fade-in and a 30 ms fade-out. Returns
    Rendering. Raises ValueError for empty, silent or non-finite sound, unequal rates, a gain that would pass
    the peak.

    >>> tone = Mix(np.sin(np.arange(4000) / 9.0), 8000.0)
    >>> round(float(np.abs(render({"tone": tone}).samples[0]).max()), 2)
    0.35
    """
    if not sounds:
        raise ValueError("sounds: none given; at least one is expected")
    names = tuple(str(name) for name in sounds)
    rate = _common_rate(sounds)
    peak = float(checks.number("peak", peak, 0.0, HIGHEST_PEAK, "of full scale", open_low=True))
    match_over = float(checks.number("time over which levels are matched", match_over, 0.01, None, "s"))
    faded = [fade(_mono(name, sound), rate) for name, sound in sounds.items()]
    for name, samples in zip(names, faded, strict=True):
        if not np.any(samples):
            raise ValueError(f"sound {name!r}: silent; there is nothing to compare. Is the pluck height or "
                             "the pickup share zero?")
    trims = np.zeros(len(faded))
    if match_levels:
        loudness = np.array([np.sqrt(np.mean(s[:int(match_over * rate)] ** 2)) for s in faded])
        if not loudness.all():
            silent = names[int(np.argmin(loudness))]
            raise ValueError(f"sound {silent!r}: silent over the first {match_over:g} s; nothing to match")
        trims = 20 * np.log10(loudness.min() / loudness)
        faded = [s * 10 ** (t / 20) for s, t in zip(faded, trims, strict=True)]
    loudest = max(_loudest_rms(s, rate) for s in faded)
    allowed = min(peak / max(np.abs(s).max() for s in faded), HIGHEST_RMS / loudest)
    gain = float(allowed if gain is None else checks.number("gain", gain, 0.0, None, open_low=True))
    if gain > allowed * (1 + 1e-9):
        raise ValueError(f"gain: {gain:.4g} given; these sounds allow at most {allowed:.4g} (peak {peak:g}, "
                         f"loudest 50 ms {HIGHEST_RMS:g} of full scale). Render all sounds of the comparison "
                         "together, or use the smaller gain for both")
    return Rendering(names=names, samples=tuple(s * gain for s in faded), rate=int(rate), gain=gain,
                     trims=trims, matched=bool(match_levels))


def sequence(notes: Sequence[Pluck | Mix], starts: ArrayLike) -> Mix:
    """Notes at one rate one after another or overlapping, added up; starts: start time of each, s.

    A note rings on over the next. Returns Mix. Raises ValueError.

    >>> tone = Mix(np.sin(np.arange(4000) / 9.0), 8000.0)
    >>> len(sequence([tone, tone], [0.0, 0.25]).samples)
    6000
    """
    if not len(notes) or len(notes) != np.size(starts):
        raise ValueError(f"sequence: {len(notes)} notes and {np.size(starts)} start times given; accepted: "
                         "the same number of each, at least one")
    rate = _common_rate(dict(enumerate(notes, 1)))
    first = np.round(np.atleast_1d(checks.number("start time", starts, 0.0, 120.0, "s")) * rate).astype(int)
    faded = [fade(_mono(i, note), rate) for i, note in enumerate(notes, 1)]
    out = np.zeros(max(at + len(samples) for at, samples in zip(first, faded, strict=True)))
    for at, samples in zip(first, faded, strict=True):
        out[at:at + len(samples)] += samples
    return Mix(out, rate)


def fade(samples: Array, rate: float, fade_in: float = FADE_IN, fade_out: float = FADE_OUT) -> Array:
    """Raised-cosine start and end (s), so that cutting a note does not click; first and last sample are zero.
    Same shape as samples. Raises ValueError if the sound is shorter than both fades.

    >>> fade(np.ones(5), 10.0, 0.2, 0.2).round(2).tolist()
    [0.0, 0.5, 1.0, 0.5, 0.0]
    """
    checks.number("sample of the sound", samples)
    checks.number("samples a second", rate, 1.0, 1e6)
    for name, seconds in (("fade at the start", fade_in), ("fade at the end", fade_out)):
        checks.number(name, seconds, 0.0, 60.0, "s")
    head, tail = int(round(fade_in * rate)), int(round(fade_out * rate))
    if len(samples) < head + tail:
        raise ValueError(f"sound: {len(samples) / rate:.4f} s given; accepted: at least "
                         f"{(head + tail) / rate:.3f} s, for the fades at its start and end")
    out = np.array(samples, float)
    out[:head] *= 0.5 - 0.5 * np.cos(np.pi * np.arange(head) / head)
    out[len(out) - tail:] *= 0.5 + 0.5 * np.cos(np.pi * np.arange(1, tail + 1) / tail)
    return out


def wav_bytes(samples: ArrayLike, rate: float) -> bytes:
    """A 16-bit mono WAV file as bytes. samples: share of full scale, -1 to 1; rate, Hz. Raises ValueError
    rather than clip.

    >>> len(wav_bytes(np.zeros(100), 8000))
    244
    """
    checks.number("samples a second", rate, 100.0, 1e6)
    if np.asarray(samples).dtype.kind not in "iuf":
        checks.number("sample of the sound", samples)
    samples = np.asarray(samples, float)
    if samples.ndim != 1 or samples.size == 0:
        raise ValueError(f"sound: array of shape {samples.shape} given; accepted: one row of samples")
    _finite("sound", samples)
    if np.abs(samples).max() > 1:
        raise ValueError(f"sound: peak of {np.abs(samples).max():.3g} of full scale given; accepted: at most "
                         "1. Use render, which sets the gain")
    file = io.BytesIO()
    with wave.open(file, "wb") as out:
        out.setnchannels(1)
        out.setsampwidth(2)
        out.setframerate(int(rate))
        out.writeframes(np.round(samples * 32767).astype("<i2").tobytes())
    return file.getvalue()


def _finite(name: str, samples: Array) -> Array:
    wrong = np.flatnonzero(~np.isfinite(samples))
    if wrong.size:
        raise ValueError(f"{name}: sample {wrong[0]} is not a finite number; it is not played. One that is "
                         "none was given; accepted: finite samples")
    return samples


def _mono(name: Any, sound: Pluck | Mix) -> Array:
    """Samples of one sound: one row, finite."""
    samples = np.asarray(sound.samples, float)
    if samples.ndim != 1:
        raise ValueError(f"sound {name!r}: {len(samples)} draws given; accepted: one instrument to listen to")
    return _finite(f"sound {name!r}", samples)


def _common_rate(sounds: Mapping[Any, Pluck | Mix]) -> float:
    """The sample rate all sounds share, a whole number of Hz."""
    rates = {name: float(sound.rate) for name, sound in sounds.items()}
    if len(set(rates.values())) > 1:
        listed = ", ".join(f"{n}: {r:g} Hz" for n, r in rates.items())
        raise ValueError(f"sample rate: the sounds differ ({listed}); use one rate for all")
    rate = next(iter(rates.values()))
    if rate != int(rate):
        raise ValueError(f"sample rate: {rate:g} Hz given; accepted: a whole number of Hz, for a sound file")
    return rate


def _loudest_rms(samples: Array, rate: float) -> float:
    """RMS of the loudest 50 ms."""
    window = min(int(0.05 * rate), len(samples))
    total = np.concatenate([[0.0], np.cumsum(samples**2)])
    return np.sqrt(np.max(total[window:] - total[:-window]) / window)
