"""Prediction and questions of the opening lesson; outcomes and right answers are computed when asked for."""

from __future__ import annotations

from tonewood.lesson.start_here.model import WOOD, middle_band, share_above
from tonewood.panel.questions import Prediction, Question, ask, nearest, predict
from tonewood.wood.species import species


def guess_band() -> Prediction:
    """Prediction: how different two boards of one wood can be."""
    def outcome(_: object) -> str:
        low, _, high = middle_band()
        return (f"Computed from the scatter of the tables ({100 * species(WOOD).cov_modulus:.0f} %, "
                "estimated: middle of published lots, boards of one delivery), at 8 % moisture: 90 of 100 "
                f"boards of hard maple lie between {low:.1f} and {high:.1f} GPa, a ratio of "
                f"{high / low:.2f}.")
    sizes = {"5 %": 5.0, "20 %": 20.0, "60 %": 60.0, "200 %": 200.0}
    return predict("Take 100 boards of hard maple and set the 5 softest and 5 stiffest aside. The stiffest "
                   "left is stiffer than the softest left by about …", list(sizes), outcome,
                   right=lambda: nearest(sizes, 100 * (middle_band()[2] / middle_band()[0] - 1)))


def read_a_band() -> Question:
    """Question: what a 90 % band says."""
    low, _, high = middle_band()
    stiff = high + 0.2
    labels = {"it is impossible": "Five of 100 boards lie above the band.",
              "it happens, to fewer than one board in 20": "Five of 100 lie above the band, five below.",
              "the band is wrong": "One board outside a 90 % band is expected sooner or later."}

    def right() -> str:
        share = share_above(stiff)
        return list(labels)[0 if share == 0 else 1 if share < 0.06 else 2]
    return ask(f"The band runs from {low:.1f} to {high:.1f} GPa. Your board measures {stiff:.1f} GPa. What "
               "does that tell you?", labels, right, "How many of 100 boards fall outside a 90 % band?",
               "A band of 90 % leaves 5 boards of 100 above and 5 below.")


def which_number() -> Question:
    """Question: which number of a wood is the least sure."""
    wood = species("black walnut")
    labels = {"its density": "Published, and you can weigh the board.",
              "its movement on the quarter": "Published in a handbook table.",
              "its loss factor": "No source was read for it: a remembered relation with a wide band."}

    def right() -> str:
        rank = {"published": 0, "estimated": 1, "common practice": 2, "from memory": 3}
        facts = zip(labels, ("density", "movement_radial", "loss_factor"), strict=True)
        return max(facts, key=lambda pair: rank[wood.status(pair[1])])[0]
    return ask("Black walnut: which of its numbers should you trust least?", labels, right,
               "Look at the marks in the table above.",
               "The mark (m) means from memory, unverified: a loss factor of "
               f"{1000 * wood.loss.value:.0f} thousandths may be a factor {wood.loss.band:.1f} off either "
               f"way, while boards scatter in density by {100 * wood.cov_density:.0f} % only.")
