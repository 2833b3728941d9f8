"""Web pages from notebooks: pictures keep their words."""

import base64

import nbformat
import pytest
from bs4 import BeautifulSoup

from tonewood.panel.controls import slider
from tonewood.panel.export import to_html
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
    assert picture["src"] == "data:image/png;base64," + base64.b64encode(live._encode()).decode()
    assert "widget-view" not in html


def test_a_figure_behind_a_prediction_is_folded(tmp_path, live):
    guess = predict("Up or down?", ["up", "down"], keep=[])
    page = BeautifulSoup(to_html(notebook(tmp_path, guess, guess.then(live))), "html.parser")
    assert "Predict first: Up or down?" in page.text
    assert page.details.img["alt"] == 'A "line". It is 1 & <more>.'
    assert len(page.find_all("img")) == 1


def test_a_picture_without_words_is_refused(tmp_path, live):
    bare = {"image/png": live._repr_mimebundle_()[0]["image/png"]}
    with pytest.raises(ValueError, match="without alternative text"):
        to_html(notebook(tmp_path, bare))
