"""What a person types, what CI runs and what Binder reads are the same thing, and the pins are the versions
really tested."""

import re
import subprocess
import sys
from importlib.metadata import PackageNotFoundError, requires, version
from pathlib import Path

import pytest
from packaging.markers import Marker
from packaging.requirements import Requirement

ROOT = Path(__file__).parents[2]
PINS, LOWEST = ([line for line in (ROOT / f"binder/{name}.txt").read_text(encoding="utf-8").splitlines()
                 if line and line[0] != "#"] for name in ("requirements", "lowest"))
INSTALL = "python3 -m venv .venv && .venv/bin/pip install -q -r binder/requirements.txt && "


@pytest.mark.parametrize("command", [
    INSTALL + ".venv/bin/python -m pytest", INSTALL + ".venv/bin/tonewood lab 01",
    ".venv/bin/tonewood open 01"
])
def test_readme_gives_the_command(command):
    assert command in [line.strip() for line in (ROOT / "README.md").read_text(encoding="utf-8").splitlines()]


def test_the_command_in_the_readme_is_the_one_installed_and_understood():
    import tomllib

    from tonewood.panel.open import parser

    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert project["scripts"] == {"tonewood": "tonewood.panel.open:main"}
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    said = re.findall(r"\btonewood ((?:lab|open|page|lessons)\b[^`\n]*)", text)
    assert len(said) >= 4 and all(parser().parse_args(words.split()) for words in said)


def test_ci_runs_the_readme_s_test_command():
    lines = (ROOT / ".ci/run").read_text(encoding="utf-8").splitlines()
    assert lines[-1] == INSTALL + ".venv/bin/python -m pytest"


def test_every_version_is_fixed_and_the_lessons_come_last():
    assert all(re.fullmatch(r"[A-Za-z0-9_-]+==[0-9.a-z]+( ; .+)?", pin) for pin in PINS[:-1]), PINS
    assert PINS[-1] == "-e .[test]"


def test_everything_the_project_names_is_pinned():
    import tomllib

    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    named = project["dependencies"] + sum(project.get("optional-dependencies", {}).values(), [])
    pinned = {re.sub("[-_.]+", "-", pin.split("==")[0]).lower() for pin in PINS[:-1]}
    missing = [n for n in named if not n.startswith("tonewood[")
               and re.sub("[-_.]+", "-", re.match(r"[A-Za-z0-9_.-]+", n)[0]).lower() not in pinned]
    assert missing == []


def normal(name):
    return re.sub("[-_.]+", "-", name).lower()


def applying(lines):
    """{name: version} of the pins whose condition holds on this machine."""
    pairs = (line.split(" ; ") for line in lines)
    return dict(normal_pair(pin[0]) for pin in pairs if len(pin) == 1 or Marker(pin[1]).evaluate())


def normal_pair(pin):
    name, wanted = pin.split("==")
    return normal(name), wanted


def test_these_tests_run_on_the_pinned_versions():
    wrong = {}
    for name, wanted in applying(PINS[:-1]).items():
        try:
            found = version(name)
        except PackageNotFoundError:
            found = "not installed"
        if found != wanted:
            wrong[name] = f"{found}, pinned {wanted}"
    assert wrong == {} or version("numpy") == applying(LOWEST[:-1])["numpy"], wrong


def needs(name, seen):
    """Adds everything an installed package needs here, itself included, to `seen`."""
    if normal(name) in seen:
        return
    seen.add(normal(name))
    for text in requires(name) or ():
        need = Requirement(text)
        if need.marker is None or need.marker.evaluate({"extra": ""}):
            needs(need.name, seen)


def test_the_pins_are_complete():
    seen = set()
    for line in PINS[:-1]:
        if normal(line.split("==")[0]) in applying(PINS[:-1]):
            needs(line.split("==")[0], seen)
    assert seen - set(applying(PINS[:-1])) - {"setuptools", "pip"} == set()


def test_the_lowest_versions_are_the_bounds_of_the_project():
    import tomllib

    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    named = project["dependencies"] + sum(project["optional-dependencies"].values(), [])
    lowest, wrong = applying(LOWEST[:-1]), []
    for text in named:
        need = Requirement(text)
        bound = [s.version for s in need.specifier]
        if need.name != "tonewood" and (
            len(bound) != 1 or not f"{lowest[normal(need.name)]}.0.0".startswith(bound[0])
        ):
            wrong.append((text, lowest.get(normal(need.name))))
    assert wrong == []


def test_the_version_stands_in_one_place():
    import tonewood

    assert version("tonewood") == tonewood.__version__
    assert "version =" not in (ROOT / "pyproject.toml").read_text(encoding="utf-8").split("[tool.")[0]


def test_binder_takes_a_python_that_is_supported():
    assert re.fullmatch(r"python-3\.1[123]\n", (ROOT / "binder/runtime.txt").read_text())


def test_the_readme_s_script_runs():
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    code = re.search(r"```python\n(.*?)```", text, re.S).group(1)
    assert 8 <= len(code.splitlines()) <= 14
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=120)
    assert done.returncode == 0 and re.match(r"\[\d{3}\.", done.stdout), done.stdout + done.stderr
