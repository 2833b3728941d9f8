"""Weight and balance: move wood, thickness, tuners, button and chambers, and see where the instrument
balances."""

from __future__ import annotations

from typing import Any

from tonewood.draws import band, written, written_band
from tonewood.lesson.shared.shop import wood_list
from tonewood.lesson.weight_and_balance.model import (
    LEFT,
    NAMES,
    START,
    Balanced,
    balanced,
    defaults,
    limit_doubt,
    on_strap,
    seated,
)
from tonewood.lesson.weight_and_balance.view import STACK, draw, setup
from tonewood.panel.controls import Control, pick, slider, switch
from tonewood.panel.live_figure import LiveFigure


def controls(who: str = START) -> dict[str, Control]:
    """The controls, fresh."""
    start = defaults(who)
    return {
        "who": pick("Instrument", [(name, key) for key, name in NAMES.items()], who,
                    "the workshop's own or an invented client's; the others go to where they stand for it"),
        "main": pick("Main wood of the neck", wood_list("neck"), start["main"],
                     "accent and centre stripes stay"),
        "wood": pick("Wood of the body", wood_list("body"), start["wood"]),
        "thickness": slider("Body thickness", start["thickness"], 30, 60, 1, "mm",
                            "thinner bodies leave no room for the controls"),
        "tuner": slider("One tuner", start["tuner"], 15, 125, 1, "g",
                        "with bush and screw; from a light guitar's to a heavy bass's (from memory, "
                        "unverified); weigh yours"),
        "button": slider("Front strap button from the nut", start["button"], 250, 460, 5, "mm",
                         "250 mm is a very long horn, 460 mm none at all"),
        "chambers": switch("Chambers", start["chambers"],
                           f"{1e3 * LEFT:.0f} mm of top and back together are left over them"),
    }


def weight_and_balance(place: str | None = "beside") -> LiveFigure:
    """The whole instrument and where it balances, ready to slide. Returns a LiveFigure; last line of a
    cell."""
    return LiveFigure(
        setup, _change, controls(), inches=(10.0, 6.1), place=place,
        first=("who", "main", "wood", "tuner", "button"),
        follow={"who": lambda who: {k: v for k, v in defaults(who).items() if k != "who"}},
        parts={"Face": (0.08, 0.505, 0.92, 1), "Weights": (0, 0, 0.53, 0.505),
               "Balance": (0.54, 0, 1, 0.505)},
        narrow=STACK,
        alt="Face view of the whole instrument to scale with its centre of gravity, strap buttons, limit of "
            "the strap and thigh; below, the weight of each part and how far 10 g more of it move the "
            "balance")


def _change(art: Any, **values: Any) -> str:
    now = balanced(**values)
    draw(art, now)
    return sentence(now)


STRAP = {"level": "it stays level", "probably level": "it probably stays level",
         "probably dives": "the head probably goes down", "dives": "the head goes down"}


def sentence(now: Balanced) -> str:
    """The picture in words."""
    margin = float(band(now.strap.margin)[1])
    side = "tail" if margin >= 0 else "head"
    press = float(band(now.seat.press)[1])
    force = "" if press == 0 else f", with {written(abs(press), 0)} N of the " + (
        "forearm" if press > 0 else "fretting hand")
    return (f"It weighs {written_band(band(now.mass))} kg and balances "
            f"{written_band(1e3 * band(now.centre), 0)} mm from the nut, {abs(1e3 * margin):.0f} mm on the "
            f"{side}'s side of the strap's limit. On a strap {STRAP[on_strap(now.strap)]}; that limit is "
            f"known to ±{1e3 * limit_doubt():.0f} mm only. Seated, it {seated(now.seat)}{force}.")
