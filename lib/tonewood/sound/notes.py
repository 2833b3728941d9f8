"""Notes between two moving ends: their damped pitches, and what takes each one's energy.

Derived from the equations of motion of string and instrument (sound.coupled), in SI units.
"""

from __future__ import annotations

from dataclasses import KW_ONLY, dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from tonewood import checks
from tonewood.draws import Array, Draws
from tonewood.sound.coupled import TwoRoot, drive, string_roots, string_shape, two_root
from tonewood.sound.partials import ComplexArray, EndModes, SpeakingString


@dataclass(frozen=True)
class Notes:
    """Plain description of any number of notes; all fields broadcast to one shape (...,), SI. Raises
    ValueError.

    frequency: of the harmonic looked at, on rigid ends; length, tension: of the speaking string; air, own:
    loss factors of the string on rigid ends; harmonic: 1 for the fundamental; stiffness: EI of the string, N
    m2.
    """

    frequency: Draws
    length: Draws
    tension: Draws
    air: Draws
    own: Draws
    _: KW_ONLY
    harmonic: ArrayLike = 1
    stiffness: Draws = 0.0

    def __post_init__(self) -> None:
        for name, unit in (("frequency", "Hz"), ("length", "m"), ("tension", "N")):
            checks.number(f"string {name}", getattr(self, name), 0.0, unit=unit, open_low=True)
        for name in ("air", "own"):
            checks.number(f"{name} loss factor of the string", getattr(self, name), 0.0, 1.0, open_high=True)

    @property
    def omega(self) -> Array:
        """Angular frequency, rad/s."""
        return 2 * np.pi * np.asarray(self.frequency, dtype=float)

    @property
    def loss(self) -> Array:
        """Loss factor of the string on rigid ends, air and own together."""
        return np.asarray(self.air) + np.asarray(self.own)

    @property
    def damped(self) -> ComplexArray:
        """Complex pitch on rigid ends, rad/s."""
        return self.omega * (1 + 0.5j * self.loss)

    @property
    def wave_number(self) -> Array:
        """n pi / L, 1/m."""
        return np.asarray(self.harmonic) * np.pi / np.asarray(self.length)

    @property
    def pull(self) -> Array:
        """Tension with what bending stiffness adds at this harmonic, N."""
        return np.asarray(self.tension) + np.asarray(self.stiffness) * self.wave_number**2

    @property
    def slowness(self) -> ComplexArray:
        """Wave number over angular frequency, s/m, complex by the string's own loss."""
        return self.wave_number / (self.omega * np.sqrt(1 + 1j * self.loss))


def harmonics_of(string: SpeakingString, count: int) -> Notes:
    """The first `count` harmonics of a string as Notes (SI), its losses undivided. Raises ValueError.

    >>> harmonics_of(SpeakingString(0.65, 1e-3, 70.0), 2).frequency.round(1).tolist()
    [203.5, 407.0]
    """
    count = checks.whole("number of harmonics", count, 1, 1000)
    return Notes(string.omegas(count) / (2 * np.pi), string.length, string.tension, 0.0, string.losses(count),
                 harmonic=np.arange(1, count + 1), stiffness=string.bending_stiffness)


def end_loss(notes: Notes, ends: EndModes) -> Array:
    """Simple rule: loss factor that each mode takes from each note, 2 T G_k / (L w), (..., N), G_k the
    conductance (s/kg). Derived for weak coupling: too high where K > 1 at equal pitch.

    >>> end_loss(Notes(100.0, 0.65, 70.0, 0.0, 1e-3), EndModes([600.0], [0.02], [1.0])).round(4).tolist()
    [0.0013]
    """
    w = notes.omega[..., None]
    conductance = (1j * w * drive(ends, notes.harmonic) ** 2 * ends.receptance(notes.omega)).real
    return 2 * (notes.pull / (np.asarray(notes.length) * notes.omega))[..., None] * conductance


def solve(notes: Notes, ends: EndModes, exact: bool = True) -> TwoRoot:
    """Damped pitch (rad/s) of each note with the mode nearest to it. ends: with the modes on the last axis.

    exact: Newton on the full end equation (one instrument); otherwise the closed form with one near mode (for
    draws). Raises ValueError if the steps do not settle.

    >>> found = solve(Notes(100.0, 0.65, 70.0, 0.0, 1e-3), EndModes([600.0], [0.02], [1.0]))
    >>> round(complex(found.string).imag, 2)
    0.64
    """
    start = two_root(notes.damped, notes.pull, notes.length, notes.harmonic, ends)
    if not exact:
        return start
    full = notes.pull * (1 + 1j * notes.loss)
    root = string_roots(start.string, notes.slowness, full, notes.length, ends, start.mode)
    return replace(start, string=root)


def lost_by(notes: Notes, ends: EndModes, root: ComplexArray) -> tuple[Array, Array]:
    """Loss factor of each note by cause, from the energies of its damped motion at the complex pitch `root`
    (rad/s).

    Derived: multiply the equations of motion by the conjugate motion: 2 w_r sigma m = eta k + w_r sum(eta_k
    w_k |p_k|^2), with m = mu int |y|^2 + sum |p_k|^2 and k = T int |y'|^2. Dividing by w_r |w| m gives the
    loss factor as a sum over causes, without approximation. What a mode loses is split between fret and
    bridge as the squares of its shape there. Returns causes (4, ...) air, string, fret end, bridge end, and
    per mode (..., N). Their sums equal 2 Im(root)/|root| if the root is right.

    >>> notes, ends = Notes(100.0, 0.65, 70.0, 0.0, 1e-3), EndModes([600.0], [0.02], [1.0])
    >>> lost_by(notes, ends, solve(notes, ends).string)[0].round(4).tolist()
    [0.0, 0.0009, 0.0011, 0.0]
    """
    shape, string_mass, string_stiffness = string_shape(root, notes.slowness, notes.pull, notes.length, ends,
                                                        notes.loss)
    moving = np.abs(shape) ** 2                                                       # |p_k|^2
    size, whole = np.abs(root), string_mass + np.sum(moving, axis=-1)
    by_mode = moving * ends.eta * ends.omega / (size * whole)[..., None]
    fret, bridge = ends.fret**2, ends.bridge**2
    at_fret = np.sum(by_mode * fret / np.maximum(fret + bridge, 1e-300), axis=-1)
    per_loss = string_stiffness / (np.real(root) * size * whole)
    at_bridge = np.sum(by_mode, axis=-1) - at_fret
    return np.stack([notes.air * per_loss, notes.own * per_loss, at_fret, at_bridge]), by_mode
