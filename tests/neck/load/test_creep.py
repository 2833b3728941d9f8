"""Creep display law: its ends, its band, its order."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tonewood.constants import DAY, YEAR
from tonewood.neck.load.creep import END, PLACES, coefficient, creep
from tonewood.wood.facts import rule


def test_ends_of_the_law():
    """Remembered from timber practice: 0.6 indoors, 0.8 sheltered outdoors after about ten years; nothing at
    once."""
    assert coefficient(END)[1] == pytest.approx(0.6) and coefficient(
        END, "sheltered outdoors")[1] == pytest.approx(0.8)
    assert coefficient(0.0).tolist() == [0.0, 0.0, 0.0]
    assert coefficient(END) == pytest.approx([0.3, 0.6, 1.2])


def test_one_day_against_the_power_law():
    """Worked: one day of ten years is 2.738e-4; to the power 0.3, times 0.6."""
    assert coefficient(DAY)[1] == pytest.approx(0.6 * 2.738e-4**0.3, rel=1e-3)
    assert coefficient(DAY)[0] == pytest.approx(0.6 * 2.738e-4**0.4 / 2, rel=1e-3)
    assert coefficient(DAY)[2] == pytest.approx(0.6 * 2.738e-4**0.2 * 2, rel=1e-3)


@given(st.floats(1.0, END), st.floats(1.0, END))
def test_creep_grows_and_the_band_holds_its_middle(a, b):
    early, late = min(a, b), max(a, b)
    low, middle, high = coefficient(np.array([early, late]))
    assert np.all(np.diff(low) >= 0) and np.all(np.diff(middle) >= 0) and np.all(np.diff(high) >= 0)
    assert np.all(low < middle) and np.all(middle < high)


def test_relief_grows_in_proportion_and_back_bow_grows_backwards():
    found = creep(np.array([0.0002, 0.0004, -0.0001]), [DAY, YEAR])
    middle = found[1]
    assert found.shape == (3, 3, 2) and middle.shape == (3, 2)
    assert middle[1] == pytest.approx(2 * middle[0])
    assert np.all(middle[2] < -0.0001)
    assert creep(0.0003, END)[1, 0] == pytest.approx(0.0003 * 1.6)


def test_the_law_stands_in_the_table_as_from_memory():
    names = ["creep_exponent", "creep_factor", *(f"creep_{place.replace(' ', '_')}" for place in PLACES)]
    assert {rule(name).status for name in names} == {"from memory"}


@pytest.mark.parametrize("call, words", [
    (lambda: coefficient(-1.0), ["time under load"]), (lambda: coefficient(11 * YEAR), ["ten years"]),
    (lambda: coefficient(1.0, "indoor"), ["indoors"]), (lambda: creep(0.3, DAY), ["0.0003"]),
    (lambda: creep(0.0003, np.nan), ["time under load"])
])
def test_bad_input_is_named(call, words):
    with pytest.raises(ValueError) as caught:
        call()
    assert all(word in str(caught.value) for word in words)
