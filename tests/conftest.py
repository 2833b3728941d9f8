"""Settings for all tests: property tests have no time limit (timings are no tests), CI tries the same
examples every time, and every test carries a marker by its folder, so that the physics alone can be run with
`pytest -m physics`."""

import os
from pathlib import Path

import pytest
from hypothesis import settings

settings.register_profile("house", deadline=None, derandomize=bool(os.environ.get("CI")))
settings.load_profile("house")

HERE = Path(__file__).parent
MARKERS = {
    "panel": "page",
    "lesson": "page",
    "notebooks": "notebooks",
    "browser": "browser",
    "structure": "structure",
}


def pytest_collection_modifyitems(items):
    for item in items:
        if HERE in item.path.parents:
            item.add_marker(
                getattr(pytest.mark, MARKERS.get(item.path.relative_to(HERE).parts[0], "physics"))
            )
