"""Every lesson starts on neck No. 12; a design that was opened comes through its controls unchanged."""

import ast
import inspect
import pkgutil
from dataclasses import replace
from importlib import import_module

import numpy as np
import pytest

from tonewood import lesson as lessons
from tonewood.lesson.shared.shop import (
    NECK_12,
    REINFORCEMENT,
    ROLES,
    changed,
    on_step,
    plan_stripes,
    role_woods,
)
from tonewood.lesson.weight_and_balance import model as weight_and_balance
from tonewood.neck.design import Design, FretboardPlan, LayerPlan, StringPlan
from tonewood.neck.layup.neck import Outline
from tonewood.wood.species import species

# Folder of the lesson: the function that makes its live figure. The lesson's `model` has defaults(design) ->
# {control: value}, build(design, **values) -> Design, and cannot(design) -> sentences.
LESSONS = {"whole_neck": "bench", "laying_up": "layup", "string_pull": "string_pull",
           "client_year": "seasons", "ring_and_decay": "ring", "first_moment": "attack"}

OPENED = {
    "one piece": changed(NECK_12, main="mahogany", accent="mahogany", centre="mahogany", stripes=1,
                         ring_angle=0.0),
    "off the steps": changed(NECK_12, ring_angle=np.radians(83.3), run_out=np.radians(1.3),
                             slope=np.radians(0.7), thickness=0.0063, depth=0.0219, humidity=0.437),
    "bars, other joint": NECK_12.changed(bars=REINFORCEMENT["two deep carbon bars (3 × 10 mm)"][:1],
                                         joint="bolt-on", joint_fret=16, action_bass=0.0023, town="Miami"),
    "each stripe another": NECK_12.changed(stripes=[
        replace(stripe, wood=wood, ring_angle=0.2 * k, turn="as sawn") for k, (stripe, wood) in enumerate(zip(
            NECK_12.stripes, ("sapele", "limba", "wenge", "purpleheart", "hard maple", "koa", "sapele"),
            strict=True))]),
    "eight strings": NECK_12.changed(stripes=plan_stripes("hard maple", "wenge", "black walnut", 9, 0.076),
                                     outline=Outline(0.055, 0.072, 0.515), scale_length=0.686, frets=24,
                                     nut_spread=0.047, bridge_spread=0.073,
                                     strings=StringPlan(set="eight", tuning="eight")),
    "single-acting, thick ebony": NECK_12.changed(fretboard=FretboardPlan(wood="African ebony",
                                                                          thickness=0.0071),
                                                  rod="single-acting"),
    "no fretboard": NECK_12.with_fretboard(FretboardPlan(wood=None)),
    "veneers, leaning lines": NECK_12.changed(fretboard=replace(NECK_12.fretboard, under=(
        LayerPlan(wood="hard maple", thickness=0.0006), LayerPlan(wood="wenge", thickness=0.0012))),
        leans=(-0.1, -0.1, -0.1, 0.1, 0.1, 0.12), tapers=(0.001, 0.0, 0.0, 0.0, 0.0, 0.0)),
}


def lesson(name):
    return import_module(f"tonewood.lesson.{name}.model")


def same_neck(one, other):
    return (one.geometry, one.pieces, one.scale_length, one.frets, one.body_start) == (
        other.geometry, other.pieces, other.scale_length, other.frets, other.body_start)


@pytest.mark.parametrize("name", LESSONS)
def test_lesson_starts_on_the_one_neck(name):
    model = lesson(name)
    assert model.build(NECK_12, **model.defaults()) == NECK_12
    assert same_neck(model.build(NECK_12, **model.defaults(NECK_12)).neck(), NECK_12.neck())


def modules():
    return [import_module(m.name) for m in pkgutil.walk_packages(lessons.__path__, f"{lessons.__name__}.")]


def test_every_function_of_a_lesson_that_is_given_no_design_takes_the_one_neck():
    starts = {f"{m.__name__}.{name}": p.default for m in modules() for name, thing in vars(m).items()
              if inspect.isfunction(thing) and thing.__module__ == m.__name__
              for p in inspect.signature(inspect.unwrap(thing)).parameters.values()
              if isinstance(p.default, Design)}
    assert {name.split(".")[2] for name in starts} >= {*LESSONS, "measure_a_board", "shared"}
    assert [name for name, start in starts.items() if start is not NECK_12] == []
    assert weight_and_balance.instrument("no_12")[0] is NECK_12


def test_necks_are_made_in_the_shop_alone():
    """Its own and the three clients'; elsewhere a lesson changes one of them, in its outline only where
    another count of strings asks for another width."""
    makes = {}
    for module in modules():
        tree = ast.parse(inspect.getsource(module))
        made = {node.func.id for node in ast.walk(tree) if isinstance(node, ast.Call)
                and getattr(node.func, "id", "") in ("Design", "Neck", "Layup", "Outline", "striped")}
        if made:
            makes[module.__name__.removeprefix("tonewood.lesson.")] = made
    assert makes == {"shared.shop": {"Design", "Outline"}, "shared.clients": {"Outline"},
                     "string_pull.model": {"Outline"}}


@pytest.mark.parametrize("opened", OPENED.values(), ids=list(OPENED))
@pytest.mark.parametrize("name", LESSONS)
def test_untouched_design_comes_through_unchanged(name, opened):
    model = lesson(name)
    assert model.build(opened, **model.defaults(opened)) == opened


@pytest.mark.parametrize("name", LESSONS)
def test_figure_shows_every_opened_design_and_says_what_it_cannot(name):
    live = getattr(import_module(f"tonewood.lesson.{name}"), LESSONS[name])()
    model, start = lesson(name), live.sentence
    assert live.subject == NECK_12 and model.cannot(NECK_12) == []
    for opened in OPENED.values():
        live.take(opened, model.defaults(opened))
        assert live.error is None and live.subject == opened
        assert all(sentence.endswith(".") for sentence in model.cannot(opened))
    live.take(NECK_12, model.defaults())
    assert live.sentence == start


def test_a_lay_up_made_anew_keeps_the_width_of_the_blank():
    for opened in OPENED.values():
        wide = sum(stripe.width for stripe in opened.stripes)
        assert sum(stripe.width
                   for stripe in changed(opened, main="limba", stripes=5).stripes) == pytest.approx(wide)


def test_roles_are_read_back_from_a_lay_up_that_follows_them():
    for woods in (("limba", "wenge", "wenge"), ("limba", "limba", "koa"), ("limba", "koa", "limba")):
        made = changed(NECK_12, **dict(zip(ROLES, woods, strict=True)))
        assert tuple(wood.key for wood in role_woods(made).values()) == tuple(species(w).key for w in woods)
    mixed = role_woods(OPENED["each stripe another"])
    assert mixed["main"].key == "sapele" and mixed["centre"].key == "purpleheart"


def test_a_slider_shows_the_nearest_step_in_its_range():
    assert [on_step(v, 0, 90, 5) for v in (-3, 83.3, 87.6, 120)] == [0.0, 85.0, 90.0, 90.0]
