"""How long each note rings, and where the dead ones are. Controls -> Found -> picture and sentence."""

from __future__ import annotations

from typing import Any

import numpy as np

from tonewood.lesson.ring_and_decay import model
from tonewood.lesson.ring_and_decay.model import (
    FUNDAMENTAL,
    PICK,
    PICKUP,
    RANGES,
    STRINGS,
    WHOLE,
    Found,
    defaults,
    found,
    string_names,
)
from tonewood.lesson.ring_and_decay.view import STACK, RingView
from tonewood.lesson.shared.design_strip import LessonNeck, with_strip
from tonewood.lesson.shared.shop import NECK_12, wood_list
from tonewood.neck.design import Design
from tonewood.panel.controls import Control, pick, slider
from tonewood.panel.live_figure import LiveFigure


def controls(design: Design = NECK_12) -> dict[str, Control]:
    """The controls, fresh: wood, shape, head, strings, note."""
    start = defaults(design)
    names = [(f"{STRINGS - i} · {name}", i) for i, name in enumerate(string_names(model.ring_map()))]
    made = {
        "main": pick("Main wood", wood_list("neck"), start["main"]),
        "stripes": slider("Stripes", start["stripes"], *RANGES["stripes"], "", "wenge accents and a walnut "
                          "centre stripe, as on the bench"),
        "fretboard": pick("Fretboard wood", wood_list("fretboard"), start["fretboard"],
                          "6 mm thick, 2.5 mm slots on neck No. 12"),
        "depth": slider("Neck depth at the nut", start["depth"], *RANGES["depth"], "mm", "fretboard "
                        "included; 2.5 mm more at the last fret of neck No. 12; slim to baseball bat"),
        "clamp": slider("Clamped to the headstock", start["clamp"], 0, 300, 10, "g", "a small clamp is 50 to "
                        "100 g, 150 mm behind the nut"),
        "age": slider("String age", start["age"], 0, 1, 0.1, "", "0 new, 100 well played; the strings' "
                      "losses are from memory, times or divided by 2 to 2.5"),
        "tapped": slider("Your tapped loss factor, main wood (thousandths)", start["tapped"], 0, 30, 0.5, "",
                         "0: not tapped, the estimate is used; a board rings at 5 to 15 thousandths"),
        "string": pick("String", names[::-1], start["string"]),
        "fret": slider("Fret", start["fret"], 0, 22, 1, "", "0 is the open string"),
        "level": pick("The map shows the", [("fundamental", FUNDAMENTAL), ("whole level, as a meter shows it",
                                                                           WHOLE)], start["level"]),
    }
    made["age"].show_in("%", 100, 10)
    return made


def ring(place: str | None = "beside", design: Design = NECK_12) -> LiveFigure:
    """The decay map, ready to slide. Returns a LiveFigure."""
    live = LiveFigure(RingView, _change, controls(design), inches=(10.0, 6.1), place=place, subject=design,
                      first=("main", "stripes", "depth", "clamp", "string", "fret", "level"),
                      parts={"Low frets": (0, 0.405, 0.65, 1), "High frets": (0.43, 0.51, 1, 0.935),
                             "Vibrations": (0, 0, 0.528, 0.405), "Losses": (0.528, 0, 1, 0.405)},
                      narrow=STACK,
                      alt="Map of strings and frets with the seconds each note rings, dead and ringing notes "
                          "marked; shapes and frequencies of the neck's modes; where the energy of the "
                          "chosen note goes")
    return with_strip(live, LessonNeck(defaults, model.keep, model.cannot))


def _change(art: RingView, subject: Design, held: dict[str, Any] | None = None, **values: Any) -> str:
    now, kept = found(subject, **values), found(**held) if held else None
    art.show(now, kept and (kept.shown, kept.shares[0]))
    return sentence(now)


def between(now: Found, string: int, fret: int) -> str:
    """The whole frets between which a dead note may lie, in words."""
    low, high = np.clip(np.rint(now.span[:, string, fret]), 0, now.map.t60.shape[1] - 1)
    return f"frets {int(low)} to {int(high)}" if high > low else f"fret {int(low)}"


def sentence(now: Found) -> str:
    """The picture in words, with every number and its 90 % band."""
    s, f = now.at
    low, _, high = now.seconds
    names = [f"{name} string" for name in string_names(now.map)]
    told = ", ".join(f"{label} {v:.0f} % ({a:.0f} to {b:.0f})" for label, v, a, b in zip(
        ("air", "the string itself", "fret end", "bridge end"), *now.shares, strict=True))
    name, k = now.mode
    frequency, limits = now.map.mode_frequency[k], now.mode_band[:, k]
    away = float(12 * np.log2(now.map.frequency[s, f] / frequency))
    where = f"{abs(away):.1f} frets {'above' if away > 0 else 'below'}" if abs(away) >= 0.05 else "right on"
    mark = ("dead" if now.map.dead[s, f] else "ringing" if now.map.ringing[s, f]
            else "neither dead nor ringing")
    dead = "; ".join(f"{names[i]}, {between(now, i, j)}" for i, j in np.argwhere(now.shown.dead))
    (least, value, most), status = now.heard.loss
    seconds = now.map.t60[s, f]
    # Where a mode meets the note almost exactly, nearly every board that differs makes it ring longer.
    inside = round(low, 1) <= round(seconds, 1) <= round(high, 1)
    average = "On the average neck" if inside else "The average neck lies outside; on it"
    return (f"{now.map.notes[s, f]}, {names[s]}, {'open' if f == 0 else f'fret {f}'}. Boards exactly "
            f"average, as on the map: {mark}, T60 of the fundamental {seconds:.1f} s, of the whole level, "
            f"plucked {1000 * PICK:.0f} mm and heard {1000 * PICKUP:.0f} mm from the bridge, {now.whole:.1f} "
            f"s. Boards as they vary: dead on {100 * float(now.note.dead_chance[0, 0]):.0f} of 100 such "
            f"necks; on 90 the fundamental's T60 lies between {low:.1f} and {high:.1f} s. {average} the "
            f"frets beside ring {now.map.beside[s, f]:.1f} s; the string alone would ring "
            f"{now.map.alone[s, f]:.1f} s. The fundamental's energy goes to: {told}. The note lies {where} "
            f"the neck's {name}, {frequency:.0f} Hz ({limits[0]:.0f} to {limits[2]:.0f}). Dead notes of this "
            f"map ({now.level}), and where each may lie: {dead or 'none'}. Loss factor of the main wood "
            f"{value:.1f} thousandths ({least:.1f} to {most:.1f}; {status}).")
