"""Truss rods: the couple they put on the neck, the setting that leaves a wanted relief, the reserve left.

A single-acting rod is in tension below the axis: at every station it presses the wood with F at the distance
e below the E-weighted axis, a back-bow moment F e(x), whatever the shape of its channel. A double-acting rod
pairs tension and compression: the same couple along its whole length, no net force, either way round. Turns
to force is an upper bound: wood crush, thread slack and friction take up part of every turn. Steel and
working share: data/materials.csv and rules.csv. What a rod cannot mend is in rod_limits.py.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np

from tonewood.checks import choice, length, number
from tonewood.draws import Array, Draws, band_table
from tonewood.materials import material
from tonewood.neck.layup.neck import Neck
from tonewood.neck.load.bow import stations_checked
from tonewood.neck.load.relief import Relief, Strung, bend
from tonewood.wood.facts import rule

if TYPE_CHECKING:
    import pandas

_THREAD = 0.9382            # pitches that a thread of ISO form takes from the diameter, for the area under it
_SINGLE: dict[str, Any] = dict(action="single", depth_ends=0.0045, depth_middle=0.0075, diameter=0.0046)


@dataclass(frozen=True, kw_only=True)
class Rod:
    """A truss rod. Sizes in m; defaults: round generic sizes, common practice, no source. Raises ValueError.

    action: "single" or "double". start, end: x of its ends. depth_ends, depth_middle: how far its centre line
    (of the pair, if double) lies under the glue line; equal for a straight channel, else a parabola.
    diameter: of each bar. gap: between the two bars' centre lines (double only). pitch: lengthening per turn
    of the nut. modulus, yield_stress: Pa, of steel unless given.

    >>> round(Rod.single(diameter=0.005).limit), Rod().unit
    (1773, 'N m')
    """

    action: str = "double"
    start: float = 0.010
    end: float = 0.430
    depth_ends: float = 0.0055
    depth_middle: float = 0.0055
    diameter: float = 0.0040
    gap: float = 0.0050
    pitch: float = 0.0008
    modulus: float = field(default_factory=lambda: material("steel")["modulus"].value)
    yield_stress: float = field(default_factory=lambda: material("steel")["yield_stress"].value)

    def __post_init__(self) -> None:
        choice("rod action", self.action, ("single", "double"))
        length("start of the rod", self.start, 0.0, 1.2, open_low=False)
        length("end of the rod", self.end, self.start, 1.2)
        length("depth of the rod, ends", self.depth_ends, 0.0, 0.05)
        length("depth of the rod, middle", self.depth_middle, 0.0, 0.05)
        length("rod diameter", self.diameter, 0.0015, 0.012, open_low=False)
        length("rod pitch per turn", self.pitch, 0.0, 0.0025)
        if self.pitch * _THREAD >= self.diameter:
            raise ValueError(f"rod pitch per turn: {self.pitch:g} m given; accepted: below "
                             f"{self.diameter / _THREAD:g} m, so that a core is left under the thread")
        number("yield stress of the rod", self.yield_stress, 1e7, 2e9, "Pa",
               lambda v: f"Did you mean {v * 1e6:g} Pa ({v:g} MPa)?" if v < 5000 else None)
        number("modulus of the rod", self.modulus, 1e9, 5e11, "Pa",
               lambda v: f"Did you mean {v * 1e9:g} Pa ({v:g} GPa)?" if v < 1000 else None)
        if self.is_double:
            length("gap between the bars", self.gap, self.diameter, 0.03, open_low=False)

    @classmethod
    def single(cls, **sizes: Any) -> Rod:
        """A single-acting rod in a curved channel; defaults as generic as the double-acting ones."""
        return cls(**_SINGLE | sizes)

    @property
    def is_double(self) -> bool:
        """Whether it works both ways."""
        return self.action == "double"

    @property
    def unit(self) -> str:
        """Unit of `effort`: "N" of tension (single-acting) or "N m" of couple (double-acting)."""
        return "N m" if self.is_double else "N"

    @property
    def axial_stiffness(self) -> float:
        """EA of one bar, N."""
        return self.modulus * np.pi / 4.0 * self.diameter**2

    @property
    def limit(self) -> float:
        """Largest effort to plan with: working share x yield stress x area under the thread (ISO form). From
        memory and estimate."""
        area = np.pi / 4.0 * (self.diameter - _THREAD * self.pitch) ** 2
        force = rule("rod_working_share").value * self.yield_stress * area
        return force * self.gap if self.is_double else force

    @property
    def lowest_effort(self) -> float:
        """The limit towards forward bow: a single-acting rod only pulls."""
        return -self.limit if self.is_double else 0.0

    @property
    def turned(self) -> float:
        """Angle (rad) by which a curved rod turns from end to end: friction along it holds at most 1 - exp(-
        friction x angle) of its tension."""
        return 8.0 * (self.depth_middle - self.depth_ends) / (self.end - self.start)

    def height(self, x: Draws) -> Array:
        """z (m, negative) of the rod's centre line at x."""
        share = np.clip((np.asarray(x) - self.start) / (self.end - self.start), 0.0, 1.0)
        return -self.depth_ends - (self.depth_middle - self.depth_ends) * 4.0 * share * (1.0 - share)

    def covered(self, x: Draws) -> Array:
        """Share (S,) of the reach of each station x (m) that lies along the rod, so that its ends need not
        fall on stations. Raises ValueError.

        >>> Rod(start=0.05, end=0.2).covered([0.0, 0.1, 0.2, 0.3]).round(3).tolist()
        [0.25, 0.875, 0.5, 0.0]
        """
        x = stations_checked(x)
        a, h = x[:-1], np.diff(x)
        low, high = np.clip(self.start - a, 0.0, h), np.clip(self.end - a, 0.0, h)
        far = (high**2 - low**2) / (2.0 * h)
        area, reach = np.zeros(x.size), np.zeros(x.size)
        for of_station, left, right in ((area, (high - low) - far, far), (reach, h / 2.0, h / 2.0)):
            of_station[:-1] += left
            of_station[1:] += right
        return area / reach

    def arm(self, x: Draws, z_bar: Draws) -> Array:
        """Back-bow moment per unit effort at x for an axis at z_bar (…, S): metres for a single-acting rod, 1
        for a double-acting, 0 off the rod."""
        return (np.ones(np.shape(z_bar)) if self.is_double else z_bar - self.height(x)) * self.covered(x)

    def flexibility(self, x: Draws, z_bar: Draws, EA: Draws, EI: Draws) -> Array:
        """Lengthening of the rod (m) per newton in it, (…): integral over the rod of 1/EA_rod + 1/EA_neck +
        e^2/EI (single-acting), or 2/EA_rod + gap^2/EI (double-acting). x (S,), the rest (…, S), SI.
        """
        if self.is_double:
            each = 2.0 / self.axial_stiffness + self.gap**2 / np.asarray(EI)
        else:
            each = 1.0 / self.axial_stiffness + 1.0 / np.asarray(EA) + (z_bar - self.height(x)) ** 2 / EI
        return np.asarray(np.trapezoid(each * self.covered(x), x, axis=-1))

    def effort(self, turns: Draws, x: Draws, z_bar: Draws, EA: Draws, EI: Draws) -> Array:
        """Effort (N or N m) after `turns` from finger tight: an upper bound. Raises ValueError for negative
        turns of a single-acting rod.

        >>> x = np.array([0.0, 0.2, 0.44])
        >>> float(Rod().effort(1.0, x, -0.003 + 0 * x, 12e6 + 0 * x, 350.0 + 0 * x).round(2))
        10.73
        """
        low, slip = (-20.0, None) if self.is_double else (0.0, "A single-acting rod only pulls; turning "
                                                               "back from finger tight does nothing")
        force = number("turns", turns, low, 20.0, "", slip) * self.pitch / self.flexibility(x, z_bar, EA, EI)
        return force * self.gap if self.is_double else force


def fit(rod: Rod, neck: Neck) -> None:
    """Check (m) that the rod lies inside the wood of the neck and inside its channel if it has one. Raises
    ValueError that says where it does not.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> fit(Rod(), example_neck())
    """
    longest = max(neck.end, neck.outline.length)
    if rod.end > longest:
        raise ValueError(f"end of the rod: {rod.end:g} m given; accepted: up to {longest:.3f} m, the end of "
                         "the neck")
    reach = rod.diameter / 2.0 + (rod.gap / 2.0 if rod.is_double else 0.0)
    x = np.linspace(rod.start, rod.end, 41)
    z = rod.height(x)
    roof = neck.channel.below if neck.channel is not None else 0.0
    if np.any(z + reach > 1e-9 - roof):
        k = np.argmax(z)
        if roof:
            raise ValueError(f"depth of the rod: its top is {-1e3 * (z[k] + reach):.1f} mm deep; accepted: "
                             f"at least {1e3 * roof:.1f} mm, the roof of the channel")
        raise ValueError(f"depth of the rod: its top stands {1e3 * (z[k] + reach):.2f} mm above the glue "
                         f"line at x = {1e3 * x[k]:.0f} mm; accepted: a centre line at least "
                         f"{1e3 * reach:.2f} mm deep, or the rod cuts into the fretboard")
    floor = neck.back.surface(rod.diameter / 2.0, neck.outline.width(x) / 2.0, neck.back.depth(x))
    out = floor - (z - reach)
    if np.any(out >= 0):
        k = np.argmax(out)
        raise ValueError(f"depth of the rod: its bottom is {1e3 * (reach - z[k]):.1f} mm deep at x = "
                         f"{1e3 * x[k]:.0f} mm; accepted: less than {-1e3 * floor[k]:.1f} mm, or it comes "
                         "out of the back")
    if (channel := neck.channel) is None:
        return
    if rod.diameter > channel.width + 1e-9:
        raise ValueError(f"rod diameter: {1e3 * rod.diameter:.1f} mm given; accepted: up to "
                         f"{1e3 * channel.width:.1f} mm, the width of the channel")
    deepest = float(np.max(reach - z))
    if deepest > channel.depth + 1e-9:
        raise ValueError(f"depth of the rod: its bottom is {1e3 * deepest:.1f} mm deep; accepted: up to "
                         f"{1e3 * channel.depth:.1f} mm, the depth of the channel")
    if rod.start < channel.start - 1e-9 or rod.end > channel.end + 1e-9:
        raise ValueError(f"rod: it runs from {1e3 * rod.start:.0f} to {1e3 * rod.end:.0f} mm; accepted: "
                         f"inside the channel, {1e3 * channel.start:.0f} to {1e3 * channel.end:.0f} mm")


@dataclass(frozen=True, kw_only=True)
class RodSetting:
    """A rod set for a wanted relief; one neck or D draws.

    effort (…): N (single) or N m (double) needed, positive towards back bow, 0 where a single-acting rod
    would have to push. turns (…): lower bound. relief: the Relief it leaves. per_unit (…): relief change at
    the fret per unit of effort (m, negative). limit: largest effort to plan with. reserve (…): share of the
    limit left, negative when the rod is not enough. lowest, highest (…): relief at the fret with the rod at
    its limit either way (a single-acting rod: slack). reached (…): whether target is met within them.
    """

    rod: Rod
    fret: int
    target: float
    effort: Array
    turns: Array
    relief: Relief = field(repr=False)
    per_unit: Array
    limit: float
    reserve: Array
    lowest: Array
    highest: Array
    reached: np.ndarray

    def table(self) -> pandas.DataFrame:
        """One column a quantity: one row, or with draws rows for 5 %, 50 % and 95 %."""
        unit = self.rod.unit.replace(" ", "·")
        return band_table({f"effort ({unit})": self.effort, "reserve (%)": 100 * self.reserve,
                           f"relief at fret {self.fret} (mm)": 1e3 * self.relief.at(self.fret),
                           "lowest relief at limit (mm)": 1e3 * self.lowest,
                           "highest relief at limit (mm)": 1e3 * self.highest, "turns, at least": self.turns})


def _fitted(slack: Relief, rod: Rod) -> Strung:
    """What was bent, once the rod is seen to fit it."""
    if slack.strung.neck is not None:
        fit(rod, slack.strung.neck)
    return slack.strung


def target_checked(target: float) -> float:
    """A wanted relief, m. Raises ValueError.

    >>> target_checked(0.0002)
    0.0002
    """
    return float(length("wanted relief", target, -0.002, 0.005, open_low=False))


def unit_response(slack: Relief, rod: Rod) -> Relief:
    """Relief change (m) per unit of rod effort on the strung neck of a slack Relief: strings' moment left
    out, their pull kept. Raises ValueError.

    >>> from tonewood.neck.load.relief import example_relief
    >>> round(1e3 * float(unit_response(example_relief(), Rod()).at(8)), 4)
    -0.0581
    """
    s = _fitted(slack, rod)
    return bend(s, rod.arm(s.x, s.z_bar), strings=0.0)


def relief_with_rod(slack: Relief, rod: Rod, effort: Draws | None = None, turns: Draws | None = None
                    ) -> Relief:
    """Relief with the rod tightened. slack: Relief with the rod slack; give either effort (N for
    single-acting, N m for double-acting, (D,) allowed) or turns from finger tight (upper bound of what they
    do). Raises ValueError.

    >>> from tonewood.neck.load.relief import example_relief
    >>> round(1e3 * float(relief_with_rod(example_relief(), Rod(), turns=0.5).at(8)), 3)
    0.024
    """
    s = _fitted(slack, rod)
    if (effort is None) == (turns is None):
        raise ValueError("rod: give either effort or turns, and not both")
    if turns is not None:
        effort = rod.effort(turns, s.x, s.z_bar, s.EA, s.EI)
    low, slip = (None, None) if rod.is_double else (0.0, "A single-acting rod only pulls: it cannot add "
                                                         "relief")
    effort = np.asarray(number("rod effort", effort, low, unit=rod.unit, slip=slip))
    return bend(s, effort[..., None] * rod.arm(s.x, s.z_bar))


def set_rod(slack: Relief, rod: Rod, target: float = 0.0002, fret: int = 8) -> RodSetting:
    """The rod setting that leaves `target` (m) of relief at `fret`. slack: Relief with the rod slack. Raises
    ValueError.

    >>> from tonewood.neck.load.relief import example_relief
    >>> set_rod(example_relief(), Rod(), 0.0002).effort.round(2).tolist()
    2.38
    """
    target, s = target_checked(target), slack.strung
    per_unit, free, last = unit_response(slack, rod).at(fret), slack.at(fret), slack.fret_positions.size
    if fret in (1, last):
        raise ValueError(f"reading fret: {fret} given; accepted: 2 to {last - 1}, between the frets the "
                         "straightedge lies on")
    if np.any(per_unit >= 0):
        raise ValueError(f"depth of the rod: at fret {fret} this rod would add relief when tightened, "
                         "because it lies above the neck's axis; accepted: a single-acting rod below the "
                         "axis. Make its channel deeper in the middle")
    effort = (target - free) / per_unit
    if not rod.is_double:
        effort = np.maximum(effort, 0.0)
    lowest, highest = free + rod.limit * per_unit, free + rod.lowest_effort * per_unit
    return RodSetting(rod=rod, fret=fret, target=target, effort=effort, per_unit=per_unit, limit=rod.limit,
                      turns=effort / rod.effort(1.0, s.x, s.z_bar, s.EA, s.EI),
                      relief=bend(s, np.asarray(effort)[..., None] * rod.arm(s.x, s.z_bar)),
                      reserve=1.0 - np.abs(effort) / rod.limit, lowest=lowest, highest=highest,
                      reached=(target >= lowest - 1e-9) & (target <= highest + 1e-9))
