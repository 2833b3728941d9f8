"""Claims about laminated necks, each with the calculation behind it."""

from __future__ import annotations

from functools import partial

import numpy as np

from tonewood.draws import written
from tonewood.lesson.laying_up import model
from tonewood.lesson.laying_up.by_hand import CUTS, accent_by_hand, misread, straying, within
from tonewood.lesson.laying_up.model import MANY, MAPLE, equal_stripes, evaluated, scatter, straight
from tonewood.lesson.shared.shop import NECK_12, REINFORCEMENT
from tonewood.neck.load.glue_lines import glue_lines
from tonewood.panel.verdict import Verdict
from tonewood.wood.within import GROWN, NEAR_PITH

COUNTS = (1, 2, 3, 5, 7, 9, 11)


def more_stripes_stiffer() -> Verdict:
    """Do more stripes of one wood make a stiffer neck? The wood alone, and the room its glue takes up."""
    plan = equal_stripes(11)
    glue = glue_lines(plan.neck(), plan.string_set())
    found = {n: evaluated(**MAPLE, stripes=n).stiffness for n in COUNTS}
    means = ", ".join(f"{n} {'piece' if n == 1 else 'stripes'} {value:.1f}" for n, value in found.items())
    one, seven, same = (100 * scatter(evaluated(MANY, **MAPLE, stripes=n, origin=origin).stripes_stiffness)
                        for n, origin in ((1, "different trees"), (7, "different trees"), (7, "same board")))
    return Verdict("more laminations make a stiffer neck.",
                   f"middle stiffness, all hard maple: {means} N·m². Scatter of the stripes alone: one piece "
                   f"{one:.1f} %, seven stripes from seven trees {seven:.1f} %, seven from one board "
                   f"{same:.1f} %. The glue is not counted; {glue.lines} lines of 0.1 mm in eleven stripes "
                   f"would cost {100 * glue.width_loss:.1f} %.",
                   "no. The mean stays where it is; what shrinks is the scatter, by the square root of the "
                   "effective number, and only if the boards are independent.",
                   "high", "how alike stripes of one board are is a judgement")


def thin_stripe_stiffens() -> Verdict:
    """Does a thin dark stripe stiffen the neck?"""
    a, one_piece = accent_by_hand(), scatter(evaluated(MANY, **MAPLE, stripes=1).stiffness)
    return Verdict("a thin dark stripe stiffens the neck.",
                   f"two wenge accents, {a.accents:.0f} of {a.width:.0f} mm together, "
                   f"{100 * (a.ratio - 1):.0f} % stiffer than the maple they replace: the stripes alone gain "
                   f"{100 * a.stripes_alone:.1f} %, the whole neck {100 * a.whole:.1f} %. Two one-piece "
                   f"maple necks differ by more: scatter {100 * one_piece:.0f} %.",
                   "a little: by its share of the width times how much stiffer it is. A per cent or two is "
                   "far less than the next maple board brings.",
                   "high", "printed sources for wenge differ by about a tenth")


def many_pieces_do_not_warp() -> Verdict:
    """Do necks of many pieces stay straight?"""
    slanting = equal_stripes(2, run_out=3.0)
    wrong, right = (abs(1e3 * straight(model.with_turns(slanting, f"every second about {axis}")).twist_across)
                    for axis in "zy")
    order = CUTS["shuffled: first from one edge, then from the other"][1]
    (one, one_twist, _), (pith, _, _) = (straying(model.cut_up(1, part=part)) for part in GROWN)
    (seven, seven_twist, _), (pith_seven, _, _) = (straying(straight(equal_stripes(7), MANY, part=part))
                                                   for part in GROWN)
    pith_shuffled, _, _ = straying(model.cut_up(7, order, part=NEAR_PITH))
    return Verdict("a neck of many pieces does not warp.",
                   "from shop to home, 90 of 100 necks stay below: in sound wood one piece side bow "
                   f"{one:.3f} mm and twist {one_twist:.2f} mm, since its two edges grew at different "
                   f"distances from the pith; seven stripes from seven trees side bow {seven:.3f} mm, twist "
                   f"{seven_twist:.2f} mm. Wood from near the pith: side bow one piece {pith:.2f} mm, seven "
                   f"from seven trees {pith_seven:.2f} mm, one board cut in seven and shuffled "
                   f"{pith_shuffled:.2f} mm. Turned wrong: two stripes with 3° of run-out, one end for end "
                   f"on the bench, twist {wrong:.2f} mm, rolled over and end for end {right:.2f} mm. Seven "
                   f"stripes each off by about 1°: twist up to {misread().twist:.2f} mm.",
                   "partly. One piece is not straight by nature: it bows and twists by what it carries "
                   "within. In sound wood that is too little to notice, and stripes do not better it unless "
                   "they are sorted and turned right. Near the pith it shows, and there sawing up and "
                   "shuffling takes most of the side bow out. Turning alone does not: each stripe keeps its "
                   "place. No turning or shuffling mends forward bow.",
                   "medium",
                   "how steeply swelling and grain change within a board is judged, near the pith from a "
                   "pine; reaction wood, stress let free by sawing, and what stays bent after drying are "
                   "left out, and each could turn this in favour of many pieces")


def seven_or_nine_are_best() -> Verdict:
    """What the numbers say about seven or nine pieces."""
    found = {n: straight(equal_stripes(n), MANY) for n in COUNTS}
    alone = ", ".join(f"{n}: {100 * scatter(f.stripes_stiffness):.1f}" for n, f in found.items())
    whole = ", ".join(f"{n}: {100 * scatter(f.stiffness):.1f}" for n, f in found.items())
    return Verdict("seven or nine pieces are the right number.",
                   f"scatter in % for equal stripes of hard maple from as many trees. Stripes alone {alone}. "
                   f"With the fretboard {whole}.",
                   "nothing singles out seven or nine. From one to five the scatter of the stripes halves; "
                   "each further pair takes off less than a point, and in the whole neck hardly anything, "
                   "because the one fretboard scatters on its own. Choose the number for looks and for the "
                   "wood you have; three to five do most of the work.",
                   "high",
                   "fret slots taken half bearing on every neck; they scatter too")


def less_adjusting() -> Verdict:
    """Does a neck of many stripes need less seasonal adjusting?"""
    moves, plan = partial(straight, draws=MANY), equal_stripes(7)
    pieces, growth = model.possible(plan, MANY)
    only_board = plan.neck().with_pieces([*plan.neck().pieces[:-1], pieces.pieces[-1]])
    found = [moves(equal_stripes(1)), moves(plan), moves(plan, origin="same board"),
             model.judged(only_board, plan, [None] * 7 + growth[-1:]),
             moves(equal_stripes(1), part=NEAR_PITH), moves(plan, part=NEAR_PITH)]
    one, seven, same, board, pith, pith_seven = (within(1e3 * f.relief_change) for f in found)
    return Verdict("a neck of many stripes needs less seasonal adjusting than one piece.",
                   f"relief change from shop to home, within which 90 of 100 necks stay: one piece {one:.3f} "
                   f"mm, seven equal stripes from seven trees {seven:.3f} mm, seven from one board "
                   f"{same:.3f} mm. The fretboard's own share, which no number of stripes removes: "
                   f"{board:.3f} mm. Stripes from near the pith: one piece {pith:.2f} mm, seven from seven "
                   f"trees {pith_seven:.2f} mm.",
                   "yes, if the stripes are independent, and by about "
                   f"{5 * round(20 * (1 - seven / one)):.0f} %: they even out how much the neck grows along "
                   "the grain. The fretboard, one board, is not averaged and keeps most of the movement. "
                   "From one board most of the gain is gone. Wood from near the pith moves many times as "
                   "much however it is laid up: sort it out.",
                   "medium",
                   "lengthwise swelling is anywhere in the range printed for all woods, and its change "
                   "within a board is judged; near the pith a pine's figures. Left out: reaction wood, and a "
                   "rod, which moves with the wood's mean lengthwise swelling (lesson 05)")


def glue_lines_rob() -> Verdict:
    """Do glue lines rob stiffness?"""
    pva, epoxy = (glue_lines(NECK_12.neck(), NECK_12.string_set(), glue) for glue in ("pva_glue", "epoxy"))
    return Verdict("glue lines rob stiffness.",
                   f"No. 12, {pva.lines} lines of 0.1 mm (thickness: common practice, no source): in bending "
                   f"{1e6 * pva.bending_share:.0f} millionths of the energy sit in white glue "
                   f"({1e6 * epoxy.bending_share:.0f} in epoxy). The glue stands where wood could be: "
                   f"{100 * pva.width_loss:.1f} % of bending stiffness ({100 * epoxy.width_loss:.1f} %). "
                   f"Twist grows by at most {100 * pva.twisting_share:.1f} % "
                   f"({100 * epoxy.twisting_share:.1f} %). Largest shear in a line between stripes under the "
                   f"strings, estimated from above: {1e-3 * pva.stress:.0f} kPa.",
                   "no, not to speak of. Side by side, stripes bend alike and hardly pull on each other; "
                   "cured glue holds hundreds of times that shear. What is lost, below one per cent in "
                   "bending, is glue taking up room.",
                   "high",
                   "glue moduli and strength are from memory, for cured glue and quick loads; PVA creeps "
                   "under lasting load and in warmth")


def carbon_stops_movement() -> Verdict:
    """Do carbon bars stop seasonal movement?"""
    found = [straight(equal_stripes(7).changed(bars=bars), MANY) for bars in REINFORCEMENT.values()]
    stiff, spread = ([how(getattr(f, field)) for f in found]
                     for how, field in ((np.median, "stiffness"), (np.std, "relief_change")))
    gain, wider = ([written(100 * (value / values[0] - 1), 0, sign=True) for value in values[1:]]
                   for values in (stiff, spread))
    plain, shallow, deep = (written(1e3 * float(np.median(f.relief_change)), sign=True) for f in found)
    return Verdict("carbon bars stop seasonal movement.",
                   f"seven maple stripes from seven trees. Two shallow bars: stiffness {gain[0]} %, spread "
                   f"of the seasonal relief change {wider[0]} %, its middle moved from {plain} to {shallow} "
                   f"mm. Two deep bars: {gain[1]} %, {wider[1]} %, to {deep} mm.",
                   "no. Bars stiffen, a few per cent near the fretboard and more when deep, but the wood "
                   "goes on swelling. The bars do not swell, so they add a bow of their own, one way when "
                   "shallow, the other way when deep.",
                   "high",
                   "bar modulus from memory, 115 to 150 GPa")
