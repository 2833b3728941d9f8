"""The house stands as drawn: each room uses only the rooms before it, draws only in the lesson, and says what it does."""

import ast
import dataclasses
import importlib
import inspect
import pkgutil
import re
import subprocess
import sys
from pathlib import Path

import pytest

import tonewood

LIB = Path(tonewood.__file__).parent
ROOMS = ["wood", "strings", "neck", "sound", "bench", "brief", "panel", "lesson"]
COMMON = {"checks", "tables", "draws", "materials", "remember"}
DRAWS_AND_ASKS = {"panel", "lesson"}
DRAWING = {"ipywidgets", "matplotlib", "IPython", "PIL", "traitlets", "jupyter_server", "nbconvert"}
FILES = sorted(p for p in LIB.rglob("*.py"))
MODULES = sorted({"tonewood", *(m.name for m in pkgutil.walk_packages(tonewood.__path__, "tonewood."))})
CORE = [m for m in MODULES if m.split(".")[1:2] and m.split(".")[1] in ("wood", "strings", "neck", "sound", "bench", "brief")]


def room_of(path):
    parts = path.relative_to(LIB).parts
    return parts[0] if len(parts) > 1 else None


def imports(path, top_only=False):
    """(imported module, line) pairs of a file, wherever in it they stand."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    for node in (tree.body if top_only else ast.walk(tree)):
        if isinstance(node, ast.Import):
            yield from ((alias.name, node.lineno) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path.name}:{node.lineno}: write imports out in full"
            yield from ((f"{node.module}.{alias.name}" if node.module == "tonewood" else node.module, node.lineno) for alias in node.names)


def public(module):
    """(name, object) for what a module itself defines for others, and the public methods of its classes."""
    for name, thing in vars(module).items():
        if name.startswith("_") or getattr(thing, "__module__", None) != module.__name__ or not (inspect.isfunction(thing) or inspect.isclass(thing)):
            continue
        yield name, thing
        if inspect.isclass(thing):
            for inner, member in vars(thing).items():
                if not inner.startswith("_") and (inspect.isfunction(member) or isinstance(member, (property, classmethod, staticmethod))):
                    yield f"{name}.{inner}", member


@pytest.mark.parametrize("path", FILES, ids=lambda p: str(p.relative_to(LIB)))
def test_a_room_uses_only_rooms_before_it(path):
    room = room_of(path)
    assert room is None or room in ROOMS, f"unknown room {room}"
    allowed = set(ROOMS[:ROOMS.index(room) + 1]) if room else set()
    for module, line in imports(path):
        top, *rest = module.split(".")
        if top == "tonewood" and rest and rest[0] not in COMMON:
            assert rest[0] in allowed, f"{path.name}:{line} imports {module}"
        if room not in DRAWS_AND_ASKS:
            assert top not in DRAWING, f"{path.name}:{line} imports {module}; only the lesson room may"


@pytest.mark.parametrize("path", [p for p in FILES if room_of(p) not in DRAWS_AND_ASKS], ids=lambda p: str(p.relative_to(LIB)))
def test_slow_libraries_are_imported_where_they_are_needed(path):
    slow = [(module, line) for module, line in imports(path, top_only=True) if module.split(".")[0] in ("scipy", "pandas")]
    assert slow == [], "import inside the function: a lesson must start within seconds"


def test_importing_the_package_is_light():
    code = "import sys, tonewood, tonewood.lesson; print([m for m in ('numpy', 'pandas', 'scipy', 'matplotlib', 'ipywidgets') if m in sys.modules])"
    assert subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60, check=True).stdout.strip() == "[]"


@pytest.mark.parametrize("name", MODULES)
def test_everything_public_says_what_it_does(name):
    module = importlib.import_module(name)
    assert (module.__doc__ or "").strip(), f"{name}: no docstring"
    silent = [where for where, thing in public(module) if not (inspect.getdoc(thing) or "").strip()]
    assert silent == []


UNIT = re.compile(r"\b(m|mm|cm|m2|m3|m4|kg|g|N|Pa|GPa|Hz|s|rad|radians?|degrees?|cents?|dB|W|J|fractions?|ratio|dimensionless|shape|SI|°C|per cent|seed|metres?)\b|%|°")
SOURCE = re.compile(r"\b(1[6789]|20)\d\d\b|[Ss]ource|[Hh]andbook|[Dd]eriv|[Rr]aises|[Dd]efin|[Cc]ommon practice|[Gg]eometry|[Ss]tatics|[Bb]eam theory|[Ii]dentity")


NO_QUANTITY = {"tonewood.sound.record": "a listener's answers", "tonewood.neck.layup.stripe_order": "which stripe lies which way"}
PHYSICS = [m for m in CORE if m.count(".") > 1 and m not in NO_QUANTITY and not (LIB.parent / m.replace(".", "/")).is_dir()]


@pytest.mark.parametrize("name", PHYSICS)
def test_physics_states_units_and_where_it_comes_from(name):
    module = importlib.import_module(name)
    words = [module.__doc__ or "", *(inspect.getdoc(thing) or "" for _, thing in public(module))]
    assert any(map(UNIT.search, words)), f"{name}: no unit named anywhere"
    assert any(map(SOURCE.search, words)), f"{name}: neither source nor derivation nor definition named anywhere"


@pytest.mark.parametrize("name", CORE)
def test_results_cannot_be_changed_afterwards(name):
    for where, thing in public(importlib.import_module(name)):
        if inspect.isclass(thing) and dataclasses.is_dataclass(thing):
            assert thing.__dataclass_params__.frozen, f"{name}.{where} is a dataclass but not frozen"


@pytest.mark.parametrize("path", FILES, ids=lambda p: str(p.relative_to(LIB)))
def test_files_stay_readable(path):
    lines = path.read_text(encoding="utf-8").splitlines()
    assert len(lines) <= 330, "split it: one idea per file"
