"""Drying of a whole section against Newman's product of two plane sheets, the layered column, and the closed
form of a sheet in a cyclic room.

Sources: A. B. Newman, Transactions of the American Institute of Chemical Engineers 27 (1931) 203, for the
product (share still to come of a bar = that of its width x that of its height), with the plane sheet of J.
Crank, The Mathematics of Diffusion (1975); the steady cycle of a sheet, H. S. Carslaw and J. C. Jaeger,
Conduction of Heat in Solids (1959), 3.6.
"""

import numpy as np
import pytest

from tonewood.constants import DAY
from tonewood.wood.diffusion import Column, uptake
from tonewood.wood.drying import DryingSection

D, FILM, RHO = 1e-10, 2e-8, 600.0
DAYS = np.array([0.0, 2.0, 10.0, 40.0, 120.0]) * DAY


def bar(half=0.020, wood=0.010, board=0.006, films=(FILM,) * 3, columns=11, rows=(11, 8), ratio=1.0):
    return DryingSection(half_width=half, depths=(wood,) * columns, thickness=board,
                         diffusivity=(D, D * ratio), density=(RHO, RHO), back=films[0],
                         top=films[1], edge=films[2], rows=rows)


def of_whole(path, wood=0.010, board=0.006):
    return (path[..., 0] * wood + path[..., 1] * board) / (wood + board)


@pytest.mark.parametrize("film", [1e-8, 5e-8, 1e-6])
def test_a_bar_open_all_round_is_the_product_of_two_sheets(film):
    a, b = 0.020, 0.008
    made = of_whole(bar(films=(film,) * 3).follow(DAYS, np.full(5, 0.10), 0.0)) / 0.10
    left = [1 - uptake(D * DAYS / side**2, film * side / D) for side in (a, b)]
    assert made == pytest.approx(1 - left[0] * left[1], abs=0.006)
    many = bar(films=(film,) * 3, columns=20, rows=(18, 12))
    fine = of_whole(many.follow(DAYS, np.full(5, 0.10), 0.0)) / 0.10
    assert fine == pytest.approx(1 - left[0] * left[1], abs=0.0025)


def test_with_its_edges_sealed_a_flat_section_is_the_column_of_its_layers():
    """Two woods of different pace and density; the back reaches round the side of the wood, so the bar is
    wide and what goes out there counts little."""
    section = DryingSection(half_width=0.19, depths=(0.012,) * 12, thickness=0.006,
                            diffusivity=(1e-10, 0.4e-10), density=(600.0, 850.0), back=1e-8, top=5e-8,
                            edge=0.0, rows=(14, 9))
    layers = Column((0.012, 0.006), (1e-10, 0.4e-10), (600.0, 850.0), 1e-8, 5e-8)
    air = np.array([0.05, 0.09, 0.12, 0.06, 0.08])
    np.testing.assert_allclose(section.follow(DAYS, air, 0.08), layers.follow(DAYS, air, 0.08), atol=8e-4)
    possible = DryingSection(half_width=0.02, depths=(0.01, 0.008, 0.0), thickness=0.006,
                             diffusivity=(np.array([1e-10, 2e-10]), 1e-10), density=(600.0, 850.0), back=1e-8,
                             top=5e-8, edge=5e-8)
    assert possible.follow(DAYS, air, 0.08).shape == (2, 5, 2)


def test_it_dries_sooner_than_layers_and_ends_where_the_air_is():
    depths = tuple(0.016 * np.cos(np.linspace(0, np.pi / 2, 10)))
    round_back = DryingSection(half_width=0.025, depths=depths, thickness=0.006, diffusivity=(D, D),
                               density=(RHO, RHO), back=FILM, top=FILM, edge=FILM)
    path = round_back.follow(np.array([0.0, 5.0, 3000.0]) * DAY, np.full(3, 0.06), 0.09)
    assert path[-1] == pytest.approx([0.06, 0.06], abs=1e-6)
    sealed = bar(films=(FILM, FILM, 0.0)).follow(DAYS, np.full(5, 0.06), 0.09)[1, 1]
    assert bar().follow(DAYS, np.full(5, 0.06), 0.09)[1, 1] < sealed


def test_cyclic_room_against_the_steady_cycle_of_a_sheet():
    """Mean of a sheet whose faces follow a sine: amplitude |tanh(q)/q|, q = a sqrt(i omega / D)."""
    a, period = 0.008, 10 * DAY
    times = np.linspace(0, period, 721)
    air = 0.08 + 0.03 * np.sin(2 * np.pi * times / period)
    for dries in (Column((a, a), (D, D), (RHO, RHO), np.inf, np.inf, cells=40),
                  bar(half=0.19, wood=a, board=a, films=(1e-3, 1e-3, 0.0), columns=14, rows=(16, 16))):
        path = dries.cycle(times, air).mean(-1)
        q = a * np.sqrt(2j * np.pi / period / D)
        expected = 0.08 + 0.03 * np.imag(np.tanh(q) / q * np.exp(2j * np.pi * times / period))
        tolerance = 1e-4 if isinstance(dries, Column) else 12e-4          # the side of the wood is open there
        np.testing.assert_allclose(path, expected, atol=tolerance)
        again = dries.follow(times, air, 0.08)
        assert np.abs(path[-1] - path[0]) < 1e-9
        assert np.abs(again.mean(-1)[-1] - path[-1]) > 1e-4               # the first round has not settled


def test_refusals():
    with pytest.raises(ValueError, match="every face"):
        bar(films=(0.0, 0.0, 0.0))
    with pytest.raises(ValueError, match="depths of wood: 2 given"):
        bar(columns=2)
    with pytest.raises(ValueError, match="half width"):
        bar(half=20)
    with pytest.raises(ValueError, match="cycle of air: 0.1 at its start"):
        bar().cycle([0.0, DAY], [0.1, 0.12])
    with pytest.raises(ValueError, match="times"):
        bar().follow([0.0, 0.0], [0.1, 0.1], 0.1)
