"""One instrument weighed with what the sliders say: the workshop's No. 12 or a client's, its parts with their
scatter, and how it hangs and sits.

Scatter: neck woods and body wood as wood.spread has them; a fitting anywhere between the least and the most
of its row in data/hardware.csv, its usual weight the likeliest (triangular, estimated). Tuners are taken as
weighed.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from tonewood.brief.balance import (
    Instrument,
    Part,
    Seat,
    Strap,
    Weighed,
    hardware,
    seat_balance,
    strap_balance,
    weigh,
)
from tonewood.brief.body import BodyPlan, Chamber, example_outline
from tonewood.checks import choice
from tonewood.draws import Array
from tonewood.lesson.shared.clients import CLIENTS, client
from tonewood.lesson.shared.shop import NECK_12, SEED, changed, on_step, possible, role_woods
from tonewood.neck.design import Design
from tonewood.neck.layup.neck import Neck
from tonewood.remember import remember
from tonewood.wood.board import Board
from tonewood.wood.facts import rule
from tonewood.wood.species import species
from tonewood.wood.spread import draw_boards

DRAWS = 300
START = "no_12"
LEFT = 0.015
"""Top and back together (m) over a chamber: common practice, no source."""
NAMES = {START: "Neck No. 12 with a plain body", "harbour": "the harbour six-string",
         "studio": "the studio eight-string", "theatre": "the theatre bass"}


def instrument(who: str) -> tuple[Design, Instrument]:
    """The design and the whole instrument of No. 12 or a client. Raises ValueError."""
    if choice("instrument", who, (START, *CLIENTS)) == START:
        return NECK_12, Instrument(body=BodyPlan(outline=example_outline()))
    return client(who).base, client(who).whole


def defaults(who: str = START) -> dict[str, Any]:
    """Where the controls stand for an instrument, by name: mm and g."""
    design, whole = instrument(who)
    head = whole.head
    each = hardware()[head.tuner]["value"] if head.tuner_mass is None else 1e3 * head.tuner_mass
    return {"who": who, "main": role_woods(design)["main"].key, "wood": whole.body.wood,
            "thickness": on_step(1e3 * whole.body.thickness, 30, 60, 1), "tuner": on_step(each, 15, 125, 1),
            "button": on_step(1e3 * whole.buttons[0], 250, 460, 5), "chambers": bool(whole.body.chambers)}


def hollows(body: BodyPlan, blank: float) -> tuple[Chamber, ...]:
    """The body's own chambers, or one in each wing beside a blank of that width (m); LEFT of the thickness
    is kept."""
    depth = body.thickness - LEFT
    if body.chambers:
        return tuple(replace(one, depth=depth) for one in body.chambers)
    x0, y0, x1, y1 = body.polygon.bounds
    a, b = x0 + 0.25 * (x1 - x0), x0 + 0.75 * (x1 - x0)
    inner, outer = blank / 2 + 0.012, 0.34 * (y1 - y0)
    return tuple(Chamber(((a, s * inner), (b, s * inner), (b, s * outer), (a, s * outer)), depth)
                 for s in (-1, 1))


@dataclass(frozen=True, eq=False, kw_only=True)
class Balanced:
    """An instrument as the sliders have it: design, whole, its parts with draws, strap and seat."""

    who: str
    design: Design
    whole: Instrument
    weighed: Weighed
    mass: Array
    centre: Array
    strap: Strap
    seat: Seat


@remember(8)
def _necks(who: str, main: str) -> tuple[Design, Neck]:
    """The design with that main wood, and its possible necks."""
    design = changed(instrument(who)[0], main=main)
    return design, possible(design.neck(), draws=DRAWS)


@remember(64)
def balanced(who: str, main: str, wood: str, thickness: float, tuner: float, button: float, chambers: bool
             ) -> Balanced:
    """What the controls ask for: names of woods, thickness and place of the front button in mm, one tuner in
    g."""
    whole = instrument(who)[1]
    design, neck = _necks(who, main)
    body = replace(whole.body, wood=wood, thickness=thickness / 1e3, chambers=())
    if chambers:
        shaped = replace(body, chambers=tuple(replace(c, depth=0.010) for c in whole.body.chambers))
        body = replace(body, chambers=hollows(shaped, neck.layup.width))
    whole = replace(whole, body=body, head=replace(whole.head, tuner_mass=tuner / 1e3),
                    buttons=(button / 1e3, whole.buttons[1]))
    weighed = scattered(weigh(design, whole, neck), wood)
    mass, centre = np.asarray(weighed.mass), np.asarray(weighed.centre)
    return Balanced(who=who, design=design, whole=whole, weighed=weighed, mass=mass, centre=centre,
                    strap=strap_balance(centre, *whole.buttons),
                    seat=seat_balance(mass, centre, whole.waist, whole.arm))


def scattered(weighed: Weighed, wood: str) -> Weighed:
    """The parts with the scatter of fittings and of the body's wood, (DRAWS,)."""
    board = draw_boards([Board(species(wood))], DRAWS, SEED + 1)[0]
    of_body = np.asarray(board.rho) / float(Board(species(wood)).rho)
    found = []
    for k, part in enumerate(weighed.parts):
        if part.name in ("body", "body wings"):
            part = replace(part, mass=part.mass * of_body)
        elif part.low is not None and part.high is not None:
            luck = np.random.default_rng([SEED, k])
            part = replace(part, mass=luck.triangular(part.low, float(np.mean(part.mass)), part.high, DRAWS))
        found.append(part)
    return Weighed(tuple(found))


def moved(who: str = START, **changes: Any) -> Balanced:
    """An instrument with some controls moved from where they stand for it."""
    return balanced(**{**defaults(who), **changes})


def part_of(now: Balanced, name: str) -> Part:
    """One part by name."""
    return {p.name: p for p in now.weighed.parts}[name]


def limit_doubt() -> float:
    """Half width (m) of the band told with the limit of the strap."""
    return rule("strap_limit_doubt").value


def on_strap(strap: Strap) -> str:
    """"level", "probably level", "probably dives" or "dives", by the middle of the margin and how well its
    limit is known."""
    margin = middle(strap.margin)
    word = "level" if margin >= 0 else "dives"
    return word if abs(margin) > limit_doubt() else f"probably {word}"


def seated(seat: Seat) -> str:
    """How it rests on a thigh, by the middle of the forearm's press."""
    press = middle(seat.press)
    return "rests by itself" if press == 0 else (
        "is head-heavy" if press > rule("press_heavy").value else "rests with the forearm on it")


def middle(values: Any) -> float:
    """The middle of draws."""
    return float(np.median(values))
