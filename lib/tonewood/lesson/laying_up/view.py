"""The lay-up as it lies on the bench: end view to scale, and below it each stripe from the side and from above with an arrow along its grain."""

import numpy as np
from matplotlib.collections import LineCollection, PolyCollection

from tonewood.lesson.shared.end_view import EndView
from tonewood.lesson.shared.wood_colours import tone
from tonewood.neck.layup.stripe_order import grain_direction, stripe_turns

STEEPER = 4.0                   # slants are drawn this many times steeper, or a few degrees would not be seen
REACH, WIDEST = 26.5, 10.0      # mm: half width of the row of cells, widest cell
SIDE, FACE = (-35.0, -27.0), (-46.5, -38.5)
TAB = 1.2                       # mm of each cell in the tone of its wood
LEFT = 0.8                      # share of a cell that the arrow takes
HEAVY, LIGHT = 2.4, 0.8         # frames of turned stripes and of those as sawn


class LayupView:
    """Draws on `ax` once; `show` then only changes data."""

    def __init__(self, ax):
        self.end = EndView(ax, y_reach=27.5, z_low=-58.0)
        ax.set(ylim=(-58.5, 8.8))
        ax.set_anchor("N")
        for (low, _), words in ((SIDE, "each stripe from the side: run-out"), (FACE, "each stripe from above: slope of grain")):
            ax.text(-REACH, low - 0.5, words, fontsize=9, va="top", ha="left", color="#222222")
        ax.text(-12.5, -50.5, "Nut to the left. The arrow runs from the root end to the\ncrown end of the board; its slant is drawn four times too\n"
                "steep. Heavy frame: stripe turned before glue-up.\nTwist: treble edge above bass edge at the last fret.", fontsize=8.5, va="top", ha="left", color="#444444", linespacing=1.25)
        self.leaders = LineCollection([], colors="#8a8a8a", linewidths=0.7, zorder=0.5)
        self.cells = PolyCollection([np.zeros((4, 2))], facecolors="white", edgecolors="#222222", zorder=2)
        self.tabs = PolyCollection([np.zeros((4, 2))], edgecolors="#3a3029", linewidths=0.6, zorder=2.5)
        self.arrows = LineCollection([], colors="#0b0b0b", linewidths=1.5, zorder=3, capstyle="round")
        for artist in (self.leaders, self.cells, self.tabs, self.arrows):
            ax.add_collection(artist, autolim=False)

    def show(self, sawn, neck, arrangement, x):
        """sawn: the Neck with every stripe as it came off the saw; neck: the same arranged; x: station of the end view (m)."""
        self.end.show(neck, x)
        stripes, turns = sawn.layup.stripes, stripe_turns(sawn, arrangement)
        count = len(stripes)
        pitch = min(2 * REACH / count, WIDEST)
        centres = (np.arange(count) - (count - 1) / 2) * pitch
        half = 0.44 * pitch
        a, b = 1e3 * float(neck.outline.width(x)) / 2, 1e3 * float(neck.back.depth(x))
        edges = np.clip(1e3 * neck.layup.edges, -a, a)
        middle = (edges[1:] + edges[:-1]) / 2
        floor = neck.back.surface(middle, a, b)
        leaders, cells, tabs, arrows, frames = [], [], [], [], []
        for k, (stripe, turn) in enumerate(zip(stripes, turns)):
            along, across, up = grain_direction(stripe.board, turn)
            leaders.append([(middle[k], floor[k]), (centres[k], SIDE[1])])
            for (low, high), climb in ((SIDE, up), (FACE, across)):
                cells.append(_box(centres[k] - half, centres[k] + half, low, high))
                frames.append(LIGHT if turn == "as sawn" else HEAVY)
                tabs.append(_box(centres[k] - half, centres[k] + half, high - TAB, high))
                arrows += _arrow(centres[k], (low + high - TAB) / 2, LEFT * half, along, climb)
        self.leaders.set_segments(leaders)
        self.cells.set_verts(cells)
        self.cells.set_linewidths(frames)
        self.tabs.set_verts(tabs)
        self.tabs.set_facecolors([tone(s.board.species) for s in stripes for _ in range(2)])
        self.arrows.set_segments(arrows)


def _arrow(y, z, half, along, climb):
    """Shaft and two barbs of an arrow of half length `half` centred on (y, z), pointing along the grain, its slant STEEPER than true."""
    slant = np.arctan2(climb, abs(along)) * STEEPER
    direction = np.array([np.sign(along) * np.cos(slant), np.sin(slant)])
    length = min(half / abs(direction[0]), 2.6 / max(abs(direction[1]), 1e-9))
    root, tip = np.array([y, z]) - length * direction, np.array([y, z]) + length * direction
    normal, barb = np.array([-direction[1], direction[0]]), min(1.3, 0.6 * length)
    return [(root, tip)] + [(tip, tip - barb * direction + sign * 0.55 * barb * normal) for sign in (-1, 1)]


def _box(y0, y1, z0, z1):
    return np.array([(y0, z0), (y1, z0), (y1, z1), (y0, z1)])
