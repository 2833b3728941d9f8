"""What a string loses by itself (independently derived: hand-worked Stokes drag, Bessel functions at high
precision, definitions)."""

import mpmath
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import kve

from tonewood.sound.string_loss import (
    StringLoss,
    air_loss,
    air_resistance,
    decay_time,
    loss_from_t60,
    steel_loss,
    steel_string_loss,
    t60,
    three_part_loss,
    wire_loss,
)
from tonewood.strings.wire import inharmonicity, plain, wound
from tonewood.wood.facts import rule

AIR_VISCOSITY, AIR_DENSITY = rule("air_viscosity").value, rule("air_density").value


def air_resistance_exact(diameter, frequency):
    """The drag from Stokes' solution with Bessel functions: a rigid cylinder shaken across its length in
    still air."""
    omega, radius = 2 * np.pi * frequency, diameter / 2
    k = np.sqrt(1j * omega * AIR_DENSITY / AIR_VISCOSITY) * radius
    return np.real(1j * omega * np.pi * AIR_DENSITY * radius**2 * (1 + 4 * kve(1, k) / (k * kve(0, k))))


@pytest.mark.parametrize("diameter, frequency, mass, R, eta, seconds, exact", [
    (.254e-3, 329.628, 3.9777e-4, 3.5178e-4, 4.2701e-4, 15.62, 3.4076e-4),
    (1.168e-3, 82.407, 6.8736e-3, 6.6189e-4, 1.8598e-4, 143.5, 6.5643e-4)])
def test_air(diameter, frequency, mass, R, eta, seconds, exact):
    assert air_resistance(diameter, frequency) == pytest.approx(R, rel=1e-4)
    assert air_loss(mass, diameter, frequency) == pytest.approx(eta, rel=1e-4)
    assert t60(frequency, air_loss(mass, diameter, frequency)) == pytest.approx(seconds, rel=1e-3)
    assert air_resistance_exact(diameter, frequency) == pytest.approx(exact, rel=1e-4)
    # Stream function (A / r + B K1(k r)) sin(angle) with no slip at r = a; then pressure and wall shear
    # summed round the cylinder.
    with mpmath.workdps(40):
        omega, a = 2 * mpmath.pi * mpmath.mpf(frequency), mpmath.mpf(diameter) / 2
        k = mpmath.sqrt(1j * omega * AIR_DENSITY / AIR_VISCOSITY)

        def K1(r):
            return mpmath.besselk(1, k * r)

        slope = mpmath.diff(K1, a, h=a * mpmath.mpf(10) ** -15)
        A, B = mpmath.lu_solve(mpmath.matrix([[1 / a, K1(a)], [-1 / a**2, slope]]), mpmath.matrix([a, 1]))
        drag = mpmath.pi * (1j * omega * AIR_DENSITY * A - AIR_VISCOSITY * k**2 * B * K1(a) * a)
    assert air_resistance_exact(diameter, frequency) == pytest.approx(float(drag.real), rel=1e-9)
    assert air_resistance(diameter, frequency) == pytest.approx(float(drag.real), rel=.035)


def test_bending_share():
    EI = 200e9 * np.pi / 64 * .254e-3**4
    shares = inharmonicity(EI, 72.59, .648) * np.array([1, 10, 20]) ** 2
    np.testing.assert_allclose(shares, [1.323e-5, 1.323e-3, 5.293e-3], rtol=3e-4)


@given(f=st.floats(20, 5000), eta=st.floats(2e-4, .1))
def test_t60_is_sixty_decibels_of_the_decaying_wave(f, eta):
    seconds = t60(f, eta)
    assert -20 * np.log10(np.exp(-np.pi * f * eta * seconds)) == pytest.approx(60)
    assert loss_from_t60(f, seconds) == pytest.approx(eta)


def test_no_loss_rings_for_ever():
    assert t60(100.0, 0.0) == np.inf and decay_time(0.0) == np.inf
    np.testing.assert_allclose(decay_time(np.array([0.0, 1.0, np.log(1000)])), [np.inf, np.log(1000), 1.0])


@given(friction=st.floats(0, .01), bending=st.floats(0, .05), n=st.integers(1, 30))
def test_three_part_loss_lies_between_its_parts(friction, bending, n):
    eta = three_part_loss(70.0, 1e-4, .65, n, 100.0 * n, 0.0, friction, bending)
    assert min(friction, bending) - 1e-12 <= eta <= max(friction, bending) + 1e-12


def test_steel_string_adds_friction_and_bending():
    air, own = steel_string_loss(4e-4, .254e-3, 72.6, 4e-5, .648, 3, 990.0, 1e-4, 4e-3)
    assert air == air_loss(4e-4, .254e-3, 990.0)
    assert own == pytest.approx(1e-4 + 4e-5 * (3 * np.pi / .648) ** 2 / 72.6 * 4e-3)


def test_age_runs_from_new_to_old_and_carries_its_status():
    for kind in ("plain", "wound"):
        steps = [steel_loss(kind, age) for age in np.linspace(0, 1, 6)]
        for part in ("friction", "bending"):
            values = [getattr(s, part) for s in steps]
            assert values[0] == rule(f"string_{part}_{kind}_new").value
            assert values[-1] == pytest.approx(rule(f"string_{part}_{kind}_played").value)
            assert np.all(np.diff(values) > -1e-15) and (part == "bending" or np.all(np.diff(values) > 0))
        assert all(s.status == "from memory, unverified" and s.band >= 2 for s in steps)
    assert steel_loss("wound").friction > steel_loss("plain").friction
    assert wire_loss(wound(1.2e-3, 0.4e-3), 0.5) == steel_loss("wound", 0.5)
    assert wire_loss(plain(0.25e-3)) == steel_loss("plain")


def test_the_band_of_every_steel_constant_is_its_value_times_and_divided():
    for kind, band in (("plain", 2.0), ("wound", 2.5)):
        assert steel_loss(kind).band == pytest.approx(band)
        for age in ("new", "played"):
            row = rule(f"string_friction_{kind}_{age}")
            assert row.high / row.value == pytest.approx(row.value / row.low) == pytest.approx(band)


@pytest.mark.parametrize("call, word", [
    (lambda: air_loss(0.0, 1e-3, 100), "mass per length"),
    (lambda: air_loss(4e-4, .254, 100), "did you mean 0.000254 m"),
    (lambda: air_resistance(4e-4, -.5), "frequency: −0.5"), (lambda: loss_from_t60(0.0, 3.0), "frequency: 0"),
    (lambda: t60(0.0, .01), "frequency"), (lambda: t60(100, -.01), "loss factor"),
    (lambda: steel_loss("gut"), "kind of string"),
    (lambda: steel_loss("plain", 40), "0.4"), (lambda: StringLoss(1.2, .01), "string friction loss"),
    (lambda: StringLoss(.01, .01, .5), "band of the string friction")])
def test_bad_input_is_refused(call, word):
    with pytest.raises(ValueError, match=word):
        call()
