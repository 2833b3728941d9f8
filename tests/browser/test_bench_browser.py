"""The neck on the bench as a learner meets it: JupyterLab, a browser, a keyboard."""

import pytest

pytestmark = pytest.mark.parametrize("lesson", ["01_neck_on_the_bench.ipynb"], indirect=True)


def test_sliders_by_keyboard_change_picture_and_sentence(lesson):
    lab = lesson
    panel = lab.page.locator(".tonewood-live").first
    handles = panel.get_by_role("slider")
    lab.until(lambda: handles.count() >= 3 and lab.picture(), "no live figure with three sliders")
    said = panel.locator(".tonewood-seen > .tonewood-sentence").first
    lab.until(lambda: said.inner_text().strip(), "the figure says nothing")
    for i in range(3):
        handle = handles.nth(i)
        name, value, picture, words = (
            handle.get_attribute("aria-label"),
            handle.get_attribute("aria-valuenow"),
            lab.picture(),
            said.inner_text(),
        )
        handle.focus()
        assert handle.evaluate(
            "e => e === document.activeElement"
        ), f"{name}: the handle takes no keyboard focus"
        key = "ArrowLeft" if value == handle.get_attribute("aria-valuemax") else "ArrowRight"
        for _ in range(3):
            handle.press(key)
        assert handle.get_attribute("aria-valuenow") != value, f"{name}: the keyboard does not move it"
        lab.until(
            lambda picture=picture: lab.picture() != picture, f"{name}: the slider moved but the picture did not change"
        )
        lab.until(
            lambda words=words: said.inner_text() != words, f"{name}: the slider moved but the sentence did not change"
        )
    assert lab.page.locator(".tonewood-error:not([hidden])").count() == 0
    assert lab.errors == []


def test_a_number_typed_moves_slider_and_picture_and_nonsense_is_refused_in_words(lesson):
    lab = lesson
    cell = lab.page.locator(".tonewood-live .tonewood-slider").first
    handle, box = cell.get_by_role("slider"), cell.get_by_role("textbox")
    lab.until(lambda: lab.picture(), "no live figure")
    picture, high = lab.picture(), float(handle.get_attribute("aria-valuemax"))
    wanted = (
        high
        if float(handle.get_attribute("aria-valuenow")) != high
        else float(handle.get_attribute("aria-valuemin"))
    )
    box.fill(f"{wanted:g}")
    box.press("Enter")
    lab.until(
        lambda: float(handle.get_attribute("aria-valuenow")) == wanted, "the number did not move the slider"
    )
    lab.until(lambda: lab.picture() != picture, "the number did not change the picture")
    box.fill(f"{high + 1000:g}")
    box.press("Enter")
    cell.get_by_role("alert").wait_for()
    assert "accepted: from" in cell.get_by_role("alert").inner_text()
    lab.until(lambda: float(box.input_value()) == wanted, "the refused number stays in the box")
