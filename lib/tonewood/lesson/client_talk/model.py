"""What a client picks in plain words, and the lay-up that answers it best."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from tonewood.brief.brief import GIVES, HANDS, RANGE, ROD_RESERVE
from tonewood.draws import band
from tonewood.lesson.shared.clients import client, has_look, looking
from tonewood.lesson.shared.lots import START, lot
from tonewood.neck.design import Design
from tonewood.remember import remember

FEELS = {"it gives": "soft", "in between": "even", "firm": "firm", "I do not mind": "any"}
WEIGHTS = {"as light as can be": 0.1, "light": 0.5, "I do not mind": 1.0}
"""How light: the share of the lay-ups, lightest first, among which the neck is chosen."""
RARE = 0.05
"""Chance below which a wish counts as given up."""
COLOURS = {"pale": "pale", "warm": "warm", "dark": "dark", "any colour": "any"}


def defaults(who: str = START) -> dict[str, Any]:
    """Start values of the controls: the client's own wishes."""
    brief = client(who).brief
    feel = next((words for words, give in FEELS.items() if give == brief.give), "firm")
    return {"who": who, "feel": feel, "weight": "light" if brief.weight else "I do not mind",
            "colour": next(words for words, look in COLOURS.items() if look == brief.look)}


@dataclass(frozen=True, kw_only=True)
class Answer:
    """The lay-up that answers the wishes: its Design, the chance (fraction) that a neck of it does, bands
    (3,) of weight (kg), stiffness (N m2) and swing (mm); given_up: a wish that no lay-up of the rack meets.
    """

    design: Design
    chance: float
    weight: np.ndarray
    stiffness: np.ndarray
    swing: np.ndarray
    given_up: str


@remember(64)
def answer(who: str, feel: str, weight: str, colour: str) -> Answer:
    """The likeliest lay-up of the client's rack for these wishes. Among those of the colour and among the
    lightest share; a colour the rack has not is given up, and said."""
    one, here = client(who), lot(who)
    v = here.values
    main = [layup.stripes[0][0] for layup in here.layups]
    fit = set(looking(tuple(dict.fromkeys(main)), COLOURS[colour]))
    coloured = np.array([wood in fit for wood in main])
    given_up = "" if has_look(COLOURS[colour], fit) else f"no wood of this rack for it is {colour}"
    middle = np.median(v["weight"], -1)
    limit = np.quantile(middle[coloured], WEIGHTS[weight])
    scale, factor = GIVES[FEELS[feel]], RANGE.get(one.brief.strings.set, 1.0)
    good = ((1e3 * v["seasons"] <= 1e3 * HANDS[one.brief.hand]) & (v["rod"] <= ROD_RESERVE)
            & (v["protected"] == 0) & (v["dead notes"] < 0.5))
    if scale is not None:
        good &= (v["stiffness"] >= scale[0] * factor) & (v["stiffness"] <= scale[1] * factor)
    eligible = coloured & (middle <= limit + 1e-12)
    chance = np.where(eligible, good.mean(-1), -1.0)
    best = int(np.argmax(chance))
    if chance[best] < RARE and scale is not None:
        # none does it: the nearest by feel, and that is said
        low, high = scale[0] * factor, scale[1] * factor
        stiff = np.median(v["stiffness"], -1)
        off = np.maximum(low - stiff, 0) + np.maximum(stiff - high, 0)
        best = int(np.argmin(np.where(eligible, off, np.inf)))
        if off[best] > 0:
            given_up = given_up or (f"no lay-up of this rack feels like that ({feel}) at this depth; a "
                                    f"{'thicker' if stiff[best] < low else 'thinner'} neck does")
    design = here.layups[best].design(one.base, one.base.name)
    return Answer(design=design, chance=float(max(chance[best], 0.0)), weight=band(v["weight"][best]),
                  stiffness=band(v["stiffness"][best]), swing=band(1e3 * v["seasons"][best]),
                  given_up=given_up)


def other(feel: str) -> str:
    """A feel to lay beside this one: the far end of the scale."""
    return "firm" if feel in ("it gives", "in between") else "it gives"
