"""Plane sheet, against closed forms that do not use the series.

J. Crank, The Mathematics of Diffusion, 2nd ed., Oxford 1975: short-time uptake of a sheet of thickness l,
4/sqrt(pi) sqrt(D t / l^2); half time 0.049 l^2/D. M. M. Yovanovich, transient conduction in a plane wall,
course notes (University of Waterloo): approximation of the first root, b1 = (pi/2)/(1 +
(pi/2/sqrt(Bi))^n)^(1/n), n = 2.139, good to 0.4 %. First roots and centre constants of the textbook table of
one-term solutions (as in Incropera and DeWitt, Fundamentals of Heat and Mass Transfer; as remembered): Bi
0.1: 0.3111, 1.0161; 1: 0.8603, 1.1191; 10: 1.4289, 1.2620.
"""

import numpy as np
import pytest

from tonewood.wood.diffusion import roots, time_to, uptake


@pytest.mark.parametrize("fourier", [1e-6, 1e-4, 1e-3, 0.01, 0.05])
def test_short_time(fourier):
    assert uptake(fourier) == pytest.approx(4 / np.sqrt(np.pi) * np.sqrt(fourier / 4), rel=1e-5)


def test_half_time_of_a_sheet():
    thickness, D = 0.020, 1e-10
    assert time_to(0.5, thickness / 2, D) == pytest.approx(0.049 * thickness**2 / D, rel=5e-3)


@pytest.mark.parametrize(
    "biot, root, centre", [(0.1, 0.3111, 1.0161), (1.0, 0.8603, 1.1191), (10.0, 1.4289, 1.2620)]
)
def test_one_term_table(biot, root, centre):
    b = roots(biot)[0]
    assert b == pytest.approx(root, abs=6e-5)
    assert 4 * np.sin(b) / (2 * b + np.sin(2 * b)) == pytest.approx(centre, abs=6e-5)
    # one term is enough from Fo = 0.2 on: mean = centre constant x sin b / b
    assert 1 - uptake(1.0, biot) == pytest.approx(centre * np.sin(root) / root * np.exp(-(root**2)), rel=5e-3)


@pytest.mark.parametrize("biot", [0.01, 0.1, 1.0, 10.0, 100.0])
def test_first_root_approximation(biot):
    n = 2.139
    assert roots(biot)[0] == pytest.approx(np.pi / 2 / (1 + (np.pi / 2 / np.sqrt(biot)) ** n) ** (1 / n),
                                           rel=4e-3)


def test_thin_piece_behind_a_strong_film_is_one_exponential():
    assert uptake(50.0, 0.01) == pytest.approx(1 - np.exp(-0.5), rel=4e-3)


def test_rule_of_thumb_for_the_half_time_of_a_coated_piece():
    """t = (0.197 + ln 2 / Bi) a^2 / D, a rule of the workshop kind (independently derived): 4 % short at
    worst, near Bi = 5."""
    for biot in (0.1, 0.5, 1.0, 5.0, 20.0):
        found = time_to(0.5, 0.01, 1e-10, biot * 1e-8) * 1e-6
        assert found == pytest.approx(0.197 + np.log(2) / biot, rel=0.042)
