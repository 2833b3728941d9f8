"""Blind listening: a test whose right answers the listener cannot see, and the exact statistics of its
outcome.

Trials of the A-B-X kind: A and B are known, X is secretly one of them (after Munson & Gardner, J. Acoust.
Soc. Am. 22 (1950) 675, from memory). A guesser is right half the time, so the number right is binomial and
its probability exact.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from tonewood import checks
from tonewood.remember import remember

if TYPE_CHECKING:
    import pandas

PASS = 0.05            # chance of passing by guessing, fixed before the test
FEWEST, MOST = 5, 100  # trials: with four or fewer even a perfect score passes by luck too often
LONGEST = 100000
LONGEST_NAME = 200     # letters of a sound's name: what a record still reads


@dataclass(frozen=True)
class BlindTest:
    """A test under way: pair (names of the two sounds), truth ("A" or "B" for each trial), swapped (A is the
    second sound), answers so far.

    Frozen: `answer` returns the test one step further. seed: what drew the order, kept for the record.
    """

    pair: tuple[str, ...]
    truth: tuple[str, ...]
    swapped: bool
    seed: int
    answers: tuple[str, ...] = ()

    @property
    def trials(self) -> int:
        """Number of trials decided before the start."""
        return len(self.truth)

    @property
    def done(self) -> bool:
        """All trials answered."""
        return len(self.answers) == self.trials

    def sound(self, letter: str) -> str:
        """Name of the sound behind A, B or (for the trial at hand) X. Raises ValueError when X is asked after
        the last trial."""
        letter = checks.choice("sound", letter, ("A", "B", "X"))
        if letter == "X":
            if self.done:
                raise ValueError("sound X: the test is over; there is no further trial")
            letter = self.truth[len(self.answers)]
        return self.pair[(letter == "B") != self.swapped]

    def answer(self, letter: str) -> BlindTest:
        """The test with one more answer, "A" or "B"; the number of answers grows. Raises ValueError after the
        last."""
        if self.done:
            raise ValueError(f"answer: all {self.trials} trials are answered; start a new test")
        return replace(self, answers=(*self.answers, checks.choice("answer", letter, ("A", "B"))))

    def result(self) -> BlindResult:
        """BlindResult of a finished test, with its chance by guessing (a share). Raises ValueError before the
        end: looking early and stopping would spoil the probability."""
        if not self.done:
            raise ValueError(f"result: {len(self.answers)} of {self.trials} trials answered; accepted: all, "
                             "because stopping at a lucky moment would make guessing look like hearing")
        return score(sum(a == t for a, t in zip(self.answers, self.truth, strict=True)), self.trials)


def plan(pair: Iterable[Any], trials: int = 12, seed: int | None = None) -> BlindTest:
    """A fresh test.

    pair: names of two different sounds; trials: a number from 5 to 100, fixed now; seed: whole number that
    draws the order (a secret one is drawn when None). Each X is an independent fair coin, so no trial can be
    worked out from the others. Returns BlindTest. Raises ValueError.

    >>> plan(("maple", "limba"), 5, seed=1).answer("A").answers
    ('A',)
    """
    pair = tuple(str(name) for name in pair)
    if len(pair) != 2 or pair[0] == pair[1]:
        raise ValueError(f"pair: {pair!r} given; accepted: two sounds of different names")
    for name in pair:
        if not name.strip() or len(name) > LONGEST_NAME:
            raise ValueError(f"pair: {name[:40]!r} ({len(name)} letters) given; accepted: names of 1 to "
                             f"{LONGEST_NAME} letters")
    trials = _count("number of trials", trials, FEWEST, MOST)
    if seed is None:
        import secrets
        seed = secrets.randbits(32)
    seed = _count("seed", seed, 0, 2**63)
    flips = np.random.default_rng(seed).integers(0, 2, trials + 1)
    return BlindTest(pair, tuple("AB"[flip] for flip in flips[1:]), bool(flips[0]), seed)


@dataclass(frozen=True, kw_only=True)
class BlindResult:
    """Outcome: right of trials; probability of at least so many by guessing; rate and its 95 % interval
    low..high; needed to pass."""

    right: int
    trials: int
    probability: float
    rate: float
    low: float
    high: float
    needed: int

    @property
    def heard(self) -> bool:
        """Whether guessing alone would do this well in no more than 5 % of tests."""
        return self.probability <= PASS

    def table(self) -> pandas.DataFrame:
        """One row with units in the column names."""
        import pandas
        return pandas.DataFrame([{
            "right": self.right, "trials": self.trials, "chance by guessing [%]": 100 * self.probability,
            "hit rate [%]": 100 * self.rate, "low [%]": 100 * self.low, "high [%]": 100 * self.high,
            "right answers needed": self.needed}])


def score(right: int, trials: int) -> BlindResult:
    """Exact statistics of a number of `right` answers in `trials`. Returns BlindResult.

    Probability: one-sided binomial at one half. Interval: exact 95 % (Clopper & Pearson, Biometrika 26 (1934)
    404, from memory). Raises ValueError.

    >>> round(score(10, 12).probability, 4)
    0.0193
    """
    trials = _count("number of trials", trials, 1, LONGEST)
    return _score(_count("number right", right, 0, trials), trials)


@remember(1024)
def _score(right: int, trials: int) -> BlindResult:
    from scipy.special import bdtrc, betaincinv
    low, high = (float(betaincinv(first, last, share)) if min(first, last) else edge for first, last, share,
                 edge in ((right, trials - right + 1, 0.025, 0.0), (right + 1, trials - right, 0.975, 1.0)))
    return BlindResult(right=right, trials=trials, probability=float(bdtrc(right - 1, trials, 0.5)),
                       rate=right / trials, low=low, high=high, needed=needed(trials))


def needed(trials: int) -> int:
    """Smallest number of right answers that guessing reaches in no more than 5 % of tests (trials + 1 if even
    a perfect score is too easy). Binomial, by definition. Raises ValueError.

    >>> needed(12)
    10
    """
    from scipy.special import bdtrc
    trials = checks.whole("trials", trials, 1, 10_000)
    return int(np.argmax(bdtrc(np.arange(trials + 2) - 1, trials, 0.5) <= PASS))


def chance_to_pass(hit_rate: float, trials: int) -> float:
    """Probability (a fraction) that a listener with this true hit rate passes a test of so many trials: how
    much a failed test tells. Raises ValueError.

    >>> round(chance_to_pass(0.9, 12), 2)
    0.89
    """
    from scipy.special import bdtrc
    hit_rate = float(checks.fraction("hit rate", hit_rate))
    trials = _count("number of trials", trials, 1, LONGEST)
    return float(bdtrc(needed(trials) - 1, trials, hit_rate))


def trials_needed(hit_rate: float, chance: float = 0.8) -> int:
    """Fewest trials with which a listener of this true hit rate passes with at least this probability
    (fractions); more trials may do a little worse, since the number right is whole. Raises ValueError.

    >>> trials_needed(0.75), trials_needed(0.9)
    (23, 8)
    """
    chance = float(checks.fraction("chance to pass", chance))
    hit_rate = float(checks.number("hit rate", hit_rate, 0.5, 1.0, open_low=True))
    for trials in range(FEWEST, 10 * MOST):
        if chance_to_pass(hit_rate, trials) >= chance:
            return trials
    raise ValueError(f"hit rate: {hit_rate:g} given; accepted: one that {10 * MOST} trials can tell from a "
                     "guesser's 0.5")


def _count(name: str, value: Any, low: int, high: int) -> int:
    if isinstance(value, bool) or not isinstance(value, (int, np.integer)):
        raise ValueError(f"{name}: {value!r} given; accepted: a whole number from {low} to {high}")
    return checks.whole(name, int(value), low, high)
