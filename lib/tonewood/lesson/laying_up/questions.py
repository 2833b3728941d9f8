"""Predictions and questions of the lay-up lesson; outcomes and right answers are computed when asked for."""

from __future__ import annotations

import numpy as np

from tonewood.draws import written
from tonewood.lesson.laying_up import model
from tonewood.lesson.laying_up.by_hand import accent_by_hand
from tonewood.lesson.laying_up.model import MANY, MAPLE, evaluated, scatter, straight
from tonewood.lesson.shared.shop import NECK_12
from tonewood.panel.controls import slider
from tonewood.panel.questions import Prediction, Question, ask, ask_number, lowest, nearest, predict
from tonewood.wood.spread import mean_keeping_factor

TURNS = {"about z": "end for end on the bench", "about x": "rolled over, same end to the nut",
         "about y": "rolled over and end for end"}


def guess_turn() -> Prediction:
    """Prediction: which turn of the second stripe leaves no twist. Opens the figure."""
    def found() -> dict[str, float]:
        pair = model.equal_stripes(2, run_out=3.0, slope=1.0)
        lain = {words: model.with_turns(pair, f"every second {turn}") for turn, words in TURNS.items()}
        return {words: abs(1e3 * straight(design).twist_across) for words, design in lain.items()}

    def outcome(_: str) -> str:
        told = ", ".join(f"{words} {v:.2f} mm" for words, v in found().items())
        return ("Computed, twist across the last fret from shop to home with 3° of run-out and 1° of slope: "
                f"{told}.")
    return predict("Two stripes from one board, the grain diving 3° and leaving the line by 1°. You turn one "
                   "of them before glue-up so that the neck will not twist in winter. Turn it …",
                   list(TURNS.values()), outcome,
                   right=lambda: min(left := found(), key=left.__getitem__))


def guess_scatter() -> Prediction:
    """Prediction, a number: how far seven stripes narrow the scatter of the stripes alone."""
    def left(field: str) -> float:
        one, seven = (scatter(getattr(evaluated(MANY, **MAPLE, stripes=n), field)) for n in (1, 7))
        return 100 * seven / one

    def outcome(_: float) -> str:
        alone, whole = left("stripes_stiffness"), left("stiffness")
        return (f"Computed: the stripes alone keep {alone:.0f} % of the scatter of one piece. With the "
                f"fretboard on, the whole neck keeps {whole:.0f} %: the fretboard is one board and is not "
                "averaged.")
    return predict("One piece of hard maple against seven maple stripes from seven trees. How much of the "
                   "one-piece scatter in stiffness is left in the stripes, before the fretboard goes on?",
                   slider("What is left of the scatter", 70, 0, 100, 5, "%",
                          "100 is no gain, 0 is no scatter at all"), outcome,
                   right=lambda: left("stripes_stiffness"), within=7.5)


def guess_accent() -> Prediction:
    """Prediction: what two thin dark stripes do to the stiffness."""
    sizes = {"1 to 2 %": 1.5, "5 %": 5.0, "10 %": 10.0, "20 %": 20.0}

    def outcome(_: str) -> str:
        found = accent_by_hand()
        alone, whole = (written(100 * gain, 1, sign=True) for gain in (found.stripes_alone, found.whole))
        return f"Computed: the stripes alone {alone} %, the whole neck {whole} %."
    return predict("Two wenge accents of 2 mm take the place of maple in a seven-stripe neck. The whole neck "
                   "gets stiffer by about …", list(sizes), outcome,
                   right=lambda: nearest(sizes, 100 * accent_by_hand().whole))


def answer_foretold() -> Question:
    """Question: which stripes alone can be foretold best."""
    labels = {"seven stripes sawn from one board":
                  "They share the board's fate; seven of them say little more than one.",
              "seven stripes from seven trees, none measured":
                  "They average out well, but what is left is still more than a bending test leaves open.",
              "one piece, bent over two sticks and measured to 3 %":
                  "A test of the very board beats any averaging, whatever the number of stripes."}

    def right() -> dict[str, bool]:
        error = NECK_12.neck().pieces[0].modulus_error
        measured = np.std(mean_keeping_factor(np.random.default_rng(1).standard_normal(MANY), error))
        spreads = [scatter(evaluated(MANY, **MAPLE, origin=origin).stripes_stiffness)
                   for origin in ("same board", "different trees")]
        return lowest(dict(zip(labels, [*spreads, measured], strict=True)))
    return ask("Which of these, all hard maple, can you foretell best before the fretboard goes "
               "on?", labels, right,
               "Compare the scatter of seven stripes in the text above with 3 %.",
               "14 % ÷ √(effective number) is still above 5 % for seven stripes; a careful bending test is "
               "good to 3 %.")


def answer_root() -> Question:
    """Question, a number: the square-root rule for five equal stripes."""
    board = 100 * NECK_12.neck().pieces[0].species.cov_modulus
    return ask_number(
        f"Boards scatter by {board:.0f} %. Five equally wide stripes from five trees, side by side: by how "
        "many per cent do such blanks scatter?", lambda: board / np.sqrt(5), "%", 0.4,
        "Independent boards average out by one over the square root of their number, not by one over their "
        "number.", f"{board:.0f} % ÷ √5 = {board / np.sqrt(5):.1f} %.",
        slips=[(lambda: board / 5, "That divides by the number; chance evens out more slowly, by its square "
                "root."), (lambda: board, "That is the scatter of one piece.")])


def answer_middle() -> Question:
    """Question: which stripe of a mirrored seven-stripe neck must be the straightest."""
    labels = {"the two outer ones": "They are a mirrored pair: what one twists, the other untwists.",
              "the thin accents": "They are a mirrored pair, and thin.",
              "the middle one": "It has no partner that could undo what it does."}

    neck = model.build(arrangement="mirrored pairs", run_out=2.0, slope=2.0)
    before, *left = [abs(1e3 * straight(design).twist_across) for design in (neck, *(
        model.with_stripe(neck, places, run_out=0.0, slope=0.0) for places in ((0, 6), (1, 5), (3,))))]

    def right() -> dict[str, bool]:
        return lowest(dict(zip(labels, left, strict=True)))
    return ask("No. 12 is glued up in mirrored pairs, and every stripe slants by 2° both ways. You may swap "
               "some for straight ones. Which stripes do most against twist?", labels, right,
               "Set mirrored pairs and a slope above, then compare 6, 7 and 8 stripes.",
               "A pair cancels its own twist; an odd number leaves the middle stripe alone, so the "
               "straightest piece goes there. The twist across the last fret goes from "
               f"{before:.2f} mm to {left[2]:.2f} mm with a straight middle stripe, to {left[0]:.2f} mm with "
               "straight outer ones.")
