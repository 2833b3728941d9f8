"""The reader of taps on the page: a file by path and by upload, what it hands on, what it refuses."""

import re
from datetime import UTC, datetime

import numpy as np
import pytest
import soundfile

from tonewood.bench.made_taps import made_taps
from tonewood.lesson.shared.tap_reader import how_well_it_reads, tap_reader


@pytest.fixture
def wav(tmp_path):
    path = tmp_path / "board 7.wav"
    made = made_taps(333.0, 0.012)
    soundfile.write(path, made.samples, int(made.rate))
    return path


def test_it_opens_on_taps_that_say_they_are_made():
    reader = tap_reader()
    assert reader.taps.usable and "made by the page" in reader.result.plain
    assert "alt='3 taps" in reader.result.html and "Upload" in reader._upload.description


def test_a_file_by_path_is_read_and_handed_on(wav):
    used = []
    reader = tap_reader(used.append)
    reader._path.value, reader._expected.value = str(wav), "330,5"
    reader.read()
    assert reader.taps.frequency == pytest.approx(333, abs=0.1) and "board 7.wav" in reader.result.plain
    _button(reader, "Use it in the figure above").click()
    assert [1000 * taps.loss for taps in used] == [pytest.approx(12.0, rel=0.02)]


def test_an_upload_is_read_at_once(wav):
    reader = tap_reader()
    reader._upload.value = ({"name": "up <b>.wav", "type": "audio/wav", "size": 1,
                             "content": wav.read_bytes(), "last_modified": datetime.now(UTC)},)
    assert reader.taps.frequency == pytest.approx(333, abs=0.1)
    assert "up &lt;b&gt;.wav" in reader._shown.value and "<b>.wav" not in reader._shown.value


def test_a_refusal_keeps_the_last_good_reading(wav, tmp_path):
    reader = tap_reader()
    reader._path.value = str(wav)
    reader.read()
    good = reader.taps
    for path, expected, words in ((str(tmp_path / "gone.wav"), "", "no file gone.wav"),
                                  (str(wav), "abc", "number in Hz"), (str(wav), "0.333", "Kilohertz")):
        reader._path.value, reader._expected.value = path, expected
        reader.read()
        assert words in reader._shown.value and "role='alert'" in reader._shown.value and reader.taps is good


def test_a_bad_recording_says_why_and_is_not_handed_on(tmp_path):
    path = tmp_path / "silent.wav"
    soundfile.write(path, np.zeros(48000), 48000)
    used = []
    reader = tap_reader(used.append)
    reader._path.value = str(path)
    reader.read()
    assert "Not to be used" in reader.result.plain and "The recording is silent" in reader._shown.value
    with pytest.raises(ValueError, match="nothing to use yet"):
        _press(reader, "Use it in the figure above")
    assert used == []


def test_its_own_errors_are_told():
    told = how_well_it_reads(2).plain
    assert len(told.splitlines()) == 13 and re.search(r"quiet room: .*refused \(%\) 0", told)


def _all(widget):
    yield widget
    for child in getattr(widget, "children", ()):
        yield from _all(child)


def _button(reader, words):
    return next(w for w in _all(reader.widget)
                if getattr(w, "description", "") == words and hasattr(w, "click"))


def _press(reader, words):
    """Press a button as the page does, so that what it raises is raised here."""
    for act in _button(reader, words)._click_handlers.callbacks:
        act(None)
