"""Quick numbers look like ordinary text: same ink, same place, same size."""

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

import matplotlib
from tonewood.panel import style
from tonewood.panel.quick_text import QuickNumber

WORDS = "0.32  (0.26 to 0.40)"


def drawn(make):
    with matplotlib.rc_context(style.FIGURE):
        fig = Figure((3, 1), dpi=100)
        canvas = FigureCanvasAgg(fig)
        ax = fig.add_axes((0, 0, 1, 1))
        ax.axis("off")
        make(ax)
        canvas.draw()
    return 255 - np.asarray(canvas.buffer_rgba())[..., 0].astype(int)


def quick(ax, words=WORDS):
    QuickNumber(ax, 0.98, 0.4, 9.5).set_text(words)


def test_like_a_text_at_the_same_place():
    ordinary = drawn(lambda ax: ax.text(0.98, 0.4, WORDS, fontsize=9.5, ha="right", va="baseline"))
    fast = drawn(quick)
    assert fast.sum() == pytest.approx(ordinary.sum(), rel=0.15)
    for axis in (0, 1):
        edges = [np.flatnonzero(p.max(axis=axis) > 60)[[0, -1]] for p in (ordinary, fast)]
        assert abs(edges[0][1] - edges[1][1]) <= 2 and abs(edges[0][0] - edges[1][0]) <= (6 if axis == 0 else 2)


def test_other_words_other_picture_and_none_for_none():
    assert not np.array_equal(drawn(quick), drawn(lambda ax: quick(ax, "0.33  (0.26 to 0.40)")))
    assert drawn(lambda ax: quick(ax, "")).max() == 0
