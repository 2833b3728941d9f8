"""Predictions and questions of the attack lesson; outcomes and right answers are computed when they are asked for."""

import numpy as np

from tonewood.lesson.first_moment.figure import defaults
from tonewood.lesson.first_moment.model import found, note_name, strings
from tonewood.lesson.first_moment.pair import FLEXIBLE, NECKS, STIFF, most_different
from tonewood.lesson.first_moment.sounds import TRIALS
from tonewood.lesson.first_moment.verdicts import HARD_PLACE, sizes, tension
from tonewood.panel.questions import ask, ask_number, predict
from tonewood.sound.blind import needed, score
from tonewood.sound.glide import tension_glide
from tonewood.sound.partials import speaking_string


def guess_give():
    """Prediction: how much of a hard stroke's pitch glide a flexible neck swallows."""
    def outcome(_):
        t = tension()
        return (f"Computed for a limba neck, hard stroke, open strings: the glide is {t.glide.min():.1f} to {t.glide.max():.1f} cents and the neck takes "
                f"{100 * t.share[FLEXIBLE].min():.1f} to {100 * t.share[FLEXIBLE].max():.1f} % of it; a wenge neck takes {100 * t.share[STIFF].min():.1f} to {100 * t.share[STIFF].max():.1f} %.")
    return predict("A string plucked hard is stretched and starts sharp. A flexible neck gives with it and takes away of that sharpness …", ["about half", "about a tenth", "about a hundredth"], outcome)


def guess_bigger():
    """Prediction: which change is the largest."""
    labels = {"the neck: one piece of limba instead of one piece of wenge": "one piece of wenge to one piece of limba", "the pick: one centimetre nearer the bridge": "pick moved by 10 mm",
              "the lay-up: one piece instead of seven stripes": "seven stripes to one piece"}

    def outcome(_):
        by = {s.change: s for s in sizes()}
        return "Computed, change in the balance of the first ten harmonics, middle of 36 notes: " + "; ".join(f"{words} {by[change].balance:.2f} dB" for words, change in labels.items()) + "."
    return predict("Which of these changes the first fifth of a second most?", list(labels), outcome)


def guess_score():
    """Prediction: the learner's own score in the blind test."""
    least = needed(TRIALS)

    def outcome(_):
        return (f"A guesser gets {least} or more right of {TRIALS} in {100 * score(least, TRIALS).probability:.1f} of 100 such tests, which is why {least} are needed to say that you heard "
                f"something; 8 or more come about by guessing in {100 * score(8, TRIALS).probability:.0f} of 100. Take the test under Slide.")
    return predict(f"A blind test of {TRIALS} trials, an ordinary run of notes, wenge neck against limba neck. I shall be right …",
                   [f"about {TRIALS // 2} times, as by guessing", "8 or 9 times", f"{least} times or more"], outcome)


def answer_nine():
    """Question: what nine right of twelve show."""
    labels = {"that the difference is heard": "Nine or more come about by guessing more often than one time in twenty.",
              "nothing yet, either way": "Guessing does as well too often, and hearing is not excluded either.",
              "that there is no difference to hear": "A failed test never shows that; look how wide the interval of possible hit rates is."}

    def right():
        nine = score(9, TRIALS)
        return list(labels)[0] if nine.heard else list(labels)[1] if nine.high > 0.5 else list(labels)[2]
    nine = score(9, TRIALS)
    return ask(f"An apprentice is right in 9 of {TRIALS} trials. What does that show?", labels, right, f"How often does guessing get 9 or more right of {TRIALS}? Passing was fixed at 5 of 100.",
               f"Guessing reaches 9 or more in {100 * nine.probability:.1f} % of tests, more than 5 %, so nothing is shown. The true hit rate may be anything from {100 * nine.low:.0f} to {100 * nine.high:.0f} %.")


def answer_glide():
    """Question: how the glide grows with the pull."""
    def cents(pull):
        return float(tension_glide(speaking_string(strings(), 0), 1e-3 * pull, HARD_PLACE).cents_mean)
    half = cents(1.5)
    return ask_number(f"The open low E, pulled 1.5 mm at {1e3 * HARD_PLACE:.0f} mm from the bridge, starts {half:.1f} cents sharp. How sharp does it start when pulled 3 mm, in cents?", lambda: cents(3.0),
                      "", 0.8, "The string gets longer with the square of the pull.", f"Twice the pull, four times the stretch, four times the tension rise: {cents(3.0):.1f} cents.",
                      slips=[(lambda: 2 * half, "That is twice; the stretch does not grow in proportion to the pull."), (lambda: 8 * half, "Too much: the stretch goes with the square, not the cube.")])


def answer_dull_note():
    """Question: what helps one note that dies away early."""
    string, fret = most_different()
    labels = {"new strings": "They were new already in this calculation; old ones would make it fall faster still.", "a harder stroke": "Harder is louder, but the fall is the same number of dB.",
              "a neck 2 mm deeper": "The neck's mode moves up and away from this note, towards another one."}
    base = {**defaults(), **NECKS[FLEXIBLE], "string": string, "fret": float(fret), "age": 0.0}

    def fall(**changes):
        return float(found(**{**base, **changes}).fall200)

    def right():
        return list(labels)[int(np.argmin([fall(), fall(strength=3.0), fall(depth=22.5)]))]
    return ask(f"{note_name(string, fret)} on the limba neck (string {string}, fret {fret}) falls by {fall():.1f} dB from 5 to 200 ms. Which change helps this note?", labels, right,
               "Set the neck above: one piece of limba, this string and fret. Then try each change and read the fall.",
               f"2 mm deeper the fall is {fall(depth=22.5):.1f} dB: the neck's mode has moved on, to another note. Pulled harder the fall stays {fall(strength=3.0):.1f} dB.")
