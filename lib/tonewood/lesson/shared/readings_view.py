"""How readings of necks are shown: beside their bands, the gap's year before and after them, coverage and
bias over many necks, what to distrust, in words."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape

import numpy as np
from matplotlib.figure import Figure

from tonewood.bench.coverage import Coverage, Entry, bias, coverage, grouped
from tonewood.bench.foretold import READ
from tonewood.bench.pooled import pooled
from tonewood.bench.readings import KINDS, Reading
from tonewood.bench.stock import Stock
from tonewood.bench.update import FEWEST, MOVED, NOTHING, Updated
from tonewood.draws import Z90, band, written, written_band
from tonewood.lesson.shared.ledger import USUAL
from tonewood.panel import chosen, stacking, style
from tonewood.panel.page import Shown, table
from tonewood.panel.still import WIDE, still
from tonewood.wood.species import species

EARLIER = ("with the readings of earlier days",)
DIGITS = {"mm": 2, "g": 0, "%": 0, "turns": 2, "fret": 1}
NOTICED = 0.25
"""Standard deviations by which an unknown has to move to be named; the draws alone move it by up to 0.1."""


def _row(found: Updated, k: int, tried: Reading | None, with_earlier: bool) -> tuple[str, ...]:
    read = found.readings[k]
    kind = KINDS[read.kind]
    low, middle, high = found.foretold[k] / kind.si
    inside = low <= read.shown <= high
    digits = DIGITS[kind.unit]
    when = "not kept yet" if read is tried else str(read.date).replace("-", "\u2011")   # in one piece
    return (f"{kind.words}, {when}", f"fret {read.shown:g}" if kind.unit == "fret" else
            f"{written(read.shown, digits)} {kind.unit}",
            chosen.converted(written_band((low, middle, high), digits), kind.unit), "yes" if inside else
            f"no, {'above' if read.shown > high else 'below'}",
            *([chosen.converted(written_band(found.expected[k] / kind.si, digits), kind.unit)]
              * with_earlier))


def readings_table(found: Updated, kinds: Sequence[str] = (), tried: Reading | None = None) -> Shown:
    """Each reading beside what the drawing foretold; kinds: only these (none: all); tried: the one that is
    not kept yet, first."""
    order = [k for k, read in enumerate(found.readings) if not kinds or read.kind in kinds]
    order.sort(key=lambda k: found.readings[k] is not tried)
    later = any(read.date > found.readings[0].date for read in found.readings)
    rows = [_row(found, k, tried, later) for k in order]
    left = "" if kinds else (f", left the workshop on {found.necks.delivered} with "
                             f"{written(1e3 * found.necks.left)} mm at fret {READ}")
    if not rows:
        rows = [("no reading of this neck yet", *[""] * (3 + later))]
    return table(("reading", "read", "foretold: middle (90 of 100)", "inside?", *EARLIER[:later]), rows,
                 f"{found.necks.design.name}{left}. Foretold from the drawing alone, by the bench's own "
                 "procedure on possible necks, the reading's own error included (estimated by the models; "
                 "widths mostly judgement).")


def shift_words(found: Updated) -> str:
    """The two unknowns that the readings move most, in words; those they hardly move are left out."""
    moved = [f"{name} ({written(shift, 1, True)} standard deviations)"
             for name, shift in list(found.shifts.items())[:2] if abs(shift) >= NOTICED]
    return " and ".join(moved) or f"none by more than {NOTICED} of its standard deviation"


def after_words(found: Updated, made: bool = False) -> list[str]:
    """What the readings taught, sentence by sentence."""
    said = ["These readings are made data, drawn from the model, until you keep your own."] if made else []
    if found.method == NOTHING:
        return [*said, "Nothing is learned yet: the band is that of the drawing."]
    n = len(found.readings)
    if found.method == MOVED:
        said.append(f"{n} readings leave weight to only {found.effective:.0f} of {found.necks.draws} "
                    f"possible necks, fewer than {FEWEST:.0f}: the necks were moved towards the readings by "
                    "linear regression instead, which takes all as jointly normal.")
    else:
        said.append(f"The readings weigh the {found.necks.draws} possible necks; the weights are worth "
                    f"{found.effective:.0f} necks.")
    if found.fits:
        said.append(f"{_of_100(found.as_far).capitalize()} of 100 such necks give readings at least as far "
                    f"off: the drawing fits. Most moved: {shift_words(found)}.")
    else:
        said.append(f"{_of_100(found.as_far).capitalize()} of 100 such necks give readings that lie so far "
                    "off. Distrust first the reading (unit, span, thickness, which fret), then the drawing "
                    "(woods, sizes, string set), then, of what the model leaves open, "
                    f"{shift_words(found)}. A cause that is not among these (tangs that wedge, a wet glue "
                    "line, a room that changes by the day) cannot show here.")
    return said


def _of_100(share: float) -> str:
    return "fewer than 1" if share < 0.01 else f"{100 * share:.0f}"


def picture(found: Updated) -> tuple[str, str]:
    """(mark-up, words) of the gap's year at fret READ, before and after the readings, with those at home."""
    necks = found.necks
    before, after = 1e3 * band(necks.gap()), 1e3 * found.ribbon()
    days = necks.days

    def draw(fig: Figure) -> None:
        ax = fig.subplots()
        ax.axhspan(*USUAL, color="#eeeeee", zorder=0, label="0.1 to 0.3 mm, usual (common practice)")
        ax.plot(days, before[[0, 2]].T, **style.HELD,
                label=["foretold from the drawing, 90 of 100", None])
        ax.fill_between(days, after[0], after[2], **style.BAND, label="after the readings, 90 of 100")
        ax.plot(days, after[1], **style.NOW, label="middle")
        home = [read for read in found.readings if read.kind == "gap, rod set"]
        if home:
            at = [necks.day_of(read) for read in home]
            ax.errorbar(at, [read.shown for read in home], [Z90 * 1e3 * read.doubt for read in home], fmt="o",
                        color=style.BLACK, ms=5, capsize=3, lw=1.2, label="read, ± its error (90 of 100)")
        narrow = stacking.narrow(fig)
        shown = range(0, len(days), 4 if narrow else 2)
        ax.set_xticks(days[::shown.step], [necks._years[0][1].month[int(k)][:3] for k in shown])
        low, high = min(0.0, before[0].min()), before[2].max()
        ax.set(ylabel=f"gap at fret {READ}, mm", xlim=(days[0], days[-1]),
               ylim=(low - 0.03, high * (1.05 if narrow else 1.45) + 0.05),
               title="The year at home, rod untouched")
        if narrow:
            fig.legend(loc="outside lower left")
        else:
            ax.legend(loc="upper left", ncols=2)

    widest = int(np.argmax(before[2] - before[0]))
    month = necks._years[0][1].month[widest]
    words = chosen.said(
        f"Gap at fret {READ} in {month}: from the drawing {written_band(before[:, widest])} mm, after "
        f"the readings {written_band(after[:, widest])} mm (90 of 100).")
    return f"{still(draw, words, (WIDE, 3.6), 4.6)}<p>{escape(words)}</p>", words


def _share(found: Coverage) -> tuple[str, ...]:
    narrow = "too narrow, or a table is off"
    verdict = "hold" if found.holds else narrow if found.high < 0.90 else "too wide"
    return (f"{found.inside} of {found.readings}", f"{100 * found.share:.0f}",
            f"{100 * found.low:.0f} to {100 * found.high:.0f}", verdict)


def coverage_table(given: Sequence[Entry], earlier: Sequence[Entry], caption: str) -> Shown:
    """How many readings lay in their 90 % bands, over all and by kind, with the band of that share; earlier:
    the same with what earlier readings of each neck told."""
    rows: list[tuple[str, ...]] = [("all readings", *_share(coverage(given))),
                                   (f"all, {EARLIER[0]}", *_share(coverage(earlier)))]
    rows += [(KINDS[kind].words, *_share(coverage(mine)))
             for kind, mine in grouped(given, lambda entry: entry.kind).items()]
    return table(("reading", "inside", "%", "true share, 90 of 100 (%)", "90 % bands"), rows, caption)


TELLING = {"blank sag": ("softer than the table", "stiffer than the table"),
           "blank weight": ("heavier than the table", "lighter than the table"),
           "gap, strings on": ("softer than drawn: boards, slots or sizes",
                               "stiffer than drawn: boards, slots or sizes")}
"""Kinds that tell of a wood, and what readings above and below their bands say of it."""
SURE = 2.576 / Z90
"""A mean so many halves of its 90 % band away from 0 lies there by chance once in a hundred."""


def bias_table(given: Sequence[Entry], caption: str) -> Shown:
    """By main wood: where in their bands the readings that tell of a wood lie on average."""
    rows = []
    for wood, mine in grouped(given, lambda entry: entry.wood).items():
        for kind, (above, below) in TELLING.items():
            if chosen := [entry for entry in mine if entry.kind == kind]:
                low, mean, high = bias(chosen)
                sure = abs(mean) > SURE * (high - mean)
                verdict = (f"{'' if sure else 'perhaps '}{above if mean > 0 else below}"
                           if low > 0 or high < 0 else "as foretold")
                rows.append((f"{species(wood).name}: {KINDS[kind].words}", str(len(chosen)),
                             f"{written(mean, 1, True)}", f"{written(low, 1, True)} to "
                             f"{written(high, 1, True)}", verdict))
    return table(("main wood and reading", "necks", "mean, in standard deviations of the band",
                  "90 of 100", "these boards are"), rows, caption)


POOLED = ("The next neck's boards are drawn towards your own: published value and own boards, each by how "
          "well it is known (normal hierarchical model; scatter of lots, of shops and between trees "
          "estimated from published lots). A board that was measured itself stands as measured.")


def stock_table(stock: Sequence[Stock], caption: str = "") -> Shown:
    """Each wood of a stock: published middle, own boards, and the estimate drawn towards them."""
    rows = []
    for one in stock:
        for quantity, unit, factor, digits in (("density", "kg/m³", 1.0, 0), ("modulus", "GPa", 1e-9, 1)):
            if not one.enough(quantity):
                continue
            found, published = one.pooled(quantity), pooled(one.wood, quantity)
            rows.append((f"{found.wood.name}: {quantity} ({unit})",
                         written(factor * published.middle[1], digits),
                         f"{written(factor * (found.own or 0.0), digits)}, {found.boards} of {found.trees}",
                         written_band(factor * found.middle, digits), f"{100 * found.share:.0f}",
                         written_band(factor * found.board, digits)))
    return table(("wood, at 12 % moisture", "published", "own boards, of trees",
                  "this shop's middle (90 of 100)", "own share (%)", "one more board (90 of 100)"), rows,
                 caption or POOLED)


def together(shown: Iterable[Shown]) -> Shown:
    """Several things to show, one below the other."""
    parts = list(shown)
    return Shown("".join(part.html for part in parts), "\n".join(part.plain for part in parts))
