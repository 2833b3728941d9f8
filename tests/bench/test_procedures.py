"""The glued strip as the bench reads it, against the formula of two layers by hand."""

from dataclasses import replace

import numpy as np
import pytest

from tonewood.bench.procedures import STRIP, STRIP_LENGTH, strip_bow
from tonewood.neck.layup.neck import example_neck, spread, striped
from tonewood.wood.board import Board
from tonewood.wood.species import species


def test_glued_strip_bows_as_two_layers_by_hand():
    """Two layers of like thickness: curvature 24 (e1 - e2) / (h (14 + n + 1/n)), h of both, n the ratio of
    their moduli (S. Timoshenko, Analysis of bi-metal thermostats, J. Opt. Soc. Am. 11 (1925) 233), for each
    drawn neck; the bench reads the mean of its strips."""
    maple, wenge = (Board(species(name)) for name in ("hard maple", "wenge"))
    neck, dried = spread(replace(example_neck(), layup=striped(maple, wenge, maple, 5)), 7, seed=2), -0.02
    board, bows = neck.fretboard.layers[0].board, []
    for stripe in (0, 1):
        wood = neck.pieces[stripe]
        n = wood.E_x / board.E_x
        free = dried * (wood.swelling_xyz[..., 0, 0] - board.swelling_xyz[..., 0, 0])
        bows.append(24 * free / (2 * STRIP * (14 + n + 1 / n)) * STRIP_LENGTH**2 / 8)
    found = strip_bow(neck, [0, 1], dried)
    assert found.shape == (7,) and np.ptp(found) > 0
    np.testing.assert_allclose(np.abs(found), np.abs(np.mean(bows, axis=0)), rtol=1e-6)
    assert strip_bow(neck, [1], dried) == pytest.approx(found * 2 - strip_bow(neck, [0], dried))
