"""Three claims about the bench neck, each with the calculation behind it."""

import numpy as np

from tonewood.lesson.shared.shop import CHANNEL
from tonewood.panel.verdict import Verdict
from tonewood.neck.layup.neck import Back, Fretboard, Layup, Neck, Outline, Stripe, striped
from tonewood.neck.report.evaluation import even_stiffness
from tonewood.neck.section.section import section
from tonewood.wood.board import Board
from tonewood.wood.facts import rule
from tonewood.wood.moisture import equilibrium_moisture
from tonewood.wood.species import species
from tonewood.wood.spread import likeness, mean_keeping_factor

WOOD = "hard maple"
SHOP = 0.45


def _neck(stripes=1, **grain):
    board = Board(species(WOOD), moisture=equilibrium_moisture(20.0, SHOP), **grain)
    board_on_top = Board(species("Indian rosewood"), moisture=board.moisture)
    return Neck(striped(board, board, board, stripes), Outline(), Back("D"), Fretboard(board_on_top), CHANNEL)


def quarter_sawn_stiffer():
    """Does quarter-sawn make the neck stiffer? Straight grain first, then 3 degrees of run-out. Returns a Verdict."""
    flat, quarter = (even_stiffness(_neck(ring_angle=r)) for r in (0.0, np.pi / 2))
    slant_flat, slant_quarter = (even_stiffness(_neck(ring_angle=r, run_out=np.radians(3.0))) for r in (0.0, np.pi / 2))
    flat_width, quarter_width = (_width_swelling(r) for r in (0.0, np.pi / 2))
    return Verdict("a quarter-sawn neck is stiffer.",
                   f"straight grain: flat-sawn {flat:.1f} N·m², quarter-sawn {quarter:.1f} N·m², difference {100 * (quarter / flat - 1):+.1f} %. "
                   f"With 3° of run-out: {slant_flat:.1f} and {slant_quarter:.1f} N·m², {100 * (slant_quarter / slant_flat - 1):+.1f} %. "
                   f"The wood's width per 1 % moisture: flat {flat_width:.3f} %, quarter {quarter_width:.3f} %.",
                   "no. Along the grain the wood is the same whichever way the rings stand; with run-out quarter-sawn is slightly softer. "
                   "What quarter-sawn wood does is move about half as much in width.",
                   "high", "the difference in shear deflection, below 1 %, is left out")


def _width_swelling(ring_angle):
    return float(_neck(ring_angle=ring_angle).pieces[0].swelling_xyz[1, 1])


def more_layers_stiffer():
    """Do more stripes of one wood make the neck stiffer? Returns a Verdict."""
    counts = (1, 3, 5, 7, 9, 11)
    found = [even_stiffness(_neck(n)) for n in counts]
    return Verdict("more laminations make a stiffer neck.",
                   "; ".join(f"{n} {'piece' if n == 1 else 'stripes'} {v:.1f} N·m²" for n, v in zip(counts, found)) + ", all of hard maple.",
                   "no. Side by side, stripes of the same wood add up to the same neck; a stiffer or softer stripe counts by its share of the width. "
                   "The glue lines are thin and rigid and change nothing that could be felt.",
                   "high")


def more_layers_predictable(draws=4000):
    """Do more stripes make the neck more predictable? The bare neck wood with the scatter of the tables, 1 and 7 equal stripes. Returns a Verdict."""
    wood = species(WOOD)
    cov, cautious, alike = wood.cov_modulus, rule("cautious_cov_modulus").value, likeness("same board")
    rng = np.random.default_rng(7)

    def spread_of(n, correlation, cov=cov):
        common = rng.standard_normal(draws)
        boards = [Board(wood, modulus=wood.modulus * mean_keeping_factor(np.sqrt(correlation) * common + np.sqrt(1 - correlation) * rng.standard_normal(draws), cov))
                  for _ in range(n)]
        layup = Layup(tuple(Stripe(b, 0.056 / n) for b in boards))
        # No fretboard or rod to speak of and straight sides, so that only the stripes are compared.
        bare = Neck(layup, Outline(0.056, 0.056), Back("D", exponent=20.0), Fretboard(Board(wood, modulus=1.001e9), 1e-5, 0.0))
        EI = section(bare, [0.2]).EI[:, 0]
        return EI.std() / EI.mean()

    one, seven, same = spread_of(1, 0.0), spread_of(7, 0.0), spread_of(7, alike)
    return Verdict("a neck of many stripes is more predictable than one piece.",
                   f"the wood of the neck alone, no fretboard: boards that scatter by {100 * cov:.0f} % (estimated, middle of published lots of hardwood) give one-piece "
                   f"necks that scatter by {100 * one:.1f} %; seven equal stripes from different trees "
                   f"{100 * seven:.1f} % (rule c/√n: {100 * cov / np.sqrt(7):.1f} %); seven sawn from one board {100 * same:.1f} %. "
                   f"With the cautious scatter of {100 * cautious:.0f} % (from memory, unverified): one piece {100 * spread_of(1, 0.0, cautious):.1f} %, "
                   f"seven from different trees {100 * spread_of(7, 0.0, cautious):.1f} %.",
                   "yes, if the stripes come from different trees. Stripes cut side by side from one board average out hardly anything. "
                   "Measuring each board, good to 2 or 3 %, beats any averaging.",
                   "high", f"how alike stripes of one board are ({alike:.2f}) is a judgement")
