"""Truss rods: the couple they put on the neck, the setting that leaves a wanted relief, the reserve left.

A single-acting rod is in tension below the axis: at every station it presses the wood with F at the distance e below the E-weighted axis, a back-bow
moment F e(x), whatever the shape of its channel. A double-acting rod pairs tension and compression: the same couple along its whole length, no net
force, either way round. Turns to force is an upper bound: wood crush, thread slack and friction take up part of every turn.
What a rod cannot mend is in rod_limits.py.
"""

from dataclasses import dataclass, field

import numpy as np

from tonewood.checks import choice, number
from tonewood.neck.load.bow import stations_checked
from tonewood.materials import Constant, material
from tonewood.neck.load.relief import Relief, bend

CONSTANTS = {
    "yield stress": Constant(250e6, 235e6, 350e6, "Pa", "from memory", "mild steel bar, unverified"),
    "working share": Constant(0.5, 0.3, 0.6, "1", "estimated", "share of the yield force taken as the limit: twisting under the nut and bending use the rest"),
}
CAUTIONS = (
    "Over-tightening strips or breaks a rod and can split the neck: turn no more than a quarter turn at a time, and stop when it gets hard.",
    "Slacken the strings before tightening a stiff rod, tune up again and read the relief after the neck has rested (common practice, no source).",
    "Strings under tension can break and whip: wear eye protection.",
)


def _millimetre_slip(value):
    return f"Did you mean {value / 1000:g} m ({value:g} mm)?" if value < 1500 else None


@dataclass(frozen=True)
class Rod:
    """A truss rod. Sizes in m; defaults: round generic sizes, common practice, no source.

    action: "single" or "double". start, end: x of its ends. depth_ends, depth_middle: how far its centre line (of the pair, if double) lies under the
    glue line; equal for a straight channel, else a parabola. diameter: of each bar. gap: between the two bars' centre lines (double only).
    pitch: lengthening per turn of the nut. modulus: Pa, of steel unless given. yield_stress: Pa. Raises ValueError.
    """
    action: str = "double"
    start: float = 0.010
    end: float = 0.430
    depth_ends: float = 0.0055
    depth_middle: float = 0.0055
    diameter: float = 0.0040
    gap: float = 0.0050
    pitch: float = 0.0008
    modulus: float = None
    yield_stress: float = CONSTANTS["yield stress"].value

    def __post_init__(self):
        choice("rod action", self.action, ("single", "double"))
        number("start of the rod", self.start, 0.0, 1.2, "m", _millimetre_slip)
        number("end of the rod", self.end, self.start, 1.2, "m", _millimetre_slip, open_low=True)
        for name in ("depth_ends", "depth_middle"):
            number(f"depth of the rod, {name[6:]}", getattr(self, name), 0.0, 0.05, "m", _millimetre_slip, open_low=True)
        number("rod diameter", self.diameter, 0.0015, 0.012, "m", _millimetre_slip)
        number("rod pitch per turn", self.pitch, 0.0, 0.0025, "m", _millimetre_slip, open_low=True)
        if self.pitch * 0.9382 >= self.diameter:
            raise ValueError(f"rod pitch per turn: {self.pitch:g} m given; accepted: below {self.diameter / 0.9382:g} m, so that a core is left under the thread")
        number("yield stress of the rod", self.yield_stress, 1e7, 2e9, "Pa", lambda v: f"Did you mean {v * 1e6:g} Pa ({v:g} MPa)?" if v < 5000 else None)
        if self.modulus is None:
            object.__setattr__(self, "modulus", material("steel")["modulus"].value)
        number("modulus of the rod", self.modulus, 1e9, 5e11, "Pa", lambda v: f"Did you mean {v * 1e9:g} Pa ({v:g} GPa)?" if v < 1000 else None)
        if self.action == "double":
            number("gap between the bars", self.gap, self.diameter, 0.03, "m", _millimetre_slip)

    @classmethod
    def single(cls, **sizes):
        """A single-acting rod in a curved channel; defaults as generic as the double-acting ones."""
        return cls(**{"action": "single", "depth_ends": 0.0045, "depth_middle": 0.0075, "diameter": 0.0046, **sizes})

    @property
    def unit(self):
        """Unit of `effort`: "N" of tension (single-acting) or "N m" of couple (double-acting)."""
        return "N" if self.action == "single" else "N m"

    @property
    def axial_stiffness(self):
        """EA of one bar, N."""
        return self.modulus * np.pi / 4.0 * self.diameter**2

    @property
    def limit(self):
        """Largest effort to plan with: working share x yield stress x area under the thread (ISO form d - 0.938 pitch). From memory and estimate."""
        force = CONSTANTS["working share"].value * self.yield_stress * np.pi / 4.0 * (self.diameter - 0.9382 * self.pitch) ** 2
        return force if self.action == "single" else force * self.gap

    def height(self, x):
        """z (m, negative) of the rod's centre line at x."""
        share = np.clip((np.asarray(x) - self.start) / (self.end - self.start), 0.0, 1.0)
        return -self.depth_ends - (self.depth_middle - self.depth_ends) * 4.0 * share * (1.0 - share)

    def covered(self, x):
        """Share (S,) of each station's reach that lies along the rod, so that its ends need not fall on stations."""
        x = stations_checked(x)
        a, h = x[:-1], np.diff(x)
        low, high = np.clip(self.start - a, 0.0, h), np.clip(self.end - a, 0.0, h)
        far = (high**2 - low**2) / (2.0 * h)
        near = (high - low) - far
        area = np.zeros(x.size)
        reach = np.zeros(x.size)
        area[:-1] += near
        area[1:] += far
        reach[:-1] += h / 2.0
        reach[1:] += h / 2.0
        return area / reach

    def arm(self, x, z_bar):
        """Back-bow moment per unit effort at x for an axis at z_bar (…, S): metres for a single-acting rod, 1 for a double-acting, 0 off the rod."""
        arm = np.asarray(z_bar) - self.height(x) if self.action == "single" else np.ones(np.shape(z_bar))
        return arm * self.covered(x)

    def flexibility(self, x, z_bar, EA, EI):
        """Lengthening of the rod (m) per newton in it: integral over the rod of 1/EA_rod + 1/EA_neck + e^2/EI (single-acting), or
        2/EA_rod + gap^2/EI (double-acting). x (S,), the rest (…, S), SI. Returns (…)."""
        if self.action == "single":
            each = 1.0 / self.axial_stiffness + 1.0 / EA + (np.asarray(z_bar) - self.height(x)) ** 2 / EI
        else:
            each = 2.0 / self.axial_stiffness + self.gap**2 / np.asarray(EI)
        return np.trapezoid(each * self.covered(x), x, axis=-1)

    def effort(self, turns, x, z_bar, EA, EI):
        """Effort (N or N m) after `turns` from finger tight: an upper bound. Raises ValueError for negative turns of a single-acting rod."""
        turns = np.asarray(number("turns", turns, 0.0 if self.action == "single" else -20.0, 20.0, "",
                                  "A single-acting rod only pulls; turning back from finger tight does nothing" if self.action == "single" else None))
        force = turns * self.pitch / self.flexibility(x, z_bar, EA, EI)
        return force if self.action == "single" else force * self.gap


def fit(rod, neck):
    """Check that the rod lies inside the wood of the neck and inside its channel if it has one. Raises ValueError that says where it does not."""
    longest = max(neck.end, neck.outline.length)
    if rod.end > longest:
        raise ValueError(f"end of the rod: {rod.end:g} m given; accepted: up to {longest:.3f} m, the end of the neck")
    reach = rod.diameter / 2.0 + (rod.gap / 2.0 if rod.action == "double" else 0.0)
    x = np.linspace(rod.start, rod.end, 41)
    z = rod.height(x)
    if np.any(z + reach > 1e-9):
        worst = x[np.argmax(z)]
        raise ValueError(f"depth of the rod: its top stands {1e3 * float(np.max(z + reach)):.2f} mm above the glue line at x = {1e3 * worst:.0f} mm; accepted: "
                         f"a centre line at least {1e3 * reach:.2f} mm deep, or the rod cuts into the fretboard")
    floor = neck.back.surface(rod.diameter / 2.0, neck.outline.width(x) / 2.0, neck.back.depth(x))
    out = floor - (z - reach)
    if np.any(out >= 0):
        k = int(np.argmax(out))
        raise ValueError(f"depth of the rod: its bottom is {1e3 * (reach - z[k]):.1f} mm deep at x = {1e3 * x[k]:.0f} mm; accepted: less than "
                         f"{-1e3 * floor[k]:.1f} mm, or it comes out of the back")
    channel = neck.channel
    if channel is not None:
        if rod.diameter > channel.width + 1e-9:
            raise ValueError(f"rod diameter: {1e3 * rod.diameter:.1f} mm given; accepted: up to {1e3 * channel.width:.1f} mm, the width of the channel")
        deepest = float(np.max(reach - z))
        if deepest > channel.depth + 1e-9:
            raise ValueError(f"depth of the rod: its bottom is {1e3 * deepest:.1f} mm deep; accepted: up to {1e3 * channel.depth:.1f} mm, the depth of the channel")
        if rod.start < channel.start - 1e-9 or rod.end > channel.end + 1e-9:
            raise ValueError(f"rod: it runs from {1e3 * rod.start:.0f} to {1e3 * rod.end:.0f} mm; accepted: inside the channel, {1e3 * channel.start:.0f} to "
                             f"{1e3 * channel.end:.0f} mm")


@dataclass(frozen=True)
class RodSetting:
    """A rod set for a wanted relief; one neck or D draws.

    effort (…): N (single) or N m (double) needed, positive towards back bow, 0 where a single-acting rod would have to push. turns (…): lower bound,
    None if the neck's EA is not known. relief: the Relief it leaves. per_unit (…): relief change at the fret per unit of effort (m, negative).
    limit: largest effort to plan with (yield stress from memory). reserve (…): share of the limit left, negative when the rod is not enough.
    lowest, highest (…): relief at the fret with the rod at its limit either way (a single-acting rod: slack). reached (…): whether target is met within them.
    """
    rod: Rod
    fret: int
    target: float
    effort: np.ndarray
    turns: np.ndarray
    relief: Relief = field(repr=False)
    per_unit: np.ndarray
    limit: float
    reserve: np.ndarray
    lowest: np.ndarray
    highest: np.ndarray
    reached: np.ndarray
    cautions: tuple = CAUTIONS

    def table(self):
        """One column a quantity: one row, or with draws rows for 5 %, 50 % and 95 %."""
        import pandas
        columns = {f"effort ({self.rod.unit.replace(' ', '·')})": self.effort, "reserve (%)": 100 * self.reserve,
                   f"relief at fret {self.fret} (mm)": 1e3 * self.relief.at(self.fret), "lowest relief at limit (mm)": 1e3 * self.lowest,
                   "highest relief at limit (mm)": 1e3 * self.highest}
        if self.turns is not None:
            columns["turns, at least"] = self.turns
        if np.ndim(self.effort) == 0:
            return pandas.DataFrame({name: [float(v)] for name, v in columns.items()}, index=["value"])
        spread = {name: np.percentile(np.broadcast_to(v, np.shape(self.effort)), [5, 50, 95]) for name, v in columns.items()}
        return pandas.DataFrame(spread, index=["5 %", "50 %", "95 %"])


def unit_response(slack, rod):
    """Relief change per unit of rod effort on the strung neck of a slack Relief (strings' moment left out, their pull kept). Returns Relief."""
    s = slack.strung
    if s.neck is not None:
        fit(rod, s.neck)
    return bend(s, rod.arm(s.x, s.z_bar), strings=0.0)


def relief_with_rod(slack, rod, effort=None, turns=None):
    """Relief with the rod tightened. slack: Relief with the rod slack; give either effort (N for single-acting, N m for double-acting, (D,) allowed) or
    turns from finger tight (upper bound of what they do). Returns Relief. Raises ValueError.
    """
    s = slack.strung
    if s.neck is not None:
        fit(rod, s.neck)
    if (effort is None) == (turns is None):
        raise ValueError("rod: give either effort or turns, and not both")
    if turns is not None:
        if s.EA is None:
            raise ValueError("turns: the axial stiffness of the neck is not known here; accepted: effort")
        effort = rod.effort(turns, s.x, s.z_bar, s.EA, s.EI)
    low = 0.0 if rod.action == "single" else None
    effort = np.asarray(number("rod effort", effort, low, unit=rod.unit, slip="A single-acting rod only pulls: it cannot add relief" if low == 0.0 else None))
    return bend(s, effort[..., None] * rod.arm(s.x, s.z_bar))


def set_rod(slack, rod, target=0.0002, fret=8):
    """The rod setting that leaves `target` (m) of relief at `fret`. slack: Relief with the rod slack. Returns RodSetting. Raises ValueError."""
    target = number("wanted relief", target, -0.002, 0.005, "m", lambda v: f"Did you mean {v / 1000:g} m ({v:g} mm)?" if 0.005 < v < 10 else None)
    s = slack.strung
    per_unit = unit_response(slack, rod).at(fret)
    if fret in (1, slack.fret_positions.size):
        raise ValueError(f"reading fret: {fret} given; accepted: 2 to {slack.fret_positions.size - 1}, between the frets the straightedge lies on")
    if np.any(per_unit >= 0):
        raise ValueError(f"depth of the rod: at fret {fret} this rod would add relief when tightened, because it lies above the neck's axis; "
                         "accepted: a single-acting rod below the axis. Make its channel deeper in the middle")
    free = slack.at(fret)
    effort = (target - free) / per_unit
    if rod.action == "single":
        effort = np.maximum(effort, 0.0)
    limit = rod.limit
    lowest = free + limit * per_unit
    highest = free + np.zeros(np.shape(per_unit)) if rod.action == "single" else free - limit * per_unit
    turns = None
    if s.EA is not None:
        turns = effort / rod.effort(1.0, s.x, s.z_bar, s.EA, s.EI)
    set_relief = bend(s, np.asarray(effort)[..., None] * rod.arm(s.x, s.z_bar))
    return RodSetting(rod, fret, target, effort, turns, set_relief, per_unit, limit, 1.0 - np.abs(effort) / limit, lowest, highest,
                      (target >= lowest - 1e-9) & (target <= highest + 1e-9))
