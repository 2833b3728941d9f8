"""A year in the client's town: room, moisture, relief month by month, what can be foreseen and what is a coin
toss."""

from __future__ import annotations

from typing import Any

from tonewood.lesson.client_year.model import (
    HUMIDIFIERS,
    RANGES,
    cannot,
    coats,
    defaults,
    keep,
    seen,
    usual,
)
from tonewood.lesson.client_year.view import STACK, draw, sentence, setup
from tonewood.lesson.shared.design_strip import LessonNeck, with_strip
from tonewood.lesson.shared.shop import NECK_12, RODS, wood_list
from tonewood.neck.design import Design
from tonewood.panel.controls import Control, pick, slider, switch
from tonewood.panel.live_figure import LiveFigure
from tonewood.wood.climate import MONTHS, place, places


def controls(design: Design = NECK_12) -> dict[str, Control]:
    """The controls, fresh, in the order town, room, finish, neck."""
    start = defaults(design)

    def of_design(name: str, label: str, unit: str, why: str) -> Control:
        return slider(label, start[name], *RANGES[name], unit, why)

    return {
        "place": pick("Client's town", [(place(name).listed, name) for name in places()],
                      start["place"], "by continent and country; type the first letters of a town. Heating "
                      "and cooling go to what is usual there"),
        "delivered": pick("Delivered in", list(MONTHS), start["delivered"],
                          "counted from the middle of the month"),
        "shop": of_design("shop", "Shop humidity", "%", "where the whole neck had settled at 20 °C; outside "
                          "35 to 65 % wait before gluing (judgement)"),
        "temperature": slider("Heated to", start["temperature"], 15, 26, 1, "°C",
                              "warmer outdoors, the room is as warm as outdoors unless cooled"),
        "added": slider("Humidity from people and cooking", start["added"], 0, 20, 1, "%", "relative "
                        "humidity from breath, cooking and plants at 0 °C outdoors; 5 to 15 % is usual "
                        "(estimated)"),
        "humidifier": pick("Humidifier", list(HUMIDIFIERS), start["humidifier"], "what it keeps the room at"),
        "cooled": switch("Cooled in summer", start["cooled"], "air conditioning also dries the air, to a "
                         "dew point of 12 °C (common practice, no source), in the hours it runs (estimated)"),
        "cooled_to": slider("Cooled to", start["cooled_to"], 20, 28, 1, "°C", "not below what it is heated "
                            "to; 22 to 26 °C is usual (common practice, no source)"),
        "back": pick("Finish on the back", coats(), start["back"],
                     "with the number of coats that was tested; brushing lacquers and oils differ, the list "
                     "is not your can"),
        "board": pick("Finish on the fretboard", coats(), start["board"],
                      "most dark fretboards are left bare or oiled"),
        "main": pick("Main wood", wood_list("neck"), start["main"]),
        "stripes": of_design("stripes", "Stripes", "", "from different trees; 1 is the one-piece neck"),
        "ring_angle": of_design("ring_angle", "Ring angle", "°", "0 flat-sawn, 90 quarter-sawn, for all "
                                "stripes; the fretboard stays flat-sawn"),
        "rod": pick("Truss rod", list(RODS), start["rod"], "a single-acting one is stretched between its "
                    "ends: it tightens as the wood swells along it and slackens as the wood shrinks"),
    }


def seasons(place: str | None = "beside", design: Design = NECK_12) -> LiveFigure:
    """A neck's first year, ready to slide. Returns a LiveFigure; last line of a cell."""
    live = LiveFigure(setup, _change, controls(design), inches=(10.0, 6.1), place=place, subject=design,
                      first=("place", "cooled", "delivered", "stripes", "main", "back", "board"),
                      parts={"Relief": (0, 0.535, 0.585, 1), "Air and wood": (0, 0, 0.585, 0.535),
                             "Widest month": (0.585, 0.33, 1, 1), "Gauges": (0.585, 0, 1, 0.33)},
                      narrow=STACK, follow={"place": usual},
                      alt="Twelve months after delivery: relief with its 90 % band, room humidity, moisture "
                          "of fretboard and neck; what part of the change can be foreseen, a hundred necks "
                          "sorted by rise and fall, fret ends and width")
    return with_strip(live, LessonNeck(defaults, keep, cannot))


def _change(art: Any, subject: Design, held: dict[str, Any] | None = None, **values: Any) -> str:
    now = seen(subject, **values)
    draw(art, now, seen(**held) if held else None)
    return sentence(values, now)
