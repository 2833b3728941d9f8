"""The attack: what happens in the first fifth of a second. Controls -> Found -> picture and sentence."""

from __future__ import annotations

from typing import Any

from tonewood.draws import band, written
from tonewood.lesson.first_moment import model
from tonewood.lesson.first_moment.model import LAST_FRET, RANGES, Found, defaults, found
from tonewood.lesson.first_moment.view import STACK, STEP, AttackView
from tonewood.lesson.shared.design_strip import LessonNeck, with_strip
from tonewood.lesson.shared.shop import NECK_12, role_woods, wood_list
from tonewood.neck.design import Design
from tonewood.panel.controls import Control, pick, slider
from tonewood.panel.live_figure import LiveFigure

STRING_NAMES = (("1 · high E", 1), ("2 · B", 2), ("3 · G", 3), ("4 · D", 4), ("5 · A", 5), ("6 · low E", 6))


def controls(design: Design = NECK_12) -> dict[str, Control]:
    """The controls, fresh, in the order note, stroke, pickup, neck, string."""
    start = defaults(design)

    def made(name: str, label: str, low: float, high: float, step: float, unit: str, why: str,
             continuous: bool = True) -> Control:
        return slider(label, start[name], low, high, step, unit, why, continuous)

    return {
        "string": pick("String", STRING_NAMES, start["string"],
                       "six strings, round generic gauges (common practice, no source)"),
        "fret": made("fret", "Fret", 0, LAST_FRET, 1, "", "0 is the open string; beyond 19 the pick would "
                     "stand over the fretting hand"),
        "pick": made("pick", "Pick, from the bridge", 40, 180, 5, "mm",
                     "from beside the bridge to the end of the fretboard"),
        "strength": made("strength", "Pull of the pick", 0.5, 3, 0.25, "mm", "how far the string is pulled "
                         "aside; 3 mm is a hard stroke (common practice, no source)"),
        "direction": made("direction", "Angle of the pick stroke", 0, 90, 5, "°",
                          "0 straight away from the fretboard, 90 sideways along it"),
        "pickup": made("pickup", "Pickup, from the bridge", 30, 170, 5, "mm", "about 45 mm is a bridge "
                       "pickup, about 150 mm a neck pickup (common practice, no source)"),
        "wood": pick("Main wood", wood_list("neck"), start["wood"], "on neck No. 12: accents of wenge, 2 mm, "
                     "from 4 stripes on; centre of black walnut, 10 mm, if the number is odd and at least 3"),
        "stripes": made("stripes", "Stripes", *RANGES["stripes"], "", "1 is one piece of the main wood; this "
                        "slider draws when you let go", False),
        "depth": made("depth", "Neck depth at the nut", *RANGES["depth"], "mm", "fretboard included; 2.5 mm "
                      "more at the last fret of neck No. 12; draws when you let go", False),
        "age": made("age", "String age", 0, 100, 10, "%", "0 new, 100 well played; the steel's losses are "
                    "from memory, unverified")}


def attack(place: str | None = "beside", design: Design = NECK_12) -> LiveFigure:
    """The first fifth of a second, ready to slide. Returns a LiveFigure; last line of a cell."""
    live = LiveFigure(AttackView, _change, controls(design), inches=(10.0, 5.8), place=place, subject=design,
                      first=("string", "fret", "pick", "strength", "pickup", "stripes"),
                      parts={"Curves": (0, 0, 0.545, 1), "Gauges": (0.545, 0, 1, 1)}, narrow=STACK,
                      alt="Three curves over the first 200 ms after the pick lets go: level, fall since 5 ms "
                          "with its 90 % band, and pitch; beside them six gauges of level, fall, decay and "
                          "pitch glide")
    return with_strip(live, LessonNeck(defaults, model.keep, model.cannot))


def _change(art: AttackView, subject: Design, held: dict[str, Any] | None = None, **values: Any) -> str:
    now, earlier = found(subject, **values), found(**held) if held else None
    art.show(now, earlier)
    return sentence(now, earlier)


def sentence(f: Found, earlier: Found | None = None) -> str:
    """The picture in words, with every number, and the comparison with the ghost if there is one."""
    note, count = f.note, len(f.note.design.stripes)
    low, _, high = band(f.fall200_draws)
    at = [written(level, 1) for level in f.at]
    text = (f"{note.name}, string {note.string}, fret {note.fret}, {f.frequency:.0f} Hz, on a neck of "
            f"{'one piece' if count == 1 else f'{count} stripes'}, main wood "
            f"{role_woods(note.design)['main'].name}. Level at 5, 50 and 200 ms: {at[0]}, {at[1]} and "
            f"{at[2]} dB. It falls by {written(f.fall200)} dB from 5 to 200 ms (90 of 100 such necks: "
            f"{written(low)} to {written(high)}). T60 of the early decay {f.early_decay:.1f} s, of the late "
            f"one {f.late_decay:.1f} s. The pitch starts {f.cents[0]:.1f} cents high, "
            f"{_side(f.cents[0], f.threshold)} the {f.threshold:.0f} cents of glide listeners notice "
            f"(published); the give of the neck takes {f.relieved:.2f} cents of it away.")
    if earlier is None:
        return text
    other = "" if earlier.note.name == note.name else f" ({earlier.note.name}, another note)"
    level, fall, decay, start, taken = (written(now - then, decimals, sign=True) for now, then, decimals in (
        (f.at[0], earlier.at[0], 1), (f.fall200, earlier.fall200, 2),
        (f.early_decay, earlier.early_decay, 1), (f.cents[0], earlier.cents[0], 1),
        (f.relieved, earlier.relieved, 2)))
    return (f"{text} Against the ghost{other}: level at 5 ms {level} dB, fall to 200 ms {fall} dB, "
            f"{_side(abs(f.fall200 - earlier.fall200), STEP)} the step of {STEP:.1f} dB listeners notice; "
            f"T60 of the early decay {decay} s; pitch at the start {start} cents; taken by the neck {taken} "
            "cents.")


def _side(value: float, limit: float) -> str:
    return "above" if value > limit else "below"
