"""Which way the grain runs: one board, three angles, and what they do to stiffness, movement and damping."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np

from tonewood.draws import written
from tonewood.lesson.grain.model import RINGS, RUN_OUTS, SHOP, bands, defaults, moisture_change, seven
from tonewood.lesson.grain.view import EXAGGERATED, STACK, picture
from tonewood.lesson.shared.meant import cut
from tonewood.lesson.shared.shop import wood_list
from tonewood.lesson.shared.standing import with_cautions
from tonewood.panel.controls import Control, pick, slider
from tonewood.panel.live_figure import LiveFigure
from tonewood.wood.board import Board
from tonewood.wood.species import Species, species


def _change(art: SimpleNamespace, **values: Any) -> str:
    wood, angles = species(values["wood"]), [values[name] for name in ("ring_angle", "run_out", "slope")]
    ring, run = angles[:2]
    art.view.show(Board(wood, *np.radians(angles)), moisture_change(values["home"]), EXAGGERATED)
    here, spread = seven(**values, run_outs=run, rings=ring), bands(**values)
    at, grids = [run, run, ring, ring, ring, ring, run], [RUN_OUTS, RINGS, RINGS, RINGS, RINGS, RUN_OUTS]
    for line, dot, x, curve, value in zip(art.lines, art.dots, at,
                                          seven(**values, run_outs=RUN_OUTS, rings=RINGS), here, strict=True):
        line.set_ydata(curve)
        dot.set_data([x], [value])
    for drawn, x, (low, _, high) in zip(art.bands, grids, spread, strict=True):
        drawn.set_data(x, low, high)
    now = [[np.interp(x, grid, edge) for edge in (low, high)]
           for x, grid, (low, _, high) in zip(at[1:], grids, spread, strict=True)]
    return sentence(wood, values, here, now)


def sentence(wood: Species, values: dict[str, Any], here: list[float], now: list[list[float]]) -> str:
    """The picture in words, with every number and its 90 % band."""
    E, short, wide, thick, width, thickness, loss = here
    gap = short - E
    off = f"{short:.1f} %, {abs(gap):.1f} points too {'high' if gap > 0 else 'low'}"
    places = ((1, False), (1, False), (1, False), (2, True), (2, True), (0, False))
    ends = [" to ".join(written(edge, *how) for edge in edges)
            for how, edges in zip(places, now, strict=True)]
    return (f"{wood.name[0].upper() + wood.name[1:]}, rings at {values['ring_angle']:.0f}° "
            f"({cut(values['ring_angle'])}), run-out {values['run_out']:.1f}°, slope {values['slope']:.1f}°: "
            f"along the board {E:.1f} % of the straight-grained stiffness (90 of 100: {ends[0]}); "
            f"Hankinson's formula with exponent {values['exponent']:.1f} says "
            f"{'the same' if abs(gap) < 0.05 else off}. Across, in % of along the grain: width {wide:.1f} "
            f"({ends[1]}), thickness {thick:.1f} ({ends[2]}). From {SHOP:.0f} % to {values['home']:.0f} % "
            f"humidity a 60 × 25 mm blank changes {written(width, 2, True)} mm in width ({ends[3]}) and "
            f"{written(thickness, 2, True)} mm in thickness ({ends[4]}). Loss factor along the board "
            f"{loss:.0f} % of straight grain ({ends[5]}, estimate).")


def controls() -> dict[str, Control]:
    """The controls of the grain lesson, fresh: wood, the three angles, the shortcut's exponent, the air."""
    start = defaults()
    return {
        "wood": pick("Wood", wood_list(), start["wood"],
                     "all woods of the tables"),
        "ring_angle": slider("Ring angle", start["ring_angle"], 0, 90, 5, "°",
                             "0 flat-sawn, 90 quarter-sawn, between them rift"),
        "run_out": slider("Run-out", start["run_out"], 0, 15, 0.5, "°",
                          "grain diving through the face; 3.8° is 1 in 15, 15° no neck would be made of"),
        "slope": slider("Slope of grain", start["slope"], 0, 15, 0.5, "°",
                        "grain leaving the edge in the face view"),
        "exponent": slider("Exponent n in Hankinson's formula", start["exponent"], 1.5, 2.5, 0.1, "",
                           "2 is used for stiffness; 1.5 to 2 belong to strength (from memory, unverified)"),
        "home": slider("Home humidity", start["home"], 20, 75, 1, "%",
                       "where the blank will settle; it comes from a 45 % shop"),
    }


def which_way(place: str | None = "beside") -> LiveFigure:
    """The board with its three angles, ready to slide. Returns a LiveFigure; last line of a cell."""
    live = LiveFigure(picture, _change, controls(), inches=(10.0, 5.8), place=place,
                      parts={"Board": (0, 0, 0.315, 1), "Along": (0.315, 0.5, 0.655, 1),
                             "Across": (0.655, 0.5, 1, 1), "Loss factor": (0.315, 0, 0.655, 0.5),
                             "Movement": (0.655, 0, 1, 0.5)}, narrow=STACK,
                      alt="End, side and face view of a board with its grain, and four curves: stiffness "
                          "along against run-out, stiffness across and movement against ring angle, loss "
                          "factor against run-out, with 90 % bands")
    return with_cautions(live, lambda: [live.values["wood"]])
