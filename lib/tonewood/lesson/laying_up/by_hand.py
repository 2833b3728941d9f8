"""Beside the figure: what turns cancel, what one board carries within, one piece against seven, a misread
stripe, two rules worked, what a test of strips can tell."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tonewood.draws import Z90, band, written, written_band
from tonewood.lesson.laying_up import model
from tonewood.lesson.laying_up.model import (
    FEW,
    MANY,
    MAPLE,
    build,
    equal_stripes,
    evaluated,
    straight,
    with_turns,
)
from tonewood.lesson.shared.measured import sample_scatter
from tonewood.lesson.shared.shop import NECK_12
from tonewood.neck.report.straightness import Straightness
from tonewood.panel.page import Shown, table
from tonewood.wood.facts import rule
from tonewood.wood.within import GROWN

SLANT = 3.0                     # degrees, in every stripe, for the table of turns
NONE = 0.0005                   # mm: what is printed as "none"


def within(values: np.ndarray) -> float:
    """Size (same unit) that 90 of 100 draws stay below, whichever way they go."""
    return float(np.percentile(np.abs(values), 90))


def turns_table(stripes: int = 4) -> Shown:
    """What each way of turning does to stripes of one wood and width, all with the same run-out or slope."""
    rows = []
    plain, diving, leaning = (model.equal_stripes(stripes, **slant)
                              for slant in ({}, {"run_out": SLANT}, {"slope": SLANT}))
    for key, words in model.TURNED.items():
        dive, lean = (straight(with_turns(slanting, key)) for slanting in (diving, leaning))
        boards = straight(with_turns(plain, key), FEW, arrangement=key)
        twists = (dive.twist_across, lean.twist_across, lean.load_twist_across)
        rows.append((words, *(or_none(1e3 * v) for v in twists), f"±{1e3 * within(boards.side_bow):.3f}",
                     f"±{1e3 * within(boards.relief_change):.2f}"))
    head = ("turned", f"twist, shop to home, run-out {SLANT:.0f}°",
            f"twist, shop to home, slope {SLANT:.0f}°", f"twist, strings on, slope {SLANT:.0f}°",
            "side bow, straight grain", "relief change, straight grain")
    return table(head, rows, "All in mm; twist is the height of the treble edge over the bass edge at the "
                 f"last fret; ± holds 90 of 100 necks. {stripes} equal quarter-sawn stripes of hard maple, "
                 f"{model.SHOP:.0f} % to {model.HOME:.0f} % humidity. Estimated by the twist and movement "
                 "models.")


def or_none(value: float) -> str:
    """A twist (mm) with its sign, "none" below what a model can tell from nothing."""
    return "none" if abs(value) < NONE else written(value, 2 if abs(value) >= 0.05 else 3, sign=True)


def one_against_seven() -> Shown:
    """Neck No. 12 in one piece, in seven stripes as sawn, and as mirrored pairs: middle and 90 % band."""
    ways = {"one piece, hard maple": {**MAPLE, "stripes": 1}, "No. 12, seven stripes, as sawn": {},
            "No. 12, seven stripes, mirrored pairs": {"arrangement": "mirrored pairs"}}
    plain = [evaluated(FEW, **way) for way in ways.values()]
    slanting = [evaluated(FEW, **way, run_out=2.0, slope=1.0) for way in ways.values()]
    rows = [(name, *(written_band(factor * band(getattr(found, field)), decimals) for found in necks))
            for name, necks, field, factor, decimals in (
                ("bending stiffness, stripes alone (N·m²)", plain, "stripes_stiffness", 1, 0),
                ("bending stiffness, whole neck (N·m²)", plain, "stiffness", 1, 0),
                ("twisting stiffness (N·m²)", plain, "twisting_stiffness", 1, 0),
                ("relief, shop to home (mm)", plain, "relief_change", 1e3, 2),
                ("side bow, shop to home (mm)", plain, "side_bow", 1e3, 3),
                ("twist, shop to home, if every stripe has 2° of run-out and 1° of slope (mm)", slanting,
                 "twist_across", 1e3, 2))]
    return table(("", *ways), rows,
                 "Middle value, in brackets where 90 of 100 such necks fall. Quarter-sawn, Indian rosewood "
                 f"fretboard, {model.SHOP:.0f} % to {model.HOME:.0f} % humidity.")


CUTS = {"one piece": (1, None, "as sawn"),
        "cut in seven, glued as they lay": (7, None, "as sawn"),
        "every second stripe rolled over and end for end": (7, None, "about y"),
        "every second stripe end for end on the bench": (7, None, "about z"),
        "shuffled: first from one edge, then from the other": (7, (0, 6, 1, 5, 2, 4, 3), "as sawn")}
"""What can be done with one board: stripes, their order, the turn of every second one."""


def straying(found: Straightness) -> tuple[float, float, float]:
    """(side bow, twist across the last fret, relief change), mm, that 90 of 100 necks stay below."""
    return tuple(within(1e3 * np.broadcast_to(value, MANY))
                 for value in (found.side_bow, found.twist_across, found.relief_change))


def within_table() -> Shown:
    """What one board carries within itself, and what cutting, turning and shuffling make of it; beside it
    boards from seven trees."""
    ways = {name: [straying(model.cut_up(count, order, turn, part)) for part in GROWN]
            for name, (count, order, turn) in CUTS.items()}
    ways["seven stripes from seven trees"] = [straying(straight(equal_stripes(7), MANY, part=part))
                                              for part in GROWN]
    rows = [(name, *(f"±{v:.{decimals}f}" for found in both
                     for v, decimals in zip(found, (3, 2, 2), strict=True)))
            for name, both in ways.items()]
    head = [f"{what}, {part}" for part in ("sound wood", "near the pith")
            for what in ("side bow", "twist", "relief")]
    return table(("from one board", *head), rows,
                 "All in mm, shop to home; ± holds 90 of 100 necks of quarter-sawn hard maple, each board's "
                 "grain straight at its middle. Estimated: rings as arcs, lengthwise swelling that falls "
                 "outward from the pith, grain that winds; how steeply is judged, near the pith from a pine. "
                 f"A builder notices about {rule('bow_shows').value:g} mm of bow (common practice, no "
                 "source).")


@dataclass(frozen=True, kw_only=True)
class StripTest:
    """What a test of n strips can tell. low, high: factors on the true scatter within which 90 of 100 samples
    fall; needed: strips from which samples of 14 and of 7 % fall apart; sag (mm) of one strip under the load;
    dial, caliper: % of the sag that one reading is good to; thickness: % in the modulus."""

    low: float
    high: float
    needed: int
    sag: float
    dial: float
    caliper: float
    thickness: float


STRIP = {"span": 0.700, "width": 0.020, "thickness": 0.010}
"""A strip for the scatter test, m."""
READ = {"dial": 1e-5, "caliper": 1e-4, "thickness": 2e-5}
"""What one reading is good to (common practice, no source), m: a dial gauge, a caliper or rule held to a sag,
a caliper on the planed strip."""


def strip_test(strips: int = 5) -> StripTest:
    """The strip test of `strips` strips of STRIP, 1 kg in the middle, hard maple."""
    needed = next(n for n in range(2, 100) if sample_scatter(1.0, n)[1] < 2 * sample_scatter(1.0, n)[0])
    b, h = STRIP["width"], STRIP["thickness"]
    sag = 9.81 * STRIP["span"] ** 3 / (4 * equal_stripes(1).neck().pieces[0].E_L * b * h**3)
    low, high = sample_scatter(1.0, strips)
    return StripTest(low=low, high=high, needed=needed, sag=1e3 * sag, dial=100 * READ["dial"] / sag,
                     caliper=100 * READ["caliper"] / sag, thickness=300 * READ["thickness"] / h)


def strip_test_table() -> Shown:
    """How far the scatter of a sample lies from the true one, by the number of strips."""
    test = strip_test()
    rows = [(str(n), *(f"{c * low:.1f} to {c * high:.1f}" for c in (14, 7)))
            for n, (low, high) in ((n, sample_scatter(1.0, n)) for n in (5, 8, test.needed, 20, 40))]
    return table(("strips", "boards that truly scatter by 14 %: the sample shows (%)",
                  "boards that truly scatter by 7 % (%)"), rows,
                 "Where 90 of 100 samples fall (chi-square). "
                 f"From {test.needed} strips on the two fall apart. A strip {1e3 * STRIP['thickness']:.0f} × "
                 f"{1e3 * STRIP['width']:.0f} mm over {1e3 * STRIP['span']:.0f} mm sags {test.sag:.1f} mm "
                 f"under 1 kg: a dial gauge reads that to {test.dial:.1f} %, a caliper or rule to "
                 f"{test.caliper:.0f} %; 0.02 mm of thickness is {test.thickness:.1f} %.")


@dataclass(frozen=True)
class Scatter:
    """Scatter as fractions: of a board, by c/√n, by c/√(effective number), and two by the library."""

    board: float
    by_rule: float
    effective: float
    by_widths: float
    stripes_alone: float
    whole: float


def scatter_by_hand(stripes: int = 7) -> Scatter:
    """The √n rule for a neck of hard maple stripes from different trees, beside the library's draws."""
    neck = build(**MAPLE, stripes=stripes).neck()
    half = float(neck.outline.width(neck.fret(model.VIEW_FRET))) / 2
    widths = np.diff(np.clip(neck.layup.edges, -half, half))
    effective = float(widths.sum() ** 2 / (widths**2).sum())
    found, c = evaluated(MANY, **MAPLE, stripes=stripes), neck.pieces[0].species.cov_modulus
    return Scatter(c, c / np.sqrt(stripes), effective, c / np.sqrt(effective),
                   model.scatter(found.stripes_stiffness), model.scatter(found.stiffness))


@dataclass(frozen=True)
class Accents:
    """Widths (mm) of accents and neck at fret 7, ratio of the moduli; gains: by hand, two by the library."""

    accents: float
    width: float
    ratio: float
    by_hand: float
    stripes_alone: float
    whole: float


def accent_by_hand(accent: str = "wenge") -> Accents:
    """The width-share rule for two thin accents in a maple neck, (ratio - 1) x share, beside the library."""
    plain, striped = (evaluated(**{**MAPLE, "accent": wood}) for wood in (MAPLE["accent"], accent))
    neck = build(**{**MAPLE, "accent": accent}).neck()
    main, thin = (stripe.board for stripe in neck.layup.stripes[:2])
    accents = 2e3 * neck.layup.stripes[1].width
    width, ratio = 1e3 * float(neck.outline.width(neck.fret(model.VIEW_FRET))), float(thin.E_x / main.E_x)
    alone, whole = (getattr(striped, f) / getattr(plain, f) - 1 for f in ("stripes_stiffness", "stiffness"))
    return Accents(accents, width, ratio, accents / width * (ratio - 1), alone, whole)


@dataclass(frozen=True)
class Misread:
    """Twist (mm) that 90 of 100 necks stay below, shop to home; each stripe's own part (n,), mm."""

    twist: float
    run_out: np.ndarray
    slope: np.ndarray


def misread(error: float = 1.0) -> Misread:
    """Twist left in neck No. 12 if each stripe's grain is off by `error` degrees (one standard deviation)."""
    def part(i: int, slant: str) -> float:
        return 1e3 * straight(model.with_stripe(NECK_12, (i,), **{slant: np.radians(error)})).twist_across

    places = range(len(NECK_12.stripes))
    run_out, slope = (np.array([part(i, slant) for i in places]) for slant in ("run_out", "slope"))
    return Misread(Z90 * float(np.sqrt((run_out**2).sum() + (slope**2).sum())), run_out, slope)
