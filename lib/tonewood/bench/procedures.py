"""What a bench job would read on a neck, by the job's own procedure: blank on the scale and over two sticks,
glued strip in a dry room, twist from misread grain, place of a dead note.

Necks may carry draws, results then do. Model: beam theory and the models they call.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from tonewood import checks
from tonewood.bench.measure import shear_share
from tonewood.draws import Array, Draws
from tonewood.neck.design import Design
from tonewood.neck.layup.neck import Neck
from tonewood.neck.seasons.eigenstrain import stack
from tonewood.neck.section.stations import AtStations
from tonewood.neck.section.twist import between
from tonewood.wood.board import Board

STRIP, STRIP_LENGTH = 0.003, 0.400
"""Thickness of each of the two layers of the strip and its length, m."""


def blank_weight(neck: Neck, length: float, thickness: float) -> Draws:
    """Weight (kg) of the stripes glued to a rectangular blank of this length and thickness (m), no channel,
    no fretboard. Definition. Raises ValueError.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> round(blank_weight(example_neck(), 0.75, 0.022), 3)
    0.688
    """
    checks.length("length of the blank", length, high=2.0)
    checks.length("thickness of the blank", thickness, high=0.1)
    return sum(s.board.rho * s.width for s in neck.layup.stripes) * thickness * length


def blank_sag(neck: Neck, load: float, span: float, thickness: float) -> Draws:
    """Sag (m) in the middle of the same blank on two supports `span` (m) apart under `load` (N) hung there,
    fretboard side up. Source: beam theory with shear, as bench.measure.bend_modulus. Raises ValueError.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> round(float(1e3 * blank_sag(example_neck(), 98.1, 0.7, 0.022)), 2)
    0.91
    """
    checks.number("load", load, 0.0, 2000.0, "N", open_low=True)
    checks.length("span", span, high=3.0)
    checks.length("thickness of the blank", thickness, high=0.1)
    E, G = (sum(getattr(s.board, name) * s.width for s in neck.layup.stripes) for name in ("E_x", "G_xz"))
    return load * span**3 / (4 * thickness**3 * E) * (1 + shear_share(span / thickness, E / G))


def strip_bow(neck: Neck, stripes: Sequence[int], change: float) -> Draws:
    """Bow (m) over STRIP_LENGTH of a strip of neck wood glued on fretboard wood after a moisture change
    (fraction), plus when hollow on the fretboard side: the mean over these stripes (numbers from 0). Source:
    two-layer strip, seasons.eigenstrain. Raises ValueError.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> round(1e3 * float(strip_bow(example_neck(), [0], -0.02)), 3)
    -0.0
    """
    if not neck.fretboard.layers:
        raise ValueError("strip of neck wood on fretboard wood: a neck without a fretboard given; accepted: "
                         "one with a fretboard")
    board, bows = neck.fretboard.layers[0].board, []
    checks.moisture_change("change of moisture", change)
    for i in (checks.whole("stripe, counted from 0", stripe, 0, len(neck.layup.stripes) - 1)
              for stripe in stripes):
        two = (neck.pieces[i], board)
        free = np.stack([b.swelling_xyz[..., 0, 0] * change for b in two], -1)
        bent, _ = stack([STRIP, STRIP], 0.020, np.stack([b.E_x for b in two], -1), free)
        bows.append(-bent.curvature[..., 0] * STRIP_LENGTH**2 / 8)
    return np.asarray(np.mean(bows, axis=0))


def misread_twist(here: AtStations, change: Array, misread: Mapping[tuple[str, int], Array]) -> Array:
    """Height (D, T), m, by which the treble edge of the last fret comes to stand above the bass edge.

    here: a neck of single values at stations (with some close to the body on either side, as movement has
    them); change (D, T, P): moisture change of every piece. misread:
    {('run_out' or 'slope', stripe): (D,)}, by how much its grain lies off the drawing's (rad); small, so that
    each stripe's own unit twist counts (section.torsion). Swelling as published. Raises ValueError.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> from tonewood.neck.section.stations import at_stations
    >>> here = at_stations(example_neck(), example_neck().stations(8))
    >>> dried = np.full((1, 1, 2), -0.02)
    >>> round(1e3 * float(misread_twist(here, dried, {("slope", 0): np.array([0.0175])})[0, 0]), 2)
    0.19
    """
    neck, x, step = here.neck, here.x, 0.01
    change = np.asarray(checks.moisture_change("change of moisture", change))
    free = np.ones(len(x)) if neck.body_start is None else (x <= neck.body_start).astype(float)

    def unit(board: Board, piece: int) -> float:
        """Twist (rad) of the last fret for one unit of moisture in one piece."""
        shears = [here.per_region([2 * board.swelling_xyz[axis, 0] if k == piece else 0.0
                                   for k in range(len(neck.pieces))], lambda bar: 0.0) for axis in (1, 2)]
        rate = here.torsion.twist_rate(*shears) * free
        return float(between(x, rate, float(neck.fret(1)), neck.end))

    total = np.einsum("p,dtp->dt", np.array([unit(b, i) for i, b in enumerate(neck.pieces)]), change)
    for (slant, i), off in misread.items():
        board = neck.pieces[i]
        up, down = (unit(replace(board, **{slant: getattr(board, slant) + way}), i) for way in (step, -step))
        total = total + (off * (up - down) / (2 * step))[:, None] * change[..., i]
    return float(neck.outline.width(neck.end)) * np.tan(total)


def dead_fret(design: Design, neck: Neck, string: int) -> Draws:
    """Fret (with fractions) at which a string dies soonest against the frets beside it. string: counted from
    the thinnest, from 1; neck: the design's, with draws or not. Its place on the middle instrument is carried
    along with the mode that makes it, one fret a semitone. Raises ValueError. Source: sound.decay,
    sound.dead_notes.

    >>> from tonewood.neck.design import example_design
    >>> round(float(dead_fret(example_design(), example_design().neck(), 4)))
    10
    """
    from tonewood.sound.decay import decay
    from tonewood.sound.instrument import Instrument
    from tonewood.sound.modes import modes

    strings, middle = design.string_set(), Instrument(design.neck())
    row = len(strings) - checks.whole("string, counted from the thinnest", string, 1, len(strings))
    found = decay(middle, strings, 0.0, design.setup(), modes=modes(middle, 6, 0))
    fret = int(np.argmax((1 / found.t60 - 1 / found.beside)[row, 1:])) + 1
    k = int(found.mode[row, fret])
    drawn = modes(Instrument(neck), 6, 0).all_at(0.0)[1][..., k]
    return fret + 12 * np.log2(drawn / found.mode_frequency[k])
