"""What a person types, what CI runs and what Binder reads are the same thing, and the pins are the versions really tested."""

import re
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PINS = [line for line in (ROOT / "binder/requirements.txt").read_text(encoding="utf-8").splitlines() if line and not line.startswith("#")]
INSTALL = "python3 -m venv .venv && .venv/bin/pip install -q -r binder/requirements.txt && "


@pytest.mark.parametrize("command", [INSTALL + ".venv/bin/python -m pytest", INSTALL + ".venv/bin/jupyter lab notebooks/01_neck_on_the_bench.ipynb"])
def test_readme_gives_the_command(command):
    assert command in [line.strip() for line in (ROOT / "README.md").read_text(encoding="utf-8").splitlines()]


def test_ci_runs_the_readme_s_test_command():
    lines = (ROOT / ".ci/run").read_text(encoding="utf-8").splitlines()
    assert lines[-1] == INSTALL + ".venv/bin/python -m pytest"


def test_every_version_is_fixed_and_the_lessons_come_last():
    assert all(re.fullmatch(r"[A-Za-z0-9_-]+==[0-9.]+", pin) for pin in PINS[:-1]), PINS
    assert PINS[-1] == "-e .[test]"


def test_everything_the_project_names_is_pinned():
    import tomllib
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    named = project["dependencies"] + sum(project.get("optional-dependencies", {}).values(), [])
    pinned = {re.sub("[-_.]+", "-", pin.split("==")[0]).lower() for pin in PINS[:-1]}
    missing = [n for n in named if re.sub("[-_.]+", "-", re.match(r"[A-Za-z0-9_.-]+", n)[0]).lower() not in pinned]
    assert missing == []


@pytest.mark.parametrize("pin", PINS[:-1])
def test_these_tests_run_on_the_pinned_versions(pin):
    name, wanted = pin.split("==")
    try:
        assert version(name) == wanted
    except PackageNotFoundError:
        pytest.fail(f"{name} is pinned but not installed")


def test_binder_takes_a_python_that_is_supported():
    assert re.fullmatch(r"python-3\.1[123]\n", (ROOT / "binder/runtime.txt").read_text())
