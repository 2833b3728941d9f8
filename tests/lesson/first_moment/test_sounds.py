"""Sounds of lesson 08 judged by measurement, its players and its blind test driven without a browser."""

import os
import re

import numpy as np
import pytest

from tonewood.lesson.first_moment import attack, blind_test, guess_score, listen
from tonewood.lesson.first_moment.pair import FLEXIBLE, NECKS, STIFF, most_different
from tonewood.lesson.first_moment.sounds import GAP, PAIRS, RUN, TRIALS, sounds
from tonewood.lesson.shared.notes_played import note, strings
from tonewood.lesson.shared.shop import NECK_12
from tonewood.sound.record import load_tests
from tonewood.sound.render import LABEL, render


@pytest.fixture(scope="module", params=PAIRS)
def pair(request):
    return request.param, render(sounds(request.param))


def test_two_sounds_of_one_length_at_one_gain(pair):
    _, r = pair
    assert len(r.names) == 2 and len(r.samples[0]) == len(r.samples[1])
    assert r.rate == 44100 and r.label == LABEL
    assert not r.matched and np.all(r.trims == 0)
    assert max(np.abs(s).max() for s in r.samples) <= 0.5 + 1e-12


def roughest(samples):
    """Largest bend between three samples against the RMS of the 20 ms around it."""
    loud = np.sqrt(np.convolve(samples**2, np.ones(882) / 882, "same"))[1:-1]
    return np.max(np.abs(np.diff(samples, 2)) / (loud + 0.01 * loud.max()))


def highest_partial(key):
    notes = {"pick": [(4, 5)], "run": RUN, "note": [(most_different().string, most_different().fret)]}[key]
    partials = np.array([note(NECK_12, *place).line().omegas(60) / (2 * np.pi) for place in notes])
    return partials[partials < 0.45 * 44100].max()


def test_no_clicks(pair):
    """Silence at both ends; no step between samples that the music's own highest partials do not explain;
    nothing beyond the partials' band."""
    key, r = pair
    for samples in r.samples:
        assert abs(samples[0]) < 1e-9 and abs(samples[-1]) < 1e-6
        power = np.abs(np.fft.rfft(samples * np.hanning(len(samples)))) ** 2
        f = np.fft.rfftfreq(len(samples), 1 / r.rate)
        assert 10 * np.log10(power[f > 1.05 * highest_partial(key)].sum() / power.sum()) < -80
        assert 10 * np.log10(power[f < 50].sum() / power.sum()) < -35
        assert roughest(samples) < 1.0


def test_a_click_would_be_found():
    """The checks above must be able to fail: one sample moved by a tenth of the peak is a click."""
    samples = np.array(render(sounds("pick")).samples[0])
    samples[40000] += 0.1 * np.abs(samples).max()
    assert roughest(samples) > 1.0


def test_partials_sit_where_the_note_is():
    r = render(sounds("note"))
    worst = most_different()
    expected = float(strings().frequency[worst.index]) * 2 ** (worst.fret / 12)
    for samples in r.samples:
        power = np.abs(np.fft.rfft(samples * np.hanning(len(samples)), 8 * len(samples)))
        f = np.fft.rfftfreq(8 * len(samples), 1 / r.rate)
        for n in (2, 3):
            near = np.abs(f - n * expected) < 0.04 * n * expected
            assert 1200 * abs(np.log2(f[near][np.argmax(power[near])] / (n * expected))) < 15


def test_the_run_has_its_notes_in_time():
    r = render(sounds("run"))
    for i, (string, fret) in enumerate(RUN):
        expected = float(strings().frequency[6 - string]) * 2 ** (fret / 12)
        part = r.samples[0][int((GAP * i + 0.03) * r.rate):int((GAP * (i + 1) - 0.03) * r.rate)]
        power = np.abs(np.fft.rfft(part * np.hanning(len(part)), 1 << 17))
        f = np.fft.rfftfreq(1 << 17, 1 / r.rate)
        near = np.abs(np.log2(f[1:] / expected)) < 1 / 24
        assert power[1:][near].max() > 0.2 * power.max(), (string, fret)


def harmonics(samples, frequency, rate):
    power = np.abs(np.fft.rfft(samples[:rate] * np.hanning(rate))) ** 2
    return np.array([10 * np.log10(power[int(n * frequency) - 8:int(n * frequency) + 8].sum())
                     for n in range(1, 11)])


def test_warm_up_differs_by_many_decibels_and_the_run_by_hardly_any():
    pick, run = render(sounds("pick"), match_levels=True), render(sounds("run"), match_levels=True)
    g3 = float(strings().frequency[2]) * 2 ** (5 / 12)
    assert np.abs(np.subtract(*(harmonics(s, g3, 44100) for s in pick.samples))).max() > 10
    bands = []
    for samples in run.samples:
        power = np.abs(np.fft.rfft(samples)) ** 2
        f = np.fft.rfftfreq(len(samples), 1 / 44100)
        edges = 100 * 2 ** (np.arange(0, 19) / 3)
        bands.append([10 * np.log10(power[(f >= a) & (f < b)].sum())
                      for a, b in zip(edges[:-1], edges[1:], strict=True)])
    assert np.median(np.abs(np.subtract(*bands))) < 1.0


def test_the_chosen_note_sinks_on_one_neck_only():
    r = render(sounds("note"))
    fall = {}
    for name, samples in zip(r.names, r.samples, strict=True):
        early, late = (10 * np.log10(np.mean(samples[int(t * r.rate):int((t + 0.02) * r.rate)] ** 2))
                       for t in (0.005, 0.2))
        fall[name] = early - late
    assert abs(fall[FLEXIBLE] - fall[STIFF]) > 3


def test_notes_of_one_pair_start_alike():
    """Same stroke on two necks: the first 5 ms are the same sound within a hundredth."""
    r = render(sounds("note"))
    first = [s[:220] for s in r.samples]
    assert np.abs(first[0] - first[1]).max() < 0.02 * np.abs(first[0]).max()


# ---- players
def test_players_follow_choice_and_matching():
    ears = listen()
    assert [value for _, value in ears.compare.options] == list(PAIRS)
    for key in PAIRS:
        ears.compare.value = key
        assert ears.players.rendering.names == tuple(sounds(key)) and PAIRS[key][1] in ears.players.words()
    ears.match.value = True
    assert ears.players.rendering.matched and "Levels matched" in ears.players.words()
    data, _ = ears._repr_mimebundle_()
    assert LABEL in data["text/plain"] and data["text/html"].count("audio/flac;base64") == 2


def test_players_take_over_the_sliders():
    live = attack()
    ears = listen(live)
    ears.take_over()
    assert ears.compare.value == "sliders"
    assert ears.players.rendering.names == ("sliders now, A3", "start values, A3")
    assert np.array_equal(*ears.players.rendering.samples)   # nothing was moved yet
    live.hold()
    live.set(pick=40, fret=9)
    ears.take_over()
    assert ears.players.rendering.names == ("sliders now, B3", "ghost, A3")
    assert not np.array_equal(*ears.players.rendering.samples)


def test_loudness_of_the_sliders_is_kept():
    live = attack()
    live.hold()
    live.set(strength=1.0)
    ears = listen(live)
    ears.take_over()
    peaks = [np.abs(s).max() for s in ears.players.rendering.samples]
    assert peaks[0] / peaks[1] == pytest.approx(0.5, rel=0.02)


# ---- the booth
def heard_letter(booth):
    """The ear that hears everything: compares what the page would play."""
    found = {letter: re.search("base64,([^']+)", booth.heard.places[letter].value)[1] for letter in "ABX"}
    return "A" if found["X"] == found["A"] else "B"


@pytest.mark.parametrize("key", PAIRS)
def test_knowing_listener_passes_on_every_pair_and_is_kept(tmp_path, key):
    booth = blind_test(seed=5, record=tmp_path / "me.json")
    booth.compare.value = key
    for _ in range(TRIALS):
        booth.heard.buttons[heard_letter(booth)].click()
    assert booth.heard.result.right == TRIALS and booth.heard.result.heard and booth.heard.saved
    kept = load_tests(tmp_path / "me.json")
    assert len(kept) == 1 and set(kept[0].pair) == set(sounds(key))
    kept = booth.heard.kept.value
    assert "All tests in your record (1)" in kept and f"{TRIALS} of {TRIALS}" in kept


def test_the_guess_of_ones_own_score_is_told_right_or_wrong_when_its_own_test_is_done():
    guess = guess_score()
    guess.answer = 12.0
    booth = blind_test(seed=5, record=None)
    for key, committed in (("run", False), ("pick", True), ("run", True)):
        booth.compare.value = key
        if committed:
            guess.commit()
        for trial in range(TRIALS):
            heard = heard_letter(booth)
            booth.heard.answer(heard if trial < 9 else "BA"["AB".index(heard)])
        told = "Not so: you said “12”, it is “9”."
        assert (told in booth.heard.sentence) == (told == guess.reply) == (committed and key == "run")
        booth.heard.again.click()


def test_guessing_listener_passes_no_more_often_than_promised():
    generator, booth, passed, right = np.random.default_rng(3), blind_test(seed=100, record=None), 0, 0
    for _ in range(120):
        while not booth.heard.test.done:
            booth.heard.answer("AB"[generator.integers(2)])
        passed, right = passed + booth.heard.result.heard, right + booth.heard.result.right
        booth.heard.again.click()
    assert right / (120 * TRIALS) == pytest.approx(0.5, abs=0.04) and passed <= 8  # expected: 2.3


def test_an_unfinished_test_is_not_kept_and_a_change_begins_anew(tmp_path):
    booth = blind_test(seed=5, record=tmp_path / "me.json")
    booth.heard.answer("A")
    before = booth.heard
    booth.match.value = False
    assert booth.heard is not before and booth.heard.test.answers == () and not booth.heard.rendering.matched
    assert not (tmp_path / "me.json").exists()


def test_file_can_be_changed_emptied_and_refused(tmp_path):
    booth = blind_test(trials=5, seed=5, record=None)
    assert booth.heard.record is None

    def finish():
        for _ in range(5):
            booth.heard.answer("A")

    finish()
    assert not booth.heard.saved and list(tmp_path.iterdir()) == []
    booth.heard.start()
    booth.file.value = str(tmp_path / "mine.json")
    finish()
    assert booth.heard.saved and len(load_tests(tmp_path / "mine.json")) == 1
    booth.heard.start()
    booth.file.value = str(tmp_path / "no such folder" / "mine.json")
    finish()
    assert not booth.heard.saved and "Not kept" in booth.heard.alert.value and booth.heard.result.trials == 5
    assert [p.name for p in tmp_path.iterdir()] == ["mine.json"]   # nothing half-written is left
    booth.heard.start()
    booth.file.value = str(tmp_path)   # a folder is no file
    finish()
    assert not booth.heard.saved and "Not kept" in booth.heard.alert.value
    assert len(load_tests(tmp_path / "mine.json")) == 1
    assert [p.name for p in tmp_path.iterdir()] == ["mine.json"]


def test_a_bad_file_name_is_told_at_once_and_never_the_earlier_file_used(tmp_path):
    booth = blind_test(trials=5, seed=5, record=tmp_path / "mine.json")
    assert "a new file" in booth.kept_in.value
    os.mkfifo(tmp_path / "pipe")
    bad = ["~nobody_of_that_name/x.json", "x\0.json", "y" * 300, str(tmp_path), str(tmp_path / "pipe"),
           "/dev/null", str(tmp_path / "none" / "x.json"), __file__]
    for name in bad:
        booth.file.value = name
        assert "Nothing can be kept there" in booth.kept_in.value and "role='alert'" in booth.kept_in.value
        for _ in range(5):
            booth.heard.answer("A")
        assert not booth.heard.saved and "Not kept" in booth.heard.alert.value
        booth.heard.start()
    assert os.listdir(tmp_path) == ["pipe"]
    for count, told in enumerate(("a new file", "where 1 stand")):
        booth.file.value = ""
        assert "Nothing is kept" in booth.kept_in.value
        booth.file.value = str(tmp_path / "mine.json")
        assert told in booth.kept_in.value
        for _ in range(5):
            booth.heard.answer("A")
        booth.heard.start()
        assert len(load_tests(tmp_path / "mine.json")) == count + 1


def test_default_file_lies_beside_the_notebook(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    booth = blind_test(trials=5, seed=1)
    for _ in range(5):
        booth.heard.answer("B")
    assert [p.name for p in tmp_path.iterdir()] == ["my_record.json"]


def test_words_from_people_cannot_act_as_markup(tmp_path):
    booth = blind_test(trials=5, seed=1, record=tmp_path / "<img src=x onerror=alert(1)>" / "a.json")
    for _ in range(5):
        booth.heard.answer("B")
    assert "<img" not in booth.heard.alert.value and "&lt;img" in booth.heard.alert.value


def test_necks_of_the_booth_are_those_of_the_verdicts():
    assert set(sounds("run")) == set(sounds("note")) == set(NECKS)
