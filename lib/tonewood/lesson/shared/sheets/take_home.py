"""The take-home page: one file for the client, with sliders over the neck's year, its sound, the other necks
that were talked about beside it, its numbers and its care. Everything is worked out beforehand."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Mapping
from html import escape

import numpy as np
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from tonewood import checks
from tonewood.brief.balance import Instrument
from tonewood.brief.compare import Difference, side_by_side
from tonewood.draws import Array, band, written, written_band
from tonewood.lesson.shared.ledger import READ, USUAL
from tonewood.lesson.shared.listening import VOLUME, player
from tonewood.lesson.shared.listening_words import levels_said
from tonewood.lesson.shared.notes_played import note, played
from tonewood.lesson.shared.sheets import paper
from tonewood.lesson.shared.sheets.client_sheet import (
    NO_WORDS,
    Words,
    care_part,
    cautions_part,
    listed,
    numbers_part,
    permits_part,
    summary,
    year_drawn,
)
from tonewood.lesson.shared.sheets.drawing import neck_drawing
from tonewood.lesson.shared.sheets.facts import DELIVERED, FELT, Facts, facts
from tonewood.neck.design import Design
from tonewood.panel import chosen, style, units
from tonewood.panel.controls import slider
from tonewood.panel.live_figure import LiveFigure
from tonewood.panel.page import note as quoted
from tonewood.panel.page import table
from tonewood.panel.pocket import PageMaker, Progress, frames_of
from tonewood.panel.pocket_page import Dial, Frame, Viewer, document
from tonewood.sound.render import Mix, Rendering, render, sequence
from tonewood.wood.climate import place
from tonewood.wood.facts import rule

ROOMS = {"as is usual there": None, "humidified, never below 40 %": (0.40, 1.0)}
"""How the client keeps the room."""
PHRASE = ((0, 0), (0.4, 5), (0.99, 12))
"""Three notes to hear a neck by: (how far up from the lowest string, as a share of them; fret)."""
PLAIN = {"weight": "weight of the guitar", "neck weight": "weight of the neck",
         "balance": "how far the balance lies from the nut", "stiffness": "stiffness of the neck",
         "rod": "share of the rod's strength it takes", "seasons": "swing of the gap over the year",
         "width": "swing of the width", "loss factor": "how soon the neck swallows a sound (loss factor)",
         "dead notes": "dead notes among those named"}
"""Quantities of brief.scoring in a client's words."""
APART, LAST, RATE = 0.8, 1.2, 22050
"""Seconds between the notes, of the last one, and samples a second of the sound."""


def year_viewer(designs: Mapping[str, Design], system: str = units.METRIC,
                step: Callable[[], None] = lambda: None) -> Viewer:
    """The year of one to three necks, month by month, in the room as it is usual and in a humidified one.
    step: called after each picture. Raises ValueError for a town without published temperatures."""
    rooms = list(ROOMS)
    made = {(name, room): facts(design, held=ROOMS[room]) for name, design in designs.items()
            for room in rooms}
    first = next(iter(made.values()))
    if first.year is None:
        raise ValueError(f"town: {first.design.town!r} given, without published temperatures; accepted: one "
                         "whose rooms can be worked out")
    months = first.year.month
    moments = (*months[:-1], f"{months[-1]}, a year on")
    dials = (Dial("Neck", tuple(designs), ordered=False), Dial("Room", tuple(rooms), ordered=False),
             Dial("Month", moments))
    frames = []
    for name, room in itertools.product(designs, rooms):
        pictures = _year_pictures(made[name, room], name)
        for t, picture in enumerate(pictures):
            frames.append(Frame(picture, said(made[name, room], name, room, t, system)))
            step()
    return Viewer(dials=dials[len(designs) == 1:], frames=tuple(frames),
                  alt=f"Gap at fret {READ} and air of the room over a year, the month marked.")


def said(found: Facts, name: str, room: str, moment: int, system: str = units.METRIC) -> str:
    """One month of a neck in words."""
    assert found.year is not None
    gap, ends = found.gap(), 1e3 * found.year.fret_end
    month, humid = found.year.month[moment], 100 * float(found.year.room.humidity[moment])

    def sizes(values: np.ndarray) -> str:
        low, middle, high = (units.text(float(v), "mm", 2, system) for v in band(values))
        return f"{middle} ({low.split()[0]} to {high.split()[0]})"

    out = np.mean((gap[:, moment] < USUAL[0]) | (gap[:, moment] > USUAL[1]))
    low, high = (100 * limit for limit in rule("workshop_humidity").limits)
    air = "dry" if humid < low else "damp" if humid > high else "good for wood"
    told = (f"{name}, {month}, room {room}: air {humid:.0f} %, {air}. Gap at fret {READ}: "
            f"{sizes(gap[:, moment])}")
    told += (f"; in {100 * out:.0f} of 100 such necks it has left what is usually kept, and the setup wants "
             "a look." if out >= 0.05 else ", which is what is usually kept.")
    if band(ends[:, moment])[2] >= FELT:
        told += f" Fret ends stand out {sizes(ends[:, moment])} on each side and may be felt."
    return told


def _year_pictures(found: Facts, name: str) -> list[bytes]:
    """The year with each of its months marked, PNG, shaped for a phone."""
    drawn: list[Array] = []

    def setup(fig: Figure) -> list[Line2D]:
        ax, air = fig.add_axes((0.1, 0.47, 0.87, 0.45)), fig.add_axes((0.1, 0.075, 0.87, 0.27))
        (_, middle, _), humid = year_drawn(found, ax, air, f"{name[:22]}: gap at fret {READ}, mm", lines=2,
                                           limits=1.2, pad=5, beyond=0.2)
        drawn[:] = middle, humid
        ax.yaxis.of_unit = "mm"
        look = {"color": style.BLUE, "lw": 1.2, "zorder": 5, "marker": "o", "ms": 9, "mec": "white",
                "mew": 1.5, "markevery": [1]}
        return [axes.plot([0, 0, 0], [0, 0, 0], **look)[0] for axes in (ax, air)]

    def change(marks: list[Line2D], month: float) -> str:
        t = int(month)
        for mark, values in zip(marks, drawn, strict=True):
            mark.set_data([t, t, t], [-1e3, values[t], 1e3])
        return found.year.month[t]

    live = LiveFigure(setup, change, {"month": slider("Month", 0, 0, 12, 1)}, inches=(4.4, 4.0), dpi=176,
                      place=None, alt="The year")
    pictures = [frame.picture for frame in frames_of(live, {"month": range(len(found.year.month))},
                                                     sharp=False)]
    live.close()
    return [picture for picture in pictures if picture is not None]


def sounds(designs: Mapping[str, Design], step: Callable[[], None] = lambda: None) -> Rendering:
    """The same three notes on each neck, by the model of plucked strings; one gain for all. step: called
    after each."""
    made = {}
    for name, design in designs.items():
        count = len(design.string_set())
        notes = [note(design, count - int(share * count), fret) for share, fret in PHRASE]
        starts = [APART * k for k in range(len(notes))]
        mix = sequence([played(of, duration=LAST) for of in notes], starts)
        made[name] = _thinned(mix)
        step()
    return render(made)


def _thinned(mix: Mix) -> Mix:
    """The same sound with RATE samples a second, which halves the file; nothing above 10 kHz is left."""
    from scipy.signal import resample_poly

    down = round(mix.rate / RATE)
    return Mix(resample_poly(mix.samples, 1, down), mix.rate / down, mix.label)


def compared(designs: Mapping[str, Design], draws: int = 300, whole: Instrument | None = None) -> str:
    """Every two of the necks side by side, as mark-up: what tells them apart beyond the boards' luck; whole:
    the instrument they belong to, for its weight and balance."""
    parts = []
    for (one, other), found in side_by_side(designs, whole, draws).items():
        tells, alike = ([d for d in found if d.tells is way] for way in (True, False))
        parts.append(f"<h3>{escape(one)} and {escape(other)}</h3>")
        if tells:
            parts.append("<p>" + escape(" ".join(_difference(d, one, other) for d in tells)) + "</p>")
        if alike:
            by = listed((PLAIN[d.quantity] for d in alike), "or")
            parts.append(f"<p>{escape(f'You could not tell these two apart by {by}.')}</p>")
        parts.append(table(
            ("what", one, other, "more in the first, of 100 pairs"),
            [(f"{PLAIN[d.quantity]}, {d.unit}", *_both(d), written(100 * d.more, 0)) for d in found],
            "Middle and 90 of 100 such necks; estimated by the models of section, rod, season and sound. "
            "Told apart: where 95 of 100 pairs of such guitars agree. The player, the amplifier and the "
            "finish are left out.", wrap="20em").html)
    return "".join(parts)


def _both(d: Difference) -> tuple[str, str]:
    """The bands of both necks with as many decimals as their size asks for."""
    size = max(abs(float(v)) for v in (*d.one, *d.other))
    decimals = 0 if size >= 100 else 1 if size >= 5 else 2
    return written_band(d.one, decimals), written_band(d.other, decimals)


def _difference(d: Difference, one: str, other: str) -> str:
    more, less = (one, other) if d.more > 0.5 else (other, one)
    share = 100 * max(d.more, 1 - d.more)
    words = PLAIN[d.quantity]
    return f"{words[:1].upper()}{words[1:]}: more in {more} than in {less}, in {share:.0f} of 100 pairs."


def take_home(designs: Mapping[str, Design] | Design, words: Words = NO_WORDS, system: str = units.METRIC,
              progress: Progress | None = None) -> str:
    """The take-home page of a client's neck, the first of the designs, beside up to two others by name, as
    one web page; the others are thought to live where it lives. words: what people said, escaped; progress:
    told how far it is. Raises ValueError."""
    with chosen.reading(system):
        return _page(designs, words, system, progress)


def _page(designs: Mapping[str, Design] | Design, words: Words, system: str, progress: Progress | None
          ) -> str:
    if isinstance(designs, Design):
        designs = {designs.name: designs}
    checks.whole("necks of the page", len(designs), 1, 3)
    design = next(iter(designs.values()))
    designs = {name: other.changed(town=design.town) for name, other in designs.items()}
    steps = itertools.count(1)
    last = len(designs) * (1 + 13 * len(ROOMS) * (facts(design).year is not None)) + (len(designs) > 1)

    def step() -> None:
        if progress:
            progress(next(steps), last)

    found, drawn, town = facts(design), neck_drawing(design, system), place(design.town)
    who = " · ".join(filter(None, (words.client and f"for {words.client}", words.workshop
                                   and f"built by {words.workshop}", words.date, f"home: {town.name}")))
    parts = [f"<p class='kind'>To take home</p><h1>{escape(design.name)}</h1><p>{escape(who)}</p>",
             f"<p>{escape(summary(design, system))}</p>"]
    if words.why or words.chosen:
        parts += ["<h2>Chosen, and why</h2>", quoted(words.why).html if words.why else "",
                  *(paper.words(f"{head}: {text}") for head, text in words.chosen)]
    if found.year is not None:
        parts += [f"<h2>Its year in {escape(town.name)}</h2><p>Slide through the months. The gap is the "
                  f"one at fret {READ} under a straightedge on the first and the last fret; it was set in "
                  f"{DELIVERED}, then the rod was left alone. Shaded: where 90 of 100 such necks lie; "
                  "dash-dotted: what is usually kept (common practice, no source).</p>",
                  year_viewer(designs, system, step).html]
    heard = sounds(designs, step)
    parts += ["<h2>Listen</h2>", f"<p>{escape(f'{VOLUME} {levels_said(heard)} {heard.label}.')}</p>",
              *(player(heard.wav(name), name, f"{heard.duration(name):.1f} s, three notes").replace(
                  "preload='auto'", "preload='none'") for name in heard.names)]
    if len(designs) > 1:
        parts += ["<h2>Side by side</h2>", compared(designs), paper.words(
            "Other possible boards than in the numbers below: a middle may differ by a tenth of its band.")]
        step()
    parts += ["<h2>How it is made</h2><div style='overflow-x:auto' tabindex='0' role='region' "
              "aria-label='How it is made'><div style='min-width:640px'>",
              paper.picture(drawn.svg, drawn.alt, drawn.wide), "</div></div>",
              numbers_part(found, words.numbers, system), care_part(found, system, picture=False),
              permits_part(design), cautions_part(design)]
    return document(f"{design.name}: to take home", *parts)


def take_home_button(designs: Mapping[str, Design] | Design, words: Words = NO_WORDS) -> PageMaker:
    """The button that makes the take-home page, in the units chosen when it is pressed; arguments as for
    `take_home`."""
    return PageMaker("Make the take-home page", "take_home.html",
                     lambda progress: take_home(designs, words, chosen.now(), progress))
