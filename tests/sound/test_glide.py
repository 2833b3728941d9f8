"""Tension rise and pitch glide: independently derived values, an integrated equation of motion, the pluck
itself."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from tonewood.sound import glide
from tonewood.sound.partials import SpeakingString
from tonewood.sound.pluck import pluck
from tonewood.sound.stroke import initial_shape
from tonewood.strings.wire import cents

PLAIN = dict(length=0.648, mass_per_length=72.59 / (2 * 0.648 * 329.63) ** 2, tension=72.59,
             axial_stiffness=200e9 * np.pi * 0.254e-3**2 / 4)
WOUND_EA = 200e9 * np.pi * 0.4572e-3**2 / 4


def test_plain_string():
    string = SpeakingString(**PLAIN)
    found = glide.tension_glide(string, 0.002, 0.2 * 0.648)
    assert found.rise == pytest.approx(0.3017, abs=1e-4)
    assert found.cents_mean == pytest.approx(1.80, abs=0.005)


def test_wound_string_uses_its_core():
    rise = glide.tension_at_release(0.003, 0.2 * 0.648, 0.648, WOUND_EA)
    assert rise == pytest.approx(2.199, abs=1e-3)
    assert rise / 78 == pytest.approx(0.0282, abs=5e-5)
    assert cents(1 + rise / 78) == pytest.approx(24.1, abs=0.05)
    assert cents(1 + rise / 2 / 78) == pytest.approx(12.1, abs=0.05)
    assert cents(1 + rise / 78) == pytest.approx(866 * rise / 78, rel=0.02)


def test_mean_tension_of_one_mode_by_integrating_the_equation_of_motion():
    """Independent means: q'' + w^2 q (1 + EA pi^2 q^2/(4 T L^2)) = 0 integrated, period from the zero
    crossing.

    Its shift is (3/32) EA pi^2 a^2/(T L^2): 2/32 from the mean tension, which the pluck follows, and 1/32
    from its ripple.
    """
    from scipy.integrate import solve_ivp
    string, amplitude = SpeakingString(**PLAIN), 0.002
    strength = string.axial_stiffness * np.pi**2 / (4 * string.tension * string.length**2)

    def down(t, y):
        return y[0]

    down.terminal, down.direction = True, -1
    found = solve_ivp(lambda t, y: [y[1], -(2 * np.pi) ** 2 * y[0] * (1 + strength * y[0] ** 2)], (0, 1),
                      [amplitude, 0], events=down, rtol=1e-11, atol=1e-14, max_step=0.01)
    shift = 0.25 / found.t_events[0][0] - 1
    assert shift == pytest.approx(1.2296e-3, abs=2e-7)
    assert shift == pytest.approx(3 / 8 * strength * amplitude**2, rel=1e-3)
    # the first mode alone, pulled to the amplitude there
    middle = string.length / 2
    height = amplitude * np.pi**2 / 8
    sound = pluck(string, height=height, pick=middle, pick_width=0.0, duration=0.1, glide=True, modes=1)
    assert sound.rise[0] == pytest.approx(2 / 3 * shift, rel=2e-3)


def test_neck_relieves_about_one_percent():
    compliance = glide.neck_compliance(0.45, 12e6, 0.0125, 350)
    assert compliance == pytest.approx(2.384e-7, rel=5e-4)
    plain = glide.share_relieved(compliance, 0.648, PLAIN["axial_stiffness"])
    wound = glide.share_relieved(compliance, 0.648, WOUND_EA)
    assert plain == pytest.approx(0.00373, rel=2e-3)
    assert wound == pytest.approx(0.01207, rel=2e-3)
    assert PLAIN["axial_stiffness"] / 0.648 == pytest.approx(15.64e3, rel=1e-3)
    assert WOUND_EA / 0.648 == pytest.approx(50.62e3, rel=2e-3)


def test_stiffness_and_energy_of_a_pull_lie_within_the_published_range():
    """Published range 1000 to 2000 N/m and 2 to 4 mJ: Zollner, Physics of the electric guitar, section 1.5
    (opening)."""
    pulled = initial_shape(SpeakingString(0.64, 2e-3, 80), 0.002, 0.08, modes=4000)
    energy = np.pi**2 * 80 / (4 * 0.64) * np.sum((np.arange(1, 4001) * pulled) ** 2)
    assert energy == pytest.approx(80 * 0.64 / (0.08 * 0.56) * 0.002**2 / 2, rel=1e-3)    # T L / (x (L - x))
    assert 1000 <= 2 * energy / 0.002**2 <= 2000 and 2e-3 <= energy <= 4e-3


def test_mean_rise_of_a_pluck_is_half_the_static_one():
    """The time average over all partials, from the modal sum, against the triangle's geometry."""
    string = SpeakingString(**PLAIN, loss=1e-4)
    static = glide.tension_at_release(0.002, 0.13, string.length, string.axial_stiffness)
    for modes, gap in ((20, 0.06), (60, 0.02)):
        sound = pluck(string, height=0.002, pick=0.13, pick_width=0.0, duration=0.1, glide=True, modes=modes)
        half = cents(1 + static / 2 / string.tension)
        assert 1 - gap < float(sound.cents_at(0.0)[0]) / half < 1.0


def test_glide_dies_with_twice_the_amplitude_rate():
    string = SpeakingString(**PLAIN, loss=2e-3)
    sound = pluck(string, height=0.002, duration=1.0, glide=True, modes=1)
    sigma = np.pi * string.fundamental * 2e-3
    start, later = sound.cents_at([0.0, 0.4])
    assert later / start == pytest.approx(np.exp(-2 * sigma * 0.4), rel=2e-3)


def test_glide_bends_the_rendered_pitch_as_told():
    """Measured on the samples: zero crossings of a single partial against the integral of the pitch told."""
    string = SpeakingString(**PLAIN | dict(axial_stiffness=WOUND_EA), loss=2e-3)
    for relief in (0.0, 5e-6):
        sound = pluck(string, height=0.004, duration=1.0, glide=True, modes=1, neck_compliance=relief)
        up = np.flatnonzero((sound.samples[:-1] < 0) & (sound.samples[1:] >= 0))
        crossing = (up - sound.samples[up] / (sound.samples[up + 1] - sound.samples[up])) / sound.rate
        pitch = string.fundamental * 2 ** (sound.cents_at(sound.time) / 1200)
        cycles = np.concatenate([[0], np.cumsum((pitch[1:] + pitch[:-1]) / 2 / sound.rate)])
        passed = np.interp(crossing, sound.time, cycles)
        assert_allclose(np.diff(passed), 1, atol=2e-3)
        assert_allclose(passed - passed[0], np.arange(len(passed)), atol=2e-3)
        # whole cycles gained by the bend: it is there to be seen
        assert len(passed) - string.fundamental > 0.3


def test_neck_compliance_shrinks_the_glide_by_its_share():
    string = SpeakingString(**PLAIN, loss=1e-3)
    compliance = glide.neck_compliance(0.45, 12e6, 0.0125, 350)
    stiff, soft = (pluck(string, duration=0.1, glide=True, neck_compliance=c).rise[0]
                   for c in (0.0, compliance))
    assert stiff / soft - 1 == pytest.approx(0.00373, rel=2e-3)
    said = glide.tension_glide(string, 0.002, 0.13, np.array([0.0, compliance]))
    assert said.cents_relieved[0] == 0 and 0 < said.cents_relieved[1] < 0.01
    assert said.cents_relieved[1] < said.threshold / 1000
    assert list(100 * said.relieved.round(5)) == pytest.approx([0.0, 0.371])


@pytest.mark.parametrize("call, words", [
    (lambda: glide.tension_at_release(0.002, 0.7, 0.648, 1e4), "pick position.*above 0 and below 0.648 m"),
    (lambda: glide.tension_at_release(2.0, 0.1, 0.648, 1e4), "did you mean 0.002 m"),
    (lambda: glide.tension_at_release(0.002, 0.0, 0.648, 1e4), "pick position"),
    (lambda: glide.neck_compliance(0.45, 12e6, 12.5, 350), "did you mean 0.0125 m"),
    (lambda: glide.neck_compliance(0.45, 12e6, 0.0125, np.nan), "EI"),
    (lambda: glide.share_relieved(-1.0, 0.648, 1e4), "compliance"),
    (lambda: glide.tension_glide(SpeakingString(0.648, 4e-4, 72.0), 0.002, 0.1), "axial_stiffness")])
def test_refusals(call, words):
    with pytest.raises(ValueError, match=words):
        call()


def test_initial_shape_is_the_triangle():
    string = SpeakingString(**PLAIN)
    x = np.linspace(0, string.length, 9)
    n = np.arange(1, 2001)
    shape = np.sin(np.outer(x, n) * np.pi / string.length) @ initial_shape(string, 0.002, 0.13, 0.0, 2000)
    assert_allclose(shape, np.interp(x, [0, 0.13, string.length], [0, 0.002, 0]), atol=2e-6)
