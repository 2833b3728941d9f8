"""Twelve made notes, one after the other, read back: pitch, string, fret and both decays are those they were
made with."""

import numpy as np
import pytest

from tonewood.bench.made_taps import CASES, made_taps
from tonewood.sound.notes_recorded import notes, period_pitch
from tonewood.sound.recording_file import read_recording, recording
from tonewood.strings.pitch import note_frequency, note_name, note_number
from tonewood.tables import data_folder

RATE = 24000


def plucked(pitch, early, late, seconds, dead_fundamental=False):
    """Four partials; the fundamental falls with two rates, the overtones with one."""
    t = np.arange(int(seconds * RATE)) / RATE
    fall = 0.7 * 10 ** (-3 * t / early) + 0.3 * 10 ** (-3 * t / late)
    sound = fall * np.sin(2 * np.pi * pitch * t) * (0.02 if dead_fundamental else 1)
    for n in (2, 3, 4):
        sound += 10 ** (-3 * t / (late / n)) * np.sin(2 * np.pi * n * pitch * t + n) / n
    return 0.2 * sound


def row_of_notes(frets, open_note="D3", early=6.0, late=6.0, seconds=3.0, noise=1e-4):
    pieces = [np.zeros(RATE // 4)]
    for fret in frets:
        pieces.append(plucked(note_frequency(note_name(note_number(open_note) + fret)), early, late, seconds))
    sound = np.concatenate(pieces)
    return recording(sound + noise * np.random.default_rng(3).standard_normal(len(sound)), RATE)


def test_twelve_notes_are_cut_named_and_read():
    found = notes(row_of_notes(range(1, 13)), "six", string=4)
    assert found["fret"].tolist() == list(range(1, 13)) and set(found["string"]) == {4}
    assert found["note"].tolist() == [note_name(note_number("D3") + fret) for fret in range(1, 13)]
    assert np.abs(found["off (cents)"]).max() < 3
    assert found["T60 (s)"].to_numpy() == pytest.approx(6.0, rel=0.03)
    assert set(found["remark"]) == {""}


def test_early_and_late_fall_are_told_apart():
    row = notes(row_of_notes([5], early=1.5, late=8.0, seconds=6.0), string=4).iloc[0]
    assert row["T60 early (s)"] < 0.6 * row["T60 late (s)"]
    assert row["T60 late (s)"] == pytest.approx(8.0, rel=0.15)


def test_pitch_is_found_where_the_fundamental_is_gone():
    sound = plucked(220.0, 0.2, 6.0, 2.0, dead_fundamental=True)[2000:]
    assert period_pitch(sound, RATE, 70, 1400) == pytest.approx(220.0, rel=2e-3)


def test_without_a_string_the_lowest_fret_is_named():
    row = notes(row_of_notes([2], "A2"), "six").iloc[0]
    assert (row["note"], row["string"], row["fret"]) == ("B2", 5, 2)


def test_a_note_of_another_string_and_noise_are_remarked():
    assert notes(row_of_notes([0], "E2"), "six", string=4)["remark"].tolist() == ["not a note of that string"]
    burst = np.concatenate([np.zeros(6000), 0.2 * np.random.default_rng(1).standard_normal(24000)])
    assert "no pitch" in notes(recording(burst, RATE))["remark"].iloc[0]


def test_refusals():
    with pytest.raises(ValueError, match="no pluck found"):
        notes(recording(np.zeros(24000), RATE))
    with pytest.raises(ValueError, match="string"):
        notes(row_of_notes([1]), "six", string=7)


@pytest.mark.parametrize("frequency", [120, 412, 900, 1500])
@pytest.mark.parametrize("loss", [0.004, 0.008, 0.04])
def test_taps_on_a_board_are_not_read_as_notes(frequency, loss):
    with pytest.raises(ValueError, match="3 of 3 sounds in made taps.*rings as a string.*taps on a board"):
        notes(made_taps(frequency, loss, rate=16000.0))


def test_taps_in_a_worse_room_are_not_read_as_notes_either():
    for name in set(CASES) - {"noise 16 dB below"}:
        with pytest.raises(ValueError, match="taps on a board"):
            notes(CASES[name](412.0, 0.008, 1))
    assert notes(CASES["noise 16 dB below"](412.0, 0.008, 1))["T60 (s)"].isna().all()     # told in the remark
    with pytest.raises(ValueError, match="taps on a board"):
        notes(read_recording(data_folder() / "billet_9_taps.wav"))


@pytest.mark.parametrize("early", [0.3, 0.8])
def test_a_note_whose_fundamental_dies_as_fast_as_a_tap_is_read_by_its_overtones(early):
    found = notes(row_of_notes([3, 5], early=early, late=4.0), string=4)
    assert found["fret"].tolist() == [3, 5] and found["T60 (s)"].notna().all()


def test_one_note_among_taps_keeps_the_recording():
    taps, played = made_taps(rate=RATE), row_of_notes([5])
    found = notes(recording(np.concatenate([taps.samples, played.samples]), RATE), string=4)
    assert len(found) == 4 and found["note"].iloc[-1] == "G3"
