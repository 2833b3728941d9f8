"""What the page says about levels and about a blind test, in plain, honest words."""

from __future__ import annotations

from tonewood.draws import written
from tonewood.sound.blind import BlindResult, BlindTest, chance_to_pass
from tonewood.sound.render import Rendering

LISTENER = 0.75
"""Hit rate by which the power of a test is told: right three times of four, half way between guessing and
always right."""


def levels_said(rendering: Rendering) -> str:
    """What was done to the levels, in one sentence."""
    if not rendering.matched:
        return "All sounds have the same gain: if one is louder, the model says so."
    pairs = zip(rendering.names, rendering.trims, strict=True)
    moved = ", ".join(f"{name} {written(trim, 1, True)} dB" for name, trim in pairs)
    return f"Levels matched, so loudness tells nothing here: {moved}."


def progress_said(test: BlindTest) -> str:
    """One sentence: how far the test has come."""
    if test.done:
        return f"All {test.trials} trials answered."
    return f"Trial {len(test.answers) + 1} of {test.trials}."


def result_said(result: BlindResult) -> str:
    """The outcome of a blind test in plain, honest words."""
    chance = f"{100 * result.probability:.1f} %" if result.probability >= 0.001 else "fewer than 0.1 %"
    words = (f"{result.right} of {result.trials} right. Guessing alone gets {result.right} or more right in "
             f"{chance} of such tests. Hit rate {100 * result.rate:.0f} %, 95 % interval "
             f"{100 * result.low:.0f} to {100 * result.high:.0f} %; a guesser's is 50 %. ")
    if result.heard:
        return words + (
            "You very likely heard a difference between these two sounds. One guesser in "
            f"{1 / chance_to_pass(0.5, result.trials):.0f} passes too, so repeat the test before you build "
            "on it. It says nothing about which sound is better, nor about a real instrument.")
    return words + (
        f"This test did not show that you hear a difference ({result.needed} right were needed). It does "
        "not prove that there is none to hear: the interval shows which hit rates are still possible, and a "
        f"listener who is right {100 * LISTENER:.0f} % of the time fails a test of {result.trials} trials in "
        f"{100 * (1 - chance_to_pass(LISTENER, result.trials)):.0f} of 100.")
