"""Predictions and questions of lesson 10; outcomes and right answers are weighed when they are asked for."""

from __future__ import annotations

import numpy as np

from tonewood.brief.balance import pull_of_10_grams, strap_balance
from tonewood.draws import written
from tonewood.lesson.weight_and_balance.model import defaults, instrument, middle, moved, part_of
from tonewood.panel.controls import slider
from tonewood.panel.questions import Prediction, Question, ask, ask_number, lowest, predict
from tonewood.wood.facts import rule


def guess_remedy() -> Prediction:
    """Prediction: what gives No. 12 the most margin on a strap."""
    def outcome(_: str) -> str:
        told = "; ".join(f"{name} {written(gain, 0, sign=True)} mm" for name, gain in remedies().items())
        return f"Weighed, margin on the strap: {told}."

    return predict("No. 12 hangs from its strap with little margin before the head goes down. Which gives it "
                   "the most?", list(_MOVES), outcome,
                   right=lambda: max(gains := remedies(), key=gains.__getitem__))


_MOVES = {"a neck of Spanish cedar in place of hard maple": {"main": "spanish_cedar"},
          "tuners 10 g lighter each": {"tuner": -10.0},
          "the front strap button 30 mm nearer the nut": {"button": -30.0},
          "a body 5 mm thicker": {"thickness": 5.0}}


def remedies(who: str = "no_12") -> dict[str, float]:
    """What each move adds to the margin, mm."""
    start, base = defaults(who), moved(who).strap.margin
    found = {}
    for name, move in _MOVES.items():
        now = {k: v if isinstance(v, str) else start[k] + v for k, v in move.items()}
        found[name] = 1e3 * middle(moved(who, **now).strap.margin - base)
    return found


def guess_share() -> Prediction:
    """Prediction: how much of the weight is the neck with its head."""
    def neck_mass() -> float:
        return sum(middle(part_of(moved(), name).mass) for name in ("neck with fretboard", "headstock"))

    def outcome(_: float) -> str:
        neck, whole = neck_mass(), middle(moved().mass)
        return (f"Weighed: {neck:.2f} of {whole:.2f} kg, {100 * neck / whole:.0f} %. "
                "Its lever makes it felt more than its weight.")

    return predict("How much of No. 12's weight is the neck from head to last fret, fretboard and rod with "
                   "it, tuners and strings without?",
                   slider("Share of the weight", 30, 0, 100, 1, "%"), outcome,
                   right=lambda: 100 * neck_mass() / middle(moved().mass), within=3.0)


def answer_tuners() -> Question:
    """Question: what lighter tuners do."""
    now = moved()
    head, count = now.whole.head, len(now.design.string_set())
    mass, centre = middle(now.mass), 1e3 * middle(now.centre)
    lever = centre + 1e3 * head.tuner_place
    return ask_number(
        f"No. 12 weighs {mass:.2f} kg and balances {centre:.0f} mm from the nut; its {count} tuners sit "
        f"{1e3 * head.tuner_place:.0f} mm behind the nut. How far does the balance move towards the tail "
        "when each is 10 g lighter?",
        lambda: 1e3 * middle(moved(tuner=defaults()["tuner"] - 10.0).centre - now.centre), "mm", 0.8,
        "What is taken away, times its distance from the balance, over the whole weight.",
        f"{count} × 0.010 kg × {lever:.0f} mm ÷ ({mass:.2f} − {count * 0.01:.2f}) kg = "
        f"{count * 0.01 * lever / (mass - count * 0.01):.1f} mm.",
        ((lambda: count * 0.01 * centre / mass, "The tuners sit behind the nut: their distance from the "
          "balance is longer than the balance's from the nut."),
         (lambda: 0.01 * lever / mass, "That is one tuner; all of them are lighter.")))


def answer_limit() -> Question:
    """Question: the limit of the strap for a longer horn."""
    rear, front, friction = instrument("no_12")[1].buttons[1], 0.330, rule("strap_friction").value
    ratio = float(np.exp(friction * np.pi))
    return ask_number(
        f"Strap buttons {1e3 * front:.0f} and {1e3 * rear:.0f} mm from the nut, one end of the strap may "
        f"pull {ratio:.2f} times as hard as the other. Where is the limit for the balance, from the nut?",
        lambda: 1e3 * strap_balance(0.5, front, rear, friction).limit, "mm", 2.0,
        "The front end carries the larger share: the limit lies nearer to it, by the ratio.",
        f"({1e3 * rear:.0f} + {ratio:.2f} × {1e3 * front:.0f}) ÷ (1 + {ratio:.2f}) = "
        f"{1e3 * (rear + ratio * front) / (1 + ratio):.0f} mm. Every 30 mm of horn move it by "
        f"{30 * ratio / (1 + ratio):.0f} mm.",
        ((lambda: 1e3 * (front + ratio * rear) / (1 + ratio), "The larger pull is at the front button."),
         (lambda: 5e2 * (front + rear), "That would hold for a strap without friction.")))


def answer_least() -> Question:
    """Question: where weight hardly matters for the balance."""
    now = moved()
    places = {"tuners": "tuners", "neck with fretboard": "neck",
              "controls, switch, jack and wire": "controls", "pickup with two coils": "pickup"}
    pull = {words: 1e3 * middle(pull_of_10_grams(now.weighed, part_of(now, name)))
            for name, words in places.items()}
    least = lowest({words: abs(value) for words, value in pull.items()})
    return ask(
        "Ten grams more on No. 12, in one of these places. Where does the balance move the least?",
        {words: f"It moves by {written(value, 1, sign=True)} mm there." for words, value in pull.items()},
        lambda: least, "Which of them lies nearest to the balance?",
        "10 g × the distance from the balance ÷ the weight: " + "; ".join(
            f"{words} {written(value, 1, sign=True)} mm" for words, value in pull.items()) + ".")
