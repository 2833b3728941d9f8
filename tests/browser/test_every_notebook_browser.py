"""Every notebook in JupyterLab: runs without an error, names all it offers, fits a laptop, a small window and
a telephone."""

from pathlib import Path

import pytest

NAMES = sorted(p.name for p in (Path(__file__).parents[2] / "notebooks").glob("*.ipynb"))

# whatever a person can set or read: no name, no label, no words?
NAMELESS = """() => { const seen = e => e.getBoundingClientRect().width > 0, out = [];
  for (const e of document.querySelectorAll('.jp-OutputArea-output [role=slider]')) if (seen(e) && !e.getAttribute('aria-label')) out.push('slider without a name');
  for (const e of document.querySelectorAll('.jp-OutputArea-output img')) if (seen(e) && !(e.alt || '').trim()) out.push('picture without words');
  for (const e of document.querySelectorAll('.jp-OutputArea-output input, .jp-OutputArea-output select, .jp-OutputArea-output textarea'))
    if (seen(e) && ![...(e.labels || [])].some(l => l.textContent.trim()) && !e.getAttribute('aria-label')) out.push('input without a label: ' + e.outerHTML.slice(0, 120));
  for (const e of document.querySelectorAll('.jp-OutputArea-output button')) if (seen(e) && !e.textContent.trim() && !e.title && !e.getAttribute('aria-label')) out.push('button without words');
  return out; }"""
CUT_OFF = """() => { const out = [];
  for (const e of document.querySelectorAll('.tonewood-control .widget-label, .tonewood-control .widget-html-content, .tonewood-says, .tonewood-radio label, .jp-OutputArea-output button'))
    { const s = getComputedStyle(e); if (s.position !== 'absolute' && s.overflowX !== 'visible' && e.clientWidth && (e.scrollWidth > e.clientWidth + 1 || e.scrollHeight > e.clientHeight + 2)) out.push(e.textContent.trim()); }
  for (const e of document.querySelectorAll('.tonewood-live, .tonewood-panel, .tonewood-question')) if (e.scrollWidth > e.clientWidth + 1) out.push(e.className + ' is wider than its place');
  for (const e of document.querySelectorAll('.tonewood-control')) { const r = e.getBoundingClientRect(), p = e.closest('.jp-OutputArea').getBoundingClientRect();
    if (r.width && (r.right > p.right + 1 || r.left < p.left - 1)) out.push('outside the page: ' + e.textContent.trim()); }
  return out; }"""


def test_there_are_notebooks():
    assert NAMES


@pytest.mark.parametrize("name", NAMES)
def test_notebook_runs_and_is_usable(open_notebook, name):
    lab = open_notebook(name)
    lab.run_all()
    lab.predict_everything()
    (
        lab.until(lambda: lab.page.evaluate(NAMELESS) == [], "nameless parts", limit=10)
        if lab.page.evaluate(NAMELESS)
        else None
    )
    assert lab.page.evaluate(NAMELESS) == []
    for width in (1280, 800, 390):
        lab.page.set_viewport_size({"width": width, "height": 1000})
        lab.page.wait_for_timeout(400)
        assert lab.page.evaluate(CUT_OFF) == [], f"at a width of {width} pixels"
    assert lab.page.locator(".tonewood-error:not([hidden])").count() == 0
    assert lab.errors == []
