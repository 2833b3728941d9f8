"""Pictures follow the theme of the page at once, without running anything again."""

import pytest

GROUND = """() => { const e = document.querySelector('.tonewood-live img.widget-image');
  const c = document.createElement('canvas'); c.width = c.height = 2; const x = c.getContext('2d');
  x.drawImage(e, 0, 0); return x.getImageData(1, 1, 1, 1).data[0]; }"""
THEME = """async name => { await window.jupyterapp.commands.execute('apputils:change-theme', {theme: name}); }"""


@pytest.mark.parametrize("lesson", ["00_start_here.ipynb"], indirect=True)
def test_a_picture_follows_the_theme_and_the_edges_with_it(lesson):
    lab = lesson
    lab.page.locator(".tonewood-live img.widget-image").first.wait_for()
    said = lab.page.locator(".tonewood-seen > .tonewood-sentence").first.inner_text()
    assert lab.page.evaluate(GROUND) > 240
    edge = "() => getComputedStyle(document.querySelector('.tonewood-question')).borderLeftColor"
    light = lab.page.evaluate(edge)
    lab.page.evaluate(THEME, "JupyterLab Dark")
    lab.until(lambda: lab.page.evaluate(GROUND) < 30, "the picture stayed light")
    assert lab.page.evaluate(edge) != light
    assert lab.page.locator(".tonewood-seen > .tonewood-sentence").first.inner_text() == said
    lab.page.evaluate(THEME, "JupyterLab Light")
    lab.until(lambda: lab.page.evaluate(GROUND) > 240, "the picture stayed dark")
    assert lab.errors == []
