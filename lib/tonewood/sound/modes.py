"""How the whole instrument vibrates by itself, hanging free: frequencies, shapes, losses.

The instrument is a free-free beam (sound.beam): nothing clamps a guitar, the body moves too. Bending normal
to the fretboard and twist about the neck are solved; the section is taken as symmetric, so the two do not
mix.

For many draws the equations are not solved anew for each (Rayleigh-Ritz): the modes of three beams, the
middle one and the softest and stiffest twentieth, are the only shapes allowed, and each draw solves a small
matrix. Frequencies so found lie above those of a full solve by an error of second order; tests hold it below
0.03 % for the stiffness spread of natural wood (0.3 % with twenty modes of the middle beam alone).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import ArrayLike

from tonewood import checks
from tonewood.draws import Array, Draws, band
from tonewood.neck.section.damping import loss_factor
from tonewood.sound.beam import Beam, deflection_shape, element_energies, full_matrices, locate, reduced
from tonewood.sound.instrument import Instrument, instrument_beam

if TYPE_CHECKING:
    import pandas

LIMITS = (0.05, 0.95)          # quantiles of the draws whose modes join the basis


@dataclass(frozen=True, kw_only=True)
class Modes:
    """Bending and twisting modes of a free instrument.

    frequency (..., K) Hz and loss_factor (..., K) of the elastic bending modes, rising; a leading D axis if
    there are draws. shape, slope (..., K, n + 1): mass-normalised deflection (kg^-1/2) and rotation (kg^-1/2
    / m) at the nodes x (m). mass (kg), centre (m from the nut), inertia (kg m2 about the centre): the
    instrument as a rigid body, (...,). energy_share, loss_share (..., C, K): part of each mode's energy and
    of its loss factor by cause, in the order of causes. twist_*: torsional modes; twist_shape is
    mass-normalised rotation (kg^-1/2 / m); polar_inertia (kg m2). None if twist was not asked.
    """

    frequency: Array
    loss_factor: Array
    x: Array
    shape: Array
    slope: Array
    mass: Draws
    centre: Draws
    inertia: Draws
    causes: tuple[str, ...]
    energy_share: Array
    loss_share: Array
    twist_frequency: Array | None = None
    twist_loss: Array | None = None
    twist_shape: Array | None = None
    polar_inertia: Draws | None = None

    @property
    def draws(self) -> int | None:
        """Number of draws, or None."""
        return None if np.ndim(self.frequency) == 1 else len(self.frequency)

    def shape_at(self, x: ArrayLike) -> Array:
        """Mass-normalised deflection (..., K, *x.shape), kg^-1/2, of the elastic bending modes at places x
        (m). Raises ValueError off the instrument."""
        e, t = locate(self.x, x)
        h, N = self.x[e + 1] - self.x[e], deflection_shape(t, 0.0)
        return (N[..., 0] * self.shape[..., e] + N[..., 1] * h * self.slope[..., e]
                + N[..., 2] * self.shape[..., e + 1] + N[..., 3] * h * self.slope[..., e + 1])

    def all_at(self, x: ArrayLike, y: ArrayLike = 0.0) -> tuple[Array, Array, Array]:
        """Every way the instrument can move under a force normal to the fretboard at (x, y), y from the
        centre line (m), x and y broadcast.

        Returns shape (..., N, *place), frequency (..., N) Hz, loss_factor (..., N): two rigid motions (and a
        third, roll) with frequency 0, then the bending and the twisting modes. Mobility, decay and plucking
        all work from these three arrays.
        """
        x, y = (np.asarray(v, float) for v in np.broadcast_arrays(x, y))
        lead = np.shape(self.frequency)[:-1]

        def at_places(rigid: Any) -> Array:
            return np.asarray(rigid)[(...,) + (None,) * x.ndim]

        rigid = [1 / np.sqrt(at_places(self.mass)),
                 (x - at_places(self.centre)) / np.sqrt(at_places(self.inertia))]
        shapes, frequencies, losses = [self.shape_at(x)], [self.frequency], [self.loss_factor]
        if self.twist_frequency is not None and self.twist_shape is not None and self.twist_loss is not None:
            rigid.append(y / np.sqrt(at_places(self.polar_inertia)))
            e, t = locate(self.x, x)
            shapes.append(y * ((1 - t) * self.twist_shape[..., e] + t * self.twist_shape[..., e + 1]))
            frequencies.append(self.twist_frequency)
            losses.append(self.twist_loss)
        axis = -1 - x.ndim
        still = np.stack([np.broadcast_to(v, lead + x.shape) for v in rigid], axis=axis)
        zero = np.zeros(lead + (len(rigid),))
        return (np.concatenate([still, *shapes], axis), np.concatenate([zero, *frequencies], -1),
                np.concatenate([zero, *losses], -1))

    def table(self) -> pandas.DataFrame:
        """One row per mode: kind, frequency (Hz) and loss factor, middle and 90 % band if there are draws,
        largest cause of loss."""
        import pandas as pd
        rows = []
        kinds: dict[str, tuple[Any, Any]] = {"bending": (self.frequency, self.loss_factor)}
        if self.twist_frequency is not None:
            kinds["twist"] = self.twist_frequency, self.twist_loss
        for kind, (frequency, loss) in kinds.items():
            for k in range(frequency.shape[-1]):
                row: dict[str, Any] = {"mode": f"{kind} {k + 1}"}
                for name, value in (("frequency [Hz]", frequency), ("loss factor", loss)):
                    low, row[name], high = band(value[..., k])
                    if self.draws:
                        row[f"5 %: {name}"], row[f"95 %: {name}"] = low, high
                if kind == "bending":
                    share = np.reshape(self.loss_share[..., k], (-1, len(self.causes))).mean(axis=0)
                    row["most lost in"] = self.causes[int(np.argmax(share))]
                rows.append(row)
        return pd.DataFrame(rows)


def modes(instrument: Instrument, count: int = 8, twist: int = 4, direction: str = "normal") -> Modes:
    """Modes of an Instrument (draws allowed). Returns Modes: frequencies in Hz, loss factors, shapes.

    count, twist: how many bending and twisting modes; direction: "normal" to the fretboard or "in-plane"
    (sideways, no twist). Model: see sound.instrument. Raises ValueError.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> modes(Instrument(example_neck()), 2, 1).frequency.round().tolist()
    [52.0, 208.0]
    """
    twist = checks.whole("twisting modes", twist, 0)
    beam = instrument_beam(instrument, twist=twist > 0, direction=direction)
    return beam_modes(beam, count, twist, instrument.added_loss)


def beam_modes(beam: Beam, count: int = 8, twist: int = 4, added_loss: float = 0.0) -> Modes:
    """Modes of a Beam. Returns Modes: frequencies in Hz, loss factors, shapes.

    count: elastic bending modes wanted; twist: twisting modes wanted (0, or a beam without GJ, gives none).
    added_loss: loss factor added to every mode for what the beam does not contain (joints, hardware, hands).
    Raises ValueError for more modes than the elements can carry, or a loss factor outside 0..1.

    >>> beam_modes(Beam(np.linspace(0, 1, 41), 100.0, 1.0), 2).frequency.round(2).tolist()
    [35.61, 98.16]
    """
    count = checks.whole("bending modes", count, 1, len(beam.x) - 2)
    twist = checks.whole("twisting modes", twist, 0, len(beam.x) - 2)
    loss_factor("added loss factor", added_loss)
    lines = np.zeros((2 * len(beam.x), 2))                                     # the rigid motions, exactly
    lines[0::2, 0], lines[0::2, 1], lines[1::2, 1] = 1.0, beam.x, 1.0
    rigid_mass = reduced(beam, lines)[1]
    mass = rigid_mass[..., 0, 0]
    centre = rigid_mass[..., 0, 1] / mass
    if beam.draws is None:
        square, vectors = _elastic(beam, count)
        coefficients = np.eye(count)
    else:
        few = min(count + 3, 2 * len(beam.x) - 3)
        groups = [_elastic(beam.middle(at), few)[1] for at in (None, *LIMITS)]
        vectors = _independent(beam.middle(), [lines, *groups])
        square, coefficients = (v[..., 2:count + 2] for v in _small(*reduced(beam, vectors)))
    nodal = vectors @ coefficients                                             # (..., 2(n + 1), K)
    nodal = nodal * np.where(nodal[..., :1, :] < 0, -1.0, 1.0)                 # the head end always moves up
    energy, loss = _where_lost(beam, *element_energies(beam, vectors, coefficients))
    eta = np.sum(loss, axis=-2) + added_loss
    names = tuple(c.name for c in beam.causes)
    if added_loss:
        names += ("joints, hardware, hands",)
        loss = np.concatenate([loss, np.full_like(loss[..., :1, :], added_loss)], axis=-2)
        energy = np.concatenate([energy, np.zeros_like(energy[..., :1, :])], axis=-2)
    if np.any(eta >= 1):
        raise ValueError(f"loss factor of a mode: {np.max(eta):g} found; accepted: below 1. The added loss "
                         f"factor is {added_loss:g}")
    return Modes(frequency=np.sqrt(square) / (2 * np.pi), loss_factor=eta, x=beam.x,
                 shape=np.swapaxes(nodal[..., 0::2, :], -1, -2),
                 slope=np.swapaxes(nodal[..., 1::2, :], -1, -2), mass=mass, centre=centre,
                 inertia=rigid_mass[..., 1, 1] - mass * centre**2, causes=names,
                 energy_share=energy, loss_share=loss / np.where(eta > 0, eta, 1.0)[..., None, :],
                 **_twist(beam, twist, added_loss))


def _elastic(beam: Beam, count: int) -> tuple[Array, Array]:
    """Squared frequencies (rad2/s2) and mass-normalised vectors of the lowest elastic modes of one beam."""
    from scipy.linalg import eigh
    return eigh(*full_matrices(beam), subset_by_index=[2, count + 1], overwrite_a=True, overwrite_b=True)


def _independent(beam: Beam, groups: list[Array]) -> Array:
    """Mass-orthonormal vectors spanning all groups; directions that add less than 1e-9 of a unit are dropped.
    """
    vectors = np.concatenate(groups, axis=1)
    M = reduced(beam, vectors)[1]
    scale = 1 / np.sqrt(np.diag(M))
    value, turn = np.linalg.eigh(M * np.outer(scale, scale))
    keep = value > 1e-9
    return (vectors * scale) @ (turn[:, keep] / np.sqrt(value[keep]))


def _small(stiffness: Array, mass: Array) -> tuple[Array, Array]:
    """Eigenvalues (D, K) and mass-normalised vectors of many small symmetric pairs."""
    root = np.linalg.inv(np.linalg.cholesky(mass))
    value, vector = np.linalg.eigh(root @ stiffness @ np.swapaxes(root, -1, -2))
    return value, np.swapaxes(root, -1, -2) @ vector


def _where_lost(beam: Beam, bending: Array, shear: Array) -> tuple[Array, Array]:
    """Energy share and contribution to the loss factor by cause, (..., C, K) each, from energies (..., n, K).
    """
    def by_cause(shares: list[Draws], energy: Array) -> Array:
        even = np.ones(len(beam.h))
        return np.stack(np.broadcast_arrays(*(share * even for share in shares)), axis=-2) @ energy

    def factors(losses: list[Draws]) -> Array:
        return np.stack(np.broadcast_arrays(*losses), axis=-1)[..., None]

    causes, total = beam.causes, np.sum(bending + shear, axis=-2)[..., None, :]
    b = by_cause([c.bending_share for c in causes], bending) / total
    s = by_cause([c.shear_share for c in causes], shear) / total
    return b + s, factors([c.bending_loss for c in causes]) * b + factors([c.shear_loss for c in causes]) * s


def _twist(beam: Beam, count: int, added_loss: float) -> dict[str, Any]:
    """Torsional modes from two-node rods: the fields twist_* and polar_inertia of Modes."""
    if count == 0 or beam.GJ is None or beam.polar is None:
        return {}
    from scipy.linalg import eigh
    size = len(beam.x)
    lumps = np.zeros((size, size))
    for lump in beam.lumps:
        e, t = locate(beam.x, lump.x)
        lumps[e:e + 2, e:e + 2] += lump.polar * np.outer([1 - t, t], [1 - t, t])

    def matrices(GJ: Any, polar: Any, basis: Array) -> tuple[Array, ...]:
        """Stiffness and mass projected on nodal rotations (n + 1, K)."""
        def summed(values: Array, of_elements: Array) -> Array:
            return (of_elements.T * values[..., None, :]) @ of_elements

        left, right, sixth = basis[:-1], basis[1:], polar * beam.h / 6
        mass = summed(sixth, left + right) + summed(sixth, left) + summed(sixth, right)
        return np.broadcast_arrays(summed(GJ / beam.h, right - left), mass + basis.T @ lumps @ basis)

    wanted = min(count if beam.draws is None else 3 * count, size - 2)
    mean = beam.middle()
    square, shape = eigh(*matrices(mean.GJ, mean.polar, np.eye(size)), subset_by_index=[1, wanted])
    if beam.draws is not None:
        basis = np.concatenate([np.ones((size, 1)), shape], axis=1)
        square, small = _small(*matrices(beam.GJ, beam.polar, basis))
        square, shape = square[..., 1:count + 1], basis @ small[..., 1:count + 1]
    energy = (beam.GJ / beam.h)[..., None] * np.diff(shape, axis=-2) ** 2
    lost = np.sum(np.broadcast_to(beam.torsion_loss, beam.GJ.shape)[..., None] * energy, axis=-2)
    return {"twist_frequency": np.sqrt(square) / (2 * np.pi), "twist_shape": np.swapaxes(shape, -1, -2),
            "twist_loss": lost / np.sum(energy, axis=-2) + added_loss,
            "polar_inertia": np.sum(beam.polar * beam.h, axis=-1) + np.sum(lumps)}
