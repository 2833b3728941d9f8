"""Units for people. Factors: exact definitions of the international inch (25.4 mm) and the avoirdupois pound
(0.45359237 kg)."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as some

from tonewood.panel import units


@pytest.mark.parametrize("value, given_in, wanted, expected", [
    (1, "in", "mm", 25.4), (1, "lb", "g", 453.59237), (16, "oz", "lb", 1), (180, "°", "rad", math.pi),
    (45, "%", "", 0.45),
    (12, "GPa", "Pa", 12e9), (1, "lbf", "N", 4.4482216152605), (1, "ft", "m", 0.3048)])
def test_conversions(value, given_in, wanted, expected):
    assert units.convert(value, given_in, wanted) == pytest.approx(expected, rel=1e-12)
    assert units.convert(expected, wanted, given_in) == pytest.approx(value, rel=1e-12)


def test_different_things_are_not_converted():
    with pytest.raises(ValueError, match="'kg' measures mass, 'mm' length"):
        units.convert(1, "kg", "mm")
    with pytest.raises(ValueError, match="furlong"):
        units.convert(1, "furlong", "mm")


@pytest.mark.parametrize("typed, millimetres", [
    ("0.25", 0.25), ("0,25 mm", 0.25), ("3/8 in", 9.525), ("1 1/2 in", 38.1), ("1-1/2 inches", 38.1),
    (".5", 0.5), ("-2 mm", -2), ("−2", -2),
    ('3/4"', 19.05), ("2 cm", 20), ("1e-3 m", 1), ("  7  ", 7)])
def test_reading_what_people_type(typed, millimetres):
    assert units.read(typed, "mm") == pytest.approx(millimetres, rel=1e-12)


@pytest.mark.parametrize("typed", ["", "abc", "1/0 in", "1 2", "1.2.3", "5 kg", "3 furlongs", "nan",
                                   "1,000,000 mm"])
def test_reading_refuses(typed):
    with pytest.raises(ValueError):
        units.read(typed, "mm")


@given(some.floats(-1e4, 1e4))
def test_text_reads_back(value):
    assert units.read(units.text(value, "mm", 3), "mm") == pytest.approx(value, abs=0.00051)
    assert units.read(units.text(value, "mm", 3, units.INCH), "mm") == pytest.approx(value, abs=0.0128)


def test_text():
    assert units.text(0.213, "mm") == "0.21 mm"
    assert units.text(0.213, "mm", 2, units.INCH) == "0.008 in"
    assert units.text(-0.0004, "mm") == "0.00 mm"
    assert units.text(45, "°", 0) == "45°"
    assert units.text(8, "%", 1, units.INCH) == "8.0 %"
    with pytest.raises(ValueError, match="finite"):
        units.text(float("nan"), "mm")


@pytest.mark.parametrize("step, nice", [(0.0039, 0.005), (0.039, 0.05), (0.35, 0.2), (1, 1), (0.8, 1.0),
                                        (7, 5)])
def test_nice_steps(step, nice):
    assert units.nice_step(step) == pytest.approx(nice)
