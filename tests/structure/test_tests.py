"""Every test can fail: none is empty, skipped for good, or without an assertion."""

import ast
from functools import cache
from pathlib import Path

import pytest

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


@pytest.mark.parametrize("path", FILES, ids=lambda p: str(p.relative_to(FOLDER)))
def test_every_test_asserts(path):
    functions = functions_in(path)
    helpers = {f.name for f in functions if not f.name.startswith("test_") and asserts(f)}
    tests = [f for f in functions if f.name.startswith("test_")]
    assert tests, "a test file without tests"
    assert [f.name for f in tests if not asserts(f, helpers)] == []
    assert len({f.name for f in tests}) == len(tests), "two tests of one name: the first never runs"


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
