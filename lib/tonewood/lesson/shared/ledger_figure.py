"""The relief ledger drawn: a running bar in millimetres, one line a step, the rod kinds under each other."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from types import SimpleNamespace
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection, PolyCollection
from matplotlib.colors import to_rgb
from matplotlib.figure import Figure
from matplotlib.patches import Patch

from tonewood.draws import written, written_band
from tonewood.lesson.shared.design_strip import LessonNeck, with_strip
from tonewood.lesson.shared.ledger import HOME_ROWS, READ, SHOP_ROWS, USUAL, Ledger, Line, ledger
from tonewood.lesson.shared.shop import NECK_12, RODS
from tonewood.neck.design import Design
from tonewood.panel import chosen, stacking, style, units
from tonewood.panel.controls import Control, pick, slider
from tonewood.panel.live_figure import LiveFigure
from tonewood.panel.quick_text import Numbers, wide
from tonewood.wood.climate import place, places

LOW, HIGH = -0.5, 1.0           # mm
COLOURS = {"": style.BLACK, RODS[0]: style.BLUE, RODS[1]: style.VERMILLION}
NONE = np.zeros((4, 2))
STACK = {"In the workshop": 600, "At home": 600}


@dataclass(frozen=True)
class Places:
    """Where in its row, which is 1 high, a line stands: `bars` by kind of rod, the words by `up` above them;
    half the height of a bar of the total; the edge and side the words are set from."""

    bars: dict[str, float]
    half: float
    up: float
    edge: float
    side: str


BESIDE = Places({"": 0.0, RODS[0]: -0.2, RODS[1]: 0.2}, 0.17, 0.0, 1.03, "left")
ABOVE = Places({"": 0.04, RODS[0]: 0.04, RODS[1]: 0.41}, 0.06, 0.17, 1.0, "right")


def _rows(home: bool) -> tuple[str, ...]:
    return SHOP_ROWS + HOME_ROWS * home


def _place(line: Line, rows: tuple[str, ...], at: Places) -> float:
    return rows.index(line.name) + at.bars[line.rod]


def _box(low: float, high: float, y: float, half: float) -> np.ndarray:
    low, high = np.clip((1e3 * low, 1e3 * high), LOW, HIGH)
    return np.array([(low, y - half), (high, y - half), (high, y + half), (low, y + half)])


def _setup(home: bool) -> Callable[[Figure], SimpleNamespace]:
    def setup(fig: Figure) -> SimpleNamespace:
        """Draw all that stays, once."""
        rows = _rows(home)
        if stacking.narrow(fig):
            stack, shop = _stack(home), len(SHOP_ROWS)
            axes = [fig.add_subplot(stacking.cell(fig, stack, name, 18, 18, 188, 44)) for name in stack]
            parts = [_part(ax, rows, range(*ends), ABOVE)
                     for ax, ends in zip(axes, ((0, shop), (shop, len(rows))), strict=False)]
            for ax in axes:
                tall = 100 * fig.get_figheight() * ax.get_position().height
                ax.legend(handles=_named("\n"), loc="upper left", bbox_to_anchor=(-0.03, 1 + 182 / tall),
                          borderaxespad=0, handlelength=1.6)
        else:
            high = fig.get_figheight()
            ax = fig.add_axes((0.241, 0.6 / high, 0.462, 1 - 1.67 / high))
            parts = [_part(ax, rows, range(len(rows)), BESIDE)]
            fig.legend(handles=_named(), loc="upper left", bbox_to_anchor=(0.005, 1.0), ncols=2,
                       columnspacing=2.0, handlelength=1.6)
        return SimpleNamespace(home=home, parts=parts)
    return setup


def _stack(home: bool) -> dict[str, int]:
    return dict(list(STACK.items())[:1 + home])


def _named(turn: str = " ") -> list[Patch]:
    """What the legend names; turn: where its longest line may go on below."""
    grey = {"edgecolor": style.GREY}
    return [Patch(facecolor="#e6e6e6", label=f"0.1 to 0.3 mm, usual{turn}(common practice, no source)"),
            Patch(facecolor="#bbbbbb", label="total in 90 of 100 such necks"),
            Patch(facecolor=style.GREY, label="step set or foreseen", **grey),
            Patch(facecolor="none", hatch="////", label="step of unsure size or sign", **grey),
            *(Patch(facecolor=COLOURS[kind], label=f"{where} bar: {kind} rod")
              for kind, where in zip(RODS, ("upper", "lower"), strict=True))]


def _part(ax: Axes, rows: tuple[str, ...], shown: Sequence[int], at: Places) -> SimpleNamespace:
    """The rows numbered in `shown`, ready to be filled."""
    slim, first, last = at is ABOVE, shown[0], shown[-1]
    ax.set(xlim=(LOW, HIGH), ylim=(last + 0.55, first - 0.45) if slim else (last + 0.55, first - 0.55),
           xlabel=f"relief at fret {READ} (mm)", xticks=np.arange(-0.4, 1.01, 0.2))
    ax.set_yticks(shown, [""] * len(shown) if slim else [rows[y] for y in shown])
    ax.tick_params(axis="y", length=0 if slim else 3.5)
    ax.spines["left"].set_visible(not slim)
    ax.grid(axis="y", visible=False)
    ax.axvspan(*USUAL, color="#e6e6e6", zorder=0)
    ax.axvline(0, **style.REFERENCE)
    for y in shown[:-1]:
        ax.axhline(y + 0.5 + 0.05 * slim, color="#eeeeee", lw=0.8, zorder=0)
    for y in shown if slim else ():
        ax.text(0, y - 0.28, rows[y], transform=ax.get_yaxis_transform(),
                bbox={"facecolor": "white", "edgecolor": "none", "pad": 1})
    ax.text(at.edge, 1.012, "step → total (90 of 100), mm", transform=ax.transAxes, ha=at.side,
            fontweight="bold")
    paper = PolyCollection([NONE], facecolors="white", edgecolors="none", zorder=2.5)    # below words
    bands = PolyCollection([NONE], alpha=0.22, edgecolors="none", zorder=1)
    solid = PolyCollection([NONE], alpha=0.9, linewidths=1.0, zorder=3)
    hollow = PolyCollection([NONE], facecolors="none", hatch="////", linewidths=1.0, zorder=3)
    links = LineCollection([], linewidths=1.0, linestyles=[(0, (1, 1.5))], zorder=2)
    middles = LineCollection([], linewidths=3.0, zorder=4)
    for artist in (paper, bands, solid, hollow, links, middles):
        ax.add_collection(artist, autolim=False)
    numbers = Numbers(ax, align=at.side, transform=ax.get_yaxis_transform())
    return SimpleNamespace(at=at, shown=[rows[y] for y in shown], paper=paper, bands=bands, solid=solid,
                           hollow=hollow, links=links, middles=middles, numbers=numbers)


def _lit(boxes: PolyCollection, lines: list[Line], verts: list[np.ndarray], face: bool = True) -> None:
    boxes.set_verts(verts or [NONE])
    colours = [COLOURS[line.rod] for line in lines] or ["none"]
    boxes.set_edgecolor(colours)
    if face:
        boxes.set_facecolor(colours)


def change(art: SimpleNamespace, subject: Design, target: float, tang: float, town: str | None = None) -> str:
    """Show one setting; the sentence that tells it."""
    found = ledger(subject, target, tang, town)
    for part in art.parts:
        _fill(part, list(found.lines), _rows(art.home))
    return sentence(found, target, tang, town)


def _fill(art: SimpleNamespace, lines: list[Line], rows: tuple[str, ...]) -> None:
    at, half = art.at, art.at.half
    places = [_place(line, rows, at) for line in lines]
    art.bands.set_verts([_box(*line.total[[0, 2]], y, half) for line, y in zip(lines, places, strict=True)])
    art.bands.set_facecolor([COLOURS[line.rod] for line in lines])
    for boxes, known in ((art.solid, True), (art.hollow, False)):
        those = [line for line in lines if line.known is known]
        ends = [np.sort([np.median(line.before), line.total[1]]) for line in those]
        _lit(boxes, those, [_box(*two, _place(line, rows, at), half / 2)
                             for two, line in zip(ends, those, strict=True)], known)
    marks = [(float(np.clip(1e3 * line.total[1], LOW, HIGH)), y)
             for line, y in zip(lines, places, strict=True)]
    art.middles.set_segments([((x, y - half), (x, y + half)) for x, y in marks])
    art.middles.set_color([COLOURS[line.rod] for line in lines])
    linked = [line for line in lines if line.rod or line.name == SHOP_ROWS[1]]
    art.links.set_segments([_link(line, lines, rows, at) for line in linked])
    art.links.set_color([COLOURS[line.rod] for line in linked])
    here = [line for line in lines if line.name in art.shown]
    words, heights = [_words(line) for line in here], [_place(line, rows, at) - at.up for line in here]
    art.numbers.show([at.edge] * len(here), heights, words, [to_rgb(COLOURS[line.rod]) for line in here])
    if at is ABOVE:
        mm = (HIGH - LOW) / art.numbers.axes.bbox.width      # of a pixel
        art.paper.set_verts([np.array([(HIGH - mm * wide(told), y - 0.1), (HIGH, y - 0.1), (HIGH, y + 0.1),
                                       (HIGH - mm * wide(told), y + 0.1)])
                             for told, y in zip(words, heights, strict=True)])


def _link(line: Line, lines: list[Line], rows: tuple[str, ...], at: Places) -> list[tuple[float, float]]:
    """From the running total that a line starts from down to that line."""
    x = float(np.clip(1e3 * np.median(line.before), LOW, HIGH))
    above = [other for other in lines[:lines.index(line)] if other.after is line.before]
    return [(x, _place(above[-1] if above else line, rows, at)), (x, _place(line, rows, at))]


def _words(line: Line) -> str:
    """'+0.06 → 0.26 (0.23 to 0.34)' of a line."""
    shown = f"{written(1e3 * line.step[1], 2, sign=True)} → {written_band(1e3 * line.total)}"
    return units.converted(shown, "mm", chosen.now())


def sentence(found: Ledger, target: float, tang: float, town: str | None) -> str:
    """The account in words, with every number and its 90 % band."""
    def told(name: str, rod: str = "") -> str:
        return _words(found.line(name, rod))

    said = (f"Relief at fret {READ}, step and running total in mm (90 of 100 such necks). Strings on, rod "
            f"slack: {told(SHOP_ROWS[0])}. Tangs {tang:.3f} mm wider than their slots: {told(SHOP_ROWS[1])}. "
            f"Rod set for {target:.2f} mm: double-acting {told(SHOP_ROWS[2], RODS[0])}, single-acting "
            f"{told(SHOP_ROWS[2], RODS[1])}. A year's creep (from memory, within a factor of two): "
            f"{told(SHOP_ROWS[3], RODS[0])}, {told(SHOP_ROWS[3], RODS[1])}.")
    if town is None:
        return said
    dry, damp = (found.years[RODS[0]].month[at] for at in (found.dry, found.damp))
    for kind in RODS:
        said += (f" {place(town).name}, {kind} rod: home {told(HOME_ROWS[0], kind)}; {dry}, driest, "
                 f"{told(HOME_ROWS[1], kind)}; {damp}, dampest, {told(HOME_ROWS[2], kind)}.")
    build = " and ".join(f"{best:.2f} mm with a {kind} rod (then {100 * share:.0f} of 100 stay within)"
                         for kind, (best, share) in found.best.items())
    return (f"{said} {dry}, double-acting rod, strips of the main stripes measured: "
            f"{told(HOME_ROWS[3], RODS[0])}. For {USUAL[0]} to {USUAL[1]} mm (common practice, no source) "
            f"through both seasons, creep apart, set {build}.")


def start(design: Design = NECK_12) -> dict[str, Any]:
    """Start values of the controls with the client's town."""
    own = place(design.town).name
    return {"tang": 0.0, "target": 0.2, "town": own if own in places() else place(NECK_12.town).name}


def cannot(design: Design, home: bool = True) -> list[str]:
    """What the ledger cannot show of a design, one sentence each."""
    own, shown, said = place(design.town).name, start(design)["town"], []
    if design.rod not in RODS:
        said.append("It has no truss rod; what is shown is what either kind would do in it.")
    if home and own != shown:
        said.append(f"{own} has no published temperatures: the year is one in {shown}.")
    if home and not design.fretboard.layers:
        said.append("It has no fretboard, so strips of neck wood on fretboard tell nothing of it.")
    return said


def controls(home: bool = True) -> dict[str, Control]:
    """The controls, fresh."""
    own = start()
    made: dict[str, Control] = {
        "tang": slider("Fret tangs thicker than their slots by", own["tang"], 0, 0.02, 0.001, "mm",
                       "how much wider the tangs are than their slots; crushing is taken to leave 30 to 100 "
                       "% of it (estimated)", continuous=not home),
        "target": slider(f"Relief wanted at fret {READ}", own["target"], 0.0, 0.6, 0.05, "mm",
                         "0.1 to 0.3 mm is usual (common practice, no source)", continuous=not home)}
    if home:
        made["town"] = pick("Client's town", [(place(name).listed, name) for name in places()], own["town"],
                            "delivered in October, the room as is usual there")
    return made


def relief_ledger(home: bool = True) -> LiveFigure:
    """The relief ledger, ready to slide; home: with the year at the client's. Last line of a cell."""
    live = LiveFigure(_setup(home), change, controls(home), inches=(9.2, 5.6 if home else 3.6),
                      place="beside", subject=NECK_12, narrow=_stack(home),
                      alt="A running account of relief in millimetres: strings, tangs, rod and creep"
                          f"{', home, driest and dampest month by kind of rod' if home else ''}, known steps "
                          "solid, unknown ones hatched, with the band of 90 of 100 necks")

    def keep(subject: Design, values: dict[str, Any], name: str) -> Design:
        moved = home and values["town"] != start(subject)["town"]
        return subject.changed(name=name, **({"town": values["town"]} if moved else {}))

    def begin(subject: Design) -> dict[str, Any]:
        own = start(subject)
        return own if home else {n: own[n] for n in ("tang", "target")}

    return with_strip(live, LessonNeck(begin, keep, lambda subject: cannot(subject, home)))
