"""Settings for all tests: property tests have no time limit (timings are no tests), CI tries the same
examples every time, and every test carries a marker by its folder, so that the physics alone can be run with
`pytest -m physics`."""

import os
import re
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


def group_of(nodeid):
    """Tests that share what is slow to make go to one worker: those of a file, and of the browser those of a
    lesson."""
    file, _, name = nodeid.partition("::")
    place = f"/{file}".rpartition("/tests/")[2].removesuffix(".py")
    found = re.search(r"\b(\d\d)_\w+\.ipynb\]", name) if place.startswith("browser/") else None
    return f"lesson-{TOGETHER.get(found[1], found[1])}" if found else place


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config, log):
    """Of pytest-xdist's own ways to share tests out, the one by groups has no effect with pytest 9.2."""
    from xdist.scheduler import LoadScopeScheduling

    class ByGroup(LoadScopeScheduling):
        def _split_scope(self, nodeid):
            return group_of(nodeid)

    return ByGroup(config, log) if config.getoption("dist") == "loadscope" else None


def pytest_itemcollected(item):
    if HERE in item.path.parents:
        item.add_marker(MARKERS.get(item.path.relative_to(HERE).parts[0], "physics"))
    group = group_of(item.nodeid)
    lesson = re.search(r"\b(\d\d)_\w+\.ipynb\]", item.nodeid) if group.startswith("lesson-") else None
    long = next((k for k, first in enumerate(FIRST) if group.startswith(first)), 0 if lesson else len(FIRST))
    item.turn = (long, not lesson, (group, lesson[1]) if lesson else ())


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
