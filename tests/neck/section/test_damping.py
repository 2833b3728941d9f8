"""Loss factor of a glued section (independently derived: hand sums; complex-modulus bending stiffness)."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tonewood.neck.layup.neck import (
    Back,
    Bar,
    Channel,
    Fretboard,
    Layup,
    Neck,
    Outline,
    Stripe,
    spread,
    striped,
)
from tonewood.neck.section.damping import bending_shares, composite_loss, loss_factor, stripe_shares
from tonewood.neck.section.section import section
from tonewood.wood.board import Board
from tonewood.wood.species import species

MM = 1e-3


def blocks(widths, heights, bottoms):
    """Integrals of rectangles: area, first and second moment in z."""
    b, h, z0 = (np.asarray(v, float) * MM for v in (widths, heights, bottoms))
    z1 = z0 + h
    return b * h, b * (z1**2 - z0**2) / 2, b * (z1**3 - z0**3) / 3


def bending_loss(E, eta, *integrals):
    """Sum of loss x share of the bending energy over the regions."""
    return np.sum(bending_shares(E, *integrals) * eta, axis=-integrals[0].ndim)


def test_side_by_side_and_stacked():
    side = blocks([12, 2, 12, 2, 12], [20] * 5, [-20] * 5)
    E = np.array([12, 16, 10, 16, 12]) * 1e9
    assert bending_loss(E, [0.010, 0.008, 0.013, 0.008, 0.010], *side) == pytest.approx(0.010492, rel=1e-4)
    stack = blocks([40, 42], [16, 6], [0, 16])
    assert bending_loss([12e9, 14e9], [0.010, 0.007], *stack) == pytest.approx(0.008644, rel=1e-4)


def test_loss_is_that_of_the_complex_bending_stiffness():
    """Put E(1 + i eta) in the section sums: the phase of EI is the loss factor to first order in eta."""
    area, S, second = blocks([44, 44, 6], [17, 6, 9], [-17, 0, -9])
    E, eta = np.array([12e9, 14e9, 98e9]), np.array([0.009, 0.006, 0.003])
    Ec = E * (1 + 1j * eta)
    z_bar = np.sum(Ec * S) / np.sum(Ec * area)
    EI = np.sum(Ec * (second - 2 * z_bar * S + z_bar**2 * area))
    assert bending_loss(E, eta, area, S, second) == pytest.approx(EI.imag / EI.real, rel=1e-4)


def test_draws_and_stations_agree_with_one_at_a_time():
    rng = np.random.default_rng(3)
    area, S, second = (np.stack([a, 1.3 * a], axis=1) for a in blocks([44, 44], [17, 6], [-17, 0]))
    E, eta = rng.uniform(8e9, 16e9, (4, 2)), rng.uniform(0.004, 0.02, (4, 2))
    together = bending_loss(E[..., None], eta[..., None], area, S, second)
    assert together.shape == (4, 2)
    single = [[bending_loss(E[d], eta[d], area[:, s], S[:, s], second[:, s]) for s in range(2)]
              for d in range(4)]
    np.testing.assert_allclose(together, single, rtol=1e-13)


@given(
    E=st.lists(st.floats(1e8, 2e11), min_size=2, max_size=6),
    seed=st.integers(0, 999),
    lift=st.floats(-0.1, 0.1),
)
def test_shares_sum_to_one_and_loss_lies_between_the_pieces(E, seed, lift):
    rng = np.random.default_rng(seed)
    n = len(E)
    area, S, second = blocks(rng.uniform(2, 50, n), rng.uniform(1, 20, n), rng.uniform(-20, 20, n))
    eta = rng.uniform(0, 0.05, n)
    share = bending_shares(E, area, S, second)
    assert np.sum(share) == pytest.approx(1, abs=1e-12)
    assert np.all(share > 0)
    loss = bending_loss(E, eta, area, S, second)
    assert eta.min() - 1e-12 <= loss <= eta.max() + 1e-12
    # another origin for z
    moved = bending_loss(E, eta, area, S + lift * area, second + 2 * lift * S + lift**2 * area)
    assert moved == pytest.approx(loss, rel=1e-6)


@pytest.mark.parametrize("loss, word", [
    ([0.01, 1.0], "loss factor"), ([0.01, 80.0], "0.0125"), ([-0.1, 0.01], "accepted"),
    ([np.nan, 0.01], "accepted")
])
def test_impossible_loss_is_refused(loss, word):
    with pytest.raises(ValueError, match=word):
        loss_factor("loss factor", loss)


def test_section_without_stiffness_is_refused():
    with pytest.raises(ValueError, match="without stiffness"):
        bending_shares([0.0, 0.0], *blocks([40, 42], [16, 6], [0, 16]))


# --- whole necks ---

MAPLE, WENGE, EBONY = (Board(species(n)) for n in ("hard maple", "wenge", "ebony"))


def neck():
    return Neck(striped(MAPLE, WENGE, MAPLE, 5), Outline(), Back(), Fretboard(EBONY), Channel(),
                (Bar(-0.009), Bar(0.009)))


def test_composite_loss_of_one_wood_is_its_own():
    plain = replace(MAPLE, loss=0.0083)
    one = Neck(Layup([Stripe(plain, 0.06)]), Outline(), Back(), Fretboard(plain, slot_fill=0.3))
    assert composite_loss(one) == pytest.approx(0.0083, rel=1e-9)
    np.testing.assert_allclose(composite_loss(one, [0.05, 0.2, 0.4]), 0.0083, rtol=1e-9)


def test_composite_loss_is_the_phase_of_the_stiffness():
    """Perturb each wood's modulus by its loss: d ln(EI) / d ln(E) is its energy share, so the loss is the sum
    of shares times losses."""
    it = neck()
    step, found = 1e-5, 0.0
    base = section(it, [0.2]).EI[0]
    for i, board in enumerate(it.pieces):
        boards = list(it.pieces)
        boards[i] = replace(board, modulus=board.E_L * (1 + step))
        found += board.eta * (section(it.with_pieces(boards), [0.2]).EI[0] / base - 1) / step
    bars = replace(it, bars=tuple(replace(b, modulus=b.modulus * (1 + step)) for b in it.bars))
    found += it.bars[0].loss * (section(bars, [0.2]).EI[0] / base - 1) / step
    assert composite_loss(it, 0.2) == pytest.approx(found, rel=1e-4)


def test_composite_loss_of_draws():
    many = spread(neck(), 300, seed=5)
    assert (composite_loss(many).shape == (300,) and composite_loss(many, 0.2).shape == (300,)
            and composite_loss(many, [0.1, 0.2]).shape == (300, 2))
    assert np.median(composite_loss(many)) == pytest.approx(composite_loss(neck()), rel=0.05)
    with pytest.raises(ValueError, match="station"):
        composite_loss(neck(), -0.1)


def test_shares_of_a_neck_follow_bending_plane():
    x = np.array([0.1, 0.3])
    for across in ("z", "y"):
        names, share = stripe_shares(neck(), x, across)
        assert share.shape == (len(names), 2)
        np.testing.assert_allclose(share.sum(0), 1)
    side, normal = stripe_shares(neck(), x, "y")[1], stripe_shares(neck(), x)[1]
    assert np.all(side[0] > 2 * side[2])  # outer stripes rule sideways
    # the deep middle rules in the strings' plane
    assert np.all(normal[2] > normal[0])
    many = spread(neck(), 20, seed=1)
    np.testing.assert_allclose(stripe_shares(many, x)[1].sum(1), 1)
