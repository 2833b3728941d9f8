"""Predictions and questions of the string-pull lesson; outcomes and right answers computed when asked for."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from tonewood.lesson.string_pull.faults import mended
from tonewood.lesson.string_pull.model import READ, build, gap_of
from tonewood.neck.load.headstock import head_load
from tonewood.panel.questions import Prediction, Question, ask, ask_number, lowest, nearest, predict


def guess_gauge() -> Prediction:
    """Prediction: how the bow follows a heavier set."""
    sizes = {"5 %": 5.0, "10 %": 10.0, "20 %": 20.0, "50 %": 50.0}

    def grown(of: Callable[..., float]) -> float:
        return 100 * (of(gauge=110.0) / of(gauge=100.0) - 1)

    def outcome(_: str) -> str:
        more, bow = grown(lambda **values: build(**values).string_set().total_tension), grown(gap_of)
        return (f"Computed: the pull grows by {more:.0f} %, the gap with the rod slack by {bow:.0f} %. Now "
                "move the gauges below.")
    return predict("Every string 10 % thicker, same tuning, rod slack. The bow of the neck grows by about …",
                   list(sizes), outcome, right=lambda: nearest(sizes, grown(gap_of)))


def guess_head() -> Prediction:
    """Prediction: what the headstock's angle does to the bow."""
    found = [head_load(462.0, np.radians(angle), 0.0125, 0.0129, 0.24).moment for angle in (4.0, 14.0)]
    labels, more = ["more", "less", "as before"], found[1] / found[0] - 1

    def outcome(_: str) -> str:
        return (f"Computed for a pull of 462 N: the moment at fret {READ} is {found[0]:.2f} N·m at 4° and "
                f"{found[1]:.2f} N·m at 14°. The parts are listed under Explain.")
    return predict("The same neck, the headstock leaning back 14° instead of 4°. The strings bow the neck …",
                   labels, outcome, right=lambda: labels[0 if more > 0.01 else 1 if more < -0.01 else 2])


def guess_twist() -> Prediction:
    """Prediction: what a turn of the rod does to a twist."""
    shares = {"takes most of it out": 0.15, "takes half of it out": 0.5, "leaves all of it": 1.0}
    left = mended("twist", 0.5, "double-acting").left

    def outcome(_: str) -> str:
        return (f"Computed: of 0.50 mm across the last fret, {left:.2f} mm is left at the rod's best "
                "setting. Try every fault in the second picture.")
    return predict("The last fret stands 0.5 mm higher on the treble side than the nut does. A turn of the "
                   "truss rod …",
                   list(shares), outcome, right=lambda: nearest(shares, max(left / 0.5, 0.01)))


def answer_tuning() -> Question:
    """Question: which gauge keeps the bow when tuning down."""
    labels = {"the same gauges": "A whole step down they pull a fifth less, and the neck straightens.",
              "about 12 % thicker":
                  "Pitch enters squared and so does gauge: what the pitch loses, the gauge wins back.",
              "about 25 % thicker": "Twice the correction: gauge counts squared as well."}

    def right() -> dict[str, bool]:
        down = {"tuned": "six strings, whole step down"}
        off = [abs(gap_of(**down, gauge=gauge) - gap_of()) for gauge in (100.0, 112.0, 125.0)]
        return lowest(dict(zip(labels, off, strict=True)))
    return ask("Ines tunes a whole step down and wants the bow of the neck, and the rod, left as they are. "
               "She needs …",
               labels, right, "A whole step is a factor of about 1.12 in pitch. How does pitch enter the "
                              "pull?",
               "Pull is mass × (2 × length × pitch)², and mass grows with gauge squared: keep gauge × pitch. "
               f"A whole step down is pitch ÷ {2 ** (1 / 6):.3f}, so gauge × {2 ** (1 / 6):.2f}.")


def answer_fault() -> Question:
    """Question: which fault a rod mends."""
    labels = {"an even forward bow": "One even curve: that is the shape a rod makes.",
              "an S-curve": "Taking the hill down lifts the hollow.",
              "a kink at the body joint": "The rod bends along its length; the corner stays.",
              "a twist": "The rod has no hold on it."}
    faults = dict(zip(labels, ("forward bow", "S-curve", "kink at the body joint", "twist"), strict=True))
    left = {words: mended(fault, 0.25, "double-acting").left for words, fault in faults.items()}

    def right() -> dict[str, bool]:
        return {words: value < 0.05 for words, value in left.items()}
    return ask("Four necks, each a quarter of a millimetre out. Which one does a double-acting rod put "
               "right?", labels, right,
               "Set each fault in the second picture and read what is left.",
               "A rod makes one even curve in the plane of the strings. Only a fault of that shape goes "
               f"away; what is left of 0.25 mm: "
               f"{'; '.join(f'{words} {value:.2f} mm' for words, value in left.items())}.")


def answer_relief() -> Question:
    """Question: relief by hand of a seven-string neck."""
    design = build(tuned="seven strings")
    neck, pull = design.neck(), round(design.string_set().total_tension)
    length, stiffness, height = round(1e3 * (neck.end - float(neck.fret(1)))), 520, 13

    def gap(factor: float = 1.0) -> float:
        return factor * pull * 1e-3 * height * (1e-3 * length) ** 2 / (8 * stiffness) * 1e3
    return ask_number(
        f"A seven-string set pulls {pull} N, {height} mm above the axis of a neck of {stiffness} N·m²; "
        f"{length} mm from the first to the last fret. How far does it bow by the one-line formula, rod "
        "slack?",
        gap, "mm", 0.05,
        "Pull × height is the moment; moment × length² ÷ (8 × stiffness), all in metres, then to mm.",
        f"{pull} N × 0.013 m = {pull * 0.013:.2f} N·m; × {1e-3 * length:.3f}² ÷ (8 × {stiffness}) = "
        f"{gap():.2f} mm.",
        slips=[(lambda: gap(8.0), "Did you leave out the 8 of length² ÷ 8?"),
               (lambda: gap((648 / length) ** 2), "Did you take the scale length instead of first to last "
                                                  "fret?")], relative=True)
