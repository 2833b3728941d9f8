"""How long each note rings, and what ends it: air, the string itself, the fret end, the bridge end.

Two-part law: losses of the string on rigid ends, plus what its ends feed into the instrument through the conductance found there
(predicts the decay of solid-body guitars: Pate, Le Carrou and Fabre, JASA 135 (2014) 3045, abstract). Both ends sit on one instrument, so a
mode is driven by the sum of the two end forces. Where string and mode couple strongly the damped pitches are found together (sound.coupled).

Uncertainty: predicted mode frequencies are good to about 5 %, so a dead note may lie one fret off; conductance peaks to a factor of 2.
"""

from dataclasses import dataclass, replace

import numpy as np

from tonewood import checks
from tonewood.neck.load.setup import Setup
from tonewood.sound.coupled import drive, string_ends, string_roots, string_shape, two_root
from tonewood.sound.modes import modes as modes_of
from tonewood.sound.string_loss import LN_1000, steel_loss, steel_string_loss

CAUSES = ("air", "string", "fret end", "bridge end")
DEAD = 1 / 3        # a note is called dead when T60 falls below this part of what the string alone would give: this project's convention
RINGING = 4 / 5     # and ringing above this part


@dataclass(frozen=True)
class Notes:
    """Plain description of any number of notes; all fields broadcast to one shape (...,), SI.

    frequency: of the harmonic looked at, on rigid ends; length, tension: of the speaking string; air, own: loss factors of the string on rigid
    ends; harmonic: 1 for the fundamental; stiffness: EI of the string, N m2.
    """

    frequency: object
    length: object
    tension: object
    air: object
    own: object
    harmonic: object = 1
    stiffness: object = 0.0

    def __post_init__(self):
        for name, unit in (("frequency", "Hz"), ("length", "m"), ("tension", "N")):
            checks.number(f"string {name}", getattr(self, name), 0.0, unit=unit, open_low=True)
        for name in ("air", "own"):
            checks.number(f"{name} loss factor of the string", getattr(self, name), 0.0, 1.0, open_high=True)

    @property
    def omega(self):
        """Angular frequency, rad/s."""
        return 2 * np.pi * np.asarray(self.frequency, dtype=float)

    @property
    def loss(self):
        """Loss factor of the string on rigid ends, air and own together."""
        return np.asarray(self.air) + np.asarray(self.own)

    @property
    def pull(self):
        """Tension with what bending stiffness adds at this harmonic, N."""
        return np.asarray(self.tension) + np.asarray(self.stiffness) * (np.asarray(self.harmonic) * np.pi / np.asarray(self.length)) ** 2

    @property
    def slowness(self):
        """Wave number over angular frequency, s/m, complex by the string's own loss."""
        return np.asarray(self.harmonic) * np.pi / (np.asarray(self.length) * self.omega * np.sqrt(1 + 1j * self.loss))


def end_loss(notes, ends):
    """Simple rule: loss factor that each mode takes from each note, 2 T G_k / (L w), (..., N). Too high where K > 1 at equal pitch."""
    w = notes.omega[..., None]
    damping = ends.eta * ends.omega
    G = w**2 * damping * drive(ends, notes.harmonic) ** 2 / ((ends.omega**2 - w**2) ** 2 + (damping * w) ** 2)       # real part of the mobility
    return 2 * np.asarray(notes.pull / (np.asarray(notes.length) * notes.omega))[..., None] * G


def solve(notes, ends, exact=True):
    """Damped pitch of each note and of the mode nearest to it.

    notes: Notes; ends: EndModes with the modes on the last axis. exact: Newton on the full end equation (one instrument); otherwise the closed
    form with one near mode (for draws). Returns coupled.TwoRoot.
    """
    start = two_root(notes.omega * (1 + 0.5j * notes.loss), notes.pull, notes.length, notes.harmonic, ends)
    if not exact:
        return start
    line = (notes.slowness, notes.pull * (1 + 1j * notes.loss), notes.length, ends)
    root = string_roots(start.string, *line, start.mode)
    tied = start.strength > 0.05                                    # a mode the string hardly touches keeps its own pitch
    partner = string_roots(np.where(tied, start.partner, root), *line, start.mode)
    return replace(start, string=root, partner=np.where(tied, partner, start.partner))


def lost_by(notes, ends, root):
    """Loss factor of each note by cause, from the energies of its damped motion at the complex pitch `root` (rad/s).

    Multiply the equations of motion by the conjugate motion: 2 w_r sigma m = eta k + w_r sum(eta_k w_k |p_k|^2), with m = mu int |y|^2 + sum |p_k|^2
    and k = T int |y'|^2. Dividing by w_r |w| m gives the loss factor as a sum over causes, without approximation. What a mode loses is split
    between fret and bridge as the squares of its shape there.
    Returns causes (4, ...) in the order of CAUSES, and per mode (..., N). Their sums equal 2 Im(root)/|root| if the root is right.
    """
    shape, string_mass, string_stiffness = string_shape(root, notes.slowness, notes.pull, notes.length, ends, notes.loss)
    moving = np.abs(shape) ** 2                                                       # |p_k|^2
    size, whole = np.abs(root), string_mass + np.sum(moving, axis=-1)
    by_mode = moving * ends.eta * ends.omega / (size * whole)[..., None]
    fret, bridge = ends.fret**2, ends.bridge**2
    at_fret = np.sum(by_mode * fret / np.maximum(fret + bridge, 1e-300), axis=-1)
    per_loss = string_stiffness / (np.real(root) * size * whole)
    return np.stack([notes.air * per_loss, notes.own * per_loss, at_fret, np.sum(by_mode, axis=-1) - at_fret]), by_mode


@dataclass(frozen=True)
class Decay:
    """Decay of every note. S strings bass to treble, F frets from 0 (open), N modes of the instrument; a leading D axis if there are draws.

    t60 (..., S, F) s; frequency (..., S, F) Hz, damped pitch; loss (..., S, F) total loss factor; loss_by_cause (..., 4, S, F) in the order of causes;
    loss_by_mode (..., S, F, N). alone (S, F): T60 of the string on rigid ends, s. simple (..., S, F): T60 by the simple rule, s, to compare.
    strength: coupling number K of the most engaged mode; mode: its index in mode_frequency (..., N); distance: (string - mode) / string pitch;
    mixed: string and neck share the note (K > 1 and closer than the splitting). partner_t60, partner_frequency: of the second pitch.
    notes (S, F) names; status: what rests on memory or estimate. string_factor (S, 1): the string's own loss may be this much more or less.
    """

    t60: object
    frequency: object
    loss: object
    loss_by_cause: object
    loss_by_mode: object
    alone: object
    simple: object
    strength: object
    mode: object
    distance: object
    mixed: object
    partner_t60: object
    partner_frequency: object
    mode_frequency: object
    notes: object
    status: tuple
    string_factor: object = 1.0
    causes: tuple = CAUSES

    @property
    def draws(self):
        """Number of draws, or None."""
        return None if np.ndim(self.t60) == 2 else len(self.t60)

    @property
    def share_by_cause(self):
        """Part of the loss by cause, (..., 4, S, F), sums to 1 over the causes."""
        return self.loss_by_cause / np.sum(self.loss_by_cause, axis=-3, keepdims=True)

    @property
    def dead(self):
        """Notes that ring less than a third of what the string alone would, (..., S, F) bool."""
        return self.t60 < DEAD * self.alone

    @property
    def ringing(self):
        """Notes that ring at least four fifths of what the string alone would, (..., S, F) bool."""
        return self.t60 > RINGING * self.alone

    @property
    def dead_chance(self):
        """Part of the draws in which each note is dead, (S, F); 0 or 1 for one instrument."""
        return np.mean(self.dead, axis=0) if self.draws else self.dead.astype(float)

    @property
    def doubtful(self):
        """Notes within one fret of a dead note, (S, F) bool: mode frequencies are not known better than that."""
        dead = self.dead_chance >= 0.5 if self.draws else self.dead
        wide = dead.copy()
        wide[:, 1:] |= dead[:, :-1]
        wide[:, :-1] |= dead[:, 1:]
        return wide

    def band(self, level=0.90):
        """Low, middle and high T60 (3, S, F) over the draws, s. For one instrument all three are the same."""
        tail = 50 * (1 - level)
        return np.percentile(self.t60, [tail, 50, 100 - tail], axis=0) if self.draws else np.stack([self.t60] * 3)

    def string_band(self):
        """Low and high T60 (2, ..., S, F), s, if the string's own loss is its band's factor more or less: what is not known about strings."""
        own = self.loss_by_cause[..., 1, :, :]
        changes = np.stack([own * (self.string_factor - 1), own * (1 / self.string_factor - 1)])
        return self.t60 * self.loss / (self.loss + changes)

    def by_part(self, modes):
        """Which part of the instrument takes what leaves through the string's ends.

        modes: the Modes this decay was found with. Returns names (P,) and loss factors (..., P, S, F); summed over the parts they equal
        the fret end's plus the bridge end's. Twisting modes count as one part.
        """
        bending = np.shape(modes.frequency)[-1]
        first = self.loss_by_mode.shape[-1] - bending - (0 if modes.twist_frequency is None else np.shape(modes.twist_frequency)[-1])
        parts = np.einsum("...sfk,...ck->...csf", self.loss_by_mode[..., first:first + bending], modes.loss_share)
        twist = np.sum(self.loss_by_mode[..., first + bending:], axis=-1)[..., None, :, :]
        return modes.causes + ("twist",), np.concatenate([parts, twist], axis=-3)

    def table(self):
        """One row per note: T60 and its band, shares by cause, coupling, marks."""
        import pandas as pd
        S, F = self.t60.shape[-2:]
        middle = (lambda v: np.median(v, axis=0)) if self.draws else (lambda v: v)
        low, t60, high = self.band()
        columns = {"string": np.repeat(np.arange(S, 0, -1), F), "fret": np.tile(np.arange(F), S), "note": np.asarray(self.notes).ravel(),
                   "frequency (Hz)": middle(self.frequency).ravel(), "T60 (s)": t60.ravel()}
        if self.draws:
            columns |= {"5 % T60 (s)": low.ravel(), "95 % T60 (s)": high.ravel(), "chance of dead (%)": 100 * self.dead_chance.ravel()}
        share = middle(self.share_by_cause)
        columns |= {f"lost to {c} (%)": 100 * share[i].ravel() for i, c in enumerate(self.causes)}
        columns |= {"T60 of the string alone (s)": self.alone.ravel(), "coupling K": middle(self.strength).ravel()}
        mark = np.where(self.dead_chance >= 0.5, "dead", np.where(np.mean(self.ringing, axis=0) >= 0.5 if self.draws else self.ringing, "ringing", ""))
        columns["mark"] = mark.ravel()
        return pd.DataFrame(columns)


def decay(instrument, strings, age=0.0, setup=Setup(), harmonic=1, losses=None, modes=None):
    """Decay of every string at every fret of an instrument.

    instrument: sound.instrument.Instrument (draws allowed); strings: neck.strings.StringSet; age: 0 new to 1 well played strings, one or one per
    string; setup: neck.load.Setup, for the strings' places across the neck; harmonic: 1 for the fundamental; losses: StringLoss of own strings;
    modes: of this instrument, if already found. Returns Decay. Raises ValueError, also if the strings do not belong to this scale length.
    """
    neck = instrument.neck
    length = np.asarray(strings.length, dtype=float)
    if np.any(np.abs(length - neck.scale_length) > 0.08):
        raise ValueError(f"speaking length of the strings: {np.min(length):g} to {np.max(length):g} m given; accepted: within 0.08 m of the neck's scale length "
                         f"of {neck.scale_length:g} m")
    if modes is None:
        modes = modes_of(instrument)
    places = neck.scale_length - length[:, None] * 2 ** (-np.arange(neck.frets + 1) / 12)
    across = np.take_along_axis(setup.places(neck, places.ravel(), len(strings)).reshape(len(strings), *places.shape), np.arange(len(strings))[:, None, None], 1)[:, 0]
    at_bridge = setup.places(neck, np.array([neck.scale_length]), len(strings))[:, 0]
    return decay_of(modes, strings, places, neck.scale_length, across, at_bridge, age, harmonic, losses)


def decay_of(modes, strings, fret_places, bridge, offsets=0.0, bridge_offsets=0.0, age=0.0, harmonic=1, losses=None):
    """Decay of every string at every fret of an instrument whose modes are known.

    modes: sound.modes.Modes (draws allowed). strings: neck.strings.StringSet. fret_places: x (m) of the fret ends, (F,) or (S, F), fret 0 (the nut)
    first; bridge: x (m) of the bridge. offsets (S,) or (S, F), bridge_offsets (S,): y of the strings (m), which lets twisting modes take part.
    age: 0 new to 1 well played strings, one or (S,). losses: StringLoss for all strings, a list with one per string, or None for the values
    remembered for steel. Returns Decay. Raises ValueError for a place off the instrument or arrays that do not fit.
    """
    S, F = len(strings), np.shape(fret_places)[-1]
    column = lambda v: np.asarray(v, dtype=float).reshape(-1, 1)
    harmonic = int(checks.number("harmonic", harmonic, 1, 60))
    x = np.broadcast_to(fret_places, (S, F))
    y = np.broadcast_to(np.asarray(offsets, dtype=float)[..., None] if np.ndim(offsets) == 1 else offsets, (S, F))
    length = bridge - x
    if np.any(length <= 0):
        raise ValueError(f"fret place: {np.max(x):g} m given; accepted: below {bridge:g} m, the bridge")
    open_length = length[:, :1]
    tension, mass, EI = column(strings.tension), column(strings.mass_per_length), column(strings.bending_stiffness)
    diameter = column([s.diameter for s in strings.strings])
    if losses is None:
        ages = np.broadcast_to(np.asarray(age, dtype=float), (S,))
        losses = [steel_loss("wound" if s.wrap else "plain", float(a)) for s, a in zip(strings.strings, ages)]
    losses = list(losses) if isinstance(losses, (list, tuple)) else [losses] * S
    if len(losses) != S:
        raise ValueError(f"string losses: {len(losses)} given for {S} strings; accepted: one for all, or one a string")
    curve = np.pi**2 * EI / (tension * length**2)                                    # inharmonicity at the fret
    frequency = column(strings.frequency) * open_length / length * harmonic * np.sqrt((1 + curve * harmonic**2) / (1 + curve))
    air, own = steel_string_loss(mass, diameter, tension, EI, length, harmonic, frequency,
                                 column([l.friction for l in losses]), column([l.bending for l in losses]))
    notes = Notes(frequency, length, tension, air, own, harmonic, EI)

    ends = string_ends(modes, x, np.full((S, F), float(bridge)), y, np.broadcast_to(column(bridge_offsets), (S, F)))
    mode_frequency = modes.all_at(float(bridge))[1]
    found = solve(notes, ends, exact=modes.draws is None)
    by_cause, by_mode = lost_by(notes, ends, found.string)
    seconds = lambda root: LN_1000 / np.imag(root)
    fundamental = notes.omega / 2
    return Decay(seconds(found.string), np.real(found.string) / (2 * np.pi), 2 * np.imag(found.string) / np.abs(found.string),
                 np.moveaxis(by_cause, 0, -3), by_mode, LN_1000 / (fundamental * notes.loss),
                 LN_1000 / (fundamental * (notes.loss + np.sum(end_loss(notes, ends), axis=-1))), found.strength, found.mode, found.distance, found.mixed,
                 seconds(found.partner), np.real(found.partner) / (2 * np.pi), mode_frequency, note_names(strings, F),
                 tuple(dict.fromkeys(f"string losses: {l.status}, times or divided by {l.friction_band:g}" for l in losses)),
                 column([l.friction_band for l in losses]))


def note_names(strings, frets):
    """Names (S, frets) of the notes of a StringSet at fret 0, 1 … by equal temperament, such as "C#4"."""
    from tonewood.strings.pitch import note_name, note_number
    return np.array([[note_name(note_number(name) + n) for n in range(frets)] for name in strings.tuning])
