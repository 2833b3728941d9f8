"""Predictions and questions about one board; outcomes and right answers are computed when asked for."""

from __future__ import annotations

from tonewood.bench import measure
from tonewood.bench.knowledge import after, from_tables
from tonewood.lesson.one_board.by_hand import TYPICAL
from tonewood.lesson.one_board.model import defaults, plain_board
from tonewood.lesson.one_board.rack import billet, billet_fits
from tonewood.panel.questions import Prediction, Question, ask, ask_number, lowest, predict
from tonewood.wood.facts import rule
from tonewood.wood.species import species


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
    return predict("You know the wood. Now you weigh the board. How much of the uncertainty about its "
                   "stiffness is left?",
                   ["about a tenth", "about half", "about four fifths"], outcome)


def guess_bend() -> Prediction:
    """Prediction: what bending tells."""
    def outcome(_: object) -> str:
        left = 100 * _left("hard maple", modulus=13e9)
        return f"Computed for hard maple: {left:.0f} % is left after one careful bend good to 3 %."
    return predict("And when you bend it over two supports with a known weight and a dial gauge?",
                   ["about a fifth", "about half", "nearly all of it"], outcome)


def guess_books() -> Prediction:
    """Prediction: how far printed sources disagree."""
    def outcome(_: object) -> str:
        low, high = species("wenge").modulus_band
        return ("Computed from the sources read: the stiffest figure for wenge is "
                f"{100 * (high / low - 1):.0f} % above the softest.")
    return predict("Two printed sources give the stiffness of wenge. How far apart are the lower and the "
                   "higher?", ["2 %", "10 %", "25 %"], outcome)


def answer_density() -> Question:
    """Question: density of the billet."""
    b = billet()
    return ask_number(
        "What is the density of the billet, in kg/m³?", lambda: b.density, "", 10,
        "Weight in kilograms over length × width × thickness in metres.",
        f"{b.mass:.3f} kg ÷ ({' × '.join(f'{v:g}' for v in b.sizes.values())} m³) = {b.density:.0f} kg/m³.",
        slips=[(lambda: b.density / 1000,
                "That is the same in grams per cubic centimetre; kg/m³ is a thousand times that."),
               (lambda: b.density / 1.12,
                "Nearly: you divided by 1.12. That would be the density without its water at 12 %; here the "
                "billet as it lies there is asked.")])


def answer_stiffness() -> Question:
    """Question: modulus of the billet from its tap tone."""
    b = billet()
    slender = 1e-9 * measure.slender_tap_modulus(b.mass, b.tone, **b.sizes)
    length, width, thickness = b.sizes.values()
    return ask_number(
        "Its stiffness along the grain by the tap, in GPa, shear of wood included?",
        lambda: 1e-9 * b.tapped, "", 0.3,
        "0.9465 × mass × tone² ÷ width × (length ÷ thickness)³, then times 1 + (thickness ÷ length)² × (4.12 "
        "+ 1.23 × E/G), with E/G about 13.6.",
        f"Slender-bar formula {slender:.1f} GPa, times {measure.wood_factor(thickness / length):.3f} for "
        f"shear and rotation: {1e-9 * b.tapped:.1f} GPa.",
        slips=[(lambda: slender,
                "That is the slender-bar value; wood shears easily, so the factor is still missing."),
               (lambda: slender * (thickness / width) ** 2,
                "Thickness and width are exchanged: thickness is the way it bends when tapped."),
               (lambda: 1e-9 * b.modulus,
                "That is what a slow bend would give, a tenth less; here the tap's own value is asked.")])


def answer_exclude() -> Question:
    """Question: which wood the billet cannot be."""
    labels = {
        "wenge": "It fits: weight and tone both lie where many of its boards lie.",
        "ovangkol": "It fits; stiff for its weight, as this billet.",
        "Indian rosewood": "As heavy, but its boards are far softer than this billet.",
        "purpleheart": "It fits, though most of its boards are a little lighter."}

    share = {fit.species.name: fit.share for fit in billet_fits()}
    out = min(labels, key=share.get)

    def right() -> dict[str, bool]:
        return {name: share[name] < 0.05 for name in labels}
    return ask(
        "A friend names four woods for the billet. Which one do weight and tone rule out?", labels, right,
        "Work out density and stiffness, then look where they fall on the map above for each of the four.",
        f"The density suits all four. The stiffness, {1e-9 * billet().modulus:.0f} GPa as a slow bend would "
        f"give it, lies outside what {out} boards reach: theirs lie around "
        f"{1e-9 * species(out).modulus:.0f} GPa.")


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
