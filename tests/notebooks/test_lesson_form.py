"""All lessons are built alike, carry their outputs, and read well as web pages."""

import ast
import builtins
import re
import tempfile
from functools import cache
from pathlib import Path

import nbformat
import pytest
from bs4 import BeautifulSoup

from tonewood.panel.export import to_html

FOLDER = Path(__file__).parents[2] / "notebooks"
NOTEBOOKS = sorted(FOLDER.glob("*.ipynb"))
BONES = ["What you need", "Predict", "Slide", "Explain", "At the bench", "Check yourself",
         "What we do not know", "Sources"]
OPENING = ["*The question:*", "*For:*", "*Time:*", "*After this you can:*"]

CLIENT = [p for p in NOTEBOOKS if p.stem.startswith("12_")]
"""The client's page is no lesson: it has headings of its own, and neither guess, bench work nor questions."""

each = pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda p: p.stem)
each_lesson = pytest.mark.parametrize("path", [p for p in NOTEBOOKS if p not in CLIENT], ids=lambda p: p.stem)


@cache
def read(path):
    return nbformat.read(path, 4)


def code_cells(path):
    return [c for c in read(path).cells if c.cell_type == "code"]


def shows_something(source):
    """Does this cell print, or end in something that is displayed?"""
    tree = ast.parse(source)
    prints = any(isinstance(n, ast.Call) and isinstance(n.func, ast.Name)
                 and n.func.id in ("say", "say_all", "print") for n in ast.walk(tree))
    return prints or (bool(tree.body) and isinstance(tree.body[-1], ast.Expr)
                      and isinstance(tree.body[-1].value, (ast.Name, ast.Attribute)))


def test_lesson_00_leads_to_every_other_lesson():
    start, *others = NOTEBOOKS
    text = "".join(c.source for c in read(start).cells if c.cell_type == "markdown")
    assert len(others) >= 2
    assert [p.name for p in others if f"]({p.name})" not in text] == []


@each_lesson
def test_same_headings_in_the_same_order(path):
    words = "\n".join(c.source for c in read(path).cells if c.cell_type == "markdown")
    assert re.findall(r"^## (.+)$", words, re.M) == BONES


@each
def test_the_first_line_says_what_to_press_and_to_scroll_back(path):
    first = read(path).cells[0]
    assert first.metadata.tags == ["lab"] and "\n" not in first.source
    assert "*Run › Run All Cells*" in first.source and "scroll back up" in first.source
    assert not any("Run All" in c.source for c in read(path).cells[1:])


@each
def test_code_is_folded_and_each_cell_fetches_what_it_calls(path):
    """A cell run by itself, after a restart, needs nothing but what it says it waits for."""
    made = set()
    for cell in code_cells(path):
        assert cell.metadata == {"jupyter": {"source_hidden": True}}
        names = [n for n in ast.walk(ast.parse(cell.source)) if isinstance(n, ast.Name)]
        stored = {n.id for n in names if isinstance(n.ctx, ast.Store)}
        imports = [n for n in ast.walk(ast.parse(cell.source)) if isinstance(n, ast.ImportFrom)]
        known = stored | {a.name for i in imports for a in i.names} | set(dir(builtins))
        missing = {n.id for n in names} - known
        assert missing <= made & {"guess", "winter", "live"}, cell.source
        made |= stored


@each
def test_opening_says_question_reader_minutes_and_aim(path):
    first = read(path).cells[1]
    assert first.cell_type == "markdown"
    title, number = first.source.splitlines()[0], path.stem[:2]
    assert re.fullmatch(rf"# {number} · .+", title), title
    places = [first.source.find(word) for word in OPENING]
    assert -1 not in places and places == sorted(places), first.source
    assert re.search(r"\*Time:\* \d+ minutes", first.source)


@each_lesson
def test_a_caution_stands_before_the_bench_work(path):
    cells = read(path).cells
    bench = next(i for i, c in enumerate(cells) if c.cell_type == "markdown"
                 and re.search("^## At the bench", c.source, re.M))
    assert any("role='note'" in str(o.get("data", {}).get("text/html", "")) for c in cells[:bench]
               for o in c.get("outputs", []))


@each_lesson
def test_a_guess_comes_before_the_figure_and_questions_come_after(path):
    kinds = "".join({"[pre": "p", "[fig": "f", "[aft": "f",
                     "[que": "q"}.get(str(o.get("data", {}).get("text/plain", ""))[:4], "")
                    for c in code_cells(path) for o in c.outputs)
    assert re.fullmatch(r"p+f[pf]*q+f?", kinds), kinds


@each
def test_cells_are_short_and_hold_no_logic(path):
    for cell in code_cells(path):
        fetched, _, calls = cell.source.partition("\n\n")
        assert fetched.startswith("from tonewood.lesson.") and len(calls.splitlines()) <= 14, cell.source
        nodes = list(ast.walk(ast.parse(cell.source)))
        assert not any(isinstance(n, (ast.FunctionDef, ast.ClassDef, ast.While, ast.Try))
                       for n in nodes), cell.source


@each
def test_stored_as_run_from_top_to_bottom_without_error(path):
    cells = code_cells(path)
    assert [c.execution_count for c in cells] == list(range(1, len(cells) + 1))
    for cell in cells:
        assert not any(o.output_type == "error" or o.get("name") == "stderr"
                       for o in cell.outputs), cell.source
        if shows_something(cell.source):
            assert cell.outputs, f"no stored output, so nothing would be compared: {cell.source}"


@each
def test_no_widget_state_and_no_path_of_a_machine_is_stored(path):
    assert set(read(path).metadata) <= {"kernelspec", "language_info"}
    text = path.read_text(encoding="utf-8")
    for folder in (Path.home(), Path(tempfile.gettempdir()), FOLDER.parent):
        assert not re.search(re.escape(str(folder)) + r"[/\"\\]", text), folder


@each
def test_links_lead_somewhere_and_pictures_have_words(path):
    words = "\n".join(c.source for c in read(path).cells if c.cell_type == "markdown")
    assert not re.search(r"!\[\s*\]\(", words)
    for target in re.findall(r"\]\((?!https?:|#|mailto:)([^)#\s]+)", words):
        assert (path.parent / target).exists(), target


@each
def test_as_a_web_page_every_picture_has_words(path):
    page = BeautifulSoup(to_html(path), "html.parser")
    assert "No description has been provided" not in page.text
    pictures = page.find_all("img")
    assert pictures
    for picture in pictures:
        assert len(picture.get("alt", "").strip()) > 20
    assert "application/vnd.jupyter.widget-view+json" not in str(page)


@pytest.mark.parametrize("source, shows", [
    ("a = 1", False), ("a", True), ("say('x', 1)", True), ("f(); print(2)", True), ("live.set(n=1)", False),
    ("neck.table", True)
])
def test_the_rule_for_cells_that_show(source, shows):
    assert shows_something(source) is shows
