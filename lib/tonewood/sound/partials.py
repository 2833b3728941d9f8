"""One string tied to the moving ends of an instrument: the coupled matrices and their damped partials.

The string runs from the bridge (x = 0) to the fret (x = L). Its displacement is a sine series plus the straight line between its two
moving ends:  y = sum q_n sin(n pi x/L) + sum p_k [phi_k(bridge) (1 - x/L) + phi_k(fret) x/L].
Damping is kept inside the eigenproblem: adding it afterwards to undamped modes gives poor plucks when a string partial meets a neck mode
(Woodhouse, On the synthesis of guitar plucks, Acta Acustica united with Acustica 90 (2004) 928, abstract).
"""

from dataclasses import dataclass, field, replace

import numpy as np

from tonewood import checks

RIGID_BELOW = 2 * np.pi * 1.0  # rad/s; slower modes are the free flight of the whole instrument


@dataclass(frozen=True, eq=False)
class SpeakingString:
    """The vibrating length of one string between bridge and fret.

    length [m]; mass_per_length [kg/m]; tension [N]; bending_stiffness EI [N m2]; axial_stiffness EA of the core [N], needed only for
    the tension rise; loss: loss factor eta = 1/Q of the string on rigid ends, one number or one per partial (modes,).
    Raises ValueError.
    """

    length: float
    mass_per_length: float
    tension: float
    bending_stiffness: float = 0.0
    axial_stiffness: float | None = None
    loss: float | np.ndarray = 0.0

    def __post_init__(self):
        checks.number("speaking length", self.length, 0.05, 2.0, "m", lambda v: f"Did you mean {v / 1000:g} m?" if 50 <= v <= 2000 else None)
        checks.number("string mass per length", self.mass_per_length, 1e-5, 0.1, "kg/m",
                      lambda v: f"Did you mean {v / 1000:g} kg/m?" if 0.1 < v < 100 else None)
        checks.number("string tension", self.tension, 1.0, 1000.0, "N")
        checks.number("string bending stiffness", self.bending_stiffness, 0.0, 1.0, "N m2")
        if self.axial_stiffness is not None:
            checks.number("string axial stiffness", self.axial_stiffness, 100.0, 1e7, "N")
        checks.number("string loss factor", self.loss, 0.0, 0.5)

    @property
    def fundamental(self):
        """Frequency of the flexible string on rigid ends, sqrt(T/mu)/(2L) [Hz]."""
        return np.sqrt(self.tension / self.mass_per_length) / (2 * self.length)

    def omegas(self, modes):
        """Angular frequencies of the first `modes` partials on rigid ends, stiffness included [rad/s], shape (modes,)."""
        n = np.arange(1, modes + 1)
        stretch = self.bending_stiffness * np.pi**2 / (self.tension * self.length**2)
        return 2 * np.pi * self.fundamental * n * np.sqrt(1 + stretch * n**2)

    def losses(self, modes):
        """Loss factor of each of the first `modes` partials, shape (modes,). Raises ValueError when too few are given."""
        loss = np.asarray(self.loss, float)
        if loss.ndim == 0:
            return np.full(modes, float(loss))
        if loss.ndim != 1 or len(loss) < modes:
            raise ValueError(f"string loss factor: array of shape {loss.shape} given; one number or at least {modes} (one per partial) is expected")
        return loss[:modes]


@dataclass(frozen=True, eq=False)
class EndModes:
    """Modes of the instrument as one string feels them, in one direction of motion.

    omega [rad/s], eta (loss factor), fret and bridge (mass-normalised shapes at the string's ends, kg^-1/2): shape (modes,) or
    (draws, modes). A rigid-body mode has omega 0. No arguments: rigid, immovable ends. Raises ValueError.
    """

    omega: np.ndarray = ()
    eta: np.ndarray = ()
    fret: np.ndarray = ()
    bridge: np.ndarray | float = 0.0

    def __post_init__(self):
        omega = np.asarray(self.omega, float)
        if omega.size:
            checks.number("mode angular frequency", omega, 0.0, None, "rad/s")
            checks.number("mode loss factor", self.eta, 0.0, 1.0)
            checks.number("mode shape at the fret", self.fret)
            checks.number("mode shape at the bridge", self.bridge)
        try:
            parts = np.broadcast_arrays(omega, np.asarray(self.eta, float), np.asarray(self.fret, float), np.asarray(self.bridge, float))
        except ValueError:
            raise ValueError("end modes: frequencies, loss factors and shapes must have the same number of modes; given "
                             + ", ".join(str(np.shape(a)) for a in (omega, self.eta, self.fret, self.bridge))) from None
        for name, part in zip(("omega", "eta", "fret", "bridge"), parts):
            object.__setattr__(self, name, np.atleast_1d(part))

    @property
    def draws(self):
        """Number of draws, or None."""
        return None if self.omega.ndim == 1 else self.omega.shape[0]


def speaking_string(strings, index, fret=0, age=0.0):
    """SpeakingString of one string of a tuned set, stopped at a fret, with its own losses to the air and within the steel.

    strings: neck.strings.StringSet; index: 0 for the bass-most string; fret: 0 open; age: 0 new strings to 1 well played.
    Pressing does not raise the tension here. The steel's losses are from memory (see sound.string_loss). Raises ValueError.
    """
    from tonewood.sound.string_loss import steel_loss, steel_string_loss
    index = _whole("string (0 is the bass-most)", index, 0, len(strings) - 1)
    wire = strings.strings[index]
    tension = float(strings.tension[index])
    line = SpeakingString(float(strings.length[index]) * 2 ** (-_whole("fret", fret, 0, 30) / 12), wire.mass_per_length, tension,
                          wire.bending_stiffness, wire.axial_stiffness)
    inner = steel_loss("wound" if wire.wrap else "plain", age)
    n = np.arange(1, 401)
    air, steel = steel_string_loss(line.mass_per_length, wire.diameter, tension, line.bending_stiffness, line.length, n,
                                   line.omegas(400) / (2 * np.pi), inner.friction, inner.bending)
    return replace(line, loss=np.minimum(air + steel, 0.5))


def coupled_matrices(string, ends, modes):
    """Mass, stiffness and damping matrices of string and instrument together.

    string: SpeakingString; ends: EndModes with K modes; modes: number N of string terms. Returns (M, K, C), each (N+K, N+K) or
    (draws, N+K, N+K) [kg, N/m, N s/m]. Lagrange's equations of the displacement in the module's docstring, exact for a tensioned
    beam-string. The string's pull does no work on a rigid motion of the whole instrument (the compressed neck pushes back), so
    rigid-body modes get no stiffness from it.
    """
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

    def outer(a, b):
        return a[..., :, None] * b[..., None, :]

    M[..., modes:, modes:] = (np.eye(size - modes)
                              + total / 3 * (outer(fret, fret) + outer(bridge, bridge) + (outer(fret, bridge) + outer(bridge, fret)) / 2))
    gap = np.where(rigid, 0.0, fret - bridge)
    own = np.where(rigid, 0.0, ends.omega)
    K[..., modes:, modes:] = string.tension / string.length * outer(gap, gap) + np.eye(size - modes) * (own**2)[..., :, None]
    C[..., modes:, modes:] = np.eye(size - modes) * (own * ends.eta)[..., :, None]
    return M, K, C


@dataclass(frozen=True, eq=False)
class Partials:
    """Damped partials of string and instrument.

    rates: complex eigenvalues lambda = -sigma + i omega [1/s], shape (..., J), oscillating ones with omega > 0 only;
    shapes: string content q_n of each partial (..., N, J); states: eigenvectors in energy coordinates (..., 2R, J);
    gain: row vectors that turn an initial string displacement q_n (at rest) into complex amplitudes (..., J, N).
    A free motion is q_n(t) = sum_j Re(2 shapes[n, j] amplitude_j exp(rates_j t)).
    """

    string: SpeakingString
    rates: np.ndarray = field(repr=False)
    shapes: np.ndarray = field(repr=False)
    states: np.ndarray = field(repr=False)
    gain: np.ndarray = field(repr=False)

    @property
    def frequency(self):
        """Hz, shape (..., J), in rising order."""
        return self.rates.imag / (2 * np.pi)

    @property
    def loss(self):
        """Loss factor 2 sigma/|lambda| of each partial."""
        return -2 * self.rates.real / np.abs(self.rates)

    @property
    def T60(self):
        """Time for the amplitude to fall by 60 dB, ln(1000)/sigma [s]."""
        with np.errstate(divide="ignore"):
            return np.where(self.rates.real < 0, np.log(1000.0) / np.maximum(-self.rates.real, 1e-300), np.inf)

    def amplitudes(self, displacement):
        """Complex amplitudes (..., J) after release at rest from the string shape q_n (N,) [m]."""
        return self.gain @ displacement

    def energy(self, amplitudes, time):
        """Total vibration energy of string and instrument at the times (t,) [J], rigid-body motion left out. One draw only."""
        motion = 2 * (self.states @ (amplitudes[:, None] * np.exp(self.rates[:, None] * np.asarray(time, float)))).real
        return 0.5 * np.sum(motion**2, axis=0)


def partials(string, ends=EndModes(), modes=60):
    """Solve the damped eigenproblem of string and instrument.

    string: SpeakingString; ends: EndModes; modes: number of string terms (40 to 60 suffice). Returns Partials.
    Rigid-body modes are exact zero modes of stiffness and damping; they are split off first, so nothing singular is left.
    Raises ValueError.
    """
    M, K, C = coupled_matrices(string, ends, _whole("string modes", modes, 1, 400))
    root, side = np.linalg.eigh(M)
    whiten = side / np.sqrt(root)[..., None, :]                     # M^-1/2, columns in the eigenbasis of M
    turned = np.swapaxes(whiten, -1, -2)
    squared, shape = np.linalg.eigh(turned @ K @ whiten)
    free = int(np.max(np.sum(np.asarray(ends.omega) < RIGID_BELOW, axis=-1))) if ends.omega.size else 0
    if ends.omega.size and np.any(np.sum(ends.omega < RIGID_BELOW, axis=-1) != free):
        raise ValueError("end modes: the draws differ in their number of rigid-body modes; every draw must have the same number")
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
        raise ValueError("damped partials: a mode no longer oscillates (loss factor near 2); the losses given are far beyond wood and steel")
    order = np.argsort(np.where(rates.imag > 0, rates.imag, np.inf), axis=-1)
    rates = np.take_along_axis(rates, order, -1)
    vectors = np.take_along_axis(vectors, order[..., None, :], -1)
    # At rest only the stretch half of the state is filled: omega * basis^T M (q, 0).
    start = omega[..., :, None] * (np.swapaxes(basis, -1, -2) @ M[..., :, :modes])
    start = np.concatenate([start, np.zeros_like(start)], axis=-2)
    gain = np.linalg.solve(vectors, start.astype(complex))[..., :size, :]
    string_shape = (basis / omega[..., None, :])[..., :modes, :] @ vectors[..., :size, :size]
    return Partials(string, rates[..., :size], string_shape, vectors[..., :size], gain)


def _whole(name, value, low, high):
    """A whole number in range, refused otherwise."""
    checked = checks.number(name, value, low, high)
    if checked != int(checked):
        raise ValueError(f"{name}: {value!r} given; a whole number from {low} to {high} is expected")
    return int(checked)
