"""A board measured in lesson 09 by a person at a browser: a WAV file made with a general tool is uploaded and
read, another comes through the page's microphone, the tone goes to the slider, the band narrows, the board is
kept, and in lesson 01 it stands first in the list of woods and narrows the neck's band."""

import re

import pytest
import soundfile

from tonewood.bench.made_taps import made_taps

NAME = "Mill maple 3"


def band(words):
    """Width of the band of the stiffness along the grain that the sentence tells, GPa."""
    low, high = re.search(r"\(90 of 100: ([\d.]+) to ([\d.]+)", words).groups()
    return float(high) - float(low)


@pytest.mark.parametrize("lesson", ["09_measure_a_board.ipynb"], indirect=True)
def test_a_board_goes_from_the_microphone_into_every_lesson(lesson, open_notebook, tmp_path):
    path = tmp_path / "maple blank.wav"
    made = made_taps(266.0, 0.0095, rate=44100, noise=0.003)
    soundfile.write(path, made.samples, int(made.rate), subtype="PCM_16")
    lab, page = lesson, lesson.page
    live = page.locator(".tonewood-live").first
    said = live.locator(".tonewood-whole .tonewood-says").first
    said.wait_for()
    before = band(said.inner_text())
    live.get_by_label("I have weighed it").check()
    lab.until(lambda: "weighed" in said.inner_text(), "weighing is not told")
    weighed = band(said.inner_text())

    with page.expect_file_chooser() as chosen:
        page.get_by_role("button", name=re.compile("Upload a recording")).first.click()
    chosen.value.set_files(str(path))
    page.get_by_text("Read from maple blank.wav").first.wait_for()
    lab.settle()                   # its pictures have come too, which move the button down
    page.get_by_role("button", name="Use it in the figure above").last.click()
    lab.until(lambda: "weighed and tapped" in said.inner_text(), "the tap did not reach the figure")
    tapped = band(said.inner_text())
    assert tapped < 0.4 * weighed < 0.4 * before and "loss factor 9.5" in said.inner_text()

    page.get_by_role("button", name="Record with the microphone").first.click()
    page.get_by_text(re.compile("Recording, at most")).wait_for()
    page.wait_for_timeout(4500)
    page.get_by_role("button", name="Stop and read").click()
    page.get_by_text(re.compile(r"Recorded [\d.]+ s")).wait_for()
    page.get_by_text("Read from microphone.wav").first.wait_for()
    assert page.get_by_text(re.compile(r"271\.\d Hz, ± ")).count()
    lab.settle()                   # its pictures have come too, which move the button down
    page.get_by_role("button", name="Use it in the figure above").last.click()
    lab.until(lambda: "loss factor 8." in said.inner_text(), "the microphone's taps did not reach the figure")

    live.get_by_label("Keep this board as").fill(NAME)
    live.get_by_role("button", name="Keep this board").click()
    live.get_by_text(f"Kept {NAME}").wait_for()
    assert live.get_by_role("row", name=re.compile(NAME)).count() == 1 and lab.errors == []

    neck = open_notebook("01_neck_on_the_bench.ipynb", 1280, 1000)
    neck.run_all()
    neck.predict_everything()
    bench = neck.page.locator(".tonewood-live").first
    told = bench.locator(".tonewood-whole .tonewood-says").first
    words, woods = told.inner_text(), bench.get_by_role("combobox", name="Main wood")
    woods.fill("mill maple")
    woods.press("Enter")
    neck.until(lambda: told.inner_text() != words, "the own board changed nothing")
    assert NAME in told.inner_text() and neck.errors == []
