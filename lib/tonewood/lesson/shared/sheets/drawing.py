"""A neck drawn to scale for paper: front, back and side at a told scale, two sections in full size.

Every coordinate of the figure is a millimetre of paper. Drawn is what a design holds: neck, fretboard, rod
and bars from nut to the end of the fretboard; head and body are not part of it.
"""

from __future__ import annotations

import io
from dataclasses import dataclass

import matplotlib
import numpy as np
from matplotlib.axes import Axes
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure

from tonewood.brief.cut_list import CutList
from tonewood.draws import Array
from tonewood.lesson.shared.end_view import EndView, ring_colour, ring_lines
from tonewood.lesson.shared.wood_colours import tone
from tonewood.neck.design import Design
from tonewood.neck.layup.neck import Neck
from tonewood.panel import style, units

WIDE = 180.0
"""Width of the drawing on paper, mm: what A4 and letter leave between their margins."""
SCALES = (2, 3, 4, 5, 8)
"""Drawn 1 to one of these: the first at which the neck fits."""
INK, FAINT, TEXT = "#2b2b2b", "#8a8a8a", 8.0
"""Two inks, and the size of all words, points."""
LOOK = {**{key: TEXT if isinstance(value, float) and "size" in key else value
           for key, value in style.FIGURE.items()}, "svg.fonttype": "none", "svg.hashsalt": "sheet",
        "font.sans-serif": ["DejaVu Sans", "Helvetica", "Arial"]}


@dataclass(frozen=True)
class Drawing:
    """A drawing ready for a page: svg (text), its words for those who cannot see it, size on paper (mm), and
    the scale of the long views (3 means 1:3)."""

    svg: str
    alt: str
    wide: float
    high: float
    scale: int


def as_svg(fig: Figure) -> str:
    """The figure as SVG whose words stay words, without date and marks of who made it."""
    FigureCanvasSVG(fig)
    out = io.StringIO()
    with matplotlib.rc_context(LOOK):
        fig.savefig(out, format="svg", metadata={"Date": None, "Creator": None})
    text = out.getvalue()
    return text[text.index("<svg"):]


def neck_drawing(design: Design, system: str = units.METRIC) -> Drawing:
    """The Drawing of a design; sizes in people's units of `system` (panel.units)."""
    neck = design.neck()
    long = 1e3 * neck.end
    scale = next((s for s in SCALES if long / s <= WIDE - 24), SCALES[-1])
    wide = 1e3 * float(np.max(neck.outline.width([0.0, neck.end])))
    room, thick = wide / scale, 1e3 * (float(neck.back.depth(neck.end)) + neck.fretboard.thickness) / scale
    section = 1e3 * (float(neck.back.depth(neck.end)) + neck.fretboard.thickness) + 15.5
    rows = {"Front": room, "Back": room, "Side": thick + 3.0}
    high = sum(rows.values()) + 3 * 8.5 + section + 10.5
    with matplotlib.rc_context(LOOK):
        fig = Figure(figsize=(WIDE / 25.4, high / 25.4))
        ax = fig.add_axes((0, 0, 1, 1))
        ax.set(xlim=(0, WIDE), ylim=(0, high))
        ax.axis("off")
        pen = _Pen(ax, neck, scale, system)
        y = high
        for name, size in rows.items():
            y -= 8.5
            pen.title(y + 2.2, name)
            {"Front": pen.front, "Back": pen.back, "Side": pen.side}[name](design, y - size / 2)
            y -= size
        pen.scale_bar(y - 5.0)
        _sections(fig, ax, design, high, y - 11.5, section)
        svg = as_svg(fig)
    bodies = "" if design.joint_fret is None else f", the body beginning at fret {design.joint_fret}"
    alt = (f"{design.name}, drawn to scale 1:{scale}: front with {design.frets} frets, back with "
           f"{len(design.stripes)} stripes, side{bodies}; sections at frets 1 and 12 in full size. Width "
           f"{pen.size(neck.outline.width(0.0))} at the nut and {pen.size(neck.outline.width(neck.end))} at "
           f"the last fret, {pen.size(neck.end)} from nut to last fret.")
    return Drawing(svg, alt, WIDE, high, scale)


class _Pen:
    """Draws one neck on the paper's axes; `left` is where the nut stands, mm."""

    def __init__(self, ax: Axes, neck: Neck, scale: int, system: str) -> None:
        self.ax, self.neck, self.scale, self.system = ax, neck, scale, system
        self.left = (WIDE - 1e3 * neck.end / scale) / 2
        self.x = np.linspace(0.0, neck.end, 61)
        self.board = tone(neck.pieces[-1].species)

    def size(self, metres: float) -> str:
        """A size to read: 43 mm, 1.69 in."""
        return units.text(round(1e3 * float(metres), 1), "mm", 1, self.system).replace(".0 ", " ")

    def beside(self, y: float, left: float, right: float) -> None:
        """Sizes (m) beside the two ends of a view."""
        ends = (self.left - 1.5, left, "right"), (self.at(self.neck.end) + 1.5, right, "left")
        for x, metres, side in ends:
            self.words(float(x), y, self.size(metres).replace(" ", "\n"), ha=side, linespacing=1.1)

    def at(self, x: Array | float) -> Array:
        """Paper x of a place on the neck (m)."""
        return self.left + 1e3 * np.asarray(x) / self.scale

    def title(self, y: float, words: str) -> None:
        self.ax.text(0, y, words, fontweight="bold", va="bottom")

    def words(self, x: float, y: float, words: str, **look: object) -> None:
        self.ax.text(x, y, words, **{"ha": "center", "va": "center", "color": INK, **look})

    def lines(self, points: list[tuple[Array | float, Array | float]], **look: object) -> None:
        for x, y in points:
            self.ax.plot(x, y, **{"color": INK, "lw": 0.6, "solid_capstyle": "butt", **look})

    def fill(self, one: Array, other: Array, face: str, lw: float = 0.8) -> None:
        """What lies between two edges, paper y at every x."""
        px = self.at(self.x)
        self.ax.fill(np.r_[px, px[::-1]], np.r_[one, other[::-1]], facecolor=face, edgecolor=INK, lw=lw)

    def outline(self, y: float, face: str) -> None:
        half = 500 * self.neck.outline.width(self.x) / self.scale
        self.fill(y + half, y - half, face)

    def body_line(self, design: Design, low: float, high: float, words: bool = False) -> None:
        """Where the body takes over."""
        if design.joint_fret is None:
            return
        x = self.at(self.neck.body_start)
        self.lines([([x, x], [low - 1.5, high + 1.5])], ls=(0, (5, 2)), color=FAINT, lw=0.9)
        if words:
            self.words(x, high + 2.0, f"body from fret {design.joint_fret}", va="bottom", color=INK)

    def front(self, design: Design, y: float) -> None:
        """Fretboard, or the stripes where there is none, and frets, the nut on the left, the bass side
        below."""
        neck = self.neck
        if neck.fretboard.layers:
            self.outline(y, self.board)
        else:
            self.stripes(y, 1.0)
        for n in range(neck.frets + 1):
            x, half = self.at(neck.fret(n)), 500 * float(neck.outline.width(neck.fret(n))) / self.scale
            self.lines([([x, x], [y - half, y + half])], color=ring_colour(self.board) if n else INK,
                       lw=0.7 if n else 2.0)
        half = 500 * float(neck.outline.width(neck.end)) / self.scale
        self.body_line(design, y - half, y + half, words=True)
        self.beside(y, neck.outline.width(0.0), neck.outline.width(neck.end))
        marks = sorted({3, 5, 7, 9, 12, 15, 17, 19, 21, 24} & set(range(neck.frets + 1)) | {neck.frets})
        for n in marks:
            if n != neck.frets and neck.frets - n < 2:
                continue
            self.words(float(self.at(neck.fret(n))), y - half - 1.2, str(n), va="top")

    def back(self, design: Design, y: float) -> None:
        """The stripes, the nut on the left, the bass side above."""
        self.stripes(y, -1.0)
        end = 500 * float(self.neck.outline.width(self.neck.end)) / self.scale
        self.body_line(design, y - end, y + end)
        self.words(self.left - 1.5, y + end * 0.62, "bass", ha="right")
        self.words(self.left - 1.5, y - end * 0.62, "treble", ha="right")

    def stripes(self, y: float, way: float) -> None:
        """The stripes as they lie under the fretboard; way: -1 with the bass side above, 1 below."""
        edges = 1e3 * self.neck.layup.edges_at(self.x).T
        half = 500 * self.neck.outline.width(self.x)
        for stripe, low, high in zip(self.neck.layup.stripes, edges[:-1], edges[1:], strict=True):
            a, b = (way * np.clip(side, -half, half) / self.scale for side in (low, high))
            self.fill(y + a, y + b, tone(stripe.board.species), 0.35)
        self.outline(y, "none")

    def side(self, design: Design, y: float) -> None:
        """From the bass side, the strings above; rod and bars dashed inside."""
        neck, k, px = self.neck, 1e3 / self.scale, self.at(self.x)
        deep, top = k * neck.back.depth(self.x), k * neck.fretboard.thickness
        line = y + (float(deep[-1]) - top) / 2 + 1.0
        self.fill(line + 0 * px, line - deep, tone(neck.layup.stripes[0].board.species))
        low = line
        for layer in neck.fretboard.layers:
            high = low + k * layer.thickness
            self.ax.fill([px[0], px[-1], px[-1], px[0]], [low, low, high, high],
                         facecolor=tone(layer.board.species), edgecolor=INK, lw=0.8 if low == line else 0.5)
            low = high
        inside = []
        if neck.channel is not None:
            c = neck.channel
            inside.append((c.start, min(c.end, neck.end), c.below, c.depth))
        inside += [(0.0, neck.end, bar.below, bar.below + bar.depth) for bar in neck.bars]
        colour = ring_colour(tone(neck.layup.stripes[0].board.species))
        for start, end, above, below in dict.fromkeys(inside):
            a, b = self.at(start), self.at(end)
            self.lines([([a, a, b, b, a], line - k * np.array([above, below, below, above, above]))],
                       ls=(0, (2.5, 1.5)), color=colour, lw=0.8)
        self.body_line(design, line - float(deep[-1]), line + top)
        self.beside(line - deep[0] / 3, *(float(neck.back.depth(x)) + neck.fretboard.thickness
                                          for x in (0.0, neck.end)))

    def scale_bar(self, y: float) -> None:
        """How long 100 mm (or 4 in) of the neck are on the paper, and the scale."""
        inch = self.system == units.INCH
        long = (4 * 25.4 if inch else 100.0) / self.scale
        self.lines([([self.left, self.left + long], [y, y])], lw=2.0)
        self.lines([([x, x], [y - 1, y + 1]) for x in (self.left, self.left + long)], lw=0.9)
        self.words(self.left + long + 2, y, f"{'4 in' if inch else '100 mm'} of the neck; front, back and "
                   f"side 1:{self.scale}, sections 1:1, when printed at 100 %", ha="left")


def _sections(fig: Figure, ax: Axes, design: Design, high: float, top: float, tall: float) -> None:
    """Two sections in full size, their stripes numbered from the bass side."""
    neck = design.neck()
    reach = min(1e3 * neck.outline.end_width / 2 + 5.0, (WIDE - 4) / 4)
    rise = 1e3 * neck.fretboard.thickness + 5.5
    for k, fret in enumerate((1, 12 if neck.frets >= 12 else neck.frets)):
        middle, x = WIDE / 4 * (1 + 2 * k), float(neck.fret(fret))
        box = ((middle - reach) / WIDE, (top - tall) / high, 2 * reach / WIDE, tall / high)
        inner = fig.add_axes(box)
        EndView(inner, reach, rise - tall, rise).show(neck, x)
        ax.text(middle, top + 0.5, f"Section at fret {fret}, 1:1", ha="center", va="bottom",
                fontweight="bold")
        _numbered(inner, neck, x)


def _numbered(ax: Axes, neck: Neck, x: float) -> None:
    """The number of every stripe under it, with a line up to it; lower by turns where they stand close."""
    a, depth = 500 * float(neck.outline.width(x)), 1e3 * float(neck.back.depth(x))
    edges = np.clip(1e3 * neck.layup.edges, -a, a)
    seen = [(i, (left + right) / 2) for i, (left, right) in enumerate(zip(edges, edges[1:], strict=False))
            if right - left > 1e-6]
    for k, (i, y) in enumerate(seen):
        close = any(abs(y - other) < 3.6 for j, other in seen if j != i)
        low = depth + (5.2 if close and min(k, len(seen) - 1 - k) % 2 else 2.2)
        floor = float(neck.back.surface(np.array([y]), a, depth)[0])
        ax.plot([y, y], [floor - 0.4, -low + 0.4], color=FAINT, lw=0.5)
        ax.text(y, -low, str(i + 1), ha="center", va="top", color=INK)


def blank_drawing(cut: CutList) -> tuple[str, str, float]:
    """The glued blank's end in full size, seen from the body: stripes numbered, rings as they are to lie, a
    triangle at the side marked *up*, filled where the end marked *head* lies at the head. Returns SVG, its
    words, its width (mm)."""
    edges, deep = 1e3 * cut.design.neck().layup.edges, 1e3 * cut.blank.depth
    wide, high = edges[-1] - edges[0] + 24.0, deep + 17.0
    with matplotlib.rc_context(LOOK):
        fig = Figure(figsize=(wide / 25.4, high / 25.4))
        ax = fig.add_axes((0, 0, 1, 1))
        ax.set(xlim=(-wide / 2, wide / 2), ylim=(-deep - 11.0, 6.0))
        ax.axis("off")
        ax.text(edges[0] - 1.5, -deep / 2, "bass", ha="right", va="center")
        ax.text(edges[-1] + 1.5, -deep / 2, "treble", ha="left", va="center")
        for piece, stripe, a, b in zip(cut.stripes, cut.design.neck().layup.stripes, edges, edges[1:],
                                       strict=False):
            face, y = tone(stripe.board.species), (a + b) / 2
            ax.fill([a, b, b, a], [0, 0, -deep, -deep], facecolor=face, edgecolor=INK, lw=0.6)
            for line in ring_lines(a, b, -deep, 0.0, float(stripe.board.ring_angle)):
                ax.plot(*zip(*line, strict=True), color=ring_colour(face), lw=0.6)
            at, shape = (1.8, "v") if piece.face_up else (-deep - 1.8, "^")
            ax.plot(y, at, marker=shape, ms=4.2, mec=INK, mew=0.8, mfc=INK if piece.to_head else "white")
            low = -deep - (7.4 if b - a < 4 and piece.number % 2 == 0 else 4.0)
            ax.text(y, low, str(piece.number), ha="center", va="top")
        svg = as_svg(fig)
    told = "; ".join(f"{p.number} {'up' if p.face_up else 'down'}, head mark at the "
                     f"{'head' if p.to_head else 'body'}" for p in cut.stripes)
    return svg, f"End of the glued blank, seen from the body, in full size. Stripes from bass: {told}.", wide
