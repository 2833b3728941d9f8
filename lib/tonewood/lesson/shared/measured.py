"""Measurements nobody here made, beside what the model says: a whole guitar's modes, a dead fret, thirty
boards, the air in homes; hits and misses alike.

What could be read of real solid-body guitars stands in data/measured_guitars.csv, one row a figure or a
finding; most rows hold no number that the model could be held against, and their note says why. The boards
are data/board_stiffness.csv, the homes data/indoor_humidity.csv.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from tonewood.bench.boards import board_tests, forecast
from tonewood.draws import Array, band
from tonewood.lesson.shared.shop import NECK_12, changed, possible
from tonewood.panel import stacking, style
from tonewood.panel.live_figure import LiveFigure
from tonewood.panel.page import Shown, table
from tonewood.remember import remember
from tonewood.sound.decay import decay
from tonewood.sound.instrument import Body, Headstock, Instrument
from tonewood.sound.modes import modes
from tonewood.tables import read_table
from tonewood.wood.climate import indoor
from tonewood.wood.facts import rule
from tonewood.wood.moisture import equilibrium_band, equilibrium_moisture

GUITARS, EACH, SEED = 12, 8, 1
MAIN, BOARDS = ("hard maple", "mahogany"), ("hard maple", "Indian rosewood", "African ebony")
D, OCTAVE, BENDING, TWIST = 2, 12, 6, 3
HEAD = ("measured by others", "measured", "the model, 90 of 100", "inside", "source")


@dataclass(frozen=True, kw_only=True)
class Compared:
    """One published figure beside the model. measured, low, high: in `unit`; low, high: the model's 90 %
    band; source: key in data/sources.csv."""

    what: str
    measured: float
    low: float
    high: float
    unit: str
    source: str

    @property
    def inside(self) -> bool:
        """Whether the figure falls inside the band."""
        return self.low <= self.measured <= self.high


@remember(1)
def guitars() -> dict[str, Array]:
    """{quantity: values over guitars that could be} for the quantities that data/measured_guitars.csv is
    compared with, Hz or fret.

    One-piece necks, drawn anew (a judgement of what is usual, since the guitars measured are not described):
    hard maple or mahogany, three fretboard woods, 19 to 23 mm deep with the board, body from fret 15 to 17;
    head 160 to 200 mm with 150 to 300 g of tuners; body 1.6 to 3.6 kg, half to four times as stiff as the
    rule body_bending_stiffness; boards and slots as they vary.
    """
    rng, found = np.random.default_rng(SEED), []
    stiff = rule("body_bending_stiffness").value
    for number in range(GUITARS):
        design = changed(NECK_12, stripes=1, main=str(rng.choice(MAIN)), fretboard=str(rng.choice(BOARDS)),
                         depth=rng.uniform(0.019, 0.023), ring_angle=rng.uniform(0, np.pi / 2),
                         joint_fret=int(rng.integers(15, 18)))
        made = Instrument(possible(design.neck(), draws=EACH, seed=number),
                          Headstock(length=rng.uniform(0.16, 0.20), tuner_mass=rng.uniform(0.15, 0.30)),
                          Body(mass=rng.uniform(*rule("body_mass").limits, EACH),
                               stiffness=stiff * 2 ** rng.uniform(-1, 2, EACH)))
        its = modes(made, BENDING, TWIST)
        notes = decay(made, design.string_set(), setup=design.setup(), modes=its)
        worst = np.argmin((notes.t60 / notes.alone)[:, D, :OCTAVE + 1], axis=-1)
        assert its.twist_frequency is not None
        found.append(np.column_stack([its.frequency[:, :3], its.twist_frequency[:, 0], worst]))
    names = ("bending 1", "bending 2", "bending 3", "twist 1", "dead fret, D string")
    return dict(zip(names, np.concatenate(found).T, strict=True))


def _of_guitars() -> list[Compared]:
    found = []
    for row in read_table("measured_guitars.csv"):
        if row["compared"]:
            low, _, high = band(guitars()[row["compared"]])
            found.append(Compared(what=f"guitar: {row['what']}", measured=row["value"], low=float(low),
                                  high=float(high), unit=row["unit"], source=row["source"]))
    return found


def sample_scatter(scatter: float, count: int) -> tuple[float, float]:
    """(low, high): where the standard deviation of `count` boards falls in 90 of 100 lots, if boards scatter
    by `scatter` (normal distribution; chi-square)."""
    from scipy.special import gammaincinv  # half the points of chi-square
    low, high = scatter * np.sqrt(2 * gammaincinv((count - 1) / 2, [0.05, 0.95]) / (count - 1))
    return float(low), float(high)


def _of_boards() -> list[Compared]:
    """Scatter of thirty boards, tap against bend, and what a tap leaves unknown of a bend."""
    count = len(board_tests()["vibration"])
    tests = {"first": forecast("vibration", "static_a"), "second": forecast("vibration", "static_b")}
    found, level, error = [], rule("tap_over_bend"), rule("modulus_error").value
    for name, told in tests.items():
        low, high = sample_scatter(rule("hardwood_cov_modulus").value, count)
        found.append(Compared(what=f"30 boards: scatter, {name} slow test", measured=100 * told.scatter,
                              low=100 * low, high=100 * high, unit="%", source="johnson-wichern"))
    for name, told in tests.items():
        low, high = level.limits
        found.append(Compared(what=f"30 boards: vibration over {name} slow test", measured=1 / told.ratio,
                              low=low, high=high, unit="1", source="johnson-wichern"))
    for name, told in tests.items():
        low, high = sample_scatter(float(np.sqrt(2) * error), count)     # each of the two readings errs
        found.append(Compared(what=f"30 boards: {name} slow test, left unknown by a vibration",
                              measured=100 * told.left, low=100 * low, high=100 * high, unit="%",
                              source="johnson-wichern"))
    return found


def _of_homes() -> list[Compared]:
    """Moisture (%) that wood takes on in the mean air read in homes, worked out by the model's own curve,
    beside wood in the model's rooms with the band of that curve: little or much added by people, cooled or
    not."""
    people, found = rule("added_humidity").limits, []
    for row in read_table("indoor_humidity.csv"):
        if row["humidity"] is None:
            continue
        pick = np.array([int(month) for month in row["months"].split(";")]) - 1
        choices = (False, True) if row["conditioning"] == "mixed mode" else (False,)
        rooms = [indoor(row["town"], added=added, cooled=cooled) for added in people for cooled in choices]
        bands = [equilibrium_band(float(np.mean(np.asarray(room.temperature)[pick])),
                                  float(np.mean(np.asarray(room.humidity)[pick]))) for room in rooms]
        found.append(Compared(what=f"homes: {row['measured_in']}, {row['season']}, {row['conditioning']}",
                              measured=100 * equilibrium_moisture(row["temperature"], row["humidity"] / 100),
                              low=100 * float(min(low for low, _ in bands)),
                              high=100 * float(max(high for _, high in bands)), unit="% moisture",
                              source=row["source"]))
    return found


@remember(1)
def compared() -> tuple[Compared, ...]:
    """Every published figure that the model can be held against, beside the model's band."""
    return (*_of_guitars(), *_of_boards(), *_of_homes())


def tally(rows: tuple[Compared, ...] | None = None) -> str:
    """How many figures fall inside, of guitars, boards and homes and together, in words."""
    rows = compared() if rows is None else rows
    kinds = dict.fromkeys(row.what.split(":")[0] for row in rows)
    counted = [(kind, [row.inside for row in rows if row.what.startswith(kind)]) for kind in kinds]
    parts = ", ".join(f"{kind} {sum(inside)} of {len(inside)}" for kind, inside in counted)
    hits = sum(row.inside for row in rows)
    return (f"Inside the model's 90 % band: {hits} of {len(rows)} figures, {100 * hits / len(rows):.0f} % "
            f"where 90 % would be right ({parts}).")


def _written(value: float, unit: str) -> str:
    decimals = {"1": 2, "% moisture": 1}.get(unit, 0)
    return f"{value:.{decimals}f}{'' if unit == '1' else ' ' + unit}"


def others_measured() -> Shown:
    """Every measured figure beside the model, and folded below it what was read and could not be compared,
    each with its reason."""
    rows = []
    for row in compared():
        measured, low, high = (_written(value, row.unit) for value in (row.measured, row.low, row.high))
        rows.append([row.what, measured, f"{low.split(' ')[0]} to {high}", "yes" if row.inside else "no",
                     row.source])
    first = table(HEAD, rows, "Little is readable: of solid-body guitars one set of modes and one dead fret, "
                              "no decay time in seconds, no conductance. No moisture measured in wood "
                              "indoors: for homes it is worked out from the air measured, by the model's own "
                              "curve. "
                              "Several figures come from the same guitar or boards, so they are not "
                              "independent.")
    rest: list[list[str]] = []
    for row in read_table("measured_guitars.csv"):
        if not row["compared"]:
            ends = [f"{row[name]:g}" for name in ("low", "high") if row[name] is not None]
            value = f"{row['value']:g}" if row["value"] is not None else " to ".join(ends)
            unit = {"qualitative": "", "1": ""}.get(row["unit"], f" {row['unit']}")
            mark = "" if row["status"] == "published" else f" ({row['status']})"
            rest.append([row["what"], value + unit + mark, row["note"], row["source"]])
    second = table(("read, not compared", "told", "why not", "source"), rest, wrap="24em")
    folded = {f"The {len(rows)} figures one by one": first, f"Read and not compared: {len(rest)} findings":
              second}
    return Shown("".join(f"<details><summary>{words}</summary>{shown.html}</details>"
                         for words, shown in folded.items()),
                 f"{tally()}\n{first.plain}\nRead and not compared:\n{second.plain}")


STACK = {"Guitars": 330, "Boards": 370, "Homes": 560, "More homes": 540}


def _bars(ax: Axes, rows: Sequence[Compared], ends: tuple[float, float]) -> list[Line2D]:
    """Bars and marks of these rows, each beside its name or, in the narrow layout, below it; the marks. ends:
    of the axis."""
    slim, y = stacking.narrow(ax.get_figure()), np.arange(len(rows))[::-1]
    low, high = (np.array([getattr(row, name) / row.measured for row in rows]) for name in ("low", "high"))
    inside = np.array([row.inside for row in rows])
    ax.hlines(y, low, high, color=style.BLUE, alpha=0.45, lw=7, label="the model, 90 of 100")
    marks = [*ax.plot(np.ones(inside.sum()), y[inside], "o", color=style.BLACK, ms=6,
                      label="measured, inside"),
             *ax.plot(np.ones((~inside).sum()), y[~inside], "X", color=style.VERMILLION, ms=8,
                      label="measured, outside")]
    ax.axvline(1.0, color=style.BLACK, lw=0.8, zorder=0)
    ax.set(xscale="log", xlim=ends, ylim=(-0.8, len(rows) - 0.2), xlabel="model ÷ measured")
    ticks = [t for t in (0.25, 0.5, 0.7, 1.0, 1.4, 2.0, 3.0) if ends[0] <= t <= ends[1]]
    ax.set_xticks(ticks, [f"{t:g}" for t in ticks])
    ax.set_xticks([], minor=True)
    ax.set_yticks(y, [""] * len(rows) if slim else [row.what for row in rows])
    for place, row in zip(y, rows if slim else (), strict=False):
        ax.text(0, place + 0.25, row.what.split(": ", 1)[1], transform=ax.get_yaxis_transform(),
                bbox={"facecolor": "white", "edgecolor": "none", "pad": 0.5})
    ax.tick_params(axis="y", length=0 if slim else 3.5)
    ax.spines["left"].set_visible(not slim)
    return marks


def _setup(fig: Figure) -> list[list[Line2D]]:
    """Draw all of it, once."""
    rows = compared()
    ratios = [end / row.measured for row in rows for end in (row.low, row.high)]
    ends = 0.9 * min(ratios), 1.1 * max(ratios)
    if not stacking.narrow(fig):
        ax = fig.subplots()
        fig.subplots_adjust(left=0.487, right=0.97, bottom=0.08, top=0.93)
        made = [_bars(ax, rows, ends)]
        ax.legend(loc="lower center", bbox_to_anchor=(0.2, 1.0), ncols=3, frameon=False)
        return made
    kinds, made = [[row for row in rows if row.what.startswith(kind)] for kind in ("g", "3", "h")], []
    half = (len(kinds[2]) + 1) // 2
    for part, listed in zip(STACK, (*kinds[:2], kinds[2][:half], kinds[2][half:]), strict=True):
        ax = fig.add_subplot(stacking.cell(fig, STACK, part, 14, 14, 92, 50))
        made.append(_bars(ax, listed, ends))
        ax.legend(loc="lower left", bbox_to_anchor=(-0.02, 0.995), frameon=False, borderaxespad=0)
    return made


def _change(art: list[list[Line2D]]) -> str:
    return tally()


def measured_figure() -> LiveFigure:
    """The model's bands beside what others measured, as ratios; no controls. Returns a LiveFigure."""
    return LiveFigure(_setup, _change, {}, inches=(9.2, 9.0), place=None, narrow=STACK,
                      alt="For each published figure a bar for the model's 90 % band divided by what was "
                          "measured, and a mark at one: a dot where the band holds it, a cross where not")
