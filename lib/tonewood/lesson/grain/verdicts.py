"""Five claims about grain direction, each with the calculation behind it."""

from __future__ import annotations

import numpy as np

from tonewood.draws import written
from tonewood.lesson.grain.model import across, along, shortcut
from tonewood.panel.verdict import Verdict
from tonewood.wood.board import Board
from tonewood.wood.elastic import Elastic
from tonewood.wood.species import Species, all_species, species

ONE_IN_15 = float(np.degrees(np.arctan(1 / 15)))


def neck_woods() -> tuple[Species, ...]:
    """Every wood of the tables used for necks, as a tuple of Species."""
    return tuple(wood for wood in all_species() if "neck" in wood.uses)


def cantilever_shear_share(board: Board, depth: float = 0.020, length: float = 0.45) -> float:
    """Share of a cantilever's tip deflection that comes from shear: rectangular, `depth` and `length` in m.

    0.3 (E/G)(depth/length)^2 over one plus the same. Source: Timoshenko beam.
    """
    part = 0.3 * board.E_x / board.G_xz * (depth / length) ** 2
    return float(part / (1 + part))


def quarter_sawn_board_stiffer() -> Verdict:
    """Is a quarter-sawn board stiffer along its length?"""
    found = species("hard maple")
    flat, quarter = (along(found.elastic, ring, 0.0, 0.0) for ring in (0, 90))
    shear = [100 * cantilever_shear_share(Board(found, np.radians(ring))) for ring in (0, 90)]
    lean = [100 * along(found.elastic, ring, 3.0, 0.0) for ring in (0, 90)]
    woods = neck_woods()
    stiffer = [w.name for w in woods
               if along(w.elastic, 90.0, 3.0, 0.0) > along(w.elastic, 0.0, 3.0, 0.0)]
    but = f", all but {', '.join(stiffer)}" if stiffer else ""
    return Verdict("a quarter-sawn board is stiffer than a flat-sawn one.",
                   f"{found.name}, straight grain: {100 * flat:.1f} % flat-sawn, {100 * quarter:.1f} % "
                   f"quarter-sawn of the same figure. Shear makes up {shear[0]:.2f} % of the bend of a "
                   f"neck-sized piece flat-sawn, {shear[1]:.2f} % quarter-sawn. With 3° run-out "
                   f"{lean[0]:.1f} % and {lean[1]:.1f} % are left. Of {len(woods)} neck woods "
                   f"{len(woods) - len(stiffer)} are softer quarter-sawn with run-out{but}.",
                   "no. Along the grain the rings make no difference, shear one too small to feel, and with "
                   "run-out the quarter-sawn board is the softer in nearly every wood. A difference you feel "
                   "between two boards is most likely the boards' own scatter.", "high")


def run_out_cost() -> Verdict:
    """What does run-out of 1 in 15 cost?"""
    cost = {ring: np.array([100 * (1 - along(w.elastic, ring, ONE_IN_15, 0.0)) for w in neck_woods()])
            for ring in (0, 90)}
    return Verdict("a little run-out ruins the stiffness of a neck.",
                   f"run-out 1 in 15 ({ONE_IN_15:.1f}°), all neck woods of the tables: flat-sawn it costs "
                   f"{cost[0].min():.1f} to {cost[0].max():.1f} % of the stiffness (middle "
                   f"{np.median(cost[0]):.1f}), quarter-sawn {cost[90].min():.1f} to {cost[90].max():.1f} % "
                   f"(middle {np.median(cost[90]):.1f}).",
                   "no, 1 in 15 costs 3 to 5 % in most woods, less than the scatter between two boards. "
                   "Strength falls sooner (from memory, unverified), and short grain chips and splits: keep "
                   "the grain straight for that.", "high",
                   "shear constants are estimates for most woods, ± 30 %")


def quarter_sawn_moves_half() -> Verdict:
    """Does quarter-sawn move half as much in width?"""
    measured = [w for w in neck_woods() if w.status("movement_radial") == "published"
                and w.status("movement_tangential") == "published"]
    ratio = np.array([w.swelling[1] / w.swelling[2] for w in measured])
    least, most = measured[int(ratio.argmin())], measured[int(ratio.argmax())]
    return Verdict("a quarter-sawn board moves half as much in width as a flat-sawn one.",
                   f"{len(measured)} neck woods with published movement: quarter-sawn moves "
                   f"{ratio.min():.2f} ({least.name}) to {ratio.max():.2f} ({most.name}) of flat-sawn, "
                   f"middle {np.median(ratio):.2f}.",
                   "yes, about half in the middle of these woods, in some three quarters. What it saves in "
                   "width it moves in thickness.", "high")


def shortcut_good_enough() -> Verdict:
    """Is Hankinson's formula good enough for stiffness?"""
    def gap(elastic: Elastic, rings: float, exponent: float) -> float:
        return 100 * (shortcut(elastic, rings, 5.0, 0.0, exponent) / along(elastic, rings, 5.0, 0.0) - 1)

    two, low = (np.array([gap(w.elastic, r, n) for w in neck_woods() for r in (0, 90)]) for n in (2.0, 1.5))
    rift = gap(species("Sitka spruce").elastic, 45.0, 2.0)
    return Verdict("Hankinson's formula gives the stiffness of a board with run-out.",
                   "all neck woods at 5° of run-out, flat- and quarter-sawn: with exponent 2 it is off by "
                   f"{written(two.min(), 1, True)} to {written(two.max(), 1, True)} %, with 1.5 by "
                   f"{written(low.min(), 0, True)} to {written(low.max(), 0, True)} %. Rift-sawn Sitka "
                   f"spruce with exponent 2: {written(rift, 0, True)} %.",
                   "with exponent 2, flat- or quarter-sawn and small angles it serves as a shortcut. With "
                   "1.5, made for strength, it is badly wrong, and in rift-sawn softwood too: it knows "
                   "nothing of shear.", "high",
                   "the exponents quoted in the trade are from memory, unverified")


def rift_in_between() -> Verdict:
    """Does rift lie between flat and quarter in everything?"""
    thick = {name: 100 * across(species(name).elastic, np.array([0, 45, 90]), 0.0, 0.0)[1]
             for name in ("Sitka spruce", "hard maple")}
    text = "; ".join(f"{name}: flat-sawn {a:.1f}, rift {b:.1f}, quarter-sawn {c:.1f} %"
                     for name, (a, b, c) in thick.items())
    return Verdict("rift lies between flat-sawn and quarter-sawn in everything.",
                   f"stiffness through the thickness, in % of along the grain: {text}.",
                   "no. Movement lies in between, but across the grain rift is the softest of all, in "
                   "softwoods many times over: the rings slide over each other like a stack of cards. Along "
                   "the neck none of this counts.", "high",
                   "how deep the dip is hangs on one poorly known constant, the shear between rings")
