"""Sentences on two necks and one note follow the computed numbers."""

import re

import numpy as np
import pytest

from tonewood.lesson.first_moment.route_words import routes_said
from tonewood.sound.attack import AttackDesign, compare_attack
from tonewood.sound.glide import neck_compliance
from tonewood.sound.partials import EndModes, SpeakingString

STRING = SpeakingString(0.4855, 2.309e-3, 83.6, axial_stiffness=200e9 * np.pi * 0.36e-3**2 / 4, loss=4e-4)
SOFT, STIFF = neck_compliance(0.45, 12e6, 0.0125, 350), neck_compliance(0.45, 12e6, 0.0125, 420)


def neck(name, frequency, compliance=SOFT, eta=0.012):
    ends = EndModes([2 * np.pi * frequency, 2 * np.pi * 450], [eta, eta], [0.8, 0.6])
    return AttackDesign(name, ends, compliance=compliance)


def test_a_mode_on_the_note_is_the_larger_route():
    found = compare_attack(STRING, neck("plain neck", 196.0), neck("laminated neck", 240.0, STIFF))
    words = " ".join(routes_said(found))
    assert "larger route is loss at neck modes" in words and "is above the 0.7 dB step" in words
    assert "stays below the 40 cents of glide" in words and "not established" in words


def test_equal_necks():
    words = " ".join(routes_said(compare_attack(STRING, neck("one", 300.0), neck("two", 300.0))))
    assert "difference of 0.00 dB stays below" in words and "Neither route" in words
    assert "ratio 1.00, inside" in words


def test_sentences_carry_the_computed_numbers():
    found = compare_attack(STRING, neck("first", 200.0), neck("second", 215.0))
    resonance, tension, decay, _ = routes_said(found)
    said = [float(v) for v in re.findall(r"-?\d+\.\d+", resonance)]
    assert said[:2] == pytest.approx([float(v) for v in found.drop], abs=0.0051)
    assert f"{found.cents[0]:.1f} cents" in tension and f"{found.early_decay[1]:.1f} s on second" in decay


def test_a_very_soft_support_is_not_taken_for_a_resonance():
    string = SpeakingString(0.6, 4e-4, 40.0, axial_stiffness=9e4, loss=2e-4)
    rubber = AttackDesign("rubber", compliance=5e-5)
    found = compare_attack(string, AttackDesign("firm"), rubber, height=0.006)
    assert not any("larger route is loss at neck modes" in said for said in routes_said(found))


def test_draws_are_told_as_bands():
    scatter = np.exp(0.05 * np.random.default_rng(0).normal(size=(12, 1)))
    omega = 2 * np.pi * np.array([206.0, 470.0]) * scatter
    drawn = AttackDesign("b", EndModes(omega, 0.012, [0.8, 0.6]), compliance=SOFT * np.ones(12))
    assert "90 % of draws" in " ".join(routes_said(compare_attack(STRING, neck("a", 192.0), drawn)))
