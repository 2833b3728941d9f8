"""A design: what the builder writes down of one neck, in plain values that can be kept in a file and handed
on.

A Design names woods by their key and holds no board, no draws and no mechanics; `neck()`, `strings()`,
`setup()` and `joint()` make the objects the models work with. Sizes in m, angles in rad, moisture as a
fraction of ovendry mass.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from tonewood import checks
from tonewood.neck.layup.half_turns import TURNS, turned_angles
from tonewood.neck.layup.neck import Back, Bar, Channel, Fretboard, Layup, Neck, Outline, Stripe
from tonewood.neck.layup.shapes import FretboardLayer, whole_fretboard
from tonewood.neck.load.joint import JOINTS, Joint
from tonewood.neck.load.setup import Setup
from tonewood.strings.pitch import TUNINGS, fret_position
from tonewood.strings.sets import SETS, string_set
from tonewood.strings.wire import StringSet
from tonewood.wood.board import Board
from tonewood.wood.own import OwnWood, stated
from tonewood.wood.species import species

ROD_ACTIONS = ("double-acting", "single-acting", "none")


@dataclass(frozen=True, kw_only=True)
class StripePlan:
    """One stripe: wood (key or name of a species), width (m), ring angle, run-out and slope as sawn (rad),
    and the half turn it is given before glue-up (see neck.layup.half_turns). Angles left out are 0, or those
    of an own board (wood.own). Raises ValueError."""

    wood: str
    width: float
    ring_angle: float = None  # type: ignore[assignment]    # filled in from the wood
    run_out: float = None  # type: ignore[assignment]
    slope: float = None  # type: ignore[assignment]
    turn: str = "as sawn"

    def __post_init__(self) -> None:
        object.__setattr__(self, "wood", species(self.wood).key)
        checks.length("stripe width", self.width, high=0.2)
        checks.choice("half turn", self.turn, TURNS)
        _angles(self)


@dataclass(frozen=True, kw_only=True)
class LayerPlan:
    """A layer of the fretboard under its top: wood, thickness (m), grain angles (rad; left out: as in
    StripePlan). Raises ValueError."""

    wood: str
    thickness: float
    ring_angle: float = None  # type: ignore[assignment]
    run_out: float = None  # type: ignore[assignment]
    slope: float = None  # type: ignore[assignment]

    def __post_init__(self) -> None:
        object.__setattr__(self, "wood", species(self.wood).key)
        checks.length("thickness of a fretboard layer", self.thickness, high=0.05)
        _angles(self)


@dataclass(frozen=True, kw_only=True)
class FretboardPlan:
    """The fretboard: wood of its top (None: no fretboard, its thickness then 0), grain angles (rad; left out:
    as in StripePlan), thickness of the whole and slot depth (m), how far the tangs bear in their slots, 0
    open … 1 bearing, None: not known; under: LayerPlans below the top, the one on the neck first. Raises
    ValueError."""

    wood: str | None
    ring_angle: float = None  # type: ignore[assignment]
    run_out: float = None  # type: ignore[assignment]
    slope: float = None  # type: ignore[assignment]
    thickness: float = 0.006
    slot_depth: float = 0.0025
    slot_fill: float | None = None
    under: tuple[LayerPlan, ...] = ()

    def __post_init__(self) -> None:
        object.__setattr__(self, "under", tuple(self.under))
        if self.wood is None:
            object.__setattr__(self, "thickness", 0.0)
        else:
            object.__setattr__(self, "wood", species(self.wood).key)
        _angles(self)
        whole_fretboard(self)
        if self.slot_fill is not None:
            checks.fraction("slot fill", self.slot_fill)

    @property
    def layers(self) -> tuple[LayerPlan, ...]:
        """All its LayerPlans from the neck upwards; none where there is no fretboard."""
        if self.wood is None:
            return ()
        top = round(self.thickness - sum(layer.thickness for layer in self.under), 9)
        return (*self.under, LayerPlan(wood=self.wood, thickness=top, ring_angle=self.ring_angle,
                                       run_out=self.run_out, slope=self.slope))


@dataclass(frozen=True, kw_only=True)
class StringPlan:
    """The strings: a ready set (strings.sets), a tuning (strings.pitch.TUNINGS) that fits it, and a factor on
    every gauge."""

    set: str = "six"
    tuning: str = "six"
    gauge: float = 1.0

    def __post_init__(self) -> None:
        checks.choice("string set", self.set, SETS)
        checks.choice("tuning", self.tuning, [t for t in TUNINGS if t.split(",")[0] == self.set])
        checks.number("factor on the gauges", self.gauge, 0.5, 2.0)


@dataclass(frozen=True, kw_only=True)
class Design:
    """One neck as the builder decided it; equal designs make equal necks. Raises ValueError when parts do not
    fit each other.

    name: what it is called. stripes: StripePlans from bass to treble. scale_length (m); frets; joint: a kind
    of neck.load.joint and joint_fret: the fret where the body begins (None: none within the board). rod: one
    of ROD_ACTIONS. action_bass, action_treble: at fret 12 (m); nut_spread, bridge_spread: bass to treble
    string (m). shop_moisture: of all wood when it was glued up (fraction). town: a place of wood.climate
    where it will live. leans, tapers: of the glue lines between stripes (rad, see neck.layup.neck.Layup).
    """

    name: str
    stripes: tuple[StripePlan, ...]
    outline: Outline
    back: Back
    fretboard: FretboardPlan
    channel: Channel | None
    bars: tuple[Bar, ...] = ()
    scale_length: float = 0.648
    frets: int = 22
    joint: str = "neck-through"
    joint_fret: int | None = 17
    rod: str = "double-acting"
    strings: StringPlan = StringPlan()
    action_bass: float = 0.0020
    action_treble: float = 0.0016
    nut_spread: float = 0.035
    bridge_spread: float = 0.052
    shop_moisture: float = 0.08
    town: str = "Chicago"
    leans: tuple[float, ...] = ()
    tapers: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        from tonewood.wood.climate import place

        if not str(self.name).strip():
            raise ValueError("name of the design: nothing given; accepted: a few words")
        for name in ("stripes", "bars", "leans", "tapers"):
            object.__setattr__(self, name, tuple(getattr(self, name)))
        checks.choice("joint", self.joint, JOINTS)
        checks.choice("truss rod", self.rod, ROD_ACTIONS)
        object.__setattr__(self, "frets", checks.whole("number of frets", self.frets, 1, 36))
        place(self.town)
        if self.joint_fret is not None:
            checks.whole("joint fret", self.joint_fret, 1, self.frets)
        self.neck(), self.string_set(), self.setup()

    def changed(self, **changes: Any) -> Design:
        """The same design with some fields changed; glue lines are upright and parallel again where their
        number changes. Raises ValueError."""
        checks.choice_of("field of the design", changes, self.__dataclass_fields__)
        if len(changes.get("stripes", self.stripes)) != len(self.stripes):
            changes = {"leans": (), "tapers": (), **changes}
        return replace(self, **changes)

    @cached_property
    def _neck(self) -> Neck:
        def board(plan: StripePlan | LayerPlan, turn: str = "as sawn") -> Board:
            return Board(species(plan.wood), *turned_angles(plan.ring_angle, plan.run_out, plan.slope, turn),
                         moisture=self.shop_moisture)

        fill = 0.5 if self.fretboard.slot_fill is None else self.fretboard.slot_fill
        layers = [FretboardLayer(board(layer), layer.thickness) for layer in self.fretboard.layers]
        played: Any = layers[-1].board if layers else None
        top = Fretboard(played, self.fretboard.thickness, self.fretboard.slot_depth, fill,
                        tuple(layers[:-1]))
        layup = Layup(tuple(Stripe(board(stripe, stripe.turn), stripe.width) for stripe in self.stripes),
                      leans=self.leans, tapers=self.tapers)
        joint = None if self.joint_fret is None else float(fret_position(self.scale_length, self.joint_fret))
        return Neck(layup, self.outline, self.back, top, self.channel, self.bars,
                    scale_length=self.scale_length, frets=self.frets, body_start=joint)

    def neck(self) -> Neck:
        """The Neck of single values, every board at the shop's moisture; an unknown slot fill counts as
        half."""
        return self._neck

    @property
    def woods(self) -> tuple[str, ...]:
        """The keys of its woods, each once: of the stripes from the bass, then of the fretboard from the neck
        upwards."""
        return tuple(dict.fromkeys([*(stripe.wood for stripe in self.stripes),
                                    *(layer.wood for layer in self.fretboard.layers)]))

    def with_fretboard(self, top: FretboardPlan) -> Design:
        """The design with another fretboard, or none: whole depth, rod and bars stay where they are, so that
        a channel that was cut from the top is cut from the back where no fretboard is to close it. Raises
        ValueError."""
        down = round(self.fretboard.thickness - top.thickness, 9)

        def lower(depth: float) -> float:
            return max(round(depth + down, 9), 0.0)

        c, back = self.channel, self.back
        return self.changed(
            fretboard=top, back=replace(back, depth_nut=lower(back.depth_nut),
                                        depth_end=lower(back.depth_end)),
            channel=c and replace(c, depth=lower(c.depth), below=lower(c.below)),
            bars=tuple(replace(bar, below=lower(bar.below)) for bar in self.bars))

    def own_woods(self) -> tuple[OwnWood, ...]:
        """The own woods and boards that it names (wood.own), each after the one that it resembles."""
        found: dict[str, OwnWood] = {}

        def add(key: str) -> None:
            if own := stated(species(key)):
                if own.like:
                    add(own.like)
                found.setdefault(key, own)

        for wood in self.woods:
            add(wood)
        return tuple(found.values())

    def string_set(self) -> StringSet:
        """The StringSet, at this scale length."""
        plan = self.strings
        return string_set(plan.set, plan.tuning, self.scale_length, gauge=plan.gauge)

    def setup(self) -> Setup:
        """The Setup of the strings over the board."""
        return Setup(action=(self.action_bass, self.action_treble), nut_spread=self.nut_spread,
                     bridge_spread=self.bridge_spread)

    def body_joint(self) -> Joint:
        """The Joint with the body."""
        return Joint(self.joint)


def example_design() -> Design:
    """A plain design for examples: three stripes 20 mm wide of hard maple and wenge, an Indian rosewood
    board.

    >>> example_design().neck().draws is None
    True
    """
    stripes = tuple(StripePlan(wood=wood, width=0.020) for wood in ("hard maple", "wenge", "hard maple"))
    return Design(name="example", stripes=stripes, outline=Outline(), back=Back("D"),
                  fretboard=FretboardPlan(wood="Indian rosewood"), channel=Channel())


def _angles(plan: StripePlan | LayerPlan | FretboardPlan) -> None:
    own = stated(species(plan.wood)) if plan.wood else None
    for name in ("ring_angle", "run_out", "slope"):
        if getattr(plan, name) is None:
            object.__setattr__(plan, name, getattr(own, name) if own else 0.0)
    checks.angle("ring angle", plan.ring_angle, 3.2)
    checks.angle("run-out", plan.run_out, 0.8)
    checks.angle("slope of grain", plan.slope, 0.8)
