"""Predictions and questions of the grain lesson; outcomes and right answers are computed when asked for."""

from __future__ import annotations

import numpy as np

from tonewood.lesson.grain.model import across, along, moisture_change, moves
from tonewood.lesson.grain.verdicts import ONE_IN_15
from tonewood.panel.questions import Prediction, Question, ask, ask_number, nearest, predict
from tonewood.wood.species import species

MAPLE = "hard maple"


def guess_run_out() -> Prediction:
    """Prediction: what 1 in 15 costs."""
    left = [100 * (1 - along(species(MAPLE).elastic, ring, ONE_IN_15, 0.0)) for ring in (0, 90)]
    sizes = {"about 1 %": 1.0, "about 4 %": 4.0, "about 15 %": 15.0, "about 30 %": 30.0}

    def outcome(_: object) -> str:
        return f"Computed for {MAPLE}: {left[0]:.1f} % flat-sawn, {left[1]:.1f} % quarter-sawn."
    return predict("The grain runs out of the face by 1 in 15. How much stiffness along the neck does that "
                   "cost?", list(sizes), outcome, right=lambda: nearest(sizes, sum(left) / 2))


def guess_turn() -> Prediction:
    """Prediction: turning the rings of a straight-grained board."""
    flat, quarter = (along(species(MAPLE).elastic, ring, 0.0, 0.0) for ring in (0, 90))
    wide = [abs(moves(species(MAPLE), ring, moisture_change(30.0))[0]) for ring in (0, 90)]
    changes = {"stiffness along the neck": abs(quarter / flat - 1),
               "movement in width": abs(wide[1] / wide[0] - 1), "weight": 0.0}

    def outcome(_: object) -> str:
        return (f"Computed for {MAPLE}: stiffness along the board changes by "
                f"{100 * abs(quarter / flat - 1):.1f} %, the change in width from {wide[0]:.2f} to "
                f"{wide[1]:.2f} mm.")
    return predict("Turn a straight-grained blank from flat-sawn to quarter-sawn. What changes most?",
                   list(changes), outcome, right=lambda: max(changes, key=changes.__getitem__))


def guess_rift() -> Prediction:
    """Prediction: squeezing a rift-sawn softwood."""
    labels = ["more than either of the others", "something in between", "less than either of the others"]

    def found() -> list[float]:
        return [100 * across(species("Sitka spruce").elastic, ring, 0.0, 0.0)[1] for ring in (0, 45, 90)]

    def outcome(_: object) -> str:
        flat, rift, quarter = found()
        return (f"Computed for Sitka spruce, in % of the stiffness along the grain: flat-sawn {flat:.1f}, "
                f"rift {rift:.1f}, quarter-sawn {quarter:.1f}.")
    return predict("Squeeze a spruce block between its faces: rings flat, upright, or at 45°. The block at "
                   "45° gives …",
                   labels, outcome, right=lambda: labels[2 - sorted(found()).index(found()[1])])


def answer_angle() -> Question:
    """Question: run-out from a ruler."""
    return ask_number("On the side of a blank one grain line climbs 20 mm over a length of 250 mm. What is "
                      "the run-out, in degrees?", lambda: float(np.degrees(np.arctan(20 / 250))),
                      "°", 0.15, "Rise over run is the tangent of the angle.",
                      f"20 ÷ 250 = 0.08; the angle with that tangent is {np.degrees(np.arctan(0.08)):.1f}°, "
                      "about 1 in 12.5.",
                      slips=[(lambda: 20 / 250,
                              "That is the slope itself, or the angle in radians; turn it into degrees."),
                             (lambda: 8.0, "That is the slope in %, not in degrees.")])


def answer_width() -> Question:
    """Question: width change of a quarter-sawn blank."""
    def change(ring: float) -> float:
        return abs(moves(species("black cherry"), ring, moisture_change(30.0))[0])
    return ask_number("A 60 mm wide, quarter-sawn blank of black cherry goes from a 45 % shop to a 30 % "
                      "house. By how many millimetres does it get narrower?",
                      lambda: change(90), "mm", 0.03,
                      "Set it above, or: 60 mm × movement on the quarter × change of moisture.",
                      f"60 mm × {species('black cherry').swelling[1]:.3f} % per 1 % × "
                      f"{100 * abs(moisture_change(30.0)):.1f} % moisture = {change(90):.2f} mm.",
                      slips=[(lambda: change(0), "That is the flat-sawn blank."),
                             (lambda: 60 * 0.15 * species("black cherry").swelling[1],
                              "Moisture does not fall by 15 % when the humidity does: look at the curve of "
                              "lesson 02.")])


def answer_dive() -> Question:
    """Question: in which blank run-out costs more."""
    labels = {"the flat-sawn blank": "There the grain dives towards the ray, the stiffer way across.",
              "the quarter-sawn blank":
                  "There the grain dives along the rings' tangent, which is softer and shears more easily.",
              "both the same": "The plane in which the grain dives differs, and so do its constants."}

    left = flat, quarter = [along(species(MAPLE).elastic, ring, 4.0, 0.0) for ring in (0, 90)]

    def right() -> str:
        return "both the same" if abs(flat - quarter) < 1e-3 else list(labels)[int(quarter < flat)]
    return ask("Two hard maple blanks, both with 4° of run-out through the face. Which one loses more "
               "stiffness?", labels, right, "Set 4° above and turn the ring angle.",
               "Run-out in a quarter-sawn blank tilts the grain towards T, in a flat-sawn one towards R: 4° "
               f"cost {100 * (1 - left[1]):.1f} % there and {100 * (1 - left[0]):.1f} % here.")
