"""Moisture by hand: published worked values, errors against a Monte Carlo of their own, refusals.

Sources: James, W. L., Electric Moisture Meters for Wood, FPL-GTR-6 (1988), worked example of Figure 5; Wood
Handbook, FPL-GTR-282 (2021), page 4-3 (most moisture), Eqs. 4-1, 4-4 and 5-3, Tables 5-15 and 5-16. "By hand"
marks values computed from the printed formula.
"""

import numpy as np
import pytest

from tonewood.bench import measure
from tonewood.bench.moisture_readings import (
    MoistureReading,
    by_meter,
    by_room,
    density_at_12,
    modulus_at_12,
    oven_dry,
    settled_share,
    temperature_correction,
)
from tonewood.tables import read_table
from tonewood.wood import moisture as water
from tonewood.wood.species import species
from tonewood.wood.temperature import temperature_factor

MAPLE, WALNUT, FIR = (species(name) for name in ("hard maple", "black walnut", "Douglas-fir"))


def reading(value, error=0.01):
    return MoistureReading(value=value, error=error, how="", status="")


def test_oven_dry_is_water_over_ovendry_wood():
    """Eq. 4-1 by hand: 54.2 g and 50.0 g are 8.4 %; a kitchen scale doubts a small piece, not a large one."""
    assert oven_dry(0.0542, 0.0500).value == pytest.approx(0.084)
    small, large = (oven_dry(1.084 * dry, dry, scale=0.001).error for dry in (0.02, 1.0))
    assert small > 0.07 and large < 0.0035
    rng = np.random.default_rng(1)
    wet, dry = (m + 0.001 * rng.standard_normal(40_000) for m in (0.1084, 0.1000))
    drawn = wet / dry - 1 + 0.003 * rng.standard_normal(40_000)
    assert oven_dry(0.1084, 0.1000, scale=0.001).error == pytest.approx(np.std(drawn), rel=0.02)


def test_worked_example_of_the_temperature_chart():
    """FPL-GTR-6, Figure 5: 18 % shown by wood at 120 F is 14 %; at 70 F, as calibrated, nothing is added."""
    assert 0.18 + temperature_correction(0.18, (120 - 32) / 1.8) == pytest.approx(0.14, abs=0.003)
    assert temperature_correction(0.12, (70 - 32) / 1.8) == pytest.approx(0.0, abs=0.001)
    cold, warm = (temperature_correction(0.12, t) for t in (5.0, 35.0))
    assert cold == pytest.approx(0.022) and warm == pytest.approx(-0.016)


def test_the_scale_is_that_of_douglas_fir_and_a_wood_is_read_at_its_resistance():
    """By hand from the lines read: log M = 1.7003 - 0.12007 log R of Douglas-fir, 1.6676 - 0.11069 log R of
    black walnut, R in kilohms: 12 % on the scale is 150 megohms, and walnut of 150 megohms holds 12.4 %."""
    calibrated = (70 - 32) / 1.8
    assert by_meter(0.12, FIR, calibrated).value == pytest.approx(0.12, abs=0.0006)
    R = 10 ** ((np.log10(12) - 1.7003) / -0.12007)
    assert R / 1e3 == pytest.approx(149, abs=1)
    assert 100 * by_meter(0.12, WALNUT, calibrated).value == pytest.approx(
        10 ** (1.6676 - 0.11069 * np.log10(R)), abs=0.06)


def test_the_line_of_a_wood_without_one_is_the_mean_and_doubts_more():
    wenge, walnut = by_meter(0.10, species("wenge")), by_meter(0.10, WALNUT)
    assert "no line for this wood" in wenge.how and wenge.error > walnut.error
    lines = [by_meter(0.10, species(row["species"])).value for row in read_table("meter_woods.csv")]
    assert wenge.value == pytest.approx(np.mean(lines)) and wenge.status == "from memory"


def test_a_room_tells_its_equilibrium_and_doubts_what_has_not_settled():
    thin, thick = (by_room(0.45, 20.0, MAPLE, t) for t in (0.003, 0.050))
    assert thin.value == thick.value == pytest.approx(water.equilibrium_moisture(20.0, 0.45))
    assert thick.error > 1.3 * thin.error and "100 %" in thin.how
    known = by_room(0.45, 20.0, MAPLE, 0.050, came_at=0.12)
    share = settled_share(MAPLE, 0.050, 14.0)
    assert known.value == pytest.approx(thin.value + (1 - share) * (0.12 - thin.value))
    assert known.error < thick.error
    dry = by_room(0.0, 20.0, MAPLE, 0.003)              # no air is drier than dry
    assert dry.value == 0.0 and 0.01 < dry.error < thin.error


def test_two_weeks_in_a_room_by_a_plane_sheet_in_steps():
    """The share settled against diffusion in 200 slices, explicit steps, with the film on both faces: Fick's
    law by another method than the series."""
    from tonewood.constants import DAY
    from tonewood.wood.diffusion import diffusivity
    from tonewood.wood.finish import finish
    D, h, half = diffusivity(MAPLE.density), finish("bare").film(MAPLE.density), 0.0125
    n = 60
    dx, m = half / n, np.ones(n)
    step = 0.4 * dx**2 / D
    for _ in range(int(14 * DAY / step)):
        flow = D * np.diff(m) / dx
        out = m[-1] / (1 / h + dx / (2 * D))
        m = m + step / dx * (np.append(flow, -out) - np.append(0.0, flow))
    assert settled_share(MAPLE, 2 * half, 14.0) == pytest.approx(1 - m.mean(), abs=0.005)


def test_carried_to_12_percent_with_the_doubt_of_the_reading():
    """Eq. 5-3 for the value; the error against 40000 drawn moistures and readings."""
    read, rng = reading(0.08, 0.015), np.random.default_rng(2)
    m = 0.08 + 0.015 * rng.standard_normal(40_000)
    drawn = (12e9 * (1 + 0.03 * rng.standard_normal(m.size))
             / water.modulus_at(1.0, MAPLE.green_ratio, np.clip(m, 0, 0.3), MAPLE.mp))
    found = modulus_at_12(12e9, read, MAPLE, 0.03)
    assert found.value == pytest.approx(measure.modulus_at_12(12e9, 0.08, MAPLE.green_ratio, MAPLE.mp))
    assert found.error == pytest.approx(np.std(drawn) / np.mean(drawn), rel=0.03)
    assert found.from_moisture < found.error and modulus_at_12(12e9, reading(0.12, 0), MAPLE).value == 12e9
    rho = density_at_12(700.0, read, MAPLE, 0.0)
    drawn = 700 / water.density_at(1.0, np.clip(m, 0, 0.3), *MAPLE.swelling)
    assert rho.error == pytest.approx(np.std(drawn) / np.mean(drawn), rel=0.03)


def test_above_fibre_saturation_stiffness_is_level_and_only_the_weight_grows():
    wet = [modulus_at_12(10e9, reading(m), MAPLE) for m in (0.32, 0.60, 0.90)]
    assert len({round(w.value) for w in wet}) == 1 and wet[0].value == pytest.approx(
        10e9 * MAPLE.green_ratio)
    assert wet[1].from_moisture == 0
    at_fs = density_at_12(1000.0, reading(0.30), MAPLE).value
    assert density_at_12(1000.0 * 1.60 / 1.30, reading(0.60), MAPLE).value == pytest.approx(at_fs)


def test_most_moisture():
    """Eq. 4-3 by hand at 1.54; the handbook's text, 267 % at 0.30, is that of a cell wall of 1.50."""
    assert water.most_moisture(0.30) == pytest.approx(1 / 0.30 - 1 / 1.54)
    assert water.most_moisture(0.30) == pytest.approx(2.67, abs=0.02)
    green = MAPLE.fact("specific_gravity_green").value
    assert water.green_gravity(MAPLE.density, *MAPLE.swelling) == pytest.approx(green, rel=0.03)


def test_warmth_softens_as_printed():
    """Table 5-15 at its points; between 20 and 50 C the lumber line of Table 5-16, 7.8553 - 0.1108 T (F) per
    cent, lies within 1.5 points."""
    for quantity, moisture, temperature, change in (
            ("modulus", 0.0, 50, -6), ("modulus", 0.12, 50, -7), ("modulus", 0.12, -50, 17),
            ("bending_strength", 0.13, 50, -20), ("bending_strength", 0.30, 50, -25),
            ("modulus_across", 0.12, 50, -35)):
        assert temperature_factor(quantity, moisture, temperature) == pytest.approx(1 + change / 100)
    for celsius in (20.0, 35.0, 50.0):
        lumber = 7.8553 - 0.1108 * (1.8 * celsius + 32)
        assert 100 * (temperature_factor("modulus", 0.12, celsius) - 1) == pytest.approx(lumber, abs=1.5)
    both = temperature_factor("modulus", np.array([0.0, 0.12]), 50.0)
    assert both == pytest.approx([0.94, 0.93])


@pytest.mark.parametrize("call, words", [
    (lambda: oven_dry(54.2, 50.0), "mass before drying: 54.2 kg given.*Grams"),
    (lambda: oven_dry(0.050, 0.0542), "mass after drying: 0.0542 kg given after 0.05 kg.*swapped"),
    (lambda: oven_dry(0.0542, 0.0), "mass after drying: 0 kg"),
    (lambda: by_meter(12, WALNUT), "reading of the meter: 12 .*Did you mean 0.12"),
    (lambda: by_meter(0.04, WALNUT), "reading of the meter: 0.04 .*from 0.06 to 0.25"),
    (lambda: by_meter(0.12, WALNUT, 70), "temperature of the wood: 70.*Fahrenheit"),
    (lambda: by_room(42, 20.0, MAPLE, 0.025), "relative humidity: 42 .*Did you mean 0.42"),
    (lambda: by_room(0.42, 68.0, MAPLE, 0.025), "temperature: 68.*Fahrenheit"),
    (lambda: by_room(0.42, 20.0, MAPLE, 25.0), "thickness: 25 m.*mm"),
    (lambda: modulus_at_12(12.0, reading(0.08), MAPLE), "modulus along the grain: 12 Pa.*GPa"),
    (lambda: temperature_factor("modulus_across", 0.12, 0.0), "temperature of the wood: 0"),
    (lambda: temperature_factor("hardness", 0.12, 20.0), "quantity: 'hardness'"),
    (lambda: water.most_moisture(560.0), "specific gravity, green: 560"),
])
def test_refusals(call, words):
    with pytest.raises(ValueError, match=words):
        call()
