"""Settings for all tests: property tests have no time limit (timings are no tests), and CI tries the same examples every time."""

import os

from hypothesis import settings

settings.register_profile("house", deadline=None, derandomize=bool(os.environ.get("CI")))
settings.load_profile("house")
