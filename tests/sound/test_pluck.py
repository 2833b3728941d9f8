"""The plucked note: exact modal sum, its measures, limits, speed."""

import time

import numpy as np
import pytest
from numpy.testing import assert_allclose

from tonewood.sound.coupled import string_ends
from tonewood.sound.partials import EndModes, SpeakingString, partials, speaking_string
from tonewood.sound.pluck import LABEL, _remaining, pluck, synthesise
from tonewood.sound.stroke import initial_shape, pickup_weights
from tonewood.strings.wire import StringSet, plain, wound

LOW_E = SpeakingString(0.648, 6.787e-3, 77.4, 1e-4, 3.3e4, 4e-4)
D_STRING = SpeakingString(0.648, 2.262e-3, 81.9, 0.0, 2.0e4, 3e-4)


def guitar(factor=1.0, seed=3):
    generator = np.random.default_rng(seed)
    omega = 2 * np.pi * np.array([0, 0, 49.5, 192.4, 453.7, 662.8, 975.5, 1300.0])
    return EndModes(omega * factor, np.full(8, 0.012), generator.normal(0, 0.8, 8),
                    generator.normal(0, 0.3, 8))


def remaining(sound, times):
    """Integral (m2/s) of the squared signal from each time to the end: what the late decay is read from."""
    return _remaining(sound.rates, sound.amplitudes, np.atleast_1d(times))


def plain_loop(rates, amplitudes, count, rate):
    """The sum written out, one sample and one partial at a time."""
    out = []
    for sample in range(count):
        value = 0.0
        for r, a in zip(rates, amplitudes, strict=True):
            value += 2 * (a * np.exp(r * sample / rate)).real
        out.append(value)
    return np.array(out)


def test_signal_is_the_modal_sum():
    sound = pluck(LOW_E, guitar(), guitar(1.7), direction=0.7, duration=0.1)
    direct = (2 * sound.amplitudes[:, None] * np.exp(sound.rates[:, None] * sound.time)).real.sum(axis=0)
    assert_allclose(sound.samples, direct, atol=1e-11)
    assert sound.label == LABEL and "not a recording" in LABEL


def test_partials_already_found_give_the_same_note():
    ends = (guitar(), guitar(1.7))
    solved = tuple(partials(LOW_E, e, 40) for e in ends)
    how = dict(direction=0.7, duration=0.05, modes=40, glide=True)
    for height in (0.001, 0.003):
        anew, again = pluck(LOW_E, *ends, height=height, **how), pluck(LOW_E, *ends, height=height,
                                                                       solved=solved, **how)
        assert np.array_equal(anew.samples, again.samples)
    with pytest.raises(ValueError, match="40 string terms given; accepted: 30"):
        pluck(LOW_E, *ends, duration=0.05, modes=30, solved=solved)


def test_flat_glide_changes_nothing():
    sound = pluck(LOW_E, guitar(), duration=0.1)
    blocks = -(-4410 // 64) + 1
    assert_allclose(synthesise(sound.rates, sound.amplitudes, 4410, 44100, np.zeros(blocks)), sound.samples,
                    atol=1e-11)


def test_pickup_signal_is_the_velocity_of_the_string_there():
    """Independent means: difference quotient of the string's displacement under the pickup."""
    string, ends = D_STRING, guitar()
    sound = pluck(string, ends, pickup=0.16, pickup_width=0.0, pick_width=0.004, modes=30, duration=0.05)
    found = partials(string, ends, 30)
    strength = found.amplitudes(initial_shape(string, 0.002, 0.13, 0.004, 30))
    step = 1e-7
    here = 2 * np.sin(np.arange(1, 31) * np.pi * 0.16 / 0.648) @ (found.shapes * strength)

    def at(t):
        return (here @ np.exp(np.outer(found.rates, t))).real

    quotient = (at(sound.time[1:500] + step) - at(sound.time[1:500] - step)) / (2 * step)
    assert_allclose(sound.samples[1:500], quotient, atol=1e-5)


def test_ideal_string_returns_after_one_period():
    """Loss-free flexible string on rigid ends: the motion repeats, and after half a period the triangle
    stands mirrored and inverted."""
    string = SpeakingString(0.648, 2.262e-3, 81.9)
    found = partials(string, modes=60)
    start = initial_shape(string, 0.002, 0.13, 0.0, 60)
    strength, period = found.amplitudes(start), 1 / string.fundamental
    after = lambda t: (2 * found.shapes @ (strength * np.exp(found.rates * t))).real  # noqa: E731
    assert_allclose(after(period), start, atol=1e-12)
    assert_allclose(after(period / 2), start * np.where(np.arange(1, 61) % 2, -1, 1), atol=1e-12)


def test_parseval_on_the_samples():
    """Energy of the samples, of their spectrum, and in closed form agree."""
    sound = pluck(SpeakingString(0.648, 2.262e-3, 81.9, loss=0.01), guitar(), duration=3.0)
    summed = np.sum(sound.samples**2) / sound.rate
    spectrum = np.abs(np.fft.rfft(sound.samples)) ** 2
    parseval = (2 * spectrum.sum() - spectrum[0]
                - spectrum[-1] * (len(sound.samples) % 2 == 0)) / len(sound.samples) / sound.rate
    assert parseval == pytest.approx(summed, rel=1e-10)
    assert remaining(sound, 0.0)[0] == pytest.approx(summed, rel=2e-3)   # samples against the integral


def test_remaining_energy_falls_and_is_the_tail_of_the_samples():
    sound = pluck(D_STRING, guitar(), duration=2.0)
    times = np.linspace(0, 1.9, 40)
    energy = remaining(sound, times)
    assert np.all(np.diff(energy) <= 0)
    between = np.sum(sound.samples[4410:44100] ** 2) / sound.rate
    assert remaining(sound, 0.1)[0] - remaining(sound, 1.0)[0] == pytest.approx(between, rel=2e-3)


def test_spectrum_peaks_sit_on_the_partials():
    sound = pluck(D_STRING, guitar(), duration=2.0)
    spectrum = np.abs(np.fft.rfft(sound.samples * np.hanning(len(sound.samples))))
    frequency = np.fft.rfftfreq(len(sound.samples), 1 / sound.rate)
    expected = partials(D_STRING, guitar(), 60).frequency
    for n in (1, 2, 3):
        band = (frequency > (n - 0.3) * D_STRING.fundamental) & (frequency < (n + 0.3) * D_STRING.fundamental)
        peak = frequency[band][np.argmax(spectrum[band])]
        assert np.abs(expected - peak).min() < 0.5


def test_picking_on_a_node_silences_that_harmonic():
    sound = pluck(D_STRING, pick=0.648 / 4, pick_width=0.0, pickup=0.1, pickup_width=0.0, duration=0.1,
                  modes=12)
    assert np.abs(sound.amplitudes[[3, 7, 11]]).max() < 1e-12 * np.abs(sound.amplitudes).max()
    assert np.abs(pickup_weights(D_STRING, 0.648 / 3, 0.0, 9)[[2, 5, 8]]).max() < 1e-12


def test_pickup_averages_over_its_width():
    x = 0.16 + np.linspace(-0.01, 0.01, 20001)
    mean = np.sin(np.outer(np.arange(1, 31), x) * np.pi / 0.648).mean(axis=1)
    assert_allclose(pickup_weights(D_STRING, 0.16, 0.02, 30), mean, atol=1e-4)
    assert abs(pickup_weights(D_STRING, 0.16, 0.02, 60)[59]) < 0.7 * abs(pickup_weights(D_STRING, 0.16, 0.0,
                                                                                        60)[59])


def test_wider_pick_is_duller_and_harder_pick_only_louder():
    narrow, wide, hard = (pluck(D_STRING, pick_width=w, height=h, duration=0.3) for w,
                          h in ((0.0, 0.001), (0.02, 0.001), (0.0, 0.002)))
    ratio = np.abs(wide.amplitudes) / np.abs(narrow.amplitudes)
    assert np.all(np.diff(ratio) < 0) and ratio[0] > 0.99 and ratio[40] < 0.25
    assert_allclose(hard.samples, 2 * narrow.samples, atol=1e-12)
    assert_allclose(hard.level_at() - narrow.level_at(), 20 * np.log10(2), atol=1e-9)


def test_single_partial_has_the_textbook_level_and_decay():
    string = SpeakingString(0.648, 2.262e-3, 81.9, loss=1e-2)
    sound = pluck(string, modes=1, duration=1.0)
    T60 = np.log(1000) / (np.pi * string.fundamental * 1e-2)
    assert sound.early_decay_time == pytest.approx(T60, rel=1e-4)
    # the integral of one partial ripples at twice its pitch
    assert sound.late_T60 == pytest.approx(T60, rel=5e-2)
    fall = sound.level_at([0.05])[0] - sound.level_at([0.2])[0]
    assert fall == pytest.approx(60 / T60 * 0.15, rel=2e-3)
    amplitude = 2 * np.abs(sound.amplitudes[0])
    # the mean belongs to the middle of its window
    middle = sound.window / sound.rate / 2
    assert sound.level_at([0.1 - middle])[0] == pytest.approx(20 * np.log10(amplitude / np.sqrt(2)) - 6 / T60,
                                                              abs=0.02)


def test_twelve_decibels_over_T60_in_two_hundred_milliseconds():
    """Independently derived: a partial drops 12/T60 dB in 0.2 s; 1.76 s gives 6.8 dB, 16.8 s gives 0.7 dB."""
    for T60, drop in ((1.76, 6.8), (16.8, 0.7)):
        string = SpeakingString(0.648, 2.262e-3, 81.9, loss=np.log(1000) / (np.pi * 146.82 * T60))
        level = pluck(string, modes=1, duration=0.3).level_at([0.0, 0.2])
        assert level[0] - level[1] == pytest.approx(drop, abs=0.05)


def test_two_polarisations_give_a_two_stage_decay():
    """The parallel motion rings long, the normal one is damped by the neck: steep first, flat later; straight
    up there is one stage."""
    hungry = EndModes([2 * np.pi * 155.0], [0.03], [0.9])
    calm = SpeakingString(0.648, 2.262e-3, 81.9, loss=1e-4)
    upright, slanted = (pluck(calm, hungry, EndModes(), direction=d, sideways=0.1, modes=1, duration=0.3)
                        for d in (0.0, 1.2))
    assert slanted.early_decay_time < 0.3 * slanted.late_T60
    assert upright.late_T60 < 0.3 * slanted.late_T60
    # partials: two of the normal way, then the parallel one
    fast, slow = int(np.argmax(np.abs(slanted.amplitudes[:2]))), 2
    more = pluck(calm, hungry, EndModes(), direction=1.4, sideways=0.1, modes=1, duration=0.3)
    share = [np.abs(p.amplitudes[slow] / p.amplitudes[fast]) for p in (slanted, more)]
    # the pick's direction sets the share
    assert share[1] / share[0] == pytest.approx(np.tan(1.4) / np.tan(1.2), rel=1e-9)


def test_parallel_loss_acts_on_the_parallel_motion_only():
    base = pluck(D_STRING, direction=0.8, duration=0.05, modes=10)
    lossy = pluck(D_STRING, direction=0.8, duration=0.05, modes=10, parallel_loss=0.01)
    assert_allclose(lossy.rates[:10], base.rates[:10])
    assert_allclose(lossy.rates[10:].real, base.rates[10:].real * 0.01 / 3e-4, rtol=1e-6)


def test_measures_settle_with_the_number_of_partials():
    levels = np.array([pluck(LOW_E, guitar(), modes=n, duration=0.25).level_at() for n in (20, 40, 60, 80)])
    change = np.abs(np.diff(levels, axis=0)).max(axis=1)
    assert change[-1] < 0.15 and change[-1] < change[0]
    times = [pluck(LOW_E, guitar(), modes=n, duration=0.05).early_decay_time for n in (60, 80)]
    assert times[0] == pytest.approx(times[1], rel=0.02)


def test_draws_match_single_instruments():
    factor = np.array([[0.97], [1.0], [1.04]])
    many = pluck(D_STRING, guitar(factor), guitar(1.5), direction=0.5, duration=0.25, glide=True,
                 neck_compliance=np.array([0, 1e-7, 1e-6]))
    assert many.samples.shape == (3, 11025) and many.level_at().shape == (3, 3)
    assert many.early_decay_time.shape == (3,)
    one = pluck(D_STRING, guitar(1.04), guitar(1.5), direction=0.5, duration=0.25, glide=True,
                neck_compliance=1e-6)
    assert_allclose(many.samples[2], one.samples, atol=1e-9)
    assert many.early_decay_time[2] == pytest.approx(one.early_decay_time)
    assert many.cents_at([0.0, 0.1]).shape == (3, 2)
    assert len(many.table()) == 3 and len(one.table()) == 1
    assert many.late_T60.shape == (3,) and many.late_T60[2] == pytest.approx(one.late_T60)


def test_envelope_is_the_rms_of_whole_periods():
    sound = pluck(LOW_E, guitar(), duration=0.3)
    assert sound.window == pytest.approx(sound.rate / LOW_E.fundamental, abs=1)
    piece = sound.samples[1000:1000 + sound.window]
    assert sound.power[1000] == pytest.approx(np.mean(piece**2), rel=1e-9)
    assert sound.power.shape == sound.samples.shape == sound.time.shape
    assert sound.level_at([1000 / sound.rate])[0] == pytest.approx(10 * np.log10(np.mean(piece**2)))


def test_notes_from_a_tuned_set_and_an_instrument():
    strings = StringSet((wound(1.17e-3, 0.46e-3), plain(0.254e-3)), ("E2", "E4"))
    low, high = (speaking_string(strings, i, fret) for i, fret in ((0, 5), (1, 0)))
    assert low.fundamental == pytest.approx(110.0,
                                            rel=1e-4) and low.length == pytest.approx(0.648 * 2 ** (-5 / 12))
    assert high.axial_stiffness == pytest.approx(strings.axial_stiffness[1]) and np.all(high.losses(30) > 0)
    assert np.all(speaking_string(strings, 0, 0, age=1.0).losses(20) > speaking_string(strings, 0,
                                                                                       0).losses(20))
    with pytest.raises(ValueError, match="from 0 to 1"):
        speaking_string(strings, 2)

    class Instrument:
        def all_at(self, x, y):
            return np.array([0.5, 0.9 if x < 0.3 else -0.2]), np.array([0.0, 200.0]), np.array([0.0, 0.02])
    ends = string_ends(Instrument(), 0.1, 0.648)
    assert_allclose([ends.omega, ends.eta, ends.fret, ends.bridge],
                    [[0, 400 * np.pi], [0, 0.02], [0.5, 0.9], [0.5, -0.2]])


@pytest.mark.parametrize("how, words", [
    (dict(pick=0.7), "pick position.*accepted: above 0 and below 0.648 m"), (dict(pick=0.0), "pick position"),
    (dict(pick=130), "did you mean 0.13 m"),
    (dict(pickup=-0.1), "pickup position"), (dict(pickup=0.648), "pickup position"),
    (dict(height=2.0), "did you mean 0.002 m"),
    (dict(height=np.nan), "pluck height"),
    (dict(rate=8000, modes=60), "60 lies at .* needs more than .* Hz. At this rate 27 partials fit"),
    (dict(rate=44.1), "Did you mean 44100 Hz"), (dict(direction=45.0), "degrees"),
    (dict(duration=0.0), "duration"),
    (dict(modes=0), "whole number|string partials"), (dict(modes=2.5), "whole number"),
    (dict(neck_compliance=1.0, glide=True), "compliance")])
def test_refusals(how, words):
    with pytest.raises(ValueError, match=words):
        pluck(D_STRING, **how)


def test_refusals_of_the_measures_and_of_a_glide_without_core():
    sound = pluck(D_STRING, duration=0.1)
    with pytest.raises(ValueError, match="time after release"):
        sound.level_at([0.2])
    with pytest.raises(ValueError, match="Did you mean 0.05 s"):
        sound.level_at([50])
    with pytest.raises(ValueError, match="axial_stiffness"):
        pluck(SpeakingString(0.648, 2.262e-3, 81.9), glide=True)
    with pytest.raises(ValueError, match="needs at least"):
        pluck(SpeakingString(0.1, 1e-4, 200.0), rate=8000)


def test_rate_decides_how_many_partials_when_none_are_asked():
    assert len(pluck(D_STRING, rate=8000, duration=0.05).rates) == 24           # below 0.45 of the rate
    assert len(pluck(D_STRING, rate=44100, duration=0.05).rates) == 60


def test_two_seconds_within_150_ms_and_faster_than_a_loop(capsys):
    pluck(LOW_E, guitar(), guitar(1.5), direction=0.6, duration=2.0)
    best = {}
    for name, how in (("one direction", dict()), ("two directions", dict(direction=0.6)),
                      ("two directions, glide", dict(direction=0.6, glide=True))):
        times = []
        for _ in range(5):
            # work done, not time waited for other programs
            start = time.thread_time()
            sound = pluck(LOW_E, guitar(), guitar(1.5), duration=2.0, **how)
            times.append(time.thread_time() - start)
        best[name] = min(times)
    times = []
    for _ in range(5):
        start = time.thread_time()
        vector = synthesise(sound.rates, sound.amplitudes, 2000, 44100)
        times.append(time.thread_time() - start)
    start = time.thread_time()
    loop = plain_loop(sound.rates, sound.amplitudes, 100, 44100)
    slow, fast = (time.thread_time() - start) * 20, min(times)
    assert_allclose(vector[:100], loop, atol=1e-11)
    with capsys.disabled():
        print("\n2 s of sound: " + ", ".join(f"{name} {1000 * t:.0f} ms" for name, t in best.items())
              + f"; blocks against a plain loop: {slow / fast:.0f} times faster")
    assert slow / fast > 20
    assert best["two directions, glide"] < 0.150
