"""The neck on the bench worked out: a design and one setting of the controls -> what the neck does, with
draws."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from tonewood.lesson.shared import reads, shop
from tonewood.lesson.shared.shop import NECK_12, REINFORCEMENT, ROLES, ROOM, changed, role_woods
from tonewood.neck.design import Design, FretboardPlan, LayerPlan
from tonewood.neck.report.evaluation import Evaluation, evaluate
from tonewood.remember import remember
from tonewood.wood.moisture import equilibrium_moisture, humidity_for
from tonewood.wood.species import Species, species
from tonewood.wood.spread import SUPPLIES

STATIONS = 16
REFERENCE_FRETBOARD = "Indian rosewood"
RANGES = {"stripes": (1, 11, 1), "ring_angle": (0, 90, 5), "run_out": (0, 10, 0.5), "shop": (20, 80, 1),
          "lean": (0, 10, 1)}
"""Low end, high end and step of the sliders that a design decides, in their own units."""
LISTS = {"main": "neck", "accent": "neck", "centre": "neck", "fretboard": "fretboard", "veneer": "neck"}
"""The use (shop.woods) whose woods stand in the list of a role."""
BUILT = {"one board": 1, "a board on a veneer of 0.6 mm": 2, "a board on two veneers of 0.6 mm each": 3,
         "none, frets in the neck": 0}
"""How a fretboard is built, and of how many layers."""
SHARED = ("built", "shop")
"""The controls that change the one-piece reference too, beside its wood."""
VENEER = 0.0006
"""Thickness (m) of the veneers of BUILT: as commonly sold (common practice, no source)."""


def own_woods(design: Design) -> dict[str, Species]:
    """{role: Species} of a design, its fretboard and the veneer under it too; of neck No. 12 what it has
    not."""
    top, wenge = design.fretboard, NECK_12.stripes[1].wood
    return {**role_woods(design), "fretboard": species(top.wood or NECK_12.fretboard.wood),
            "veneer": species(top.under[-1].wood if top.under else wenge)}


def listed(role: str, wood: Species) -> bool:
    """Can this wood be chosen for this role?"""
    return LISTS[role] in wood.uses


def defaults(design: Design = NECK_12) -> dict[str, Any]:
    """Start values of the controls: what the design decides, each at the nearest step its slider can show."""
    return dict(_start(design))


@remember(16)
def _start(design: Design) -> dict[str, Any]:
    own, usual = own_woods(design), own_woods(NECK_12)
    main = next(stripe for stripe in design.stripes if stripe.wood == own["main"].key)
    ring, run_out = np.degrees([main.ring_angle, main.run_out])
    sizes = {"stripes": len(design.stripes), "ring_angle": abs((ring + 90) % 180 - 90),
             "run_out": abs(run_out), "shop": 100 * humidity_for(ROOM, design.shop_moisture)}
    return {**{role: (wood if listed(role, wood) else usual[role]).key for role, wood in own.items()},
            **{name: shop.on_step(value, *RANGES[name]) for name, value in sizes.items()}, "home": 30.0,
            "reinforcement": next((n for n, bars in REINFORCEMENT.items() if bars == design.bars),
                                  "rod only"),
            "built": list(BUILT)[(len(design.fretboard.layers) - 1) % 4 if len(design.fretboard.layers) < 4
                                 else 2], "lean": shop.on_step(_lean(design) or 0.0, *RANGES["lean"]),
            "origin": "different trees", "supply": SUPPLIES[0],
            "reference": usual["main"].key}


def build(design: Design = NECK_12, **values: Any) -> Design:
    """The design with what those controls change that stand elsewhere than it puts them; those left out stay.

    Angles in degrees, humidity in %, woods by key. Raises ValueError.
    """
    moved = reads.moved(defaults(design), values)
    changes = {name: moved[name] for name in (*ROLES, "fretboard", "stripes") if name in moved}
    changes |= {name: np.radians(moved[name]) for name in ("ring_angle", "run_out") if name in moved}
    if "shop" in moved:
        changes["humidity"] = moved["shop"] / 100
    if "reinforcement" in moved:
        changes["bars"] = REINFORCEMENT[moved["reinforcement"]]
    made = changed(design, **changes)
    if "lean" in moved or (moved.keys() & {"stripes", *ROLES} and _lean(design)):
        lean = np.radians(values.get("lean", defaults(design)["lean"]))
        made = made.changed(leans=tuple(float(lean * np.sign(round(y, 6)))
                                        for y in made.neck().layup.edges[1:-1]))
    return with_board(made, values) if moved.keys() & {"built", "veneer"} else made


def with_board(design: Design, values: dict[str, Any]) -> Design:
    """The design with its fretboard built as in BUILT, on veneers of the chosen wood; the whole depth and the
    rod stay where they are."""
    start, top = defaults(design), design.fretboard
    built, wood = (values.get(name, start[name]) for name in ("built", "veneer"))
    if not BUILT[built]:
        return design.with_fretboard(FretboardPlan(wood=None, slot_depth=top.slot_depth,
                                                   slot_fill=top.slot_fill))
    if not top.layers:
        design = changed(design, fretboard=values.get("fretboard", start["fretboard"]))
    veneers = (BUILT[built] - 1) * (LayerPlan(wood=wood, thickness=VENEER),)
    return design.changed(fretboard=replace(design.fretboard, under=veneers))


def _lean(design: Design) -> float | None:
    """How far the glue lines lean (degrees), lower ends away from the middle, alike on both sides; None where
    they lean otherwise."""
    sides = np.sign(np.round(design.neck().layup.edges[1:-1], 6))
    leans = np.degrees(np.array(design.leans or 0 * sides)) * sides
    outer = leans[sides != 0]
    even = not outer.size or (np.ptp(outer) < 1e-6 and outer[0] >= 0)
    return (float(outer[0]) if outer.size else 0.0) if even and not any(design.tapers) else None


def woods_shown(design: Design, values: dict[str, Any]) -> dict[str, Species]:
    """{role: Species} as the controls stand, whether or not the role appears in so many stripes."""
    own, moved = own_woods(design), reads.moved(defaults(design), values)
    return {role: species(moved[role]) if role in moved else own[role] for role in own}


def appearing(count: int, layers: int = 1) -> set[str]:
    """The roles that appear in a neck of so many stripes under a fretboard of so many layers."""
    return {"main"} | set(("fretboard", "veneer")[:layers]) | ({"accent"} if count >= 4 else set()) | (
        {"centre"} if count >= 3 and count % 2 else set())


@remember(64)
def one_piece(design: Design, wood: str, **values: Any) -> Design:
    """The reference: one straight-grained flat-sawn piece of `wood`, same shape, Indian rosewood board, rod
    only. values: what controls change of the design, those of SHARED; the others change nothing here."""
    made = changed(build(design, **values), **dict.fromkeys(ROLES, wood), stripes=1, ring_angle=0.0,
                   run_out=0.0, slope=0.0, fretboard=REFERENCE_FRETBOARD, bars=())
    under = made.fretboard.under
    return made.changed(fretboard=replace(made.fretboard, under=())) if under else made


@remember(80)
def worked(design: Design, origin: str, supply: str, home: float) -> Evaluation:
    """Evaluation of a design as possible necks, taken from its shop to a home of `home` % humidity."""
    neck = shop.possible(design.neck(), origin, slot_fill=design.fretboard.slot_fill, supply=supply)
    return evaluate(neck, design.string_set(), design.shop_moisture, equilibrium_moisture(ROOM, home / 100),
                    design.setup(), STATIONS, design.body_joint())


@remember(64)
def evaluated(design: Design = NECK_12, **values: Any) -> tuple[Design, Evaluation, Evaluation]:
    """(the design as set, its Evaluation, that of the one-piece reference); controls left out: at the start.
    """
    v, made = {**defaults(design), **values}, build(design, **values)
    return (made, worked(made, v["origin"], v["supply"], v["home"]),
            worked(one_piece(design, v["reference"], **{n: values[n] for n in SHARED if n in values}),
                   "different trees", v["supply"], v["home"]))


def cannot(design: Design) -> list[str]:
    """What the controls of this lesson cannot show of a design, one sentence each."""
    own, first = own_woods(design), design.stripes[0]
    said = [f"Its {role} wood, {wood.name}, is not in the list here; it stays until you move that control."
            for role, wood in own.items() if not listed(role, wood)] + shop.bare(design)[:not
            design.fretboard.under]
    angles = {name: getattr(first, name) for name in ("ring_angle", "run_out", "slope")}
    plain = shop.plan_stripes(*(own[role].key for role in ROLES), len(design.stripes),
                              round(sum(stripe.width for stripe in design.stripes), 9), **angles)
    if len(design.stripes) > RANGES["stripes"][1] or design.stripes != plain:
        said.append("Its stripes differ in number, wood, width or angle from the symmetric lay-up of these "
                    "controls; they are shown as they are until you move a wood, the number or an angle.")
    under = design.fretboard.under
    if len(under) > 2 or under != len(under) * (LayerPlan(wood=own["veneer"].key, thickness=VENEER),):
        said.append("The layers of its fretboard are not those of the list here; they stay until you choose "
                    "how it is built, or a veneer.")
    if _lean(design) is None or abs(_lean(design) - defaults(design)["lean"]) > 0.01:
        said.append("Its glue lines lean or taper in a way of their own; they stay until you move that "
                    "slider.")
    if design.bars not in REINFORCEMENT.values():
        said.append("Its bars are not in the list here; they stay until you choose a reinforcement.")
    return said
