"""The first fifth of a second, calculated: a design and a stroke in people's units -> level, fall, decay and pitch, with what boards leave open."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from tonewood.lesson.shared.shop import CHANNEL, possible
from tonewood.neck.layup.neck import Back, Fretboard, Neck, Outline, striped
from tonewood.neck.load.setup import Setup
from tonewood.strings import pitch
from tonewood.strings.sets import string_set
from tonewood.sound.attack import TIMES, AttackDesign
from tonewood.sound.coupled import string_ends
from tonewood.sound.early_decay import early_decay
from tonewood.sound.compliance import compliance_along
from tonewood.sound.glide import tension_glide
from tonewood.sound.instrument import Instrument
from tonewood.sound.modes import modes
from tonewood.sound.partials import partials, speaking_string
from tonewood.sound.pluck import pluck
from tonewood.wood.board import Board
from tonewood.wood.species import species

DRAWS = 100
SEED = 8
FRETBOARD, FRETBOARD_WOOD, ACCENT, CENTRE = 6.0, "Indian rosewood", "wenge", "black walnut"
"""Fretboard thickness (mm) and wood, accent and centre stripe of the invented neck No. 12."""
TAPER = 2.5
"""Depth the neck gains from nut to last fret, mm."""
CURVE = np.linspace(0.0, 0.2, 201)
FULL = 30
"""String partials of the full model in the figure; sounds to listen to have 60."""


@lru_cache(maxsize=1)
def strings():
    """The string set of this lesson: six, round generic gauges."""
    return string_set("six")


def note_name(string, fret):
    """Name of a stopped note, such as G3. string: 6 (low E) to 1."""
    return pitch.note_name(pitch.note_number(strings().tuning[6 - int(string)]) + int(fret))


def build(wood, stripes, depth, fretboard=FRETBOARD_WOOD):
    """The Neck: main wood (key), number of stripes, depth at the nut with the fretboard (mm), fretboard wood."""
    boards = [Board(species(name)) for name in (wood, ACCENT, CENTRE)]
    deep = 1e-3 * (depth - FRETBOARD)
    return Neck(striped(*boards, stripes), Outline(), Back("D", deep, deep + 1e-3 * TAPER), Fretboard(Board(species(fretboard)), 1e-3 * FRETBOARD), CHANNEL)


@lru_cache(maxsize=48)
def guitar(wood, stripes, depth, fretboard=FRETBOARD_WOOD):
    """(Neck, its modes out of the fretboard plane, along it, modes of DRAWS necks of such boards, those necks)."""
    neck = build(wood, stripes, depth, fretboard)
    drawn = possible(neck, "different trees", DRAWS, SEED)
    return (neck, modes(Instrument(neck), 8, 4), modes(Instrument(neck), 8, 0, "in-plane"), modes(Instrument(drawn), 5, 3), drawn)


def ends_of(neck, way, string, fret):
    """EndModes of one way of vibrating for a string (6 to 1) at a fret, at its own place across the board."""
    x = np.array([float(neck.fret(fret)), neck.scale_length])
    y = Setup().places(neck, x, 6)[6 - int(string)]
    return string_ends(way, x[0], x[1], y[0], y[1])


def stroke(pick, strength, direction, pickup):
    """Keywords of a pluck from people's units: mm, mm, degrees, mm."""
    return dict(pick=1e-3 * pick, height=1e-3 * strength, direction=np.radians(direction), pickup=1e-3 * pickup)


def attack_design(name, design, string, fret):
    """sound.attack.AttackDesign of a design (arguments of `build`, a dict) for one note."""
    neck, normal, along, *_ = guitar(**design)
    return AttackDesign(name, ends_of(neck, normal, string, fret), ends_of(neck, along, string, fret), compliance_along(neck, strings(), 6 - int(string), int(fret)))


@lru_cache(maxsize=48)
def _solved(design, string, fret, age, most):
    """(SpeakingString, AttackDesign, damped partials in both directions) of one note; the stroke does not enter."""
    line, met = speaking_string(strings(), 6 - int(string), int(fret), age / 100), attack_design("", dict(design), string, fret)
    count = min(most, int(np.sum(line.omegas(400) < 2 * np.pi * 0.45 * 44100)))
    return line, met, count, tuple(partials(line, ends, count) for ends in (met.normal, met.parallel))


def played(design, string, fret, age=0.0, duration=2.0, most=60, **how):
    """(SpeakingString, Pluck) of one note with pitch glide. age: string age in %; most: string partials, if as many fit; how: see stroke."""
    line, met, count, solved = _solved(tuple(sorted(design.items())), string, fret, age, most)
    return line, pluck(line, met.normal, met.parallel, duration=duration, modes=count, glide=True, neck_compliance=met.compliance, solved=solved, **stroke(**how))


@dataclass(frozen=True, eq=False)
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


def found(**values):
    """Found for one setting of the sliders, kept for reuse."""
    return _found(tuple(sorted(values.items())))


def _smooth(level, points=9):
    """Level (201,) averaged by power over 9 ms: with a hard stroke the gliding pitch makes the mean over whole periods ripple."""
    reach = points // 2
    return 10 * np.log10(np.convolve(np.pad(10 ** (level / 10), reach, mode="reflect"), np.ones(points) / points, "valid"))


@lru_cache(maxsize=64)
def _found(items):
    v = dict(items)
    design = {name: v[name] for name in ("wood", "stripes", "depth")}
    how = {name: v[name] for name in ("pick", "strength", "direction", "pickup")}
    string, fret = v["string"], int(v["fret"])
    line, note = played(design, string, fret, v["age"], CURVE[-1] + 0.005, FULL, **how)
    neck, normal, along, many, drawn = guitar(**design)
    side = ends_of(neck, along, string, fret)
    alone = early_decay(line, ends_of(neck, normal, string, fret), side, harmonics=10, **stroke(**how))
    among = early_decay(line, ends_of(neck, many, string, fret), side, harmonics=10, **stroke(**how))
    times = np.concatenate([TIMES, CURVE[::10]])
    change = among.level(times) - alone.level(times)                 # what other boards do, laid on the full model's curve
    at, level = note.level_at(TIMES), _smooth(note.level_at(CURVE))
    fall = at[0] - at
    fall_draws = fall + change[:, :1] - change[:, :3]
    order = np.sort(change[:, 3:], axis=0)
    quick, quick_draws = alone.decay_times(), among.decay_times()
    give = compliance_along(neck, strings(), 6 - int(string), fret)
    glide = lambda c: tension_glide(line, 1e-3 * v["strength"], 1e-3 * v["pick"], c)  # noqa: E731
    own = glide(give)
    return Found(note_name(string, fret), line.fundamental, level, at, at[0] + change[:, 0], (level[::10] + order[4], level[::10] + order[95]),
                 fall[1], fall_draws[:, 1], fall[2], fall_draws[:, 2], float(quick[0]), quick_draws[0], float(quick[1]), quick_draws[1],
                 note.cents_at(CURVE), float(own.cents_relieved), glide(compliance_along(drawn, strings(), 6 - int(string), fret)).cents_relieved,
                 float(own.threshold))
