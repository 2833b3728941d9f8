"""The regions of a laminated section and their area moments: geometry alone, found once, whatever wood is in
it.

Regions: each stripe, the solid and slotted rows of each layer of the fretboard (without one, the slotted top
of each stripe), each bar; the rod channel is left out. Fret-slot model: this project's fit to its own plane
orthotropic finite-element runs (rms 0.018 in E_open/E), an estimate with a shown range.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from tonewood import checks
from tonewood.draws import Array, Draws, smooth
from tonewood.neck.layup.neck import edges_at
from tonewood.neck.section.polygons import leaning_stripes
from tonewood.remember import remember

NODES, WEIGHTS = np.polynomial.legendre.leggauss(14)


@dataclass(frozen=True, kw_only=True)
class Regions:
    """Area moments of every region at every station. R regions, S stations.

    names: R labels; piece: index into neck.pieces for wood, -1 - k for bar k; slotted: indices of what
    the fret slots cut, or None. area (m2), Sy = ∫y dA, Sz = ∫z dA (m3), Syy, Szz, Syz (m4), all (R, S), about
    y = 0 and the glue line z = 0.
    """

    x: Array
    names: tuple[str, ...]
    piece: tuple[int, ...]
    slotted: tuple[int, ...] | None
    area: Array
    Sy: Array
    Sz: Array
    Syy: Array
    Szz: Array
    Syz: Array

    @cached_property
    def integrals(self) -> Array:
        """area, Sy, Sz, Syy, Szz, Syz in that order, (6, R, S)."""
        return np.stack([self.area, self.Sy, self.Sz, self.Syy, self.Szz, self.Syz])


@remember(128)
def area_moments(geometry: Any, stations: tuple[float, ...]) -> Regions:
    """Regions of a geometry (see Neck.geometry) at stations (S,), m; kept, since a figure asks for the same
    shape again and again.

    >>> from tonewood.neck.layup.neck import Back, Outline
    >>> block = ((0.06,), Outline(), Back("D"), 0.006, 0.0025, None, ())
    >>> area_moments(block, (0.0, 0.2)).names
    ('stripe 1', 'fretboard, solid layer', 'fretboard, slotted layer')
    """
    widths, outline, back, _, slot_depth, channel, bars, *more = geometry
    lines = more[:1] if more and any(map(any, more[0])) else []
    x = np.array(stations)
    a, b = outline.width(x) / 2, back.depth(x)
    edges = np.concatenate([[0.0], np.cumsum(widths)]) - sum(widths) / 2
    sides = [0.0] if channel is None else [0.0, -channel.width / 2, channel.width / 2]
    for bar in bars:
        sides += [bar.offset - bar.width / 2, bar.offset + bar.width / 2]
    cuts = np.unique(np.round([*edges, *sides], 9))
    mid = (cuts[1:] + cuts[:-1]) / 2                                  # (K,) which part a column belongs to
    stripe = np.clip(np.searchsorted(edges, mid) - 1, 0, len(widths) - 1)
    bar_of = np.full(len(mid), -1)
    for k, bar in enumerate(bars):
        bar_of[np.abs(mid - bar.offset) < bar.width / 2] = k
    in_channel = np.zeros(len(mid), bool) if channel is None else np.abs(mid) < channel.width / 2

    # y = a sin(t) removes the vertical tangent of the back at the edge from the quadrature.
    t = np.arcsin(np.clip(cuts[None, :] / a[:, None], -1, 1))          # (S, K+1)
    half, centre = np.diff(t) / 2, (t[:, 1:] + t[:, :-1]) / 2
    t = centre[..., None] + half[..., None] * NODES                    # (S, K, G)
    y = a[:, None, None] * np.sin(t)
    dy = a[:, None, None] * np.cos(t) * half[..., None] * WEIGHTS
    floor = back.surface(y, a[:, None, None], b[:, None, None])

    def moments(bottom: Draws, top: Draws) -> Array:
        """Area moments (6, S, K) of columns between two surfaces that never go below the back."""
        bottom, top = np.maximum(bottom, floor), np.maximum(top, floor)
        m0, m1, m2 = (top - bottom) * dy, (top**2 - bottom**2) / 2 * dy, (top**3 - bottom**3) / 3 * dy
        return np.stack([f.sum(-1) for f in (m0, y * m0, m1, y * y * m0, m2, y * m1)])

    wood = moments(floor, 0.0)
    open_here = np.zeros(len(x), bool)
    if channel is not None:
        open_here = (x >= channel.start - 1e-12) & (x <= channel.end + 1e-12)
        wood = wood - moments(-channel.depth, -channel.below) * (open_here[:, None] & in_channel[None, :])
    bar_parts = []
    for k, bar in enumerate(bars):
        here = moments(-bar.below - bar.depth, -bar.below) * (bar_of == k)[None, :]
        wood = wood - here
        bar_parts.append((f"bar {k + 1}", -1 - k, here.sum(-1)))
    if lines:
        leans, tapers = lines[0]
        aslant = edges_at(widths, (), tapers, x), leans or [0.0] * len(tapers), open_here
        stripes = leaning_stripes(geometry, x, *aslant)
    else:
        stripes = [(wood * (stripe == i)).sum(-1) for i in range(len(widths))]
    rows, slotted = fretboard_rows(geometry)
    in_slots: list[Array] = []
    if slotted and not rows:                                # no fretboard: the slots cut the stripes
        upper = moments(-slot_depth, 0.0)
        in_slots = leaning_stripes(geometry, x, *aslant, -slot_depth) if lines else [
            (upper * (stripe == i)).sum(-1) for i in range(len(widths))]
        stripes = [whole - part for whole, part in zip(stripes, in_slots, strict=True)]
    found = [(f"stripe {i + 1}", i, part) for i, part in enumerate(stripes)]
    found += [(f"stripe {i + 1}, slotted layer", i, part) for i, part in enumerate(in_slots)]
    for layer, low, high in rows:
        h, zero = high - low, np.zeros_like(a)
        kind = "slotted" if slotted and len(found) in slotted else "solid"
        name = f"{kind} layer" if len(more) < 2 else f"layer {layer + 1}, {kind}"
        found.append((f"fretboard, {name}", len(widths) + layer, np.stack(
            [2 * a * h, zero, a * (high**2 - low**2), 2 * a**3 / 3 * h, 2 * a * (high**3 - low**3) / 3,
             zero])))
    names, piece, parts = zip(*found, *bar_parts, strict=True)
    integrals = np.stack(parts, 1)                                     # (6, R, S)
    for array in (x, integrals):
        array.setflags(write=False)
    area, Sy, Sz, Syy, Szz, Syz = integrals
    return Regions(x=x, names=names, piece=piece, slotted=slotted, area=area, Sy=Sy, Sz=Sz, Syy=Syy, Szz=Szz,
                   Syz=Syz)


def fretboard_rows(geometry: Any) -> tuple[list[tuple[int, float, float]], tuple[int, ...] | None]:
    """The rows of wood in the fretboard from the neck upwards, (layer, its low and high side in m), none
    without a fretboard; and the numbers of the regions that fret slots cut, None without slots. Regions count
    the stripes, the stripes' slotted tops where there is no fretboard, these rows, then the bars.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> fretboard_rows(example_neck().geometry)
    ([(0, 0.0, 0.0035), (0, 0.0035, 0.006)], (2,))
    """
    widths, _, _, thickness, slot_depth, _, _, *more = geometry
    if thickness == 0:
        return [], tuple(range(len(widths), 2 * len(widths))) if slot_depth > 0 else None
    faces = [0.0, *np.cumsum(more[1] if len(more) > 1 else ()).tolist(), thickness]
    floor = thickness - slot_depth
    rows = [(layer, low, high) for layer, pair in enumerate(zip(faces, faces[1:], strict=False))
            for low, high in ((pair[0], min(pair[1], floor)), (max(pair[0], floor), pair[1]))
            if high - low > 1e-9]
    cut = tuple(len(widths) + k for k, (_, low, _) in enumerate(rows) if low > floor - 1e-9)
    return rows, cut if slot_depth > 0 else None


def slot_share(pitch: Draws, depth: float, ratio: Draws, fill: Draws) -> Draws:
    """Share of its modulus that the slotted layer of a fretboard keeps along the neck.

    pitch: local fret spacing (m); depth: of the slots (m); ratio: E/G of the board (lengthwise modulus over
    its shear modulus in the side view); fill: 0 open … 1 bearing tangs, float or (D, 1). All broadcast. A
    dead zone of about four slot depths lies on either side of a slot, which is why it is far more than slot
    width over pitch. Estimated by the fitted model named at the top; use the range of `fill`. Raises
    ValueError.

    >>> round(float(slot_share(0.030, 0.0025, 14.0, 0.0)), 3)
    0.418
    """
    return _kept("ratio E/G", pitch, depth, ratio, fill, 3.8, 14, 0.2)


def slotted_shear(pitch: Draws, depth: float, ratio: Draws, fill: Draws) -> Draws:
    """Share of its shear stiffness that the slotted layer keeps in torsion.

    pitch, depth (m) of the slots; ratio: G_xy/G_yz of the board; fill: 0 open … 1 tangs that bear fully. All
    broadcast. Estimated: fit to this project's plane finite elements of a twisted board with slots, pitch
    13-35 mm, depth 2-3.5 mm, ratio 1-8: rms 0.015, worst 0.04. Raises ValueError.

    >>> round(float(slotted_shear(0.030, 0.0025, 3.2, 0.0)), 3)
    0.781
    """
    return _kept("ratio of shear moduli", pitch, depth, ratio, fill, 1.315, 3.2, 0.45)


def _kept(of: str, pitch: Draws, depth: float, ratio: Draws, fill: Draws, reach: float, at: float,
          power: float) -> Draws:
    """Share kept between slots that reach `reach` (ratio / at)^power of their depth to either side: 1 -
    tanh(k) / k of half their distance over that, growing to 1 with `fill`."""
    deep = checks.length("fret slot depth", depth, high=0.05)
    half = checks.number("fret spacing", pitch, 0.0, unit="m", open_low=True) / (2 * reach * deep)
    ratio = checks.number(of, ratio, 0.0, 1000.0, open_low=True)
    fill = checks.fraction("slot fill", fill)

    def kept(less: Any) -> Any:
        return 1 - np.tanh(half * less) / (half * less)

    less = (ratio / at) ** -power
    drawn = np.ndim(half) == 1 and np.shape(less)[1:] == (1,)
    return (smooth(kept, less) if drawn else kept(less)) * (1 - fill) + fill


def weighted(values: Array, moments: Array, slotted: int | Sequence[int] | None = None, factor: Draws = 1.0
             ) -> Array:
    """Sum over regions of value x moment at every station: (R,) or (D, R) with (R, S) gives (S,) or (D, S),
    with several moments (K, R, S) one such sum each, (K, S) or (K, D, S).

    `factor` (S,) or (D, S) multiplies the region or regions `slotted`.

    >>> weighted(np.array([2.0, 3.0]), np.array([[1.0], [10.0]]), 1, np.array([0.5])).tolist()
    [17.0]
    """
    if slotted is None:
        return values @ moments
    cut = np.atleast_1d(slotted)
    if np.ndim(factor) < 2:
        moments = np.array(moments)
        moments[..., cut, :] *= factor
        return values @ moments
    off = np.asarray(factor) - 1
    values = np.broadcast_to(values, (len(off), values.shape[-1]))
    total, work = values @ moments, np.empty_like(off)
    if one := len(cut) == 1:
        off *= values[:, cut]
    for found, moment in zip(total, moments, strict=True) if moments.ndim == 3 else [(total, moments)]:
        if moment[cut].any():                               # in place: fresh memory costs more than the sums
            found += np.multiply(off, moment[cut] if one else values[:, cut] @ moment[cut], out=work)
    return total
