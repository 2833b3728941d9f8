"""Three claims about the bench neck, each with the calculation behind it."""

from __future__ import annotations

import numpy as np

from tonewood.draws import written
from tonewood.lesson.shared.shop import NECK_12, ROLES, ROOM, SEED, changed
from tonewood.neck.layup.neck import Neck, spread
from tonewood.neck.load.glue_lines import glue_lines
from tonewood.neck.report.evaluation import even_stiffness
from tonewood.neck.report.straightness import straightness, stripes_stiffness
from tonewood.neck.section.stations import at_stations
from tonewood.panel.verdict import Verdict
from tonewood.wood.moisture import equilibrium_moisture
from tonewood.wood.species import species
from tonewood.wood.spread import SUPPLIES, likeness, scatter_of_modulus
from tonewood.wood.within import draw_growth

STATIONS = NECK_12.neck().stations(16)
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
    """Do more stripes of one wood make the neck stiffer? The wood alone, and the room its glue takes up."""
    glue = glue_lines(_neck(11), NECK_12.string_set())
    return Verdict("more laminations make a stiffer neck.",
                   "; ".join(f"{n} {'piece' if n == 1 else 'stripes'} {even_stiffness(_neck(n)):.1f} N·m²"
                             for n in (1, 3, 5, 7, 9, 11)) + ", all of hard maple, the glue not counted. In "
                   f"eleven stripes {glue.lines} lines of 0.1 mm (common practice, no source) stand where "
                   f"wood could be and cost {100 * glue.width_loss:.1f} %.",
                   "no. Side by side, stripes of the same wood add up to the same neck; a stiffer or softer "
                   "stripe counts by its share of the width. The glue lines are thin and, if anything, take "
                   "a little away, too little to be felt.",
                   "high")


def more_layers_predictable(draws: int = 4000) -> Verdict:
    """Do more stripes make the neck more predictable? Stiffness of the shaped neck wood and straightness of
    the whole neck, one piece against seven stripes."""
    def scatter(count: int, origin: str = "different trees", supply: str = SUPPLIES[0]) -> float:
        found = stripes_stiffness(at_stations(spread(_neck(count), draws, SEED, origin, supply), STATIONS))
        return 100 * found.std() / found.mean()

    def straying(count: int) -> tuple[float, float]:
        neck, dry = spread(_neck(count, ring_angle=np.pi / 2), draws, SEED), equilibrium_moisture(ROOM, 0.30)
        found = straightness(neck, NECK_12.string_set(), NECK_12.shop_moisture, dry, NECK_12.setup(),
                             growth=draw_growth(range(count + 1), draws, SEED))
        side, twist = (np.percentile(np.abs(1e3 * v), 90) for v in (found.side_bow, found.twist_across))
        return float(side), float(twist)

    board = 100 * species(WOOD).cov_modulus
    anywhere = 100 * scatter_of_modulus(species(WOOD), SUPPLIES[1])
    (bow, twist), (bow_7, twist_7) = straying(1), straying(7)
    return Verdict("a neck of many stripes is more predictable than one piece.",
                   "stiffness of the shaped neck wood, no fretboard: boards of one delivery scatter by "
                   f"{board:.0f} % (estimated, middle of published lots) and give one-piece necks that "
                   f"scatter by {scatter(1):.1f} %, seven stripes from different trees {scatter(7):.1f} % "
                   f"(the rule c/√n says {board / np.sqrt(7):.1f} %, but stripes of 2 to 11 mm under a "
                   "rounded back count as fewer than seven), seven sawn from one board "
                   f"{scatter(7, 'same board'):.1f} %. Boards bought anywhere, {anywhere:.0f} % (estimated, "
                   "partly from memory): one piece "
                   f"{scatter(1, supply=SUPPLIES[1]):.1f} %, seven {scatter(7, supply=SUPPLIES[1]):.1f} %. "
                   f"Straightness in sound wood, from 45 % to 30 % humidity, 90 of 100 stay below: one piece "
                   f"side bow {bow:.3f} mm, twist {twist:.2f} mm across the last fret; seven stripes "
                   f"{bow_7:.3f} and {twist_7:.2f} mm.",
                   "in stiffness yes, if the stripes come from different trees; cut side by side from one "
                   "board they average out hardly anything, and measuring each board, good to about 3 %, "
                   "beats any averaging. In twist yes, if each stripe is straight; in side bow not in sound "
                   "wood, where all of it is too small to notice.",
                   "medium",
                   f"how alike stripes of one board are ({likeness('same board'):.2f}) and how much a board "
                   "changes from pith to bark are judgements; wood near the pith, where the trade's case for "
                   "many pieces is strongest, is in lesson 04; reaction wood and stress let free by sawing "
                   "are left out")
