"""Rows of gauges: one quantity a row, each on its own fixed scale, with the middle of the band, the 90 % band, a reference and a ghost."""

from dataclasses import dataclass
from math import log10

import numpy as np
from matplotlib.collections import PolyCollection
from matplotlib.ticker import MaxNLocator

from tonewood.panel import style
from tonewood.panel import units
from tonewood.panel.quick_text import QuickNumber


@dataclass(frozen=True)
class Row:
    """One gauge: name, unit, scale ends, decimals of the number, and a reference value drawn as a dotted line (None for none)."""

    name: str
    unit: str
    low: float
    high: float
    decimals: int
    reference: float = None
    note: str = ""


def band(values):
    """(5 %, 50 %, 95 %) of the draws; three times the value if there is only one."""
    values = np.asarray(values, dtype=float)
    if values.ndim == 0:
        return (float(values),) * 3
    k = values.size
    order = np.partition(values, [int(0.05 * (k - 1)), (k - 1) // 2, int(np.ceil(0.95 * (k - 1)))])
    return float(order[int(0.05 * (k - 1))]), float(order[(k - 1) // 2]), float(order[int(np.ceil(0.95 * (k - 1)))])


def in_units(unit, system):
    """(unit shown, factor, extra decimals) for a quantity in `unit` read by someone who uses `system`; units without a counterpart stay."""
    if unit not in units.UNITS:
        return unit, 1.0, 0
    shown = units.in_system(unit, system)
    factor = units.convert(1.0, unit, shown)
    return shown, factor, round(-log10(factor)) if factor < 1 else 0


def mark_axis(axis, low, high, factor, bins=7):
    """Ticks at round numbers of the unit shown (value x factor) on an x or y axis whose data stay in their own unit."""
    ticks = [t for t in MaxNLocator(bins, steps=[1, 2, 2.5, 5, 10]).tick_values(low * factor, high * factor) if low * factor - 1e-9 <= t <= high * factor + 1e-9]
    axis.set_ticks([t / factor for t in ticks], [f"{round(t, 9) + 0.0:g}".replace("-", "−") for t in ticks])


class Gauges:
    """Draws rows on sub-axes of `spec` (a SubplotSpec) once; `show` moves bands, marks and numbers."""

    def __init__(self, fig, spec, rows):
        self.rows = rows
        grid = spec.subgridspec(len(rows), 1, hspace=1.25)
        self.bands, self.marks, self.ghosts, self.numbers, self._axes, self._system = [], [], [], [], [], None
        for i, row in enumerate(rows):
            ax = fig.add_subplot(grid[i])
            ax.set(xlim=(row.low, row.high), ylim=(0, 1), yticks=[])
            ax.spines["left"].set_visible(False)
            ax.grid(axis="x")
            ax.tick_params(labelsize=8.5, pad=1, length=2)
            if row.reference is not None:
                ax.axvline(row.reference, **style.REFERENCE)
            ghost = PolyCollection([np.zeros((4, 2))], facecolors="none", edgecolors=style.HELD["color"], linestyles=[style.HELD["linestyle"]], linewidths=1.3)
            here = PolyCollection([np.zeros((4, 2))], facecolors=style.BLUE, alpha=0.35, edgecolors="none")
            ax.add_collection(ghost, autolim=False)
            ax.add_collection(here, autolim=False)
            mark, = ax.plot([], [], color=style.BLUE, lw=3, solid_capstyle="butt")
            # Beyond the ends of the scale the number still tells; the arrow says which way.
            self.numbers.append(QuickNumber(ax, 1.0, 1.16, 9.5))
            self.bands.append(here)
            self.ghosts.append(ghost)
            self.marks.append(mark)
            self._axes.append(ax)
        self._label(units.METRIC)
        self.artists = [*self.ghosts, *self.bands, *self.marks, *self.numbers]

    def _label(self, system):
        """Titles and ticks in the units of `system`; the backdrop is redrawn only when that changes."""
        if system == self._system:
            return
        self._system = system
        for ax, row in zip(self._axes, self.rows):
            unit, factor, _ = in_units(row.unit, system)
            mark_axis(ax.xaxis, row.low, row.high, factor)
            ax.set_title(f"{row.name} ({unit})" if unit else row.name, loc="left", fontsize=9.5, pad=4, fontweight="bold")

    def show(self, values, held=None, system=units.METRIC):
        """values, held: for each row the draws (D,) in the row's unit; held None for no ghost; system: units shown. Returns [(low, middle, high), …]
        in the rows' own units."""
        self._label(system)
        out = []
        for i, (row, draws) in enumerate(zip(self.rows, values)):
            low, middle, high = band(draws)
            self.bands[i].set_verts([_box(low, high, 0.12, 0.88, row)])
            m = min(max(middle, row.low), row.high)
            self.marks[i].set_data([m, m], [0.02, 0.98])
            arrow = " ▸" if middle > row.high else (" ◂" if middle < row.low else "")
            _, factor, more = in_units(row.unit, system)
            decimals = row.decimals + more
            shown = [f"{round(factor * v, decimals) + 0.0:.{decimals}f}" for v in (middle, low, high)]      # + 0.0: never "-0.00"
            self.numbers[i].set_text(f"{shown[0]}  ({shown[1]} to {shown[2]}){arrow}".replace("-", "−"))
            if held is None:
                self.ghosts[i].set_verts([np.zeros((4, 2))])
            else:
                l, _, h = band(held[i])
                self.ghosts[i].set_verts([_box(l, h, 0.0, 1.0, row)])
            out.append((low, middle, high))
        return out


def _box(low, high, bottom, top, row):
    low, high = (min(max(v, row.low), row.high) for v in (low, high))
    return np.array([(low, bottom), (high, bottom), (high, top), (low, top)])
