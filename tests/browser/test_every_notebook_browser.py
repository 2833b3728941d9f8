"""Every notebook, run from its first cell to its last: gives the numbers and words stored in it. In JupyterLab:
runs without an error, names all it offers, fits a laptop, a small window and a telephone."""

import copy
import json
import re
from collections import defaultdict
from pathlib import Path

import pytest

FOLDER = Path(__file__).parents[2] / "notebooks"
NAMES = sorted(p.name for p in FOLDER.glob("*.ipynb"))
EVERY = pytest.mark.parametrize("lesson", NAMES, indirect=True)

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
    { if (e.matches('.tonewood-guess:not(.tonewood-open) > *')) continue;      // a question that waits is on one line
      const s = getComputedStyle(e); if (s.position !== 'absolute' && s.overflowX !== 'visible' && e.clientWidth && (e.scrollWidth > e.clientWidth + 1 || e.scrollHeight > e.clientHeight + 2)) out.push(e.textContent.trim()); }
  for (const e of document.querySelectorAll('.tonewood-live, .tonewood-panel, .tonewood-question')) if (e.scrollWidth > e.clientWidth + 1) {
    const edge = e.getBoundingClientRect().left + e.clientLeft + e.clientWidth + 1;
    const wide = [...e.querySelectorAll('*')].filter(d => d.getBoundingClientRect().width && d.getBoundingClientRect().right > edge);
    out.push(e.className + ' is wider than its place, for ' + wide.slice(-1).map(d => d.className + ' ' + d.textContent)); }
  for (const e of document.querySelectorAll('.tonewood-control')) { const r = e.getBoundingClientRect(), p = e.closest('.jp-OutputArea').getBoundingClientRect();
    if (r.width && (r.right > p.right + 1 || r.left < p.left - 1)) out.push('outside the page: ' + e.textContent.trim()); }
  return out; }"""


# where the first control of the page's figure begins, in pixels below the page's own top, predictions made
TOP = """() => { const page = document.querySelector('.jp-WindowedPanel-outer'), shown = e => e.offsetParent;
  const first = [...document.querySelectorAll('.tonewood-live .tonewood-control')].find(shown);
  return first.getBoundingClientRect().top - page.getBoundingClientRect().top + page.scrollTop; }"""


def test_there_are_notebooks():
    assert NAMES


# model numbers of widgets are drawn anew; pictures and sounds differ by platform in their last bits
NOT_COMPARED = {"application/vnd.jupyter.widget-view+json", "image/png", "image/jpeg"}
FOLDED = re.compile(r"data:(image/png|audio/flac);base64,[A-Za-z0-9+/=]+")


def told(outputs):
    """{kind: texts}: all that a cell's outputs say; the words around a folded picture stay."""
    found = defaultdict(list)
    for output in outputs:
        if output["output_type"] == "stream":
            found[output["name"]] = ["".join([*found[output["name"]], *output["text"]])]
        elif output["output_type"] == "error":
            found["error"].append(f"{output['ename']}: {output['evalue']}")
        for kind, words in output.get("data", {}).items():
            if kind not in NOT_COMPARED:
                found[kind].append(FOLDED.sub(r"\1", words if isinstance(words, str) else "".join(words)))
    return dict(found)


def stored(name):
    """As nbformat reads them, lines joined, without its slow start."""
    book = json.loads((FOLDER / name).read_text(encoding="utf-8"))
    outputs = [cell["outputs"] for cell in book["cells"] if cell["cell_type"] == "code"]
    for output in sum(outputs, []):
        for place in (output, output.get("data", {})):
            place.update({kind: "".join(said) for kind, said in place.items() if isinstance(said, list)})
    return outputs


@pytest.fixture
def outputs(request, with_browser, tmp_path):
    """Of the notebook's code cells run anew: in the browser, which need not run twice, or in a kernel alone on a
    machine without one."""
    if with_browser:
        return request.getfixturevalue("lab_page").visit(request.param).outputs
    import nbformat
    from nbclient import NotebookClient

    book = nbformat.read(FOLDER / request.param, as_version=4)
    NotebookClient(book, timeout=120, resources={"metadata": {"path": str(tmp_path)}}).execute()
    return [cell.outputs for cell in book.cells if cell.cell_type == "code"]


@pytest.mark.notebooks
@pytest.mark.parametrize("outputs, name", [(name, name) for name in NAMES], indirect=["outputs"], ids=NAMES)
def test_notebook_gives_what_it_stored(outputs, name):
    wanted = stored(name)
    assert len(outputs) == len(wanted) and any(outputs)
    for number, (now, then) in enumerate(zip(outputs, wanted, strict=True)):
        assert told(now) == told(then), f"code cell {number}"


@pytest.mark.notebooks
@pytest.mark.parametrize("name", NAMES)
def test_any_wrong_stored_digit_is_noticed(name):
    for cell in stored(name):
        for n, output in enumerate(cell):
            for kind in {"text", *output.get("data", {})} - NOT_COMPARED:
                wrong = copy.deepcopy(cell)
                place = wrong[n]["data"] if "data" in output else wrong[n]
                before, digit, after = re.fullmatch(r"(.*?)(\d?)(\D*)", FOLDED.sub("", place.get(kind, "")), re.S).groups()
                if digit:
                    place[kind] = f"{before}{(int(digit) + 1) % 10}{after}"
                    assert told(wrong) != told(cell), place[kind]


@EVERY
def test_notebook_is_usable(lesson):
    page = lesson.page
    lesson.until(lambda: page.evaluate(NAMELESS) == [], lambda: f"nameless parts: {page.evaluate(NAMELESS)}", limit=10)
    for width, top in ((1280, 2 * 679), (800, 2 * 879), (390, 2300)):      # Lab takes 60 of 390 px: longer there
        page.set_viewport_size({"width": width, "height": 1000})
        page.wait_for_timeout(400)
        assert page.evaluate(TOP) <= top, f"the figure's first control begins too low at a width of {width} pixels"
        lesson.until(lambda: page.evaluate(CUT_OFF) == [],
                     lambda w=width: f"cut off at a width of {w} pixels: {page.evaluate(CUT_OFF)}")
    assert page.locator(".tonewood-error:not([hidden])").count() == 0
    assert lesson.errors == []
