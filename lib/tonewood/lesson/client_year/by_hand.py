"""The seasons lesson's numbers by hand, a test strip, the workshop's humidity, the chain, the client."""

from __future__ import annotations

from collections.abc import Iterable
from types import SimpleNamespace
from typing import Any

import numpy as np

from tonewood.constants import DAY
from tonewood.draws import Z90, band, written, written_band
from tonewood.lesson.client_year.model import MANY, SET, TOWN, build, drawn, gone, mm, town_words
from tonewood.lesson.shared.ledger import READING, STRIP, STRIP_LENGTH
from tonewood.lesson.shared.shop import NECK_12, truss_rod
from tonewood.neck.report.calculation_sheet import Entry, entries
from tonewood.neck.report.calculation_sheet import rows as side_by_side
from tonewood.neck.seasons.drying import column, drying_section
from tonewood.neck.seasons.eigenstrain import stack
from tonewood.neck.seasons.movement import movement
from tonewood.neck.seasons.year import MONTH
from tonewood.panel import chosen
from tonewood.panel.page import Shown, table
from tonewood.wood.climate import indoor, place, workshop
from tonewood.wood.diffusion import Column, diffusivity, time_to
from tonewood.wood.drying import DryingSection
from tonewood.wood.facts import rule
from tonewood.wood.finish import finish
from tonewood.wood.moisture import equilibrium_moisture, humidity_for

DRY = 0.30


def dry_room_by_hand(humidity: float = DRY) -> SimpleNamespace:
    """The hand-worked numbers beside the library's, from the workshop (45 %, 20 °C) to `humidity` (fraction).

    start, end: moisture (fractions). wide, C_neck, width_by_hand, width: a flat-sawn one-piece maple neck at
    the last fret, its movement per moisture, its change by hand alone and by the library under its board (m).
    C_board, fret_end_by_hand, fret_end_free, fret_end: the rosewood board, its fret ends, each side (m): by
    hand, by the library free, and glued. diffusivity (m2/s), film (m/s), twice: what the half-time is made
    of, and how many times as long twice the thickness takes. half_time_by_hand, half_time, half_time_on_neck,
    half_time_neck (days): the bare board by hand, by the exact series, as it lies on the neck; the neck under
    lacquer. Everything fully adjusted. Raises ValueError.
    """
    start, end = workshop().moisture, equilibrium_moisture(20.0, humidity)
    neck = build(stripes=1.0, ring_angle=0.0).neck()
    wide, change, board = float(neck.outline.width(neck.end)), end - start, neck.fretboard
    C_neck, C_board = (piece.species.swelling[2] for piece in neck.pieces)
    moved = movement(neck, start, end)
    density = board.board.rho / (1 + start)
    D, a, film = diffusivity(density), board.thickness, finish("bare").film(density)

    def waits(thickness: float) -> float:
        """Half-time (days) by hand."""
        return float((0.197 + np.log(2) * D / (film * thickness)) * thickness**2 / D / DAY)

    times = np.linspace(0.0, 60.0, 1201)
    path = column(neck, "lacquer", "bare").follow(times * DAY, np.full(times.size, end), start)
    on_neck, in_neck = (float(np.interp(0.5, (path[:, k] - start) / change, times)) for k in (1, 0))
    return SimpleNamespace(
        start=start, end=end, wide=wide, C_neck=C_neck, width_by_hand=wide * C_neck * change,
        width=float(moved.width_end), C_board=C_board, fret_end_by_hand=-wide * C_board * change / 2,
        fret_end_free=float(moved.fret_end_free), fret_end=float(moved.fret_end),
        diffusivity=float(D), film=float(film), twice=waits(2 * a) / waits(a),
        half_time_by_hand=waits(a),
        half_time=time_to(0.5, a, D, film) / DAY, half_time_on_neck=on_neck, half_time_neck=in_neck)


def whole_section_drying(draws: int = MANY) -> SimpleNamespace:
    """What drying through the whole section of neck No. 12, the edges of its board too, changes of drying in
    layers, which the year is worked out with; lacquer on the back, fretboard bare, TOWN, from October.

    board, board_whole: half-time of the fretboard (days) in a room at DRY, by layers and by section; off: by
    how much the edge of the ribbon of relief moves at most (m); width: its greatest width (m); first,
    settled: moisture of the neck (fraction) in January of the first year, and of years after many alike.
    """
    neck, start, end = NECK_12.neck(), float(workshop().moisture), equilibrium_moisture(20.0, DRY)
    times = np.linspace(0.0, 60.0, 601)

    def half_time(dries: Column | DryingSection) -> float:
        path = dries.follow(times * DAY, np.full(times.size, end), start)[:, 1]
        return float(np.interp(0.5, (path - start) / (end - start), times))

    layers, whole = column(neck), drying_section(neck)
    one, other = (gone(NECK_12, draws, whole_section=yes) for yes in (False, True))
    low, _, high = one.band()
    months, air = np.arange(13) * MONTH * DAY, np.tile(indoor(TOWN).moisture, 2)[9:22]
    return SimpleNamespace(
        board=half_time(layers), board_whole=half_time(whole), width=float(np.max(high - low)),
        off=float(np.max(np.abs(one.band()[[0, 2]] - other.band()[[0, 2]]))),
        first=float(whole.follow(months, air, start)[3, 0]), settled=float(whole.cycle(months, air)[3, 0]))


READINGS = {"read without error": 0.0, "straightedge and feelers": READING,
            "the same, four strips pooled": READING / 2, "dial gauge": 1e-5}
"""How well a reading of a strip's bow holds, 90 of 100 readings, m (common practice, no source)."""


def glued_strip(humidity: float = DRY, draws: int = MANY) -> SimpleNamespace:
    """A test strip, neck offcut glued face to face on fretboard offcut, from the workshop to a room at
    `humidity` (fraction).

    low, high: its bow (m, positive: hollow on the fretboard side), 90 % spread of boards; by_hand: of the
    high one by the thin-strip rule; per_strip: relief change (m) of the flat-sawn one-piece neck per metre of
    strip bow; neck_low, neck_high: of that relief change (m); left: share of that band that is left once the
    bow is known, read before and after in each of the ways of READINGS. Raises ValueError.
    """
    start, end = workshop().moisture, equilibrium_moisture(20.0, humidity)
    neck = drawn(build(stripes=1.0, ring_angle=0.0), draws)
    wood, board = neck.pieces
    free = np.stack([b.swelling_xyz[:, 0, 0] * (end - start) for b in (wood, board)], -1)
    bent, _ = stack([STRIP, STRIP], 0.020, np.stack([wood.E_x, board.E_x], -1), free)
    bow = -bent.curvature[:, 0] * STRIP_LENGTH**2 / 8
    moved = movement(neck, start, end).relief
    (low, _, high), (neck_low, _, neck_high) = band(bow), band(moved)
    apart = band(free[:, 0] - free[:, 1])[2]
    told = np.corrcoef(bow, moved)[0, 1] ** 2 * np.var(bow)
    left = {how: float(np.sqrt(1 - told / (np.var(bow) + 2 * (error / Z90) ** 2)))
            for how, error in READINGS.items()}
    return SimpleNamespace(low=low, high=high, by_hand=1.5 * apart / (2 * STRIP) * STRIP_LENGTH**2 / 8,
                           left=left, per_strip=float(bow @ moved / (bow @ bow)), neck_low=neck_low,
                           neck_high=neck_high)


TOWNS = ("Chicago", "Denver", "London", "Stockholm", "Lisbon", "Singapore", "Mumbai")


def workshop_table(towns: Iterable[str] = TOWNS) -> Shown:
    """For each town: driest and dampest month indoors, and the workshop humidity in the middle of what the
    wood there goes through. Returns a table to show."""
    rows = []
    for name in towns:
        air = indoor(name)
        low, high = np.min(air.moisture), np.max(air.moisture)
        home = place(name).home
        rows.append((town_words(name),
                     f"{home.heated:.0f} °C, {'cooled' if home.cooled else 'not cooled'}",
                     f"{100 * np.min(air.humidity):.0f}",
                     f"{100 * np.max(air.humidity):.0f}", f"{100 * low:.1f} to {100 * high:.1f}",
                     f"{100 * humidity_for(20.0, (low + high) / 2):.0f}"))
    aim = rule("workshop_humidity")
    dry, damp = (f"{100 * limit:.0f} %" for limit in aim.limits)
    best = f"{100 * aim.value:.0f} %"
    return table(("town", "most homes are heated to", "driest month (%)", "dampest month (%)",
                  "wood settles at (% moisture)",
                  "workshop in the middle of that (%)"), rows,
                 f"Aim at {best} in the workshop; below {dry} or above {damp} wait before truing or gluing "
                 "(judgement, common practice, no source). Where a town's middle lies outside, build at the "
                 "nearer limit. At 30 %: 30 % is dry: wood glued here swells wherever it goes. "
                 f"Aim at {best}, wait until it is above {dry}. At 70 %: 70 % is damp: wood glued here "
                 f"shrinks in any heated room. Aim at {best}, wait until it is below {damp}.")


def whole_chain(town: str = TOWN, delivered: str = "October", draws: int = MANY
                ) -> dict[str, tuple[Entry, ...]]:
    """From boards to a year's relief (neck.report.calculation_sheet): neck No. 12 beside one piece of hard
    maple in its shape, as possible necks, with the rod of lesson 05."""
    rod = truss_rod(NECK_12.neck(), NECK_12.rod)
    necks = {"No. 12, seven stripes": drawn(NECK_12, draws),
             "one piece of hard maple": drawn(build(stripes=1.0), draws)}
    return {name: entries(neck, NECK_12.string_set(), town, rod=rod, target=SET, delivered=delivered)
            for name, neck in necks.items()}


LABELS = {"boards": "Boards, drawn from published scatter",
          "section": "Section, estimated by the section model",
          "strings": "Strings, estimated from round generic gauges",
          "rod": "Rod, estimated; its limit from memory",
          "year": "The year, rod untouched, estimated by the season model"}


def entry_text(entry: Entry) -> str:
    """'middle (low to high)' of a number of the calculation sheet; the value alone where it does not vary."""
    low, _, high = (written(v, entry.decimals) for v in entry.band)
    return low if low == high else written_band(entry.band, entry.decimals)


def chain_shown(town: str = TOWN, delivered: str = "October", draws: int = MANY) -> Shown:
    """The whole chain as a table to show."""
    found, rows, before = whole_chain(town, delivered, draws), [], None
    for step, name, unit, shown in side_by_side(found):
        if step != before:
            rows.append((LABELS[step],))
        cells = (entry_text(shown[neck]) if neck in shown else "" for neck in found)
        rows.append((f"{name} ({unit})" if unit else name, *cells))
        before = step
    return table(("", *found), rows, f"Middle neck and, in brackets, where 90 of 100 fall; {draws} "
                 "possible necks, stripes from different trees, six strings, delivered to "
                 f"{town_words(town)} in {delivered}, heated and cooled as most homes there are, lacquer on "
                 "the back, fretboard bare. Each number of a column belongs to the same necks.")


def what_to_tell(**values: Any) -> str:
    """What to tell the client, in two sentences, from 2000 necks at one setting of the controls."""
    found = gone(draws=MANY, **values)
    i = found.widest
    (low, middle, high), up = band(found.relief[:, i]), round(100 * found.share_up[i])
    return chosen.said(
        f"By {found.month[i]}, in {up} of 100 such necks relief has gone up and in {100 - up} down; the "
        f"middle one by {mm(middle)} mm, nine in ten between {mm(low)} and {mm(high)} mm. What can be "
        f"foreseen of that is {mm(found.foreseen[i])} mm; the rest is chance until the lengthwise "
        "movement of these boards is measured.")
