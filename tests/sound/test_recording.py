"""What is read from a recording, against sounds whose decay is known because they are made here."""

import numpy as np
import pytest

from tonewood.sound.recording import at_pitch, decay_read, level_over_time

RATE = 16000
LN_1000 = np.log(1000.0)


def tone(pitch, t60, seconds, level=1.0):
    t = np.arange(int(seconds * RATE)) / RATE
    return level * np.exp(-LN_1000 * t / t60) * np.sin(2 * np.pi * pitch * t)


@pytest.mark.parametrize("pitch", [82.4, 233.0, 659.3])
@pytest.mark.parametrize("t60", [1.5, 6.0, 20.0])
def test_a_falling_tone_is_read_alone_and_whole(pitch, t60):
    sound = tone(pitch, t60, 0.7 * t60)
    assert decay_read(sound, RATE, pitch=pitch).t60 == pytest.approx(t60, rel=0.01)
    assert decay_read(sound, RATE).t60 == pytest.approx(t60, rel=0.06)
    assert decay_read(sound, RATE, drop=20.0, pitch=pitch).fall == pytest.approx(20)


def test_the_fundamental_is_found_under_a_louder_overtone_that_rings_on():
    sound = tone(233.0, 2.0, 12.0) + tone(466.0, 15.0, 12.0, 2.0)
    assert decay_read(sound, RATE, pitch=233.0).t60 == pytest.approx(2.0, rel=0.02)
    assert decay_read(sound, RATE).t60 == pytest.approx(15.0, rel=0.05)
    # detuned by a third of a semitone it is still the same note
    assert decay_read(sound, RATE, pitch=233.0 * 2 ** (1 / 36)).t60 == pytest.approx(2.0, rel=0.02)


def test_a_beating_pair_is_read_by_the_line_through_its_beats():
    """Two partners 5 Hz apart, each 2 s: the line finds 2 s though the level swings."""
    sound = tone(230.0, 2.0, 4.0) + 0.6 * tone(235.0, 2.0, 4.0)
    assert decay_read(sound, RATE, pitch=232.0).t60 == pytest.approx(2.0, rel=0.08)


@pytest.mark.parametrize("noise, least", [(1e-3, 25.0), (3e-3, 15.0)])
def test_noise_shortens_the_fall_that_is_read_not_the_seconds(noise, least):
    sound = tone(233.0, 4.0, 10.0, 0.05) + np.random.default_rng(2).normal(0, noise, 10 * RATE)
    read = decay_read(sound, RATE, pitch=233.0)
    assert read.t60 == pytest.approx(4.0, rel=0.03) and least <= read.fall <= 30 + 1e-9
    whole = decay_read(sound, RATE)
    assert whole.t60 == pytest.approx(4.0, rel=0.1) and whole.fall < read.fall + 1e-9


def test_a_note_cut_off_while_it_rings_is_read_over_what_is_there():
    read = decay_read(tone(110.0, 30.0, 6.0), RATE, pitch=110.0)
    assert 10 <= read.fall < 13 and read.t60 == pytest.approx(30.0, rel=0.02)


def test_silence_before_the_note_does_not_count():
    sound = np.concatenate([np.zeros(RATE), tone(233.0, 3.0, 4.0)])
    assert decay_read(sound, RATE, pitch=233.0).t60 == pytest.approx(3.0, rel=0.02)


def test_filter_passes_its_pitch_and_stops_the_octave():
    t = np.arange(RATE) / RATE
    for factor, low, high in ((1.0, 0.99, 1.01), (2.0, 0.0, 0.003), (0.5, 0.0, 0.003)):
        out = at_pitch(np.sin(2 * np.pi * 200 * factor * t), RATE, 200.0)[RATE // 4:-RATE // 4]
        assert low <= np.abs(out).max() <= high
    times, level = level_over_time(np.full(RATE, 0.1), RATE)
    np.testing.assert_allclose(level, -20.0)
    assert np.all(np.diff(times) > 0)


def test_refusals_say_what_is_wrong():
    noise = np.random.default_rng(3).normal(0, 0.1, 3 * RATE)
    note = tone(100, 2, 2)
    for sound, how, word in ((noise, {}, "before it meets the noise"), (note[:800], {}, "0.05 s given"),
                             (note, {"pitch": 9000.0}, "pitch"), (note, {"drop": 3}, "fall")):
        with pytest.raises(ValueError, match=word):
            decay_read(sound, RATE, **how)
