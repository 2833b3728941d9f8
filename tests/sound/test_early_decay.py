"""Closed-form first moments against the full eigenproblem, note by note, and against what is known exactly.
"""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from tonewood.neck.layup.neck import Back, Fretboard, Neck, Outline, striped
from tonewood.neck.load.setup import Setup
from tonewood.sound.coupled import string_ends
from tonewood.sound.early_decay import early_decay
from tonewood.sound.instrument import Instrument
from tonewood.sound.modes import modes
from tonewood.sound.partials import EndModes, SpeakingString, speaking_string
from tonewood.sound.pluck import pluck
from tonewood.strings.sets import string_set
from tonewood.wood.board import Board
from tonewood.wood.species import species

STRINGS = string_set("six")
NOTES = [(string, fret) for string in range(6) for fret in (0, 5, 9, 14)]
HOW = dict(height=0.003, direction=0.8, pick=0.11, pickup=0.15)


@pytest.fixture(scope="module")
def guitar():
    """A flexible neck: limba under rosewood."""
    board = Board(species("limba"))
    neck = Neck(striped(board, board, board, 1), Outline(), Back("D"),
                Fretboard(Board(species("Indian rosewood"))))
    ways = [modes(Instrument(neck), twist=3), modes(Instrument(neck), twist=0, direction="in-plane")]

    def ends(string, fret):
        x = np.array([float(neck.fret(fret)), neck.scale_length])
        y = Setup().places(neck, x, 6)[string]
        return [string_ends(way, x[0], x[1], y[0], y[1]) for way in ways]
    return ends


@pytest.fixture(scope="module")
def both(guitar):
    """For each note: what the full model and the closed form find."""
    rows = []
    for string, fret in NOTES:
        line, ends = speaking_string(STRINGS, string, fret), guitar(string, fret)
        full, quick = pluck(line, *ends, duration=0.23, **HOW), early_decay(line, *ends, **HOW)
        # the envelope is a mean over what follows
        middle = full.window / full.rate / 2
        a, b = full.level_at((0.005, 0.05, 0.2)), quick.level(np.array([0.005, 0.05, 0.2]) + middle)
        rows.append([a[0], b[0], a[0] - a[1], b[0] - b[1], a[0] - a[2], b[0] - b[2], full.early_decay_time,
                     quick.decay_times()[0],
                     full.late_T60, quick.decay_times()[1]])
    return np.array(rows).T


def test_level_and_fall_agree_with_the_full_model(both):
    start, quick_start, fall50, quick50, fall200, quick200 = both[:6]
    assert_allclose(quick_start, start, atol=0.2)
    assert_allclose(quick50, fall50, atol=0.2)
    assert_allclose(quick200, fall200, atol=0.2)
    assert np.sqrt(np.mean((quick200 - fall200) ** 2)) < 0.06
    # the notes differ, so that agreeing means something
    assert fall200.max() > 3 and fall200.min() < 1


def test_holds_where_a_neck_mode_sits_on_the_note(guitar):
    """The hardest case: the mode nearest to the note is moved onto it, so that string and neck share it and
    beat."""
    line, (normal, parallel) = speaking_string(STRINGS, 1, 9), guitar(1, 9)
    nearest = np.argmin(np.abs(normal.omega - line.omegas(1)[0]))
    for off in (-0.01, 0.0, 0.01):
        omega = normal.omega.copy()
        omega[nearest] = line.omegas(1)[0] * (1 + off)
        ends = EndModes(omega, normal.eta, normal.fret, normal.bridge)
        full, quick = pluck(line, ends, parallel, duration=0.23, **HOW), early_decay(line, ends, parallel,
                                                                                     **HOW)
        times = np.array([0.005, 0.05, 0.1, 0.2])
        exact, close = full.level_at(times), quick.level(times + full.window / full.rate / 2)
        assert_allclose(close[0] - close[1:], exact[0] - exact[1:], atol=0.35)
        assert exact[0] - exact[-1] > 3
        assert quick.decay_times()[0] == pytest.approx(full.early_decay_time, rel=0.12)


def test_decay_times_agree_with_the_full_model(both):
    early_full, early_quick, late_full, late_quick = both[6:]
    assert np.abs(np.log(early_quick / early_full)).max() < 0.06
    error = np.abs(np.log(late_quick / late_full))
    assert np.median(error) < 0.02 and error.max() < 0.4


def test_a_string_on_rigid_ends_falls_at_its_own_rate():
    line = SpeakingString(0.6, 4e-3, 70.0, loss=2e-3)
    q = early_decay(line, harmonics=1)
    rate = np.pi * line.fundamental * 2e-3                               # amplitude decay rate, pi f eta
    assert_allclose(q.fall([0.2, 1.0], 0.0), 20 * np.log10(np.e) * rate * np.array([0.2, 1.0]), rtol=1e-9)
    assert_allclose(q.decay_times(), np.log(1000) / rate, rtol=1e-6)


def test_string_on_a_mode_of_equal_pitch_beats_as_two_coupled_oscillators_do():
    """String and one mode without loss to speak of tuned alike: the string's energy goes as cos^2(g t), g^2 =
    T phi^2/(2 L): it is all in the neck at t = pi/(2 g)."""
    line = SpeakingString(0.6, 4e-3, 70.0)
    omega = line.omegas(1)
    phi = 0.02
    g = np.sqrt(line.tension / (2 * line.length)) * phi
    q = early_decay(line, EndModes(omega, [1e-9], [phi]), harmonics=1)
    times = np.array([0.1, 0.3, 0.5]) * np.pi / g
    assert_allclose(q.harmonics(times)[0] / q.harmonics([0.0])[0], np.cos(g * times) ** 2, atol=2e-3)


def test_draws_give_what_each_alone_gives(guitar):
    line, (normal, parallel) = speaking_string(STRINGS, 2, 5), guitar(2, 5)
    factor = np.array([0.95, 1.0, 1.04])[:, None]
    drawn = EndModes(normal.omega * factor, normal.eta, normal.fret, normal.bridge)
    together = early_decay(line, drawn, parallel, **HOW)
    times = np.array([0.01, 0.1, 0.2])
    assert together.fall(times).shape == (3, 3)
    for d in range(3):
        alone = early_decay(line, EndModes(drawn.omega[d], drawn.eta[d], drawn.fret[d], drawn.bridge[d]),
                            parallel, **HOW)
        assert_allclose(together.fall(times)[d], alone.fall(times), atol=1e-9)
        assert_allclose([v[d] for v in together.decay_times()], alone.decay_times(), rtol=1e-9)


def test_sideways_stroke_is_heard_by_its_share():
    line = SpeakingString(0.6, 4e-3, 70.0, loss=1e-3)
    straight, across = early_decay(line, direction=0.0), early_decay(line, direction=np.pi / 2, sideways=0.1)
    assert straight.level([0.01]) - across.level([0.01]) == pytest.approx(20.0, abs=1e-6)


def test_a_pluck_without_loss_has_no_decay_time():
    with pytest.raises(ValueError, match="without loss never dies away"):
        early_decay(SpeakingString(0.6, 4e-3, 70.0)).decay_times()


@pytest.mark.parametrize("how, words", [(dict(height=3.0), "did you mean 0.003 m"),
                                        (dict(pick=0.7), "pick position.*below 0.6 m"),
                                        (dict(direction=45.0), "degrees"), (dict(harmonics=0), "harmonics"),
                                        (dict(sideways=2.0), "share of parallel")])
def test_refusals(how, words):
    with pytest.raises(ValueError, match=words):
        early_decay(SpeakingString(0.6, 4e-3, 70.0), **how)
