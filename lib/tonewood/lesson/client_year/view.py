"""The picture of a neck's year: three strips over the months on the left; on the right what can be foreseen, a hundred necks, two gauges."""

from dataclasses import dataclass

import numpy as np
from matplotlib.collections import PolyCollection
from matplotlib.patches import Patch

from tonewood.panel import style
from tonewood.panel.gauges import Gauges, Row, band
from tonewood.panel.glyphs import Numbers
from tonewood.panel.quick_text import QuickNumber
from tonewood.neck.load.rod_limits import SHOWS

USUAL = (0.1, 0.3)
"""Relief (mm) usually set, at fret 7 or 8: common practice, no source."""
START = 0.2
MONTHS_ON = np.arange(13.0)
ONE = {"color": style.PURPLE, "linestyle": (0, (6, 1.5, 1, 1.5)), "linewidth": 1.5}
FRETBOARD = {"color": style.VERMILLION, "linestyle": "-", "linewidth": 2.0}
NECK = {"color": style.GREEN, "linestyle": "--", "linewidth": 2.0}
FORESEEN = {"color": style.BLACK, "linestyle": ":", "linewidth": 1.8}
ROWS = (Row("Fret ends, each side", "mm", -0.1, 0.5, 2, reference=0.0), Row("Width, least to most", "mm", 0.0, 2.0, 2))
PARTS = ("predictable part", "coin-toss part", "both: this neck", "both: one piece")
KINDS = (("up > 0.05 mm", "^", style.VERMILLION, style.VERMILLION), ("up", "^", "white", style.VERMILLION), ("down", "v", "white", style.BLUE),
         ("down > 0.05 mm", "v", style.BLUE, style.BLUE))


@dataclass
class Art:
    """What moves."""

    shade: object
    middle: object
    foreseen: object
    one: object
    ghost: object
    letters: tuple
    beyond: object
    room: object
    shop: object
    settles: object
    board_shade: object
    neck_shade: object
    board: object
    neck: object
    parts: object
    ghost_parts: object
    numbers: list
    month: object
    kinds: list
    gauges: Gauges


def setup(fig):
    """Draw once; returns Art."""
    grid = fig.add_gridspec(3, 1, height_ratios=(2.35, 1, 1.25), left=0.066, right=0.565, top=0.962, bottom=0.055, hspace=0.33)
    flat = MONTHS_ON * 0
    top, air, wet = (fig.add_subplot(grid[k]) for k in range(3))
    for ax in (top, air, wet):
        ax.set(xlim=(-0.1, 12.1), xticks=MONTHS_ON)
        ax.tick_params(axis="x", length=0, labelbottom=False)
        ax.tick_params(axis="y", labelsize=9.5)
        ax.yaxis.labelpad = 2
    top.set(ylim=(-0.2, 0.8), ylabel="relief (mm)")
    for ax in (top, air, wet):
        ax.yaxis.label.set_size(10)
    top.set_title("Relief, rod untouched since delivery", fontsize=10.5, pad=3)
    top.axhspan(*USUAL, color="#eeeeee", zorder=0)
    top.text(0.0, -0.185, "grey: relief as it is usually set, 0.1 to 0.3 mm (common practice, no source)", fontsize=9, va="bottom", color="#444444", zorder=1)
    top.axhline(START, **style.REFERENCE)
    shade = top.fill_between(MONTHS_ON, flat, flat, **style.BAND)
    one, = top.plot([], [], **ONE)
    ghost, = top.plot([], [], **style.HELD)
    foreseen, = top.plot(MONTHS_ON, flat, **FORESEEN)
    middle, = top.plot(MONTHS_ON, flat, **style.NOW)
    top.legend(handles=[middle, Patch(facecolor=style.BLUE, alpha=0.3, label="90 of 100 such necks"), top.plot([], [], label="90 of 100 in one piece", **ONE)[0],
                        top.plot([], [], label="what can be foreseen", **FORESEEN)[0]], labels=["middle neck", "90 of 100 such necks", "90 of 100 in one piece", "what can be foreseen"],
               loc="upper left", ncols=2, fontsize=9, borderaxespad=0.1, columnspacing=1.4)
    beyond = Numbers(top, 9, "right")
    air.set(ylim=(0, 100), ylabel="humidity (%)")
    air.set_title("Air of the room (dotted: the workshop)", fontsize=10.5, pad=3)
    shop, = air.plot([-0.1, 12.1], [0, 0], **style.REFERENCE)
    room, = air.plot(MONTHS_ON, flat, color=style.BLACK, linewidth=2.0)
    wet.set(ylim=(2, 25), ylabel="moisture (%)")
    wet.set_title("Moisture of the wood", fontsize=10.5, pad=3)
    board_shade = wet.fill_between(MONTHS_ON, flat, flat, color=style.VERMILLION, alpha=0.16, lw=0)
    neck_shade = wet.fill_between(MONTHS_ON, flat, flat, color=style.GREEN, alpha=0.16, lw=0)
    settles, = wet.plot(MONTHS_ON, flat, **style.REFERENCE)
    board, = wet.plot(MONTHS_ON, flat, **FRETBOARD)
    neck, = wet.plot(MONTHS_ON, flat, **NECK)
    wet.legend([board, neck, settles], ["fretboard", "neck", "where the air would bring it"], loc="upper left", ncols=3, fontsize=9, borderaxespad=0.1, columnspacing=1.2)
    letters = tuple(Numbers(ax, 9.5, transform=ax.get_xaxis_transform()) for ax in (top, wet))

    side = fig.add_gridspec(2, 1, height_ratios=(1.75, 1.0), left=0.722, right=0.985, top=0.915, bottom=0.375, hspace=0.62)
    split = fig.add_subplot(side[0])
    split.set(xlim=(-0.4, 0.92), ylim=(len(PARTS) - 0.5, -0.5), xticks=(-0.4, -0.2, 0, 0.2, 0.4))
    split.set_xlabel("relief change (mm)", fontsize=9, x=0.32, labelpad=1)
    split.tick_params(labelsize=9.5)
    split.set_yticks(range(len(PARTS)), PARTS, fontsize=9.5)
    split.set_title("The widest month, taken apart:", fontsize=10.5, pad=6, x=-0.445)
    split.axvline(0, **style.REFERENCE)
    colours = [style.BLACK, style.BLUE, style.BLUE, style.PURPLE]
    parts = PolyCollection([np.zeros((4, 2))] * 4, facecolors=colours, edgecolors=colours, alpha=0.45, linewidths=1.0)
    ghost_parts = PolyCollection([np.zeros((4, 2))], facecolors="none", edgecolors=style.HELD["color"], linestyles=[style.HELD["linestyle"]], linewidths=1.3)
    split.add_collection(ghost_parts, autolim=False)
    split.add_collection(parts, autolim=False)
    numbers = [QuickNumber(split, 1.02, 1 - (k + 0.63) / 4, 9) for k in range(4)]
    month = QuickNumber(split, 1.0, 1.055, 10)

    crowd = fig.add_subplot(side[1])
    crowd.set(xlim=(-0.6, 24.6), ylim=(-1.6, 3.6), xticks=[], yticks=[])
    crowd.grid(False)
    for spine in crowd.spines.values():
        spine.set_visible(False)
    crowd.set_position((0.605, crowd.get_position().y0, 0.38, crowd.get_position().height))
    crowd.set_title("100 such necks in that month: relief went", fontsize=10.5, pad=3)
    kinds = [crowd.plot([], [], linestyle="none", marker=m, ms=7.5, mfc=face, mec=edge, mew=1.0)[0] for _, m, face, edge in KINDS]
    crowd.legend(handles=[crowd.plot([], [], linestyle="none", marker=m, ms=7.5, mfc=face, mec=edge, mew=1.0, label=name)[0] for name, m, face, edge in KINDS],
                 loc="lower left", bbox_to_anchor=(-0.02, -0.17), ncols=4, fontsize=9, handletextpad=0.1, columnspacing=0.8, borderaxespad=0)
    gauges = Gauges(fig, fig.add_gridspec(1, 1, left=0.612, right=0.985, top=0.255, bottom=0.055)[0], ROWS)
    return Art(shade, middle, foreseen, one, ghost, letters, beyond, room, shop, settles, board_shade, neck_shade, board, neck, parts, ghost_parts, numbers, month,
               kinds, gauges)


def _edges(found):
    """Low, middle and high (13,) of the relief in mm, set to START at delivery."""
    order, k = np.sort(1e3 * found.relief, axis=0), len(found.relief)
    return tuple(START + order[j] for j in (int(0.05 * (k - 1)), (k - 1) // 2, int(np.ceil(0.95 * (k - 1)))))


def _outline(found):
    """Both edges of the band as one broken line."""
    low, _, high = _edges(found)
    return np.concatenate([MONTHS_ON, [np.nan], MONTHS_ON]), np.concatenate([low, [np.nan], high])


def _box(low, high, y, half=0.32):
    low, high = np.clip((low, high), -0.4, 0.4)
    return np.array([(low, y - half), (high, y - half), (high, y + half), (low, y + half)])


def _split(now):
    """(low, middle, high) in mm of the four parts in the widest month."""
    found, i = now.neck, now.widest
    predictable = 1e3 * found.foreseen[i]
    return [(predictable,) * 3, band(1e3 * found.chance[:, i]), band(1e3 * found.relief[:, i]), band(1e3 * now.one.relief[:, i])]


def counts(change):
    """How many of a hundred necks (rounded) fall into KINDS; change (D,), mm. They sum to the share that changed at all."""
    edges = [np.mean(change > SHOWS), np.mean(change > 0), 1 - np.mean(change < 0), 1 - np.mean(change < -SHOWS), 1.0]
    steps = np.round(100 * np.array(edges)).astype(int)
    return [steps[0], steps[1] - steps[0], steps[3] - steps[2], steps[4] - steps[3]]


def _dots(kinds, how_many):
    start = 0
    for line, n in zip(kinds, how_many):
        place = np.arange(start, start + n)
        line.set_data(place // 4, 3 - place % 4)
        start += n


def signed(value):
    """Two decimals with sign, a true minus, and 0.00 for nothing."""
    value = round(value, 2) + 0.0
    return format(value, "+.2f" if value else ".2f").replace("-", "−")


def draw(art, now, shop, width, earlier=None, earlier_width=None):
    """Set every moving artist. now, earlier: Seen; shop: humidity %; width, earlier_width: swing of the width (D,), m."""
    found = now.neck
    low, middle, high = _edges(found)
    art.shade.set_data(MONTHS_ON, low, high)
    art.middle.set_ydata(middle)
    art.foreseen.set_ydata(START + 1e3 * found.foreseen)
    art.one.set_data(*_outline(now.one))
    art.ghost.set_data(*(_outline(earlier.neck) if earlier else ([], [])))
    out = [word if past else " " for word, past in (("▲ beyond this scale", max(high) > 0.8), ("▼ beyond this scale", min(low) < -0.2))]
    art.beyond.show([12.0, 12.0], [0.6, -0.07], out, style.VERMILLION)
    names = [name[:3] for name in found.month]
    for letters in art.letters:
        letters.show(MONTHS_ON, [-0.075 if letters is art.letters[0] else -0.13] * 13, names)
    art.room.set_ydata(100 * found.room.humidity)
    art.shop.set_ydata([shop, shop])
    art.settles.set_ydata(100 * found.room.moisture)
    for moisture, shade, line in ((found.board_moisture, art.board_shade, art.board), (found.neck_moisture, art.neck_shade, art.neck)):
        bottom, centre, upper = 100 * np.percentile(moisture, [5, 50, 95], axis=0)
        shade.set_data(MONTHS_ON, bottom, upper)
        line.set_ydata(centre)

    parts = _split(now)
    shown = [(min(0.0, parts[0][0]), 0.0, max(0.0, parts[0][0])), *parts[1:]]
    art.parts.set_verts([_box(a, b, k) for k, (a, _, b) in enumerate(shown)])
    before = _split(earlier)[1:] if earlier else ()
    art.ghost_parts.set_verts([_box(a, b, k + 1, 0.42) for k, (a, _, b) in enumerate(before)] or [np.zeros((4, 2))])
    art.numbers[0].set_text(signed(parts[0][0]))
    for number, (a, _, b) in zip(art.numbers[1:], parts[1:]):
        number.set_text(f"{signed(a)} to {signed(b)}")
    art.month.set_text(found.month[now.widest])
    _dots(art.kinds, counts(1e3 * found.relief[:, now.widest]))
    ends = [1e3 * found.fret_end[:, now.driest], 1e3 * width]
    art.gauges.show(ends, [1e3 * earlier.neck.fret_end[:, earlier.driest], 1e3 * earlier_width] if earlier else None)
