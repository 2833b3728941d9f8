"""The worked numbers of lesson 09: a tap by hand, and what a rip after the measurement costs."""

from __future__ import annotations

import numpy as np

from tonewood.bench import measure
from tonewood.draws import band
from tonewood.lesson.measure_a_board import model
from tonewood.lesson.shared import shop
from tonewood.lesson.shared.shop import NECK_12
from tonewood.neck.report.evaluation import even_stiffness
from tonewood.panel.page import Shown, table
from tonewood.remember import remember
from tonewood.wood.board import Board
from tonewood.wood.facts import rule
from tonewood.wood.species import species

TAPPED = {**model.defaults(), "weighed": True, "tapped": True}


def tap_by_hand() -> list[tuple[str, float, str, int, str]]:
    """The start board's tap step by step: lines for `say_all`."""
    v, wood = TAPPED, species(TAPPED["wood"])
    mm = {name: 1e-3 * v[name] for name in ("length", "width", "thickness")}
    mass, moisture = 1e-3 * v["mass"], v["moisture"] / 100
    board = Board(wood, np.radians(v["ring_angle"]), moisture=moisture)
    ratio = float(board.E_x / board.G_xz)
    slender = measure.slender_tap_modulus(mass, v["tone"], **mm)
    tapped = measure.tap_modulus(mass, v["tone"], **mm, ratio=ratio)
    slow = tapped / rule("tap_over_bend").value
    at_12 = measure.modulus_at_12(slow, moisture, wood.green_ratio, wood.mp)
    read = model.read(**v)
    known = read.known
    invented = "measured (invented)"
    return [*((name, v[name], "mm", 0, invented) for name in ("length", "width", "thickness")),
            ("weight", v["mass"], "g", 0, invented), ("tone in Hz", v["tone"], "", 0, invented),
            ("density in kg/m³", measure.density(mass, **mm), "", 0, "from the readings"),
            ("slender-bar formula", 1e-9 * slender, "GPa", 2, "from the readings"),
            ("with shear and rotation", 1e-9 * tapped, "GPa", 2, "estimated: E/G of hard maple"),
            ("as a slow bend would read", 1e-9 * slow, "GPa", 2, "from memory, unverified: tap over bend "
                                                                 "1.10"),
            ("carried from 8.5 % to 12 % moisture", 1e-9 * at_12, "GPa", 2,
             "published: Wood Handbook, Eq. 5-3"),
            ("the tables' middle board", 1e-9 * read.tables.middle[0], "GPa", 2, "estimated"),
            ("tables and reading together", 1e-9 * known.middle[0], "GPa", 2,
             "each weighted by one over the square of its error"),
            ("left of the tables' scatter", 100 * known.spread[0] / read.tables.spread[0], "%", 0,
             "computed")]


def which_board_to_measure() -> Shown:
    """Width of the 90 % band of the stiffness of neck No. 12 with one board measured, or none, as a table."""
    rows = []
    for use in ("main", "all", "fretboard"):
        wide = width_with((use,), measured=False), width_with((use,))
        rows.append((f"{species(WOODS[use]).name} as {model.USES[use]}", f"{wide[0]:.0f}", f"{wide[1]:.0f}",
                     f"{100 * wide[1] / wide[0]:.0f}"))
    every = width_with(("all", "fretboard"), measured=False), width_with(("all", "fretboard"))
    rows.append(("both: every stripe and the fretboard", f"{every[0]:.0f}", f"{every[1]:.0f}",
                 f"{100 * every[1] / every[0]:.0f}"))
    return table(("board measured", "unmeasured (N·m²)", "measured (N·m²)", "left (%)"), rows,
                 "Width of the 90 % band of the stiffness of neck No. 12; every other piece stays "
                 "unmeasured. Weighed, tapped and bent, with the readings of a middle board.")


WOODS = {"main": "hard_maple", "all": "hard_maple", "fretboard": "indian_rosewood"}


@remember(16)
def width_with(uses: tuple[str, ...], measured: bool = True) -> float:
    """Width of the 90 % band of the stiffness (N·m²) of neck No. 12 with one board of WOODS in each of these
    uses, measured with the readings of a middle board or not at all."""
    on = dict.fromkeys(("weighed", "tapped", "bent"), measured)
    neck = NECK_12.neck()
    for use in uses:
        wood = model.read(use, **{**on, **read_as_middle(WOODS[use])}).own().wood()
        neck = model.instead(neck, NECK_12, use, wood, np.pi / 2 if use != "fretboard" else 0.0, 0.0)
    found = even_stiffness(shop.possible(neck, draws=model.DRAWS, seed=model.SEED))
    return float(np.ptp(band(found)))


def band_left(uses: tuple[str, ...]) -> float:
    """What measuring the boards of these uses leaves of the width of the stiffness's band, as a share."""
    return width_with(uses) / width_with(uses, measured=False)


def read_as_middle(key: str) -> dict[str, object]:
    """Readings of the wood's middle board at the start sizes."""
    tone, deflection, _ = model.expected(wood=key)
    v = model.defaults()
    volume = v["length"] * v["width"] * v["thickness"] * 1e-9
    rho = float(Board(species(key), moisture=v["moisture"] / 100).rho)
    return {"wood": key, "mass": round(1e3 * rho * volume), "tone": round(tone, 1),
            "deflection": round(deflection, 3)}
