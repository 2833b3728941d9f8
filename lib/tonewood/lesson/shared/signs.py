"""What the signs of the angles of a stripe and of a glue line mean: a small drawing and plain words for each,
for every page on which they are typed or printed."""

from __future__ import annotations

from html import escape

import numpy as np

from tonewood.neck.design_file import SIGNS
from tonewood.wood.elastic import orientation

SHOWN = np.radians(12.0)
"""Angle that the drawings show, large enough to see."""
WIDE, HIGH = 120, 74
"""Of one drawing, px."""
_BOX = (14, 16, 106, 58)
_SIDES = {"end": ("strings", "bass", "treble"), "side": ("strings", "head", "body"),
          "face": ("treble", "head", "body")}
_VIEW = {"ring angle": "end", "run-out": "side", "slope of grain": "face", "line leans": "end",
         "line tapers": "face"}


def direction(name: str) -> tuple[float, float]:
    """Where the line of `name` (of SIGNS) runs at SHOWN above 0, to the right and up in its view. End view:
    from the body, right is the treble, up the strings. Side and face: right is the body, up the strings or
    the treble.

    Grain and rings by wood.elastic.orientation, glue lines by their definition in neck.layup.
    """
    L = orientation(0.0, SHOWN * (name == "run-out"), SHOWN * (name == "slope of grain"))[:, 0]
    T = orientation(SHOWN)[:, 2]
    right, up = {"ring angle": (T[1], T[2]), "run-out": (L[0], L[2]), "slope of grain": (L[0], L[1]),
                 "line leans": (np.tan(SHOWN), -1.0), "line tapers": (1.0, np.tan(SHOWN))}[name]
    return float(right), float(up)


def drawing(name: str) -> str:
    """The SVG of one of SIGNS, in the ink of its page."""
    left, top, right, low = _BOX
    x, y = (left + right) / 2, (top + low) / 2
    across, up = direction(name)
    glue = name.startswith("line")
    shift = (0.0,) if glue else (-11.0, 0.0, 11.0)
    reach = min((right - left) / 2 / abs(across), (low - top) / 2 / abs(up))
    lines = "".join(
        f"<line x1='{x - reach * across:.1f}' y1='{y + s + reach * up:.1f}' x2='{x + reach * across:.1f}' "
        f"y2='{y + s - reach * up:.1f}' stroke-width='{2.5 if glue else 1.2}'/>" for s in shift)
    above, before, behind = _SIDES[_VIEW[name]]
    words = "".join(f"<text x='{at}' y='{high}' text-anchor='{anchor}'>{word}</text>"
                    for at, high, anchor, word in (
                        (x, top - 4, "middle", above), (left, low + 12, "start", before),
                        (right, low + 12, "end", behind)))
    return (f"<svg xmlns='http://www.w3.org/2000/svg' width='{WIDE}' height='{HIGH}' "
            f"viewBox='0 0 {WIDE} {HIGH}' role='img' aria-label='{escape(name)} above 0, drawn' fill='none' "
            f"stroke='currentColor'><rect x='{left}' y='{top}' width='{right - left}' height='{low - top}'/>"
            f"{lines}<g font-size='11' font-family='sans-serif' stroke='none' fill='currentColor'>{words}</g>"
            "</svg>")


def legend() -> str:
    """Mark-up of all drawings with their words, side by side as far as the page is wide."""
    each = "".join(f"<figure style='margin:4px 10px 4px 0;width:{WIDE + 30}px'>{drawing(name)}<figcaption>"
                   f"<b>{escape(name)}</b>: {escape(words)}</figcaption></figure>"
                   for name, words in SIGNS.items())
    return ("<p>Above 0 the angles mean what is drawn, below 0 its mirror image; all of the stripe as it was "
            "sawn, its half turn comes after.</p>"
            f"<div style='display:flex;flex-wrap:wrap'>{each}</div>")
