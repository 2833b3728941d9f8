"""Blind listening: a test whose right answers the listener cannot see, and honest words about its outcome.

Trials of the A-B-X kind: A and B are known, X is secretly one of them (after Munson & Gardner, J. Acoust. Soc. Am. 22 (1950) 675, from
memory). A guesser is right half the time, so the number right is binomial and its probability exact.
"""

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from tonewood import checks

PASS = 0.05            # chance of passing by guessing, fixed before the test
FEWEST, MOST = 5, 100  # trials: with four or fewer even a perfect score passes by luck too often


@dataclass(frozen=True)
class BlindTest:
    """A test under way: pair (names of the two sounds), truth ("A" or "B" for each trial), swapped (A is the second sound), answers so far.

    Frozen: `answer` returns the test one step further. seed: what drew the order, kept for the record.
    """

    pair: tuple
    truth: tuple
    swapped: bool
    seed: int
    answers: tuple = ()

    @property
    def trials(self):
        """Number of trials decided before the start."""
        return len(self.truth)

    @property
    def done(self):
        """All trials answered."""
        return len(self.answers) == self.trials

    def sound(self, letter):
        """Name of the sound behind A, B or (for the trial at hand) X. Raises ValueError when X is asked after the last trial."""
        letter = checks.choice("sound", letter, ("A", "B", "X"))
        if letter == "X":
            if self.done:
                raise ValueError("sound X: the test is over; there is no further trial")
            letter = self.truth[len(self.answers)]
        return self.pair[(letter == "B") != self.swapped]

    def answer(self, letter):
        """The test with one more answer, "A" or "B". Raises ValueError after the last trial."""
        if self.done:
            raise ValueError(f"answer: all {self.trials} trials are answered; start a new test")
        return replace(self, answers=self.answers + (checks.choice("answer", letter, ("A", "B")),))

    def progress(self):
        """One sentence: how far the test has come."""
        if self.done:
            return f"All {self.trials} trials answered."
        return f"Trial {len(self.answers) + 1} of {self.trials}."

    def result(self):
        """BlindResult of a finished test. Raises ValueError before the end: looking early and stopping would spoil the probability."""
        if not self.done:
            raise ValueError(f"result: {len(self.answers)} of {self.trials} trials answered; the score is shown only after the last, "
                             "because stopping at a lucky moment would make guessing look like hearing")
        return score(sum(a == t for a, t in zip(self.answers, self.truth)), self.trials)


def plan(pair, trials=12, seed=None):
    """A fresh test.

    pair: names of two different sounds; trials: 5 to 100, fixed now; seed: whole number that draws the order (a secret one is drawn when
    None). Each X is an independent fair coin, so no trial can be worked out from the others. Returns BlindTest. Raises ValueError.
    """
    pair = tuple(str(name) for name in pair)
    if len(pair) != 2 or pair[0] == pair[1]:
        raise ValueError(f"pair: {pair!r} given; two sounds of different names are expected")
    trials = _count("number of trials", trials, FEWEST, MOST)
    if seed is None:
        import secrets
        seed = secrets.randbits(32)
    seed = _count("seed", seed, 0, 2**63)
    flips = np.random.default_rng(seed).integers(0, 2, trials + 1)
    return BlindTest(pair, tuple("AB"[flip] for flip in flips[1:]), bool(flips[0]), seed)


@dataclass(frozen=True)
class BlindResult:
    """Outcome: right of trials; probability of at least so many by guessing; rate and its 95 % interval low..high; needed to pass."""

    right: int
    trials: int
    probability: float
    rate: float
    low: float
    high: float
    needed: int

    @property
    def heard(self):
        """Whether guessing alone would do this well in no more than 5 % of tests."""
        return self.probability <= PASS

    def sentence(self):
        """The outcome in plain, honest words."""
        words = [f"{self.right} of {self.trials} right. Guessing alone gets {self.right} or more right in {_percent(self.probability)} of such tests.",
                 f"Hit rate {100 * self.rate:.0f} %, 95 % interval {100 * self.low:.0f} to {100 * self.high:.0f} %; a guesser's is 50 %."]
        if self.heard:
            words.append("You very likely heard a difference between these two sounds. One guesser in twenty passes too, so repeat the test "
                         "before you build on it. It says nothing about which sound is better, nor about a real instrument.")
        else:
            words.append(f"This test did not show that you hear a difference ({self.needed} right were needed). It does not prove that there is "
                         f"none to hear: the interval shows which hit rates are still possible.")
        return " ".join(words)

    def table(self):
        """One row with units in the column names."""
        import pandas
        return pandas.DataFrame([{"right": self.right, "trials": self.trials, "chance by guessing [%]": 100 * self.probability,
                                  "hit rate [%]": 100 * self.rate, "low [%]": 100 * self.low, "high [%]": 100 * self.high,
                                  "right answers needed": self.needed}])


def score(right, trials):
    """Exact statistics of `right` answers in `trials`. Returns BlindResult.

    Probability: one-sided binomial at one half. Interval: exact 95 % (Clopper & Pearson, Biometrika 26 (1934) 404, from memory).
    Raises ValueError.
    """
    trials = _count("number of trials", trials, 1, 100000)
    return _score(_count("number right", right, 0, trials), trials)


@lru_cache(maxsize=1024)
def _score(right, trials):
    from scipy.stats import binomtest
    test = binomtest(right, trials, 0.5, alternative="greater")
    interval = binomtest(right, trials).proportion_ci(0.95, method="exact")
    return BlindResult(right, trials, float(test.pvalue), right / trials, float(interval.low), float(interval.high), needed(trials))


def needed(trials):
    """Fewest right answers that guessing reaches in no more than 5 % of tests (trials + 1 if even a perfect score is too easy)."""
    from scipy.stats import binom
    right = np.arange(trials + 2)
    return int(np.argmax(binom.sf(right - 1, trials, 0.5) <= PASS))


def chance_to_pass(hit_rate, trials):
    """Probability that a listener with this true hit rate passes a test of so many trials: how much a failed test tells. Raises ValueError."""
    from scipy.stats import binom
    hit_rate = checks.fraction("hit rate", hit_rate)
    return float(binom.sf(needed(_count("number of trials", trials, 1, 100000)) - 1, trials, hit_rate))


def trials_for(hit_rate, chance=0.8):
    """Fewest trials, 200 at most, that give a listener of this hit rate the stated chance to pass. Raises ValueError if none does."""
    hit_rate = checks.number("hit rate", hit_rate, 0.5, 1.0, "(a fraction)", open_low=True)
    chance = checks.number("chance to pass", chance, 0.0, 1.0, "(a fraction)", open_high=True)
    for trials in range(FEWEST, 201):
        if chance_to_pass(hit_rate, trials) >= chance:
            return trials
    raise ValueError(f"hit rate: {hit_rate:g} given; even 200 trials do not give a chance of {chance:g} to pass. The difference is too faint to test here")


def _count(name, value, low, high):
    if isinstance(value, bool) or not isinstance(value, (int, np.integer)) or not low <= value <= high:
        raise ValueError(f"{name}: {value!r} given; a whole number from {low} to {high} is expected")
    return int(value)


def _percent(probability):
    return f"{100 * probability:.1f} %" if probability >= 0.001 else "fewer than 0.1 %"
