"""Out of order or after a restart a plain sentence stands where a traceback would."""

import nbformat
import pytest
from nbclient import NotebookClient
from nbclient.exceptions import CellExecutionError

from tonewood.panel.waiting import sentence


@pytest.fixture(scope="module")
def outputs():
    """Of a cell that calls a lesson on something made in a cell that has not run; it still fails."""
    book = nbformat.v4.new_notebook(cells=[nbformat.v4.new_code_cell(
        "from tonewood.lesson.string_pull import say\n\nguess.then(say)")])
    with pytest.raises(CellExecutionError):
        NotebookClient(book, timeout=60).execute()
    return book.cells[0].outputs


def test_a_sentence_stands_in_place_of_the_traceback(outputs):
    shown, = outputs
    assert shown.output_type == "display_data" and sentence("guess") in shown.data["text/html"]
    assert "NameError" not in str(shown) and "Run › Run All Cells" in shown.data["text/plain"]
