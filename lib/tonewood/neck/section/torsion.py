"""Torsional stiffness of the neck, whole and by region.

Each station's section (stripes, fretboard, channel, bars) is solved once by section.warping at reference
moduli; a few stations are solved and the rest interpolated. Draws need no new solution. Keeping the strains
of the reference bounds GJ from above, keeping its stresses bounds it from below (theorems of least energy),
for any other moduli:

    (GJ_0)^2 / sum S_r (integral of tau_0^2 over r)  <=  GJ  <=  sum C_r (integral of gamma_0^2 over r)

The geometric mean is returned with half the distance between the bounds. Both are exact to first order in the
moduli.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tonewood import checks
from tonewood.draws import Array, Draws, single
from tonewood.neck.layup.neck import Neck, edges_at, fret_pitch
from tonewood.neck.section.regions import Regions, fretboard_rows, slotted_shear
from tonewood.neck.section.shear import inverted, twisting_ratio
from tonewood.neck.section.warping import unit_twist
from tonewood.remember import remember

if TYPE_CHECKING:
    import pandas

# reference moduli are rounded to 5 % of each other, so that most slider moves find a solved section
GRID = 0.05
# columns of the mesh; twice as many where the back runs up to sharp edges because there is no fretboard
_COLUMNS, _SHARP = (np.sin(np.linspace(-np.pi / 2, np.pi / 2, count)) for count in (13, 25))


@dataclass(frozen=True, kw_only=True)
class Torsion:
    """Torsion at S stations; R regions in the order of section.regions.

    GJ: N m2, (S,) or (D, S). error: relative half distance between its bounds, same shape (mesh error, below
    0.3 %, comes on top). shares: (R, S) part of the energy of twisting in each region, sums to 1. shear_xy,
    shear_xz: (R, S) integral over the region of the shear stress when the neck is twisted 1 rad/m [N m]; _y
    and _z the same weighted with y and z [N m2]. shares and all after it belong to the reference moduli (the
    mean of the draws, rounded), with reference: (S,) their GJ [N m2]. strain, stress: (3, R, S) integrals
    over each region of what the moduli, and what the compliances, are weighted with in the two bounds.
    """

    x: Array
    names: tuple[str, ...]
    GJ: Array
    error: Array
    shares: Array
    shear_xy: Array
    shear_xz: Array
    shear_xy_y: Array = field(repr=False)
    shear_xy_z: Array = field(repr=False)
    shear_xz_y: Array = field(repr=False)
    shear_xz_z: Array = field(repr=False)
    reference: Array = field(repr=False)
    strain: Array = field(repr=False)
    stress: Array = field(repr=False)

    def twist_rate(self, gamma_xy: ArrayLike, gamma_xz: ArrayLike) -> Array:
        """Twist (rad/m), (S,) or (D, S), of a neck whose regions want the free shear strains gamma_xy,
        gamma_xz: each (R,) or (D, R).

        Reciprocity: twist = sum over regions of (integral of tau of unit twist) x free strain / GJ. Positive
        turns y towards z. Raises ValueError if the number of regions differs.
        """
        free = []
        for name, given in (("gamma_xy", gamma_xy), ("gamma_xz", gamma_xz)):
            value = np.asarray(given, dtype=float)
            if value.ndim == 0 or value.shape[-1] != len(self.names):
                raise ValueError(f"{name}: shape {value.shape} given; accepted: one value for each of the "
                                 f"{len(self.names)} regions along the last axis")
            free.append(value)
        return free[0] @ (self.shear_xy / self.reference) + free[1] @ (self.shear_xz / self.reference)

    def table(self) -> pandas.DataFrame:
        """DataFrame: one row per station; GJ is the mean over draws if there are any; energy share of each
        region."""
        import pandas as pd

        shares = [f"share of {name} (%)" for name in self.names]
        return pd.DataFrame({"x (mm)": 1e3 * self.x, "GJ (N·m²)": single(self.GJ),
                             "bound on error (%)": 100 * single(self.error),
                             **dict(zip(shares, 100 * self.shares, strict=True))})


def rectangle_constant(a: Draws, b: Draws) -> Draws:
    """Torsion constant J (m4) of a rectangle with sides a, b (m), either way round: J = 2 x integral of the
    stress function.

    Source: Saint-Venant's series, as in any text on elasticity: a b^3 [1/3 - 64 b/(pi^5 a) sum tanh(n pi a /
    2b)/n^5], n odd. Raises ValueError.

    >>> round(float(rectangle_constant(1.0, 1.0)), 4)
    0.1406
    """
    a, b = (checks.number("side", side, 0.0, None, "m", open_low=True) for side in (a, b))
    a, b = np.maximum(a, b), np.minimum(a, b)
    n = np.arange(1, 40, 2)
    series = (np.tanh(n * np.pi * np.divide(a, b)[..., None] / 2) / n**5.0).sum(-1)
    return a * b**3 * (1 / 3 - 64 / np.pi**5 * b / a * series)


def solved_torsion(neck: Neck, parts: Regions, C: Array, factor: Draws) -> Torsion:
    """Torsion (N·m2 and fields) of a neck at the stations of its regions; ask AtStations.torsion, which keeps
    it. C: AtStations.shear_stiffness; factor: AtStations.slots_in_twist. Raises ValueError.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> from tonewood.neck.section.stations import at_stations
    >>> here = at_stations(example_neck(), [0.2])
    >>> found = solved_torsion(here.neck, here.regions, here.shear_stiffness, here.slots_in_twist)
    >>> found.GJ.round(0).tolist()
    [88.0]
    """
    x, factor = parts.x, checks.number("share of shear stiffness that slots leave", factor, 0.0)
    C = np.asarray(checks.number("shear stiffness", C, unit="Pa"))
    mean = C.mean(0) if C.ndim == 3 else C
    scale = mean[:, :2].mean()
    ratio = np.exp(GRID * np.round(np.log(mean[:, :2] / scale) / GRID))
    cross = GRID * np.round(mean[:, 2] / np.sqrt(mean[:, 0] * mean[:, 1]) / GRID) * np.sqrt(ratio[:, 0]
                                                                                            * ratio[:, 1])
    reference = np.concatenate([ratio, cross[:, None]], 1)
    slot = None if parts.slotted is None else _slot(neck)
    fields = np.empty((12, len(parts.names), len(x)))
    for low, high, inside in _stretches(neck, x):
        if inside.any():
            fields[..., inside] = _interpolated(neck.geometry, reference.tobytes(), slot, low, high,
                                                x[inside])
    strain, stress, flow = fields[:3], fields[3:6], fields[6:12] * scale

    slotted = np.ones((len(parts.names), len(x)))
    if slot is not None:
        slotted[list(parts.slotted or ())] = slotted_shear(neck.fret_pitch(x), neck.fretboard.slot_depth,
                                                           *slot[1:])
    GJ_0 = np.einsum("rk,krs,rs->s", reference, strain, slotted)
    upper = summed_over_regions(C, strain, parts.slotted, factor)
    lower = GJ_0**2 / summed_over_regions(inverted(C), stress, parts.slotted, 1 / factor)
    shares = np.einsum("rk,krs,rs->rs", reference, strain, slotted) / GJ_0
    names = ("shear_xy", "shear_xz", "shear_xy_y", "shear_xy_z", "shear_xz_y", "shear_xz_z")
    return Torsion(x=x, names=parts.names, GJ=np.sqrt(upper * lower), error=(upper - lower) / (upper + lower),
                   shares=shares, reference=GJ_0 * scale, strain=strain, stress=stress,
                   **dict(zip(names, flow, strict=True)))


def _slot(neck: Neck) -> tuple[float, float, float]:
    """What the slots of the reference hang on, rounded: scale length (m), G_xy/G_yz of what they cut,
    fill."""
    fill = round(float(np.mean(neck.fretboard.slot_fill)) / GRID) * GRID
    return neck.scale_length, round(float(np.mean(twisting_ratio(neck))), 2), fill


def summed_over_regions(values: Array, integrals: Array, slotted: int | Sequence[int] | None, factor: Draws
                        ) -> Array:
    """Sum over regions and the three components of value (R, 3) or (D, R, 3) x integral (3, R, S): (S,) or
    (D, S), in the unit of their product; `factor` multiplies the region or regions `slotted`.

    >>> summed_over_regions(np.ones((2, 3)), np.ones((3, 2, 1)), 1, 0.5).tolist()
    [4.5]
    """
    total = values.reshape(values.shape[:-2] + (-1,)) @ np.moveaxis(integrals, 0,
                                                                    1).reshape(-1, integrals.shape[-1])
    if slotted is None:
        return total
    return total + (factor - 1) * sum(values[..., r, :] @ integrals[:, r] for r in np.atleast_1d(slotted))


def _stretches(neck: Neck, x: Array) -> list[tuple[float, float, NDArray[np.bool_]]]:
    """Stretches of neck over which the section changes smoothly, and which stations lie in them: (low, high,
    mask)."""
    channel = neck.channel
    ends = [0.0, neck.end, neck.scale_length] + ([] if channel is None else [channel.start, channel.end])
    cuts = np.unique(np.clip(ends, 0.0, neck.scale_length))
    cuts = cuts[np.diff(cuts, prepend=-1.0) > 1e-9]             # ends that differ by rounding alone are one
    # a station on a cut belongs to the stretch before it
    which = np.searchsorted(cuts, x - 1e-12, side="left") - 1
    if channel is not None:
        which[np.abs(x - channel.start) < 1e-12] += 1           # except where the channel starts
    which = np.clip(which, 0, len(cuts) - 2)
    return [(cuts[k], cuts[k + 1], which == k) for k in range(len(cuts) - 1)]


@remember(64)
def _solved(geometry: Any, reference: bytes, slot: tuple[float, float, float] | None, low: float, high: float
            ) -> tuple[Array, Array]:
    """Solved places (N,) in a stretch and their integrals (12, R, N), divided by width x height cubed so that
    they hardly vary."""
    count = 4 if high - low > 0.15 else 3 if high - low > 0.05 else 2
    places = (low + high) / 2 - (high - low) / 2 * np.cos(np.pi * np.arange(count) / (count - 1))
    stiffness = np.frombuffer(reference).reshape(-1, 3)
    inside = (low + high) / 2
    return places, np.stack([_station(geometry, stiffness, slot, at, inside) / _size(geometry, at)
                             for at in places], -1)


def _interpolated(geometry: Any, reference: bytes, slot: tuple[float, float, float] | None, low: float,
                  high: float, x: Array) -> Array:
    """The integrals at x (n,), (12, R, n): one polynomial through the solved places."""
    places, values = _solved(geometry, reference, slot, low, high)
    others = [np.delete(places, k) for k in range(len(places))]
    weights = np.stack([np.prod((x - rest[:, None]) / (at - rest)[:, None], 0)
                        for at, rest in zip(places, others, strict=True)])
    return values @ weights * _size(geometry, x)


def _size(geometry: Any, x: Draws) -> Draws:
    _, outline, back, board_thickness, *_ = geometry
    return outline.width(x) * (back.depth(x) + board_thickness) ** 3


def _station(geometry: Any, stiffness: Array, slot: tuple[float, float, float] | None, x: float, inside: float
             ) -> Array:
    """The 12 integrals (12, R) of one station; `inside` is a place in the same stretch that tells whether the
    channel is there."""
    widths, outline, back, _, slot_depth, channel, bars, *more = geometry
    layers, cut = fretboard_rows(geometry)
    a, depth = float(outline.width(x)) / 2, float(back.depth(x))
    if channel is not None and not channel.start <= inside <= channel.end:
        channel = None
    if slot is not None:
        scale_length, ratio, fill = slot
        stiffness = stiffness.copy()
        stiffness[list(cut or ())] *= slotted_shear(fret_pitch(scale_length, x), slot_depth, ratio, fill)

    # a leaning glue line is solved upright, where it is at half the depth
    leans, tapers = more[0] if more else ((), ())
    stripes = edges_at(widths, leans, tapers, x, -depth / 2)
    spans = [(bar.offset - bar.width / 2, bar.offset + bar.width / 2) for bar in bars]
    spans += [(-channel.width / 2, channel.width / 2)] if channel is not None else []
    reach = np.abs(np.ravel(spans)).max(initial=0.0)
    edges = _edges(np.concatenate([stripes, [0.0, -reach, reach], np.ravel(spans)]), a,
                   _COLUMNS if layers else _SHARP)
    middle = (edges[1:] + edges[:-1]) / 2

    depths = {bar.below for bar in bars} | {bar.below + bar.depth for bar in bars}
    depths |= set() if channel is None else {channel.below, channel.depth}
    depths |= set() if layers else {slot_depth}
    lines = np.array(sorted(depths - {0.0}))
    split = [2] * (len(lines) + 1) if len(lines) else [5]
    caps = 1 - 0.015 * np.arange(len(lines), 0, -1)
    room = -float(back.surface(reach, a, depth))

    def curves(y: Array) -> Array:
        # lines run level as far out as bars and channel reach, beyond that in proportion to the back, so that
        # none ever meets another
        floor = np.maximum(-back.surface(y, a, depth), 1e-3 * depth)
        level = np.minimum(lines[:, None], caps[:, None] * np.maximum(floor, room))
        below = np.concatenate([np.zeros((1, len(y))), level * np.minimum(floor / room, 1.0), floor[None]])
        rows = [-below[k] - (below[k + 1] - below[k]) * i / n for k, n in enumerate(split) for i in range(n)]
        # a slotted row is one element high, any other two
        board = [z for k, (_, low, high) in enumerate(layers)
                 for z in ([high] if cut and len(widths) + k in cut else [(low + high) / 2, high])]
        top = np.array(board)[:, None] + np.zeros((1, len(y)))
        return np.concatenate([-below[-1][None], np.array(rows)[::-1], top])

    region = np.clip(np.searchsorted(stripes, middle) - 1, 0,
                     len(widths) - 1)[:, None] * np.ones((1, sum(split)), int)
    tops = np.concatenate([[0.0], lines])
    # rows from the back up; band 0 lies under the glue line
    band = np.repeat(np.arange(len(split)), split)[::-1]
    if cut and not layers:
        region[:, tops[band] < slot_depth - 1e-12] += len(widths)
    if channel is not None:
        region[np.ix_(np.abs(middle) < channel.width / 2, (tops[band] >= channel.below - 1e-12)
                      & (tops[band] < channel.depth))] = -1
    first_bar = len(widths) * (2 if cut and not layers else 1) + len(layers)
    for k, bar in enumerate(bars):
        inside_bar = (tops[band] >= bar.below - 1e-12) & (tops[band] < bar.below + bar.depth - 1e-12)
        region[np.ix_(np.abs(middle - bar.offset) < bar.width / 2, inside_bar)] = first_bar + k
    board = [r for r in range(len(widths), len(widths) + len(layers))
             for _ in range(1 if cut and r in cut else 2)]
    region = np.concatenate([region, np.array(board, int) * np.ones((len(middle), 1), int)], 1)
    t = unit_twist(edges, curves, region, stiffness)
    return np.concatenate([t.strain, t.stress, t.flow, [t.flow_y[0], t.flow_z[0], t.flow_y[1], t.flow_z[1]]])


def _edges(cuts: Array, a: float, columns: Array) -> Array:
    """Column edges: every cut inside the section, with a sine-spaced grid between that is finer at the
    sides."""
    cuts = np.unique(np.round(np.concatenate([cuts[np.abs(cuts) < a * (1 - 1e-3)], [-a, a]]), 9))
    grid = a * columns[1:-1]
    room = np.interp(grid, a * columns, np.gradient(a * columns)) / 3
    near = np.abs(grid[:, None] - cuts).min(1)
    return np.sort(np.concatenate([cuts, grid[near > room]]))
