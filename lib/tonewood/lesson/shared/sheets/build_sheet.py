"""The build sheet: what to saw, plane, mark, clamp, slot and measure for a design, with blanks for what was
found."""

from __future__ import annotations

from itertools import groupby
from typing import Any

import numpy as np

from tonewood.brief.checkpoints import Checkpoint, checkpoints
from tonewood.brief.cut_list import Allowances, CutList, Piece, cut_list
from tonewood.constants import INCH
from tonewood.draws import written, written_band, written_inches
from tonewood.lesson.shared.sheets import paper
from tonewood.lesson.shared.sheets.client_sheet import woods_of
from tonewood.lesson.shared.sheets.drawing import blank_drawing
from tonewood.lesson.shared.sheets.facts import TARGET, facts
from tonewood.lesson.shared.shop import truss_rod
from tonewood.lesson.shared.signs import drawing
from tonewood.neck.design import Design
from tonewood.neck.design_file import SIGNS
from tonewood.panel import units
from tonewood.panel.page import Shown, bullets, table
from tonewood.wood.facts import general_cautions, rule
from tonewood.wood.species import species

LONG = 0.1
"""From this length on (m) a size is told in whole millimetres, and without what rounding to 1/64 in adds."""
BOARD_FOOT = 144 * INCH**3
"""m3, by definition: a board one foot square and one inch thick."""
ALLOWED = {"kerf": "each saw cut", "planing": "off each face", "glue": "each glue line",
           "ends": "off each end", "beyond_nut": "beyond the nut", "beyond_board": "beyond the last fret",
           "beyond_bridge": "beyond the bridge", "heel": "deeper for the heel"}


def sized(metres: float, system: str = units.METRIC) -> str:
    """A size to saw by: 21.6 mm, 932 mm, or 27/32 in (+0.006), in brackets what rounding adds, inches."""
    if system == units.METRIC:
        return f"{written(1e3 * metres, 0 if metres >= LONG else 1)} mm"
    if 0 < metres < INCH / 64:
        return f"{written(metres / INCH, 3)} in"
    text, error = written_inches(metres)
    return text if metres >= LONG or error == 0 else f"{text} ({written(error / INCH, 3, sign=True)})"


def volume(cubic: float, system: str = units.METRIC) -> str:
    """A volume of wood: 1.62 dm³, 0.69 bd ft (board feet)."""
    if system == units.METRIC:
        return f"{written(1e3 * cubic, 2)} dm³"
    return f"{written(cubic / BOARD_FOOT, 2)} bd ft"


def expected(point: Checkpoint, system: str = units.METRIC) -> str:
    """What to find at a checkpoint: the middle and the band, and the aim."""
    inch = {"mm": ("in", 1), "g": ("oz", 1)}
    unit, more = inch.get(point.unit, (point.unit, 0)) if system == units.INCH else (point.unit, 0)

    def read(value: float) -> float:
        return float(units.convert(value, point.unit, unit)) if unit != point.unit else float(value)

    three, decimals = [read(value) for value in point.band], point.decimals + more
    middle, _, band = written_band(three, decimals).partition(" ")
    aim = f"{middle} {unit}" if point.aim is None else f"aim {written(read(point.aim), decimals)} {unit}"
    return aim if three[0] == three[2] else f"{aim} {band}"


def _degrees(angle: float) -> str:
    return f"{written(float(np.degrees(angle)), 1)}°".replace(".0°", "°")


def _grain(piece: Piece) -> str:
    return " / ".join(map(_degrees, (piece.ring_angle, piece.run_out, piece.slope)))


def _cut_part(cut: CutList, system: str) -> str:
    """Every stripe: how it lies, and its sizes."""
    def told(*sizes: float) -> str:
        return " × ".join(sized(size, system) for size in sizes)

    rows = [(f"{p.number}", species(p.wood).name, "up" if p.face_up else "down",
             "head" if p.to_head else "body", _grain(p), told(p.sawn.width), told(p.planed.width))
            for p in cut.stripes]
    one, several = cut.stripes[0], len(cut.fretboard) > 1
    for i, top in enumerate(cut.fretboard, 1):
        veneer = top.sawn.depth == top.planed.depth
        rows.append((f"fretboard, layer {i} from the neck" if several else "fretboard",
                     species(top.wood).name, "up", "head", _grain(top),
                     f"{told(top.sawn.depth)} thick" + ", as bought" * veneer,
                     f"{told(top.planed.depth)} thick"))
    fretboard = "No fretboard: the frets sit in the neck. " if not cut.fretboard else (
        f"Fretboard{', every layer' * several}: saw {told(top.sawn.length, top.sawn.width)}, to become "
        f"{told(top.planed.length, top.planed.width)}. ")
    leaning = "" if not (any(cut.design.leans) or any(cut.design.tapers)) else (
        "Glue lines lean or taper: widths are those under the fretboard at the nut; saw each stripe wider by "
        f"what its lines move over its depth and length ({_moved(cut.design)}). ")
    rounding = "" if system == units.METRIC else (
        " Fractions are rounded to 1/64 in; in brackets what that adds, in inches.")
    head = ("stripe", "wood", "marked face", "head mark to", "rings / run-out / slope", "saw to", "plane to")
    return paper.part("Saw, plane, turn", table(
        head, rows,
        f"All stripes: saw {told(one.sawn.length)} long and {told(one.sawn.depth)} deep, to become "
        f"{told(one.planed.length)} and {told(one.planed.depth)}; the depth is planed after glue-up. "
        f"{fretboard}{leaning}Angles as sawn.{rounding}", wrap="16em").html, _signs_part(cut.design))


def _signs_part(design: Design) -> str:
    """What the signs of the printed angles mean: those of the grain, and of glue lines that lean or taper."""
    leaning = any(design.leans) or any(design.tapers)
    return "<div class='row'>" + "".join(
        paper.picture(drawing(name).replace("currentColor", "black"), f"{name} above 0, drawn", 31,
                      f"{name}: {words}") for name, words in SIGNS.items()
        if leaning or not name.startswith("line")) + "</div>"


def _moved(design: Design) -> str:
    """How each glue line between stripes leans and tapers, in words."""
    pairs = [*(design.leans or [0.0] * (len(design.stripes) - 1))], [
        *(design.tapers or [0.0] * (len(design.stripes) - 1))]
    return "; ".join(f"line {i}: lower end {_degrees(lean)} to the treble, {_degrees(taper)} to the treble "
                     "towards the body" for i, (lean, taper) in enumerate(zip(*pairs, strict=True), 1))


def _allowances_part(cut: CutList, system: str) -> str:
    """What was allowed for, and on what it rests."""
    def told(metres: float) -> str:
        return f"{written(1e3 * metres, None)} mm" if system == units.METRIC else sized(metres, system)

    sizes = cut.allowances.reasons(cut.design.joint)
    every = "; ".join(f"{ALLOWED[name]} {told(size)}" for name, (size, _) in sizes.items())
    return paper.words(f"Allowed for (common practice, no source, unless you gave your own): {every}. A "
                       "stripe of the design runs from the middle of one glue line to the middle of the "
                       "next.", small=True)


def _marks_part(cut: CutList) -> str:
    """How the stripes lie in the blank, and the order of clamping."""
    svg, alt, wide = blank_drawing(cut)
    steps = [f"Before sawing, mark on every board the face that is to be up and the end at the head; number "
             f"the stripes from the bass side, 1 to {len(cut.stripes)}."]
    for k, group in enumerate(cut.clamping):
        steps.append(f"Glue-up {k + 1}: {'add ' * (k > 0)}{', '.join(map(str, group))}.")
    steps.append("A dry run first; pads under the clamps, the press even on both sides; true the blank when "
                 "the wood has given the glue's water back (common practice).")
    caption = ("The glued blank seen from the body, 1:1 when printed at 100 %. Triangle: the face marked up; "
               "filled: head mark at the head, open: at the body.")
    return paper.part("Marks and clamping order", "<div class='row'>", paper.picture(svg, alt, wide, caption),
                      bullets(steps).html, "</div>")


def _boards_part(cut: CutList, system: str) -> str:
    """The boards to have, their volume and waste."""
    rows = []
    for b in cut.boards:
        use = b.use if b.use == "fretboard" else f"{b.count} stripe{'s' * (b.count > 1)}"
        rows.append((species(b.wood).name, use,
                     " × ".join(sized(side, system).split(" (")[0] for side in vars(b.size).values()),
                     volume(b.size.volume, system),
                     " + ".join(written(100 * v / b.size.volume, 0) for v in (b.kerf, b.planing, b.ends)),
                     f"{written(100 * b.waste, 0)} %"))
    finished = sum(b.finished for b in cut.boards)
    rows.append(("all boards", "", "", volume(cut.wood_volume, system), "",
                 f"{written(100 * (1 - finished / cut.wood_volume), 0)} %"))
    return paper.part("Boards to have", table(
        ("wood", "for", "length × width × thickness", "volume", "kerf + planing + ends, %", "waste"), rows,
        "Stripes of one wood side by side out of one board as thick as the blank is deep, sawn as the rings "
        "ask. No defects to saw around are counted: buy more. What shaping takes off the blank is not "
        "counted.", wrap="24em").html)


def _slots_part(cut: CutList, system: str) -> str:
    """Slots for rod and bars, or nothing."""
    rows = []
    for slot in cut.slots:
        side = "treble" if slot.offset > 0 else "bass"
        rows.append((slot.name, f"middle {sized(abs(slot.offset), system)} to the {side}" if slot.offset
                     else "on the centre line", sized(slot.width, system), sized(slot.depth, system),
                     f"{sized(slot.start, system)} to {sized(slot.end, system)}"))
    back = any(slot.below and slot.name.startswith("channel") for slot in cut.slots)
    closing = "" if not back else (
        f"The channel is cut from the back, its roof {sized(cut.slots[0].below, system)} below the top face, "
        "the rod laid in, and closed with a glued strip that is shaped with the back. ")
    return "" if not rows else paper.part("Slots" + ", cut from the top of the blank" * (not back), table(
        ("slot", "where", "wide", "deep", "from the nut"), rows,
        f"Depth from the {'face under the fretboard' if cut.fretboard else 'top face'}. {closing}Measure "
        "the rod and bars in hand before cutting; the slot of a bar is wider by a glue line on either side.",
        wrap="18em").html)


def _measure_part(points: tuple[Checkpoint, ...], system: str) -> str:
    """What to measure on the way, with blanks."""
    rows: list[tuple[Any, ...]] = []
    for step, group in groupby(points, lambda point: point.step):
        rows.append((step,))
        for point in group:
            told = (units.text(value, unit, 0 if value >= 1 else 2, system) for value, unit in point.sizes)
            rows.append((f"{point.what.format(*told)} [{point.kind}]", expected(point, system),
                         Shown(paper.blank(point.kind), "")))
    low, high = rule("workshop_humidity").limits
    return paper.part("Measure on the way", table(
        ("measure", "expected (90 of 100 readings)", "found"), rows,
        "Expected: estimated by the bench's own model of each reading, for boards not yet measured, with "
        "what building and reading add; aims are common practice. Left out: fret tangs wider than their "
        f"slots. Glue and true at {100 * low:.0f} to {100 * high:.0f} % humidity (common practice). Keep "
        "what you found in the log under the name behind each line: it narrows the bands of the next neck "
        "of these boards.", wrap="24em").html)


def _cautions_part(design: Design) -> str:
    """Dust, skin and working of exactly these woods, then those of all wood dust."""
    told = [f"{wood.name}, {caution.kind}: {caution.told()}" for wood in woods_of(design)
            for caution in wood.cautions if caution.kind != "trade"]
    told += [caution.told() for caution in general_cautions() if caution.kind == "dust"]
    return paper.part("Cautions", bullets([
        "Thin stripes at the saw: push block and riving knife, never fingers (common practice).",
        *(["Carbon bars: wet the dust, mask and gloves (common practice)."] if design.bars else []),
        *told]).html)


def build_sheet(design: Design, allowances: Allowances | None = None, size: str = "A4",
                system: str = units.METRIC, workshop: str = "", date: str = "") -> paper.Sheet:
    """The build sheet of a design. allowances: own ones; size: a name in paper.PAPERS; system: of units.
    Raises ValueError."""
    found, cut = facts(design), cut_list(design, allowances)
    rod = None if design.rod == "none" else truss_rod(found.neck, design.rod)
    points = checkpoints(cut, rod, TARGET)
    line = filter(None, (workshop, date or "date ____________", f"joint: {design.joint}",
                         f"rod: {design.rod}"))
    first = (paper.heading("Build sheet", design.name, " · ".join(line)), _cut_part(cut, system),
             _allowances_part(cut, system), _marks_part(cut), _boards_part(cut, system))
    second = (paper.running_head(f"{design.name} · build sheet, page 2"), _slots_part(cut, system),
              _measure_part(points, system), _cautions_part(design))
    return paper.Sheet(title=f"{design.name}: build sheet", pages=("".join(first), "".join(second)),
                       paper=size)
