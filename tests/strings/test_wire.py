"""String formulas: worked values independently derived from geometry and T = mu (2 L f)^2, limits, and
refusals."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tonewood.materials import material
from tonewood.strings import pitch
from tonewood.strings.sets import SETS, string_set
from tonewood.strings.wire import (
    String,
    StringSet,
    cents,
    inharmonicity,
    nut_force,
    plain,
    tension_change,
    tension_for,
    wound,
)


def test_plain_e4():
    string = plain(0.254e-3)
    tension = tension_for(string.mass_per_length, 0.648, 329.628)
    assert string.mass_per_length == pytest.approx(3.9777e-4, rel=1e-4)
    assert tension == pytest.approx(72.59, abs=0.01)
    assert np.sqrt(tension * string.mass_per_length) == pytest.approx(0.1699, abs=1e-4)


@pytest.mark.parametrize("diameter, frequency, expected", [(0.330e-3, 246.942, 68.77),
                                                           (0.432e-3, 195.998, 74.24)])
def test_plain_b_and_g(diameter, frequency, expected):
    assert tension_for(plain(diameter).mass_per_length, 0.648, frequency) == pytest.approx(expected, abs=0.01)


def test_six_string_set():
    strings = string_set("six")
    assert strings.mass_per_length[:3] == pytest.approx([6.8739e-3, 4.2569e-3, 2.2622e-3], rel=1e-4)
    assert strings.tension[:3] == pytest.approx([78.40, 86.51, 81.92], abs=0.01)
    assert strings.total_tension == pytest.approx(462.4, abs=0.1)


def test_fret_places():
    assert pitch.fret_position(0.648, [1, 7, 8, 12, 22]) == pytest.approx(
        [0.036369, 0.215512, 0.239786, 0.324, 0.466161], abs=5e-7)


def test_wound_mass_is_that_of_a_helix_of_wire():
    """Independently derived: length of the wrap wire per metre of string times its own mass per metre."""
    core, wire = 0.45e-3, 0.359e-3
    turns_per_metre = 1 / wire
    helix = turns_per_metre * np.hypot(np.pi * (core + wire), wire)
    expected = 7850 * np.pi / 4 * core**2 + 7850 * np.pi / 4 * wire**2 * helix
    assert wound(core + 2 * wire, core).mass_per_length == pytest.approx(expected, rel=0.01)


def test_hexagonal_core_by_strips():
    """Independently derived: hexagon integrated as strips."""
    s = 0.4e-3
    z = np.linspace(-s / 2, s / 2, 20001)
    width = (2 / np.sqrt(3)) * (s - np.abs(z))
    area = np.trapezoid(width, z)
    second = np.trapezoid(width * z**2, z)
    string = wound(0.9e-3, s, core_shape="hexagonal")
    assert string.core_area == pytest.approx(area, rel=1e-6)
    assert string.bending_stiffness == pytest.approx(string.modulus * second, rel=1e-6)


def test_pitch_names():
    assert pitch.note_frequency("A4") == 440.0
    assert pitch.note_frequency("E2") == pytest.approx(82.4069, abs=1e-4)
    assert pitch.note_frequency("F#1") == pytest.approx(pitch.note_frequency("Gb1"))
    assert pitch.note_frequency("B♭3") == pytest.approx(233.082, abs=1e-3)
    assert pitch.note_frequency("Cb4") == pytest.approx(pitch.note_frequency("B3"))
    assert pitch.note_frequency("A4", a4=432) == 432


@given(st.floats(0.2e-3, 1e-3), st.floats(0.5, 0.9), st.floats(40, 400))
def test_tension_and_pitch_undo_each_other(diameter, length, frequency):
    mu = plain(diameter).mass_per_length
    tension = tension_for(mu, length, frequency)
    assert np.sqrt(tension / mu) / (2 * length) == pytest.approx(frequency)
    assert tension_for(mu, length, 2 * frequency) == pytest.approx(4 * tension)


@given(st.floats(0.5e-3, 3e-3), st.floats(0.2, 0.6))
def test_a_wound_string_is_lighter_than_a_solid_one_and_heavier_than_its_core(diameter, share):
    string = wound(diameter, share * diameter)
    assert plain(share * diameter).mass_per_length < string.mass_per_length < plain(diameter).mass_per_length
    assert string.axial_stiffness == pytest.approx(plain(share * diameter).axial_stiffness)


def test_thin_wrap_limit_is_the_plain_string_times_pi_over_four_of_the_skin():
    core, wire = 1e-3, 1e-7
    skin = np.pi * core * 2 * wire / 2
    gained = wound(core + 2 * wire, core).mass_per_length - plain(core).mass_per_length
    assert gained == pytest.approx(7850 * np.pi / 4 * skin, rel=1e-3)


def test_inharmonicity_agrees_with_the_round_string_form():
    """B = pi^3 E d^4 / (64 T L^2), stiff-string theory; 1.11e-4 for 0.432 mm, E 205 GPa, T 74.2 N, L 0.648
    m."""
    string = plain(0.432e-3, modulus=205e9)
    assert inharmonicity(string.bending_stiffness, 74.2, 0.648) == pytest.approx(1.11e-4, rel=5e-3)


def test_every_set_is_tunable_and_far_enough_from_breaking():
    for name in SETS:
        strings = string_set(name)
        assert len(strings.table()) == len(strings) == len(strings.tuning)
        assert np.all(np.diff(strings.frequency) > 0)
        assert np.all(np.diff(strings.mass_per_length) < 0)
        assert np.all((strings.tension > 40) & (strings.tension < 260))
        assert np.all(strings.tension_breaking_share < 0.8) and strings.cautions == ()


def test_tunings_all_parse_and_fit_their_set():
    for name, tuning in pitch.TUNINGS.items():
        assert string_set(name.split(",")[0], tuning=name).tuning == tuple(tuning.split())


def test_tuning_down_lowers_tension_by_the_square_of_the_pitch_ratio():
    ratio = string_set("six", "six, half step down").tension / string_set("six").tension
    assert ratio == pytest.approx(2 ** (-2 / 12))
    assert cents(ratio) == pytest.approx(-100.0)


def test_multi_scale_raises_bass_tension_only():
    lengths = np.linspace(0.686, 0.648, 7)
    strings = string_set("seven", length=lengths)
    assert strings.length == pytest.approx(lengths)
    usual = string_set("seven")
    assert strings.tension[-1] == pytest.approx(usual.tension[-1])
    assert strings.tension[0] == pytest.approx(usual.tension[0] * (0.686 / 0.648) ** 2)


def test_a_string_near_its_strength_says_so():
    strings = StringSet((plain(0.254e-3),), ("G4",), 0.648)
    assert strings.tension_breaking_share[0] == pytest.approx(strings.tension[0] / (np.pi / 4 * 0.254e-3**2) /
                                                              2200e6)
    assert "break" in strings.cautions[0] and "unverified" in strings.cautions[0]


def test_bridge_coming_nearer_slackens_and_flattens():
    string = plain(0.254e-3, modulus=200e9)
    change = tension_change(string.axial_stiffness, 0.1e-3, 0.648)
    assert change == pytest.approx(-200e9 * np.pi / 4 * 0.254e-3**2 * 0.1e-3 / 0.648)
    assert cents((72.59 + change) / 72.59) == pytest.approx(866 * change / 72.59, rel=0.02)


def test_nut_force_of_a_small_break_angle():
    assert nut_force(80.0, np.radians(14)) == pytest.approx(80 * np.sin(np.radians(14)), rel=0.01)
    assert nut_force(80.0, np.pi) == pytest.approx(160.0)


def test_wire_constants_come_from_the_table_with_their_status():
    wire = material("music_wire")
    string = plain(0.33e-3)
    assert (string.density, string.modulus) == (wire["density"].value, wire["modulus"].value) == (7850.0,
                                                                                                  205e9)
    assert wire["modulus"].low == 195e9 and wire["modulus"].unit == "Pa" and wire[
        "modulus"].status == "from memory"


def test_other_wraps_weigh_by_their_density():
    core = 7850 * np.pi / 4 * 0.4e-3**2
    base = wound(0.9e-3, 0.4e-3).mass_per_length - core
    bronze = wound(0.9e-3, 0.4e-3, "phosphor bronze").mass_per_length - core
    assert bronze / base == pytest.approx(8800 / 7850)


@pytest.mark.parametrize("call, words", [
    (lambda: pitch.note_frequency("H2"), ["note", "H2"]),
    (lambda: pitch.note_frequency("e"), ["E2", "octave"]),
    (lambda: pitch.note_frequency("E9"), ["octaves 0 to 8"]), (lambda: pitch.note_frequency(""), ["note"]),
    (lambda: plain(0.254), ["0.000254", "mm"]), (lambda: plain(-1e-4), ["string diameter"]),
    (lambda: plain(0.4e-3, strength=2200), ["MPa"]), (lambda: plain(0.4e-3, modulus=205), ["GPa"]),
    (lambda: wound(0.4e-3, 0.5e-3), ["room for a wrap"]),
    (lambda: wound(0.9e-3, 0.4e-3, "nickle"), ["nickel"]),
    (lambda: String(diameter=0.9e-3, core=0.4e-3), ["plain", "wound"]),
    (lambda: tension_for(1e-3, 648, 110), ["0.648"]), (lambda: tension_for(1e-3, 0.648, 0), ["frequency"]),
    (lambda: tension_for(-1e-3, 0.648, 110), ["mass per length"]),
    (lambda: inharmonicity(3.5e-4, -0.5, 0.648), ["string tension", "−0.5"]),
    (lambda: inharmonicity(3.5e-4, np.nan, 0.648), ["string tension"]), (lambda: string_set("sixx"), ["six"]),
    (lambda: string_set("six", "E2 A2 D3 G3 B3"), ["5 notes", "6 strings"]),
    (lambda: string_set("six", length=[0.6, 0.61]), ["2 lengths"]),
    (lambda: string_set("six", length=[[0.6] * 6]), ["speaking length"]),
    (lambda: StringSet((), ()), ["none given"]), (lambda: pitch.fret_position(648, 3), ["0.648"]),
    (lambda: pitch.fret_position(0.648, -1), ["fret number"]), (lambda: cents(0.0), ["ratio"])
])
def test_bad_input_is_named(call, words):
    with pytest.raises(ValueError) as caught:
        call()
    assert all(word in str(caught.value) for word in words)


def test_names_and_intervals_of_notes():
    for name in ("E1", "A2", "F#4", "C5"):
        assert pitch.note_name(pitch.note_number(name)) == name
    assert pitch.semitones(220.0 / 110.0) == pytest.approx(12)
    assert pitch.semitones(185.0 / 196.0) == pytest.approx(-1, abs=0.01)
    assert pitch.semitones(pitch.note_frequency("F3") / pitch.note_frequency("E2")) == pytest.approx(13)
    with pytest.raises(ValueError, match="ratio of frequencies: 0 given"):
        pitch.semitones(0.0)
