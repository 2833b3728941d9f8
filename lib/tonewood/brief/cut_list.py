"""What to saw for a design: stripes and fretboard as sawn, planed and glued, the boards they come from and
what is lost on the way, which way each stripe lies, in what order it is clamped, and the slots.

All sizes in m, volumes in m3. Derived by plain geometry from the design and from allowances, which are common
practice (rows of data/rules.csv) unless given. A design's stripe runs from the middle of one glue line to the
middle of the next, so a planed stripe is thinner than the design's by half of each glue line it has.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from tonewood import checks
from tonewood.neck.design import Design
from tonewood.neck.layup.half_turns import TURNS
from tonewood.wood.facts import rule

VENEER = 0.0015
"""A layer up to this thickness (m) is bought as veneer, at its thickness (common practice, no source)."""


def _usual(name: str) -> Any:
    """A field that is the rule of that name unless given."""
    return field(default_factory=lambda: rule(name).value)


@dataclass(frozen=True, kw_only=True)
class Allowances:
    """What the way from board to blank takes, m. kerf: one saw cut; planing: off each sawn face; glue: one
    glue line when cured; ends: cut off at each end. beyond_nut: length of the blank for the head;
    beyond_board (of fretboard and neck) beyond the last fret; beyond_bridge: of a neck-through blank; heel:
    how much deeper the blank is than the wood under the fretboard at the last fret, None: by the kind of
    joint. Raises ValueError.
    """

    kerf: float = _usual("saw_kerf")
    planing: float = _usual("planing_each_face")
    glue: float = _usual("glue_line_thickness")
    ends: float = _usual("end_trim")
    beyond_nut: float = _usual("blank_beyond_nut")
    beyond_board: float = _usual("board_beyond_last_fret")
    beyond_bridge: float = _usual("blank_beyond_bridge")
    heel: float | None = None

    def __post_init__(self) -> None:
        for name, high in (("kerf", 0.01), ("planing", 0.01), ("glue", 0.002), ("ends", 0.2),
                           ("beyond_nut", 0.5), ("beyond_board", 0.2), ("beyond_bridge", 0.5), ("heel", 0.1)):
            if getattr(self, name) is not None:
                checks.length(f"allowance, {name.replace('_', ' ')}", getattr(self, name), 0.0, high,
                              open_low=False)

    def reasons(self, joint: str) -> dict[str, tuple[float, str]]:
        """{allowance: (m, what it is for)} of a design with that kind of joint (neck.load.joint.JOINTS); the
        reasons are those of data/rules.csv.

        >>> Allowances(kerf=0.001).reasons("set")["kerf"][0]
        0.001
        """
        named = {"kerf": "saw_kerf", "planing": "planing_each_face", "glue": "glue_line_thickness",
                 "ends": "end_trim", "beyond_nut": "blank_beyond_nut",
                 "beyond_board": "board_beyond_last_fret", "beyond_bridge": "blank_beyond_bridge",
                 "heel": _heel(joint)}
        if joint != "neck-through":
            del named["beyond_bridge"]
        return {name: (rule(row).value if getattr(self, name) is None else getattr(self, name),
        rule(row).note) for name, row in named.items()}


def _heel(joint: str) -> str:
    return f"heel_{joint.replace('-', '_')}"


@dataclass(frozen=True)
class Size:
    """A straight piece, m: length along the neck, width across it, depth from front to back."""

    length: float
    width: float
    depth: float

    @property
    def volume(self) -> float:
        """Volume, m3."""
        return self.length * self.width * self.depth


@dataclass(frozen=True, kw_only=True)
class Piece:
    """One stripe, number 1 outermost on the bass side, or a layer of the fretboard (number 0). wood: key of a
    species; sawn: Size off the saw; planed: ready for glue; lines: how many of its sides are glued to its
    like. turn: the half turn it is given (neck.layup.half_turns.TURNS); face_up, to_head: whether the side
    marked *up* on the board looks to the strings, and the end marked *head* lies at the head. ring_angle,
    run_out, slope (rad) as sawn."""

    number: int
    wood: str
    sawn: Size
    planed: Size
    lines: int
    turn: str
    face_up: bool
    to_head: bool
    ring_angle: float
    run_out: float
    slope: float


@dataclass(frozen=True, kw_only=True)
class BoardNeed:
    """The board that stripes of one wood, or a layer of the fretboard, are ripped from, side by side, one
    saw cut each. use: "stripes" or "fretboard"; count: of pieces; size: of the board; volumes in m3:
    finished, and what goes as kerf, in planing and at the ends; together they are the board's."""

    wood: str
    use: str
    count: int
    size: Size
    finished: float
    kerf: float
    planing: float
    ends: float

    @property
    def waste(self) -> float:
        """Share of the board (0 to 1) that does not reach the blank."""
        return 1.0 - self.finished / self.size.volume


@dataclass(frozen=True, kw_only=True)
class Slot:
    """A slot cut from the top of the blank before the fretboard is on, or (the channel of the rod, `below`
    above 0) from the back and closed with a strip: its middle at y = offset (m, treble
    positive), width, depth below the glue line, from start to end (m from the nut); what goes in, and how
    deep below the glue line its top lies."""

    name: str
    offset: float
    width: float
    depth: float
    start: float
    end: float
    below: float = 0.0


@dataclass(frozen=True, kw_only=True)
class CutList:
    """All that is sawn and cut for one design: blank, the Size of the glued and trued blank; stripes from
    bass to treble and the layers of the fretboard from the neck upwards; boards; clamping: groups of stripe
    numbers in the order they are glued, each added on both sides of what lies clamped; slots."""

    design: Design
    allowances: Allowances
    blank: Size
    stripes: tuple[Piece, ...]
    fretboard: tuple[Piece, ...]
    boards: tuple[BoardNeed, ...]
    clamping: tuple[tuple[int, ...], ...]
    slots: tuple[Slot, ...]

    @property
    def wood_volume(self) -> float:
        """All boards, m3."""
        return sum(board.size.volume for board in self.boards)


def sawn(planed: Size, allowances: Allowances) -> Size:
    """The Size (m) to saw for a piece that is to be `planed` when it is glued: planing on four faces, both
    ends longer.

    >>> sawn(Size(0.9, 0.017, 0.040), Allowances()).width.__round__(4)
    0.0186
    """
    more = 2 * allowances.planing
    return Size(planed.length + 2 * allowances.ends, planed.width + more, planed.depth + more)


def planed(sawn: Size, allowances: Allowances) -> Size:
    """The Size (m) that a sawn piece has when planed and trimmed: what `sawn` undoes. Raises ValueError where
    nothing would be left.

    >>> planed(sawn(Size(0.9, 0.017, 0.040), Allowances()), Allowances()).length.__round__(6)
    0.9
    """
    less = 2 * allowances.planing
    left = (sawn.length - 2 * allowances.ends, sawn.width - less, sawn.depth - less)
    for name, value in zip(("length", "width", "depth"), left, strict=True):
        checks.length(f"{name} left after planing", value)
    return Size(*left)


def blank_size(design: Design, allowances: Allowances | None = None) -> Size:
    """The Size (m) of the blank when glued and trued, before it is shaped: from the end of the head to the
    end of the neck, or of the body for a neck-through. Raises ValueError.

    >>> from tonewood.neck.design import example_design
    >>> blank_size(example_design()).length.__round__(3)
    0.928
    """
    a = allowances or Allowances()
    neck = design.neck()
    end = neck.end + a.beyond_board
    if design.joint == "neck-through":
        end = design.scale_length + a.beyond_bridge
    heel = rule(_heel(design.joint)).value if a.heel is None else a.heel
    return Size(a.beyond_nut + end, neck.layup.width, float(neck.back.depth(neck.end)) + heel)


def clamping_order(count: int, lines: int = 2) -> tuple[tuple[int, ...], ...]:
    """Groups of stripe numbers (1 outermost on the bass side) in the order they are glued, from the middle
    outwards, the first group by itself and each other one added half on either side: the press stays even and
    no more than `lines` glue lines (an even number) are open at once. Common practice. Raises ValueError.

    >>> clamping_order(7), clamping_order(4)
    (((3, 4, 5), (2, 6), (1, 7)), ((2, 3), (1, 4)))
    """
    count = checks.whole("number of stripes", count, 1, 99)
    side = checks.whole("glue lines at once", lines, 2, 98) // 2
    first = min(count, 2 * side + 1 if count % 2 else 2 * side)
    left = (count - first) // 2
    groups = [tuple(range(left + 1, left + first + 1))]
    while left > 0:
        outer = max(left - side, 0)
        groups.append((*range(outer + 1, left + 1), *range(count - left + 1, count - outer + 1)))
        left = outer
    return tuple(groups)


def slots_of(design: Design, allowances: Allowances | None = None) -> tuple[Slot, ...]:
    """The rod's channel and the slots of the bars from bass to treble (Slot, m); a bar's slot is wider than
    the bar by a glue line on each side.

    >>> from tonewood.neck.design import example_design
    >>> [(slot.name, slot.depth) for slot in slots_of(example_design())]
    [('channel of the rod', 0.01)]
    """
    a = allowances or Allowances()
    neck, cut = design.neck(), []
    if design.channel is not None:
        c = design.channel
        cut.append(Slot(name="channel of the rod", offset=0.0, width=c.width, depth=c.depth, start=c.start,
                        end=min(c.end, neck.end), below=c.below))
    for i, bar in enumerate(sorted(design.bars, key=lambda bar: bar.offset)):
        cut.append(Slot(name=f"slot of bar {i + 1}", offset=bar.offset, width=bar.width + 2 * a.glue,
                        depth=bar.below + bar.depth, start=0.0, end=neck.end, below=bar.below))
    return tuple(cut)


def _need(pieces: list[Piece], use: str, a: Allowances) -> BoardNeed:
    """The board for pieces of one wood."""
    long, deep = max(p.sawn.length for p in pieces), max(p.sawn.depth for p in pieces)
    size = Size(long, sum(p.sawn.width + a.kerf for p in pieces), deep)
    finished = sum(p.planed.volume for p in pieces)
    kerf = a.kerf * len(pieces) * long * deep
    ends = sum(p.sawn.width * p.sawn.depth * 2 * a.ends for p in pieces)
    planing = sum((p.sawn.width * p.sawn.depth - p.planed.width * p.planed.depth) * p.planed.length
                  for p in pieces)
    return BoardNeed(wood=pieces[0].wood, use=use, count=len(pieces), size=size, finished=finished, kerf=kerf,
                     planing=planing, ends=ends)


def cut_list(design: Design, allowances: Allowances | None = None) -> CutList:
    """The CutList of a design (sizes in m). Raises ValueError where a stripe would be all glue, or as the
    parts refuse.

    >>> from tonewood.neck.design import example_design
    >>> [round(1e3 * piece.sawn.width, 2) for piece in cut_list(example_design()).stripes]
    [21.55, 21.5, 21.55]
    """
    a = allowances or Allowances()
    blank, count = blank_size(design, a), len(design.stripes)
    pieces = []
    for i, stripe in enumerate(design.stripes):
        sides = (i > 0) + (i < count - 1)
        left = checks.length(f"stripe {i + 1} without its glue", stripe.width - a.glue * sides / 2)
        size = Size(blank.length, float(left), blank.depth)
        signs = TURNS[stripe.turn]
        pieces.append(Piece(number=i + 1, wood=stripe.wood, sawn=sawn(size, a), planed=size, lines=sides,
                            turn=stripe.turn, face_up=signs[2] > 0, to_head=signs[0] > 0,
                            ring_angle=stripe.ring_angle, run_out=stripe.run_out, slope=stripe.slope))
    neck, layers = design.neck(), design.fretboard.layers
    over = neck.end + a.beyond_board
    fretboard = []
    for i, layer in enumerate(layers):
        face = Size(over, float(neck.outline.width(over)), layer.thickness)
        cut = sawn(face, a)
        if layer.thickness <= VENEER:                           # bought at its thickness, not sawn to it
            cut = Size(cut.length, cut.width, layer.thickness)
        fretboard.append(Piece(number=0, wood=layer.wood, sawn=cut, planed=face, turn="as sawn",
                               lines=(i > 0) + (i < len(layers) - 1), face_up=True, to_head=True,
                               ring_angle=layer.ring_angle, run_out=layer.run_out, slope=layer.slope))
    woods = dict.fromkeys(piece.wood for piece in pieces)
    needs = [_need([p for p in pieces if p.wood == wood], "stripes", a) for wood in woods]
    boards = (*needs, *(_need([layer], "fretboard", a) for layer in fretboard))
    return CutList(design=design, allowances=a, blank=blank, stripes=tuple(pieces), boards=boards,
                   fretboard=tuple(fretboard), clamping=clamping_order(count),
                   slots=slots_of(design, a))
