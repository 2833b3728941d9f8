"""Taps on one's own board: the reader whose button sets tone and loss factor in the figure."""

from __future__ import annotations

from tonewood.bench.taps import Taps
from tonewood.lesson.shared.tap_reader import TapReader, tap_reader
from tonewood.panel.live_figure import LiveFigure


def tap_recorded(live: LiveFigure) -> TapReader:
    """Reader for a recording of taps, uploaded, recorded in the page or named; its buttons set the tone and
    the loss factor of the board on show, or its twist tone."""
    def use(taps: Taps) -> None:
        live.set(tapped=True, tone=round(taps.frequency, 1), rung=True, loss=round(1000 * taps.loss, 2))

    def twist(taps: Taps) -> None:
        live.set(twisted=True, twist_tone=round(taps.frequency))

    return tap_reader(use, Use_it_as_the_twist_tone=twist)
