"""Natural spread: draws keep the mean, reach the stated scatter, and are as alike as their origin says."""
from operator import itemgetter

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tonewood.wood.board import Board
from tonewood.wood.facts import rule
from tonewood.wood.own import OwnWood
from tonewood.wood.species import all_species, species
from tonewood.wood.spread import SUPPLIES, _z, draw_boards, likeness, scatter_of_modulus

MAPLE = species("hard maple")


def test_mean_and_scatter_of_one_board():
    board = Board(MAPLE)
    drawn, = draw_boards([board], 40_000, 3)
    assert drawn.E_L.mean() == pytest.approx(board.E_L, rel=0.005)
    assert drawn.rho.mean() == pytest.approx(board.rho, rel=0.005)
    assert drawn.E_L.std() / drawn.E_L.mean() == pytest.approx(MAPLE.cov_modulus, rel=0.02)
    found = np.corrcoef(np.log(drawn.E_L), np.log(drawn.rho))[0, 1]
    assert found == pytest.approx(rule("correlation_density_modulus").value, abs=0.02)
    low, high = MAPLE.longitudinal_range
    assert low <= drawn.swelling[0].min() and drawn.swelling[0].max() <= high
    assert drawn.swelling[2].mean() == pytest.approx(MAPLE.swelling[2], rel=0.005)


@pytest.mark.parametrize("kinship", ["different trees", "same tree", "same board"])
def test_stripes_are_as_alike_as_their_origin(kinship):
    first, second = draw_boards([Board(MAPLE)] * 2, 40_000, 1, kinship)
    found = np.corrcoef(np.log(first.E_L), np.log(second.E_L))[0, 1]
    assert found == pytest.approx(likeness(kinship), abs=0.02)


@pytest.mark.parametrize("key", [wood.key for wood in all_species()])
def test_every_draw_is_a_board_at_any_moisture(key):
    board = Board(species(key), moisture=0.085)
    drawn, = draw_boards([board], 100_000, 3)
    for now in (drawn, drawn.at(0.04), drawn.at(0.16)):              # Board refuses what lies outside
        assert np.mean((now.E_L > 59.99e9) | (now.E_L < 1.01e9)) < 0.002
    assert drawn.E_L.mean() == pytest.approx(board.E_L, rel=0.01)    # the limit moves no mean


def test_other_woods_do_not_share_a_tree():
    first, second = draw_boards([Board(MAPLE), Board(species("sapele"))], 40_000, 1, "same board")
    assert abs(np.corrcoef(first.E_L, second.E_L)[0, 1]) < 0.02


@pytest.mark.parametrize("n, correlation, expected", [(1, 0, .22), (3, 0, .1270), (5, 0, .0984),
                                                      (7, 0, .0832), (5, .3, .1459), (5, .5, .1704)])
def test_scatter_of_n_equal_stripes(n, correlation, expected):
    """Independently derived: c sqrt((1 + (n - 1) r) / n)."""
    from tonewood.wood.spread import mean_keeping_factor
    rng = np.random.default_rng(n)
    common, own = rng.standard_normal(400_000), rng.standard_normal((n, 400_000))
    mean = mean_keeping_factor(np.sqrt(correlation) * common + np.sqrt(1 - correlation) * own, 0.22).mean(0)
    assert mean.std() / mean.mean() == pytest.approx(expected, rel=0.01)


def test_relief_of_a_stripe_average_shifts_by_cov_squared():
    """Independently derived by a large draw: five boards of 22 %: mean(1/E) 1.0095; one board 1.048."""
    from tonewood.wood.spread import mean_keeping_factor
    z = np.random.default_rng(2).standard_normal((5, 400_000))
    five = mean_keeping_factor(z, 0.22).mean(0)
    assert five.std() == pytest.approx(0.0983, rel=0.01)
    assert (1 / five).mean() == pytest.approx(1.0095, abs=0.001)
    assert (1 / mean_keeping_factor(z[0], 0.22)).mean() == pytest.approx(1.048, abs=0.002)


def test_effective_number_of_stripes():
    """Independently derived: n_eff = (Σ I)²/Σ I², here through the section model."""
    from tonewood.neck.layup.neck import Back, Fretboard, Layup, Neck, Outline, Stripe
    from tonewood.neck.section.section import section
    from tonewood.wood.spread import mean_keeping_factor
    rng = np.random.default_rng(5)
    widths = np.array([12, 2, 12, 2, 12]) * 1e-3
    stripes = [Stripe(Board(MAPLE, modulus=12e9 * mean_keeping_factor(rng.standard_normal(40_000), 0.22)), w)
               for w in widths]
    thin_board = Fretboard(Board(MAPLE, modulus=1.001e9), 1e-6, 0.0)
    neck = Neck(Layup(stripes), Outline(0.040, 0.040), Back("D", 0.020, 0.020, exponent=20.0), thin_board)
    EI = section(neck, [0.2]).EI[:, 0]
    assert EI.std() / EI.mean() == pytest.approx(0.1154, rel=0.03)
    assert widths.sum() ** 2 / (widths**2).sum() == pytest.approx(3.636, abs=1e-3)


def test_deterministic_share_shrinks_the_scatter():
    """Independently derived: five stripes, 40 % of EI fixed: 0.0984 x 0.6."""
    from tonewood.wood.spread import mean_keeping_factor
    z = np.random.default_rng(8).standard_normal((5, 400_000))
    total = 0.4 + 0.6 * mean_keeping_factor(z, 0.22).mean(0)
    assert total.std() / total.mean() == pytest.approx(0.0590, rel=0.01)


def test_measured_board_shrinks_its_band():
    measured, = draw_boards([Board(MAPLE, modulus=13e9, density=700.0)], 20_000, 1)
    assert measured.E_L.std() / 13e9 == pytest.approx(0.03, rel=0.03)
    assert measured.rho.std() / 700 == pytest.approx(0.01, rel=0.03)


@given(st.integers(0, 1000), st.sampled_from(["different trees", "same tree", "same board"]))
@settings(max_examples=15, deadline=None)
def test_same_seed_same_boards(seed, kinship):
    one, two = (draw_boards([Board(MAPLE)] * 2, 20, seed, kinship) for _ in range(2))
    assert all(np.array_equal(a.E_L, b.E_L) for a, b in zip(one, two, strict=True))
    assert not np.array_equal(one[0].E_L, one[1].E_L)


def test_adding_a_stripe_leaves_the_others_as_they_were():
    two, three = (draw_boards([Board(MAPLE)] * n, 50, 4) for n in (2, 3))
    assert np.array_equal(two[1].E_L, three[1].E_L)


def test_refusals():
    with pytest.raises(ValueError, match="kinship.*did you mean|kinship.*accepted"):
        draw_boards([Board(MAPLE)], 10, 0, "cousins")
    with pytest.raises(ValueError, match="draws"):
        draw_boards([Board(MAPLE)], 0)
    with pytest.raises(ValueError, match="draws: density has 4 draws, modulus has 3"):
        Board(MAPLE, modulus=np.full(3, 12e9), density=np.full(4, 700.0))
    with pytest.raises(ValueError, match="degrees"):
        Board(MAPLE, ring_angle=45)
    with pytest.raises(ValueError, match="Did you mean 0.08"):
        Board(MAPLE, moisture=8)
    with pytest.raises(ValueError, match="kg/m³"):
        Board(MAPLE, density=0.7)


def test_stiffness_mismatch_hardly_bows_a_neck_sideways():
    """Independently derived: the axis of five equal stripes in 44 mm wanders by c sqrt(sum y2)/5 = 1.22
    mm, and 440 N at that arm bow 0.43 m by 8 um."""
    from tonewood.neck.layup.neck import Back, Fretboard, Layup, Neck, Outline, Stripe
    from tonewood.neck.load.bow import bow
    from tonewood.neck.section.section import section
    from tonewood.wood.spread import mean_keeping_factor
    rng = np.random.default_rng(6)
    stripes = [Stripe(Board(MAPLE, modulus=12e9 * mean_keeping_factor(rng.standard_normal(40_000), 0.22)),
                      0.0088) for _ in range(5)]
    neck = Neck(Layup(stripes), Outline(0.044, 0.044), Back("D", 0.020, 0.020, exponent=20.0),
                Fretboard(Board(MAPLE, modulus=1.001e9), 1e-6, 0.0))
    wander = section(neck, [0.2]).y_bar[:, 0].std()
    # The rounded corners of the exponent-20 outline take a little off the outer stripes.
    assert wander == pytest.approx(1.22e-3, rel=0.03)
    x = np.linspace(0, 0.43, 9)
    assert bow(x, np.full(9, 440 * wander / 1500), [0.215], 0, 0.43)[0] == pytest.approx(8e-6, rel=0.06)


@given(st.floats(0, np.pi / 2), st.floats(-0.2, 0.2), st.floats(-0.2, 0.2),
       st.sampled_from(["hard maple", "Sitka spruce", "wenge"]))
@settings(max_examples=30, deadline=None)
def test_kept_factors_equal_the_full_rotation(ring, run_out, slope, name):
    """A board with single angles keeps factors; drawn angles go through the rotation each time. Both must
    agree."""
    from tonewood.wood.elastic import off_axis, orientation
    from tonewood.wood.loss import off_axis_loss
    wood = species(name)
    single = Board(wood, ring, run_out, slope, loss=0.008)
    drawn = Board(wood, np.full(2, ring), run_out, slope, loss=0.008)
    Q = orientation(ring, run_out, slope)
    for board in (single, drawn):
        np.testing.assert_allclose(board.E_x, off_axis(board.elastic, Q).E_x, rtol=1e-10)
        np.testing.assert_allclose(board.G_xz, off_axis(board.elastic, Q).G_xz, rtol=1e-10)
        np.testing.assert_allclose(board.eta, off_axis_loss(board.elastic, Q[0], 0.008, wood.group),
                                   rtol=1e-10)
        for axis in range(3):
            np.testing.assert_allclose(board.swelling_along(axis), board.swelling_xyz[..., axis, axis],
                                       rtol=1e-10)


def test_boards_bought_anywhere_scatter_as_a_wood_does_over_its_range():
    """Outside: 22 % is the Handbook's average (from memory), 20 % the mean of eight conifers read."""
    for name in ("hard maple", "sapele"):
        few, wide = (draw_boards([Board(species(name))], 40_000, 3, supply=supply)[0] for supply in SUPPLIES)
        told = scatter_of_modulus(species(name), SUPPLIES[1])
        assert wide.E_L.std() / wide.E_L.mean() == pytest.approx(told, rel=0.03)
        assert wide.E_L.std() > few.E_L.std() and wide.E_L.mean() == pytest.approx(few.E_L.mean(), rel=0.01)
        assert np.array_equal(wide.swelling[0], few.swelling[0])
    low, high = rule("supply_cov_modulus").limits
    assert low <= rule("supply_cov_modulus").value <= high


def test_a_measured_board_does_not_care_where_it_was_bought():
    board = Board(MAPLE, modulus=13e9)
    one, other = (draw_boards([board], 100, 1, supply=supply)[0].E_L for supply in SUPPLIES)
    assert np.array_equal(one, other)


@pytest.mark.parametrize("kinship", ["different trees", "same tree", "same board"])
def test_boards_sawn_from_one_plank_scatter_as_any_board_and_alone_stay_alone(kinship):
    """Definition: whatever two boards share, each keeps its own scatter; another wood shares nothing."""
    boards = [Board(MAPLE), Board(MAPLE), Board(species("Indian rosewood"))]
    drawn = draw_boards(boards, 40_000, 5, kinship, planks=(0, 0, 1))
    logs = np.log([b.E_L for b in drawn])
    for board, values in zip(boards, logs, strict=True):
        wood = board.species
        wanted = np.log1p(wood.cov_modulus**2) + np.log1p(wood.cov_modulus_sources**2)
        assert np.std(values) == pytest.approx(np.sqrt(wanted), rel=0.02)
    own = np.log1p(MAPLE.cov_modulus**2)
    shared = np.cov(logs[0], logs[1])[0, 1] - np.log1p(MAPLE.cov_modulus_sources**2)
    assert shared / own == pytest.approx(likeness("same board"), abs=0.03)
    assert np.corrcoef(logs[0], logs[2])[0, 1] == pytest.approx(0, abs=0.03)


def test_swelling_keeps_its_mean_in_both_directions():
    """A factor divided instead of multiplied would raise the mean by its variance, 2 %."""
    drawn, = draw_boards([Board(MAPLE)], 400_000, 5)
    for found, wanted in zip(drawn.swelling[1:], MAPLE.swelling[1:], strict=True):
        assert found.std() / found.mean() == pytest.approx(MAPLE.cov_swelling, rel=0.02)
        assert found.mean() == pytest.approx(wanted, rel=0.002)


# what a rule filled

WENGE = species("wenge")


def test_filled_moduli_are_drawn_once_for_a_wood_and_read_ones_stand():
    """Scatter of the rule (a table's over 12 woods, widened as Student's t says), from data/rules.csv by
    hand: 0.0159 / 0.0683 x 1.12 for G_LT of a hardwood."""
    first, second, maple = draw_boards([Board(WENGE), Board(WENGE), Board(MAPLE)], 40_000, 3)
    assert first.constants is second.constants
    plain = WENGE.elastic
    for name, expected in (("E_R", .383), ("E_T", .391), ("G_LR", .335), ("G_LT", .263), ("G_RT", .57)):
        factor = getattr(first.constants, name) / getattr(plain, name)
        assert factor.mean() == pytest.approx(1.0, abs=0.01)
        assert factor.std() == pytest.approx(expected, rel=0.05)
        assert factor.min() > 0.1 and getattr(first.constants, name).max() < plain.E_L
    assert set(np.unique(maple.constants.G_LR)) == {MAPLE.elastic.G_LR}      # maple's was read
    assert np.ptp(maple.constants.G_RT) > 0                                 # and this one was not
    alone, = draw_boards([Board(WENGE)], 40_000, 3)
    assert np.array_equal(alone.E_x, alone.E_L)                             # straight grain knows no ratio


def test_a_board_of_drawn_ratios_is_the_board_of_each_draw():
    """Every draw alone, as nine single constants: stiffness, shear and loss along a twisted cut."""
    drawn, = draw_boards([Board(WENGE, 0.6, 0.08, 0.05)], 6, 1)
    for k in range(6):
        one = drawn.constants.mapped(itemgetter(k))
        alone = Board(WENGE, 0.6, 0.08, 0.05, modulus=float(drawn.E_L[k]), loss=float(drawn.loss[k]),
                      constants=one)
        for name in ("E_x", "G_xz", "G_xy", "eta"):
            assert getattr(drawn, name)[k] == pytest.approx(getattr(alone, name), rel=1e-12)


def test_run_out_widens_by_the_shear_modulus_as_first_order_says():
    """1/E_x = c^4/E_L + s^4/E_z + c^2 s^2 (1/G - 2 nu/E_L): the relative scatter that G alone brings is
    c^2 s^2 E_x/G times that of G, by hand."""
    angle = np.radians(6.0)
    drawn, = draw_boards([Board(WENGE, 0.0, angle)], 40_000, 5)
    left = np.log(drawn.E_x / drawn.E_L)
    c2, s2, e = np.cos(angle) ** 2, np.sin(angle) ** 2, WENGE.elastic
    E_x = float(Board(WENGE, 0.0, angle).E_x * e.E_L / Board(WENGE).E_L)
    parts = c2 * s2 * E_x / e.G_LT * 0.263, s2 * s2 * E_x / e.E_T * 0.391      # flat-sawn: T stands up
    assert left.std() == pytest.approx(np.hypot(*parts), rel=0.1)


def test_constants_of_another_wood_are_refused():
    with pytest.raises(ValueError, match="constants: E_L .* Pa given; accepted: that of wenge"):
        Board(WENGE, constants=MAPLE.elastic)


# stripes ripped from one measured board

def ripped(count=3, **given):
    wood = OwnWood(name="Mill maple 3", like="hard maple", one_board=True, **given).wood()
    return wood, draw_boards([Board(wood, moisture=0.12)] * count, 40_000, 2)


def test_stripes_of_a_measured_board_scatter_as_a_simulation_of_trees_boards_and_pieces_does():
    """Outside the library's draws: many boards whose means take 3/4 of the wood's variance (14 %) and whose
    pieces take the rest; each board read with an error of 3 %; of all boards that read near 13 GPa, how far
    the pieces lie from each other and their mean from the reading. Normal errors."""
    rng = np.random.default_rng(4)
    mean, cov, count = np.log(MAPLE.modulus), 0.14, 200_000
    whole = mean + cov * np.sqrt(0.75) * rng.standard_normal(count)
    read = whole + 0.03 * rng.standard_normal(count)
    near = np.abs(read - np.log(13e9)) < 0.02
    pieces = whole[near] + cov * np.sqrt(0.25) * rng.standard_normal((3, near.sum()))
    left = (mean * 0.03**2 + read[near] * 0.75 * cov**2) / (0.03**2 + 0.75 * cov**2)     # what was learnt
    posterior = 0.03 * 0.14 / np.hypot(0.03, 0.14)
    _, drawn = ripped(E_L=13e9, modulus_error=float(posterior))
    found = np.log(np.stack([b.E_L for b in drawn]))
    assert found[0].std() == pytest.approx((pieces - left)[0].std(), rel=0.02)
    assert np.std(found.mean(0)) == pytest.approx(np.std((pieces - left).mean(0)), rel=0.02)
    assert (found[0] - found[1]).std() == pytest.approx((pieces[0] - pieces[1]).std(), rel=0.02)
    # the band that held no scatter within the board held 90 % of the boards and few of their stripes
    inside = [np.mean(np.abs((pieces - left)[0]) < 1.645 * sd) for sd in (posterior, found[0].std())]
    assert inside[0] < 0.55 and inside[1] == pytest.approx(0.90, abs=0.01)


def test_an_unread_board_scatters_as_its_wood_and_its_stripes_as_one_board():
    wood, drawn = ripped(2, density=705.0, density_error=0.01)
    E = np.log([b.E_L for b in drawn])
    assert E[0].std() == pytest.approx(0.14, rel=0.02)
    assert np.corrcoef(E)[0, 1] == pytest.approx(likeness("same board"), abs=0.01)
    assert np.std(drawn[0].rho) / 705 == pytest.approx(np.hypot(0.01, 0.05), rel=0.03)
    assert np.corrcoef([b.swelling[2] for b in drawn])[0, 1] == pytest.approx(0.75, abs=0.02)
    alone, = draw_boards([Board(wood, moisture=0.12)], 40_000, 2)
    assert np.std(alone.rho) / 705 == pytest.approx(0.01, rel=0.03)          # one piece is the board itself


def test_draws_that_are_kept_cannot_be_changed():
    """Two boards of one wood share their luck; who writes into one would change the other."""
    board = draw_boards([Board(species("wenge"))], 7)[0]
    with pytest.raises(ValueError, match="read-only"):
        _z(7, 0, ((1.0, 0),))[:] = 0.0
    assert np.ptp(board.E_L) > 0
