"""Laying up: how many stripes, from which boards, turned which way. One live figure, the tables beside it and the two rules worked by hand."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from tonewood.lesson.shared.shop import DRAWS, CHANNEL, ROOM, woods
from tonewood.panel.controls import pick, slider
from tonewood.panel.live_figure import LiveFigure
from tonewood.panel.gauges import Gauges, Row
from tonewood.lesson.laying_up.view import LayupView
from tonewood.neck.layup.stripe_order import ARRANGEMENTS, arranged, spread_arranged
from tonewood.neck.layup.neck import Back, Fretboard, Neck, Outline, striped
from tonewood.neck.report.straightness import straightness
from tonewood.strings.sets import string_set
from tonewood.wood.board import Board
from tonewood.wood.moisture import equilibrium_moisture
from tonewood.wood.species import species
from tonewood.wood.spread import KINSHIP

SHOP, HOME = 45.0, 30.0
"""Humidity (%) where the neck was made and where it will live in winter, both at ROOM degrees C, weeks later; as on the bench of lesson 01."""

FRETBOARD = "Indian rosewood"
VIEW_FRET = 7
MAPLE = dict(main="hard_maple", accent="hard_maple", centre="hard_maple")
NUMBER_12 = dict(main="hard_maple", accent="wenge", centre="black_walnut", stripes=7, ring_angle=90.0, run_out=0.0, slope=0.0, origin="different trees",
                 arrangement="as sawn")
"""The start values: the seven stripes of the neck "No. 12" of the (invented) Quillmere workshop."""

ARRANGEMENT_WORDS = {"as sawn": "all as sawn", "every second about x": "every second rolled over, same end to the nut",
                     "every second about y": "every second rolled over and end for end", "every second about z": "every second end for end on the bench",
                     "mirrored pairs": "mirrored pairs, each pair from one board"}
assert list(ARRANGEMENT_WORDS) == list(ARRANGEMENTS)


def sawn(main, accent, centre, stripes, ring_angle, run_out, slope, **_):
    """The Neck of one setting of the sliders with every stripe as it came off the saw, single values. Angles in degrees, woods by key."""
    moisture = equilibrium_moisture(ROOM, SHOP / 100)
    boards = [Board(species(key), *np.radians((ring_angle, run_out, slope)), moisture) for key in (main, accent, centre)]
    return Neck(striped(*boards, stripes), Outline(), Back("D"), Fretboard(Board(species(FRETBOARD), moisture=moisture)), CHANNEL)


def possible(neck, arrangement, origin, draws=DRAWS, seed=1):
    """That neck arranged, as `draws` possible necks. Fret slots half bearing on all of them, so that only boards differ."""
    return spread_arranged(neck, arrangement, draws, seed, origin)


def judged(neck):
    """Straightness of a Neck under six strings, from shop to home."""
    return straightness(neck, strings(), equilibrium_moisture(ROOM, SHOP / 100), equilibrium_moisture(ROOM, HOME / 100))


@lru_cache(maxsize=1)
def strings():
    """The six strings of every neck here (round generic gauges)."""
    return string_set("six")


@lru_cache(maxsize=64)
def _evaluated(items):
    values = dict(items)
    neck = sawn(**values)
    return neck, judged(possible(neck, values["arrangement"], values["origin"]))


def evaluated(**values):
    """(Neck as sawn, Straightness with draws) of one setting of the sliders, kept for reuse; what is not given is as in No. 12."""
    return _evaluated(tuple(sorted({**NUMBER_12, **values}.items())))


ROWS = (Row("Bending stiffness EI, stripes alone", "N·m²", 50, 350, 0),
        Row("Bending stiffness EI, whole neck", "N·m²", 200, 800, 0),
        Row("Twisting stiffness GJ", "N·m²", 50, 200, 0),
        Row("Twist, shop to home", "mm", -1.2, 1.2, 2, reference=0.0),
        Row("Side bow, shop to home", "mm", -0.06, 0.06, 3, reference=0.0),
        Row("Relief change, shop to home", "mm", -0.3, 0.3, 2, reference=0.0),
        Row("Twist, strings on", "mm", -0.12, 0.12, 3, reference=0.0))


def _rows(found):
    draws = np.size(found.stiffness)
    return [np.broadcast_to(v, draws) for v in (found.stripes_stiffness, found.stiffness, found.twisting_stiffness, 1e3 * found.twist_across,
                                                1e3 * found.side_bow, 1e3 * found.relief_change, 1e3 * found.load_twist_across)]


@dataclass
class _Art:
    view: LayupView
    gauges: Gauges


def _setup(fig):
    grid = fig.add_gridspec(1, 2, width_ratios=(1.08, 1), left=0.008, right=0.985, top=0.955, bottom=0.045, wspace=0.05)
    ax = fig.add_subplot(grid[0])
    ax.set_title(f"End view at fret {VIEW_FRET}, to scale", fontsize=10, pad=2)
    return _Art(LayupView(ax), Gauges(fig, grid[1], ROWS))


def _change(art, held=None, **values):
    neck, found = evaluated(**values)
    art.view.show(neck, arranged(neck, values["arrangement"]), values["arrangement"], neck.fret(VIEW_FRET))
    bands = art.gauges.show(_rows(found), _rows(evaluated(**held)[1]) if held else None)
    return sentence(values, bands)


def sentence(values, bands):
    """The picture in words, with every number and its 90 % band."""
    alone, whole, twisting, twist, side, relief, pulled = (tuple(v + 0.0 for v in b) for b in bands)
    count = int(values["stripes"])
    used = {species(values[role]).name: None for role, there in (("main", True), ("accent", count >= 4), ("centre", count >= 3 and count % 2)) if there}
    how = f", {ARRANGEMENT_WORDS[values['arrangement']]}, {'pairs' if values['arrangement'] == 'mirrored pairs' else 'stripes'} from {values['origin'].replace('same', 'the same')}" if count > 1 else ""
    return (f"{'One piece' if count == 1 else f'{count} stripes'} ({', '.join(used)}){how}; rings {values['ring_angle']:.0f}°, run-out {values['run_out']:.1f}°, "
            f"slope {values['slope']:.1f}°. Bending stiffness of the stripes alone {_said(alone, 0)} N·m² (90 of 100), with the fretboard {_said(whole, 0)} N·m²; "
            f"twisting stiffness {_said(twisting, 0)} N·m². From {SHOP:.0f} % to {HOME:.0f} % humidity: twist {_said(twist, 2)} mm across the last fret, "
            f"side bow {_said(side, 3)} mm, relief {_said(relief, 2)} mm. Strings on: twist {_said(pulled, 3)} mm.")


def _said(band_, decimals):
    low, middle, high = (f"{round(v, decimals) + 0.0:.{decimals}f}".replace("-", "−") for v in band_)
    return f"{middle} ({low} to {high})"


def controls():
    """The controls of the lay-up, fresh, in the order wood, grain, origin, turning."""
    stripes, start = woods("neck"), NUMBER_12
    return {
        "stripes": slider("Stripes", start["stripes"], 1, 11, 1, "", "1 is a one-piece neck; the blank is 60 mm wide, so 11 still leaves wood for each"),
        "main": pick("Main wood", stripes, start["main"]),
        "accent": pick("Accent stripes", stripes, start["accent"], "2 mm each; they appear from 4 stripes on"),
        "centre": pick("Centre stripe", stripes, start["centre"], "10 mm wide; it appears with an odd number of stripes from 3 on"),
        "ring_angle": slider("Ring angle", start["ring_angle"], 0, 90, 5, "°", "0 flat-sawn, 90 quarter-sawn; of every stripe before turning"),
        "run_out": slider("Run-out", start["run_out"], 0, 5, 0.5, "°", "grain diving through the fretboard plane; 3.8° is 1 in 15; of every stripe before turning"),
        "slope": slider("Slope of grain", start["slope"], 0, 5, 0.5, "°", "grain leaving the centre line in the face view; of every stripe before turning"),
        "origin": pick("Stripes of one wood come from", list(KINSHIP), start["origin"], "boards of one tree are alike, so they average out less"),
        "arrangement": pick("Turned before glue-up", [(words, key) for key, words in ARRANGEMENT_WORDS.items()], start["arrangement"],
                            "counted within each wood, from bass to treble; of a mirrored pair both stripes are sawn from one board"),
    }


def layup(place="above"):
    """The lay-up, ready to slide. Returns a LiveFigure; last line of a cell, or behind a prediction."""
    return LiveFigure(_setup, _change, controls(), inches=(10.0, 6.4), place=place,
                      alt="End view of the neck to scale with the growth rings of each stripe, an arrow along the grain of each stripe from the side and from above, "
                          "and seven gauges with their 90 % bands")
