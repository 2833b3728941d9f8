"""What the numbers of a lesson rest on: values with their status, cautions of the woods used, and where the
numbers come from."""

from html import escape

from tonewood.panel.page import Shown, caution
from tonewood.wood.facts import citation, general_cautions
from tonewood.wood.species import species

SHOWN = {"density": ("density, 12 % moisture", "kg/m3", 1, 0), "modulus": ("E along the grain", "GPa", 1, 1), "cov_modulus": ("board-to-board scatter of E", "%", 100, 0),
         "movement_radial": ("movement on the quarter, per 1 %", "%", 100, 3), "movement_tangential": ("movement on the flat, per 1 %", "%", 100, 3),
         "loss_factor": ("loss factor along the grain", "1/1000", 1000, 1)}
MARKS = {"published": "", "estimated": " (e)", "common practice": " (c)", "from memory": " (m)"}
LEGEND = "no mark: published; (e) estimated by a stated rule; (c) common practice, no source; (m) from memory, unverified"


def standing(*names):
    """The numbers that matter most for each wood, a mark behind each that is not published. Returns a table
    to show. Raises ValueError for unknown woods."""
    woods = [species(name) for name in names]
    rows = []
    for key, (label, unit, factor, decimals) in SHOWN.items():
        facts = [wood.fact(key) for wood in woods]
        rows.append([f"{label} ({unit})"] + [f"{factor * fact.value:.{decimals}f}{MARKS[fact.status]}" for fact in facts])
    head = "".join(f"<th scope='col' style='text-align:right'>{escape(wood.name)}</th>" for wood in woods)
    body = "".join(f"<tr><th scope='row' style='text-align:left;font-weight:normal'>{escape(row[0])}</th>"
                   + "".join(f"<td style='text-align:right;white-space:nowrap'>{escape(cell)}</td>" for cell in row[1:]) + "</tr>" for row in rows)
    plain = "\n".join(f"{row[0]}: " + ", ".join(f"{wood.name} {cell}" for wood, cell in zip(woods, row[1:])) for row in rows)
    return Shown(f"<table><caption style='caption-side:bottom;text-align:left'>{LEGEND}</caption><thead><tr><th></th>{head}</tr></thead><tbody>{body}</tbody></table>",
                 f"{plain}\n({LEGEND})")


def cautions_for(*names):
    """The usual cautions of these woods (dust, contact, trade), then those of all wood dust. Returns a box to
    show."""
    lines = []
    for name in names:
        wood = species(name)
        lines += [f"{wood.name}, {c.kind}: {c.statement}{'' if c.status == 'published' else f' ({c.status})'}" for c in wood.cautions]
    lines += [f"All woods, {c.kind}: {c.statement}{'' if c.status == 'published' else f' ({c.status})'}" for c in general_cautions()]
    return caution(*lines, title="Woods in this lesson: dust, skin and trade")


def sources(*names, also=()):
    """Every source behind the numbers of these woods, and the further source keys in `also`; each once.
    Returns a list to show."""
    keys = list(also)
    for name in names:
        keys += [fact.source for fact in species(name).facts.values()]
    lines = [f"{citation(key)} [{key}]" for key in dict.fromkeys(keys)]      # tables name a source by its key
    return Shown("<ul>" + "".join(f"<li>{escape(line)}</li>" for line in lines) + "</ul>", "\n".join(f"- {line}" for line in lines))
