"""Weigh, bend, tap: worked values, round trips through a Timoshenko beam solved otherwise, refusals."""

import numpy as np
import pytest

from tonewood.bench import measure as m
from tonewood.wood.facts import rule
from tonewood.wood.species import all_species

BAR = dict(length=0.45, width=0.045, thickness=0.020)


def lowest_tone(E, ratio, density, length, width, thickness):
    """Lowest free tone (Hz) of a Timoshenko bar, independently derived: its two coupled wave equations,
    determinant at the free ends set to zero."""
    from scipy.optimize import brentq
    A, second, G = width * thickness, width * thickness**3 / 12, E / ratio
    kGA, L = 5 / 6 * G * A, length

    def ends(f):
        w2 = (2 * np.pi * f) ** 2
        # w = sum exp(r x): r^4 + (a + b) r^2 + a b - c = 0
        a, b, c = density * A * w2 / kGA, density * w2 / E, density * A * w2 / (E * second)
        r2 = np.roots([1, a + b, a * b - c]).astype(complex)
        r = np.concatenate([np.sqrt(r2), -np.sqrt(r2)])
        k = (r**2 + a) / r                                    # rotation over deflection
        rows = [k * r, r - k, k * r * np.exp(r * L), (r - k) * np.exp(r * L)]
        scaled = [row / np.abs(row).max() for row in rows]
        # The scaling keeps the sign; a complex root pair makes the determinant purely imaginary or real.
        d = np.linalg.det(np.array(scaled))
        return d.imag if abs(d.imag) > abs(d.real) else d.real

    guess = m.FREE_BEAM**2 / (2 * np.pi * L**2) * np.sqrt(E * second / (density * A))
    return brentq(ends, 0.7 * guess, 1.0 * guess, xtol=1e-9)


def test_density():
    assert m.density(0.2835, **BAR) == pytest.approx(700.0)


def test_round_trip():
    """Free bar of true E 12 GPa, E/G 15; independently derived: finite elements."""
    slender = m.slender_tap_modulus(0.2835, 411.326, **BAR)
    assert slender == pytest.approx(11.4916e9, rel=1e-4)
    assert m.tap_modulus(0.2835, 411.326, **BAR, ratio=15) == pytest.approx(12.004e9, rel=1e-4)


def test_slender_bar_and_wood_factor():
    assert m.slender_tap_modulus(0.300, 412.0, **BAR) == pytest.approx(12.200e9, rel=1e-4)
    assert m.wood_factor(0.020 / 0.45, 15) == pytest.approx(1.04459, abs=1e-5)
    assert m.tap_modulus(0.300, 412.0, **BAR, ratio=15) == pytest.approx(12.744e9, rel=1e-4)


def test_bend():
    readings = dict(load=50.0, deflection=1.10e-3, span=0.400, width=0.045, thickness=0.020)
    assert m.bend_modulus(**readings, ratio=0) == pytest.approx(2.0202e9, rel=1e-4)
    assert m.bend_modulus(**readings, ratio=15) == pytest.approx(2.1111e9, rel=1e-4)


def test_shear_share_is_the_handbook_tenth():
    assert m.shear_share(14, 16) == pytest.approx(0.098, abs=5e-4)
    assert 1 + m.shear_share(14, 16) == pytest.approx(rule("longitudinal_modulus").value, abs=0.005)


def test_uncertainty():
    assert m.uncertainty("tap", mass=0.001, frequency=0.002, length=0.0005, width=0.003,
                         thickness=0.005) == pytest.approx(0.0159, abs=5e-5)


def test_to_twelve_per_cent():
    assert 1 / m.modulus_at_12(1.0, 0.08, 1.25, 0.25) == pytest.approx(1.0711, abs=5e-5)
    assert 1 / m.modulus_at_12(1.0, 0.06, 1.25, 0.25) == pytest.approx(1.1085, abs=5e-5)
    assert m.modulus_at_12(1.0, 0.12, 1.25) == pytest.approx(1.0)
    assert m.density_at_12(700.0, 0.12, (0.005, 0.16, 0.35)) == pytest.approx(700.0)
    assert m.density_at_12(700.0, 0.08) == pytest.approx(700 * 1.12 / 1.08)


def test_twist_shape():
    assert m.twist_shape(0.045, 0.020) == pytest.approx(2.10397, abs=2e-5)
    # The polynomial of ASTM E1876 (from memory) as another means.
    b, t = 45.0, 20.0
    tb = t / b
    wide = (1 + (b / t) ** 2) / (4 - 2.521 * tb * (1 - 1.991 / (np.exp(np.pi / tb) + 1)))
    poly = wide * (1 + 0.00851 * 45**2 / 450**2) - 0.060 * (b / 450) ** 1.5 * (b / t - 1) ** 2
    assert m.twist_shape(0.045, 0.020) == pytest.approx(poly, rel=0.002)


@pytest.mark.parametrize(("x", "ratio", "published", "first_order"),
                         [(0.04, 10, 1.02615, 1.0263), (0.04, 20, 1.04572, 1.0460),
                          (0.08, 10, 1.10331, 1.1051), (0.08, 20, 1.18071, 1.1838)])
def test_wood_factor_against_a_timoshenko_beam(x, ratio, published, first_order):
    assert m.wood_factor(x, ratio) == pytest.approx(first_order, abs=6e-5)
    L = 0.45
    f = lowest_tone(12e9, ratio, 700.0, L, 0.045, x * L)
    exact = 12e9 / m.slender_tap_modulus(700 * L * 0.045 * x * L, f, L, 0.045, x * L)
    assert exact == pytest.approx(published, abs=2e-4)      # those were finite elements
    assert m.wood_factor(x, ratio) == pytest.approx(exact, rel=0.003)


def test_twist_modulus_round_trip():
    """Free uniform bar: f = sqrt(G J / (rho I_p)) / (2 L); independently derived."""
    from tonewood.neck.section.torsion import rectangle_constant
    G, rho, L, b, t = 0.9e9, 650.0, 0.6, 0.06, 0.022
    f = np.sqrt(G * rectangle_constant(b, t) / (rho * b * t * (b**2 + t**2) / 12)) / (2 * L)
    assert m.twist_modulus(rho * L * b * t, f, L, b, t) == pytest.approx(G)


def test_bend_of_a_shear_soft_beam_round_trip():
    """Deflection = F s^3/48EI + 1.2 F s/4GA; independently derived by virtual work."""
    E, G, F, s, b, t = 11e9, 0.8e9, 80.0, 0.5, 0.06, 0.022
    d = F * s**3 / (48 * E * b * t**3 / 12) + 1.2 * F * s / (4 * G * b * t)
    apparent = m.bend_modulus(F, d, s, b, t, ratio=0)
    # The correction is written in E/G, so the true ratio gives E back up to the square of the share.
    assert m.bend_modulus(F, d, s, b, t, ratio=E / G) == pytest.approx(E, rel=1e-9)
    assert apparent < E


def test_uncertainty_agrees_with_draws():
    rng = np.random.default_rng(5)
    u = dict(mass=0.002, frequency=0.003, length=0.001, width=0.004, thickness=0.006)
    base = dict(mass=0.2835, frequency=411.0, **BAR)
    drawn = m.slender_tap_modulus(**{k: v * (1 + u[k] * rng.standard_normal(20000)) for k, v in base.items()})
    assert drawn.std() / drawn.mean() == pytest.approx(m.uncertainty("tap", **u), rel=0.03)
    u = dict(load=0.002, span=0.002, width=0.003, thickness=0.005, deflection=0.02)
    base = dict(load=50.0, deflection=2e-3, span=0.6, width=0.06, thickness=0.02)
    drawn = m.bend_modulus(**{k: v * (1 + u[k] * rng.standard_normal(20000)) for k, v in base.items()},
                           ratio=0)
    assert drawn.std() / drawn.mean() == pytest.approx(m.uncertainty("bend", **u), rel=0.03)


def test_thickness_dominates():
    parts = {name: m.uncertainty("bend", **{name: 0.01}) for name in m.POWERS["bend"]}
    assert max(parts, key=parts.get) in ("thickness", "span") and parts["thickness"] == pytest.approx(0.03)


def test_shear_ratio_rule_is_the_mean_of_the_published_rows():
    ratios = [1 / w.fact(n).value for w in all_species() for n in ("G_LR_ratio", "G_LT_ratio")
              if w.status(n) == "published"]
    found = rule("modulus_over_shear")
    assert len(ratios) == 35
    assert found.value == pytest.approx(np.mean(ratios),
                                        abs=0.05) and found.sd == pytest.approx(np.std(ratios), abs=0.05)
    assert (found.low, found.high) == pytest.approx(tuple(np.percentile(ratios, [5, 95])), abs=0.05)
    assert m.wood_factor(0.04) == m.wood_factor(0.04, found.value)


def test_arrays_and_numbers_agree():
    f = np.array([380.0, 411.0])
    both = m.tap_modulus(0.2835, f, **BAR)
    assert both.shape == (2,)
    assert both[1] == m.tap_modulus(0.2835, 411.0, **BAR)


@pytest.mark.parametrize(("call", "message"), [
    (lambda: m.density(283.5, **BAR), "mass: 283.5 kg given.*Grams\\? 283.5 g is 0.2835 kg"),
    (lambda: m.density(0.28, 450, 0.045, 0.02), "length: 450 m given.*did you mean 0.45 m \\(450 mm\\)"),
    (lambda: m.density(0.28, 0.45, 0.045, 0), "thickness: 0 m given"),
    (lambda: m.bend_modulus(50, 1e-3, 0.10, 0.045, 0.02), "span over thickness: 5 given.*longer span"),
    (lambda: m.bend_modulus(-1, 1e-3, 0.4, 0.045, 0.02), "load: −1 N given"),
    (lambda: m.bend_modulus(50, 1.1, 0.4, 0.045, 0.02), "deflection: 1.1 m given.*0.0011 m \\(1.1 mm\\)"),
    (lambda: m.tap_modulus(0.28, 411, 0.10, 0.045, 0.02), "length over thickness: 5 given"),
    (lambda: m.tap_modulus(0.28, np.nan, **BAR), "frequency: nan"),
    (lambda: m.wood_factor(0.3), "thickness over length: 0.3 given"),
    (lambda: m.uncertainty("tip"), "test: 'tip' given.*Did you mean 'tap'"),
    (lambda: m.uncertainty("tap", thicknes=0.01), "reading: 'thicknes' given.*Did you mean 'thickness'"),
    (lambda: m.uncertainty("tap", thickness=1), "uncertainty of thickness: 1 .*Did you mean 0.01"),
    (lambda: m.modulus_at_12(1.0, 8, 1.25), "moisture content: 8 .*Did you mean 0.08"),
])
def test_refusals(call, message):
    with pytest.raises(ValueError, match=message):
        call()
