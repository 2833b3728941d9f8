"""A neck kept in lesson 01 opens in 05, 06 and 07, in a real browser: one strip, one file, the same neck."""

import pytest

NAME = "Walnut for a bass player"
LESSONS = ("05_string_pull.ipynb", "06_seasons.ipynb", "07_ring_and_decay.ipynb")


def strip(lab):
    lab.run_all()
    lab.predict_everything()
    found = lab.page.locator(".tonewood-live .tonewood-strip").first
    found.wait_for()
    found.get_by_role("button", name="Open or keep a neck").click()
    return found


@pytest.fixture(scope="module")
def kept(browser, server):
    """Keeps a neck of five stripes with a main wood of black walnut from lesson 01."""
    from importlib.util import module_from_spec, spec_from_file_location
    from pathlib import Path

    spec = spec_from_file_location("lab_page", Path(__file__).parent / "conftest.py")
    module = module_from_spec(spec)
    spec.loader.exec_module(module)
    context = browser.new_context(viewport={"width": 1280, "height": 1000})
    lab = module.Page(context.new_page(), server, "01_neck_on_the_bench.ipynb")
    above = strip(lab)
    live = lab.page.locator(".tonewood-live").first
    picture = lab.picture()
    live.get_by_label("Main wood").fill("black walnut")
    live.get_by_label("Main wood").press("Enter")
    lab.until(lambda: lab.picture() != picture, "the main wood changed nothing")
    above.get_by_role("textbox", name="Keep this neck as").fill(NAME)
    above.get_by_role("button", name="Keep", exact=True).click()
    above.get_by_text(f"Kept {NAME}").wait_for()
    yield NAME
    context.close()


@pytest.mark.parametrize("notebook", LESSONS)
def test_a_neck_kept_in_01_opens_here(kept, open_notebook, notebook):
    lab = open_notebook(notebook, 1280, 1000)
    above = strip(lab)
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
