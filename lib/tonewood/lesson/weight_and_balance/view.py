"""The whole instrument to scale in its face view, and bars: weight of each part, and what 10 g more of it
do."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
from matplotlib.figure import Figure
from matplotlib.patches import Polygon, Rectangle

from tonewood.brief.balance import pull_of_10_grams
from tonewood.draws import band
from tonewood.lesson.shared.wood_colours import tone
from tonewood.lesson.weight_and_balance.model import Balanced, limit_doubt
from tonewood.panel import chosen, stacking, style, units
from tonewood.wood.facts import rule
from tonewood.wood.species import species

ROWS = 13
WIDEST = 2400.0
"""End (g) of the bars of weight; a heavier part says so in its number."""
SHORT = {"controls, switch, jack and wire": "controls, jack, wire", "four neck screws and their plate":
         "neck screws and plate", "two strap buttons with screws": "strap buttons", "finish of a whole body":
         "finish", "fixed bridge of a guitar": "bridge", "bridge of a bass": "bridge",
         "blank through the body": "blank in the body"}
THIGH_Y = 186.0
STACK = {"Face": 290, "Weights": 330, "Balance": 350}


def setup(fig: Figure) -> SimpleNamespace:
    """Draws once."""
    slim = stacking.narrow(fig)
    if slim:
        ax, left, right = (fig.add_subplot(stacking.cell(fig, STACK, *given)) for given in (
            ("Face", 12, 12, 26, 120), ("Weights", 178, 14, 26, 26), ("Balance", 14, 14, 26, 46)))
    else:
        ax, left, right = map(fig.add_axes, ((0.03, 0.61, 0.955, 0.345), (0.19, 0.085, 0.325, 0.385),
                                             (0.60, 0.085, 0.385, 0.385)))
    ax.set(xlim=(-235, 1085), ylim=(208, -208), aspect="equal", yticks=[])
    ax.set_title("Face view, to scale: bass side up")
    ax.set_xlabel("from the nut (mm)", labelpad=1)
    ax.grid(visible=False)
    art = SimpleNamespace(ax=ax)

    def patch(**look: object) -> Polygon:
        return ax.add_patch(Polygon(np.zeros((3, 2)), **look))

    art.body = patch(fc="#cccccc", ec="black", lw=1.2)
    art.hollow = [patch(fc="none", ec="black", lw=1.0, ls=":") for _ in range(2)]
    art.neck = patch(fc="#cccccc", ec="black", lw=1.2)
    art.blank = ax.plot([], [], color="black", lw=0.8)[0]
    art.horn = ax.plot([], [], color=style.GREY, lw=1.2, ls=":")[0]
    art.doubt = ax.add_patch(Rectangle((0, -208), 1, 416, fc="none", ec=style.VERMILLION, hatch="///", lw=0.0,
                                       alpha=0.45))
    art.limit = ax.plot([], [], **style.LIMIT, label="strap's limit, ±30 mm")[0]
    art.centre_band = ax.add_patch(Rectangle((0, -208), 1, 416, **{**style.BAND, "alpha": 0.45}))
    art.centre = ax.plot([], [], **style.NOW, label="balance, band: 90 of 100")[0]
    art.mark = ax.plot([], [], "o", ms=11, mfc="white", mec=style.BLUE, mew=2.4, ls="none")[0]
    art.buttons = ax.plot([], [], "s", ms=8, color="black", ls="none", label="strap buttons")[0]
    art.thigh = ax.plot([], [], color=style.GREEN, lw=6, solid_capstyle="butt", label="thigh")[0]
    art.arm = ax.plot([], [], "v", ms=9, color=style.GREEN, ls="none", label="forearm")[0]
    ax.legend(loc="upper left" if slim else "upper center", ncols=2 if slim else 5,
              bbox_to_anchor=(-0.05, -0.36) if slim else (0.5, -0.17), handlelength=1.3, columnspacing=0.9,
              handletextpad=0.5, borderpad=0.1)
    for one in (left, right):
        one.set(ylim=(ROWS - 0.4, -0.6), yticks=[])
        one.grid(axis="y", visible=False)
    left.set_title("Weight of each part (g)")
    left.set(xlim=(0, WIDEST))
    if slim:
        left.set_xticks((0, 1000, 2000))
        ax.set_xticks((-200, 0, 200, 400, 600, 800, 1000))
    stacking.title(right, "10 g more there move the balance (mm)")
    right.set(xlim=(-2.9, 2.9))
    right.set_xlabel("← to the head        to the tail →", labelpad=1)
    right.axvline(0, color="black", lw=0.8)
    left.xaxis.of_unit, right.xaxis.of_unit = "g", "mm"
    rows = range(ROWS)
    art.grams, art.pulls = (one.barh(rows, np.zeros(ROWS), height=0.66, color=style.BLUE)
                            for one in (left, right))
    art.names = [left.text(-25, i, "", ha="right", va="center", clip_on=False) for i in rows]
    art.told = [left.text(0, i, "", va="center") for i in rows]
    art.again = [right.text(0, i, "", va="center") for i in rows] if slim else []
    art.moves = [right.text(0, i, "", va="center") for i in rows]
    return art


def draw(art: SimpleNamespace, now: Balanced) -> None:
    """Show an instrument."""
    whole, neck = now.whole, now.design.neck()
    outline = 1e3 * np.asarray(whole.body.outline)
    art.body.set_xy(outline)
    art.body.set_facecolor(tone(species(whole.body.wood)))
    for k, one in enumerate(art.hollow):
        there = k < len(whole.body.chambers)
        one.set_visible(there)
        if there:
            one.set_xy(1e3 * np.asarray(whole.body.chambers[k].outline))
    x = np.linspace(0, neck.end, 20)
    half = 1e3 * np.asarray(neck.outline.width(x)) / 2
    x, head = 1e3 * x, whole.head
    wide = 1e3 * head.width / 2
    top = np.r_[[[-1e3 * head.length, wide], [-0.15e3 * head.length, wide]], np.c_[x, half]]
    art.neck.set_xy(np.r_[top, (top * (1, -1))[::-1]])
    main = max(now.design.stripes, key=lambda s: s.width).wood
    art.neck.set_facecolor(tone(species(main)))
    core, tail = 1e3 * neck.layup.width / 2, outline[:, 0].max()
    through = now.design.joint == "neck-through"
    art.blank.set_data([x[-1], tail, np.nan, x[-1], tail] if through else [],
                       [core, core, np.nan, -core, -core] if through else [])
    front, rear = (1e3 * b for b in whole.buttons)
    horn_y = 0.72 * outline[:, 1].min()
    foot = outline[:, 0].min() + 0.22 * np.ptp(outline[:, 0])
    art.horn.set_data([front, max(front, foot)], [horn_y, horn_y])
    art.buttons.set_data([front, rear], [horn_y, 0.0])
    limit, doubt = 1e3 * now.strap.limit, 1e3 * limit_doubt()
    art.limit.set_data([limit, limit], [-208, 208])
    art.doubt.set_x(limit - doubt)
    art.doubt.set_width(2 * doubt)
    low, mid, high = 1e3 * band(now.centre)
    art.centre_band.set_x(low)
    art.centre_band.set_width(high - low)
    art.centre.set_data([mid, mid], [-208, 208])
    art.mark.set_data([mid], [0])
    waist, reach = 1e3 * whole.waist, 1e3 * rule("thigh_carries").value / 2
    art.thigh.set_data([waist - reach, waist + reach], [THIGH_Y, THIGH_Y])
    art.arm.set_data([1e3 * whole.arm], [outline[:, 1].min() - 14])
    parts = sorted(now.weighed.parts, key=lambda p: float(np.mean(p.x)))
    fine = 1 if chosen.now() == units.METRIC else 2
    for k in range(ROWS):
        part = parts[k] if k < len(parts) else None
        grams = 1e3 * float(np.median(part.mass)) if part else 0.0
        pull = 1e3 * float(np.median(pull_of_10_grams(now.weighed, part))) if part else 0.0
        art.names[k].set_text(SHORT.get(part.name, part.name) if part else "")
        art.grams[k].set_width(grams)
        inside = grams > 0.85 * WIDEST
        art.told[k].set(x=min(grams, WIDEST) + (-25 if inside else 25),
                        text=chosen.number(grams, "g", 0) if part else "",
                        color="white" if inside else "black", ha="right" if inside else "left")
        for words in art.again[k:k + 1]:          # stacked, no names stand beside these bars
            words.set(x=0.08 if pull < 0 else -0.08, ha="left" if pull < 0 else "right",
                      text=SHORT.get(part.name, part.name) if part else "")
        art.pulls[k].set_width(pull)
        art.pulls[k].set_facecolor(style.VERMILLION if pull < 0 else style.BLUE)
        art.moves[k].set(x=pull + (0.06 if pull >= 0 else -0.06), ha="left" if pull >= 0 else "right",
                         text=chosen.number(pull, "mm", fine, sign=True) if part else "")
