"""Predictions and questions of the bench lesson; outcomes and right answers are computed when asked for."""

from __future__ import annotations

from typing import Any

import numpy as np

from tonewood.draws import band, written
from tonewood.lesson.whole_neck.model import build, evaluated
from tonewood.neck.report.evaluation import even_stiffness
from tonewood.neck.section.section import regions
from tonewood.panel.questions import Prediction, Question, ask, ask_number, lowest, predict

ALL_MAPLE = {"main": "hard_maple", "accent": "hard_maple", "centre": "hard_maple"}


FELT = 2.0
"""Change in stiffness, %, below which two necks are called alike here; boards of one wood differ by more."""


def _stiffness(**changes: Any) -> float:
    return float(even_stiffness(build(**changes).neck()))


def _width_of_band(field: str, **changes: Any) -> float:
    low, _, high = band(getattr(evaluated(**changes)[1], field))
    return float(high - low)


def guess_quarter() -> Prediction:
    """Prediction: what turning the rings does to stiffness."""
    labels = ["clearly softer", "clearly stiffer", "no different in stiffness"]

    def change() -> float:
        return 100 * (_stiffness(ring_angle=0.0) / _stiffness(ring_angle=90.0) - 1)

    def outcome(_: object) -> str:
        return ("Computed: from quarter-sawn to flat-sawn, straight grain, the stiffness changes by "
                f"{abs(change()):.1f} %. Turn the ring angle below and see.")
    return predict("All stripes turned from quarter-sawn to flat-sawn, grain straight: the neck gets …",
                   labels, outcome,
                   right=lambda: labels[0 if change() < -FELT else 1 if change() > FELT else 2])


def guess_stripes() -> Prediction:
    """Prediction: what more stripes of one wood do."""
    labels = ["stiffer", "softer", "as stiff, but more alike from neck to neck"]

    def change() -> float:
        return 100 * (_stiffness(stripes=9, **ALL_MAPLE) / _stiffness(stripes=1, **ALL_MAPLE) - 1)

    def outcome(_: object) -> str:
        one, nine = (_width_of_band("relief_change", stripes=n, **ALL_MAPLE) for n in (1, 9))
        return (f"Computed, all hard maple: stiffness changes by {abs(change()):.1f} %; the spread of the "
                f"seasonal relief change shrinks to {100 * nine / one:.0f} % of that of one piece, the rest "
                "being the fretboard's.")
    return predict("One piece of hard maple against nine stripes of hard maple from nine trees: the "
                   "nine-stripe neck is …",
                   labels, outcome,
                   right=lambda: labels[0 if change() > FELT else 1 if change() < -FELT else 2])


def guess_season() -> Prediction:
    """Prediction: which way relief goes in a dry winter."""
    labels = ["rise", "fall", "nobody can tell from the names"]

    def share() -> float:
        return 100 * float(np.mean(evaluated()[1].relief_change > 0))

    def outcome(_: object) -> str:
        return (f"Computed for the start design, 45 % to 30 % humidity: relief rises in {share():.0f} of 100 "
                "such necks and falls in the others.")
    return predict("The client's home is dry in winter. From the names of the woods alone, relief will …",
                   labels, outcome, right=lambda: labels[0 if share() > 90 else 1 if share() < 10 else 2])


def answer_stiffness() -> Question:
    """Question: which change stiffens most."""
    labels = {
        "a wenge accent instead of maple, 2 mm each side": "Two thin stripes count by their small share of "
                                                           "the width.",
        "turning the rings to quarter-sawn": "Along the grain the ring angle makes no difference.",
        "two deep carbon bars": "They are about nine times as stiff as maple (modulus from memory), so even "
                                "near the axis they count."}

    changes = ({"accent": "wenge"}, {"ring_angle": 90.0},
               {"reinforcement": "two deep carbon bars (3 × 10 mm)"})

    def gain(label: str) -> float:
        changed = {**ALL_MAPLE, **changes[list(labels).index(label)]}
        return 100 * (_stiffness(**changed) / _stiffness(**ALL_MAPLE) - 1)

    def right() -> dict[str, bool]:
        return lowest({label: -gain(label) for label in labels})
    return ask("Hard maple neck, seven stripes. Which one change stiffens it most?", labels, right,
               "Try each one alone on the bench above and read the stiffness bar.",
               "Each piece counts by its modulus times its share of ∫z² about the stiffness axis: the bars "
               f"give {written(gain('two deep carbon bars'), 0, True)} %, the accent "
               f"{written(gain(list(labels)[0]), 0, True)} %, the rings "
               f"{written(gain(list(labels)[1]), 0, True)} %.")


def answer_origin() -> Question:
    """Question: where averaging comes from."""
    labels = {
        "seven stripes sawn from one board": "They share the board's fate: nearly as scattered as one piece.",
        "seven stripes from seven trees":
            "Independent boards average out, by about one over the square root of their number.",
        "one piece": "A single board keeps its whole scatter."}

    spreads = [_width_of_band("stiffness", origin="same board", **ALL_MAPLE),
               _width_of_band("stiffness", **ALL_MAPLE), _width_of_band("stiffness", stripes=1, **ALL_MAPLE)]

    def right() -> dict[str, bool]:
        return lowest(dict(zip(labels, spreads, strict=True)))
    return ask("All hard maple. Which neck's stiffness can you foretell best without measuring any board?",
               labels, right, "Change where the stripes come from and watch the width of the stiffness bar.",
               "Only independent boards average: with them the whole neck's band, fretboard included, is "
               f"{100 * spreads[1] / spreads[2]:.0f} % as wide as that of one piece, with stripes of one "
               "board "
               f"{100 * spreads[0] / spreads[2]:.0f} %. Better still: measure each board.")


def answer_weight() -> Question:
    """Question: grams saved by a lighter main wood."""
    def mass(**changes: Any) -> float:
        return 1e3 * float(np.median(evaluated(**changes)[1].mass))

    def right() -> float:
        return mass() - mass(main="mahogany")

    neck = build().neck()
    parts = regions(neck)
    volumes = 1e6 * np.trapezoid(parts.area, parts.x, axis=-1)
    wood, main = (sum(v for v, piece in zip(volumes, parts.piece, strict=True)
                      if 0 <= piece < len(neck.pieces) - 1 and neck.pieces[piece].species.key in which)
                  for which in ({piece.species.key for piece in neck.pieces}, {ALL_MAPLE["main"]}))
    lighter = (float(neck.pieces[0].rho) - float(build(main="mahogany").neck().pieces[0].rho)) / 1000
    return ask_number("How many grams does the start design lose, nut to last fret, when its main wood goes "
                      "from hard maple to mahogany?", right, "g", 0.25,
                      "Set both on the bench and subtract the middle values, or: difference in density × "
                      f"volume of the main stripes, {main:.0f} of the {wood:.0f} cm³ under the fretboard.",
                      f"{main:.0f} cm³ × {lighter:.3f} g/cm³ = {main * lighter:.0f} g, densities at the "
                      "shop's moisture.",
                      slips=[(lambda: 2 * right() + 60,
                              "Twice too much: did you count the whole blank before shaping?")],
                      relative=True)
