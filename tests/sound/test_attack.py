"""Attack comparison by route: each pluck alone, routes that add up, draws."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from tonewood.sound.attack import AttackDesign, compare_attack
from tonewood.sound.glide import neck_compliance
from tonewood.sound.partials import EndModes, SpeakingString
from tonewood.sound.pluck import pluck

# a wound string at 196 Hz
STRING = SpeakingString(0.4855, 2.309e-3, 83.6, axial_stiffness=200e9 * np.pi * 0.36e-3**2 / 4, loss=4e-4)
SOFT, STIFF = neck_compliance(0.45, 12e6, 0.0125, 350), neck_compliance(0.45, 12e6, 0.0125, 420)


def neck(name, frequency, compliance=SOFT, eta=0.012):
    return AttackDesign(name, EndModes([2 * np.pi * frequency, 2 * np.pi * 450], [eta, eta], [0.8, 0.6]),
                        EndModes(), compliance)


def test_neck_mode_on_the_note_is_the_large_route_and_tension_the_tiny_one():
    found = compare_attack(STRING, neck("plain neck", 196.0), neck("laminated neck", 240.0, STIFF))
    assert found.by_resonance[-1] > 1.0
    assert np.abs(found.by_tension).max() < 0.01
    assert 0 < np.abs(found.relieved[0] - found.relieved[1]) < 0.05
    assert found.drop[0] - found.drop[1] > found.notice_level == pytest.approx(0.686, abs=1e-3)
    assert found.notice_cents == pytest.approx(40, abs=0.5)


def test_routes_add_up_to_the_whole_when_one_is_tiny():
    found = compare_attack(STRING, neck("a", 200.0), neck("b", 230.0, STIFF))
    assert_allclose(found.by_resonance + found.by_tension, found.levels[1] - found.levels[0], atol=1e-3)


def test_levels_are_those_of_the_pluck():
    found = compare_attack(STRING, neck("a", 200.0), neck("b", 230.0), height=0.002, pick=0.1)
    sound = pluck(STRING, neck("a", 200.0).normal, height=0.002, pick=0.1, duration=0.25, glide=True,
                  neck_compliance=SOFT)
    assert_allclose(found.levels[0], sound.level_at())
    assert found.early_decay[0] == pytest.approx(sound.early_decay_time)
    assert found.drop[0] == pytest.approx(sound.level_at()[0] - sound.level_at()[2])


def test_equal_designs_differ_by_nothing():
    found = compare_attack(STRING, neck("one", 300.0), neck("two", 300.0))
    assert np.abs(found.levels[0] - found.levels[1]).max() == 0
    assert found.drop[0] == found.drop[1] and found.early_decay[0] == found.early_decay[1]


def test_a_very_soft_support_would_make_tension_the_larger_route():
    """The numbers fall either way: an unreal give of the neck, no mode near."""
    found = compare_attack(SpeakingString(0.6, 4e-4, 40.0, axial_stiffness=9e4, loss=2e-4),
                           AttackDesign("firm"),
                           AttackDesign("rubber", compliance=5e-5), height=0.006)
    assert np.abs(found.by_resonance).max() == 0
    assert found.relieved[1] > 10
    assert_allclose(found.by_tension, found.levels[1] - found.levels[0], atol=1e-12)
    assert np.abs(found.by_tension).max() > 1e-4


def test_draws_give_bands():
    generator = np.random.default_rng(0)
    omega = 2 * np.pi * np.array([206.0, 470.0]) * np.exp(0.05 * generator.normal(size=(12, 1)))
    found = compare_attack(STRING, neck("a", 192.0), AttackDesign("b", EndModes(omega, 0.012, [0.8, 0.6]),
                                                                  EndModes(), SOFT * np.ones(12)))
    assert found.levels[1].shape == (12, 3) and found.by_resonance.shape == (12, 3)
    assert found.drop[1].shape == found.early_decay[1].shape == found.relieved[1].shape == (12,)
    assert np.ptp(found.drop[1]) > 0.1


@pytest.mark.parametrize("how, words", [(dict(glide=False), "glide"), (dict(duration=0.1), "200 ms"),
                                        (dict(pick=0.6), "pick position")])
def test_refusals(how, words):
    with pytest.raises(ValueError, match=words):
        compare_attack(STRING, neck("a", 200.0), neck("b", 210.0), **how)
