"""The picture of the one-board lesson: stiffness against density, the board's end and side, six gauges."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
from matplotlib.collections import PolyCollection
from matplotlib.colors import to_rgba
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch

from tonewood.lesson.shared.board_view import BoardView
from tonewood.panel import stacking, style
from tonewood.panel.gauges import Gauges, Row

ROWS = (Row("Stiffness along the board", "GPa", 4, 32, 1), Row("Density", "kg/m³", 300, 1300, 0),
        Row("Moisture", "%", 2, 20, 1), Row("Width per 1 % moisture", "%", 0, 0.6, 2),
        Row("Thickness per 1 % moisture", "%", 0, 0.6, 2),
        Row("Loss factor, estimate", "thousandths", 0, 25, 1))
STACK = {"Map": 420, "Board": 150, "Gauges": 590}


def picture(fig: Figure) -> SimpleNamespace:
    """Draws once. Returns what moves: woods, before, now, name, own (the map), view, gauges, sources."""
    slim = stacking.narrow(fig)
    if slim:
        places = (stacking.cell(fig, STACK, "Map", 40, 22, 46, 118), stacking.cell(fig, STACK, "Board", 14,
                                                                                   14, 4, 40),
                  stacking.cell(fig, STACK, "Gauges", 14, 20))
    else:
        grid = fig.add_gridspec(2, 2, height_ratios=(2.6, 1), left=0.055, right=0.985, top=0.955, bottom=0.06,
                                wspace=0.13, hspace=0.42)
        places = grid[0, 0], grid[1, 0], grid[:, 1]
    ax = fig.add_subplot(places[0])
    ax.set(xlim=(300, 1400), ylim=(4, 34))
    stacking.title(ax, "Stiffness along the board (GPa) against density (kg/m³)", pad=4, x=-0.05)
    dot = {"color": style.GREY, "marker": ".", "ls": "none"}
    cross = {"color": style.BLACK, "marker": "+", "mew": 2, "ls": "none"}
    woods, = ax.plot([], [], **dot, ms=5, alpha=0.7)
    before, = ax.plot([], [], **style.HELD)
    now = PolyCollection([np.zeros((3, 2))], facecolors=[to_rgba(style.BLUE, 0.30)], edgecolors=style.BLUE,
                         linewidths=1.6)
    ax.add_collection(now, autolim=False)
    name = ax.text(0, 0, "", fontweight="bold", ha="center", va="top")
    own, = ax.plot([], [], **cross, ms=13)
    ax.legend(handles=[Line2D([], [], **style.HELD, label="tables alone, 90 of 100 boards"),
                       Patch(facecolor=style.BLUE, alpha=0.35, edgecolor=style.BLUE,
                             label="with what you measured"),
                       Line2D([], [], **cross, ms=9, label="best guess, measured"),
                       Line2D([], [], **dot, label="middle of each wood")],
              loc="upper left", bbox_to_anchor=(-0.09, -0.07), ncol=1 if slim else 2, handlelength=1.6,
              borderpad=0.2, labelspacing=0.3, columnspacing=0.8, handletextpad=0.5)
    below = fig.add_subplot(places[1])
    below.set(xlim=(-2, 202), ylim=(-14, 34))
    view = BoardView(below, {"end": (0, 0, 0), "side": (96, 0, 104) if slim else (78, 0, 122)})
    gauges = Gauges(fig, places[2], ROWS)
    sources = [gauges.bands[i].axes.plot([], [], "o", color=style.BLACK, ms=4.5, mfc="white", mew=1.2)[0]
               for i in (0, 1)]
    below.text(0, -3, f"○ on a gauge: one printed source;{chr(10) if slim else ' '}dashed: tables alone",
               va="top")
    return SimpleNamespace(woods=woods, before=before, now=now, name=name, own=own, view=view, gauges=gauges,
                           sources=sources)
