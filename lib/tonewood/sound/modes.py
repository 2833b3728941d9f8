"""How the whole instrument vibrates by itself, hanging free: frequencies, shapes, losses.

The instrument is a free-free beam (sound.beam): nothing clamps a guitar, the body moves too. Bending normal to the fretboard and twist
about the neck are solved; the section is taken as symmetric, so the two do not mix.

For many draws the equations are not solved anew for each (Rayleigh-Ritz): the modes of three beams, the middle one and the softest and
stiffest twentieth, are the only shapes allowed, and each draw solves a small matrix. Frequencies so found lie above those of a full solve by an
error of second order; tests hold it below 0.03 % for the stiffness spread of natural wood (0.3 % with twenty modes of the middle beam alone).
"""

from dataclasses import dataclass

import numpy as np

from tonewood import checks
from tonewood.neck.section.damping import loss_factor
from tonewood.sound import beam as fem

LIMITS = (0.05, 0.95)          # quantiles of the draws whose modes join the basis


@dataclass(frozen=True)
class Modes:
    """Bending and twisting modes of a free instrument.

    frequency (..., K) Hz and loss_factor (..., K) of the elastic bending modes, rising; a leading D axis if there are draws.
    shape, slope (..., K, n + 1): mass-normalised deflection (kg^-1/2) and rotation (kg^-1/2 / m) at the nodes x (m).
    mass (kg), centre (m from the nut), inertia (kg m2 about the centre): the instrument as a rigid body, (...,).
    energy_share, loss_share (..., C, K): part of each mode's energy and of its loss factor by cause, in the order of causes.
    twist_*: torsional modes; twist_shape is mass-normalised rotation (kg^-1/2 / m); polar_inertia (kg m2). Empty if twist was not asked.
    """

    frequency: object
    loss_factor: object
    x: object
    shape: object
    slope: object
    mass: object
    centre: object
    inertia: object
    causes: tuple
    energy_share: object
    loss_share: object
    twist_frequency: object = None
    twist_loss: object = None
    twist_shape: object = None
    polar_inertia: object = None
    added_loss: float = 0.0

    @property
    def draws(self):
        """Number of draws, or None."""
        return None if np.ndim(self.frequency) == 1 else len(self.frequency)

    def shape_at(self, x):
        """Mass-normalised deflection (..., K, *x.shape) of the elastic bending modes at places x (m). Raises ValueError off the instrument."""
        x = np.asarray(checks.number("place on the instrument", x, self.x[0] - 1e-9, self.x[-1] + 1e-9, "m"))
        e = np.clip(np.searchsorted(self.x, x, side="right") - 1, 0, len(self.x) - 2)
        h = self.x[e + 1] - self.x[e]
        N = fem.deflection_shape((x - self.x[e]) / h, 0.0)
        return (N[..., 0] * self.shape[..., e] + N[..., 1] * h * self.slope[..., e]
                + N[..., 2] * self.shape[..., e + 1] + N[..., 3] * h * self.slope[..., e + 1])

    def all_at(self, x, y=0.0):
        """Every way the instrument can move under a force normal to the fretboard at (x, y), y from the centre line (m), x and y broadcast.

        Returns shape (..., N, *place), frequency (..., N) Hz, loss_factor (..., N): two rigid motions (and a third, roll) with frequency 0,
        then the bending and the twisting modes. Mobility, decay and plucking all work from these three arrays.
        """
        x, y = np.broadcast_arrays(np.asarray(x, dtype=float), np.asarray(y, dtype=float))
        grow = (...,) + (None,) * x.ndim
        mass, centre, inertia = (np.asarray(v)[grow] for v in (self.mass, self.centre, self.inertia))
        lead = np.shape(self.frequency)[:-1]
        spread = lambda v: np.broadcast_to(v, lead + x.shape)
        rigid = [spread(1 / np.sqrt(mass)), spread((x - centre) / np.sqrt(inertia))]
        shapes, frequencies, losses = [self.shape_at(x)], [self.frequency], [self.loss_factor]
        if self.twist_frequency is not None:
            rigid.append(spread(y / np.sqrt(np.asarray(self.polar_inertia)[grow])))
            e = np.clip(np.searchsorted(self.x, x, side="right") - 1, 0, len(self.x) - 2)
            t = (x - self.x[e]) / (self.x[e + 1] - self.x[e])
            shapes.append(y * ((1 - t) * self.twist_shape[..., e] + t * self.twist_shape[..., e + 1]))
            frequencies.append(self.twist_frequency)
            losses.append(self.twist_loss)
        axis = -1 - x.ndim
        zero = np.zeros(lead + (len(rigid),))
        return (np.concatenate([np.stack(rigid, axis=axis)] + shapes, axis=axis), np.concatenate([zero] + frequencies, axis=-1),
                np.concatenate([zero] + losses, axis=-1))

    def table(self):
        """One row per mode: kind, frequency (Hz) and loss factor, middle and 90 % band if there are draws, largest cause of loss."""
        import pandas as pd
        rows = []
        kinds = [("bending", self.frequency, self.loss_factor)]
        if self.twist_frequency is not None:
            kinds.append(("twist", self.twist_frequency, self.twist_loss))
        for kind, frequency, loss in kinds:
            for k in range(np.shape(frequency)[-1]):
                row = {"mode": f"{kind} {k + 1}"}
                for name, value in (("frequency [Hz]", frequency[..., k]), ("loss factor", loss[..., k])):
                    low, middle, high = np.percentile(value, [5, 50, 95])
                    row[name] = middle
                    if self.draws:
                        row[f"5 %: {name}"], row[f"95 %: {name}"] = low, high
                if kind == "bending":
                    share = np.reshape(self.loss_share[..., k], (-1, len(self.causes))).mean(axis=0)
                    row["most lost in"] = self.causes[int(np.argmax(share))]
                rows.append(row)
        return pd.DataFrame(rows)


def modes(instrument, count=8, twist=4, direction="normal"):
    """Modes of a sound.instrument.Instrument (draws allowed).

    count, twist: how many bending and twisting modes; direction: "normal" to the fretboard or "in-plane" (sideways, no twist). Returns Modes.
    """
    from tonewood.sound.instrument import instrument_beam
    beam = instrument_beam(instrument, twist=twist > 0, direction=direction)
    return beam_modes(beam, count, twist, instrument.added_loss)


def beam_modes(beam, count=8, twist=4, added_loss=0.0):
    """Modes of a sound.beam.Beam.

    count: elastic bending modes wanted; twist: twisting modes wanted (0, or a beam without GJ, gives none). added_loss: loss factor added to
    every mode for what the beam does not contain (joints, hardware, hands).
    Returns Modes. Raises ValueError for more modes than the elements can carry, or a loss factor outside 0..1.
    """
    count, twist = int(checks.number("bending modes", count, 1, len(beam.x) - 2)), int(checks.number("twisting modes", twist, 0, len(beam.x) - 2))
    loss_factor("added loss factor", added_loss)
    lines = np.zeros((2 * len(beam.x), 2))                                     # the rigid motions, exactly
    lines[0::2, 0], lines[0::2, 1], lines[1::2, 1] = 1.0, beam.x, 1.0
    rigid_mass = fem.reduced(beam, lines)[1]
    mass = rigid_mass[..., 0, 0]
    centre = rigid_mass[..., 0, 1] / mass
    inertia = rigid_mass[..., 1, 1] - mass * centre**2
    if beam.draws is None:
        square, vectors = _elastic(beam, count)
        coefficients = np.eye(count)
    else:
        beams = [beam.middle()] + [beam.middle(q) for q in LIMITS]
        vectors = _independent(beams[0], [lines] + [_elastic(b, min(count + 3, 2 * len(beam.x) - 3))[1] for b in beams])
        square, coefficients = _small(*fem.reduced(beam, vectors))
        square, coefficients = square[..., 2:count + 2], coefficients[..., 2:count + 2]
    nodal = vectors @ coefficients                                             # (..., 2(n + 1), K)
    sign = np.where(np.take_along_axis(nodal[..., 0::2, :], np.zeros(nodal.shape[:-2] + (1, count), int), -2) < 0, -1.0, 1.0)
    nodal = nodal * sign                                                       # the head end moves up in every shape
    energy, loss = _where_lost(beam, vectors, coefficients)
    eta = np.sum(loss, axis=-2) + added_loss
    names = tuple(c.name for c in beam.causes)
    if added_loss:
        names += ("joints, hardware, hands",)
        loss = np.concatenate([loss, np.full_like(loss[..., :1, :], added_loss)], axis=-2)
        energy = np.concatenate([energy, np.zeros_like(energy[..., :1, :])], axis=-2)
    if np.any(eta >= 1):
        raise ValueError(f"loss factor of a mode: {np.max(eta):g} found; accepted: below 1. The added loss factor is {added_loss:g}")
    share = loss / np.where(eta > 0, eta, 1.0)[..., None, :]
    return Modes(np.sqrt(square) / (2 * np.pi), eta, beam.x, np.moveaxis(nodal[..., 0::2, :], -1, -2), np.moveaxis(nodal[..., 1::2, :], -1, -2),
                 mass, centre, inertia, names, energy, share, **_twist(beam, twist, added_loss), added_loss=added_loss)


def _elastic(beam, count):
    """Squared frequencies (rad2/s2) and mass-normalised vectors of the lowest elastic modes of one beam."""
    from scipy.linalg import eigh
    K, M = fem.full_matrices(beam)
    return eigh(K, M, subset_by_index=[2, count + 1], overwrite_a=True, overwrite_b=True)


def _independent(beam, groups):
    """Mass-orthonormal vectors spanning all groups; directions that add less than 1e-9 of a unit are dropped."""
    vectors = np.concatenate(groups, axis=1)
    M = fem.reduced(beam, vectors)[1]
    scale = 1 / np.sqrt(np.diag(M))
    value, turn = np.linalg.eigh(M * np.outer(scale, scale))
    keep = value > 1e-9
    return (vectors * scale) @ (turn[:, keep] / np.sqrt(value[keep]))


def _small(stiffness, mass):
    """Eigenvalues (D, K) and mass-normalised vectors of many small symmetric pairs."""
    root = np.linalg.inv(np.linalg.cholesky(mass))
    value, vector = np.linalg.eigh(root @ stiffness @ np.swapaxes(root, -1, -2))
    return value, np.swapaxes(root, -1, -2) @ vector


def _where_lost(beam, vectors, coefficients):
    """Energy share and contribution to the loss factor by cause, (..., C, K) each."""
    bend, slide, shear_part, _, _ = fem.weights(beam)
    turn, shift = (s @ coefficients for s in fem.strains(fem.element_dofs(beam, vectors), beam.h))      # (..., n, K)
    slid = slide[..., None] * shift**2
    shear = shear_part[..., None] * slid
    bending = bend[..., None] * turn**2 + slid - shear
    total = np.sum(bending + shear, axis=-2)
    elements = lambda share: np.asarray(share, dtype=float) * np.ones(len(beam.h))
    weigh = lambda share, energy: np.sum(elements(share)[..., None] * energy, axis=-2)
    energies, losses = [], []
    for c in beam.causes:
        b, s = weigh(c.bending_share, bending), weigh(c.shear_share, shear)
        over = lambda eta: np.asarray(eta)[..., None]
        energies.append((b + s) / total)
        losses.append((over(c.bending_loss) * b + over(c.shear_loss) * s) / total)
    return np.stack(energies, axis=-2), np.stack(losses, axis=-2)


def _twist(beam, count, added_loss):
    """Torsional modes from two-node rods: the fields twist_* and polar_inertia of Modes."""
    if count == 0 or beam.GJ is None or beam.polar is None:
        return {}
    from scipy.linalg import eigh
    n = len(beam.h)
    mean = beam.middle()
    lumps = np.zeros((n + 1, n + 1))
    for lump in beam.lumps:
        e, t = fem.place(beam, lump.x)
        ends = np.array([1 - t, t])
        lumps[np.ix_([e, e + 1], [e, e + 1])] += lump.polar * np.outer(ends, ends)
    K, M = np.zeros((n + 1, n + 1)), lumps.copy()
    i = np.arange(n)
    for target, factor, table in ((K, mean.GJ / beam.h, [[1, -1], [-1, 1]]), (M, mean.polar * beam.h / 6, [[2, 1], [1, 2]])):
        for a in range(2):
            for b in range(2):
                np.add.at(target, (i + a, i + b), factor * table[a][b])
    wanted = min(count if beam.draws is None else 3 * count, n - 1)
    square, vectors = eigh(K, M, subset_by_index=[1, wanted])
    if beam.draws is None:
        square, shape = square[:count], vectors[:, :count]
    else:
        basis = np.concatenate([np.ones((n + 1, 1)), vectors], axis=1)
        step = basis[1:] - basis[:-1]
        pairs = lambda a, b: (a[:, :, None] * b[:, None, :]).reshape(n, -1)
        left, right = basis[:-1], basis[1:]
        size = basis.shape[1]
        k = (beam.GJ / beam.h @ pairs(step, step)).reshape(-1, size, size)
        m = (beam.polar * beam.h / 6 @ (2 * pairs(left, left) + 2 * pairs(right, right) + pairs(left, right) + pairs(right, left))
             ).reshape(-1, size, size) + basis.T @ lumps @ basis
        square, small = _small(np.broadcast_to(k, (beam.draws, size, size)), np.broadcast_to(m, (beam.draws, size, size)))
        square, shape = square[..., 1:count + 1], basis @ small[..., 1:count + 1]
    energy = (beam.GJ / beam.h)[..., None] * (shape[..., 1:, :] - shape[..., :-1, :]) ** 2
    eta = np.sum(np.broadcast_to(beam.torsion_loss, beam.GJ.shape)[..., None] * energy, axis=-2) / np.sum(energy, axis=-2) + added_loss
    polar = np.sum(beam.polar * beam.h, axis=-1) + np.sum(lumps)
    return {"twist_frequency": np.sqrt(square) / (2 * np.pi), "twist_loss": eta, "twist_shape": np.swapaxes(shape, -1, -2), "polar_inertia": polar}
