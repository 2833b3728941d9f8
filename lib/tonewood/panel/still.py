"""A finished picture with its words, drawn for wide pages and once more for a telephone."""

from __future__ import annotations

import base64
import io
from collections.abc import Callable
from html import escape

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from PIL import Image

from tonewood.panel import chosen, style
from tonewood.panel.figure_units import FigureUnits

WIDE, NARROW = 8.1, 3.5
"""Inches from left to right at which words are at least 11 pixels on a page of 800 and on a telephone."""


def still(draw: Callable[[Figure], object], alt: str, inches: tuple[float, float], high: float = 0.0) -> str:
    """Mark-up of a picture that stands still, in the lessons' look and the units chosen.

    draw(fig) draws on a bare figure; it may ask `stacking.narrow(fig)`. alt: its words, escaped here; inches:
    its size on wide pages; high: inches from top to bottom on a telephone, where it is drawn again with its
    parts below each other (0: the same picture).

    >>> still(lambda fig: fig.subplots(), "An empty frame.", (1, 1)).count("<source")
    0
    """
    narrow = ("<source media='screen and (max-width:600px)' "
              f"srcset='{_png(draw, (NARROW, high))}'>" if high else "")
    return (f"<picture>{narrow}<img class='tonewood-still' alt='{escape(alt, quote=True)}' "
            f"style='max-width:100%;height:auto' src='{_png(draw, inches)}'></picture>")


def _png(draw: Callable[[Figure], object], inches: tuple[float, float]) -> str:
    with style.look():
        fig = Figure(figsize=inches, dpi=100, layout="constrained")
        canvas = FigureCanvasAgg(fig)
        draw(fig)
        FigureUnits(fig).show_in(chosen.now())
        canvas.draw()                           # once, where savefig lays out by a drawing nobody sees
        Image.fromarray(np.asarray(canvas.buffer_rgba())).save(buffer := io.BytesIO(), "PNG")
    return f"data:image/png;base64,{base64.b64encode(buffer.getvalue()).decode()}"
