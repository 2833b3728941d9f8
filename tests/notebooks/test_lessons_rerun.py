"""Every notebook, run from its first cell to its last, gives the numbers and words stored in it."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

HERE = Path(__file__).parent
NOTEBOOKS = sorted((HERE.parents[1] / "notebooks").glob("*.ipynb"))


def rerun(path, tmp_path):
    environment = {
        **os.environ,
        "IPYTHONDIR": str(tmp_path / "ipython"),
        "JUPYTER_CONFIG_DIR": str(tmp_path / "config"),
        "JUPYTER_RUNTIME_DIR": str(tmp_path / "run"),
    }
    return subprocess.run(
        [
            sys.executable,
            "-m",
            "pytest",
            "-q",
            "-o",
            "addopts=",
            "-p",
            "no:cacheprovider",
            "--nbval",
            "--nbval-current-env",
            "--nbval-sanitize-with",
            str(HERE / "nbval.cfg"),
            "--nbval-cell-timeout",
            "120",
            str(path),
        ],
        env=environment,
        cwd=path.parent,
        capture_output=True,
        text=True,
        timeout=600,
    )


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda p: p.stem)
def test_notebook_gives_what_it_stored(path, tmp_path):
    done = rerun(path, tmp_path)
    assert done.returncode == 0, done.stdout[-6000:] + done.stderr[-2000:]


def test_a_wrong_stored_number_is_noticed(tmp_path):
    import nbformat

    book = nbformat.v4.new_notebook(
        metadata={"kernelspec": {"name": "python3", "display_name": "Python 3", "language": "python"}}
    )
    book.cells = [
        nbformat.v4.new_code_cell(
            "from tonewood.panel.page import say\nsay('depth', 21, 'mm', 1)",
            execution_count=1,
            outputs=[nbformat.v4.new_output("stream", name="stdout", text="depth: 21.5 mm\n")],
        )
    ]
    nbformat.write(book, tmp_path / "wrong.ipynb")
    done = rerun(tmp_path / "wrong.ipynb", tmp_path)
    assert done.returncode == 1 and "depth: 21.0 mm" in done.stdout
