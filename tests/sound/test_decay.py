"""Mobility and decay (independently derived: hand-worked conductance rule, energy sums, draws one at a time).
"""


from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tonewood.sound.coupled import string_ends
from tonewood.sound.decay import CAUSES, DEAD, beside, decay_of
from tonewood.sound.mobility import mobility
from tonewood.sound.modes import beam_modes
from tonewood.sound.notes import Notes, end_loss, lost_by, solve
from tonewood.sound.partials import EndModes, SpeakingString, partials
from tonewood.sound.string_loss import StringLoss, air_loss, t60
from tonewood.strings.sets import string_set
from tonewood.strings.wire import StringSet, plain

SCALE, D3, MU = .648, 146.832, 2.262e-3
TENSION = MU * (2 * SCALE * D3) ** 2
FRETS = SCALE * (1 - 2 ** (-np.arange(23) / 12))


def d_string(modes, bridge=True):
    """The wound D string at every fret of the test instrument; air as for 0.66 mm, friction 1e-4."""
    ends = string_ends(modes, FRETS, SCALE)
    if not bridge:
        ends = EndModes(ends.omega, ends.eta, ends.fret, 0.0)
    frequency = D3 * 2 ** (np.arange(23) / 12)
    return Notes(frequency, SCALE - FRETS, TENSION, air_loss(MU, .66e-3, frequency), 1e-4), ends


def simple_t60(notes, ends):
    return t60(notes.frequency, notes.loss + end_loss(notes, ends).sum(-1))


def test_conductance_at_the_frets(test_beam):
    modes = beam_modes(test_beam(), 8)
    G = [mobility(modes, FRETS[n], D3 * 2 ** (n / 12)).real[0, 0] for n in (0, 3, 5, 7, 12)]
    np.testing.assert_allclose(G, [4.6e-5, 9.6e-4, 2.22e-2, 3.0e-4, 1.7e-5], rtol=.02)


def test_far_below_all_modes_the_instrument_moves_as_a_rigid_body(test_beam):
    modes = beam_modes(test_beam(), 8)
    x, f = np.array([-.1, .3, .6]), 1.0
    Y = mobility(modes, x, f)[:, 0]
    rigid = (1 / modes.mass + (x - modes.centre) ** 2 / modes.inertia) / (2j * np.pi * f)
    np.testing.assert_allclose(Y, rigid, rtol=2e-3)


def test_peak_conductance_is_one_over_loss(test_beam):
    modes = beam_modes(test_beam(), 8)
    f, eta, phi = modes.frequency[1], modes.loss_factor[1], modes.shape_at(0.0)[1]
    assert mobility(modes, 0.0, f).real[0, 0] == pytest.approx(phi**2 / (2 * np.pi * f * eta), rel=.01)


@settings(max_examples=40, deadline=None)
@given(x=st.floats(-.16, .90), f=st.floats(1, 3000), y=st.floats(-.03, .03))
def test_conductance_is_never_negative(x, f, y):
    from tonewood.sound.beam import Beam, Cause
    modes = beam_modes(Beam(np.linspace(-.16, .90, 54), 400.0, 1.0, GJ=80.0, polar=4e-4, torsion_loss=.02,
                            causes=(Cause("wood", 1, .01),)), 6)
    Y = mobility(modes, x, f, y)
    assert Y.real[0, 0] >= 0


def test_draws_of_mobility_are_those_of_single_instruments(test_beam):
    stiff = np.array([.8, 1.0, 1.25])
    together = mobility(beam_modes(test_beam(stiff), 5), FRETS[:4], [100.0, 196.0, 400.0])
    assert together.shape == (3, 4, 3)
    for d, s in enumerate(stiff):
        single = mobility(beam_modes(test_beam(s), 5), FRETS[:4], [100.0, 196.0, 400.0])
        np.testing.assert_allclose(together[d], single, rtol=5e-3)


# --- decay of single notes ---

def test_end_loss_from_conductance():
    """eta = 2 Z G / pi at 196 Hz with Z = 0.4304 kg/s; the mode chosen so that G = 0.02 and 0.002 s/kg at
    resonance."""
    omega, Z = 2 * np.pi * 196.0, .4304
    length = .5
    tension = Z * 2 * length * 196.0
    for G, eta, seconds in ((.02, 5.481e-3, 2.05), (.002, 5.481e-4, 20.5)):
        ends = EndModes([omega], [.02], [np.sqrt(G * omega * .02)])
        found = end_loss(Notes(196.0, length, tension, 0.0, 1e-12), ends).sum()
        assert found == pytest.approx(eta, rel=1e-3)
        assert t60(196.0, found) == pytest.approx(seconds, rel=3e-3)


def test_simple_rule_on_the_test_instrument(test_beam):
    """Isolated string plus fret conductance only: the two-part law as a formula."""
    np.testing.assert_allclose(simple_t60(*d_string(beam_modes(test_beam(), 8), False))[[0, 4, 5, 6, 12]],
                               [41.0, 6.28, 1.76, 16.8, 27.5], rtol=3e-3)
    np.testing.assert_allclose(simple_t60(*d_string(beam_modes(test_beam(1.2), 8), False))[[5, 6]],
                               [10.2, .487], rtol=3e-3)


def test_stiffer_neck_moves_the_dead_note_one_fret(test_beam):
    """20 % more bending stiffness, found with full coupling: worst fret 5 becomes fret 6, and worse."""
    worst = []
    for stiffness in (1.0, 1.2):
        notes, ends = d_string(beam_modes(test_beam(stiffness), 8))
        seconds = np.log(1000) / solve(notes, ends).string.imag
        worst.append((int(np.argmin(seconds)), seconds.min()))
    assert [w[0] for w in worst] == [5, 6]
    assert worst[1][1] < worst[0][1]


def test_simple_rule_is_too_gloomy_where_the_coupling_is_strong(test_beam):
    notes, ends = d_string(beam_modes(test_beam(), 8))
    found = solve(notes, ends)
    coupled, simple = np.log(1000) / found.string.imag, simple_t60(notes, ends)
    assert found.mixed[5] and found.strength[5] > 3 and coupled[5] > 1.7 * simple[5]
    far = np.abs(found.distance) > .25
    np.testing.assert_allclose(coupled[far], simple[far], rtol=.01)


@pytest.mark.parametrize("fret", [0, 4, 5, 6, 12])
def test_matrix_partials_agree_at_every_kind_of_fret(test_beam, fret):
    """The same note as damped eigenvalues of string and instrument together (another discretisation)."""
    modes = beam_modes(test_beam(), 8)
    notes, ends = d_string(modes)
    found = solve(notes, ends)
    one = EndModes(ends.omega[0], ends.eta[0], ends.fret[fret], ends.bridge[fret])
    reference = partials(SpeakingString(SCALE - FRETS[fret], MU, TENSION, loss=float(notes.loss[fret])), one,
                         60)
    root = found.string[fret]
    rate = reference.rates[np.argmin(np.abs(reference.rates.imag - root.real)
                                     + np.abs(reference.rates.real + root.imag))]
    assert rate.imag == pytest.approx(root.real, rel=2e-5)
    assert -rate.real == pytest.approx(root.imag, rel=.01)


# --- energy balance ---

@settings(max_examples=40, deadline=None)
@given(seed=st.integers(0, 10_000), harmonic=st.integers(1, 4))
def test_power_lost_by_cause_sums_to_the_total(seed, harmonic):
    rng = np.random.default_rng(seed)
    ends = EndModes(np.concatenate([[0], 2 * np.pi * np.sort(rng.uniform(30, 900, 4))]),
                    np.concatenate([[0], rng.uniform(.005, .03, 4)]),
                    rng.uniform(-1, 1, 5), rng.uniform(-.4, .4, 5))
    length = rng.uniform(.2, .65, 6)
    frequency = harmonic * D3 * SCALE / length
    notes = Notes(frequency, length, TENSION, rng.uniform(5e-5, 5e-4), rng.uniform(1e-4, 1e-3),
                  harmonic=harmonic, stiffness=1e-5)
    found = solve(notes, ends)
    causes, by_mode = lost_by(notes, ends, found.string)
    total = 2 * found.string.imag / np.abs(found.string)
    np.testing.assert_allclose(causes.sum(0), total, rtol=1e-9)
    np.testing.assert_allclose(by_mode.sum(-1), causes[2] + causes[3], rtol=1e-9, atol=1e-18)
    assert np.all(causes >= 0) and np.all(by_mode >= 0) and np.all(total > 0)


def test_without_a_moving_instrument_only_the_string_loses():
    notes = Notes(D3, SCALE, TENSION, 3e-4, 2e-4)
    ends = EndModes([1000.], [.01], [0.0], [0.0])
    causes, _ = lost_by(notes, ends, solve(notes, ends).string)
    np.testing.assert_allclose(causes, [3e-4, 2e-4, 0, 0], rtol=1e-6, atol=1e-15)


def test_scaling_of_end_loss(test_beam):
    """Far from coincidence: twice the instrument's mass and stiffness halves the end loss; twice the tension
    at equal pitch doubles it."""
    notes, ends = d_string(beam_modes(test_beam(), 8), False)
    far = [0, 1, 8, 12, 20]
    base = end_loss(notes, ends).sum(-1)[far]
    heavy = EndModes(ends.omega, ends.eta, ends.fret / np.sqrt(2), 0.0)
    np.testing.assert_allclose(end_loss(notes, heavy).sum(-1)[far], base / 2)
    tight = Notes(notes.frequency, notes.length, 2 * TENSION, notes.air, notes.own)
    np.testing.assert_allclose(end_loss(tight, ends).sum(-1)[far], base * 2)


# --- the map ---

def test_map_of_six_strings(test_beam):
    modes, strings = beam_modes(test_beam(), 8), string_set("six")
    found = decay_of(modes, strings, FRETS, SCALE)
    assert found.t60.shape == (6, 23) and found.share_by_cause.shape == (4, 6, 23)
    assert found.notes[0, 5] == "A2" and found.notes[5, 12] == "E5"
    assert found.frequency[:, 0] == pytest.approx([82.41, 110, 146.83, 196, 246.94, 329.63], rel=0.006)
    assert found.frequency[:, 12] == pytest.approx(2 * found.frequency[:, 0], rel=0.012)      # 20 cents
    np.testing.assert_allclose(found.share_by_cause.sum(0), 1)
    np.testing.assert_allclose(found.loss_by_cause.sum(0), found.loss, rtol=1e-9)
    np.testing.assert_array_equal(found.dead, 60 / found.t60 - 60 / found.beside >= DEAD)
    assert found.dead.any() and found.ringing.any() and not np.any(found.dead & found.ringing)
    # the D string loses most into the neck at fret 5
    assert np.all(found.loss_by_cause[2].argmax(axis=1)[2] == 5)
    assert "from memory, unverified" in found.status[0]
    table = found.table()
    assert len(table) == 138 and [f"lost to {c} (%)" in table for c in CAUSES] == [True] * 4
    row = table[(table["string"] == 4) & (table["fret"] == 5)].iloc[0]
    assert row["T60 (s)"] == pytest.approx(found.t60[2, 5]) and row["mark"] == "dead" and row["note"] == "G3"


@pytest.mark.parametrize("row, fret, dead", [
    # a long note that rings half as long is not dead, a short one is
    ([24.3, 23.8, 9.3, 23.6, 25.4], 2, False),
    ([9.2, 8.7, 4.8, 8.1, 8.3], 2, True),
    ([21.5, 22.0, 1.7, 1.8, 20.0], 2, True),
    ([21.5, 22.0, 1.7, 1.8, 20.0], 3, True),
    ([1.7, 20.0, 1.9, 21.0, 22.0], 0, True),
    ([8.1, 8.0, 7.9, 7.8, 7.7], 2, False)])
def test_a_dead_note_is_measured_by_the_frets_beside_it(test_beam, row, fret, dead):
    found = decay_of(beam_modes(test_beam(), 8), string_set("six"), FRETS[:5], SCALE)
    seconds = np.tile(row, (6, 1))
    now = replace(found, t60=seconds, beside=beside(seconds), alone=3 * seconds)
    assert np.all(now.dead[:, fret] == dead) and not np.any(now.dead & now.ringing)
    # by hand: 60 dB over the seconds is the fall in a second; the four frets beside, their median
    others = np.delete(row, fret)
    assert now.extra_fall[0, fret] == pytest.approx(60 / row[fret] - np.median(60 / others))


def test_draws_agree_with_single_instruments_and_give_chances(test_beam):
    stiff = np.exp(np.random.default_rng(8).normal(0, .1, 60))
    strings = string_set("six")
    together = decay_of(beam_modes(test_beam(stiff), 8), strings, FRETS, SCALE)
    assert together.t60.shape == (60, 6, 23) and together.band().shape == (3, 6, 23)
    for d in range(8):
        single = decay_of(beam_modes(test_beam(stiff[d]), 8), strings, FRETS, SCALE)
        # where neither root is the string's own, either may be shown
        apart = ~(single.mixed | together.mixed[d])
        np.testing.assert_allclose(together.t60[d][apart], single.t60[apart], rtol=.06)
        assert np.median(np.abs(together.t60[d] / single.t60 - 1)) < 1e-3
        np.testing.assert_allclose(together.simple[d], single.simple, rtol=.02)
    assert np.all((together.dead_chance >= 0) & (together.dead_chance <= 1))
    assert 0 < together.dead_chance[2, 5] < 1
    low, middle, high = together.band()
    assert np.all((low <= middle) & (middle <= high))
    assert "chance of dead (%)" in together.table()


def test_old_strings_ring_shorter(test_beam):
    modes, strings = beam_modes(test_beam(), 8), string_set("six")
    new, old = (decay_of(modes, strings, FRETS, SCALE, age=a) for a in (0.0, 1.0))
    assert np.all(old.alone < new.alone)
    assert np.median(old.t60 / new.t60) < .8
    ringing = ~new.mixed & ~old.mixed
    assert np.all(old.t60[ringing] < new.t60[ringing])


def test_own_string_losses_are_used(test_beam):
    strings = StringSet((plain(.254e-3),), ("E4",))
    own = decay_of(beam_modes(test_beam(), 8), strings, FRETS, SCALE,
                   losses=StringLoss(0.0, 0.0, status="measured"))
    assert own.alone[0, 0] == pytest.approx(t60(329.63, air_loss(strings.mass_per_length[0], .254e-3,
                                                                 329.63)), rel=1e-3)
    assert "measured" in own.status[0]


def test_higher_harmonics_die_sooner_on_the_string_alone(test_beam):
    modes, strings = beam_modes(test_beam(), 8), string_set("six")
    alone = [decay_of(modes, strings, FRETS, SCALE, harmonic=n).alone for n in (1, 2, 5)]
    assert np.all(alone[1] < alone[0]) and np.all(alone[2] < alone[1])


@pytest.mark.parametrize("call, word", [
    (lambda m, s: decay_of(m, s, SCALE * np.array([0, .5, 1.0]), SCALE), "the bridge"),
    (lambda m, s: decay_of(m, s, FRETS, 1.2), "place on the instrument"),
    (lambda m, s: decay_of(m, s, FRETS, SCALE, age=7), "string age"),
    (lambda m, s: decay_of(m, s, FRETS, SCALE, harmonic=0), "harmonic"),
    (lambda m, s: decay_of(m, s, FRETS, SCALE, losses=[StringLoss(0, 0)] * 4), "4 given for 6 strings"),
    (lambda m, s: mobility(m, 0.1, 0.0), "frequency"),
    (lambda m, s: mobility(m, 3.0, 100.0), "place"),
    (lambda m, s: Notes(100, .5, 0.0, 0, 0), "string tension"),
    (lambda m, s: Notes(100, .5, 70, 0, 1.5), "own loss factor")])
def test_bad_input_is_refused(test_beam, call, word):
    with pytest.raises(ValueError, match=word):
        call(beam_modes(test_beam(), 4), string_set("six"))
