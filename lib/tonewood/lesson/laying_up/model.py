"""The lay-up of one setting of the controls: its design, possible necks of it, and how straight they stay."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from tonewood.lesson.shared import shop
from tonewood.lesson.shared.reads import moved
from tonewood.lesson.shared.shop import NECK_12, ROLES, ROOM, changed, on_step, role_woods, woods
from tonewood.neck.design import Design, StripePlan
from tonewood.neck.layup.half_turns import turned
from tonewood.neck.layup.neck import Neck, stripe_widths
from tonewood.neck.layup.stripe_order import ARRANGEMENTS, arranged, planks, stripe_turns
from tonewood.neck.report.straightness import Straightness, straightness
from tonewood.remember import remember
from tonewood.wood.moisture import equilibrium_moisture, humidity_for
from tonewood.wood.spread import SUPPLIES, draw_boards
from tonewood.wood.within import (
    NEAR_PITH,
    SOUND,
    Growth,
    draw_growth,
    from_the_core,
    piece_at,
    side_by_side,
    turned_growth,
)

SHOP, HOME = 100 * shop.HUMIDITY, 30.0
"""Humidity (%) where neck No. 12 was made and where necks live in winter, both at ROOM °C, weeks later."""
VIEW_FRET = 7
FEW, MANY = 1000, 4000
"""Possible necks behind the sliders, and behind what is printed."""
MAPLE = dict.fromkeys(ROLES, "hard_maple")
COUNTS, ANGLES = (1, 11, 1), {"ring_angle": (0, 90, 5), "run_out": (0, 5, 0.5), "slope": (0, 5, 0.5)}
"""Lowest and highest value and step of the sliders, degrees."""
TURNED = {"as sawn": "all as sawn", "every second about x": "every second rolled over, same end to the nut",
          "every second about y": "every second rolled over and end for end",
          "every second about z": "every second end for end on the bench",
          "mirrored pairs": "mirrored pairs, each pair from one board"}
"""The arrangements of neck.layup.stripe_order, in words."""
OF_THE_WOOD = ("origin", "arrangement", "supply", "part")
"""The controls that say which boards the stripes come from."""


def turns(design: Design) -> tuple[str, ...]:
    """The half turn of every stripe, bass to treble."""
    return tuple(stripe.turn for stripe in design.stripes)


def as_sawn(design: Design) -> Design:
    """The design with every stripe as it came off the saw."""
    return design.changed(stripes=[replace(stripe, turn="as sawn") for stripe in design.stripes])


def with_turns(design: Design, arrangement: str) -> Design:
    """The design with its stripes lying as an arrangement says. Raises ValueError for an unequal pair."""
    sawn = as_sawn(design)
    arranged(sawn.neck(), arrangement)
    lie = zip(sawn.stripes, stripe_turns(sawn.neck(), arrangement), strict=True)
    return sawn.changed(stripes=[replace(stripe, turn=turn) for stripe, turn in lie])


def degrees(design: Design, angle: str) -> list[float]:
    """An angle of every stripe as its slider shows it: degrees, either way, ring angles up to 90."""
    found = [float(np.degrees(getattr(stripe, angle))) for stripe in design.stripes]
    return [abs((d + 90) % 180 - 90) if angle == "ring_angle" else abs(d) for d in found]


def defaults(design: Design = NECK_12) -> dict[str, Any]:
    """Start values of the controls: what the design decides, as near as a control can show it."""
    listed, neck = [key for _, key in woods("neck")], design.neck()
    roles = {role: wood.key if wood.key in listed else listed[0] for role, wood in role_woods(design).items()}
    angles = {name: on_step(degrees(design, name)[0], *ends) for name, ends in ANGLES.items()}
    lie = next((a for a in ARRANGEMENTS if stripe_turns(neck, a) == turns(design)), "as sawn")
    return {"stripes": on_step(len(design.stripes), *COUNTS), **roles, **angles, "origin": "different trees",
            "arrangement": lie, "supply": SUPPLIES[0], "part": SOUND}


@remember(64)
def build(design: Design = NECK_12, **values: Any) -> Design:
    """The design with what the controls change; one at its start value changes nothing. Raises ValueError."""
    start = defaults(design)
    new = moved(start, values)
    made = changed(design, **{name: value for name, value in new.items() if name in ("stripes", *ROLES)},
                   **{name: np.radians(value) for name, value in new.items() if name in ANGLES})
    relaid = new.keys() & {"stripes", "arrangement", *ROLES}
    return with_turns(made, new.get("arrangement", start["arrangement"])) if relaid else made


def cannot(design: Design) -> list[str]:
    """What this lesson cannot show of a design, and what it keeps until a control is moved."""
    start, own, out = defaults(design), role_woods(design), []
    widths = stripe_widths(len(design.stripes), sum(stripe.width for stripe in design.stripes))
    usual = [(own[role].key, round(width, 6)) for role, width in widths]
    laid = [(stripe.wood, round(stripe.width, 6)) for stripe in design.stripes]
    if laid != usual or start["stripes"] != len(laid) or any(start[role] != own[role].key for role in ROLES):
        out.append("Its lay-up is one that the controls cannot make; it stays until you move the number of "
                   "stripes or pick a wood.")
    if any(abs(d - start[name]) > 0.01 for name in ANGLES for d in degrees(design, name)):
        out.append("The grain of its stripes has angles of its own; they stay until you move that slider.")
    if not design.fretboard.layers:
        out.append("It has no fretboard: with the fretboard is the same as without.")
    if turns(design) != stripe_turns(design.neck(), start["arrangement"]):
        out.append("Its stripes are turned in an order of their own; they stay so until you choose another.")
    return out


def shop_humidity(design: Design) -> float:
    """Relative humidity (%) at ROOM °C in which the wood of the design was settled when it was glued."""
    return 100 * humidity_for(ROOM, design.shop_moisture)


def possible(design: Design, draws: int = FEW, origin: str = "different trees", arrangement: str = "as sawn",
             supply: str = SUPPLIES[0], part: str = SOUND) -> tuple[Neck, list[Growth]]:
    """The design as possible necks, and how each of its pieces grew. Fret slots bear alike on all of them, so
    that only boards differ. The two stripes of a mirrored pair, or with origin "same board" all of one wood,
    are sawn side by side from one board, in the order in which they lie."""
    sawn = as_sawn(design).neck()
    labels = planks(sawn, arrangement)
    boards = draw_boards(sawn.pieces, draws, shop.SEED, origin, labels, supply)
    if origin == "same board":
        labels = [stripe.wood for stripe in design.stripes]
    labels, widths = labels[:len(design.stripes)], [stripe.width for stripe in design.stripes]
    grown, pieces = [], []
    for i, (growth, plan) in enumerate(zip(draw_growth(labels, draws, shop.SEED, part), design.stripes,
                                           strict=True)):
        mates = [k for k, label in enumerate(labels) if label == labels[i]]
        place = sum(widths[k] for k in mates if k < i) + (widths[i] - sum(widths[k] for k in mates)) / 2
        board = from_the_core(boards[i], growth) if part == NEAR_PITH else boards[i]
        piece, growth = piece_at(board, growth, place, 0.0) if place else (board, growth)
        pieces.append(turned(piece, plan.turn))
        grown.append(turned_growth(growth, plan.turn))
    above = len(design.fretboard.layers)
    return design.neck().with_pieces([*pieces, *boards[len(pieces):]]), [
        *grown, *above * fretboard_growth(draws)]


def fretboard_growth(draws: int) -> list[Growth]:
    """How the fretboard grew: sound wood, whatever the stripes are."""
    return draw_growth(["fretboard"], draws, shop.SEED + 1)


def cut_up(count: int, order: Sequence[int] | None = None, turn: str = "as sawn", part: str = SOUND,
           draws: int = MANY) -> Straightness:
    """Neck No. 12 of one quarter-sawn board of hard maple, cut into `count` equal stripes that are glued up
    again: in this order (None: as they lay), every second one given half a turn."""
    whole, design = equal_stripes(1).neck(), equal_stripes(count)
    board, top = draw_boards(whole.pieces, draws, shop.SEED)
    growth, = draw_growth(["board"], draws, shop.SEED, part)
    cut = side_by_side(from_the_core(board, growth) if part == NEAR_PITH else board, growth,
                       [stripe.width for stripe in design.stripes])
    turns = ["as sawn" if k % 2 == 0 else turn for k in range(count)]
    laid = [(turned(cut[i][0], t), turned_growth(cut[i][1], t))
            for i, t in zip(order or range(count), turns, strict=True)]
    neck = design.neck().with_pieces([*(piece for piece, _ in laid), top])
    return judged(neck, design, [*(growth for _, growth in laid), *fretboard_growth(draws)])


def judged(neck: Neck, design: Design, growth: list[Growth] | None = None) -> Straightness:
    """Straightness of a neck built after `design`, under its strings and from shop to home; growth: how its
    pieces grew, None for boards that are alike all through."""
    home = equilibrium_moisture(ROOM, HOME / 100)
    return straightness(neck, design.string_set(), design.shop_moisture, home, design.setup(), growth=growth)


@remember(64)
def straight(design: Design, draws: int = 0, origin: str = "different trees", arrangement: str = "as sawn",
             supply: str = SUPPLIES[0], part: str = SOUND) -> Straightness:
    """Straightness of a design, shop to home; draws: how many possible necks, each board with its own growth;
    0 for even boards at table value."""
    if not draws:
        return judged(design.neck(), design)
    neck, growth = possible(design, draws, origin, arrangement, supply, part)
    return judged(neck, design, growth)


def evaluated(draws: int = 0, subject: Design = NECK_12, **values: Any) -> Straightness:
    """Straightness of one setting of the controls; what is not given is as in the subject."""
    chosen = {**defaults(subject), **values}
    return straight(build(subject, **chosen), draws, *(chosen[name] for name in OF_THE_WOOD))


def equal_stripes(count: int, **angles: float) -> Design:
    """Neck No. 12 of `count` equal quarter-sawn stripes of hard maple; run_out and slope in degrees."""
    grain = {"ring_angle": np.pi / 2, **{name: np.radians(value) for name, value in angles.items()}}
    width = sum(stripe.width for stripe in NECK_12.stripes) / count
    return NECK_12.changed(stripes=[StripePlan(wood=MAPLE["main"], width=width, **grain)] * count)


def with_stripe(design: Design, places: tuple[int, ...], **angles: float) -> Design:
    """The design with other grain angles (rad) in the stripes at these places, 0 on the bass side."""
    return design.changed(stripes=[replace(stripe, **angles) if i in places else stripe
                                   for i, stripe in enumerate(design.stripes)])


def scatter(values: np.ndarray) -> float:
    """Standard deviation over mean of draws (D,)."""
    return float(np.std(values) / np.mean(values))
