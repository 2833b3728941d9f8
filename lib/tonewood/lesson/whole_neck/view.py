"""The picture of the neck on the bench: end view, gap under a straightedge, six gauges."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from tonewood.draws import band
from tonewood.lesson.shared.end_view import EndView
from tonewood.lesson.shared.standing import MARKS
from tonewood.lesson.shared.wood_colours import tone
from tonewood.lesson.whole_neck.model import LISTS, appearing
from tonewood.neck.layup.neck import Neck
from tonewood.neck.report.evaluation import Evaluation
from tonewood.panel import stacking, style
from tonewood.panel.figure_units import move_scale_bar
from tonewood.panel.gauges import Gauges, Row, mark_axis
from tonewood.panel.quick_text import Numbers
from tonewood.wood.filling import worst
from tonewood.wood.species import Species

VIEW_FRET = 7
BOW = (-0.1, 0.7)
"""Scale of the gap under the straightedge, mm."""
REACH, TALL, ABOVE, BELOW = 31.0, 30.3, 3.8, 5.5
"""Of the end view, mm: half its width, its height (both more for a neck that is wider or deeper), room above
the neck for words and below it for the scale bar."""
NUMBERED, FEWER = (1, 3, 5, 7, 9, 12, 15, 17, 19, 22), (1, 3, 5, 7, 9, 12, 15, 18, 22)
STACK = {"Neck": 312, "Gap": 270, "Gauges": 600}
ROWS = (Row("Stiffness", "% of the reference", 40, 200, 0, reference=100.0),
        Row("Relief, strings on, rod slack", "mm", 0.0, 1.0, 2),
        Row("Loss factor, estimate", "thousandths", 0.0, 20.0, 1),
        Row("Relief change, to home", "mm", -0.5, 0.5, 2, reference=0.0),
        Row("Width, last fret, to home", "mm", -1.5, 1.5, 2, reference=0.0),
        Row("Weight, nut to last fret", "g", 150, 750, 0))
RESTS_ON = (("modulus",), ("modulus",), ("loss_factor",), ("movement_longitudinal", "modulus"),
            ("movement_radial", "movement_tangential"), ("density",))
"""What each gauge takes from the tables of the woods."""


def standing_marks(woods: Iterable[Species]) -> tuple[str, ...]:
    """How sure each gauge is: all are computed by a model, some from numbers that nobody read."""
    return tuple(MARKS[worst("estimated", *(wood.status(name) for wood in woods for name in names))]
                 for names in RESTS_ON)


def rows(found: Evaluation, reference: Evaluation) -> list[np.ndarray]:
    """The six gauges' draws in their own units."""
    return [100 * found.stiffness / np.median(reference.stiffness), 1e3 * found.relief, 1e3 * found.loss,
            1e3 * found.relief_change, 1e3 * found.width_change, 1e3 * found.mass]


class Picture:
    """Draws on a bare figure once; `show_*` change data."""

    def __init__(self, fig: Figure) -> None:
        self._narrow = stacking.narrow(fig)
        if self._narrow:
            ends = stacking.cell(fig, STACK, "Neck", 10, 10, 26, 100)
            named = stacking.cell(fig, STACK, "Neck", 20, 10, 206, 8)
            gap = stacking.cell(fig, STACK, "Gap", 66, 14, 46, 46)
            rows = stacking.cell(fig, STACK, "Gauges", 22, 40, 26, 66)
        else:
            left = fig.add_gridspec(4, 1, height_ratios=(204, 96, 14, 144), left=0.078, right=0.525,
                                    top=0.955,
                                    bottom=0.09, hspace=0.11)
            ends, named, gap = left[0], left[1], left[3]
            rows = fig.add_gridspec(1, 1, left=0.567, right=0.963, top=0.955, bottom=0.13)[0]
        ax, key, bow = (fig.add_subplot(cell) for cell in (ends, named, gap))
        self.view = EndView(ax, REACH, ABOVE - TALL, ABOVE)
        ax.set_title(f"End view at fret {VIEW_FRET}, to scale", pad=2)
        key.set(xlim=(0, 1), ylim=(len(LISTS), 0))
        key.axis("off")
        self.swatches = {role: key.add_patch(Rectangle((0, 0), 0.055, 0.72, edgecolor="#3a3029", lw=0.8))
                         for role in LISTS}
        self.key = Numbers(key, style.SMALL, "left")
        bow.set(ylim=BOW)
        stacking.title(bow, "Gap under a straightedge, strings on, rod slack", pad=3)
        bow.axhline(0, **style.REFERENCE)
        self._axes, self._marked = lambda: (ax, bow), ()    # what a function holds counts as backdrop
        self.band = bow.fill_between([0, 1], 0, 0, **style.BAND)
        self.middle, = bow.plot([], [], **style.NOW)
        self.ghost, = bow.plot([], [], **style.HELD)
        self.gauges, self._sure = Gauges(fig, rows, ROWS), ()
        fig.text(0.985, 0.012, "(e) estimated by the model;\n(m) partly from memory, unverified", ha="right")

    def _mark(self, neck: Neck) -> None:
        """Scale of the end view, frets, labels and ticks of the gap; drawn anew only when one of them
        changes."""
        ends, bow = self._axes()
        fret = neck.fret(min(VIEW_FRET, neck.frets))
        top = 1e3 * neck.fretboard.thickness + ABOVE
        grown = max(1.0, 500 * float(neck.outline.width(fret)) / (REACH - 1),
                    (top + 1e3 * float(neck.back.depth(fret)) + BELOW) / TALL)
        marked = neck.scale_length, neck.frets, grown, top
        if marked == self._marked:
            return
        self._marked = marked
        wide, low = REACH * grown, top - TALL * grown
        ends.set(xlim=(-wide, wide), ylim=(low, top))
        move_scale_bar(ends, 2 - wide, low + 1.6)
        for old in (*bow.texts, *[line for line in bow.lines if line.get_gid() == "fret"]):
            old.remove()
        for n in (n for n in (FEWER if self._narrow else NUMBERED) if n <= neck.frets):
            x = 1e3 * float(neck.fret(n))
            bow.axvline(x, color="#dddddd", lw=0.8, zorder=0, gid="fret")
            bow.text(x, -0.085, str(n), ha="center", va="bottom", color="#555555")
        end = 1e3 * neck.end + 8
        bow.set(xlim=(0, end), xlabel="from the nut (mm)", ylabel="gap (mm)")
        mark_axis(bow.xaxis, 0, end, 1.0, 6)
        mark_axis(bow.yaxis, *BOW, 1.0, 5)

    def show_neck(self, neck: Neck, woods: dict[str, Species], held: Neck | None = None) -> None:
        """The end view of `neck` (single values), its woods by role, and the frets; held: the ghost."""
        self._mark(neck)
        self.view.show(neck, neck.fret(min(VIEW_FRET, neck.frets)))
        self.view.show_ghost(held, held and held.fret(min(VIEW_FRET, held.frets)))
        here = appearing(len(neck.layup.stripes), len(neck.fretboard.layers))
        self._sure = standing_marks([piece.species for piece in neck.pieces])
        words = []
        for role, swatch in self.swatches.items():
            place = len(words)
            swatch.set(xy=(0, place + 0.14), visible=role in here, facecolor=tone(woods[role]))
            if role in here:
                words.append((0.075, place + 0.5, f"{role}: {woods[role].name}"))
        self.key.show(*zip(*words, strict=True))

    def show_found(self, found: Evaluation, reference: Evaluation,
                   held: tuple[Evaluation, Evaluation] | None) -> list[tuple[float, float, float]]:
        """The gap and the gauges, `held` (its Evaluation, its reference) as a ghost. Returns the gauges'
        bands."""
        low, middle, high = band(1e3 * found.relief_curve)
        self.band.set_data(1e3 * found.x, low, high)
        self.middle.set_data(1e3 * found.x, middle)
        if held:
            self.ghost.set_data(1e3 * held[0].x, np.median(1e3 * held[0].relief_curve, axis=0))
        else:
            self.ghost.set_data([], [])
        return self.gauges.show(rows(found, reference), rows(*held) if held else None, remarks=self._sure)
