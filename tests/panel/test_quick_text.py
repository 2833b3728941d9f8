"""Quick numbers look like ordinary text: same ink, same place, same size."""

import matplotlib
import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from tonewood.panel import style
from tonewood.panel.quick_text import Numbers, QuickNumber

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
        assert abs(edges[0][1] - edges[1][1]) <= 2
        assert abs(edges[0][0] - edges[1][0]) <= (6 if axis == 0 else 2)


def test_other_words_other_picture_and_none_for_none():
    assert not np.array_equal(drawn(quick), drawn(lambda ax: quick(ax, "0.33  (0.26 to 0.40)")))
    assert drawn(lambda ax: quick(ax, "")).max() == 0


@pytest.mark.parametrize("align, side", [("center", 0), ("left", 1), ("right", -1)])
def test_numbers_stand_where_they_are_put_in_their_colour(align, side):
    fig = Figure((2, 1), dpi=100)
    canvas = FigureCanvasAgg(fig)
    ax = fig.add_axes((0, 0, 1, 1))
    ax.set(xlim=(0, 2), ylim=(0, 1))
    ax.axis("off")
    Numbers(ax, 12, align).show([1.0, 0.2], [0.5, 0.5], ["38", " "], [(1.0, 0.0, 0.0), (0.0, 0.0, 0.0)])
    canvas.draw()
    picture = np.asarray(canvas.buffer_rgba())[..., :3].astype(int)
    y, x = np.nonzero(picture[..., 1] < 128)
    assert len(x) > 40 and np.all(picture[y, x, 0] > 200)
    assert (y.min() + y.max()) / 2 == pytest.approx(49.5, abs=1.5)
    # digits of 12 points stand 12 pixels high at 100 dpi
    assert 9 <= np.ptp(y) <= 14
    assert {0: (x.min() + x.max()) / 2, 1: x.min(), -1: x.max()}[side] == pytest.approx(99.5, abs=2)
