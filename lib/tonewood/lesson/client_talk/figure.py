"""The client's page: four plain choices, the neck that answers them, and how sure the workshop is."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
from matplotlib.collections import PolyCollection
from matplotlib.figure import Figure

from tonewood.draws import written
from tonewood.lesson.client_talk.model import COLOURS, FEELS, WEIGHTS, Answer, answer, defaults
from tonewood.lesson.shared.clients import CLIENTS, client
from tonewood.lesson.shared.end_view import EndView
from tonewood.lesson.shared.wood_colours import tone
from tonewood.panel import chosen, stacking, style, units
from tonewood.panel.controls import Control, pick
from tonewood.panel.live_figure import LiveFigure
from tonewood.wood.climate import place as town_of
from tonewood.wood.species import species

DOTS = 10
STACK = {"Neck": 130, "End": 240, "Chance": 230}


def setup(fig: Figure) -> SimpleNamespace:
    """Draws once: the neck from behind, its end, ten dots."""
    if stacking.narrow(fig):
        face, end, dots = (fig.add_subplot(stacking.cell(fig, STACK, name, 12, 12, 26, 10)) for name in STACK)
    else:
        face, end, dots = map(fig.add_axes, ((0.03, 0.62, 0.94, 0.30), (0.03, 0.03, 0.42, 0.50),
                                             (0.54, 0.10, 0.43, 0.36)))
    face.set_title("Your neck from behind: nut to the left")
    face.axis("off")
    end.set_title("Its end at fret 8")
    dots.set_title("Of ten such necks, these meet yours" if stacking.narrow(fig) else
                   "Of ten such necks, these meet your wishes")
    dots.set(xlim=(-0.6, 4.6), ylim=(1.7, -0.8))
    dots.axis("off")
    strips = PolyCollection([np.zeros((4, 2))], edgecolors="#3a3029", linewidths=0.6)
    face.add_collection(strips, autolim=False)
    places = [(i % 5, i // 5) for i in range(DOTS)]
    marks = [dots.plot([x], [y], "o", ms=22, mec=style.BLUE, mew=2, mfc="white")[0] for x, y in places]
    told = dots.text(2.0, 1.62, "", ha="center", va="bottom", fontsize=style.SMALL + 1)
    return SimpleNamespace(face=face, strips=strips, end=EndView(end, z_low=-26.0), marks=marks,
                           told=told)


def draw(art: SimpleNamespace, now: Answer) -> None:
    """Show an answer."""
    neck = now.design.neck()
    x = np.linspace(0, neck.end, 30)
    half = np.asarray(neck.outline.width(x)) / 2
    edges, polygons, colours = neck.layup.edges, [], []
    for left, right, stripe in zip(edges[:-1], edges[1:], now.design.stripes, strict=True):
        a, b = np.clip(left, -half, half), np.clip(right, -half, half)
        polygons.append(1e3 * np.concatenate([np.stack([x, a], -1), np.stack([x, b], -1)[::-1]]))
        colours.append(tone(species(stripe.wood)))
    art.strips.set_verts(polygons)
    art.strips.set_facecolors(colours)
    art.face.set(xlim=(-5, 1e3 * neck.end + 5), ylim=(-1e3 * half.max() - 4, 1e3 * half.max() + 4))
    art.end.show(neck, float(neck.fret(8)))
    good = round(DOTS * now.chance)
    for i, mark in enumerate(art.marks):
        mark.set_markerfacecolor(style.BLUE if i < good else "white")
    art.told.set_text(f"{good} of {DOTS}")


def sentence(who: str, now: Answer) -> str:
    """The answer in the client's words."""
    woods = [species(w).name for w in dict.fromkeys(s.wood for s in now.design.stripes)]
    told = woods[0] if len(woods) == 1 else ", ".join(woods[:-1]) + " and " + woods[-1]
    low, middle, high = now.weight
    town = town_of(client(who).brief.town).name
    gone = f" One wish is given up: {now.given_up}." if now.given_up else ""
    return (f"{len(now.design.stripes)} stripes of {told} with a fretboard of "
            f"{species(now.design.fretboard.wood).name}. The whole instrument weighs about "
            f"{units.text(middle, 'kg', 1, chosen.now())} ({chosen.number(low, 'kg', 1)} to "
            f"{chosen.number(high, 'kg', 1)}). Over a year in {town} the "
            f"neck moves by about {written(now.swing[1], 2)} mm; {_paper(now.swing[2])} Our workshop can set "
            f"that back. {round(10 * now.chance)} of 10 such necks meet your wishes; no two boards are "
            f"alike, so we measure yours.{gone}")


def _paper(most: float) -> str:
    """A movement (mm) beside a sheet of paper, 0.1 mm thick (from memory)."""
    sheets = max(int(np.ceil(most / 0.1)), 1)
    thick = "a sheet" if sheets == 1 else f"{sheets} sheets"
    return f"hardly ever by more than the thickness of {thick} of paper."


def controls(who: str = "harbour") -> dict[str, Control]:
    """Four plain choices."""
    start = defaults(who)
    return {"who": pick("You are", [(client(key).brief.client, key) for key in CLIENTS], who),
            "feel": pick("Under the hand", list(FEELS), start["feel"]),
            "weight": pick("Weight", list(WEIGHTS), start["weight"]),
            "colour": pick("Colour", list(COLOURS), start["colour"])}


def your_neck(place: str | None = "beside") -> LiveFigure:
    """The client's neck, ready to choose. Returns a LiveFigure; last line of a cell."""
    def follow(who: str) -> dict[str, Any]:
        return {name: value for name, value in defaults(who).items() if name != "who"}

    live = LiveFigure(setup, _change, controls(), inches=(9.0, 5.6), place=place, follow={"who": follow},
                      parts={"Neck": (0, 0.56, 1, 1), "End": (0, 0, 0.5, 0.56), "Chance": (0.5, 0, 1, 0.56)},
                      narrow=STACK,
                      alt="The neck from behind in the colours of its woods, its end, and ten dots: how many "
                          "of ten such necks meet the wishes")
    live.widget.add_class("tonewood-touch")
    return live


def _change(art: Any, **values: Any) -> str:
    now = answer(**values)
    draw(art, now)
    return sentence(values["who"], now)
