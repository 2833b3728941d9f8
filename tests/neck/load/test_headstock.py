"""Forces of the strings on nut and tuner: their sum does not know the headstock's angle."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tonewood.neck.load.headstock import head_load


@given(st.floats(0, 1.2), st.floats(0.01, 0.3), st.floats(0, 900))
def test_the_sum_is_pull_times_height_at_any_angle(lean, reach, pull):
    """Independently derived: cut neck and strings together, nothing outside acts beyond the cut, so M = T e
    cos(rise)."""
    found = head_load(pull, lean, 0.012, 0.0135, 0.24, reach)
    assert found.moment == pytest.approx(pull * 0.0135 * np.cos(np.arctan(0.0015 / 0.24)), rel=1e-9,
                                         abs=1e-12)


def test_parts_by_hand():
    """Worked: 100 N level at 12 mm, head 30 degrees back, tuner 100 mm away, cut 200 mm from the nut."""
    found = head_load(100.0, np.radians(30.0), 0.012, 0.012, 0.2, 0.1)
    # Nut: 100 (1 - cos 30) forwards at 12 mm, 50 down at 200 mm.
    # Tuner: 86.6 forwards at 12 - 50 mm, 50 up at 286.6 mm.
    assert found.from_nut == pytest.approx(100 * (1 - np.cos(np.pi / 6)) * 0.012 - 50 * 0.2)
    assert found.from_tuner == pytest.approx(100 * np.cos(np.pi / 6) * (0.012 - 0.05) + 50 *
                                             (0.2 + 0.1 * np.cos(np.pi / 6)))
    assert found.on_nut == pytest.approx(2 * 100 * np.sin(np.pi / 12))


def test_parts_change_with_the_angle_and_the_nut_is_pressed_harder():
    found = head_load(460.0, np.radians([4.0, 14.0]), 0.012, 0.013, 0.24)
    assert np.ptp(found.from_nut) > 1 and np.ptp(found.moment) < 1e-9 and np.diff(found.on_nut) > 0


def test_the_nut_bears_the_sum_of_both_pulls():
    """Statics: the string pulls the nut towards the bridge, rising by 1.5 mm in 30 mm, and towards the tuner,
    10 degrees down."""
    found = head_load(100.0, np.radians(10.0), 0.012, 0.0135, 0.03)
    to_bridge = np.array([30.0, 1.5]) / np.hypot(30.0, 1.5)
    to_tuner = -np.array([np.cos(np.pi / 18), np.sin(np.pi / 18)])
    assert found.on_nut == pytest.approx(100 * np.hypot(*(to_bridge + to_tuner)))


@pytest.mark.parametrize("change, words", [
    (dict(head_angle=14.0), ["headstock angle", "degrees"]), (dict(pull=-1.0), ["string pull"]),
    (dict(distance=0.0), ["distance"]), (dict(reach=0.0), ["reach"]),
    (dict(height=12.0), ["height above the axis at the cut"])
])
def test_bad_input_is_named(change, words):
    with pytest.raises(ValueError) as caught:
        head_load(
            **{**dict(pull=460.0, head_angle=0.2, nut_height=0.012, height=0.013, distance=0.24), **change})
    assert all(word in str(caught.value) for word in words), str(caught.value)
