"""A neck's calculation sheet: boards, section, relief under the strings, rod setting and a year at the
client's.

Every number of a neck comes from the same draws: draw 7 of "relief, rod slack" is the neck whose rod, year
and weight are draw 7 as well. Sources of the models: each number's own room.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from tonewood.draws import Array, Draws, band, single
from tonewood.neck.layup.neck import Neck
from tonewood.neck.load.joint import Joint
from tonewood.neck.load.relief import relief
from tonewood.neck.load.rod import Rod, set_rod
from tonewood.neck.load.setup import Setup
from tonewood.neck.report.evaluation import even_stiffness
from tonewood.neck.seasons.year import year
from tonewood.neck.section.section import section
from tonewood.strings.wire import StringSet
from tonewood.wood.board import Board
from tonewood.wood.climate import Air

READ = 8
"""The fret at which relief is read and the rod is set."""


@dataclass(frozen=True)
class Entry:
    """One number of the sheet: step (boards, section, strings, rod or year), name, unit, decimals to print,
    and its value, a float or (D,), in that unit."""

    step: str
    name: str
    unit: str
    decimals: int
    value: Draws = field(repr=False)

    @property
    def band(self) -> Array:
        """5, 50 and 95 % points (3,); three times the value if there is only one."""
        return band(self.value)


def entries(neck: Neck, strings: StringSet, place: str | Air, rod: Rod = Rod(), target: float = 0.0002,
            setup: Setup = Setup(), joint: Joint = Joint("neck-through"), **season: Any) -> tuple[Entry, ...]:
    """Every Entry of one neck, in order. neck: with draws, or single, its boards at the workshop's moisture;
    place and `season`: as for seasons.year; target: relief (m) the rod is set to at fret READ. Raises
    ValueError.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> from tonewood.strings.sets import string_set
    >>> entries(example_neck(), string_set("six"), "Chicago")[4].name
    'bending stiffness EI at fret 8'
    """
    count, half = len(neck.layup.stripes), neck.outline.end_width / 2
    stripes, top = neck.pieces[:count], neck.pieces[count:][-1:]
    share = np.diff(np.clip(neck.layup.edges_at(neck.end), -half, half)) / (2 * half)

    def mean(value: Callable[[Board], Draws]) -> Draws:
        return sum(s * np.asarray(value(b)) for s, b in zip(share, stripes, strict=True))

    def nearest(x: Array) -> int:
        return int(np.argmin(np.abs(x - float(neck.fret(READ)))))

    s = section(neck)
    slack = relief(neck, strings, setup, joint)
    setting = set_rod(slack, rod, target, READ)
    gone = year(neck, place, setup_relief=target, rod=rod, effort=setting.effort, points=13, **season)
    seen, widest = 1e3 * (target + gone.relief), gone.widest
    ends = int(np.argmax(single(gone.fret_end, how=np.median)))
    unit, decimals = rod.unit.replace(" ", "·"), 2 if rod.action == "double" else 0
    made: dict[str, list[tuple[str, str, int, Draws]]] = {
        "boards": [
            ("stiffness along the grain, mean of the stripes", "GPa", 1, 1e-9 * mean(lambda b: b.E_x)),
            *(("stiffness along the grain, fretboard", "GPa", 1, 1e-9 * np.asarray(board.E_x))
              for board in top),
            ("density, mean of the stripes", "kg/m³", 0, mean(lambda b: b.rho)),
            *(("lengthwise movement per 1 % moisture, stripes less fretboard", "µm/m", 0,
               1e4 * (mean(lambda b: b.swelling_xyz[..., 0, 0]) - board.swelling_xyz[..., 0, 0]))
              for board in top)],
        "section": [
            (f"bending stiffness EI at fret {READ}", "N·m²", 0, s.EI[..., nearest(s.x)]),
            ("bending stiffness EI, one number for the whole neck", "N·m²", 0, even_stiffness(s.here)),
            ("weight, nut to last fret", "g", 0, 1e3 * np.trapezoid(s.mass_per_length, s.x, axis=-1))],
        "strings": [
            ("pull of all strings", "N", 0, float(np.sum(strings.tension))),
            (f"their moment at fret {READ}", "N·m", 2, slack.moment[..., nearest(slack.x)]),
            (f"relief at fret {READ}, rod slack", "mm", 2, 1e3 * slack.at(READ))],
        "rod": [
            (f"effort that leaves {1e3 * target:.2f} mm", unit, decimals, setting.effort),
            ("turns from finger tight, at least", "", 2, setting.turns),
            ("share of the limit to plan with", "%", 0, 100 * (1 - setting.reserve))],
        "year": [
            *((f"relief in {month}", "mm", 2, seen[..., t]) for t, month in enumerate(gone.month[:-1])),
            (f"relief a year on, {gone.month[-1]}", "mm", 2, seen[..., -1]),
            (f"predictable part of the change in {gone.month[widest]}, the widest month", "mm", 2,
             1e3 * float(gone.foreseen[widest])),
            ("coin-toss part in that month", "mm", 2, 1e3 * gone.chance[..., widest])]}
    if gone.share_up is not None:
        risen = 100 * float(gone.share_up[widest])
        made["year"].append(("necks whose relief has risen then, of 100", "", 0, risen))
    made["year"].append((f"fret ends stand out, each side, in {gone.month[ends]}", "mm", 2,
                         1e3 * gone.fret_end[..., ends]))
    return tuple(Entry(step, *row) for step, rows in made.items() for row in rows)


def rows(necks: Mapping[str, tuple[Entry, ...]]) -> list[tuple[str, str, str, dict[str, Entry]]]:
    """[(step, name, unit, {neck: Entry})] in order of the sheets of several necks by name; a month that is
    the widest of one neck only has a row of its own.

    >>> pull = Entry("strings", "pull", "N", 0, 462.0)
    >>> rows({"one": (pull,), "other": (pull,)})[0][:3]
    ('strings', 'pull', 'N')
    """
    found: dict[tuple[str, str, str], dict[str, Entry]] = {}
    for name, listed in necks.items():
        for e in listed:
            found.setdefault((e.step, e.name, e.unit), {})[name] = e
    return [(*key, of) for key, of in found.items()]
