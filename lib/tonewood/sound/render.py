"""From computed notes to sound a computer can play: one gain for all, nothing hidden, nothing too loud.

Every sound of a comparison gets the same gain, so a difference in level stays a difference in level. Scaling each take to the same peak
would hide it. Level matching is offered, is never silent about itself, and still ends in one common gain.
"""

import io
import wave
from dataclasses import dataclass, field

import numpy as np

from tonewood import checks
from tonewood.sound.pluck import LABEL

PEAK = 0.5             # of full scale, unless asked otherwise
HIGHEST_PEAK = 0.9     # hard cap: never closer to clipping than this
HIGHEST_RMS = 0.25     # hard cap on the RMS of the loudest 50 ms, of full scale: a sudden loud sound hurts ears and headphones
FADE_IN, FADE_OUT = 0.001, 0.03  # s


@dataclass(frozen=True, eq=False)
class Mix:
    """Several notes added up: samples [m/s], rate [Hz], label."""

    samples: np.ndarray = field(repr=False)
    rate: float
    label: str = LABEL


@dataclass(frozen=True, eq=False)
class Rendering:
    """Sounds ready to play.

    names; samples: one array per name, all within the peak; rate [Hz], whole; gain: common factor from m/s to full scale; trims [dB]:
    what level matching did to each sound (zeros without it); matched; label.
    """

    names: tuple
    samples: tuple = field(repr=False)
    rate: int
    gain: float
    trims: np.ndarray
    matched: bool
    label: str = LABEL

    def index(self, name):
        """Place of a sound by name. Raises ValueError with the near names."""
        return self.names.index(checks.choice("sound", name, self.names))

    def duration(self, name):
        """Length of a sound [s]."""
        return len(self.samples[self.index(name)]) / self.rate

    def wav(self, name):
        """The sound as the bytes of a 16-bit mono WAV file."""
        return wav_bytes(self.samples[self.index(name)], self.rate)

    def level_sentence(self):
        """What was done to the levels, in one sentence."""
        if not self.matched:
            return "All sounds have the same gain: if one is louder, the model says so."
        moved = ", ".join(f"{name} {trim:+.1f} dB" for name, trim in zip(self.names, self.trims))
        return f"Levels matched, so loudness tells nothing here: {moved}."

    def table(self):
        """One row per sound: length, peak, RMS, trim, with units in the column names."""
        import pandas
        return pandas.DataFrame({"sound": self.names, "length [s]": [len(s) / self.rate for s in self.samples],
                                 "peak [dB of full scale]": [20 * np.log10(np.abs(s).max()) for s in self.samples],
                                 "RMS [dB of full scale]": [10 * np.log10(np.mean(s**2)) for s in self.samples],
                                 "level-matching trim [dB]": self.trims})


def render(sounds, match_levels=False, peak=PEAK, gain=None, match_over=1.0):
    """Turn plucks into playable sounds with one common gain.

    sounds: {name: Pluck or Mix}, all at the same rate; match_levels: first bring every sound to the RMS of the quietest over the first
    `match_over` seconds; peak: largest peak of all sounds, share of full scale, at most 0.9; gain: use this gain (from an earlier
    Rendering) instead, so that sounds made apart stay comparable. The loudest 50 ms is held to an RMS of 0.25 of full scale.
    Each sound gets a 1 ms fade-in and a 30 ms fade-out. Returns Rendering.
    Raises ValueError for empty, silent or non-finite sound, unequal rates, a gain that would pass the peak.
    """
    if not sounds:
        raise ValueError("sounds: none given; at least one is expected")
    names = tuple(str(name) for name in sounds)
    rate = _common_rate(sounds)
    peak = checks.number("peak", peak, 0.0, HIGHEST_PEAK, "of full scale", open_low=True)
    match_over = checks.number("time over which levels are matched", match_over, 0.01, None, "s")
    faded = [fade(_mono(name, sound), rate) for name, sound in sounds.items()]
    for name, samples in zip(names, faded):
        if not np.any(samples):
            raise ValueError(f"sound {name!r}: silent; there is nothing to compare. Is the pluck height or the pickup share zero?")
    trims = np.zeros(len(faded))
    if match_levels:
        loudness = np.array([np.sqrt(np.mean(s[:int(match_over * rate)] ** 2)) for s in faded])
        if not loudness.all():
            raise ValueError(f"sound {names[int(np.argmin(loudness))]!r}: silent over the first {match_over:g} s; levels cannot be matched")
        trims = 20 * np.log10(loudness.min() / loudness)
        faded = [s * 10 ** (t / 20) for s, t in zip(faded, trims)]
    highest = max(np.abs(s).max() for s in faded)
    loudest = max(_loudest_rms(s, rate) for s in faded)
    allowed = min(peak / highest, HIGHEST_RMS / loudest)
    if gain is None:
        gain = allowed
    else:
        gain = checks.number("gain", gain, 0.0, None, open_low=True)
        if gain > allowed * (1 + 1e-9):
            raise ValueError(f"gain: {gain:.4g} given; these sounds allow at most {allowed:.4g} (peak {peak:g}, loudest 50 ms {HIGHEST_RMS:g} of full "
                             "scale). Render all sounds of the comparison together, or use the smaller gain for both")
    return Rendering(names, tuple(s * gain for s in faded), int(rate), float(gain), trims, bool(match_levels))


def sequence(notes, starts):
    """Notes one after another or overlapping, added up.

    notes: list of Pluck or Mix at one rate; starts: start time of each [s]. A note rings on over the next. Returns Mix.
    Raises ValueError.
    """
    if not len(notes) or len(notes) != len(starts):
        raise ValueError(f"sequence: {len(notes)} notes and {len(starts)} start times given; the same number of each, at least one, is expected")
    rate = _common_rate(dict(enumerate(notes, 1)))
    starts = checks.number("start time", starts, 0.0, 120.0, "s")
    placed = [(int(round(start * rate)), fade(_mono(i, note), rate)) for i, (note, start) in enumerate(zip(notes, starts), 1)]
    out = np.zeros(max(first + len(samples) for first, samples in placed))
    for first, samples in placed:
        out[first:first + len(samples)] += samples
    return Mix(out, rate)


def strum(notes, gap=0.03):
    """The notes begun `gap` seconds apart. Returns Mix. Raises ValueError."""
    gap = checks.number("time between strings", gap, 0.0, 2.0, "s", lambda v: f"Did you mean {v / 1000:g} s?" if v > 2 else None)
    return sequence(notes, gap * np.arange(len(notes)))


def fade(samples, rate, fade_in=FADE_IN, fade_out=FADE_OUT):
    """Raised-cosine start and end, so that cutting a note does not click; first and last sample are zero. Same shape as samples.

    Raises ValueError if the sound is shorter than both fades.
    """
    head, tail = int(round(fade_in * rate)), int(round(fade_out * rate))
    if len(samples) < head + tail:
        raise ValueError(f"sound: {len(samples) / rate:.4f} s given; at least {(head + tail) / rate:.3f} s is needed for the fades at its start and end")
    out = np.array(samples, float)
    out[:head] *= 0.5 - 0.5 * np.cos(np.pi * np.arange(head) / head)
    out[len(out) - tail:] *= 0.5 + 0.5 * np.cos(np.pi * np.arange(1, tail + 1) / tail)
    return out


def wav_bytes(samples, rate):
    """A 16-bit mono WAV file as bytes. samples within -1 to 1 [full scale]; rate [Hz]. Raises ValueError rather than clip."""
    samples = np.asarray(samples, float)
    if samples.ndim != 1 or samples.size == 0:
        raise ValueError(f"sound: array of shape {samples.shape} given; one row of samples is expected")
    if not np.isfinite(samples).all():
        raise ValueError(f"sound: sample {int(np.flatnonzero(~np.isfinite(samples))[0])} is not a finite number; nothing is written")
    if np.abs(samples).max() > 1:
        raise ValueError(f"sound: peak of {np.abs(samples).max():.3g} of full scale given; accepted: at most 1. Use render, which sets the gain")
    file = io.BytesIO()
    with wave.open(file, "wb") as out:
        out.setnchannels(1)
        out.setsampwidth(2)
        out.setframerate(int(rate))
        out.writeframes(np.round(samples * 32767).astype("<i2").tobytes())
    return file.getvalue()


def _mono(name, sound):
    """Samples of one sound: one row, finite."""
    samples = np.asarray(sound.samples, float)
    if samples.ndim != 1:
        raise ValueError(f"sound {name!r}: {len(samples)} draws given; pluck one instrument to listen to it")
    if not np.isfinite(samples).all():
        raise ValueError(f"sound {name!r}: sample {int(np.flatnonzero(~np.isfinite(samples))[0])} is not a finite number; it is not played")
    return samples


def _common_rate(sounds):
    """The sample rate all sounds share, a whole number of Hz."""
    rates = {name: float(sound.rate) for name, sound in sounds.items()}
    if len(set(rates.values())) > 1:
        raise ValueError("sample rate: the sounds differ (" + ", ".join(f"{n}: {r:g} Hz" for n, r in rates.items()) + "); use one rate for all")
    rate = next(iter(rates.values()))
    if rate != int(rate):
        raise ValueError(f"sample rate: {rate:g} Hz given; a sound file needs a whole number of Hz")
    return rate


def _loudest_rms(samples, rate):
    """RMS of the loudest 50 ms."""
    window = min(int(0.05 * rate), len(samples))
    total = np.concatenate([[0.0], np.cumsum(samples**2)])
    return np.sqrt(np.max(total[window:] - total[:-window]) / window)
