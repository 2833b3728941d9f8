"""Settings for all tests: property tests have no time limit (timings are no tests), CI tries the same
examples every time, and every test carries a marker by its folder, so that the physics alone can be run with
`pytest -m physics`."""

import os
import sys
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


@pytest.fixture(autouse=True, scope="module")
def nothing_live_is_left():
    """What a file's tests have put on a page goes with the file: it follows every later choice of units, and
    a register of the widgets holds it."""
    def living():
        page = sys.modules.get("ipywidgets.widgets.widget")
        return dict(page._instances) if page else {}

    before = set(living())
    yield
    for key, widget in living().items():
        if key not in before:
            widget.close()
    if "tonewood.panel.chosen" in sys.modules:
        sys.modules["tonewood.panel.chosen"]._followers.clear()


HERE = Path(__file__).parent
MARKERS = {
    "panel": "page",
    "lesson": "page",
    "notebooks": "notebooks",
    "browser": "browser",
    "structure": "structure",
}
# the longest come first: a long file left for the end keeps one worker busy and the others idle
FIRST = ["browser", "structure/test_lint"]
TOGETHER = {"05": "01", "06": "01", "07": "01"}     # a neck kept in lesson 01 opens in these


def pytest_configure(config):
    config.option.loadscopereorder = False     # nor does pytest-xdist put the files with few tests last


def pytest_itemcollected(item):
    """Tests that share what is slow to make go to one worker (pytest-xdist, --dist loadgroup): those of a
    file, and of the browser those of a lesson."""
    place = item.path.with_suffix("").as_posix().rpartition("/tests/")[2]
    params = item.callspec.params if hasattr(item, "callspec") else {}
    lesson = str(params.get("lesson") or params.get("outputs") or "") if place.startswith("browser/") else ""
    lesson = lesson[:2]
    group = f"lesson-{TOGETHER.get(lesson, lesson)}" if lesson else place
    item.add_marker(pytest.mark.xdist_group(group))
    if HERE in item.path.parents:
        item.add_marker(MARKERS.get(item.path.relative_to(HERE).parts[0], "physics"))
    long = next((k for k, first in enumerate(FIRST) if place.startswith(first)), len(FIRST))
    item.turn = (long, not lesson, (group, lesson) if lesson else ())


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(items):
    items.sort(key=lambda item: item.turn)


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
