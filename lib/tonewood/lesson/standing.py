"""What the numbers of a lesson rest on: values with their status, cautions of the woods used, and where the numbers come from."""

from tonewood.lesson.page import Shown, caution
from tonewood.wood.facts import citation, general_cautions
from tonewood.wood.species import species

SHOWN = {"density": ("density, 12 % moisture", "kg/m3", 1, 0), "modulus": ("E along the grain", "GPa", 1, 1), "cov_modulus": ("board-to-board scatter of E", "%", 100, 0),
         "movement_radial": ("movement on the quarter, per 1 %", "%", 100, 3), "movement_tangential": ("movement on the flat, per 1 %", "%", 100, 3),
         "loss_factor": ("loss factor along the grain", "1/1000", 1000, 1)}
MARKS = {"published": "", "estimated": " (e)", "common practice": " (c)", "from memory": " (m)"}
LEGEND = "no mark: published; (e) estimated by a stated rule; (c) common practice, no source; (m) from memory, unverified"


def standing(*names):
    """DataFrame of the numbers that matter most for each wood, a mark behind each that is not published. Raises ValueError for unknown woods."""
    import pandas as pd
    rows = {}
    for name in names:
        wood = species(name)
        row = {}
        for key, (label, unit, factor, decimals) in SHOWN.items():
            fact = wood.fact(key)
            row[f"{label} ({unit})"] = f"{factor * fact.value:.{decimals}f}{MARKS[fact.status]}"
        rows[wood.name] = row
    table = pd.DataFrame.from_dict(rows, orient="index").T
    table.index.name = LEGEND
    return table


def cautions_for(*names):
    """The usual cautions of these woods (dust, contact, trade), then those of all wood dust. Returns a box to show."""
    lines = []
    for name in names:
        wood = species(name)
        lines += [f"{wood.name}, {c.kind}: {c.statement}{'' if c.status == 'published' else f' ({c.status})'}" for c in wood.cautions]
    lines += [f"All woods, {c.kind}: {c.statement}{'' if c.status == 'published' else f' ({c.status})'}" for c in general_cautions()]
    return caution(*lines, title="Woods in this lesson: dust, skin and trade")


def sources(*names, also=()):
    """Every source behind the numbers of these woods, and the further source keys in `also`; each once. Returns a list to show."""
    keys = list(also)
    for name in names:
        keys += [fact.source for fact in species(name).facts.values()]
    lines = [citation(key) for key in dict.fromkeys(keys)]
    from html import escape
    return Shown("<ul>" + "".join(f"<li>{escape(line)}</li>" for line in lines) + "</ul>", "\n".join(f"- {line}" for line in lines))
