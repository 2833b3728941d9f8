"""Light pages and dark ones: figures are drawn once, in the colours of a light page, and painted in those of
a dark one while the page is dark.

A colour of `DARK` has a counterpart there; pure greys run the other way round between paper and ink; all
else, such as a picture's own tones, stays what it is. The counterparts come from the set of Okabe and Ito too
(Color Universal Design, 2008), lightened until they stand out against the dark paper by at least 4.5 to 1.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg, RendererAgg
from matplotlib.colors import to_rgb

from tonewood.remember import remember

PAPER, INK = "#111111", "#e8e8e8"
"""Of a dark page: its ground (JupyterLab's own) and its black."""
DARK = {"#0072B2": "#56B4E9", "#D55E00": "#F28A3C", "#009E73": "#1FB088", "#B0568C": "#E07CC0",
        "#A84300": "#FFA66B", "#fbe3d5": "#4d2c19", "#3a3029": "#94816f"}
"""{colour on a light page: the same on a dark one}; the last two are a bar's pale ground and brown edges.
"""
FIXED_BLACK, FIXED_WHITE = "#010100", "#fffffe"
"""Words and marks on a coloured ground, which are the same in both themes."""

TELEPHONE = 520
"""Width (px) of the room of a figure below which its parts are stacked (panel/stacking.py)."""
# Joined to one line and put into an attribute: no comments in it. It tells every figure on the page how fine
# its pixels are, whether it is dark and whether the figure's room is narrow, at once and whenever that
# changes: the room of a figure also changes after the window, or without it, as beside a list of files. The
# 24 pixels keep a scroll bar that comes and goes with the layout from changing it to and fro.
SCRIPT = """
if (!window.tonewoodPage) (function () {
  var dim = window.matchMedia('(prefers-color-scheme: dark)');
  var rooms = new ResizeObserver(function () { window.tonewoodPage(); });
  window.tonewoodPage = function () {
    var light = document.body.dataset.jpThemeLight, dark = light ? light === 'false' : dim.matches;
    document.querySelectorAll('.tonewood-density input').forEach(function (box) {
      var room = box.closest('.tonewood-live'), wide = room ? room.clientWidth : 0;
      if (room && !room.tonewoodWatched) { room.tonewoodWatched = true; rooms.observe(room); }
      var was = box.value.indexOf('narrow') > 0, narrow = wide ? wide < NARROW + (was ? 24 : 0) : was;
      var said = window.devicePixelRatio + (dark ? ' dark' : ' light') + (narrow ? ' narrow' : '');
      if (box.value === said) return;
      box.value = said;
      ['input', 'change'].forEach(function (name) { box.dispatchEvent(new Event(name, {bubbles: true})); });
    });
  };
  new MutationObserver(window.tonewoodPage).observe(document.body,
    {attributes: true, attributeFilter: ['data-jp-theme-light']});
  dim.addEventListener('change', window.tonewoodPage);
  window.addEventListener('resize', window.tonewoodPage);
})();
""".replace("NARROW", str(TELEPHONE))


def _eight_bit(colour: Iterable[float]) -> tuple[int, int, int]:
    red, green, blue = (round(255 * float(part)) for part in colour)
    return red, green, blue


_PAIRS = {_eight_bit(to_rgb(light)): to_rgb(dark) for light, dark in DARK.items()}
_FROM, _TO = to_rgb(INK)[0], to_rgb(PAPER)[0]


@remember(4096)
def _counterpart(colour: tuple[int, int, int]) -> tuple[float, float, float]:
    red, green, blue = colour
    if red == green == blue:
        grey = _FROM + (_TO - _FROM) * (red / 255)**1.5        # pale greys sink into a dark ground otherwise
        return grey, grey, grey
    return _PAIRS.get(colour, (red / 255, green / 255, blue / 255))


def in_dark(colour: Any) -> tuple[float, ...]:
    """A colour (name, hex, RGB or RGBA) as it stands on a dark page, RGB 0…1, with its alpha if it has one.
    """
    parts = tuple(to_rgb(colour)) if isinstance(colour, str) else tuple(colour)
    return _counterpart(_eight_bit(parts[:3])) + parts[3:]


class DarkRenderer(RendererAgg):
    """Paints what is drawn in the colours of a dark page."""

    colour = staticmethod(in_dark)

    def _update_methods(self) -> None:
        super()._update_methods()
        self.draw_markers, self.draw_path_collection = self._markers, self._collection

    def _lit(self, gc: Any) -> Any:
        mine = self.new_gc()
        mine.copy_properties(gc)
        mine.set_foreground(in_dark(gc.get_rgb()), isRGBA=True)
        if gc.get_hatch() and gc.get_hatch_color() is not None:
            mine.set_hatch_color(in_dark(to_rgb(gc.get_hatch_color())))
        return mine

    def draw_path(self, gc: Any, path: Any, transform: Any, rgbFace: Any = None) -> None:
        """One line or shape."""
        super().draw_path(self._lit(gc), path, transform, None if rgbFace is None else in_dark(rgbFace))

    def draw_text(self, gc: Any, *words: Any, **more: Any) -> None:
        """One text."""
        super().draw_text(self._lit(gc), *words, **more)

    def _markers(self, gc: Any, marker: Any, placed: Any, path: Any, transform: Any,
                 rgbFace: Any = None) -> None:
        self._renderer.draw_markers(self._lit(gc), marker, placed, path, transform,
                                    None if rgbFace is None else in_dark(rgbFace))

    def _collection(self, gc: Any, *given: Any, **more: Any) -> None:
        shapes, colours, rest = given[:5], given[5:7], given[7:]
        if more.get("hatchcolors") is not None:
            more["hatchcolors"] = _each(more["hatchcolors"])
        self._renderer.draw_path_collection(self._lit(gc), *shapes, *map(_each, colours), *rest, **more)


def _each(colours: Any) -> Any:
    return np.array([in_dark(one) for one in colours], float).reshape(len(colours), -1) if len(
        colours) else colours


class ThemedCanvas(FigureCanvasAgg):
    """A canvas with two sorts of paint; `.dark` says which is in use. Draw anew after changing it."""

    dark = False
    _key: Any = None

    def get_renderer(self) -> RendererAgg:
        """The renderer of the present size and theme."""
        width, height = self.get_width_height(physical=True)
        key = width, height, self.figure.dpi, self.dark
        if key != self._key:
            self.renderer = (DarkRenderer if self.dark else RendererAgg)(width, height, self.figure.dpi)
            self._key = key
        return self.renderer
