"""The worked numbers of the one-board lesson."""

import re

import numpy as np
import pytest

from tonewood.lesson.one_board import by_hand
from tonewood.wood.species import species


def test_bend_by_hand_is_the_formula():
    load, *read, apparent, modulus, _, at_12, table = (value for _, value, *_ in by_hand.bend_by_hand())
    b = by_hand.BENT
    slender = b["load"] * b["span"]**3 / (4 * b["width"] * b["thickness"]**3 * b["deflection"])
    assert load == b["load"] and 1e9 * apparent == pytest.approx(slender)
    assert apparent < modulus < 1.05 * apparent
    # the moisture of the shop, as the page says
    assert "carried from 8.5 %" in by_hand.bend_by_hand()[8][0]
    assert at_12 < modulus and abs(at_12 / table - 1) < 2 * species("hard maple").cov_modulus
    # the printed readings are enough to work it out: F L^3 / (4 b h^3 d), in mm
    span, width, thickness, bend = read
    assert load * span**3 / (4 * width * thickness**3 * bend) == pytest.approx(1e3 * apparent, rel=1e-9)


def test_error_table_adds_up():
    first, *_, last = rows = repr(by_hand.where_the_error_comes_from()).splitlines()
    *parts, every = (float(row.rsplit(" ", 1)[1]) for row in rows)
    assert every == pytest.approx(np.sqrt(np.square(parts).sum()), abs=0.02)
    assert first.startswith("thickness:") and last.startswith("all together:")
    assert every == pytest.approx(by_hand.bend_by_hand()[7][1], abs=0.01)


def test_printed_values_show_who_disagrees():
    rows = repr(by_hand.printed_values("wenge", "African padauk")).splitlines()
    assert sum(row.startswith("wenge: property bending modulus") for row in rows) == 3
    assert all(re.search("; status (published|estimated); source key .*; place ", row) for row in rows)
    with pytest.raises(ValueError, match="wengee"):
        by_hand.printed_values("wengee")
