"""Blind tests: exact statistics, scripted listeners, no peeking."""

from math import comb

import numpy as np
import pytest
from numpy.testing import assert_allclose

from tonewood.sound.blind import PASS, chance_to_pass, needed, plan, score, trials_needed


def run(test, listener):
    """Let a scripted listener (test -> letter) take the whole test."""
    while not test.done:
        test = test.answer(listener(test))
    return test


def knows(test):
    return "A" if test.sound("X") == test.sound("A") else "B"


def test_probability_is_the_sum_of_binomial_terms():
    for right, trials in ((9, 12), (10, 12), (5, 5), (0, 7), (60, 100)):
        exact = sum(comb(trials, k) for k in range(right, trials + 1)) / 2**trials
        assert score(right, trials).probability == pytest.approx(exact, rel=1e-10)


def test_interval_is_the_exact_one():
    """Defining equations of the exact interval: each end leaves 2.5 % in the tail."""
    from scipy.stats import binom
    found = score(9, 12)
    assert binom.sf(8, 12, found.low) == pytest.approx(0.025, rel=1e-6)
    assert binom.cdf(9, 12, found.high) == pytest.approx(0.025, rel=1e-6)
    assert score(0, 8).low == 0 and score(8, 8).high == 1


def test_fewest_right_answers():
    assert [needed(n) for n in (4, 5, 8, 10, 12, 16, 20)] == [5, 5, 7, 9, 10, 12, 15]
    assert score(10, 12).heard and not score(9, 12).heard
    assert needed(1) == 2               # one trial is won by guessing half the time: no score is enough


def test_guessing_listener_passes_no_more_often_than_promised():
    generator = np.random.default_rng(7)
    guess = lambda test: "AB"[generator.integers(2)]  # noqa: E731
    results = [run(plan(("one", "two"), 12, seed), guess).result() for seed in range(2000)]
    passed = np.mean([r.heard for r in results])
    right = np.mean([r.rate for r in results])
    # 1.9 %, standard error 0.3 %
    assert passed <= PASS and passed == pytest.approx(chance_to_pass(0.5, 12), abs=0.01)
    assert right == pytest.approx(0.5, abs=0.01)
    covered = np.mean([r.low <= 0.5 <= r.high for r in results])
    assert covered >= 0.95
    # near chance, a little above for discreteness
    assert 0.5 < np.mean([r.probability for r in results]) < 0.65


def test_listener_who_always_says_the_same_learns_nothing():
    rate = np.mean([run(plan(("one", "two"), 20, seed), lambda test: "A").result().rate
                    for seed in range(500)])
    assert rate == pytest.approx(0.5, abs=0.02)


def test_listener_who_hears_is_found():
    result = run(plan(("one", "two"), 12, 5), knows).result()
    assert result.right == 12 and result.heard and result.probability == pytest.approx(1 / 4096)
    table = result.table().iloc[0]
    assert table["right answers needed"] == 10 and table["hit rate [%]"] == 100 == table["high [%]"]
    assert result.low == pytest.approx(0.025 ** (1 / 12))   # Clopper and Pearson, all right


def test_listener_who_hears_sometimes_is_found_as_often_as_promised():
    generator = np.random.default_rng(11)

    def partly(test):
        return knows(test) if generator.random() < 0.8 else "AB"[generator.integers(2)]
    passed = np.mean([run(plan(("one", "two"), 16, seed), partly).result().heard for seed in range(1000)])
    assert passed == pytest.approx(chance_to_pass(0.9, 16), abs=0.03)


def test_trials_needed_are_the_fewest_that_pass():
    for rate, chance in ((0.75, 0.8), (0.6, 0.5), (0.9, 0.95)):
        fewest = trials_needed(rate, chance)
        assert chance_to_pass(rate, fewest) >= chance
        assert all(chance_to_pass(rate, n) < chance for n in range(5, fewest))
    with pytest.raises(ValueError, match="1000 trials"):
        trials_needed(0.501)


def test_order_is_fair_unpredictable_and_repeatable():
    tests = [plan(("one", "two"), 20, seed) for seed in range(400)]
    truth = np.array([[letter == "A" for letter in t.truth] for t in tests])
    assert truth.mean() == pytest.approx(0.5, abs=0.02)
    # no trial tells the next
    assert np.mean(truth[:, 1:] == truth[:, :-1]) == pytest.approx(0.5, abs=0.02)
    assert 150 < sum(t.swapped for t in tests) < 250
    assert plan(("one", "two"), 20, 3) == tests[3]
    assert plan(("one", "two")).seed != plan(("one", "two")).seed


def test_letters_hide_the_names_consistently():
    for seed in range(20):
        test = plan(("one", "two"), 5, seed)
        assert {test.sound("A"), test.sound("B")} == {"one", "two"}
        assert test.sound("X") == test.sound(test.truth[0])
        assert (test.sound("A") == "two") == test.swapped


def test_no_score_before_the_end_and_no_answer_after_it():
    test = plan(("one", "two"), 5, 1).answer("A")
    with pytest.raises(ValueError, match="1 of 5 trials answered.*lucky moment"):
        test.result()
    done = run(test, knows)
    with pytest.raises(ValueError, match="all 5 trials are answered"):
        done.answer("A")
    with pytest.raises(ValueError, match="no further trial"):
        done.sound("X")


def test_statistics_agree_with_simulation_of_the_interval():
    generator = np.random.default_rng(2)
    right = generator.binomial(16, 0.7, 3000)
    table = {k: score(k, 16) for k in range(17)}
    assert np.mean([table[k].low <= 0.7 <= table[k].high for k in right]) >= 0.95
    assert_allclose(table[11].rate, 11 / 16)


@pytest.mark.parametrize("how, words", [
    (dict(trials=4), "from 5 to 100"), (dict(trials=12.5), "whole number"),
    (dict(trials=True), "whole number"), (dict(seed=-1), "seed"),
    (dict(pair=("one", "one")), "different names"), (dict(pair=("one",)), "two sounds")])
def test_refusals(how, words):
    with pytest.raises(ValueError, match=words):
        plan(**{"pair": ("one", "two"), **how})


def test_refusals_of_answers_and_scores():
    with pytest.raises(ValueError, match="'C' given"):
        plan(("one", "two")).answer("C")
    for right, trials in ((13, 12), (-1, 12), (2.5, 12)):
        with pytest.raises(ValueError, match="number right"):
            score(right, trials)
    with pytest.raises(ValueError, match="hit rate"):
        chance_to_pass(70, 12)
