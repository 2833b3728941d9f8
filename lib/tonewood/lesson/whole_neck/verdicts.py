"""Three claims about the bench neck, each with the calculation behind it."""

from __future__ import annotations

import numpy as np

from tonewood.draws import written
from tonewood.lesson.shared.shop import NECK_12, ROLES, changed
from tonewood.neck.layup.neck import Back, Fretboard, Layup, Neck, Outline, Stripe
from tonewood.neck.report.evaluation import even_stiffness
from tonewood.neck.section.section import section
from tonewood.panel.verdict import Verdict
from tonewood.wood.board import Board
from tonewood.wood.facts import rule
from tonewood.wood.species import species
from tonewood.wood.spread import likeness, mean_keeping_factor

WOOD = "hard maple"


def _neck(stripes: int = 1, **grain: float) -> Neck:
    """Neck No. 12, all of hard maple."""
    return changed(NECK_12, **dict.fromkeys(ROLES, WOOD), stripes=stripes, **grain).neck()


def _width_swelling(ring_angle: float) -> float:
    return float(_neck(ring_angle=ring_angle).pieces[0].swelling_xyz[1, 1])


def quarter_sawn_stiffer() -> Verdict:
    """Does quarter-sawn make the neck stiffer? Straight grain first, then 3° of run-out."""
    flat, quarter = (even_stiffness(_neck(ring_angle=r)) for r in (0.0, np.pi / 2))
    slant_flat, slant_quarter = (even_stiffness(_neck(ring_angle=r, run_out=np.radians(3.0)))
                                 for r in (0.0, np.pi / 2))
    flat_width, quarter_width = (_width_swelling(r) for r in (0.0, np.pi / 2))
    return Verdict("a quarter-sawn neck is stiffer.",
                   f"straight grain: flat-sawn {flat:.1f} N·m², quarter-sawn {quarter:.1f} N·m², difference "
                   f"{written(100 * (quarter / flat - 1), 1, True)} %. With 3° of run-out: {slant_flat:.1f} "
                   f"and {slant_quarter:.1f} N·m², "
                   f"{written(100 * (slant_quarter / slant_flat - 1), 1, True)} %. The wood's width per 1 % "
                   f"moisture: flat {flat_width:.3f} %, quarter {quarter_width:.3f} %.",
                   "no. Along the grain the wood is the same whichever way the rings stand; with run-out "
                   "quarter-sawn is slightly softer. What quarter-sawn wood does is move about half as much "
                   "in width.",
                   "high", "the difference in shear deflection, below 1 %, is left out")


def more_layers_stiffer() -> Verdict:
    """Do more stripes of one wood make the neck stiffer?"""
    return Verdict("more laminations make a stiffer neck.",
                   "; ".join(f"{n} {'piece' if n == 1 else 'stripes'} {even_stiffness(_neck(n)):.1f} N·m²"
                             for n in (1, 3, 5, 7, 9, 11)) + ", all of hard maple.",
                   "no. Side by side, stripes of the same wood add up to the same neck; a stiffer or softer "
                   "stripe counts by its share of the width. The glue lines are thin and rigid and change "
                   "nothing that could be felt.",
                   "high")


def more_layers_predictable(draws: int = 4000) -> Verdict:
    """Do more stripes make the neck more predictable? Bare neck wood, the tables' scatter, 1 and 7 stripes.
    """
    wood = species(WOOD)
    cov, cautious, alike = wood.cov_modulus, rule("cautious_cov_modulus").value, likeness("same board")
    rng = np.random.default_rng(7)

    def spread_of(n: int, correlation: float, cov: float = cov) -> float:
        common = np.sqrt(correlation) * rng.standard_normal(draws)
        own = [np.sqrt(1 - correlation) * rng.standard_normal(draws) for _ in range(n)]
        layup = Layup(tuple(Stripe(Board(wood, modulus=wood.modulus * mean_keeping_factor(common + one, cov)),
                                   0.056 / n) for one in own))
        # No fretboard or rod to speak of and straight sides, so that only the stripes are compared.
        bare = Neck(layup, Outline(0.056, 0.056), Back("D", exponent=20.0),
                    Fretboard(Board(wood, modulus=1.001e9), 1e-5, 0.0))
        EI = section(bare, [0.2]).EI[:, 0]
        return EI.std() / EI.mean()

    one, seven, same = spread_of(1, 0.0), spread_of(7, 0.0), spread_of(7, alike)
    return Verdict("a neck of many stripes is more predictable than one piece.",
                   f"the wood of the neck alone, no fretboard: boards that scatter by {100 * cov:.0f} % "
                   "(estimated, middle of published lots of hardwood) give one-piece necks that scatter by "
                   f"{100 * one:.1f} %; seven equal stripes from different trees {100 * seven:.1f} % (rule "
                   f"c/√n: {100 * cov / np.sqrt(7):.1f} %); seven sawn from one board {100 * same:.1f} %. "
                   f"With the cautious scatter of {100 * cautious:.0f} % (from memory, unverified): one "
                   f"piece {100 * spread_of(1, 0.0, cautious):.1f} %, seven from different trees "
                   f"{100 * spread_of(7, 0.0, cautious):.1f} %.",
                   "yes, if the stripes come from different trees. Stripes cut side by side from one board "
                   "average out hardly anything. Measuring each board, good to 2 or 3 %, beats any "
                   "averaging.",
                   "high", f"how alike stripes of one board are ({alike:.2f}) is a judgement")
