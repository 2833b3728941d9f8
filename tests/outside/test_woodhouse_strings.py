"""Nylon guitar strings: measured mass and tension give the note each string is sold for.

Source: J. Woodhouse, On the synthesis of guitar plucks, Acta Acustica united with Acustica 90 (2004) 928-944,
string table of the companion
paper, as transcribed in an open student project. Inputs published; the frequencies follow from the
ideal-string law.
"""

import pytest

from tonewood.strings.pitch import note_frequency
from tonewood.strings.wire import cents, inharmonicity, tension_for


@pytest.mark.parametrize(
    "note, mass_per_length, tension, expected", [("E2", 6.24e-3, 71.6, 82.40), ("E4", 0.38e-3, 70.3, 330.9)]
)
def test_published_mass_and_tension_give_the_note(note, mass_per_length, tension, expected):
    assert tension_for(mass_per_length, 0.65, expected) == pytest.approx(tension, rel=4e-4)
    asked = tension_for(mass_per_length, 0.65, note_frequency(note))
    assert asked == pytest.approx(tension, rel=0.01) and abs(cents(tension / asked)) < 10


@pytest.mark.parametrize(
    "bending_stiffness, tension, expected", [(57e-6, 71.6, 1.8596e-5), (130e-6, 70.3, 4.3197e-5)]
)
def test_published_bending_stiffness_is_a_small_correction(bending_stiffness, tension, expected):
    """Worked by hand from the published EI: EI (pi / 0.65)^2 / T; it moves the first harmonic by less
    than 0.1 cent."""
    share = inharmonicity(bending_stiffness, tension, 0.65)
    assert share == pytest.approx(expected, rel=1e-3)
    assert cents(1 + share) < 0.1
