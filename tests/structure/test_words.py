"""Everything public says what it does: docstrings with units, errors and source, annotations, examples that
run."""

import ast
import dataclasses
import doctest
import importlib
import inspect
import pkgutil
import re
import textwrap

import pytest

import tonewood

MODULES = sorted({"tonewood", *(m.name for m in pkgutil.walk_packages(tonewood.__path__, "tonewood."))})
PAGE = ("panel", "lesson", "__main__")
PHYSICS = [m for m in MODULES if m.split(".")[1:2] and m.split(".")[1] not in PAGE]
NO_QUANTITY = {"tonewood.sound.record": "a listener's answers",
               "tonewood.neck.layup.stripe_order": "which stripe lies which way",
               "tonewood.remember": "results kept", "tonewood.tables": "files", "tonewood.files": "files",
               "tonewood.schema": "what the files promise", "tonewood.neck.design_file": "files"}
UNIT = re.compile(
    r"(?<!['’])\b(m|mm|cm|m2|m3|m4|m²|m³|kg|g|N|Pa|GPa|Hz|s|rad|radians?|degrees?|cents?|dB|W|J|"
    r"fractions?|[Ss]hare|ratio|[Ff]actor|dimensionless|SI|°C|per cent|percent|metres?|days?|"
    r"semitones?|frets?|number|count|[Cc]orrelation|DataFrame|Draws|own unit|unit of|from 0 to 1)\b|%|°|1/m")
SOURCE = re.compile(r"\b(1[6789]|20)\d\d\b|[Ss]ource|[Hh]andbook|[Dd]eriv|[Dd]efin|[Cc]ommon"
                    r" practice|[Gg]eometry|[Ss]tatics|[Bb]eam theory|"
                    r"[Ii]dentity|[Ee]stimate|[Mm]odel|data/")


def public(name):
    """(name, object) for what a module itself defines for others, and the public methods of its classes."""
    module = importlib.import_module(name)
    for own, thing in vars(module).items():
        if (
            own.startswith("_")
            or getattr(thing, "__module__", None) != name
            or not (inspect.isfunction(thing) or inspect.isclass(thing))
        ):
            continue
        yield f"{name}.{own}", thing
        if inspect.isclass(thing):
            for inner, member in vars(thing).items():
                if not inner.startswith("_") and (
                    inspect.isfunction(member) or isinstance(member, (property, classmethod, staticmethod))
                ):
                    yield f"{name}.{own}.{inner}", member


EVERYTHING = [(m, where, thing) for m in MODULES for where, thing in public(m)]
FUNCTIONS = [(m, where, thing) for m, where, thing in EVERYTHING if m in PHYSICS
             and inspect.isfunction(thing)]


def words(thing):
    return inspect.getdoc(thing) or ""


def test_everything_public_has_a_docstring():
    assert [m for m in MODULES if not (importlib.import_module(m).__doc__ or "").strip()] == []
    assert [where for _, where, thing in EVERYTHING if not words(thing).strip()] == []


def counts(thing):
    """Does this function take or give a number?"""
    signature = inspect.signature(inspect.unwrap(thing))
    kinds = [p.annotation for p in signature.parameters.values()] + [signature.return_annotation]
    return any(re.search(r"\b(float|Draws|Array|NDArray|ArrayLike|complex)\b", str(kind)) for kind in kinds)


def test_every_function_of_the_physics_names_its_units():
    """Each by itself: its docstring names a unit, or it takes and gives no number."""
    silent = [where for m, where, thing in FUNCTIONS
              if m not in NO_QUANTITY and counts(thing) and not UNIT.search(words(thing))]
    assert silent == []


def test_every_module_of_the_physics_names_where_it_comes_from():
    silent = [m for m in PHYSICS if m not in NO_QUANTITY
              and not hasattr(importlib.import_module(m), "__path__")
              and not SOURCE.search((importlib.import_module(m).__doc__ or "")
                                    + "".join(words(t) for n, _, t in EVERYTHING if n == m))]
    assert silent == []


def refuses(thing):
    """Does this function check its input itself, or raise?"""
    tree = ast.parse(textwrap.dedent(inspect.getsource(thing)))
    for node in ast.walk(tree):
        if (
            isinstance(node, ast.Raise)
            and isinstance(node.exc, ast.Call)
            and getattr(node.exc.func, "id", "") == "ValueError"
        ):
            return True
        if (
            isinstance(node, ast.Call)
            and isinstance(node.func, ast.Attribute)
            and getattr(node.func.value, "id", "") == "checks"
        ):
            return True
    return False


def test_a_function_that_refuses_says_so():
    assert [where for _, where, thing in FUNCTIONS if where.count(".") < 5
            and not inspect.isgeneratorfunction(thing) and refuses(inspect.unwrap(thing))
            and "Raises" not in words(thing)] == []


@pytest.mark.parametrize("text, unit", [
    ("The neck's own width", False), ("width in m", True), ("a share of 5 %", True),
    ("its modulus (GPa)", True)
])
def test_the_rule_for_units(text, unit):
    assert bool(UNIT.search(text)) is unit


def test_every_public_function_of_the_physics_shows_an_example():
    silent = [where for m, where, thing in FUNCTIONS if inspect.getmodule(thing).__name__ == m
              and where.count(".") == m.count(".") + 1 and ">>>" not in words(thing)]
    assert silent == []


class Finder(doctest.DocTestFinder):
    """Finds the examples of decorated functions too."""

    def _from_module(self, module, object):
        return super()._from_module(module, inspect.unwrap(object))


def test_every_example_runs():
    tried = 0
    failures = []
    for name in PHYSICS + ["tonewood"]:
        said = []
        result = doctest.DocTestRunner(optionflags=doctest.NORMALIZE_WHITESPACE)
        for test in Finder().find(importlib.import_module(name)):
            result.run(test, out=said.append)
        tried += result.tries
        failures += ["".join(said)] if result.failures else []
    assert failures == [] and tried > 100


def test_every_signature_and_field_of_the_physics_is_annotated():
    bare = []
    for m, where, thing in EVERYTHING:
        if m not in PHYSICS:
            continue
        if inspect.isfunction(thing):
            signature = inspect.signature(inspect.unwrap(thing))
            bare += [f"{where}({p.name})" for p in signature.parameters.values() if p.annotation is p.empty
                     and p.name not in ("self", "cls")]
            bare += [f"{where} -> ?"] if signature.return_annotation is signature.empty else []
        elif inspect.isclass(thing) and dataclasses.is_dataclass(thing):
            bare += [f"{where}.{f.name}: object" for f in dataclasses.fields(thing)
                     if f.type in (object, "object")]
    assert bare == []


def test_results_cannot_be_changed_afterwards():
    soft = [where for m, where, thing in EVERYTHING if m in PHYSICS and inspect.isclass(thing)
            and dataclasses.is_dataclass(thing) and not thing.__dataclass_params__.frozen]
    assert soft == []


def test_results_of_many_fields_are_named_when_made():
    """In lessons too, and those that a module keeps to itself."""
    made = {thing for m in MODULES for thing in vars(importlib.import_module(m)).values()
            if inspect.isclass(thing) and dataclasses.is_dataclass(thing)
            and thing.__module__.startswith("tonewood.")}
    assert len(made) > 100
    assert [thing for thing in made if sum(not f.kw_only and f.init
                                           for f in dataclasses.fields(thing)) > 6] == []
