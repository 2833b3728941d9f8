"""What the builder decides: stripes, outline, back, fretboard, channel, bars. Sizes in metres, plain data, no mechanics.

Coordinates: x from the nut towards the body, y from bass to treble with 0 on the centre line, z up with 0 on the glue line
between neck and fretboard (wood of the neck below, fretboard above).
"""

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from tonewood import checks
from tonewood.wood.board import Board
from tonewood.wood.spread import draw_boards

BACK_EXPONENTS = {"C": 2.0, "D": 2.8, "V": 1.0}


@dataclass(frozen=True)
class Stripe:
    """One parallel-sided piece of the blank: a Board and its width (m)."""

    board: Board
    width: float

    def __post_init__(self):
        checks.number("stripe width", self.width, 0.0, 0.2, "m", _metres, open_low=True)


@dataclass(frozen=True)
class Layup:
    """Stripes side by side from bass to treble, glued into one blank. Raises ValueError if there is none."""

    stripes: tuple

    def __post_init__(self):
        object.__setattr__(self, "stripes", tuple(self.stripes))
        if not self.stripes:
            raise ValueError("lay-up: 0 stripes given; accepted: at least 1 stripe")
        checks.draw_count(**{f"stripe {i + 1}": s.board.draws and np.empty(s.board.draws) for i, s in enumerate(self.stripes)})

    @property
    def width(self):
        """Width of the blank, m."""
        return float(sum(s.width for s in self.stripes))

    @property
    def edges(self):
        """y of the stripe edges (n + 1,), m, centred on the neck."""
        return np.concatenate([[0.0], np.cumsum([s.width for s in self.stripes])]) - self.width / 2


def stripe_widths(count, blank_width=0.060, accent_width=0.002, centre_width=0.010):
    """(role, width in m) of every stripe of a symmetric lay-up from bass to treble: "main" outside, thin "accent"s between, a "centre"
    stripe if the count is odd and above 1. The main stripes share what the others leave.

    Raises ValueError if nothing is left for them or the count is not a whole number of at least 1.
    """
    count = checks.whole("number of stripes", count, 1, 99)
    half = ["main" if i % 2 == 0 else "accent" for i in range(count // 2)]
    roles = half + (["centre" if count > 1 else "main"] if count % 2 else []) + half[::-1]
    fixed = {"accent": accent_width, "centre": centre_width}
    left = blank_width - sum(fixed.get(r, 0.0) for r in roles)
    if left <= 0:
        raise ValueError(f"number of stripes: {count} given; accents of {1e3 * accent_width:g} mm and a centre of "
                         f"{1e3 * centre_width:g} mm leave {1e3 * left:.1f} mm of a {1e3 * blank_width:g} mm blank for the main "
                         "wood; accepted: more than 0 mm. Use fewer or thinner stripes, or a wider blank")
    widths = dict(fixed, main=left / roles.count("main"))
    return tuple((role, widths[role]) for role in roles)


def striped(main, accent, centre, count, blank_width=0.060, accent_width=0.002, centre_width=0.010):
    """A symmetric lay-up of `count` stripes of three Boards: see stripe_widths, which gives the widths (m). Raises ValueError."""
    boards = {"main": main, "accent": accent, "centre": centre}
    return Layup(tuple(Stripe(boards[role], width)
                       for role, width in stripe_widths(count, blank_width, accent_width, centre_width)))


@dataclass(frozen=True)
class Outline:
    """Face view: width at the nut and at `length` from the nut (m), straight between and beyond."""

    nut_width: float = 0.043
    end_width: float = 0.056
    length: float = 0.470

    def __post_init__(self):
        for name in ("nut_width", "end_width"):
            checks.number(name.replace("_", " "), getattr(self, name), 0.0, 0.2, "m", _metres, open_low=True)
        checks.number("outline length", self.length, 0.0, 2.0, "m", _metres, open_low=True)

    def width(self, x):
        """Width (m) at x (m), same shape as x."""
        return self.nut_width + (self.end_width - self.nut_width) * np.asarray(x, dtype=float) / self.length


@dataclass(frozen=True)
class Back:
    """Shape of the back: 'C' (ellipse), 'D' (fuller superellipse), 'V' (triangle), and the depth of wood under the fretboard (m).

    Depth runs straight from the nut to `length`. exponent: of the superellipse |y/a|^p + |z/b|^p = 1, chosen from the shape unless given.
    """

    shape: str = "C"
    depth_nut: float = 0.0145
    depth_end: float = 0.0170
    length: float = 0.470
    exponent: float = None

    def __post_init__(self):
        checks.choice("back shape", self.shape, BACK_EXPONENTS)
        for name in ("depth_nut", "depth_end", "length"):
            checks.number(name.replace("_", " of wood at the "), getattr(self, name), 0.0, 2.0, "m", _metres, open_low=True)
        if self.exponent is None:
            object.__setattr__(self, "exponent", BACK_EXPONENTS[self.shape])
        checks.number("back exponent", self.exponent, 1.0, 20.0)

    def depth(self, x):
        """Depth of wood (m) on the centre line at x (m)."""
        return self.depth_nut + (self.depth_end - self.depth_nut) * np.asarray(x, dtype=float) / self.length

    def surface(self, y, half_width, depth):
        """z of the back (m, negative) at y for a section of that half width and depth (m); arrays broadcast."""
        inside = np.clip(1 - np.abs(np.asarray(y) / half_width) ** self.exponent, 0.0, None)
        return -depth * inside ** (1 / self.exponent)


@dataclass(frozen=True)
class Fretboard:
    """The board on top: wood, mean thickness (m), and its fret slots.

    slot_depth (m): 0 for none. slot_fill: 0 open slots … 1 tangs that bear fully; float or (D,). The true value is not known from
    measurement, so results show its range.
    """

    board: Board
    thickness: float = 0.006
    slot_depth: float = 0.0025
    slot_fill: object = 0.5

    def __post_init__(self):
        checks.number("fretboard thickness", self.thickness, 0.0, 0.05, "m", _metres, open_low=True)
        checks.number("fret slot depth", self.slot_depth, 0.0, self.thickness, "m", _metres)
        object.__setattr__(self, "slot_fill", checks.fraction("slot fill", self.slot_fill))


@dataclass(frozen=True)
class Channel:
    """The truss-rod channel on the centre line: width, depth below the glue line, from `start` to `end` (m), and the rod's mass (kg/m).

    A rod in a loose sleeve adds weight but no bending stiffness.
    """

    width: float = 0.006
    depth: float = 0.010
    start: float = 0.0
    end: float = 0.470
    rod_mass: float = 0.0

    def __post_init__(self):
        for name in ("width", "depth"):
            checks.number(f"rod channel {name}", getattr(self, name), 0.0, 0.1, "m", _metres, open_low=True)
        checks.number("rod channel end", self.end, self.start, 3.0, "m", _metres)
        checks.number("rod mass", self.rod_mass, 0.0, 5.0, "kg/m")


@dataclass(frozen=True)
class Bar:
    """A stiffening bar bonded into a slot from the top: centre at y = offset, width, depth, top at z = -below (m); modulus Pa, density kg/m3.

    Defaults: pultruded carbon, 130 GPa (115 to 150), shear 5 GPa, 1550 kg/m3, loss factor 0.002: from memory, unverified.
    """

    offset: float
    width: float = 0.003
    depth: float = 0.009
    below: float = 0.0
    modulus: float = 130e9
    density: float = 1550.0
    loss: float = 0.002
    shear_modulus: float = 5e9

    def __post_init__(self):
        checks.number("bar offset", self.offset, -0.1, 0.1, "m", _metres)
        for name in ("width", "depth"):
            checks.number(f"bar {name}", getattr(self, name), 0.0, 0.05, "m", _metres, open_low=True)
        checks.number("bar top below the glue line", self.below, 0.0, 0.05, "m", _metres)
        for name, unit in (("modulus", "Pa"), ("density", "kg/m3"), ("shear_modulus", "Pa")):
            checks.number(f"bar {name.replace('_', ' ')}", getattr(self, name), 0.0, None, unit, open_low=True)
        checks.number("bar loss factor", self.loss, 0.0, 1.0, open_high=True)


@dataclass(frozen=True)
class Neck:
    """A whole neck. Raises ValueError if parts do not fit each other or their draws disagree.

    scale_length in m; frets: how many; body_start: x (m) where the body (or the heel) takes over, None for never within the board.
    """

    layup: Layup
    outline: Outline
    back: Back
    fretboard: Fretboard
    channel: Channel = None
    bars: tuple = ()
    scale_length: float = 0.648
    frets: int = 22
    body_start: float = None

    def __post_init__(self):
        object.__setattr__(self, "bars", tuple(self.bars))
        checks.number("scale length", self.scale_length, 0.2, 1.2, "m", _metres)
        if int(checks.number("number of frets", self.frets, 1, 36)) != self.frets:
            raise ValueError(f"number of frets: {self.frets:g} given; accepted: a whole number from 1 to 36")
        widest = float(np.max(self.outline.width([0.0, self.end])))
        if self.layup.width < widest - 1e-9:
            raise ValueError(f"lay-up width: {1e3 * self.layup.width:.1f} mm given; accepted: at least {1e3 * widest:.1f} mm, the widest part of the outline")
        _no_overlap(self)
        checks.draw_count(**{f"piece {i + 1}": b.draws and np.empty(b.draws) for i, b in enumerate(self.pieces)},
                          slot_fill=self.fretboard.slot_fill)

    @property
    def end(self):
        """x (m) of the last fret."""
        return float(self.fret(self.frets))

    def fret(self, n):
        """Distance (m) of fret n (number or array; 0 is the nut) from the nut: L (1 - 2^(-n/12)), equal temperament."""
        n = np.asarray(n, dtype=float)
        if np.any((n < 0) | (n > self.frets)):
            raise ValueError(f"fret: {np.max(n):g} given; accepted: 0 to {self.frets}")
        return self.scale_length * (1 - 2 ** (-n / 12))

    @property
    def pieces(self):
        """Every board: the stripes from bass to treble, then the fretboard."""
        return tuple(s.board for s in self.layup.stripes) + (self.fretboard.board,)

    @cached_property
    def draws(self):
        """Number of draws the boards (or the slot fill) carry, or None for a single neck."""
        return checks.draw_count(**{f"piece {i}": b.draws and np.empty(b.draws) for i, b in enumerate(self.pieces)},
                                 slot_fill=self.fretboard.slot_fill)

    @cached_property
    def geometry(self):
        """All that shapes the section, hashable; boards left out."""
        return (tuple(s.width for s in self.layup.stripes), self.outline, self.back, self.fretboard.thickness, self.fretboard.slot_depth,
                self.channel, self.bars)

    def stations(self, count=40):
        """x (m) of `count` stations from nut to last fret."""
        return np.linspace(0.0, self.end, count)

    def with_pieces(self, boards):
        """The same neck with other boards, in the order of `pieces`. Raises ValueError if the number differs."""
        boards = tuple(boards)
        if len(boards) != len(self.pieces):
            raise ValueError(f"boards: {len(boards)} given; accepted: {len(self.pieces)} (stripes and fretboard)")
        stripes = tuple(replace(s, board=b) for s, b in zip(self.layup.stripes, boards))
        return replace(self, layup=Layup(stripes), fretboard=replace(self.fretboard, board=boards[-1]))


def spread(neck, draws=1000, seed=0, kinship="different trees"):
    """The same neck as `draws` possible necks: each board replaced by draws from its wood's natural spread (see wood.spread)."""
    return neck.with_pieces(draw_boards(neck.pieces, draws, seed, kinship))


def _metres(value):
    return f"Lengths are in metres here; did you mean {value / 1000:g} m ({value:g} mm)?" if value >= 0.2 else None


def _no_overlap(neck):
    """Bars must lie in the wood, clear of each other and of the channel, at the nut where the neck is smallest and at the end."""
    spans = []
    if neck.channel is not None:
        c = neck.channel
        spans.append(("rod channel", -c.width / 2, c.width / 2, c.depth))
    for i, bar in enumerate(neck.bars):
        spans.append((f"bar {i + 1}", bar.offset - bar.width / 2, bar.offset + bar.width / 2, bar.below + bar.depth))
    for x in (0.0, neck.end):
        a, b = float(neck.outline.width(x)) / 2, float(neck.back.depth(x))
        for name, left, right, depth in spans:
            if max(abs(left), abs(right)) >= a:
                raise ValueError(f"{name}: reaches {1e3 * max(abs(left), abs(right)):.1f} mm from the centre line at x = {1e3 * x:.0f} mm; "
                                 f"accepted: less than {1e3 * a:.1f} mm, the edge of the neck")
            room = -float(neck.back.surface(max(abs(left), abs(right)), a, b))
            if depth >= room:
                raise ValueError(f"{name}: {1e3 * depth:.1f} mm deep at x = {1e3 * x:.0f} mm; accepted: less than {1e3 * room:.1f} mm, "
                                 "or it comes out of the back")
    ordered = sorted(spans, key=lambda s: s[1])
    for first, second in zip(ordered, ordered[1:]):
        if second[1] < first[2] - 1e-12:
            raise ValueError(f"{first[0]} and {second[0]} overlap: one ends at y = {1e3 * first[2]:.1f} mm, the next begins at {1e3 * second[1]:.1f} mm; "
                             "accepted: clear of each other")
