"""How long each note rings, and where the dead ones are. Controls -> Instrument -> modes -> decay -> picture and sentence."""

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from tonewood.lesson.shared.shop import CHANNEL, ROOM, possible, woods
from tonewood.panel.controls import pick, slider
from tonewood.panel.live_figure import LiveFigure
from tonewood.lesson.ring_and_decay.view import RingView
from tonewood.neck.layup.neck import Back, Fretboard, Neck, Outline, striped
from tonewood.strings.sets import string_set
from tonewood.sound.dead_notes import dead_range, mode_names, note_decay, with_string_doubt
from tonewood.sound.decay import Decay, decay
from tonewood.sound.instrument import Headstock, Instrument
from tonewood.sound.modes import Modes, modes
from tonewood.wood.board import Board
from tonewood.wood.moisture import equilibrium_moisture
from tonewood.wood.species import species

DRAWS = 100
BENDING, TWIST = 6, 3
SHOP = 0.45
FRETBOARD = 6.0
"""Thickness of the fretboard, mm; part of the neck depth."""

STRING_NAMES = ("6 · low E", "5 · A", "4 · D", "3 · G", "2 · B", "1 · high E")
DESIGN = ("main", "stripes", "fretboard", "depth", "clamp", "tapped")


def build(main, stripes, fretboard, depth, clamp, tapped, stiffer=1.0, **_):
    """The Instrument of one setting, single values: depth (mm, at the nut, fretboard included), clamp (g), tapped (loss factor of the main wood in
    thousandths, 0: not tapped), stiffer: factor on the modulus of every board of the neck, masses unchanged."""
    moisture = equilibrium_moisture(ROOM, SHOP)
    own = {"loss": tapped / 1000} if tapped else {}
    grain = {"moisture": moisture, "ring_angle": np.pi / 2}
    boards = [Board(species(main), **grain, **own), *(Board(species(key), **grain) for key in ("wenge", "black walnut"))]
    top = Board(species(fretboard), moisture=moisture)
    wood = (depth - FRETBOARD) / 1000
    neck = Neck(striped(*boards, stripes), Outline(), Back("D", wood, wood + 0.0025), Fretboard(top, FRETBOARD / 1000), CHANNEL)
    if stiffer != 1.0:
        neck = neck.with_pieces(replace(b, modulus=stiffer * b.E_L) for b in neck.pieces)
    return Instrument(neck, Headstock(clamp_mass=clamp / 1000))


@lru_cache(maxsize=1)
def strings():
    """The six strings of the lesson: round generic gauges, common practice, no source."""
    return string_set("six")


@lru_cache(maxsize=64)
def _instrument(items):
    instrument = build(**dict(items))
    return instrument, modes(instrument, BENDING, TWIST)


@lru_cache(maxsize=32)
def _drawn(items):
    instrument = _instrument(items)[0]
    return modes(replace(instrument, neck=possible(instrument.neck, "different trees", DRAWS)), BENDING, TWIST)


@lru_cache(maxsize=64)
def _map(items, age):
    instrument, found = _instrument(items)
    return decay(instrument, strings(), age, modes=found)


@lru_cache(maxsize=128)
def _note(items, age, string, fret):
    return with_string_doubt(note_decay(_drawn(items), _instrument(items)[0].neck, strings(), string, fret, age))


@dataclass(frozen=True)
class Found:
    """All a setting leads to: the Instrument, its Modes and those of the draws, the Decay of every note, of the chosen note with draws, and between
    which frets each dead note may lie (2, S, F)."""

    instrument: Instrument
    modes: Modes
    drawn: Modes
    map: Decay
    note: Decay
    span: np.ndarray


def _design(values):
    return tuple((name, values[name]) for name in DESIGN) + ((("stiffer", values["stiffer"]),) if values.get("stiffer", 1.0) != 1.0 else ())


def ring_map(**values):
    """Decay of every note of one setting, the rest of the controls at their start values; kept for reuse."""
    values = {**defaults(), **values}
    return _map(_design(values), values["age"])


def found(**values):
    """Found of one setting of the controls, kept for reuse."""
    values = {**defaults(), **values}
    items = _design(values)
    everything = _map(items, values["age"])
    note = _note(items, values["age"], values["string"], int(values["fret"]))
    return Found(*_instrument(items), _drawn(items), everything, note, dead_range(everything, _drawn(items)))


def _change(art, held=None, **values):
    now, earlier = found(**values), None
    if held:
        kept = ring_map(**held)
        earlier = kept, 100 * kept.share_by_cause[:, held["string"], int(held["fret"])]
    art.show(now, values, main_loss(values)[0], earlier)
    return sentence(values, now)


def between(span, s, f):
    """The whole frets between which the dead note of string s, fret f may lie, in words."""
    low, high = (int(np.clip(np.rint(v), 0, 22)) for v in span[:, s, f])
    return f"frets {low} to {high}" if high > low else f"fret {low}"


def string_word(s):
    """How a string is called in a sentence: "D string"."""
    return f"{STRING_NAMES[s].split(' · ')[1]} string"


def nearest(now, s, f):
    """(name, index) of the mode a note meets most strongly."""
    k = int(now.map.mode[s, f])
    return mode_names(now.modes)[k], k


def sentence(values, now):
    """The picture in words, with every number and its 90 % band."""
    s, f = values["string"], int(values["fret"])
    low, _, high = np.ravel(now.note.band())
    here, alone = float(now.map.t60[s, f]), float(now.map.alone[s, f])
    share = 100 * now.map.share_by_cause[:, s, f]
    bands = np.percentile(100 * now.note.share_by_cause[:, :, 0, 0], [5, 95], axis=0)
    told = ", ".join(f"{label} {v:.0f} % ({a:.0f} to {b:.0f})" for label, v, a, b in zip(("air", "the string itself", "fret end", "bridge end"), share, *bands))
    name, k = nearest(now, s, f)
    frequency, limits = now.map.mode_frequency[k], np.percentile(now.drawn.all_at(0.0)[1][:, k], [5, 95])
    away = float(12 * np.log2(now.map.frequency[s, f] / frequency))
    where = f"{abs(away):.1f} frets {'above' if away > 0 else 'below'}" if abs(away) >= 0.05 else "right on"
    mark = "dead" if now.map.dead[s, f] else "ringing" if now.map.ringing[s, f] else "between dead and ringing"
    dead = "; ".join(f"{string_word(i)}, {between(now.span, i, j)}" for i, j in np.argwhere(now.map.dead))
    (least, value, most), status = main_loss(values)
    return (f"{now.map.notes[s, f]}, {string_word(s)}, {'open' if f == 0 else f'fret {f}'}: T60 {here:.1f} s, {mark} (90 of 100 such necks: {low:.1f} to {high:.1f} s; "
            f"dead in {100 * float(now.note.dead_chance[0, 0]):.0f} of 100). The string alone would ring {alone:.1f} s. Energy goes to: {told}. "
            f"The note lies {where} the neck's {name}, {frequency:.0f} Hz ({limits[0]:.0f} to {limits[1]:.0f}). Dead notes of this neck, and where each may lie: {dead or 'none'}. "
            f"Loss factor of the main wood {value:.1f} thousandths ({least:.1f} to {most:.1f}; {status}).")


def main_loss(values):
    """Loss factor of the main wood along the grain in thousandths: (low, value, high), and where it comes from."""
    board = _instrument(_design(values))[0].neck.pieces[0]
    value, factor = 1000 * float(board.eta_L), board.loss_band
    status = "your own tap" if values["tapped"] else "measured, published" if board.species.loss.status == "published" else "a remembered relation that cannot rank woods"
    return (value / factor, value, value * factor), status


def defaults():
    """Start values: neck No. 12 of the demonstration workshop, the D string at the fret where it dies."""
    return dict(main=species("hard maple").key, stripes=7, fretboard=species("Indian rosewood").key, depth=20.5, clamp=0.0, age=0.0, tapped=0.0, string=2, fret=5.0)


def controls():
    """The controls, fresh: wood, shape, head, strings, note."""
    start = defaults()
    made = {
        "main": pick("Main wood", woods("neck"), start["main"]),
        "stripes": slider("Stripes", start["stripes"], 1, 11, 1, "", "wenge accents and a walnut centre stripe, as on the bench"),
        "fretboard": pick("Fretboard wood", woods("fretboard"), start["fretboard"], "6 mm thick, 2.5 mm slots"),
        "depth": slider("Neck depth at the nut", start["depth"], 18, 25, 0.5, "mm", "fretboard included; 2.5 mm more at the last fret; slim to baseball bat"),
        "clamp": slider("Clamped to the headstock", start["clamp"], 0, 300, 10, "g", "a small clamp is 50 to 100 g, 150 mm behind the nut"),
        "age": slider("String age", start["age"], 0, 1, 0.1, "", "0 new, 100 well played; the strings' losses are from memory, times or divided by 2 to 2.5"),
        "tapped": slider("Your tapped loss factor, main wood", start["tapped"], 0, 30, 0.5, "1/1000", "0: not tapped, the estimate is used; a board rings at 5 to 15 thousandths"),
        "string": pick("String", [(name, i) for i, name in reversed(list(enumerate(STRING_NAMES)))], start["string"]),
        "fret": slider("Fret", start["fret"], 0, 22, 1, "", "0 is the open string"),
    }
    made["age"].show_in("%", 100, 10)
    return made


def ring(place="above"):
    """The decay map, ready to slide. Returns a LiveFigure."""
    return LiveFigure(RingView, _change, controls(), inches=(10.0, 6.9), place=place,
                      alt="Map of strings and frets with the seconds each note rings, dead and ringing notes marked; shapes and frequencies of the neck's modes; "
                          "where the energy of the chosen note goes")
