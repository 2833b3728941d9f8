"""Words that change at every step, set from characters drawn once: laying out text costs more than all other
moving artists.

Measured on one core at 2 GHz or so, each number new at every step: six readings of 20 characters 0.5 ms
(ordinary texts 25 ms, one collection of outlines 2.2 ms), a map of 138 short numbers 2.3 ms (100 ms, 2.4 ms).
So one way serves both.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import RendererAgg
from matplotlib.colors import to_rgb
from matplotlib.font_manager import FontProperties
from matplotlib.transforms import Transform
from numpy.typing import NDArray

from tonewood.panel import style
from tonewood.remember import remember

ALIGN = {"left": 0.0, "center": 0.5, "right": 1.0}
CAPITAL = 0.36
"""Half the height of a capital or digit over the size of the font: what words stand on when centred on a
place."""


@remember(512)
def _stamp(character: str, size: float, dpi: float) -> NDArray[np.uint8]:
    """How much one character covers, (height, advance) uint8; every stamp of one size has the same height and
    baseline."""
    high, wide = int(np.ceil(2 * size * dpi / 72)), int(np.ceil(3 * size * dpi / 72))
    with style.look():
        renderer, font = RendererAgg(wide, high, dpi), FontProperties(size=size)
        # A long row gives the advance, which the outline of one character alone does not.
        row, _, _ = renderer.get_text_width_height_descent(character * 50, font, False)
        renderer.draw_text(renderer.new_gc(), 4, 0.7 * high, character, font, 0)
    return np.asarray(renderer.buffer_rgba())[:, 4:4 + max(1, round(row / 50)), 3].copy()


@remember(1024)
def _inked(character: str, size: float, dpi: float, colour: Any) -> NDArray[np.uint8]:
    """A stamp in one colour on clear ground, (height, advance, 4), lowest row first as the renderer wants
    it."""
    cover = _stamp(character, size, dpi)[::-1]
    ink = np.broadcast_to(np.uint8([round(255 * c) for c in to_rgb(colour)]), (*cover.shape, 3))
    return np.concatenate([ink, cover[..., None]], axis=2)


@remember(512)
def _picture(words: str, size: float, dpi: float, colour: Any) -> NDArray[np.uint8]:
    return np.concatenate([_inked(c, size, dpi, colour) for c in words], axis=1)


def wide(words: str, size: float = style.SMALL) -> int:
    """Pixels that words take from left to right."""
    return sum(_stamp(character, size, 100).shape[1] for character in words)


class Numbers(Artist):
    """Short words at places of an axes, drawn on an Agg renderer; a moving artist of a LiveFigure.

    size in points; align: which part of the words stands at the place; baseline: False centres them on its
    height; transform: of the places, the data's unless given. `.show(x, y, words, colours)` sets all of them,
    `.words` are those shown.
    """

    def __init__(self, ax: Axes, size: float = style.SMALL, align: str = "center", baseline: bool = False,
                 transform: Transform | None = None, zorder: float = 4) -> None:
        super().__init__()
        self._size, self._align, self._baseline = size, ALIGN[align], baseline
        self._to = transform or ax.transData
        self.words: list[str] = []
        self.set_zorder(zorder)
        ax.add_artist(self)
        self.set_clip_on(False)

    def show(self, x: Sequence[float], y: Sequence[float], words: Iterable[str],
             colours: Any = "black") -> None:
        """x, y: places (n,); words: (n,) strings; colours: one name, or n colours."""
        self.words = [str(w) for w in words]
        self._places = np.column_stack([x, y])
        self._colours = [colours] * len(self.words) if isinstance(colours,
                                                                  str) else [tuple(c) for c in colours]
        self.stale = True

    def draw(self, renderer: Any) -> None:
        """Draw all words."""
        if not self.get_visible() or not self.words:
            return
        dpi, gc = self.get_figure(root=True).dpi, renderer.new_gc()
        down = 0.6 * self._size * dpi / 72 + (0 if self._baseline
                                              else CAPITAL * self._size * dpi / 72)     # a stamp's baseline
        lit = getattr(renderer, "colour", lambda colour: colour)          # a dark page's renderer has its own
        for (x, y), words, colour in zip(self._to.transform(self._places), self.words, self._colours,
                                         strict=True):
            if words.strip():
                colour = lit(colour)
                picture = _picture(words, self._size, dpi, colour)
                renderer.draw_image(gc, round(x - self._align * picture.shape[1]), round(y - down), picture)
        gc.restore()
        self.stale = False


class QuickNumber(Numbers):
    """One short text at (x, y) of an axes, in axes fractions, right-aligned on its baseline. Use like a
    Text."""

    def __init__(self, ax: Axes, x: float, y: float, size: float = style.SMALL) -> None:
        super().__init__(ax, size, "right", baseline=True, transform=ax.transAxes)
        self._place = ([x], [y])

    def set_text(self, text: str) -> None:
        """The words to show."""
        self.show(*self._place, [text])

    def get_text(self) -> str:
        """The words shown."""
        return "".join(self.words)
