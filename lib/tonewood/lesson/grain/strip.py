"""The bench job of lesson 03: two strips of one board, one sawn at an angle, beside what was foretold; kept
in the log, one's own and those of a class shown together."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from pathlib import Path
from typing import Any

import ipywidgets
import numpy as np

from tonewood.bench import log
from tonewood.bench.log_columns import Measurement
from tonewood.bench.slanted_strip import foretold_left, held_flat, stiffness_left
from tonewood.constants import GRAVITY
from tonewood.draws import band, written_band
from tonewood.lesson.shared.class_readings import files_of, paths_box, typed_paths
from tonewood.lesson.shared.own_woods import LOG
from tonewood.lesson.shared.readings_view import together
from tonewood.lesson.shared.shop import wood_list
from tonewood.panel import boxes
from tonewood.panel.controls import pick, slider
from tonewood.panel.page import Shown, bullets, table
from tonewood.panel.reckoning import Reckoning
from tonewood.wood.species import species

KIND = "slanted strip"
HEAD = ("strip", "read (%)", "foretold: middle (90 of 100)", "inside?")


def foretold(wood: str, ring_angle: float, slope: float) -> tuple[float, float, float]:
    """(low, middle, high), %, of what would be read; angles in degrees."""
    low, middle, high = 100 * band(foretold_left(species(wood), np.radians(ring_angle), np.radians(slope)))
    return float(low), float(middle), float(high)


def left(wood: str, ring_angle: float, slope: float, load: float, span: float, width: float,
         thickness: float, sag: float, slanted_width: float, slanted_thickness: float, slanted_sag: float
         ) -> float:
    """Stiffness of the slanted strip, % of the straight one's: angles in degrees, load in g, sizes in mm.
    Raises ValueError."""
    one, two = ((1e-3 * b, 1e-3 * t, 1e-3 * d) for b, t, d in (
        (width, thickness, sag), (slanted_width, slanted_thickness, slanted_sag)))
    return 100 * stiffness_left(species(wood), np.radians(ring_angle), np.radians(slope),
                                1e-3 * load * GRAVITY, 1e-3 * span, one, two)


def _line(name: str, read: float, three: tuple[float, float, float]) -> tuple[str, ...]:
    low, _, high = three
    side = "yes" if low <= read <= high else f"no, {'above' if read > high else 'below'}"
    return name, f"{read:.0f}", written_band(three, 0), side


def strip_shown(**values: Any) -> Shown:
    """The reading in the boxes beside what was foretold of it. Raises ValueError."""
    v = values
    three = foretold(v["wood"], v["ring_angle"], v["slope"])
    held = held_flat(species(v["wood"]), np.radians(v["ring_angle"]), np.radians(v["slope"]),
                     1e-3 * v["slanted_width"], 1e-3 * v["slanted_thickness"])
    made = "An example stands in the boxes until you set yours. " if v == START else ""
    return table(HEAD, [_line(f"{species(v['wood']).name}, {v['slope']:g}°, not kept yet", left(**v), three)],
                 f"{made}Stiffness of the slanted strip, of the straight one's, each from its bend with "
                 "shear taken off. Foretold by linear elasticity from the wood's ratios; the width holds "
                 "their scatter, two strips of one board that differ (judgement, from memory) and both "
                 "readings (estimated). If both ends lay flat on sticks, this strip could not twist and "
                 f"would read {100 * (held - 1):.0f} % too stiff (estimated): let one end rest on a single "
                 "point.")


def kept_shown(paths: Iterable[str]) -> Shown | None:
    """Every strip kept in these logs beside its band, and how many lie inside; None where there is none.
    Raises ValueError for a file that is no log."""
    rows, said, ratios = [], [], []
    for path in paths:
        for m in log.read_log(path).search(measured=KIND):
            assert m.value is not None and m.slope is not None
            ring = float(np.degrees(m.ring_angle or 0.0))
            slope = float(abs(np.degrees(m.slope)))
            try:
                three = foretold(m.wood, ring, slope)
            except ValueError as problem:
                said.append(f"{path}, line {m.line}: {problem}")
                continue
            name = f"{m.board}, {species(m.wood).name}, {slope:.3g}°, {m.date}"
            rows.append(_line(name, m.value, three))
            ratios.append(m.value / three[1])
    if not rows:
        return bullets(said) if said else None
    inside = sum(row[-1] == "yes" for row in rows)
    mean = f" Read over foretold: {np.mean(ratios):.2f} in the mean." if len(ratios) > 1 else ""
    shown = table(HEAD, rows, f"{inside} of {len(rows)} inside; 90 of 100 are if the bands are right.{mean}")
    return together([shown, bullets(said)]) if said else shown


START = {"wood": "hard_maple", "ring_angle": 0.0, "slope": 10.0, "load": 1000.0, "span": 400.0,
         "width": 20.0, "thickness": 6.0, "sag": 2.9, "slanted_width": 20.0, "slanted_thickness": 6.0,
         "slanted_sag": 4.1}


class StripReadings(Reckoning):
    """Boxes for the two bends, a button that keeps them, and what the logs hold of strips. Made by
    `strip_readings`; `.keep()` and `.pool()` do what its buttons do."""

    def __init__(self, path: str = LOG) -> None:
        self.path, self.reply, v = path, "", START
        self.board = ipywidgets.Text(description="Board", placeholder="what is written on it", **boxes.FULL)
        self.paths, self._kept = paths_box(), boxes.prose("reckoned")
        super().__init__(
            strip_shown, {
                "wood": pick("Wood", wood_list("neck"), v["wood"]),
                "ring_angle": slider("Ring angle", v["ring_angle"], 0, 90, 1, "°"),
                "slope": slider("Angle of the slanted strip", v["slope"], 1, 30, 0.5, "°",
                                "in the board's face"),
                "load": slider("Weight hung on each", v["load"], 50, 20000, 10, "g"),
                "span": slider("Between the supports", v["span"], 100, 1500, 5, "mm"),
                **{name: slider(words, v[name], low, high, step, "mm") for name, words, low, high, step in (
                    ("width", "Straight: width", 5, 60, 0.1),
                    ("thickness", "Straight: thickness", 2, 30, 0.05),
                    ("sag", "Straight: bend under the weight", 0.05, 40, 0.01),
                    ("slanted_width", "Slanted: width", 5, 60, 0.1),
                    ("slanted_thickness", "Slanted: thickness", 2, 30, 0.05),
                    ("slanted_sag", "Slanted: bend under the weight", 0.05, 40, 0.01))}},
            boxes.panel([boxes.cell("tonewood-entry", [box]) for box in (self.board, self.paths)],
                        explain=False),
            boxes.buttons(Keep_in_the_log=self.keep, Show_the_strips_of_these_logs=self.pool), self._kept)
        if Path(path).exists():
            self._list([path])

    def keep(self) -> None:
        """Keep the reading in the boxes in the log. Raises ValueError, with the file as it was."""
        v = self.values
        log.add(self.path, Measurement(
            date=date.today(), board=self.board.value, measured=KIND, wood=v["wood"],
            value=round(left(**v), 2), unit="%", load=1e-3 * v["load"] * GRAVITY, span=1e-3 * v["span"],
            ring_angle=float(np.radians(v["ring_angle"])), slope=float(np.radians(v["slope"])),
            note=f"bends {v['sag']:g} and {v['slanted_sag']:g} mm; width × thickness {v['width']:g} × "
                 f"{v['thickness']:g} and {v['slanted_width']:g} × {v['slanted_thickness']:g} mm, straight "
                 "and slanted"))
        self.reply = f"Kept in {self.path}."
        self._list([self.path], self.reply)

    def pool(self) -> None:
        """Show the strips of the logs named, one's own where none is. Raises ValueError."""
        self._list(files_of(typed_paths(self.paths.value)))

    def _list(self, paths: list[str], said: str = "") -> None:
        shown = kept_shown(paths)
        self.kept = shown
        self._kept.value = f"<div role='status'><p>{said}</p>" + (
            shown.html if shown else "<p>No strip stands in these logs.</p>") + "</div>"


def strip_readings(path: str = LOG) -> StripReadings:
    """Boxes for the two bends of the bench job, beside what was foretold. path: of the log."""
    return StripReadings(path)
