"""One board read by scale, dial and ear: what each reading leaves open, and the neck that gets it."""

from __future__ import annotations

from datetime import date
from typing import Any

import numpy as np

from tonewood.bench.knowledge import Knowledge
from tonewood.bench.log_columns import Measurement
from tonewood.bench.measure import bend_modulus, tap_modulus
from tonewood.bench.own_board import OwnBoard, measured_board, twist_expected
from tonewood.constants import GRAVITY
from tonewood.draws import Z90, Array, Draws
from tonewood.lesson.shared import shop
from tonewood.lesson.shared.shop import NECK_12
from tonewood.neck.design import Design
from tonewood.neck.layup.neck import Neck
from tonewood.neck.report.evaluation import Evaluation, evaluate
from tonewood.remember import remember
from tonewood.wood.board import Board
from tonewood.wood.facts import rule
from tonewood.wood.own import stated
from tonewood.wood.ratios import draw_ratios
from tonewood.wood.species import Species, species
from tonewood.wood.spread import draw_boards, filled_ratios

STATIONS, DRAWS, SEED = 16, 1000, 1
USES = {"main": "its main stripes", "all": "every stripe", "fretboard": "its fretboard"}
"""What of the neck is made of the board."""
SWITCHES = ("weighed", "tapped", "bent", "twisted", "rung")
SIZE_U = 0.003
"""Relative uncertainty of the thickness, five places averaged: common practice, no source."""
MOISTURE_U = 0.01
"""Standard uncertainty of the moisture (fraction) from the room's air: woods differ, drying and wetting do
not meet; common practice, no source."""


def defaults(design: Design = NECK_12) -> dict[str, Any]:
    """Start values: an invented blank of hard maple, nothing of it read yet."""
    return {"wood": species("hard maple").key, "ring_angle": 90.0, "run_out": 0.0, "moisture": 8.5,
            "length": 600.0, "width": 62.0, "thickness": 22.0,
            "weighed": False, "mass": 571.0, "tapped": False, "tone": 271.0,
            "twisted": False, "twist_tone": 650.0,
            "bent": False, "load": 10.0, "span": 550.0, "deflection": 0.51, "rung": False, "loss": 9.0,
            "use": "main"}


def read(label: str = "my board", **values: Any) -> OwnBoard:
    """The OwnBoard of these readings (people's units; those whose switch is off count as not made). Raises
    ValueError for readings that no board gives, with the likely slip."""
    v = {**defaults(), **values}
    mm = {name: 1e-3 * v[name] for name in ("length", "width", "thickness")}
    grain = {name: float(np.radians(v[name])) for name in ("ring_angle", "run_out")}
    on_scale = weighed(v)
    return measured_board(
        label, v["wood"], mass=1e-3 * v["mass"] if on_scale else None, **mm, moisture=v["moisture"] / 100,
        moisture_u=MOISTURE_U, tone=v["tone"] if v["tapped"] else None, size_u=SIZE_U,
        bend=(v["load"] * GRAVITY, 1e-3 * v["deflection"], 1e-3 * v["span"]) if v["bent"] else None,
        twist_tone=v["twist_tone"] if v["twisted"] else None,
        loss=v["loss"] / 1000 if v["rung"] else None, **grain)


def weighed(values: dict[str, Any]) -> bool:
    """Whether the weight counts: a tap needs it, so who taps has weighed."""
    return bool(values["weighed"] or values["tapped"] or values["twisted"])


def rows(label: str, values: dict[str, Any]) -> list[Measurement]:
    """The readings that were made, as rows of the log, dated today."""
    v = {**defaults(), **values}
    sizes = {name: 1e-3 * v[name] for name in ("length", "width", "thickness")}
    every = {"date": date.today(), "board": label, "wood": v["wood"], "moisture": v["moisture"] / 100,
             **sizes, **{name: float(np.radians(v[name])) for name in ("ring_angle", "run_out")}}
    loss = v["loss"] / 1000 if v["rung"] else None
    out = []
    if weighed(v):
        out.append(Measurement(measured="weigh", mass=1e-3 * v["mass"], **every))
    if v["tapped"]:
        out.append(Measurement(measured="tap", frequency=v["tone"], loss=loss, **every))
    if v["twisted"]:
        out.append(Measurement(measured="twist tap", frequency=v["twist_tone"], **every))
    if v["bent"]:
        out.append(Measurement(measured="bend", load=v["load"] * GRAVITY, span=1e-3 * v["span"],
                               deflection=1e-3 * v["deflection"], **every))
    if loss is not None and not v["tapped"]:
        out.append(Measurement(measured="other", value=1e3 * loss, unit="thousandths", note="loss "
                                                                                       "factor", **every))
    return out


def stages(**values: Any) -> list[tuple[str, Knowledge]]:
    """What is known after one reading more, from the tables alone on: straight grain, 12 % moisture. Those
    not made are left out. Raises ValueError."""
    v = {**defaults(), **values}
    made = [name for name in ("weighed", "tapped", "bent") if v[name]]
    out = [("tables alone", read(**{**v, **dict.fromkeys(SWITCHES, False)}).tables)]
    for k, name in enumerate(made):
        off = {"twisted": False, **{other: other in made[:k + 1] for other in ("weighed", "tapped", "bent")}}
        out.append((("" if k == 0 else "and ") + name, read(**{**v, **off}).known))
    return out


def stiffness_band(known: Knowledge) -> tuple[float, float, float]:
    """(5 %, 50 %, 95 %) of the modulus along the grain, GPa."""
    mean, spread = known.mean[0], Z90 * known.spread[0]
    low, middle, high = 1e-9 * np.exp([mean - spread, mean, mean + spread])
    return low, middle, high


def instead(neck: Neck, design: Design, use: str, wood: Species, ring_angle: float, run_out: float) -> Neck:
    """The neck with the pieces of that use made of `wood`, at the board's own angles (rad); of a fretboard
    in layers the top one."""
    main, stripes, top = shop.role_woods(design)["main"], len(neck.layup.stripes), len(neck.pieces) - 1

    def change(i: int, board: Board) -> bool:
        if use == "fretboard":
            return i == top >= stripes
        return i < stripes and (use == "all" or board.species is main)
    return neck.with_pieces(Board(wood, ring_angle, run_out, moisture=board.moisture) if change(i, board)
                            else board for i, board in enumerate(neck.pieces))


def worked_with(design: Design, use: str, wood: Species, ring_angle: float, run_out: float) -> Evaluation:
    """The neck as possible necks, the pieces of that use made of `wood`; angles in degrees."""
    neck = instead(design.neck(), design, use, wood, np.radians(ring_angle), np.radians(run_out))
    neck = shop.possible(neck, draws=DRAWS, seed=SEED, slot_fill=design.fretboard.slot_fill)
    return evaluate(neck, design.string_set(), design.shop_moisture, design.shop_moisture, design.setup(),
                    STATIONS, design.body_joint())


@remember(16)
def by_the_tables(design: Design, use: str, wood: str, ring_angle: float, run_out: float) -> Evaluation:
    """The neck with an unmeasured board of this wood, all its stripes from that one board; angles in degrees.
    """
    off = {**dict.fromkeys(SWITCHES, False), "wood": wood, "ring_angle": ring_angle, "run_out": run_out}
    return worked_with(design, use, read(**off).own().wood(), ring_angle, run_out)


@remember(16)
def with_board(design: Design = NECK_12, **values: Any) -> Evaluation:
    """The neck with the measured board. Raises ValueError."""
    v = {**defaults(), **values}
    return worked_with(design, v["use"], read(**v).own().wood(), v["ring_angle"], v["run_out"])


def cannot(design: Design) -> list[str]:
    """What the picture of a board cannot show of a design, one sentence each."""
    if not design.fretboard.layers:
        return ["It has no fretboard, so a board shown as one changes nothing; kept so, the neck gets one of "
                f"{1e3 * NECK_12.fretboard.thickness:g} mm."]
    return ["Its fretboard has layers; a board becomes the top one."] if design.fretboard.under else []


def neck_rows(found: Evaluation) -> list[Draws]:
    """Draws of the neck's gauges in their own units."""
    return [found.stiffness, 1e3 * found.relief, 1e3 * found.mass]


def board_rows(wood: Species, ring_angle: float, run_out: float, moisture: float) -> list[Array]:
    """Draws of the board's gauges in their own units: density, loss factor; angles in degrees, moisture in
    %."""
    board = Board(wood, np.radians(ring_angle), np.radians(run_out), moisture=moisture / 100)
    drawn = draw_boards([board], DRAWS, SEED)[0]
    return [np.asarray(drawn.rho), 1e3 * np.asarray(drawn.eta)]


def shear(**values: Any) -> tuple[Array, Array]:
    """Draws of the mean shear modulus in the planes along the grain at 12 % moisture (GPa): as the tables
    leave it, and with what was read (the same where nothing was). Raises ValueError.
    """
    v = {**defaults(), **values}
    wood, board = species(v["wood"]), read(**v)
    drawn = draw_ratios(wood.elastic, DRAWS, SEED, filled=filled_ratios(wood))
    stiff = np.asarray(draw_boards([Board(wood)], DRAWS, SEED)[0].E_L) / np.asarray(drawn.E_L)
    plain = 1e-9 * (np.asarray(drawn.G_LR) + np.asarray(drawn.G_LT)) / 2 * stiff
    if board.twist_modulus is None:
        return plain, plain
    e = board.own().wood().elastic
    z = np.random.default_rng([SEED, 9]).standard_normal(DRAWS)
    return plain, 1e-9 * float((e.G_LR + e.G_LT) / 2) * np.exp(board.twist_u * z)


def expected(**values: Any) -> tuple[float, float, float]:
    """(tone in Hz, deflection in mm, twist tone in Hz) that the middle board of the wood would give at these
    sizes, for a look before the readings. Raises ValueError."""
    v = {**defaults(), **values}
    wood = species(v["wood"])
    board = Board(wood, np.radians(v["ring_angle"]), np.radians(v["run_out"]), moisture=v["moisture"] / 100)
    mm = {name: 1e-3 * v[name] for name in ("length", "width", "thickness")}
    ratio = float(board.E_x / board.G_xz)
    mass = float(board.rho) * float(np.prod(list(mm.values())))
    per_hertz = 1e-4 * tap_modulus(mass, 100.0, **mm, ratio=ratio)
    tone = np.sqrt(rule("tap_over_bend").value * board.E_x / per_hertz)
    bend = bend_modulus(v["load"] * GRAVITY, 1e-3, 1e-3 * v["span"], mm["width"], mm["thickness"], ratio)
    return float(tone), float(bend / board.E_x), twist_expected(board, mass, **mm)


def kept(design: Design, use: str, key: str) -> Design:
    """The design with the kept board (its key) in that use, at the board's own angles. Raises ValueError."""
    from dataclasses import replace

    own = stated(species(key))
    angles = {"ring_angle": own.ring_angle, "run_out": own.run_out, "slope": own.slope}
    if use == "fretboard":
        made = shop.changed(design, fretboard=key)
        return made.changed(fretboard=replace(made.fretboard, **angles))
    main = shop.role_woods(design)["main"].key
    return design.changed(stripes=tuple(
        replace(s, wood=key, **angles) if use == "all" or s.wood == main else s for s in design.stripes))
