"""What a truss rod mends and what it does not: one fault at a time, before and after its best setting."""

from __future__ import annotations

from dataclasses import dataclass, replace
from types import SimpleNamespace
from typing import Any

import numpy as np
from matplotlib.figure import Figure

from tonewood.draws import written
from tonewood.lesson.shared.design_strip import LessonNeck, with_strip
from tonewood.lesson.shared.shop import NECK_12, truss_rod
from tonewood.lesson.string_pull.model import RODS, build, defaults, keep, slack
from tonewood.lesson.string_pull.view import SLACK
from tonewood.neck.design import Design
from tonewood.neck.load.rod_limits import SHOWS, Limit, best_setting, rod_limits
from tonewood.panel import stacking, style
from tonewood.panel.controls import Control, pick, slider
from tonewood.panel.live_figure import LiveFigure

FAULTS = {"forward bow": "taking relief away", "back bow": "adding relief", "S-curve": "s-curve",
          "kink at the body joint": "kink at the body joint", "side bow": "side bow", "twist": "twist"}
"""Each fault and the name of its Limit in neck.load.rod_limits. Sizes in mm: the largest gap in the side
or face view; for a twist, one end of the last fret over the other."""
FORCED = "The rod would be over its limit (from memory and estimate): do not force it."
STAYS = {
    "taking relief away": f"of relief cannot be taken away. {FORCED}",
    "twist": "of twist stays. A rod bends the neck in one plane and cannot untwist it.",
    "side bow":
        "of side bow stays. A rod works in the plane of the strings and cannot straighten a neck sideways.",
    "s-curve": "of S-curve stays at the best setting. A rod makes one even curve and cannot fit "
               "another shape.",
    "kink at the body joint": "of a kink at the joint stays at the best setting. A rod bends evenly along "
                              "its length and cannot take out a kink."}
"""What the rod does not mend, by the name of its Limit, as words behind the amount."""
CANNOT_ADD = {
    "single-acting":
        "A single-acting rod only takes relief away: heavier strings or planing the board adds it.",
    "double-acting": FORCED}
STACK = {"From the side": 290, "From above": 290, "From the end": 290}
LARGEST, REACH = 0.6, 475       # mm: largest fault, and how far from the nut the picture reaches for a guitar


@dataclass(frozen=True, kw_only=True)
class Mended:
    """A fault before and after the rod, mm but for effort; frets, gaps and side (F,)."""

    frets: np.ndarray
    gap: np.ndarray
    gap_left: np.ndarray
    side: np.ndarray
    lean: float
    width: float
    joint: float
    effort: float
    limit: Limit

    @property
    def left(self) -> float:
        """What the fault still measures after the best setting, mm."""
        return max(float(np.max(np.abs(self.gap_left))), float(np.max(np.abs(self.side))), abs(self.lean))

    @property
    def mends(self) -> bool:
        """Whether what is left does not show."""
        return self.left <= SHOWS + 1e-9


def mended(fault: str, size: float, kind: str, design: Design = NECK_12) -> Mended:
    """A fault of `size` mm in a neck and what the best setting of a rod of that kind leaves of it."""
    made = build(design, rod=kind)
    neck, bent = made.neck(), slack(made)
    rod, p, joint = truss_rod(neck, kind), bent.fret_positions, bent.strung.joint
    first, last = p[0], p[-1]
    along = (p - first) / (last - first)
    even, hinge, corner = 4 * along * (1 - along), np.zeros(p.size), 0.0
    if first < joint < last:      # a joint beyond the board has no kink to show
        hinge = np.minimum((p - first) / (joint - first), (last - p) / (last - joint))
        corner = 1e-3 * (last - first) / ((joint - first) * (last - joint))
    shapes = {"forward bow": even, "back bow": -even, "S-curve": np.sin(2 * np.pi * along),
              "kink at the body joint": hinge}
    gap, side = size * shapes.get(fault, 0 * along), size * even * (fault == "side bow")
    lean, turn = size * (fault == "twist"), size * corner * fault.startswith("kink")
    width = 1e3 * float(neck.outline.width(neck.end))
    effort, left = best_setting(bent, rod, 1e-3 * gap)
    # The neck whose fault is judged: flat but for it, so that target and gap are the fault's own.
    faulty = replace(bent, at_fret=1e-3 * gap, side_at_fret=1e-3 * side, curvature=0 * bent.curvature)
    limits = rod_limits(faulty, rod, 0.0, 8, twist=np.arcsin(lean / width), kink=turn, shape=1e-3 * gap)
    return Mended(frets=1e3 * p, gap=gap, gap_left=1e3 * left, side=side, lean=lean, width=width,
                  joint=1e3 * joint, effort=float(effort),
                  limit=next(limit for limit in limits if limit.name == FAULTS[fault]))


def setup(fig: Figure) -> SimpleNamespace:
    """Draw all that stays, once."""
    grid = [stacking.cell(fig, STACK, part, 84, bottom=46) for part in STACK] if stacking.narrow(
        fig) else fig.add_gridspec(1, 3, width_ratios=(1.35, 1.35, 1), left=0.078, right=0.99, top=0.86,
                                   bottom=0.2, wspace=0.33)
    axes, lines, words = [fig.add_subplot(cell) for cell in grid], [], (
        ("Side view: the rod bends this one", "from the nut (mm)", "gap (mm)"),
        ("Face view: out of its reach", "from the nut (mm)", "to the treble (mm)"),
        ("End view: out of reach", "across (mm)", "over the nut (mm)"))
    for ax, (title, across, up) in zip(axes, words, strict=True):
        ax.set(ylim=(-0.72, 0.72), xlabel=across, ylabel=up)
        ax.set_title(title, pad=4)
    side, face, ends = axes
    for ax in (side, face):
        ax.set_xlim(0, REACH)
        ax.axhline(0, **style.REFERENCE)
        ax.axhspan(-SHOWS, SHOWS, color="#e9e9e9", zorder=0)
        lines += [*ax.plot([], [], label="rod slack", **SLACK),
                  *ax.plot([], [], label="rod at its flattest", **style.NOW)]
    face.legend(handles=lines[2:], loc="lower center")
    ends.set(xlim=(-34, 34), xticks=(-20, 0, 20))
    nut, = ends.plot([], [], color=style.BLACK, lw=2.2, zorder=1.5)
    ends.text(0, -0.05, "nut", ha="center", va="top")
    small = {"color": "#555555"}
    ends.text(0, 0.6, "last fret: both lines lie\non each other", ha="center", va="top", **small)
    lines += [*ends.plot([], [], **style.NOW), *ends.plot([], [], **SLACK)]
    return SimpleNamespace(lines=lines, nut=nut, axes=axes, joint=side.axvline(0, color="#999999", lw=0.8),
                           word=side.text(0, -0.7, "body joint", ha="right", va="bottom", **small))


def change(art: SimpleNamespace, fault: str, size: float, rod: str, subject: Design) -> str:
    """Show one setting; the sentence that tells it."""
    found = mended(fault, size, rod, subject)
    reach, half = max(REACH, found.frets[-1] + 10), max(34, found.width / 2 + 3)
    for ax, ends in zip(art.axes, ((0, reach), (0, reach), (-half, half)), strict=True):
        if ax.get_xlim() != ends:
            ax.set_xlim(ends)
    for line, y in zip(art.lines, (found.gap, found.gap_left, found.side, found.side), strict=False):
        line.set_data(found.frets, y)
    for line in art.lines[4:]:
        line.set_data([-found.width / 2, found.width / 2], [-found.lean / 2, found.lean / 2])
    nut = 500 * subject.outline.nut_width
    art.nut.set_data([-nut, nut], [0, 0])
    art.joint.set_xdata([found.joint] * 2)
    art.word.set_x(found.joint - 4)
    return sentence(fault, size, rod, found)


def sentence(fault: str, size: float, kind: str, found: Mended) -> str:
    """The picture in words."""
    unit, decimals, least = ("N", 0, 5.0) if kind == "single-acting" else ("N·m", 1, 0.05)
    way, strength = "less" if found.effort > 0 else "more", written(abs(found.effort), decimals)
    did = f"at {strength} {unit} towards {way} relief"
    if abs(found.effort) < least:
        did = "with the rod left slack"
    limit, said = found.limit, ""
    if bool(limit.matters):
        words = STAYS.get(limit.name, f"of relief cannot be added. {CANNOT_ADD[kind]}")
        said = f" In the rod's own terms: {float(limit.amount):.2f} {limit.unit} {words}"
    return (f"{fault.capitalize()} of {size:.2f} mm, {kind} rod: flattest over all frets {did}; "
            f"{found.left:.2f} mm is left at the worst fret, which "
            f"{'does not show' if found.mends else 'shows'}.{said}")


def start(design: Design = NECK_12) -> dict[str, Any]:
    """Start values of the controls that a design decides."""
    return {"rod": defaults(design)["rod"]}


def cannot(design: Design) -> list[str]:
    """What the picture of faults cannot show of a design."""
    out = [] if design.rod in RODS else ["It has no truss rod; what is shown is what one would do in it."]
    board = design.neck()
    if board.body_start is None or not board.fret(1) < board.body_start < board.end:
        out.append("Its body begins beyond the board, so there is no kink at the joint to show.")
    return out


def controls(design: Design = NECK_12) -> dict[str, Control]:
    """The controls, fresh."""
    return {"fault": pick("Fault of the neck", list(FAULTS), "S-curve"),
            "size": slider("Size of the fault", 0.3, 0.0, LARGEST, 0.05, "mm",
                           "largest gap in its own view; for a twist, how far one end of the last fret "
                           "stands over the other"),
            "rod": pick("Truss rod", list(RODS), start(design)["rod"])}


def rod_faults(place: str | None = "beside", design: Design = NECK_12) -> LiveFigure:
    """Six faults and what the best setting of a rod leaves of each, ready to slide. Last line of a cell."""
    live = LiveFigure(setup, change, controls(design), inches=(10.0, 3.0), place=place, subject=design,
                      parts={"From the side": (0, 0, 0.36, 1), "From above": (0.353, 0, 0.708, 1),
                             "From the end": (0.708, 0, 1, 1)}, narrow=STACK,
                      alt="Three views of a neck with one fault, rod slack and set for the flattest neck: "
                          "side view, face view, end view")
    return with_strip(live, LessonNeck(
        start, lambda subject, values, name: keep(subject, {"rod": values["rod"]}, name), cannot))
