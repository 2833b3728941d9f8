"""The picture of the attack lesson: level, fall and pitch over the first 200 ms at left, gauges at right."""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure

from tonewood.draws import Draws
from tonewood.lesson.first_moment.model import CURVE, Found
from tonewood.panel import stacking, style
from tonewood.panel.gauges import Gauges, Row
from tonewood.sound.attack import TIMES
from tonewood.sound.hearing import level_step

STEP = float(level_step())
"""Level step listeners notice between two tones, dB (see sound.hearing)."""
LEVELS, FALLS, CENTS = (-50, 25), (-9.0, 0.7), (0, 100)
ROWS = (Row("Level at 5 ms", "dB, 0 is 1 m/s", *LEVELS, 1), Row("Fall from 5 to 50 ms", "dB", -1, 9, 2),
        Row("Fall from 5 to 200 ms", "dB", -1, 9, 2), Row("T60 of the early decay", "s", 0, 40, 1),
        Row("T60 of the late decay", "s", 0, 60, 1),
        Row("Pitch glide at the start", "cents", *CENTS, 1))
TITLES = (("Level under the pickup (dB; 0 is 1 m/s of string)", LEVELS, (-40, -20, 0, 20)),
          ("The same, fall since 5 ms (dB)", FALLS, (-8, -6, -4, -2, 0)),
          ("Pitch above the later note (cents)", CENTS, (0, 25, 50, 75, 100)))
X = 1e3 * CURVE
SMALL = {"handlelength": 1.8}
STACK = {"Level": 280, "Fall": 300, "Pitch": 230, "Gauges": 590}


def gauged(f: Found) -> list[tuple[float, Draws]]:
    """(value of average boards, draws) of each row."""
    return [(f.at[0], f.level_draws), (f.fall50, f.fall50_draws), (f.fall200, f.fall200_draws),
            (f.early_decay, f.early_draws), (f.late_decay, f.late_draws),
            (f.cents[0], f.cents[0] + f.relieved - f.relieved_draws)]


class AttackView:
    """Draws once on a bare figure; `show` moves everything."""

    def __init__(self, fig: Figure) -> None:
        slim = stacking.narrow(fig)
        if slim:
            left = [stacking.cell(fig, STACK, name, 52, 16, 46, low)
                    for name, low in (("Level", 78), ("Fall", 30), ("Pitch", 44))]
            right = stacking.cell(fig, STACK, "Gauges", 14, 20)
        else:
            grid = fig.add_gridspec(1, 2, width_ratios=(1.15, 1), left=0.062, right=0.975, top=0.95,
                                    bottom=0.085, wspace=0.12)
            left, right = grid[0].subgridspec(3, 1, height_ratios=(1, 1.2, 0.8), hspace=0.36), grid[1]
        top, middle, bottom = axes = [fig.add_subplot(left[i]) for i in range(3)]
        for ax, (title, ends, ticks) in zip(axes, TITLES, strict=True):
            ax.set(xlim=(0, 204), ylim=ends, xticks=(5, 50, 100, 150, 200), yticks=ticks)
            stacking.title(ax, title, pad=8 if slim else 3, x=-0.1 if slim else 0)
            ax.tick_params(labelbottom=ax is bottom or slim)
        bottom.set_xlabel("after release (ms)", labelpad=1)
        middle.plot([6, 6], [-8.3, -8.3 + STEP], color=style.BLACK, lw=3, solid_capstyle="butt")
        middle.text(9, -8.3 + STEP / 2,
                    f"{STEP:.1f} dB: a step noticed{chr(10) if slim else ' '}between two tones (published)",
                    va="center")
        self.band = middle.fill_between(X[::10], 0 * X[::10], 0 * X[::10], **style.BAND)
        self.threshold, = bottom.plot([0, 204], [0, 0], **style.LIMIT)
        self.ghosts = [ax.plot([], [], **style.HELD)[0] for ax in axes]
        self.curves = [ax.plot(X, 0 * X, **style.NOW)[0] for ax in axes]
        self.marks, = top.plot(1e3 * np.array(TIMES), np.zeros(3), "o", color=style.BLUE, ms=6)
        top.legend([self.curves[0], self.band, self.ghosts[0]],
                   ["average boards", "90 of 100 such necks", "ghost"],
                   bbox_to_anchor=(-0.13, -0.16) if slim else None, ncols=2 if slim else 3,
                   loc="upper left" if slim else "lower left", borderaxespad=0.2, columnspacing=0.8,
                   handletextpad=0.5, **SMALL)
        bottom.legend([self.threshold],
                      [f"a glide from here is noticed{chr(10) if slim else ' '}(published)"],
                      loc="upper right",
                      borderaxespad=0.0, **SMALL)
        self.gauges = Gauges(fig, right, ROWS)

    def show(self, f: Found, earlier: Found | None = None) -> None:
        """earlier: what the ghost shows."""
        for line, curve in zip(self.curves, _curves(f), strict=True):
            line.set_ydata(curve)
        for line, curve in zip(self.ghosts, _curves(earlier) if earlier else ([],) * 3, strict=True):
            line.set_data(X if earlier else [], curve)
        self.marks.set_ydata(f.at)
        self.band.set_data(X[::10], *(edge - f.at[0] for edge in f.spread))
        self.threshold.set_ydata([f.threshold] * 2)
        values, draws = zip(*gauged(f), strict=True)
        # mark and number are those of average boards, not of the middle neck: what is drawn and heard
        self.gauges.show(draws, [d for _, d in gauged(earlier)] if earlier else None, marks=values)


def _curves(f: Found) -> tuple[np.ndarray, ...]:
    return f.level, f.level - f.at[0], f.cents
