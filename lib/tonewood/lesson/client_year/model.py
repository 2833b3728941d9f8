"""The year of a neck at one setting of the seasons figure: design, possible necks, what is read from it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tonewood.draws import band, written
from tonewood.lesson.shared.ledger import USUAL
from tonewood.lesson.shared.reads import kept_by, moved
from tonewood.lesson.shared.shop import (
    NECK_12,
    RODS,
    ROOM,
    changed,
    on_step,
    possible,
    role_woods,
    truss_rod,
    with_rod,
)
from tonewood.neck.design import Design
from tonewood.neck.layup.neck import Neck
from tonewood.neck.load.relief import relief
from tonewood.neck.load.rod import Rod, set_rod
from tonewood.neck.seasons.year import Year, year
from tonewood.neck.section.stations import at_stations
from tonewood.remember import remember
from tonewood.wood.climate import Air, place, places
from tonewood.wood.facts import rule
from tonewood.wood.finish import BARE, coats_tested
from tonewood.wood.moisture import humidity_for

DRAWS, MANY = 200, 2000
"""Possible necks behind the sliders, few enough to follow them, and behind what is printed. Another 200 would
move a band's edges by about a tenth of its width."""
SEED = 21
"""Of forty tried, the one whose 200 necks come closest to 8000 (band edges of six cases within 0.002 mm)."""
SET = 0.0002
"""Relief (m) the rod leaves on the day of delivery, the same for every possible neck."""
READ = 8
"""The fret at which relief is read and the rod is set."""
TOWN, JANUARY, AUGUST = NECK_12.town, 3, 10
"""The client's town, and the moments of January and August in a year that begins in October."""
HUMIDIFIERS = {"none": None, "room never below 30 %": (0.30, 1.0), "room never below 40 %": (0.40, 1.0),
               "room kept from 40 to 50 %": (0.40, 0.50)}
FINISHES = (BARE, "linseed oil", "tung oil", "nitrocellulose lacquer", "lacquer", "shellac",
            "polyurethane varnish", "polyurethane finish, clear, 2-component", "epoxy, two-part")
SHORT = {"polyurethane finish, clear, 2-component": "two-part polyurethane",
         "nitrocellulose lacquer": "nitro lacquer", "epoxy, two-part": "two-part epoxy"}
"""Finishes by a shorter name."""
RANGES = {"shop": (30, 65, 1), "stripes": (1, 11, 1), "ring_angle": (0, 90, 5)}
"""Lowest and highest value and step of the sliders that show what a design decides, in people's units."""


def coats() -> list[tuple[str, str]]:
    """(shown words, name) of every finish, with the number of coats that was tested."""
    return [(name if name == BARE else f"{SHORT.get(name, name)}, {coats_tested(name)} coats", name)
            for name in FINISHES]


def exact(design: Design = NECK_12) -> dict[str, Any]:
    """What the design decides of the controls, in people's units, not rounded, perhaps off a slider."""
    return {"place": place(design.town).name, "shop": 100 * humidity_for(ROOM, design.shop_moisture),
            "main": role_woods(design)["main"].key, "stripes": len(design.stripes),
            "ring_angle": float(np.degrees(abs(design.stripes[0].ring_angle)))}


def defaults(design: Design = NECK_12) -> dict[str, Any]:
    """Start values of the controls: the design's, delivered in October to a room as is usual in its town,
    without a humidifier."""
    own = exact(design)
    own |= {name: on_step(own[name], *scale) for name, scale in RANGES.items()}
    if own["place"] not in places():
        own["place"] = TOWN
    return {**own, **usual(own["place"]), "delivered": "October", "added": 10.0, "humidifier": "none",
            "cooled_to": rule("cooled_to").value, "back": "lacquer", "board": BARE,
            "rod": design.rod if design.rod in RODS else RODS[0]}


def usual(town: str) -> dict[str, Any]:
    """What most homes in a town do: the temperature (C) they are heated to, and whether they are cooled."""
    home = place(town).home
    return {"temperature": home.heated, "cooled": home.cooled}


def cannot(design: Design) -> list[str]:
    """What the seasons figure cannot show of a design, one sentence each."""
    own, start, said = exact(design), defaults(design), []
    if own["place"] != start["place"]:
        said.append(f"{town_words(own['place'])} has no published temperatures: the room is in {TOWN}.")
    for name, quantity, unit in (("shop", "a shop humidity of", " %"), ("stripes", "stripes:", "")):
        low, high, _ = RANGES[name]
        if not low - 0.5 <= own[name] <= high + 0.5:
            said.append(f"It has {quantity} {own[name]:.0f}{unit}, the slider goes from {low} to "
                        f"{high}{unit}; it is worked out as it is until you move the slider.")
    if not design.fretboard.layers:
        said.append("It has no fretboard: what is drawn as the fretboard is the upper half of the neck, "
                    "under the finish of the fretboard's control. While one half dries before the other the "
                    "neck bends, hollow on the drier side: a top that dries first adds relief. The rod's "
                    "channel and its strip count as solid wood; a real one may bend a little more or less.")
    elif design.fretboard.under:
        said.append("The layers of its fretboard dry as one board here.")
    if len({stripe.ring_angle for stripe in design.stripes}) > 1:
        said.append("Its stripes have rings at different angles; the slider shows the bass-most and, once "
                    "moved, turns all.")
    if design.rod not in RODS:
        said.append("It has no truss rod; relief is shown as with a double-acting one, which does not feel "
                    "the wood change length.")
    return said


@remember(64)
def build(design: Design = NECK_12, **values: Any) -> Design:
    """The design with what controls off their start change of it. Raises ValueError."""
    new = moved(defaults(design), values)
    reads = {"place": ("town", str), "shop": ("humidity", lambda v: v / 100), "main": ("main", str),
             "stripes": ("stripes", int), "ring_angle": ("ring_angle", np.radians)}
    made = changed(design, **{reads[n][0]: reads[n][1](value) for n, value in new.items() if n in reads})
    return with_rod(made, new["rod"]) if "rod" in new else made


keep = kept_by(build)


@remember(16)
def drawn(design: Design = NECK_12, draws: int = DRAWS, origin: str = "different trees",
          known: tuple[str, ...] = ()) -> Neck:
    """The design as possible necks. origin: of the stripes; known: parts ('stripes', 'fretboard') whose
    lengthwise movement has been measured."""
    neck = design.neck()
    told = [("stripes" in known)] * len(design.stripes) + [
        "fretboard" in known] * len(design.fretboard.layers)
    boards = [replace(board, swelling=board.species.swelling) if measured else board
              for board, measured in zip(neck.pieces, told, strict=True)]
    return possible(neck.with_pieces(boards), origin, draws, SEED, design.fretboard.slot_fill)


def gone(design: Design = NECK_12, draws: int = DRAWS, origin: str = "different trees",
         known: tuple[str, ...] = (), only: tuple[int, ...] = (), whole_section: bool = False,
         **values: Any) -> Year:
    """The Year of a design at one setting of the controls (those left out: at their start values, the room as
    is usual in the town), kept for reuse. origin, known: as for drawn; only: which of its thirteen moments,
    behind that of delivery; all where none is named. whole_section: as for seasons.year."""
    v = {**defaults(design), **(usual(values["place"]) if "place" in values else {}), **values}
    made = build(design, **{name: v[name] for name in ("shop", "main", "stripes", "ring_angle", "rod")})
    return _year(made, draws, origin, known, only, whole_section, *(v[name] for name in (
        "place", "delivered", "temperature", "added", "humidifier", "cooled", "cooled_to", "back", "board",
        "rod")))


@remember(16)
def _here(design, draws, origin, known):
    """The possible necks at 16 stations: kept, so that another town does not work out their section anew."""
    necks = drawn(design, draws, origin, known)
    return at_stations(necks, necks.stations(16))


@remember(16)
def _rod_set(design: Design, draws: int, origin: str, known: tuple[str, ...]) -> tuple[Rod, Any]:
    """A single-acting rod and the tension (D,), N, that leaves SET on each possible neck, strings on."""
    neck = _here(design, draws, origin, known).neck
    rod = truss_rod(neck, "single-acting")
    slack = relief(neck, design.string_set(), design.setup(), design.body_joint(), count=16)
    return rod, set_rod(slack, rod, SET, READ).effort


@remember(32)
def _year(design, draws, origin, known, only, whole_section, town, delivered, temperature, added, humidifier,
          cooled, cooled_to, back, board, kind):
    rod, effort = _rod_set(design, draws, origin, known) if kind == "single-acting" else (None, 0.0)
    shop = Air(ROOM, humidity_for(ROOM, design.shop_moisture), design.shop_moisture)
    days = np.linspace(0.0, 365.25, 13)
    return year(_here(design, draws, origin, known), town, delivered, shop, temperature, added / 100, cooled,
                HUMIDIFIERS[humidifier], back, board, setup_relief=SET, rod=rod, effort=effort,
                points=days[[0, *only]] if only else days, seed=SEED, cooled_to=cooled_to,
                whole_section=whole_section)


@dataclass(frozen=True)
class Seen:
    """One setting worked out: the neck's year, that of one piece of its main wood in the same shape, the
    moments of its widest band and of its fret ends standing out most, and the shop's humidity (%)."""

    neck: Year
    one: Year
    widest: int
    driest: int
    shop: float


def seen(subject: Design = NECK_12, draws: int = DRAWS, **values: Any) -> Seen:
    """Seen for a design at one setting of the controls."""
    found = gone(subject, draws, **values)
    driest = int(np.argmax(np.median(found.fret_end, axis=0)))
    shop = round(100 * humidity_for(ROOM, found.neck.pieces[0].moisture), 3)
    return Seen(found, gone(subject, draws, **{**values, "stripes": 1.0}), found.widest, driest, shop)


def swing(found: Year) -> NDArray[np.float64]:
    """Width at the last fret at its widest less at its narrowest in the year, (D,), m."""
    return np.ptp(found.width, axis=-1)


def leaves(found: Year) -> float:
    """Share of the necks whose relief leaves the usual range in the year: the rod has to be turned."""
    gap = 1e3 * (SET + found.relief)
    return float(np.mean(np.any((gap < USUAL[0]) | (gap > USUAL[1]), axis=-1)))


def spread_at(found: Year, moment: int) -> float:
    """Width of the 90 % band of the relief change at a moment, m."""
    return float(np.ptp(band(found.relief[:, moment])))


def mm(value: float, sign: str = "+") -> str:
    """Metres as millimetres to a hundredth, signed unless sign is ''; nothing is 0.00 without a sign.

    >>> mm(-1.2e-4), mm(1.2e-4), mm(4e-6)
    ('−0.12', '+0.12', '0.00')
    """
    return written(1e3 * float(value), 2, bool(sign))


def town_words(town: str) -> str:
    """The town as it is called in sentences."""
    return place(town).name


def usual_words(town: str) -> str:
    """What most homes in a town do, with what the figures rest on.

    >>> usual_words("Chicago")
    'Homes there: heated to 20 °C (common practice), 90 of 100 cooled (published)'
    """
    home = place(town).home
    share = home.cooled_share
    cooled = ("no figure for cooling on file" if share is None else
              f"{share['value']:.0f} of 100 cooled ({share['status']})")
    return f"Homes there: heated to {home.heated:.0f} °C ({home.heated_to['status']}), {cooled}"
