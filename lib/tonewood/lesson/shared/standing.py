"""What the numbers of a lesson rest on: values with their status, cautions of the woods used, and where the
numbers come from."""

from __future__ import annotations

from collections.abc import Iterable

from tonewood.panel.page import Shown, bullets, table
from tonewood.panel.page import caution as caution_box
from tonewood.wood.facts import citation, general_cautions
from tonewood.wood.species import species

SHOWN = {"density": ("density, 12 % moisture", "kg/m3", 1, 0), "modulus": ("E along the grain", "GPa", 1, 1),
         "cov_modulus": ("board-to-board scatter of E", "%", 100, 0),
         "movement_radial": ("movement on the quarter, per 1 %", "%", 100, 3),
         "movement_tangential": ("movement on the flat, per 1 %", "%", 100, 3),
         "loss_factor": ("loss factor along the grain", "1/1000", 1000, 1)}
MARKS = {"published": "", "estimated": " (e)", "common practice": " (c)", "from memory": " (m)"}
LEGEND = ("no mark: published; (e) estimated by a stated rule; (c) common practice, no source; (m) from "
          "memory, "
          "unverified")


def standing(*names: str) -> Shown:
    """The numbers that matter most for each wood, a mark behind each that is not published. Returns a table
    to show. Raises ValueError for unknown woods."""
    woods = [species(name) for name in names]
    rows = []
    for key, (label, unit, factor, decimals) in SHOWN.items():
        facts = [wood.fact(key) for wood in woods]
        rows.append([f"{label} ({unit})"] + [f"{factor * fact.value:.{decimals}f}{MARKS[fact.status]}"
                                             for fact in facts])
    return table(("", *(wood.name for wood in woods)), rows, LEGEND)


def cautions_for(*names: str) -> Shown:
    """The usual cautions of these woods (dust, contact, trade), then those of all wood dust. Returns a box to
    show."""
    told = [(wood.name, caution) for wood in map(species, names) for caution in wood.cautions]
    told += [("All woods", caution) for caution in general_cautions()]
    lines = (f"{whose}, {c.kind}: {c.statement}{'' if c.status == 'published' else f' ({c.status})'}"
             for whose, c in told)
    return caution_box(*lines, title="Woods in this lesson: dust, skin and trade")


def sources(*names: str, also: Iterable[str] = ()) -> Shown:
    """Every source behind the numbers of these woods, and the further source keys in `also`; each once.
    Returns a list to show."""
    keys = list(also)
    for name in names:
        keys += [fact.source for fact in species(name).facts.values()]
    # tables name a source by its key
    return bullets(f"{citation(key)} [{key}]" for key in dict.fromkeys(keys))
