"""Web pages from notebooks: pictures keep their words."""

import base64

import nbformat
import pytest
from bs4 import BeautifulSoup

from tonewood.panel.browser import chromium
from tonewood.panel.controls import slider
from tonewood.panel.copies import lessons
from tonewood.panel.export import to_html, to_pdf
from tonewood.panel.live_figure import LiveFigure
from tonewood.panel.questions import predict


def notebook(tmp_path, *shown):
    outputs = []
    for thing in shown:
        made = thing._repr_mimebundle_() if hasattr(thing, "_repr_mimebundle_") else thing
        data, metadata = made if isinstance(made, tuple) else (made, {})
        outputs.append(nbformat.v4.new_output("display_data", data, metadata=metadata))
    book = nbformat.v4.new_notebook(cells=[nbformat.v4.new_code_cell("1", outputs=outputs)])
    nbformat.validate(book)
    path = tmp_path / "a.ipynb"
    nbformat.write(book, path)
    return path


@pytest.fixture
def live():
    return LiveFigure(lambda fig: fig.subplots().plot([0, 1]), lambda art, n: f"It is {n:g} & <more>.",
                      {"n": slider("N", 1, 0, 2, 1)},
                      inches=(2, 1), alt='A "line"')


def test_a_live_figure_becomes_a_picture_with_words(tmp_path, live):
    html = to_html(notebook(tmp_path, live))
    page = BeautifulSoup(html, "html.parser")
    picture, = page.find_all("img")
    assert picture["alt"] == page.figcaption.text == 'A "line". It is 1 & <more>.'
    assert picture["src"] == "data:image/png;base64," + base64.b64encode(live.stored()).decode()
    assert "widget-view" not in html


def test_a_figure_behind_a_prediction_is_folded(tmp_path, live):
    guess = predict("Up or down?", ["up", "down"])
    page = BeautifulSoup(to_html(notebook(tmp_path, guess, guess.then(live))), "html.parser")
    assert "Predict first: Up or down?" in page.text
    assert page.details.img["alt"] == 'A "line". It is 1 & <more>.'
    assert len(page.find_all("img")) == 1


def test_a_picture_without_words_is_refused(tmp_path, live):
    bare = {"image/png": live._repr_mimebundle_()[0]["image/png"]}
    with pytest.raises(ValueError, match="without alternative text"):
        to_html(notebook(tmp_path, bare))


def test_code_players_and_what_is_said_to_lab_are_left_out(tmp_path):
    widget = {"application/vnd.jupyter.widget-view+json": {"model_id": "a"},
              "text/plain": "[sound: a <note>]"}
    path = notebook(tmp_path, widget)
    book = nbformat.read(path, 4)
    book.cells[0].source = "secret_call(1)"
    book.cells.insert(0, nbformat.v4.new_markdown_cell("press Run", metadata={"tags": ["lab"]}))
    book.cells.insert(1, nbformat.v4.new_markdown_cell("# 01 · A title"))
    nbformat.write(book, path)
    page = BeautifulSoup(to_html(path), "html.parser")
    assert "secret_call" not in page.text and "press Run" not in page.text
    assert "In the live lesson: sound: a <note>" in page.text and page.title.text == "01 · A title"


@pytest.mark.parametrize("number", lessons())
def test_an_exported_lesson_shows_no_code_and_fetches_nothing(number):
    page = BeautifulSoup(to_html(lessons()[number]), "html.parser")
    assert page.find_all(["script", "link", "iframe"]) == []
    assert page.find_all(class_="jp-CodeMirrorEditor") == []
    assert "from tonewood" not in page.text and "Run All Cells" not in page.text
    assert all(tag["src"].startswith("data:") for tag in page.find_all(src=True))


def test_a_saved_page_is_dark_where_the_readers_machine_is_and_plays_its_sounds(tmp_path):
    sound = {"application/vnd.jupyter.widget-view+json": {"model_id": "a"}, "text/plain": "[sound: a]",
             "text/html": "<figure><audio controls src='data:audio/flac;base64,AA'></audio></figure>"}
    html = to_html(notebook(tmp_path, sound))
    page = BeautifulSoup(html, "html.parser")
    assert page.audio["src"].startswith("data:") and "In the live lesson" not in page.text
    dark, = page.find_all("style", media="screen and (prefers-color-scheme:dark)")
    assert "--jp-layout-color0" in dark.text and "--tonewood-blue:#56B4E9" in dark.text
    assert "figure:has(audio)::after" in html                       # on paper, a word in their place


def test_a_pdf_is_printed_with_everything_folded_laid_open(tmp_path, live, monkeypatch):
    guess = predict("Up or down?", ["up", "down"])
    path = notebook(tmp_path, guess.then(live))
    assert BeautifulSoup(to_html(path, unfold=True), "html.parser").details.has_attr("open")
    if chromium():
        to_pdf(path, tmp_path / "a.pdf")
        assert (tmp_path / "a.pdf").read_bytes()[:5] == b"%PDF-"
    monkeypatch.setattr("tonewood.panel.browser.chromium", lambda: None)
    with pytest.raises(ValueError, match="--to"):
        to_pdf(path, tmp_path / "b.pdf")
