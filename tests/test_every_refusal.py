"""Every public function and checked dataclass of the physics rooms, called with what a tired hand types.

Each argument of each example's call is changed in turn: not a number, infinite, text, a list with one bad
element, negative, a thousand times too large or small, and in the ways a unit slips. What comes back must be
finite; what cannot be right must be refused, by a ValueError that says what was given and what is accepted; a
slipped unit must be told.
"""

import ast
import doctest
import importlib
import inspect
import pkgutil
import re
import warnings
from dataclasses import fields, replace

import numpy as np
import pytest

from tonewood.neck.design import example_design
from tonewood.neck.layup.neck import Stripe, example_neck
from tonewood.neck.layup.shapes import Back, Bar, Channel, Fretboard, Outline
from tonewood.neck.load.rod import Rod
from tonewood.neck.load.setup import Setup
from tonewood.sound.beam import Beam
from tonewood.sound.instrument import Body, Headstock, Instrument
from tonewood.sound.partials import SpeakingString
from tonewood.sound.string_loss import StringLoss
from tonewood.sound.stroke import Stroke
from tonewood.strings.sets import string_set
from tonewood.strings.wire import plain
from tonewood.wood.board import Board
from tonewood.wood.diffusion import Column
from tonewood.wood.species import species
from tonewood.wood.within import Growth

ROOMS = ("wood", "strings", "neck", "sound", "bench")

INNER = {"area_moments", "at_mode", "beside", "bending_stiffness", "clipped", "common_draws",
         "deflection_shape", "edges_at", "element_energies", "end_equation", "inverted",
         "leaning_stripes", "locate", "pencil", "reduced", "solve", "string_roots",
         "string_shape", "summed_over_regions", "two_root", "unit_twist", "weighted"}
"""Steps of a solver on arrays that their callers have made and checked: nothing in them is typed by hand."""

ELSEWHERE = {"error_table", "made_taps", "onsets", "opened", "period_pitch", "recording"}
"""Readers and makers of files and sounds, whose refusals have tests of their own."""

INFINITE = {"Column", "decay_time", "effectiveness", "roots", "time_to", "uptake"}
"""Where a film may be none at all or a note ring for ever, which is an infinite number."""

MORE = {"cooling_hours": ((18.0, 24.0), {}), "room": ((23.0, 2000.0, 20.0, 0.1, 24.0), {})}
"""Calls for functions whose example loops."""


def public_calls():
    """(name, function, arguments by name, the example's result) of the first call in every example."""
    for room in ROOMS:
        package = importlib.import_module(f"tonewood.{room}")
        for found in pkgutil.walk_packages(package.__path__, package.__name__ + "."):
            module = importlib.import_module(found.name)
            for node in ast.parse(inspect.getsource(module)).body:
                if not isinstance(node, ast.FunctionDef) or node.name.startswith("_"):
                    continue
                call = MORE.get(node.name) or first_call(module, node)
                if call is not None:
                    function = getattr(module, node.name)
                    parameters = list(inspect.signature(function).parameters)
                    yield node.name, function, dict(zip(parameters, call[0], strict=False)) | call[1]


def first_call(module, node):
    """(places, names) of the first call of the function in its example; None where it cannot stand alone."""
    names = dict(vars(module))
    for example in doctest.DocTestParser().get_examples(ast.get_docstring(node) or ""):
        for inner in ast.walk(ast.parse(example.source)):
            if isinstance(inner, ast.Call) and getattr(inner.func, "id", "") == node.name:
                try:
                    places = [value for a in inner.args for value in (
                        eval(ast.unparse(a.value), names) if isinstance(a, ast.Starred)
                        else [eval(ast.unparse(a), names)])]
                    return places, {k.arg: eval(ast.unparse(k.value), names) for k in inner.keywords}
                except NameError:
                    return None
        exec(example.source, names)
    return None


CALLS = [(name, function, given) for name, function, given in public_calls()
         if name not in INNER | ELSEWHERE]

MAPLE = Board(species("hard maple"), 0.2, 0.02, 0.01, density=700.0, modulus=12e9, loss=0.01,
              swelling=(0.005, 0.165, 0.353))
THINGS = (MAPLE, MAPLE.species.elastic, Growth(), Outline(), Back(), Fretboard(MAPLE), Channel(), Bar(0.0),
          Stripe(MAPLE, 0.060), example_neck(body_start=0.4), Rod(), Setup(), example_design(),
          example_design().stripes[0], example_design().fretboard, plain(0.254e-3), string_set("six"),
          SpeakingString(0.65, 1e-3, 70.0, 4e-5, 1e4, 0.001), Stroke(), StringLoss(1e-4, 1e-3), Headstock(),
          Body(), Instrument(example_neck()), Beam(np.linspace(0, 0.9, 31), 500.0, 1.0),
          Column((0.02,), (1e-10,), (600.0,), 1e-7, 1e-7))


def is_number(value):
    """A number or an array or list of numbers?"""
    try:
        array = np.asarray(value)
    except ValueError:
        return False
    return not isinstance(value, str) and array.size > 0 and array.dtype.kind in "if"


def finite(value, depth=0):
    """Is every number in it finite?"""
    if isinstance(value, (float, complex, np.number)):
        return bool(np.isfinite(value))
    if isinstance(value, np.ndarray):
        return value.dtype.kind not in "fc" or bool(np.isfinite(value).all())
    if isinstance(value, (list, tuple)):
        return all(finite(part, depth) for part in value)
    if hasattr(value, "__dataclass_fields__") and depth < 2:
        return all(finite(getattr(value, name), depth + 1) for name in value.__dataclass_fields__)
    return True


def never_right(value, infinite):
    """What can never be such a quantity, by name."""
    if np.ndim(value) == 0:
        yield "not a number", float("nan")
        yield "text", str(value)
        yield "a list with one that is not a number", [float(value), float("nan")]
        if not infinite:
            yield "infinite", float("inf")
        return
    for name, bad in (("one not a number", np.nan), ("one infinite", np.inf)):
        if not (infinite and np.isinf(bad)):
            changed = np.array(value, dtype=float)
            changed.flat[-1] = bad
            yield name, changed
    if np.ndim(value) == 1:
        yield "one text", [*np.asarray(value, dtype=float)[:-1].tolist(), "x"]


def perhaps_right(value):
    """What a function may take or refuse, but must not answer with nonsense."""
    if isinstance(value, int):                                 # a count: never more, the test would last
        yield from (("negative", -abs(value) - 1), ("a half more", value + 0.5))
        return
    yield from ((f"times {factor:g}", np.multiply(value, factor)) for factor in (1000.0, 0.001, 100.0))
    yield "negative", -np.abs(value) - (np.asarray(value) == 0)


def tried(call, name, given, field):
    """The answer of a changed call, or the sentence of its refusal; any other error is a fault."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        try:
            return call(**given), None
        except ValueError as refusal:
            return None, str(refusal)
        except Exception as fault:
            return None, f"{type(fault).__name__} from {name}({field}=...): {fault}"


def speaks(sentence):
    """In the house voice: the quantity in words, what was given, what is accepted or expected, a true minus
    and raised powers but for what was typed?"""
    quantity, shown = sentence.split(":")[0], re.sub(r"array\(.*?\)", "", sentence)
    return (re.match(r".*: .*\bgiven\b.*(accepted|expected)", sentence, re.S) is not None
            and re.search(r"(?<![\w.)\]'])-(?=\d)|\b(k?g|N)[ ·/]m[23]\b|m2/s", shown) is None
            and 1 <= len(quantity) <= 80 and re.search("[a-z]_[a-z]", quantity) is None)


def faults(call, name, given):
    """Every way in which a call with one argument changed goes wrong."""
    base, refused = tried(call, name, given, "example")
    if refused is not None:                                            # an example that shows a refusal
        return
    for field, value in given.items():
        if not is_number(value) or isinstance(value, bool):
            continue
        for what, bad in never_right(value, name in INFINITE):
            answer, sentence = tried(call, name, {**given, field: bad}, field)
            if sentence is None:
                yield f"{name}({field}: {what}) answers {answer!r:.60}"
            elif not speaks(sentence):
                yield f"{name}({field}: {what}) says {sentence:.100}"
        for what, odd in perhaps_right(value):
            answer, sentence = tried(call, name, {**given, field: odd}, field)
            if sentence is None and finite(base) and not finite(answer) and name not in INFINITE:
                yield f"{name}({field}: {what}) answers {answer!r:.60}"
            elif sentence is not None and not speaks(sentence):
                yield f"{name}({field}: {what}) says {sentence:.100}"


def test_many_functions_are_walked():
    assert len(CALLS) > 150 and INNER <= {name for name, *_ in public_calls()}


@pytest.mark.parametrize("room", ROOMS)
def test_no_function_answers_what_can_never_be_right(room):
    found = [fault for name, function, given in CALLS if function.__module__.startswith(f"tonewood.{room}")
             for fault in faults(function, name, given)]
    assert found == []


@pytest.mark.parametrize("thing", THINGS, ids=lambda thing: type(thing).__name__)
def test_nothing_is_built_from_what_can_never_be_right(thing):
    given = {f.name: getattr(thing, f.name) for f in fields(thing) if f.init}
    found = list(faults(lambda **values: replace(thing, **values), type(thing).__name__, given))
    assert found == []


def shifted(kind):
    """{kind of slip: (the value as typed by mistake, the word of the refusal)}."""
    return {"mm": (lambda v: 1000 * v, "mm"), "g": (lambda v: 1000 * v, "[Gg]rams|g/m"),
            "kHz": (lambda v: v / 1000, "Kilohertz"), "ms": (lambda v: 1000 * v, "Milliseconds"),
            "%": (lambda v: 100 * v, "[Dd]id you mean|In % "), "F": (lambda v: 1.8 * v + 32, "Fahrenheit"),
            "degrees": (np.degrees, "degrees"), "GPa": (lambda v: v / 1e9, "GPa")}[kind]


SLIPS = {"mm": "width thickness length span deflection diameter scale_length half_thickness blank_width "
         "total_length nut_width end_width depth_nut depth_end body_start", "g": "mass", "kHz": "frequency",
         "ms": "seconds",
         "%": "moisture humidity initial final C_R C_T humidity_out start end slot_fill shop_moisture change",
         "F": "temperature", "degrees": "angle ring_angle run_out slope break_angle head_angle",
         "GPa": "E_L E_R E_T G_LR G_LT G_RT E_across shear_modulus"}
"""Quantities by the unit that slips. Left out are those no limit can tell, such as a bending stiffness."""

OTHERWISE = {"Rod", "rectangles", "uncertainty", "no_overlap", "no_crossing", "with_gradient"}
"""Where a word of the list means something else: where a rod begins or a neck ends, sides of any size,
how far a reading is off, a slope of moisture."""


def slips():
    """(what is called, its name, the arguments, the field, the kind) for every quantity that slips."""
    built = [(lambda thing=thing, **values: replace(thing, **values), type(thing).__name__,
              {f.name: getattr(thing, f.name) for f in fields(thing) if f.init}) for thing in THINGS]
    built += [(function, name, given) for name, function, given in CALLS]
    for call, name, given in built:
        for kind, field in ((kind, field) for kind, names in SLIPS.items() for field in names.split()):
            value = given.get(field)
            if name in OTHERWISE or value is None or not is_number(value) or np.any(np.asarray(value) == 0):
                continue
            if kind != "degrees" or np.min(np.abs(value)) > np.radians(5):     # 1 may be radians, 5 is not
                yield call, name, given, field, kind


def test_a_slipped_unit_is_told():
    found, count = [], 0
    for call, name, given, field, kind in slips():
        slip, word = shifted(kind)
        typed = slip(np.asarray(given[field], dtype=float)[()])
        _, sentence = tried(call, name, {**given, field: typed}, field)
        count += 1
        if sentence is None or not re.search(word, sentence):
            found.append(f"{name}({field} in {kind}): {sentence!r:.140}")
    assert found == [] and count > 80
