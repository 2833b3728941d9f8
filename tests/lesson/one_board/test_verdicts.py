"""The words of each verdict about boards against its numbers."""

import re

import numpy as np
import pytest

from tonewood.lesson.one_board import verdicts
from tonewood.wood.facts import rule


def numbers(pattern, text):
    return [float(v) for v in re.search(pattern, text).groups()]


def test_heavier_is_stiffer_verdict():
    v = verdicts.heavier_is_stiffer()
    (often,), (left,) = numbers(r"in (\d+) of 100", v.found), numbers(r"leaves (\d+) %", v.found)
    rng = np.random.default_rng(3)
    r = rule("correlation_density_modulus").value
    a, b = rng.standard_normal((2, 100000)), rng.standard_normal((2, 100000))
    rho, E = a, r * a + np.sqrt(1 - r**2) * b
    # independently: two boards drawn at random
    assert often == pytest.approx(100 * np.mean((rho[0] > rho[1]) == (E[0] > E[1])), abs=1)
    assert 50 < often < 85 and left > 70 and v.verdict.startswith("often, not always")


def test_wood_tells_stiffness_verdict():
    v = verdicts.wood_tells_stiffness()
    (mean,), (often,) = (numbers(pattern, v.found) for pattern in (r"average (\d+) %", r"in (\d+) of 100"))
    inside, between = numbers(r"by (\d+) %.*by (\d+) %", v.found)
    assert mean > 0 and 55 < often < 80 and inside > mean and between > inside
    assert v.verdict.startswith("on average yes")


def test_table_is_enough_verdict():
    v = verdicts.table_is_enough()
    low, high, apart = numbers(r"from ([\d.]+) to ([\d.]+) GPa, (\d+) %", v.found)
    assert apart == pytest.approx(100 * (high / low - 1), abs=1)
    before, after = (numbers(pattern, v.found)[0]
                     for pattern in (r"tables leave ± (\d+)", r"bend leaves ± (\d+)"))
    assert after < before / 3 and v.verdict.startswith("no")
