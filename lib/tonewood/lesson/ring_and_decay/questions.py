"""Predictions and questions of the ringing lesson; outcomes and right answers are computed when they are
asked for."""

from __future__ import annotations

import numpy as np

from tonewood.lesson.ring_and_decay.model import CLAMP, SECOND, STIFFER, D, ring_map, worst_fret
from tonewood.panel.questions import Prediction, Question, ask, ask_number, lowest, predict
from tonewood.sound.decay import Decay
from tonewood.sound.string_loss import t60


def guess_stiffer() -> Prediction:
    """Prediction: what a stiffer neck does to a dead note."""
    labels = ["is cured", "moves to a higher fret", "moves to a lower fret", "stays where it is"]
    before, after = ring_map(), ring_map(stiffer=STIFFER)
    a, b = worst_fret(before), worst_fret(after)

    def right() -> str:
        cured = after.t60[D, b] > 0.5 * np.median(after.t60[D])
        return labels[0 if cured else 1 if b > a else 2 if b < a else 3]

    def outcome(_: str) -> str:
        return (f"Computed: fret {a} went from {before.t60[D, a]:.1f} to {after.t60[D, a]:.1f} s, and now "
                f"fret {b} is the weakest up to the octave, {after.t60[D, b]:.1f} s. Both maps are drawn "
                "under Explain.")
    return predict(f"On neck No. 12 the D string dies at fret {worst_fret(ring_map())}. The next neck gets "
                   f"boards {100 * (STIFFER - 1):.0f} % stiffer, all else alike. The dead note …",
                   labels, outcome, right=right)


def guess_cause() -> Prediction:
    """Prediction: where a dead note's energy goes."""
    found = ring_map()
    f = worst_fret(found)
    labels = ["into the air", "into heat inside the string", "into the neck, at the fret",
              "into the body, at the bridge"]

    def outcome(_: str) -> str:
        dead, rings = (100 * found.share_by_cause[:, D, n] for n in (f, f + 3))
        return (f"Computed, D string: fret {f} loses {dead[2]:.0f} % at the fret, {dead[3]:.0f} % at the "
                f"bridge, {dead[0]:.0f} % to the air; fret {f + 3}, which rings, {rings[2]:.0f} %, "
                f"{rings[3]:.0f} % and {rings[0]:.0f} %. The rest is lost in the string itself.")
    return predict("In a dead note, most of the energy goes …", labels, outcome,
                   right=lambda: labels[int(np.argmax(found.share_by_cause[:, D, f]))])


def guess_clamp() -> Prediction:
    """Prediction: what a clamp on the head does."""
    labels = ["to a lower fret", "to a higher fret", "not at all"]
    before, after = ring_map(), ring_map(clamp=CLAMP)
    a, b = worst_fret(before), worst_fret(after)

    def outcome(_: str) -> str:
        return (f"Computed: without the clamp the D string is weakest at fret {a} ({before.t60[D, a]:.1f} "
                f"s), with {CLAMP:.0f} g at fret {b} ({after.t60[D, b]:.1f} s), up to the octave; the mode "
                f"went from {before.mode_frequency[SECOND]:.0f} to {after.mode_frequency[SECOND]:.0f} Hz.")
    return predict(f"You clamp {CLAMP:.0f} g to the headstock. The dead note of the D string moves …",
                   labels, outcome, right=lambda: labels[0 if b < a else 1 if b > a else 2])


def answer_seconds() -> Question:
    """Question: T60 from pitch and loss factor."""
    def right() -> float:
        return float(t60(196.0, 0.005))
    return ask_number("A note of 196 Hz has a loss factor of 5 thousandths. How many seconds until it has "
                      "fallen by 60 dB?", right,
                      "s", 0.1, "T60 = 6.908 ÷ (π × pitch × loss factor); 5 thousandths are 0.005.",
                      f"6.908 ÷ (3.1416 × 196 × 0.005) = 6.908 ÷ 3.079 = {right():.2f} s.",
                      slips=[(lambda: right() * np.pi, "The π in the formula was left out."),
                             (lambda: right() / 2, "That is the time for 30 dB, half of it."),
                             (lambda: right() / 1000, "5 thousandths are 0.005, not 5.")])


def _changes() -> dict[str, Decay]:
    """What three changes make of neck No. 12."""
    return {f"a {CLAMP:.0f} g clamp on the head": ring_map(clamp=CLAMP),
            f"boards {100 * (STIFFER - 1):.0f} % stiffer": ring_map(stiffer=STIFFER),
            "well-played strings instead of new ones": ring_map(age=1.0)}


def answer_lower() -> Question:
    """Question: which change moves the dead note down the board."""
    here, changed = worst_fret(ring_map()), {name: worst_fret(found) for name, found in _changes().items()}
    labels = {name: f"Computed: the weakest fret of the D string up to the octave is then {fret}; it was "
                    f"{here}."
              for name, fret in changed.items()}
    return ask(f"A player never uses the D string below fret {here}. Which change moves its dead note from "
               f"fret {here} to a lower one?",
               labels, lambda: {name: fret < here for name, fret in changed.items()},
               "A mode sinks when weight is added where it moves much, and rises when the neck gets stiffer.",
               "Only weight at the head lowers the second bending mode here; each semitone it sinks moves "
               f"the dead note one fret down: from fret {here} to {min(changed.values())}.")


def answer_strings() -> Question:
    """Question: what shortens the notes that ring."""
    base = ring_map()
    kept = {name: float(np.median((found.t60 / base.t60)[base.ringing])) for name,
            found in _changes().items()}
    labels = {name: f"Computed: the notes that ring keep {100 * v:.0f} % of their time, in the "
                    "median." for name, v in kept.items()}
    return ask("Which of these shortens the ordinary, ringing notes most?", labels, lambda: lowest(kept),
               "In a ringing note most of the loss is the string's own and the air's.",
               "Set string age from 0 to 100 % on the map and watch a ringing note, then a dead one. What "
               "the ringing notes keep of their time: "
               f"{'; '.join(f'{name} {100 * share:.0f} %' for name, share in kept.items())}.")
