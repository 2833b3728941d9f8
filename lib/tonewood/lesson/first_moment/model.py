"""The first fifth of a second, calculated: a design and a stroke in people's units -> level, fall, decay and
pitch, with what boards leave open."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from tonewood.draws import Array
from tonewood.lesson.shared.notes_played import STROKE, Note, gives, note, played
from tonewood.lesson.shared.reads import kept_by, lumped_joint, moved
from tonewood.lesson.shared.shop import NECK_12, changed, on_step, role_woods
from tonewood.neck.design import Design
from tonewood.remember import remember
from tonewood.sound.attack import TIMES
from tonewood.sound.glide import tension_glide

CURVE = np.linspace(0.0, 0.2, 201)
FULL = 30
"""String partials of the full model in the figure; sounds to listen to have 60."""
RANGES = {"stripes": (1, 11, 1), "depth": (18, 26, 0.5)}
"""Lowest and highest value and step of the sliders that show what a design decides, in people's units."""
STRINGS, LAST_FRET = 6, 19


def exact(design: Design = NECK_12) -> dict[str, Any]:
    """What the design decides of the controls, in people's units, not rounded, perhaps off a slider."""
    return {"wood": role_woods(design)["main"].key, "stripes": len(design.stripes),
            "depth": 1e3 * (design.back.depth_nut + design.fretboard.thickness)}


def defaults(design: Design = NECK_12) -> dict[str, Any]:
    """Start values of the controls: what the design decides, and a stroke beside the D string's dead note.
    """
    start = exact(design)
    start |= {name: on_step(start[name], *scale) for name, scale in RANGES.items()}
    return {"string": 4, "fret": 7.0, **STROKE, **start, "age": 0.0}


@remember(64)
def build(design: Design = NECK_12, **values: Any) -> Design:
    """The design with what controls off their start change of it. Raises ValueError."""
    names = {"wood": "main", "stripes": "stripes", "depth": "depth"}
    new = {names[n]: value for n, value in moved(defaults(design), values).items() if n in names}
    return changed(design, **new | ({"depth": 1e-3 * new["depth"]} if "depth" in new else {}))


keep = kept_by(build)


def cannot(design: Design) -> list[str]:
    """What this lesson cannot show of a design, and what it keeps until a control is moved."""
    own, start, said = exact(design), defaults(design), []
    count, kept = len(design.string_set()), "stays until you move that control"
    if count != STRINGS:
        said.append(f"It has {count} strings: the string is chosen by the numbers of {STRINGS}, counted from "
                    "the treble.")
    if design.frets <= LAST_FRET:
        said.append(f"It has {design.frets} frets: the fret slider ends at fret {design.frets - 1} of it.")
    said += [f"Its {words} is not a step of the slider; it {kept}." for name, words in (
        ("stripes", f"number of stripes ({own['stripes']})"),
        ("depth", f"depth at the nut ({own['depth']:.4g} mm)")) if abs(own[name] - start[name]) > 1e-6]
    return said + lumped_joint(design)


@dataclass(frozen=True, eq=False, kw_only=True)
class Found:
    """What the figure shows of one setting. Plain values are those of boards with exactly average numbers;
    what ends in _draws holds those of DRAWS such necks.

    note; frequency, Hz; level (201,), dB re 1 m/s over CURVE; at (3,): at 5, 50 and 200 ms; spread: (low,
    high) (21,) of the level over CURVE[::10]; fall50, fall200, dB; early_decay, late_decay, s; cents (201,):
    pitch above the later note; relieved: cents the neck takes away; threshold: glide noticed, cents.
    """

    note: Note
    frequency: float
    level: Array
    at: Array
    level_draws: Array
    spread: tuple[Array, Array]
    fall50: float
    fall50_draws: Array
    fall200: float
    fall200_draws: Array
    early_decay: float
    early_draws: Array
    late_decay: float
    late_draws: Array
    cents: Array
    relieved: float
    relieved_draws: Array
    threshold: float


def _smooth(level: Array, points: int = 9) -> Array:
    """Level (201,) averaged by power over 9 ms: with a hard stroke the gliding pitch makes the mean over
    whole periods ripple."""
    padded = np.pad(10 ** (level / 10), points // 2, mode="reflect")
    return 10 * np.log10(np.convolve(padded, np.ones(points) / points, "valid"))


def found(subject: Design = NECK_12, **values: Any) -> Found:
    """Found for one setting of the controls; what is not given stands as it starts. Kept for reuse."""
    v = {**defaults(subject), **values}
    return _found(note(build(subject, **v), v["string"], v["fret"]), v["age"], **{n: v[n] for n in STROKE})


@remember(64)
def _found(of: Note, age: float, **how: float) -> Found:
    line, heard = of.line(age), played(of, age, CURVE[-1] + 0.005, FULL, **how)
    alone, among = of.first_moments(age, **how)
    times = np.concatenate([TIMES, CURVE[::10]])
    # what other boards do, laid on the full model's curve
    change = among.level(times) - alone.level(times)
    at, level = heard.level_at(TIMES), _smooth(heard.level_at(CURVE))
    fall = at[0] - at
    fall_draws = fall + change[:, :1] - change[:, :3]
    order = np.sort(change[:, 3:], axis=0)
    (early, late), (early_draws, late_draws) = alone.decay_times(), among.decay_times()
    pull, pick = 1e-3 * how["strength"], 1e-3 * how["pick"]
    own, others = (tension_glide(line, pull, pick, give) for give in gives(of))
    return Found(note=of, frequency=line.fundamental, level=level, at=at, level_draws=at[0] + change[:, 0],
                 spread=(level[::10] + order[4], level[::10] + order[95]), fall50=fall[1],
                 fall50_draws=fall_draws[:, 1], fall200=fall[2], fall200_draws=fall_draws[:, 2],
                 early_decay=float(early), early_draws=early_draws, late_decay=float(late),
                 late_draws=late_draws, cents=heard.cents_at(CURVE), relieved=float(own.cents_relieved),
                 relieved_draws=others.cents_relieved, threshold=float(own.threshold))
