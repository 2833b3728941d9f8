"""The balance of free strains in a glued section: force and moment balance, symmetry, and values worked out
by other means."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tonewood.neck.load.bow import bow
from tonewood.neck.seasons.eigenstrain import rectangles, response, stack

MM, GPA = 1e-3, 1e9
WIDTHS = np.array([12, 2, 12, 2, 12]) * MM
MODULI = np.array([12, 16, 10, 16, 12]) * GPA


def stripes(widths, height=20 * MM):
    widths = np.asarray(widths)
    return rectangles(widths, height, np.cumsum(widths) - widths / 2 - widths.sum() / 2, -height / 2)


def test_three_layers_of_unlike_width():
    """Independently derived: 3 x 3 matrix by hand, confirmed by a plane finite-element model (curvature
    -1.3179e-2 1/m there)."""
    strains = np.array([-2e-4, -1e-4, -3.5e-4])
    bent, faces = stack(np.array([6, 4, 8]) * MM, np.array([40, 40, 42]) * MM, np.array([12, 9, 14]) * GPA,
                        strains)
    assert bent.centre[0] == pytest.approx(-1.365424e-4, rel=1e-6)
    assert bent.curvature[0] == pytest.approx(-1.318640e-2, rel=1e-6)
    assert bent.curvature[0] == pytest.approx(-1.3179e-2, rel=1e-3)
    stress = 14 * GPA * (bent.strain(0.0, faces[-1])[0] + 3.5e-4)
    assert stress == pytest.approx(-0.3346e6, rel=1e-3)


def test_one_restless_outer_stripe_bends_sideways():
    """Independently derived: moment about the weighted centre over EI_side, hand calculation."""
    wet = -0.04
    free = np.array([5e-3, 5e-3, 5e-3, 5e-3, 1e-2]) * wet
    bent = response(stripes(WIDTHS), MODULI, free)
    assert abs(bent.side_curvature[0]) == pytest.approx(6.2510e-3, rel=1e-3)
    assert bent.side_curvature[0] < 0, "the treble stripe shrinks more: treble side shorter"
    depth = bow([0.0, 0.45], np.repeat(bent.side_curvature, 2), [0.225], 0.0, 0.45)
    assert abs(depth[0]) == pytest.approx(0.158e-3, rel=2e-3)
    both = response(stripes(WIDTHS), MODULI, np.array([1e-2, 5e-3, 5e-3, 5e-3, 1e-2]) * wet)
    assert abs(both.side_curvature[0]) < 1e-15


def test_board_and_neck():
    """Independently derived: C_L 5e-3 in the neck, 1e-2 in the board, 3 % drier; straight edge 449.63 mm."""
    def depth(strains):
        bent, _ = stack(np.array([16, 6]) * MM, np.array([40, 42]) * MM, np.array([12, 14]) * GPA, strains)
        return bow([0.0, 0.44963], np.repeat(-bent.curvature, 2), [0.44963 / 2], 0.0, 0.44963)[0]
    assert depth([-1.5e-4, -3e-4]) == pytest.approx(0.2159e-3, rel=1e-3)
    assert depth([0.0, -1e-4]) == pytest.approx(0.1439e-3, rel=1e-3)


numbers = st.integers(2, 7)


@st.composite
def sections(draw):
    count = draw(numbers)

    def real(low, high):
        return np.array(draw(st.lists(st.floats(low, high), min_size=count, max_size=count)))

    integrals = rectangles(real(1e-3, 0.02), real(1e-3, 0.02), real(-0.02, 0.02), real(-0.02, 0.005))
    return integrals, real(0.5e9, 20e9), real(-5e-4, 5e-4)


@settings(max_examples=80, deadline=None)
@given(sections())
def test_stresses_leave_no_force_and_no_moment(section):
    integrals, modulus, free = section
    bent = response(integrals, modulus, free)
    area, Sy, Sz, Syy, Szz, Syz = integrals[..., 0]
    force = modulus * (bent.centre * area + bent.curvature * Sz + bent.side_curvature * Sy - free * area)
    moment = modulus * (bent.centre * Sz + bent.curvature * Szz + bent.side_curvature * Syz - free * Sz)
    side = modulus * (bent.centre * Sy + bent.curvature * Syz + bent.side_curvature * Syy - free * Sy)
    size = np.sum(modulus * area) * 5e-4
    assert abs(force.sum()) < 1e-9 * size
    assert abs(moment.sum()) < 1e-9 * size * 0.02
    assert abs(side.sum()) < 1e-9 * size * 0.02


@settings(max_examples=60, deadline=None)
@given(sections(), st.floats(-5e-4, 5e-4))
def test_pieces_that_want_the_same_change_stay_straight_and_unstressed(section, free):
    integrals, modulus, _ = section
    bent = response(integrals, modulus, np.full(len(modulus), free))
    assert bent.centre[0] == pytest.approx(free, abs=1e-12)
    assert abs(bent.curvature[0]) < 1e-9 and abs(bent.side_curvature[0]) < 1e-9
    assert np.all(np.abs(modulus * (bent.strain(0.02, -0.02) - free)) < 1.0)


@settings(max_examples=60, deadline=None)
@given(sections())
def test_drying_undoes_wetting(section):
    integrals, modulus, free = section
    wet, dry = response(integrals, modulus, free), response(integrals, modulus, -free)
    for name in ("centre", "curvature", "side_curvature"):
        assert getattr(dry, name)[0] == pytest.approx(-getattr(wet, name)[0], rel=1e-12, abs=1e-18)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(st.floats(1e-3, 0.02), st.floats(5e9, 20e9), st.floats(-5e-4, 5e-4)), min_size=1,
                max_size=4), st.booleans())
def test_mirrored_lay_up_has_no_side_bow(half, middle):
    both = half + (half[-2::-1] if middle else half[::-1])
    widths, modulus, free = (np.array(column) for column in zip(*both, strict=False))
    assert abs(response(stripes(widths), modulus, free).side_curvature[0]) < 1e-11


def test_a_thousand_necks_equal_one_at_a_time():
    rng = np.random.default_rng(4)
    modulus = rng.uniform(8e9, 16e9, (600, 5))
    free = rng.normal(0, 1e-4, (600, 5))
    many = response(stripes(WIDTHS), modulus, free)
    assert many.curvature.shape == (600, 1)
    for i in (0, 249, 250, 599):
        one = response(stripes(WIDTHS), modulus[i], free[i])
        assert many.side_curvature[i] == pytest.approx(one.side_curvature, rel=1e-12)


@pytest.mark.parametrize("call, words", [
    (lambda: response(stripes(WIDTHS), MODULI[:3], np.zeros(3)), "regions: 5 in the section, 3 moduli"),
    (lambda: response(stripes(WIDTHS), -MODULI, np.zeros(5)), "modulus"),
    (lambda: response(stripes(WIDTHS), MODULI * 0, np.zeros(5)), "no stiffness"),
    (lambda: response(stripes(WIDTHS), MODULI, np.full(5, np.nan)), "free strain"),
    (lambda: rectangles(0.02, 0.0, 0.0, 0.0), "height: 0 m given"),
    (lambda: stack([0.01, -0.01], 0.04, MODULI[:2], [0, 0]), "layer thickness"),])
def test_bad_input_is_named(call, words):
    with pytest.raises(ValueError, match=words):
        call()
