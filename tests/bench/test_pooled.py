"""Partial pooling: against the normal-normal formula written out, a Gibbs run, and its limits."""

import numpy as np
import pytest

from tonewood.bench.pooled import pooled, prior, strip_scatter
from tonewood.wood.facts import rule
from tonewood.wood.species import species

MAPLE = species("hard maple")
OWN = np.array([742.0, 751.0, 733.0, 768.0, 759.0, 781.0])
TREES = ["a", "a", "b", "c", "c", "c"]


def test_with_a_known_scatter_it_is_the_normal_normal_formula():
    """By hand: y ~ N(m 1, S), m ~ N(m_0, t²), with the covariance of the boards written out in full."""
    m_0, t, s, _ = prior(MAPLE, "density")
    r, u = rule("kinship_same_tree").value, 0.02
    same = np.equal.outer(np.array(TREES), np.array(TREES))
    S = s**2 * (r * same + (1 - r) * np.eye(6)) + u**2 * np.eye(6)
    one, y = np.ones(6), np.log(OWN)
    precision = 1 / t**2 + one @ np.linalg.solve(S, one)
    mean = (m_0 / t**2 + one @ np.linalg.solve(S, y)) / precision
    found = pooled(MAPLE, "density", OWN, TREES, error=u, freedom=np.inf)
    assert found.means == pytest.approx([mean]) and found.errors == pytest.approx([precision**-0.5])
    assert np.log(found.middle) == pytest.approx(mean + precision**-0.5 * np.array([-1.64485, 0, 1.64485]),
                                                 abs=1e-5)
    assert np.log(found.board[[0, 2]]) == pytest.approx(
        mean + np.hypot(precision**-0.5, s) * np.array([-1.64485, 1.64485]), abs=1e-5)
    assert found.share == pytest.approx(1 - 1 / precision / t**2)


@pytest.mark.parametrize("quantity, values", [("density", OWN), ("modulus", 1.9e7 * OWN)])
def test_with_an_unknown_scatter_it_agrees_with_a_gibbs_run(quantity, values):
    """Independently: Gibbs sampling of middle, trees and scatter by turns, each from its textbook
    conditional."""
    m_0, t, s_0, nu = prior(MAPLE, quantity)
    r, y, rng = rule("kinship_same_tree").value, np.log(values), np.random.default_rng(4)
    tree, n = np.array([0, 0, 1, 2, 2, 2]), np.array([2, 1, 3])
    a, s2, kept = np.zeros(3), s_0**2, []
    for turn in range(12000):
        p = 1 / t**2 + 6 / ((1 - r) * s2)
        m = (m_0 / t**2 + np.sum(y - a[tree]) / ((1 - r) * s2)) / p + rng.standard_normal() / p**0.5
        p = 1 / (r * s2) + n / ((1 - r) * s2)
        a = np.bincount(tree, y - m) / ((1 - r) * s2) / p + rng.standard_normal(3) / p**0.5
        squares = nu * s_0**2 + np.sum(a**2) / r + np.sum((y - m - a[tree]) ** 2) / (1 - r)
        s2 = squares / rng.chisquare(nu + 3 + 6)
        if turn >= 200:
            kept.append((m, s2**0.5))
    m, s = np.array(kept).T
    found = pooled(MAPLE, quantity, values, TREES, error=0.0)
    assert np.log(found.middle) == pytest.approx(np.percentile(m, [5, 50, 95]), abs=0.05 * m.std())
    assert np.sqrt(np.log1p(found.scatter**2)) == pytest.approx(np.percentile(s, [5, 50, 95]), rel=0.03)
    more = m + s * rng.standard_normal(m.size)
    assert np.log(found.board) == pytest.approx(np.percentile(more, [5, 50, 95]), abs=0.05 * more.std())
    drawn = np.log(found.draw(20000, 3))
    assert np.percentile(drawn, [5, 50, 95]) == pytest.approx(np.log(found.board), abs=0.05 * more.std())


def test_no_board_is_the_table_and_many_boards_are_the_shop():
    none = pooled(MAPLE, "modulus")
    assert none.boards == 0 and none.share == pytest.approx(0, abs=1e-12) and none.own is None
    assert np.log(none.middle[1]) == pytest.approx(prior(MAPLE, "modulus")[0], abs=1e-6)
    many = pooled(MAPLE, "modulus", 1.15 * MAPLE.modulus * np.exp(0.05 * np.sin(np.arange(400.0))))
    assert many.share > 0.99 and many.middle[1] == pytest.approx(many.own, rel=2e-3)
    assert many.scatter[1] == pytest.approx(0.05 / 2**0.5, rel=0.45) and many.scatter[2] < none.scatter[1]
    widths = [np.ptp(np.log(pooled(MAPLE, "density", OWN[:k]).middle)) for k in (0, 1, 3, 6)]
    assert np.all(np.diff(widths) < 0)


def test_boards_of_one_tree_tell_less_than_boards_of_many():
    one, many = (pooled(MAPLE, "density", OWN, trees) for trees in (["a"] * 6, None))
    assert one.trees == 1 and many.trees == 6 and one.share < many.share
    assert np.ptp(one.middle) > np.ptp(many.middle)


def test_strips_of_a_class_pool_to_the_scatter_within_a_board():
    rng = np.random.default_rng(1)
    inside = 0
    for _ in range(300):
        boards = {b: (1 + 0.14 * rng.standard_normal()) * (1 + 0.07 * rng.standard_normal(5))
                  for b in range(6)}
        found = strip_scatter(boards)
        inside += found.low <= 0.07 <= found.high
    assert 0.85 < inside / 300 < 0.95 and (found.strips, found.boards) == (30, 6)


@pytest.mark.parametrize("call, said", [
    (lambda: pooled(MAPLE, "density", [0.71]), "Did you mean 710 kg/m³"),
    (lambda: pooled(MAPLE, "modulus", [12.0]), "Did you mean 12 GPa"),
    (lambda: pooled(MAPLE, "stiffness", [12e9]), "'density', 'modulus'"),
    (lambda: pooled(MAPLE, "density", OWN, ["a"]), "1 labels given for 6 boards"),
    (lambda: strip_scatter({"A": [1.0], "B": [2.0]}), "at least two of one board")])
def test_slips_are_refused(call, said):
    with pytest.raises(ValueError, match=said):
        call()
