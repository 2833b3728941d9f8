"""The neck on the bench: one figure, the whole neck. Controls -> Neck -> Evaluation -> picture and sentence."""

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from matplotlib.patches import Rectangle

from tonewood.lesson.shared.shop import CHANNEL, REINFORCEMENT, ROOM, possible, woods
from tonewood.panel import style
from tonewood.panel import units
from tonewood.panel.controls import pick, slider, units_choice
from tonewood.lesson.shared.end_view import EndView
from tonewood.panel.live_figure import LiveFigure
from tonewood.panel.gauges import Gauges, Row, band, in_units, mark_axis
from tonewood.lesson.shared.wood_colours import tone
from tonewood.neck.layup.neck import Back, Fretboard, Neck, Outline, striped
from tonewood.neck.report.evaluation import evaluate
from tonewood.strings.sets import string_set
from tonewood.wood.board import Board
from tonewood.wood.moisture import equilibrium_moisture
from tonewood.wood.species import all_species, species
from tonewood.wood.spread import KINSHIP

STATIONS = 16
REFERENCE_FRETBOARD = "Indian rosewood"
VIEW_FRET = 7
BOW = (-0.1, 0.7)
"""Scale of the gap under the straightedge, mm."""


def build(main, accent, centre, fretboard, stripes, ring_angle, run_out, shop, reinforcement, **_):
    """The Neck of one setting of the sliders, single values. Angles in degrees, humidity in %; woods by key."""
    moisture = equilibrium_moisture(ROOM, shop / 100)
    turn = {"ring_angle": np.radians(ring_angle), "run_out": np.radians(run_out), "moisture": moisture}
    boards = [Board(species(key), **turn) for key in (main, accent, centre)]
    return Neck(striped(*boards, stripes), Outline(), Back("D"), Fretboard(Board(species(fretboard), moisture=moisture)), CHANNEL, REINFORCEMENT[reinforcement])


def one_piece(wood, shop):
    """The reference: one straight-grained flat-sawn piece of `wood` (key), same shape, an Indian rosewood board, rod only."""
    return build(wood, wood, wood, species(REFERENCE_FRETBOARD).key, 1, 0.0, 0.0, shop, "rod only")


@lru_cache(maxsize=64)
def _evaluated(items):
    values = dict(items)
    neck = build(**values)
    home = equilibrium_moisture(ROOM, values["home"] / 100)
    return neck, evaluate(possible(neck, values["origin"]), _strings(), neck.fretboard.board.moisture, home, count=STATIONS)


@lru_cache(maxsize=16)
def _reference(wood, shop, home):
    neck = one_piece(wood, shop)
    return evaluate(possible(neck, "different trees"), _strings(), neck.fretboard.board.moisture, equilibrium_moisture(ROOM, home / 100),
                    count=STATIONS)


@lru_cache(maxsize=1)
def _strings():
    return string_set("six")


def evaluated(**values):
    """(Neck, Evaluation with draws) of one setting of the sliders, kept for reuse; the units shown make no difference."""
    return _evaluated(tuple(sorted((name, value) for name, value in values.items() if name != "units")))


ROWS = (Row("Stiffness", "% of the reference", 40, 200, 0, reference=100.0),
        Row("Relief, strings on, rod slack", "mm", 0.0, 1.0, 2),
        Row("Damping estimate", "1/1000", 0.0, 20.0, 1),
        Row("Relief change, to home", "mm", -0.5, 0.5, 2, reference=0.0),
        Row("Width change, to home", "mm", -1.5, 1.5, 2, reference=0.0),
        Row("Weight, nut to last fret", "g", 150, 750, 0))


def _rows(found, reference):
    """The six gauges' draws in their own units."""
    return [100 * found.stiffness / np.median(reference.stiffness), 1e3 * found.relief, 1e3 * found.loss, 1e3 * found.relief_change,
            1e3 * found.width_change, 1e3 * found.mass]


@dataclass
class _Art:
    view: EndView
    gauges: Gauges
    band: object
    middle: object
    ghost: object
    bow: object
    swatches: list
    keys: object        # a function, so that its texts count as backdrop and not as moving


def _setup(fig):
    grid = fig.add_gridspec(2, 2, width_ratios=(1.12, 1), height_ratios=(1.25, 1), left=0.078, right=0.985, top=0.955, bottom=0.09, wspace=0.09, hspace=0.26)
    ax = fig.add_subplot(grid[0, 0])
    view = EndView(ax, z_low=-20.5)
    ax.set_title(f"End view at fret {VIEW_FRET}, to scale", fontsize=10, pad=2)
    keys = []
    for i, role in enumerate(("main", "accent", "centre", "fretboard")):
        left = 0.0 + 0.255 * i
        swatch = ax.add_patch(Rectangle((left, -0.105), 0.05, 0.085, transform=ax.transAxes, clip_on=False, edgecolor="#3a3029", lw=0.8))
        # A changed wood redraws the backdrop once, so that six numbers are the only texts drawn at every step.
        words = ax.text(left + 0.06, -0.06, "", transform=ax.transAxes, fontsize=8.5, va="center", ha="left", linespacing=1.1)
        keys.append((role, swatch, words))
    bow = fig.add_subplot(grid[1, 0])
    bow.set(xlim=(0, 475), ylim=BOW)
    bow.set_title("Gap under a straightedge, strings on, rod slack", fontsize=10, pad=3)
    bow.axhline(0, **style.REFERENCE)
    neck = build(**_defaults())
    for n in (1, 3, 5, 7, 9, 12, 15, 17, 19, 22):
        bow.axvline(1e3 * float(neck.fret(n)), color="#dddddd", lw=0.8, zorder=0)
        bow.text(1e3 * float(neck.fret(n)), -0.085, str(n), fontsize=8, ha="center", va="bottom", color="#555555")
    x = np.linspace(0, 470, 40)
    shade = bow.fill_between(x, x * 0, x * 0, **style.BAND)
    middle, = bow.plot(x, x * 0, **style.NOW)
    ghost, = bow.plot([], [], **style.HELD)
    return _Art(view, Gauges(fig, grid[:, 1], ROWS), shade, middle, ghost, lambda: bow, [swatch for _, swatch, _ in keys], lambda: keys)


def _label_bow(bow, system):
    """Axis labels and ticks of the bow in the units of `system`, set only when they change."""
    unit, factor, _ = in_units("mm", system)
    if bow.get_ylabel() != f"gap ({unit})":
        bow.set(xlabel=f"from the nut ({unit})", ylabel=f"gap ({unit})")
        mark_axis(bow.xaxis, 0, 475, factor, 6)
        mark_axis(bow.yaxis, *BOW, factor, 5)


def _change(art, held=None, **values):
    system = values.get("units", units.METRIC)
    _label_bow(art.bow(), system)
    neck, found = evaluated(**values)
    compared = _reference(values["reference"], values["shop"], values["home"])
    art.view.show(neck, neck.fret(VIEW_FRET))
    for (role, swatch, words), wood in zip(art.keys(), _woods(values)):
        said = f"{role}\n{wood.name}"
        if words.get_text() != said:
            words.set_text(said)
        swatch.set_facecolor(tone(wood) if role in _roles(values["stripes"]) else "none")
    curve = np.sort(1e3 * found.relief_curve, axis=0)
    k = len(curve)
    low, middle, high = curve[int(0.05 * k)], curve[k // 2], curve[int(0.95 * k)]
    x = 1e3 * found.x
    art.band.set_data(x, low, high)
    art.middle.set_data(x, middle)
    earlier = evaluated(**held)[1] if held else None
    if earlier is None:
        art.ghost.set_data([], [])
    else:
        art.ghost.set_data(1e3 * earlier.x, np.median(1e3 * earlier.relief_curve, axis=0))
    before = _rows(earlier, _reference(held["reference"], held["shop"], held["home"])) if held else None
    return sentence(values, neck, art.gauges.show(_rows(found, compared), before, system), found, compared, system)


def _woods(values):
    """The four Species chosen, in the order of the key: main, accent, centre, fretboard."""
    return [species(values[role]) for role in ("main", "accent", "centre", "fretboard")]


def _roles(stripes):
    """The roles that appear in a neck of so many stripes."""
    return {"main", "fretboard"} | ({"accent"} if stripes >= 4 else set()) | ({"centre"} if stripes >= 3 and stripes % 2 else set())


def sentence(values, neck, bands, found, compared, system=units.METRIC):
    """The picture in words, with every number and its 90 % band."""
    stiff, relief, loss, season, width, weight = bands
    names = ", ".join(species(values[role]).name for role in ("main", "accent", "centre") if role in _roles(values["stripes"]))
    up = 100 * np.mean(found.relief_change > 0)
    more = weight[1] - band(1e3 * compared.mass)[1]
    count = int(values["stripes"])

    def say(three, unit, decimals, sign=False):
        """middle (low to high), the unit once."""
        low, middle, high = (units.text(v, unit, decimals, system) for v in three)
        if sign:
            low, middle, high = (t if t.startswith("-") or float(t.split()[0]) == 0 else f"+{t}" for t in (low, middle, high))
        return middle, f"{low.split()[0]} to {high.split()[0]}"

    (relief, relief_band), (season, season_band), (width, width_band), (weight, weight_band) = (
        say(relief, "mm", 2), say(season, "mm", 2, True), say(width, "mm", 2, True), say(weight, "g", 0))
    return (f"{'One piece' if count == 1 else f'{count:d} stripes'} ({names}), fretboard of {neck.fretboard.board.species.name}: stiffness {stiff[1]:.0f} % of the one-piece "
            f"{species(values['reference']).name} reference (90 of 100 such necks: {stiff[0]:.0f} to {stiff[2]:.0f} %), relief {relief} "
            f"({relief_band}), loss factor {loss[1]:.1f} thousandths ({loss[0]:.1f} to {loss[2]:.1f}, an estimate that cannot rank woods). "
            f"From {values['shop']:.0f} % humidity in the shop to {values['home']:.0f} % at home: relief {season} ({season_band}; "
            f"it rises in {up:.0f} of 100), width {width} ({width_band}). "
            f"Weight {weight} ({weight_band}), {units.text(abs(more), 'g', 0, system)} {'more' if more >= 0 else 'less'} than the reference.")


def _defaults():
    return dict(main=species("hard maple").key, accent=species("wenge").key, centre=species("black walnut").key, fretboard=species("Indian rosewood").key,
                stripes=7, ring_angle=90.0, run_out=0.0, shop=45.0, home=30.0, reinforcement="rod only", origin="different trees",
                reference=species("hard maple").key, units=units.METRIC)


def controls():
    """The controls of the bench, fresh, in the order wood, lay-up, grain, climate, comparison."""
    start = _defaults()
    stripes = woods("neck")
    made = {
        "main": pick("Main wood", stripes, start["main"]),
        "accent": pick("Accent stripes", stripes, start["accent"], "thin stripes, 2 mm each; they appear from 4 stripes on"),
        "centre": pick("Centre stripe", stripes, start["centre"], "10 mm wide; it appears with an odd number of stripes from 3 on"),
        "fretboard": pick("Fretboard wood", woods("fretboard"), start["fretboard"], "6 mm thick, 2.5 mm slots, flat-sawn"),
        "stripes": slider("Stripes", start["stripes"], 1, 11, 1, "", "1 is a one-piece neck; the blank is 60 mm wide, so 11 still leaves wood for each"),
        "ring_angle": slider("Ring angle", start["ring_angle"], 0, 90, 5, "°", "0 flat-sawn, 90 quarter-sawn, between them rift; for all stripes"),
        "run_out": slider("Run-out", start["run_out"], 0, 10, 0.5, "°", "0 straight grain; 3.8° is 1 in 15; beyond 10° nobody would use the board"),
        "shop": slider("Shop humidity", start["shop"], 20, 80, 1, "%", "where the neck was made and settled; 40 to 50 % is a common target"),
        "home": slider("Home humidity", start["home"], 20, 80, 1, "%", "where it will live, weeks later; heated winter rooms reach 20 %, damp coasts 80 %"),
        "reinforcement": pick("Reinforcement", list(REINFORCEMENT), start["reinforcement"], "a rod in a loose sleeve adds weight, not stiffness"),
        "origin": pick("Stripes of one wood come from", list(KINSHIP), start["origin"], "boards of one tree are alike, so they average out less"),
        "reference": pick("One-piece reference", stripes, start["reference"], "same shape, flat-sawn, Indian rosewood board, rod only"),
    }
    made["units"] = units_choice(made.values())
    return made


def bench(place="above"):
    """The neck on the bench, ready to slide. Returns a LiveFigure; last line of a cell."""
    return LiveFigure(_setup, _change, controls(), inches=(9.4, 4.8), place=place,
                      alt="End view of the neck to scale with stripes and growth rings, bow of the neck under string pull, and six gauges with their 90 % bands")


@dataclass(frozen=True)
class ByHand:
    """Relief of one neck by the one-line formula, and the library's: pull (N), height (m), moment (N·m), stiffness (N·m2), length (m), by_hand (m),
    by_library (m)."""

    pull: float
    height: float
    moment: float
    stiffness: float
    length: float
    by_hand: float
    by_library: float


def relief_by_hand(**changes):
    """Relief of the start design (or with `changes` to its sliders) from pull x height / stiffness, beside the full model. Returns ByHand."""
    from tonewood.neck.report.evaluation import even_stiffness
    from tonewood.neck.load.relief import relief

    neck = build(**{**_defaults(), **changes})
    bent = relief(neck, _strings())
    k = int(np.argmin(np.abs(bent.x - float(neck.fret(VIEW_FRET)))))
    pull, moment, stiffness = float(np.sum(_strings().tension)), float(bent.moment[k]), float(even_stiffness(neck))
    length = neck.end - float(neck.fret(1))
    return ByHand(pull, moment / pull, moment, stiffness, length, moment * length**2 / (8 * stiffness), float(bent.maximum))
