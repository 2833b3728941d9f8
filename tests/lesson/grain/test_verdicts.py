"""The words of each verdict about grain against its numbers."""

import re

import numpy as np
import pytest

from tonewood.lesson.grain import model as lesson
from tonewood.lesson.grain import verdicts
from tonewood.wood.board import Board
from tonewood.wood.species import species

MAPLE = species("hard maple")


def numbers(pattern, text):
    return [float(v) for v in re.search(pattern, text.replace("−", "-")).groups()]


def test_quarter_sawn_board_stiffer_verdict():
    v = verdicts.quarter_sawn_board_stiffer()
    flat, quarter = numbers(r"grain: ([\d.]+) % flat-sawn, ([\d.]+) %", v.found)
    lean_flat, lean_quarter = numbers(r"run-out ([\d.]+) % and ([\d.]+) %", v.found)
    shear = numbers(r"makes up ([\d.]+) %.*flat-sawn, ([\d.]+) %", v.found)
    assert flat == quarter == 100.0 and lean_quarter < lean_flat < 100 and max(shear) < 1.0
    assert v.verdict.startswith("no.")


def test_shear_share_of_a_cantilever():
    """Demo hardwood, 20 mm x 450 mm: 0.5 % flat-sawn, 0.9 % quarter-sawn; independently: tip deflection of a
    Timoshenko cantilever."""
    board = Board(MAPLE, 0.0, moisture=0.12)
    b, h, L, F = 0.05, 0.020, 0.45, 10.0
    bending, shear = F * L**3 / (3 * board.E_x * b * h**3 / 12), 1.2 * F * L / (board.G_xz * b * h)
    assert verdicts.cantilever_shear_share(board) == pytest.approx(shear / (bending + shear))


def test_run_out_verdict():
    v = verdicts.run_out_cost()
    flat = numbers(r"flat-sawn it costs ([\d.]+) to ([\d.]+) % of the stiffness \(middle ([\d.]+)\)", v.found)
    quarter = numbers(r"quarter-sawn ([\d.]+) to ([\d.]+) % \(middle ([\d.]+)\)", v.found)
    assert 3 <= flat[2] <= 5 and 3 <= quarter[2] <= 5            # "3 to 5 % in most woods"
    cost = np.array([100 * (1 - lesson.along(w.elastic, ring, verdicts.ONE_IN_15, 0.0))
                     for w in verdicts.neck_woods() for ring in (0, 90)])
    assert np.mean((cost > 2.5) & (cost < 5.5)) > 0.75
    # "less than the scatter between two boards"
    assert cost.max() < 100 * min(w.cov_modulus for w in verdicts.neck_woods())
    assert (flat[0], quarter[1]) == pytest.approx((cost.min(), cost.max()), abs=0.06)


def test_quarter_sawn_moves_half_verdict():
    v = verdicts.quarter_sawn_moves_half()
    low, high, middle = numbers(r"moves ([\d.]+) \(.*?\) to ([\d.]+) \(.*?middle (\d\.\d+)", v.found)
    assert 0.45 < middle < 0.55 and low > 0.4 and 0.7 < high < 0.8 and v.verdict.startswith("yes, about half")
    assert int(re.match(r"(\d+)", v.found)[1]) >= 10
    for wood in verdicts.neck_woods():                     # "what it saves in width it moves in thickness"
        flat, quarter = lesson.moves(wood, 0, 0.01), lesson.moves(wood, 90, 0.01)
        assert flat[0] / 60 + flat[1] / 25 == pytest.approx(quarter[0] / 60 + quarter[1] / 25)


def test_shortcut_verdict():
    v = verdicts.shortcut_good_enough()
    two = numbers(r"exponent 2 it is off by ([-+\d.]+) to ([-+\d.]+)", v.found)
    low = numbers(r"with 1.5 by ([-+\d.]+) to ([-+\d]+)", v.found)
    rift, = numbers(r"spruce with exponent 2: ([-+\d.]+)", v.found)
    assert max(abs(t) for t in two) < 5 and low[0] < -20 and low[1] < -5 and rift < -25


def test_rift_verdict():
    v = verdicts.rift_in_between()
    for wood, times in (("Sitka spruce", 3), ("hard maple", 1)):
        flat, rift, quarter = numbers(wood + r": flat-sawn ([\d.]+), rift ([\d.]+), quarter-sawn ([\d.]+)",
                                      v.found)
        assert rift < min(flat, quarter) / times
    flat, rift, quarter = (lesson.moves(MAPLE, ring, 0.01)[0] for ring in (0, 45, 90))
    assert quarter < rift < flat                                  # "movement lies in between"
