"""Tap tones: what a recording of taps on a board says of its tone and its loss, and when it says nothing.

Each tap is found by its sudden rise. Around the strongest tone of the range that is looked at, the sound is
turned down to slow rotation and fitted by one or two dying rotations (a matrix pencil: Hua and Sarkar,
1990); the rate of turning gives the frequency, the rate of dying the loss factor, eta = decay rate / (pi f).
Taps are compared with each other, and doubt about one of them or about all is told in words.
Limits below: common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from tonewood import checks
from tonewood.bench.rotations import directions, pencil, unexplained
from tonewood.draws import Array
from tonewood.sound.recording_file import onsets

if TYPE_CHECKING:
    from collections.abc import Sequence

    from tonewood.sound.recording_file import Recording

LOWEST, HIGHEST = 40.0, 4000.0      # Hz looked at when nothing is expected
AROUND = 0.25                       # share either side of one expected tone
QUIET = 20.0                        # s before the first tap in which the noise is heard, at most
STRIKE = 0.008                      # s left out after the hit: the knuckle itself
ALIKE = 3.0                         # samples kept for each independent one of the filtered noise
LONGEST = 200                       # slow samples fitted: one to two seconds
LEAST_CYCLES = 12                   # periods that must ring above the noise
HUM_NEAR = 1.5                      # Hz from a multiple of 50 or 60
HUM_SHARE = 0.03                    # of the tap's tone already there before it: more bends its fall
LEAST_LOSS, MOST_LOSS = 5e-4, 0.2   # loss factors a board or bar may have
HUM = ("mains hum sounds with the tone, near {:.0f} Hz. Unplug what hums, or use the recorder on its "
       "battery, and tap a board of another length if its tone lies there")
UNEVEN = "Tap on the still line of the other tone, or turn the board on its edge"
BETTER, HINT = 4.0, 1.6             # a second tone is used, one close by feared, where one leaves more
AGREE_F, AGREE_LOSS = 0.01, 0.3     # taps of one board differ by no more
UNLIKE = 0.05                       # so far do losses differ for other reasons than noise, before it shows
ALONE = 0.1                         # relative doubt of the loss of a single tap: judgement


@dataclass(frozen=True, kw_only=True)
class Tap:
    """One tap: time of the hit (s), frequency (Hz) and loss factor with their standard uncertainties, and the
    reason why it does not count ("" if it does)."""

    time: float
    frequency: float
    frequency_u: float
    loss: float
    loss_u: float
    reason: str = ""


@dataclass(frozen=True, kw_only=True)
class Taps:
    """What the taps of a recording say together: frequency (Hz) and loss factor with standard uncertainties
    (nan where nothing is said), the single taps, whether it may be used, and what is wrong and what to do."""

    frequency: float
    frequency_u: float
    loss: float
    loss_u: float
    taps: tuple[Tap, ...]
    usable: bool
    reasons: tuple[str, ...]


def tap_tones(recording: Recording, expected: float | Sequence[float] | None = None) -> Taps:
    """Frequency and loss factor of the tone of a tapped board.

    expected: Hz, one tone (25 % either side is looked at) or (lowest, highest); None looks from 40 to 4000
    Hz. For a twist tone give its range. Raises ValueError for a range that is none; a bad recording does not
    raise, it comes back with usable False and its reasons.

    >>> from tonewood.sound.recording_file import recording
    >>> t = np.arange(24000) / 24000
    >>> tap = np.concatenate([np.zeros(4800), 0.5 * np.exp(-np.pi * 412 * 0.008 * t) * np.sin(2588.7 * t)])
    >>> found = tap_tones(recording(tap, 24000), expected=400)
    >>> round(found.frequency, 1), round(1000 * found.loss, 1), found.usable
    (412.0, 8.0, True)
    """
    low, high = _range(expected, recording.rate)
    samples = recording.samples - (np.median(recording.samples) if len(recording.samples) else 0.0)
    said = _nothing_to_read(samples, recording)
    if said:
        return _no(said)
    hits = onsets(samples, recording.rate)
    if not hits:
        tone = _peak(samples, recording.rate, low, high)
        if tone is not None and _from_hum(tone) < HUM_NEAR:
            return _no(HUM.format(tone))
        return _no("no tap found: nothing rises suddenly out of the noise. Record nearer, in a quieter room, "
                   "one tap a second")
    ends, last = [*hits[1:], len(samples)], max(hits[0] - int(0.01 * recording.rate), 0)
    quiet = samples[max(last - int(QUIET * recording.rate), 0):last]
    return _together(tuple(_one(samples, quiet, recording, start, stop, low, high)
                           for start, stop in zip(hits, ends, strict=True)))


def _refused(when: float, why: str, f: float = float("nan")) -> Tap:
    nan = float("nan")
    return Tap(time=when, frequency=f, frequency_u=nan, loss=nan, loss_u=nan, reason=why)


def _range(expected: float | Sequence[float] | None, rate: float) -> tuple[float, float]:
    if expected is None:
        return LOWEST, min(HIGHEST, 0.4 * rate)

    def khz(v: float) -> str | None:
        return f"Kilohertz? {v:g} kHz is {1000 * v:g} Hz" if 0 < v < 8 else None

    given = np.atleast_1d(np.asarray(checks.number("expected tone", expected, 20.0, 0.4 * rate, "Hz", khz)))
    if len(given) == 1:
        return float(given[0]) * (1 - AROUND), min(float(given[0]) * (1 + AROUND), 0.45 * rate)
    if len(given) != 2 or given[0] >= given[1]:
        raise ValueError(f"expected tone: {given.tolist()} given; accepted: one tone, or (lowest, highest), "
                         "in Hz")
    return float(given[0]), float(given[1])


def _no(*reasons: str, taps: tuple[Tap, ...] = ()) -> Taps:
    nan = float("nan")
    return Taps(frequency=nan, frequency_u=nan, loss=nan, loss_u=nan, taps=taps, usable=False,
                reasons=reasons)


def _nothing_to_read(samples: Array, recording: Recording) -> str:
    """Why the whole recording says nothing, or ""."""
    if not len(samples):
        return "the recording holds no sound. Did the recorder run?"
    if recording.seconds < 0.1:
        return (f"the recording is only {1000 * recording.seconds:.0f} ms long. Let the recorder run before "
                "the tap, and until the board is still")
    peak = float(np.abs(samples).max())
    if peak == 0:
        return "the recording is silent. Is the microphone switched on and allowed?"
    if peak < 1e-3:
        return (f"the recording is very faint (loudest moment {20 * np.log10(peak):.0f} dB of full scale). "
                "Bring the microphone within a hand's breadth of the board")
    return ""


def _baseband(samples: Array, rate: float, tone: float, half: float) -> tuple[Any, float]:
    """The sound around a tone, turned down to slow rotation and thinned: complex (M,), and its rate (Hz)."""
    from scipy.fft import next_fast_len
    count = len(samples)
    turned = samples * np.exp(-2j * np.pi * tone * np.arange(count) / rate)
    # a Butterworth low-pass of fourth order, by its response, run backwards in time: a dying tone then passes
    # unchanged from its first sample on
    size = next_fast_len(count + int(9 * rate / half))
    over = np.tan(np.pi * np.fft.fftfreq(size)) / np.tan(np.pi * half / rate)
    poles = np.exp(1j * np.pi * np.array([5, 7, 9, 11]) / 8)
    passed = 1 / np.prod(-1j * over[:, None] - poles, axis=1)
    step = max(int(rate / (6 * half)), 1)
    return np.asarray(np.fft.ifft(np.fft.fft(turned, size) * passed))[:count:step], rate / step


def _one(samples: Array, before: Array, recording: Recording, start: int, stop: int, low: float, high: float
         ) -> Tap:
    rate = recording.rate
    first, last = start + int(STRIKE * rate), min(stop - int(0.01 * rate), start + int(3.0 * rate))
    nan, when = float("nan"), start / rate

    def no(why: str, f: float = nan) -> Tap:
        return _refused(when, why, f)

    if any(when - 0.01 < t < when + 0.2 for t in recording.clipped):
        return no("clipped: the recorder was overdriven. Tap more softly, or move the microphone away")
    if last - first < 0.03 * rate:
        return no("cut off: the sound ends right after the tap. Let the recorder run until the board is "
                  "still")
    sound = samples[first:last]
    tone = _peak(sound, rate, low, high)
    if tone is None:
        return no("no tone stands out in the range looked at. Check the expected range and where the board "
                  "rests")
    half = float(np.clip(0.06 * tone, 12.0, 150.0))
    z, slow = _baseband(sound, rate, tone, half)
    quiet = _baseband(before, rate, tone, half) if len(before) >= 0.1 * rate else None
    noise = _noise(quiet, z)
    over = float(20 * np.log10(np.abs(z[:3]).max() / noise))
    if _hum_beside(quiet, tone, half) > HUM_SHARE * np.abs(z[:3]).max():
        return no(HUM.format(tone), tone)
    above = np.flatnonzero(np.abs(z) < 3 * noise)
    end = len(z) - int(0.5 / half * slow) - 1           # there the filter lacks what would have come
    used = z[:min(above[0] if len(above) else end, max(end, 1))]
    if over < 15 or len(used) < 6:
        return no("the tone hardly stands above the noise. Record nearer, in a quieter room", tone)
    if (not len(above) or above[0] >= end) and np.abs(used[-1]) > 0.3 * np.abs(used[0]):
        return no("cut off: the board still rings where the sound ends. Let the recorder run longer", tone)
    if len(used) / slow * tone < LEAST_CYCLES:
        return no(f"the tone is heard for only {len(used) / slow * 1000:.0f} ms. Hang the board at its still "
                  "points, and let the recorder run until it is quiet", tone)
    return _fitted(used[:LONGEST], slow, tone, noise, when)


def _peak(sound: Array, rate: float, low: float, high: float) -> float | None:
    """The strongest tone (Hz) between two limits, or None where none stands out of its neighbourhood."""
    sound = sound[:int(0.5 * rate)]
    size = 1 << int(np.ceil(np.log2(max(2 * len(sound), 4096))))
    window = np.cos(np.linspace(0, np.pi / 2, len(sound))) ** 2
    power = np.abs(np.fft.rfft(sound * window, size)) ** 2
    f = np.arange(len(power)) * rate / size
    inside = np.flatnonzero((f >= low) & (f <= high))
    if not len(inside):
        return None
    k = inside[np.argmax(power[inside])]
    around = power[(f > 0.6 * f[k]) & (f < 1.6 * f[k])]
    return float(f[k]) if power[k] > 20 * np.median(around) and 0 < f[k] else None


def _from_hum(tone: float) -> float:
    """How far (Hz) a tone lies from a multiple of 50 or 60 Hz."""
    return min(abs(tone - base * max(round(tone / base), 1)) for base in (50.0, 60.0))


def _hum_beside(before: tuple[Array, float] | None, tone: float, half: float) -> float:
    """Amplitude of the steady part at a multiple of 50 or 60 Hz that the fit would hear with the tone;
    before: the slow rotation before the tap."""
    if before is None:
        return 0.0
    quiet, slow = before
    t, window = np.arange(len(quiet)) / slow, np.hanning(len(quiet) + 2)[1:-1]
    lines = [base * max(round(tone / base), 1) - tone for base in (50.0, 60.0)]
    return max((abs(np.average(quiet * np.exp(-2j * np.pi * off * t), weights=window)) for off in lines
                if abs(off) < half), default=0.0)


def _noise(before: tuple[Array, float] | None, z: Array) -> float:
    """Amplitude of the noise in the band: before the tap where something was recorded, else at its end."""
    late = float(np.median(np.abs(z[-max(len(z) // 5, 3):])))
    if before is not None:
        return max(float(np.median(np.abs(before[0]))), 1e-7)
    return max(min(late, 0.1 * float(np.abs(z).max())), 1e-7)


def _fitted(z: Array, slow: float, tone: float, noise: float, when: float) -> Tap:
    """One tap from its slow rotation: the strongest of two dying rotations."""
    along = directions(z)
    factors, amplitude = pencil(z, along, 2 if len(z) >= 12 else 1)
    alive = (np.abs(factors) < 1.02) & (np.abs(factors) > 0.05)
    strength = np.where(alive, np.abs(amplitude), 0.0)
    main = int(np.argmax(strength))
    rest = int(np.argmin(strength)) if len(strength) > 1 else main
    one, alone = pencil(z, along, 1)
    pair_left = unexplained(z, factors, amplitude)
    single_left = unexplained(z, one, alone)
    two = len(strength) > 1 and strength[rest] > 0.2 * strength[main]
    gain = single_left / max(pair_left, noise)
    if two and gain > HINT:
        apart = abs(np.angle(factors[rest] / factors[main])) * slow / (2 * np.pi)
        f, eta = _read(factors[main], slow, tone)
        if apart < max(1.5 * eta * f, 2.0):
            words = f"two tones only {apart:.1f} Hz apart. " + UNEVEN
            return _refused(when, words, f)
    if not (two and gain > BETTER):
        factors, main, pair_left = one, 0, single_left
        if single_left > max(4 * noise, 0.1 * np.abs(z[0])):
            f = _read(one[0], slow, tone)[0]
            return _refused(when, "its fall is not that of one tone. " + UNEVEN, f)
    f, eta = _read(factors[main], slow, tone)
    # Cramer-Rao bounds of one dying rotation in noise of that size, whose samples are alike in threes
    k = np.arange(len(z))
    weight = np.abs(factors[main]) ** (2 * k)
    centre = (weight * k).sum() / weight.sum()
    spread = max((weight * (k - centre) ** 2).sum(), 1e-12)
    doubt = max(pair_left, noise / 3) / max(np.abs(z[0]), 1e-12) / np.sqrt(2 * spread / ALIKE) * slow
    f_u, eta_u = doubt / (2 * np.pi), doubt / (np.pi * f)
    words = ""
    if not LEAST_LOSS <= eta <= MOST_LOSS:
        told = f"(loss factor {1000 * eta:.1f} thousandths)"
        words = (f"it hardly dies {told}, as hum or feedback does. Switch off what hums" if eta < LEAST_LOSS
                 else f"it dies at once {told}. Let the board hang free at its still points")
    return Tap(time=when, frequency=f, frequency_u=f_u, loss=eta, loss_u=eta_u, reason=words)


def _read(factor: complex, slow: float, tone: float) -> tuple[float, float]:
    """(frequency in Hz, loss factor) of one factor per slow sample."""
    f = tone + float(np.angle(factor)) * slow / (2 * np.pi)
    return f, float(-np.log(np.abs(factor))) * slow / (np.pi * f)


def _doubt(values: Array, own: float, alone: float) -> float:
    """Standard uncertainty of the middle of some taps: what each is in doubt by itself and, where they lie
    further apart than that, their scatter, widened as of so few (Student's t: twice it holds 95 of 100)."""
    if len(values) == 1:
        return float(np.hypot(own, alone))
    from scipy.special import stdtrit
    scatter = float(np.std(values, ddof=1))
    excess = max(scatter**2 - own**2, 0.0) ** 0.5
    widened = excess * float(stdtrit(len(values) - 1, 0.975)) / 1.96
    return float(np.hypot(own, max(scatter, widened)) / np.sqrt(len(values)))


def _together(taps: tuple[Tap, ...]) -> Taps:
    good = [tap for tap in taps if not tap.reason]
    if not good:
        return _no(*dict.fromkeys(tap.reason for tap in taps), taps=taps)
    f, eta = (np.array([getattr(tap, name) for tap in good]) for name in ("frequency", "loss"))
    middle, loss = float(np.median(f)), float(np.median(eta))
    own_f, own_l = (float(np.median([getattr(tap, name) for tap in good]))
                    for name in ("frequency_u", "loss_u"))
    f_u = _doubt(f, own_f, 0.0)
    loss_u = _doubt(eta, own_l, ALONE * loss)
    reasons = [f"tap at {tap.time:.2f} s not used: {tap.reason}" for tap in taps if tap.reason]
    agree = bool(np.all(np.abs(f / middle - 1) < AGREE_F) and np.all(np.abs(eta / loss - 1) < AGREE_LOSS))
    mixed = [tap.reason for tap in taps if UNEVEN in tap.reason]
    if 2 * len(mixed) >= len(good):
        agree = False
    elif not agree:
        reasons.insert(0, f"the taps do not agree: {f.min():.1f} to {f.max():.1f} Hz, loss "
                          f"{1000 * eta.min():.1f} to {1000 * eta.max():.1f} thousandths. Tap the same place "
                          "the same way, and give the tone you expect")
    elif len(good) > 1 and np.std(eta, ddof=1) > max(UNLIKE * loss, 5 * own_l):
        agree = False
        reasons.insert(0, f"its fall differs from tap to tap, loss {1000 * eta.min():.1f} to "
                          f"{1000 * eta.max():.1f} thousandths, by more than the noise explains: as of two "
                          "tones too close to tell apart. " + UNEVEN)
    if len(good) == 1 and agree:
        reasons.append("one tap only: its agreement with others is not known. Three or more are better")
    return Taps(frequency=middle, frequency_u=f_u, loss=loss, loss_u=loss_u, taps=taps, usable=agree,
                reasons=tuple(reasons))
