"""The best setting within a rod's limit, and string sets of another gauge."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tonewood.neck.load.relief import Strung, bend
from tonewood.neck.load.rod import Rod, relief_with_rod, unit_response
from tonewood.neck.load.rod_limits import best_setting
from tonewood.strings.sets import string_set

SCALE = 0.648
FRETS = SCALE * (1 - 2 ** (-np.arange(1, 23) / 12))


def slack(moment=5.28):
    x = np.linspace(0, SCALE, 81)
    return bend(Strung(x=x, EI=np.full(81, 350.0), z_bar=np.full(81, -0.003), moment=np.full(81, moment),
                       pull=0.0, frets=FRETS, bridge=SCALE, EA=np.full(81, 12e6), second=False))


def test_within_the_limit_it_is_the_flattest_setting():
    neck = slack(3.0)
    for rod in (Rod(), Rod.single()):
        effort, left = best_setting(neck, rod)
        assert 0 < effort < rod.limit
        unit = unit_response(neck, rod).at_fret
        (best,), *_ = np.linalg.lstsq(unit[:, None], -neck.at_fret, rcond=None)
        assert effort == pytest.approx(best)
        assert left == pytest.approx(relief_with_rod(neck, rod, effort=float(effort)).at_fret)


@settings(deadline=None, max_examples=20)
@given(st.floats(-0.002, 0.002), st.floats(-0.001, 0.001))
def test_no_allowed_setting_is_flatter(size, wave):
    along = (FRETS - FRETS[0]) / (FRETS[-1] - FRETS[0])
    shape = size * 4 * along * (1 - along) + wave * np.sin(2 * np.pi * along)
    for rod, low in ((Rod(), -1.0), (Rod.single(), 0.0)):
        effort, left = best_setting(slack(), rod, shape)
        assert low * rod.limit <= effort <= rod.limit
        for other in np.linspace(low, 1, 9) * rod.limit:
            tried = shape + other * unit_response(slack(), rod).at_fret
            assert np.sum(left**2) <= np.sum(tried**2) + 1e-15


def test_a_single_acting_rod_leaves_back_bow_alone():
    shape = -0.0003 * np.ones(22)
    effort, left = best_setting(slack(), Rod.single(), shape)
    assert effort == 0 and left == pytest.approx(shape)
    assert best_setting(slack(), Rod(), shape)[0] < 0


def test_draws_of_shapes():
    shapes = np.array([0.0001, 0.0002])[:, None] * np.ones(22)
    effort, left = best_setting(slack(), Rod(), shapes)
    assert effort.shape == (2,) and left.shape == (2, 22) and effort[1] == pytest.approx(2 * effort[0])


def test_best_setting_refuses_millimetres():
    with pytest.raises(ValueError, match="measured shape"):
        best_setting(slack(), Rod(), 0.3 * np.ones(22))


@pytest.mark.parametrize("name", ["six", "seven", "eight", "bass four", "bass five"])
def test_thicker_sets_pull_with_the_square_of_the_gauge(name):
    """Independently derived: mass per length goes with the area, tension with the mass at a given pitch;
    stress stays."""
    usual, heavy = string_set(name), string_set(name, gauge=1.1)
    assert heavy.tension == pytest.approx(1.21 * usual.tension)
    assert heavy.tension_breaking_share == pytest.approx(
        usual.tension_breaking_share) and heavy.tuning == usual.tuning


def test_gauge_refuses_percent():
    with pytest.raises(ValueError, match="1.1"):
        string_set("six", gauge=110)
