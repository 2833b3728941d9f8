"""Attack comparison by route, and sentences that follow the numbers."""

import re

import numpy as np
import pytest
from numpy.testing import assert_allclose

from tonewood.sound.attack import AttackDesign, compare_attack
from tonewood.sound.glide import neck_compliance
from tonewood.sound.partials import EndModes, SpeakingString
from tonewood.sound.pluck import pluck

STRING = SpeakingString(0.4855, 2.309e-3, 83.6, axial_stiffness=200e9 * np.pi * 0.36e-3**2 / 4, loss=4e-4)   # a wound string at 196 Hz
SOFT, STIFF = neck_compliance(0.45, 12e6, 0.0125, 350), neck_compliance(0.45, 12e6, 0.0125, 420)


def neck(name, frequency, compliance=SOFT, eta=0.012):
    return AttackDesign(name, EndModes([2 * np.pi * frequency, 2 * np.pi * 450], [eta, eta], [0.8, 0.6]), EndModes(), compliance)


def test_neck_mode_on_the_note_is_the_large_route_and_tension_the_tiny_one():
    found = compare_attack(STRING, neck("plain neck", 196.0), neck("laminated neck", 240.0, STIFF))
    assert found.by_resonance[-1] > 1.0
    assert np.abs(found.by_tension).max() < 0.01
    assert 0 < np.abs(found.relieved[0] - found.relieved[1]) < 0.05
    words = " ".join(found.verdict())
    assert "larger route is loss at neck modes" in words and "is above the 0.7 dB step" in words
    assert "stays below the 40 cents of glide" in words and "not established" in words


def test_routes_add_up_to_the_whole_when_one_is_tiny():
    found = compare_attack(STRING, neck("a", 200.0), neck("b", 230.0, STIFF))
    assert_allclose(found.by_resonance + found.by_tension, found.levels[1] - found.levels[0], atol=1e-3)


def test_levels_are_those_of_the_pluck():
    found = compare_attack(STRING, neck("a", 200.0), neck("b", 230.0), height=0.002, pick=0.1)
    sound = pluck(STRING, neck("a", 200.0).normal, height=0.002, pick=0.1, duration=0.25, glide=True, neck_compliance=SOFT)
    assert_allclose(found.levels[0], sound.level_at())
    assert found.early_decay[0] == pytest.approx(sound.early_decay_time)
    assert found.drop[0] == pytest.approx(sound.level_at()[0] - sound.level_at()[2])


def test_equal_designs_differ_by_nothing_and_the_words_say_so():
    found = compare_attack(STRING, neck("one", 300.0), neck("two", 300.0))
    assert np.abs(found.levels[0] - found.levels[1]).max() == 0
    words = " ".join(found.verdict())
    assert "difference of 0.00 dB stays below" in words and "Neither route" in words and "ratio 1.00, inside" in words


def test_sentences_carry_the_computed_numbers():
    found = compare_attack(STRING, neck("first", 200.0), neck("second", 215.0))
    resonance, tension, decay, _ = found.verdict()
    said = [float(v) for v in re.findall(r"-?\d+\.\d+", resonance)]
    assert said[0] == pytest.approx(found.drop[0], abs=0.0051) and said[1] == pytest.approx(found.drop[1], abs=0.0051)
    assert f"{found.cents[0]:.1f} cents" in tension and f"{found.early_decay[1]:.1f} s on second" in decay


def test_a_very_soft_support_would_make_tension_the_larger_route():
    """The verdict follows the numbers, whichever way they fall: an unreal give of the neck, no mode near."""
    found = compare_attack(SpeakingString(0.6, 4e-4, 40.0, axial_stiffness=9e4, loss=2e-4), AttackDesign("firm"),
                           AttackDesign("rubber", compliance=5e-5), height=0.006)
    assert np.abs(found.by_resonance).max() == 0
    assert found.relieved[1] > 10
    assert_allclose(found.by_tension, found.levels[1] - found.levels[0], atol=1e-12)
    assert np.abs(found.by_tension).max() > 1e-4
    words = found.verdict()
    assert not any("larger route is loss at neck modes" in sentence for sentence in words)


def test_draws_give_bands():
    generator = np.random.default_rng(0)
    omega = 2 * np.pi * np.array([206.0, 470.0]) * np.exp(0.05 * generator.normal(size=(12, 1)))
    found = compare_attack(STRING, neck("a", 192.0), AttackDesign("b", EndModes(omega, 0.012, [0.8, 0.6]), EndModes(), SOFT * np.ones(12)))
    assert found.levels[1].shape == (12, 3) and found.by_resonance.shape == (12, 3)
    words = " ".join(found.verdict())
    assert "90 % of draws" in words
    assert len(found.table()) == 2 and found.table()["drop from 5 to 200 ms [dB]"][1] == pytest.approx(np.median(found.drop[1]))


@pytest.mark.parametrize("how, words", [(dict(glide=False), "glide"), (dict(duration=0.1), "200 ms"), (dict(pick=0.6), "pick position")])
def test_refusals(how, words):
    with pytest.raises(ValueError, match=words):
        compare_attack(STRING, neck("a", 200.0), neck("b", 210.0), **how)
