"""String and instrument as one.

Independently derived: high-precision roots of the transcendental end equation in another form (mpmath),
damped eigenvalues of the matrices of sound.partials, a scan for the coupling number at which the damped pair
separates.
"""

import mpmath
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tonewood.sound.coupled import coupling, drive, end_equation, string_roots, string_shape, two_root
from tonewood.sound.partials import EndModes, SpeakingString, partials

T, MU, L = 81.9, 2.262e-3, .648
C = np.sqrt(T / MU)
OPEN = np.pi * C / L                                               # rad/s
PITCH = OPEN / (2 * np.pi)


def one_mode(frequency, eta=.02, mass=.8):
    return EndModes([2 * np.pi * frequency], [eta], [1 / np.sqrt(mass)])


def solve(frequency, own_loss=0.0, eta=.02, mass=.8):
    """Closed form and exact roots, string-like first."""
    ends = one_mode(frequency, eta, mass)
    found = two_root(np.asarray(OPEN * (1 + .5j * own_loss)), T, L, 1, ends)
    slowness = 1 / (C * np.sqrt(1 + 1j * own_loss))
    exact = [complex(string_roots(r, slowness, T * (1 + 1j * own_loss), L, ends, found.mode))
             for r in (found.string, found.partner)]
    return found, exact


def loss(root):
    return 2 * root.imag / abs(root)


def by_mpmath(start, frequency, own_loss, eta=.02, mass=.8):
    """tan kL = i Z Y at 40 digits, one yielding end, from a start near the root."""
    with mpmath.workdps(40):
        wk, m = 2 * mpmath.pi * mpmath.mpf(frequency), mpmath.mpf(mass)
        tension = mpmath.mpf(T) * (1 + 1j * mpmath.mpf(own_loss))
        slow = mpmath.sqrt(mpmath.mpf(MU) / tension)
        def equation(w):
            Y = 1j * w / m / (wk**2 - w**2 + 1j * mpmath.mpf(eta) * wk * w)
            closed = mpmath.sin(w * slow * L) - 1j * tension * slow * Y * mpmath.cos(w * slow * L)
            return (wk**2 - w**2 + 1j * mpmath.mpf(eta) * wk * w) * closed
        return complex(mpmath.findroot(equation, mpmath.mpc(start)))


def test_neck_mode_above_the_note():
    found, exact = solve(190.0)
    assert exact[0].real / (2 * np.pi) == pytest.approx(146.7815, abs=1e-4)
    assert exact[0].real / (2 * np.pi) - PITCH == pytest.approx(-.0403, abs=1e-4)
    assert loss(exact[0]) == pytest.approx(2.102e-5, rel=1e-3)
    assert abs(complex(found.string) / exact[0] - 1) < 1e-8
    assert exact[0] == pytest.approx(by_mpmath(OPEN, 190.0, 0.0), rel=1e-12)


def test_neck_mode_tuned_to_the_note():
    found, exact = solve(PITCH, 3e-4)
    pair = sorted(exact, key=lambda r: r.real)
    np.testing.assert_allclose([r.real / (2 * np.pi) for r in pair], [145.61, 148.04], atol=.01)
    np.testing.assert_allclose(np.log(1000) / np.imag(pair), [1.48, 1.47], atol=.01)
    assert found.strength == pytest.approx(1.93, abs=.005) and found.mixed
    for root, start in zip(pair, (OPEN * .99, OPEN * 1.01), strict=True):
        assert root == pytest.approx(by_mpmath(start * (1 + .005j), PITCH, 3e-4), rel=1e-10)


def test_neck_mode_six_hertz_above():
    found, exact = solve(PITCH + 6, 3e-4)
    np.testing.assert_allclose([r.real / (2 * np.pi) for r in exact], [146.525, 153.1], rtol=2e-4)
    np.testing.assert_allclose(np.log(1000) / np.imag(exact), [12.48, .75], rtol=4e-3)
    assert exact[0] == pytest.approx(by_mpmath(exact[0], PITCH + 6, 3e-4), rel=1e-12)
    simple = 2 * T / (L * OPEN) * np.real(1j * OPEN / .8 / ((2 * np.pi * (PITCH + 6)) ** 2 - OPEN**2
                                                            + .02j * 2 * np.pi * (PITCH + 6) * OPEN))
    assert np.log(1000) / (OPEN / 2 * (simple + 3e-4)) == pytest.approx(11.1, abs=.05)


@pytest.mark.parametrize("frequency", [190.0, PITCH, PITCH + 6, 60.0])
def test_matrix_partials_give_the_same_roots(frequency):
    """Another discretisation of the same system: sine series plus moving line, damped eigenvalues; 40 and 80
    terms."""
    _, exact = solve(frequency, 3e-4)
    string = SpeakingString(L, MU, T, loss=3e-4)
    found = {n: partials(string, one_mode(frequency), n) for n in (40, 80)}
    for root in exact:
        nearest = {n: p.rates[np.argmin(np.abs(p.frequency - root.real / (2 * np.pi))
                                        + np.abs(p.loss - loss(root)))] for n, p in found.items()}
        assert nearest[80].imag == pytest.approx(root.real, rel=2e-6)
        assert -nearest[80].real == pytest.approx(root.imag, rel=3e-3)
        assert abs(nearest[40] / nearest[80] - 1) < 1e-6


def test_both_ends_on_the_instrument():
    """Several modes, both ends moving, harmonics 1 to 3: against the matrix partials."""
    ends = EndModes(2 * np.pi * np.array([55., 210., 480.]), [.011, .012, .014], [-.9, .8, -.6],
                    [.12, -.25, .3])
    string = SpeakingString(L, MU, T, loss=2e-4)
    reference = partials(string, ends, 80)
    for n in (1, 2, 3):
        slowness = 1 / (C * np.sqrt(1 + 2e-4j))
        close = two_root(np.asarray(n * OPEN * (1 + 1e-4j)), T, L, n, ends)
        exact = complex(string_roots(close.string, slowness, T * (1 + 2e-4j), L, ends, close.mode))
        rate = reference.rates[np.argmin(np.abs(reference.rates.imag - exact.real))]
        assert rate.imag == pytest.approx(exact.real, rel=3e-6)
        assert -rate.real == pytest.approx(exact.imag, rel=.01)


def test_coupling_number_one_is_where_the_pair_separates():
    """At equal pitch, scan the mode's loss factor: below K = 1 one common pitch and two decays, above two
    pitches and one decay."""
    for K in (.5, .9, 1.1, 2.0):
        eta = 2 / (K * np.pi) * np.sqrt(2 * MU * L / .8)
        assert coupling(eta, .8, MU * L) == pytest.approx(K)
        _, (a, b) = solve(PITCH, 0.0, eta)
        apart, decay = abs(a.real - b.real) / OPEN, abs(a.imag - b.imag) / OPEN
        if K < 1:
            assert apart < .2 * decay
        else:
            assert decay < .2 * apart


@settings(max_examples=60, deadline=None)
@given(semitones=st.floats(-9, 9), eta=st.floats(.004, .05), mass=st.floats(.3, 5), own=st.floats(1e-4, 2e-3))
def test_closed_form_is_close_to_exact(semitones, eta, mass, own):
    found, exact = solve(PITCH * 2 ** (semitones / 12), own, eta, mass)
    assert complex(found.string).imag == pytest.approx(exact[0].imag, rel=.02)
    assert complex(found.string).real == pytest.approx(exact[0].real, rel=2e-4)
    # what is coupled by springs and masses only loses
    assert exact[0].imag > 0 and exact[1].imag > 0
    # the pair shares the loss
    assert loss(exact[0]) + loss(exact[1]) == pytest.approx(own + eta, rel=.05)


def test_energies_of_the_motion_balance_the_decay():
    """String strain and motion integrated on a fine grid, against the closed integrals; kinetic equals
    potential energy part of the balance."""
    own, ends = 3e-4, EndModes(2 * np.pi * np.array([150., 300.]), [.02, .015], [.9, .4], [-.3, .2])
    slowness = 1 / (C * np.sqrt(1 + 1j * own))
    start = two_root(np.asarray(OPEN * (1 + .5j * own)), T, L, 1, ends)
    root = string_roots(start.string, slowness, T * (1 + 1j * own), L, ends, start.mode)
    shape, mass, stiffness = string_shape(root, slowness, T, L, ends, own)
    k = complex(root * slowness)
    at = np.linspace(0, L, 20001)
    # the string's end moves with the instrument
    y0 = np.sum(ends.bridge * shape)
    y = np.sin(k * at) + y0 * np.cos(k * at)
    slope = k * (np.cos(k * at) - y0 * np.sin(k * at))
    assert mass == pytest.approx(MU * np.trapezoid(np.abs(y) ** 2, at), rel=1e-6)
    assert stiffness == pytest.approx(T * np.trapezoid(np.abs(slope) ** 2, at), rel=1e-6)
    assert y[-1] == pytest.approx(np.sum(ends.fret * shape), rel=1e-8)
    moving = np.abs(shape) ** 2
    held = stiffness * (1 + 1j * own) + np.sum(moving * (ends.omega**2 + 1j * ends.eta * ends.omega * root))
    square = held / (mass + np.sum(moving))
    assert complex(square) == pytest.approx(complex(root) ** 2, rel=1e-9)


def test_drive_adds_the_ends_for_odd_and_subtracts_for_even_harmonics():
    ends = EndModes([100.], [.01], [.5], [.2])
    np.testing.assert_allclose([drive(ends, n)[0] for n in (1, 2, 3)], [.7, .3, .7])


def test_rigid_ends_give_the_ideal_string():
    ends = EndModes([500.], [.01], [0.0], [0.0])
    for n in (1, 2, 5):
        assert abs(end_equation(np.asarray(n * OPEN + 0j), 1 / C, T, L, ends)) < 1e-12
    root = complex(string_roots(np.asarray(1.003 * OPEN), 1 / C, T, L, ends))
    assert root == pytest.approx(OPEN, rel=1e-12)


def test_bad_input_is_refused():
    with pytest.raises(ValueError, match="modal mass"):
        coupling(.02, 0.0, 1e-3)
    with pytest.raises(ValueError, match="string mass"):
        coupling(.02, .8, 0.0)
    with pytest.raises(ValueError, match="no root found near"):
        string_roots(np.asarray(OPEN), 1 / C, T, L, one_mode(190.), steps=1)


def test_a_string_all_but_at_a_modes_pitch_belongs_to_that_mode():
    """Closer to it than their splitting, and far from the other."""
    ends = EndModes(np.array([600.0, 900.0]) / (2 * np.pi), np.full(2, 0.02), np.full(2, 1.0))
    found = two_root(np.asarray(ends.omega[0] + 0.3j), 70.0, 0.65, 1, ends)
    assert found.mode == 0 and found.strength > 1 and found.mixed
