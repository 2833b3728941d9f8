"""The live figure of lesson 09: readings go in, bands narrow, and those of the neck that gets the board too.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from tonewood.draws import Z90, band
from tonewood.lesson.measure_a_board import model
from tonewood.lesson.measure_a_board.keep import with_keeping
from tonewood.lesson.measure_a_board.view import STACK, Picture
from tonewood.lesson.shared import shop
from tonewood.lesson.shared.design_strip import LessonNeck, with_strip
from tonewood.lesson.shared.shop import NECK_12
from tonewood.neck.design import Design
from tonewood.panel.boxes import ticked
from tonewood.panel.controls import Control, pick, slider, switch
from tonewood.panel.live_figure import LiveFigure
from tonewood.wood.board import Board
from tonewood.wood.species import Species, species
from tonewood.wood.spread import within_board

FAR = 0.02
"""Below this share of its wood's boards a reading, or the name, is doubted."""
APART = 0.15
"""Bend and tap of one board that differ by more are doubted: the trade's own figure, common practice."""


def _change(art: Picture, subject: Design = NECK_12, **values: Any) -> str:
    wood, grain = species(values["wood"]), (values["ring_angle"], values["run_out"])
    tables = model.by_the_tables(subject, values["use"], values["wood"], *grain)
    plain = model.board_rows(wood, *grain, values["moisture"])
    try:
        own = model.read(**values).own().wood()
        stages = model.stages(**values)
        found = model.with_board(subject, **values)
        refused = ""
    except ValueError as problem:
        stages = model.stages(**{**values, **dict.fromkeys(model.SWITCHES, False)})
        own, found, refused = wood, tables, str(problem)
    sheared = model.shear(**{**values, **(dict.fromkeys(model.SWITCHES, False) if refused else {})})
    three = [(name, model.stiffness_band(known)) for name, known in stages]
    art.show_stages(three)
    art.view.show(Board(wood, *map(float, np.radians(grain)), moisture=values["moisture"] / 100))
    now = [*model.board_rows(own, *grain, values["moisture"]), *model.neck_rows(found), sheared[1]]
    bands = art.gauges.show(now, [*plain, *model.neck_rows(tables), sheared[0]])
    return refusal(refused) if refused else sentence(subject, values, wood, three, bands, [
        *(band(x) for x in model.neck_rows(tables)), band(sheared[0])])


def refusal(why: str) -> str:
    """What is said where the readings cannot belong to a board."""
    return (f"These readings cannot be right: {why}{'' if why.endswith('?') else '.'} The picture shows "
            "what the tables say; nothing of the readings is used until this is mended.")


def sentence(design: Design, values: dict[str, Any], wood: Species,
             stages: list[tuple[str, tuple[float, float, float]]], bands: list[Any], before: list[Any]
             ) -> str:
    """The picture in words."""
    first, (_, last) = stages[0][1], stages[-1]
    rho, loss, stiff, relief, _, twist = bands
    done = [name for name in ("weighed", "tapped", "bent") if values[name]]
    name = wood.name[0].upper() + wood.name[1:]
    said = " and ".join(filter(None, (", ".join(done[:-1]), *done[-1:]))) or "nothing read of it yet"
    text = f"{name}, {said}: stiffness along the grain at "
    text += f"12 % {last[1]:.1f} GPa (90 of 100: {last[0]:.1f} to {last[2]:.1f}"
    if done:
        left = 100 * np.log(last[2] / last[0]) / np.log(first[2] / first[0])
        text += f"; tables alone {first[0]:.1f} to {first[2]:.1f}, so {left:.0f} % of that width is left"
    text += (f"), density {rho[1]:.0f} kg/m³ ({rho[0]:.0f} to {rho[2]:.0f}), loss factor {loss[1]:.1f} "
             f"thousandths ({loss[0]:.1f} to {loss[2]:.1f})")
    if values["twisted"]:
        text += (f", shear modulus {twist[1]:.2f} GPa ({twist[0]:.2f} to {twist[2]:.2f}; tables alone "
                 f"{before[-1][0]:.2f} to {before[-1][2]:.2f})")
    text += (f". {design.name} with this board as {model.USES[values['use']]}: stiffness {stiff[1]:.0f} N·m² "
             f"({stiff[0]:.0f} to {stiff[2]:.0f}; tables alone {before[0][0]:.0f} to {before[0][2]:.0f}), "
             f"relief {relief[1]:.2f} mm ({relief[0]:.2f} to {relief[2]:.2f}).")
    return text + doubts(values, wood)


def doubts(values: dict[str, Any], wood: Species) -> str:
    """What to distrust in the readings, or what to expect of them before there are any."""
    board, text = model.read(**values), ""
    if not any(values[name] for name in ("weighed", "tapped", "bent", "twisted")):
        try:
            tone, deflection, twist = model.expected(**values)
        except ValueError as problem:                   # too stout for a tap or a bend
            return f" Of these sizes it cannot be tapped or bent: {problem}."
        return (f" A middle board of these sizes would sound at {tone:.0f} Hz, twist at {twist:.0f} Hz "
                f"and give {deflection:.2f} mm under {values['load']:g} kg.")
    if board.fit < FAR:
        share = 1000 * board.fit
        few = "fewer than 1 in 1000" if share < 1 else f"only about {share:.0f} in 1000"
        text += f" Of {wood.name} {few} boards lie so far off: check the readings, or the name."
    if values["use"] != "fretboard":
        stripe = 100 * Z90 * within_board(board.own().wood())[1]
        text += (f" The neck's bands hold that stripes ripped from one board lie up to {stripe:.0f} % from "
                 "it (90 of 100; judgement, no measurement was read): measure each stripe to narrow them. A "
                 "neck that takes the whole board varies less.")
    if values["tapped"] and values["bent"]:
        tap, bend = (model.read(**{**values, off: False}).modulus for off in ("bent", "tapped"))
        if abs(np.log(tap / bend)) > APART:
            text += (f" Tap ({1e-9 * tap:.1f} GPa, brought to a slow bend's level) and bend "
                     f"({1e-9 * bend:.1f} GPa) differ by {100 * abs(tap / bend - 1):.0f} %: repeat the one "
                     "you trust less before you use either.")
    return text


def _weighed(values: dict[str, Any]) -> str:
    return "" if model.weighed(values) else "Counts once the board is weighed or tapped."


def unmeasured_woods() -> list[tuple[str, str]]:
    """Woods that a board can be of: those of the tables and one's own, no single boards."""
    return [(name, key) for name, key in shop.every_wood() if not species(key).one_board]


def controls() -> dict[str, Control]:
    """The controls of the board, fresh: wood, grain, air, sizes, readings, use."""
    v = model.defaults()
    return {
        "wood": pick("Wood", unmeasured_woods, v["wood"], "what it was sold as; the readings will tell "
                     "whether they fit"),
        "weighed": switch("I have weighed it", v["weighed"], "scale and caliper: density good to about 1 %"),
        "mass": slider("Weight", v["mass"], 20, 4000, 1, "g", "a kitchen scale").unless(_weighed),
        "tapped": switch("I have tapped it", v["tapped"], "lowest tone on soft supports; with its weight "
                         "good to about 3 %, most of it the step from a tap to a slow bend"),
        "tone": slider("Tap tone", v["tone"], 40, 2000, 1, "Hz", "the reader below sets it from a recording"
                       ).unless(ticked("tapped", "I have tapped it")),
        "bent": switch("I have bent it", v["bent"], "two supports, a known load, a dial: good to about 3 %"),
        "load": slider("Load", v["load"], 0.5, 30, 0.1, "kg", "added after the first small load"
                       ).unless(ticked("bent", "I have bent it")),
        "deflection": slider("Bend under the load", v["deflection"], 0.05, 20, 0.01, "mm", "dial gauge"
                             ).unless(ticked("bent", "I have bent it")),
        "span": slider("Span", v["span"], 150, 1200, 1, "mm", "between the supports"
                       ).unless(ticked("bent", "I have bent it")),
        "twisted": switch("I have tapped its twist", v["twisted"], "board resting on its middle, a corner "
                          "tapped: shear modulus good to about 5 % (judgement)"),
        "twist_tone": slider("Twist tone", v["twist_tone"], 60, 4000, 1, "Hz", "the reader below sets it, too"
                             ).unless(ticked("twisted", "I have tapped its twist")),
        "rung": switch("I have its loss factor", v["rung"], "from the fall of the tone; an upper limit"),
        "loss": slider("Loss factor (thousandths)", v["loss"], 1, 40, 0.1, "", "the reader below sets it"
                       ).unless(ticked("rung", "I have its loss factor")),
        "length": slider("Length", v["length"], 200, 1200, 1, "mm", "tape"),
        "width": slider("Width", v["width"], 15, 250, 0.1, "mm", "caliper"),
        "thickness": slider("Thickness", v["thickness"], 3, 60, 0.1, "mm", "mean of five places, to 0.3 %"),
        "moisture": slider("Moisture", v["moisture"], 4, 20, 0.1, "%", "meter, or from the room; to 1 %"),
        "ring_angle": slider("Ring angle", v["ring_angle"], 0, 90, 5, "°", "0 flat-sawn, 90 quarter-sawn"),
        "run_out": slider("Run-out", v["run_out"], 0, 10, 0.5, "°", "0 straight grain; 3.8° is 1 in 15"),
        "use": pick("The board becomes", [(words, key) for key, words in model.USES.items()], v["use"],
                    "the other pieces of the neck stay unmeasured"),
    }


def measured_board(place: str | None = "beside", design: Design = NECK_12) -> LiveFigure:
    """The board on the bench, ready for readings; below it a place to keep it. Returns a LiveFigure."""
    live = LiveFigure(Picture, _change, controls(), inches=(10.0, 5.8), place=place, subject=design,
                      first=("wood", "weighed", "mass", "tapped", "tone", "bent", "deflection", "use"),
                      parts={"Board": (0, 0, 0.495, 1), "Gauges": (0.5, 0, 1, 1)}, narrow=STACK,
                      alt="Bands of the board's stiffness, one below the other for each reading made, the "
                          "board's end and side, and six gauges of board and neck with 90 % bands")

    def keep(subject: Design, values: dict[str, Any], name: str) -> Design:
        if live.kept is None:
            return subject.changed(name=name)
        return model.kept(subject, values["use"], live.kept.key).changed(name=name)

    live.kept = None
    with_strip(live, LessonNeck(lambda subject: {}, keep, model.cannot))
    return with_keeping(live)
