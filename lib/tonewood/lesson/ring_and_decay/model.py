"""How each note of a design rings at one setting of the ringing figure: instrument, modes, decay of notes."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tonewood.draws import band
from tonewood.lesson.shared.reads import kept_by, lumped_joint, moved
from tonewood.lesson.shared.shop import NECK_12, bare, changed, on_step, possible, role_woods
from tonewood.neck.design import Design
from tonewood.remember import remember
from tonewood.sound.dead_notes import dead_range, mode_names, note_decay, with_string_doubt
from tonewood.sound.decay import Decay, beside, decay
from tonewood.sound.early_decay import note_ends, plucked_notes
from tonewood.sound.instrument import Headstock, Instrument
from tonewood.sound.modes import Modes, modes
from tonewood.sound.partials import EndModes, speaking_string
from tonewood.sound.pluck import pluck
from tonewood.sound.stroke import Stroke
from tonewood.wood.board import Board

DRAWS = 100
BENDING, TWIST = 6, 3
D, SECOND = 2, 4
"""The D string of six; the second bending mode, which makes its dead note, among all modes."""
OCTAVE = 12
STIFFER = 1.15
CLAMP = 50.0
"""How much stiffer the boards of the next neck are, and a small clamp on the head, g: in predictions,
questions and the second map."""
RANGES = {"stripes": (1, 11, 1), "depth": (18, 25, 0.5)}
"""Lowest and highest value and step of the sliders that show what a design decides, in people's units."""
FUNDAMENTAL, WHOLE = "fundamental", "whole level"
"""What the map can show: the note's lowest harmonic, or all that a pickup senses, as a level meter has it."""
PICK, PICKUP = Stroke().pick, Stroke().pickup
"""Where the notes are plucked and heard for the whole level, m from the bridge."""
MEASURED = {"published": "measured, published", "estimated": "measured; read as 1/Q by assumption"}
"""Standing of a loss factor that somebody measured, by its status, in words."""
STRINGS, FRETS = 6, 22
"""Strings and frets among which the controls choose the note looked at; the map shows all that a neck has."""


def exact(design: Design = NECK_12) -> dict[str, Any]:
    """What the design decides of the controls, in people's units, not rounded, perhaps off a slider."""
    return {"main": role_woods(design)["main"].key, "stripes": len(design.stripes),
            "fretboard": design.fretboard.wood or NECK_12.fretboard.wood,
            "depth": 1e3 * (design.back.depth_nut + design.fretboard.thickness)}


def defaults(design: Design = NECK_12) -> dict[str, Any]:
    """Start values of the controls: the design's; the D string at the fret where it dies on neck No. 12."""
    start = exact(design)
    start |= {name: on_step(start[name], *scale) for name, scale in RANGES.items()}
    return {**start, "clamp": 0.0, "age": 0.0, "tapped": 0.0, "string": D, "fret": 8.0, "level": FUNDAMENTAL}


def cannot(design: Design) -> list[str]:
    """What the ringing figure cannot show of a design, one sentence each."""
    own, said = exact(design), bare(design)
    count, kept = len(design.string_set()), "stays until you move that control"
    if count != STRINGS or design.frets > FRETS:
        said.append(f"It has {count} strings and {design.frets} frets: the map shows them all; the note "
                    f"looked at is chosen by the numbers of {STRINGS} strings, counted from the treble, and "
                    f"up to fret {FRETS}.")
    said += [f"Its {words} ({own[name]:g}{unit}) lies beyond the slider; it {kept}."
             for name, words, unit in (
                 ("stripes", "number of stripes", ""), ("depth", "depth at the nut", " mm"))
             if not RANGES[name][0] <= own[name] <= RANGES[name][1]]
    return said + lumped_joint(design)


@remember(64)
def build(design: Design = NECK_12, **values: Any) -> Design:
    """The design with what controls off their start change of it. Raises ValueError."""
    reads = {"main": str, "fretboard": str, "stripes": int, "depth": lambda v: v / 1000}
    new = moved(defaults(design), values)
    return changed(design, **{name: reads[name](value) for name, value in new.items() if name in reads})


keep = kept_by(build)


@dataclass(frozen=True)
class Made:
    """What is heard: a design with a clamp on its head (kg), the loss factor tapped of its main wood (0: not
    tapped), and the modulus of every board times `stiffer`, masses unchanged."""

    design: Design
    clamp: float
    tapped: float
    stiffer: float

    @cached_property
    def main(self) -> Board:
        """The first stripe of the main wood, with the loss factor tapped."""
        wood = role_woods(self.design)["main"]
        board = next(board for board in self.design.neck().pieces if board.species == wood)
        return replace(board, loss=self.tapped) if self.tapped else board

    @property
    def loss(self) -> tuple[NDArray[np.float64], str]:
        """Loss factor of the main wood in thousandths, (low, value, high), and where it comes from."""
        factor = self.main.loss_band
        return 1000 * float(self.main.eta_L) * np.array([1 / factor, 1.0, factor]), (
            "your own tap" if self.tapped else MEASURED.get(
                self.main.species.loss.status, "a remembered relation that cannot rank woods"))

    @cached_property
    def instrument(self) -> Instrument:
        """The Instrument, single values."""
        neck = self.design.neck()
        boards = [replace(b, modulus=self.stiffer * b.E_L) if self.stiffer != 1.0 else b for b in neck.pieces]
        count = len(neck.layup.stripes)
        if self.tapped:
            boards = [replace(b, loss=self.tapped) if b.species == self.main.species else b
                      for b in boards[:count]] + boards[count:]
        return Instrument(neck.with_pieces(boards), Headstock(clamp_mass=self.clamp))

    @cached_property
    def modes(self) -> Modes:
        """Its Modes."""
        return modes(self.instrument, BENDING, TWIST)

    @cached_property
    def drawn(self) -> Modes:
        """Modes of possible instruments, stripes from different trees."""
        many = possible(self.instrument.neck, draws=DRAWS, slot_fill=self.design.fretboard.slot_fill)
        return modes(replace(self.instrument, neck=many), BENDING, TWIST)


@remember(64)
def made(subject: Design = NECK_12, stiffer: float = 1.0, **values: Any) -> Made:
    """Made of a design at one setting of the controls, the rest at their start values; kept for reuse."""
    v = {**defaults(subject), **values}
    design = build(subject, **{name: v[name] for name in exact(subject)})
    return Made(design, v["clamp"] / 1000, v["tapped"] / 1000, stiffer)


@remember(64)
def _map(heard: Made, age: float) -> Decay:
    design = heard.design
    return decay(heard.instrument, design.string_set(), age, design.setup(), modes=heard.modes)


@remember(64)
def _whole(heard: Made, age: float) -> Decay:
    """The map with T60, neighbours and string alone of the whole level; everything else the fundamental's."""
    design = heard.design
    neck, strings, setup = design.neck(), design.string_set(), design.setup()
    plucked, alone = (plucked_notes(modes, neck, strings, range(neck.frets + 1), age, setup).reading()
                      for modes in (heard.modes, None))
    return replace(_map(heard, age), t60=plucked, beside=beside(plucked), alone=alone)


@remember(128)
def _note(heard: Made, age: float, string: int, fret: int) -> Decay:
    design = heard.design
    return with_string_doubt(note_decay(heard.drawn, design.neck(), design.string_set(), string, fret, age,
                                        design.setup()))


@dataclass(frozen=True, kw_only=True)
class Found:
    """All a setting leads to: what is heard, the Decay of every note, that of the note looked at (string,
    fret) with draws; what the map shows of them, the fundamental or the whole level; between which frets each
    of its dead notes may lie (2, S, F); string age."""

    heard: Made
    map: Decay
    note: Decay
    at: tuple[int, int]
    shown: Decay
    span: NDArray[np.float64]
    age: float

    @property
    def level(self) -> str:
        """What the map shows: FUNDAMENTAL or WHOLE."""
        return FUNDAMENTAL if self.shown is self.map else WHOLE

    @cached_property
    def whole(self) -> float:
        """T60 of the whole level of the note looked at, s, as a level meter has it."""
        design, (s, f) = self.heard.design, self.at
        few = plucked_notes(self.heard.modes, design.neck(), design.string_set(), [f], self.age,
                            design.setup())
        return float(few.reading()[s, 0])

    @property
    def shares(self) -> NDArray[np.float64]:
        """Share lost by each cause of the note looked at, %: itself, and 5 and 95 % of the draws, (3, 4)."""
        low, _, high = band(100 * self.note.share_by_cause[:, :, 0, 0])
        return np.stack([100 * self.map.share_by_cause[:, *self.at], low, high])

    @property
    def seconds(self) -> NDArray[np.float64]:
        """T60 of the note looked at over the draws, 5, 50 and 95 % (3,), s."""
        return np.ravel(self.note.band())

    @property
    def mode(self) -> tuple[str, int]:
        """(name, index) of the mode the note looked at meets most strongly."""
        k = int(self.map.mode[self.at])
        return mode_names(self.heard.modes)[k], k

    @property
    def mode_band(self) -> NDArray[np.float64]:
        """Frequencies of all modes over the draws, 5, 50 and 95 % (3, N), Hz."""
        return band(self.heard.drawn.all_at(0.0)[1])


def ring_map(subject: Design = NECK_12, stiffer: float = 1.0, age: float = 0.0, **values: Any) -> Decay:
    """Decay of every note of one setting, the rest of the controls at their start values; kept for reuse."""
    values = {name: value for name, value in values.items() if name not in ("string", "fret", "level")}
    return _map(made(subject, stiffer, **values), age)


def found(subject: Design = NECK_12, **values: Any) -> Found:
    """Found of one setting of the controls. Raises ValueError."""
    v = {**defaults(subject), **values}
    heard = made(subject, **{name: v[name] for name in (*exact(subject), "clamp", "tapped")})
    everything = _map(heard, v["age"])
    strings, frets = everything.t60.shape
    at = max(strings - STRINGS + int(v["string"]), 0), min(int(v["fret"]), frets - 1)
    shown = _whole(heard, v["age"]) if v["level"] == WHOLE else everything
    return Found(heard=heard, map=everything, note=_note(heard, v["age"], *at), at=at, shown=shown,
                 span=dead_range(shown, heard.drawn), age=v["age"])


def model_note(now: Found) -> tuple[NDArray[np.float64], float]:
    """The note looked at as the model plays it, from the full eigenproblem of string and instrument: samples,
    m/s, and their rate, Hz; long enough to fall by 30 dB."""
    design, (s, f) = now.heard.design, now.at
    neck, strings = design.neck(), design.string_set()
    felt = note_ends(now.heard.modes, neck, strings, [f], design.setup())
    ends = EndModes(*(np.broadcast_to(v, felt.fret.shape)[s, 0] for v in vars(felt).values()))
    seconds = min(0.6 * max(now.whole, float(now.map.t60[now.at])) + 1.0, 30.0)
    note = pluck(speaking_string(strings, s, f, now.age), ends, duration=seconds, rate=16000.0, modes=12)
    return note.samples, note.rate


def open_notes(decay: Decay) -> list[str]:
    """The letters of the open strings, bass to treble."""
    return [note.rstrip("0123456789") for note in decay.notes[:, 0]]


def string_names(decay: Decay) -> list[str]:
    """How the strings are called: their notes, with "low" and "high" where two have the same."""
    notes = open_notes(decay)
    return [("" if notes.count(n) == 1 else "low " if n not in notes[:i] else "high ") + n
            for i, n in enumerate(notes)]


def worst_fret(decay: Decay) -> int:
    """Fret of the D string, up to the octave, that falls most beyond the frets beside it."""
    return int(np.argmax(decay.extra_fall[D, :OCTAVE + 1]))


def note_place(decay: Decay, string: int, fret: int) -> str:
    """A note in words: "D string fret 8"."""
    return f"{string_names(decay)[string]} string {f'fret {fret}' if fret else 'open'}"


def dead_notes(decay: Decay) -> str:
    """Dead notes in words: "D string fret 8 (1.7 s)"."""
    return ", ".join(f"{note_place(decay, s, f)} ({decay.t60[s, f]:.1f} s)"
                     for s, f in np.argwhere(decay.dead)) or "none"


def worst_note(decay: Decay) -> tuple[int, int]:
    """(string, fret) of the note that falls most beyond the frets beside it."""
    s, f = np.unravel_index(np.argmax(decay.extra_fall), decay.t60.shape)
    return int(s), int(f)
