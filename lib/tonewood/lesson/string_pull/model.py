"""A neck under its strings, worked out for one setting: rod slack and set, what stays, creep."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any, NamedTuple

import numpy as np

from tonewood.constants import DAY
from tonewood.draws import Draws, band
from tonewood.lesson.shared import shop
from tonewood.lesson.shared.reads import kept_by, moved
from tonewood.lesson.shared.shop import NECK_12, RODS, on_step
from tonewood.lesson.shared.strung import strung, wedged
from tonewood.neck.design import Design, StringPlan
from tonewood.neck.layup.neck import Neck, Outline
from tonewood.neck.load.creep import END, creep
from tonewood.neck.load.relief import Relief
from tonewood.neck.load.rod import Rod, RodSetting, set_rod
from tonewood.neck.load.rod_limits import Limit, rod_limits
from tonewood.remember import remember
from tonewood.strings.pitch import TUNINGS

DRAWS = 400
READ, MOST_FRETS = 8, 24
"""The fret at which relief is read and the rod is set, and how many frets the pictures have room for."""
RANGES = {"gauge": (80, 120, 5), "action": (1.0, 3.5, 0.1), "depth": (20, 25, 0.5), "thickness": (4, 7, 0.5)}
"""Lowest and highest value and step of the sliders that show what a design decides, in people's units."""
LOW = -0.5
"""Lower end of the scale of gaps, mm: back bow by tight tangs."""


class Sizes(NamedTuple):
    """Sizes (m) that go with a string set: round numbers, common practice, no source. length: of board."""

    scale: float
    frets: int
    joint_fret: int
    nut: float
    end: float
    length: float
    blank: float
    nut_spread: float
    bridge_spread: float


SIZES = {"six": Sizes(0.648, 22, 17, 0.043, 0.056, 0.470, 0.060, 0.035, 0.052),
         "seven": Sizes(0.648, 24, 18, 0.048, 0.064, 0.486, 0.068, 0.041, 0.063),
         "eight": Sizes(0.686, 24, 18, 0.055, 0.072, 0.5145, 0.076, 0.047, 0.073),
         "bass four": Sizes(0.864, 20, 16, 0.041, 0.062, 0.592, 0.066, 0.031, 0.057),
         "bass five": Sizes(0.864, 20, 16, 0.046, 0.070, 0.592, 0.074, 0.036, 0.075)}
UNKNOWN = "not known: open to bearing"
SLOTS = {UNKNOWN: None, "open: tangs loose": 0.0, "half bearing": 0.5, "bearing: tangs seated tight": 1.0}
TEN_YEARS, MONTH = END * (1 - 1e-9), 30 * DAY
TIMES = DAY * np.geomspace(1.0, TEN_YEARS / DAY, 25)


def tuned(tuning: str) -> str:
    """A tuning of strings.pitch as it is shown: "bass, four strings, dropped D" of "bass four, dropped D"."""
    strings, *how = tuning.split(", ")
    return ", ".join([f"{strings.replace('bass ', 'bass, ')} strings", *how])


TUNED = {tuned(name): name for name in TUNINGS}


def exact(design: Design) -> dict[str, float]:
    """What the design decides of the sliders, in people's units, as it is."""
    board = design.fretboard
    return {"gauge": 100 * design.strings.gauge, "action": 1e3 * design.action_bass,
            "depth": 1e3 * (design.back.depth_nut + board.thickness), "thickness": 1e3 * board.thickness}


def defaults(design: Design = NECK_12) -> dict[str, Any]:
    """Start values of the controls: what the design decides, as near as a control can show it."""
    board, listed = design.fretboard, [key for _, key in shop.woods("fretboard")]
    known = [words for words, fill in SLOTS.items() if fill is not None]
    near = UNKNOWN if board.slot_fill is None else min(known, key=lambda w: abs(SLOTS[w] - board.slot_fill))
    return {"tuned": tuned(design.strings.tuning),
            **{name: on_step(value, *RANGES[name]) for name, value in exact(design).items()},
            "fretboard": board.wood if board.wood in listed else NECK_12.fretboard.wood,
            "slots": near, "joint": design.joint, "rod": design.rod if design.rod in RODS else RODS[0],
            "tang": 0.0, "target": 0.2}


def resized(design: Design, strings: str) -> Design:
    """The design with another string set and the sizes that go with it: woods, depth and taper kept, its main
    stripes made wider where the blank must be."""
    size, main = SIZES[strings], shop.role_woods(design)["main"].key
    wider = max(0.0, size.blank - sum(stripe.width for stripe in design.stripes))
    wider /= sum(stripe.wood == main for stripe in design.stripes)
    return design.changed(
        strings=replace(design.strings, set=strings, tuning=strings), scale_length=size.scale,
        frets=size.frets, joint_fret=size.joint_fret, nut_spread=size.nut_spread,
        bridge_spread=size.bridge_spread,
        stripes=[replace(s, width=s.width + wider) if s.wood == main else s for s in design.stripes],
        outline=Outline(size.nut, size.end, size.length), back=replace(design.back, length=size.length),
        channel=design.channel and replace(design.channel, end=size.length))


@remember(64)
def build(design: Design = NECK_12, **values: Any) -> Design:
    """The design with what the controls change; one at its start value changes nothing. Raises ValueError."""
    new = moved(defaults(design), values)
    fields: dict[str, Any] = {name: new[name] for name in ("fretboard", "joint") if name in new}
    fields |= {name: 1e-3 * new[name] for name in ("depth", "thickness") if name in new}
    strings = design.strings
    if "tuned" in new:
        tuning = TUNED[new["tuned"]]
        name = tuning.split(",")[0]
        design = design if name == strings.set else resized(design, name)
        strings = StringPlan(set=name, tuning=tuning, gauge=strings.gauge)
    if "gauge" in new:
        strings = replace(strings, gauge=new["gauge"] / 100)
    if "action" in new:
        fields |= {"action_bass": 1e-3 * new["action"], "action_treble": 0.8e-3 * new["action"]}
    made, kind = shop.changed(design, strings=strings, **fields), new.get("rod", design.rod)
    if new.keys() & {"rod", "depth", "thickness"}:
        made = shop.with_rod(made, kind)
    return made if "slots" not in new else made.changed(
        fretboard=replace(made.fretboard, slot_fill=SLOTS[new["slots"]]))


keep = kept_by(build)


def cannot(design: Design) -> list[str]:
    """What this lesson cannot show of a design, and what it keeps until a control is moved."""
    start, out = defaults(design), []
    shown = {"gauge": "gauges, {:.4g} %", "action": "action, {:.4g} mm", "depth": "depth, {:.4g} mm",
             "thickness": "fretboard thickness, {:.4g} mm"}
    own = exact(design)
    off = [words.format(own[name]) for name, words in shown.items() if abs(own[name] - start[name]) > 1e-6
           and (name != "thickness" or design.fretboard.layers)]
    off += ["fit of the tangs"] if design.fretboard.slot_fill != SLOTS[start["slots"]] else []
    off += ["fretboard wood"] if design.fretboard.wood not in (start["fretboard"], None) else []
    out += shop.bare(design)
    if off:
        out.append(f"No control can stand on its {'; '.join(off)}: kept until you move the control.")
    if design.rod not in RODS:
        out.append("It has no truss rod; what is shown is what one would do in it.")
    if design.frets > MOST_FRETS:
        out.append(f"It has {design.frets} frets; the bars show the first {MOST_FRETS}.")
    if design.scale_length > 0.88:
        out.append("Its strings run on beyond the side view.")
    return out


@dataclass(frozen=True, kw_only=True)
class Pulled:
    """One setting worked out: design, draws, rod; slack and set at every fret; what stays anyway; wedge: what
    tight tangs alone do at the reading fret, (D,), m, or 0."""

    design: Design
    neck: Neck
    rod: Rod
    slack: Relief
    setting: RodSetting
    limits: dict[str, Limit]
    wedge: Draws


@remember(64)
def slack(design: Design) -> Relief:
    """Relief, rod slack, of a design with every board at its table value and unknown slots half bearing."""
    return strung(design.neck(), design)


@remember(8)
def worked(design: Design, kind: str, target: float, tang: float) -> Pulled:
    """Pulled for a design, a kind of rod, the relief wanted and the tangs' width over their slots (mm)."""
    neck = shop.possible(design.neck(), draws=DRAWS, slot_fill=design.fretboard.slot_fill)
    rod, bent, wanted = shop.truss_rod(neck, kind), strung(neck, design, 1e-3 * tang), 1e-3 * target
    return Pulled(design=design, neck=neck, rod=rod, slack=bent, setting=set_rod(bent, rod, wanted, READ),
                  limits={limit.name: limit for limit in rod_limits(bent, rod, wanted, READ)},
                  wedge=wedged(neck, design, 1e-3 * tang, fret=READ))


def pulled(subject: Design = NECK_12, **values: Any) -> Pulled:
    """Pulled for one setting of the controls; what is not given is as in the subject."""
    chosen = {**defaults(subject), **values}
    return worked(build(subject, **chosen), chosen["rod"], chosen["target"], chosen["tang"])


def gap_of(design: Design = NECK_12, **values: Any) -> float:
    """Gap (mm) at the reading fret, rod slack, every board at its table value."""
    return 1e3 * float(slack(build(design, **values)).at(READ))


def held_share(found: Pulled) -> np.ndarray:
    """The rod's effort as % of the limit to plan with, (D,); a rod asked for more is shown beyond 100."""
    return 100 * found.setting.effort / found.setting.limit


def reachable(found: Pulled) -> np.ndarray:
    """Gap (D, F), m, with the rod set for the wanted relief, or at its limit where that is not enough."""
    done = np.minimum(1.0, found.setting.limit / np.maximum(np.abs(found.setting.effort), 1e-12))
    return found.slack.at_fret + done[:, None] * (found.setting.relief.at_fret - found.slack.at_fret)


def crept(gap: Draws, times: np.ndarray = TIMES, wedge: Draws = 0.0
          ) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """(low, middle, high), each (T,), of a gap (D,) in m over times (s): the law's band around the necks'.
    wedge (D,): the tangs' part of the gap, which does not grow (that it eases, too, is left out)."""
    wedge = np.asarray(wedge) + np.zeros_like(gap)
    low, middle, high = band(creep(gap - wedge, times).swapaxes(0, 1) + wedge[:, None, None])
    return low.min(0), middle[1], high.max(0)
