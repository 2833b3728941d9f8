"""The worked numbers: what the printed sources say, a bend by hand, where its error comes from."""

from __future__ import annotations

import numpy as np

from tonewood.bench import measure
from tonewood.constants import GRAVITY
from tonewood.lesson.shared.shop import shop_moisture
from tonewood.panel.page import Shown, table
from tonewood.wood.board import Board
from tonewood.wood.species import species

BENT = {"load": 10 * GRAVITY, "deflection": 0.00094, "span": 0.70, "width": 0.062, "thickness": 0.022}
"""The blank for neck No. 12, hard maple, quarter-sawn, over two supports: invented readings, N and m."""
TYPICAL = {"load": 0.002, "deflection": 0.01, "span": 0.0015, "width": 0.002, "thickness": 0.005}
"""Typical relative errors at a bench (common practice, no source): weighed jug, dial gauge to 0.01 mm, tape,
caliper; the thickness of a planed board varies more than a caliper reads."""


def printed_values(*names: str) -> Shown:
    """What each source says about density and stiffness of these woods, the value in use first. Raises
    ValueError."""
    rows = [(wood.name, key.replace("_", " "), f"{fact.value:.4g} {fact.unit}", role, fact.status,
             fact.source, fact.place)
            for wood in map(species, names) for key in ("density", "bending_modulus")
            for role, fact in [("used", wood.fact(key)),
                               *(("also read", f) for f in wood.alternatives.get(key, ()))]]
    return table(("wood", "property", "value", "role", "status", "source key", "place"), rows)


def bend_by_hand() -> list[tuple[str, float, str, int, str]]:
    """The bend of BENT step by step: lines for `say_all`."""
    maple, moisture = species("hard maple"), shop_moisture()
    board = Board(maple, np.pi / 2, moisture=moisture)
    modulus = measure.bend_modulus(**BENT, ratio=board.E_x / board.G_xz)
    at_12 = measure.modulus_at_12(modulus, moisture, maple.green_ratio, maple.mp)
    sizes = [(name, 1e3 * BENT[name], "mm", 0, "measured (invented)")
             for name in ("span", "width", "thickness")]
    return [("load", BENT["load"], "N", 1, "measured (invented): 10 kg"), *sizes,
            ("bend under the load", 1e3 * BENT["deflection"], "mm", 2, "measured (invented)"),
            ("slender-beam formula", 1e-9 * measure.bend_modulus(**BENT, ratio=0), "GPa", 2,
             "from the readings"),
            ("with shear", 1e-9 * modulus, "GPa", 2, "estimated: E/G of hard maple"),
            ("standard error from the readings", 100 * float(measure.uncertainty("bend", **TYPICAL)), "%", 1,
             "estimated; typical reading errors are common practice"),
            (f"carried from {100 * moisture:.1f} % to 12 % moisture", 1e-9 * at_12, "GPa", 2,
             "published: Wood Handbook, Eq. 5-3"),
            ("the tables' hard maple at 12 %", 1e-9 * maple.modulus, "GPa", 2,
             "estimated: 1.10 × published bending modulus")]


def where_the_error_comes_from() -> Shown:
    """Each reading of a bend, its typical error at a bench, how strongly it counts, and the error it leaves.
    """
    powers, every = measure.POWERS["bend"], float(measure.uncertainty("bend", **TYPICAL))
    rows = [(name, f"{100 * error:.2f}", f"× {powers[name]}", f"{100 * powers[name] * error:.2f}")
            for name, error in sorted(TYPICAL.items(), key=lambda item: -powers[item[0]] * item[1])]
    return table(("reading", "typical error (%)", "counts", "leaves in the stiffness (%)"),
                 [*rows, ("all together", "", "", f"{100 * every:.2f}")])
