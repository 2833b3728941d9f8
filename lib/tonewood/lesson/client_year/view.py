"""The picture of a neck's year: three strips over the months; what can be foreseen, and gauges."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import PolyCollection
from matplotlib.figure import Figure
from matplotlib.patches import Patch
from numpy.typing import NDArray

from tonewood.draws import band, written
from tonewood.lesson.client_year.model import (
    SET,
    SHORT,
    Seen,
    leaves,
    mm,
    swing,
    town_words,
    usual_words,
)
from tonewood.lesson.shared.ledger import USUAL
from tonewood.neck.load.rod_limits import SHOWS
from tonewood.neck.seasons.year import Year
from tonewood.panel import stacking, style
from tonewood.panel.gauges import Gauges, Row
from tonewood.panel.quick_text import Numbers, QuickNumber

MONTHS_ON = np.arange(13.0)
ONE = {"color": style.PURPLE, "linestyle": (0, (6, 1.5, 1, 1.5)), "linewidth": 1.5}
FRETBOARD = {"color": style.VERMILLION, "linestyle": "-", "linewidth": 2.0}
NECK = {"color": style.GREEN, "linestyle": "--", "linewidth": 2.0}
FORESEEN = {"color": style.BLACK, "linestyle": ":", "linewidth": 1.8}
NONE = np.zeros((4, 2))
ROWS = (Row("Fret ends, each side", "mm", -0.1, 0.5, 2, reference=0.0),
        Row("Width, least to most", "mm", 0.0, 2.0, 2))
PARTS = {"predictable part": style.BLACK, "coin-toss part": style.BLUE, "both: this neck": style.BLUE,
         "both: one piece": style.PURPLE}
REACH = 0.4
"""Ends of the scale of the parts, mm."""
KINDS = (("up > 0.05", "^", style.VERMILLION, style.VERMILLION), ("up", "^", "white", style.VERMILLION),
         ("down", "v", "white", style.BLUE), ("down > 0.05", "v", style.BLUE, style.BLUE))
STACK = {"Relief": 420, "Air and wood": 410, "Widest month": 470, "Gauges": 180}


def setup(fig: Figure) -> SimpleNamespace:
    """Draw once; returns all that moves."""
    slim = stacking.narrow(fig)
    if slim:
        cells = [stacking.cell(fig, STACK, *given) for given in (
            ("Relief", 70, 20, 46, 150), ("Air and wood", 70, 20, 46, 236),
            ("Air and wood", 70, 20, 208, 102), ("Gauges", 26, 20))]
    else:
        cells = [*fig.add_gridspec(3, 1, height_ratios=(2.35, 1, 1.25), left=0.07, right=0.565, top=0.962,
                                   bottom=0.055, hspace=0.33),
                 fig.add_gridspec(1, 1, left=0.612, right=0.985, top=0.255, bottom=0.055)[0]]
    top, air, wet = (fig.add_subplot(cell) for cell in cells[:3])
    for ax, low, high, label, title in (
            (top, -0.2, 0.8, "relief (mm)", "Relief, rod untouched since delivery"),
            (air, 0, 100, "humidity (%)", "Air of the room (dotted: the workshop)"),
            (wet, 2, 25, "moisture (%)", "Moisture of the wood")):
        ax.set(xlim=(-0.1, 12.1), xticks=MONTHS_ON, ylim=(low, high))
        ax.set_ylabel(label, labelpad=2)
        stacking.title(ax, title, pad=3)
        ax.tick_params(axis="x", length=0, labelbottom=False)
    months = tuple(Numbers(ax, style.SMALL, transform=ax.get_xaxis_transform()) for ax in (top, wet))
    return SimpleNamespace(**_relief(top), shop=air.plot([-0.1, 12.1], [0, 0], **style.REFERENCE)[0],
                           room=_curve(air, {"color": style.BLACK, "linewidth": 2.0}), **_moisture(wet),
                           months=months, named=1 + slim, **_sides(fig), gauges=Gauges(fig, cells[3], ROWS))


def _curve(ax: Axes, look: dict[str, Any], label: str = "") -> Any:
    return ax.plot(MONTHS_ON, MONTHS_ON * 0, label=label, **look)[0]


def _shade(ax: Axes, **look: Any) -> Any:
    return ax.fill_between(MONTHS_ON, MONTHS_ON * 0, MONTHS_ON * 0, **look)


def _relief(ax: Axes) -> dict[str, Any]:
    slim = stacking.narrow(ax.get_figure())
    usual = ax.axhspan(*USUAL, color="#eeeeee", zorder=0, label="usual (common practice, no source)")
    if not slim:
        ax.text(0.0, -0.185, "grey: usual, 0.1 to 0.3 mm (common practice, no source)", va="bottom",
                color="#444444", zorder=1)
    ax.axhline(1e3 * SET, **style.REFERENCE)
    shade = _shade(ax, **style.BAND)
    one, ghost = (ax.plot([], [], label=label, **look)[0]
                  for look, label in ((ONE, "90 of 100 in one piece"), (style.HELD, "")))
    foreseen = _curve(ax, FORESEEN, "what can be foreseen")
    middle = _curve(ax, style.NOW, "middle neck")
    ribbon = Patch(facecolor=style.BLUE, alpha=0.3, label="90 of 100 such necks")
    ax.legend(handles=[middle, ribbon, one, foreseen, *[usual] * slim], loc="upper left",
              ncols=1 if slim else 2, borderaxespad=0.1, columnspacing=1.4,
              bbox_to_anchor=(-0.22, -0.11) if slim else (0, 1))
    return {"shade": shade, "middle": middle, "foreseen": foreseen, "one": one, "ghost": ghost,
            "beyond": Numbers(ax, style.SMALL, "right")}


def _moisture(ax: Axes) -> dict[str, Any]:
    shades = {f"{name}_shade": _shade(ax, color=look["color"], alpha=0.16, lw=0)
              for name, look in (("board", FRETBOARD), ("neck", NECK))}
    settles = _curve(ax, style.REFERENCE, "where the air would bring it")
    board, neck = _curve(ax, FRETBOARD, "fretboard"), _curve(ax, NECK, "neck")
    slim = stacking.narrow(ax.get_figure())
    ax.legend(handles=[board, neck, settles], loc="upper left", ncols=1 if slim else 3, borderaxespad=0.1,
              columnspacing=1.2, bbox_to_anchor=(-0.22, -0.22) if slim else (0, 1))
    return {**shades, "settles": settles, "board": board, "neck": neck}


def _sides(fig: Figure) -> dict[str, Any]:
    """The widest month taken apart, and a hundred necks in it."""
    slim = stacking.narrow(fig)
    side = [stacking.cell(fig, STACK, "Widest month", 22, 22, *edges) for edges in ((26, 206), (332, 56))
            ] if slim else fig.add_gridspec(2, 1, height_ratios=(1.75, 1.0), left=0.722, right=0.985,
                                            top=0.915, bottom=0.375, hspace=0.62)
    split = fig.add_subplot(side[0])
    split.set(xlim=(-REACH, REACH if slim else 1.06), xticks=(-0.4, 0, 0.4),
              ylim=(len(PARTS) - 0.6, -0.9) if slim else (len(PARTS) - 0.5, -0.5))
    split.set_xlabel("relief change (mm)", x=0.5 if slim else 0.28, labelpad=1)
    lines = [1 - (k + (0.5 if slim else 0.63)) / (4.3 if slim else 4) for k in range(len(PARTS))]
    split.set_yticks(range(0 if slim else len(PARTS)), () if slim else PARTS)
    split.spines["left"].set_visible(not slim)
    for y, name in zip(lines, PARTS if slim else (), strict=False):     # above the bar
        split.text(0, y, name, transform=split.transAxes)
    split.set_title(f"{'W' if slim else 'The w'}idest month, taken apart:", pad=6, x=0 if slim else -0.445)
    split.axvline(0, **style.REFERENCE)
    colours = list(PARTS.values())
    ghosts = PolyCollection([NONE], facecolors="none", edgecolors=style.HELD["color"],
                            linestyles=[style.HELD["linestyle"]], linewidths=1.3)
    parts = PolyCollection([NONE] * 4, facecolors=colours, edgecolors=colours, alpha=0.45, linewidths=1.0)
    for boxes in (ghosts, parts):
        split.add_collection(boxes, autolim=False)

    crowd = fig.add_subplot(side[1])
    crowd.set(xlim=(-0.6, 24.6), ylim=(-1.6, 3.6), xticks=[], yticks=[])
    crowd.grid(False)
    crowd.spines[:].set_visible(False)
    if not slim:
        place = crowd.get_position()
        crowd.set_position((0.605, place.y0, 0.38, place.height))
    stacking.title(crowd, "100 such necks then: relief went, mm", pad=3)
    kinds = [crowd.plot([], [], linestyle="none", marker=mark, ms=7.5, mfc=face, mec=edge, label=name)[0]
             for name, mark, face, edge in KINDS]
    legend = crowd.legend(loc="upper left" if slim else "lower left", ncols=2 if slim else 4,
                          bbox_to_anchor=(-0.02, 0.05 if slim else -0.17), handletextpad=0.0,
                          columnspacing=0.5, handlelength=1.3, borderaxespad=0)
    numbers = [QuickNumber(split, 1.0 if slim else 1.02, y) for y in lines]
    for words in (*legend.get_texts(), *numbers):
        words.of_unit = "mm"
    return {"parts": parts, "ghost_parts": ghosts, "kinds": kinds,
            "month": QuickNumber(split, 1.0, 1.035 if slim else 1.055),
            "numbers": numbers}


def _edges(found: Year) -> NDArray[np.float64]:
    """Low, middle and high (3, 13) of the relief in mm, as set at delivery."""
    return 1e3 * (SET + band(found.relief))


def _outline(found: Year) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Both edges of the band as one broken line."""
    low, _, high = _edges(found)
    return np.concatenate([MONTHS_ON, [np.nan], MONTHS_ON]), np.concatenate([low, [np.nan], high])


def _box(low: float, high: float, y: float, half: float = 0.32) -> NDArray[np.float64]:
    low, high = np.clip((1e3 * low, 1e3 * high), -REACH, REACH)
    return np.array([(low, y - half), (high, y - half), (high, y + half), (low, y + half)])


def _split(now: Seen) -> list[tuple[float, float]]:
    """(low, high) in m of the four PARTS in the widest month; the first, one number, from nothing to it."""
    found, i = now.neck, now.widest
    foreseen = float(found.foreseen[i])
    return [(min(0.0, foreseen), max(0.0, foreseen)),
            *(tuple(band(part[:, i])[[0, 2]]) for part in (found.chance, found.relief, now.one.relief))]


def counts(change: NDArray[np.float64]) -> list[int]:
    """How many of a hundred necks fall into KINDS, summing to those that changed at all; change (D,), mm.

    >>> counts(np.array([0.2, 0.01, -0.01, -0.2]))
    [25, 25, 25, 25]
    """
    steps = [round(100 * float(np.mean(below))) for below in (
        change > SHOWS, change > 0, change >= 0, change >= -SHOWS, True)]
    return [steps[0], steps[1] - steps[0], steps[3] - steps[2], steps[4] - steps[3]]


def draw(art: SimpleNamespace, now: Seen, earlier: Seen | None = None) -> None:
    """Set every moving artist. earlier: what the ghost shows."""
    found = now.neck
    low, middle, high = _edges(found)
    art.shade.set_data(MONTHS_ON, low, high)
    art.middle.set_ydata(middle)
    art.foreseen.set_ydata(1e3 * (SET + found.foreseen))
    art.one.set_data(*_outline(now.one))
    art.ghost.set_data(*(_outline(earlier.neck) if earlier else ([], [])))
    beyond = (("▲ beyond this scale", max(high) > 0.8), ("▼ beyond this scale", min(low) < -0.2))
    art.beyond.show([12.0, 12.0], [0.6, -0.07], [word if past else " " for word, past in beyond],
                    style.LIMIT_WORDS)
    for words, y in zip(art.months, (-0.075, -0.13), strict=True):
        at = MONTHS_ON[::art.named]
        words.show(at, y + 0 * at, [name[:3] for name in found.month[::art.named]])
    art.room.set_ydata(100 * found.room.humidity)
    art.shop.set_ydata([now.shop, now.shop])
    art.settles.set_ydata(100 * found.room.moisture)
    for moisture, shade, line in ((found.board_moisture, art.board_shade, art.board),
                                  (found.neck_moisture, art.neck_shade, art.neck)):
        bottom, centre, upper = 100 * band(moisture)
        shade.set_data(MONTHS_ON, bottom, upper)
        line.set_ydata(centre)

    parts = _split(now)
    art.parts.set_verts([_box(a, b, k) for k, (a, b) in enumerate(parts)])
    before = _split(earlier)[1:] if earlier else []
    art.ghost_parts.set_verts([_box(a, b, k, 0.42) for k, (a, b) in enumerate(before, 1)] or [NONE])
    art.numbers[0].set_text(mm(found.foreseen[now.widest]))
    for number, (a, b) in zip(art.numbers[1:], parts[1:], strict=True):
        number.set_text(f"{mm(a)} to {mm(b)}")
    art.month.set_text(found.month[now.widest])
    start = 0
    for line, count in zip(art.kinds, counts(1e3 * found.relief[:, now.widest]), strict=True):
        column, row = np.divmod(np.arange(start, start + count), 4)
        line.set_data(column, 3 - row)
        start += count
    art.gauges.show(_gauged(now), _gauged(earlier) if earlier else None)


def _gauged(now: Seen) -> list[NDArray[np.float64]]:
    """Draws of both ROWS, mm."""
    return [1e3 * now.neck.fret_end[:, now.driest], 1e3 * swing(now.neck)]


def sentence(values: dict[str, Any], now: Seen) -> str:
    """The picture in words, with every number and its 90 % band."""
    found, i = now.neck, now.widest
    dry, damp = int(np.argmin(found.room.humidity)), int(np.argmax(found.room.humidity))
    low, middle, high = SET + band(found.relief[:, i])
    toss, one = band(found.chance[:, i]), SET + band(now.one.relief[:, i])
    ends, wide = band(found.fret_end[:, now.driest]), band(swing(found))
    up = round(100 * float(np.nan_to_num(found.share_up[i], nan=0.0)))
    fell = round(100 * float(np.mean(found.relief[:, i] < 0)))
    count = len(found.neck.layup.stripes)
    pull = [np.median(found.rod_force[:, t]) for t in (0, dry, damp)]
    steel = "" if not pull[0] else (
        f"Its single-acting rod pulls {written(pull[0], 0)} N at delivery, {written(pull[1], 0)} N in "
        f"{found.month[dry]} and {written(pull[2], 0)} N in {found.month[damp]}. ")
    stands = (f"Fret ends stand out most in {found.month[now.driest]}, {mm(ends[1], '')} mm a side "
              f"({mm(ends[0], '')} to {mm(ends[2], '')}). "
              if ends[1] > 5e-6 else "Fret ends never stand out: the board grows. ")
    return (f"{'One piece' if count == 1 else f'{count} stripes'}, built at {now.shop:.0f} % humidity, "
            f"delivered to {town_words(values['place'])} in {values['delivered']}: the room there runs from "
            f"{100 * found.room.humidity[dry]:.0f} % ({found.month[dry]}) to "
            f"{100 * found.room.humidity[damp]:.0f} % ({found.month[damp]}), the fretboard "
            f"({SHORT.get(values['board'], values['board'])}) from {percent(found.board_moisture)} moisture, "
            f"the neck ({SHORT.get(values['back'], values['back'])}) from {percent(found.neck_moisture)}. "
            f"Relief set to {mm(SET, '')} mm is {mm(middle, '')} mm in {found.month[i]}, its widest month "
            f"(90 of 100 such necks: {mm(low, '')} to {mm(high, '')}): it has risen in {up} and fallen in "
            f"{fell} of 100. Of that change {mm(found.foreseen[i])} mm can be foreseen; {mm(toss[0])} to "
            f"{mm(toss[2])} mm is a coin toss. One piece: {mm(one[0], '')} to {mm(one[2], '')} mm. Over the "
            f"year relief leaves {USUAL[0]:.1f} to {USUAL[1]:.1f} mm in {100 * leaves(found):.0f} of 100 "
            f"({100 * leaves(now.one):.0f} of 100 in one piece). {steel}{stands}The neck's width moves by "
            f"{mm(wide[1], '')} mm ({mm(wide[0], '')} to {mm(wide[2], '')}). {usual_words(values['place'])}.")


def percent(moisture: NDArray[np.float64]) -> str:
    """'from to' of the middle moisture (D, T) over the year, in %, one decimal."""
    middle = 100 * np.median(moisture, axis=0)
    return f"{middle.min():.1f} to {middle.max():.1f} %"
