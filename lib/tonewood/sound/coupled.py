"""String and instrument as one: damped pitches where the simple rule "loss of string + loss at the ends" no longer holds.

Near a neck mode the string and the neck exchange their energy instead of the string just feeding the neck. Whether they do depends on

    K = (2 Q_k / (n pi)) sqrt(2 m_s / m_k),   m_s = mu L the string's mass, m_k the mode's mass at the fret, Q_k = 1 / eta_k

(criterion after Gough, as remembered; derived again here: at K = 1 the two damped roots just separate). For K > 1 at equal pitch two
notes sound together, beat, and share one decay. Two ways to the answer, both exact for the string between its two ends:

- string_roots: the transcendental equation of the string closed at both ends by the instrument's mobilities, by Newton steps;
- two_root: closed form for the string and the one mode nearest in pitch, the other modes as small corrections. Fast enough for draws.
"""

from dataclasses import dataclass

import numpy as np

from tonewood import checks
from tonewood.sound.partials import EndModes


def drive(ends, harmonic):
    """Shape by which the n-th harmonic drives each mode (..., N), kg^-1/2: both ends pull alike for odd n, against each other for even n.

    ends: partials.EndModes; harmonic: broadcasts against the notes in front of the modes axis.
    """
    sign = np.where(np.asarray(harmonic) % 2, 1.0, -1.0)[..., None]
    return ends.fret + sign * ends.bridge


def string_ends(modes, fret, bridge, fret_y=0.0, bridge_y=0.0):
    """The modes of an instrument as strings feel them at their ends: partials.EndModes with the modes on the last axis.

    modes: sound.modes.Modes; fret, bridge: x (m) of the two ends; fret_y, bridge_y: offsets from the centre line (m); numbers or arrays of one
    shape (the notes). Arrays come out as (..., notes, N), draws in front. Rigid motions come first, with omega 0. Raises ValueError.
    """
    x, bridge, y, bridge_y = np.broadcast_arrays(*(np.asarray(v, dtype=float) for v in (fret, bridge, fret_y, bridge_y)))
    at_fret, frequency, loss = modes.all_at(x, y)
    at_bridge = modes.all_at(bridge, bridge_y)[0]
    last = lambda shape: np.moveaxis(shape, -1 - x.ndim, -1)
    grow = (...,) + (None,) * x.ndim + (slice(None),)
    return EndModes(2 * np.pi * frequency[grow], loss[grow], last(at_fret), last(at_bridge))


def coupling(loss, mode_mass, string_mass, harmonic=1):
    """Coupling number K: above 1 the string and the mode split into a pair at equal pitch.

    loss: loss factor of the mode; mode_mass: modal mass at the string's end (kg), 1 / shape^2; string_mass: mu L (kg). Arrays broadcast; K is
    infinite for a mode without loss. Raises ValueError for a mass of zero.
    """
    mode_mass = np.asarray(checks.number("modal mass", mode_mass, 0.0, unit="kg", open_low=True))
    string_mass = np.asarray(checks.number("string mass", string_mass, 0.0, unit="kg", open_low=True))
    with np.errstate(divide="ignore"):
        return 2 / (np.asarray(loss, dtype=float) * np.asarray(harmonic) * np.pi) * np.sqrt(2 * string_mass / mode_mass)


def _at_ends(omega, slowness, tension, length, ends):
    """sin kL, cos kL and the mobilities times T k / w: bridge-bridge, bridge-fret, fret-fret. All (...,)."""
    k, Z, w = omega * slowness, tension * slowness, omega[..., None]
    response = 1j * w / (ends.omega**2 - w**2 + 1j * ends.eta * ends.omega * w)
    mobilities = (Z * np.sum(response * p, axis=-1) for p in (ends.bridge**2, ends.bridge * ends.fret, ends.fret**2))
    return np.sin(k * length), np.cos(k * length), *mobilities


def end_equation(omega, slowness, tension, length, ends):
    """The determinant that vanishes at a damped pitch of the string with both ends on the instrument.

    omega: complex rad/s, (...,); slowness: wave number over omega (s/m), complex if the string has loss; tension: N, complex likewise; length: m;
    ends: partials.EndModes. y = A sin kx + B cos kx from the bridge (x = 0) to the fret (x = L); the end forces T y'(0) and -T y'(L) move the
    ends by the 2 x 2 mobility. Returns (...,).
    """
    s, c, bb, bf, ff = _at_ends(omega, slowness, tension, length, ends)
    return (bb - bf * c) * (ff * s - 1j * c) - (bf * s - 1j) * (bf - ff * c - 1j * s)


def string_roots(start, slowness, tension, length, ends, mode=None, tolerance=1e-12, steps=40):
    """Damped pitches nearest to `start`: complex omega = 2 pi f + i sigma, sigma the amplitude decay rate (1/s).

    start (...,) rad/s, complex; mode (...,): index of the mode nearby, whose pole is taken out of the equation; the other arguments as in
    end_equation. Newton steps with a numerical derivative (the equation is analytic).
    Returns (...,). Raises ValueError if the steps do not settle.
    """
    root = np.array(start, dtype=complex)
    if mode is not None:
        own, eta = (np.take_along_axis(np.broadcast_to(v, root.shape + v.shape[-1:]), mode[..., None], -1)[..., 0] for v in (ends.omega, ends.eta))

    def equation(w):
        value = end_equation(w, slowness, tension, length, ends)
        return value if mode is None else value * ((own**2 - w**2) / np.abs(root) ** 2 + 1j * eta * own * w / np.abs(root) ** 2)

    for _ in range(steps):
        small = 1e-6 * np.abs(root)
        value = equation(root)
        slope = (equation(root + small) - equation(root - small)) / (2 * small)
        change = value / slope
        limit = 0.02 * np.abs(root)                                    # stay in the basin of the root asked for
        change = change * np.minimum(1.0, limit / np.maximum(np.abs(change), 1e-300))
        root = root - change
        if np.all(np.abs(change) <= tolerance * np.abs(root)):
            return root
    raise ValueError(f"damped pitches of the string: no root found near {np.min(np.real(start)) / (2 * np.pi):.1f} to "
                     f"{np.max(np.real(start)) / (2 * np.pi):.1f} Hz; accepted: a start nearer to a root, or losses below about 0.3")


def string_shape(omega, slowness, tension, length, ends, loss=0.0):
    """Motion that belongs to a damped pitch: modal amplitudes and the string's energies, for y = sin kx + B cos kx.

    loss: the string's loss factor, which makes the end forces T (1 + i loss) y'; tension without it, real. Returns the modes' amplitudes
    (..., N, complex), mu int |y|^2 dx (kg m2) and T int |y'|^2 dx (N m), both (...,). mu follows from tension and slowness.
    """
    full = tension * (1 + 1j * np.asarray(loss))
    s, c, bb, bf, _ = _at_ends(omega, slowness, full, length, ends)
    B = (bb - bf * c) / (1j - bf * s)
    k, w = omega * slowness, omega[..., None]
    at_bridge, at_fret = full * k, -full * k * (c - B * s)
    amplitude = ((ends.bridge * at_bridge[..., None] + ends.fret * at_fret[..., None])
                 / (ends.omega**2 - w**2 + 1j * ends.eta * ends.omega * w))
    # y = P exp(ikx) + Q exp(-ikx), k = a + ib
    P, Q = (B - 1j) / 2, (B + 1j) / 2
    a, b = np.real(k), np.imag(k)
    one = lambda z: length * np.where(np.abs(z) < 1e-6, 1 + z / 2, np.expm1(z) / np.where(z == 0, 1.0, z))       # int exp(z x / L) dx
    alone = np.abs(P) ** 2 * one(-2 * b * length) + np.abs(Q) ** 2 * one(2 * b * length)
    mixed = 2 * np.real(P * np.conj(Q) * (np.exp(2j * a * length) - 1) / (2j * a))
    mass = np.real(full * slowness**2)
    return amplitude, mass * (alone + mixed), tension * np.abs(k) ** 2 * (alone - mixed)


@dataclass(frozen=True)
class TwoRoot:
    """Damped pitches of string and nearest mode (all shapes (...,), the notes).

    string, partner: complex omega (rad/s) of the string-like and of the mode-like root; strength: K of the nearest mode; mode: its index;
    distance: (f_string - f_mode) / f_string; mixed: True where K > 1 and the pitches lie within their splitting, so that neither root is
    string or neck.
    """

    string: object
    partner: object
    strength: object
    mode: object
    distance: object
    mixed: object


def two_root(string_omega, tension, length, harmonic, ends):
    """Closed-form damped pitches of each note with its most engaged mode; all other modes enter to first order.

    string_omega: complex pitch on rigid ends (...,), omega (1 + i eta / 2); tension N, length m, harmonic: broadcast with it. Returns TwoRoot.
    (w - w_s)(w^2 - w_k^2 - i eta w_k w) = w T phi^2 / L: the end equation near one resonance of the string. Against its exact roots the
    loss is good to about 1 % for guitar strings (tests), as long as only one mode is near.
    """
    w = np.real(string_omega)[..., None]
    shape = drive(ends, harmonic)
    pull = np.broadcast_to((np.asarray(tension) / (2 * np.asarray(length)))[..., None] * shape**2, np.broadcast_shapes(w.shape, shape.shape))   # g^2
    elastic = ends.omega > 0
    mode_omega = ends.omega * (1 + 0.5j * ends.eta)
    near = np.where(elastic, pull / (np.abs(mode_omega - np.asarray(string_omega)[..., None]) ** 2 + pull + 1e-300), -1.0)
    chosen = np.argmax(near, axis=-1)
    pick = lambda a: np.take_along_axis(np.broadcast_to(a, pull.shape), chosen[..., None], -1)[..., 0]
    # Shift by one mode, from the end equation to first order: (T phi^2 / L) w / (w^2 - w_k^2 - i eta w_k w).
    shift = 2 * pull * w / (w**2 - ends.omega**2 - 1j * ends.eta * ends.omega * w)
    own = np.asarray(string_omega) + np.sum(np.where(np.arange(pull.shape[-1]) == chosen[..., None], 0.0, shift), axis=-1)
    mode, g2, plain, loss = pick(mode_omega), pick(pull), pick(ends.omega), pick(ends.eta)
    middle, half = (own + mode) / 2, np.sqrt(((own - mode) / 2) ** 2 + g2 + 0j)
    plus, minus = (_polish(r, own, plain, loss, g2) for r in (middle + half, middle - half))
    first = np.abs(plus - own) <= np.abs(minus - own)
    mass = 1 / np.maximum(pick(shape**2), 1e-300)
    string_mass = np.asarray(tension) / np.asarray(length) * (np.asarray(harmonic) * np.pi / np.real(string_omega)) ** 2
    strength = coupling(loss, mass, string_mass, harmonic)
    distance = (np.real(string_omega) - np.real(mode)) / np.real(string_omega)
    mixed = (strength > 1) & (np.abs(np.real(string_omega) - np.real(mode)) < 2 * np.sqrt(g2))
    return TwoRoot(np.where(first, plus, minus), np.where(first, minus, plus), strength, chosen, distance, mixed)


def _polish(root, own, mode, loss, g2, steps=4):
    """Newton steps from the roots of the symmetric pair to those of the one-mode equation."""
    for _ in range(steps):
        tuned = root**2 - mode**2 - 1j * loss * mode * root
        value = (root - own) * tuned - 2 * g2 * root
        slope = tuned + (root - own) * (2 * root - 1j * loss * mode) - 2 * g2
        root = root - value / np.where(slope == 0, 1.0, slope)
    return root
