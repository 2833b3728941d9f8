"""What the page says about levels and blind tests."""

import numpy as np

from tonewood.lesson.shared.listening_words import levels_said, progress_said, result_said
from tonewood.sound.blind import plan, score
from tonewood.sound.render import Rendering


def test_sentence_is_honest_both_ways():
    failed = result_said(score(7, 12))
    assert "7 of 12 right" in failed and "38.7 %" in failed
    assert "10 right were needed" in failed and "does not prove" in failed
    assert "right 75 % of the time fails a test of 12 trials in 61 of 100" in failed
    passed = result_said(score(11, 12))
    assert "0.3 %" in passed and "One guesser in 52 passes too" in passed
    assert "nothing about which sound is better" in passed
    assert "fewer than 0.1 %" in result_said(score(30, 30))
    assert "You very likely heard a difference" in result_said(score(12, 12))


def test_progress_counts_the_trial_at_hand():
    test = plan(("one", "two"), 5, 1).answer("A")
    assert progress_said(test) == "Trial 2 of 5."
    for letter in "BABA":
        test = test.answer(letter)
    assert progress_said(test) == "All 5 trials answered."


def test_levels_are_told():
    plain, matched = (Rendering(names=("soft", "hard"), samples=(np.ones(9),) * 2, rate=8000, gain=1.0,
                                trims=np.array([0.0, trim]), matched=bool(trim)) for trim in (0.0, -6.02))
    assert "same gain" in levels_said(plain)
    assert levels_said(matched).endswith("soft 0.0 dB, hard −6.0 dB.")
