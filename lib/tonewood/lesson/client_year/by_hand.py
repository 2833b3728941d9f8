"""The seasons lesson's numbers by hand beside the library's, a test strip, the workshop's humidity, and the whole chain of neck No. 12."""

from dataclasses import dataclass, replace
from html import escape

import numpy as np

from tonewood.panel.page import Shown
from tonewood.lesson.shared.shop import truss_rod
from tonewood.lesson.client_year.figure import SET, build, drawn, found_place, gone
from tonewood.neck.report.calculation_sheet import chain
from tonewood.neck.seasons.eigenstrain import stack
from tonewood.neck.seasons.movement import movement
from tonewood.neck.seasons.year import column
from tonewood.strings.sets import string_set
from tonewood.wood.climate import WORKSHOP, WORKSHOP_DAMP, WORKSHOP_DRY, indoor, place, workshop, workshop_warning
from tonewood.wood.diffusion import DAY, diffusivity, time_to
from tonewood.wood.finish import finish
from tonewood.wood.moisture import equilibrium_moisture, humidity_for
from tonewood.wood.species import species

DRY = 0.30
MANY = 2000


@dataclass(frozen=True)
class ByHand:
    """From the workshop's moisture to that of a dry room (fractions). Width (m) of a flat-sawn one-piece maple neck at the last fret and the rosewood board's fret
    ends (m, each side), by hand and by the library: glued together, and the board free. Half-times (days) of the bare fretboard: by hand, by the exact
    series, and as it lies on the neck; and of the neck under lacquer.
    """

    wide: float
    start: float
    end: float
    C_neck: float
    C_board: float
    width_by_hand: float
    width: float
    fret_end_by_hand: float
    fret_end_free: float
    fret_end: float
    half_time_by_hand: float
    half_time: float
    half_time_on_neck: float
    half_time_neck: float


def by_hand(humidity=DRY):
    """The hand-worked numbers beside the library's, from the workshop (45 %, 20 °C) to `humidity` (fraction), fully adjusted. Returns ByHand."""
    start, end = workshop().moisture, equilibrium_moisture(20.0, humidity)
    neck = build(stripes=1, ring_angle=0.0)
    wide, change = float(neck.outline.width(neck.end)), end - start
    C_neck, C_board = neck.pieces[0].species.swelling[2], neck.fretboard.board.species.swelling[2]
    moved = movement(neck, start, end)
    board = neck.fretboard
    density = board.board.rho / (1 + start)
    D, a, film = diffusivity(density), board.thickness, finish("bare").film(density)
    times = np.linspace(0.0, 60.0, 1201)
    path = column(neck, "lacquer", "bare").follow(times * DAY, np.full(times.size, end), start)
    on_neck, in_neck = (float(np.interp(0.5, (path[:, k] - start) / change, times)) for k in (1, 0))
    return ByHand(wide, start, end, C_neck, C_board, wide * C_neck * change, float(moved.width_end), -wide * C_board * change / 2, float(moved.fret_end_free),
                  float(moved.fret_end), float((0.197 + np.log(2) * D / (film * a)) * a**2 / D / DAY), time_to(0.5, a, D, film) / DAY, on_neck, in_neck)


STRIP, STRIP_LENGTH = 0.003, 0.400
"""Each layer of the test strip (m), and its length (m)."""


@dataclass(frozen=True)
class Strip:
    """A test strip, neck offcut glued face to face on fretboard offcut, from the workshop's moisture to a dry room's: its bow (m, positive: hollow on the fretboard side) for a
    90 % spread of boards; by_hand: of the upper edge by the thin-strip rule; per_strip: relief change (m) of the one-piece neck per metre of strip bow."""

    low: float
    high: float
    by_hand: float
    per_strip: float
    neck_low: float
    neck_high: float


def glued_strip(humidity=DRY, draws=MANY):
    """What the strip shows in a room at `humidity` (fraction), and what it foretells of the one-piece neck. Returns Strip."""
    start, end = workshop().moisture, equilibrium_moisture(20.0, humidity)
    neck = drawn(1.0, 0.0, species("hard maple").key, 45.0, draws)
    wood, board = neck.pieces
    free = np.stack([b.swelling_xyz[:, 0, 0] * (end - start) for b in (wood, board)], -1)
    bent, _ = stack([STRIP, STRIP], 0.020, np.stack([wood.E_x, board.E_x], -1), free)
    bow = -bent.curvature[:, 0] * STRIP_LENGTH**2 / 8
    moved = movement(neck, start, end).relief
    low, high = np.percentile(bow, [5, 95])
    apart = np.percentile(free[:, 0] - free[:, 1], 95)
    return Strip(float(low), float(high), float(1.5 * apart / (2 * STRIP) * STRIP_LENGTH**2 / 8), float(bow @ moved / (bow @ bow)), *(float(v) for v in np.percentile(moved, [5, 95])))


def workshop_table(towns=("Chicago", "Denver (Aurora)", "Helsinki", "Stockholm (Arlanda)", "Lisbon", "Singapore")):
    """For each town: driest and dampest month indoors, and the workshop humidity in the middle of what the wood there goes through. Returns a table to show."""
    rows = []
    for name in towns:
        air = indoor(name)
        middle = humidity_for(20.0, (np.min(air.moisture) + np.max(air.moisture)) / 2)
        rows.append((place(name).name.split(" (")[0], f"{100 * np.min(air.humidity):.0f}", f"{100 * np.max(air.humidity):.0f}", f"{100 * np.min(air.moisture):.1f} to {100 * np.max(air.moisture):.1f}",
                     f"{100 * middle:.0f}"))
    head = ("town", "driest month (%)", "dampest month (%)", "wood settles at (% moisture)", "workshop in the middle of that (%)")
    words = (f"Aim at {100 * WORKSHOP:.0f} % in the workshop; below {100 * WORKSHOP_DRY:.0f} % or above {100 * WORKSHOP_DAMP:.0f} % wait before truing or gluing (judgement, common "
             f"practice, no source). Where a town's middle lies outside, build at the nearer limit. At 30 %: {workshop_warning(0.30)} At 70 %: {workshop_warning(0.70)}")
    return table_of(head, rows, words)


def table_of(head, rows, words):
    """A table with its caption, as mark-up and as plain words; numbers to the right, names to the left; a row of one cell is a heading. Returns Shown."""
    def cells(row):
        if len(row) == 1:
            return f"<th scope='colgroup' colspan='{len(head)}' style='text-align:left'>{escape(row[0])}</th>"
        return (f"<th scope='row' style='text-align:left;font-weight:normal'>{escape(row[0])}</th>"
                + "".join(f"<td style='text-align:right;white-space:nowrap'>{escape(c)}</td>" for c in row[1:]))

    top = "".join(f"<th scope='col' style='text-align:{'left' if k == 0 else 'right'}'>{escape(h)}</th>" for k, h in enumerate(head))
    body = "".join(f"<tr>{cells(row)}</tr>" for row in rows)
    plain = "\n".join(" | ".join(row) for row in [head, *rows])
    return Shown(f"<table><caption style='caption-side:bottom;text-align:left;max-width:60em'>{escape(words)}</caption><thead><tr>{top}</tr></thead><tbody>{body}</tbody></table>",
                 f"{plain}\n({words})")


def necks(draws=MANY):
    """Neck No. 12 and one piece of hard maple in its shape, as possible necks: {name: Neck}."""
    maple = species("hard maple").key
    return {"No. 12, seven stripes": drawn(7.0, 90.0, maple, 45.0, draws), "one piece of hard maple": drawn(1.0, 90.0, maple, 45.0, draws)}


def whole_chain(town="Chicago", delivered="October", draws=MANY):
    """From boards to a year's relief, seven stripes beside one piece: tonewood.neck.report.calculation_sheet for neck No. 12. Returns Chain."""
    side_by_side = necks(draws)
    rod = truss_rod(next(iter(side_by_side.values())))                    # the rod of lesson 05; both necks have one outline and channel
    return chain(side_by_side, string_set("six"), town, rod=rod, target=SET, delivered=delivered)


LABELS = {"boards": "Boards, drawn from published scatter", "section": "Section, estimated by the section model", "strings": "Strings, estimated from round generic gauges",
          "rod": "Rod, estimated; its limit from memory", "year": "The year, rod untouched, estimated by the season model"}


def chain_shown(town="Chicago", delivered="October", draws=MANY):
    """The whole chain as a table to show."""
    found = whole_chain(town, delivered, draws)
    rows, before = [], None
    for step, name, unit, shown in found.rows():
        if step != before:
            rows.append((LABELS[step],))
        rows.append((f"{name} ({unit})" if unit else name, *(replace(shown[neck], unit="").text() if neck in shown else "" for neck in found.necks)))
        before = step
    words = (f"Middle neck and, in brackets, where 90 of 100 fall; {draws} possible necks, stripes from different trees, six strings, delivered to {found_place({'place': town})} in {delivered}, "
             "lacquer on the back, fretboard bare. Each number of a column belongs to the same necks.")
    return table_of(("", *found.necks), rows, words)


def what_to_tell(**values):
    """One or two sentences for the client, from 2000 necks. Returns a string."""
    return gone(MANY, **values).sentence()
