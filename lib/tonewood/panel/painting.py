"""How a live figure is painted: moving artists on a kept backdrop, encoded as PNG, sharper once it rests."""

from __future__ import annotations

import asyncio
import inspect
import io
from typing import Any

import numpy as np
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from PIL import Image

from tonewood.panel import stacking, style


def artists_in(thing: Any) -> list[Artist]:
    """All matplotlib artists inside dicts, lists, tuples, arrays and simple objects, each once, in order of
    appearance. Whole axes belong to the backdrop."""
    found: dict[int, Artist] = {}

    def look(item: Any) -> None:
        if isinstance(item, Axes):
            return
        if isinstance(item, Artist):
            found[id(item)] = item
        elif isinstance(item, dict):
            for value in item.values():
                look(value)
        elif isinstance(item, (list, tuple)) or (isinstance(item, np.ndarray) and item.dtype == object):
            for value in item:
                look(value)
        elif hasattr(item, "__dict__") and not callable(item) and not inspect.ismodule(item):
            for value in vars(item).values():
                look(value)

    look(thing)
    return list(found.values())


LAYOUT = ("fig", "canvas", "art", "_moving", "_units", "_backdrop", "_sharp_backdrop", "stagings", "stacked",
          "png")
"""What a figure has twice where it has a narrow layout."""
REST = 0.3
"""Seconds without a step after which a page with finer pixels gets a picture with twice as many."""


class Painted:
    """What LiveFigure draws with: `.fig`, `.canvas`, the moving artists and the backdrops are its own."""

    def _told_of_page(self, change: Any) -> None:
        """What the page says of itself: how fine its pixels are, and its theme ("2 dark")."""
        fine, *words = change["new"].split() or [""]
        try:
            self._fine = float(fine) >= 1.5
        except ValueError:
            return
        with self._lock:
            if not self.closed and (self._lay_out("narrow" in words) | self._paint_for("dark" in words)):
                self._show()
        self._wait_for_rest()

    def _lay_out(self, stacked: bool) -> bool:
        """Stack the picture's parts for a narrow page, or lay it out for a wide one, if it is not; was it?"""
        if stacked == self.stacked or not self.narrow or self.error:
            return False
        before, dark = {name: getattr(self, name) for name in LAYOUT}, self.canvas.dark
        try:
            if self._other is None:
                self._set_up(stacking.inches(self.narrow))
            else:
                vars(self).update(self._other)
            if self.canvas.dark != dark:
                self.canvas.dark, self.fig.stale = dark, True
            self.stacked = stacked
            _, self.png = self._drawn()
        except Exception:
            vars(self).update(before)
            raise
        self._other = before
        return True

    def laid_out(self, stacked: bool, sharp: bool = False) -> bytes:
        """The present picture in the one layout or the other, PNG; sharp: with twice as many pixels. The page
        keeps its own."""
        with self._lock:
            before = {name: getattr(self, name) for name in LAYOUT}
            changed = self._lay_out(stacked)
            picture = self.sharp() if sharp else self.png
            if changed:                          # back as it was, with nothing to draw: no value has changed
                self._other = {name: getattr(self, name) for name in LAYOUT}
                vars(self).update(before)
            return picture

    def _paint_for(self, dark: bool) -> bool:
        """Paint the picture for that theme, if it is not; was it?"""
        if dark == self.canvas.dark:
            return False
        self.canvas.dark, self.fig.stale = dark, True
        self.png = self._draw()
        return True

    def stored(self) -> bytes:
        """The present picture as a notebook keeps it, PNG: whatever the page, on white."""
        with self._lock:
            dark = self.canvas.dark
            self._paint_for(False)
            picture = self._painted(self._backdrop, colours=None, level=3)   # 9: 0.1 s more, 3 % less
            self._paint_for(dark)
            return picture

    def _wait_for_rest(self) -> None:
        if self._timer:
            self._timer.cancel()
        if self._fine:
            try:
                self._timer = asyncio.get_running_loop().call_later(REST, self._show_sharp)
            except RuntimeError:            # driven from code without a page
                self._timer = None

    def _show_sharp(self) -> None:
        with self._lock:
            if not self.closed:
                self.image.value = self.sharp()

    def sharp(self) -> bytes:
        """The present picture with twice as many pixels each way, PNG."""
        with self._lock, style.look():
            dpi, stale = self.fig.dpi, self.fig.stale
            drawn, backdrop = self._sharp_backdrop
            try:
                self.fig.dpi = 2 * dpi
                if drawn != self.stagings:
                    self.canvas.draw()
                    backdrop = self.canvas.copy_from_bbox(self.fig.bbox)
                    self._sharp_backdrop = self.stagings, backdrop
                return self._painted(backdrop)
            finally:
                self.fig.dpi = dpi
                self.fig.stale = stale

    def _draw(self) -> bytes:
        if self.fig.stale or not self.stagings:    # moving artists do not make it stale, all else does
            with style.look():
                self.canvas.draw()
            self._backdrop = self.canvas.copy_from_bbox(self.fig.bbox)
            self.stagings += 1
        return self._painted(self._backdrop)

    def _painted(self, backdrop: Any, colours: int | None = 256, level: int = 1) -> bytes:
        self.canvas.get_renderer()          # of the present size
        self.canvas.restore_region(backdrop)
        for artist in self._moving:
            self.fig.draw_artist(artist)
        return self._encode(colours, level)

    def _encode(self, colours: int | None, level: int) -> bytes:
        # 256 colours: three times as fast and less than half the bytes, and no difference to be seen (at most
        # 15 of 255 on edge pixels, 36 on a few of a crowded year)
        seen = self.canvas.buffer_rgba()
        picture = _rgb(seen, self.canvas.get_width_height())
        if colours:
            # where the colour changes stands every colour there is; a seventh of all pixels weigh the grounds
            pixels = np.frombuffer(seen, np.uint32)
            few = np.concatenate([pixels[1:][pixels[1:] != pixels[:-1]], pixels[::7]])
            chosen = _rgb(few, (few.size, 1)).quantize(colours, Image.Quantize.FASTOCTREE)
            picture = picture.quantize(palette=chosen, dither=Image.Dither.NONE)
        file = io.BytesIO()
        picture.save(file, "PNG", compress_level=level)
        return file.getvalue()


def _rgb(pixels: Any, size: tuple[int, int]) -> Image.Image:
    """Opaque RGBA pixels as an RGB picture; told as "RGBX", a fifth of the time that converting takes."""
    return Image.frombytes("RGB", size, pixels, "raw", "RGBX")
