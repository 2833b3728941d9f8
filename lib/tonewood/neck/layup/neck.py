"""What the builder decides: stripes, outline, back, fretboard, channel, bars. Sizes in metres, plain data, no
mechanics; defaults are round numbers, common practice, no source.

Coordinates: x from the nut towards the body, y from bass to treble with 0 on the centre line, z up with 0 on
the glue line between neck and fretboard (wood of the neck below, fretboard above).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import KW_ONLY, dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from tonewood import checks
from tonewood.draws import Array, Draws, written
from tonewood.neck.layup.fit import no_crossing, no_overlap
from tonewood.neck.layup.shapes import Back, Bar, Channel, Fretboard, Outline
from tonewood.strings.pitch import fret_position, interval
from tonewood.wood.board import Board
from tonewood.wood.spread import draw_boards


@dataclass(frozen=True)
class Stripe:
    """One parallel-sided piece of the blank: a Board and its width (m)."""

    board: Board
    width: float

    def __post_init__(self) -> None:
        checks.length("stripe width", self.width, high=0.2)


@dataclass(frozen=True)
class Layup:
    """Stripes side by side from bass to treble, glued into one blank; widths at the nut, under the fretboard.

    leans, tapers: rad, one for each glue line between two stripes, or none where all are upright and
    parallel: how far the lower end leans to the treble, and how far the line runs to the treble along the
    neck. Raises ValueError for no stripe, or another number of angles.
    """

    stripes: tuple[Stripe, ...]
    _: KW_ONLY
    leans: tuple[float, ...] = ()
    tapers: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        object.__setattr__(self, "stripes", tuple(self.stripes))
        if not self.stripes:
            raise ValueError("lay-up: 0 stripes given; accepted: at least 1 stripe")
        for name, what in (("leans", "lean"), ("tapers", "taper")):
            angles, lines = tuple(getattr(self, name)), len(self.stripes) - 1
            if angles and len(angles) != lines:
                raise ValueError(f"{what} of the glue lines: {len(angles)} angles given; accepted: one for "
                                 f"each of the {lines} lines between {lines + 1} stripes, or none")
            object.__setattr__(self, name, tuple(
                float(checks.angle(f"{what} of glue line {k + 1}", angle, np.pi / 4))
                for k, angle in enumerate(angles)))
        common_draws([s.board for s in self.stripes], "stripe")

    @property
    def width(self) -> float:
        """Width of the blank, m."""
        return float(sum(s.width for s in self.stripes))

    @property
    def edges(self) -> Array:
        """y of the stripe edges (n + 1,), m, centred on the neck."""
        return self.edges_at(0.0)

    def edges_at(self, x: Draws, z: Draws = 0.0) -> Array:
        """y of the stripe edges (..., n + 1), m, at x along the neck and height z (m, 0 at the fretboard's
        glue line, negative below); the outer faces stay upright and parallel."""
        return edges_at(tuple(s.width for s in self.stripes), self.leans, self.tapers, x, z)


def edges_at(widths: tuple[float, ...], leans: tuple[float, ...], tapers: tuple[float, ...], x: Draws,
             z: Draws = 0.0) -> Array:
    """See Layup.edges_at; widths in m, angles in rad.

    >>> edges_at((0.02, 0.02), (0.1,), (), 0.3, -0.01).round(4).tolist()
    [-0.02, 0.001, 0.02]
    """
    moved = np.zeros(np.broadcast_shapes(np.shape(x), np.shape(z)) + (len(widths) + 1,))
    x, z = np.asarray(x)[..., None], np.asarray(z)[..., None]
    moved[..., 1:-1] = np.tan(tapers or 0.0) * x - np.tan(leans or 0.0) * z
    return np.concatenate([[0.0], np.cumsum(widths)]) - sum(widths) / 2 + moved


def stripe_widths(count: int, blank_width: float = 0.060, accent_width: float = 0.002,
                  centre_width: float = 0.010) -> tuple[tuple[str, float], ...]:
    """(role, width in m) of every stripe of a symmetric lay-up from bass to treble: "main" outside, thin
    "accent"s between, a "centre" stripe if the count is odd and above 1. The main stripes share what the
    others leave.

    Raises ValueError if nothing is left for them or the count is not a whole number of at least 1.

    >>> stripe_widths(3, blank_width=0.066)
    (('main', 0.028), ('centre', 0.01), ('main', 0.028))
    """
    count = checks.whole("number of stripes", count, 1, 99)
    for name, width in (("blank", blank_width), ("accent", accent_width), ("centre", centre_width)):
        checks.length(f"{name} width", width, high=1.0)
    half = ["main" if i % 2 == 0 else "accent" for i in range(count // 2)]
    roles = half + (["centre" if count > 1 else "main"] if count % 2 else []) + half[::-1]
    fixed = {"accent": accent_width, "centre": centre_width}
    left = blank_width - sum(fixed.get(r, 0.0) for r in roles)
    if left <= 0:
        raise ValueError(f"number of stripes: {count} given; accents of {1e3 * accent_width:g} mm and a "
                         f"centre of {1e3 * centre_width:g} mm leave {written(1e3 * left, 1)} mm of a "
                         f"{1e3 * blank_width:g} mm blank for the main wood; accepted: more than 0 mm. Use "
                         "fewer or thinner stripes, or a wider blank")
    widths = dict(fixed, main=left / roles.count("main"))
    return tuple((role, widths[role]) for role in roles)


def striped(main: Board, accent: Board, centre: Board, count: int, blank_width: float = 0.060,
            accent_width: float = 0.002, centre_width: float = 0.010) -> Layup:
    """A symmetric lay-up of `count` stripes of three Boards: see stripe_widths, which gives the widths (m).
    Raises ValueError.

    >>> from tonewood.wood.species import species
    >>> maple, wenge = Board(species("hard maple")), Board(species("wenge"))
    >>> striped(maple, wenge, wenge, 5).edges.round(4).tolist()
    [-0.03, -0.007, -0.005, 0.005, 0.007, 0.03]
    """
    boards = {"main": main, "accent": accent, "centre": centre}
    return Layup(tuple(Stripe(boards[role], width)
                       for role, width in stripe_widths(count, blank_width, accent_width, centre_width)))


@dataclass(frozen=True)
class Neck:
    """A whole neck. Raises ValueError if parts do not fit each other or their draws disagree.

    scale_length in m; frets: how many; body_start: x (m) where the body (or the heel) takes over, None for
    never within the board.
    """

    layup: Layup
    outline: Outline
    back: Back
    fretboard: Fretboard
    channel: Channel | None = None
    bars: tuple[Bar, ...] = ()
    _: KW_ONLY
    scale_length: float = 0.648
    frets: int = 22
    body_start: float | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "bars", tuple(self.bars))
        checks.length("scale length", self.scale_length, 0.2, 1.2, open_low=False)
        checks.whole("number of frets", self.frets, 1, 36)
        if self.body_start is not None:
            checks.length("place where the body starts", self.body_start, high=self.scale_length)
        widest = float(np.max(self.outline.width([0.0, self.end])))
        if self.layup.width < widest - 1e-9:
            raise ValueError(f"lay-up width: {1e3 * self.layup.width:.1f} mm given; accepted: at least "
                             f"{1e3 * widest:.1f} mm, the widest part of the outline")
        slots = 0.0 if self.fretboard.layers else self.fretboard.slot_depth
        no_overlap(self.outline, self.back, self.channel, self.bars, slots, self.end)
        if any(self.layup.leans) or any(self.layup.tapers):
            no_crossing(self.layup.edges_at, self.back, self.end)
        common_draws(self.pieces, "piece", slot_fill=self.fretboard.slot_fill)

    @property
    def end(self) -> float:
        """x (m) of the last fret."""
        return float(self.fret(self.frets))

    def fret(self, n: ArrayLike) -> Array:
        """Distance (m) of fret n (number or array; 0 is the nut) from the nut: L (1 - 2^(-n/12)), equal
        temperament.

        >>> round(float(example_neck().fret(12)), 6)
        0.324
        """
        return np.asarray(fret_position(self.scale_length, checks.number("fret", n, 0, self.frets)))

    def fret_pitch(self, x: Draws) -> Draws:
        """Distance (m) from a fret at x (m) to the next."""
        return fret_pitch(self.scale_length, x)

    @property
    def pieces(self) -> tuple[Board, ...]:
        """Every board: the stripes from bass to treble, then the layers of the fretboard from the neck
        upwards."""
        return (*(stripe.board for stripe in self.layup.stripes),
                *(layer.board for layer in self.fretboard.layers))

    @property
    def in_slots(self) -> tuple[tuple[Board, float], ...]:
        """The boards that the fret slots cut, each with its share of what is cut: layers of the fretboard, or
        the stripes where there is none."""
        top, cut = self.fretboard, []
        left = top.slot_depth
        for layer in reversed(top.layers):
            if left > 1e-9:
                cut.append((layer.board, min(left, layer.thickness)))
                left -= layer.thickness
        if not top.layers and left > 0:
            cut = [(stripe.board, stripe.width) for stripe in self.layup.stripes]
        whole = sum(share for _, share in cut)
        return tuple((board, share / whole) for board, share in cut)

    @cached_property
    def draws(self) -> int | None:
        """Number of draws the boards (or the slot fill) carry, or None for a single neck."""
        return common_draws(self.pieces, "piece", slot_fill=self.fretboard.slot_fill)

    @cached_property
    def geometry(self) -> tuple[Any, ...]:
        """All that shapes the section, hashable; boards left out."""
        lines = self.layup.leans, self.layup.tapers
        under = tuple(layer.thickness for layer in self.fretboard.under)
        return (tuple(s.width for s in self.layup.stripes), self.outline, self.back, self.fretboard.thickness,
                self.fretboard.slot_depth, self.channel, self.bars,
                *([lines] if any(map(any, lines)) or under else []), *([under] if under else []))

    def stations(self, count: int = 40) -> Array:
        """x (m) of `count` stations from nut to last fret."""
        return np.linspace(0.0, self.end, count)

    def with_pieces(self, boards: Iterable[Board]) -> Neck:
        """The same neck with other boards, in the order of `pieces`. Raises ValueError if the number
        differs."""
        boards = tuple(boards)
        if len(boards) != len(self.pieces):
            raise ValueError(f"boards: {len(boards)} given; accepted: {len(self.pieces)} (stripes and "
                             "fretboard)")
        layup, top = _with_boards(self, boards)
        return replace(self, layup=layup, fretboard=top)


def _with_boards(neck: Neck, boards: Sequence[Board]) -> tuple[Layup, Fretboard]:
    """Lay-up and fretboard of a neck with other boards, in the order of `pieces`."""
    count, top = len(neck.layup.stripes), neck.fretboard
    stripes = tuple(replace(part, board=b) for part, b in zip(neck.layup.stripes, boards, strict=False))
    under = tuple(replace(part, board=b) for part, b in zip(top.under, boards[count:], strict=False))
    return (replace(neck.layup, stripes=stripes),
            replace(top, board=boards[-1], under=under) if top.layers else top)


def fret_pitch(scale_length: float, x: Draws) -> Draws:
    """Distance (m) from a fret at x to the next, equal temperament: (L - x)(1 - 2^(-1/12)). Lengths in m.
    Raises ValueError.

    >>> round(fret_pitch(0.648, 0.0), 5)
    0.03637
    """
    checks.length("scale length", scale_length, 0.2, 1.5, open_low=False)
    x = checks.length("place of the fret", x, -0.1, 1.5, open_low=False)
    return (scale_length - x) * (1 - interval(-1))


def common_draws(boards: Iterable[Board], what: str, **values: Draws | None) -> int | None:
    """The number of draws that boards and values by name carry, None if none does. `what` the boards are
    called.

    Raises ValueError that names the two that disagree.

    >>> common_draws(example_neck().pieces, "piece", slot_fill=np.array([0.2, 0.5, 0.8]))
    3
    """
    named = {f"{what} {i + 1}": b.draws and np.empty(b.draws) for i, b in enumerate(boards)}
    return checks.draw_count(**named, **values)


def spread(neck: Neck, draws: int = 1000, seed: int = 0, kinship: str = "different trees",
           supply: str = "one delivery") -> Neck:
    """The same neck as `draws` possible necks: each board replaced by draws from its wood's natural spread
    (see wood.spread); seed: a whole number. Raises ValueError.

    >>> spread(example_neck(), 300).draws
    300
    """
    return neck.with_pieces(draw_boards(neck.pieces, draws, seed, kinship, supply=supply))


def mean_appended(values: Any) -> Any:
    """Draws (D,) with their mean as one draw more, (D + 1,); a number, or nothing, as it is.

    >>> mean_appended(np.array([1.0, 3.0])).tolist(), mean_appended(None)
    ([1.0, 3.0, 2.0], None)
    """
    return np.append(values, np.mean(values)) if np.ndim(values) else values


def with_mean(neck: Neck) -> Neck:
    """The same necks and, as one draw more, the neck whose every drawn value (and slot fill) is the mean of
    the draws.

    >>> with_mean(spread(example_neck(), 300)).draws
    301
    """
    def board(b: Board) -> Board:
        drawn = ("ring_angle", "run_out", "slope", "moisture", "density", "modulus", "loss")
        swelling = None if b.swelling is None else tuple(mean_appended(c) for c in b.swelling)
        return replace(b, swelling=swelling, constants=b.constants and b.constants.mapped(mean_appended),
                       **{name: mean_appended(getattr(b, name)) for name in drawn})

    layup, top = _with_boards(neck, [board(piece) for piece in neck.pieces])
    return replace(neck, layup=layup, fretboard=replace(top, slot_fill=mean_appended(top.slot_fill)))


def example_neck(**changes: Any) -> Neck:
    """A one-piece hard maple neck of the default sizes with an Indian rosewood board, or with `changes` to
    its fields.

    >>> len(example_neck().pieces), round(example_neck(frets=24).end, 3)
    (2, 0.486)
    """
    from tonewood.wood.species import species

    layup = Layup((Stripe(Board(species("hard maple")), 0.060),))
    board = Fretboard(Board(species("Indian rosewood")))
    return replace(Neck(layup=layup, outline=Outline(), back=Back(), fretboard=board), **changes)
