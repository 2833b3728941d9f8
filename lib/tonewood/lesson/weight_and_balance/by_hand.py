"""The balance of three lumps by hand, and a builder's own outline weighed."""

from __future__ import annotations

from dataclasses import replace

import ipywidgets
import numpy as np

from tonewood.brief.balance import Part, strap_balance, weigh
from tonewood.brief.body import BodyPlan, Points, outline_from_csv, outline_from_svg_path
from tonewood.draws import written
from tonewood.lesson.shared.shop import wood_list
from tonewood.lesson.weight_and_balance.model import instrument, limit_doubt, on_strap
from tonewood.panel.controls import pick, slider
from tonewood.panel.page import Shown, table
from tonewood.panel.reckoning import Reckoning, reckon
from tonewood.wood.facts import rule

Line = tuple[str, float, str, int, str]
NECK_SIDE = ("neck with fretboard", "headstock", "tuners", "frets", "strings")
BODY_WOOD = ("body", "body wings", "blank through the body")
DRAWN = "M 0 0 C 0 -220 420 -220 420 0 C 420 220 0 220 0 0 Z"
"""A plain round body of two curves, to begin with."""


def lumps(who: str = "no_12") -> dict[str, Part]:
    """The parts of an instrument gathered into three, without scatter."""
    design, whole = instrument(who)
    parts = weigh(design, whole).parts
    found = {}
    for name, chosen in {"neck with head": [p for p in parts if p.name in NECK_SIDE],
                         "wood of the body": [p for p in parts if p.name in BODY_WOOD],
                         "fittings and finish": [p for p in parts if p.name not in NECK_SIDE + BODY_WOOD]
                         }.items():
        mass = float(sum(p.mass for p in chosen))
        found[name] = Part(name, mass, float(sum(p.mass * p.x for p in chosen)) / mass)
    return found


def balance_by_hand(who: str = "no_12") -> list[Line]:
    """Centre of gravity of three lumps, and the limit of the strap; rows for panel.page.say_all."""
    three, (front, rear) = lumps(who), instrument(who)[1].buttons
    friction, label = rule("strap_friction"), "weighed by the model"
    rows: list[Line] = []
    for part in three.values():
        rows += [(f"{part.name}: m", float(part.mass), "kg", 3, label),
                 (f"{part.name}: x from the nut", 1e3 * float(part.x), "mm", 0, label)]
    mass = float(sum(p.mass for p in three.values()))
    moment = float(sum(p.mass * p.x for p in three.values()))
    ratio = float(np.exp(friction.value * np.pi))
    limit = (rear + ratio * front) / (1 + ratio)
    return rows + [
        ("sum of m", mass, "kg", 3, "by hand"), ("sum of m x (kg·m)", moment, "", 3, "by hand"),
        ("balance, sum of m x ÷ sum of m", 1e3 * moment / mass, "mm", 0, "by hand"),
        ("friction μ of strap on shirt", friction.value, "", 2, f"{friction.status}, unverified"),
        ("one end of the strap may pull e^(μπ) times the other", ratio, "", 2,
         "Euler's belt rule, half a turn"),
        ("limit, (rear + ratio × front) ÷ (1 + ratio)", 1e3 * limit, "mm", 0, "by hand"),
        ("margin, balance less limit (mm)", 1e3 * (moment / mass - limit), "", 0,
         f"by hand; known to ±{1e3 * limit_doubt():.0f} mm")]


def read_outline(text: str, start: float, per_unit: float) -> Points:
    """Points (m) of what was typed: an SVG path if it begins with M, else the path of a CSV file. start: of
    x, m; per_unit: mm of one unit of an SVG drawing. Raises ValueError."""
    text = text.strip()
    if not text:
        raise ValueError("outline: nothing given; accepted: the path of a CSV file with the columns x_mm and "
                         "y_mm, or the text of an SVG path")
    if text[0] in "Mm" and len(text) > 1 and text[1] in " \t\n,-+.0123456789":
        return outline_from_svg_path(text, per_unit, start)
    return outline_from_csv(text, start)


def weighed_outline(outline: str, wood: str, thickness: float, start: float, per_unit: float) -> Shown:
    """Area, weight and centre of a body of that outline, and No. 12 with it. Lengths in mm. Raises
    ValueError."""
    plan = BodyPlan(outline=read_outline(outline, start / 1e3, per_unit), wood=wood,
                    thickness=thickness / 1e3)
    volume, centre = plan.wings()
    design, whole = instrument("no_12")
    x0, _, tail, _ = plan.polygon.bounds
    whole = replace(whole, body=plan, buttons=(whole.buttons[0], tail))
    found = weigh(design, whole)
    strap = strap_balance(found.centre, *whole.buttons)
    return table(("", "value"), [
        ("Body alone: area", f"{1e4 * plan.polygon.area:.0f} cm²"),
        ("Body alone: weight", f"{plan.rho * volume:.2f} kg"),
        ("Body alone: centre from the nut", f"{1e3 * centre:.0f} mm"),
        ("Body alone: centre from its own front", f"{1e3 * (centre - x0):.0f} mm"),
        ("With No. 12's neck and fittings: weight", f"{found.mass:.2f} kg"),
        ("With No. 12's neck and fittings: balance from the nut", f"{1e3 * found.centre:.0f} mm"),
        (f"Margin on a strap from {1e3 * whole.buttons[0]:.0f} mm to the tail, known to ±"
         f"{1e3 * limit_doubt():.0f} mm",
         f"{written(1e3 * float(strap.margin), 0, sign=True)} mm: {on_strap(strap)}")],
        "Estimated: middle density of the wood, one thickness, square edges, no chambers; roundings and cuts "
        "make it lighter. Bridge, pickup and controls stay where No. 12 has them.")


def own_outline() -> Reckoning:
    """Boxes for a builder's own outline; last line of a cell."""
    box = ipywidgets.Text(value=DRAWN, description="SVG path or CSV file", continuous_update=False,
                          style={"description_width": "initial"},
                          layout={"width": "auto", "min_width": "0", "max_width": "100%"})
    return reckon(weighed_outline, outline=box, wood=pick("Wood of the body", wood_list("body"), "limba"),
                  thickness=slider("Body thickness", 45, 30, 60, 1, "mm"),
                  start=slider("Where x = 0 of the drawing lies, from the nut", 410, 0, 700, 1, "mm",
                               "0 for a drawing that counts from the nut"),
                  per_unit=slider("One unit of an SVG drawing, in mm", 1.0, 0.01, 30.0, 0.01, "",
                                  "1 where the drawing is in mm"))
