"""The end view of a neck, drawn to scale in millimetres: stripes in their tones, growth rings at the ring
angle, board, channel, bars."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection, PolyCollection
from matplotlib.colors import to_rgb
from matplotlib.patches import PathPatch
from matplotlib.path import Path

from tonewood.draws import Array
from tonewood.lesson.shared.wood_colours import tone
from tonewood.neck.layup.neck import Neck
from tonewood.neck.section.polygons import clipped
from tonewood.panel import style
from tonewood.panel.figure_units import scale_bar
from tonewood.panel.theme import FIXED_BLACK, FIXED_WHITE

RING_SPACING = 2.2
STEEL, CARBON, EMPTY = "#9aa3ad", "#2b2b2f", "#ffffff"


class EndView:
    """Draws on `ax` once; `show(neck, x)` then only changes data. `artists` is what moves."""

    def __init__(self, ax: Axes, y_reach: float = 31, z_low: float = -22, z_high: float = 9) -> None:
        ax.set(xlim=(-y_reach, y_reach), ylim=(z_low, z_high), aspect="equal")
        ax.axis("off")
        scale_bar(ax, -y_reach + 2, z_low + 1.6, {"10 mm": 10.0, "3/8 in": 9.525}, 0.6, "#444444")
        sides = [ax.text(sign * (y_reach - 1), z_high - 3, words, ha=words_from, color="#444444")
                 for sign, words, words_from in ((-1, "bass", "left"), (1, "treble", "right"))]
        self._sides = lambda: sides                          # what a function holds counts as backdrop
        self.pieces = PolyCollection([np.zeros((3, 2))], edgecolors="#3a3029", linewidths=0.7, zorder=1)
        self.rings = LineCollection([], linewidths=0.8, zorder=1.5)
        self.outline = PathPatch(Path(np.zeros((3, 2))), facecolor="none", edgecolor="#3a3029", lw=1.2,
                                 zorder=3)
        self.fittings = PolyCollection([np.zeros((3, 2))], edgecolors="#3a3029", linewidths=0.8, zorder=2)
        for artist in (self.pieces, self.rings, self.fittings):
            ax.add_collection(artist, autolim=False)
        ax.add_patch(self.outline)
        # dark dashes on a light line: one of them shows on any wood, and on the paper of either theme
        halo = LineCollection([], colors=FIXED_WHITE, linewidths=3.4, alpha=0.85, zorder=4)
        dashes = LineCollection([], colors=FIXED_BLACK, linestyles=[style.HELD["linestyle"]], zorder=4.1,
                                linewidths=style.HELD["linewidth"])
        self.ghost = [halo, dashes]
        for artist in self.ghost:
            ax.add_collection(artist, autolim=False)
        self.artists = [self.pieces, self.rings, self.fittings, self.outline, *self.ghost]

    def show(self, neck: Neck, x: float) -> None:
        """Draw the section of `neck` (single values) at station x (m)."""
        a, b = 1e3 * float(neck.outline.width(x)) / 2, 1e3 * float(neck.back.depth(x))
        edges = 1e3 * neck.layup.edges_at(x)
        leans = neck.layup.leans if any(neck.layup.leans) else ()
        top = 1e3 * neck.fretboard.thickness
        for words in self._sides():
            if words.get_position()[1] != top + 0.8:
                words.set_y(top + 0.8)
        verts, faces, lines, colours = [], [], [], []
        for stripe, left, right in zip(neck.layup.stripes, edges[:-1], edges[1:], strict=True):
            left, right = max(left, -a), min(right, a)
            if right - left <= 1e-6 or leans:
                continue
            y = a * np.sin(np.linspace(np.arcsin(left / a), np.arcsin(right / a),
                                       20))    # closer together where the back turns up
            floor = neck.back.surface(y, a, b)
            verts.append(np.column_stack([np.concatenate([y, [right, left]]),
                                          np.concatenate([floor, [0, 0]])]))
            colour = tone(stripe.board.species)
            faces.append(colour)
            found = ring_lines(left, right, float(floor.min()), 0.0, float(stripe.board.ring_angle))
            lines += found
            colours += [ring_colour(colour)] * len(found)
        for stripe, part in zip(neck.layup.stripes, _leaning(neck, x, edges) if leans else (), strict=False):
            verts.append(part)
            faces.append(colour := tone(stripe.board.species))
            if len(part) > 2:
                found = [line for line in ring_lines(*_inner(part), float(part[:, 1].min()), 0.0,
                                                     float(stripe.board.ring_angle))]
                lines += found
                colours += [ring_colour(colour)] * len(found)
        low = 0.0
        for layer in neck.fretboard.layers:
            high, board = low + 1e3 * layer.thickness, tone(layer.board.species)
            verts.append(np.array([(-a, low), (a, low), (a, high), (-a, high)]))
            faces.append(board)
            found = ring_lines(-a, a, low, high, float(layer.board.ring_angle))
            lines += found
            colours += [ring_colour(board)] * len(found)
            low = high
        self.pieces.set_verts(verts)
        self.pieces.set_facecolors(faces)
        self.rings.set_segments(lines)
        self.rings.set_colors(colours or ["none"])
        y = a * np.sin(np.linspace(-np.pi / 2, np.pi / 2, 121))
        shape = np.column_stack([np.concatenate([y, [a, -a, -a]]),
                                 np.concatenate([neck.back.surface(y, a, b), [top, top, 0]])])
        self.outline.set_path(Path(shape))
        self.rings.set_clip_path(self.outline)
        self.pieces.set_clip_path(self.outline)
        boxes, fills = [], []
        if neck.channel is not None:
            half, depth, roof = (1e3 * v for v in (neck.channel.width / 2, neck.channel.depth,
                                                   neck.channel.below))
            boxes.append(_box(-half, half, -depth, -roof))
            fills.append(EMPTY)
            if roof:                                        # the strip that closes it from the back
                boxes.append(_box(-half, half, float(neck.back.surface(half, a, b)), -depth))
                fills.append("none")
            if neck.channel.rod_mass:
                high = depth - roof
                boxes.append(_box(-0.7 * half, 0.7 * half, -roof - 0.95 * high, -roof - 0.35 * high))
                fills.append(STEEL)
        for bar in neck.bars:
            y0, y1 = 1e3 * (bar.offset - bar.width / 2), 1e3 * (bar.offset + bar.width / 2)
            boxes.append(_box(y0, y1, -1e3 * (bar.below + bar.depth), -1e3 * bar.below))
            fills.append(CARBON)
        self.fittings.set_verts(boxes)
        self.fittings.set_facecolors(fills or ["none"])

    def show_ghost(self, neck: Neck | None, x: float | None = None) -> None:
        """The outline and the glue lines of a neck kept to compare with, dashed; None: no ghost."""
        for artist in self.ghost:
            artist.set_visible(neck is not None)
        if neck is None:
            return
        a, b, top = (1e3 * float(v) for v in (neck.outline.width(x) / 2, neck.back.depth(x),
                                              neck.fretboard.thickness))
        y = a * np.sin(np.linspace(-np.pi / 2, np.pi / 2, 121))
        shape = np.column_stack([np.concatenate([y, [a, -a, -a]]),
                                 np.concatenate([neck.back.surface(y, a, b), [top, top, 0]])])
        edges = 1e3 * neck.layup.edges_at(x)[1:-1]
        joints = [[(edge - np.tan(lean) * (z := float(neck.back.surface(edge, a, b))), z), (edge, 0.0)]
                  for edge, lean in zip(edges, neck.layup.leans or 0 * edges, strict=True) if abs(edge) < a]
        thick = np.cumsum([0.0] + [1e3 * layer.thickness for layer in neck.fretboard.layers])
        for artist in self.ghost:
            artist.set_segments([shape, *([(-a, z), (a, z)] for z in thick[:-1]), *joints])


def _leaning(neck: Neck, x: float, edges: Array) -> list[Array]:
    """The outlines (K, 2), mm, of the stripes at x (m) between glue lines that lean."""
    a, b = 1e3 * float(neck.outline.width(x)) / 2, 1e3 * float(neck.back.depth(x))
    y = a * np.sin(np.linspace(-np.pi / 2, np.pi / 2, 121))
    rest, found = np.stack([y, neck.back.surface(y, a, b)], 1), []
    for edge, lean in zip(edges[1:-1], neck.layup.leans, strict=True):
        found.append(clipped(rest, float(edge), lean, "bass"))
        rest = clipped(rest, float(edge), lean, "treble")
    return [part if len(part) else np.zeros((3, 2)) for part in (*found, rest)]


def _inner(part: Array) -> tuple[float, float]:
    """Left and right side (mm) of what a leaning stripe covers at every height."""
    high, low = (part[np.abs(part[:, 1] - z) < 0.35 * np.ptp(part[:, 1]) + 1e-6, 0]
                 for z in (part[:, 1].max(), part[:, 1].min()))
    return max(high.min(), low.min()), min(high.max(), low.max())


def _box(y0: float, y1: float, z0: float, z1: float) -> Array:
    return np.array([(y0, z0), (y1, z0), (y1, z1), (y0, z1)])


def ring_lines(left: float, right: float, low: float, high: float, ring_angle: float,
               spacing: float = RING_SPACING
               ) -> list[tuple[tuple[float, float], tuple[float, float]]]:
    """Growth rings of one stripe: parallel segments [((y, z), (y, z)), …] at the ring angle, cut to the box
    left…right, low…high (mm).

    The ring tangent T lies along (-cos, sin) in (y, z): level for flat-sawn, upright for quarter-sawn.
    """
    t = np.array([-np.cos(ring_angle), np.sin(ring_angle)])
    n = np.array([t[1], -t[0]])
    corners = np.array([(left, low), (left, high), (right, low), (right, high)])
    reach = corners @ n
    out = []
    for k in range(int(np.ceil(reach.min() / spacing)), int(np.floor(reach.max() / spacing)) + 1):
        p = k * spacing * n
        low_s, high_s = -np.inf, np.inf
        for axis, (lo, hi) in enumerate(((left, right), (low, high))):
            if abs(t[axis]) < 1e-9:
                if not lo <= p[axis] <= hi:
                    low_s, high_s = 1, 0
                continue
            s = sorted(((lo - p[axis]) / t[axis], (hi - p[axis]) / t[axis]))
            low_s, high_s = max(low_s, s[0]), min(high_s, s[1])
        if high_s > low_s:
            out.append((tuple(p + low_s * t), tuple(p + high_s * t)))
    return out


def ring_colour(face: str) -> tuple[float, ...]:
    """Darker than a light wood, lighter than a dark one, so that rings show on both."""
    r, g, b = to_rgb(face)
    light = 0.3 * r + 0.59 * g + 0.11 * b
    return tuple(0.72 * v for v in (r, g, b)) if light > 0.35 else tuple(0.55 * v + 0.30 for v in (r, g, b))
