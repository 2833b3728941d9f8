"""The narrow layout of a figure: its parts stacked, each as wide as the picture, for telephones."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.gridspec import SubplotSpec

from tonewood.panel.quick_text import wide

WIDE = 380
"""Pixels of a stacked picture from left to right: a telephone shows it 284 wide in JupyterLab, which
makes its words 11, and 350 wide on a page of its own."""
Stack = Mapping[str, int]
"""{name of a part: its height in pixels}, from the top."""


def inches(stack: Stack) -> tuple[float, float]:
    """Size of the stacked picture at 100 pixels an inch."""
    return WIDE / 100, sum(stack.values()) / 100


def narrow(fig: Figure) -> bool:
    """Is this figure to be drawn in the narrow layout?"""
    return bool(fig.get_figwidth() <= WIDE / 100 + 0.01)


def boxes(stack: Stack) -> dict[str, tuple[float, float, float, float]]:
    """{name: (left, bottom, right, top)} of each part, in fractions of the stacked picture."""
    top, total, found = 1.0, sum(stack.values()), {}
    for name, height in stack.items():
        found[name] = 0.0, top - height / total, 1.0, top
        top = found[name][1]
    return found


def cell(fig: Figure, stack: Stack, name: str, left: float = 50, right: float = 14, top: float = 26,
         bottom: float = 40) -> SubplotSpec:
    """The place of one part in the stacked picture, less these margins in pixels."""
    (_, low, _, high), total = boxes(stack)[name], sum(stack.values())
    return fig.add_gridspec(1, 1, left=left / WIDE, right=1 - right / WIDE, top=high - top / total,
                            bottom=low + bottom / total)[0]


def title(ax: Axes, words: str, **look: Any) -> None:
    """The title of `ax`, on two lines where it is too long for one in the narrow layout."""
    figure = ax.get_figure()
    room = ax.get_position(original=True).width * 100 * figure.get_figwidth() + 8
    if narrow(figure) and 1.13 * wide(words) > room:         # bold words are wider
        lines = [""]
        for word in words.split(" "):
            longer = f"{lines[-1]} {word}".strip()
            lines = [*lines[:-1], longer] if 1.13 * wide(longer) <= room else [*lines, word]
        words = "\n".join(lines)
    ax.set_title(words, **look)
