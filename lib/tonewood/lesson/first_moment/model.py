"""The first fifth of a second, calculated: a design and a stroke in people's units -> level, fall, decay and pitch, with what boards
leave open."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from tonewood.lesson.shared.shop import NECK_12, changed, on_step, possible, role_woods
from tonewood.neck.design import Design
from tonewood.neck.layup.neck import Neck
from tonewood.remember import remember
from tonewood.sound.attack import TIMES, AttackDesign
from tonewood.sound.compliance import compliance_along
from tonewood.sound.coupled import string_ends
from tonewood.sound.early_decay import early_decay
from tonewood.sound.glide import tension_glide
from tonewood.sound.instrument import Instrument
from tonewood.sound.modes import Modes, modes
from tonewood.sound.partials import EndModes, SpeakingString, partials, speaking_string
from tonewood.sound.pluck import Pluck, pluck
from tonewood.strings import pitch
from tonewood.strings.wire import StringSet

DRAWS = 100
SEED = 8
CURVE = np.linspace(0.0, 0.2, 201)
FULL = 30
"""String partials of the full model in the figure; sounds to listen to have 60."""
BOARDS = ("wood", "stripes", "depth")
"""The controls that change the neck."""
STROKE = ("pick", "strength", "direction", "pickup")
"""The controls of one stroke."""
NECK_CONTROLS = {"stripes": (1, 11, 1), "depth": (18, 26, 0.5)}
"""Low end, high end and step of the sliders that stand on the design, in people's units."""


def defaults(design: Design = NECK_12) -> dict[str, Any]:
    """Start values of the controls: the D string at the fifth fret of this design."""
    deep = 1e3 * (design.back.depth_nut + design.fretboard.thickness)
    return dict(string=4, fret=5.0, pick=110.0, strength=2.0, direction=45.0, pickup=150.0, wood=role_woods(design)["main"].key,
                stripes=on_step(len(design.stripes), *NECK_CONTROLS["stripes"]), depth=on_step(deep, *NECK_CONTROLS["depth"]),
                age=0.0)


def build(design: Design = NECK_12, **values: Any) -> Design:
    """The design with what the controls wood, stripes and depth (mm) change of it; the others are passed over."""
    start = defaults(design)
    moved = {n: values[n] for n in BOARDS if n in values and values[n] != start[n]}
    return changed(design, main=moved.get("wood"), stripes=moved.get("stripes"),
                   depth=1e-3 * moved["depth"] if "depth" in moved else None)


def plays(design: Design) -> bool:
    """Whether this lesson's six strings are the design's own."""
    return len(design.string_set()) == 6


def strings(design: Design = NECK_12) -> StringSet:
    """The six strings of the lesson: the design's own, or those of No. 12 at its scale if it has another number."""
    return design.string_set() if plays(design) else NECK_12.changed(scale_length=design.scale_length).string_set()


def note_name(string: int, fret: float, design: Design = NECK_12) -> str:
    """Name of a stopped note, such as G3. string: 6 (low E) to 1."""
    return pitch.note_name(pitch.note_number(strings(design).tuning[6 - int(string)]) + int(fret))


@remember(48)
def guitar(design: Design) -> tuple[Neck, Modes, Modes, Modes, Neck]:
    """(Neck, its modes out of the fretboard plane, along it, modes of DRAWS necks of such boards, those necks)."""
    neck = design.neck()
    drawn = possible(neck, "different trees", DRAWS, SEED)
    return (neck, modes(Instrument(neck), 8, 4), modes(Instrument(neck), 8, 0, "in-plane"), modes(Instrument(drawn), 5, 3), drawn)


def ends_of(design: Design, way: Modes, string: int, fret: float) -> EndModes:
    """EndModes of one way of vibrating for a string (6 to 1) at a fret, at its own place across the board."""
    neck = design.neck()
    x = np.array([float(neck.fret(fret)), neck.scale_length])
    y = design.setup().places(neck, x, 6)[6 - int(string)]
    return string_ends(way, x[0], x[1], y[0], y[1])


def stroke(pick: float, strength: float, direction: float, pickup: float) -> dict[str, float]:
    """Keywords of a pluck from people's units: mm, mm, degrees, mm."""
    return dict(pick=1e-3 * pick, height=1e-3 * strength, direction=np.radians(direction), pickup=1e-3 * pickup)


def attack_design(name: str, design: Design, string: int, fret: float) -> AttackDesign:
    """sound.attack.AttackDesign of a design for one note."""
    neck, normal, along, *_ = guitar(design)
    return AttackDesign(name, ends_of(design, normal, string, fret), ends_of(design, along, string, fret),
                        compliance_along(neck, strings(design), 6 - int(string), int(fret)))


@remember(48)
def _solved(design: Design, string: int, fret: int, age: float, most: int) -> tuple[Any, ...]:
    """(SpeakingString, AttackDesign, count, damped partials in both directions) of one note; the stroke does not enter."""
    line = speaking_string(strings(design), 6 - string, fret, age / 100)
    met = attack_design("", design, string, fret)
    count = min(most, int(np.sum(line.omegas(400) < 2 * np.pi * 0.45 * 44100)))
    return line, met, count, tuple(partials(line, ends, count) for ends in (met.normal, met.parallel))


def played(design: Design, string: int, fret: float, age: float = 0.0, duration: float = 2.0, most: int = 60, **how: float
           ) -> tuple[SpeakingString, Pluck]:
    """(SpeakingString, Pluck) of one note with pitch glide. age: string age in %; most: string partials, if as many fit; how: see
    stroke."""
    line, met, count, solved = _solved(design, int(string), int(fret), age, most)
    return line, pluck(line, met.normal, met.parallel, duration=duration, modes=count, glide=True, neck_compliance=met.compliance,
                       solved=solved, **stroke(**how))


@dataclass(frozen=True, eq=False, kw_only=True)
class Found:
    """What the figure shows of one setting. Nominal values are those of boards with exactly average numbers; a *_draws array holds 100 such necks.

    note, frequency (Hz); level (201,) dB re 1 m/s over CURVE; at (3,): at 5, 50 and 200 ms; spread: (low, high) (21,) of the level over CURVE[::10];
    fall50, fall200 (dB), early_decay, late_decay (s) and their draws; cents (201,): pitch above the later note; relieved: cents the neck takes away,
    and relieved_draws; threshold: glide listeners notice (cents).
    """

    note: str
    frequency: float
    level: np.ndarray
    at: np.ndarray
    level_draws: np.ndarray
    spread: tuple
    fall50: float
    fall50_draws: np.ndarray
    fall200: float
    fall200_draws: np.ndarray
    early_decay: float
    early_draws: np.ndarray
    late_decay: float
    late_draws: np.ndarray
    cents: np.ndarray
    relieved: float
    relieved_draws: np.ndarray
    threshold: float


def _smooth(level: np.ndarray, points: int = 9) -> np.ndarray:
    """Level (201,) averaged by power over 9 ms: with a hard stroke the gliding pitch makes the mean over whole periods ripple."""
    reach = points // 2
    return 10 * np.log10(np.convolve(np.pad(10 ** (level / 10), reach, mode="reflect"), np.ones(points) / points, "valid"))


@remember(64, defaults=lambda: {"subject": NECK_12})
def found(**v: Any) -> Found:
    """Found for one setting of the controls and a `subject`, the Design they stand on; kept for reuse."""
    design = build(v.pop("subject"), **v)
    how = {name: v[name] for name in STROKE}
    string, fret = v["string"], int(v["fret"])
    line, note = played(design, string, fret, v["age"], CURVE[-1] + 0.005, FULL, **how)
    neck, normal, along, many, drawn = guitar(design)
    side = ends_of(design, along, string, fret)
    alone = early_decay(line, ends_of(design, normal, string, fret), side, harmonics=10, **stroke(**how))
    among = early_decay(line, ends_of(design, many, string, fret), side, harmonics=10, **stroke(**how))
    times = np.concatenate([TIMES, CURVE[::10]])
    change = among.level(times) - alone.level(times)                 # what other boards do, laid on the full model's curve
    at, level = note.level_at(TIMES), _smooth(note.level_at(CURVE))
    fall = at[0] - at
    fall_draws = fall + change[:, :1] - change[:, :3]
    order = np.sort(change[:, 3:], axis=0)
    quick, quick_draws = alone.decay_times(), among.decay_times()

    def glide(of: Neck) -> Any:
        compliance = compliance_along(of, strings(design), 6 - int(string), fret)
        return tension_glide(line, 1e-3 * v["strength"], 1e-3 * v["pick"], compliance)

    own = glide(neck)
    return Found(note=note_name(string, fret, design), frequency=line.fundamental, level=level, at=at,
                 level_draws=at[0] + change[:, 0], spread=(level[::10] + order[4], level[::10] + order[95]),
                 fall50=fall[1], fall50_draws=fall_draws[:, 1], fall200=fall[2], fall200_draws=fall_draws[:, 2],
                 early_decay=float(quick[0]), early_draws=quick_draws[0], late_decay=float(quick[1]), late_draws=quick_draws[1],
                 cents=note.cents_at(CURVE), relieved=float(own.cents_relieved), relieved_draws=glide(drawn).cents_relieved,
                 threshold=float(own.threshold))
