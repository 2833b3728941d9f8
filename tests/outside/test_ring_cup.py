"""Cup of boards with round rings against plane finite elements that are stiff in polar directions.

Outside means: scikit-fem (T. Gustafsson and G. D. McBain, Journal of Open Source Software 5 (2020) 2369) for
mesh, shape functions and quadrature; stiffness and free strain turn with the rings at every point, nothing
in it knows of cup, layers or rays. Second check: the construction by hand, a ray from the pith turns by its
share.
"""

import numpy as np
import pytest
from skfem import Basis, BilinearForm, ElementQuad2, ElementVector, LinearForm, MeshQuad, condense
from skfem import solve as skfem_solve

from tonewood.neck.layup.neck import Fretboard, Layup, Neck, Outline, Stripe
from tonewood.neck.layup.shapes import Back
from tonewood.neck.seasons.movement import movement
from tonewood.neck.seasons.within_board import ring_cup
from tonewood.wood.board import Board
from tonewood.wood.species import species
from tonewood.wood.within import Growth, free_cup

MAPLE, CHANGE = species("hard maple"), -0.02


def pulled(width, low, high, woods, columns=16, rows=8, seam=None):
    """Displacements of a rectangle width x (low to high), m, cut into woods: [(z from, board, growth, z of
    its middle)]; returns rise of the edges over the middle at the top, m, and the largest stress, Pa."""
    z = np.linspace(low, high, rows + 1)
    if seam is not None:
        z = np.unique(np.concatenate([np.linspace(low, seam, rows + 1),
                                      np.linspace(seam, high, rows // 2 + 1)]))
    mesh = MeshQuad.init_tensor(np.linspace(-width / 2, width / 2, columns + 1), z)
    basis = Basis(mesh, ElementVector(ElementQuad2()), intorder=5)

    def at(x):
        """Stiffness (3, 3, ...) and free strain (3, ...) in yy, zz, yz at points."""
        C, free = np.zeros((3, 3) + x[0].shape), np.zeros((3,) + x[0].shape)
        for start, board, grown, middle in woods:
            here = x[1] >= start - 1e-12
            Y = x[0] * grown.bark + grown.pith * np.sin(board.ring_angle)
            Z = (x[1] - middle) * grown.bark + grown.pith * np.cos(board.ring_angle)
            angle = np.arctan2(Y, Z)                              # of R from z towards y
            e = board.elastic
            S = np.array([[1 / e.E_R, -e.nu_RT / e.E_R, 0], [-e.nu_RT / e.E_R, 1 / e.E_T, 0],
                          [0, 0, 1 / e.G_RT]])
            s, c = np.sin(angle), np.cos(angle)                   # R = (s, c), T = (c, -s)
            turn = np.array([[s * s, c * c, s * c], [c * c, s * s, -s * c],
                             [2 * s * c, -2 * s * c, c * c - s * s]])
            # strain in (R, T, RT) = turn @ strain in (y, z, yz)
            own = np.einsum("ai...,ab,bj...->ij...", turn, np.linalg.inv(S), turn)
            _, C_R, C_T = board.species.swelling
            wants = CHANGE * np.stack([C_R * s * s + C_T * c * c, C_R * c * c + C_T * s * s,
                                       2 * (C_R - C_T) * s * c])
            C, free = np.where(here, own, C), np.where(here, wants, free)
        return C, free

    def strain(u):
        return np.stack([u.grad[0, 0], u.grad[1, 1], u.grad[0, 1] + u.grad[1, 0]])

    @BilinearForm
    def stiffness(u, v, w):
        return np.einsum("i...,ij...,j...->...", strain(v), at(w.x)[0], strain(u))

    @LinearForm
    def load(v, w):
        C, free = at(w.x)
        return np.einsum("i...,ij...,j...->...", strain(v), C, free)

    def unknown(y, z, part):
        near = np.hypot(basis.doflocs[0] - y, basis.doflocs[1] - z) < 1e-9
        return np.flatnonzero(near)[part]

    held = np.array([unknown(0, low, 0), unknown(0, low, 1), unknown(0, high, 0)])
    u = skfem_solve(*condense(stiffness.assemble(basis), load.assemble(basis), D=held))
    C, free = at(basis.global_coordinates())
    stress = np.einsum("ij...,j...->i...", C, strain(basis.interpolate(u)) - free)
    edges = [u[unknown(side * width / 2, high, 1)] for side in (-1, 1)]
    return np.mean(edges) - u[unknown(0, high, 1)], float(np.abs(stress).max())


@pytest.mark.parametrize("ring, pith, bark", [(0.0, 0.06, 1.0), (0.0, 0.25, 1.0), (0.0, 0.06, -1.0),
                                              (0.6, 0.08, 1.0), (1.2, 0.10, -1.0)])
def test_a_free_board_cups_as_its_rings_pull_straight(ring, pith, bark):
    board, grown = Board(MAPLE, ring), Growth(pith=pith, bark=bark)
    found, stress = pulled(0.050, -0.003, 0.003, [(-1.0, board, grown, 0.003)])
    # the distance to the pith is told at the face that is read
    assert found == pytest.approx(float(free_cup(board, grown, 0.050, CHANGE)), rel=0.01, abs=2e-8)
    assert stress < 1e4                                    # Pa; held straight it would be megapascals


def test_by_hand_and_by_the_rays():
    """w^2 (C_T - C_R) change / (4 R) for flat-sawn wood, cos^3 of the ring angle of it for others; and points
    moved along exactly turned rays."""
    _, C_R, C_T = MAPLE.swelling
    for pith in (0.10, 0.3):
        by_hand = 0.030**2 * (C_T - C_R) * 0.02 / (4 * pith)
        for ring in (0.0, 0.5, 1.0, np.pi / 2):
            assert free_cup(Board(MAPLE, ring), Growth(pith=pith), 0.030, CHANGE) == pytest.approx(
                by_hand * np.cos(ring) ** 3, rel=0.1, abs=1e-9)
        y = np.array([-0.015, 0.0, 0.015])
        theta, r = np.arctan2(y, pith), np.hypot(y, pith)
        turned = theta * (1 + C_T * CHANGE) / (1 + C_R * CHANGE)
        z = r * (1 + C_R * CHANGE) * np.cos(turned)
        exact = (z[0] + z[2]) / 2 - z[1]
        assert free_cup(Board(MAPLE), Growth(pith=pith), 0.030, CHANGE) == pytest.approx(exact, rel=0.01)
    near, far = (free_cup(Board(MAPLE), Growth(pith=pith), 0.06, CHANGE) for pith in (0.04, 0.25))
    assert near > 5 * far > 0 > free_cup(Board(MAPLE), Growth(pith=0.04, bark=-1.0), 0.06, CHANGE)
    with pytest.raises(ValueError, match="beyond the pith"):
        free_cup(Board(MAPLE, np.pi / 2), Growth(pith=0.02), 0.06, CHANGE)


@pytest.mark.parametrize("pith", [0.06, 0.15])
def test_what_rings_add_to_the_cup_of_a_glued_neck(pith):
    """A block of flat-sawn maple under a fretboard: elements with round rings less elements with straight
    ones, against the two-layer strip. As wide as 2.7 times its height: within a tenth."""
    block, board = Board(MAPLE, moisture=0.07), Board(MAPLE, np.pi / 2, moisture=0.07)
    neck = Neck(Layup((Stripe(block, 0.060),)), Outline(0.050, 0.050),
                Back("D", 0.0125, 0.0125, exponent=20.0), Fretboard(board, 0.006, 0.0))
    moved = movement(neck, 0.08, 0.06)
    depth = float(np.delete(moved.here.regions.area, moved.here.fretboard_regions, axis=0).sum(0)[0]) / 0.050
    grown, straight = Growth(pith=pith), Growth(pith=1.9)
    rows = [pulled(0.050, -depth, 0.006, [(-1.0, block, g, -depth / 2), (0.0, board, straight, 0.003)],
                   seam=0.0)[0] for g in (grown, straight)]
    told = [float(ring_cup(moved, [g, straight])) for g in (grown, straight)]
    assert told[0] - told[1] == pytest.approx(rows[0] - rows[1], rel=0.10)
    assert told[0] > 0
    with pytest.raises(ValueError, match="growth: 1 given"):
        ring_cup(moved, [grown])


def test_slanting_straight_rings_make_a_roof_of_mirrored_stripes():
    """Two mirrored rift stripes want to shear either way: left alone, the roof of two diamonds, half the
    width times the shear; quarter-sawn and flat stripes with straight rings do not."""
    def of(rings):
        neck = Neck(Layup([Stripe(Board(MAPLE, ring), 0.030) for ring in rings]), Outline(0.050, 0.050),
                    Back("D", 0.0125, 0.0125), Fretboard(Board(MAPLE, np.pi / 2), 0.001, 0.0))
        return float(ring_cup(movement(neck, 0.08, 0.06), [None] * 3))

    _, C_R, C_T = MAPLE.swelling
    roof = 0.025 * (C_T - C_R) * abs(CHANGE)            # at 45 degrees each half shears by (C_T - C_R) change
    assert abs(of([np.pi / 4, -np.pi / 4])) == pytest.approx(roof, rel=0.05)
    assert of([np.pi / 4, -np.pi / 4]) == pytest.approx(-of([-np.pi / 4, np.pi / 4]), rel=1e-9)
    assert of([np.pi / 4, np.pi / 4]) == pytest.approx(0.0, abs=1e-9)
    assert of([0.0, np.pi / 2]) == pytest.approx(0.0, abs=1e-9)
