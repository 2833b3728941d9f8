"""The lay-up on the bench: end view to scale, below it each stripe's grain from the side and from above."""

from __future__ import annotations

import textwrap

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection, PolyCollection

from tonewood.lesson.laying_up.model import as_sawn, turns
from tonewood.lesson.shared.end_view import EndView
from tonewood.lesson.shared.wood_colours import tone
from tonewood.neck.design import Design
from tonewood.neck.layup.stripe_order import grain_direction
from tonewood.panel import stacking

STEEPER = 4.0                   # slants are drawn this many times steeper, or a few degrees would not be seen
WIDE = 27.5                     # mm: half width of the picture; a wider neck makes it wider
REACH, WIDEST = 26.5, 10.0      # mm: half width of the row of cells, widest cell
SIDE, FACE = (-35.0, -27.0), (-46.5, -38.5)
TAB = 1.2                       # mm of each cell in the tone of its wood
LEFT = 0.8                      # share of a cell that the arrow takes
HEAVY, LIGHT = 2.4, 0.8         # frames of turned stripes and of those as sawn
STACK = {"Stripes": 600, "Gauges": 640}


class LayupView:
    """Draws on `ax` once; `show` then only changes data."""

    def __init__(self, ax: Axes) -> None:
        self.ax, self.end = ax, EndView(ax, y_reach=WIDE, z_low=-58.0)
        slim = stacking.narrow(ax.get_figure())
        ax.set(ylim=(-75.5 if slim else -58.5, 8.8))
        ax.set_anchor("N")
        for (low, _), words in ((SIDE, "each stripe from the side: run-out"),
                                (FACE, "each stripe from above: slope of grain")):
            ax.text(-REACH, low - 0.5, words, va="top", ha="left", color="#222222")
        words = ("Nut to the left. The arrow runs from root end to",
                 "crown end of the board, drawn four times too",
                 "steep. Heavy frame: turned before glue-up.",
                 "Twist: treble edge over bass edge, last fret.")
        if slim:
            words = textwrap.wrap(" ".join(words), 42)
        ax.text(*(-26.5, -59.5) if slim else (-12.5, -50.5), "\n".join(words), va="top", color="#444444",
                linespacing=1.25)
        self.leaders = LineCollection([], colors="#8a8a8a", linewidths=0.7, zorder=0.5)
        self.cells = PolyCollection([np.zeros((4, 2))], facecolors="white", edgecolors="#222222", zorder=2)
        self.tabs = PolyCollection([np.zeros((4, 2))], edgecolors="#3a3029", linewidths=0.6, zorder=2.5)
        self.arrows = LineCollection([], colors="#0b0b0b", linewidths=1.5, zorder=3, capstyle="round")
        for artist in (self.leaders, self.cells, self.tabs, self.arrows):
            ax.add_collection(artist, autolim=False)

    def show(self, design: Design, fret: int, held: Design | None = None) -> None:
        """Show the stripes of a design, the end view at `fret`; held: the ghost of the end view."""
        neck, count = design.neck(), len(design.stripes)
        x = float(neck.fret(fret))
        self.end.show(neck, x)
        kept = held and held.neck()
        self.end.show_ghost(kept, kept and float(kept.fret(fret)))
        pitch = min(2 * REACH / count, WIDEST)
        centres = (np.arange(count) - (count - 1) / 2) * pitch
        half = 0.44 * pitch
        a, b = 1e3 * float(neck.outline.width(x)) / 2, 1e3 * float(neck.back.depth(x))
        if (wide := max(WIDE, a + 1)) != self.ax.get_xlim()[1]:
            self.ax.set_xlim(-wide, wide)
        edges = np.clip(1e3 * neck.layup.edges, -a, a)
        middle = (edges[1:] + edges[:-1]) / 2
        floor = neck.back.surface(middle, a, b)
        sawn = as_sawn(design).neck().layup.stripes
        cells, tabs, arrows = [], [], []
        for plan, stripe, centre in zip(design.stripes, sawn, centres, strict=True):
            along, across, up = grain_direction(stripe.board, plan.turn)
            for (low, high), climb in ((SIDE, up), (FACE, across)):
                cells.append(box(centre - half, centre + half, low, high))
                tabs.append(box(centre - half, centre + half, high - TAB, high))
                arrows += arrow(centre, (low + high - TAB) / 2, LEFT * half, along, climb)
        feet = zip(middle, floor, centres, strict=True)
        self.leaders.set_segments([[(y, z), (centre, SIDE[1])] for y, z, centre in feet])
        self.cells.set_verts(cells)
        frames = [LIGHT if turn == "as sawn" else HEAVY for turn in turns(design)]
        self.cells.set_linewidths(np.repeat(frames, 2))
        self.tabs.set_verts(tabs)
        self.tabs.set_facecolors([tone(stripe.board.species) for stripe in sawn for _ in (SIDE, FACE)])
        self.arrows.set_segments(arrows)


def arrow(y: float, z: float, half: float, along: float, climb: float) -> list[tuple[np.ndarray, np.ndarray]]:
    """Shaft and two barbs of an arrow along the grain, half as long as `half` says, STEEPER than true."""
    slant = np.arctan2(climb, abs(along)) * STEEPER
    direction = np.array([np.sign(along) * np.cos(slant), np.sin(slant)])
    length = min(half / abs(direction[0]), 2.6 / max(abs(direction[1]), 1e-9))
    root, tip = np.array([y, z]) - length * direction, np.array([y, z]) + length * direction
    normal, barb = np.array([-direction[1], direction[0]]), min(1.3, 0.6 * length)
    return [(root, tip)] + [(tip, tip - barb * direction + sign * 0.55 * barb * normal) for sign in (-1, 1)]


def box(y0: float, y1: float, z0: float, z1: float) -> np.ndarray:
    """Corners (4, 2) of an upright rectangle."""
    return np.array([(y0, z0), (y1, z0), (y1, z1), (y0, z1)])
