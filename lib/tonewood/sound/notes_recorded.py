"""Notes of a guitar, plucked one after the other: cut apart, named, and read as the decay map shows them."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

import numpy as np

from tonewood import checks
from tonewood.draws import Array
from tonewood.sound.recording import decay_read, level_over_time
from tonewood.sound.recording_file import onsets
from tonewood.sound.string_loss import loss_from_t60
from tonewood.strings import pitch as pitches

if TYPE_CHECKING:
    from pandas import DataFrame

    from tonewood.sound.recording_file import Recording

FRETS = 24
RISE, APART = 6.0, 0.3        # dB and s that set one pluck apart from the ringing of the one before
HOP = 0.02                    # s between levels: more than a period of the lowest string
EARLY = 10.0                  # dB of fall that count as early
LOOK = 1.0                    # s of a note in which its pitch is found
PERIODIC = 0.5                # correlation of a note with itself one period later, at least
# How a tap on wood differs from any plucked string; judgement, no source
TAP_LOSS = 0.003              # a tone with more loss than that
OVERTONES = range(2, 7)       # and none of these multiples
NO_OVERTONE = 0.1             # stronger than this share of it
SHORT, SPENT = 0.1, 20.0      # or its whole sound falls so many dB in so many s


def period_pitch(samples: Array, rate: float, low: float, high: float) -> float | None:
    """Pitch (Hz) between low and high at which a sound (N,) repeats itself, or None where it does not. It is
    found even where the fundamental is gone. rate in Hz. Raises nothing. Source: normalised autocorrelation.

    >>> t = np.arange(8000) / 8000
    >>> round(period_pitch(np.sin(400 * np.pi * t) + np.sin(600 * np.pi * t), 8000, 60, 1000), 1)
    100.0
    """
    size = 1 << int(np.ceil(np.log2(2 * len(samples) + 1)))
    power = np.abs(np.fft.rfft(samples, size)) ** 2
    same = np.fft.irfft(power, size)[:len(samples)]
    lags = np.arange(len(samples))
    energy = np.cumsum(np.asarray(samples, dtype=float) ** 2)
    both = energy[::-1] + energy[-1] - np.concatenate([[0.0], energy[:-1]])
    same = 2 * same / np.maximum(both, 1e-20)
    first, last = max(int(rate / high), 2), min(int(rate / low) + 2, len(samples) // 2)
    if last - first < 3:
        return None
    inside = lags[first:last]
    tops = inside[(same[inside] >= same[inside - 1]) & (same[inside] > same[inside + 1])]
    if not len(tops) or same[tops].max() < PERIODIC:
        return None
    k = int(tops[same[tops] > 0.93 * same[tops].max()][0])
    left, middle, right = same[k - 1:k + 2]
    return float(rate / (k + 0.5 * (left - right) / (left - 2 * middle + right)))


def notes(recording: Recording, tuning: str | Iterable[str] = "six", string: int | None = None) -> DataFrame:
    """One row a note: time (s), name, pitch (Hz), cents off, string (counted from the treble), fret, T60 of
    the fundamental over the whole fall, early (first 10 dB) and late (the rest) in s, the fall read (dB), and
    what is wrong with it.

    tuning: as in strings.pitch; string: the one that was played, else the one on which the note has the
    lowest fret. Raises ValueError for a recording without a pluck, or of taps, and for a string that is not
    there.

    >>> from tonewood.sound.recording_file import recording
    >>> t = np.arange(48000) / 12000
    >>> pluck = sum(np.exp(-n * t) * np.sin(2 * np.pi * n * 146.83 * t) / n for n in (1, 2, 3))
    >>> found = notes(recording(np.concatenate([np.zeros(1200), 0.2 * pluck]), 12000))
    >>> found["note"].tolist(), found["T60 (s)"].round(1).tolist()
    (['D3'], [6.9])
    """
    from pandas import DataFrame
    names = pitches.notes(tuning)
    if string is not None:
        string = checks.whole("string, counted from the treble", string, 1, len(names))
    open_numbers = [pitches.note_number(name) for name in names][::-1]            # string 1 is the treble
    low, high = (pitches.note_frequency(pitches.note_name(n)) for n in
                 (min(open_numbers) - 1, min(max(open_numbers) + FRETS + 1, 107)))
    samples = recording.samples - (np.median(recording.samples) if len(recording.samples) else 0)
    starts = onsets(samples, recording.rate, RISE, APART, hop=HOP)
    if not starts:
        raise ValueError(f"notes: no pluck found in {recording.name}; accepted: notes plucked one after the "
                         "other, each left to ring, with a short silence before the first")
    parts = [samples[start:max(stop - int(0.02 * recording.rate), start + 1)]
             for start, stop in zip(starts, [*starts[1:], len(samples)], strict=True)]
    found = DataFrame([_row(part, recording, start, open_numbers, string, low, high)
                       for part, start in zip(parts, starts, strict=True)],
                      columns=["time (s)", "note", "pitch (Hz)", "off (cents)", "string", "fret", "T60 (s)",
                               "T60 early (s)", "T60 late (s)", "fall read (dB)", "remark"])
    taps = [_is_tap(part, recording.rate, pitch, seconds)
            for part, pitch, seconds in zip(parts, found["pitch (Hz)"], found["T60 (s)"], strict=True)]
    if any(taps) and not np.any(found["T60 (s)"].notna() & ~np.array(taps)):
        raise ValueError(f"notes: {sum(taps)} of {len(taps)} sounds in {recording.name} die as fast as taps "
                         "on wood, and none rings as a string does; accepted: notes plucked one after the "
                         "other, each left to ring. Are these taps on a board? They have a reader of their "
                         "own")
    return found


def _is_tap(part: Array, rate: float, pitch: float, seconds: float) -> bool:
    """Whether a sound is no string's: spent at once, or a tone (Hz) that dies soon (T60 in s) without
    overtones."""
    if len(part) >= 0.1 * rate:
        times, level = level_over_time(part, rate, 0.02)
        if times[level > level.max() - SPENT][-1] - times[np.argmax(level)] < SHORT:
            return True
    if np.isnan(seconds) or loss_from_t60(pitch, seconds) < TAP_LOSS:
        return False
    heard = part[int(0.03 * rate):int(0.33 * rate)]
    strength = np.abs(np.fft.rfft(heard * np.cos(np.linspace(0, np.pi / 2, len(heard))) ** 2))
    f = np.fft.rfftfreq(len(heard), 1 / rate)
    first, *others = (strength[np.abs(f - n * pitch) <= max(0.02 * n * pitch, 2 * f[1])].max()
                      for n in (1, *OVERTONES) if 1.02 * n * pitch + 2 * f[1] < rate / 2)
    return max(others, default=0.0) < NO_OVERTONE * first


def _row(part: Array, recording: Recording, start: int, strings: list[int], string: int | None, low: float,
         high: float) -> list[object]:
    rate, nan = recording.rate, float("nan")
    skip = int(0.03 * rate)
    heard = part[skip:skip + int(LOOK * rate)]
    pitch = period_pitch(heard, rate, low, high) if len(part) > 2 * skip else None
    when = round(start / rate, 2)
    if pitch is None:
        return [when, "", nan, nan, None, None, nan, nan, nan, nan,
                "no pitch found: noise, or two notes at once"]
    exact = 69 + 12 * np.log2(pitch / 440)
    number = int(round(exact))
    played = string if string is not None else _lowest_fret(number, strings)
    fret = number - strings[played - 1] if played else None
    named: list[object] = [when, pitches.note_name(number), pitch, 100 * (exact - number), played, fret]
    remark = ""
    if any(when - 0.01 < t < when + 1 for t in recording.clipped):
        remark = "clipped: record more softly"
    elif fret is None or not 0 <= fret <= FRETS:
        remark = "not a note of that string"
    try:
        read = decay_read(part, rate, pitch=pitch)
    except ValueError as problem:
        return [*named, nan, nan, nan, nan, remark or str(problem).removeprefix("recording: ")]
    level = read.level - read.level[np.argmin(np.abs(read.times))]
    inside = (read.times >= 0) & (np.arange(len(level)) <= np.flatnonzero(level >= -read.fall)[-1])
    early = inside & (read.times <= read.times[inside & (level >= -EARLY)].max())
    return [*named, read.t60, _line(read.times[early], level[early]),
            _line(read.times[inside & ~early], level[inside & ~early]), read.fall, remark]


def _lowest_fret(number: int, strings: list[int]) -> int | None:
    frets = {number - open_number: s for s, open_number in enumerate(strings, 1) if number >= open_number}
    return frets[min(frets)] if frets else None


def _line(times: Array, level: Array) -> float:
    """T60 (s) of a straight line through the level, nan for too few points or no fall."""
    if len(times) < 3:
        return float("nan")
    slope = float(np.polyfit(times, level, 1)[0])
    return -60 / slope if slope < 0 else float("nan")
