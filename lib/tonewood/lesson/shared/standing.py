"""What the numbers of a lesson rest on: values with their status, cautions of the woods used or now on show,
and where the numbers come from."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from tonewood.panel.boxes import prose
from tonewood.panel.live_figure import LiveFigure
from tonewood.panel.page import Shown, bullets, table
from tonewood.panel.page import caution as caution_box
from tonewood.wood.facts import citation, general_cautions
from tonewood.wood.own import stated
from tonewood.wood.species import species

SHOWN = {"density": ("density, 12 % moisture", "kg/m³", 1, 0),
         "modulus": ("E along the grain, 12 % moisture", "GPa", 1, 1),
         "cov_modulus": ("board-to-board scatter of E", "%", 100, 0),
         "movement_radial": ("movement on the quarter, per 1 %", "%", 100, 3),
         "movement_tangential": ("movement on the flat, per 1 %", "%", 100, 3),
         "loss_factor": ("loss factor along the grain", "thousandths", 1000, 1)}
MARKS = {"published": "", "estimated": " (e)", "common practice": " (c)", "from memory": " (m)",
         "measured": " (own)"}
LEGEND = ("no mark: published; (e) estimated by a stated rule; (c) common practice, no source; (m) from "
          "memory, unverified")
LEGEND_OWN = "; (own) measured on your own wood"


def standing(*names: str) -> Shown:
    """The numbers that matter most for each wood, a mark behind each that is not published. Returns a table
    to show. Raises ValueError for unknown woods."""
    woods = [species(name) for name in names]
    rows = []
    for key, (label, unit, factor, decimals) in SHOWN.items():
        facts = [wood.fact(key) for wood in woods]
        rows.append([f"{label} ({unit})"] + [f"{factor * fact.value:.{decimals}f}{MARKS[fact.status]}"
                                             for fact in facts])
    own = LEGEND_OWN if any(map(stated, woods)) else ""
    return table(("", *(wood.name for wood in woods)), rows, LEGEND + own)


NONE_ON_FILE = "none on file here; treat as hazardous."


def _told(names: Iterable[str]) -> tuple[list[str], list[str]]:
    """One line a caution of these woods: of what harms whoever works them, and of trade. A wood without one
    on dust or skin says so."""
    harms, trade = [], []
    for wood in dict.fromkeys(map(species, names)):
        for caution in wood.cautions:
            (trade if caution.kind == "trade" else harms).append(
                f"{wood.name}, {caution.kind}: {caution.told()}")
        if not {"dust", "contact"} & {caution.kind for caution in wood.cautions}:
            harms.append(f"{wood.name}, dust and skin: {NONE_ON_FILE}")
    return harms, trade


def cautions_for(*names: str) -> Shown:
    """The usual cautions of these woods (dust, contact, working, trade), then those of all wood dust: the
    gist in sight, wood by wood folded. Returns a box to show."""
    harms, trade = _told(names)
    every = general_cautions()
    harms += [f"All woods, {caution.kind}: {caution.told()}" for caution in every if caution.kind != "trade"]
    trade += [f"All woods, {caution.kind}: {caution.told()}" for caution in every if caution.kind == "trade"]
    known = [wood.name for wood in map(species, dict.fromkeys(names))
             if {"dust", "contact"} & {caution.kind for caution in wood.cautions}]
    gist = ("All wood dust harms: extract it at the source and wear a P2 or P3 mask (N95 or better). "
            + (f"Dust or contact known to harm: {', '.join(known)}." if known else
               f"Dust and contact of these woods: {NONE_ON_FILE}"))
    return caution_box(gist, title="Woods in this lesson",
                       folded={f"Wood by wood: what is known to harm ({len(harms)})": harms,
                               f"Trade, protected kinds and papers ({len(trade)})": trade})


def with_cautions(live: LiveFigure, woods: Callable[[], Iterable[str]]) -> LiveFigure:
    """Put a box under the figure, as `.cautions`, with the cautions of exactly the woods that `woods()` names
    at this moment; it follows every control that chooses among words. Returns the same LiveFigure."""
    live.cautions = box = prose()

    def tell(_: Any = None) -> None:
        try:
            names = list(dict.fromkeys(woods()))
        except ValueError:          # the figure has told it; the box stays with what it still shows
            return
        harms, trade = _told(names)
        folded = {f"Trade, protected kinds and papers ({len(trade)})": trade} if trade else {}
        box.value = caution_box(*harms, folded=folded, title="Woods on show: " + ", ".join(
            species(name).name for name in names) + ". All wood dust harms: extract and wear a mask.").html

    for control in live.controls.values():
        if isinstance(control.value, str):
            control.observe(tell, names="value")
    tell()
    live.tell_cautions = tell
    live.widget.children = (*live.widget.children, box)
    return live


def sources(*names: str, also: Iterable[str] = ()) -> Shown:
    """Every source behind the numbers of these woods, and the further source keys in `also`; each once.
    Returns a list to show."""
    keys = list(also)
    for name in names:
        keys += [fact.source for fact in species(name).facts.values()]
    # tables name a source by its key
    return bullets(f"{citation(key)} [{key}]" for key in dict.fromkeys(keys))
