"""A board drawn to scale in mm: end view with growth rings, side view and face view with grain lines."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection, PolyCollection

from tonewood.lesson.shared.end_view import ring_colour, ring_lines
from tonewood.lesson.shared.wood_colours import tone
from tonewood.panel import style
from tonewood.wood.board import Board

EDGE = "#3a3029"
SPACING = {"end": 2.2, "side": 4.0, "face": 5.0}


class BoardView:
    """Views of one board on one `ax`; draws once, `show(board)` changes data.

    places: {"end" | "side" | "face": (left, bottom, length)}, length in mm along the board (ignored for the
    end). With `after`, the end view also carries the outline of the board once it has moved, exaggerated; not
    `sized`: its size stands elsewhere.
    """

    def __init__(self, ax: Axes, places: dict[str, tuple[float, float, float]], width: float = 60.0,
                 thickness: float = 25.0, after: bool = False, sized: bool = True) -> None:
        ax.axis("off")
        ax.set_aspect("equal")
        sizes = {"end": lambda _: (width, thickness), "side": lambda n: (n, thickness),
                 "face": lambda n: (n, width)}
        self.boxes = {name: (x, y, *sizes[name](length)) for name, (x, y, length) in places.items()}
        self.faces = PolyCollection([_rectangle(*box) for box in self.boxes.values()], edgecolors=EDGE,
                                    linewidths=1.1, zorder=1)
        self.lines = {name: LineCollection([], linewidths=0.9, zorder=2) for name in places}
        self.moved = PolyCollection([np.zeros((4, 2))], facecolors="none", edgecolors=style.BLUE,
                                    linestyles=[(0, (4, 2))], linewidths=1.6, zorder=3)
        for artist in (self.faces, *self.lines.values(), self.moved):
            ax.add_collection(artist, autolim=False)
        self.after = after
        says = {"end": f"end, {width:g} × {thickness:g} mm" if sized else "end", "side": "side view: run-out",
                "face": "face view: slope of grain"}
        for name, (x, y, _, h) in self.boxes.items():
            ax.text(x, y + h + (8.0 if after and name == "end" else 1.5), says[name], va="bottom",
                    ha="left")

    def show(self, board: Board, moisture_change: float = 0.0, exaggerated: float = 25.0) -> None:
        """Draw `board` (single values); the dashed outline is the end after `moisture_change` (fraction),
        movement times `exaggerated`."""
        colour = tone(board.species)
        self.faces.set_facecolors([colour] * len(self.boxes))
        angles = {"end": float(board.ring_angle), "side": np.pi - float(board.run_out),
                  "face": np.pi - float(board.slope)}
        for name, (x, y, w, h) in self.boxes.items():
            self.lines[name].set_segments(ring_lines(x, x + w, y, y + h, angles[name], SPACING[name]))
            self.lines[name].set_color(ring_colour(colour))
        if self.after and "end" in self.boxes:
            x, y, w, h = self.boxes["end"]
            middle = np.array([x + w / 2, y + h / 2])
            corners = _rectangle(x, y, w, h) - middle
            strain = np.asarray(board.swelling_xyz)[1:, 1:] * moisture_change * exaggerated
            self.moved.set_verts([middle + corners + corners @ strain])


def _rectangle(x: float, y: float, w: float, h: float) -> np.ndarray:
    return np.array([(x, y), (x + w, y), (x + w, y + h), (x, y + h)])
