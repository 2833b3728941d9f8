"""The words of each verdict must agree with the numbers it prints."""

import re

import pytest

from tonewood.lesson.whole_neck.verdicts import (
    more_layers_predictable,
    more_layers_stiffer,
    quarter_sawn_stiffer,
)
from tonewood.wood.species import species


def test_quarter_sawn_is_not_stiffer():
    v = quarter_sawn_stiffer()
    flat, quarter, difference = re.search(r"flat-sawn ([\d.]+).*?quarter-sawn ([\d.]+).*?difference "
                                          r"([-+\d.]+)", v.found).groups()
    assert float(flat) == float(quarter) and float(difference) == 0
    slant = re.search(r"run-out: ([\d.]+) and ([\d.]+)", v.found)
    assert float(slant[2]) < float(slant[1])
    width = re.search(r"flat ([\d.]+) %, quarter ([\d.]+) %", v.found)
    assert 0.4 < float(width[2]) / float(width[1]) < 0.6
    assert v.verdict.startswith("no.")


def test_more_layers_are_not_stiffer():
    v = more_layers_stiffer()
    found = [float(n) for n in re.findall(r"([\d.]+) N·m²", v.found)]
    assert len(found) == 6 and max(found) - min(found) < 0.2
    assert v.verdict.startswith("no.")


def test_more_layers_are_more_predictable():
    v = more_layers_predictable()
    one, seven, rule, same = (float(re.search(p, v.found)[1]) for p in (
        r"necks that scatter by ([\d.]+)", r"different trees ([\d.]+)", r"c/√n: ([\d.]+)",
        r"one board ([\d.]+)"))
    # Closed form: c sqrt((1 + (n - 1) r) / n); independently derived.
    # The scatter is the one printed in the table of the same page.
    c = 100 * species("hard maple").cov_modulus
    assert f"boards that scatter by {c:.0f} %" in v.found
    assert rule == pytest.approx(c / 7**0.5, abs=0.05)
    assert one == pytest.approx(c, rel=0.05) and seven == pytest.approx(rule, rel=0.06)
    assert same == pytest.approx(c * ((1 + 6 * 0.75) / 7) ** 0.5, rel=0.06)
    cautious = re.search(r"scatter of (\d+) % \(from memory.*?one piece ([\d.]+) %, seven from different "
                         r"trees ([\d.]+) %", v.found)
    # Independently derived: 22 % over the square root of 7 is 8.3 %.
    assert float(cautious[1]) == 22 and float(cautious[2]) == pytest.approx(22, rel=0.05)
    assert float(cautious[3]) == pytest.approx(8.32, rel=0.06)
    assert v.verdict.startswith("yes")
