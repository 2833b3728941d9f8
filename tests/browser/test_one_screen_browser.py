"""A figure, its controls and its sentence stand on one screen; a narrow page never scrolls sideways."""

import pytest

from tonewood.panel.style import SMALL

# The heights in the picture's own block, and whatever is wider than the room it has.
MEASURED = """live => {
  const box = q => live.querySelector(q).getBoundingClientRect();
  const stage = box('.tonewood-stage'), cut = box('.tonewood-cut'), said = box('.tonewood-seen > .tonewood-sentence');
  const page = live.closest('.jp-WindowedPanel-outer') || document.querySelector('.jp-WindowedPanel-outer');
  const shown = [...live.querySelectorAll('.tonewood-stage .tonewood-control')].filter(c => c.offsetParent);
  const inner = [...live.querySelectorAll('*')].filter(e => ['auto', 'scroll'].includes(getComputedStyle(e).overflowX)
    && e.scrollWidth > e.clientWidth + 1);
  const told = box('.tonewood-picture > .tonewood-spoken'), shows = page.getBoundingClientRect();
  return {at: (stage.top - shows.top + page.scrollTop) / page.clientHeight, told: told.height,
    hidden: told.bottom - shows.bottom, top: stage.top, picture: cut.bottom, sentence: said.bottom, cut: cut.width, visible: page.clientHeight,
    controls: Math.max(...shown.map(c => c.getBoundingClientRect().bottom)), left: cut.left, room: stage.width,
    panel: box('.tonewood-panel').right, sideways: page.scrollWidth - page.clientWidth, inner: inner.length}; }"""


@pytest.fixture
def measured(lesson):
    def at(width, height):
        lesson.page.set_viewport_size({"width": width, "height": height})
        live = lesson.page.locator(".tonewood-live").first
        live.locator("img.widget-image").wait_for()
        live.evaluate("e => e.scrollIntoView({block: 'start'})")
        lesson.page.wait_for_timeout(700)
        return live.evaluate(MEASURED)
    return at


BENCH = pytest.mark.parametrize("lesson", ["01_neck_on_the_bench.ipynb"], indirect=True)


@BENCH
def test_controls_picture_and_sentence_fit_a_small_laptop(measured):
    page = measured(1280, 800)
    assert page["panel"] <= page["left"], "the controls stand beside the picture"
    for part in ("controls", "picture", "sentence"):
        assert page[part] - page["top"] <= page["visible"], part
    assert page["sideways"] <= 0 and page["inner"] == 0
    assert page["at"] < 2, "the figure stands on the second screen of the page, all predictions made"


@BENCH
def test_a_telephone_scrolls_one_way_only(measured):
    page = measured(390, 800)
    assert page["sideways"] <= 0 and page["inner"] == 0
    assert page["cut"] <= page["room"] + 1
    assert page["told"] > 20 and page["hidden"] <= 1, "what a move changes stays in sight with the picture"


# the size of the smallest words of the page, and of the words in its pictures, in pixels of the page
LETTERS = """points => { let least = 99;
  const words = document.createTreeWalker(document.querySelector('.jp-NotebookPanel-notebook'), NodeFilter.SHOW_TEXT);
  while (words.nextNode()) { const e = words.currentNode.parentElement, range = document.createRange();
    if (!words.currentNode.textContent.trim() || e.closest('.jp-InputArea, style, script')) continue;
    range.selectNodeContents(words.currentNode); const box = range.getBoundingClientRect();
    if (box.width > 2 && box.height > 2) least = Math.min(least, parseFloat(getComputedStyle(e).fontSize)); }
  for (const e of document.querySelectorAll('.jp-OutputArea :is(input, select, button)'))
    if (e.offsetWidth > 2) least = Math.min(least, parseFloat(getComputedStyle(e).fontSize));
  const drawn = [...document.querySelectorAll('.tonewood-live img.widget-image')].filter(e => e.offsetWidth)
    .map(e => points * 100 / 72 * e.getBoundingClientRect().width / Number(e.getAttribute('width')));
  return [least, Math.min(...drawn)]; }"""


@pytest.mark.parametrize("lesson", ["01_neck_on_the_bench.ipynb", "03_which_way_the_grain_runs.ipynb"],
                         indirect=True)
def test_no_words_are_too_small_to_read(lesson):
    lab = lesson
    lab.page.locator(".tonewood-live img.widget-image").first.wait_for()
    for width, picture in ((1280, 12.0), (800, 11.0), (390, None)):
        lab.page.set_viewport_size({"width": width, "height": 800})
        lab.page.wait_for_timeout(500)
        words, drawn = lab.page.evaluate(LETTERS, SMALL)
        assert words >= 11, width
        assert picture is None or round(drawn, 1) >= picture, (width, drawn)
