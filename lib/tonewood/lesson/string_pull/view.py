"""Side view of a neck under its strings: lengths and thicknesses to scale in millimetres, the bow drawn many times as large."""

import numpy as np
from matplotlib.collections import LineCollection, PolyCollection

from tonewood.panel import style
from tonewood.lesson.shared.end_view import STEEL
from tonewood.lesson.shared.wood_colours import tone
from tonewood.neck.load.bow import stations_checked

TIMES = 80
"""How many times the bow is exaggerated."""
BODY = "#dccbb0"


class SideView:
    """Draws on `ax` once; `show(found, slack, set)` then only changes data. `artists` is what moves."""

    def __init__(self, ax, slack_style, reach=930):
        ax.set(xlim=(-25, reach), ylim=(-112, 16), aspect="equal")
        ax.axis("off")
        ax.set_title(f"Side view, the bow drawn {TIMES} times", fontsize=10, pad=3)
        left = reach - 175
        ax.plot([left, left + 100], [-100] * 2, color="#444444", lw=2, solid_capstyle="butt")
        ax.text(left + 50, -98, "100 mm", ha="center", va="bottom", fontsize=8.5, color="#444444")
        ax.plot([left + 125] * 2, [-100, -100 + 0.5 * TIMES], color="#444444", lw=2, solid_capstyle="butt")
        ax.text(left + 130, -100 + 0.25 * TIMES, "0.5 mm\nof bow", ha="left", va="center", fontsize=8.5, color="#444444")
        self.body = PolyCollection([np.zeros((3, 2))], facecolors=BODY, edgecolors="#8a7a60", linewidths=0.8, zorder=1)
        self.wood = PolyCollection([np.zeros((3, 2))], edgecolors="#3a3029", linewidths=0.8, zorder=2)
        self.frets = LineCollection([], colors="#555555", linewidths=1.0, zorder=3)
        self.bars = LineCollection([], colors=STEEL, linewidths=2.2, zorder=3)
        for artist in (self.body, self.wood, self.frets, self.bars):
            ax.add_collection(artist, autolim=False)
        self.slack, = ax.plot([], [], zorder=4, **slack_style)
        self.string, = ax.plot([], [], color="#222222", lw=1.0, zorder=4)
        self.edge, = ax.plot([], [], zorder=5, **style.REFERENCE)
        handles = [ax.plot([], [], color=style.BLACK, lw=1.0, label="strings")[0], ax.plot([], [], label="straightedge", **style.REFERENCE)[0],
                   ax.plot([], [], label="board top, rod slack", **slack_style)[0], ax.plot([], [], color=STEEL, lw=3, label="rod, set; the wood with it")[0]]
        ax.legend(handles=handles, loc="lower right", fontsize=8.5, ncols=4, columnspacing=1.2, handlelength=1.8, borderaxespad=0.0, bbox_to_anchor=(1.0, 1.0))
        self.artists = [self.body, self.wood, self.frets, self.bars, self.slack, self.string, self.edge]

    def show(self, found, slack, after):
        """found: Pulled; slack, after: gap (F,) in m under the straightedge at the frets with the rod slack and set (medians)."""
        neck, setup, scale = found.neck, found.setup, 1e3 * found.neck.scale_length
        places = 1e3 * found.slack.fret_positions

        def top(at, gap):
            """z (mm, exaggerated bow) of the board's top at `at`; nut and bridge stay where they are, as they do for the strings."""
            nut, bridge, here = (beyond(np.atleast_1d(p), places, gap) for p in (0.0, scale, at))
            return -TIMES * 1e3 * (here - nut - (bridge - nut) * np.asarray(at) / scale)

        x = np.linspace(0.0, 1e3 * neck.end, 60)
        upper = top(x, after)
        board, depth = 1e3 * neck.fretboard.thickness, 1e3 * neck.back.depth(1e-3 * x)
        self.wood.set_verts([_between(x, upper - board, upper - board - depth), _between(x, upper, upper - board)])
        self.wood.set_facecolors([tone(neck.layup.stripes[0].board.species), tone(neck.fretboard.board.species)])
        self.slack.set_data(x, top(x, slack))
        fret = 2.2e3 * setup.fret_height
        at_frets = top(places, after)
        self.frets.set_segments([((p, z), (p, z + fret)) for p, z in zip(places, at_frets)])
        self.edge.set_data(places[[0, -1]], at_frets[[0, -1]] + fret)
        body = np.linspace(1e3 * neck.body_start, scale + 40, 12)
        deck = top(body, after) - board - 1.0
        self.body.set_verts([_between(body, deck, deck - 40.0)])
        string = 1e3 * (setup.heights(neck, np.array([0.0, neck.scale_length]), 1)[0] - neck.fretboard.thickness)
        self.string.set_data([-20.0, 0.0, scale, scale, scale + 12], [string[0] - 6.0, string[0], string[1], -board, -board])
        along = np.linspace(1e3 * found.rod.start, 1e3 * found.rod.end, 40)
        centre = top(along, after) - board + 1e3 * found.rod.height(1e-3 * along)
        half = 1e3 * found.rod.gap / 2 if found.rod.action == "double" else 0.0
        self.bars.set_segments([np.column_stack([along, centre + h]) for h in ((half, -half) if half else (0.0,))])


def beyond(x, places, gap):
    """Gap (m) at x between and beyond the frets at places: smooth between them, straight beyond the first and the last."""
    stations_checked(places)
    inside = np.interp(x, places, gap)
    for k, near in ((0, 1), (-1, -2)):
        slope = (gap[near] - gap[k]) / (places[near] - places[k])
        out = x < places[0] if k == 0 else x > places[-1]
        inside = np.where(out, gap[k] + slope * (x - places[k]), inside)
    return inside


def _between(x, upper, lower):
    return np.column_stack([np.concatenate([x, x[::-1]]), np.concatenate([upper, lower[::-1]])])
