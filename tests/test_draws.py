"""Bands, tables of bands, written numbers and the few numerical helpers, against numpy, scipy and by hand."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from scipy.stats import norm

from tonewood import draws
from tonewood.constants import INCH

values = st.floats(-1e6, 1e6)


@given(arrays(float, st.integers(1, 60), elements=values))
def test_a_band_is_numpy_s_linear_percentiles(found):
    size = np.abs(found).max()
    assert draws.band(found) == pytest.approx(np.percentile(found, (5, 50, 95)), abs=1e-9 * (1 + size))
    assert draws.band(np.stack([found, -found], 1))[:, 1] == pytest.approx(
        -draws.band(found)[::-1], abs=1e-9 * (1 + size))


def test_a_table_of_bands_has_the_three_points_only_where_something_was_drawn():
    drawn = draws.band_table({"a (mm)": np.arange(101.0), "b (mm)": 2.0})
    assert drawn["a (mm)"].tolist() == [5.0, 50.0, 95.0] and drawn["b (mm)"].tolist() == [2.0] * 3
    assert draws.band_table({"b (mm)": 2.0})["b (mm)"].tolist() == [2.0]


def test_shares_of_the_normal_distribution():
    z = np.array([-3.0, -1.0, 0.0, 0.5, 2.5])
    assert draws.normal_share(z) == pytest.approx(norm.cdf(z), rel=1e-12)
    assert pytest.approx(norm.ppf(0.95), rel=1e-12) == draws.Z90


@pytest.mark.parametrize("low, high", [(0.9, 1.1), (0.5, 2.0), (0.2, 4.0)])
def test_the_smooth_way_differs_by_rounding_alone(low, high):
    x = np.linspace(low, high, 1000)[:, None]
    half = np.linspace(0.3, 6.0, 16)

    def kept(less):
        return 1 - np.tanh(half * less) / (half * less)

    assert np.abs(draws.smooth(kept, x) - kept(x)).max() < 1e-12


def test_bisection_and_batches():
    low, high = np.zeros(3), np.full(3, 2.0)
    aim = np.array([0.3, 1.0, 1.9])
    assert draws.bisect(lambda x: x < aim, low, high, 60) == pytest.approx(aim, abs=1e-15)
    whole = np.arange(701)
    assert np.concatenate(draws.in_batches(lambda rows: whole[rows], len(whole))).tolist() == whole.tolist()


@given(values, st.integers(0, 4))
def test_a_written_number_reads_back_and_has_no_hyphen_and_no_minus_nought(value, decimals):
    for sign in (False, True):
        shown = draws.written(value, decimals, sign)
        read = float(shown.replace("−", "-"))
        assert read == pytest.approx(value, abs=0.5001 * 10.0**-decimals)
        assert "-" not in shown and (read != 0 or shown[0] == "0")
        assert shown.startswith("+") is (sign and read > 0)


@given(st.floats(-2.0, 2.0))
def test_inches_are_the_nearest_sixty_fourth_and_tell_what_rounding_added(length):
    shown, added = draws.written_inches(length)
    sign, parts = (-1 if shown.startswith("−") else 1), shown.removesuffix(" in").lstrip("−").split()
    read = sign * sum(int(p.split("/")[0]) / int(p.split("/")[-1]) if "/" in p else int(p) for p in parts)
    assert read * INCH - length == pytest.approx(added, abs=1e-10)
    assert abs(added) <= INCH / 128 + 1e-12
