"""Many small numbers that move, at the price of one artist: each number is a filled outline, laid in one collection.

A matplotlib text costs about a millisecond a step; a map of 138 numbers would be too slow with texts.
"""

from functools import lru_cache

import numpy as np
from matplotlib.collections import PathCollection
from matplotlib.font_manager import FontProperties
from matplotlib.path import Path
from matplotlib.textpath import TextPath
from matplotlib.transforms import Affine2D

ALIGN = {"left": 0.0, "center": 0.5, "right": 1.0}


@lru_cache(maxsize=512)
def _character(character, size, weight):
    """Outline of one character in points (None for a space) and how far it moves the next one on."""
    font = FontProperties(family="DejaVu Sans", weight=weight)
    right = lambda words: TextPath((0, 0), words, size=size, prop=font).get_extents().x1
    return TextPath((0, 0), character, size=size, prop=font) if character.strip() else None, right(f"|{character}|") - right("||")


@lru_cache(maxsize=2048)
def _outline(words, size, align, weight):
    """Outline of one line of words in points, standing on half its capital height, shifted by its own width for the alignment."""
    vertices, codes, x = [], [], 0.0
    for character in words.replace("-", "−"):
        path, advance = _character(character, size, weight)
        if path is not None:
            vertices.append(path.vertices + (x, 0.0))
            codes.append(path.codes)
        x += advance
    if not vertices:
        return Path([(0.0, 0.0)])
    vertices = np.concatenate(vertices)
    left, right = vertices[:, 0].min(), vertices[:, 0].max()
    return Path(vertices - (left + ALIGN[align] * (right - left), 0.36 * size), np.concatenate(codes))


class Numbers:
    """Short words at places of an axes. size in points; align: "left", "center" or "right" of the place.

    `.show(x, y, words, colours)` sets all of them; `.artist` is what moves. transform: of the places, the data's unless given.
    """

    def __init__(self, ax, size=9.0, align="center", weight="normal", transform=None, zorder=4):
        self._size, self._align, self._weight = size, align, weight
        self.artist = PathCollection([Path([(0.0, 0.0)])], offsets=[(0.0, 0.0)], offset_transform=transform or ax.transData, linewidths=0, zorder=zorder)
        self.artist.set_transform(Affine2D().scale(ax.figure.dpi / 72))
        self.artist.set_clip_on(False)
        ax.add_collection(self.artist, autolim=False)
        self.words = []

    def show(self, x, y, words, colours="black"):
        """x, y: places (n,); words: (n,) strings; colours: one, or (n,)."""
        self.words = list(words)
        self.artist.set_paths([_outline(str(w), self._size, self._align, self._weight) for w in self.words])
        self.artist.set_offsets(list(zip(x, y)))
        self.artist.set_facecolor(colours)
