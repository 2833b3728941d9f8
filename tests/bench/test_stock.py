"""The shop's own stock: the next neck's boards are those of the pooled estimate, and a wood that lies off its
table comes right."""

from dataclasses import replace

import numpy as np
import pytest

from tonewood.bench.foretold import foretell
from tonewood.bench.log_boards import boards
from tonewood.bench.log_columns import Measurement
from tonewood.bench.readings import reading
from tonewood.bench.stock import Stock, stock_of, towards_stock
from tonewood.lesson.shared.shop import NECK_12, changed
from tonewood.neck.layup.neck import spread
from tonewood.wood import moisture as water
from tonewood.wood.species import species

MAPLE = species("hard maple")
SOFT = Stock("hard_maple",
             tuple((f"b{k}", 0.85 * MAPLE.modulus * (1 + 0.02 * (k % 3 - 1))) for k in range(9)),
             tuple((f"b{k}", 700.0 + 10 * k) for k in range(9)))


def test_stripes_are_boards_of_the_pooled_estimate_and_hang_together():
    plan = NECK_12.neck()
    drawn = towards_stock(spread(plan, 40000, 3), plan, [SOFT], 3)
    stiffer = water.modulus_at(1.0, MAPLE.green_ratio, plan.pieces[0].moisture, MAPLE.mp)
    found = SOFT.pooled("modulus")
    for i in (0, 6):
        assert np.percentile(drawn.pieces[i].modulus, [5, 50, 95]) == pytest.approx(found.board * stiffer,
                                                                                    rel=0.015)
    one, other = (np.log(drawn.pieces[i].modulus) for i in (0, 6))
    shared = found.weights @ (found.errors**2 + (found.means - found.weights @ found.means) ** 2)
    assert np.cov(one, other)[0, 1] == pytest.approx(shared, rel=0.25)
    assert np.corrcoef(one, np.log(drawn.pieces[0].density))[0, 1] == pytest.approx(0.6, abs=0.1)
    assert np.all(drawn.pieces[1].modulus == spread(plan, 40000, 3).pieces[1].modulus)      # wenge: no stock


def test_a_soft_stock_comes_right_and_its_band_narrows():
    maple = changed(NECK_12, stripes=1)
    sag = reading("1", "blank sag", 1.0, "2026-09-01", load=98.1, span=0.7, thickness=0.022)
    table, own = (foretell(maple, draws=2000, stock=stock).foretold(sag) for stock in ((), (SOFT,)))
    true = foretell(maple, draws=2000)
    softer = replace(true, neck=true.neck.with_pieces([
        replace(b, modulus=0.85 * b.E_L) if b.species == MAPLE else b for b in true.neck.pieces]))
    real = np.median(softer.predicted(sag))
    assert real > table[1] * 1.1 and own[1] == pytest.approx(real, rel=0.03)
    assert np.ptp(own) < np.ptp(table)


def test_a_measured_stripe_keeps_its_own_value_and_one_board_is_not_yet_a_stock():
    plan = NECK_12.neck()
    mine = replace(plan.pieces[0], modulus=12e9)
    kept = plan.with_pieces([mine, *plan.pieces[1:]])
    drawn = towards_stock(spread(kept, 500), kept, [SOFT])
    assert np.median(drawn.pieces[0].modulus) == pytest.approx(12e9, rel=0.01)
    few = Stock("hard_maple", SOFT.moduli[:1])
    left = towards_stock(spread(plan, 500), plan, [few]).pieces[0]
    assert np.all(left.modulus == spread(plan, 500).pieces[0].modulus)


def test_the_boards_of_a_log_are_the_stock():
    size = dict(length=0.45, width=0.045, thickness=0.02, wood="hard maple", date="2026-11-27", moisture=0.12)
    rows = [Measurement(board=label, measured="weigh", mass=mass, **size)
            for label, mass in (("A7-1", 0.2835), ("A7-2", 0.2900), ("B", 0.3000))]
    stock, = stock_of(boards(rows))
    assert stock.wood == "hard_maple" and [tree for tree, _ in stock.densities] == ["A7", "A7", "B"]
    assert stock.densities[0][1] == pytest.approx(700.0) and not stock.moduli and stock.enough("density")
