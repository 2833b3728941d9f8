"""The picture of lesson 09: how the band of the stiffness narrows reading by reading, the board's end and
side, and gauges of the board and of the neck that gets it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.collections import PolyCollection
from matplotlib.figure import Figure

from tonewood.lesson.shared.board_view import BoardView
from tonewood.panel import stacking, style
from tonewood.panel.gauges import Gauges, Row
from tonewood.panel.quick_text import Numbers

ROWS = (Row("The board: density", "kg/m³", 300, 1300, 0),
        Row("The board: loss factor", "thousandths", 0, 25, 1),
        Row("The neck: stiffness", "N·m²", 200, 900, 0),
        Row("The neck: relief, rod slack", "mm", 0.0, 1.0, 2),
        Row("The neck: weight, nut to last fret", "g", 150, 750, 0),
        Row("The board: shear stiffness", "GPa", 0.0, 3.0, 2))
MOST = 4
"""Bands in the picture: the tables', then one more with each of weighing, tapping and bending."""
STACK = {"Stiffness": 360, "Board": 130, "Gauges": 520}


class Picture:
    """Draws on a bare figure once; `show_stages` changes data; `.view` and `.gauges` are shown by their own.
    """

    def __init__(self, fig: Figure) -> None:
        slim = stacking.narrow(fig)
        if slim:
            places = (stacking.cell(fig, STACK, "Stiffness", 20, 20, 46, 30),
                      stacking.cell(fig, STACK, "Board", 20, 20, 4, 4), stacking.cell(fig, STACK, "Gauges",
                                                                                      16, 20))
        else:
            grid = fig.add_gridspec(2, 2, height_ratios=(2.4, 1), left=0.02, right=0.975, top=0.93,
                                    bottom=0.05,
                                    wspace=0.11, hspace=0.36)
            places = grid[0, 0], grid[1, 0], grid[:, 1]
        ax = fig.add_subplot(places[0])
        ax.set(xlim=(2, 30), ylim=(MOST - 0.45, -0.6), yticks=[])
        stacking.title(ax, "Stiffness along the grain at 12 % moisture (GPa)", pad=6)
        ax.spines["left"].set_visible(False)
        self.bars = PolyCollection([], facecolors=style.BLUE, alpha=0.35, edgecolors=style.BLUE)
        self.first = PolyCollection([], facecolors="none", edgecolors=style.HELD["color"], linewidths=1.6,
                                    linestyles=[style.HELD["linestyle"]])
        for artist in (self.bars, self.first):
            ax.add_collection(artist, autolim=False)
        self.middles, = ax.plot([], [], "|", color=style.BLUE, ms=22, mew=3)
        self.names = Numbers(ax, style.SMALL, "left")
        self.numbers = Numbers(ax, style.SMALL, "left")
        below = fig.add_subplot(places[1])
        below.set(xlim=(-2, 202), ylim=(-14, 34))
        below.text(0, -4, "dashed: tables alone; blue: with what was\nread; 90 of 100" if slim else
                   "dashed: tables alone; blue: with what was read; 90 of 100", va="top")
        self.view = BoardView(below, {"end": (0, 0, 0), "side": (78, 0, 122)}, sized=False)
        self.gauges = Gauges(fig, places[2], ROWS)

    def show_stages(self, stages: Sequence[tuple[str, tuple[float, float, float]]]) -> None:
        """(words, (5 %, 50 %, 95 %) in GPa) of each stage, the tables alone first."""
        boxes = [np.array([(low, k - 0.3), (high, k - 0.3), (high, k + 0.3), (low, k + 0.3)])
                 for k, (_, (low, _, high)) in enumerate(stages)]
        self.first.set_verts(boxes[:1])
        self.bars.set_verts(boxes[1:])
        self.middles.set_data([three[1] for _, three in stages], range(len(stages)))
        self.names.show([2.0] * len(stages), [k - 0.42 for k in range(len(stages))], [name for name,
                                                                                      _ in stages])
        self.numbers.show([three[2] + 0.5 for _, three in stages], list(range(len(stages))),
                          [f"{three[1]:.1f} ({three[0]:.1f} to {three[2]:.1f})" for _, three in stages])
