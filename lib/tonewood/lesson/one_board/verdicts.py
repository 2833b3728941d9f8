"""Three claims about knowing a board, each with the calculation behind it."""

from __future__ import annotations

from math import asin, pi

import numpy as np

from tonewood.bench.knowledge import after, from_tables
from tonewood.panel.verdict import Verdict
from tonewood.wood.board import Board
from tonewood.wood.facts import rule
from tonewood.wood.species import all_species, species
from tonewood.wood.spread import draw_boards


def heavier_is_stiffer() -> Verdict:
    """Of two boards of one wood, is the heavier the stiffer?"""
    r = rule("correlation_density_modulus").value
    known = from_tables(Board(species("hard maple")))
    left = after(known, density=known.middle[1]).spread[0] / known.spread[0]
    often = 0.5 + asin(r) / pi
    return Verdict(
        "the heavier board of a wood is the stiffer one.",
        f"correlation of density and stiffness inside a wood {r:g}: of two boards of one wood the heavier is "
        f"the stiffer in {100 * often:.0f} of 100 cases; weighing leaves {100 * left:.0f} % of the "
        "uncertainty in stiffness.",
        "often, not always. Weight is a hint; if stiffness matters, bend or tap the board.",
        "medium", "the correlation is from memory, unverified")


def wood_tells_stiffness(one: str = "hard maple", other: str = "black walnut") -> Verdict:
    """Does the name of the wood tell which of two boards is stiffer?"""
    a, b = draw_boards([Board(species(one)), Board(species(other))], 20000, 11)
    often = np.mean(a.E_x > b.E_x)
    neck = np.array([w.modulus for w in all_species() if "neck" in w.uses])
    inside = species(one).cov_modulus
    return Verdict(
        f"{one} is stiffer than {other}.",
        f"on average {100 * (species(one).modulus / species(other).modulus - 1):.0f} % stiffer. Board "
        f"against board, {one} wins in {100 * often:.0f} of 100 draws. Boards of one wood scatter by "
        f"{100 * inside:.0f} %, the means of all neck woods of the tables by "
        f"{100 * neck.std() / neck.mean():.0f} %.",
        "on average yes, for the two boards in your hands nobody can say before measuring. The name sets the "
        "range, the board its place in it.", "high")


def table_is_enough(wood: str = "wenge") -> Verdict:
    """Is the printed value good enough?"""
    found = species(wood)
    low, high = found.modulus_band
    known = from_tables(Board(found))
    one, half = known.spread[0], after(known, modulus=found.modulus).spread[0]
    return Verdict("look the stiffness up and you know your board.",
                   f"{wood}: the sources read run from {1e-9 * low:.1f} to {1e-9 * high:.1f} GPa, "
                   f"{100 * (high / low - 1):.0f} % apart. With board-to-board scatter the tables leave ± "
                   f"{164.5 * one:.0f} % (90 of 100 boards); one bend leaves ± {164.5 * half:.0f} %.",
                   "no. Look it up to choose what to buy; measure it once you own it.", "high")
