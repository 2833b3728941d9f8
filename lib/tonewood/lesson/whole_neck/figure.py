"""The neck on the bench: one figure, the whole neck. Controls -> Design -> Evaluation -> picture, sentence.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from tonewood.draws import band
from tonewood.lesson.shared.design_strip import LessonNeck, with_strip
from tonewood.lesson.shared.reads import kept_by
from tonewood.lesson.shared.shop import NECK_12, REINFORCEMENT, ROLES, fretboard_words, wood_list
from tonewood.lesson.shared.stripe_controls import boards_from, stripe_woods
from tonewood.lesson.shared.stripe_table import with_stripes
from tonewood.lesson.whole_neck import model
from tonewood.lesson.whole_neck.view import STACK, Picture
from tonewood.neck.design import Design
from tonewood.neck.report.evaluation import Evaluation
from tonewood.panel import units
from tonewood.panel.controls import Control, pick, slider
from tonewood.panel.live_figure import LiveFigure
from tonewood.wood.species import Species, species


def _change(art: Picture, subject: Design = NECK_12, held: dict[str, Any] | None = None,
            **values: Any) -> str:
    design, found, compared = model.evaluated(subject, **values)
    shown = model.woods_shown(subject, values)
    before = {**held} if held else {}
    kept, *before = model.evaluated(before.pop("subject"), **before) if held else (None,)
    art.show_neck(design.neck(), shown, kept and kept.neck())
    bands = art.show_found(found, compared, before)
    return sentence(values, design, shown, bands, found, compared)


def sentence(values: dict[str, Any], design: Design, shown: dict[str, Species],
             bands: list[tuple[float, float, float]], found: Evaluation, compared: Evaluation) -> str:
    """The picture in words, with every number and its 90 % band."""
    def told(three: tuple[float, float, float], unit: str, decimals: int, sign: bool = False) -> str:
        """middle (low to high), the unit once."""
        low, middle, high = (units.text(v, unit, decimals, sign=sign) for v in three)
        return f"{middle} ({low.split()[0]} to {high.split()[0]}"

    count = len(design.stripes)
    stiff, relief, loss, season, width, weight = bands
    names = ", ".join(shown[role].name for role in ROLES if role in model.appearing(count))
    more = weight[1] - band(1e3 * compared.mass)[1]
    return (f"{'One piece' if count == 1 else f'{count} stripes'} ({names}), "
            f"{fretboard_words(design)}, boards {values['supply'].replace('one', 'of one')}: "
            f"stiffness {stiff[1]:.0f} % of the one-piece "
            f"{species(values['reference']).name} reference (90 of 100 such necks: {stiff[0]:.0f} to "
            f"{stiff[2]:.0f} %), relief {told(relief, 'mm', 2)}), loss factor {loss[1]:.1f} thousandths "
            f"({loss[0]:.1f} to {loss[2]:.1f}, an estimate that cannot rank woods). From "
            f"{values['shop']:.0f} % humidity in the shop to {values['home']:.0f} % at home: relief "
            f"{told(season, 'mm', 2, True)}; it rises in {100 * np.mean(found.relief_change > 0):.0f} of "
            f"100), width {told(width, 'mm', 2, True)}). Weight {told(weight, 'g', 0)}), "
            f"{units.text(abs(more), 'g', 0)} {'more' if more >= 0 else 'less'} than the reference.")


def controls(design: Design = NECK_12) -> dict[str, Control]:
    """The controls of the bench, fresh, in the order wood, lay-up, grain, climate, comparison."""
    start = model.defaults(design)
    ranges, neck = model.RANGES, wood_list("neck")
    made = {
        **stripe_woods(start),
        "fretboard": pick("Fretboard wood", wood_list("fretboard"), start["fretboard"],
                          "6 mm thick, 2.5 mm slots, flat-sawn"),
        "built": pick("Fretboard", list(model.BUILT), start["built"],
                      "without one the frets sit in the neck, as deep as before, and the rod is laid in from "
                      "the back under a strip; veneers are part of the 6 mm"),
        "veneer": pick("Veneer under it", neck, start["veneer"]).unless(
            lambda v: "" if model.BUILT[v["built"]] > 1 else "No veneer in this neck."),
        "stripes": slider("Stripes", start["stripes"], *ranges["stripes"], "",
                          "1 is a one-piece neck; the blank is 60 mm wide, so 11 still leaves wood for each"),
        "ring_angle": slider("Ring angle", start["ring_angle"], *ranges["ring_angle"], "°",
                             "0 flat-sawn, 90 quarter-sawn, between them rift; for all stripes"),
        "run_out": slider("Run-out", start["run_out"], *ranges["run_out"], "°",
                          "0 straight grain; 3.8° is 1 in 15; beyond 10° nobody would use the board"),
        "lean": slider("Glue lines lean", start["lean"], *ranges["lean"], "°",
                       "lower ends away from the middle, both halves alike, as between wedges; it moves wood "
                       "from one stripe to the next below the fretboard").unless(
            lambda v: "" if v["stripes"] > 1 else "One piece has no glue lines."),
        "shop": slider("Shop humidity", start["shop"], *ranges["shop"], "%",
                       "where the neck was made and settled; 40 to 50 % is a common target"),
        "home": slider("Home humidity", start["home"], *ranges["shop"], "%",
                       "where it will live, weeks later; heated winter rooms reach 20 %, damp coasts 80 %"),
        "reinforcement": pick("Reinforcement", list(REINFORCEMENT), start["reinforcement"],
                              "a rod in a loose sleeve adds weight, not stiffness"),
        **boards_from(start),
        "reference": pick("One-piece reference", neck, start["reference"],
                          "same shape, flat-sawn, Indian rosewood board, rod only"),
    }
    return made


def bench(place: str | None = "beside", design: Design = NECK_12) -> LiveFigure:
    """The neck on the bench, ready to slide. Returns a LiveFigure; last line of a cell."""
    live = LiveFigure(Picture, _change, controls(design), inches=(10.0, 5.6), place=place, subject=design,
                      first=("stripes", "main", "ring_angle", "run_out", "home", "reinforcement"),
                      parts={"Neck": (0.01, 0, 0.535, 1), "Gauges": (0.52, 0, 1, 1)}, narrow=STACK,
                      alt="End view of the neck to scale with stripes and growth rings, bow of the neck "
                          "under string pull, and six gauges with their 90 % bands")
    with_strip(live, LessonNeck(model.defaults, kept_by(model.build), model.cannot))
    return with_stripes(live, lambda: model.build(live.subject, **live.values))
