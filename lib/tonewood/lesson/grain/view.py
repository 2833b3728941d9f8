"""The picture of the grain lesson: end, side and face of a blank, and four panels of curves."""

from __future__ import annotations

from types import SimpleNamespace

from matplotlib.figure import Figure

from tonewood.lesson.grain.model import RINGS, RUN_OUTS, THICKNESS, WIDTH
from tonewood.lesson.shared.board_view import BoardView
from tonewood.panel import stacking, style

EXAGGERATED = 15
FORMULA = "Hankinson's formula"
RUN, RING = ("run-out (°)", (0, 5, 10, 15), RUN_OUTS), ("ring angle (°)", (0, 30, 60, 90), RINGS)
PANELS = (("Stiffness along the board", "% of straight grain", RUN, (20, 118),
           ("full calculation", FORMULA)),
          ("Stiffness across the board", "% of along the grain", RING, (0, 30), ("width", "thickness")),
          ("Change of a 60 × 25 mm blank", "mm", RING, (-1.2, 2.0), ("width", "thickness")),
          ("Loss factor along the board", "% of straight grain", RUN, (90, 320), (None,)))
"""Title, unit, axis (label, ticks, places), scale, and the names of the curves."""
STACK = {"Board": 480, "Along": 300, "Across": 300, "Movement": 300, "Loss factor": 300}
"""Board and PANELS."""


def picture(fig: Figure) -> SimpleNamespace:
    """Draws once. Returns the view of the blank, and for the curves in the order of the panels lines, dots
    and bands (Hankinson's formula has none)."""
    if stacking.narrow(fig):
        places = [stacking.cell(fig, STACK, name, *(10, 10, 8, 8) if name == "Board" else (52, 18, 44, 42))
                  for name in STACK]
    else:
        grid = fig.add_gridspec(2, 3, width_ratios=(1.02, 1, 1), left=0.01, right=0.985, top=0.93,
                                bottom=0.08, wspace=0.26, hspace=0.45)
        places = grid[:, 0], grid[0, 1], grid[0, 2], grid[1, 2], grid[1, 1]
    blank = fig.add_subplot(places[0])
    blank.set(xlim=(-3, 123), ylim=(-6, 196))
    view = BoardView(blank, {"end": (30, 148, 0), "side": (0, 86, 120), "face": (0, 0, 120)}, WIDTH,
                     THICKNESS, after=True)
    blank.text(60, 138, f"dashed: settled, movement × {EXAGGERATED}", ha="center", va="top")
    art = SimpleNamespace(view=view, bands=[], lines=[], dots=[])
    looks = style.NOW, {**style.NOW, "color": style.VERMILLION, "linestyle": "--"}
    for place, (title, unit, (label, ticks, x), scale, names) in zip(places[1:], PANELS, strict=True):
        ax = fig.add_subplot(place)
        ax.set(xlim=(ticks[0], ticks[-1]), ylim=scale, xticks=ticks)
        ax.set_title(title, pad=16)
        ax.text(0, 1.015, unit, transform=ax.transAxes, va="bottom")
        ax.set_xlabel(label, labelpad=1)
        ax.yaxis.of_unit = unit
        for name, look in zip(names, looks, strict=False):
            art.lines.append(ax.plot(x, 0 * x, **look, label=name)[0])
            art.dots.append(ax.plot([], [], "o", color=look["color"], ms=7, mec="white", mew=1)[0])
            if name != FORMULA:
                art.bands.append(ax.fill_between(x, 0 * x, 0 * x, color=look["color"], alpha=0.16, lw=0))
        if names[0]:
            ax.legend(loc="upper right", handlelength=2.2, borderpad=0.1, labelspacing=0.25)
        if scale[0] < 0:
            ax.axhline(0, color=style.BLACK, lw=0.8)
    return art
