"""Many small numbers as one artist stand where they are put."""

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from tonewood.panel.glyphs import Numbers


@pytest.mark.parametrize("align, side", [("center", 0), ("left", 1), ("right", -1)])
def test_numbers_stand_where_they_are_put(align, side):
    fig = Figure((2, 1), dpi=100)
    canvas = FigureCanvasAgg(fig)
    ax = fig.add_axes((0, 0, 1, 1))
    ax.set(xlim=(0, 2), ylim=(0, 1))
    ax.axis("off")
    Numbers(ax, 12, align).show([1.0], [0.5], ["38"], "red")
    canvas.draw()
    picture = np.asarray(canvas.buffer_rgba())[..., :3].astype(int)
    y, x = np.nonzero(picture[..., 1] < 128)
    assert len(x) > 40 and np.all(picture[y, x, 0] > 200)
    assert (y.min() + y.max()) / 2 == pytest.approx(49.5, abs=1.5)
    assert 9 <= np.ptp(y) <= 14, "digits of 12 points stand 12 pixels high at 100 dpi"
    assert {0: (x.min() + x.max()) / 2, 1: x.min(), -1: x.max()}[side] == pytest.approx(99.5, abs=2)
