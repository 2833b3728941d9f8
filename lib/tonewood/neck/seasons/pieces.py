"""Moisture of the pieces of a neck, and what it does to their modulus.

Source of the stiffening: wood.moisture.modulus_at, the handbook's law for each wood.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from tonewood import checks
from tonewood.draws import Array, Draws
from tonewood.neck.layup.neck import Neck
from tonewood.neck.section.stations import AtStations
from tonewood.neck.section.twist import beside
from tonewood.wood.moisture import modulus_at

Moisture = Draws | Sequence[Draws]
"""Moisture of the pieces of a neck, fractions: see piece_moisture for the forms."""


def piece_moisture(neck: Neck, value: Moisture, name: str = "moisture content") -> Array:
    """Moisture of every piece: (P,), (D, P) or (D, T, P).

    value: one fraction for all pieces; a (D,) array of draws for all pieces; a list with one entry (fraction,
    (D,) or (D, T) array) for every piece in the order of neck.pieces, stripes from bass to treble, then the
    fretboard; or what this function returns. Raises ValueError.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> piece_moisture(example_neck(), [0.08, 0.06]).tolist()
    [0.08, 0.06]
    """
    pieces, stripes, top = neck.pieces, len(neck.layup.stripes), neck.fretboard
    if isinstance(value, (list, tuple)):
        if len(value) != len(pieces):
            raise ValueError(f"{name}: a list of {len(value)} given; accepted: one fraction, or "
                             f"{len(pieces)} of them ({stripes} stripes from bass to treble, then the "
                             "fretboard)")
        entries = list(value)
    else:
        given = np.asarray(value)
        if given.ndim > 1 and (given.ndim > 3 or given.shape[-1] != len(pieces)):
            raise ValueError(f"{name}: an array of shape {given.shape} given; accepted: one fraction, draws "
                             "(D,), or a list with one entry per piece")
        entries = list(np.moveaxis(given, -1, 0)) if given.ndim > 1 else [value] * len(pieces)
    labels = [f"{name} of stripe {i + 1}" for i in range(stripes)] + [
        f"{name} of the fretboard" + f", layer {i + 1}" * bool(top.under) for i in range(len(top.layers))]
    checked = [np.asarray(checks.moisture(label, entry, piece.species.fibre_saturation))
               for label, entry, piece in zip(labels, entries, pieces, strict=True)]
    checks.draw_count(**dict(zip(labels, checked, strict=True)),
                      **{"the neck": neck.draws and np.empty(neck.draws)})
    return np.stack(np.broadcast_arrays(*checked), -1).astype(float)


def moduli_at(here: AtStations, moisture: Array) -> Array:
    """Modulus along the neck (Pa) of every region, (R,) or (D, R), with the pieces at `moisture`, (P,), (D,
    P) or (D, T, P). Raises ValueError.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> from tonewood.neck.section.stations import at_stations
    >>> here = at_stations(example_neck(), [0.2])
    >>> (moduli_at(here, np.array([0.06, 0.06])) / here.moduli).round(3).tolist()
    [1.026, 1.064, 1.064]
    """
    pieces, moisture = here.neck.pieces, np.asarray(checks.moisture("moisture content", moisture))
    return here.per_region([beside(piece.E_x, moisture) * factor for piece, factor in
                            zip(pieces, stiffening(here.neck, moisture), strict=True)],
                            lambda bar: bar.modulus)


def stiffening(neck: Neck, moisture: Array) -> list[Draws]:
    """For each piece, its modulus at `moisture` (a fraction), (P,), (D, P) or (D, T, P), over that at its own
    moisture. Raises ValueError.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> [round(float(r), 3) for r in stiffening(example_neck(), np.array([0.08, 0.06]))]
    [1.0, 1.064]
    """
    moisture = np.asarray(checks.moisture("moisture content", moisture))
    ratios: list[Draws] = []
    known: list[tuple[tuple[float, float], Array, Draws]] = []      # stripes of one wood, all equally moist
    for i, piece in enumerate(neck.pieces):
        law, there = (piece.species.green_ratio, piece.species.mp), moisture[..., i]
        now = next((value for of, at, value in known if of == law and np.array_equal(at, there)), None)
        if now is None:
            now = modulus_at(1.0, law[0], there, law[1])
            known.append((law, there, now))
        ratios.append(now / beside(modulus_at(1.0, law[0], piece.moisture, law[1]), moisture))
    return ratios
