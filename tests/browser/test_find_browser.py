"""Lists of woods are searched by typing any part of a name, by keys alone; a text that is no wood is refused."""

import pytest

pytestmark = pytest.mark.parametrize("lesson", ["01_neck_on_the_bench.ipynb"], indirect=True)


@pytest.fixture
def lab(lesson):
    lesson.page.get_by_role("combobox", name="Main wood").wait_for()
    return lesson


@pytest.fixture
def box(lab):
    return lab.page.get_by_role("combobox", name="Main wood")


def said(lab):
    return lab.page.locator(".tonewood-live .tonewood-seen > .tonewood-sentence").first.inner_text()


def hits(lab):
    return [words for words in lab.page.locator(".tonewood-hits:visible [role=option]").all_inner_texts()]


@pytest.mark.parametrize("typed, wood", [("walnut", "black walnut"), ("CUST bl", "black locust"), ("qqq", None),
                                         ("laurentii", "wenge"), ("saccharum", "hard maple")])
def test_any_part_of_a_common_or_botanical_name_finds_it(lab, box, typed, wood):
    box.focus()
    box.fill(typed)
    if wood is None:
        assert hits(lab) == [] and box.get_attribute("aria-expanded") == "false"
        lab.page.keyboard.press("Escape")
        return
    assert any(words.startswith(wood) for words in hits(lab)) and len(hits(lab)) < 12
    while not lab.page.locator(f"#{box.get_attribute('aria-activedescendant')}").inner_text().startswith(wood):
        lab.page.keyboard.press("ArrowDown")
    lab.page.keyboard.press("Enter")
    assert box.input_value() == wood and hits(lab) == []
    lab.until(lambda: f"({wood}," in said(lab), f"the picture did not follow to {wood}")


def test_a_text_that_is_no_wood_is_refused_and_the_wood_stays(lab, box):
    before, sentence = box.input_value(), said(lab)
    box.fill("unobtainium")
    lab.page.keyboard.press("Tab")
    refused = lab.page.get_by_role("alert").filter(has_text="Main wood: “unobtainium” given; accepted: ")
    refused.wait_for()
    assert f"It stays {before}." in refused.inner_text()
    assert box.input_value() == before and said(lab) == sentence
    box.focus()
    box.fill("cherry")
    assert not refused.is_visible()
    lab.page.keyboard.press("Escape")
    assert box.input_value() == before


def test_it_shows_the_whole_list_when_touched_and_follows_the_kernel(lab, box):
    lab.page.keyboard.press("Tab")
    box.click()
    assert len(hits(lab)) > 60
    assert lab.page.locator(".tonewood-hits:visible [aria-selected=true]").count() == 1
    lab.page.locator(".tonewood-hits:visible [role=option]").filter(has_text="wenge").click()
    lab.until(lambda: "(wenge," in said(lab), "a click chose nothing")
    lab.page.get_by_role("button", name="Back to the start values").click()
    lab.until(lambda: box.input_value() == "hard maple", "the box did not follow the start values")
    assert lab.errors == []
