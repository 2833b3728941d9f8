"""How far the modes of an instrument move when another neck is put into it, by the first-order rule.

Rayleigh's quotient with the base instrument's own shapes: f^2 = f0^2 (1 + change of elastic energy) / (1 +
change of kinetic energy). Exact for small changes; 3 % off for a spruce neck beside maple (tests). Source:
any text on vibration.
"""

from __future__ import annotations

import numpy as np

from tonewood.draws import Array
from tonewood.neck.design import Design
from tonewood.remember import remember


@remember(64)
def _base_modes(base: Design, count: int, on: tuple[float, ...]) -> tuple[Array, Array, Array, Array, Array]:
    """Of the base instrument: frequencies (K,); what stiffness and mass per length at stations `on` count in
    each mode's elastic and kinetic energy, (n, K) each; share (K, E) of either in the neck's elements."""
    from tonewood.sound.beam import element_energies
    from tonewood.sound.instrument import Instrument, instrument_beam
    from tonewood.sound.modes import modes

    whole = Instrument(base.neck())
    beam, found = instrument_beam(whole, twist=False), modes(whole, count, 0)
    nodes = np.stack([found.shape, found.slope], -1).reshape(count, -1).T
    bent = element_energies(beam, nodes, np.eye(count))[0] / (2 * np.pi * found.frequency) ** 2
    middle = (beam.x[1:] + beam.x[:-1]) / 2
    squares = found.shape**2
    moved = beam.mass_per_length * beam.h * (squares[:, 1:] + squares[:, :-1]
                                             + 4 * found.shape_at(middle) ** 2) / 6
    neck = (middle > 0) & (middle < whole.start)
    bent, moved = bent.T[:, neck], moved[:, neck]
    take = np.array([np.interp(middle[neck], on, line) for line in np.eye(len(on))])
    return (found.frequency, take @ (bent / beam.EI[neck]).T, take @ (moved / beam.mass_per_length[neck]).T,
            bent, moved)


def shifted_modes(base: Design, count: int, EI: Array, mass: Array, on: Array) -> Array:
    """Frequencies (D, count), Hz, of the first bending modes of an instrument whose neck has stiffness EI (D,
    n), N m2, and mass per length (D, n), kg/m, at stations `on` (n,), m; all else as the base design.

    >>> from tonewood.neck.design import example_design
    >>> from tonewood.neck.section.section import section
    >>> base = example_design()
    >>> s = section(base.neck(), base.neck().stations(12))
    >>> shifted_modes(base, 2, s.EI[None], s.mass_per_length[None], s.x).round().tolist()
    [[63.0, 262.0]]
    """
    if not count:
        return np.zeros((len(EI), 0))
    f, stiffer, heavier, bent, moved = _base_modes(base, count, tuple(on.tolist()))
    return f * np.sqrt((1 - bent.sum(-1) + EI @ stiffer) / (1 - moved.sum(-1) + mass @ heavier))
