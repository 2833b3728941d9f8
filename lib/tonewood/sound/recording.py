"""What a recording of one plucked note says: how long its fundamental rings, and how long its whole level.

The two differ: a note whose fundamental is dead may keep its overtones for many seconds. So the fundamental
is filtered out at its pitch before its fall is read.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tonewood import checks
from tonewood.draws import Array
from tonewood.sound.hearing import decibels

BAND = 0.25            # octaves that the filter passes on either side of the pitch
WINDOW = 0.05          # s, at least, over which a level is averaged
LEAST_FALL = 10.0      # dB that a reading needs before the noise takes over
ABOVE_NOISE = 6.0      # dB above the end of the recording: below it is noise


@dataclass(frozen=True)
class Reading:
    """T60 (s) read from a recording, the fall (dB) it was read over, and the level (dB re full scale) at the
    times (s) after the loudest moment, (T,) each."""

    t60: float
    fall: float
    times: Array
    level: Array


def _sound(samples: ArrayLike, rate: float) -> None:
    checks.number("samples a second", rate, 100.0, 1e6)
    checks.number("sample of the sound", samples)


def at_pitch(samples: ArrayLike, rate: float, pitch: float) -> Array:
    """The sound (N,) within BAND on either side of a pitch (Hz), to half the power there and back, unit as
    given, nothing delayed. Raises ValueError. Source: the response of a Butterworth band-pass of third order
    (1930), by the Fourier transform.

    >>> t = np.arange(8000) / 8000
    >>> both = np.sin(2 * np.pi * 200 * t) + np.sin(2 * np.pi * 400 * t)
    >>> bool(np.max(np.abs(at_pitch(both, 8000, 200.0) - np.sin(2 * np.pi * 200 * t))[2000:6000]) < 0.01)
    True
    """
    from scipy.fft import next_fast_len
    _sound(samples, rate)
    pitch = float(checks.frequency("pitch", pitch, 20.0, 0.4 * rate))
    wide, count = 2**BAND - 2**-BAND, np.size(samples)
    size = next_fast_len(count + int(13 * rate / (wide * pitch)))     # until the filter itself has died away
    over = np.fft.rfftfreq(size, 1 / rate)[1:] / pitch
    passed = np.concatenate([[0.0], 1 / (1 + ((over - 1 / over) / wide) ** 6)])
    return np.asarray(np.fft.irfft(np.fft.rfft(samples, size) * passed, size)[:count])


def level_over_time(samples: ArrayLike, rate: float, window: float = WINDOW) -> tuple[Array, Array]:
    """(times, level): the level as a meter shows it, dB re full scale, every half window (s), (T,) each.
    Raises ValueError for a sound shorter than two windows.

    >>> level_over_time(np.ones(1000), 1000.0)[1][:2].round(6).tolist()
    [0.0, 0.0]
    """
    _sound(samples, rate)
    checks.number("window", window, 2.0 / rate, 10.0, "s")
    samples, size = np.asarray(samples, dtype=float), int(round(window * rate))
    if samples.ndim != 1 or len(samples) < 2 * size:
        raise ValueError(f"recording: {samples.size / rate:.2f} s given; accepted: one row of at least "
                         f"{2 * window:g} s")
    total = np.concatenate([[0.0], np.cumsum(samples**2)])
    first = np.arange(0, len(samples) - size + 1, size // 2)
    times = np.asarray((first + size / 2) / rate, dtype=float)
    return times, np.asarray(decibels((total[first + size] - total[first]) / size))


def decay_read(samples: ArrayLike, rate: float, drop: float = 30.0, pitch: float | None = None) -> Reading:
    """T60 of one recorded note, read from its loudest moment until its level stays `drop` dB below, or sinks
    into the noise.

    pitch: Hz, to read the fundamental alone, by a straight line through its level; None for the whole sound:
    60 dB over the fall, times the seconds it took, as off a level meter (the whole level does not fall along
    a straight line). Raises ValueError if less than 10 dB of fall stand above the noise.

    >>> t = np.arange(32000) / 8000
    >>> sound = np.exp(-3.4539 * t) * np.sin(1500 * t)
    >>> [round(decay_read(sound, 8000.0, pitch=pitch).t60, 1) for pitch in (None, 1500 / (2 * np.pi))]
    [2.0, 2.0]
    """
    drop = float(checks.number("fall to read", drop, LEAST_FALL, 60.0, "dB"))
    if pitch is not None:
        samples = at_pitch(samples, rate, pitch)
    times, level = level_over_time(samples, rate, WINDOW if pitch is None else max(WINDOW, 8 / pitch))
    first = int(np.argmax(level))
    tail = slice(-max(len(level) // 5, 4), None)
    noise, lowest = float(np.median(level[tail])), float(level[first]) - drop
    if noise > lowest - ABOVE_NOISE:      # the noise, which no longer falls, or a note cut off while it rang
        before = (level[first] - level[tail][0]) / max(times[tail][0] - times[first], 1e-9)
        still = -np.polyfit(times[tail], level[tail], 1)[0] < before / 3
        lowest = max(lowest, noise + ABOVE_NOISE if still else float(level[-1]))
        if still:                         # the powers of note and noise add up: the note's is what is over
            level = np.asarray(decibels(10 ** (level / 10) - 10 ** (noise / 10)))
    lowest = min(lowest, float(level[first]))
    end = int(np.flatnonzero(level >= lowest)[-1])
    fall = float(level[first] - lowest)
    if fall < LEAST_FALL or end - first < 4:
        raise ValueError(f"recording: the note falls by {max(fall, 0):.0f} dB before it meets the noise at "
                         f"{noise:.0f} dB; accepted: at least {LEAST_FALL:.0f} dB. Record louder, let it "
                         "ring longer, switch the automatic level off")
    used = slice(first, end + 1)
    slope = np.polyfit(times[used], level[used], 1)[0]
    if slope >= 0:
        raise ValueError("recording: the level does not fall; accepted: one plucked note that dies away")
    after = min(end + 1, len(level) - 1)
    passed = times[end] + (times[after] - times[end]) * np.clip(
        (level[end] - lowest) / max(level[end] - level[after], 1e-9), 0, 1)
    seconds = -60 / slope if pitch is not None else 60 / fall * (passed - times[first])
    return Reading(float(seconds), fall, times - times[first], level)
