"""A figure, its controls and its sentence stand on one screen; a narrow page never scrolls sideways."""

import pytest

# The heights in the picture's own block, and whatever is wider than the room it has.
MEASURED = """live => {
  const box = q => live.querySelector(q).getBoundingClientRect();
  const stage = box('.tonewood-stage'), cut = box('.tonewood-cut'), said = box('.tonewood-seen > .tonewood-sentence');
  const page = live.closest('.jp-WindowedPanel-outer') || document.querySelector('.jp-WindowedPanel-outer');
  const shown = [...live.querySelectorAll('.tonewood-stage .tonewood-control')].filter(c => c.offsetParent);
  const inner = [...live.querySelectorAll('*')].filter(e => ['auto', 'scroll'].includes(getComputedStyle(e).overflowX)
    && e.scrollWidth > e.clientWidth + 1);
  return {top: stage.top, picture: cut.bottom, sentence: said.bottom, cut: cut.width, visible: page.clientHeight,
    controls: Math.max(...shown.map(c => c.getBoundingClientRect().bottom)), left: cut.left, room: stage.width,
    panel: box('.tonewood-panel').right, sideways: page.scrollWidth - page.clientWidth, inner: inner.length}; }"""


@pytest.fixture
def measured(open_notebook):
    def at(width, height):
        lab = open_notebook("01_neck_on_the_bench.ipynb", width, height)
        lab.run_all()
        lab.predict_everything()
        live = lab.page.locator(".tonewood-live").first
        live.locator("img.widget-image").wait_for()
        live.evaluate("e => e.scrollIntoView({block: 'start'})")
        lab.page.wait_for_timeout(700)
        return live.evaluate(MEASURED)
    return at


def test_controls_picture_and_sentence_fit_a_small_laptop(measured):
    page = measured(1280, 800)
    assert page["panel"] <= page["left"], "the controls stand beside the picture"
    for part in ("controls", "picture", "sentence"):
        assert page[part] - page["top"] <= page["visible"], part
    assert page["sideways"] <= 0 and page["inner"] == 0


def test_a_telephone_scrolls_one_way_only(measured):
    page = measured(390, 800)
    assert page["sideways"] <= 0 and page["inner"] == 0
    assert page["cut"] <= page["room"] + 1
