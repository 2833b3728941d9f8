"""What a truss rod mends and what it does not: one fault at a time, before and after the best setting the rod has."""

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from tonewood.panel import style
from tonewood.panel.controls import pick, slider
from tonewood.panel.live_figure import LiveFigure
from tonewood.lesson.shared.shop import truss_rod
from tonewood.lesson.string_pull.model import RODS, build, defaults, setup_for, strung
from tonewood.neck.load.joint import Joint
from tonewood.neck.load.relief import relief
from tonewood.neck.load.rod_limits import SHOWS, best_setting, rod_limits

FAULTS = {"forward bow": "taking relief away", "back bow": "adding relief", "S-curve": "s-curve", "kink at the body joint": "kink at the body joint", "side bow": "side bow",
          "twist": "twist"}
"""Each fault and the name of its Limit in neck.rod_limits. Sizes in mm: the largest gap in the side or face view; for a twist, one end of the last fret over the other."""
LARGEST = 0.6
_OVER = "The rod would be over its limit (from memory and estimate): do not force it."
STAYS = {
    "taking relief away": f"of relief cannot be taken away. {_OVER}",
    "twist": "of twist stays. A rod bends the neck in one plane and cannot untwist it.",
    "side bow": "of side bow stays. A rod works in the plane of the strings and cannot straighten a neck sideways.",
    "s-curve": "of hills and hollows stays at the best setting. A rod makes one even curve and cannot fit another shape.",
    "kink at the body joint": "of a kink at the joint stays at the best setting. A rod bends evenly along its length and cannot take out a kink.",
    "bow outside the rod": "of the bow comes from beyond the ends of the rod. It cannot straighten that part, only bend its own length the other way."}
"""What the rod does not mend, by the name of its Limit, as words behind the amount."""
CANNOT_ADD = {
    "single-acting": "A single-acting rod only takes relief away: heavier strings or planing the board adds it.",
    "double-acting": _OVER}


@dataclass(frozen=True)
class Mended:
    """A fault before and after the rod: gap and gap_left (F,), side (F,), lean before and after (mm across the last fret), effort, limit (structured), all mm but effort."""
    frets: np.ndarray
    gap: np.ndarray
    gap_left: np.ndarray
    side: np.ndarray
    lean: float
    effort: float
    limit: object
    mends: bool

    @property
    def left(self):
        """What the fault still measures after the best setting, mm."""
        return max(float(np.max(np.abs(self.gap_left))), float(np.max(np.abs(self.side))), abs(self.lean))


@lru_cache(maxsize=2)
def _straightened(kind):
    """(Relief with the rod slack, Rod) of the start neck, single values: it lends its stiffness and its frets to every fault."""
    v = {**defaults(), "rod": kind}
    strings, instrument = strung(v["tuned"], v["gauge"])
    neck = build(instrument, **v)
    return relief(neck, strings, setup_for(v["action"], instrument), Joint(v["joint"])), truss_rod(neck, kind)


def shape_of(fault, size, slack):
    """Gap (F,) in mm at the frets of a fault of that size in the side view; zero for side bow and twist."""
    p = slack.fret_positions
    along = (p - p[0]) / (p[-1] - p[0])
    even = 4 * along * (1 - along)
    if fault == "forward bow":
        return size * even
    if fault == "back bow":
        return -size * even
    if fault == "S-curve":
        return size * np.sin(2 * np.pi * along)
    if fault == "kink at the body joint":
        return size * np.minimum(p - p[0], (slack.strung.joint - p[0]) / (p[-1] - slack.strung.joint) * (p[-1] - p)) / (slack.strung.joint - p[0])
    return np.zeros(p.size)


def mended(fault, size, kind):
    """Mended: a fault of `size` mm and what the best setting of a rod of that kind leaves of it."""
    slack, rod = _straightened(kind)
    gap = shape_of(fault, size, slack)
    side = size * 4 * (along := (slack.fret_positions - slack.fret_positions[0]) / np.ptp(slack.fret_positions)) * (1 - along) if fault == "side bow" else np.zeros(gap.size)
    lean = size if fault == "twist" else 0.0
    p, joint = slack.fret_positions, slack.strung.joint
    width = float(slack.strung.neck.outline.width(slack.strung.neck.end))
    turn = 1e-3 * size * (p[-1] - p[0]) / ((joint - p[0]) * (p[-1] - joint)) if fault.startswith("kink") else 0.0
    effort, left = best_setting(slack, rod, 1e-3 * gap)
    # The neck whose fault is judged: flat but for it, so that target and gap are the fault's own.
    faulty = replace(slack, at_fret=1e-3 * gap, side_at_fret=1e-3 * side, curvature=np.zeros_like(slack.curvature))
    limits = {m.name: m for m in rod_limits(faulty, rod, 0.0, 8, twist=np.arcsin(1e-3 * lean / width), kink=turn, shape=1e-3 * gap)}
    made = Mended(p, gap, 1e3 * left, side, lean, float(effort), limits[FAULTS[fault]], False)
    return replace(made, mends=made.left <= SHOWS + 1e-9)


@dataclass
class _Art:
    before: object
    after: object
    side: object
    side_after: object
    frets: object
    effort: object


BEFORE = {"color": style.VERMILLION, "linestyle": (0, (4, 1.5)), "linewidth": 1.8}


def _setup(fig):
    grid = fig.add_gridspec(1, 3, width_ratios=(1.35, 1.35, 1), left=0.078, right=0.985, top=0.86, bottom=0.2, wspace=0.33)
    out = []
    for k, (title, name) in enumerate((("Side view: the rod bends this one", "gap (mm)"), ("Face view: out of its reach", "to the treble (mm)"))):
        ax = fig.add_subplot(grid[k])
        ax.set(xlim=(0, 475), ylim=(-0.72, 0.72), xlabel="from the nut (mm)", ylabel=name)
        ax.set_title(title, fontsize=10, pad=4)
        ax.axhline(0, **style.REFERENCE)
        ax.axhspan(-SHOWS, SHOWS, color="#e9e9e9", zorder=0)
        out += [ax.plot([], [], **BEFORE)[0], ax.plot([], [], **style.NOW)[0]]
        if k == 0:
            joint = 1e3 * _straightened(RODS[0])[0].strung.joint
            ax.axvline(joint, color="#999999", lw=0.8)
            ax.text(joint - 4, -0.7, "body joint", fontsize=8.5, color="#555555", ha="right", va="bottom")
        else:
            ax.legend(handles=[ax.plot([], [], label="rod slack", **BEFORE)[0], ax.plot([], [], label="rod at its flattest", **style.NOW)[0]], fontsize=8.5, loc="lower center")
    ends = fig.add_subplot(grid[2])
    ends.set(xlim=(-34, 34), ylim=(-0.72, 0.72), xlabel="across (mm)", ylabel="over the nut (mm)")
    ends.set_title("End view: out of its reach", fontsize=10, pad=4)
    ends.plot([-21.5, 21.5], [0, 0], color=style.BLACK, lw=2.2)
    ends.text(0, -0.05, "nut", fontsize=8.5, ha="center", va="top")
    ends.text(0, 0.6, "last fret: both lines lie\non each other", fontsize=8.5, ha="center", va="top", color="#555555")
    out += [ends.plot([], [], **style.NOW)[0], ends.plot([], [], **BEFORE)[0]]
    return out


def _change(art, fault, size, rod):
    found = mended(fault, size, rod)
    x = 1e3 * found.frets
    half = 28.0
    for line, y in zip(art[:4], (found.gap, found.gap_left, found.side, found.side)):
        line.set_data(x, y)
    for line in art[4:]:
        line.set_data([-half, half], [-found.lean / 2, found.lean / 2])
    return sentence(fault, size, rod, found)


def sentence(fault, size, kind, found):
    """The picture in words."""
    unit = "N" if kind == "single-acting" else "N·m"
    places = 0 if unit == "N" else 1
    did = "flattest over all frets with the rod left slack" if abs(found.effort) < 0.05 * (100 if unit == "N" else 1) else (
        f"flattest over all frets at {abs(found.effort):.{places}f} {unit} towards {'less' if found.effort > 0 else 'more'} relief")
    limit = found.limit
    words = f"of relief cannot be added. {CANNOT_ADD[kind]}" if limit.name == "adding relief" else STAYS[limit.name]
    said = f"In the rod's own terms: {float(limit.amount):.2f} {limit.unit} {words}" if bool(limit.matters) else ""
    return f"{fault.capitalize()} of {size:.2f} mm, {kind} rod: {did}; {found.left:.2f} mm is left at the worst fret, which {'does not show' if found.mends else 'shows'}. {said}".strip()


def controls():
    """The controls, fresh."""
    return {"fault": pick("Fault of the neck", list(FAULTS), "S-curve"),
            "size": slider("Size of the fault", 0.3, 0.0, LARGEST, 0.05, "mm", "largest gap in its own view; for a twist, how far one end of the last fret stands over the other"),
            "rod": pick("Truss rod", list(RODS), "double-acting")}


def rod_faults(place="above"):
    """Six faults and what the best setting of a rod leaves of each. Returns a LiveFigure; last line of a cell."""
    return LiveFigure(_setup, _change, controls(), inches=(10.0, 3.0), place=place,
                      alt="Three views of a neck with one fault, rod slack and set for the flattest neck: side view, face view, end view")
