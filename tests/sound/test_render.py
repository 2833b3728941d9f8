"""Sound files: one gain for all, no clipping, no clicks, honest level matching, loud refusals."""

import io
import wave

import numpy as np
import pytest
from numpy.testing import assert_allclose

from tonewood.sound.hearing import decibels
from tonewood.sound.partials import EndModes, SpeakingString
from tonewood.sound.pluck import pluck
from tonewood.sound.render import HIGHEST_RMS, LABEL, Mix, fade, render, sequence, wav_bytes

STRING = SpeakingString(0.648, 2.262e-3, 81.9, loss=4e-4)


def note(height=0.002, frequency=300.0, duration=0.5, **how):
    return pluck(STRING, EndModes([2 * np.pi * frequency], [0.02], [0.9]), height=height, duration=duration,
                 **how)


def read(data):
    with wave.open(io.BytesIO(data)) as file:
        shape = (file.getnchannels(), file.getsampwidth(), file.getframerate())
        return shape, np.frombuffer(file.readframes(file.getnframes()), "<i2") / 32767


def test_wav_comes_back_as_it_went():
    made = render({"a": note()})
    shape, samples = read(made.wav("a"))
    assert shape == (1, 2, 44100)
    assert_allclose(samples, made.samples[0], atol=0.51 / 32767)
    assert made.duration("a") == pytest.approx(0.5)
    assert len(made.wav("a")) == 44 + 2 * len(samples)


def test_one_gain_keeps_the_level_difference():
    made = render({"soft": note(0.001), "hard": note(0.002)})
    assert_allclose(made.samples[1], 2 * made.samples[0], atol=1e-12)
    loudest = np.abs(made.samples[1]).max()
    assert loudest == pytest.approx(0.5) or made.gain < 0.5 / np.abs(note(0.002).samples).max()
    assert made.trims.tolist() == [0, 0]
    together = [decibels(np.mean(s**2)) for s in made.samples]
    assert together[1] - together[0] == pytest.approx(20 * np.log10(2))


def test_level_matching_is_told_and_equalises():
    made = render({"soft": note(0.001), "hard": note(0.002)}, match_levels=True)
    assert_allclose(made.samples[0], made.samples[1], atol=1e-12)
    assert made.trims[1] == pytest.approx(-6.02, abs=0.01) and made.trims[0] == 0
    assert made.matched


def test_matching_brings_different_sounds_to_one_rms():
    made = render({"near": note(frequency=150.0), "far": note(frequency=400.0)}, match_levels=True,
                  match_over=0.5)
    rms = [np.sqrt(np.mean(s**2)) for s in made.samples]
    assert rms[0] == pytest.approx(rms[1], rel=1e-9)


def test_caps_on_peak_and_loudness():
    made = render({"a": note()}, peak=0.9)
    assert np.abs(made.samples[0]).max() <= 0.9 + 1e-12
    square = Mix(np.sign(np.sin(np.arange(22050) * 0.05) + 1e-9), 44100.0)
    held = render({"loud": square})
    assert np.sqrt(np.mean(held.samples[0][5000:15000] ** 2)) == pytest.approx(HIGHEST_RMS, rel=1e-6)
    with pytest.raises(ValueError, match="peak: 1 of full scale given"):
        render({"a": note()}, peak=1.0)


def test_gain_of_an_earlier_rendering_can_be_kept_but_not_beyond_the_cap():
    first = render({"a": note(0.002)})
    later = render({"b": note(0.001)}, gain=first.gain)
    assert_allclose(2 * later.samples[0], first.samples[0], atol=1e-12)
    with pytest.raises(ValueError, match="allow at most"):
        render({"c": note(0.004)}, gain=first.gain)


def test_no_click_at_start_or_end_and_no_offset():
    sound = note(duration=0.4)
    made = render({"a": sound}).samples[0]
    assert made[0] == 0 and made[-1] == 0
    inside = np.abs(np.diff(made)).max()
    assert np.abs(np.diff(made[:45])).max() < inside and np.abs(np.diff(made[-200:])).max() < 0.05 * inside
    # what remains is the string's way home from the pick
    assert np.abs(made.mean()) < 3e-3 * np.abs(made).max()
    # the fades touch the first ms and the last 30 ms only
    middle = slice(50, -1400)
    assert_allclose(made[middle] / render({"a": sound}).gain, sound.samples[middle], atol=1e-12)


def test_parseval_on_the_file():
    samples = read(render({"a": note()}).wav("a"))[1]
    spectrum = np.abs(np.fft.rfft(samples)) ** 2
    assert (2 * spectrum.sum() - spectrum[0]
            - spectrum[-1]) / len(samples) == pytest.approx(np.sum(samples**2), rel=1e-10)
    peak = np.fft.rfftfreq(len(samples), 1 / 44100)[np.argmax(spectrum)]
    assert abs(peak / STRING.fundamental - round(peak / STRING.fundamental)) < 0.05


def test_sequences_add_notes_up():
    one, two = note(duration=0.3), note(0.001, duration=0.3)
    mix = sequence([one, two], [0.0, 0.2])
    assert len(mix.samples) == int(0.5 * 44100) and mix.label == LABEL
    alone = fade(one.samples, 44100)
    assert_allclose(mix.samples[:8820], alone[:8820])
    assert_allclose(mix.samples[8820:13230], alone[8820:] + fade(two.samples, 44100)[:4410])
    chord = sequence([one, two, one], [0.0, 0.03, 0.06])
    assert len(chord.samples) == 13230 + 2 * 1323
    assert render({"chord": chord, "one": one}).samples[0].shape == chord.samples.shape


def test_silence_nan_draws_and_mixed_rates_are_refused():
    bad = note()
    samples = bad.samples.copy()
    samples[77] = np.nan
    with pytest.raises(ValueError, match="'a': sample 77 is not a finite number"):
        render({"a": Mix(samples, 44100.0)})
    with pytest.raises(ValueError, match="sample 3"):
        wav_bytes([0, 0.1, 0, np.inf], 44100)
    with pytest.raises(ValueError, match="silent"):
        render({"a": Mix(np.zeros(9000), 44100.0)})
    with pytest.raises(ValueError, match="sample rate: the sounds differ"):
        render({"a": note(), "b": note(rate=22050)})
    with pytest.raises(ValueError, match="2 draws given"):
        render({"a": Mix(np.zeros((2, 9000)), 44100.0)})
    with pytest.raises(ValueError, match="peak of 1.5"):
        wav_bytes([0.0, 1.5], 44100)
    with pytest.raises(ValueError, match="none given"):
        render({})
    with pytest.raises(ValueError, match="whole number of Hz"):
        render({"a": Mix(np.ones(9000), 44100.5)})
    with pytest.raises(ValueError, match="fades"):
        render({"a": Mix(np.ones(100), 44100.0)})
    with pytest.raises(ValueError, match="2 notes and 1 start times"):
        sequence([note(), note()], [0.0])
    with pytest.raises(ValueError, match="start time"):
        sequence([note()], [-1.0])
    with pytest.raises(ValueError, match="Did you mean 'first'"):
        render({"first": note()}).wav("frist")
