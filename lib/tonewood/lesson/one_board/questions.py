"""Predictions and questions of the one-board lesson; outcomes and right answers are computed when they are asked for."""

import numpy as np

from tonewood.bench import measure
from tonewood.bench.knowledge import after, from_tables
from tonewood.lesson.one_board.figure import plain_board, start
from tonewood.lesson.one_board.by_hand import TYPICAL, billet, billet_fits
from tonewood.panel.questions import ask, ask_number, predict
from tonewood.wood.facts import rule
from tonewood.wood.species import species


def _left(wood, **read):
    """Share of the tables' uncertainty in stiffness that is left."""
    known = from_tables(plain_board(**{**start(), "wood": species(wood).key}))
    return after(known, **read).spread[0] / known.spread[0]


def guess_weigh():
    """Prediction: what weighing tells about stiffness."""
    def outcome(_):
        left = 100 * _left("hard maple", density=700.0)
        return (f"Computed for hard maple: {left:.0f} % of the uncertainty in stiffness is left after weighing. Weight tells something about stiffness, not much "
                f"(correlation {rule('correlation_density_modulus').value:g} inside a wood, from memory).")
    return predict("You know the wood. Now you weigh the board. How much of the uncertainty about its stiffness is left?",
                   ["about a tenth", "about half", "about four fifths"], outcome)


def guess_bend():
    """Prediction: what bending tells."""
    def outcome(_):
        return f"Computed for hard maple: {100 * _left('hard maple', modulus=13e9):.0f} % is left after one careful bend good to 3 %."
    return predict("And when you bend it over two supports with a known weight and a dial gauge?", ["about a fifth", "about half", "nearly all of it"], outcome)


def guess_books():
    """Prediction: how far printed sources disagree."""
    def outcome(_):
        low, high = species("wenge").modulus_band
        return f"Computed from the sources read: the stiffest figure for wenge is {100 * (high / low - 1):.0f} % above the softest."
    return predict("Three printed sources give the stiffness of wenge. How far apart are the lowest and the highest?", ["2 %", "10 %", "30 %"], outcome)


def answer_density():
    """Question: density of the billet."""
    b = billet()
    volume = b.length * b.width * b.thickness
    return ask_number("What is the density of the billet, in kg/m3?", lambda: b.density, "", 10, "Weight in kilograms over length × width × thickness in metres.",
                      f"{b.mass:.3f} kg ÷ ({b.length:g} × {b.width:g} × {b.thickness:g} m3) = {b.density:.0f} kg/m3.",
                      slips=[(lambda: b.density / 1000, "That is the same in grams per cubic centimetre; kg/m3 is a thousand times that."),
                             (lambda: b.mass / volume / 1.12, "Nearly: you divided by 1.12. That would be the density without its water at 12 %; here the billet as it lies there is asked.")])


def answer_stiffness():
    """Question: modulus of the billet from its tap tone."""
    b = billet()
    slender = 1e-9 * measure.slender_tap_modulus(b.mass, b.tone, **b.sizes)
    slender_wide = slender * (b.thickness / b.width) ** 3 * b.width / b.thickness
    return ask_number("Its stiffness along the grain by the tap, in GPa, shear of wood included?", lambda: 1e-9 * b.tapped, "", 0.3,
                      "0.9465 × mass × tone² ÷ width × (length ÷ thickness)³, then times 1 + (thickness ÷ length)² × (4.12 + 1.23 × E/G), with E/G about 13.6.",
                      f"Slender-bar formula {slender:.1f} GPa, times {measure.wood_factor(b.thickness / b.length):.3f} for shear and rotation: {1e-9 * b.tapped:.1f} GPa.",
                      slips=[(lambda: slender, "That is the slender-bar value; wood shears easily, so the factor is still missing."),
                             (lambda: slender_wide, "Thickness and width are exchanged: thickness is the way it bends when tapped."),
                             (lambda: 1e-9 * b.modulus, "That is what a slow bend would give, a tenth less; here the tap's own value is asked.")])


def answer_exclude():
    """Question: which wood the billet cannot be."""
    labels = {"wenge": "It fits: weight and tone both lie where many of its boards lie.", "ovangkol": "It fits; stiff for its weight, as this billet.",
              "Indian rosewood": "As heavy, but its boards are far softer than this billet.", "purpleheart": "It fits, though most of its boards are a little lighter."}

    def right():
        share = {fit.species.name: fit.share for fit in billet_fits()}
        return min(labels, key=share.get)
    return ask("A friend names four woods for the billet. Which one do weight and tone rule out?", labels, right,
               "Work out density and stiffness, then look where they fall on the map above for each of the four.",
               f"The density suits all four. The stiffness, {1e-9 * billet().modulus:.0f} GPa as a slow bend would give it, lies outside what {right()} boards reach: "
               f"theirs lie around {1e-9 * species(right()).modulus:.0f} GPa.")


def answer_error():
    """Question: which reading deserves the most care."""
    labels = {"the weight of the jug": "A kitchen scale is good to a few grams in ten kilograms, and it counts only once.",
              "the thickness of the board": "It counts three times over, and a planed board is not even to better than a tenth of a millimetre.",
              "the width of the board": "It counts once."}

    def right():
        parts = [measure.uncertainty("bend", **{name: TYPICAL[name]}) for name in ("load", "thickness", "width")]
        return list(labels)[int(np.argmax(parts))]
    return ask("You bend a board. Which reading deserves the most care?", labels, right, "Which reading enters with the third power?",
               "1 % in the thickness is 3 % in the stiffness: measure it at five places and take the mean.")
