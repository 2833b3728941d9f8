"""Laying up, the live figure: how many stripes, from which boards, turned which way."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
from matplotlib.figure import Figure

from tonewood.draws import written_band
from tonewood.lesson.laying_up import model
from tonewood.lesson.laying_up.model import ANGLES, FEW, OF_THE_WOOD, VIEW_FRET, build, defaults, evaluated
from tonewood.lesson.laying_up.view import STACK, LayupView
from tonewood.lesson.shared.design_strip import LessonNeck, with_strip
from tonewood.lesson.shared.reads import kept_by
from tonewood.lesson.shared.shop import NECK_12
from tonewood.lesson.shared.stripe_controls import boards_from, stripe_woods
from tonewood.neck.design import Design
from tonewood.neck.layup.stripe_order import stripe_turns
from tonewood.neck.report.straightness import Straightness
from tonewood.panel import stacking
from tonewood.panel.controls import Control, pick, slider
from tonewood.panel.gauges import Gauges, Row
from tonewood.panel.live_figure import LiveFigure
from tonewood.wood.species import species
from tonewood.wood.within import GROWN

ROWS = (Row("Bending stiffness EI, stripes alone", "N·m²", 50, 350, 0),
        Row("Bending stiffness EI, whole neck", "N·m²", 200, 800, 0),
        Row("Twisting stiffness GJ", "N·m²", 50, 200, 0),
        Row("Twist, shop to home", "mm", -1.2, 1.2, 2, reference=0.0),
        Row("Side bow, shop to home", "mm", -0.06, 0.06, 3, reference=0.0),
        Row("Relief change, shop to home", "mm", -0.3, 0.3, 2, reference=0.0),
        Row("Twist, strings on", "mm", -0.12, 0.12, 3, reference=0.0))


def gauged(found: Straightness) -> list[np.ndarray]:
    """What the gauges show, in their units, for every draw."""
    return [np.broadcast_to(v, np.size(found.stiffness)) for v in (
        found.stripes_stiffness, found.stiffness, found.twisting_stiffness, 1e3 * found.twist_across,
        1e3 * found.side_bow, 1e3 * found.relief_change, 1e3 * found.load_twist_across)]


def setup(fig: Figure) -> SimpleNamespace:
    """Draw all that stays, once."""
    if stacking.narrow(fig):
        grid = stacking.cell(fig, STACK, "Stripes", 4, 4, 26, 6), stacking.cell(fig, STACK, "Gauges", 26, 22)
    else:
        grid = fig.add_gridspec(1, 2, width_ratios=(1.08, 1), wspace=0.06, left=0.008, right=0.98, top=0.955,
                                bottom=0.045)
    ax = fig.add_subplot(grid[0])
    ax.set_title(f"End view at fret {VIEW_FRET}, to scale", pad=2)
    return SimpleNamespace(view=LayupView(ax), gauges=Gauges(fig, grid[1], ROWS))


def change(art: SimpleNamespace, subject: Design, held: dict[str, Any] | None = None, **values: Any) -> str:
    """Show one setting; the sentence that tells it."""
    design = build(subject, **values)
    before = {**held} if held else {}
    art.view.show(design, VIEW_FRET, build(before.pop("subject"), **before) if held else None)
    ghost = gauged(evaluated(FEW, **held)) if held else None
    bands = art.gauges.show(gauged(evaluated(FEW, subject, **values)), ghost)
    return sentence(design, bands, *(values[name] for name in OF_THE_WOOD))


def sentence(design: Design, bands: list[tuple[float, float, float]], origin: str, arrangement: str,
             supply: str, part: str) -> str:
    """The picture in words, with every number and its 90 % band."""
    count = len(design.stripes)
    used = ", ".join(dict.fromkeys(species(stripe.wood).name for stripe in design.stripes))
    how = f"One piece ({used})"
    if count > 1:
        usual = model.turns(design) == stripe_turns(design.neck(), arrangement)
        order = model.TURNED[arrangement] if usual else "turned in an order of their own"
        unit = "pairs" if arrangement == "mirrored pairs" else "stripes"
        how = f"{count} stripes ({used}), {order}, {unit} from {origin.replace('same', 'the same')}"
    alone, whole, twisting, twist, side, relief, pulled = (
        written_band(band, row.decimals) for band, row in zip(bands, ROWS, strict=True))
    boards = supply.replace("one", "of one")
    return (f"{how}; boards {boards}, wood {part}; rings {leaning(design, 'ring_angle', 0)}, "
            f"run-out {leaning(design, 'run_out', 1)}, "
            f"slope {leaning(design, 'slope', 1)}. Bending stiffness of the stripes alone {alone} N·m² (90 "
            f"of 100), with the fretboard {whole} N·m²; twisting stiffness {twisting} N·m². From "
            f"{model.shop_humidity(design):.0f} % to {model.HOME:.0f} % humidity: twist {twist} mm across "
            f"the last fret, side bow {side} mm, relief {relief} mm. Strings on: twist {pulled} mm.")


def leaning(design: Design, angle: str, decimals: int) -> str:
    """An angle of the stripes in words: "90°", or "0 to 60°" where each has its own."""
    found = sorted({f"{d:.{decimals}f}" for d in model.degrees(design, angle)}, key=float)
    return f"{found[0]}°" if len(found) == 1 else f"{found[0]} to {found[-1]}°"


def controls(design: Design = NECK_12) -> dict[str, Control]:
    """The controls of the lay-up, fresh, in the order wood, grain, origin, turning."""
    start = defaults(design)
    return {
        "stripes": slider("Stripes", start["stripes"], *model.COUNTS, "",
                          "1 is a one-piece neck; the blank is 60 mm wide, so 11 still leaves wood for each"),
        **stripe_woods(start),
        "ring_angle": slider("Ring angle", start["ring_angle"], *ANGLES["ring_angle"], "°",
                             "0 flat-sawn, 90 quarter-sawn; of every stripe before turning"),
        "run_out": slider("Run-out", start["run_out"], *ANGLES["run_out"], "°",
                          "grain diving through the fretboard plane; 3.8° is 1 in 15; of every stripe before "
                          "turning"),
        "slope": slider("Slope of grain", start["slope"], *ANGLES["slope"], "°",
                        "grain leaving the centre line in the face view; of every stripe before turning"),
        **boards_from(start),
        "part": pick("Wood from", list(GROWN), start["part"],
                     "near the pith wood swells far more along the grain, and unevenly (a pine's figures)"),
        "arrangement": pick("Turned before glue-up", [(words, key) for key, words in model.TURNED.items()],
                            start["arrangement"],
                            "counted within each wood, from bass to treble; of a mirrored pair both stripes "
                            "are sawn from one board"),
    }


LESSON_NECK = LessonNeck(defaults, kept_by(build), model.cannot)


def layup(place: str | None = "beside", design: Design = NECK_12) -> LiveFigure:
    """The lay-up, ready to slide. Returns a LiveFigure; last line of a cell, or behind a prediction."""
    live = LiveFigure(setup, change, controls(design), inches=(10.0, 6.1), place=place, subject=design,
                      first=("stripes", "main", "ring_angle", "run_out", "slope", "arrangement"),
                      parts={"Stripes": (0, 0, 0.508, 1), "Gauges": (0.5, 0, 1, 1)}, narrow=STACK,
                      alt="End view of the neck to scale with the growth rings of each stripe, an arrow "
                          "along the grain of each stripe from the side and from above, and seven gauges "
                          "with their 90 % bands")
    return with_strip(live, LESSON_NECK)
