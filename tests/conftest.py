"""Settings for all tests: property tests have no time limit (timings are no tests), CI tries the same
examples every time, and every test carries a marker by its folder, so that the physics alone can be run with
`pytest -m physics`."""

import os
from pathlib import Path

import pytest
from hypothesis import settings

settings.register_profile(
    "house",
    deadline=None,
    derandomize=bool(os.environ.get("CI")),
    max_examples=int(os.environ.get("TONEWOOD_EXAMPLES", 100)),
)
settings.load_profile("house")


@pytest.fixture(autouse=True)
def metric(tmp_path_factory, monkeypatch):
    """Each test begins in a fresh folder's units, metric, and keeps its own choice."""
    from tonewood.panel import chosen
    monkeypatch.setattr(chosen, "_chosen", [])
    monkeypatch.setattr(chosen, "FILE", os.fspath(tmp_path_factory.getbasetemp() / "none" / "settings.json"))


HERE = Path(__file__).parent
MARKERS = {
    "panel": "page",
    "lesson": "page",
    "notebooks": "notebooks",
    "browser": "browser",
    "structure": "structure",
}
# the longest come first: a long file left for the end keeps one worker busy and the others idle
FIRST = ["browser/test_every_notebook_browser.py", "structure/test_lint.py", "browser", "notebooks"]


def pytest_configure(config):
    config.option.loadscopereorder = False     # nor does pytest-xdist put the files with few tests last


def rank(item):
    place = item.path.as_posix()
    return next((k for k, first in enumerate(FIRST) if f"/tests/{first}" in place), len(FIRST))


def pytest_collection_modifyitems(items):
    items.sort(key=rank)
    for item in items:
        if HERE in item.path.parents:
            item.add_marker(
                getattr(pytest.mark, MARKERS.get(item.path.relative_to(HERE).parts[0], "physics"))
            )


class Shell:
    """A notebook's shell as far as figures ask it: which cell runs, in which message."""

    def __init__(self):
        self.parent = {}

    def get_parent(self):
        return self.parent

    def run(self, cell, count, code):
        self.parent = {"header": {"msg_id": f"run {count}"}, "metadata": {"cellId": cell}}
        made = code()
        self.parent = {"header": {"msg_id": "callback"}, "metadata": {}}
        return made


@pytest.fixture
def shell(monkeypatch):
    made = Shell()
    monkeypatch.setattr("IPython.get_ipython", lambda: made)
    monkeypatch.setattr("tonewood.panel.reruns._MADE", {})
    return made
