"""How long each note rings, and what ends it: air, the string itself, the fret end, the bridge end.

Two-part law: losses of the string on rigid ends, plus what its ends feed into the instrument through the
conductance found there (predicts the decay of solid-body guitars: source pate-2014, abstract). Both ends sit
on one instrument, so a mode is driven by the sum of the two end forces. Where string and mode couple strongly
the damped pitches are found together (sound.coupled).

Uncertainty: predicted mode frequencies are good to about 5 %, so a dead note may lie one fret off;
conductance peaks to a factor of 2.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tonewood import checks
from tonewood.draws import Array, Draws, band, single
from tonewood.neck.layup.neck import Neck
from tonewood.neck.load.setup import Setup
from tonewood.sound.coupled import string_ends
from tonewood.sound.instrument import Instrument
from tonewood.sound.modes import Modes
from tonewood.sound.modes import modes as modes_of
from tonewood.sound.notes import Notes, end_loss, lost_by, solve
from tonewood.sound.partials import ComplexArray
from tonewood.sound.string_loss import StringLoss, decay_time, steel_string_loss, wire_loss
from tonewood.strings.pitch import note_name, note_number
from tonewood.strings.wire import StringSet, inharmonicity

if TYPE_CHECKING:
    import pandas

OwnLosses = StringLoss | Sequence[StringLoss] | None
CAUSES = ("air", "string", "fret end", "bridge end")
DEAD = 5.0          # dB a second faster than the frets beside it: called dead, this project's convention
REACH = 2           # frets on either side that count as beside
RINGING = 4 / 5     # share of the T60 of the string alone from which a note is called ringing


@dataclass(frozen=True, kw_only=True)
class Decay:
    """Decay of every note. S strings bass to treble, F frets from 0 (open), N modes of the instrument; a
    leading D axis if there are draws.

    t60 (..., S, F) s; frequency (..., S, F) Hz, damped pitch; loss (..., S, F) total loss factor;
    loss_by_cause (..., 4, S, F) in the order of causes; loss_by_mode (..., S, F, N). alone (S, F): T60 of the
    string on rigid ends, s. simple (..., S, F): T60 by the simple rule, s, to compare. beside (..., S, F):
    T60 of the frets beside, s, see `beside`. strength: coupling number K of the most engaged mode; mode: its
    index in mode_frequency (..., N); distance: (string - mode) / string pitch; mixed: string and neck share
    the note (K > 1 and closer than the splitting). partner (..., S, F): damped pitch of the other of the two,
    complex rad/s, closed form. notes (S, F) names; status: what rests on memory or estimate. string_factor
    (S, 1): the string's own loss may be this much more or less.
    """

    t60: Array
    frequency: Array
    loss: Array
    loss_by_cause: Array
    loss_by_mode: Array
    alone: Array
    simple: Array
    beside: Array
    partner: ComplexArray
    strength: Array
    mode: NDArray[np.int_]
    distance: Array
    mixed: NDArray[np.bool_]
    mode_frequency: Array
    notes: NDArray[np.str_]
    status: tuple[str, ...]
    string_factor: Draws = 1.0
    causes: tuple[str, ...] = CAUSES

    @property
    def draws(self) -> int | None:
        """Number of draws, or None."""
        return None if np.ndim(self.t60) == 2 else len(self.t60)

    @property
    def share_by_cause(self) -> Array:
        """Part of the loss by cause, (..., 4, S, F), sums to 1 over the causes."""
        return self.loss_by_cause / np.sum(self.loss_by_cause, axis=-3, keepdims=True)

    @property
    def extra_fall(self) -> Array:
        """How many dB a second each note falls faster than the frets beside it, (..., S, F)."""
        return 60 / self.t60 - 60 / self.beside

    @property
    def dead(self) -> NDArray[np.bool_]:
        """Notes that fall at least 5 dB a second faster than the frets beside them, (..., S, F)."""
        return self.extra_fall >= DEAD

    @property
    def ringing(self) -> NDArray[np.bool_]:
        """Notes that are not dead and ring at least four fifths of what the string alone would, (..., S, F).
        """
        return (self.t60 > RINGING * self.alone) & ~self.dead

    @property
    def dead_chance(self) -> Array:
        """Part of the draws in which each note is dead, (S, F); 0 or 1 for one instrument."""
        return single(self.dead.astype(float), 2)

    def band(self) -> Array:
        """5, 50 and 95 % points of T60 (3, S, F), s; for one instrument all three are the same."""
        return band(self.t60) if self.draws else np.stack([self.t60] * 3)

    def table(self) -> pandas.DataFrame:
        """One row per note: T60 (s) and its band, shares by cause (%), coupling, marks."""
        import pandas as pd
        S, F = self.t60.shape[-2:]
        low, t60, high = self.band()
        share = single(self.share_by_cause, 3, np.median)
        columns: dict[str, Any] = {
            "string": np.repeat(np.arange(S, 0, -1), F), "fret": np.tile(np.arange(F), S), "note": self.notes,
            "frequency (Hz)": single(self.frequency, 2, np.median), "T60 (s)": t60}
        if self.draws:
            dead = 100 * self.dead_chance
            columns |= {"5 % T60 (s)": low, "95 % T60 (s)": high, "chance of dead (%)": dead}
        columns |= {f"lost to {c} (%)": 100 * share[i] for i, c in enumerate(self.causes)}
        ringing = np.where(single(self.ringing.astype(float), 2) >= 0.5, "ringing", "")
        columns |= {"T60 of the string alone (s)": self.alone,
                    "T60 of the frets beside (s)": single(self.beside, 2, np.median),
                    "coupling K": single(self.strength, 2, np.median),
                    "mark": np.where(self.dead_chance >= 0.5, "dead", ringing)}
        return pd.DataFrame({name: np.ravel(column) for name, column in columns.items()})


def decay(instrument: Instrument, strings: StringSet, age: ArrayLike = 0.0, setup: Setup = Setup(),
          modes: Modes | None = None) -> Decay:
    """Decay (T60 in s) of every string at every fret of an instrument (draws allowed). Returns Decay.

    age: 0 new to 1 well played strings, one or one per string; setup: for the strings' places across the
    neck; modes: of this instrument, if already found. Raises ValueError, also if the strings do not
    belong to this scale length.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> from tonewood.strings.sets import string_set
    >>> decay(Instrument(example_neck()), string_set("six")).t60.shape
    (6, 23)
    """
    neck = instrument.neck
    length = np.asarray(strings.length, dtype=float)
    if np.any(np.abs(length - neck.scale_length) > 0.08):
        raise ValueError(f"speaking length of the strings: {np.min(length):g} to {np.max(length):g} m given; "
                         f"accepted: within 0.08 m of the neck's scale length of {neck.scale_length:g} m")
    places, across, at_bridge = string_places(neck, strings, setup, range(neck.frets + 1))
    return decay_of(modes or modes_of(instrument), strings, places, neck.scale_length, across, at_bridge, age)


def beside(t60: ArrayLike, reach: int = REACH) -> Array:
    """T60 (s) of the frets beside each fret, (..., F) as given: from the median fall of the nearest 2 `reach`
    frets, so that one more bad note among them does not count. Not a number without any. Raises ValueError.

    >>> beside([20.0, 19.0, 2.0, 18.0, 17.0]).round(1).tolist()
    [17.5, 17.5, 18.5, 17.9, 18.5]
    """
    checks.unbounded("T60", t60, unit="s", open_low=True)
    fall = 60 / np.asarray(t60, dtype=float)
    F = fall.shape[-1]
    out = np.full(fall.shape, np.nan)
    for f in range(F if F > 1 else 0):
        first = min(max(f - reach, 0), max(F - 2 * reach - 1, 0))
        near = [g for g in range(first, min(first + 2 * reach + 1, F)) if g != f]
        out[..., f] = 60 / np.median(fall[..., near], axis=-1)
    return out


def string_places(neck: Neck, strings: StringSet, setup: Setup, frets: Sequence[int]
                  ) -> tuple[Array, Array, Array]:
    """Where the strings end: x and y (S, F) of the frets, y (S,) of the bridge, m. Geometry, equal
    temperament. Raises ValueError.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> from tonewood.strings.sets import string_set
    >>> string_places(example_neck(), string_set("six"), Setup(), [0, 12])[0][0].round(3).tolist()
    [0.0, 0.324]
    """
    S = np.arange(len(strings))
    x = neck.scale_length - np.asarray(strings.length, float)[:, None] * 2 ** (
        -np.asarray(checks.number("fret", frets, 0, 36)) / 12)
    y = setup.places(neck, np.append(x, neck.scale_length), len(S))
    return x, y[:, :-1].reshape(len(S), *x.shape)[S, S], y[:, -1]


def decay_of(modes: Modes, strings: StringSet, fret_places: ArrayLike, bridge: float,
             offsets: ArrayLike = 0.0, bridge_offsets: ArrayLike = 0.0, age: ArrayLike = 0.0,
             harmonic: int = 1, losses: OwnLosses = None) -> Decay:
    """Decay (T60 in s) of every string at every fret of an instrument whose modes are known (draws allowed).

    fret_places: x (m) of the fret ends, (F,) or (S, F), fret 0 (the nut) first; bridge: x (m) of the bridge.
    offsets (S,) or (S, F), bridge_offsets (S,): y of the strings (m), which lets twisting modes take part.
    age: 0 new to 1 well played strings, one or (S,). losses: StringLoss for all strings, one per string, or
    None for the values remembered for steel. Returns Decay. Raises ValueError for a place off the instrument
    or arrays that do not fit.

    >>> from tonewood.sound.beam import Beam
    >>> from tonewood.sound.modes import beam_modes
    >>> from tonewood.strings.sets import string_set
    >>> free = beam_modes(Beam(np.linspace(0, 0.9, 31), 500.0, 1.0), 4, added_loss=0.01)
    >>> decay_of(free, string_set("six"), [0.0, 0.2], 0.648).t60.round(1)[0].tolist()
    [44.9, 44.9]
    """
    checks.length("place of a fret", fret_places, -1.0, 2.0, open_low=False)
    checks.length("place of the bridge", bridge, high=2.0)
    S, F = len(strings), np.shape(fret_places)[-1]
    harmonic = checks.whole("harmonic", harmonic, 1, 60)

    def column(values: ArrayLike) -> Array:
        return np.asarray(values, dtype=float).reshape(-1, 1)

    x = np.broadcast_to(fret_places, (S, F))
    y = np.broadcast_to(column(offsets) if np.ndim(offsets) == 1 else offsets, (S, F))
    length = bridge - x
    if np.any(length <= 0):
        raise ValueError(f"fret place: {np.max(x):g} m given; accepted: below {bridge:g} m, the bridge")
    if losses is None:
        ages = np.broadcast_to(np.asarray(age, dtype=float), (S,))
        losses = [wire_loss(s, float(a)) for s, a in zip(strings.strings, ages, strict=True)]
    losses = [losses] * S if isinstance(losses, StringLoss) else list(losses)
    if len(losses) != S:
        raise ValueError(f"string losses: {len(losses)} given for {S} strings; accepted: one for all, "
                         "or one a string")
    tension, EI = column(strings.tension), column(strings.bending_stiffness)
    curve = inharmonicity(EI, tension, length)                                        # at the fret
    frequency = (column(strings.frequency) * length[:, :1] / length * harmonic
                 * np.sqrt((1 + curve * harmonic**2) / (1 + curve)))
    diameter = column([s.diameter for s in strings.strings])
    friction, bending = (column([getattr(one, part) for one in losses]) for part in ("friction", "bending"))
    air, own = steel_string_loss(column(strings.mass_per_length), diameter, tension, EI, length, harmonic,
                                 frequency, friction, bending)
    notes = Notes(frequency, length, tension, air, own, harmonic=harmonic, stiffness=EI)
    ends = string_ends(modes, x, bridge, y, column(bridge_offsets))
    found = solve(notes, ends, exact=modes.draws is None)
    by_cause, by_mode = lost_by(notes, ends, found.string)
    all_loss = notes.loss + np.sum(end_loss(notes, ends), axis=-1)
    names = [[note_name(note_number(name) + n) for n in range(F)] for name in strings.tuning]
    status = (f"string losses: {one.status}, times or divided by {one.band:g}" for one in losses)
    seconds = decay_time(found.string.imag)
    return Decay(t60=seconds, beside=beside(seconds), partner=found.partner,
                 frequency=found.string.real / (2 * np.pi), loss=2 * found.string.imag / np.abs(found.string),
                 loss_by_mode=by_mode, loss_by_cause=np.moveaxis(by_cause, 0, -3),
                 alone=decay_time(notes.omega / 2 * notes.loss),
                 simple=decay_time(notes.omega / 2 * all_loss), strength=found.strength, mode=found.mode,
                 distance=found.distance, mixed=found.mixed, mode_frequency=modes.all_at(bridge)[1],
                 notes=np.array(names), status=tuple(dict.fromkeys(status)),
                 string_factor=column([one.band for one in losses]))
