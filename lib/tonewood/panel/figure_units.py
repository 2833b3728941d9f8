"""A figure in the units the learner reads. Its data stay in their own unit; words, axes and ticks follow."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import partial
from typing import Any

from matplotlib.axes import Axes
from matplotlib.axis import Axis
from matplotlib.figure import Figure
from matplotlib.ticker import FixedLocator, Formatter, Locator, MaxNLocator

from tonewood.draws import Array, written
from tonewood.panel import style, units
from tonewood.panel.quick_text import Numbers

_OF_AXIS = re.compile(r"(?:\(|, )([^(), ]+)\)?$")


class _Places(Locator):
    """Round numbers of the unit shown (value × factor) on an axis whose data stay in their own unit."""

    def __init__(self, factor: float, bins: int) -> None:
        self._factor, self._round = factor, MaxNLocator(bins, steps=[1, 2, 2.5, 5, 10])

    def tick_values(self, vmin: float, vmax: float) -> Array:
        low, high = self._factor * vmin, self._factor * vmax
        found = self._round.tick_values(low, high)
        return found[(found >= low - 1e-9) & (found <= high + 1e-9)] / self._factor

    def __call__(self) -> Array:
        return self.tick_values(*self.axis.get_view_interval())


class _Shown(Formatter):
    def __init__(self, factor: float) -> None:
        self._factor = factor

    def __call__(self, x: float, pos: int | None = None) -> str:
        return written(round(x * self._factor, 9), None)


def scale_bar(ax: Axes, left: float, low: float, lengths: dict[str, float], gap: float, colour: str) -> None:
    """Draw a bar of a round length in the units chosen, from (left, low) of an axes in mm; lengths: of the
    bar in words and in mm, metric first, as {"10 mm": 10.0, "3/8 in": 9.525}; gap: to its words above, mm."""
    bar, = ax.plot([], [], color=colour, lw=2, solid_capstyle="butt")
    words = ax.text(0, 0, "", ha="center", va="bottom", color=colour)
    ax.scale_bar = bar, words, gap, dict(zip((units.METRIC, units.INCH), lengths.items(), strict=True))
    move_scale_bar(ax, left, low)


def move_scale_bar(ax: Axes, left: float, low: float) -> None:
    """Put the scale bar of an axes elsewhere, (left, low) in mm."""
    bar, words, gap, lengths = ax.scale_bar
    bar.set_data([left, left], [low, low])
    words.set(y=low + gap, text="")
    _show_bar(ax, units.METRIC)


def _show_bar(ax: Axes, system: str) -> None:
    bar, words, _, lengths = ax.scale_bar
    told, length = lengths[system]
    if words.get_text() != told:
        left, low = (ends[0] for ends in bar.get_data())
        words.set(text=told, x=left + length / 2)
        bar.set_data([left, left + length], [low, low])


class FigureUnits:
    """Puts the words and axes of a figure into the units chosen, and back. An axis is of the unit at the end
    of its label, in brackets or behind a comma, or of the one a view has named: `axis.of_unit = "mm"`; so is
    a text whose numbers stand without their unit."""

    def __init__(self, fig: Figure) -> None:
        self._fig = fig
        self._words: dict[Any, tuple[Any, Any]] = {}            # {artist: (as set, as shown)}
        self._axes: dict[Axis, tuple[Locator, Formatter]] = {}

    def show_in(self, system: str) -> None:
        """What stands in the figure now, as someone who uses `system` reads it."""
        for ax in self._fig.axes:
            if hasattr(ax, "scale_bar"):
                _show_bar(ax, system)
        if system != units.METRIC or self._words or self._axes:         # entering the style takes a while
            with style.look():
                self._put_in(system)

    def _put_in(self, system: str) -> None:
        if system == units.METRIC:
            for artist, (own, shown) in self._words.items():
                if _words_of(artist) == shown:
                    _set(artist, own)
            for axis, (locator, formatter) in self._axes.items():
                axis.set_major_locator(locator)
                axis.set_major_formatter(formatter)
            self._words, self._axes = {}, {}
            return
        for ax in self._fig.axes:
            for axis in (ax.xaxis, ax.yaxis):
                self._mark(axis, system)
        for artist in _worded(self._fig):
            own = _words_of(artist)
            if artist not in self._words or own != self._words[artist][1]:
                unit = getattr(artist, "of_unit", "")
                told = partial(units.converted, word=unit) if unit else units.said
                shown = ([told(word, system=system) for word in own] if isinstance(own, list)
                         else told(own, system=system))
                if shown != own:
                    self._words[artist] = own, shown
                    _set(artist, shown)

    def _mark(self, axis: Axis, system: str) -> None:
        named = _OF_AXIS.search(axis.label.get_text())
        word = getattr(axis, "of_unit", named[1] if named else "")
        if axis in self._axes or word not in units.UNITS or units.in_system(word, system) == word:
            return
        locator = axis.get_major_locator()
        self._axes[axis] = locator, axis.get_major_formatter()
        factor = units.convert(1.0, word, units.in_system(word, system))
        bins = len(locator.locs) if isinstance(locator, FixedLocator) else len(axis.get_majorticklocs())
        axis.set_major_locator(_Places(factor, max(3, bins)))
        axis.set_major_formatter(_Shown(factor))


def _worded(fig: Figure) -> Iterator[Any]:
    """All that bears words: texts and quick ones; what is written at ticks has no unit."""
    yield from fig.texts
    for ax in fig.axes:
        yield from (ax.title, ax._left_title, ax._right_title, ax.xaxis.label, ax.yaxis.label, *ax.texts)
        yield from (artist for artist in ax.artists if isinstance(artist, Numbers))
    for legend in (*fig.legends, *(ax.get_legend() for ax in fig.axes)):
        yield from legend.get_texts() if legend else ()


def _words_of(artist: Any) -> Any:
    return list(artist.words) if isinstance(artist, Numbers) else artist.get_text()


def _set(artist: Any, words: Any) -> None:
    if isinstance(artist, Numbers):
        artist.words = words
    else:
        artist.set_text(words)
