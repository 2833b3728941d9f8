"""A year in the client's town: room, moisture, relief month by month, what can be foreseen and what is a coin toss. Controls -> Seen -> picture, sentence."""

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from tonewood.lesson.whole_neck import figure as bench
from tonewood.lesson.shared.shop import ROOM, woods
from tonewood.panel.controls import pick, slider, switch
from tonewood.panel.live_figure import LiveFigure
from tonewood.panel.gauges import band
from tonewood.lesson.client_year.view import USUAL, draw, setup
from tonewood.neck.seasons.year import Year, year
from tonewood.wood.climate import MONTHS, place, places, workshop
from tonewood.wood.finish import BARE, finish
from tonewood.wood.species import species

DRAWS = 200
"""Possible necks behind the sliders: few enough to follow a slider. Another 200 would move a band's edges by about a tenth of its width."""
SEED = 21
"""Of forty seeds tried, the one whose 200 necks come closest to 8000 (band edges of six cases within 0.002 mm)."""
SET = 0.0002
"""Relief (m) the rod leaves on the day of delivery, the same for every possible neck."""
JOINT_FRET = 17
FINISHES = (BARE, "linseed oil", "tung oil", "nitrocellulose lacquer", "lacquer", "shellac", "polyurethane varnish", "polyurethane finish, clear, 2-component",
            "epoxy, two-part")
SHORT = {"polyurethane finish, clear, 2-component": "two-part polyurethane", "nitrocellulose lacquer": "nitro lacquer", "epoxy, two-part": "two-part epoxy"}
"""Finishes by a shorter name."""
HUMIDIFIERS = {"none": None, "room never below 30 %": (0.30, 1.0), "room never below 40 %": (0.40, 1.0), "room kept from 40 to 50 %": (0.40, 0.50)}


def defaults():
    """Start values: neck No. 12 of the Quillmere workshop, delivered to Ines in October."""
    return dict(place="Chicago", delivered="October", shop=45.0, temperature=20.0, added=10.0, humidifier="none", cooled=False, back="lacquer", board=BARE,
                main=species("hard maple").key, stripes=7.0, ring_angle=90.0)


def build(stripes=7, ring_angle=90.0, main="hard maple", shop=45.0, reinforcement="rod only", **woods_):
    """Neck No. 12 (hard maple, wenge accents, walnut centre, Indian rosewood board), neck-through: the body holds it from fret 17 on. Single values."""
    start = {**bench._defaults(), "run_out": 0.0, **woods_}
    neck = bench.build(**{**start, "stripes": int(stripes), "ring_angle": ring_angle, "main": main, "shop": shop, "reinforcement": reinforcement})
    return replace(neck, body_start=float(neck.fret(JOINT_FRET)))


@lru_cache(maxsize=16)
def drawn(stripes, ring_angle, main, shop, draws=DRAWS):
    """Neck No. 12 with these changes as possible necks, stripes from different trees, fret slots anywhere between open and bearing."""
    return bench.possible(build(stripes, ring_angle, main, shop), "different trees", draws, SEED)


@lru_cache(maxsize=32)
def _gone(items, draws):
    v = dict(items)
    return year(drawn(v["stripes"], v["ring_angle"], v["main"], v["shop"], draws), v["place"], v["delivered"], workshop(v["shop"] / 100, ROOM), v["temperature"],
                v["added"] / 100, v["cooled"], HUMIDIFIERS[v["humidifier"]], v["back"], v["board"], setup_relief=SET, points=13, seed=SEED, count=16)


def gone(draws=DRAWS, **values):
    """The Year of one setting of the controls (those left out: at their start values), kept for reuse."""
    return _gone(tuple(sorted({**defaults(), **values}.items())), draws)


@dataclass(frozen=True)
class Seen:
    """One setting worked out: the neck's year and that of one piece of its main wood in the same shape; widest: the moment of the neck's widest band;
    driest: the moment its fret ends stand out most."""

    neck: Year
    one: Year
    widest: int
    driest: int


def seen(draws=DRAWS, **values):
    """Seen for one setting of the controls."""
    found = gone(draws, **values)
    return Seen(found, gone(draws, **{**values, "stripes": 1.0}), found.widest, int(np.argmax(np.median(found.fret_end, axis=0))))


def swing(found):
    """Width at the last fret at its widest less at its narrowest in the year, (D,), m."""
    return np.ptp(found.width, axis=-1)


def leaves(found):
    """Share of the necks whose relief leaves the usual range some time in the year, so that the rod has to be turned."""
    gap = 1e3 * (SET + found.relief)
    return float(np.mean(np.any((gap < USUAL[0]) | (gap > USUAL[1]), axis=-1)))


def _change(art, held=None, **values):
    now = seen(**values)
    earlier = seen(**held) if held else None
    draw(art, now, values["shop"], swing(now.neck), earlier, swing(earlier.neck) if earlier else None)
    return sentence(values, now)


def mm(value, sign="+"):
    """Metres as millimetres to a hundredth, signed unless sign is ''; nothing is 0.00 without a sign."""
    value = round(1e3 * float(value), 2) + 0.0
    return format(value, f"{sign if value else ''}.2f").replace("-", "−")


def percent(values):
    """'from to' of a series of fractions, in %, one decimal."""
    return f"{100 * np.min(values):.1f} to {100 * np.max(values):.1f} %"


def sentence(values, now):
    """The picture in words, with every number and its 90 % band."""
    found, i = now.neck, now.widest
    dry, damp = int(np.argmin(found.room.humidity)), int(np.argmax(found.room.humidity))
    low, middle, high = (SET + v for v in band(found.relief[:, i]))
    toss, one, ends, wide = band(found.chance[:, i]), band(now.one.relief[:, i]), band(found.fret_end[:, now.driest]), band(swing(found))
    up = round(100 * float(np.nan_to_num(found.share_up[i], nan=0.0)))
    fell = round(100 * float(np.mean(found.relief[:, i] < 0)))
    count = int(values["stripes"])
    stands = (f"Fret ends stand out most in {found.month[now.driest]}, {mm(ends[1], '')} mm a side ({mm(ends[0], '')} to {mm(ends[2], '')}). "
              if ends[1] > 5e-6 else "Fret ends never stand out: the board grows. ")
    return (f"{'One piece' if count == 1 else f'{count} stripes'}, built at {values['shop']:.0f} % humidity, delivered to {found_place(values)} in {values['delivered']}: the room there "
            f"runs from {100 * found.room.humidity[dry]:.0f} % ({found.month[dry]}) to {100 * found.room.humidity[damp]:.0f} % ({found.month[damp]}), "
            f"the fretboard ({SHORT.get(values['board'], values['board'])}) from {percent(np.median(found.board_moisture, 0))} moisture, the neck ({SHORT.get(values['back'], values['back'])}) from "
            f"{percent(np.median(found.neck_moisture, 0))}. Relief set to {mm(SET, '')} mm is {mm(middle, '')} mm in {found.month[i]}, its widest month "
            f"(90 of 100 such necks: {mm(low, '')} to {mm(high, '')}): it has risen in {up} and fallen in {fell} of 100. Of that change {mm(found.foreseen[i])} mm can be "
            f"foreseen; {mm(toss[0])} to {mm(toss[2])} mm is a coin toss. One piece: {mm(SET + one[0], '')} to {mm(SET + one[2], '')} mm. Over the year relief leaves "
            f"{USUAL[0]:.1f} to {USUAL[1]:.1f} mm in {100 * leaves(found):.0f} of 100 ({100 * leaves(now.one):.0f} of 100 in one piece). {stands}"
            f"The neck's width moves by {mm(wide[1], '')} mm ({mm(wide[0], '')} to {mm(wide[2], '')}).")


def found_place(values):
    """The town without what stands in brackets, for sentences."""
    return place(values["place"]).name.split(" (")[0]


def controls():
    """The controls, fresh, in the order town, room, finish, neck."""
    start = defaults()
    coats = [(name if name == BARE else f"{SHORT.get(name, name)}, {finish(name, None).coats} coats", name) for name in FINISHES]
    return {
        "place": pick("Client's town", sorted(places()), start["place"], "published weather of a typical year; indoor air by a stated rule"),
        "delivered": pick("Delivered in", list(MONTHS), start["delivered"], "counted from the middle of the month"),
        "shop": slider("Shop humidity", start["shop"], 30, 65, 1, "%", "where the whole neck had settled at 20 °C; outside 35 to 65 % wait before gluing (judgement)"),
        "temperature": slider("Room temperature", start["temperature"], 15, 26, 1, "°C", "heated to this; warmer outdoors, the room is as warm as outdoors unless cooled"),
        "added": slider("Moisture added by people", start["added"], 0, 20, 1, "%", "relative humidity from breath, cooking and plants at 0 °C outdoors; 5 to 15 % is usual (estimated)"),
        "humidifier": pick("Humidifier", list(HUMIDIFIERS), start["humidifier"], "what it keeps the room at"),
        "cooled": switch("Cooled in summer", start["cooled"], "air conditioning also dries the air, to a dew point of 12 °C (common practice, no source)"),
        "back": pick("Finish on the back", coats, start["back"], "with the number of coats that was tested; brushing lacquers and oils differ, the list is not your can"),
        "board": pick("Finish on the fretboard", coats, start["board"], "most dark fretboards are left bare or oiled"),
        "main": pick("Main wood", woods("neck"), start["main"]),
        "stripes": slider("Stripes", start["stripes"], 1, 11, 1, "", "from different trees; 1 is the one-piece neck"),
        "ring_angle": slider("Ring angle", start["ring_angle"], 0, 90, 5, "°", "0 flat-sawn, 90 quarter-sawn, for all stripes; the fretboard stays flat-sawn"),
    }


def seasons(place="above"):
    """A neck's first year, ready to slide. Returns a LiveFigure; last line of a cell."""
    return LiveFigure(setup, _change, controls(), inches=(10.0, 6.3), place=place,
                      alt="Twelve months after delivery: relief with its 90 % band, room humidity, moisture of fretboard and neck; what part of the change can be foreseen, "
                          "a hundred necks sorted by rise and fall, fret ends and width")

