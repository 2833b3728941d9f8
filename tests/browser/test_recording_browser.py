"""A recording of taps, a WAV file like a phone's, taken through the page of lesson 07: uploaded, read, handed to
the slider, and the band of what is known narrows."""

import re

import numpy as np
import pytest
import soundfile

from tonewood.bench.made_taps import made_taps


def upload(page, path):
    """Choose a file as a person does, through the button."""
    with page.expect_file_chooser() as chosen:
        page.get_by_role("button", name=re.compile("Upload a recording")).first.click()
    chosen.value.set_files(str(path))


@pytest.mark.parametrize("lesson", ["07_ring_and_decay.ipynb"], indirect=True)
def test_a_wav_file_goes_from_the_upload_into_the_slider(lesson, tmp_path):
    path = tmp_path / "blank of maple.wav"
    made = made_taps(287.0, 0.0095, rate=44100, noise=0.003)
    soundfile.write(path, made.samples, int(made.rate), subtype="PCM_16")
    lab = lesson
    page = lab.page
    page.get_by_text("made by the page").first.scroll_into_view_if_needed()
    upload(page, path)
    page.get_by_text("Read from blank of maple.wav").first.wait_for()
    told = page.get_by_text(re.compile(r"287\.0 Hz, ± ")).first
    told.wait_for()
    assert page.get_by_text(re.compile(r"9\.5 thousandths, ± ")).count()
    slider = page.locator("[role=slider][aria-label*='tapped loss factor' i]").first     # folded under More
    before = slider.get_attribute("aria-valuenow")
    page.get_by_role("button", name="Use it in the figure above").last.click()
    lab.until(lambda: float(slider.get_attribute("aria-valuenow")) == 9.5, f"the slider stays at {before}")
    assert before != "9.5"
    silent = tmp_path / "silent.wav"
    soundfile.write(silent, np.zeros(44100), 44100)
    upload(page, silent)
    page.get_by_text("The recording is silent").first.wait_for()
    page.get_by_role("button", name="Use it in the figure above").last.click()
    page.get_by_text("nothing to use yet").wait_for()
    assert float(slider.get_attribute("aria-valuenow")) == 9.5
