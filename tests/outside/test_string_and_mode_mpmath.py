"""One string tied to one mode of the neck, solved in 30 digits by mpmath: the pair of damped pitches.

Two independent statements of the same problem. (1) The string's own wave equation: y = p phi sin(kx)/sin(kL)
between a bridge that does not move and the fret, whose mode obeys p (w_k^2 - w^2 + i eta_k w_k w) = -T (1 + i
eta) phi^2 k cot(kL) p, k = w / (c sqrt(1 + i eta)); roots by mpmath.findroot. (2) The string as beads on
massless thread with the mode at its end, a quadratic eigenproblem turned into a first-order one and handed to
mpmath.eig; it converges on (1) as the beads get finer.
"""

import mpmath
import numpy as np
import pytest

from tonewood.sound.coupled import string_roots, two_root
from tonewood.sound.notes import Notes, solve
from tonewood.sound.partials import EndModes
from tonewood.sound.string_loss import decay_time

mpmath.mp.dps = 30
TENSION, LENGTH, PITCH, LOSS = 80.0, 0.408, 233.0, 4.5e-4       # near neck No. 12's D string at fret 8
MODE_LOSS = 0.012


def answers(mode_pitch, phi):
    """The two roots (rad/s) from mpmath, the slower first."""
    mu = TENSION / (2 * LENGTH * PITCH) ** 2
    speed = mpmath.sqrt(mpmath.mpf(TENSION) / mu) * mpmath.sqrt(1 + 1j * mpmath.mpf(LOSS))
    own = 2 * mpmath.pi * mode_pitch

    def equation(w):
        k = w / speed
        pull = TENSION * (1 + 1j * mpmath.mpf(LOSS)) * phi**2 * k
        still = own**2 - w**2 + 1j * MODE_LOSS * own * w
        return still * mpmath.sin(k * LENGTH) + pull * mpmath.cos(k * LENGTH)

    middle = mpmath.pi * (PITCH + mode_pitch)
    split = phi * mpmath.sqrt(mpmath.mpf(TENSION) / (2 * LENGTH))
    roots = []
    for start in (middle - split, middle + split, 2 * mpmath.pi * PITCH, own * (1 + 0.5j * MODE_LOSS)):
        root = mpmath.findroot(lambda w: equation(w) / mpmath.fprod(w - r for r in roots), start + 1j,
                               tol=1e-40, verify=False, maxsteps=200)
        if abs(equation(root)) < 1e-12 * own**2 and abs(root - middle) < 0.2 * middle:
            roots.append(root)
        if len(roots) == 2:
            break
    return sorted((complex(r) for r in roots), key=lambda r: r.imag)


def ends(mode_pitch, phi):
    return EndModes([2 * np.pi * mode_pitch], [MODE_LOSS], [phi])


def test_beads_on_a_thread_converge_on_the_wave_equation():
    mode_pitch, phi = 234.0, 0.35
    slow, fast = answers(mode_pitch, phi)
    errors = []
    for beads in (7, 14):
        gap, mass = LENGTH / beads, TENSION / (2 * LENGTH * PITCH) ** 2 * LENGTH / beads
        size, own = beads, 2 * np.pi * mode_pitch                # beads - 1 free ones and the mode
        pull, M = TENSION * (1 + 1j * LOSS) / gap, np.full(size, mass)
        K = np.diag(np.full(size, 2 * pull)) - pull * (np.eye(size, k=1) + np.eye(size, k=-1))
        # the last bead rides on the mode: its place is phi p, its half mass and the thread's pull work on p
        K[-1, -2], K[-2, -1] = -pull * phi, -pull * phi
        K[-1, -1], M[-1] = pull * phi**2 + own**2, 1 + mass / 2 * phi**2
        C = np.zeros((size, size))
        C[-1, -1] = MODE_LOSS * own
        # y ~ exp(i w t): [0 1; -K/M -C/M] has the eigenvalues i w
        state = np.block([[np.zeros((size, size)), np.eye(size)], [-K / M[:, None], -C / M[:, None]]])
        with mpmath.workdps(17):
            values = mpmath.eig(mpmath.matrix(state.tolist()), left=False, right=False)
        rates = [complex(v) / 1j for v in values]
        near = [min(rates, key=lambda r, at=at: abs(r - at)) for at in (slow, fast)]
        errors.append(max(abs(found - at) for found, at in zip(near, (slow, fast), strict=True)))
    assert errors[1] < 0.35 * errors[0] and errors[1] < 0.01 * abs(slow)


@pytest.mark.parametrize("mode_pitch", [224.0, 232.0, 233.0, 234.5, 240.0])
@pytest.mark.parametrize("phi", [0.1, 0.2, 0.5])
def test_pair_of_the_library_is_that_of_mpmath(mode_pitch, phi):
    """The string-like root exact, its partner in closed form within 1 % of its decay; sum of the decay rates
    kept, the mean that both would have if they shared the loss."""
    slow, fast = answers(mode_pitch, phi)
    notes = Notes(PITCH, LENGTH, TENSION, 0.0, LOSS)
    pair = solve(notes, ends(mode_pitch, phi))
    found = complex(np.ravel(pair.string)[0])
    nearest = min((slow, fast), key=lambda r: abs(r - found))
    other = fast if nearest is slow else slow
    assert abs(found - nearest) < 1e-8 * abs(nearest)
    partner = complex(np.ravel(pair.partner)[0])
    assert partner.imag == pytest.approx(other.imag, rel=0.01)
    assert partner.real == pytest.approx(other.real, rel=1e-3)
    exact = string_roots(np.array(other), notes.slowness, TENSION * (1 + 1j * LOSS), LENGTH,
                         ends(mode_pitch, phi))
    assert abs(complex(exact) - other) < 1e-8 * abs(other)
    rates = PITCH * np.pi * LOSS + mode_pitch * np.pi * MODE_LOSS
    assert slow.imag + fast.imag == pytest.approx(rates, rel=0.01)
    mean = 2 / (1 / decay_time(slow.imag) + 1 / decay_time(fast.imag))
    assert decay_time(slow.imag) >= mean >= decay_time(fast.imag)


def test_the_pair_shares_one_decay_only_where_pitches_meet_and_the_coupling_is_strong():
    for phi, shared in ((0.5, True), (0.05, False)):
        slow, fast = answers(233.0, phi)
        assert (slow.imag > 0.9 * fast.imag) == shared
        own = np.asarray(2 * np.pi * PITCH * (1 + 0.5j * LOSS))
        pair = two_root(own, TENSION, LENGTH, 1, ends(233.0, phi))
        assert (float(np.ravel(pair.strength)[0]) > 1) == shared
