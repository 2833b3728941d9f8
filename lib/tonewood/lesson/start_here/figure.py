"""The first slider: dots for boards, a bar for 90 of 100, and a switch for a board that was measured."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
from matplotlib.figure import Figure

from tonewood.lesson.start_here.model import MOST, middle_band, moduli
from tonewood.panel import stacking, style
from tonewood.panel.controls import slider, switch
from tonewood.panel.live_figure import LiveFigure

STACK = {"Boards": 280}


def _setup(fig: Figure) -> SimpleNamespace:
    slim = stacking.narrow(fig)
    ax = fig.add_subplot(stacking.cell(fig, STACK, "Boards", 14, 20, 46, 72) if slim else
                         fig.add_gridspec(1, 1, left=0.03, right=0.98, bottom=0.27, top=0.86)[0])
    ax.set(xlim=(7, 21), ylim=(0, 1), yticks=[],
           xlabel=f"stiffness along the grain{chr(10) if slim else ' '}at 8 % moisture (GPa)")
    stacking.title(ax, "Boards of hard maple: each dot is one board, the bar holds 90 of 100")
    ax.spines["left"].set_visible(False)
    bar, = ax.plot([], [], color=style.BLUE, alpha=0.35, lw=22, solid_capstyle="butt")
    middle, = ax.plot([], [], color=style.BLUE, lw=3)
    dots, = ax.plot([], [], "o", color=style.BLACK, ms=4, alpha=0.6)
    height = 0.15 + 0.3 * np.random.default_rng(1).random(MOST)
    return SimpleNamespace(bar=bar, middle=middle, dots=dots, height=height)


def _change(art: SimpleNamespace, boards: float, measured: bool) -> str:
    E, (low, middle, high) = moduli(MOST, measured=measured)[:int(boards)], middle_band(measured)
    art.bar.set_data([low, high], [0.75, 0.75])
    art.middle.set_data([middle, middle], [0.62, 0.88])
    art.dots.set_data(E, art.height[:len(E)])
    inside = int(np.sum((E >= low) & (E <= high)))
    what = ("one board, measured by bending, as often as you might measure it again" if measured
            else f"{len(E)} board{'' if len(E) == 1 else 's'} of hard maple, at 8 % moisture")
    return (f"{what}: middle {middle:.1f} GPa, 90 of 100 from {low:.1f} to {high:.1f} GPa; {inside} of these "
            f"{len(E)} dots lie inside the bar.")


def first_slider() -> LiveFigure:
    """Dots for boards and the 90 % bar; a number of boards and a switch. Returns a LiveFigure."""
    controls = {"boards": slider("Boards", 20, 1, MOST, 1, "", "how many you look at"),
                "measured": switch("I have measured my board", False, "a bending test is good to about 3 %")}
    return LiveFigure(_setup, _change, controls, inches=(9.0, 2.6), place="above", narrow=STACK,
                      alt="Dots for boards along a stiffness scale, and a bar that holds 90 of 100")
