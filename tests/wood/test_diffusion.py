"""Moisture spreading through one slab and through glued layers."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tonewood.constants import DAY
from tonewood.wood.diffusion import Column, diffusivity, paces, roots, time_to, uptake
from tonewood.wood.facts import rule


@pytest.mark.parametrize("biot, fourier", [(np.inf, 0.19673), (0.5, 1.6139), (1.0, 0.9175), (5.0, 0.3491)])
def test_half_change(biot, fourier):
    """Independently derived: series summed elsewhere; a finite-volume run at Bi = 1 gave 0.918."""
    assert uptake(fourier, biot) == pytest.approx(0.5, abs=2e-5)
    assert time_to(0.5, 1.0e-2, 1e-10, biot * 1e-8) * 1e-10 / 1e-4 == pytest.approx(fourier, rel=2e-4)


@pytest.mark.parametrize("share", [0.5, 0.7, 0.95, 0.999])
@pytest.mark.parametrize("film", [1e-9, 1e-7, np.inf])
def test_time_to_undoes_uptake_up_to_nearly_all_of_the_change(share, film):
    seconds = time_to(share, 0.01, 1e-10, film)
    assert uptake(seconds * 1e-10 / 0.01**2, film * 0.01 / 1e-10) == pytest.approx(share, rel=1e-6)


def test_nine_tenths_without_film():
    assert time_to(0.9, 0.01, 1e-10) * 1e-6 == pytest.approx(0.8481, rel=2e-4)


def test_twenty_millimetres_bare():
    assert time_to(0.5, 0.010, 1e-10) / DAY == pytest.approx(2.28, rel=2e-3)
    assert time_to(0.5, 0.010, 3e-11) / DAY == pytest.approx(7.59, rel=2e-3)


def test_double_thickness_takes_four_times_as_long():
    assert time_to(0.5, 0.02, 1e-10) == pytest.approx(4 * time_to(0.5, 0.01, 1e-10), rel=1e-9)


def test_a_film_slows_but_does_not_change_where_it_ends():
    days = np.array([1, 10, 100, 3000]) * DAY
    bare, coated = uptake(1e-10 * days / 1e-4), uptake(1e-10 * days / 1e-4, 0.1)
    assert np.all(coated < bare + 1e-12)
    assert coated[-1] == pytest.approx(1.0, abs=1e-6) and bare[-1] == pytest.approx(1.0, abs=1e-12)


@settings(max_examples=60, deadline=None)
@given(st.floats(1e-3, 1e3), st.floats(0.0, 10.0), st.floats(1e-4, 1.0))
def test_uptake_rises_and_stays_a_share(biot, fourier, more):
    early, late = uptake(fourier, biot), uptake(fourier + more, biot)
    assert -1e-9 <= early <= late + 1e-7 <= 1 + 2e-7


def test_the_two_forms_of_the_solution_meet():
    for biot in (0.01, 1.0, 30.0, 1e4, np.inf):
        assert uptake(0.00199999, biot) == pytest.approx(uptake(0.00200001, biot), rel=3e-5)


def test_one_layer_column_equals_the_series():
    days = np.linspace(0, 30, 121) * DAY
    for film in (1e-9, 1e-8, 1e-7):
        column = Column((0.010,), (1e-10,), (600.0,), 0.0, film)
        mean = column.follow(days, np.full(121, 0.12), 0.08)[:, 0]
        series = 0.08 + 0.04 * uptake(1e-10 * days / 1e-4, film * 0.01 / 1e-10)
        assert np.max(np.abs(mean - series)) < 0.04 * 0.004


def test_two_halves_glued_equal_one_piece():
    days = np.linspace(0, 20, 41) * DAY
    one = Column((0.012,), (1e-10,), (600.0,), 2e-8, 5e-8, cells=24)
    two = Column((0.006, 0.006), (1e-10, 1e-10), (600.0, 600.0), 2e-8, 5e-8)
    whole, halves = (column.follow(days, np.full(41, 0.1), 0.05).mean(-1) for column in (one, two))
    assert halves == pytest.approx(whole, abs=0.05 * 0.004)


def test_history_is_the_sum_of_its_steps():
    """Superposition, by a different route: a ramp followed in one go equals the same ramp in many small
    pieces."""
    column = Column((0.013, 0.006), (1e-10, 0.5e-10), (600.0, 900.0), 1e-8, 4e-8)
    coarse = column.follow([0, 30 * DAY], [0.08, 0.11], 0.08)[-1]
    fine = column.follow(np.linspace(0, 30, 301) * DAY, np.linspace(0.08, 0.11, 301), 0.08)[-1]
    assert coarse == pytest.approx(fine, abs=1e-12)


def test_water_is_conserved():
    """What the layers gain equals what came through the open face: checked on a sealed-off pair that only
    exchanges between layers."""
    column = Column((0.013, 0.006), (1e-10, 0.3e-10), (600.0, 1000.0), 0.0, 1e-16)
    rates, weights = column.modes
    mass = np.array([0.013 * 600, 0.006 * 1000])
    shares = (mass[:, None] * weights).sum(0) / mass.sum()
    slowest = np.argmin(rates)
    # All the water moves with the one slow mode through the nearly sealed face.
    assert shares[slowest] == pytest.approx(1.0, abs=1e-6)
    assert rates[slowest] == pytest.approx(1e-16 * 1000 / mass.sum(), rel=1e-3)


def test_slow_season_is_followed_better_than_the_daily_swing():
    """Direction only; published for poplar under cyclic humidity (Yang, Ma, Li, BioResources 14(3) (2019)
    6397, abstract): amplitude below static."""
    column = Column((0.013,), (1e-10,), (650.0,), 0.0, 1e-8)

    def swing(period):
        times = np.linspace(0, 6 * period, 600)
        mean = column.follow(times, 0.09 + 0.02 * np.sin(2 * np.pi * times / period), 0.09)[300:, 0]
        return np.ptp(mean) / 0.04
    assert swing(1 * DAY) < 0.02 < 0.5 < swing(365 * DAY) < 1.0


def test_many_possible_pieces_at_once():
    spread = np.geomspace(0.3e-10, 3e-10, 7)
    many, one = (Column((0.013, 0.006), (D, 1e-10), (650.0, 900.0), 1e-8, 1e-7)
                 .follow([0, DAY, 9 * DAY], [0.1] * 3, 0.06) for D in (spread, spread[4]))
    assert many.shape == (7, 3, 2)
    assert many[4] == pytest.approx(one, rel=1e-10)


def test_diffusivity_falls_with_density_and_says_it_is_estimated():
    assert diffusivity(400) > diffusivity(700) > diffusivity(1000) > 0.1e-10
    assert rule("diffusion_at_400").status == "estimated" and rule("diffusion_band").status == "from memory"
    band = rule("diffusion_band").value
    low, high = diffusivity(400) / band, diffusivity(400) * band
    assert low < 0.94e-10 and high > 1.0e-10, "the band holds the two values read for spruce"


def test_roots_are_roots():
    for biot in (1e-3, 0.7, 40.0):
        b = roots(biot)
        assert b * np.tan(b) == pytest.approx(np.full(40, biot), rel=1e-6)


@pytest.mark.parametrize("call, words", [
    (lambda: uptake(-0.1), "Fourier number"), (lambda: uptake(0.1, 0.0), "Biot number"),
    (lambda: time_to(0.5, 0.01, -1e-10), "diffusivity: −1e-10"), (lambda: time_to(0.5, 0.01, 1e-4), "mm²/s"),
    (lambda: time_to(1.0, 0.01, 1e-10), "share of the change"),
    (lambda: time_to(50, 0.01, 1e-10), "Did you mean 0.5"),
    (lambda: time_to(0.5, 10.0, 1e-10), "did you mean 0.01 m"),
    (lambda: diffusivity(0.7), "Did you mean 700"), (lambda: Column((0.01,), (1e-10,), (600,), 0.0, 0.0),
                                                     "both faces"),
    (lambda: Column((0.01,), (1e-10, 1e-10), (600,), 0.0, 1.0), "layers: 1 thicknesses, 2 diffusivities"),
    (lambda: Column((0.01,), (0.0,), (600,), 0.0, 1.0), "diffusivity"),
    (lambda: Column((0.01,), (1e-10,), (600,), 0.0, -1.0), "film coefficient"),
    (lambda: Column((0.01,), (1e-10,), (600,), 0.0, 1.0).follow([0, 1], [0.1], 0.1), "times"),
    (lambda: Column((0.01,), (1e-10,), (600,), 0.0, 1.0).follow([1, 0], [0.1, 0.1], 0.1), "rising"),
    (lambda: Column((0.01,), (1e-10,), (600,), 0.0, 1.0).follow([0, 1], [10, 10], 0.1),
     "equilibrium moisture of the air: 10")
])
def test_bad_input_is_named(call, words):
    with pytest.raises(ValueError, match=words):
        call()


def test_paces_match_the_stated_band():
    from scipy.stats import norm

    z = norm.ppf([0.1, 0.3, 0.5, 0.7, 0.9])
    band = rule("diffusion_band").value
    assert paces() == pytest.approx(np.exp(z * np.log(band) / norm.ppf(0.95)), rel=1e-3)
