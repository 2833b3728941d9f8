"""Modes of a free beam (independently derived: closed forms, exact transfer matrices, complex eigenvalues,
full solves for draws)."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.linalg import eig, eigh, expm
from scipy.optimize import brentq

from tonewood.sound.beam import Beam, Cause, Lump, _rotation_shape, deflection_shape, full_matrices
from tonewood.sound.modes import beam_modes

E, RHO, B, H, L = 12e9, 700.0, 0.045, 0.020, 0.45            # a test bar
EI, MASS = E * B * H**3 / 12, RHO * B * H


def bar(n=60, length=L, EI=EI, mass=MASS, **more):
    return Beam(np.linspace(0, length, n + 1), EI, mass, **more)


def cantilever(beam, count=3):
    """Frequencies (Hz) with the first node held."""
    K, M = full_matrices(beam)
    return np.sqrt(eigh(K[2:, 2:], M[2:, 2:], eigvals_only=True)[:count]) / (2 * np.pi)


def test_roots_of_uniform_beams():
    """Closed forms: cos z cosh z = 1 (free-free) and = -1 (cantilever)."""
    unit = np.sqrt(EI / MASS) / (2 * np.pi * L**2)
    free = np.sqrt(beam_modes(bar(), 3).frequency / unit)
    np.testing.assert_allclose(free, [4.73004, 7.85320, 10.99561], rtol=1e-4)
    np.testing.assert_allclose(np.sqrt(cantilever(bar()) / unit), [1.87510, 4.69409, 7.85476], rtol=1e-4)


def test_sharp_wedge():
    """Cantilever wedge of constant width, root EI0: closed form with Bessel functions, J1 I2 + I1 J2 = 0."""
    from scipy.special import iv, jv
    t = (np.arange(400) + 0.5) / 400                           # distance from the root
    wedge = Beam(np.linspace(0, 1, 401), np.maximum(1 - t, 1e-4) ** 3, 1 - t)
    expected = [brentq(lambda z: jv(1, z) * iv(2, z) + iv(1, z) * jv(2, z), *bracket) ** 2 / 4
                for bracket in ((4, 5), (7, 8.5), (10.5, 12))]
    np.testing.assert_allclose(expected, [5.3151, 15.2072, 30.0198], rtol=1e-5)
    np.testing.assert_allclose(cantilever(wedge) * 2 * np.pi, expected, rtol=2e-3)


def test_bar_frequencies():
    np.testing.assert_allclose(cantilever(bar(), 2), [66.058, 413.98], rtol=1e-4)
    np.testing.assert_allclose(beam_modes(bar(), 2).frequency, [420.345, 1158.70], rtol=1e-4)


def exact_shear_flexible(EI, mass, GA, rotary, length, guesses):
    """Free-free frequencies of a uniform shear-flexible beam from the 4 x 4 transfer matrix exp(A L) of (w,
    theta, moment, shear)."""
    def determinant(f):
        w2 = (2 * np.pi * f) ** 2
        A = np.zeros((4, 4))
        A[0, 1], A[0, 3] = 1, 1 / GA               # w' = theta + V / GA
        A[1, 2] = 1 / EI                           # theta' = M / EI
        A[2, 1], A[2, 3] = -rotary * w2, -1        # M' = -V - rotary w^2 theta
        A[3, 0] = -mass * w2                       # V' = -m w^2 w
        T = expm(A * length)
        return np.linalg.det(T[2:, :2])
    return [brentq(determinant, 0.97 * g, 1.03 * g, xtol=1e-9) for g in guesses]


def test_shear_flexible_bar_against_exact_transfer_matrix():
    GA, rotary = 5 / 6 * E / 15 * B * H, RHO * B * H**3 / 12
    exact = exact_shear_flexible(EI, MASS, GA, rotary, L, (411.3, 1079, 1978))
    np.testing.assert_allclose(exact, [411.33, 1079.1, 1978.3], rtol=2e-4)
    # falls with the square of the element length
    for elements, error in ((60, 5e-4), (240, 3e-5)):
        found = beam_modes(bar(elements, shear_compliance=1 / GA, rotary=rotary), 3).frequency
        np.testing.assert_allclose(found, exact, rtol=error)


@pytest.mark.parametrize("slender, ratio, expected",
                         [(.04, 10, 1.02615), (.04, 20, 1.04572), (.08, 10, 1.10331), (.08, 20, 1.18071)])
def test_shear_lowers_the_tap_tone(slender, ratio, expected):
    """(f_slender / f)^2 for bars of depth/length and E/G as given."""
    h = slender * L
    stiff, mass = E * B * h**3 / 12, RHO * B * h
    thick = beam_modes(bar(EI=stiff, mass=mass, shear_compliance=ratio / (5 / 6 * E * B * h),
                           rotary=RHO * B * h**3 / 12), 1).frequency[0]
    assert (beam_modes(bar(EI=stiff, mass=mass), 1).frequency[0] / thick) ** 2 == pytest.approx(expected,
                                                                                                rel=2e-4)


def test_tapered_cantilever():
    """Root 55 x 24 mm to tip 43 x 20 mm; three times finer elements do not change it."""
    def taper(n):
        t = (np.arange(n) + 0.5) / n
        b, h = 0.055 - 0.012 * t, 0.024 - 0.004 * t
        return cantilever(Beam(np.linspace(0, L, n + 1), E * b * h**3 / 12, RHO * b * h))
    np.testing.assert_allclose(taper(60), [87.11, 481.33, 1299.0], rtol=3e-4)
    np.testing.assert_allclose(taper(60), taper(180), rtol=2e-4)


def test_whole_instrument(test_beam):
    np.testing.assert_allclose(beam_modes(test_beam(), 5).frequency, [49.48, 192.43, 453.68, 662.79, 975.5],
                               rtol=1e-4)
    np.testing.assert_allclose(beam_modes(test_beam(1.2), 3).frequency, [53.90, 206.26, 471.96], rtol=1e-4)


def test_mass_centre_inertia_are_those_of_the_parts(test_beam):
    modes = beam_modes(test_beam())
    pieces = [(0.55 * .16, -.08), (5.0 * .44, .68), (0.25, -.09), (0.75 * .46, .23),
              (0.20 * .46 / 2, .46 * 2 / 3)]
    m, s = sum(a for a, _ in pieces), sum(a * c for a, c in pieces)
    assert modes.mass == pytest.approx(m, rel=1e-9)
    assert modes.centre == pytest.approx(s / m, rel=1e-4)
    second = 0.55 * .16**3 / 3 + 5 * (.9**3 - .46**3) / 3 + .25 * .09**2 + .75 * .46**3 / 3 + .2 * .46**3 / 4
    assert modes.inertia == pytest.approx(second - s**2 / m, rel=1e-4)


def test_shapes_are_mass_normalised_and_leave_the_instrument_at_rest(test_beam):
    modes = beam_modes(test_beam(), 6)
    x = np.linspace(-.16, .90, 20001)
    shape = modes.shape_at(x)
    weight = np.where(x < 0, .55, np.where(x < .46, .75 + .2 * x / .46, 5.0)) * (x[1] - x[0])
    weight[[0, -1]] /= 2
    lump = modes.shape_at(np.array([-.09]))[:, 0]
    overlap = (shape * weight) @ shape.T + .25 * np.outer(lump, lump)
    np.testing.assert_allclose(overlap, np.eye(6), atol=2e-3)
    for rigid, at in ((np.ones_like(x), 1.0), (x, -.09)):           # no net momentum, no net spin
        np.testing.assert_allclose(shape @ (weight * rigid) + .25 * lump * at, 0, atol=2e-3)


def test_twist_of_a_uniform_rod():
    """Closed form: f = n sqrt(GJ / I_p) / (2 L)."""
    modes = beam_modes(bar(200, GJ=80.0, polar=2e-4, torsion_loss=.02), 2, twist=3)
    expected = np.arange(1, 4) * np.sqrt(80 / 2e-4) / (2 * L)
    np.testing.assert_allclose(modes.twist_frequency, expected, rtol=5e-4)
    np.testing.assert_allclose(modes.twist_loss, .02)
    assert modes.polar_inertia == pytest.approx(2e-4 * L)


def two_part(loss=(.008, .03), **more):
    n = 40
    first = np.where(np.arange(n) < 25, 1.0, 0.0)
    return Beam(np.linspace(0, L, n + 1), np.where(first, EI, 3 * EI), MASS,
                shear_compliance=1 / (5 / 6 * E / 15 * B * H),
                causes=(Cause("a", first, loss[0], first, .02),
                        Cause("b", 1 - first, loss[1], 1 - first, .05)), **more)


def test_loss_factor_is_that_of_the_complex_eigenvalues():
    """Put E (1 + i eta) and G (1 + i eta) into the element matrices: Im(w^2)/Re(w^2) is the loss factor to
    first order."""
    beam = two_part()
    first = np.asarray(beam.causes[0].bending_share)
    bend, shear = np.where(first, .008, .03), np.where(first, .02, .05)
    # the same numbers, complex, past the checks for real input
    lossy = Beam.__new__(Beam)
    complex_EI, complex_c = beam.EI * (1 + 1j * bend), beam.shear_compliance / (1 + 1j * shear)
    for name, value in (("x", beam.x), ("EI", complex_EI), ("mass_per_length", beam.mass_per_length),
                        ("shear_compliance", complex_c),
                        ("rotary", beam.rotary), ("GJ", None), ("polar", None), ("lumps", ()), ("causes", ()),
                        ("torsion_loss", 0)):
        object.__setattr__(lossy, name, value)
    n, size = len(beam.h), 2 * len(beam.x)
    K = np.zeros((size, size), complex)
    phi = lossy.phi
    for e in range(n):
        h = beam.h[e]
        k = complex_EI[e] / (h**3 * (1 + phi[e])) * np.array(
            [[12, 6 * h, -12, 6 * h], [6 * h, (4 + phi[e]) * h**2, -6 * h, (2 - phi[e]) * h**2],
             [-12, -6 * h, 12, -6 * h], [6 * h, (2 - phi[e]) * h**2, -6 * h, (4 + phi[e]) * h**2]])
        K[2 * e:2 * e + 4, 2 * e:2 * e + 4] += k
    M = full_matrices(beam)[1]
    square = eig(K, M, right=False)
    square = square[np.argsort(square.real)][2:6]
    modes = beam_modes(beam, 4)
    np.testing.assert_allclose(modes.loss_factor, square.imag / square.real, rtol=2e-3)
    np.testing.assert_allclose(modes.frequency, np.sqrt(square.real) / (2 * np.pi), rtol=1e-3)
    np.testing.assert_allclose(modes.energy_share.sum(0), 1, rtol=1e-12)
    np.testing.assert_allclose(modes.loss_share.sum(0), 1, rtol=1e-12)


def test_added_loss_is_a_cause_of_its_own():
    plain, added = beam_modes(two_part(), 4), beam_modes(two_part(), 4, added_loss=.01)
    np.testing.assert_allclose(added.loss_factor, plain.loss_factor + .01)
    np.testing.assert_allclose(added.loss_share[-1], .01 / added.loss_factor)
    assert added.causes[-1] == "joints, hardware, hands"


def test_draws_agree_with_full_solves(test_beam):
    """Reduced basis against one full solve per draw, 20 % spread of neck and head stiffness, 10 % of mass."""
    rng = np.random.default_rng(4)
    stiff, mass, head = np.exp(rng.normal(0, (.2, .1, .2), (400, 3))).T
    together = beam_modes(test_beam(stiff, mass, head), 6)
    for d in range(25):
        single = beam_modes(test_beam(stiff[d], mass[d], head[d]), 6)
        np.testing.assert_allclose(together.frequency[d], single.frequency, rtol=1e-4)
        # Rayleigh: never below
        assert np.all(together.frequency[d] >= single.frequency * (1 - 1e-6))
        np.testing.assert_allclose(together.shape[d], single.shape, atol=2e-3 * np.abs(single.shape).max())
        np.testing.assert_allclose([together.mass[d], together.centre[d], together.inertia[d]],
                                   [single.mass, single.centre, single.inertia], rtol=1e-9)
    assert together.frequency.shape == (400, 6) and together.loss_factor.shape == (400, 6)


def test_draws_of_twist_agree_with_full_solves():
    rng = np.random.default_rng(5)
    part = np.where(np.arange(60) < 40, 1.0, 0.0)

    def make(s):
        return bar(GJ=80 * (1 - part) + np.asarray(s)[..., None] * 60 * part, polar=2e-4,
                   lumps=(Lump(.05, .2, polar=1e-4),))

    draws = np.exp(rng.normal(0, .2, 100))
    together = beam_modes(make(draws), 2, twist=3)
    for d in range(10):
        np.testing.assert_allclose(together.twist_frequency[d],
                                   beam_modes(make(draws[d]), 2, twist=3).twist_frequency, rtol=2e-3)


@settings(max_examples=25, deadline=None)
@given(stiff=st.floats(.2, 5), heavy=st.floats(.2, 5), long=st.floats(.5, 2), lump=st.floats(0, .5))
def test_scaling_laws(stiff, heavy, long, lump):
    base = beam_modes(bar(30, lumps=(Lump(.1, lump),)), 3, twist=0).frequency
    scaled = beam_modes(bar(30, L * long, EI * stiff, MASS * heavy / long,
                            lumps=(Lump(.1 * long, lump * heavy),)), 3, twist=0).frequency
    np.testing.assert_allclose(scaled, base * np.sqrt(stiff / heavy / long**3), rtol=1e-6)
    heavier = beam_modes(bar(30, lumps=(Lump(.1, lump + .1),)), 3, twist=0).frequency
    # Rayleigh: mass never raises a mode
    assert np.all(heavier <= base * (1 + 1e-9))


def test_rigid_motions_come_first_and_roll_needs_an_offset(test_beam):
    modes = beam_modes(test_beam())
    shape, frequency, loss = modes.all_at(np.array([0.0, .3]))
    assert np.all(frequency[:2] == 0) and np.all(loss[:2] == 0) and np.all(frequency[2:] > 0)
    np.testing.assert_allclose(shape[0], 1 / np.sqrt(modes.mass))
    np.testing.assert_allclose(shape[1], (np.array([0, .3]) - modes.centre) / np.sqrt(modes.inertia))
    twisting = beam_modes(bar(GJ=80.0, polar=2e-4), 2, twist=2)
    assert np.all(twisting.all_at(.1, 0.0)[0][[2, 5, 6]]
                  == 0) and np.all(twisting.all_at(.1, .02)[0][[2, 5, 6]] != 0)


@pytest.mark.parametrize("change, word", [
    (dict(mass_per_length=0.0), "mass per length"), (dict(EI=-1.0), "bending stiffness"),
    (dict(x=[0, .1, .05, .2]), "rising"),
    (dict(x=[0, .1]), "at least 4"), (dict(lumps=(Lump(2.0, .1, name="clamp"),)), "clamp"),
    (dict(EI=np.nan), "bending stiffness")])
def test_bad_beams_are_refused(change, word):
    with pytest.raises(ValueError, match=word):
        Beam(**(dict(x=np.linspace(0, L, 20), EI=EI, mass_per_length=MASS) | change))


def test_other_bad_input_is_refused(test_beam):
    with pytest.raises(ValueError, match="mass"):
        Lump(0.0, -0.1)
    with pytest.raises(ValueError, match="loss factor of wood"):
        Cause("wood", 1.0, 1.0)
    with pytest.raises(ValueError, match="place"):
        beam_modes(test_beam()).shape_at(1.2)
    with pytest.raises(ValueError, match="bending modes"):
        beam_modes(test_beam(), 1000)
    with pytest.raises(ValueError, match="added loss factor"):
        beam_modes(test_beam(), 3, added_loss=1.5)
    with pytest.raises(ValueError, match="draws: EI has 3 draws, mass_per_length has 2"):
        beam_modes(Beam(np.linspace(0, 1, 9), np.ones((3, 8)), np.ones((2, 8))), 2)


def test_table_has_units_and_one_row_per_mode(test_beam):
    table = beam_modes(test_beam(), 5).table()
    assert list(table["mode"]) == [f"bending {k}" for k in range(1, 6)]
    assert table["frequency [Hz]"].iloc[1] == pytest.approx(192.43, rel=1e-4)
    draws = beam_modes(test_beam(np.array([.9, 1.0, 1.1])), 2).table()
    assert np.all(draws["5 %: frequency [Hz]"] < draws["frequency [Hz]"])


def twisting(test_beam):
    """Modes of a drawn instrument with a twist laid over its bending: x, shapes and frequencies made up."""
    from dataclasses import replace

    found = beam_modes(test_beam(stiffness=[0.9, 1.0, 1.2]), 2)
    shape = np.cos(np.pi * np.linspace(0, 1, len(found.x))) * np.array([1.0, 2.0, 3.0])[:, None, None]
    return replace(found, twist_frequency=np.array([[300.0], [310.0], [320.0]]), twist_shape=shape,
                   twist_loss=np.full((3, 1), 0.01), polar_inertia=np.array([0.01, 0.01, 0.01]))


def test_a_twist_lifts_a_place_by_its_distance_from_the_centre_line(test_beam):
    """Definition: y times the rotation, straight between two stations; every axis where the caller put it."""
    found = twisting(test_beam)
    x, y = np.array([0.203, 0.237]), np.array([0.02, -0.01])
    shape, frequency, _ = found.all_at(x, y)
    assert shape.shape == (3, 3 + 2 + 1, 2) and frequency.shape == (3, 6)
    assert np.all(frequency[:, :3] == 0) and np.all(frequency[:, 5] == [300.0, 310.0, 320.0])
    rotation = np.stack([[np.interp(v, found.x, row) for v in x] for row in found.twist_shape[:, 0]])
    np.testing.assert_allclose(shape[:, 5], y * rotation, rtol=1e-12)
    np.testing.assert_allclose(shape[:, 0], np.repeat(1 / np.sqrt(found.mass), 2).reshape(3, 2), rtol=1e-12)
    np.testing.assert_allclose(shape[:, 2], np.tile(y, (3, 1)) / 0.1, rtol=1e-12)


@pytest.mark.parametrize("phi", [0.0, 0.3, 4.0])
def test_an_elements_slope_less_its_rotation_is_its_even_shear(phi):
    """Timoshenko's beam: w' - theta is the shear, even along an element without load, none if phi = 0; the
    rotations at its ends are its own degrees of freedom."""
    t, step = np.linspace(0.1, 0.9, 9), 1e-6
    slope = (deflection_shape(t + step, phi) - deflection_shape(t - step, phi)) / (2 * step)
    shear = slope - _rotation_shape(t, phi)
    assert np.ptp(shear, axis=0).max() < 1e-8 and (np.abs(shear).max() < 1e-8) == (phi == 0)
    assert _rotation_shape([0.0, 1.0], phi) == pytest.approx(np.eye(4)[[1, 3]], abs=1e-12)
