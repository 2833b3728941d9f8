"""Predictions and questions of the attack lesson; outcomes and right answers are computed when they are asked
for."""

from __future__ import annotations

import numpy as np

from tonewood.lesson.first_moment.by_hand import HARD
from tonewood.lesson.first_moment.model import found
from tonewood.lesson.first_moment.pair import FLEXIBLE, STIFF, most_different
from tonewood.lesson.first_moment.sounds import GUESS, TRIALS, power_said
from tonewood.lesson.first_moment.verdicts import CENTIMETRE, ONE_PIECE, WOOD, sizes, tension
from tonewood.lesson.shared.notes_played import note
from tonewood.lesson.shared.shop import NECK_12
from tonewood.panel.controls import slider
from tonewood.panel.questions import Prediction, Question, ask, ask_number, nearest, predict
from tonewood.sound.blind import needed, score
from tonewood.sound.glide import tension_glide


def guess_give() -> Prediction:
    """Prediction: how much of a hard stroke's pitch glide a flexible neck swallows."""
    shares = {"about half": 0.5, "about a tenth": 0.1, "about a hundredth": 0.01}

    def outcome(_: str) -> str:
        t = tension()
        return (f"Computed for a limba neck, hard stroke, open strings: the glide is {t.glide.min():.1f} to "
                f"{t.glide.max():.1f} cents and the neck takes {t.percent(FLEXIBLE)} of it; a wenge neck "
                f"takes {t.percent(STIFF)}.")
    return predict("A string plucked hard is stretched and starts sharp. A flexible neck gives with it and "
                   "takes away of that sharpness …", list(shares), outcome,
                   right=lambda: nearest(shares, float(np.median(tension().share[FLEXIBLE]))))


CHANGES = {"the neck: one piece of limba instead of one piece of wenge": WOOD,
           "the pick: one centimetre nearer the bridge": CENTIMETRE,
           "the lay-up: one piece instead of seven stripes": ONE_PIECE}
MEASURES = {"balance": ("the balance of the first ten harmonics", "on the middle one of 36 notes, by"),
            "tenth": ("the fall from 5 to 200 ms", "on the tenth of the notes it changes most, by more than")}
"""What a change is measured by and on which notes, in words, by the field of verdicts.Size."""


def largest(measure: str) -> str:
    """The label of the change that is largest by one measure."""
    by = {s.change: s for s in sizes()}
    return max(CHANGES, key=lambda words: getattr(by[CHANGES[words]], measure))


def _guess(measure: str) -> Prediction:
    what, how = MEASURES[measure]
    where = how.split(", by")[0]

    def outcome(_: str) -> str:
        by = {s.change: s for s in sizes()}
        told = "; ".join(f"{words} {getattr(by[change], measure):.2f} dB"
                         for words, change in CHANGES.items())
        return f"Computed, change of {what}, {how}: {told}."
    return predict(f"Which of these changes {what} most, {where}?", list(CHANGES), outcome,
                   right=lambda: largest(measure))


def guess_bigger() -> Prediction:
    """Prediction: which change is the largest by the balance of harmonics."""
    return _guess("balance")


def guess_fall() -> Prediction:
    """Prediction: which change is the largest by the fall of the few most changed notes."""
    return _guess("tenth")


def guess_score() -> Prediction:
    """Prediction: the learner's own score in the blind test."""
    least = needed(TRIALS)

    def outcome(_: str) -> str:
        ten, eight = (100 * score(right, TRIALS).probability for right in (least, 8))
        return (f"A guesser gets {least} or more right of {TRIALS} in {ten:.1f} of 100 such tests, which "
                f"is why {least} are needed to say that you heard something; 8 or more come about by "
                f"guessing in {eight:.0f} of 100. Take the test under Slide (two necks, a run of notes); at "
                "its end you are told, there and here, whether your guess was right, to within one.")
    return predict(GUESS, slider("Right answers", TRIALS // 2, 0, TRIALS, 1, "",
                                 f"a guesser gets {TRIALS // 2} in the middle of many tests"),
                   outcome, within=1.0)


def answer_nine() -> Question:
    """Question: what nine right of twelve show."""
    labels = {
        "that the difference is heard": "Nine or more come about by guessing more often than one time "
                                        "in twenty, the limit fixed before.",
        "nothing yet, either way": "Guessing does as well too often, and hearing is not excluded either.",
        "that there is no difference to hear": "A failed test never shows that; look how wide the interval "
                                               "of possible hit rates is."}
    nine = score(9, TRIALS)
    return ask(f"An apprentice is right in 9 of {TRIALS} trials. What does that show?", labels,
               lambda: list(labels)[0 if nine.heard else 1 if nine.high > 0.5 else 2],
               f"How often does guessing get 9 or more right of {TRIALS}? Passing was fixed at 5 of 100.",
               f"Guessing reaches 9 or more in {100 * nine.probability:.1f} % of tests, more than 5 %, so "
               f"nothing is shown. The true hit rate may be anything from {100 * nine.low:.0f} to "
               f"{100 * nine.high:.0f} %. {power_said(TRIALS)}")


def answer_glide() -> Question:
    """Question: how the glide grows with the pull."""
    def cents(pull: float) -> float:
        return float(tension_glide(note(NECK_12, 6, 0).line(), 1e-3 * pull, 1e-3 * HARD["pick"]).cents_mean)
    half = cents(1.5)
    return ask_number(
        f"The open low E, pulled 1.5 mm at {HARD['pick']:.0f} mm from the bridge, starts {half:.1f} cents "
        "sharp. How sharp does it start when pulled 3 mm, in cents?", lambda: cents(3.0), "cents", 0.06,
        "The string gets longer with the square of the pull.",
        f"Twice the pull, four times the stretch, four times the tension rise: {cents(3.0):.1f} cents.",
        slips=[(lambda: 2 * half, "That is twice; the stretch does not grow in proportion to the pull."),
               (lambda: 8 * half, "Too much: the stretch goes with the square, not the cube.")],
        relative=True)


def answer_dull_note() -> Question:
    """Question: what helps one note that dies away early."""
    worst = most_different(FLEXIBLE)
    labels = {
        "new strings": "They were new already in this calculation; old ones would make it fall faster still.",
        "a harder stroke": "Harder is louder, but the fall is the same number of dB.",
        "a neck 2 mm deeper": "The neck's mode moves up and away from this note, towards another one."}
    place = {"string": worst.string, "fret": float(worst.fret)}
    now, harder, deeper = (float(found(worst.design, **place, **changes).fall200)
                           for changes in ({}, {"strength": 3.0}, {"depth": 22.5}))
    return ask(f"{worst.name} on the limba neck (string {worst.string}, fret {worst.fret}) falls by "
               f"{now:.1f} dB from 5 to 200 ms. Which change helps this note?", labels,
               lambda: list(labels)[int(np.argmin([now, harder, deeper]))],
               "Set the neck above: one piece of limba, this string and fret. Then try each change and read "
               "the fall.",
               f"2 mm deeper the fall is {deeper:.1f} dB: the neck's mode has moved on, to another note. "
               f"Pulled harder the fall stays {harder:.1f} dB.")
