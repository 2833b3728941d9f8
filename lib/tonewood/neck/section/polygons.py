"""Sections drawn as polygons: area moments by Green's theorem, cut along leaning lines, principal axes.

Used where glue lines between stripes lean or run aslant along the neck, so that columns no longer do. Curves
are drawn with CORNERS straight pieces, which loses 1 part in 20,000 of the area of a round back. Torsion is
solved with each line upright at half the depth: 2 % low at a lean of 14 degrees between woods whose shear
moduli differ by 2.3 (tests/neck/section/test_leaning.py).
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from tonewood import checks
from tonewood.draws import Array, Draws

CORNERS = 256


def polygon_moments(corners: ArrayLike) -> Array:
    """Area, ∫y dA, ∫z dA, ∫y² dA, ∫z² dA, ∫yz dA (6,) in m2, m3, m4 of a polygon with corners (K, 2), m.

    Corners counter-clockwise (y right, z up) count as wood, clockwise as a hole; fewer than 3 enclose
    nothing. Source: Green's theorem. Raises ValueError for another shape.

    >>> polygon_moments([(0, 0), (2, 0), (2, 1), (0, 1)]).round(4).tolist()
    [2.0, 2.0, 1.0, 2.6667, 0.6667, 1.0]
    """
    p = np.asarray(corners, dtype=float)
    if p.ndim != 2 or p.shape[1] != 2:
        raise ValueError(f"corners: shape {p.shape} given; accepted: one row of y and z (m) for each corner")
    if len(p) < 3:
        return np.zeros(6)
    checks.number("corners", p, unit="m")
    (y, z), (y2, z2) = p.T, np.roll(p, -1, axis=0).T
    cross = y * z2 - y2 * z
    return np.array([np.sum(cross) / 2, np.sum(cross * (y + y2)) / 6, np.sum(cross * (z + z2)) / 6,
                     np.sum(cross * (y**2 + y * y2 + y2**2)) / 12,
                     np.sum(cross * (z**2 + z * z2 + z2**2)) / 12,
                     np.sum(cross * (2 * y * z + y * z2 + y2 * z + 2 * y2 * z2)) / 24])


def clipped(corners: Array, y: float, lean: float, keep: str) -> Array:
    """The part of a polygon (K, 2), m, on one side of the line through (y, 0) whose lower end leans `lean`
    (rad) to the treble; keep: "bass" or "treble". Source: clipping by a half plane, edge by
    edge. Raises ValueError for another side.

    >>> square = np.array([(-1.0, -1.0), (1.0, -1.0), (1.0, 0.0), (-1.0, 0.0)])
    >>> round(float(polygon_moments(clipped(square, 0.0, np.pi / 4, "treble"))[0]), 9)
    0.5
    """
    side = 1.0 if checks.choice("side to keep", keep, ("bass", "treble")) == "treble" else -1.0
    if len(corners) == 0:
        return corners
    above = side * (corners[:, 0] - y + corners[:, 1] * np.tan(lean))
    following, above_next = np.roll(corners, -1, axis=0), np.roll(above, -1)
    crosses = (above >= 0) != (above_next >= 0)
    part = np.divide(above, above - above_next, out=np.zeros_like(above), where=crosses)
    met = corners + part[:, None] * (following - corners)
    pairs = np.stack([corners, met], 1).reshape(-1, 2)
    return pairs[np.stack([above >= 0, crosses], 1).ravel()]


def leaning_stripes(geometry: Any, x: Array, edges: Array, leans: ArrayLike, open_here: Array,
                    floor: float = -np.inf) -> list[Array]:
    """Area moments (6, S) of every stripe between leaning glue lines, bars and rod channel cut out.

    geometry: see Neck.geometry; x: stations (S,), m; edges: (S, n + 1) where the stripes' sides meet the
    glue line under the fretboard, m; leans: (n - 1,) rad; open_here: (S,) whether the channel is there;
    floor: only what lies above this z, m.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> neck, x = example_neck(), np.array([0.2])
    >>> halves = leaning_stripes(neck.geometry, x, np.array([[-0.03, 0.0, 0.03]]), [0.1], x < 0)
    >>> [round(1e6 * float(part[0, 0]), 1) for part in halves]
    [308.7, 284.5]
    """
    _, outline, back, _, _, channel, bars, *_ = geometry
    found = np.zeros((edges.shape[1] - 1, 6, len(x)))
    t = np.linspace(-np.pi / 2, np.pi / 2, CORNERS + 1)
    for s, at in enumerate(x):
        a, depth = float(outline.width(at)) / 2, float(back.depth(at))
        y = a * np.sin(t)
        wood = np.stack([y, back.surface(y, a, depth)], 1)
        boxes = [(bar.offset, bar.width, -bar.below - bar.depth, -bar.below) for bar in bars]
        if channel is not None and open_here[s]:
            boxes.append((0.0, channel.width, -channel.depth, -channel.below))
        holes = [np.array([(c - w / 2, low), (c + w / 2, low), (c + w / 2, high), (c - w / 2, high)])
                 for c, w, low, high in boxes]
        for sign, whole in ((1, wood), *((-1, hole) for hole in holes)):
            rest = np.stack([whole[:, 0], np.maximum(whole[:, 1], floor)], 1)
            for k, lean in enumerate(np.asarray(leans, dtype=float)):
                found[k, :, s] += sign * polygon_moments(clipped(rest, edges[s, k + 1], lean, "bass"))
                rest = clipped(rest, edges[s, k + 1], lean, "treble")
            found[-1, :, s] += sign * polygon_moments(rest)
    return list(found)


def principal_axes(EI: Draws, EI_side: Draws, EI_cross: Draws) -> tuple[Draws, Draws, Draws]:
    """Principal bending stiffnesses, larger first (N·m2), and by how much (rad, -pi/2 to pi/2) the axes are
    turned from y towards z: the direction that the section bends in with the smaller one, from z.

    EI: bending in the plane of the strings, EI_side: side bow, EI_cross: N·m2, about the centre; floats or
    arrays that broadcast. Source: Mohr's circle, as in any text on unsymmetrical bending. Raises ValueError.

    >>> [round(float(v), 3) for v in principal_axes(1.0, 3.0, 1.0)]
    [3.414, 0.586, 0.393]
    """
    EI = checks.number("bending stiffness", EI, 0.0, unit="N·m²")
    EI_side = checks.number("side bending stiffness", EI_side, 0.0, unit="N·m²")
    EI_cross = checks.number("cross stiffness", EI_cross, unit="N·m²")
    mean, half = (EI_side + EI) / 2, (EI_side - EI) / 2
    radius = np.hypot(half, EI_cross)
    return mean + radius, mean - radius, np.arctan2(EI_cross, half) / 2
