"""String pull, the live figure: how far a neck bows, what the truss rod does about it and what it cannot."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection, PolyCollection
from matplotlib.figure import Figure
from matplotlib.patches import Patch

from tonewood.constants import DAY
from tonewood.draws import band, written, written_band
from tonewood.lesson.shared import shop
from tonewood.lesson.shared.design_strip import LessonNeck, with_strip
from tonewood.lesson.string_pull import model
from tonewood.lesson.string_pull.model import (
    DRAWS,
    LOW,
    MONTH,
    RANGES,
    READ,
    TEN_YEARS,
    TIMES,
    Pulled,
    crept,
    pulled,
)
from tonewood.lesson.string_pull.view import SLACK, SideView
from tonewood.neck.design import Design
from tonewood.neck.load.joint import JOINTS
from tonewood.neck.load.rod_limits import SHOWS
from tonewood.panel import stacking, style
from tonewood.panel.controls import Control, pick, slider
from tonewood.panel.gauges import Gauges, Row
from tonewood.panel.live_figure import LiveFigure

ROWS = (Row(f"Gap at fret {READ}, rod slack", "mm", LOW, 1.2, 2, reference=0.0),
        Row("Rod effort", "% of its limit", -150, 150, 0, reference=100.0),
        Row("Turns of the rod's nut, at least", "", -1.0, 1.5, 2, reference=0.0))
STAYS = {"adding relief": "cannot be added", "taking relief away": "cannot be taken away",
         "s-curve": "of S-curve", "bow outside the rod": "beyond the rod's ends",
         "side bow": "of side bow"}
NAMES = ("relief to add", "relief to take away", "S-curve", "bow beyond the rod", "side bow")
"""STAYS on their axis."""
MOST = 1.6                      # mm: top of the picture of creep
PALE = "#fbe3d5"


def collected(ax: Axes, **looks: Any) -> PolyCollection:
    """An empty collection of boxes on `ax`."""
    boxes = PolyCollection([np.zeros((4, 2))], **looks)
    ax.add_collection(boxes, autolim=False)
    return boxes


STACK = {"Side view": 240, "Frets": 330, "Gauges": 330, "What stays": 270, "Creep": 280}


def gap_bars(ax: Axes) -> SimpleNamespace:
    """Bars of the gap fret by fret, rod slack and set, with strokes for 90 of 100 necks and the ghost."""
    most = model.MOST_FRETS
    ax.set(xlim=(0.3, most + 0.7), ylim=(LOW, 1.2))
    ax.set_ylabel("gap (mm)", labelpad=0)
    ax.set_yticks(np.arange(-0.4, 1.1, 0.2))
    slim = stacking.narrow(ax.get_figure())
    ax.set_xticks((1, 3, 5, 7, 9, 12, 15, 18, 21, most) if slim else (1, 3, 5, 7, 8, 9, 12, 15, 17, 19, 21,
                                                                      most))
    ax.set_title("Gap fret by fret", pad=3)
    ax.grid(axis="x", visible=False)
    ax.axhline(0, **style.REFERENCE)
    slack = collected(ax, facecolors=PALE, edgecolors=style.VERMILLION, linewidths=1.2)
    after = collected(ax, facecolors=style.BLUE, edgecolors=style.BLUE, linewidths=0.8)
    strokes = LineCollection([], colors=style.BLACK, linewidths=1.1)
    ax.add_collection(strokes, autolim=False)
    ghost, = ax.plot([], [], **style.HELD)
    ax.legend(handles=[Patch(facecolor=PALE, edgecolor=style.VERMILLION, linewidth=1.2, label="slack"),
                       Patch(color=style.BLUE, label=f"set at fret {READ}"),
                       ax.plot([], [], color=style.BLACK, lw=1.1, label="90 of 100")[0]],
              loc="upper left" if slim else "lower right", bbox_to_anchor=(-0.2, -0.1) if slim else (1.0,
                                                                                                     0.985),
              ncols=3, borderaxespad=0.0, handlelength=1.2, handletextpad=0.5, columnspacing=0.8)
    beyond = ax.text(0.99, 0.9, "", transform=ax.transAxes, ha="right", color=style.LIMIT_WORDS)
    return SimpleNamespace(slack=slack, after=after, strokes=strokes, ghost=ghost, beyond=beyond)


def what_stays(ax: Axes) -> SimpleNamespace:
    """Bands of what the rod cannot do."""
    ax.set(xlim=(0, 0.6), ylim=(len(STAYS) - 0.5, -0.5),
           xlabel=f"stays{', whatever this rod does' * (not stacking.narrow(ax.get_figure()))} (mm)")
    ax.set_yticks(range(len(STAYS)), NAMES)
    stacking.title(ax, "What the rod cannot do on this neck", pad=3)
    ax.axvline(SHOWS, **style.LIMIT)
    ax.text(SHOWS + 0.006, len(STAYS) - 0.55, "shows", color=style.LIMIT_WORDS, va="bottom")
    bands = collected(ax, facecolors=style.BLUE, alpha=0.35, edgecolors="none")
    middles = LineCollection([], colors=style.BLUE, linewidths=3)
    ax.add_collection(middles, autolim=False)
    return SimpleNamespace(bands=bands, middles=middles)


def slow_growth(ax: Axes) -> tuple[list[tuple[Any, Any]], Any]:
    """(band, line) of creep with the rod slack and with the rod set, and the words of what is higher."""
    days = TIMES / DAY
    ax.set(xscale="log", xlim=(1, 2.2 * days[-1]), ylim=(LOW, MOST), ylabel="gap (mm)")
    marked = {"day": 1, "week": 7, "month": 30, "year": 365, "10 years": 3652}
    if stacking.narrow(ax.get_figure()):
        del marked["week"]
    ax.set_xticks(list(marked.values()), marked)
    ax.minorticks_off()
    stacking.title(ax, f"Creep at fret {READ}, a wide band (dashed: slack)", pad=3)
    looks = (({"color": style.VERMILLION, "alpha": 0.16, "lw": 0}, SLACK), (style.BAND, style.NOW))
    beyond = ax.text(0.99, 0.03, "", transform=ax.transAxes, ha="right", color=style.LIMIT_WORDS)
    return [(ax.fill_between(days, 0 * days, 0 * days, **shade), ax.plot(days, 0 * days, **line)[0])
            for shade, line in looks], beyond


def setup(fig: Figure) -> SimpleNamespace:
    """Draw all that stays, once."""
    if stacking.narrow(fig):
        cells = [stacking.cell(fig, STACK, *given) for given in (
            ("Side view", 10, 10, 26, 40), ("Frets", 70, 14, 26, 62), ("What stays", 164, 20, 44, 46),
            ("Creep", 70, 24, 44, 26))]
        rows = stacking.cell(fig, STACK, "Gauges", 26, 20)
    else:
        grid = fig.add_gridspec(3, 2, width_ratios=(1.25, 1), height_ratios=(0.82, 1.45, 0.9), left=0.072,
                                right=0.972, top=0.962, bottom=0.078, wspace=0.12, hspace=0.36)
        below, rows = grid[2, 0].subgridspec(1, 2, width_ratios=(0.26, 1), wspace=0), grid[1, 1]
        cells = grid[0, :], grid[1, 0], below[1], grid[2, 1]
    top, middle, left, right = (fig.add_subplot(cell) for cell in cells)
    slow, higher = slow_growth(right)
    return SimpleNamespace(view=SideView(top), bars=gap_bars(middle), stays=what_stays(left), slow=slow,
                           higher=higher, gauges=Gauges(fig, rows, ROWS))


def boxes(left: np.ndarray, right: np.ndarray, low: np.ndarray, high: np.ndarray) -> np.ndarray:
    """Corners (n, 4, 2) of upright rectangles."""
    left, right, low, high = np.broadcast_arrays(left, right, low, high)
    return np.stack([np.stack([left, right, right, left], -1), np.stack([low, low, high, high], -1)], -1)


def change(art: SimpleNamespace, subject: Design, held: dict[str, Any] | None = None, **values: Any) -> str:
    """Show one setting; the sentence that tells it."""
    found, earlier = pulled(subject, **values), pulled(**held) if held else None
    done = model.reachable(found)
    frets = np.arange(1, found.neck.frets + 1)
    slack, after = band(1e3 * found.slack.at_fret), band(1e3 * done)
    strokes = []
    for bars, shift, (low, middle, high) in ((art.bars.slack, -0.2, slack), (art.bars.after, 0.2, after)):
        bars.set_verts(boxes(frets + shift - 0.2, frets + shift + 0.2, 0.0, middle))
        strokes += [((x, a), (x, b)) for x, a, b in zip(frets + shift, low, high, strict=True)]
    art.bars.strokes.set_segments(strokes)
    art.bars.beyond.set_text("▲ beyond this scale" if slack[2].max() > 1.2 else
                             "▼ beyond this scale" if slack[0].min() < LOW else "")
    ghost = band(1e3 * earlier.slack.at_fret)[1] if earlier else []
    art.bars.ghost.set_data(np.arange(1, len(ghost) + 1), ghost)
    art.view.show(found, 1e-3 * slack[1], 1e-3 * after[1])
    bands = art.gauges.show(gauged(found), gauged(earlier) if earlier else None)
    left = [np.broadcast_to(found.limits[name].amount, DRAWS) for name in STAYS]
    (low, middle, high), rows = band(np.transpose(left)), np.arange(len(STAYS))
    art.stays.bands.set_verts(boxes(low, high, rows - 0.3, rows + 0.3))
    art.stays.middles.set_segments([((m, y - 0.42), (m, y + 0.42)) for y, m in enumerate(middle)])
    highest = 0.0
    for gap, (shade, line) in zip((found.slack.at(READ), done[:, READ - 1]), art.slow, strict=True):
        low, middle, high = (1e3 * v for v in crept(gap, wedge=found.wedge))
        shade.set_data(TIMES / DAY, low, high)
        line.set_ydata(middle)
        highest = max(highest, np.max(high))
    art.higher.set_text("▲ beyond this scale" if highest > MOST else "")
    return sentence(found, done, values["target"], bands)


def gauged(found: Pulled) -> list[np.ndarray]:
    """What the gauges show, in their units, for every draw."""
    return [1e3 * found.slack.at(READ), model.held_share(found), found.setting.turns]


def sentence(found: Pulled, done: np.ndarray, target: float, bands: list[Any]) -> str:
    """The picture in words, with every number and its 90 % band."""
    design, slack, (gap, share, turns) = found.design, found.slack, bands
    pull, unit = design.string_set().total_tension, found.rod.unit.replace(" ", "·")
    moment = float(np.median(slack.moment[:, np.searchsorted(slack.x, slack.fret_positions[READ - 1])]))
    later = [[1e3 * v[0] for v in crept(g, np.array([t]), found.wedge)]
             for g in (slack.at(READ), done[:, READ - 1]) for t in (MONTH, TEN_YEARS)]
    month, years, set_month, set_years = (f"{written(low)} to {written(high)}" for low, _, high in later)
    least, middle, most = (written(v) for v in gap)
    stays = "; ".join(f"{np.median(found.limits[name].amount):.2f} mm {words}"
                      for name, words in STAYS.items() if found.limits[name].share >= 0.5)
    low, effort, high = (written(v, 0 if unit == "N" else 1) for v in band(found.setting.effort))
    used = abs(share[1])
    reserve = f"{100 - used:.0f} % in reserve" if used <= 100 else (
        f"which is {used - 100:.0f} % too much; at its limit it leaves "
        f"{written(np.median(1e3 * done[:, READ - 1]))} mm")
    sign = "; minus is towards more relief" if low.startswith("−") else ""
    turn = (f"{effort} {unit} ({low} to {high}{sign}), at least {abs(turns[1]):.2f} turns, {used:.0f} % of "
            f"the limit to plan with, {reserve}; enough in {100 * np.mean(found.setting.reached):.0f} of 100 "
            "necks")
    if used == 0 and found.rod.action == "single":
        turn = "it stays slack, for it cannot add relief"
    bent = "" if np.ndim(found.wedge) == 0 else (
        "Their tangs bend the board back by "
        f"{written_band(-1e3 * band(found.wedge)[::-1])} mm: left out, the gap would be so much larger. ")
    return (f"{model.tuned(design.strings.tuning).capitalize()}, gauges {100 * design.strings.gauge:.0f} %, "
             f"{design.joint}, {shop.fretboard_words(design)}: the strings pull {pull:.0f} N, "
             f"{1e3 * moment / pull:.1f} mm above the stiffness axis at fret {READ}, moment {moment:.1f} "
             f"N·m. Gap at fret {READ}, rod slack: {middle} mm (90 of 100 such necks: {least} to {most}). "
             f"{bent}{found.rod.action.capitalize()}-acting rod, {target:.2f} mm wanted: {turn}. Strings "
             f"left on, slack rod: {month} mm after a month, {years} mm after ten years; with the rod set: "
             f"{set_month} mm and {set_years} mm. What this rod leaves: {stays or 'nothing that shows'}.")


def controls(design: Design = shop.NECK_12) -> dict[str, Control]:
    """The controls, fresh: what pulls, what resists, the rod."""
    start = model.defaults(design)

    def of_design(name: str, label: str, unit: str, why: str) -> Control:
        return slider(label, start[name], *RANGES[name], unit, why)

    return {
        "tuned": pick("Strings and tuning", list(model.TUNED), start["tuned"],
                      "round generic gauges (common practice, no source); another number of strings is "
                      "another neck, whose sizes go with it"),
        "gauge": of_design("gauge", "String gauges (100 % is a usual set)", "%",
                           "every string thinner or thicker, tuned to the same notes"),
        "action": of_design("action", "Action at fret 12, bass side", "mm",
                            "treble side four fifths of it; 1.5 to 2.5 mm is usual (common practice, no "
                            "source)"),
        "depth": of_design("depth", "Neck depth at the nut", "mm",
                           "fretboard included; 2.5 mm more at the last fret; under a 7 mm fretboard a depth "
                           "of 20 mm leaves 3 mm of wood below the rod channel"),
        "fretboard": pick("Fretboard wood", shop.wood_list("fretboard"), start["fretboard"]),
        "thickness": of_design("thickness", "Fretboard thickness", "mm",
                               "taken out of the same whole depth; slots 2.5 mm deep"),
        "slots": pick("Fret tangs in their slots", list(model.SLOTS), start["slots"],
                      "how far tangs bear is not known from measurement"),
        "tang": slider("Fret tangs thicker than their slots by", start["tang"], 0, 0.02, 0.001, "mm",
                       "how much wider the tangs are than their slots; then they bear fully, and wedge the "
                       "board back. Crushing is taken to leave 30 to 100 % of it (estimated)"),
        "joint": pick("Body joint", list(JOINTS), start["joint"],
                      "a screwed pocket is taken to share half of the body's stiffness, a glued one all "
                      "(estimated)"),
        "rod": pick("Truss rod", list(model.RODS), start["rod"],
                    "double-acting: two bars and a couple, either way; single-acting: one bar in a curved "
                    "channel that only pulls"),
        "target": slider(f"Relief wanted at fret {READ}", start["target"], 0.0, 0.6, 0.05, "mm",
                         "0.1 to 0.3 mm is usual (common practice, no source)"),
    }


def string_pull(place: str | None = "beside", design: Design = shop.NECK_12) -> LiveFigure:
    """The neck under its strings with the rod slack and set, ready to slide. Last line of a cell."""
    live = LiveFigure(setup, change, controls(design), inches=(10.0, 6.1), place=place, subject=design,
                      first=("tuned", "gauge", "depth", "thickness", "rod", "target"),
                      parts={"Side view": (0.13, 0.745, 0.915, 1),
                             "Frets": (0, 0.31, 0.55, 0.745), "Gauges": (0.55, 0.31, 1, 0.745),
                             "What stays": (0, 0, 0.5555, 0.31), "Creep": (0.5555, 0, 1, 0.31)},
                      narrow=STACK,
                      alt="Side view of the neck with its bow exaggerated, the gap under a straightedge at "
                          "every fret with the rod slack and set, the rod's effort, what the rod cannot do, "
                          "and creep as a band")
    return with_strip(live, LessonNeck(model.defaults, model.keep, model.cannot))
