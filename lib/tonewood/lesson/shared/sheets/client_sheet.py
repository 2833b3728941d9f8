"""The client's sheet: the neck drawn to scale, its woods, its numbers with their bands, why it was chosen,
and how to care for it through the year where it lives."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import matplotlib
import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from tonewood.draws import Array, band, written
from tonewood.lesson.shared.ledger import READ, USUAL
from tonewood.lesson.shared.sheets import paper
from tonewood.lesson.shared.sheets.drawing import LOOK, as_svg, neck_drawing
from tonewood.lesson.shared.sheets.facts import DELIVERED, Facts, Number, care, facts
from tonewood.lesson.shared.shop import fretboard_words
from tonewood.neck.design import Design
from tonewood.panel import style, units
from tonewood.panel.page import bullets, note, table
from tonewood.wood.climate import place
from tonewood.wood.facts import rule
from tonewood.wood.own import stated
from tonewood.wood.species import Species, species

NO_PERMIT = "No permit rule on file here; that proves nothing: ask before it crosses a border."
"""What is told of a wood without a trade row."""
OWN_WOOD = "An own wood of the workshop: its papers must name the species; ask with them in hand."
"""What is told of a wood that only resembles one of the tables."""


@dataclass(frozen=True, kw_only=True)
class Words:
    """What people said, printed as they said it. client, workshop, date: for the head, a line to fill in
    where nothing is given. why: in the client's own words; chosen: (heading, text) of what was chosen
    and why. numbers: further (what, value, what it rests on), such as the balance on a strap."""

    client: str = ""
    workshop: str = ""
    date: str = ""
    why: str = ""
    chosen: tuple[tuple[str, str], ...] = ()
    numbers: tuple[tuple[str, str, str], ...] = ()


NO_WORDS = Words()


def woods_of(design: Design) -> dict[Species, str]:
    """{wood: where it is}: "stripes 1, 3, 5, 7", "fretboard", in the order they are met."""
    found: dict[str, list[int]] = {}
    for i, stripe in enumerate(design.stripes):
        found.setdefault(stripe.wood, []).append(i + 1)
    where = {wood: f"stripe{'s' * (len(at) > 1)} {', '.join(map(str, at))}" for wood, at in found.items()}
    for i, layer in enumerate(design.fretboard.layers, 1):
        part = f"fretboard, layer {i}" if design.fretboard.under else "fretboard"
        where[layer.wood] = f"{where[layer.wood]}; {part}" if layer.wood in where else part
    return {species(wood): words for wood, words in where.items()}


def permits(wood: Species) -> str:
    """The trade rows of one wood with how sure each is, or that there is none; an own wood is of no species
    that is known here."""
    if stated(wood) and not wood.one_board:
        return OWN_WOOD
    told = [f"{c.statement}{'' if c.status == 'published' else f' ({c.status})'}" for c in wood.cautions
            if c.kind == "trade"]
    return " ".join(told) if told else NO_PERMIT


def permits_part(design: Design) -> str:
    """The wood list with botanical names and what is on file of permits."""
    woods = woods_of(design)
    read = sorted({c.read for wood in woods for c in wood.cautions if c.kind == "trade" and c.read})
    when = f"Lists as read in {' and '.join(read)}; what is from memory was not read. " if read else ""
    return paper.part("Woods and permits", table(
        ("wood", "botanical name", "where", "permits"),
        [(wood.name, "own wood" if permits(wood) == OWN_WOOD else wood.botanical, where, permits(wood))
         for wood, where in woods.items()],
        f"{when}Lists change and local authorities decide: look at cites.org and the IUCN list and ask them "
        "before wood or instrument crosses a border. Absence from these lists proves nothing. Keep the "
        "papers of the boards.", wrap="30em").html)


def cautions_part(design: Design) -> str:
    """What the client should know: the case, the rod, skin."""
    told = ["A guitar in a hot car or against a heater moves more than any season does: keep it in its case "
            "(common practice)."]
    if design.rod != "none":
        told.append("Turn the rod by a quarter turn at a time, and stop where it gets stiff (common "
                    "practice).")
    for wood in woods_of(design):
        contact = [caution.told() for caution in wood.cautions if caution.kind == "contact"]
        told += [f"{wood.name}, skin: {' '.join(contact)}"] if contact else []
    return paper.part("Cautions", bullets(told).html)


def spoken(number: Number, system: str = units.METRIC) -> str:
    """Middle and band of a number: "0.31 mm (0.25 to 0.37)"."""
    def shown(value: float) -> str:
        if number.unit in units.UNITS:
            return units.text(float(value), number.unit, number.decimals, system)
        return f"{written(float(value), number.decimals)} {number.unit}"

    low, middle, high = (shown(value) for value in number.band)
    if low == high:
        return middle
    bare = [words.rpartition(" ")[0] or words for words in (low, high)]
    return f"{middle} ({bare[0]} to {bare[1]})"


def year_drawn(found: Facts, gap: Axes, air: Axes, title: str, lines: float = 1.8, limits: float = 1.1,
               pad: float = 4, beyond: float = 0.0) -> tuple[Array, Array]:
    """Draw the gap (mm) over the client's year, with the band of 90 of 100 such necks, and the air of the
    room (%). title: of the gap; lines, limits: widths; beyond: room at both ends, months. Returns (low,
    middle, high) of the gap, and the air."""
    assert found.year is not None
    three, humid = band(found.gap()), 100 * np.asarray(found.year.room.humidity)
    low, middle, top = three
    at = np.arange(len(middle))
    gap.fill_between(at, low, top, facecolor="#d7e3ec", edgecolor="#5b7c93", linewidth=0.6, hatch="////")
    for axes, values, usual in ((gap, middle, USUAL),
                                (air, humid, 100 * np.array(rule("workshop_humidity").limits))):
        axes.plot(at, values, color="black", lw=lines)
        for limit in usual:
            axes.axhline(limit, **style.LIMIT | {"linewidth": limits})
        axes.set(xlim=(-beyond, 12 + beyond), xticks=at)
        axes.set_xticklabels([month[0] for month in found.year.month])
    gap.set_title(title, pad=pad)
    gap.set_ylim(min(0.0, low.min() - 0.03), max(0.4, top.max() + 0.03))
    air.set_title("Air of the room, % relative humidity", pad=pad)
    air.set_ylim(0, 100)
    return three, humid


def year_picture(found: Facts) -> tuple[str, str]:
    """The client's year as SVG, 180 mm wide, and its words."""
    with matplotlib.rc_context(LOOK):
        fig = Figure(figsize=(180 / 25.4, 44 / 25.4))
        axes = [fig.add_axes((left, 0.14, 0.40, 0.72)) for left in (0.075, 0.585)]
        (low, middle, top), room = year_drawn(found, *axes, f"Gap at fret {READ}, mm, rod left alone")
        svg = as_svg(fig)
    alt = (f"Two curves over twelve months from {DELIVERED}. Gap at fret {READ}: the middle neck between "
           f"{middle.min():.2f} and {middle.max():.2f} mm, 90 of 100 necks between {low.min():.2f} and "
           f"{top.max():.2f} mm. Air of the room: {room.min():.0f} to {room.max():.0f} % relative humidity.")
    return svg, alt


def numbers_part(found: Facts, more: Iterable[tuple[str, str, str]], system: str) -> str:
    """The numbers with their bands, as mark-up."""
    rows = [(n.what, spoken(n, system), n.rests_on) for n in found.numbers]
    weak = 0.0 if found.setting is None else 100 * float(np.mean(np.asarray(found.setting.reserve) < 0))
    short = f"In {weak:.0f} of 100 such necks the rod's planned strength would not do. " * (weak >= 0.5)
    return paper.part("Numbers", table(
        ("what", "middle (90 of 100 such necks)", "estimated by"), [*rows, *more],
        f"{short}Bands: what boards of these woods vary by; the boards themselves have not been measured "
        "yet, and measuring them narrows the bands. Left out: workmanship, the rest of the guitar.",
        wrap="40em").html)


def care_part(found: Facts, system: str = units.METRIC, picture: bool = True) -> str:
    """The year in the client's town, with its picture or without, or why it is not worked out."""
    design, town = found.design, place(found.design.town)
    quarters = found.quarters()
    if not quarters:
        low, high = rule("workshop_humidity").limits
        return paper.part("Care by season", paper.words(
            f"{town.name}: no outdoor temperatures are published on file, so that its rooms are not worked "
            f"out. Keep the air between {100 * low:.0f} and {100 * high:.0f} % (common practice)."))
    rows = [(q.months, f"{100 * q.humidity[0]:.0f} to {100 * q.humidity[1]:.0f} %",
             f"{units.text(q.gap[0], 'mm', 2, system).split()[0]} to {units.text(q.gap[1], 'mm', 2, system)}",
             care(design, q)) for q in quarters]
    rows = [(*(cell.replace(" ", "\u00a0") for cell in row[:3]), row[3]) for row in rows]
    caption = ("Shaded: 90 of 100 such necks; line: the middle one. Dash-dotted: limits usually kept, common "
               "practice, no source.")
    drawn = paper.picture(*year_picture(found), 180.0, caption) if picture else ""
    return paper.part(f"Care by season in {town.name}", drawn, table(
        ("months", "air of the room", f"gap at fret {READ}", "what to do"), rows,
        f"Delivered in {DELIVERED}, rod left alone, a home as is usual in {town.name}: heated to "
        f"{town.home.heated:.0f} °C ({town.home.heated_to['status']}).", wrap="32em").html)


def listed(words: Iterable[str], before_last: str) -> str:
    """Words parted by commas, the last by `before_last`: "wenge, maple and ash"."""
    *others, last = words
    return f"{', '.join(others)} {before_last} {last}" if others else last


def summary(design: Design, system: str = units.METRIC) -> str:
    """The neck in one sentence."""
    names = listed(dict.fromkeys(species(stripe.wood).name for stripe in design.stripes), "and")
    count, strings = len(design.stripes), len(design.string_set())
    return (f"{count} stripe{'s' * (count > 1)} of {names}, {fretboard_words(design)}, "
            f"{strings} strings, {design.frets} frets, scale "
            f"{units.text(1e3 * design.scale_length, 'mm', 0, system)}, {design.joint}.")


def client_sheet(design: Design, words: Words = NO_WORDS, size: str = "A4", system: str = units.METRIC
                 ) -> paper.Sheet:
    """The client's sheet of a design. size: a name in paper.PAPERS; system: of units. Raises ValueError."""
    found, drawn = facts(design), neck_drawing(design, system)
    town = place(design.town)
    line = [f"for {words.client}" if words.client else "for ____________________",
            f"built by {words.workshop}" if words.workshop else "", words.date or "date ____________",
            f"home: {town.name}, {town.country}"]
    first = [paper.heading("Client sheet", design.name, " · ".join(filter(None, line))),
             paper.words(summary(design, system)),
             paper.picture(drawn.svg, drawn.alt, drawn.wide,
                           "Tones tell the woods apart; they are drawn by eye, not measured. Head and body "
                           "are not drawn."),
             permits_part(design)]
    if words.why or words.chosen:
        told = [note(words.why).html] if words.why else []
        told += [paper.words(f"{head}: {text}") for head, text in words.chosen]
        first.insert(3, paper.part("Chosen, and why", *told))
    second = [paper.running_head(f"{design.name} · client sheet, page 2"),
              numbers_part(found, words.numbers, system), care_part(found, system), cautions_part(design),
              paper.signatures("client", "workshop", "date")]
    return paper.Sheet(title=f"{design.name}: client sheet", pages=("".join(first), "".join(second)),
                       paper=size)
