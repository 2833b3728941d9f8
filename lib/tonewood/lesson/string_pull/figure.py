"""String pull, the live figure: how far a neck bows, what the truss rod does about it and what it cannot. Controls -> Pulled -> picture and sentence."""

from dataclasses import dataclass

import numpy as np
from matplotlib.collections import LineCollection, PolyCollection
from matplotlib.patches import Patch

from tonewood.panel import style
from tonewood.lesson.shared.shop import woods
from tonewood.panel.controls import pick, slider
from tonewood.panel.live_figure import LiveFigure
from tonewood.panel.gauges import Gauges, Row, band
from tonewood.lesson.string_pull.model import DRAWS, MONTH, READ, RODS, SLOTS, TEN_YEARS, TIMES, TUNED, crept, defaults, held_share, pulled, reachable
from tonewood.lesson.string_pull.view import SideView
from tonewood.neck.load.creep import DAY
from tonewood.neck.load.joint import JOINTS
from tonewood.neck.load.rod_limits import SHOWS

MOST_FRETS = 24

ROWS = (Row(f"Gap at fret {READ}, rod slack", "mm", 0.0, 1.2, 2), Row("Rod effort", "% of its limit", -150, 150, 0, reference=100.0),
        Row("Turns of its nut, at least", "", -1.0, 1.5, 2, reference=0.0))
STAYS = {"adding relief": "cannot be added", "taking relief away": "cannot be taken away", "s-curve": "of hills and hollows", "bow outside the rod": "beyond the rod's ends",
         "side bow": "of side bow"}


@dataclass
class _Art:
    view: SideView
    slack_bars: object
    set_bars: object
    whiskers: object
    ghost: object
    gauges: Gauges
    stays: object
    stays_middle: object
    creep_slack: object
    creep_set: object
    creep_slack_line: object
    creep_set_line: object
    beyond: object


SLACK = {"color": style.VERMILLION, "linestyle": (0, (4, 1.5)), "linewidth": 1.8}


def _setup(fig):
    grid = fig.add_gridspec(3, 2, width_ratios=(1.25, 1), height_ratios=(0.92, 1.25, 0.95), left=0.065, right=0.972, top=0.962, bottom=0.078, wspace=0.12, hspace=0.36)
    view = SideView(fig.add_subplot(grid[0, :]), SLACK)
    bars = fig.add_subplot(grid[1, 0])
    bars.set(xlim=(0.3, MOST_FRETS + 0.7), ylim=(-0.1, 1.2), ylabel="gap (mm)")
    bars.set_yticks(np.arange(0, 1.1, 0.2))
    bars.set_xticks((1, 3, 5, 7, 8, 9, 12, 15, 17, 19, 21, 24))
    bars.set_title(f"Gap under a straightedge, fret by fret (rod set at fret {READ})", fontsize=10, pad=3)
    bars.grid(axis="x", visible=False)
    bars.axhline(0, **style.REFERENCE)
    slack_bars = PolyCollection([np.zeros((4, 2))], facecolors="#fbe3d5", edgecolors=style.VERMILLION, linewidths=1.2)
    set_bars = PolyCollection([np.zeros((4, 2))], facecolors=style.BLUE, edgecolors=style.BLUE, linewidths=0.8)
    whiskers = LineCollection([], colors=style.BLACK, linewidths=1.1)
    for item in (slack_bars, set_bars, whiskers):
        bars.add_collection(item, autolim=False)
    ghost, = bars.plot([], [], **style.HELD)
    bars.legend(handles=[Patch(facecolor="#fbe3d5", edgecolor=style.VERMILLION, linewidth=1.2, label="rod slack"), Patch(color=style.BLUE, label="rod set"),
                         bars.plot([], [], color=style.BLACK, lw=1.1, label="90 of 100 necks")[0]], loc="upper right", fontsize=8.5, ncols=3, borderaxespad=0.1)
    beyond = bars.text(0.99, 0.74, "", transform=bars.transAxes, ha="right", fontsize=9, color=style.VERMILLION)
    stays = fig.add_subplot(grid[2, 0].subgridspec(1, 2, width_ratios=(0.235, 1), wspace=0)[1])
    stays.set(xlim=(0, 0.6), ylim=(len(STAYS) - 0.5, -0.5), xlabel="mm that stay whatever this rod does (twist and kinks: next picture)")
    stays.set_yticks(range(len(STAYS)), STAYS.values(), fontsize=8.5)
    stays.set_title("What the rod cannot do on this neck", fontsize=10, pad=3)
    stays.axvline(1.0 * SHOWS, **style.LIMIT)
    stays.text(SHOWS + 0.006, len(STAYS) - 0.55, "shows", fontsize=8.5, color=style.VERMILLION, va="bottom")
    amounts = PolyCollection([np.zeros((4, 2))], facecolors=style.BLUE, alpha=0.35, edgecolors="none")
    stays.add_collection(amounts, autolim=False)
    middles = LineCollection([], colors=style.BLUE, linewidths=3)
    stays.add_collection(middles, autolim=False)
    gauges = Gauges(fig, grid[1, 1], ROWS)
    slow = fig.add_subplot(grid[2, 1])
    days = TIMES / DAY
    slow.set(xscale="log", xlim=(1, 2.2 * days[-1]), ylim=(0, 1.6), ylabel="gap (mm)")
    slow.set_xticks((1, 7, 30, 365, 3652), ("day", "week", "month", "year", "10 years"))
    slow.minorticks_off()
    slow.set_title(f"Creep at fret {READ}, a wide band (dashed: rod slack)", fontsize=10, pad=3)
    flat = days * 0
    return _Art(view, slack_bars, set_bars, whiskers, ghost, gauges, amounts, middles,
                slow.fill_between(days, flat, flat, color=style.VERMILLION, alpha=0.16, lw=0), slow.fill_between(days, flat, flat, **style.BAND),
                slow.plot(days, flat, **SLACK)[0], slow.plot(days, flat, **style.NOW)[0], beyond)


def _boxes(centres, heights, half):
    return [np.array([(c - half, 0), (c + half, 0), (c + half, h), (c - half, h)]) for c, h in zip(centres, heights)]


def _percentiles(gap):
    """5, 50 and 95 % of draws (D, F) in mm."""
    order, k = np.sort(1e3 * gap, axis=0), len(gap)
    return order[int(0.05 * (k - 1))], order[(k - 1) // 2], order[int(np.ceil(0.95 * (k - 1)))]


def _change(art, held=None, **values):
    found = pulled(**values)
    done = reachable(found)
    frets = np.arange(1, found.neck.frets + 1)
    slack, after = _percentiles(found.slack.at_fret), _percentiles(done)
    art.slack_bars.set_verts(_boxes(frets - 0.2, slack[1], 0.2))
    art.set_bars.set_verts(_boxes(frets + 0.2, after[1], 0.2))
    art.whiskers.set_segments([((x, low), (x, high)) for shift, (lows, _, highs) in ((-0.2, slack), (0.2, after)) for x, low, high in zip(frets + shift, lows, highs)])
    art.beyond.set_text("▲ beyond this scale" if slack[2].max() > 1.2 else "")
    art.view.show(found, 1e-3 * slack[1], 1e-3 * after[1])
    earlier = pulled(**held) if held else None
    if earlier is None:
        art.ghost.set_data([], [])
    else:
        art.ghost.set_data(np.arange(1, earlier.neck.frets + 1), _percentiles(earlier.slack.at_fret)[1])
    bands = art.gauges.show(_rows(found), _rows(earlier) if earlier else None)
    stays = [band(np.broadcast_to(found.limits[name].amount, DRAWS)) for name in STAYS]
    art.stays.set_verts([np.array([(low, y - 0.3), (high, y - 0.3), (high, y + 0.3), (low, y + 0.3)]) for y, (low, _, high) in enumerate(stays)])
    art.stays_middle.set_segments([((m, y - 0.42), (m, y + 0.42)) for y, (_, m, _) in enumerate(stays)])
    days = TIMES / DAY
    for gap, shade, line in ((found.slack.at(READ), art.creep_slack, art.creep_slack_line), (done[:, READ - 1], art.creep_set, art.creep_set_line)):
        low, middle, high = (1e3 * v for v in crept(gap))
        shade.set_data(days, low, high)
        line.set_ydata(middle)
    return sentence(values, found, done, bands)


def _rows(found):
    return [1e3 * found.slack.at(READ), held_share(found), found.setting.turns]


def sentence(values, found, done, bands):
    """The picture in words, with every number and its 90 % band."""
    gap, share, turns = bands
    pull, unit = found.strings.total_tension, found.rod.unit.replace(" ", "·")
    effort = band(found.setting.effort)
    enough = 100 * np.mean(found.setting.reached)
    moment = float(np.median(found.slack.moment[:, np.searchsorted(found.slack.x, found.slack.fret_positions[READ - 1])]))
    later = [tuple(1e3 * v[0] for v in crept(g, np.array([t]))) for g in (found.slack.at(READ), done[:, READ - 1]) for t in (MONTH, TEN_YEARS)]
    stays = "; ".join(f"{np.median(found.limits[name].amount):.2f} mm {words}" for name, words in STAYS.items() if found.limits[name].share >= 0.5)
    used = share[1]
    reserve = f"{100 - abs(used):.0f} % in reserve" if abs(used) <= 100 else f"which is {abs(used) - 100:.0f} % too much; at its limit it leaves {np.median(1e3 * done[:, READ - 1]):.2f} mm"
    turn = f"{values['rod'].capitalize()} rod, {values['target']:.2f} mm wanted: "
    turn += "it stays slack, for it cannot add relief" if used == 0 and values["rod"] == "single-acting" else (
        f"{effort[1]:.{_places(unit)}f} {unit} ({effort[0]:.{_places(unit)}f} to {effort[2]:.{_places(unit)}f}{'; minus is towards more relief' if effort[0] < 0 else ''}), at least "
        f"{abs(turns[1]):.2f} turns, {abs(used):.0f} % of the limit to plan with, {reserve}; enough in {enough:.0f} of 100 necks")
    return (f"{values['tuned'].capitalize()}, gauges {values['gauge']:.0f} %, {values['joint']}: the strings pull {pull:.0f} N, {1e3 * moment / pull:.1f} mm above the stiffness axis at fret {READ}, "
            f"moment {moment:.1f} N·m. Gap at fret {READ}, rod slack: {gap[1]:.2f} mm (90 of 100 such necks: {gap[0]:.2f} to {gap[2]:.2f}). {turn}. "
            f"Strings left on, slack rod: {later[0][0]:.2f} to {later[0][2]:.2f} mm after a month, {later[1][0]:.2f} to {later[1][2]:.2f} after ten years; with the rod set: "
            f"{later[2][0]:.2f} to {later[2][2]:.2f} and {later[3][0]:.2f} to {later[3][2]:.2f}. What this rod leaves: {stays or 'nothing that shows'}.").replace("-0.00", "0.00")


def _places(unit):
    return 0 if unit == "N" else 1


def controls():
    """The controls, fresh: what pulls, what resists, the rod."""
    start = defaults()
    return {
        "tuned": pick("Strings and tuning", list(TUNED), start["tuned"], "round generic gauges (common practice, no source); the neck's sizes go with them"),
        "gauge": slider("Gauges, of the ready set", start["gauge"], 80, 120, 5, "%", "every string thinner or thicker, tuned to the same notes"),
        "action": slider("Action at fret 12, bass side", start["action"], 1.0, 3.5, 0.1, "mm", "treble side four fifths of it; 1.5 to 2.5 is usual (common practice, no source)"),
        "depth": slider("Neck depth at the nut", start["depth"], 20, 25, 0.5, "mm",
                        "fretboard included; 2.5 mm more at the last fret; under a 7 mm fretboard a depth of 20 leaves 3 mm of wood below the rod channel"),
        "fretboard": pick("Fretboard wood", woods("fretboard"), start["fretboard"]),
        "thickness": slider("Fretboard thickness", start["thickness"], 4, 7, 0.5, "mm", "taken out of the same whole depth; slots 2.5 mm deep"),
        "slots": pick("Fret tangs in their slots", list(SLOTS), start["slots"], "how far tangs bear is not known from measurement"),
        "joint": pick("Body joint", list(JOINTS), start["joint"], "a screwed pocket is taken to share half of the body's stiffness, a glued one all (estimated)"),
        "rod": pick("Truss rod", list(RODS), start["rod"], "double-acting: two bars and a couple, either way; single-acting: one bar in a curved channel that only pulls"),
        "target": slider(f"Relief wanted at fret {READ}", start["target"], 0.0, 0.6, 0.05, "mm", "0.1 to 0.3 mm is usual (common practice, no source)"),
    }


def string_pull(place="above"):
    """The neck under its strings with the rod slack and set, ready to slide. Returns a LiveFigure; last line of a cell."""
    return LiveFigure(_setup, _change, controls(), inches=(10.0, 6.2), place=place,
                      alt="Side view of the neck with its bow exaggerated, the gap under a straightedge at every fret with the rod slack and set, the rod's effort, what the rod "
                          "cannot do, and creep as a band")
