"""Predictions and questions about measuring a board; outcomes and right answers are computed when asked for.
"""

from __future__ import annotations

import numpy as np

from tonewood.bench import measure
from tonewood.draws import band
from tonewood.lesson.measure_a_board import model
from tonewood.lesson.measure_a_board.by_hand import band_left, read_as_middle
from tonewood.lesson.measure_a_board.rack import billet, billet_fits
from tonewood.lesson.shared.shop import NECK_12
from tonewood.panel.questions import Prediction, Question, ask, ask_number, nearest, predict
from tonewood.wood.facts import rule
from tonewood.wood.species import species


def guess_tap() -> Prediction:
    """Prediction: what weighing and tapping leave of the scatter of a board's stiffness."""
    shares = {"about a fifth": 0.2, "about half": 0.5, "about four fifths": 0.8}

    def left() -> float:
        (_, before), *_, (_, known) = model.stages(**read_as_middle("hard_maple"), weighed=True, tapped=True)
        return float(known.spread[0] / before.spread[0])

    def outcome(_: object) -> str:
        return (f"Computed for hard maple: {100 * left():.0f} % of the tables' scatter in stiffness is left. "
                "Most of what is left is no reading error but the step from a tap to a slow bend.")
    return predict("Five minutes with a kitchen scale, a caliper and a phone: you weigh a board and tap it. "
                   "How much of the uncertainty about its stiffness is left?", list(shares), outcome,
                   right=lambda: nearest(shares, left()))


def guess_neck() -> Prediction:
    """Prediction: what measured stripes leave of the scatter of the neck's stiffness."""
    shares = {"about a tenth": 0.1, "about a third": 1 / 3, "about three quarters": 0.75}

    def outcome(_: object) -> str:
        left, every = (100 * band_left(uses) for uses in (("all",), ("all", "fretboard")))
        return (f"Computed for neck No. 12 in hard maple: {left:.0f} % of the width of its band is left; the "
                f"fretboard lies far from the middle and was not measured. With it {every:.0f} % is left, "
                "most of that because nobody knows how far the fret tangs fill their slots.")
    return predict("You measure the board of all stripes with care, but not the fretboard. How much of the "
                   "uncertainty of the neck's stiffness is left?",
                   list(shares), outcome, right=lambda: nearest(shares, band_left(("all",))))


def answer_density() -> Question:
    """Question: density of the billet."""
    b = billet()
    return ask_number(
        "What is the density of the billet, in kg/m³?", lambda: b.density, "kg/m³", 0.01,
        "Weight in kilograms over length × width × thickness in metres.",
        f"{b.mass:.3f} kg ÷ ({' × '.join(f'{v:g}' for v in b.sizes.values())} m³) = {b.density:.0f} kg/m³.",
        slips=[(lambda: b.density / 1000,
                "That is the same in grams per cubic centimetre; kg/m³ is a thousand times that."),
               (lambda: b.density / 1.12,
                "Nearly: you divided by 1.12. That would be the density without its water at 12 %; here the "
                "billet as it lies there is asked.")], relative=True)


def answer_stiffness() -> Question:
    """Question: modulus of the billet from its tap tone."""
    b, ratio = billet(), rule("modulus_over_shear").value
    slender = 1e-9 * measure.slender_tap_modulus(b.mass, b.tone, **b.sizes)
    length, width, thickness = b.sizes.values()
    return ask_number(
        "Its stiffness along the grain by the tap, in GPa, shear of wood included?",
        lambda: 1e-9 * b.tapped, "GPa", 0.02,
        "0.9465 × mass × tone² ÷ width × (length ÷ thickness)³, then times 1 + (thickness ÷ length)² × (4.12 "
        f"+ 1.23 × E/G), with E/G about {ratio:.1f}.",
        f"Slender-bar formula {slender:.1f} GPa, times {measure.wood_factor(thickness / length):.3f} for "
        f"shear and rotation: {1e-9 * b.tapped:.1f} GPa.",
        slips=[(lambda: slender * (thickness / width) ** 2,
                "Thickness and width are exchanged: thickness is the way it bends when tapped."),
               (lambda: 1e-9 * b.modulus,
                "That is what a slow bend would give, a tenth less; here the tap's own value is asked.")],
        relative=True)


def answer_exclude() -> Question:
    """Question: which wood the billet cannot be."""
    labels = {"wenge": "As heavy, but its boards are far stiffer than this billet.",
              "Indian rosewood": "It fits: weight and tone both lie where many of its boards lie.",
              "pau ferro": "It fits well, though most of its boards are a little lighter.",
              "jarrah": "It fits, though most of its boards are lighter."}

    share = {fit.species.name: fit.share for fit in billet_fits()}

    def right() -> dict[str, bool]:
        return {name: share[name] < 0.05 for name in labels}
    out = min(labels, key=share.get)
    return ask(
        "A friend names four woods for the billet. Which one do weight and tone rule out?", labels, right,
        "Set the billet's readings in the figure above and try the four names: of which do hardly any boards "
        "lie so far off?",
        f"The density suits all four. The stiffness, {1e-9 * billet().modulus:.1f} GPa as a slow bend would "
        f"give it, lies outside what {out} boards reach: theirs lie around "
        f"{1e-9 * species(out).modulus:.0f} GPa.")


def answer_use() -> Question:
    """Question: what the billet would do to neck No. 12."""
    b = billet()
    rosewood = model.by_the_tables(NECK_12, "fretboard", NECK_12.fretboard.wood, 0.0, 0.0)
    top, main = (model.worked_with(NECK_12, use, b.wood(), b.ring_angle, 0.0)
                 for use in ("fretboard", "main"))

    def wide(found: object) -> float:
        return float(np.ptp(band(found.stiffness)))
    narrower = 1 - wide(top) / wide(rosewood)
    stiffer = float(np.mean(top.stiffness > rosewood.stiffness))
    heavier = 1e3 * float(np.median(main.mass) - np.median(rosewood.mass))
    labels = {
        "as its fretboard, and we know better how stiff the neck will be":
            f"The band of the neck's stiffness is {100 * narrower:.0f} % narrower than with a rosewood board "
            "nobody measured.",
        "as its fretboard, and the neck will surely be stiffer":
            f"It would be the stiffer one in {100 * stiffer:.0f} of 100 pairs of necks only.",
        "as its main stripes, and the neck stays as light":
            f"It would weigh {heavier:.0f} g more."}

    def right() -> dict[str, bool]:
        return dict(zip(labels, (narrower > 0.1, stiffer > 0.9, heavier < 10), strict=True))
    return ask("Ines asks for the billet in neck No. 12. What can you promise her?", labels, right,
               "Set the readings above, and “The board becomes” to its fretboard, then to its main "
               "stripes; mind the dashed frames.",
               "Density and stiffness are known now, so the neck's touch is known better than with a board "
               f"that has a name and no readings: the band of the neck's stiffness is {100 * narrower:.0f} % "
               "narrower. How it moves with the seasons, what its dust does to you, and whether it may cross "
               "a border stays as unknown as its name.")
