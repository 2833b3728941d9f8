"""Torsion of the neck section: closed forms, energy bounds, reciprocity, and what it must not depend on."""

from dataclasses import dataclass, replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tonewood.neck.layup.neck import Back, Bar, Channel, Fretboard, Layup, Neck, Outline, Stripe
from tonewood.neck.section import torsion as torsion_module
from tonewood.neck.section.regions import slotted_shear
from tonewood.neck.section.section import regions, section, torsion
from tonewood.neck.section.shear import shear_stiffness
from tonewood.neck.section.stations import at_stations
from tonewood.neck.section.torsion import rectangle_constant
from tonewood.neck.section.twist import bending_twist
from tonewood.neck.section.warping import unit_twist
from tonewood.wood.board import Board, Seen
from tonewood.wood.elastic import Elastic, off_axis, orientation
from tonewood.wood.species import species

MM, GPA = 1e-3, 1e9
HARD = Elastic(E_L=12 * GPA, E_R=1.6 * GPA, E_T=0.8 * GPA, G_LR=1.3 * GPA, G_LT=0.8 * GPA, G_RT=0.25 * GPA,
               nu_LR=0.40, nu_LT=0.48, nu_RT=0.70)


@dataclass(frozen=True)
class Wood:
    """A round-number wood: what section and torsion ask of a board, no species table needed."""

    elastic: Elastic = HARD
    ring: float = 0.0
    run_out: float = 0.0
    slope: float = 0.0
    E_L: object = 12 * GPA
    rho: float = 700.0

    constants = None

    @property
    def species(self):
        return self

    @property
    def scale(self):
        return self.E_L / self.modulus

    @property
    def modulus(self):
        return self.elastic.E_L

    @property
    def draws(self):
        return len(self.E_L) if np.ndim(self.E_L) else None

    @property
    def Q(self):
        return orientation(*np.radians([self.ring, self.run_out, self.slope]))

    @property
    def seen(self):
        return Seen(self.elastic, "hardwood", *np.radians([self.ring, self.run_out, self.slope]))

    @property
    def E_x(self):
        return off_axis(self.elastic, self.Q).E_x * self.E_L / self.modulus

    @property
    def G_xz(self):
        return off_axis(self.elastic, self.Q).G_xz * self.E_L / self.modulus


def five(outer=Wood(), accent=Wood(ring=90), centre=Wood(E_L=10 * GPA), treble=None):
    woods = outer, accent, centre, accent, treble or outer
    return Layup([Stripe(w, width * MM) for w, width in zip(woods, (18, 2, 20, 2, 18), strict=True)])


FRETBOARD = Fretboard(Wood(ring=90, E_L=14 * GPA), 6 * MM, 2.5 * MM, 0.5)
CHANNEL = Channel(6 * MM, 10 * MM, 0.0, 0.44)
BARS = tuple(Bar(y * MM, width=3 * MM, depth=7 * MM) for y in (-9, 9))
NECK = Neck(five(), Outline(), Back("D"), FRETBOARD, CHANNEL, BARS)
NECKS = {"C": replace(NECK, back=Back("C")), "D": NECK, "V": replace(NECK, back=Back("V", 0.020, 0.022)),
         "no channel": replace(NECK, channel=None, bars=()),
         "one bar, off centre": replace(NECK, bars=BARS[:1]),
         "no slots": replace(NECK, fretboard=replace(FRETBOARD, slot_depth=0.0)),
         "rift stripes": replace(NECK, layup=five(Wood(ring=45), Wood(ring=-30)))}


def rectangle(width, height, region, stiffness, columns=16, rows=8):
    return unit_twist(np.linspace(-width / 2, width / 2, columns + 1) * MM,
                      lambda y: np.linspace(-height / 2, height / 2, rows + 1)[:, None] * MM + 0 * y,
                      region, stiffness)


# closed forms

def orthotropic_rectangle(width, height, G_xy, G_xz):
    """Stretched in y by sqrt(G_xz) and in z by sqrt(G_xy) it is the isotropic problem (Lekhnitskii)."""
    return rectangle_constant(width * np.sqrt(G_xz), height * np.sqrt(G_xy)) / np.sqrt(G_xy * G_xz)


def test_thin_strip_and_square_limits():
    assert rectangle_constant(1.0, 1e-3) == pytest.approx(1e-9 / 3 * (1 - 0.630e-3), rel=1e-5)
    assert rectangle_constant(1.0, 1.0) == pytest.approx(0.140577, rel=1e-5)


@settings(max_examples=30, deadline=None)
@given(st.floats(0.5, 50), st.floats(0.5, 50), st.floats(0.1, 5), st.floats(0.1, 5))
def test_orthotropic_rectangle_reduces_and_turns(width, height, G_xy, G_xz):
    assert orthotropic_rectangle(width, height, G_xy,
                                 G_xy) == pytest.approx(G_xy * rectangle_constant(width, height), rel=1e-9)
    assert orthotropic_rectangle(width, height, G_xy,
                                 G_xz) == pytest.approx(orthotropic_rectangle(height, width, G_xz, G_xy),
                                                        rel=1e-9)


@settings(max_examples=15, deadline=None)
@given(st.floats(0.3, 3), st.floats(0.3, 4))
def test_solver_equals_the_series_for_any_orthotropic_rectangle(aspect, ratio):
    width = 20 * aspect
    found = rectangle(width, 20, np.zeros((16, 16), int), [[1e9, ratio * 1e9, 0]], rows=16).GJ
    assert found == pytest.approx(orthotropic_rectangle(width * MM, 20 * MM, 1e9, ratio * 1e9), rel=1e-3)


def test_a_hole_carries_nothing():
    """Square tube, mid-line side s, thin wall t: GJ = G s^3 t (Bredt's thin-wall formula; corners add 1 %
    here)."""
    edges = np.array([-10.125, -9.875, -5, 0, 5, 9.875, 10.125])
    region = np.zeros((6, 6), int)
    region[1:-1, 1:-1] = -1
    tube = unit_twist(edges * MM, lambda y: edges[:, None] * MM + 0 * y, region, [[1e9, 1e9, 0]]).GJ
    assert tube == pytest.approx(20**3 * 0.25 * 1e9 * MM**4, rel=0.015)


@settings(max_examples=15, deadline=None)
@given(st.floats(-180, 180))
def test_cross_term_of_rift_wood_is_a_turned_orthotropic_stiffness(ring):
    """A round bar does not care how it is turned about its axis: GJ of rift wood equals that of the same wood
    flat-sawn."""
    C, _ = shear_stiffness(Wood(ring=ring))
    angle = np.linspace(-np.pi / 2, np.pi / 2, 17)

    def curves(y):
        half = np.sqrt(np.maximum((10 * MM) ** 2 - y**2, 1e-12))
        return np.linspace(-1, 1, 13)[:, None] * half

    def bar(stiffness):
        return unit_twist(10 * MM * np.sin(angle), curves, np.zeros((16, 12), int), [stiffness]).GJ

    # elliptic section of the stretched problem, no warping lost
    exact = np.pi * (10 * MM) ** 4 / (1 / (1.3 * GPA) + 1 / (0.8 * GPA))
    assert bar([0.8 * GPA, 1.3 * GPA, 0.0]) == pytest.approx(exact, rel=2e-3)
    assert bar(C) == pytest.approx(exact, rel=2e-3)


# the energy's own identities, on real sections

@pytest.mark.parametrize("name", NECKS)
def test_unit_twist_is_in_balance(name):
    t = torsion(NECKS[name], [0.05, 0.2, 0.45])
    assert t.shares.sum(0) == pytest.approx(np.ones(3), abs=1e-9)
    assert (t.shares >= 0).all()
    moment = (t.shear_xz_y - t.shear_xy_z).sum(0)  # moment of the shear stresses about x
    assert moment == pytest.approx(t.reference, rel=1e-3)
    edge = t.reference / (20 * MM)
    assert np.abs(t.shear_xy.sum(0)).max() < 2e-3 * edge.min()  # no net shear force either way
    assert np.abs(t.shear_xz.sum(0)).max() < 2e-3 * edge.min()


@pytest.mark.parametrize("name", NECKS)
def test_interpolated_stations_equal_solved_ones(name):
    neck = NECKS[name]
    x = np.array([0.0, 0.03, 0.11, 0.2, 0.33, 0.44, 0.4401, 0.46])
    t, parts = torsion(neck, x), regions(neck, x)
    C = at_stations(neck, x).shear_stiffness
    slot = None if parts.slotted is None else torsion_module._slot(neck)
    for k, at in enumerate(x):
        integrals = torsion_module._station(neck.geometry, C, slot, at, at)[:3]
        weight = np.ones(len(C))
        if parts.slotted is not None:
            weight[parts.slotted] = slotted_shear(neck.fret_pitch(at), neck.fretboard.slot_depth, slot[1],
                                                  0.5)
        assert t.GJ[k] == pytest.approx((integrals.T * C * weight[:, None]).sum(), rel=7e-4)


def test_a_channel_that_ends_with_the_last_fret_to_a_rounding():
    """The neck of a channel that ends a rounding before or behind is the neck of one that ends there."""
    neck = NECK
    ends = [neck.end + off for off in (-1e-15, 0.0, 1e-15)]
    found = [torsion(replace(neck, channel=Channel(end=end)), neck.stations(16)).GJ for end in ends]
    assert np.all(np.isfinite(found)) and np.max(np.abs(np.diff(found, axis=0))) == pytest.approx(0, abs=1e-6)


def test_stiffness_scales_with_the_moduli_and_finds_the_solved_section_again():
    neck = replace(NECK, bars=())
    soft = torsion(neck).GJ
    before = torsion_module._solved.cache_info().misses
    stiff = neck.with_pieces([replace(b, E_L=1.37 * b.E_L) for b in neck.pieces])
    assert torsion(stiff).GJ == pytest.approx(1.37 * soft, rel=1e-12)
    assert torsion_module._solved.cache_info().misses == before


def test_shares_are_the_sensitivities():
    """1 % more modulus in one piece raises GJ by 1 % of its share (energy theorem), here within 2 % of
    that."""
    base = torsion(NECK, [0.2])
    for piece in range(len(NECK.pieces)):
        changed = [replace(b, E_L=1.01 * b.E_L) if k == piece else b for k, b in enumerate(NECK.pieces)]
        own = [r for r, p in enumerate(regions(NECK, [0.2]).piece) if p == piece]
        gain = torsion(NECK.with_pieces(changed), [0.2]).GJ / base.GJ - 1
        assert gain == pytest.approx(0.01 * base.shares[own].sum(0), rel=0.02, abs=1e-6)


def test_bounds_hold_the_true_value_of_every_draw():
    """Draws of 22 % spread: each draw, solved on its own, lies between its bounds; the mean of the bounds is
    off by 0.8 % (standard deviation)."""
    rng = np.random.default_rng(3)
    boards = [replace(b, E_L=b.E_L * np.exp(0.22 * rng.standard_normal(40))) for b in NECK.pieces]
    many = torsion(NECK.with_pieces(boards), [0.1, 0.3])
    assert many.GJ.shape == many.error.shape == (40, 2)
    off = []
    for d in range(40):
        one = torsion(NECK.with_pieces([replace(b, E_L=b.E_L[d]) for b in boards]), [0.1, 0.3])
        assert (np.abs(many.GJ[d] / one.GJ - 1) <= many.error[d] + one.error + 1e-3).all()
        off.append(many.GJ[d] / one.GJ - 1)
    assert np.std(off) < 0.012
    assert 0.005 < np.max(many.error) < 0.15


def test_one_neck_or_equal_draws_same_answer():
    boards = [replace(b, E_L=np.full(3, b.E_L)) for b in NECK.pieces]
    many, one = torsion(NECK.with_pieces(boards)), torsion(NECK)
    assert many.GJ == pytest.approx(np.broadcast_to(one.GJ, (3, 40)), rel=1e-12)
    filled = replace(NECK, fretboard=replace(FRETBOARD, slot_fill=np.array([0.0, 0.5, 1.0])))
    by_fill = torsion(filled).GJ
    assert by_fill[1] == pytest.approx(one.GJ, rel=1e-12)
    assert (by_fill[0] < by_fill[1]).all() and (by_fill[1] < by_fill[2]).all()


# what the shop asks

def test_channel_bars_and_slots_change_it_the_right_way():
    x = [0.2]
    plain = replace(NECK, channel=None, bars=(), fretboard=replace(FRETBOARD, slot_depth=0.0))
    GJ = torsion(plain, x).GJ
    with_channel = torsion(replace(plain, channel=CHANNEL), x).GJ
    assert 0.90 * GJ < with_channel < 0.999 * GJ
    assert torsion(replace(plain, bars=BARS), x).GJ > GJ
    assert torsion(replace(plain, fretboard=FRETBOARD), x).GJ < GJ
    assert 50 < torsion(NECK, x).GJ[0] < 150  # N m2: what a neck has


def test_channel_ends_where_it_ends():
    GJ = torsion(NECK, [0.4399, 0.44, 0.4401]).GJ
    assert GJ[1] == pytest.approx(GJ[0], rel=2e-3)
    assert GJ[2] > 1.01 * GJ[1]


@pytest.mark.parametrize("ratio, pitch, depth", [(1.0, 13, 2.5), (1.0, 18, 3.5), (2.0, 20, 3.0)])
@pytest.mark.parametrize("times", [2.0, 4.0])
def test_slots_in_twist_follow_a_stretched_board(ratio, pitch, depth, times):
    """Independently derived: the shear displacement obeys G_xy v_xx + G_yz v_zz = 0, so a board of `times`
    the ratio is the first one stretched along by the root of it; the fit says so within its worst error."""
    share, stretched = (slotted_shear(np.sqrt(k) * pitch * MM, depth * MM, k * ratio, 0.0)
                        for k in (1.0, times))
    assert stretched == pytest.approx(share, abs=0.04)


@pytest.mark.parametrize("ratio, pitch, depth",
                         [(1.0, 25, 2.5), (3.2, 13, 3.5), (3.2, 35, 2.0), (8.0, 18, 3.0)])
def test_slotted_layer_limits(ratio, pitch, depth):
    share = slotted_shear(pitch * MM, depth * MM, ratio, 0.0)
    assert 0 < share < 1
    assert slotted_shear(pitch * MM, depth * MM, ratio, 1.0) == 1.0
    assert slotted_shear(2 * pitch * MM, depth * MM, ratio,
                         0.0) > share > slotted_shear(pitch * MM, 1.5 * depth * MM, ratio, 0.0)
    assert slotted_shear(100.0, depth * MM, ratio, 0.0) == pytest.approx(1.0, abs=1e-3)


# reciprocity: moisture and load

def test_twist_from_opposed_run_out():
    """Block 44 x 20 mm, halves with 3 degrees of run-out either way, 4 % moisture change; independently
    derived from the stress function's series."""
    region = (np.arange(16) >= 8).astype(int)[:, None] * np.ones((1, 8), int)
    t = rectangle(44, 20, region, [[1e9, 1e9, 0]] * 2)
    free = 2 * (0.00165 - 5e-5) * np.sin(np.radians(3)) * np.cos(np.radians(3)) * 4
    assert free == pytest.approx(6.690e-4, rel=1e-4)
    rate = (t.flow[1] * [-free, free]).sum() / t.GJ
    assert rate == pytest.approx(0.019968, rel=1e-3)
    assert np.degrees(rate * 0.45) == pytest.approx(0.515, abs=1e-3)
    assert rate * 0.45 * 44 == pytest.approx(0.40, abs=0.01)  # mm from edge to edge


def test_twist_of_a_sloped_block_under_bending():
    """Grain sloped 5 degrees in a 44 x 20 mm block bent by 5.5 N m: theta' = s'_16 M / 2I (displacement
    solution of the Lekhnitskii type)."""
    wood = Wood(slope=5.0)
    seen, C = off_axis(HARD, wood.Q), shear_stiffness(wood)[0]
    inertia = 0.044 * 0.020**3 / 12
    t = rectangle(44, 20, np.zeros((16, 8), int), [C])
    rate = abs(seen.coupling_xy * 5.5 / (seen.E_x * inertia) * t.flow_z[0, 0] / t.GJ)
    assert rate == pytest.approx(0.00819, rel=2e-3)
    assert rate == pytest.approx(abs(seen.coupling_xy) / seen.E_x * 5.5 / (2 * inertia), rel=1e-3)
    assert np.degrees(rate * 0.45) == pytest.approx(0.211, abs=1e-3)


def test_sloped_stripes_twist_under_string_pull_unless_mirrored():
    sloped, other, straight = Wood(slope=4), Wood(slope=-4), Wood()
    x = [0.1, 0.3]
    both = bending_twist(replace(NECK, layup=five(outer=sloped)), 5.5, 450.0, x)
    back = bending_twist(replace(NECK, layup=five(outer=other)), 5.5, 450.0, x)
    mirrored = bending_twist(replace(NECK, layup=five(outer=sloped, treble=other)), 5.5, 0.0, x)
    assert (np.abs(both) > 4e-4).all()  # about 0.02 degrees along the neck
    assert back == pytest.approx(-both, rel=1e-6)
    assert np.abs(mirrored).max() < 1e-3 * np.abs(both).max()
    assert bending_twist(replace(NECK, layup=five(outer=straight)), 5.5, 450.0, x) == pytest.approx([0, 0],
                                                                                                    abs=1e-12)


def test_run_out_alike_on_both_sides_does_not_twist_under_string_pull():
    neck = replace(NECK, layup=five(outer=Wood(run_out=4)))
    sloped = replace(NECK, layup=five(outer=Wood(slope=4)))
    assert np.abs(bending_twist(neck, 5.5, 450.0)).max() < 1e-3 * np.abs(bending_twist(sloped, 5.5,
                                                                                       450.0)).max()


def test_twist_rate_of_a_symmetric_neck_and_of_opposed_sides():
    t = torsion(NECK)
    none = np.zeros(len(t.names))
    alike, opposed = none.copy(), none.copy()
    alike[[0, 4]] = 1e-3
    opposed[[0, 4]] = -1e-3, 1e-3
    assert np.abs(t.twist_rate(none, alike)).max() < 1e-3 * np.abs(t.twist_rate(none, opposed)).min()
    assert (t.twist_rate(none, opposed) > 0).all()  # treble side wants to rise along x: y turns towards z
    draws = t.twist_rate(np.tile(none, (3, 1)), opposed * np.array([[1], [2], [-1]]))
    assert draws.shape == (3, 40)
    assert draws[1] == pytest.approx(2 * draws[0]) and draws[2] == pytest.approx(-draws[0])


def test_real_boards_with_draws_in_angle_and_stiffness():
    """Draws may sit in the angles too: every draw equals the neck built with that one angle, within its
    bounds."""
    maple, angles = species("hard maple"), np.radians([0.0, 4.0, 8.0])
    neck = Neck(Layup([Stripe(Board(maple, slope=angles), 60 * MM)]), Outline(), Back("C"),
                Fretboard(Board(species("indian rosewood"))), CHANNEL)
    many, s = torsion(neck, [0.2]), section(neck, [0.2])
    assert s.GJ == pytest.approx(many.GJ)
    turn = bending_twist(neck, 5.5, 450.0, [0.2])
    assert many.GJ.shape == turn.shape == (3, 1)
    for k, angle in enumerate(angles):
        one = replace(neck, layup=Layup([Stripe(Board(maple, slope=angle), 60 * MM)]))
        assert abs(many.GJ[k, 0] / torsion(one, [0.2]).GJ[0] - 1) <= many.error[k, 0] + 1e-3
        assert turn[k] == pytest.approx(bending_twist(one, 5.5, 450.0, [0.2]), rel=0.02, abs=1e-9)
    assert turn[0] == pytest.approx(0, abs=1e-9) and abs(turn[2, 0]) > abs(turn[1, 0]) > 1e-3
    assert 0.1 < many.GJ[0, 0] / s.EI[0, 0] < 0.5


def test_wrong_inputs_are_named():
    t = torsion(NECK, [0.1])
    with pytest.raises(ValueError, match="gamma_xz.*9 regions"):
        t.twist_rate(np.zeros(9), np.zeros(4))
    with pytest.raises(ValueError, match="station.*accepted"):
        torsion(NECK, [300.0])
    with pytest.raises(ValueError, match="side"):
        rectangle_constant(-0.04, 0.02)
    with pytest.raises(ValueError, match="mesh"):
        unit_twist([0.0, 0.0, 1.0], lambda y: np.array([[0.0], [1.0]]) + 0 * y, np.zeros((2, 1), int),
                   [[1.0, 1.0, 0.0]])


def test_table_names_its_units():
    table = torsion(NECK, [0.1, 0.2]).table()
    assert list(table["x (mm)"]) == [100.0, 200.0]
    assert table["GJ (N·m²)"].to_numpy() == pytest.approx(torsion(NECK, [0.1, 0.2]).GJ)
    assert table.filter(like="share of").sum(axis=1).to_numpy() == pytest.approx([100, 100])
