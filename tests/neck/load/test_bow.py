"""The bow kernel against closed forms, differential-equation solvers and energy; glue-line shear against
worked sections."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_bvp, solve_ivp

from tonewood.neck.load.bow import bending, bow, chord_matrix, glue_shear, second_order

SCALE = 0.648
FRETS = SCALE * (1 - 2 ** (-np.arange(1, 23) / 12))


def test_constant_curvature_closed_form():
    """Independently derived: gap under a chord of length l is c l^2 / 8; 440 N at 12 mm on 350 N m2."""
    x = np.linspace(0, SCALE, 40)
    curvature = np.full(40, 440 * 0.012 / 350)
    assert curvature[0] == pytest.approx(0.0150857, rel=1e-5)
    at_fret = bow(x, curvature, FRETS, FRETS[0], FRETS[-1])
    middle = (FRETS[0] + FRETS[-1]) / 2
    assert 1e3 * at_fret[[6, 7]] == pytest.approx([0.3387, 0.3473], abs=6e-5)
    assert 1e3 * bow(x, curvature, [middle], FRETS[0], FRETS[-1])[0] == pytest.approx(0.3483, abs=6e-5)
    assert bow(x, curvature, [middle], FRETS[0],
               FRETS[-1])[0] == pytest.approx(curvature[0] * (FRETS[-1] - FRETS[0])**2 / 8, rel=1e-12)


def test_any_curvature_agrees_with_the_differential_equation():
    """Independently derived: w'' = -c integrated by a Runge-Kutta solver, then the chord taken off."""
    def curve(x):
        return 0.012 + 0.01 * np.sin(9 * x) - 0.03 * x**2
    path = solve_ivp(lambda x, w: [w[1], -curve(x)], (0, SCALE), [0, 0], dense_output=True, rtol=1e-11,
                     atol=1e-14).sol
    ends = path([FRETS[0], FRETS[-1]])[0]
    expected = path(FRETS)[0] - np.interp(FRETS, FRETS[[0, -1]], ends)
    for count, error in ((41, 4e-7), (241, 1e-8)):
        x = np.linspace(0, SCALE, count)
        assert bow(x, curve(x), FRETS, FRETS[0], FRETS[-1]) == pytest.approx(expected, abs=error)


def test_strings_on_the_bowed_neck_agree_with_a_boundary_value_solver():
    """Independently derived: w'' = -(M + P w) / EI with w = 0 at nut and bridge, tapered EI, collocation."""
    def EI(x):
        return 260 + 220 * x / 0.46
    def M(x):
        return 440 * (0.0115 + 0.002 * x / 0.46)
    grid = np.linspace(0, SCALE, 200)
    found = solve_bvp(lambda x, w: np.stack([w[1], -(M(x) + 440 * w[0]) / EI(x)]),
                      lambda a, b: np.array([a[0], b[0]]), grid, np.zeros((2, 200)), tol=1e-9)
    assert found.success
    x = np.linspace(0, SCALE, 41)
    curvature, amplification, share = second_order(x, M(x) / EI(x), 1 / EI(x), 440.0, 0, SCALE)
    assert bow(x, curvature, x, 0, SCALE) == pytest.approx(found.sol(x)[0], abs=4e-7)
    first = bow(x, M(x) / EI(x), x, 0, SCALE).max()
    assert amplification == pytest.approx(found.sol(x)[0].max() / first, rel=1e-3)
    assert 0.03 < share < 0.06


def test_column_with_off_centre_load():
    """Independently derived: secant formula for a uniform pinned column, Euler load pi^2 EI / L^2."""
    P, e, EI = 440.0, 0.012, 350.0
    x = np.linspace(0, SCALE, 81)
    euler = np.pi**2 * EI / SCALE**2
    curvature, amplification, share = second_order(x, np.full(81, P * e / EI), np.full(81, 1 / EI), P, 0,
                                                   SCALE)
    secant = e * (1 / np.cos(np.pi / 2 * np.sqrt(P / euler)) - 1)
    assert euler == pytest.approx(8226.6, abs=0.1)
    assert 1e3 * secant == pytest.approx(0.8378, abs=5e-5)
    assert bow(x, curvature, [SCALE / 2], 0, SCALE)[0] == pytest.approx(secant, rel=1e-4)
    assert amplification == pytest.approx(1.0581, abs=1e-4)
    assert share == pytest.approx(P / euler, rel=1e-3)


@pytest.mark.parametrize("share", [0.1, 0.3, 0.5, 0.8])
def test_second_order_series_agrees_with_one_linear_solve(share):
    """Independently derived: (I - P G / EI) w = G c0 solved at once."""
    x = np.linspace(0, SCALE, 51)
    EI = np.random.default_rng(3).uniform(250, 450, 51)
    c0 = 5.5 / EI * (1 + x)
    P = share * np.pi**2 * 350 / SCALE**2
    G = chord_matrix(x, x, 0, SCALE)
    exact = np.linalg.solve(np.eye(51) - P * G / EI, G @ c0)
    curvature, _, _ = second_order(x, c0, 1 / EI, P, 0, SCALE)
    assert G @ curvature == pytest.approx(exact,
                                          abs=2e-5 * exact.max() if share <= 0.5 else 2e-3 * exact.max())


def test_work_of_end_couples_equals_energy_of_bending():
    """Energy: a constant moment turns the two ends; half of moment times turn is the strain energy."""
    x = np.linspace(0, SCALE, 121)
    EI = 260 + 220 * x / 0.46
    c = 5.0 / EI
    near = bow(x, c, [1e-6], 0, SCALE)[0] / 1e-6
    far = bow(x, c, [SCALE - 1e-6], 0, SCALE)[0] / 1e-6
    assert 0.5 * 5.0 * (near + far) == pytest.approx(0.5 * np.trapezoid(EI * c**2, x), rel=1e-4)


curvatures = st.lists(st.floats(-0.03, 0.03), min_size=12, max_size=12).map(np.array)


@given(curvatures, curvatures, st.floats(-3, 3))
def test_bow_is_linear(a, b, factor):
    x = np.linspace(0, SCALE, 12)
    both = bow(x, a + factor * b, FRETS, FRETS[0], FRETS[-1])
    assert both == pytest.approx(
        bow(x, a, FRETS, FRETS[0], FRETS[-1]) + factor * bow(x, b, FRETS, FRETS[0], FRETS[-1]), abs=1e-12)


@given(curvatures)
def test_a_mirrored_neck_bows_as_the_mirror_image(a):
    x = np.linspace(0, 1, 12)
    points = np.array([0.2, 0.35, 0.5, 0.65, 0.8])
    assert bow(x, a[::-1], points, 0.2, 0.8) == pytest.approx(bow(x, a, points, 0.2, 0.8)[::-1], abs=1e-12)


@given(curvatures, curvatures)
def test_reciprocity(a, b):
    """Betti: the influence of curvature at one place on the gap at another is the same the other way
    round."""
    x = np.linspace(0, 1, 401)
    a, b = (np.interp(x, np.linspace(0, 1, 12), v) for v in (a, b))
    left, right = np.trapezoid(a * bow(x, b, x, 0, 1), x), np.trapezoid(b * bow(x, a, x, 0, 1), x)
    assert left == pytest.approx(right, abs=1e-8)


@given(curvatures.map(abs))
def test_forward_curvature_everywhere_is_forward_bow_everywhere_between_the_ends(a):
    x = np.linspace(0, SCALE, 12)
    at_fret = bow(x, a, FRETS, FRETS[0], FRETS[-1])
    assert np.all(at_fret >= -1e-15) and abs(at_fret[0]) < 1e-15 and abs(at_fret[-1]) < 1e-15


def test_a_straight_neck_has_nothing_to_add_to():
    x = np.linspace(0, SCALE, 30)
    curvature, amplification, _ = second_order(x, np.zeros(30), np.full(30, 1 / 350), 440.0, 0, SCALE)
    assert np.all(curvature == 0) and amplification == 1


@settings(max_examples=30)
@given(st.floats(0, 2000), st.floats(150, 600))
def test_the_pull_on_the_bowed_neck_only_adds(P, EI):
    x = np.linspace(0, SCALE, 30)
    _, amplification, share = second_order(x, np.full(30, 0.01), np.full(30, 1 / EI), P, 0, SCALE)
    assert amplification >= 1 and share == pytest.approx(P * SCALE**2 / np.pi**2 / EI, rel=0.01, abs=1e-12)


def test_draws_are_bent_one_by_one():
    x = np.linspace(0, SCALE, 40)
    EI = np.random.default_rng(1).uniform(250, 450, (7, 40))
    P = np.linspace(300, 500, 7)
    together, factor, share = second_order(x, 5 / EI, 1 / EI, P, 0, SCALE)
    for d in range(7):
        alone, f, s = second_order(x, 5 / EI[d], 1 / EI[d], P[d], 0, SCALE)
        assert together[d] == pytest.approx(alone, rel=1e-12) and [factor[d], share[d]] == pytest.approx(
            [float(f), float(s)])


def test_lopsided_section_bends_both_ways():
    """Independently derived: the two-by-two system solved numerically, and the symmetric limit."""
    EI, side, cross = 340.0, 1500.0, 90.0
    forward, sideways = bending(EI, side, cross, 5.5, 0.4)
    strain = -np.linalg.solve([[EI, cross], [cross, side]], [5.5, 0.4])
    assert (forward, sideways) == pytest.approx((-strain[0], strain[1]))
    assert bending(EI, side, 0.0, 5.5, 0.4) == pytest.approx((5.5 / EI, -0.4 / side))


def _layers(heights, moduli, widths):
    bottom = np.concatenate([[0], np.cumsum(heights)])
    centre = (bottom[1:] + bottom[:-1]) / 2
    EA = np.array(moduli) * heights * widths
    axis = (EA * centre).sum() / EA.sum()
    EI = (EA * (np.array(heights) ** 2 / 12 + (centre - axis) ** 2)).sum()
    return bottom, EA, centre - axis, EI


@pytest.mark.parametrize("above, flow, stress", [(1, 1.42612e3, 35.7e3), (2, 1.45903e3, 36.5e3)])
def test_glue_shear_of_three_layers(above, flow, stress):
    """Independently derived: 40 mm wide, 8/4/8 mm of 12/9/14 GPa, 20 N; layer sums by hand."""
    _, EA, arm, EI = _layers([0.008, 0.004, 0.008], [12e9, 9e9, 14e9], 0.040)
    assert EI == pytest.approx(344.3025, rel=1e-5)
    first_moment = (EA * arm)[above:].sum()
    assert glue_shear(20.0, first_moment, EI) == pytest.approx(flow, rel=1e-4)
    assert glue_shear(20.0, first_moment, EI, 0.040) == pytest.approx(stress, rel=2e-3)


def test_glue_shear_under_a_fretboard():
    _, EA, arm, EI = _layers([0.016, 0.006], [12e9, 14e9], np.array([0.040, 0.042]))
    assert EI == pytest.approx(466.9383, rel=1e-6)
    assert glue_shear(20.0, (EA * arm)[1], EI) == pytest.approx(1139.0, rel=1e-4)
    assert glue_shear(20.0, (EA * arm)[1], EI, 0.040) == pytest.approx(28.5e3, rel=2e-3)


def test_glue_shear_of_a_solid_bar_is_three_halves_of_the_mean():
    b, h, V = 0.04, 0.02, 20.0
    assert glue_shear(V, 1e10 * b * h**2 / 8, 1e10 * b * h**3 / 12, b) == pytest.approx(1.5 * V / (b * h))


@pytest.mark.parametrize("call, words", [
    (lambda: bow([0, 0.2, 0.1], [1, 1, 1], [0.1], 0, 0.1), ["stations", "rising"]),
    (lambda: bow([0, 0.2], [1, 1], [0.3], 0, 0.2), ["point on the neck", "0.3"]),
    (lambda: bow([0, 0.2], [1, 1], [-0.5], 0, 0.2), ["point on the neck", "−0.5"]),
    (lambda: bow([0, 0.2], [1, 1], [0.1], 0.1, 0.1), ["last point"]),
    (lambda: second_order([0, 0.3, 0.6], [1, 1, 1], 1 / 3.0, 440.0, 0, 0.6), ["buckles", "N·m²"]),
    (lambda: second_order([0, 0.3, 0.6], [1, 1, 1], 1 / 300, -440.0, 0, 0.6), ["string pull", "−440"]),
    (lambda: glue_shear(20, 1, 0.0), ["bending stiffness"]), (lambda: glue_shear(20, 1, 1.0, -1), ["width"])
])
def test_bad_input_is_named(call, words):
    with pytest.raises(ValueError) as caught:
        call()
    assert all(word in str(caught.value) for word in words)
