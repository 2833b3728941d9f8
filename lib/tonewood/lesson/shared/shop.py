"""The invented Quillmere workshop: its neck No. 12, its room, its strings, and how possible necks are drawn.
Every lesson starts here.

Sizes are round numbers, common practice, no source. A lesson that needs another neck says so on its page, and
why.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from tonewood.lesson.shared.own_woods import label, own_woods
from tonewood.neck.design import Design, FretboardPlan, StripePlan
from tonewood.neck.layup.neck import Back, Bar, Channel, Neck, Outline, spread, stripe_widths
from tonewood.neck.load.usual_rod import usual_rod as truss_rod  # noqa: F401
from tonewood.wood.moisture import equilibrium_moisture
from tonewood.wood.species import Species, all_species, species

ROOM = 20.0
"""Temperature of workshop and homes, °C."""
HUMIDITY = 0.45
"""Relative humidity of the workshop, fraction."""
SEED, DRAWS = 1, 1000
CHANNEL = Channel(width=0.006, depth=0.010, rod_mass=0.20)
"""Rod channel and the mass of a two-way steel rod per length."""
REINFORCEMENT: dict[str, tuple[Bar, ...]] = {
    "rod only": (),
    "two shallow carbon bars (3 × 6 mm)": (Bar(-0.0085, depth=0.006), Bar(0.0085, depth=0.006)),
    "two deep carbon bars (3 × 10 mm)": (Bar(-0.0075, depth=0.010), Bar(0.0075, depth=0.010))}
RODS = ("double-acting", "single-acting")
"""The kinds of truss rod; the third choice of a design is none."""
ROLES = ("main", "accent", "centre")


def shop_moisture(humidity: float = HUMIDITY) -> float:
    """Moisture (fraction) of wood that has settled in a room of this relative humidity (fraction) at ROOM
    °C."""
    return float(equilibrium_moisture(ROOM, humidity))


def plan_stripes(main: str, accent: str, centre: str, count: int, blank: float = 0.060,
                 **angles: float) -> tuple[StripePlan, ...]:
    """StripePlans of a symmetric lay-up (see neck.layup.neck.stripe_widths); woods by name, angles (rad) the
    same for all; blank: its width (m)."""
    woods = {"main": main, "accent": accent, "centre": centre}
    return tuple(StripePlan(wood=woods[role], width=width, **angles) for role,
                 width in stripe_widths(count, blank))


NECK_12 = Design(
    name="Neck No. 12", stripes=plan_stripes("hard maple", "wenge", "black walnut", 7, ring_angle=np.pi / 2),
    outline=Outline(0.043, 0.056, 0.470), back=Back("D", 0.0145, 0.0170, 0.470),
    fretboard=FretboardPlan(wood="Indian rosewood"),
    channel=CHANNEL, shop_moisture=shop_moisture())
"""Seven stripes, hard maple with wenge accents and a walnut centre, quarter-sawn, Indian rosewood board, 43
to 56 mm wide, 20.5 to 23 mm deep with the board, D back, 648 mm, 22 frets, neck-through from fret 17, six
strings, settled at 45 % and 20 °C."""


_APPEARS = {"main": "", "accent": "They appear from 4 stripes on.",
            "centre": "It appears with an odd number of stripes, from 3 on."}


def absent(role: str) -> Callable[[dict[str, Any]], str]:
    """For `control.unless` of the wood of a role: why it changes nothing at the figure's count of stripes."""
    def waits(values: dict[str, Any]) -> str:
        there = any(role == one for one, _ in stripe_widths(int(values["stripes"]), 1.0))
        return "" if there else f"Not in this neck. {_APPEARS[role]}"
    return waits


def possible(neck: Neck, origin: str = "different trees", draws: int = DRAWS, seed: int = SEED,
             slot_fill: float | None = None, supply: str = "one delivery") -> Neck:
    """The neck as `draws` possible necks, stripes of one wood from `origin` (wood.spread.KINSHIP), boards
    from `supply` (wood.spread.SUPPLIES), its fret slots filled as given; None: anywhere between open and
    fully bearing."""
    drawn = spread(neck, draws, seed, origin, supply)
    fill = np.random.default_rng(seed).random(draws) if slot_fill is None else slot_fill
    return replace(drawn, fretboard=replace(drawn.fretboard, slot_fill=fill))


def with_rod(design: Design, kind: str) -> Design:
    """The design with a rod of that kind; the channel of a single-acting one goes down to 4.5 mm from the
    back."""
    channel = design.channel
    if kind == "single-acting":
        channel = replace(channel or CHANNEL, depth=max(CHANNEL.depth, design.back.depth_nut - 0.0045))
    return design.changed(rod=kind, channel=channel)


def woods(use: str) -> list[tuple[str, str]]:
    """(shown name, key) of every wood: own boards and own woods, then those commonly used as 'neck',
    'fretboard' or 'body', each part in alphabetical order whatever the case: any wood can be a stripe, an
    accent or a fretboard."""
    listed = sorted(all_species(made=True), key=lambda wood: (use not in wood.uses, wood.name.lower()))
    return [(label(wood), wood.key) for wood in own_woods()] + [(wood.name, wood.key) for wood in listed]


@dataclass(frozen=True)
class WoodList:
    """The woods of a use, or every wood, asked anew whenever a list of a lesson wants them (boards are
    measured meanwhile); found by typing any part of a common or botanical name."""

    use: str | None = None

    def __call__(self) -> list[tuple[str, str]]:
        """(shown name, key) of each."""
        return every_wood() if self.use is None else woods(self.use)

    def also(self) -> dict[str, str]:
        """{shown name: botanical name}."""
        return {shown: species(key).botanical for shown, key in self()}


def wood_list(use: str | None = None) -> WoodList:
    """The woods of a use ('neck', 'fretboard', 'body'), or every wood, for a `pick`."""
    return WoodList(use)


def every_wood() -> list[tuple[str, str]]:
    """(shown name, key) of every wood by name, own ones first; no composites."""
    return ([(label(wood), wood.key) for wood in own_woods()]
            + sorted(((wood.name, wood.key) for wood in all_species()), key=lambda one: one[0].lower()))


def role_woods(design: Design) -> dict[str, Species]:
    """The woods of a design as a lesson with three roles shows them. Where its stripes follow the order of
    plan_stripes, each role has its own; else main is the wood of the widest share, centre that of the middle
    stripe, accent the next one. A role that does not appear gets the main wood."""
    found: dict[str, str] = {}
    roles = [role for role, _ in stripe_widths(len(design.stripes), 1.0)]
    if not all(found.setdefault(role, stripe.wood) == stripe.wood for role,
               stripe in zip(roles, design.stripes, strict=True)):
        share: dict[str, float] = {}
        for stripe in design.stripes:
            share[stripe.wood] = share.get(stripe.wood, 0.0) + stripe.width
        main = max(share, key=lambda w: share[w])
        middle = design.stripes[len(design.stripes) // 2].wood if len(design.stripes) % 2 else main
        found = {"main": main, "accent": next((w for w in share if w not in (main, middle)), main),
                 "centre": middle}
    return {role: species(found.get(role, found["main"])) for role in ROLES}


def on_step(value: float, low: float, high: float, step: float) -> float:
    """The value a slider from `low` to `high` can show: rounded to its step, clipped to its range."""
    return float(min(max(low + round((value - low) / step) * step, low), high))


def _lowered(bars: tuple[Bar, ...], design: Design) -> tuple[Bar, ...]:
    """Bars as deep as the rod of a neck without a fretboard: laid in from the back, as the rod is."""
    below = design.channel.below if design.channel else NECK_12.fretboard.thickness
    return tuple(replace(bar, below=bar.below + below) for bar in bars)


def fretboard_words(design: Design) -> str:
    """The fretboard in words, its layers from the top down."""
    names = [species(layer.wood).name for layer in reversed(design.fretboard.layers)]
    over = f" over {' and '.join(names[1:])}" if names[1:] else ""
    return f"fretboard of {names[0]}{over}" if names else "no fretboard, frets in the neck"


def bare(design: Design) -> list[str]:
    """What a list of fretboard woods cannot show of a design, one sentence each."""
    if not design.fretboard.layers:
        return ["It has no fretboard; choosing a fretboard wood gives it one of "
                f"{1e3 * NECK_12.fretboard.thickness:g} mm, the whole depth kept."]
    return [] if not design.fretboard.under else [
        "Its fretboard has layers; choosing a wood changes the top one."]


def changed(design: Design, **changes: Any) -> Design:
    """A design with what the usual controls of a lesson change; None or left out: as it is.

    main, accent, centre (wood names), stripes (count): a symmetric lay-up made anew when any of them differs
    from the design's own; ring_angle, run_out, slope (rad): of all stripes; fretboard (wood); thickness (of
    the board, m); depth (whole neck at the nut, m, the taper kept); bars; humidity (of the shop, fraction);
    every other field by its own name. Raises ValueError.
    """
    given = {k: v for k, v in changes.items() if v is not None}
    own = role_woods(design)
    woods_now = {r: own[r].key for r in ROLES} | {r: species(given.pop(r)).key for r in ROLES if r in given}
    count = int(given.pop("stripes", len(design.stripes)))
    angles = {n: given.pop(n) for n in ("ring_angle", "run_out", "slope") if n in given}
    stripes = design.stripes
    if count != len(stripes) or any(woods_now[r] != own[r].key for r in ROLES):
        first = design.stripes[0]
        blank = round(sum(s.width for s in design.stripes), 9)
        stripes = plan_stripes(*woods_now.values(), count, blank, ring_angle=first.ring_angle,
                               run_out=first.run_out,
                               slope=first.slope)
    if angles:
        stripes = tuple(replace(s, **angles) for s in stripes)
    if "fretboard" in given and not design.fretboard.layers:
        board = design.fretboard
        design = design.with_fretboard(replace(NECK_12.fretboard, slot_depth=board.slot_depth,
                                               slot_fill=board.slot_fill))
    board, back, fields = design.fretboard, design.back, {}
    whole = back.depth_nut + board.thickness
    if "fretboard" in given:
        board = replace(board, wood=given.pop("fretboard"))
    if "thickness" in given:
        board = replace(board, thickness=given.pop("thickness"))
    deep = given.pop("depth", whole) - board.thickness
    if abs(deep - back.depth_nut) > 1e-12:
        back = replace(back, depth_nut=deep, depth_end=deep + back.depth_end - back.depth_nut)
    if "bars" in given and not board.layers:
        given["bars"] = _lowered(given["bars"], design)
    if "humidity" in given:
        fields["shop_moisture"] = shop_moisture(given.pop("humidity"))
    return design.changed(stripes=stripes, fretboard=board, back=back, **fields, **given)
