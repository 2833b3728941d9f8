"""The lay-ups of a client: stiffness against weight, filled by chance, and which limit costs the most."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
from matplotlib.figure import Figure

from tonewood.lesson.shared.end_view import EndView
from tonewood.lesson.shared.lots import LIMITS, Counted
from tonewood.panel import stacking, style

STEPS = ((0.9, "9 in 10 and more", "o", style.BLUE, style.BLUE),
         (0.5, "half and more", "o", "white", style.BLUE),
         (0.0, "fewer than half", "x", style.GREY, style.GREY))
"""Least chance, words, marker, fill, edge: told apart by shape and fill, not by colour alone."""
STACK = {"Lay-ups": 440, "Limits": 260, "Likeliest": 250}


def setup(fig: Figure) -> SimpleNamespace:
    """Draws once."""
    slim = stacking.narrow(fig)
    if slim:
        places = (stacking.cell(fig, STACK, "Lay-ups", 78, 14, 26, 120), stacking.cell(fig, STACK, "Limits",
                                                                                       175, 20),
                  stacking.cell(fig, STACK, "Likeliest", 10, 10, 26, 8))
    else:
        grid = fig.add_gridspec(2, 2, width_ratios=(1.25, 1), left=0.075, right=0.985, top=0.93, bottom=0.19,
                                wspace=0.52, hspace=0.42)
        places = grid[:, 0], grid[0, 1], grid[1, 1]
    ax = fig.add_subplot(places[0])
    ax.set_title("Every lay-up tried: its middle neck")
    ax.set_xlabel("stiffness EI (N·m²)", labelpad=1)
    ax.set_ylabel("instrument (kg)" if slim else "weight of the instrument (kg)", labelpad=2)
    art = SimpleNamespace(ax=ax, dots=[])
    for _, words, marker, fill, edge in STEPS:
        art.dots.append(ax.plot([], [], marker, ms=7, mfc=fill, mec=edge, color=edge, ls="none",
                                label=words)[0])
    art.box = ax.plot([], [], **style.LIMIT, label="limits")[0]
    art.best = ax.plot([], [], "o", ms=15, mfc="none", mec=style.VERMILLION, mew=2, ls="none",
                       label="likeliest")[0]
    ax.legend(loc="upper center", bbox_to_anchor=(0.45 if slim else 0.5, -0.13 if slim else -0.09),
              ncols=2 if slim else 3, handlelength=1.2, columnspacing=1.0, borderpad=0.1)
    bars = fig.add_subplot(places[1])
    bars.set_title("What each limit costs", x=-0.55 if slim else 0)
    bars.set_xlabel("necks that miss it (of 100)", labelpad=1, x=0.3 if slim else 0.5)
    names = list(LIMITS)
    bars.set(xlim=(0, 100), ylim=(len(names) - 0.4, -0.6), yticks=range(len(names)),
             yticklabels=[LIMITS[n][1] for n in names])
    bars.tick_params(axis="y", length=0)
    bars.grid(axis="y", visible=False)
    art.bars = bars.barh(range(len(names)), np.zeros(len(names)), height=0.6, color=style.BLUE)
    art.told = [bars.text(0, i, "", va="center") for i in range(len(names))]
    end = fig.add_subplot(places[2])
    end.set_title("The likeliest, at fret 8")
    art.end_ax, art.end = end, EndView(end, z_low=-26.0)
    return art


def draw(art: SimpleNamespace, now: Counted, values: dict[str, float], neck: object) -> None:
    """Show a count."""
    chance = now.chance
    for (least, *_), dots, most in zip(STEPS, art.dots, (2.0, 0.9, 0.5), strict=True):
        there = (chance >= least) & (chance < most)
        dots.set_data(now.stiffness[there], now.weight[there])
    low, high, top = values["soft"], values["stiff"], values["weight"]
    span = np.ptp(now.stiffness) or 1.0
    left, right = now.stiffness.min() - 0.08 * span, now.stiffness.max() + 0.08 * span
    tall = np.ptp(now.weight) or 0.1
    floor, roof = now.weight.min() - 0.10 * tall, now.weight.max() + 0.12 * tall
    a, b, c = max(low, left), min(high, right), min(max(top, floor), roof)
    art.box.set_data([a, a, b, b], [floor, c, c, floor])
    art.ax.set(xlim=(left, right), ylim=(floor, roof))
    art.best.set_data([now.stiffness[now.best]], [now.weight[now.best]])
    for bar, words, name in zip(art.bars, art.told, LIMITS, strict=True):
        share = 100 * float(now.missed[name].mean())
        bar.set_width(share)
        words.set(x=min(share + 2, 84), text=f"{share:.0f}", color="white" if share > 82 else "black")
    art.end.show(neck, float(neck.fret(8)))
