"""One string tied to the moving ends of an instrument: the coupled matrices and their damped partials.

The string runs from the bridge (x = 0) to the fret (x = L). Its displacement is a sine series plus the
straight line between its two moving ends: y = sum q_n sin(n pi x/L) + sum p_k [phi_k(bridge) (1 - x/L) +
phi_k(fret) x/L]. Damping is kept inside the eigenproblem: adding it afterwards to undamped modes gives poor
plucks when a string partial meets a neck mode (source woodhouse-2004, abstract).
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tonewood import checks
from tonewood.draws import Array, Draws
from tonewood.sound.string_loss import decay_time, steel_string_loss, wire_loss
from tonewood.strings.pitch import interval
from tonewood.strings.wire import StringSet, inharmonicity

ComplexArray = NDArray[np.complex128]
RIGID_BELOW = 2 * np.pi * 1.0  # rad/s; slower modes are the free flight of the whole instrument
MOST_PARTIALS = 400


@dataclass(frozen=True, eq=False)
class SpeakingString:
    """The vibrating length of one string between bridge and fret.

    length, m; mass_per_length, kg/m; tension, N; bending_stiffness EI, N m2; axial_stiffness EA of the core,
    N, needed only for the tension rise; loss: loss factor eta = 1/Q of the string on rigid ends, one number
    or one per partial (modes,). Raises ValueError.
    """

    length: float
    mass_per_length: float
    tension: float
    bending_stiffness: float = 0.0
    axial_stiffness: float | None = None
    loss: Draws = 0.0

    def __post_init__(self) -> None:
        checks.length("speaking length", self.length, 0.05, 2.0, open_low=False)
        checks.number("string mass per length", self.mass_per_length, 1e-5, 0.1, "kg/m",
                      lambda v: f"Did you mean {v / 1000:g} kg/m?" if 0.1 < v < 100 else None)
        checks.number("string tension", self.tension, 1.0, 1000.0, "N")
        checks.number("string bending stiffness", self.bending_stiffness, 0.0, 1.0, "N·m²")
        if self.axial_stiffness is not None:
            checks.number("string axial stiffness", self.axial_stiffness, 100.0, 1e7, "N")
        checks.number("string loss factor", self.loss, 0.0, 0.5)

    @property
    def fundamental(self) -> float:
        """Frequency of the flexible string on rigid ends, sqrt(T/mu)/(2L), Hz."""
        return float(np.sqrt(self.tension / self.mass_per_length) / (2 * self.length))

    @property
    def core(self) -> float:
        """EA of the core, N, which a pitch glide needs. Raises ValueError if it was not given."""
        if self.axial_stiffness is None:
            raise ValueError("pitch glide: string without axial_stiffness given; accepted: one with it, in N")
        return self.axial_stiffness

    def omegas(self, modes: int) -> Array:
        """Angular frequencies of the first `modes` partials on rigid ends, stiffness included, rad/s,
        (modes,).

        >>> SpeakingString(0.648, 0.4e-3, 72.6, 1e-4).omegas(2).round().tolist()
        [2065.0, 4131.0]
        """
        n = np.arange(1, modes + 1)
        stretch = inharmonicity(self.bending_stiffness, self.tension, self.length)
        return np.asarray(2 * np.pi * self.fundamental * n * np.sqrt(1 + stretch * n**2))

    def losses(self, modes: int) -> Array:
        """Loss factor of each of the first `modes` partials, (modes,). Raises ValueError when too few are
        given.

        >>> SpeakingString(0.648, 0.4e-3, 72.6, loss=1e-3).losses(2).tolist()
        [0.001, 0.001]
        """
        loss = np.asarray(self.loss, float)
        if loss.ndim == 0:
            return np.full(modes, float(loss))
        if loss.ndim != 1 or len(loss) < modes:
            raise ValueError(f"string loss factor: array of shape {loss.shape} given; accepted: one number, "
                             f"or at least {modes} (one per partial)")
        return loss[:modes]


def _none() -> Array:
    return np.zeros(0)


@dataclass(frozen=True, eq=False)
class EndModes:
    """Modes of the instrument as one string feels them, in one direction of motion.

    omega, rad/s, eta (loss factor), fret and bridge (mass-normalised shapes at the string's ends, kg^-1/2):
    (modes,) or (..., modes), all of one shape once made. A rigid-body mode has omega 0. No arguments: rigid
    ends. Raises ValueError.
    """

    omega: Array = field(default_factory=_none)
    eta: Array = field(default_factory=_none)
    fret: Array = field(default_factory=_none)
    bridge: Array = field(default_factory=lambda: np.zeros(1))

    def __post_init__(self) -> None:
        given = {name: np.asarray(value, float) for name, value in vars(self).items()}
        if given["omega"].size:
            checks.number("mode angular frequency", self.omega, 0.0, None, "rad/s")
            checks.number("mode loss factor", self.eta, 0.0, 1.0)
            checks.number("mode shape at the fret", self.fret)
            checks.number("mode shape at the bridge", self.bridge)
        try:
            parts = np.broadcast_arrays(*given.values())
        except ValueError:
            shapes = ", ".join(f"{name} {v.shape}" for name, v in given.items())
            raise ValueError(f"end modes: arrays of shapes {shapes} given; accepted: the same number of "
                             "modes in each") from None
        for name, part in zip(given, parts, strict=True):
            object.__setattr__(self, name, np.atleast_1d(part))

    @property
    def beside_notes(self) -> EndModes:
        """The same modes (..., N) with an axis for the notes before the last, (..., 1, N)."""
        return EndModes(*(part[..., None, :] for part in vars(self).values()))

    def receptance(self, omega: Any) -> Any:
        """Displacement of each mode per force on it (..., N), 1 / (w_k^2 - w^2 + i eta_k w_k w), s2; time
        factor exp(+i w t). omega (...,): rad/s, real or complex."""
        w = np.asarray(omega)[..., None]
        return 1 / (self.omega**2 - w**2 + 1j * self.eta * self.omega * w)


RIGID_ENDS = EndModes()


def speaking_string(strings: StringSet, index: int, fret: int = 0, age: float = 0.0) -> SpeakingString:
    """SpeakingString of one string of a tuned set, stopped at a fret, with its own losses to the air and
    within the steel.

    index: 0 for the bass-most string; fret: 0 open; age: 0 new strings to 1 well played. Pressing does not
    raise the tension here. The steel's losses are from memory (see sound.string_loss). Raises ValueError.

    >>> from tonewood.strings.sets import string_set
    >>> round(speaking_string(string_set("six"), 0, 5).fundamental, 2)
    110.0
    """
    index = checks.whole("string (0 is the bass-most)", index, 0, len(strings) - 1)
    wire, inner = strings.strings[index], wire_loss(strings.strings[index], age)
    length = float(np.ravel(strings.length)[index] * interval(-checks.whole("fret", fret, 0, 30)))
    line = SpeakingString(length, wire.mass_per_length, float(strings.tension[index]), wire.bending_stiffness,
                          wire.axial_stiffness)
    n = np.arange(1.0, MOST_PARTIALS + 1)
    air, steel = steel_string_loss(wire.mass_per_length, wire.diameter, line.tension, wire.bending_stiffness,
                                   length, n, line.omegas(len(n)) / 2 / np.pi, inner.friction, inner.bending)
    return replace(line, loss=np.minimum(air + steel, 0.5))


def coupled_matrices(string: SpeakingString, ends: EndModes, modes: int) -> tuple[Array, ...]:
    """Mass, stiffness and damping matrices of string and instrument together.

    ends: EndModes with K modes; modes: number N of string terms. Returns (M, K, C), each (N+K, N+K) or (D,
    N+K, N+K), in kg, N/m, N s/m. Lagrange's equations of the displacement in the module's docstring, exact
    for a tensioned beam-string. The string's pull does no work on a rigid motion of the whole instrument (the
    compressed neck pushes back), so rigid-body modes get no stiffness from it. Raises ValueError.

    >>> M, K, C = coupled_matrices(SpeakingString(0.65, 1e-3, 70.0), RIGID_ENDS, 2)
    >>> M.diagonal().round(6).tolist()
    [0.000325, 0.000325]
    """
    modes = checks.whole("string terms", modes, 1, 10_000)
    n = np.arange(1, modes + 1)
    fret, bridge = ends.fret, ends.bridge
    total = string.mass_per_length * string.length
    rigid = ends.omega < RIGID_BELOW
    size = modes + fret.shape[-1]
    M, K, C = (np.zeros(fret.shape[:-1] + (size, size)) for _ in range(3))
    omega = string.omegas(modes)
    M[..., n - 1, n - 1] = total / 2
    K[..., n - 1, n - 1] = total / 2 * omega**2
    C[..., n - 1, n - 1] = total / 2 * omega * string.losses(modes)
    sign = np.where(n % 2, 1.0, -1.0)[:, None]
    mixed = total / (np.pi * n[:, None]) * (sign * fret[..., None, :] + bridge[..., None, :])
    M[..., :modes, modes:] = mixed
    M[..., modes:, :modes] = np.swapaxes(mixed, -1, -2)

    def outer(a: Array, b: Array) -> Array:
        return a[..., :, None] * b[..., None, :]

    carried = outer(fret, fret) + outer(bridge, bridge) + (outer(fret, bridge) + outer(bridge, fret)) / 2
    M[..., modes:, modes:] = np.eye(size - modes) + total / 3 * carried
    gap = np.where(rigid, 0.0, fret - bridge)
    own = np.where(rigid, 0.0, ends.omega)
    K[..., modes:, modes:] = (string.tension / string.length * outer(gap, gap)
                              + np.eye(size - modes) * (own**2)[..., :, None])
    C[..., modes:, modes:] = np.eye(size - modes) * (own * ends.eta)[..., :, None]
    return M, K, C


@dataclass(frozen=True, eq=False)
class Partials:
    """Damped partials of string and instrument.

    rates: complex eigenvalues lambda = -sigma + i omega, 1/s, (..., J), oscillating ones with omega > 0 only;
    shapes: string content q_n of each partial (..., N, J); states: eigenvectors in energy coordinates (...,
    2R, J); gain: row vectors that turn an initial string displacement q_n (at rest) into complex amplitudes
    (..., J, N). A free motion is q_n(t) = sum_j Re(2 shapes[n, j] amplitude_j exp(rates_j t)).
    """

    string: SpeakingString
    rates: ComplexArray = field(repr=False)
    shapes: ComplexArray = field(repr=False)
    states: ComplexArray = field(repr=False)
    gain: ComplexArray = field(repr=False)

    @property
    def frequency(self) -> Array:
        """Hz, (..., J), in rising order."""
        return self.rates.imag / (2 * np.pi)

    @property
    def loss(self) -> Array:
        """Loss factor 2 sigma/|lambda| of each partial."""
        return -2 * self.rates.real / np.abs(self.rates)

    @property
    def T60(self) -> Draws:
        """Time for the amplitude to fall by 60 dB, s."""
        return decay_time(-self.rates.real)

    def amplitudes(self, displacement: Array) -> ComplexArray:
        """Complex amplitudes (..., J) after release at rest from the string shape q_n (N,), m."""
        return self.gain @ displacement

    def energy(self, amplitudes: ComplexArray, time: ArrayLike) -> Array:
        """Total vibration energy of string and instrument at the times (t,), J, rigid motion left out. One
        draw only."""
        moving = amplitudes[:, None] * np.exp(self.rates[:, None] * np.asarray(time, float))
        return 0.5 * np.sum((2 * (self.states @ moving).real) ** 2, axis=0)


def partials(string: SpeakingString, ends: EndModes = RIGID_ENDS, modes: int = 60) -> Partials:
    """Solve the damped eigenproblem of string and instrument. modes: number of string terms (40 to 60
    suffice).

    Rigid-body modes are exact zero modes of stiffness and damping; they are split off first, so nothing
    singular is left. Returns Partials. Raises ValueError.

    >>> partials(SpeakingString(0.65, 1e-3, 70.0, loss=1e-3), modes=2).frequency.round(1).tolist()
    [203.5, 407.0]
    """
    M, K, C = coupled_matrices(string, ends, checks.whole("string modes", modes, 1, MOST_PARTIALS))
    root, side = np.linalg.eigh(M)
    whiten = side / np.sqrt(root)[..., None, :]                     # M^-1/2, columns in the eigenbasis of M
    turned = np.swapaxes(whiten, -1, -2)
    squared, shape = np.linalg.eigh(turned @ K @ whiten)
    rigid = np.sum(ends.omega < RIGID_BELOW, axis=-1)
    free = int(np.max(rigid))
    if np.any(rigid != free):
        raise ValueError(f"end modes: draws with {np.min(rigid)} to {free} rigid-body modes given; accepted: "
                         "the same number in every draw")
    squared, shape = squared[..., free:], shape[..., free:]
    basis = whiten @ shape                                          # undamped modes, mass-normalised
    omega = np.sqrt(squared)
    damping = np.swapaxes(basis, -1, -2) @ C @ basis
    size = omega.shape[-1]
    state = np.zeros(omega.shape[:-1] + (2 * size, 2 * size))       # energy coordinates: (omega xi, d xi/dt)
    diagonal = np.arange(size)
    state[..., diagonal, size + diagonal] = omega
    state[..., size + diagonal, diagonal] = -omega
    state[..., size:, size:] = -damping
    rates, vectors = np.linalg.eig(state)
    if np.any(np.sum(rates.imag > 0, axis=-1) != size):
        raise ValueError("damped partials: losses at which a mode no longer oscillates given (loss factor "
                         "near 2); accepted: losses of wood and steel, far below 1")
    order = np.argsort(np.where(rates.imag > 0, rates.imag, np.inf), axis=-1)
    rates = np.take_along_axis(rates, order, -1)
    vectors = np.take_along_axis(vectors, order[..., None, :], -1)
    # At rest only the stretch half of the state is filled: omega * basis^T M (q, 0).
    start = omega[..., :, None] * (np.swapaxes(basis, -1, -2) @ M[..., :, :modes])
    start = np.concatenate([start, np.zeros_like(start)], axis=-2)
    gain = np.linalg.solve(vectors, start.astype(complex))[..., :size, :]
    string_shape = (basis / omega[..., None, :])[..., :modes, :] @ vectors[..., :size, :size]
    return Partials(string, rates[..., :size], string_shape, vectors[..., :size], gain)
