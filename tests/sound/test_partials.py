"""Coupled string and instrument: damped partials against independently derived values and other methods."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from tonewood.sound.notes import harmonics_of
from tonewood.sound.partials import EndModes, SpeakingString, coupled_matrices, partials

D_STRING = dict(length=0.648, mass_per_length=2.262e-3, tension=81.9)


def one_mode(frequency, eta=0.02, mass=0.8):
    return EndModes([2 * np.pi * frequency], [eta], [mass**-0.5])


def guitar(seed=3):
    """An invented instrument: two rigid and six elastic modes."""
    generator = np.random.default_rng(seed)
    omega = 2 * np.pi * np.array([0, 0, 49.5, 192.4, 453.7, 662.8, 975.5, 1300.0])
    return EndModes(omega, np.full(8, 0.012), generator.normal(0, 0.8, 8), generator.normal(0, 0.3, 8))


def test_weak_coupling_independently_derived_first_order_formula():
    string = SpeakingString(**D_STRING)
    found = partials(string, one_mode(190), 60)
    assert string.fundamental == pytest.approx(146.8218, abs=1e-4)
    assert found.frequency[0] == pytest.approx(146.7815, abs=2e-4)
    assert found.frequency[0] - string.fundamental == pytest.approx(-0.0403, abs=1e-4)
    assert found.loss[0] == pytest.approx(2.102e-5, rel=5e-4)
    # eta_end = 2 T G/(L omega), G the conductance of the neck mode at the string's pitch
    w, wk = 2 * np.pi * string.fundamental, 2 * np.pi * 190
    conductance = (1j * w / 0.8 / (wk**2 - w**2 + 0.02j * wk * w)).real
    formula = 2 * string.tension * conductance / (string.length * w)
    assert formula == pytest.approx(2.108e-5, rel=1e-3)
    assert found.loss[0] == pytest.approx(formula, rel=5e-3)


def test_number_of_string_terms_no_longer_matters():
    forty, eighty = (partials(SpeakingString(**D_STRING), one_mode(190), n) for n in (40, 80))
    assert_allclose(forty.frequency[:5], eighty.frequency[:5], rtol=1e-8)
    assert_allclose(forty.loss[0], eighty.loss[0], rtol=1e-7)


def test_coincidence_splits_the_note_in_two():
    string = SpeakingString(**D_STRING, loss=3e-4)
    found = partials(string, one_mode(146.82), 60)
    assert_allclose(found.frequency[:2], [145.61, 148.04], atol=0.006)
    assert_allclose(found.T60[:2], [1.48, 1.47], atol=0.006)
    # the first-order sum of losses would say 0.79 s: half of what it is
    w = 2 * np.pi * 146.82
    at_ends = 2 * string.tension / (0.02 * w * 0.8) / (string.length * w)
    perturbed = np.log(1000) / (np.pi * 146.82 * (3e-4 + at_ends))
    assert perturbed == pytest.approx(0.79, abs=0.01)
    assert found.T60[0] > 1.8 * perturbed


def test_six_hertz_away():
    string = SpeakingString(**D_STRING, loss=3e-4)
    found = partials(string, one_mode(string.fundamental + 6), 60)
    assert_allclose(found.frequency[:2], [146.525, 153.1], atol=0.02)
    assert_allclose(found.T60[:2], [12.48, 0.75], rtol=5e-3)


def test_against_finite_elements_of_the_string():
    """Independent means: linear string elements with both end nodes tied to the modes, instead of sines and a
    straight line."""
    string, elements = SpeakingString(**D_STRING), 600
    ends = EndModes(2 * np.pi * np.array([146.82, 410.0]), [0.02, 0.03], [1.1, -0.7], [0.3, 0.5])
    h = string.length / elements
    K, M = np.zeros((2, elements + 1, elements + 1))
    for e in range(elements):
        K[e:e + 2, e:e + 2] += string.tension / h * np.array([[1, -1], [-1, 1]])
        M[e:e + 2, e:e + 2] += string.mass_per_length * h / 6 * np.array([[2, 1], [1, 2]])
    # inner nodes free, first and last node = sum phi p
    T = np.zeros((elements + 1, elements + 1))
    T[1:-1, :elements - 1] = np.eye(elements - 1)
    T[0, elements - 1:], T[-1, elements - 1:] = ends.bridge, ends.fret
    K, M = T.T @ K @ T, T.T @ M @ T
    keep = slice(elements - 1, elements + 1)
    K[keep, keep] += np.diag(ends.omega**2)
    M[keep, keep] += np.eye(2)
    C = np.zeros_like(K)
    C[keep, keep] = np.diag(ends.omega * ends.eta)
    # a few lowest undamped modes carry the low damped partials
    from scipy.linalg import eigh
    squared, shapes = eigh(K, M, subset_by_index=[0, 39])
    small = shapes.T @ C @ shapes
    state = np.block([[np.zeros((40, 40)), np.eye(40)], [-np.diag(squared), -small]])
    reference = np.linalg.eigvals(state)
    reference = reference[reference.imag > 0]
    reference = reference[np.argsort(reference.imag)][:4]
    ours = partials(string, ends, 60).rates[:4]
    assert_allclose(ours.imag, reference.imag, rtol=3e-5)
    assert_allclose(ours.real, reference.real, rtol=2e-3)


def test_time_domain_equals_frequency_domain():
    """Laplace transform of the free motion solved directly from M, C, K, at frequencies on and off resonance.
    """
    string, ends = SpeakingString(**D_STRING, loss=3e-4), guitar()
    modes = 40
    start = 1e-3 / np.arange(1, modes + 1) ** 2
    found = partials(string, ends, modes)
    strength = found.amplitudes(start)
    M, K, C = coupled_matrices(string, ends, modes)
    full = np.concatenate([start, np.zeros(8)])
    for frequency in (30.0, 146.7, 192.4, 440.3, 1000.0):
        s = 2j * np.pi * frequency
        direct = np.linalg.solve(s**2 * M + s * C + K, (s * M + C) @ full)[:modes]
        terms = found.shapes * strength
        summed = (terms / (s - found.rates)).sum(axis=1) + (terms.conj() / (s
                                                                            - found.rates.conj())).sum(axis=1)
        # rigid-body motion carries no string shape, so the string terms agree alone
        assert_allclose(summed, direct, rtol=1e-8, atol=1e-8 * np.abs(direct).max())


def test_time_march_by_matrix_exponential():
    from scipy.linalg import expm
    string, ends = SpeakingString(**D_STRING, loss=2e-3), guitar()
    modes = 12
    start = 1e-3 * np.sin(np.arange(1, modes + 1)) / np.arange(1, modes + 1)
    found = partials(string, ends, modes)
    strength = found.amplitudes(start)
    M, K, C = coupled_matrices(string, ends, modes)
    size = len(M)
    A = np.block([[np.zeros((size, size)), np.eye(size)], [-np.linalg.solve(M, K), -np.linalg.solve(M, C)]])
    state = np.concatenate([start, np.zeros(2 * size - modes)])
    for time in (0.0, 0.0011, 0.02, 0.3):
        marched = (expm(A * time) @ state)[:modes]
        ours = (2 * found.shapes @ (strength * np.exp(found.rates * time))).real
        assert_allclose(ours, marched, atol=1e-11)


def test_energy_never_increases_and_starts_as_the_pick_left_it():
    string, ends, modes = SpeakingString(**D_STRING, loss=3e-4), guitar(), 60
    height, part = 0.002, 0.2
    n = np.arange(1, modes + 1)
    start = 2 * height * np.sin(n * np.pi * part) / (n**2 * np.pi**2 * part * (1 - part))
    found = partials(string, ends, modes)
    time = np.linspace(0, 0.5, 4001)
    energy = found.energy(found.amplitudes(start), time)
    # T/2 int y'^2 of the triangle
    stored = string.tension / 2 * height**2 / (string.length * part * (1 - part))
    # 60 sine terms hold 98 % of a sharp corner
    assert energy[0] == pytest.approx(stored, rel=0.02)
    assert np.all(np.diff(energy) <= 1e-12 * energy[0])
    assert energy[-1] < 0.95 * energy[0]


def test_no_loss_keeps_all_energy():
    ends = guitar()
    ends = EndModes(ends.omega, 0 * ends.eta, ends.fret, ends.bridge)
    found = partials(SpeakingString(**D_STRING), ends, 30)
    energy = found.energy(found.amplitudes(1e-3 / np.arange(1, 31.0) ** 2), np.linspace(0, 1, 200))
    assert_allclose(energy, energy[0], rtol=1e-6)
    assert np.abs(found.rates.real).max() < 1e-6


def test_moving_the_whole_instrument_is_no_partial():
    """A free instrument on a string: rigid-body modes shift the pitch (finite mass) but add no loss and no
    partial of their own."""
    string = SpeakingString(**D_STRING)
    rigid = EndModes([0.0, 0.0], [0.0, 0.0], [0.5, 0.9], [0.5, -0.4])
    found = partials(string, rigid, 40)
    assert found.rates.shape == (40,)
    assert np.abs(found.loss).max() < 1e-10
    assert 0 < found.frequency[0] - string.fundamental < 0.2       # a yielding mass raises the pitch


def test_stiff_string_on_rigid_ends_is_the_textbook_series():
    string = SpeakingString(0.648, 1.151e-3, 74.2, bending_stiffness=205e9 * np.pi * 0.432e-3**4 / 64,
                            loss=4e-4)
    found = partials(string, modes=20)
    n = np.arange(1, 21)
    assert_allclose(found.frequency, n * string.fundamental * np.sqrt(1 + 1.11e-4 * n**2), rtol=2e-4)
    assert_allclose(found.loss, 4e-4, rtol=1e-6)


def test_draws_are_the_single_answers_side_by_side():
    string, generator = SpeakingString(**D_STRING, loss=3e-4), np.random.default_rng(1)
    ends, stretch = guitar(), np.exp(0.05 * generator.normal(size=(4, 1)))
    many = partials(string, EndModes(ends.omega * stretch, ends.eta, ends.fret, ends.bridge), 30)
    assert many.rates.shape[0] == 4
    for row, factor in zip(many.rates, stretch, strict=True):
        assert_allclose(row, partials(string, EndModes(ends.omega * factor, ends.eta, ends.fret, ends.bridge),
                                      30).rates, rtol=1e-9)


@pytest.mark.parametrize("change, words", [
    (dict(length=648.0), "0.648 m"), (dict(mass_per_length=2.262), "0.002262 kg/m"),
    (dict(tension=-5), "tension"), (dict(tension=np.nan), "tension"), (dict(loss=0.9), "loss factor"),
    (dict(bending_stiffness=-1), "bending"), (dict(axial_stiffness=0.0), "axial stiffness")
])
def test_a_bad_string_is_refused(change, words):
    with pytest.raises(ValueError, match=words):
        SpeakingString(**{**D_STRING, **change})


def test_bad_end_modes_are_refused():
    with pytest.raises(ValueError, match="same number of modes"):
        EndModes([100.0, 200.0], [0.01, 0.01, 0.01], [1.0, 1.0])
    with pytest.raises(ValueError, match="loss factor"):
        EndModes([100.0], [1.5], [1.0])
    with pytest.raises(ValueError, match="fret"):
        EndModes([100.0], [0.1], [np.inf])
    with pytest.raises(ValueError, match="rigid-body"):
        partials(SpeakingString(**D_STRING), EndModes([[0.0, 900.0], [800.0, 900.0]], 0.01, 1.0), 10)
    with pytest.raises(ValueError, match="at least 10"):
        partials(SpeakingString(**D_STRING, loss=np.full(5, 1e-3)), modes=10)
    with pytest.raises(ValueError, match="whole number"):
        partials(SpeakingString(**D_STRING), modes=10.5)


def test_against_the_closed_equation_of_string_and_ends():
    """Independent means: roots of the transcendental equation of a string closed by the instrument's
    mobilities (sound.coupled).

    The equation lets the string's pull act on rigid-body motion, the matrices do not: 1e-6 in pitch, 0.1 % in
    loss.
    """
    from tonewood.sound.coupled import string_roots
    string, ends = SpeakingString(**D_STRING), guitar()
    found = partials(string, ends, 60)
    slowness = np.sqrt(string.mass_per_length / string.tension)
    for n in (1, 2, 3, 4):
        root = string_roots(np.array(2 * np.pi * string.fundamental * n + 0j), slowness, string.tension,
                            string.length, ends)
        nearest = np.argmin(np.abs(found.rates.imag - root.real))
        assert found.rates[nearest].imag == pytest.approx(float(root.real), rel=2e-6)
        assert -found.rates[nearest].real == pytest.approx(float(root.imag), rel=2e-3)


def test_a_single_harmonic_is_asked_for_as_any_number_is():
    string = SpeakingString(**D_STRING)
    one, two = harmonics_of(string, 1), harmonics_of(string, 2)
    assert_allclose(one.frequency, two.frequency[:1])
    assert two.frequency[1] / two.frequency[0] == pytest.approx(2.0, rel=2e-3)
