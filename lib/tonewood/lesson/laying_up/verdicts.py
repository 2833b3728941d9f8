"""Claims about laminated necks, each with the calculation behind it."""

from dataclasses import replace

import numpy as np

from tonewood.lesson.shared.shop import REINFORCEMENT
from tonewood.lesson.laying_up.figure import MAPLE, NUMBER_12, judged, possible, sawn, strings
from tonewood.lesson.laying_up.by_hand import accent_by_hand, drawn, equal_stripes, misread, scatter, single
from tonewood.panel.verdict import Verdict
from tonewood.neck.layup.stripe_order import arranged
from tonewood.neck.load.glue_lines import glue_lines

DRAWS = 4000
COUNTS = (1, 2, 3, 5, 7, 9, 11)


def within(values):
    """Size (same unit) that 90 of 100 draws stay below, whichever way they go."""
    return float(np.percentile(np.abs(values), 90))


def _independent(count, draws=DRAWS):
    return judged(possible(equal_stripes(count), "as sawn", "different trees", draws))


def more_stripes_stiffer():
    """Do more stripes of one wood make a stiffer neck? Returns a Verdict."""
    found = [(n, single(**MAPLE, stripes=n).stiffness) for n in COUNTS]
    one, seven, same = (drawn(**MAPLE, stripes=n, origin=o).stripes_stiffness for n, o in ((1, "different trees"), (7, "different trees"), (7, "same board")))
    return Verdict("more laminations make a stiffer neck.",
                   "middle stiffness, all hard maple: " + ", ".join(f"{n} {'piece' if n == 1 else 'stripes'} {v:.1f}" for n, v in found) + " N·m². Scatter of the stripes alone: "
                   f"one piece {100 * scatter(one):.1f} %, seven stripes from seven trees {100 * scatter(seven):.1f} %, seven from one board {100 * scatter(same):.1f} %.",
                   "no. The mean stays where it is; what shrinks is the scatter, by the square root of the effective number, and only if the boards are independent.",
                   "high", "how alike stripes of one board are is a judgement")


def thin_stripe_stiffens():
    """Does a thin dark stripe stiffen the neck? Returns a Verdict."""
    a = accent_by_hand()
    one_piece = scatter(drawn(**MAPLE, stripes=1).stiffness)
    return Verdict("a thin dark stripe stiffens the neck.",
                   f"two wenge accents, {a.accents:.0f} of {a.width:.0f} mm together, {100 * (a.ratio - 1):.0f} % stiffer than the maple they replace: the stripes alone gain "
                   f"{100 * a.stripes_alone:.1f} %, the whole neck {100 * a.whole:.1f} %. Two one-piece maple necks differ by more: scatter {100 * one_piece:.0f} %.",
                   "a little: by its share of the width times how much stiffer it is. A per cent or two is far less than the next maple board brings.",
                   "high", "printed sources for wenge differ by about a tenth")


def many_pieces_do_not_warp():
    """Do necks of many pieces stay straight? Returns a Verdict."""
    slanted = {name: judged(arranged(equal_stripes(2, **grain), name)) for name, grain in (("every second about z", {"run_out": 3.0}), ("every second about y", {"run_out": 3.0}))}
    side_two, side_pair = (within(1e3 * judged(possible(equal_stripes(2), name, "different trees", DRAWS)).side_bow) for name in ("as sawn", "mirrored pairs"))
    one, seven = within(1e3 * _independent(1).relief_change), within(1e3 * _independent(7).relief_change)
    wrong, right = (abs(1e3 * slanted[f"every second about {axis}"].twist_across) for axis in "zy")
    return Verdict("a neck of many pieces does not warp.",
                   f"two stripes with 3° of run-out, one turned end for end on the bench: twist {wrong:.2f} mm across the last fret from shop to home; rolled over and end for end: {right:.2f} mm. "
                   f"Side bow of two stripes from two trees stays within {side_two:.3f} mm in 90 of 100 necks, of a pair from one board within {side_pair:.3f} mm; one piece has none. "
                   f"Relief moves by up to {one:.2f} mm in one piece, {seven:.2f} mm in seven. Seven stripes meant to be straight but each off by about 1°: twist up to {misread().twist:.2f} mm.",
                   "only if turned right. Mirror images cancel twist, and pairs from one board about half of the side bow, which is small in sound wood anyway. Turned the handy way, end "
                   "for end on the bench, two halves twist a neck that one piece would have kept straight. Forward bow is untouched by any turning.",
                   "high", "that is the mechanism; the size is good to about a third, like the swelling and shear constants of a single board")


def seven_or_nine_are_best():
    """What the numbers say about seven or nine pieces. Returns a Verdict."""
    found = {n: _independent(n) for n in COUNTS}
    alone = ", ".join(f"{n}: {100 * scatter(f.stripes_stiffness):.1f}" for n, f in found.items())
    whole = ", ".join(f"{n}: {100 * scatter(f.stiffness):.1f}" for n, f in found.items())
    return Verdict("seven or nine pieces are the right number.",
                   f"scatter in % for equal stripes of hard maple from as many trees. Stripes alone {alone}. With the fretboard {whole}.",
                   "nothing singles out seven or nine. From one to five the scatter of the stripes halves; each further pair takes off less than a point, and in the whole neck hardly "
                   "anything, because the one fretboard scatters on its own. Choose the number for looks and for the wood you have; three to five do most of the work.",
                   "high", "fret slots taken half bearing on every neck; they scatter too")


def less_adjusting():
    """Does a neck of many stripes need less seasonal adjusting? Returns a Verdict."""
    one, seven, board = (within(1e3 * f.relief_change) for f in (_independent(1), _independent(7), judged(_only_fretboard_varies(7))))
    same = within(1e3 * judged(possible(equal_stripes(7), "as sawn", "same board", DRAWS)).relief_change)
    return Verdict("a neck of many stripes needs less seasonal adjusting than one piece.",
                   f"relief change from shop to home, within which 90 of 100 necks stay: one piece {one:.3f} mm, seven equal stripes from seven trees {seven:.3f} mm, seven from one board "
                   f"{same:.3f} mm. The fretboard's own share, which no number of stripes removes: {board:.3f} mm.",
                   f"yes, if the stripes are independent, and by about {5 * round(20 * (1 - seven / one)):.0f} %: they even out how much the neck grows along the grain. "
                   "The fretboard, one board, is not averaged and keeps most of the movement. From one board most of the gain is gone.",
                   "medium", "lengthwise swelling is taken as anywhere in the range printed for all woods; reaction wood moves ten times as much")


def _only_fretboard_varies(count):
    neck = equal_stripes(count)
    return neck.with_pieces([*neck.pieces[:-1], possible(neck, "as sawn", "different trees", DRAWS).pieces[-1]])


def glue_lines_rob():
    """Do glue lines rob stiffness? Returns a Verdict."""
    neck = sawn(**NUMBER_12)
    pva, epoxy = (glue_lines(neck, strings(), glue) for glue in ("pva_glue", "epoxy"))
    return Verdict("glue lines rob stiffness.",
                   f"No. 12, {pva.lines} lines of 0.1 mm (thickness: common practice, no source): in bending {1e6 * pva.bending_share:.0f} millionths of the energy sit in white glue "
                   f"({1e6 * epoxy.bending_share:.0f} in epoxy). The glue stands where wood could be: {100 * pva.width_loss:.1f} % of bending stiffness ({100 * epoxy.width_loss:.1f} %). Twist grows by at "
                   f"most {100 * pva.twisting_share:.1f} % ({100 * epoxy.twisting_share:.1f} %). Largest shear in a line between stripes under the strings, estimated from above: {1e-3 * pva.stress:.0f} kPa.",
                   "no, not to speak of. Side by side, stripes bend alike and hardly pull on each other; cured glue holds hundreds of times that shear. "
                   "What is lost, below one per cent in bending, is glue taking up room.",
                   "high", "glue moduli and strength are from memory, for cured glue and quick loads; PVA creeps under lasting load and in warmth")


def carbon_stops_movement():
    """Do carbon bars stop seasonal movement? Returns a Verdict."""
    plain = possible(equal_stripes(7), "as sawn", "different trees", DRAWS)
    names = list(REINFORCEMENT)
    found = [judged(replace(plain, bars=REINFORCEMENT[name])) for name in names]
    gain = [100 * (np.median(f.stiffness) / np.median(found[0].stiffness) - 1) for f in found]
    spread = [100 * (np.std(f.relief_change) / np.std(found[0].relief_change) - 1) for f in found]
    offset = [1e3 * float(np.median(f.relief_change)) for f in found]
    return Verdict("carbon bars stop seasonal movement.",
                   f"seven maple stripes from seven trees. Two shallow bars: stiffness {gain[1]:+.0f} %, spread of the seasonal relief change {spread[1]:+.0f} %, its middle moved from {offset[0]:+.2f} to "
                   f"{offset[1]:+.2f} mm. Two deep bars: {gain[2]:+.0f} %, {spread[2]:+.0f} %, to {offset[2]:+.2f} mm.",
                   "no. Bars stiffen, a few per cent near the fretboard and more when deep, but the wood goes on swelling. The bars do not swell, so they add a bow of their own, one way when "
                   "shallow, the other way when deep.",
                   "high", "bar modulus from memory, 115 to 150 GPa")

