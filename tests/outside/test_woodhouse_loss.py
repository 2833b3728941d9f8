"""Loss factors of nylon guitar strings from published constants.

Source of the form and the constants: J. Woodhouse, On the synthesis of guitar plucks, Acta Acustica united
with Acustica 90 (2004) 928-944, with the
string table of the companion paper, as transcribed in an open student project. The expected loss factors are
worked from them by hand.
"""

import numpy as np
import pytest

from tonewood.sound.string_loss import t60, three_part_loss

E2 = dict(mass=6.24e-3, bending_stiffness=57e-6, tension=71.6, friction=2e-5, bending=0.020, air=1.2)
E4 = dict(mass=0.38e-3, bending_stiffness=130e-6, tension=70.3, friction=40e-5, bending=0.024, air=1.5)


def losses(string, harmonics, length=0.65):
    n = np.asarray(harmonics)
    frequency = n * np.sqrt(string["tension"] / string["mass"]) / (2 * length)
    return frequency, three_part_loss(string["tension"], string["bending_stiffness"], length, n, frequency,
                                      string["air"], string["friction"], string["bending"])


@pytest.mark.parametrize("string, harmonics, expected", [
    (E2, [1, 5, 10], [2.338e-3, 4.925e-4, 2.882e-4]), (E4, [1, 10], [1.123e-3, 5.73e-4])
])
def test_loss_by_harmonic(string, harmonics, expected):
    np.testing.assert_allclose(losses(string, harmonics)[1], expected, rtol=1e-3)


def test_low_harmonics_lose_to_the_air_and_high_ones_to_bending():
    frequency, eta = losses(E4, np.arange(1, 41))
    lowest = int(np.argmin(eta))
    assert 2 < lowest < 20  # a best-kept harmonic in between
    assert np.all(np.diff(eta[:lowest]) < 0) and np.all(np.diff(eta[lowest:]) > 0)
    assert np.all(np.diff(t60(frequency, eta)) < 0)  # yet each higher harmonic dies sooner
