"""Loss factor in twist against complex moduli put into a torsion solution of another package, and closed
forms.

The reference: scikit-fem (T. Gustafsson and G. D. McBain, Journal of Open Source Software 5 (2020) 2369) for
mesh, shape functions and sums; the warping of Saint-Venant's torsion is solved with complex moduli, and the
phase of the complex GJ is the loss factor. It knows nothing of energy shares.
"""

from dataclasses import replace
from operator import itemgetter

import numpy as np
import pytest
from skfem import Basis, BilinearForm, ElementQuad2, Functional, LinearForm, MeshQuad, condense
from skfem import solve as skfem_solve

from tonewood.neck.layup.neck import Bar, Fretboard, example_neck, spread
from tonewood.neck.section.damping import twisting_loss
from tonewood.neck.section.section import regions, torsion
from tonewood.neck.section.shear import lost_in_shear
from tonewood.neck.section.torsion import rectangle_constant
from tonewood.neck.section.warping import unit_twist
from tonewood.wood.board import Board
from tonewood.wood.elastic import rotate_compliance
from tonewood.wood.loss import losses
from tonewood.wood.species import species

MM = 1e-3


def complex_GJ(neck, x, columns=60, rows=20, board_rows=8):
    """GJ of the neck at x with complex moduli: no channel, no slots, one wood a stripe; mesh of its own."""
    a, depth, top = float(neck.outline.width(x)) / 2, float(neck.back.depth(x)), neck.fretboard.thickness
    edges = np.clip(neck.layup.edges, -a, a)
    spread_out = a * np.sin(np.linspace(-np.pi / 2, np.pi / 2, columns + 1))
    spread_out = np.unique(np.round(np.concatenate([spread_out, edges]), 8))
    u = np.concatenate([np.linspace(-1, 0, rows + 1), np.linspace(0, 1, board_rows + 1)[1:]])
    mesh = MeshQuad.init_tensor(spread_out, u)
    y, height = mesh.p
    floor = np.maximum(-neck.back.surface(y, a, depth), 1e-3 * depth)
    mesh = MeshQuad(np.array([y, np.where(height < 0, height * floor, height * top)]), mesh.t)
    y_mid, z_mid = mesh.p[:, mesh.t].mean(axis=1)
    piece = np.where(z_mid > 0, len(neck.pieces) - 1,
                     np.clip(np.searchsorted(edges, y_mid) - 1, 0, len(neck.pieces) - 2))
    moduli = []
    for board in neck.pieces:
        eta = losses(board.eta_L, board.species.group)
        assert not np.any([board.run_out, board.slope, np.sin(2 * board.ring_angle) > 1e-9])
        G = np.array([board.G_xy, board.G_xz])
        loss = [eta.LT, eta.LR] if board.ring_angle == 0 else [eta.LR, eta.LT]
        moduli.append(G * (1 + 1j * np.array(loss)))
    G = np.array(moduli)[piece].T[..., None]
    basis = Basis(mesh, ElementQuad2(), intorder=5)

    @BilinearForm(dtype=complex)
    def stiffness(w, v, at):
        return G[0] * w.grad[0] * v.grad[0] + G[1] * w.grad[1] * v.grad[1]

    @LinearForm(dtype=complex)
    def load(v, at):
        return G[0] * at.x[1] * v.grad[0] - G[1] * at.x[0] * v.grad[1]

    w = skfem_solve(*condense(stiffness.assemble(basis), load.assemble(basis), D=np.array([0])))

    @Functional(dtype=complex)
    def moment(at):
        slope = at["w"].grad
        return -at.x[1] * G[0] * (slope[0] - at.x[1]) + at.x[0] * G[1] * (slope[1] + at.x[0])

    return moment.assemble(basis, w=basis.interpolate(w))


WOODS = {"maple": Board(species("hard maple"), loss=0.008), "walnut": Board(species("walnut"), loss=0.012),
         "lossy board": Board(species("hard maple"), np.pi / 2, loss=0.030)}


def neck_of(stripes, board):
    plain = replace(example_neck(), channel=None,
                    fretboard=Fretboard(board, 6 * MM, 0.0))
    layup = plain.layup
    each = layup.width / len(stripes)
    return replace(plain, layup=type(layup)([replace(layup.stripes[0], board=b, width=each)
                                             for b in stripes]))


@pytest.mark.parametrize("stripes, board", [(["maple"], "lossy board"), (["lossy board"], "maple"),
                                            (["maple", "walnut", "lossy board"], "walnut")])
def test_loss_is_the_phase_of_a_complex_torsion_solution(stripes, board):
    neck = neck_of([WOODS[name] for name in stripes], WOODS[board])
    found = complex_GJ(neck, 0.2)
    assert torsion(neck, [0.2]).GJ[0] == pytest.approx(found.real, rel=0.006)
    assert twisting_loss(neck, [0.2])[0] == pytest.approx(found.imag / found.real, rel=0.006)


def test_one_wood_loses_as_it_does_in_shear():
    one = WOODS["maple"]
    neck = neck_of([one] * 3, one)
    assert twisting_loss(neck, [0.1, 0.3]) == pytest.approx(losses(one.eta_L, "hardwood").LR, rel=1e-9)


def test_wide_thin_layers_lose_as_a_layered_plate():
    """A plate of two layers, far wider than thick: GJ = 4 b D with D = sum of G_xy times the second moment
    about the shear-weighted middle (laminated plates); its complex form gives the loss. The edges are off, as
    in the rectangle."""
    thin, wide = 2 * MM, 0.2
    G, eta = np.array([1.0e9, 0.7e9]), np.array([0.02, 0.06])
    stiffness = np.array([[g, g, 0.0] for g in G])
    region = np.array([[0] * 3 + [1] * 3] * 24)
    edges = wide / 2 * np.sin(np.linspace(-np.pi / 2, np.pi / 2, 25))
    found = unit_twist(edges, lambda y: np.linspace(0, thin, 7)[:, None] + 0 * y, region, stiffness)
    by_energy = (stiffness * (found.strain.T * eta[:, None])).sum() / found.GJ
    Gc, low, high = G * (1 + 1j * eta), np.array([0, thin / 2]), np.array([thin / 2, thin])
    middle = np.sum(Gc * (high**2 - low**2) / 2) / np.sum(Gc * (high - low))
    D = np.sum(Gc * ((high - middle) ** 3 - (low - middle) ** 3) / 3)
    assert found.GJ == pytest.approx(4 * wide * D.real, rel=0.012)
    assert by_energy == pytest.approx(D.imag / D.real, rel=0.01)
    assert rectangle_constant(wide, thin) == pytest.approx(wide * thin**3 / 3, rel=0.01)


def test_turned_wood_loses_by_each_term():
    """Rings aslant and grain that runs out mix all terms: each modulus is lowered by a little of its own
    loss, and the turned compliance must grow by what is lost."""
    wood = species("hard maple")
    board = Board(wood, 0.4, np.radians(12.0), np.radians(5.0), loss=0.01)
    each = losses(board.eta_L, wood.group)
    e, q = wood.elastic, board.Q
    terms = {"E_L": each.L, "E_R": each.R, "E_T": each.T, "G_LR": each.LR, "G_LT": each.LT, "G_RT": each.RT}
    S = replace(e, **{name: getattr(e, name) * (1 - 1e-4 * loss) for name, loss in terms.items()})
    grown = (rotate_compliance(S.compliance, q) - rotate_compliance(e.compliance, q)) / 1e-4
    scale = wood.modulus / board.E_L
    expected = np.array([grown[5, 5], grown[4, 4], grown[4, 5]]) * scale
    np.testing.assert_allclose(lost_in_shear(board), expected, rtol=1e-3)


def test_a_lossy_fretboard_counts_by_its_share_and_draws_agree():
    base = neck_of([WOODS["maple"]], WOODS["maple"])
    lossy = replace(base, fretboard=replace(base.fretboard, board=replace(WOODS["maple"], loss=0.016)))
    board = [r for r, p in enumerate(regions(base, [0.2]).piece) if p == 1]
    share = torsion(base, [0.2]).shares[board].sum()
    assert twisting_loss(lossy, [0.2])[0] == pytest.approx(
        losses(0.008, "hardwood").LR * (1 + share), rel=0.01)
    assert share > 0.2
    many = spread(example_neck(), 6, seed=3)
    together = twisting_loss(many, [0.1, 0.2])
    assert together.shape == (6, 2)
    for d in (0, 5):
        single = many.with_pieces([replace(b, modulus=b.E_L[d], density=b.rho[d], loss=b.eta_L[d],
                                           swelling=None,
                                           constants=b.constants and b.constants.mapped(itemgetter(d)))
                                   for b in many.pieces])
        np.testing.assert_allclose(twisting_loss(single, [0.1, 0.2]), together[d], rtol=0.01)


def test_a_bar_of_little_loss_lowers_it():
    neck = example_neck()
    barred = replace(neck, channel=None, bars=(Bar(-9 * MM), Bar(9 * MM)))
    assert twisting_loss(barred, [0.2])[0] < twisting_loss(replace(neck, channel=None), [0.2])[0]


def test_rift_wood_loses_what_its_stiffness_in_twist_falls_by():
    """Rings at 40° and grain that runs out tie the two shears together. Where every modulus falls by a
    ten-thousandth of its own loss, GJ falls by a ten-thousandth of the section's (complex moduli to first
    order; the torsion itself is held against another package elsewhere)."""
    wood = species("hard maple")
    board = Board(wood, np.radians(40.0), np.radians(12.0), np.radians(5.0), loss=0.01)
    each, e = losses(board.eta_L, wood.group), wood.elastic
    terms = {"E_L": each.L, "E_R": each.R, "E_T": each.T, "G_LR": each.LR, "G_LT": each.LT, "G_RT": each.RT}
    softer = replace(e, **{name: getattr(e, name) * (1 - 1e-4 * loss) for name, loss in terms.items()})
    soft = replace(board, constants=softer)
    whole, fallen = (torsion(neck_of([b] * 2, b), [0.2]).GJ[0] for b in (board, soft))
    assert twisting_loss(neck_of([board] * 2, board), [0.2])[0] == pytest.approx(
        (1 - fallen / whole) / 1e-4, rel=2e-3)
