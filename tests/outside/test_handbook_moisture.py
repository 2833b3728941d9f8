"""Moisture, movement and stiffness against worked examples of the Wood Handbook and two trade and research
notes.

Sources: USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190 (2010) and FPL-GTR-282 (2021), places
named in each test; Green, D. W., Moisture content and the shrinkage of lumber, FPL-RP-489 (1989); a
calculator published with Simpson, FPL-RN-0268 (1998); a trade column (FDMC magazine). "Independently derived"
marks values computed by hand from the published formula.
"""

import numpy as np
import pytest

from tonewood.wood import moisture as water
from tonewood.wood.species import all_species, species


@pytest.mark.parametrize(("humidity", "printed"), [(0.30, 6.0), (0.50, 9.0), (0.65, 12.0), (0.80, 16.0)])
def test_trade_column_rounded_values(humidity, printed):
    assert 100 * water.equilibrium_moisture(20.0, humidity) == pytest.approx(printed, abs=0.35)


@pytest.mark.parametrize(
    ("humidity", "derived"), [(0.40, 7.722), (0.45, 8.485), (0.50, 9.271), (0.60, 11.000), (0.80, 16.037)]
)
def test_formula_by_hand_at_20_c(humidity, derived):
    assert 100 * water.equilibrium_moisture(20.0, humidity) == pytest.approx(derived, abs=0.001)


@pytest.mark.parametrize(("humidity", "printed"), [(0.25, 5.3), (0.60, 11.1), (0.84, 17.6)])
def test_published_calculator(humidity, printed):
    assert 100 * water.equilibrium_moisture(21.1, humidity) == pytest.approx(printed, abs=0.2)


def test_humidity_for_eight_percent_and_slope():
    assert 100 * water.humidity_for(20.0, 0.08) == pytest.approx(41.83, abs=0.01)
    slope = (water.equilibrium_moisture(20.0, 0.455) - water.equilibrium_moisture(20.0, 0.445)) / 0.01
    assert slope == pytest.approx(0.154, abs=0.001)


def test_second_published_fit_agrees_to_one_percent_moisture():
    """Glass and others (2014), Eq. 4-6 of FPL-GTR-282, [A T (1 - T/Tc)^B ln(1 - h)]^(C T^D) with T in kelvin:
    another fit to other weights of the same kind of data."""
    t, h = np.meshgrid([10.0, 20.0, 30.0], [0.3, 0.4, 0.5, 0.6, 0.7])
    T = t + 273.15
    second = (-0.000612 * T * (1 - T / 647.1) ** 2.43 * np.log1p(-h)) ** (0.0577 * T**0.430)
    assert water.equilibrium_moisture(t, h) == pytest.approx(second, abs=0.01)


def test_white_ash_strength_at_8_percent_as_printed():
    """Handbook example of Eq. 5-3, p. 5-34: 103 MPa at 12 %, 66 MPa green, M_p 24 %, printed 119 500 kPa at 8
    %."""
    ash = species("white ash")
    assert ash.mp == pytest.approx(0.24)
    assert water.modulus_at(103.0, 103 / 66, 0.08, ash.mp) == pytest.approx(119.5, abs=0.05)


def test_stiffening_below_12_percent():
    assert water.modulus_at(1.0, 1.25, 0.08, 0.25) == pytest.approx(1.0711, abs=1e-4)
    assert water.modulus_at(1.0, 1.25, 0.06, 0.25) == pytest.approx(1.1085, abs=1e-4)


def test_green_value_comes_back_at_the_intersection_moisture():
    for wood in all_species():
        green = water.modulus_at(wood.modulus, wood.green_ratio, wood.mp, wood.mp)
        assert green == pytest.approx(wood.modulus / wood.green_ratio, rel=1e-12)


def test_width_example_of_the_handbook():
    """FPL-GTR-190, p. 13: 232 mm flooring, C_T 0.00245, 8 to 11 %: 233.7 mm."""
    change = water.dimension_change(232.0, 0.08, 0.11, coefficient=0.245)
    assert 232 + change == pytest.approx(233.7, abs=0.05)


def test_red_oak_flat_sawn_example():
    """Published note on Table 13-5: 11.25 in, C_T 0.00369, 4 points: 0.166 in."""
    change = water.dimension_change(11.25, 0.08, 0.12, coefficient=species("red oak").swelling[2])
    assert change == pytest.approx(0.166, abs=0.0005)


@pytest.mark.parametrize(
    ("intercept", "slope", "at_8", "at_19"), [(6.031, 0.215, 4.311, 1.946), (5.062, 0.181, 3.614, 1.623)]
)
def test_lumber_shrinkage_lines(intercept, slope, at_8, at_19):
    """FPL-RP-489: shrinkage of width 6.031 - 0.215 M, of thickness 5.062 - 0.181 M (percent): the straight
    line to fibre saturation."""
    saturation = intercept / slope / 100
    for moisture, read in ((0.08, at_8), (0.19, at_19)):
        dried = water.dimension_change(100.0, saturation, moisture, shrinkage=intercept / 100,
                                       fibre_saturation=saturation)
        assert -dried == pytest.approx(read, abs=5e-4)


def test_hard_maple_60_mm_over_a_winter():
    """Table 13-5: C_T 0.00353, C_R 0.00165; 60 mm, 6 to 9 %: 0.635 and 0.297 mm (independently derived)."""
    _, radial, tangential = species("hard maple").swelling
    assert water.dimension_change(60.0, 0.06, 0.09, coefficient=tangential) == pytest.approx(0.635, abs=0.001)
    assert water.dimension_change(60.0, 0.06, 0.09, coefficient=radial) == pytest.approx(0.297, abs=0.001)


def test_coefficients_and_total_shrinkage_tell_the_same_story():
    """Two tables of the Handbook, 13-5 and 4-3, agree through the straight line of Eq. 4-9 to a few percent,
    wood by wood."""
    grouped = {
        "green_ash",
        "sweet_birch",
        "red_oak",
        "white_oak",
    }  # printed with the coefficient of a group of species
    checked = 0
    for wood in all_species():
        for direction, shrinkage, coefficient in zip(
            ("radial", "tangential"), wood.shrinkage, wood.swelling[1:], strict=True
        ):
            names = f"shrinkage_{direction}", f"movement_{direction}"
            if wood.key in grouped or any(wood.status(n) != "published" for n in names):
                continue
            by_line = water.dimension_change(1.0, 0.06, 0.14, shrinkage=shrinkage)
            by_coefficient = water.dimension_change(1.0, 0.06, 0.14, coefficient=coefficient)
            assert by_coefficient == pytest.approx(by_line, rel=0.08), (wood.name, direction)
            checked += 1
    assert checked >= 20


def test_density_examples():
    """FPL-GTR-282, Table 4-6a: specific gravity 0.60 at 12 % is 672 kg/m3; Eq. 4-13 makes white ash 0.603
    from green 0.55."""
    assert species("white ash").density == pytest.approx(672, abs=0.5)
    green = species("white ash").fact("specific_gravity_green").value
    assert green / (1 - 0.265 * green * (1 - 12 / 30)) == pytest.approx(0.603, abs=0.0005)


def test_weight_when_drying_follows_ovendry_mass():
    """Independently derived: without swelling a board loses exactly its water; with it the volume shrinks
    too."""
    assert water.density_at(672.0, 0.0) == pytest.approx(600.0)
    ash = species("white ash")
    dry = water.density_at(672.0, 0.06, *ash.swelling)
    lost_water = 672 * 1.06 / 1.12
    shrunk = np.prod([1 - 0.06 * c for c in ash.swelling])
    assert dry == pytest.approx(lost_water / shrunk, rel=1e-12)
    assert lost_water < dry < 672
