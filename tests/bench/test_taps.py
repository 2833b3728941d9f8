"""Tap tones read back from taps of known tone and loss: the truth is what the sound was made with, and one
reading is held against scipy's own least squares."""

import numpy as np
import pytest
from scipy.optimize import least_squares

from tonewood.bench.made_taps import CASES, error_table, kept_errors, made_taps
from tonewood.bench.taps import _doubt, tap_tones
from tonewood.sound.recording_file import recording


@pytest.mark.parametrize("frequency", [130.0, 412.0, 900.0, 2000.0])
@pytest.mark.parametrize("loss", [0.003, 0.008, 0.03])
def test_tone_and_loss_come_back(frequency, loss):
    found = tap_tones(made_taps(frequency, loss, gap=2.0), expected=1.1 * frequency)
    assert found.usable and len(found.taps) == 3
    assert found.frequency == pytest.approx(frequency, rel=2e-4)
    assert found.loss == pytest.approx(loss, rel=0.02)


@pytest.mark.parametrize("changes", [
    {"noise": 0.05}, {"offset": 0.2}, {"opposite": True}, {"hum": 0.05}, {"rate": 8000.0}, {"rate": 192000.0},
    {"others": [(1135.0, 0.01, 0.25), (640.0, 0.02, 0.2)]}, {"others": [(424.0, 0.008, 0.2)]}, {"gap": 0.5}],
    ids=str)
def test_rooms_recorders_and_other_tones_do_little_harm(changes):
    found = tap_tones(made_taps(**changes), expected=400)
    assert found.usable
    assert found.frequency == pytest.approx(412, rel=1e-3) and found.loss == pytest.approx(0.008, rel=0.05)


def test_one_tap_agrees_with_least_squares_of_scipy():
    heard = made_taps(412.0, 0.008, taps=1, noise=0.003, others=[])
    found = tap_tones(heard, expected=400)
    first = int((found.taps[0].time + 0.03) * heard.rate)
    sound = heard.samples[first:first + int(0.5 * heard.rate)]
    t = np.arange(len(sound)) / heard.rate

    def left(p):
        return p[0] * np.exp(-np.pi * p[2] * p[3] * t) * np.sin(2 * np.pi * p[2] * t + p[1]) - sound

    fits = [least_squares(left, [0.3, phase, 412.3, 0.006], x_scale=[0.1, 1, 0.1, 1e-3])
            for phase in (0, 2, 4)]
    best = min(fits, key=lambda fit: fit.cost).x
    assert found.frequency == pytest.approx(best[2], abs=0.02)
    assert found.loss == pytest.approx(best[3], rel=0.02)


@pytest.mark.parametrize("sound, words", [
    (lambda: recording(np.zeros(0), 48000), "no sound"),
    (lambda: recording(np.zeros(2000), 48000), "only 42 ms long"),
    (lambda: recording(np.zeros(48000), 48000), "silent"),
    (lambda: recording(1e-4 * np.sin(np.arange(48000)), 48000), "very faint"),
    (lambda: recording(0.05 * np.random.default_rng(1).standard_normal(96000), 48000), "no tap found"),
    (lambda: made_taps(loud=3.0), "clipped"),
    (lambda: made_taps(203.0, loud=0.02, hum=0.2, hum_frequency=200.0), "the tone, near 200 Hz"),
    (lambda: made_taps(180.5, loud=0.1, hum=0.06, hum_frequency=180.0, gap=1.0), "the tone, near 18"),
    (lambda: made_taps(others=[(415.0, 0.008, 0.3)]), "tones only"),
    (lambda: recording(made_taps(loss=0.003).samples[:int(0.48 * 24000)], 24000), "cut off"),
], ids=["empty", "short", "silent", "faint", "noise", "clipped", "hum drowns it", "hum beside it",
        "two close", "cut"])
def test_it_says_no_and_why(sound, words):
    found = tap_tones(sound(), expected=None if "noise" in words else 412 if "tones" in words else None)
    assert not found.usable and np.isnan(found.loss)
    assert any(words in reason for reason in found.reasons), found.reasons


def test_taps_that_disagree_are_not_averaged():
    one, other = made_taps(412.0, 0.008, taps=1), made_taps(412.0, 0.016, taps=1)
    both = recording(np.concatenate([one.samples, other.samples]), one.rate)
    found = tap_tones(both, expected=412)
    assert not found.usable and "do not agree" in found.reasons[0] and len(found.taps) == 2


@pytest.mark.parametrize("expected, words", [(0.412, "Kilohertz"), ((500, 300), "lowest, highest"),
                                             ((1, 2, 3), "accepted"), (float("nan"), "expected tone")])
def test_a_range_that_is_none_is_refused(expected, words):
    with pytest.raises(ValueError, match=words):
        tap_tones(made_taps(taps=1), expected=expected)


def test_error_table_finds_small_errors_grows_with_noise_and_is_what_is_kept():
    """All that is kept of six boards is worked out again, of twelve the kinds that few boards blur most."""
    table, some = error_table(6), ["one tap", "noise 16 dB below"]
    assert kept_errors(6).to_numpy() == pytest.approx(table.to_numpy(), rel=1e-5, abs=1e-7, nan_ok=True)
    anew = error_table(12, cases=some).to_numpy()
    assert kept_errors(12).loc[some].to_numpy() == pytest.approx(anew, rel=1e-5)
    assert list(kept_errors(6).columns) == list(kept_errors(2).columns) == list(table.columns)
    assert list(kept_errors(12).index) == list(kept_errors(6).index) == list(CASES)
    assert list(table.index) == list(CASES)
    assert table.loc["quiet room", "loss, 95th (%)"] < table.loc["noise 16 dB below", "loss, 95th (%)"] < 5
    assert (table["frequency, 95th (%)"].drop("equal tone 0.5 Hz away") < 0.1).all()


def test_the_doubt_told_holds_the_truth_about_as_often_as_it_should():
    inside = []
    for seed in range(40):
        found = tap_tones(made_taps(412.0, 0.008, taps=1, noise=0.02, seed=seed), expected=412).taps[0]
        inside.append(abs(found.loss - 0.008) < 2 * found.loss_u)
    assert 0.8 <= np.mean(inside) <= 1.0


@pytest.mark.parametrize("tone, hum", [(103.0, 100.0), (101.0, 100.0), (181.0, 180.0), (149.2, 150.0),
                                       (412.0, 400.0)])
@pytest.mark.parametrize("share", [0.1, 0.01])
def test_hum_beside_the_tone_is_refused_or_does_no_harm(tone, hum, share):
    for seed in range(8):
        found = tap_tones(made_taps(tone, 0.01, hum=0.3 * share, hum_frequency=hum, gap=1.5, seed=seed), tone)
        if found.usable:
            assert found.loss == pytest.approx(0.01, rel=0.1)
        elif share == 0.1:
            assert "mains hum" in found.reasons[0]


def test_two_tones_too_close_to_tell_apart_are_mostly_refused():
    """Equally loud, half a hertz apart: of twelve boards at most three are read, each to a tenth."""
    read = 0
    for seed in range(12):
        f, eta = 120.0 + 65 * seed, 0.005 + 0.001 * seed
        sound = made_taps(f, eta, rate=16000.0, noise=0.003, others=[(f + 0.5, eta, 0.3)], seed=seed)
        found = tap_tones(sound)
        if found.usable:
            read += 1
            assert abs(found.loss / eta - 1) < 0.1
        else:
            assert found.reasons
    assert read <= 3
    alone = tap_tones(made_taps(taps=1, rate=16000.0, noise=0.01))
    assert alone.usable and alone.loss_u > 0.09 * alone.loss and "one tap only" in alone.reasons[0]


def test_few_taps_that_scatter_are_in_doubt_as_student_has_it():
    """Three readings 1 apart, each sure by itself: s = 1, t of 97.5 % with 2 degrees of freedom 4.303 (any
    table of Student's t), so twice the standard uncertainty, 4.303 / sqrt(3), holds 95 of 100."""
    assert _doubt(np.array([1.0, 2.0, 3.0]), 0.0, 0.0) == pytest.approx(4.303 / 1.96 / 3**0.5, rel=1e-3)
    assert _doubt(np.array([5.0]), 3.0, 4.0) == 5.0
