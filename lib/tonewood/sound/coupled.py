"""String and instrument as one: damped pitches where "loss of string + loss at the ends" no longer holds.

Near a neck mode the string and the neck exchange their energy instead of the string just feeding the neck.
Whether they do depends on

    K = (2 Q_k / (n pi)) sqrt(2 m_s / m_k)

with m_s = mu L the string's mass, m_k the mode's mass at the fret, Q_k = 1 / eta_k (criterion after Gough, as
remembered; derived again here: at K = 1 the two damped roots just separate). For K > 1 at equal pitch two
notes sound together, beat, and share one decay. Two ways to the answer, both exact for the string between its
two ends:

- string_roots: the equation of the string closed at both ends by the instrument's mobilities, Newton steps;
- two_root: closed form for the string and the one mode nearest in pitch, the other modes as small
  corrections. Fast enough for draws.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tonewood import checks
from tonewood.draws import Array, Draws
from tonewood.sound.partials import ComplexArray, EndModes

if TYPE_CHECKING:
    from tonewood.sound.modes import Modes

Complex = complex | ComplexArray


def at_mode(values: NDArray[Any], mode: NDArray[np.int_]) -> NDArray[Any]:
    """The entries of values (..., N) at the mode index (...,) of each note; values broadcast. Definition.

    >>> at_mode(np.array([10.0, 20.0]), np.array([[1, 0, 1]])).tolist()
    [[20.0, 10.0, 20.0]]
    """
    spread = np.broadcast_to(values, np.broadcast_shapes(values.shape, mode.shape + (1,)))
    return np.take_along_axis(spread, mode[..., None], -1)[..., 0]


def drive(ends: EndModes, harmonic: ArrayLike) -> Array:
    """Shape by which the n-th harmonic drives each mode (..., N), kg^-1/2: both ends pull alike for odd n,
    against each other for even n. harmonic broadcasts against the notes in front of the modes axis. Raises
    ValueError.

    >>> ends = EndModes(np.array([100.0]), np.array([0.01]), np.array([0.5]), np.array([0.2]))
    >>> drive(ends, 1).tolist(), drive(ends, 2).tolist()
    ([0.7], [0.3])
    """
    sign = np.where(np.asarray(checks.whole_numbers("harmonic", harmonic, 1)) % 2, 1.0, -1.0)[..., None]
    return ends.fret + sign * ends.bridge


def string_ends(modes: Modes, fret: ArrayLike, bridge: ArrayLike, fret_y: ArrayLike = 0.0,
                bridge_y: ArrayLike = 0.0) -> EndModes:
    """The modes of an instrument as strings feel them at their ends: EndModes, rigid motions first, with
    omega 0.

    fret, bridge: x (m) of the two ends; fret_y, bridge_y: offsets from the centre line (m); numbers or arrays
    of one shape (the notes). Arrays come out as (..., notes, N), draws in front. Raises ValueError.

    >>> from tonewood.sound.modes import beam_modes
    >>> from tonewood.sound.beam import Beam
    >>> string_ends(beam_modes(Beam(np.linspace(0, 0.9, 31), 500.0, 1.0), 4), [0.1, 0.2], 0.7).fret.shape
    (2, 6)
    """
    named = (("place of the fret", fret), ("place of the bridge", bridge), ("offset at the fret", fret_y),
             ("offset at the bridge", bridge_y))
    x, x_bridge, y, y_bridge = np.broadcast_arrays(*(checks.number(name, v, unit="m") for name, v in named))
    at_fret, frequency, loss = modes.all_at(x, y)
    at_bridge = modes.all_at(x_bridge, y_bridge)[0]
    grow = (...,) + (None,) * x.ndim + (slice(None),)
    return EndModes(2 * np.pi * frequency[grow], loss[grow],
                    *(np.moveaxis(shape, -1 - x.ndim, -1) for shape in (at_fret, at_bridge)))


def coupling(loss: Draws, mode_mass: Draws, string_mass: Draws, harmonic: ArrayLike = 1) -> Draws:
    """Coupling number K: above 1 the string and the mode split into a pair at equal pitch.

    loss: loss factor of the mode; mode_mass: modal mass at the string's end (kg), 1 / shape^2; string_mass:
    mu L (kg). Arrays broadcast; K is infinite for a mode without loss. Raises ValueError for a mass of zero.

    >>> round(float(coupling(0.02, 1.0, 0.004)), 2)
    2.85
    """
    mode_mass = np.asarray(checks.number("modal mass", mode_mass, 0.0, unit="kg", open_low=True))
    string_mass = np.asarray(checks.number("string mass", string_mass, 0.0, unit="kg", open_low=True))
    loss = np.asarray(checks.number("loss factor", loss, 0.0, 1.0))
    with np.errstate(divide="ignore"):
        lost = loss * np.asarray(checks.whole_numbers("harmonic", harmonic, 1)) * np.pi
        return 2 / lost * np.sqrt(2 * string_mass / mode_mass)


def _at_ends(omega: Any, slowness: Complex, tension: Complex, length: Draws, ends: EndModes
             ) -> tuple[Any, ...]:
    """sin kL, cos kL and the mobilities times T k / w: bridge-bridge, bridge-fret, fret-fret. All (...,)."""
    k, Z, response = omega * slowness, tension * slowness, 1j * omega[..., None] * ends.receptance(omega)
    both = (ends.bridge**2, ends.bridge * ends.fret, ends.fret**2)
    return np.sin(k * length), np.cos(k * length), *(Z * np.sum(response * p, axis=-1) for p in both)


def end_equation(omega: Complex, slowness: Complex, tension: Complex, length: Draws, ends: EndModes
                 ) -> Complex:
    """The determinant (...,) that vanishes at a damped pitch of the string with both ends on the instrument.

    omega: complex rad/s, (...,); slowness: wave number over omega (s/m), complex if the string has loss;
    tension: N, complex likewise; length: m. Derived: y = A sin kx + B cos kx from the bridge (x = 0) to the
    fret (x = L); the end forces T y'(0) and -T y'(L) move the ends by the 2 x 2 mobility.

    >>> rigid = EndModes(np.array([500.0]), np.array([0.01]), np.zeros(1))
    >>> bool(abs(end_equation(np.asarray(200 * np.pi + 0j), 1 / 130, 70.0, 0.65, rigid)) < 1e-9)
    True
    """
    s, c, bb, bf, ff = _at_ends(omega, slowness, tension, length, ends)
    return (bb - bf * c) * (ff * s - 1j * c) - (bf * s - 1j) * (bf - ff * c - 1j * s)


def string_roots(start: Complex, slowness: Complex, tension: Complex, length: Draws, ends: EndModes,
                 mode: NDArray[np.int_] | None = None, steps: int = 40) -> ComplexArray:
    """Damped pitches nearest to `start` (...,): complex omega = 2 pi f + i sigma (rad/s), sigma the decay
    rate (1/s).

    mode (...,): index of the mode nearby, whose pole is taken out of the equation; the other arguments as in
    end_equation. Newton steps with a numerical derivative (the equation is analytic). Raises ValueError if
    the steps do not settle.

    >>> rigid = EndModes(np.array([500.0]), np.array([0.01]), np.zeros(1))
    >>> round(complex(string_roots(np.asarray(630.0), 1 / 130, 70.0, 0.65, rigid)).real / np.pi, 6)
    200.0
    """
    root = np.array(start, dtype=complex)
    own: Any = 0.0 if mode is None else at_mode(ends.omega, mode)
    eta: Any = 0.0 if mode is None else at_mode(ends.eta, mode)

    def equation(w: ComplexArray) -> Any:
        value = end_equation(w, slowness, tension, length, ends)
        return value if mode is None else value * (own**2 - w**2 + 1j * eta * own * w) / np.abs(root) ** 2

    for _ in range(steps):
        small = 1e-6 * np.abs(root)
        slope = (equation(root + small) - equation(root - small)) / (2 * small)
        change = equation(root) / slope
        limit = 0.02 * np.abs(root)                             # stay in the basin of the root asked for
        change = change * np.minimum(1.0, limit / np.maximum(np.abs(change), 1e-300))
        root = root - change
        if np.all(np.abs(change) <= 1e-12 * np.abs(root)):
            return root
    hertz = np.asarray(start).real / (2 * np.pi)
    raise ValueError(f"damped pitches of the string: no root found near {hertz.min():.1f} to "
                     f"{hertz.max():.1f} Hz; accepted: a start nearer to a root, or losses below about 0.3")


def string_shape(omega: Any, slowness: Complex, tension: Draws, length: Draws, ends: EndModes,
                 loss: Draws = 0.0) -> tuple[ComplexArray, Array, Array]:
    """Motion that belongs to a damped pitch: modal amplitudes and the string's energies, for y = sin kx + B
    cos kx.

    loss: the string's loss factor, which makes the end forces T (1 + i loss) y'; tension without it, real.
    Returns the modes' amplitudes (..., N, complex), mu int |y|^2 dx (kg m2) and T int |y'|^2 dx (N m), both
    (...,). mu follows from tension and slowness. Derived by integrating the two waves.

    >>> rigid = EndModes(np.array([500.0]), np.array([0.01]), np.zeros(1))
    >>> [round(float(v), 4) for v in string_shape(np.asarray(200 * np.pi), 1 / 130, 70.0, 0.65, rigid)[1:]]
    [0.0013, 531.4402]
    """
    full = tension * (1 + 1j * np.asarray(loss))
    s, c, bb, bf, _ = _at_ends(omega, slowness, full, length, ends)
    B = (bb - bf * c) / (1j - bf * s)
    k = omega * slowness
    at_bridge, at_fret = full * k, -full * k * (c - B * s)
    amplitude = (ends.bridge * at_bridge[..., None] + ends.fret * at_fret[..., None]) * ends.receptance(omega)
    # y = P exp(ikx) + Q exp(-ikx), k = a + ib
    P, Q = (B - 1j) / 2, (B + 1j) / 2
    a, b = np.real(k), np.imag(k)

    def one(z: Any) -> Any:            # int exp(z x / L) dx
        return length * np.where(np.abs(z) < 1e-6, 1 + z / 2, np.expm1(z) / np.where(z == 0, 1.0, z))

    alone = np.abs(P) ** 2 * one(-2 * b * length) + np.abs(Q) ** 2 * one(2 * b * length)
    mixed = 2 * np.real(P * np.conj(Q) * (np.exp(2j * a * length) - 1) / (2j * a))
    mass = np.real(full * slowness**2)
    return amplitude, mass * (alone + mixed), tension * np.abs(k) ** 2 * (alone - mixed)


@dataclass(frozen=True)
class TwoRoot:
    """Damped pitches of string and nearest mode, all (...,), the notes.

    string, partner: complex omega (rad/s) of the string-like and of the mode-like root; strength: K of the
    nearest mode; mode: its index; distance: (f_string - f_mode) / f_string; mixed: True where K > 1 and the
    pitches lie within their splitting, so that neither root is string or neck.
    """

    string: ComplexArray
    partner: ComplexArray
    strength: Array
    mode: NDArray[np.int_]
    distance: Array
    mixed: NDArray[np.bool_]


def two_root(string_omega: Complex, tension: Draws, length: Draws, harmonic: ArrayLike, ends: EndModes
             ) -> TwoRoot:
    """Closed-form damped pitches of each note with its most engaged mode; all other modes enter to first
    order.

    string_omega: complex pitch on rigid ends (...,), omega (1 + i eta / 2); tension N, length m, harmonic:
    broadcast with it. Derived: (w - w_s)(w^2 - w_k^2 - i eta w_k w) = w T phi^2 / L, the end equation near
    one resonance of the string. Against its exact roots the loss is good to about 1 % for guitar strings
    (tests), as long as only one mode is near.

    >>> ends = EndModes(np.array([600.0]), np.array([0.02]), np.array([1.0]))
    >>> pair = two_root(np.asarray(628.3 + 0.3j), 70.0, 0.65, 1, ends)
    >>> round(complex(pair.string).imag, 2), round(float(pair.strength), 2)
    (0.63, 2.34)
    """
    own_omega = np.asarray(string_omega)
    w = np.real(own_omega)[..., None]
    shape = drive(ends, harmonic)
    pull = (np.asarray(tension) / (2 * np.asarray(length)))[..., None] * shape**2                      # g^2
    pull = np.broadcast_to(pull, np.broadcast_shapes(w.shape, shape.shape))
    mode_omega = ends.omega * (1 + 0.5j * ends.eta)
    near = pull / (np.abs(mode_omega - own_omega[..., None]) ** 2 + pull + 1e-300)
    chosen = np.argmax(np.where(ends.omega > 0, near, -1.0), axis=-1)
    shift = -2 * pull * w * ends.receptance(w[..., 0])          # by one mode, the end equation to first order
    others = np.arange(pull.shape[-1]) != chosen[..., None]
    own = own_omega + np.sum(np.where(others, shift, 0.0), axis=-1)
    of_modes = (mode_omega, pull, ends.omega, ends.eta, shape**2)
    mode, g2, plain, loss, part = (at_mode(v, chosen) for v in of_modes)
    middle, half = (own + mode) / 2, np.sqrt(((own - mode) / 2) ** 2 + g2 + 0j)
    plus, minus = (_polish(r, own, plain, loss, g2) for r in (middle + half, middle - half))
    first = np.abs(plus - own) <= np.abs(minus - own)
    pitch = np.real(own_omega)
    string_mass = np.asarray(tension) / np.asarray(length) * (np.asarray(harmonic) * np.pi / pitch) ** 2
    strength = np.asarray(coupling(loss, 1 / np.maximum(part, 1e-300), string_mass, harmonic))
    apart = pitch - np.real(mode)
    return TwoRoot(np.where(first, plus, minus), np.where(first, minus, plus), strength, chosen,
                   apart / pitch, (strength > 1) & (np.abs(apart) < 2 * np.sqrt(g2)))


def _polish(root: ComplexArray, own: ComplexArray, mode: Array,
            loss: Array, g2: Array) -> ComplexArray:
    """Newton steps from the roots of the symmetric pair to those of the one-mode equation."""
    for _ in range(4):
        tuned = root**2 - mode**2 - 1j * loss * mode * root
        value = (root - own) * tuned - 2 * g2 * root
        slope = tuned + (root - own) * (2 * root - 1j * loss * mode) - 2 * g2
        root = root - value / np.where(slope == 0, 1.0, slope)
    return root
