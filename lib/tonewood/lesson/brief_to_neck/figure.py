"""From a brief to a neck: move the limits and see which lay-ups are left, and what each limit costs."""

from __future__ import annotations

from typing import Any

from tonewood.draws import written
from tonewood.lesson.brief_to_neck.view import STACK, draw, setup
from tonewood.lesson.shared.clients import CLIENTS, client
from tonewood.lesson.shared.lots import FEW, LIMITS, RANGES, START, Counted, counted, defaults, follow
from tonewood.panel.controls import Control, pick, slider
from tonewood.panel.live_figure import LiveFigure


def controls(who: str = START) -> dict[str, Control]:
    """The controls, fresh: the client and six limits."""
    start = defaults(who)

    def limit(name: str, label: str, unit: str, why: str) -> Control:
        return slider(label, start[name], *RANGES[name], unit, why)

    return {
        "who": pick("Client", [(client(key).title, key) for key in CLIENTS], who,
                    "an invented client of the workshop; the limits go to that client's brief"),
        "weight": limit("weight", "Weight at most", "kg", "of the whole instrument"),
        "swing": limit("swing", "Swing of relief at most", "mm", "over a year in the client's town, at fret "
                       "8; 0.10 mm for a light hand, 0.20 mm for a hard one (judgement)"),
        "soft": limit("soft", "Stiffness at least", "N·m²",
                      "under the hand; a bass asks for more than twice a guitar's (judgement)"),
        "stiff": limit("stiff", "Stiffness at most", "N·m²", "the other end of what was asked for"),
        "rod": limit("rod", "Rod used at most", "%",
                     "of its limit, to reach 0.2 mm of relief; what is left is for creep and other strings"),
        "price": limit("price", "Price of the wood at most", "crowns",
                       "rough boards of the neck, invented prices")}


def from_brief_to_neck(place: str | None = "beside") -> LiveFigure:
    """The lay-ups of a client under movable limits, ready to slide. Returns a LiveFigure; last line of a
    cell."""
    return LiveFigure(setup, _change, controls(), inches=(10.0, 5.9), place=place,
                      first=("who", "weight", "swing", "soft", "stiff"), follow={"who": follow},
                      parts={"Lay-ups": (0, 0, 0.495, 1), "Limits": (0.495, 0.54, 1, 1),
                             "Likeliest": (0.56, 0, 1, 0.54)}, narrow=STACK,
                      alt="Lay-ups of a client by stiffness and weight, marked by how many of a hundred "
                          "possible necks meet all limits; how many necks miss each limit; end view of the "
                          "likeliest lay-up")


def _change(art: Any, **values: Any) -> str:
    now = counted(**values)
    neck = now.lot.layups[now.best].neck(client(values["who"]).base)
    draw(art, now, values, neck)
    return sentence(now)


def sentence(now: Counted) -> str:
    """The picture in words."""
    worst = max(LIMITS, key=lambda name: float(now.missed[name].mean()))
    best, chance, missed = now.lot.layups[now.best], now.chance[now.best], float(now.missed[worst].mean())
    costs = (f"The dearest limit: {100 * missed:.0f} of 100 necks are {LIMITS[worst][1]}." if missed > 0
             else "No limit costs a neck.")
    if chance == 0:
        return (f"None of these {FEW} lay-ups makes a neck that meets every limit. {costs} Ask the client "
                "which wish may give way.")
    return (f"{len(now.able)} of {FEW} lay-ups meet every limit in at least half of their necks. Likeliest, "
            f"{100 * chance:.0f} of 100 necks: {best.words()}; {now.weight[now.best]:.2f} kg, "
            f"{written(now.stiffness[now.best], 0)} N·m². {costs}")
