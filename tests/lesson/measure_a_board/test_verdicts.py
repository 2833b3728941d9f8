"""The words of the verdict about tapping against its numbers, and the thirty boards' picture."""

import re

import numpy as np

from tonewood.bench.boards import board_tests
from tonewood.lesson.measure_a_board import thirty, verdicts


def numbers(pattern, text):
    return [float(v) for v in re.search(pattern, text).groups()]


def test_tap_instead_of_bend_verdict():
    v = verdicts.tap_instead_of_bend()
    tests = board_tests()
    r = [np.corrcoef(tests[q], tests[s])[0, 1] for q in ("shock_wave", "vibration")
         for s in ("static_a", "static_b")]
    low, high = numbers(r"correlate by (0\.\d+) to (0\.\d+)", v.found)
    assert (low, high) == (round(min(r), 2), round(max(r), 2)) and low > 0.75
    scatter, left = numbers(r"scatter by (\d+) to", v.found)[0], numbers(r"leaves (\d+) to (\d+)", v.found)
    assert left[1] < scatter
    assert numbers(r"read (\d+) to (\d+) % lower", v.found)[1] > 15 and "differ in level" in v.verdict


def test_the_picture_of_thirty_boards_tells_its_numbers():
    shown, tests = thirty.thirty_boards(), board_tests()
    x, y = tests["vibration"], tests["static_a"]
    assert numbers(r"correlation (0\.\d+)", shown.plain)[0] == round(np.corrcoef(x, y)[0, 1], 2)
    assert numbers(r"(\d+) % lower on average", shown.plain)[0] == round(100 * (1 - y.mean() / x.mean()))
    ranks = [sorted(range(30), key=lambda i, t=t: t[i]) for t in (x, y)]
    apart = max(abs(ranks[0].index(i) - ranks[1].index(i)) for i in range(30))
    assert numbers(r"rank by (\d+) places", shown.plain)[0] == apart
    assert shown.plain.count("→") == 6 and "alt='Thirty boards" in shown.html
