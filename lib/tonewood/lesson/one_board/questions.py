"""Predictions and questions about one board; outcomes and right answers are computed when asked for."""

from __future__ import annotations

from tonewood.bench import measure
from tonewood.bench.knowledge import after, from_tables
from tonewood.lesson.one_board.by_hand import TYPICAL
from tonewood.lesson.one_board.model import defaults, plain_board
from tonewood.panel.questions import Prediction, Question, ask, ask_number, lowest, nearest, predict
from tonewood.wood.facts import rule
from tonewood.wood.species import species

BAND = 0.90
"""Share of boards that a band holds."""


def _left(wood: str, **read: float) -> float:
    """Share of the tables' uncertainty in stiffness that is left."""
    known = from_tables(plain_board(**{**defaults(), "wood": species(wood).key}))
    return after(known, **read).spread[0] / known.spread[0]


def guess_weigh() -> Prediction:
    """Prediction: what weighing tells about stiffness."""
    def outcome(_: object) -> str:
        left = 100 * _left("hard maple", density=700.0)
        return (f"Computed for hard maple: {left:.0f} % of the uncertainty in stiffness is left after "
                "weighing. Weight tells something about stiffness, not much (correlation "
                f"{rule('correlation_density_modulus').value:g} inside a wood, from memory).")
    sizes = {"about a tenth": 0.1, "about half": 0.5, "about four fifths": 0.8}
    return predict("You know the wood. Now you weigh the board. How much of the uncertainty about its "
                   "stiffness is left?", list(sizes), outcome,
                   right=lambda: nearest(sizes, _left("hard maple", density=700.0)))


def guess_bend() -> Prediction:
    """Prediction: what bending tells."""
    def outcome(_: object) -> str:
        left = 100 * _left("hard maple", modulus=13e9)
        return f"Computed for hard maple: {left:.0f} % is left after one careful bend good to 3 %."
    sizes = {"about a fifth": 0.2, "about half": 0.5, "nearly all of it": 0.95}
    return predict("And when you bend it over two supports with a known weight and a dial gauge?",
                   list(sizes), outcome, right=lambda: nearest(sizes, _left("hard maple", modulus=13e9)))


def guess_books() -> Prediction:
    """Prediction: how far printed sources disagree."""
    low, high = species("wenge").modulus_band
    sizes = {"2 %": 2.0, "10 %": 10.0, "25 %": 25.0}

    def outcome(_: object) -> str:
        return ("Computed from the sources read: the stiffest figure for wenge is "
                f"{100 * (high / low - 1):.0f} % above the softest.")
    return predict("Two printed sources give the stiffness of wenge. How far apart are the lower and the "
                   "higher?", list(sizes), outcome,
                   right=lambda: nearest(sizes, 100 * (high / low - 1)))


def answer_outside() -> Question:
    """Question: how many boards lie outside a 90 % band."""
    return ask_number(
        "You buy 40 boards of hard maple. How many of them do you expect outside the band on the gauge, "
        "above and below together?", lambda: 40 * (1 - BAND), "boards", 0.5,
        "The band holds 90 of 100 such boards.",
        f"One in ten: {40 * (1 - BAND):.0f} of 40, about as many above as below.",
        slips=[(lambda: 40 * (1 - BAND) / 2, "So many lie above it; as many again lie below."),
               (lambda: 40 * BAND, "So many lie inside it.")])


def answer_narrow() -> Question:
    """Question: what narrows the band of the board in hand most."""
    labels = {
        "a second book that gives the same mean":
            "It makes the wood's mean surer; your board still scatters about it.",
        "weighing it": "It tells much about density and a little about stiffness.",
        "bending it": "It reads the stiffness of this very board, to about 3 %.",
        "buying ten more boards of it": "They tell what such boards are like, not what this one is."}

    def right() -> dict[str, bool]:
        left = {"weighing it": _left("hard maple", density=700.0), "bending it": _left("hard "
                                                                                       "maple", modulus=13e9)}
        return lowest({label: left.get(label, 1.0) for label in labels})
    return ask("What narrows the band of stiffness of the one board in your hand most?", labels, right,
               "Is the band about woods, or about boards?",
               f"Bending leaves {100 * _left('hard maple', modulus=13e9):.0f} % of it, weighing "
               f"{100 * _left('hard maple', density=700.0):.0f} %; a book or more boards leave all of it.")


def answer_error() -> Question:
    """Question: which reading deserves the most care."""
    labels = {
        "the weight of the jug":
            "A kitchen scale is good to a few grams in ten kilograms, and it counts only once.",
        "the thickness of the board":
            "It counts three times over, and a planed board is not even to better than a tenth of a "
            "millimetre.",
        "the width of the board": "It counts once."}

    def right() -> dict[str, bool]:
        names = zip(("load", "thickness", "width"), labels, strict=True)
        return lowest({label: -measure.uncertainty("bend", **{name: TYPICAL[name]}) for name, label in names})
    return ask("You bend a board. Which reading deserves the most care?", labels, right,
               "Which reading enters with the third power?",
               "1 % in the thickness is 3 % in the stiffness: measure it at five places and take the mean.")
