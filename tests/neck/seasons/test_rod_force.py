"""A tight single-acting rod through the seasons, held against two bars by hand, against a bar glued in, and
against a root search along a tapered neck."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import brentq

from tonewood.materials import material
from tonewood.neck.layup.neck import Back, Fretboard, Outline, example_neck, spread
from tonewood.neck.load.rod import Rod
from tonewood.neck.seasons.eigenstrain import response
from tonewood.neck.seasons.movement import movement
from tonewood.neck.seasons.rod_force import held_back, with_rod
from tonewood.neck.seasons.year import year
from tonewood.neck.section.stations import at_stations
from tonewood.wood.board import Board
from tonewood.wood.facts import rule
from tonewood.wood.moisture import modulus_at
from tonewood.wood.species import species

MAPLE = Board(species("hard maple"))
EVEN = example_neck(outline=Outline(0.05, 0.05, 0.47), back=Back("D", 0.015, 0.015, 0.47),
                    fretboard=Fretboard(MAPLE, slot_depth=0.0))
START, END = MAPLE.moisture, MAPLE.moisture + 0.03


def straight(depth, **more):
    return Rod.single(start=1e-6, end=EVEN.end, depth_ends=depth, depth_middle=depth, **more)


def test_two_bars_between_the_same_anchors_share_the_swelling():
    """By hand: wood that would grow by the strain e and a steel bar on its axis end at one length, F = e /
    (1 / EA wood + 1 / EA steel)."""
    s = at_stations(EVEN, [0.2]).section
    rod = straight(-float(s.z_bar[0]))
    moved, force = with_rod(movement(EVEN, START, END), rod, 100.0)
    swells = MAPLE.species.swelling[0] * (END - START)
    steel = material("steel")["modulus"].value * np.pi / 4 * rod.diameter**2
    by_hand = swells / (1 / float(s.EA[0]) + 1 / steel)
    assert force - 100.0 == pytest.approx(by_hand, rel=1e-4) and by_hand > 300
    assert moved.relief == pytest.approx(0.0, abs=1e-9), "on the axis it does not bend the neck"


def test_off_the_axis_it_bends_as_a_bar_glued_in_would():
    """In an even neck the strain along a straight rod is even, so a rod from end to end and a bar of steel
    glued in at its place (eigenstrain.response, one region more) come out the same."""
    rod = straight(0.0075)
    moved, force = with_rod(movement(EVEN, START, END), rod, 1000.0)
    parts = moved.here.regions
    own = np.stack([parts.area, parts.Sy, parts.Sz, parts.Syy, parts.Szz, parts.Syz])
    bar = np.pi / 4 * rod.diameter**2 * np.array([1.0, 0.0, -0.0075, 0.0, 0.0075**2, 0.0])
    wood = len(parts.piece)
    glued = response(np.concatenate([own, np.tile(bar[:, None, None], own.shape[-1])], axis=1),
                     np.append(moved.here.moduli, rod.modulus),
                     np.append(np.full(wood, MAPLE.species.swelling[0] * (END - START)), 0.0))
    assert moved.response.curvature[1:-1] == pytest.approx(glued.curvature[1:-1], rel=1e-4)
    strain = glued.strain(0.0, -0.0075)[0]
    assert force - 1000.0 == pytest.approx(rod.axial_stiffness * strain, rel=1e-4)
    assert moved.relief < -2e-5, "wood that swells past its rod is drawn into back bow"


def test_a_curved_rod_in_a_tapered_neck_agrees_with_a_root_search():
    """Independently worked: the tension at which rod and wood, its strain summed over 2000 slices, have grown
    alike."""
    neck, rod = example_neck(body_start=0.40), Rod.single(end=0.43)
    start, end = [0.08, 0.08], [0.11, 0.12]
    _, force = with_rod(movement(neck, start, end), rod, 500.0)
    x = np.linspace(rod.start, rod.end, 2001)
    x = (x[1:] + x[:-1]) / 2
    here = at_stations(neck, x)
    free, s, h = movement(neck, start, end, np.concatenate([[0.0], x, [neck.end]])), here.section, None
    swell = [np.interp(x, free.x, getattr(free.response, n)) for n in ("centre", "curvature")]
    h = rod.height(x)

    def apart(more):
        bend = (x <= 0.40) * (s.z_bar - h) / s.EI
        wood = swell[0] + swell[1] * h - more * (1 / s.EA + (s.z_bar - h) * bend)
        return np.sum(wood) * (rod.end - rod.start) / x.size - more * (rod.end - rod.start) / (
            rod.modulus * np.pi / 4 * rod.diameter**2)

    assert force - 500.0 == pytest.approx(brentq(apart, -5000, 5000), rel=0.01)


def test_a_slack_rod_lets_go_and_no_more():
    neck, rod = example_neck(), Rod.single()
    dry = movement(neck, 0.10, 0.05)
    moved, force = with_rod(dry, rod, 200.0)
    freed, _ = with_rod(movement(neck, 0.10, 0.10), rod, 200.0)
    assert force == 0.0 and freed.relief == pytest.approx(0.0)
    unloaded, left = with_rod(movement(neck, 0.10, 0.0999), rod, 200.0)
    per_newton = (unloaded.relief - movement(neck, 0.10, 0.0999).relief) / (200.0 - float(left))
    assert moved.relief_at[7] == pytest.approx(dry.relief_at[7] + 200.0 * per_newton, rel=0.02)
    with pytest.raises(ValueError, match="rod tension"):
        with_rod(dry, rod, -1.0)


def test_warmth_lengthens_steel_more_than_wood():
    rod = straight(0.0075)
    _, force = with_rod(movement(EVEN, START, START), rod, 1000.0, 10.0)
    s, length = at_stations(EVEN, [0.2]).section, EVEN.end - 1e-6
    flexible = length * (1 / rod.axial_stiffness + 1 / s.EA[0] + (s.z_bar[0] + 0.0075) ** 2 / s.EI[0])
    apart = (rule("thermal_expansion_lengthwise").value - material("steel")["expansion"].value) * 10.0
    assert force - 1000.0 == pytest.approx(apart * length / flexible, rel=1e-3) and force < 1000.0


def test_draws_and_moments_are_what_single_necks_give():
    necks, rod = spread(example_neck(body_start=0.40), 3, 5), Rod.single()
    end = np.stack([np.full((3, 2), 0.06), np.full((3, 2), 0.11)], axis=1)
    many, force = with_rod(movement(necks, end[:, :1] * 0 + 0.08 + 0 * end, end), rod,
                           np.array([300.0, 600.0, 900.0]), np.array([0.0, 4.0]))
    assert force.shape == (3, 2) and many.relief.shape == (3, 2)
    for t, (moisture, warmer) in enumerate(((0.06, 0.0), (0.11, 4.0))):
        one, pull = with_rod(movement(necks, 0.08, moisture), rod, np.array([300.0, 600.0, 900.0]), warmer)
        assert many.relief[:, t] == pytest.approx(one.relief) and force[:, t] == pytest.approx(pull)


def test_a_double_rod_does_not_feel_length_but_springs_against_bow():
    neck = example_neck()
    free = year(neck, "Chicago", points=5)
    assert np.all(year(neck, "Chicago", points=5, rod=Rod(), effort=3.0).relief == free.relief)
    free = year(neck, "Chicago", points=5, cooled=False)
    single = year(neck, "Chicago", points=5, rod=Rod.single(), effort=700.0, cooled=False)
    assert single.rod_force[0] == pytest.approx(700.0) and single.relief[1] > free.relief[1]
    # By hand: bars at gap g, even bow k: F (2 / EA + g^2 / EI) = g k, and F g / EI of k is held back.
    rod, EI = Rod(), 400.0
    share = rod.gap**2 / EI / (2 / rod.axial_stiffness + rod.gap**2 / EI)
    assert held_back(rod, np.array([0.0, 0.2, 0.44]), np.full(3, EI)) == pytest.approx(share)


def test_the_modulus_half_way_hardly_matters_to_the_force():
    """The force is shared by the stiffness at delivery; half-way to summer it is some 3 % less, as said."""
    ratio = modulus_at(1.0, species("hard maple").green_ratio, 0.11, species("hard maple").mp) / modulus_at(
        1.0, species("hard maple").green_ratio, 0.085, species("hard maple").mp)
    softer = replace(EVEN, layup=replace(EVEN.layup, stripes=tuple(
        replace(s, board=replace(s.board, modulus=ratio * s.board.species.modulus))
        for s in EVEN.layup.stripes)))
    one, two = (float(with_rod(movement(made, START, END), straight(0.0075), 500.0)[1] - 500.0)
                for made in (EVEN, softer))
    assert abs(two / one - 1) < 0.03
