"""Every test can fail: none is empty, skipped for good, or without an assertion."""

import ast
import re
from functools import cache
from pathlib import Path

import pytest

import tonewood

FOLDER = Path(__file__).parents[1]
FILES = sorted(FOLDER.rglob("test_*.py"))


@cache
def functions_in(path):
    tree = ast.parse(path.read_text(encoding="utf-8"))
    return [n for n in ast.walk(tree) if isinstance(n, (ast.FunctionDef, ast.AsyncFunctionDef))]


def asserts(node, helpers=()):
    """Does this code assert something, by itself or through a helper of the same file?"""
    for inner in ast.walk(node):
        if isinstance(inner, ast.Assert):
            return True
        if isinstance(inner, ast.Call):
            name = inner.func.attr if isinstance(inner.func, ast.Attribute) else getattr(inner.func, "id", "")
            if (
                "assert" in name
                or name in ("raises", "fail", "warns", "until", "wait_for")
                or name in helpers
            ):
                return True
    return False


def test_the_folders_of_tests_are_those_of_the_library():
    """What stands beside them: outside sources, notebooks, the browser, the rules of the house, timings."""
    lib = Path(tonewood.__file__).parent
    rooms = {p.parent.relative_to(lib) for p in lib.rglob("*.py") if p.name != "__init__.py"}
    tests = {p.parent.relative_to(FOLDER) for p in FILES}
    beside = {Path(name) for name in ("outside", "notebooks", "browser", "structure")}
    assert rooms == tests - beside - {Path("lesson")}


@pytest.mark.parametrize("path", FILES, ids=lambda p: str(p.relative_to(FOLDER)))
def test_every_test_asserts(path):
    functions = functions_in(path)
    helpers = {f.name for f in functions if not f.name.startswith("test_") and asserts(f)}
    tests = [f for f in functions if f.name.startswith("test_")]
    assert tests, "a test file without tests"
    assert [f.name for f in tests if not asserts(f, helpers)] == []
    assert len({f.name for f in tests}) == len(tests), "two tests of one name: the first never runs"


def test_no_test_is_named_after_a_sheet_that_is_not_here():
    """Such as c4_16 or C2.13: numbers of a list that nobody can look up."""
    sheet = re.compile(r"_[a-z]\d+_\d+(?=_|$)|\b[A-F]\d\.\d+\b")
    assert sheet.search("test_twist_c4_16_of_a_block") and sheet.search("as in C2.13")
    named = [f.name for path in FILES for f in functions_in(path) if sheet.search(f.name.lower())]
    told = [path.name for path in FILES if path != Path(__file__)
            and sheet.search(path.read_text(encoding="utf-8"))]
    assert named + told == []


@pytest.mark.parametrize("path", FILES, ids=lambda p: str(p.relative_to(FOLDER)))
def test_no_test_is_switched_off(path):
    marks = [ast.unparse(d) for n in functions_in(path) for d in n.decorator_list]
    assert [m for m in marks if "mark.skip" in m or "xfail" in m] == []


@pytest.mark.parametrize("code, found", [
    ("def test_a():\n    f()", False), ("def test_a():\n    assert f()", True),
    ("def test_a():\n    numpy.testing.assert_allclose(1, 2)", True),
    ("def test_a():\n    with pytest.raises(ValueError):\n        f()", True)
])
def test_the_rule_itself(code, found):
    assert asserts(ast.parse(code)) is found
