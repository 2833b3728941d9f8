"""A plucked note: what a pickup over the string senses, computed from the damped partials of string and instrument.

Neck-borne part of a model, not a recording: string, neck and body as they load the string's ends, and an ideal pickup. No amplifier, no
loudspeaker, no air-borne sound, no touch of the left hand.
"""

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from tonewood import checks
from tonewood.sound.glide import share_relieved
from tonewood.sound.partials import EndModes, SpeakingString, _whole, partials

LABEL = "Neck-borne part of a model, not a recording"
BLOCK = 64                 # samples stepped together; the recurrence restarts exactly at every block, so rounding cannot build up
MOST_OF_RATE = 0.45        # highest partial as a share of the sample rate when the number of partials is left open


@dataclass(frozen=True, eq=False)
class Pluck:
    """One plucked note, or the same note on many drawn instruments.

    samples: string velocity under the pickup [m/s], shape (N,) or (draws, N); rate [Hz]; rates, amplitudes: complex rates and pickup
    amplitudes of the partials, signal = sum Re(2 amplitude exp(rate t)), shape (..., J); rise: slow relative rise of all frequencies
    at every 64th sample (..., blocks), zero without pitch glide; fundamental of the string on rigid ends [Hz]; window: samples per mean
    of the envelope; label says what the sound is.
    """

    samples: np.ndarray = field(repr=False)
    rate: float
    rates: np.ndarray = field(repr=False)
    amplitudes: np.ndarray = field(repr=False)
    rise: np.ndarray = field(repr=False)
    fundamental: float
    window: int
    _power: np.ndarray = field(repr=False)
    label: str = LABEL

    @property
    def time(self):
        """Time of each sample after release [s]."""
        return np.arange(self.samples.shape[-1]) / self.rate

    @property
    def envelope(self):
        """RMS over whole periods of the note (at least 5 ms) beginning at each sample [m/s], same shape as samples."""
        return np.sqrt(self._power)

    def level_at(self, times=(0.005, 0.050, 0.200)):
        """Level of the envelope at the given times [dB re 1 m/s], shape (..., times). Raises ValueError outside the note."""
        times = np.atleast_1d(checks.number("time after release", times, 0.0, self.time[-1], "s",
                                            lambda v: f"Did you mean {v / 1000:g} s?" if v >= 1 else None))
        power = self._power[..., np.round(times * self.rate).astype(int)]
        return 10 * np.log10(np.maximum(power, 1e-30))

    def remaining_energy(self, times):
        """Integral of the squared signal from each time to the end of all sound [m2/s], closed form, shape (..., times).

        The backward integral of room acoustics (Schroeder 1965, from memory): smooth, and beats of close partials are kept.
        """
        times = np.atleast_1d(np.asarray(times, float))
        return np.stack([_remaining(r, a, times) for r, a in _each(self.rates, self.amplitudes)]).reshape(self.rates.shape[:-1] + times.shape)

    @cached_property
    def early_decay_time(self):
        """Six times the time until the note's power first lies 10 dB below its start [s] (a 60 dB time), per draw.

        Power: partials nearest to the same harmonic are added with their phases, so beats count; harmonics are added by energy.
        """
        return self._per_draw(lambda r, a: 6 * _first_drop(r, a, self.fundamental, 10.0))

    @cached_property
    def late_T60(self):
        """60 dB time of the tail, from -25 to -35 dB of the remaining energy, times six [s], per draw."""
        return self._per_draw(lambda r, a: 6 * (_fall(r, a, 35.0) - _fall(r, a, 25.0)))

    def _per_draw(self, measure):
        found = [measure(r, a) for r, a in _each(self.rates, self.amplitudes)]
        return float(found[0]) if self.rates.ndim == 1 else np.array(found)

    def cents_at(self, times):
        """Rise of pitch above the small-amplitude note at the given times [cents], shape (..., times); zero without glide."""
        times = np.atleast_1d(checks.number("time after release", times, 0.0, self.time[-1], "s"))
        block = times * self.rate / BLOCK
        before = block.astype(int)
        slow = self.rise[..., before] + (block - before) * (self.rise[..., before + 1] - self.rise[..., before])
        return 1200 * np.log2(1 + slow)

    def table(self):
        """One row per draw: levels, decay times, pitch rise, with units in the column names."""
        import pandas
        level = np.atleast_2d(self.level_at())
        return pandas.DataFrame({"level at 5 ms [dB re 1 m/s]": level[:, 0], "level at 50 ms [dB re 1 m/s]": level[:, 1],
                                 "level at 200 ms [dB re 1 m/s]": level[:, 2],
                                 "early decay time [s]": np.atleast_1d(self.early_decay_time),
                                 "late T60 [s]": np.atleast_1d(self.late_T60),
                                 "pitch rise at release [cents]": self.cents_at(0.0).reshape(-1)})


def initial_shape(string, height, pick, width=0.0, modes=60):
    """Sine coefficients of the string pulled aside by a pick [m], shape (modes,).

    height [m] at the pick; pick: distance from the bridge [m]; width: contact width of the pick [m], which rounds the corner by
    exp(-(n width/L)^2). Triangle of height h: q_n = 2 h sin(n pi b)/(n^2 pi^2 b (1 - b)), b = pick/L. Raises ValueError.
    """
    part = _inside("pick position", pick, string) / string.length
    n = np.arange(1, modes + 1)
    triangle = 2 * height * np.sin(n * np.pi * part) / (n**2 * np.pi**2 * part * (1 - part))
    return triangle * np.exp(-((n * width / string.length) ** 2))


def pickup_weights(string, pickup, width=0.0, modes=60):
    """What share of each sine term a pickup sees, shape (modes,): sin(n pi x/L), averaged over the width of its field.

    pickup: distance of its centre from the bridge [m]; width [m]. Raises ValueError.
    """
    part = _inside("pickup position", pickup, string) / string.length
    n = np.arange(1, modes + 1)
    return np.sin(n * np.pi * part) * np.sinc(n * width / (2 * string.length))


def pluck(string, normal=EndModes(), parallel=EndModes(), *, height=0.002, direction=0.0, pick=0.13, pick_width=0.002, pickup=0.16,
          pickup_width=0.02, sideways=0.1, parallel_loss=None, duration=2.0, rate=44100, modes=None, glide=False, neck_compliance=0.0,
          solved=()):
    """Pluck one string and listen through one pickup.

    string: SpeakingString; normal, parallel: EndModes for motion out of and along the fretboard plane (rigid ends unless given);
    height [m]: pull of the pick at release; direction [rad]: 0 away from the fretboard, pi/2 along it; pick, pickup: distances from the
    bridge [m]; pick_width, pickup_width [m]; sideways: share of the parallel motion the pickup senses (a pickup senses mainly the
    normal motion: Pate, Le Carrou & Fabre, JASA 135 (2014) 3045, abstract; the size 0.1 is an assumption); parallel_loss: string loss
    factor in the parallel direction, like string.loss unless given; duration [s]; rate [Hz]; modes: number of string partials (all
    below 0.45 of the rate, 60 at most, unless given); glide: let the tension rise bend the pitch (needs string.axial_stiffness);
    neck_compliance [m/N]: give of the neck along the string, which relieves the tension rise; solved: Partials of the normal and the parallel
    direction already found with these ends and `modes` partials, to strike the same string again without solving anew.
    Positions, widths and the 2 mm pull are examples of common practice, no source. Returns Pluck.
    The neck is taken at rest at release. With glide, all frequencies follow the slow mean tension; the partials' own ripple at twice
    their frequency and the mixing of partials by tension are left out.
    Raises ValueError: pick or pickup outside the string, sample rate too low for the partials asked for, values out of range.
    """
    height = checks.number("pluck height", height, 0.0, 0.01, "m", lambda v: f"Did you mean {v / 1000:g} m?" if 0.01 < v <= 10 else None,
                           open_low=True)
    direction = checks.angle("pluck direction", direction)
    sideways = checks.number("share of parallel motion sensed", sideways, -1.0, 1.0)
    duration = checks.number("duration", duration, 0.01, 30.0, "s")
    rate = checks.number("sample rate", rate, 2000.0, 400000.0, "Hz", lambda v: f"Did you mean {1000 * v:g} Hz?" if 8 <= v <= 400 else None)
    pick_width = checks.number("pick width", pick_width, 0.0, 0.05, "m")
    pickup_width = checks.number("pickup width", pickup_width, 0.0, 0.1, "m")
    modes = _partials_that_fit(string, rate, modes)
    shape = initial_shape(string, height, pick, pick_width, modes)
    seen = pickup_weights(string, pickup, pickup_width, modes)
    ways = [(string, normal, np.cos(direction), 1.0)]
    if np.sin(direction) != 0:
        side = string if parallel_loss is None else SpeakingString(string.length, string.mass_per_length, string.tension,
                                                                   string.bending_stiffness, string.axial_stiffness, parallel_loss)
        ways.append((side, parallel, np.sin(direction), sideways))
    count = int(round(duration * rate))
    window = int(round(np.ceil(0.005 * string.fundamental) / string.fundamental * rate))
    blocks = np.arange(-(-(count + window) // BLOCK) + 1) * BLOCK / rate
    rates, amplitudes, rise = [], [], np.zeros(len(blocks))
    for place, (line, ends, share, sensed) in enumerate(ways):
        found = solved[place] if len(solved) > place else partials(line, ends, modes)
        if found.shapes.shape[-2] != modes:
            raise ValueError(f"solved partials: {found.shapes.shape[-2]} string terms given; accepted: {modes}, as asked for by modes")
        strength = found.amplitudes(share * shape)
        rates.append(found.rates)
        amplitudes.append(sensed * np.einsum("n,...nj->...j", seen, found.shapes) * strength * found.rates)
        if glide:
            rise = rise + _slow_rise(string, found, strength, blocks, neck_compliance)
    rates, amplitudes, rise = _joined(rates, amplitudes, rise)
    signal = np.stack([synthesise(r, a, count + window, rate, s if glide else None) for r, a, s in _each(rates, amplitudes, rise)])
    signal = signal.reshape(rates.shape[:-1] + (count + window,))
    total = np.concatenate([np.zeros(signal.shape[:-1] + (1,)), np.cumsum(signal**2, axis=-1)], axis=-1)
    power = np.maximum(total[..., window:-1] - total[..., :-1 - window], 0.0) / window
    return Pluck(signal[..., :count], float(rate), rates, amplitudes, rise, float(string.fundamental), window, power[..., :count])


def synthesise(rates, amplitudes, count, rate, rise=None):
    """Signal sum_j Re(2 amplitude_j exp(rate_j t)) at `count` samples, shape (count,).

    rates, amplitudes: (J,) complex; rise: slow relative rise of all frequencies at the start of every block of 64 samples and at the end
    of the last, or None. Each block starts from an exact exponential and is stepped by complex multiplication, all blocks side by side.
    """
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


def _slow_rise(string, found, strength, times, neck_compliance):
    """Relative rise of frequency dT/(2T) at the times, (..., t), from the mean stretch EA/(2L) of the integral of y'^2.

    The mean square of each string term is half the squared modulus of its analytic signal: beats stay, the ripple at twice the
    frequency goes.
    """
    if string.axial_stiffness is None:
        raise ValueError("pitch glide: the string has no axial_stiffness; give EA of the core in N (E times core area)")
    relief = 1 + share_relieved(neck_compliance, string.length, string.axial_stiffness)
    n = np.arange(1, found.shapes.shape[-2] + 1)
    slope = found.shapes * (n * np.pi / string.length)[:, None] * strength[..., None, :]
    gram = np.swapaxes(slope.conj(), -1, -2) @ slope
    motion = np.exp(found.rates[..., :, None] * times)
    stretch = string.length * np.einsum("...jt,...jt->...t", motion.conj(), gram @ motion).real
    return string.axial_stiffness / (4 * string.length * string.tension) * stretch / np.asarray(relief)[..., None]


def _partials_that_fit(string, rate, modes):
    """Number of string partials: as asked, if the sample rate carries them; else as many as fit, 60 at most. Raises ValueError."""
    allowed = string.omegas(400) / (2 * np.pi)
    if modes is None:
        count = int(np.sum(allowed[:60] < MOST_OF_RATE * rate))
        if count < 1:
            raise ValueError(f"sample rate: {rate:g} Hz given; the note itself at {allowed[0]:.1f} Hz needs at least {allowed[0] / MOST_OF_RATE:.0f} Hz")
        return count
    modes = _whole("string partials", modes, 1, 400)
    if allowed[modes - 1] >= rate / 2:
        raise ValueError(f"sample rate: {rate:g} Hz given; partial {modes} lies at {allowed[modes - 1]:.0f} Hz and needs more than "
                         f"{2 * allowed[modes - 1]:.0f} Hz. At this rate {int(np.sum(allowed < rate / 2))} partials fit")
    return modes


def _inside(name, position, string):
    """A distance from the bridge strictly within the speaking length."""
    return checks.number(f"{name} (distance from the bridge)", position, 0.0, string.length, "m",
                         lambda v: f"Did you mean {v / 1000:g} m?" if 1 <= v < 1000 * string.length else "It must lie on the speaking length",
                         open_low=True, open_high=True)


def _joined(rates, amplitudes, rise):
    """Both directions' partials side by side, draws matched with each other and with the glide's."""
    lead = np.broadcast_shapes(rise.shape[:-1], *(p.shape[:-1] for p in rates + amplitudes))
    spread = lambda part: np.broadcast_to(part, lead + part.shape[-1:])  # noqa: E731
    return np.concatenate([spread(p) for p in rates], -1), np.concatenate([spread(p) for p in amplitudes], -1), spread(rise)


def _each(*arrays):
    """The arrays draw by draw."""
    return zip(*(a.reshape((int(np.prod(a.shape[:-1])), a.shape[-1])) for a in arrays))


def _remaining(rates, amplitudes, times):
    """Energy left after each time for one draw; both products of conjugate pairs integrated in closed form."""
    live = np.abs(amplitudes) > 1e-9 * np.abs(amplitudes).max()
    rates, amplitudes = rates[live], amplitudes[live]
    now = amplitudes[:, None] * np.exp(rates[:, None] * times)
    same = -1 / (rates[:, None] + rates)
    crossed = -1 / (rates[:, None] + rates.conj())
    return 2 * np.einsum("jt,jt->t", now, same @ now + crossed @ now.conj()).real


def _first_drop(rates, amplitudes, fundamental, drop):
    """First time at which the power of one draw lies `drop` dB below its start; beats within a harmonic are kept."""
    live = np.abs(amplitudes) > 1e-6 * np.abs(amplitudes).max()
    rates, amplitudes = rates[live], amplitudes[live]
    if not (rates.real < 0).all():
        return np.inf
    harmonic = np.maximum(np.round(rates.imag / (2 * np.pi * fundamental)), 1)
    groups = (harmonic == np.unique(harmonic)[:, None]).astype(float)
    power = lambda t: np.sum(np.abs(groups @ (amplitudes[:, None] * np.exp(rates[:, None] * t))) ** 2, axis=0)  # noqa: E731
    target = power(np.zeros(1))[0] * 10 ** (-drop / 10)
    step = min(0.005, 0.1 / np.max(-rates.real))
    start = 0.0
    while True:                                                     # ends: the power is below a falling exponential
        grid = start + step * np.arange(1001)
        below = power(grid) <= target
        if below.any():
            after = int(np.argmax(below))
            if after == 0:
                return start
            break
        start, step = grid[-1], 2 * step if start > 1 else step
    low, high = grid[after - 1], grid[after]
    for _ in range(3):
        grid = np.linspace(low, high, 17)
        after = max(int(np.argmax(power(grid) <= target)), 1)
        low, high = grid[after - 1], grid[after]
    return (low + high) / 2


def _fall(rates, amplitudes, drop):
    """Time at which the remaining energy of one draw has fallen by `drop` dB."""
    if not (rates.real < 0).all():
        return np.inf
    target = _remaining(rates, amplitudes, np.zeros(1))[0] * 10 ** (-drop / 10)
    low, high = 0.0, drop / 8.0 / np.min(-rates.real)
    for _ in range(6):                                              # narrow 16-fold, six times
        grid = np.linspace(low, high, 17)
        after = int(np.argmax(_remaining(rates, amplitudes, grid) <= target))
        low, high = grid[after - 1], grid[after]
    return (low + high) / 2
