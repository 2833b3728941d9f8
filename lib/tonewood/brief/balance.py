"""Weight and balance of the whole instrument: parts, centre of gravity, strap, seat, and which gram moves it.

x runs from the nut towards the body, so the head has negative x. Mass m = sum of density x volume, centre of
gravity x = sum(m x) / sum(m): statics. Strap: an idealised rule, estimated: the two ends hang from button and
horn and share the weight by the lever rule; friction of the strap round the shoulder (Euler's belt rule over
half a turn) lets one end pull up to e^(mu pi) times the other before it slips and the head goes down. Without
friction a guitar on a strap has no stable level position; friction and forearm do the holding. Friction and
wrap are known to about 30 %, so a margin is told with +-30 mm. Seat: estimated, too: the waist rests on the
thigh as on a pad; the forearm presses where it lies on the body.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from tonewood import checks
from tonewood.brief.body import BodyPlan
from tonewood.constants import GRAVITY
from tonewood.draws import Array, Draws
from tonewood.neck.design import Design
from tonewood.neck.layup.neck import Neck
from tonewood.neck.section.stations import at_stations
from tonewood.remember import remember
from tonewood.tables import Row, read_table
from tonewood.wood.facts import rule

if TYPE_CHECKING:
    import pandas


@dataclass(frozen=True)
class Part:
    """Something with a mass (kg, float or (D,)) and a place x (m from the nut); low, high: of its mass, kg,
    where the mass is a table's. Raises ValueError."""

    name: str
    mass: Draws
    x: Draws
    low: float | None = None
    high: float | None = None

    def __post_init__(self) -> None:
        checks.number(f"mass of {self.name}", self.mass, 0.0, 20.0, "kg",
                      lambda v: f"Did you mean {v / 1e3:g} kg ({v:g} g)?" if v > 20 else None)
        checks.number(f"place of {self.name}", self.x, -0.6, 2.0, "m",
                      lambda v: f"Did you mean {v / 1e3:g} m ({v:g} mm)?" if abs(v) > 2 else None)


@remember(1)
def hardware() -> dict[str, Row]:
    """Rows of data/hardware.csv by part, grams.

    >>> hardware()["tuner"]["value"]
    36.0
    """
    return {row["part"]: row for row in read_table("hardware.csv")}


@dataclass(frozen=True, kw_only=True)
class Head:
    """The headstock: length, width, thickness (m) of the blank's wood, tuner_place behind the nut (m), tuner:
    a part of hardware(); tuner_mass (kg) of one, None: the table's. Raises ValueError."""

    length: float = 0.170
    width: float = 0.070
    thickness: float = 0.0145
    tuner_place: float = 0.095
    tuner: str = "tuner"
    tuner_mass: float | None = None

    def __post_init__(self) -> None:
        for name in ("length", "width", "thickness", "tuner_place"):
            checks.length(f"headstock {name.replace('_', ' ')}", getattr(self, name), high=0.5)
        checks.choice("tuner", self.tuner, hardware())


@dataclass(frozen=True, kw_only=True)
class Instrument:
    """All that is weighed with a design: body, head, fittings as {part of hardware(): x in m}, buttons
    (x of the front and the rear strap button), waist: x where it rests on the thigh, arm: x where the forearm
    lies. Sizes common practice, no source. Raises ValueError."""

    body: BodyPlan
    head: Head = Head()
    fittings: Mapping[str, float] = field(default_factory=lambda: {
        "bridge": 0.66, "pickup": 0.58, "controls": 0.72, "strap_buttons": 0.60, "finish": 0.62})
    buttons: tuple[float, float] = (0.36, 0.83)
    waist: float = 0.60
    arm: float = 0.72

    def __post_init__(self) -> None:
        checks.choice_of("fitting", self.fittings, hardware())
        front, rear = self.buttons
        if not front < rear:
            raise ValueError(f"strap buttons: {front:g} and {rear:g} m given; accepted: the front one nearer "
                             "the nut than the rear one")
        if not self.waist < self.arm:
            raise ValueError(f"forearm: at {self.arm:g} m given, the waist at {self.waist:g} m; accepted: "
                             "the forearm further from the nut than the waist")


@dataclass(frozen=True)
class Weighed:
    """The parts of one instrument; mass (kg) and centre (m from the nut): float or (D,)."""

    parts: tuple[Part, ...]

    @property
    def mass(self) -> Draws:
        """All of it, kg."""
        return sum(p.mass for p in self.parts)

    @property
    def centre(self) -> Draws:
        """Centre of gravity, m from the nut."""
        return sum(p.mass * p.x for p in self.parts) / self.mass

    def table(self) -> pandas.DataFrame:
        """One row a part, heaviest lever first: grams, mm from the nut, and how far 10 g more there move the
        centre of gravity."""
        import pandas as pd

        rows = [{"part": p.name, "weight (g)": 1e3 * float(np.mean(p.mass)),
                 "from the nut (mm)": 1e3 * float(np.mean(p.x)),
                 "10 g more move the balance (mm)": 1e3 * float(np.mean(pull_of_10_grams(self, p)))}
                for p in self.parts]
        return pd.DataFrame(rows).sort_values("10 g more move the balance (mm)", ignore_index=True)


def pull_of_10_grams(weighed: Weighed, part: Part) -> Draws:
    """How far (m) the centre of gravity moves towards the tail when `part` gets 10 g heavier where it is.
    Source: derivative of sum(m x) / sum(m).

    >>> two = Weighed((Part("a", 1.0, 0.0), Part("b", 1.0, 1.0)))
    >>> round(pull_of_10_grams(two, two.parts[1]), 5)
    0.0025
    """
    return 0.010 * (part.x - weighed.centre) / weighed.mass


def weigh(design: Design, whole: Instrument, neck: Neck | None = None) -> Weighed:
    """Every part of an instrument. neck: the design's with draws (layup.neck.spread), None: single values.

    The neck counts from nut to last fret with fretboard, bars and rod. Neck-through: the blank runs on to the
    tail at the body's thickness and the wings stand beside it; its part over the body counts as neck where it
    lies under the fretboard. Set and bolt-on: the neck goes on to the last fret in a pocket of its own size.
    Returns Weighed. Raises ValueError.

    >>> from tonewood.brief.body import BodyPlan, example_outline
    >>> from tonewood.neck.design import example_design
    >>> found = weigh(example_design(), Instrument(body=BodyPlan(outline=example_outline())))
    >>> round(float(found.mass), 1), len(found.parts)
    (3.7, 12)
    """
    neck = design.neck() if neck is None else neck
    here = at_stations(neck)
    x, line = here.x, here.section.mass_per_length
    mass = np.trapezoid(line, x, axis=-1)
    parts = [Part("neck with fretboard", mass, np.trapezoid(line * x, x, axis=-1) / mass)]
    blank = sum(s.width / neck.layup.width * np.asarray(s.board.rho) for s in neck.layup.stripes)
    head, body = whole.head, whole.body
    parts.append(Part("headstock", blank * head.length * head.width * head.thickness, -head.length / 2))
    count = len(design.string_set())
    joint = float(neck.end if neck.body_start is None else neck.body_start)
    over = max(neck.end - joint, 0.0)
    width, depth = float(neck.outline.width(neck.end)), float(neck.back.depth(neck.end))
    if design.joint == "neck-through":
        volume, centre = body.wings(core=neck.layup.width)
        core, core_x = body.core(neck.layup.width, joint)
        under = over * width * depth        # of it the neck's own wood, counted above
        parts.append(Part("blank through the body", blank * (core - under),
                          (core * core_x - under * (joint + over / 2)) / (core - under)))
        parts.append(Part("body wings", body.rho * volume, centre))
    else:
        volume, centre = body.wings(pocket=(joint, over, width, depth) if over > 0 else None)
        parts.append(Part("body", body.rho * volume, centre))
        if design.joint == "bolt-on":
            parts.append(_fitting("screws_and_plate", joint + over / 2))
    each = hardware()[head.tuner]
    for_all = (count * (each["value"] / 1e3 if head.tuner_mass is None else head.tuner_mass))
    parts.append(Part("tuners", for_all, -head.tuner_place,
                      *((count * each[k] / 1e3 for k in ("low", "high")) if head.tuner_mass is None else ())))
    fret = hardware()["fret"]
    parts.append(Part("frets", design.frets * fret["value"] / 1e3,
                      float(np.mean(neck.fret(np.arange(1, design.frets + 1)))),
                      design.frets * fret["low"] / 1e3, design.frets * fret["high"] / 1e3))
    strings = design.string_set()
    length = design.scale_length + head.tuner_place + 0.05
    parts.append(Part("strings", float(sum(s.mass_per_length for s in strings.strings)) * length,
                      design.scale_length / 2 - head.tuner_place / 2))
    parts += [_fitting(name, x) for name, x in whole.fittings.items()]
    return Weighed(tuple(parts))


def _fitting(name: str, x: float) -> Part:
    row = hardware()[name]
    return Part(row["name"], row["value"] / 1e3, x, row["low"] / 1e3, row["high"] / 1e3)


@dataclass(frozen=True)
class Strap:
    """On a strap: the furthest towards the head (m from the nut) the centre may lie before the head goes
    down, and the margin (m, positive: stays level; float or (D,))."""

    limit: float
    margin: Draws


def strap_balance(centre: Draws, front: float, rear: float, friction: float | None = None) -> Strap:
    """Strap balance of a centre of gravity (m from the nut, float or (D,)) between buttons at `front` and
    `rear` (m from the nut). friction: of strap on shoulder (None: rule strap_friction). Level while T_front /
    T_rear <= e^(friction pi). Raises ValueError.

    >>> found = strap_balance(0.0, -0.10, 0.33)
    >>> round(found.limit, 5), round(float(found.margin), 5)
    (0.03466, -0.03466)
    """
    friction = rule("strap_friction").value if friction is None else friction
    checks.number("friction of the strap", friction, 0.0, 2.0)
    if not front < rear:
        raise ValueError(f"strap buttons: {front:g} and {rear:g} m given; accepted: the front one nearer the "
                         "nut than the rear one")
    ratio = float(np.exp(friction * np.pi))
    limit = (rear + ratio * front) / (1 + ratio)
    return Strap(limit, centre - limit)


@dataclass(frozen=True)
class Seat:
    """Seated: how far (m, positive: towards the head) the centre lies outside what the thigh carries, 0 if
    over it, and the force (N) the forearm gives to keep it level; floats or (D,). Negative force: the head
    rises and the fretting hand feels it."""

    outside: Draws
    press: Draws


def seat_balance(mass: Draws, centre: Draws, waist: float, arm: float) -> Seat:
    """Seat balance of an instrument of `mass` (kg) and `centre` (m from the nut): waist (m) rests on a thigh
    (rule thigh_carries), forearm at `arm` (m). Moments about the edge of the thigh: press = W (edge - centre)
    / (arm - edge), or of the fretting hand at the nut where the tail is the heavier. Estimated. Raises
    ValueError.

    >>> round(float(seat_balance(3.5, 0.50, 0.60, 0.72).press), 2)
    5.42
    """
    mass = np.asarray(checks.number("mass", mass, 0.0, 20.0, "kg", open_low=True))
    half = rule("thigh_carries").value / 2
    head_edge, tail_edge = waist - half, waist + half
    if arm <= head_edge:
        raise ValueError(f"forearm: at {arm:g} m given; accepted: further from the nut than {head_edge:g} m, "
                         "the edge of the thigh")
    front = np.maximum(head_edge - centre, 0.0)
    behind = np.maximum(np.asarray(centre) - tail_edge, 0.0)
    press = GRAVITY * mass * (front / (arm - head_edge) - behind / max(tail_edge, 0.1))
    return Seat(front - behind, press)


@dataclass(frozen=True, kw_only=True)
class Rest:
    """Everything but the neck from nut to last fret, for a search: mass (kg) and first moment (kg m) of what
    stays, and volume (m3) and first moment (m4) of what is of the blank's wood."""

    mass: float
    moment: float
    blank: float
    blank_moment: float

    def total(self, mass: Array, moment: Array, density: Array) -> tuple[Array, Array]:
        """Mass (kg) and centre (m) of the whole, (D,), with a neck of these mass, first moment and mean
        density of the blank."""
        whole = mass + self.mass + self.blank * density
        return whole, (moment + self.moment + self.blank_moment * density) / whole


def rest_of(design: Design, whole: Instrument) -> Rest:
    """The Rest of an instrument: what any lay-up of this design's geometry is weighed with.

    >>> from tonewood.brief.body import BodyPlan, example_outline
    >>> from tonewood.neck.design import example_design
    >>> whole = Instrument(body=BodyPlan(outline=example_outline()))
    >>> round(1e6 * rest_of(example_design(), whole).blank)
    1246
    """
    parts = {p.name: p for p in weigh(design, whole).parts}
    neck = design.neck()
    density = float(sum(s.width / neck.layup.width * np.asarray(s.board.rho) for s in neck.layup.stripes))
    of_blank = [parts[n] for n in ("headstock", "blank through the body") if n in parts]
    others = [p for name, p in parts.items() if p not in of_blank and name != "neck with fretboard"]
    return Rest(mass=float(sum(p.mass for p in others)), moment=float(sum(p.mass * p.x for p in others)),
                blank=float(sum(p.mass for p in of_blank)) / density,
                blank_moment=float(sum(p.mass * p.x for p in of_blank)) / density)
