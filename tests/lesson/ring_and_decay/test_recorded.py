"""A row of notes played by the model and read as a recording agrees with the map; a tap goes into the
figure."""

import re
from datetime import UTC, datetime

import numpy as np
import pytest
import soundfile

from tonewood.lesson.ring_and_decay import recorded
from tonewood.lesson.ring_and_decay.figure import ring
from tonewood.sound.recording_file import recording


def test_twelve_notes_of_the_model_lie_on_the_map():
    shown = recorded.notes_beside_the_map(recorded.model_row(frets=range(1, 13)), string=4).plain
    for fret in range(1, 13):               # what is drawn is what was read, and the map's own number
        drawn = re.search(rf"fret {fret} ([\d.]+) \(map ([\d.]+)\)", shown)
        listed = re.search(rf"fret {fret}; heard, s ([\d.]+); map, s ([\d.]+)", shown)
        assert [float(a) for a in drawn.groups()] == pytest.approx(
            [float(b) for b in listed.groups()], abs=0.51)
    assert "12 of 12 notes read" in shown
    low, high = (float(word) for word in shown.split("heard ÷ map ")[1].split(",")[0].split(" to "))
    assert 0.9 < low <= high < 1.05          # the dead note's pair beats: its line lies a little lower
    assert [f"fret {fret};" in shown for fret in range(1, 13)] == [True] * 12


def test_a_recording_of_another_string_is_remarked():
    shown = recorded.notes_beside_the_map(recorded.model_row(frets=[7]), string=1).plain
    assert "None of 1 notes could be read" in shown and "not a note of that string" in shown


def test_the_boxes_play_the_model_and_refuse_in_words(monkeypatch, tmp_path):
    (tmp_path / "bad.flac").write_bytes(b"no sound")
    monkeypatch.chdir(tmp_path)
    boxes = recorded.notes_recorded()
    assert "5 of 5 notes read" in boxes.result.plain
    boxes.controls["file"].value = "bad.flac"
    assert "bad.flac cannot be read as sound" in boxes._result.value


def test_notes_handed_in_through_the_page_are_read_at_once(tmp_path):
    made, path = recorded.model_row(frets=[6, 7]), tmp_path / "row.wav"
    soundfile.write(path, made.samples, int(made.rate))
    boxes = recorded.notes_recorded()
    upload = next(w for w in boxes.widget.children[3].children if hasattr(w, "multiple"))
    given = {"name": "row <b>.wav", "type": "audio/wav", "size": 1, "last_modified": datetime.now(UTC)}
    upload.value = ({**given, "content": path.read_bytes()},)
    assert "2 of 2 notes read" in boxes.result.plain and "row &lt;b&gt;.wav" in boxes.result.html
    assert boxes.controls["file"].options[1][1] == "row <b>.wav, handed in 1"
    upload.value = ({**given, "content": b"no sound"},)
    assert "cannot be read as sound" in boxes.widget.children[4].value
    assert "2 of 2 notes read" in boxes.result.plain


def test_a_tap_sets_the_loss_factor_of_the_figure():
    live = ring()
    reader = recorded.tap_recorded(live)
    button, = (part for box in reader.widget.children for part in getattr(box, "children", ())
               if getattr(part, "description", "") == "Use it in the figure above")
    button.click()
    assert live.values["tapped"] == 8.0
    with pytest.raises(ValueError, match="no pluck found"):
        recorded.notes_beside_the_map(recording(np.zeros(24000), 24000))
