"""Numbers that change at every step: set from characters drawn once, since laying out text costs more than all other moving artists together."""

from functools import lru_cache

import matplotlib
import numpy as np
from matplotlib.artist import Artist
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from tonewood.panel import style


@lru_cache(maxsize=512)
def _stamp(character, size, dpi):
    """One character in black on clear ground, (height, advance, 4) uint8; every stamp of one size has the same height and baseline."""
    with matplotlib.rc_context(style.FIGURE):
        high, wide = int(np.ceil(2 * size * dpi / 72)), int(np.ceil(3 * size * dpi / 72))
        fig = Figure(figsize=(wide / dpi, high / dpi), dpi=dpi)
        canvas = FigureCanvasAgg(fig)
        fig.patch.set_alpha(0)
        text = fig.text(4 / wide, 0.3, character, fontsize=size, va="baseline", ha="left", parse_math=False)
        canvas.draw()
        # A long row gives the advance, which the outline of one character alone does not.
        text.set_text(character * 50)
        advance = max(1, round(text.get_window_extent(canvas.get_renderer()).width / 50))
        text.set_text(character)
        canvas.draw()
        picture = np.asarray(canvas.buffer_rgba())[:, 4:4 + advance].copy()
        picture.setflags(write=False)
        return picture


class QuickNumber(Artist):
    """A short text at (x, y) of an Axes, in axes fractions, right-aligned by its baseline. Use like a Text: set_text, get_text.

    For a moving artist of a LiveFigure; about twenty times cheaper than a Text when the words differ at every step.
    """

    def __init__(self, ax, x, y, size=9.5):
        super().__init__()
        self._place, self._size, self._text = (x, y), size, ""
        ax.add_artist(self)
        self.set_clip_on(False)

    def set_text(self, text):
        """The words to show."""
        self._text = str(text)
        self.stale = True

    def get_text(self):
        """The words shown."""
        return self._text

    def draw(self, renderer):
        """Draw on an Agg renderer."""
        if not self.get_visible() or not self._text:
            return
        dpi = self.get_figure(root=True).dpi
        picture = np.concatenate([_stamp(c, self._size, dpi) for c in self._text], axis=1)
        x, y = self.axes.transAxes.transform(self._place)
        gc = renderer.new_gc()
        renderer.draw_image(gc, round(x) - picture.shape[1], round(y - 0.3 * picture.shape[0]), picture[::-1])
        gc.restore()
        self.stale = False
