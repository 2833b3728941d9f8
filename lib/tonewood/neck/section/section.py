"""Stiffness and mass of the laminated section at any station.

Plane sections and a perfect bond (Euler-Bernoulli beam of several materials). The geometry of a region does not depend on the draws, so its
area moments are found once and a thousand boards cost one matrix product. Source of the sums: composite-beam theory as in any strength-of-materials
text; fret-slot model: this project's fit to its own plane orthotropic finite-element runs (rms 0.018 in E_open/E), an estimate with a shown range.
"""

from dataclasses import dataclass, field
from functools import cached_property, lru_cache

import numpy as np

from tonewood import checks

NODES, WEIGHTS = np.polynomial.legendre.leggauss(14)


@dataclass(frozen=True)
class Regions:
    """Area moments of every region at every station. R regions, S stations.

    names: R labels; piece: index into neck.pieces for wood, -1 - k for bar k; slotted: index of the slotted fretboard layer, or None.
    area (m2), Sy = ∫y dA, Sz = ∫z dA (m3), Syy, Szz, Syz (m4), all (R, S), about y = 0 and the glue line z = 0.
    """

    x: np.ndarray
    names: tuple
    piece: tuple
    slotted: int
    area: np.ndarray
    Sy: np.ndarray
    Sz: np.ndarray
    Syy: np.ndarray
    Szz: np.ndarray
    Syz: np.ndarray

    def table(self):
        """DataFrame: one row per region and station, mm."""
        import pandas as pd
        R, S = self.area.shape
        return pd.DataFrame({"region": np.repeat(self.names, S), "x (mm)": np.tile(1e3 * self.x, R), "area (mm2)": 1e6 * self.area.ravel(),
                             "∫z dA (mm3)": 1e9 * self.Sz.ravel(), "∫z² dA (mm4)": 1e12 * self.Szz.ravel(), "∫y² dA (mm4)": 1e12 * self.Syy.ravel()})


def regions(neck, x=None):
    """Area moments of each stripe, the two fretboard layers and each bar. x: stations (S,), m; None: neck.stations(). Returns Regions.

    Raises ValueError for a station before the nut or beyond one scale length.
    """
    x = neck.stations() if x is None else np.atleast_1d(np.asarray(checks.number("station", x, 0.0, neck.scale_length, "m"), dtype=float))
    return _regions(neck.geometry, tuple(x.tolist()))


@lru_cache(maxsize=128)
def _regions(geometry, stations):
    widths, outline, back, board_thickness, slot_depth, channel, bars = geometry
    x = np.array(stations)
    a, b = outline.width(x) / 2, back.depth(x)
    edges = np.concatenate([[0.0], np.cumsum(widths)]) - sum(widths) / 2
    cuts = list(edges) + [0.0]
    if channel is not None:
        cuts += [-channel.width / 2, channel.width / 2]
    for bar in bars:
        cuts += [bar.offset - bar.width / 2, bar.offset + bar.width / 2]
    cuts = np.unique(np.round(cuts, 9))
    mid = (cuts[1:] + cuts[:-1]) / 2                                  # (K,) which part a column belongs to
    stripe = np.clip(np.searchsorted(edges, mid) - 1, 0, len(widths) - 1)
    bar_of = np.full(mid.shape, -1)
    for k, bar in enumerate(bars):
        bar_of[np.abs(mid - bar.offset) < bar.width / 2] = k
    in_channel = np.zeros(mid.shape, bool) if channel is None else np.abs(mid) < channel.width / 2

    # y = a sin(t) removes the vertical tangent of the back at the edge from the quadrature.
    t = np.arcsin(np.clip(cuts[None, :] / a[:, None], -1, 1))          # (S, K+1)
    half, centre = np.diff(t) / 2, (t[:, 1:] + t[:, :-1]) / 2
    t = centre[..., None] + half[..., None] * NODES                    # (S, K, G)
    y = a[:, None, None] * np.sin(t)
    dy = a[:, None, None] * np.cos(t) * half[..., None] * WEIGHTS
    floor = back.surface(y, a[:, None, None], b[:, None, None])

    def moments(bottom, top):
        """Area moments (6, S, K) of columns between two surfaces that never go below the back."""
        bottom, top = np.maximum(bottom, floor), np.maximum(top, floor)
        m0, m1, m2 = (top - bottom) * dy, (top**2 - bottom**2) / 2 * dy, (top**3 - bottom**3) / 3 * dy
        return np.stack([m0.sum(-1), (y * m0).sum(-1), m1.sum(-1), (y * y * m0).sum(-1), m2.sum(-1), (y * m1).sum(-1)])

    wood = moments(floor, np.zeros_like(floor))
    if channel is not None:
        open_here = (x >= channel.start - 1e-12) & (x <= channel.end + 1e-12)
        wood = wood - moments(np.full_like(floor, -channel.depth), np.zeros_like(floor)) * (open_here[:, None] & in_channel[None, :])
    names, piece, parts = [], [], []
    bar_parts = []
    for k, bar in enumerate(bars):
        here = moments(np.full_like(floor, -bar.below - bar.depth), np.full_like(floor, -bar.below)) * (bar_of == k)[None, :]
        wood = wood - here
        bar_parts.append(here.sum(-1))
    for i in range(len(widths)):
        names.append(f"stripe {i + 1}")
        piece.append(i)
        parts.append((wood * (stripe == i)).sum(-1))
    layers = [("fretboard, solid layer", 0.0, board_thickness - slot_depth)]
    if slot_depth > 0:
        layers.append(("fretboard, slotted layer", board_thickness - slot_depth, board_thickness))
    for name, low, high in layers:
        h, zero = high - low, np.zeros_like(a)
        names.append(name)
        piece.append(len(widths))
        parts.append(np.stack([2 * a * h, zero, a * (high**2 - low**2), 2 * a**3 / 3 * h, 2 * a * (high**3 - low**3) / 3, zero]))
    slotted = len(names) - 1 if slot_depth > 0 else None
    for k, here in enumerate(bar_parts):
        names.append(f"bar {k + 1}")
        piece.append(-1 - k)
        parts.append(here)
    parts = np.stack(parts, 1)                                         # (6, R, S)
    for array in (x, parts):
        array.setflags(write=False)
    return Regions(x, tuple(names), tuple(piece), slotted, *parts)


def slot_share(pitch, depth, ratio, fill):
    """Share of its modulus that the slotted layer of a fretboard keeps along the neck.

    pitch: local fret spacing (m); depth: of the slots (m); ratio: E/G of the board (lengthwise modulus over its shear modulus in the
    side view); fill: 0 open … 1 bearing tangs, float or (D,). All broadcast. A dead zone of about four slot depths lies on either side of a slot,
    which is why it is far more than slot width over pitch. Estimated by the fitted model named at the top; use the range of `fill`.
    """
    kappa = pitch / (2 * 3.8 * (ratio / 14) ** 0.2 * depth)
    open_share = 1 - np.tanh(kappa) / kappa
    return open_share + fill * (1 - open_share)


def by_region(neck, parts, wood, bar):
    """Values per region, (R,) or (D, R): wood(board) for stripes and fretboard, bar(bar) for bars."""
    own = [wood(board) for board in neck.pieces]
    values = [own[p] if p >= 0 else bar(neck.bars[-1 - p]) for p in parts.piece]
    draws = checks.draw_count(**{name: v for name, v in zip(parts.names, values)})
    if draws is None:
        out = np.array(values, dtype=float)
    else:
        out = np.empty((draws, len(values)))
        for k, v in enumerate(values):
            out[:, k] = v
    out.setflags(write=False)
    return out


def _kept(neck, name, x, make):
    """make(), kept on the neck for these stations: necks never change, and relief, movement and loss ask for the same section."""
    kept = neck.__dict__.setdefault("_kept", {})
    key = (name, x.tobytes())
    if key not in kept:
        if len(kept) >= 8:
            kept.clear()
        kept[key] = make()
    return kept[key]


def slots(neck, parts):
    """Factor on the slotted layer at each station, (S,) or (D, S); 1 if there are no slots."""
    return _kept(neck, "slots", parts.x, lambda: _slots(neck, parts))


def _slots(neck, parts):
    if parts.slotted is None:
        return np.ones(len(parts.x))
    wood = neck.fretboard.board
    pitch = (neck.scale_length - parts.x) * (1 - 2 ** (-1 / 12))
    fill = neck.fretboard.slot_fill
    ratio = np.mean(wood.E_x) / np.mean(wood.G_xz)
    return slot_share(pitch, neck.fretboard.slot_depth, ratio, fill if np.ndim(fill) == 0 else np.asarray(fill)[:, None])


def weighted(values, moments, slotted=None, factor=None):
    """Sum over regions of value x moment at every station: (R,) or (D, R) with (R, S) gives (S,) or (D, S).

    `factor` (S,) or (D, S) multiplies the region `slotted`.
    """
    if slotted is None:
        return values @ moments
    if np.ndim(factor) == 1:
        moments = np.array(moments)
        moments[slotted] *= factor
        return values @ moments
    keep = values[..., slotted, None] * moments[slotted]
    return values @ moments + keep * (factor - 1)


@dataclass(frozen=True)
class Section:
    """The section at S stations; every field (S,) or (D, S).

    EA (N), EI: bending in the plane of the strings, that is relief (N·m2), EI_side: side bow (N·m2), EI_cross (N·m2): zero if symmetric,
    y_bar, z_bar: stiffness-weighted axis (m), mass_per_length (kg/m), area (m2).
    """

    x: np.ndarray
    EA: np.ndarray
    EI: np.ndarray
    EI_side: np.ndarray
    EI_cross: np.ndarray
    y_bar: np.ndarray
    z_bar: np.ndarray
    mass_per_length: np.ndarray
    area: np.ndarray
    neck: object = field(repr=False, compare=False)

    @cached_property
    def GJ(self):
        """Torsional stiffness (N·m2), (S,) or (D, S): Saint-Venant torsion of the whole section (see neck.torsion), solved when first asked for."""
        from tonewood.neck.section.torsion import torsion
        return torsion(self.neck, self.x).GJ

    def table(self):
        """DataFrame: one row per station; the mean over draws if there are any."""
        import pandas as pd

        def mean(v):
            return v.mean(0) if np.ndim(v) > 1 else v

        return pd.DataFrame({"x (mm)": 1e3 * self.x, "EA (MN)": 1e-6 * mean(self.EA), "EI (N·m2)": mean(self.EI), "EI side (N·m2)": mean(self.EI_side),
                             "EI cross (N·m2)": mean(self.EI_cross), "y axis (mm)": 1e3 * mean(self.y_bar), "z axis (mm)": 1e3 * mean(self.z_bar),
                             "mass (g/m)": 1e3 * mean(self.mass_per_length)})


def section(neck, x=None):
    """Section of a neck at stations x (S,), m (None: neck.stations()). Returns Section. Raises ValueError for stations off the neck."""
    parts = regions(neck, x)
    return _kept(neck, "section", parts.x, lambda: _section(neck, parts))


def moduli(neck, parts):
    """Modulus along the neck of every region, (R,) or (D, R), Pa."""
    return _kept(neck, "moduli", parts.x, lambda: by_region(neck, parts, lambda board: board.E_x, lambda bar: bar.modulus))


def _section(neck, parts):
    E = moduli(neck, parts)
    rho = by_region(neck, parts, lambda b: b.rho, lambda bar: bar.density)
    factor = slots(neck, parts)

    def total(moments):
        return weighted(E, moments, parts.slotted, factor)

    EA = total(parts.area)
    y_bar, z_bar = total(parts.Sy) / EA, total(parts.Sz) / EA
    mass = rho @ parts.area
    if neck.channel is not None:
        mass = mass + neck.channel.rod_mass * ((parts.x >= neck.channel.start) & (parts.x <= neck.channel.end))
    return Section(parts.x, EA, total(parts.Szz) - EA * z_bar**2, total(parts.Syy) - EA * y_bar**2, total(parts.Syz) - EA * y_bar * z_bar,
                   y_bar, z_bar, mass, parts.area.sum(0), neck)
