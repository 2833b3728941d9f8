"""One board: what the tables tell about it, and what is left of that once it is weighed and bent."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np

from tonewood.bench.knowledge import Knowledge, after, from_tables
from tonewood.lesson.one_board.model import all_woods, defaults, gauge_draws, plain_board, printed, readings
from tonewood.lesson.one_board.view import STACK, picture
from tonewood.lesson.shared.shop import wood_list
from tonewood.lesson.shared.standing import with_cautions
from tonewood.panel.boxes import ticked
from tonewood.panel.controls import Control, pick, slider, switch
from tonewood.panel.live_figure import LiveFigure
from tonewood.wood.moisture import modulus_at
from tonewood.wood.species import Species


def _change(art: SimpleNamespace, **values: Any) -> str:
    board, read = plain_board(**values), readings(**values)
    E, ratio, mp, density = all_woods()
    art.woods.set_data(density, 1e-9 * modulus_at(E, ratio, board.moisture, mp))
    known = from_tables(board)
    left = after(known, **read)
    modulus, rho = left.ellipse()
    art.now.set_verts([np.column_stack([rho, 1e-9 * modulus])])
    modulus, rho = known.ellipse()
    art.before.set_data(rho, 1e-9 * modulus)
    art.name.set_text(board.species.name)
    art.name.set_position((min(rho[np.argmin(modulus)], 1250), 1e-9 * modulus.min() - 0.3))
    modulus, rho = left.middle
    art.own.set_data(*([[rho], [1e-9 * modulus]] if any(read.values()) else [[], []]))
    art.view.show(board)
    for line, found in zip(art.sources, printed(board), strict=True):
        line.set_data(found, np.full(len(found), 0.5))
    bands = art.gauges.show(gauge_draws(values), gauge_draws(values, measured=False))
    return sentence(board.species, values["humidity"], bands, known, left, read)


def sentence(wood: Species, humidity: float, bands: list[tuple[float, float, float]], known: Knowledge,
             left: Knowledge, read: dict[str, float | None]) -> str:
    """The picture in words, with every number and its 90 % band."""
    stiff, density, water, width, thick, loss = bands
    done = [word for word, name in (("weighed", "density"), ("bent", "modulus")) if read[name]]
    rests_on = ("measured, read as 1/Q; too wide a band to rank woods" if wood.loss.status != "from memory"
                else "an estimate that cannot rank woods")
    text = (f"{wood.name[0].upper() + wood.name[1:]}, {' and '.join(done) or 'as the tables have it'}, at "
            f"{humidity:.0f} % humidity (moisture {water[1]:.1f} %, {water[0]:.1f} to {water[2]:.1f}): "
            f"stiffness {stiff[1]:.1f} GPa ({'90 % sure' if done else '90 of 100 such boards'}: "
            f"{stiff[0]:.1f} to {stiff[2]:.1f}), density {density[1]:.0f} kg/m³ ({density[0]:.0f} to "
            f"{density[2]:.0f}); per 1 % moisture 100 mm of width move {width[1]:.2f} mm ({width[0]:.2f} to "
            f"{width[2]:.2f}), 100 mm of thickness {thick[1]:.2f} mm ({thick[0]:.2f} to {thick[2]:.2f}); "
            f"loss factor {loss[1]:.1f} thousandths ({loss[0]:.1f} to {loss[2]:.1f}, {rests_on}).")
    if done:
        E, rho = (100 * now / before for now, before in zip(left.spread, known.spread, strict=True))
        share = known.outside(**read)
        text += f" Of the tables' uncertainty {E:.0f} % is left in stiffness and {rho:.0f} % in density."
        if share < 0.02:
            few = "Fewer than 1 in 1000" if share < 0.001 else f"Only about {1000 * share:.0f} in 1000"
            text += f" {few} boards of {wood.name} lie that far off: check the readings, or the name."
    return text


def controls() -> dict[str, Control]:
    """The controls of the board, fresh: wood, grain, air, own measurements."""
    start = defaults()
    return {"wood": pick("Wood", wood_list(), start["wood"], "all woods of the tables"),
            "ring_angle": slider("Ring angle", start["ring_angle"], 0, 90, 5, "°",
                                 "0 flat-sawn, 90 quarter-sawn, between them rift"),
            "run_out": slider("Run-out", start["run_out"], 0, 10, 0.5, "°",
                              "0 straight grain; 3.8° is 1 in 15"),
            "humidity": slider("Room humidity", start["humidity"], 20, 80, 1, "%",
                               "where the board has lain for weeks, at 20 °C"),
            "weighed": switch("I have weighed it", start["weighed"],
                              "scale and caliper: density good to about 1 %"),
            "density": slider("Density by weighing", start["density"], 250, 1250, 5, "kg/m³",
                              "weight over length × width × thickness"
                              ).unless(ticked("weighed", "I have weighed it")),
            "bent": switch("I have bent it", start["bent"],
                           "two supports, a known weight, a dial gauge: good to about 3 %"),
            "modulus": slider("Stiffness by bending", start["modulus"], 4, 32, 0.1, "GPa",
                              "along the board as it is, run-out included"
                              ).unless(ticked("bent", "I have bent it"))}


def one_board(place: str | None = "beside") -> LiveFigure:
    """The board in your hand, ready to slide. Returns a LiveFigure; last line of a cell."""
    live = LiveFigure(picture, _change, controls(), inches=(10.0, 6.0), place=place,
                      first=("wood", "humidity", "weighed", "density", "bent", "modulus"),
                      parts={"Board": (0, 0, 0.515, 1), "Gauges": (0.505, 0, 1, 1)}, narrow=STACK,
                      alt="Stiffness against density with the region the tables allow and the one your "
                          "readings leave, the board's end and side, and six gauges with 90 % bands")
    return with_cautions(live, lambda: [live.values["wood"]])
