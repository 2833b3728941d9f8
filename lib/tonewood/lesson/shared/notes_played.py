"""Notes of a design as they are played: what a string's ends meet on its neck, the sound of one stroke."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from tonewood.draws import Draws
from tonewood.lesson.shared.shop import NECK_12, possible
from tonewood.neck.design import Design
from tonewood.neck.layup.neck import Neck
from tonewood.remember import remember
from tonewood.sound.attack import AttackDesign
from tonewood.sound.compliance import compliance_along
from tonewood.sound.coupled import string_ends
from tonewood.sound.early_decay import EarlyDecay, early_decay, plucked_notes
from tonewood.sound.instrument import Instrument
from tonewood.sound.modes import Modes, modes
from tonewood.sound.partials import EndModes, SpeakingString, partials, speaking_string
from tonewood.sound.pluck import Pluck, pluck
from tonewood.strings import pitch
from tonewood.strings.wire import StringSet

DRAWS, SEED = 100, 8
STROKE = {"pick": 110.0, "strength": 2.0, "direction": 45.0, "pickup": 150.0}
"""The controls of one stroke and where they start, in people's units (common practice, no source)."""


@remember(48)
def guitar(design: Design) -> tuple[Neck, Modes, Modes, Modes, Neck]:
    """(Neck, its modes out of the fretboard plane, along it, modes of DRAWS necks of such boards, those
    necks)."""
    neck = design.neck()
    drawn = possible(neck, "different trees", DRAWS, SEED, design.fretboard.slot_fill)
    return (neck, modes(Instrument(neck), 8, 4), modes(Instrument(neck), 8, 0, "in-plane"),
            modes(Instrument(drawn), 5, 3), drawn)


@remember(48)
def strings(design: Design = NECK_12) -> StringSet:
    """The strings of a design."""
    return design.string_set()


def stroke(**changes: float) -> dict[str, float]:
    """Keywords of a pluck from the controls' values of a stroke (mm, mm, degrees, mm); what is not given is
    as they start, what is no part of a stroke is passed over."""
    v = {name: changes.get(name, start) for name, start in STROKE.items()}
    return {"pick": 1e-3 * v["pick"], "height": 1e-3 * v["strength"],
            "direction": np.radians(v["direction"]), "pickup": 1e-3 * v["pickup"]}


@dataclass(frozen=True)
class Note:
    """A stopped note of a design; string: 1 is the highest. Made by `note`."""

    design: Design
    string: int
    fret: int

    @property
    def index(self) -> int:
        """Number of the string from the bass, 0 first."""
        return len(strings(self.design)) - self.string

    @property
    def name(self) -> str:
        """Such as G3."""
        return pitch.note_name(pitch.note_number(strings(self.design).tuning[self.index]) + self.fret)

    def line(self, age: float = 0.0) -> SpeakingString:
        """The speaking string; age in %."""
        return speaking_string(strings(self.design), self.index, self.fret, age / 100)

    def met(self, name: str = "") -> AttackDesign:
        """The neck of average boards as a pluck meets it."""
        return AttackDesign(name, _ends(self, "normal"), _ends(self, "along"), gives(self)[0])

    def first_moments(self, age: float = 0.0, **how: float) -> tuple[EarlyDecay, EarlyDecay]:
        """The first ten harmonics of a stroke on average boards, and on DRAWS necks of such boards."""
        return self._moments("normal", age, how), self._moments("many", age, how)

    def _moments(self, way: str, age: float, how: dict[str, float]) -> EarlyDecay:
        return early_decay(self.line(age), _ends(self, way), _ends(self, "along"), harmonics=10,
                           **stroke(**how))


WAYS = {"normal": 1, "along": 2, "many": 3}
"""Where `guitar` has the modes out of the fretboard plane, along it, and out of it of DRAWS necks."""


@remember(256)
def _ends(of: Note, way: str) -> EndModes:
    """What the note's ends, at its place across the board, meet one of WAYS."""
    neck = guitar(of.design)[0]
    x = np.array([float(neck.fret(of.fret)), neck.scale_length])
    y = of.design.setup().places(neck, x, len(strings(of.design)))[of.index]
    return string_ends(guitar(of.design)[WAYS[way]], x[0], x[1], y[0], y[1])


@remember(64)
def gives(of: Note) -> tuple[Draws, Draws]:
    """How far the neck of average boards, and each of DRAWS necks, gives along the note, m/N: nothing where
    the fret lies over the body, which is taken as stiff."""
    neck, *_, drawn = guitar(of.design)
    if float(neck.fret(of.fret)) >= float(neck.body_start or neck.end):
        return 0.0, np.zeros(DRAWS)
    return tuple(compliance_along(n, strings(of.design), of.index, of.fret, of.design.setup())
                 for n in (neck, drawn))


def first_moments(design: Design, frets: Sequence[int], many: bool = False, age: float = 0.0, **how: float
                  ) -> EarlyDecay:
    """The first ten harmonics of one stroke on every string at some frets, (S, F), on average boards or, if
    `many`, on DRAWS necks of such boards, (D, S, F)."""
    neck, normal, along, drawn, _ = guitar(design)
    return plucked_notes(drawn if many else normal, neck, strings(design), frets, age / 100, design.setup(),
                         10, along, **stroke(**how))


def note(design: Design, string: float, fret: float) -> Note:
    """The Note of a design; the lowest string, the last but one fret it has where it has fewer than asked."""
    return Note(design, min(int(string), len(strings(design))), min(int(fret), design.frets - 1))


@remember(48)
def _solved(of: Note, age: float, most: int) -> tuple[Any, ...]:
    """(SpeakingString, AttackDesign, count, damped partials both ways) of a note, whatever the stroke."""
    line, met = of.line(age), of.met()
    count = min(most, int(np.sum(line.omegas(400) < 2 * np.pi * 0.45 * 44100)))
    return line, met, count, tuple(partials(line, ends, count) for ends in (met.normal, met.parallel))


def played(of: Note, age: float = 0.0, duration: float = 2.0, most: int = 60, **how: float) -> Pluck:
    """Pluck of a note with pitch glide. age: of the string, %; most: string partials, if as many fit; how:
    see stroke."""
    line, met, count, solved = _solved(of, age, most)
    return pluck(line, met.normal, met.parallel, duration=duration, modes=count, glide=True,
                 neck_compliance=met.compliance, solved=solved, **stroke(**how))
