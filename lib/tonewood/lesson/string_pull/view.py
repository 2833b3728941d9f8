"""Side view of a neck under its strings: lengths and thicknesses to scale, the bow many times as large."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection, PolyCollection

from tonewood.lesson.shared.end_view import STEEL
from tonewood.lesson.shared.wood_colours import tone
from tonewood.lesson.string_pull.model import Pulled
from tonewood.neck.load.bow import stations_checked
from tonewood.panel import stacking, style
from tonewood.panel.figure_units import scale_bar
from tonewood.panel.quick_text import Numbers

TIMES = 80
"""How many times the bow is exaggerated, half or a quarter of it where the neck would leave the picture."""
LOWEST = -108                   # mm
SLACK = {"color": style.VERMILLION, "linestyle": (0, (4, 1.5)), "linewidth": 1.8}
BODY, INK = "#dccbb0", "#444444"
REACH = 930                     # mm from the nut


class SideView:
    """Draws on `ax` once; `show` then only changes data. `artists` is what moves."""

    def __init__(self, ax: Axes) -> None:
        slim = stacking.narrow(ax.get_figure())
        ax.set(xlim=(-25, REACH), ylim=(-200 if slim else -112, 28), aspect=2 if slim else 1)
        ax.axis("off")
        exaggerated = "heights × 2, bow exaggerated" if slim else f"bow × {TIMES}"
        ax.set_title(f"Side view, {exaggerated}", pad=3)
        left, apart, gap = (REACH - 350, 170, 14) if slim else (REACH - 175, 125, 5)
        self._base = -172 if slim else -100
        scale_bar(ax, left, self._base, {"100 mm": 100.0, "4 in": 101.6}, 2.0, INK)
        ax.plot([left + apart] * 2, [self._base, self._base + 0.5 * TIMES], color=INK, lw=2,
                solid_capstyle="butt")
        self.says, self._beside = Numbers(ax, style.SMALL, "left"), left + apart + gap
        none, thin = [np.zeros((3, 2))], {"linewidths": 0.8}
        self.body = PolyCollection(none, facecolors=BODY, edgecolors="#8a7a60", zorder=1, **thin)
        self.wood = PolyCollection(none, edgecolors="#3a3029", zorder=2, **thin)
        self.frets = LineCollection([], colors="#555555", linewidths=1.0, zorder=3)
        self.bars = LineCollection([], colors=STEEL, linewidths=2.2, zorder=3)
        for artist in (self.body, self.wood, self.frets, self.bars):
            ax.add_collection(artist, autolim=False)
        self.slack, = ax.plot([], [], zorder=4, **SLACK)
        self.string, = ax.plot([], [], color="#222222", lw=1.0, zorder=4)
        self.edge, = ax.plot([], [], zorder=5, **style.REFERENCE)
        named = {"strings": {"color": style.BLACK, "lw": 1.0}, "straightedge": style.REFERENCE,
                 "board top, rod slack": SLACK, "rod set, wood with it": {"color": STEEL, "lw": 3}}
        ax.legend(handles=[ax.plot([], [], label=words, **looks)[0] for words, looks in named.items()],
                  loc="upper left" if slim else "lower right", ncols=1 if slim else 4, columnspacing=0.5,
                  handlelength=1.3, handletextpad=0.5, borderaxespad=0.0,
                  bbox_to_anchor=(0.0, 0.36) if slim else (1.0, 0.96))
        self.artists = [self.body, self.wood, self.frets, self.bars, self.slack, self.string, self.edge]

    def show(self, found: Pulled, slack: np.ndarray, after: np.ndarray) -> None:
        """slack, after: gap (F,) in m under the straightedge at the frets, rod slack and set (medians)."""
        neck, setup, scale = found.neck, found.design.setup(), 1e3 * found.neck.scale_length
        woods = neck.pieces[0].species, neck.pieces[-1].species
        places = 1e3 * found.slack.fret_positions

        def top(at: np.ndarray, gap: np.ndarray) -> np.ndarray:
            """z (mm, bow exaggerated) of the board's top; nut and bridge stay, as they do for the strings."""
            nut, bridge, here = (beyond(np.atleast_1d(p), places, gap) for p in (0.0, scale, at))
            return -self.times * 1e3 * (here - nut - (bridge - nut) * np.asarray(at) / scale)

        x = np.linspace(0.0, 1e3 * neck.end, 60)
        board, depth = 1e3 * neck.fretboard.thickness, 1e3 * neck.back.depth(1e-3 * x)
        self._choose_times(lambda: min((top(x, after) - board - depth).min(), top(x, slack).min()))
        upper = top(x, after)
        joint = upper - board
        self.wood.set_verts([between(x, joint, joint - depth), between(x, upper, joint)])
        self.wood.set_facecolors([tone(wood) for wood in woods])
        self.slack.set_data(x, top(x, slack))
        fret = 2.2e3 * setup.fret_height
        at_frets = top(places, after)
        self.frets.set_segments([((p, z), (p, z + fret)) for p, z in zip(places, at_frets, strict=True)])
        self.edge.set_data(places[[0, -1]], at_frets[[0, -1]] + fret)
        body = np.linspace(1e3 * found.slack.strung.joint, scale + 40, 12)
        deck = top(body, after) - board - 1.0
        self.body.set_verts([between(body, deck, deck - 40.0)])
        low, high = 1e3 * setup.heights(neck, np.array([0.0, neck.scale_length]), 1)[0] - board
        self.string.set_data([-20.0, 0.0, scale, scale, scale + 12], [low - 6.0, low, high, -board, -board])
        along = np.linspace(1e3 * found.rod.start, 1e3 * found.rod.end, 40)
        centre = top(along, after) - board + 1e3 * found.rod.height(1e-3 * along)
        half = 1e3 * found.rod.gap / 2
        lines = (half, -half) if found.rod.action == "double" else (0.0,)
        self.bars.set_segments([np.column_stack([along, centre + h]) for h in lines])

    def _choose_times(self, low: Callable[[], float]) -> None:
        """Exaggerate as much as leaves the neck in the picture; low: its lowest point (mm) at self.times."""
        for self.times in (TIMES, TIMES // 2, TIMES // 4):
            if low() > LOWEST:
                break
        self.says.show([self._beside] * 2, [self._base + 33, self._base + 10],
                       [f"{0.5 * TIMES / self.times:g} mm", "of bow"], INK)


def beyond(x: np.ndarray, places: np.ndarray, gap: np.ndarray) -> np.ndarray:
    """Gap (m) at x: straight between the frets at `places`, and straight on beyond the first and the last."""
    stations_checked(places)
    inside = np.interp(x, places, gap)
    for k, near in ((0, 1), (-1, -2)):
        slope = (gap[near] - gap[k]) / (places[near] - places[k])
        out = x < places[0] if k == 0 else x > places[-1]
        inside = np.where(out, gap[k] + slope * (x - places[k]), inside)
    return inside


def between(x: np.ndarray, upper: np.ndarray, lower: np.ndarray) -> np.ndarray:
    """Corners (2n, 2) of the area between two lines over x (n,)."""
    return np.column_stack([np.concatenate([x, x[::-1]]), np.concatenate([upper, lower[::-1]])])
