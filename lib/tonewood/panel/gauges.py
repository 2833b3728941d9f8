"""Rows of gauges: one quantity a row, each on its own fixed scale, with the middle of the band, the 90 %
band, a reference and a ghost."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import log10

import numpy as np
from matplotlib.axes import Axes
from matplotlib.axis import Axis
from matplotlib.collections import PolyCollection
from matplotlib.figure import Figure
from matplotlib.gridspec import SubplotSpec
from matplotlib.ticker import MaxNLocator

from tonewood.draws import Array, Draws, band, written, written_band
from tonewood.panel import chosen, style, units
from tonewood.panel.quick_text import QuickNumber, wide

NOTHING = np.zeros((4, 2))
LINE, SCALE = 19, 26
"""Pixels that a line of words takes above a gauge, and its scale below it."""


@dataclass(frozen=True)
class Row:
    """One gauge: name, unit, scale ends, decimals of the number, and a reference drawn as a dotted line
    (None: none)."""

    name: str
    unit: str
    low: float
    high: float
    decimals: int
    reference: float | None = None

    @property
    def title(self) -> str:
        """Name and unit."""
        return f"{self.name} ({self.unit})" if self.unit else self.name

    def width(self) -> int:
        """Pixels that the title and its longest number take beside each other."""
        return wide(self.title) + wide(written_band((self.low, self.low, self.high), self.decimals))


def in_units(unit: str) -> tuple[str, float, int]:
    """(unit shown, factor, extra decimals) for a quantity in `unit` in the units chosen now; units without a
    counterpart stay."""
    if unit not in units.UNITS:
        return unit, 1.0, 0
    shown = units.in_system(unit, chosen.now())
    factor = units.convert(1.0, unit, shown)
    return shown, factor, round(-log10(factor)) if factor < 1 else 0


def mark_axis(axis: Axis, low: float, high: float, factor: float, bins: int = 7) -> None:
    """Ticks at round numbers of the unit shown (value x factor) on an axis whose data stay in their own
    unit."""
    low, high = low * factor, high * factor
    found = MaxNLocator(bins, steps=[1, 2, 2.5, 5, 10]).tick_values(low, high)
    ticks = [t for t in found if low - 1e-9 <= t <= high + 1e-9]
    axis.set_ticks([t / factor for t in ticks], [written(round(t, 9), None) for t in ticks])


class Gauges:
    """Draws rows on sub-axes of `spec` once; `show` moves bands, marks and numbers."""

    def __init__(self, fig: Figure, spec: SubplotSpec, rows: Sequence[Row]) -> None:
        self.rows = rows
        box, (across, high) = spec.get_position(fig), 100 * fig.get_size_inches()
        # a title and its number share a line where every row has room for both
        doubled = any(row.width() + 10 > box.width * across for row in rows)
        step = LINE * (1 + doubled) + SCALE
        tall = (box.height * high - doubled * LINE - (len(rows) - 1) * step) / len(rows)
        self._axes = [fig.add_axes((box.x0, box.y0 + (len(rows) - 1 - i) * (tall + step) / high, box.width,
                                    tall / high)) for i in range(len(rows))]
        self.bands, self.marks, self.ghosts, self.numbers = [], [], [], []
        for ax, row in zip(self._axes, rows, strict=True):
            ax.set(xlim=(row.low, row.high), ylim=(0, 1), yticks=[])
            ax.spines["left"].set_visible(False)
            ax.grid(axis="x")
            ax.tick_params(pad=1, length=2)
            if row.reference is not None:
                ax.axvline(row.reference, **style.REFERENCE)
            self.ghosts.append(_box_on(ax, facecolors="none", edgecolors=style.HELD["color"], linewidths=1.3,
                                       linestyles=[style.HELD["linestyle"]]))
            self.bands.append(_box_on(ax, facecolors=style.BLUE, alpha=0.35, edgecolors="none"))
            self.marks.extend(ax.plot([], [], color=style.BLUE, lw=3, solid_capstyle="butt"))
            self.numbers.append(QuickNumber(ax, 1.0, 1 + 7 / tall))
        titles = [ax.set_title("", loc="left", pad=4 + 0.72 * doubled * LINE, fontweight="normal")
                  for ax in self._axes]
        remarks = [ax.text(1.01, 0.5, "", transform=ax.transAxes, va="center", ha="left")
                   for ax in self._axes]
        self._labelled: tuple[str, Sequence[str]] | None = None
        self._titles, self._remarks = lambda: titles, lambda: remarks    # what a function holds is backdrop
        self._label()

    def _label(self, remarks: Sequence[str] = ()) -> None:
        """Titles and ticks in the units chosen; the backdrop is redrawn only when they change."""
        if (chosen.now(), remarks) == self._labelled:
            return
        self._labelled = chosen.now(), remarks
        texts = zip(self._titles(), self._remarks(), remarks or [""] * len(self.rows), strict=True)
        for ax, row, (title, mark, remark) in zip(self._axes, self.rows, texts, strict=True):
            unit, factor, _ = in_units(row.unit)
            mark_axis(ax.xaxis, row.low, row.high, factor)
            title.set_text(f"{row.name} ({unit})" if unit else row.name)
            mark.set_text(remark)

    def show(self, values: Sequence[Draws], held: Sequence[Draws] | None = None,
             marks: Sequence[float] | None = None, remarks: Sequence[str] = ()) -> list[Array]:
        """values, held: for each row the draws (D,) in the row's unit; held None for no ghost; marks: what
        mark and number show instead of the middle of the draws; remarks: for each row what stands to the
        right of its scale, as how sure it is. Returns [(low, middle, high), …] in the rows' own units."""
        self._label(remarks)
        out = [band(draws) for draws in values]
        for three, mark in zip(out, marks if marks is not None else (), strict=False):
            three[1] = mark
        for i, (row, (low, middle, high)) in enumerate(zip(self.rows, out, strict=True)):
            self.bands[i].set_verts([_box(low, high, 0.12, 0.88, row)])
            at = min(max(middle, row.low), row.high)
            self.marks[i].set_data([at, at], [0.02, 0.98])
            # beyond the ends of the scale the number still tells; the arrow says which way
            arrow = " ▸" if middle > row.high else (" ◂" if middle < row.low else "")
            _, factor, more = in_units(row.unit)
            self.numbers[i].set_text(written_band(factor * out[i], row.decimals + more) + arrow)
            ends = None if held is None else band(held[i])
            self.ghosts[i].set_verts([NOTHING if ends is None else _box(ends[0], ends[2], 0.0, 1.0, row)])
            self.ghosts[i].set_visible(ends is not None)                # nothing, drawn, takes its time too
        return out


def _box_on(ax: Axes, **look: object) -> PolyCollection:
    return ax.add_collection(PolyCollection([NOTHING], **look), autolim=False)


def _box(low: float, high: float, bottom: float, top: float, row: Row) -> Array:
    low, high = (min(max(v, row.low), row.high) for v in (low, high))
    return np.array([(low, bottom), (high, bottom), (high, top), (low, top)])
