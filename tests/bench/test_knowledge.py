"""What measuring leaves open: against brute force, in closed form, and at its limits."""

import numpy as np
import pytest

from tonewood.bench.knowledge import Knowledge, after, from_tables, learn, which_woods
from tonewood.wood.board import Board
from tonewood.wood.facts import rule
from tonewood.wood.species import all_species, species
from tonewood.wood.spread import draw_boards

MAPLE = Board(species("hard maple"), ring_angle=np.pi / 2)
WENGE = Board(species("wenge"), run_out=np.radians(4))


@pytest.mark.parametrize("board", [MAPLE, WENGE])
def test_tables_alone_agree_with_the_draws_of_the_library(board):
    drawn, known = draw_boards([board], 40000, 4)[0], from_tables(board)
    logs = np.stack([np.log(drawn.E_x), np.log(drawn.rho)])
    np.testing.assert_allclose(logs.mean(1), known.mean, atol=0.003)
    np.testing.assert_allclose(np.cov(logs), known.covariance, rtol=0.04)


@pytest.mark.parametrize("readings",
                         [dict(density=780.0), dict(modulus=15.5e9), dict(modulus=12.0e9, density=760.0)])
@pytest.mark.parametrize("board", [MAPLE, WENGE])
def test_learning_agrees_with_brute_force(board, readings):
    """Independently derived: many boards from the tables, each weighted by how likely it would give these
    readings."""
    if board is WENGE:
        readings = {k: v * {"modulus": 1.5, "density": 1.2}[k] for k, v in readings.items()}
    errors = (0.05, 0.02)
    drawn = draw_boards([board], 400000, 9)[0]
    logs = {"modulus": np.log(drawn.E_x), "density": np.log(drawn.rho)}
    weight = np.exp(-sum(((logs[k] - np.log(v)) / errors[("modulus", "density").index(k)]) ** 2 for k,
                         v in readings.items()) / 2)
    left, known = learn(board, draws=4000, seed=2, errors=errors,
                        **readings), after(from_tables(board), errors=errors, **readings)
    for i, (name, mine) in enumerate((("modulus", np.log(left.E_x)), ("density", np.log(left.rho)))):
        mean = np.average(logs[name], weights=weight)
        sd = np.sqrt(np.average((logs[name] - mean) ** 2, weights=weight))
        assert known.mean[i] == pytest.approx(mean, abs=0.1 * sd)
        assert known.spread[i] == pytest.approx(sd, rel=0.05)
        assert mine.mean() == pytest.approx(mean, abs=0.1 * sd)
        assert mine.std() == pytest.approx(sd, rel=0.06)


def test_weighing_narrows_stiffness_as_the_correlation_says():
    r = rule("correlation_density_modulus").value
    known = from_tables(MAPLE)
    weighed = after(known, density=700.0, errors=(0.03, 1e-5))
    assert weighed.spread[0] / known.spread[0] == pytest.approx(np.sqrt(1 - r**2))
    assert weighed.spread[1] == pytest.approx(1e-5, rel=1e-3)


def test_a_measurement_never_widens_and_two_beat_one():
    for board in (MAPLE, WENGE):
        known = from_tables(board)
        one, other, both = after(known, modulus=15e9), after(known, density=800.0), after(known, 15e9, 800.0)
        for i in (0, 1):
            assert both.spread[i] < min(one.spread[i], other.spread[i]) + 1e-12 < known.spread[i]
        assert both.spread[0] < 0.03 and both.spread[1] < 0.01


def test_order_of_measuring_does_not_matter():
    known = from_tables(MAPLE)
    one = after(after(known, modulus=15e9), density=760.0)
    other = after(known, 15e9, 760.0)
    np.testing.assert_allclose(one.mean, other.mean)
    np.testing.assert_allclose(one.covariance, other.covariance)


def test_own_modulus_is_that_along_the_board_whatever_the_run_out():
    for run_out in (0.0, 5.0, 10.0):
        left = learn(Board(species("hard maple"), run_out=np.radians(run_out)), modulus=13e9, draws=2000)
        assert np.median(left.E_x) == pytest.approx(13e9, rel=0.01)
    assert np.median(left.E_L) > 14.5e9


def test_nothing_read_leaves_the_library_draws():
    left = learn(MAPLE, draws=50, seed=3)
    np.testing.assert_array_equal(left.E_L, draw_boards([MAPLE], 50, 3)[0].E_L)
    known = from_tables(MAPLE)
    assert after(known) is known


def test_swelling_and_damping_are_not_narrowed():
    before, left = learn(MAPLE, draws=500), learn(MAPLE, 14e9, 700.0, draws=500)
    np.testing.assert_array_equal(before.swelling[2], left.swelling[2])
    np.testing.assert_array_equal(before.loss, left.loss)


def test_ellipse_holds_its_share():
    known = from_tables(WENGE)
    drawn = draw_boards([WENGE], 20000, 1)[0]
    gap = np.stack([np.log(drawn.E_x), np.log(drawn.rho)]) - known.mean[:, None]
    distance = np.einsum("id,ij,jd->d", gap, np.linalg.inv(known.covariance), gap)
    E, rho = known.ellipse(0.90)
    rim = np.stack([np.log(E), np.log(rho)]) - known.mean[:, None]
    radius = np.einsum("id,ij,jd->d", rim, np.linalg.inv(known.covariance), rim)
    np.testing.assert_allclose(radius, radius[0])
    assert np.mean(distance < radius[0]) == pytest.approx(0.90, abs=0.01)


def test_share_outside_is_uniform_over_boards_of_the_wood():
    known, exact = from_tables(MAPLE), (1e-6, 1e-6)
    drawn = draw_boards([MAPLE], 3000, 8)[0]
    for pick in (dict(density=True), dict(modulus=True), dict(density=True, modulus=True)):
        boards = ({"modulus": E, "density": rho} for E, rho in zip(drawn.E_x, drawn.rho, strict=True))
        share = [known.outside(errors=exact, **{name: board[name] for name in pick}) for board in boards]
        assert np.mean(np.array(share) < 0.1) == pytest.approx(0.1, abs=0.02)
    assert known.outside() == 1.0


def test_woods_that_fit_a_board_made_of_one():
    hits = 0
    for name in ("sapele", "hard maple", "western redcedar", "wenge", "black walnut"):
        board = Board(species(name), moisture=0.09)
        E, rho = from_tables(board).middle
        found = which_woods(E, rho, 0.09)
        own = [fit for fit in found if fit.species.name == board.species.name][0]
        assert own.fits and own.share > 0.99
        assert [fit.share for fit in found] == sorted((fit.share for fit in found), reverse=True)
        assert len(found) == len(all_species())
        hits += not found[-1].fits
    assert hits == 5                                           # something is always excluded


def test_refusals():
    with pytest.raises(ValueError, match="single values"):
        from_tables(Board(species("hard maple"), modulus=12e9))
    with pytest.raises(ValueError, match="single values"):
        learn(Board(species("hard maple"), ring_angle=np.array([0.1, 0.2])))
    with pytest.raises(ValueError, match="modulus along the board: 13 Pa given.*13 GPa"):
        learn(MAPLE, modulus=13.0)
    with pytest.raises(ValueError, match="density: 0.7 kg/m³ given.*700"):
        after(from_tables(MAPLE), density=0.7)
    with pytest.raises(ValueError, match="readings: none given"):
        which_woods()
    with pytest.raises(ValueError, match="share: 1 "):
        Knowledge(np.zeros(2), np.eye(2)).ellipse(1.0)
