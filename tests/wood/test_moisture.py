"""Moisture laws: shape, inverses, draws, and refusals."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tonewood.wood import moisture as water

temperatures = st.floats(-20, 60)
humidities = st.floats(0.0, 1.0)


@given(temperatures, humidities, st.floats(0.001, 0.2))
def test_damper_air_makes_damper_wood(t, h, step):
    assert water.equilibrium_moisture(t, min(h + step, 1.0)) >= water.equilibrium_moisture(t, h)


@given(temperatures, humidities)
def test_moisture_lies_between_dry_and_saturated(t, h):
    assert 0 <= water.equilibrium_moisture(t, h) < 0.31


def test_dry_air_dries_wood_out():
    assert water.equilibrium_moisture(20.0, 0.0) == 0.0
    assert water.humidity_for(20.0, 0.0) == pytest.approx(0.0, abs=1e-9)


@given(temperatures, st.floats(0.01, 0.99))
def test_inverse_comes_back(t, h):
    assert water.humidity_for(t, water.equilibrium_moisture(t, h)) == pytest.approx(h, abs=1e-9)


def test_inverse_of_arrays():
    t, h = np.array([[5.0], [20.0], [35.0]]), np.array([0.2, 0.45, 0.7, 0.95])
    m = water.equilibrium_moisture(t, h)
    assert m.shape == (3, 4)
    assert water.humidity_for(t, m) == pytest.approx(np.broadcast_to(h, (3, 4)), abs=1e-9)


def test_band_holds_the_curve():
    low, high = water.equilibrium_band(20.0, np.array([0.0, 0.02, 0.45, 0.8]))
    middle = water.equilibrium_moisture(20.0, np.array([0.0, 0.02, 0.45, 0.8]))
    assert np.all((low >= 0) & (low <= middle) & (middle < high))
    assert (high - low)[2] == pytest.approx(0.02)


def test_numbers_in_give_plain_numbers_out():
    assert type(water.equilibrium_moisture(20, 0.45)) is float
    assert type(water.humidity_for(20, 0.08)) is float
    assert type(water.modulus_at(12e9, 1.2, 0.08)) is float
    assert type(water.density_at(700.0, 0.08)) is float
    assert type(water.dimension_change(60.0, 0.08, 0.10, coefficient=0.3)) is float


@given(st.floats(1.0, 1.5), st.floats(0.2, 0.29), st.floats(0.0, 0.30), st.floats(0.0, 0.30))
def test_drier_is_stiffer(ratio, mp, a, b):
    dry, damp = min(a, b), max(a, b)
    assert water.modulus_at(1.0, ratio, dry, mp) >= water.modulus_at(1.0, ratio, damp, mp) * (1 - 1e-12)
    assert water.modulus_at(1.0, ratio, 0.12, mp) == pytest.approx(1.0)


def test_level_between_intersection_and_saturation():
    assert water.modulus_at(12e9, 1.25, 0.27, 0.25) == pytest.approx(12e9 / 1.25)
    assert water.modulus_at(12e9, 1.25, 0.27, 0.25) == water.modulus_at(12e9, 1.25, 0.25, 0.25)


def test_modulus_carries_draws():
    E = np.array([10e9, 12e9, 14e9])
    assert water.modulus_at(E, 1.2, 0.08) == pytest.approx(E * water.modulus_at(1.0, 1.2, 0.08))


@given(st.floats(0.0, 0.30))
def test_ovendry_mass_is_conserved(m):
    """Mass of dry wood in a piece, density / (1 + M) x volume, does not change with moisture."""
    C = (0.005, 0.165, 0.353)
    volume = np.prod([1 + c * (m - 0.12) for c in C])
    assert water.density_at(700.0, m, *C) / (1 + m) * volume == pytest.approx(700 / 1.12, rel=1e-12)


@given(st.floats(0.0, 0.30), st.floats(0.0, 0.30), st.floats(0.02, 0.12))
def test_change_there_and_back_cancels_along_the_line(a, b, shrinkage):
    there = 60 + water.dimension_change(60.0, a, b, shrinkage=shrinkage)
    back = there + water.dimension_change(there, b, a, shrinkage=shrinkage)
    assert back == pytest.approx(60.0, rel=1e-9)


@given(st.floats(0.02, 0.12), st.floats(0.0, 0.30))
def test_line_agrees_with_shrinkage_from_green(shrinkage, m):
    """Shrinkage from green to M is S (1 - M / M_fs): the change formula started at fibre saturation."""
    change = water.dimension_change(1.0, 0.30, m, shrinkage=shrinkage)
    assert change == pytest.approx(-shrinkage * (1 - m / 0.30), abs=1e-12)


def test_coefficient_inside_line_outside():
    inside = water.dimension_change(60.0, 0.06, 0.14, coefficient=0.353, shrinkage=0.099)
    assert inside == pytest.approx(60 * 0.353 * 0.08)
    outside = water.dimension_change(60.0, 0.04, 0.14, coefficient=0.353, shrinkage=0.099)
    assert outside == pytest.approx(water.dimension_change(60.0, 0.04, 0.14, shrinkage=0.099))
    both = water.dimension_change(60.0, np.array([0.06, 0.04]), 0.14, coefficient=0.353, shrinkage=0.099)
    assert both == pytest.approx([inside, outside])


def test_no_swelling_above_fibre_saturation():
    assert water.dimension_change(60.0, 0.23, 0.27, shrinkage=0.09, fibre_saturation=0.22) == 0.0


def test_percent_for_a_fraction_is_caught():
    with pytest.raises(ValueError, match="relative humidity: 45 .*Did you mean 0.45"):
        water.equilibrium_moisture(20.0, 45)
    with pytest.raises(ValueError, match="moisture content: 8 .*Did you mean 0.08"):
        water.humidity_for(20.0, 8)
    with pytest.raises(ValueError, match="shrinkage: 9.9 .*Did you mean 0.099"):
        water.dimension_change(60.0, 0.06, 0.09, shrinkage=9.9)
    with pytest.raises(ValueError, match="intersection moisture content: 25 .*Did you mean 0.25"):
        water.modulus_at(12e9, 1.2, 0.08, 25)


def test_fahrenheit_is_suspected():
    with pytest.raises(ValueError, match="temperature: 120 .*Fahrenheit"):
        water.equilibrium_moisture(120, 0.5)


@pytest.mark.parametrize("call",
                         [lambda m: water.modulus_at(12e9, 1.2, m), lambda m: water.density_at(700.0, m),
                                  lambda m: water.dimension_change(60.0, 0.08, m, shrinkage=0.09)])
def test_moisture_above_fibre_saturation_is_refused(call):
    with pytest.raises(ValueError, match="moisture content: 0.35 .*from 0 to 0.3.*bove fibre saturation"):
        call(0.35)


def test_moisture_no_air_gives_is_refused():
    with pytest.raises(ValueError, match="0.29 given at 54 C; accepted: 0 to 0.26"):
        water.humidity_for(54.0, 0.29)


def test_coefficient_outside_its_range_points_to_the_other_route():
    with pytest.raises(ValueError, match="0.04 to 0.08 given; .*coefficient: 0.06 to 0.14.*shrinkage"):
        water.dimension_change(60.0, 0.08, 0.04, coefficient=0.353)


def test_a_dimension_is_not_negative():
    with pytest.raises(ValueError, match="dimension: −0.5 given"):
        water.dimension_change(-0.5, 0.08, 0.10, shrinkage=0.09)


def test_change_needs_a_law():
    with pytest.raises(ValueError, match="neither a movement coefficient nor a shrinkage"):
        water.dimension_change(60.0, 0.08, 0.10)


@pytest.mark.parametrize("bad", [float("nan"), float("inf"), "damp", None, []])
def test_no_number_is_refused(bad):
    with pytest.raises(ValueError, match="relative humidity"):
        water.equilibrium_moisture(20.0, bad)
