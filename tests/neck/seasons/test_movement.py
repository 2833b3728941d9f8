"""Movement of whole necks: checks by other means, directions, balance, and refusals."""

from dataclasses import replace
from operator import itemgetter

import numpy as np
import pytest
from hypothesis import given, settings
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
from tonewood.neck.load.relief import relief
from tonewood.neck.seasons.movement import _lengthwise, movement, piece_moisture
from tonewood.neck.section.torsion import rectangle_constant
from tonewood.neck.section.warping import unit_twist
from tonewood.strings.sets import string_set
from tonewood.wood.board import Board
from tonewood.wood.facts import Fact
from tonewood.wood.moisture import dimension_change
from tonewood.wood.species import Species, species

MAPLE, WALNUT, EBONY = species("hard_maple"), species("black_walnut"), species("african_ebony")
QUARTER = np.pi / 2
EVEN = (5e-3, 0.165, 0.353)                                # swelling of round numbers


def hard_wood(**changes):
    """A round-number wood: E 12, 1.6, 0.8, G 1.3, 0.8, 0.25 GPa, Poisson 0.40, 0.48, 0.70; no change of
    stiffness with moisture."""
    values = {"modulus": 12.0, "density": 700.0, "E_R_ratio": 1.6 / 12, "E_T_ratio": 0.8 / 12,
              "G_LR_ratio": 1.3 / 12, "G_LT_ratio": 0.8 / 12,
              "G_RT_ratio": 0.25 / 12, "nu_LR": 0.40, "nu_LT": 0.48, "nu_RT": 0.70, "green_ratio": 1.0,
              "intersection_moisture": 25.0,
              "fibre_saturation": 30.0, "movement_longitudinal": 5e-5, "movement_radial": 1.65e-3,
              "movement_tangential": 3.53e-3}
    facts = {k: Fact(property=k, value=v, unit="", source="derived", place="", status="estimated") for k,
             v in (values | changes).items()}
    return Species(key="round", name="round numbers", botanical="", group="hardwood", uses=("neck",),
                   synonyms=(), loss_class="ordinary", facts=facts, alternatives={}, cautions=())


def block(stripes, board, depth=0.020, thickness=0.006, width=0.044, **more):
    """A neck of even, nearly rectangular section with an unslotted board."""
    total = sum(w for _, w in stripes)
    assert total >= width - 1e-12
    return Neck(Layup(tuple(Stripe(b, w) for b, w in stripes)), Outline(width, width),
                Back("D", depth, depth, exponent=20.0),
                Fretboard(board, thickness, slot_depth=0.0), frets=24, **more)


def player(count=7, neck_wood=MAPLE, board=None, **more):
    quarter = Board(neck_wood, ring_angle=QUARTER)
    lay = striped(quarter, Board(WALNUT, ring_angle=QUARTER), quarter, count)
    return Neck(lay, Outline(), Back(), Fretboard(board or Board(EBONY)), Channel(), **more)


@pytest.mark.parametrize("ring, run_out, expected", [
    (45, 0, (5e-5, 2.59e-3, 2.59e-3, 0, 1.88e-3)), (0, 5, (6.2154e-5, 3.53e-3, 1.6378e-3, 2.7784e-4, 0)),
    (90, 5, (7.6435e-5, 1.65e-3, 3.5036e-3, 6.0430e-4, 0))])
def test_swelling_of_a_turned_board(ring, run_out, expected):
    """Independently derived: tensor rotation by hand."""
    board = Board(hard_wood(), ring_angle=np.radians(ring), run_out=np.radians(run_out))
    a = board.swelling_xyz / 100
    found = (a[0, 0], a[1, 1], a[2, 2], abs(2 * a[0, 2]), abs(2 * a[1, 2]))
    assert found == pytest.approx(expected, rel=5e-4, abs=1e-12)


def test_board_on_neck():
    """Independently derived for a 40 x 16 block under a 42 x 6 board, 449.63 mm between frets 1 and 24; here
    both are as wide, so a little less."""
    wood = hard_wood()
    neck = block([(Board(wood, swelling=EVEN), 0.044)],
                 Board(wood, modulus=14e9, swelling=(1e-2, 0.165, 0.353)), depth=0.016)
    assert neck.end - float(neck.fret(1)) == pytest.approx(0.44963, abs=1e-5)
    # a fuller block of 16 x 44 under a 44 x 6 board, as a two-layer strip in closed form:
    m, n, h = 16 / 6, 12 / 14, 0.022
    curvature = 6 * 1.5e-4 * (1 + m) ** 2 / (h * (3 * (1 + m) ** 2 + (1 + m * n) * (m**2 + 1 / (m * n))))
    assert movement(neck, 0.08, 0.05).relief == pytest.approx(curvature * 0.44963**2 / 8, rel=0.01)
    assert movement(neck, 0.08, 0.05).relief == pytest.approx(0.2159e-3, rel=0.03)


def test_restless_outer_stripe_in_a_neck():
    """One outer stripe with twice the lengthwise swelling, 4 % drier: bow to its side as the bare blank, less
    what the fretboard adds to EI_side."""
    wood = hard_wood()
    quiet, restless = Board(wood, swelling=EVEN), Board(wood, swelling=(1e-2, 0.165, 0.353))
    neck = block([(quiet, 0.012), (quiet, 0.002), (quiet, 0.012), (quiet, 0.002), (restless, 0.012)], quiet,
                 thickness=1e-5, width=0.040)
    found = movement(neck, 0.10, 0.06)
    assert found.side_bow < 0, "the treble stripe shrinks more, the middle goes to the bass"
    # independently derived: b y / (w^3/12), 1/mm, even modulus
    share = 12 * 14 / (40**3 / 12)
    assert found.side_bow == pytest.approx(-share * 1e3 * 5e-3 * 0.04 * 0.44963**2 / 8, rel=0.02)
    balanced = block([(restless, 0.012), (quiet, 0.002), (quiet, 0.012), (quiet, 0.002), (restless, 0.012)],
                     quiet, thickness=1e-5, width=0.040)
    assert abs(movement(balanced, 0.10, 0.06).side_bow) < 1e-12


def opposed_halves(shear, b, h):
    """Rate of twist (rad/m) of a block b x h (m) whose halves have free shears -shear and +shear (gamma_xz),
    one material: 2 shear x mid-plane integral of the stress function / J, Saint-Venant's series."""
    n = np.arange(1, 200, 2)
    sech = 1 / np.cosh(np.minimum(n * np.pi * b / (2 * h), 700.0))
    middle = h**3 / 6 - 16 * h**3 / np.pi**4 * np.sum(sech / n**4)
    return 2 * shear * middle / rectangle_constant(b, h)


def test_halves_with_opposite_run_out():
    """Independently derived: reciprocity with the Saint-Venant series; 0.515 degrees and 0.40 mm at the edge
    over 450 mm."""
    alpha = np.radians(3.0)
    shear = 2 * (0.165 - 0.005) * np.sin(alpha) * np.cos(alpha) * 0.04
    assert shear == pytest.approx(6.690e-4, rel=1e-3)
    rate = opposed_halves(shear, 0.044, 0.020)
    assert rate == pytest.approx(0.019968, rel=1e-3)
    assert np.degrees(rate * 0.450) == pytest.approx(0.515, rel=2e-3)
    even = {"G_LR_ratio": 1 / 12, "G_LT_ratio": 1 / 12}
    wood = hard_wood(**even)
    # R along z in flat-sawn wood, so run-out tilts L towards R (0.165)
    neck = block([(Board(wood, run_out=-alpha), 0.022), (Board(wood, run_out=alpha), 0.022)], Board(wood),
                 thickness=1e-5)
    found = movement(neck, 0.06, 0.10)
    # the section's two rounded lower corners make it a little less stiff in twist than the full rectangle
    assert abs(found.twist_rate[0]) == pytest.approx(0.019968, rel=0.06)
    # and the exact rectangle by finite elements, through the integrals that movement uses
    edges = np.linspace(-0.022, 0.022, 17)
    rectangle = unit_twist(edges, lambda y: np.linspace(-0.01, 0.01, 9)[:, None] + 0 * y,
                           (np.arange(16) >= 8)[:, None] * np.ones((1, 8), int),
                           np.array([[1e9, 1e9, 0.0]] * 2))
    assert rectangle.flow[1] @ [-shear, shear] / rectangle.GJ == pytest.approx(0.019968, rel=2e-3)
    assert found.twist == pytest.approx(found.twist_rate[0] * 0.44963, rel=1e-3)
    same = block([(Board(wood, run_out=alpha), 0.022), (Board(wood, run_out=alpha), 0.022)], Board(wood),
                 thickness=1e-5)
    assert abs(movement(same, 0.06, 0.10).twist) < 1e-3 * abs(found.twist)


def test_the_flatter_the_block_the_nearer_to_shear_over_width():
    assert opposed_halves(1e-3, 0.44, 0.005) * 0.44 == pytest.approx(1e-3, rel=0.01)
    assert opposed_halves(1e-3, 0.044, 0.005) * 0.044 == pytest.approx(1.077e-3, rel=1e-3)
    assert opposed_halves(1e-3, 0.044, 0.020) * 0.044 == pytest.approx(1.313e-3, rel=1e-3)


def test_stresses_balance_in_every_section():
    """Stress is linear inside a region, so its mean is the value at the centroid: forces must cancel."""
    neck = player(bars=(Bar(0.008), Bar(-0.008)), frets=22)
    found = movement(neck, [0.08] * 7 + [0.08], [0.06] * 7 + [0.055])
    parts, bent = found.here.regions, found.response
    E, free = _lengthwise(found.here, found.start, found.end)
    with np.errstate(invalid="ignore", divide="ignore"):
        strain = bent.strain(parts.Sy / parts.area, parts.Sz / parts.area)
    force = E[:, None] * (strain - free[:, None]) * parts.area
    force[list(parts.slotted)] *= found.here.slots
    assert np.max(np.abs(np.nansum(force, axis=0))) < 1e-6 * np.nansum(np.abs(force))


def test_dry_air_bows_forward_when_the_board_shrinks_more_and_back_when_less():
    restless, quiet = Board(EBONY, swelling=(7e-3, 0.2, 0.3)), Board(EBONY, swelling=(3e-3, 0.2, 0.3))
    assert movement(player(board=restless), 0.09, 0.06).relief > 0 > movement(player(board=quiet), 0.09,
                                                                              0.06).relief


def test_board_that_dries_first_bows_forward():
    """Same wood, same swelling: only the timing differs."""
    neck = player(board=Board(MAPLE))
    assert movement(neck, 0.09, [0.085] * 7 + [0.06]).relief > 1e-5
    assert abs(movement(player(1, board=Board(MAPLE, ring_angle=QUARTER)), 0.09, 0.06).relief) < 1e-12


def test_quarter_sawn_moves_less_in_width_and_more_in_thickness():
    """Direction as in the trade, size from the table: the ratio of tangential to radial swelling."""
    def found(ring):
        return movement(player(1, board=Board(MAPLE,
                                           ring_angle=ring)).with_pieces([Board(MAPLE, ring_angle=ring)] * 2),
                                           0.10, 0.07)
    flat, quarter = found(0.0), found(QUARTER)
    _, C_R, C_T = MAPLE.swelling
    assert flat.width_end / quarter.width_end == pytest.approx(C_T / C_R, rel=1e-6)
    assert abs(quarter.thickness) > abs(flat.thickness)


def test_width_of_a_neck_of_one_wood_is_the_handbook_product():
    wood = Board(MAPLE)
    neck = player(1).with_pieces([wood, wood])
    found = movement(neck, 0.10, 0.08)
    assert found.width_end == pytest.approx(dimension_change(neck.outline.width(neck.end), 0.10, 0.08,
                                                             MAPLE.swelling[2]), rel=1e-9)
    assert found.fret_end == pytest.approx(found.fret_end_free, rel=1e-9) and abs(found.cup) < 1e-12
    assert np.all(np.abs(found.joint_stress) < 1.0)


def test_fret_ends_by_hand():
    """52 mm board, 0.00280 per 1 %, 3 % drier: 0.22 mm each side if nothing holds it (hand calculation)."""
    neck = player(1, board=Board(EBONY, swelling=(5e-3, 0.2, 0.28)))
    neck = replace(neck, outline=Outline(0.043, 0.052, neck.end))
    found = movement(neck, 0.09, 0.06)
    assert found.fret_end_free == pytest.approx(0.22e-3, rel=0.01)
    assert 0 < found.fret_end < found.fret_end_free, "a quarter-sawn neck holds the board back"


def test_glue_line_stress_by_hand_between_flat_and_quarter():
    """20 mm deep, swelling 0.19 apart, 4 % change: step 0.15 mm; E x strain / 2 with 1.2 GPa across: about
    4.5 MPa (hand calculation)."""
    wood = hard_wood(E_R_ratio=0.1, E_T_ratio=0.1)
    flat, quarter = Board(wood, swelling=(5e-3, 0.163, 0.353)), Board(wood, ring_angle=QUARTER,
                                                                      swelling=(5e-3, 0.163, 0.353))
    found = movement(block([(flat, 0.022), (quarter, 0.022)], flat), 0.06, 0.10)
    assert found.joints[0] == "stripes 1 and 2"
    assert abs(found.step[0]) == pytest.approx(0.152e-3, rel=0.01)
    assert found.joint_stress[0] == pytest.approx(4.56e6, rel=0.01)


def test_cup_is_hollow_when_the_board_shrinks_more_across():
    wood = hard_wood()
    neck = block([(Board(wood, ring_angle=QUARTER), 0.044)], Board(wood))
    assert movement(neck, 0.09, 0.06).cup > 0 > movement(neck, 0.06, 0.09).cup


def test_beyond_the_body_the_neck_is_held_straight():
    free, held = (movement(player(board=Board(EBONY, swelling=(7e-3, 0.2, 0.3)), body_start=start), 0.09,
                           0.06) for start in (None, 0.40))
    assert 0 < held.relief < free.relief
    assert np.all(held.response.curvature[held.x > 0.40] == 0.0)


def test_carbon_bars_hold_back_by_their_place_not_by_magic():
    """Trade lore: carbon bars stop seasonal bow. Shallow bars do little against a bow that comes from the
    fretboard; and being still themselves, bars off the axis make a bow of their own when the wood moves, even
    where all the wood moves alike."""
    alike = player(1).with_pieces([Board(MAPLE), Board(MAPLE)])
    barred = replace(alike, bars=(Bar(0.008), Bar(-0.008)))
    assert abs(movement(alike, 0.09, 0.06).relief) < 1e-12 < 1e-6 < abs(movement(barred, 0.09, 0.06).relief)


def test_ribbon_of_draws_matches_single_necks():
    many = spread(player(), 50, 3)
    found = movement(many, 0.09, 0.06)
    assert found.relief.shape == (50,) and found.relief_at.shape == (50, 22) and found.step.shape == (50,
                                                                                                      len(found.joints))
    one = player().with_pieces([replace(b, modulus=b.modulus[7], density=b.density[7], loss=b.loss[7],
                                        swelling=tuple(c[7] for c in b.swelling),
                                        constants=b.constants and b.constants.mapped(itemgetter(7)))
                                for b in many.pieces])
    alone = movement(one, 0.09, 0.06)
    for name in ("relief", "side_bow", "cup", "width_nut", "width_end", "thickness", "fret_end"):
        assert getattr(found, name)[7] == pytest.approx(getattr(alone, name), rel=1e-9), name


def test_moisture_draws_and_lists_mean_the_same():
    neck = player(3)
    draws = np.array([0.06, 0.065, 0.07])
    assert piece_moisture(neck, draws).shape == (3, 4)
    by_list = movement(neck, 0.09, [draws, draws, draws, draws])
    assert movement(neck, 0.09, draws).relief == pytest.approx(by_list.relief)


boards = st.builds(lambda ring, run, slope, C_L,
                   E: Board(MAPLE, ring, run, slope, modulus=E, swelling=(C_L, 0.165, 0.353)),
                   st.floats(0, QUARTER), st.floats(-0.1, 0.1), st.floats(-0.1, 0.1), st.floats(2e-3, 1e-2),
                   st.floats(8e9, 16e9))


@settings(max_examples=15, deadline=None)
@given(boards, boards, boards, st.floats(0.05, 0.12), st.floats(0.05, 0.12))
def test_drying_undoes_wetting(outer, centre, board, first, second):
    """With woods that stiffen unequally, and a bar that does not, only the stiffness half-way gives the way
    back."""
    walnut, ebony = replace(centre, species=WALNUT), replace(board, species=EBONY)
    stripes = Stripe(outer, 0.02), Stripe(walnut, 0.02), Stripe(outer, 0.02)
    neck = Neck(Layup(stripes), Outline(), Back(), Fretboard(ebony), Channel(), (Bar(0.008, depth=0.008),))
    there, back = movement(neck, first, second), movement(neck, second, first)
    for name in ("relief", "side_bow", "twist", "cup", "width_nut", "fret_end", "thickness"):
        assert getattr(there, name) == pytest.approx(-getattr(back, name), rel=1e-9, abs=1e-12), name


@settings(max_examples=15, deadline=None)
@given(boards, boards, boards, st.floats(0.05, 0.12))
def test_mirrored_stripes_do_not_bow_sideways_or_twist(outer, centre, board, end):
    """A true mirror: slope and ring angle change sign across the centre line; centre and board
    straight-grained."""
    mirror = replace(outer, ring_angle=-outer.ring_angle, slope=-outer.slope)
    straight = [replace(b, run_out=0.0, slope=0.0, ring_angle=0.0) for b in (centre, board)]
    neck = Neck(Layup((Stripe(outer, 0.02), Stripe(straight[0], 0.02), Stripe(mirror, 0.02))), Outline(),
                Back(), Fretboard(straight[1]), Channel())
    found = movement(neck, 0.08, end)
    assert abs(found.side_bow) < 1e-10 and abs(found.twist) < 2e-6


def test_moisture_adds_to_the_relief_of_a_strung_neck():
    """The curvature goes into relief() as it is; the strings enlarge it by the few percent that they enlarge
    any bow."""
    neck = player(board=Board(EBONY, swelling=(7e-3, 0.2, 0.3)))
    moved, strings = movement(neck, 0.085, 0.06), string_set("six")
    before, after = relief(neck, strings), relief(neck, strings,
                                                  curvature=(moved.x, -moved.response.curvature))
    grown = (after.maximum - before.maximum) / moved.relief
    assert 1.0 < grown < 1.10
    first_order = [relief(neck, strings, second_order=False, curvature=c)
                   for c in (0.0, (moved.x, -moved.response.curvature))]
    assert first_order[1].at_fret - first_order[0].at_fret == pytest.approx(moved.relief_at, abs=3e-7)


def test_table_has_units_and_bands():
    one, many = movement(player(), 0.09, 0.06).table(), movement(spread(player(), 40, 1), 0.09, 0.06).table()
    assert list(one.index) == ["value"] and list(many.index) == ["5 %", "50 %", "95 %"]
    assert all("(" in name for name in one.columns)
    assert one["relief change (mm)"].iloc[0] == pytest.approx(1e3 * movement(player(), 0.09, 0.06).relief)


@pytest.mark.parametrize("start, end, words", [
    (8, 0.06, "start moisture of stripe 1: 8"), (0.08, 0.45, "end moisture"), (0.08, -0.01, "end moisture"),
    (0.08, float("nan"), "end moisture"),
    (0.08, [0.06, 0.07], "a list of 2 given"), (0.08, np.zeros((2, 3)) + 0.08, "array of shape"),
    ("dry", 0.08, "start moisture")])
def test_bad_moisture_is_named(start, end, words):
    with pytest.raises(ValueError, match=words):
        movement(player(), start, end)


def test_mismatched_draws_are_named():
    with pytest.raises(ValueError, match="draws"):
        movement(spread(player(), 10, 1), 0.08, np.full(11, 0.06))
    with pytest.raises(ValueError, match="draws"):
        movement(player(), np.full(4, 0.08), np.full(5, 0.06))


def test_station_off_the_neck_is_named():
    with pytest.raises(ValueError, match="station"):
        movement(player(), 0.08, 0.06, x=[-0.1, 0.4])


def test_stripes_of_unlike_woods_are_held_flush_by_the_softer_one_more():
    """Two springs in a row, by hand: 0.10 and 0.20 of radial swelling, 2 % drier, 1.6 and 3.2 GPa across:
    0.002 / (1 / 1.6 + 1 / 3.2) GPa; the joint between them stands there, the fretboard's is another."""
    soft = Board(hard_wood(), swelling=(5e-3, 0.10, 0.353))
    stiff = Board(hard_wood(E_R_ratio=3.2 / 12), swelling=(5e-3, 0.20, 0.353))
    found = movement(block([(soft, 0.022), (stiff, 0.022)], soft), 0.08, 0.06)
    assert found.joints[0] == "stripes 1 and 2"
    assert found.joint_stress[0] == pytest.approx(0.002 / (1 / 1.6e9 + 1 / 3.2e9), rel=1e-6)
    beside = movement(block([(soft, 0.004), (stiff, 0.040)], soft), 0.08, 0.06)         # 4 mm from the side
    assert beside.joints[0] == "stripes 1 and 2"
