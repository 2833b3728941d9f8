"""Beside the lay-up figure: what each way of turning cancels, one piece against seven, what a misread stripe does, and two rules worked by hand."""

from dataclasses import dataclass, replace
from functools import lru_cache
from html import escape

import numpy as np

from tonewood.panel.gauges import band
from tonewood.lesson.laying_up.figure import ARRANGEMENT_WORDS, HOME, MAPLE, NUMBER_12, SHOP, VIEW_FRET, evaluated, judged, possible, sawn
from tonewood.panel.page import Shown
from tonewood.neck.layup.stripe_order import arranged
from tonewood.neck.layup.neck import Layup, Stripe

RUN_OUT, SLOPE = 3.0, 3.0       # degrees, in every stripe, for the table of turns
NONE = 0.0005                   # mm: what is printed as "none"
ALIKE = {**NUMBER_12, **MAPLE}


def scatter(values):
    """Standard deviation over mean of draws (D,)."""
    return float(np.std(values) / np.mean(values))


@lru_cache(maxsize=64)
def _drawn(items, draws):
    values = dict(items)
    return judged(possible(sawn(**values), values["arrangement"], values["origin"], draws))


def drawn(draws=4000, **values):
    """Straightness of one setting of the sliders (what is not given as in No. 12), with more draws than the figure. Kept for reuse."""
    return _drawn(tuple(sorted({**NUMBER_12, **values}.items())), draws)


@lru_cache(maxsize=64)
def _single(items):
    values = dict(items)
    return judged(arranged(sawn(**values), values["arrangement"]))


def single(**values):
    """Straightness of one setting of the sliders with every board at its table value."""
    return _single(tuple(sorted({**NUMBER_12, **values}.items())))


def equal_stripes(count, ring_angle=90.0, run_out=0.0, slope=0.0):
    """The Neck of `count` equally wide stripes of hard maple as sawn, otherwise as No. 12. Angles in degrees."""
    neck = sawn(**{**ALIKE, "ring_angle": ring_angle, "run_out": run_out, "slope": slope})
    board = neck.pieces[0]
    return replace(neck, layup=Layup(tuple(Stripe(board, neck.layup.width / count) for _ in range(count))))


def turns_table(stripes=4):
    """What each way of turning does to slanting grain: equally wide stripes of one wood, every one with the same run-out or the same slope. Shown."""
    rows = []
    for key, words in ARRANGEMENT_WORDS.items():
        dive, lean = (judged(arranged(equal_stripes(stripes, **grain), key)) for grain in ({"run_out": RUN_OUT}, {"slope": SLOPE}))
        boards = judged(possible(equal_stripes(stripes), key, "different trees"))
        rows.append((words, _or_none(1e3 * dive.twist_across), _or_none(1e3 * lean.twist_across), _or_none(1e3 * lean.load_twist_across),
                     f"±{1e3 * np.percentile(np.abs(boards.side_bow), 90):.3f}", f"±{1e3 * np.percentile(np.abs(boards.relief_change), 90):.2f}"))
    head = ("turned", f"twist, shop to home, run-out {RUN_OUT:.0f}°", f"twist, shop to home, slope {SLOPE:.0f}°", f"twist, strings on, slope {SLOPE:.0f}°",
            "side bow, straight grain", "relief change, straight grain")
    return _table(head, rows, f"All in mm; twist is the height of the treble edge over the bass edge at the last fret; ± holds 90 of 100 necks. {stripes} equal quarter-sawn stripes of hard "
                              f"maple, {SHOP:.0f} % to {HOME:.0f} % humidity. Estimated by the twist and movement models.")


def _or_none(value):
    return "none" if abs(value) < NONE else f"{value:+.2f}".replace("-", "−") if abs(value) >= 0.05 else f"{value:+.3f}".replace("-", "−")


def one_against_seven():
    """The neck No. 12 in one piece, in seven stripes as sawn, and in seven stripes as mirrored pairs: middle value and 90 % band. Shown."""
    one = {**MAPLE, "stripes": 1}
    ways = {"one piece, hard maple": one, "No. 12, seven stripes, as sawn": {}, "No. 12, seven stripes, mirrored pairs": {"arrangement": "mirrored pairs"}}
    straight = [evaluated(**way)[1] for way in ways.values()]
    slanting = [evaluated(**way, run_out=2.0, slope=1.0)[1] for way in ways.values()]
    rows = [(name, *(_cell(factor * np.asarray(getattr(found, field)), decimals) for found in straight)) for name, field, factor, decimals in (
        ("bending stiffness, stripes alone (N·m²)", "stripes_stiffness", 1, 0), ("bending stiffness, whole neck (N·m²)", "stiffness", 1, 0),
        ("twisting stiffness (N·m²)", "twisting_stiffness", 1, 0), ("relief, shop to home (mm)", "relief_change", 1e3, 2), ("side bow, shop to home (mm)", "side_bow", 1e3, 3))]
    rows.append(("twist, shop to home, if every stripe has 2° of run-out and 1° of slope (mm)", *(_cell(1e3 * np.asarray(found.twist_across), 2) for found in slanting)))
    return _table(("", *ways), rows, f"Middle value, in brackets where 90 of 100 such necks fall. Quarter-sawn, Indian rosewood fretboard, {SHOP:.0f} % to {HOME:.0f} % humidity.")


def _cell(values, decimals):
    low, middle, high = (f"{round(v, decimals) + 0.0:.{decimals}f}".replace("-", "−") for v in band(values))
    return f"{middle} ({low} to {high})"


def _table(head, rows, caption):
    top = "".join(f"<th scope='col' style='text-align:right;vertical-align:bottom;max-width:10em;white-space:normal'>{escape(h)}</th>" for h in head)
    body = "".join(f"<tr><th scope='row' style='text-align:left;font-weight:normal;max-width:20em;white-space:normal'>{escape(first)}</th>"
                   + "".join(f"<td style='text-align:right;white-space:nowrap'>{escape(cell)}</td>" for cell in rest) + "</tr>" for first, *rest in rows)
    plain = "\n".join(f"{first}: " + ", ".join(f"{h} {cell}" for h, cell in zip(head[1:], rest)) for first, *rest in rows)
    return Shown(f"<div style='overflow-x:auto'><table><caption style='caption-side:bottom;text-align:left'>{escape(caption)}</caption><thead><tr>{top}</tr></thead>"
                 f"<tbody>{body}</tbody></table></div>", f"{plain}\n({caption})")


@dataclass(frozen=True)
class ScatterByHand:
    """Board scatter (fraction), n, the rule c/√n, effective number by width and c/√n_eff, the library's scatter of the stripes alone and of the whole neck."""

    board: float
    stripes: int
    by_rule: float
    effective: float
    by_widths: float
    stripes_alone: float
    whole: float


def scatter_by_hand(stripes=7):
    """The √n rule for a neck of hard maple stripes from different trees, beside the library's draws. Returns ScatterByHand."""
    neck, wood = sawn(**{**ALIKE, "stripes": stripes}), sawn(**ALIKE).pieces[0].species
    half = 1e3 * float(neck.outline.width(neck.fret(VIEW_FRET))) / 2
    widths = np.diff(np.clip(1e3 * neck.layup.edges, -half, half))
    effective = float(widths.sum() ** 2 / (widths**2).sum())
    found = drawn(**MAPLE, stripes=stripes)
    c = wood.cov_modulus
    return ScatterByHand(c, stripes, c / np.sqrt(stripes), effective, c / np.sqrt(effective), scatter(found.stripes_stiffness), scatter(found.stiffness))


@dataclass(frozen=True)
class AccentByHand:
    """Accents: their width and the neck's at fret 7 (mm), ratio of the moduli, gain of the stripes alone by hand and by the library, gain of the whole neck."""

    accents: float
    width: float
    ratio: float
    by_hand: float
    stripes_alone: float
    whole: float


def accent_by_hand(accent="wenge"):
    """The width-share rule: two 2 mm accents in a seven-stripe maple neck, (ratio - 1) x share of the width, beside the library. Returns AccentByHand."""
    plain, striped_ = single(**MAPLE), single(**{**MAPLE, "accent": accent})
    neck = sawn(**{**ALIKE, "accent": accent})
    boards = [stripe.board for stripe in neck.layup.stripes]
    accents = 1e3 * sum(s.width for s in neck.layup.stripes if s.board is boards[1])
    width, ratio = 1e3 * float(neck.outline.width(neck.fret(VIEW_FRET))), float(boards[1].E_x / boards[0].E_x)
    return AccentByHand(accents, width, ratio, accents / width * (ratio - 1), striped_.stripes_stiffness / plain.stripes_stiffness - 1,
                        striped_.stiffness / plain.stiffness - 1)


@dataclass(frozen=True)
class Misread:
    """What reading each stripe's grain to `error` degrees (one standard deviation) leaves of twist, shop to home, in mm: 90 of 100 lie within ± `twist`; each
    stripe's own part for that much run-out and slope, (n,) mm."""

    error: float
    twist: float
    run_out: np.ndarray
    slope: np.ndarray


def misread(error=1.0, **values):
    """Twist left when stripes meant to be straight are each off by `error` degrees at random, added up stripe by stripe. Returns Misread."""
    neck = sawn(**{**NUMBER_12, **values})
    parts = {}
    for name in ("run_out", "slope"):
        parts[name] = np.array([1e3 * judged(_with_stripe(neck, i, **{name: np.radians(error)})).twist_across for i in range(len(neck.layup.stripes))])
    return Misread(error, 1.645 * float(np.sqrt(sum((part**2).sum() for part in parts.values()))), parts["run_out"], parts["slope"])


def _with_stripe(neck, i, **grain):
    stripes = list(neck.layup.stripes)
    stripes[i] = Stripe(replace(stripes[i].board, **grain), stripes[i].width)
    return replace(neck, layup=Layup(tuple(stripes)))
