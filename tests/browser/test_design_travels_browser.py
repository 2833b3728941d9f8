"""A neck kept in lesson 01 opens in 05, 06 and 07, in a real browser: one strip, one file, the same neck."""

import pytest

LESSONS = ("05_string_pull.ipynb", "06_seasons.ipynb", "07_ring_and_decay.ipynb")


@pytest.mark.parametrize("lesson", LESSONS, indirect=True)
def test_a_neck_kept_in_01_opens_here(kept, lesson):
    lab = lesson
    above = lab.page.locator(".tonewood-live .tonewood-strip").first
    above.wait_for()
    above.get_by_role("button", name="Open or keep a neck").click()
    assert "Neck No. 12, the shop's own" in above.inner_text()
    live = above.locator("xpath=ancestor::*[contains(@class,'tonewood-live')]")
    shown = live.locator("img.widget-image").first
    said = live.locator(".tonewood-says").last
    picture, words = shown.get_attribute("src"), said.inner_text()
    above.get_by_label("Open a neck").select_option(label="Walnut_for_a_bass_player")
    above.get_by_role("button", name="Open", exact=True).click()
    above.get_by_text(f"Opened {kept}").wait_for()
    assert f"Neck on show: {kept}" in above.inner_text()
    lab.until(lambda: shown.get_attribute("src") != picture, "the picture is still that of No. 12")
    lab.until(lambda: said.inner_text() != words, "the sentence is still that of No. 12")
    assert lab.errors == []
