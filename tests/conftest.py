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
FIRST = ["browser/lab", "structure/test_lint", "browser"]
TOGETHER = {"05": "01", "06": "01", "07": "01"}     # a neck kept in lesson 01 opens in these
FEW_CORES = (os.cpu_count() or 1) <= 4              # there a second JupyterLab costs more than it saves
OWN_SERVER = ("test_code_free", "test_client_page", "test_pocket")


def pytest_configure(config):
    config.option.loadscopereorder = False     # nor does pytest-xdist put the files with few tests last


def lesson_of(nodeid):
    """The number of the lesson that a test of the browser's stands on, if it stands on one."""
    found = re.search(r"\b(\d\d)_\w+\.ipynb\]", nodeid)
    return found[1] if found and "browser/" in nodeid.partition("::")[0] else None


def group_of(nodeid):
    """Tests that share what is slow to make go to one worker: those of a file, and of the browser those in
    one JupyterLab, or where there are many cores those of a lesson."""
    place = f"/{nodeid.partition('::')[0]}".rpartition("/tests/")[2].removesuffix(".py")
    lesson = lesson_of(nodeid)
    if not place.startswith("browser/") or place.startswith(tuple(f"browser/{name}" for name in OWN_SERVER)):
        return place
    return "browser/lab" if FEW_CORES else f"browser/lab {TOGETHER.get(lesson, lesson) or place}"


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config, log):
    """Of pytest-xdist's own ways to share tests out, the one by groups has no effect with pytest 9.2."""
    from xdist.scheduler import LoadScopeScheduling

    class ByGroup(LoadScopeScheduling):
        def _split_scope(self, nodeid):
            return group_of(nodeid)

    return ByGroup(config, log) if config.getoption("dist") == "loadscope" else None


def pytest_ignore_collect(collection_path, config):
    """Where the physics alone is asked for, the other folders are not even read."""
    other = collection_path.parent == HERE and collection_path.name in MARKERS
    return True if other and config.option.markexpr == "physics" else None


def pytest_itemcollected(item):
    if HERE in item.path.parents:
        item.add_marker(MARKERS.get(item.path.relative_to(HERE).parts[0], "physics"))
    group, lesson = group_of(item.nodeid), lesson_of(item.nodeid)
    long = next((k for k, first in enumerate(FIRST) if group.startswith(first)), len(FIRST))
    item.turn = long, not lesson, (TOGETHER.get(lesson, lesson), lesson) if lesson else ()


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
