"""The lay-ups a builder is willing to make: which woods in which place, how many stripes, how wide, how sawn,
which fretboard, which bars. Definition: symmetric lay-ups, as neck.layup.neck.stripe_widths orders them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import product

import numpy as np

from tonewood import checks
from tonewood.neck.design import Design, StripePlan
from tonewood.neck.layup.neck import Bar, Layup, Neck, Stripe, stripe_widths
from tonewood.wood.board import Board
from tonewood.wood.species import species

Stripes = tuple[tuple[str, float], ...]
"""(wood key, width in m) of every stripe from bass to treble."""


@dataclass(frozen=True, kw_only=True)
class LayUp:
    """One lay-up: stripes as (wood key, width in m) from bass to treble, ring angle of all stripes (rad), key
    of the fretboard's wood, bars."""

    stripes: Stripes
    ring_angle: float
    fretboard: str
    bars: tuple[Bar, ...] = ()

    @property
    def woods(self) -> tuple[str, ...]:
        """Keys of the woods in it, each once, stripes first."""
        return tuple(dict.fromkeys([*(wood for wood, _ in self.stripes), self.fretboard]))

    @property
    def widths(self) -> tuple[float, ...]:
        """Widths of the stripes, m."""
        return tuple(width for _, width in self.stripes)

    def design(self, base: Design, name: str | None = None) -> Design:
        """The Design that has this lay-up and all else from `base`. Raises ValueError.

        >>> from tonewood.neck.design import example_design
        >>> layup_of(example_design()).design(example_design()) == example_design()
        True
        """
        one_layer(base)
        top = base.fretboard if base.fretboard.wood == self.fretboard else replace(
            base.fretboard, wood=self.fretboard)
        stripes = tuple(StripePlan(wood=wood, width=width, ring_angle=self.ring_angle)
                        for wood, width in self.stripes)
        return base.changed(name=name or base.name, stripes=stripes, fretboard=top, bars=self.bars,
                            leans=(), tapers=())

    def neck(self, base: Design) -> Neck:
        """The Neck of single values, without the checks of a whole Design: quick."""
        neck = base.neck()
        boards = [Board(species(wood), self.ring_angle, moisture=base.shop_moisture)
                  for wood, _ in self.stripes]
        layup = Layup(tuple(Stripe(b, w) for b, w in zip(boards, self.widths, strict=True)))
        top = replace(neck.fretboard, board=replace(neck.fretboard.board, species=species(self.fretboard)))
        return replace(neck, layup=layup, fretboard=top, bars=self.bars)

    def words(self) -> str:
        """The lay-up in a few words: "7 stripes: hard maple, wenge, black walnut; rings 90°; ebony".

        >>> from tonewood.neck.design import example_design
        >>> layup_of(example_design()).words()
        '3 stripes of hard maple and wenge, rings 0°, Indian rosewood fretboard'
        """
        names = [species(wood).name for wood in dict.fromkeys(wood for wood, _ in self.stripes)]
        told = names[0] if len(names) == 1 else ", ".join(names[:-1]) + " and " + names[-1]
        count = f"{len(self.stripes)} stripes of" if len(self.stripes) > 1 else "one piece of"
        bars = f", {len(self.bars)} carbon bars" if self.bars else ""
        return (f"{count} {told}, rings {np.degrees(self.ring_angle):.0f}°, {species(self.fretboard).name} "
                f"fretboard{bars}")


def one_layer(design: Design) -> str:
    """The key of the wood of the fretboard. Raises ValueError where there is none or it has several layers:
    the search weighs neither.

    >>> from tonewood.neck.design import example_design
    >>> one_layer(example_design())
    'indian_rosewood'
    """
    if len(design.fretboard.layers) != 1:
        given = f"{len(design.fretboard.layers)} layers" if design.fretboard.layers else "none"
        raise ValueError(f"fretboard of the neck to start from: {given} given; accepted: one layer. The "
                         "search compares fretboards of one board each; necks without one, or with veneers, "
                         "are worked out one by one")
    return design.fretboard.layers[0].wood


def layup_of(design: Design) -> LayUp:
    """The LayUp of a design; its stripes' ring angle is that of the bass-most, its glue lines stand upright.
    Raises ValueError for a fretboard of several layers, or none.

    >>> from tonewood.neck.design import example_design
    >>> layup_of(example_design()).fretboard
    'indian_rosewood'
    """
    return LayUp(stripes=tuple((s.wood, s.width) for s in design.stripes), bars=design.bars,
                 ring_angle=float(design.stripes[0].ring_angle), fretboard=one_layer(design))


@dataclass(frozen=True, kw_only=True)
class Space:
    """What may be varied. Woods by key or name; a wood may stand in several places. Raises ValueError.

    base: Design that gives all else: outline, back, scale, strings, rod, town, moisture. main: outer stripes,
    accent: thin stripes between, centre: the middle stripe of an odd number; counts: numbers of stripes;
    ring_angles (rad); accent_widths, centre_widths (m); fretboards; bars: sets of bars. Accents appear from
    four stripes on, a centre with an odd number from three on; lay-ups that come out alike count once.
    """

    base: Design
    main: tuple[str, ...]
    accent: tuple[str, ...]
    centre: tuple[str, ...]
    fretboards: tuple[str, ...]
    counts: tuple[int, ...] = (1, 3, 5, 7, 9)
    ring_angles: tuple[float, ...] = (0.0, np.pi / 2)
    accent_widths: tuple[float, ...] = (0.002,)
    centre_widths: tuple[float, ...] = (0.010,)
    bars: tuple[tuple[Bar, ...], ...] = ((),)

    def __post_init__(self) -> None:
        one_layer(self.base)
        for name in ("main", "accent", "centre", "fretboards"):
            given = tuple(dict.fromkeys(species(wood).key for wood in getattr(self, name)))
            if not given:
                raise ValueError(f"woods for {name}: none given; accepted: at least one")
            object.__setattr__(self, name, given)
        for name in ("counts", "ring_angles", "accent_widths", "centre_widths", "bars"):
            given = tuple(dict.fromkeys(getattr(self, name)))
            if not given:
                raise ValueError(f"{name.replace('_', ' ')}: none given; accepted: at least one")
            object.__setattr__(self, name, given)
        for count in self.counts:
            checks.whole("number of stripes", count, 1, 15)
        for angle in self.ring_angles:
            checks.angle("ring angle", angle)

    @property
    def blank(self) -> float:
        """Width of the blank, m: that of the base."""
        return round(sum(s.width for s in self.base.stripes), 9)

    @cached_property
    def woods(self) -> tuple[str, ...]:
        """Keys of all woods, in alphabetical order: the order of their streams of chance."""
        return tuple(sorted({*self.main, *self.accent, *self.centre, *self.fretboards}))

    @cached_property
    def _stripes(self) -> tuple[Stripes, ...]:
        found: dict[Stripes, None] = {}
        for count, accent_width, centre_width in product(self.counts, self.accent_widths,
                                                         self.centre_widths):
            roles = stripe_widths(count, self.blank, accent_width, centre_width)
            present = {role for role, _ in roles}
            for picked in product(self.main, self.accent if "accent" in present else ("",),
                                  self.centre if "centre" in present else ("",)):
                wood = dict(zip(("main", "accent", "centre"), picked, strict=True))
                found[tuple((wood[role], round(width, 6)) for role, width in roles)] = None
        return tuple(found)

    @cached_property
    def lines(self) -> tuple[tuple[Stripes, float, str, tuple[Bar, ...]], ...]:
        """What varies in every lay-up, those of one geometry one after the other."""
        stripes = sorted(self._stripes, key=lambda s: (len(s), [w for _, w in s]))
        return tuple((s, angle, top, bars) for bars in self.bars for s in stripes
                     for angle in self.ring_angles for top in self.fretboards)

    def __len__(self) -> int:
        """Number of different lay-ups."""
        return len(self._stripes) * len(self.ring_angles) * len(self.fretboards) * len(self.bars)

    def __getitem__(self, index: int) -> LayUp:
        """One lay-up by its number, from 0."""
        stripes, angle, top, bars = self.lines[index]
        return LayUp(stripes=stripes, ring_angle=angle, fretboard=top, bars=bars)

    def __iter__(self) -> Iterator[LayUp]:
        """Every lay-up in turn."""
        return (self[i] for i in range(len(self)))

    def place(self, layup: LayUp) -> int:
        """The number of a lay-up. Raises ValueError for one that is not among them, naming what differs."""
        for name, value, options in (("ring angle", layup.ring_angle, self.ring_angles),
                                     ("fretboard", layup.fretboard, self.fretboards),
                                     ("bars", layup.bars, self.bars)):
            checks.choice(name, value, options)
        key = layup.stripes, layup.ring_angle, layup.fretboard, layup.bars
        if key not in (found := self._numbers):
            raise ValueError(f"lay-up: {layup.words()} given; accepted: stripes of the woods, counts and "
                             "widths that were searched")
        return found[key]

    @cached_property
    def _numbers(self) -> dict[tuple[Stripes, float, str, tuple[Bar, ...]], int]:
        return {line: i for i, line in enumerate(self.lines)}
