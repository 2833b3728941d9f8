"""A neck without a fretboard, and fretboards of several layers, against sums by hand, the bimetal strip, an
independent package and their own limits."""

import json
from dataclasses import replace

import numpy as np
import pytest

from tonewood.brief.cut_list import cut_list
from tonewood.brief.space import layup_of
from tonewood.neck.design import FretboardPlan, LayerPlan, example_design
from tonewood.neck.design_file import VERSION, from_text, to_text
from tonewood.neck.layup.neck import Fretboard, Layup, Outline, Stripe, example_neck, spread
from tonewood.neck.layup.shapes import Back, Bar, Channel, FretboardLayer
from tonewood.neck.load.glue_lines import glue_lines
from tonewood.neck.load.relief import fret_wedge, relief
from tonewood.neck.load.rod import fit
from tonewood.neck.load.usual_rod import usual_rod
from tonewood.neck.report.calculation_sheet import entries
from tonewood.neck.seasons.drying import column
from tonewood.neck.seasons.movement import movement
from tonewood.neck.seasons.pieces import moduli_at
from tonewood.neck.seasons.within_board import ring_cup, uneven_response, with_gradient
from tonewood.neck.seasons.year import year
from tonewood.neck.section.damping import composite_loss, stripe_shares, twisting_loss
from tonewood.neck.section.section import section
from tonewood.strings.sets import string_set
from tonewood.wood.board import Board
from tonewood.wood.species import species

MAPLE, EBONY, WENGE = (Board(species(name)) for name in ("hard maple", "ebony", "wenge"))
X = np.array([0.1, 0.3])
BLOCK = {"outline": Outline(0.050, 0.050), "back": Back("D", 0.017, 0.017, exponent=20.0)}
NONE = {"fretboard": Fretboard(), "back": Back("D", 0.0205, 0.0230),
        "channel": Channel(depth=0.016, below=0.006)}


def laminated(*under, top=EBONY, **sizes):
    return example_neck(fretboard=Fretboard(top, under=tuple(FretboardLayer(*layer) for layer in under),
                                            **sizes))


def told(neck):
    """Everything that should be the same of two necks that are one."""
    here, moved = section(neck, X), movement(neck, [0.08] * len(neck.pieces), [0.065] * len(neck.pieces))
    return np.concatenate([here.EI, here.EI_side, here.mass_per_length, here.z_bar, [
        composite_loss(neck), moved.relief, moved.cup, moved.width_end, moved.fret_end, moved.thickness]])


@pytest.mark.parametrize("below", [0.0006, 0.0035, 0.0045])
def test_two_layers_of_one_wood_are_one(below):
    """Whether the glue line lies in the solid wood, at the floor of the slots, or is cut by them."""
    one, two = laminated(), laminated((EBONY, below))
    np.testing.assert_allclose(told(two), told(one), rtol=1e-9, atol=1e-14)
    for ask in (lambda neck: section(neck, X).GJ, lambda neck: twisting_loss(neck, X)):
        np.testing.assert_allclose(ask(two), ask(one), rtol=2e-4)                     # the mesh differs


def test_a_layer_that_grows_thin_is_none():
    np.testing.assert_allclose(told(laminated((WENGE, 1e-8))), told(laminated()), rtol=2e-6, atol=1e-10)
    np.testing.assert_allclose(section(laminated((WENGE, 2e-6)), X).GJ, section(laminated(), X).GJ, rtol=1e-3)


def test_section_by_hand():
    """Transformed section: every layer's breadth times its modulus; slots open so that what is left is the
    solid wood (source: any text on strength of materials)."""
    neck = replace(laminated((WENGE, 0.001), (MAPLE, 0.002), thickness=0.006, slot_depth=0.0), **BLOCK)
    b, faces = 0.050, np.array([0.0, 0.001, 0.003, 0.006])
    E = np.array([board.E_x for board in (WENGE, MAPLE, EBONY)])
    parts = section(neck, [0.2]).here.regions
    EA = E * b * np.diff(faces)
    ES, EI = E * b * np.diff(faces**2) / 2, E * b * np.diff(faces**3) / 3
    stripe = [float(m[0, 0]) * MAPLE.E_x for m in (parts.area, parts.Sz, parts.Szz)]
    EA, ES, EI = (part.sum() + whole for part, whole in zip((EA, ES, EI), stripe, strict=True))
    assert float(section(neck, [0.2]).EI[0]) == pytest.approx(EI - ES**2 / EA, rel=1e-9)
    assert sum(stripe_shares(neck, [0.2])[1][:, 0]) == pytest.approx(1.0)


def test_slots_cut_layers_by_depth():
    """A top of 1.5 mm under slots of 2.5 mm: the slots reach 1 mm into the veneer below."""
    neck = laminated((MAPLE, 0.0045))
    parts = section(neck, X).here.regions
    cut = {parts.names[r]: float(parts.area[r, 0]) for r in parts.slotted}
    width = float(neck.outline.width(X[0]))
    assert cut == pytest.approx({"fretboard, layer 1, slotted": 0.001 * width,
                                 "fretboard, layer 2, slotted": 0.0015 * width})
    assert [share for _, share in neck.in_slots] == pytest.approx([0.6, 0.4])


def test_two_layers_cup_as_a_bimetal_strip():
    """Across the width a neck and a fretboard whose layers are one wood are a strip of two layers:
    Timoshenko's bimetal (J. Opt. Soc. Am. 11, 1925, 233)."""
    neck = replace(laminated((EBONY, 0.002), slot_depth=0.0), **BLOCK)
    moved, x = movement(neck, 0.08, 0.06), neck.end / 2
    free, E = moved._wide
    a1, a2 = float(section(neck, [x]).here.regions.area[0, 0]) / 0.050, neck.fretboard.thickness
    m, n, h = a1 / a2, E[0] / E[1], a1 + a2
    bent = 6 * (free[1] - free[0]) * (1 + m)**2 / (h * (3 * (1 + m)**2 + (1 + m * n) * (m**2 + 1 / (m * n))))
    assert float(moved.cup) == pytest.approx(-bent * 0.050**2 / 8, rel=1e-9)


def test_three_layers_bend_with_moisture_as_the_balance_says():
    """Forces and moments of every layer summed by hand and solved: no net force, no net moment."""
    neck = replace(laminated((WENGE, 0.001), (MAPLE, 0.002), slot_depth=0.0), **BLOCK)
    moved = movement(neck, 0.08, [0.06, 0.07, 0.065, 0.06])
    parts, b = moved.here.regions, 0.050
    faces = np.array([0.0, 0.001, 0.003, 0.006])
    own = [[float(m[0, 0]), *(b * np.diff(faces**k) / k)] for k, m in
           ((1, parts.area), (2, parts.Sz), (3, parts.Szz))]
    E = moduli_at(moved.here, (moved.start + moved.end) / 2)
    free = [float(board.swelling_along(0)) * change for board, change in
            zip(neck.pieces, moved.end - moved.start, strict=True)]
    (EA, ES, EI), (N, M, _) = (np.array(own) @ E, np.array(own) @ (E * free))
    assert float(moved.response.curvature[0]) == pytest.approx(
        np.linalg.solve([[EA, ES], [ES, EI]], [N, M])[1], rel=1e-9)


def test_without_a_fretboard_the_whole_neck_works():
    neck = example_neck(**NONE, bars=(Bar(-0.009, below=0.006), Bar(0.009, below=0.006)))
    strings = string_set("six")
    fit(usual_rod(neck), neck)
    assert neck.pieces == (MAPLE,) and neck.in_slots == ((MAPLE, 1.0),)
    assert section(neck, X).here.regions.names[1] == "stripe 1, slotted layer"
    assert glue_lines(neck, strings).stress == 0
    bearing, none = (replace(neck, fretboard=Fretboard(slot_depth=d, slot_fill=1.0)) for d in (0.0025, 0.0))
    assert section(bearing, X).EI == pytest.approx(section(none, X).EI, rel=1e-9)
    assert section(bearing, X).GJ == pytest.approx(section(none, X).GJ, rel=2e-3)
    assert np.all(section(neck, X).EI < section(none, X).EI)
    assert fret_wedge(neck, 1e-5)[1][0] < 0 < relief(neck, strings).at(8)
    drawn = spread(replace(neck, bars=()), 20)
    moved = movement(drawn, 0.08, 0.06)
    assert moved.joints == () and np.all(np.abs(moved.relief) < 1e-9)
    assert np.all(np.abs(moved.cup) < 1e-12)
    one = movement(replace(neck, bars=()), 0.08, 0.06)
    assert ring_cup(one, [None]) == pytest.approx(0.0, abs=1e-12)
    assert np.all(np.abs(year(drawn, "Chicago", points=4).relief) < 0.0003)
    listed = entries(neck, strings, "Chicago", rod=usual_rod(neck))
    assert not any("fretboard" in entry.name for entry in listed)
    assert np.all(twisting_loss(drawn, X) > 0)


def test_leaning_lines_and_slots_in_the_stripes():
    """Without a fretboard, slots that bear fully take nothing off stripes whose glue lines lean either."""
    layup = Layup((Stripe(MAPLE, 0.03), Stripe(WENGE, 0.03)), leans=(0.15,))
    cut, none = (section(example_neck(**{**NONE, "fretboard": Fretboard(slot_depth=d, slot_fill=1.0)},
                                      layup=layup), X) for d in (0.0025, 0.0))
    for name in ("EI", "EI_side", "EI_cross", "z_bar", "mass_per_length"):
        assert getattr(cut, name) == pytest.approx(getattr(none, name), rel=1e-9)
    assert np.all(np.abs(none.EI_cross) > 0.1)


def test_the_loss_of_a_layered_board_lies_between_those_of_its_woods():
    ends = [composite_loss(laminated(top=board)) for board in (EBONY, WENGE)]
    assert min(ends) < composite_loss(laminated((WENGE, 0.003))) < max(ends)


def test_what_does_not_fit_is_refused():
    for make, words in (
            (lambda: Fretboard(under=(FretboardLayer(MAPLE, 0.001),)), "layers given under no top"),
            (lambda: laminated((MAPLE, 0.006)), "6 mm together given"),
            (lambda: laminated((MAPLE, 0.6)), "thickness of a fretboard layer"),
            (lambda: example_neck(fretboard=Fretboard(), channel=Channel()), "roof of the rod channel"),
            (lambda: example_neck(fretboard=Fretboard(), bars=(Bar(0.01),)), "top of bar 1"),
            (lambda: Channel(depth=0.010, below=0.010), "roof of the rod channel"),
            (lambda: FretboardPlan(wood=None, under=(LayerPlan(wood="wenge", thickness=1e-3),)), "no top")):
        with pytest.raises(ValueError, match=words):
            make()


DESIGN = example_design()
VENEERED = DESIGN.changed(fretboard=replace(DESIGN.fretboard, under=(
    LayerPlan(wood="wenge", thickness=0.0006, run_out=0.02),)), leans=(0.1, -0.1), tapers=(0.001, 0.0))
BARE = DESIGN.with_fretboard(FretboardPlan(wood=None))


@pytest.mark.parametrize("design", [VENEERED, BARE], ids=["veneered", "bare"])
def test_a_design_travels_whole(design):
    again = from_text(to_text(design))
    assert again == design and again.neck() == design.neck() and VERSION == 4


def test_a_file_of_the_version_before_opens_exactly():
    old = json.loads(to_text(DESIGN)) | {"version": 2}
    for at, key in ((old, "leans_rad"), (old, "tapers_rad"), (old["fretboard"], "under"),
                    (old["channel"], "below_m")):
        del at[key]
    assert from_text(json.dumps(old)) == DESIGN


def test_taking_the_fretboard_off_leaves_rod_and_depth_where_they_were():
    assert BARE.back.depth_nut == DESIGN.back.depth_nut + 0.006 and BARE.channel.below == 0.006
    assert BARE.channel.depth == DESIGN.channel.depth + 0.006 and len(BARE.neck().pieces) == 3
    assert BARE.with_fretboard(DESIGN.fretboard) == DESIGN


def test_cut_list_and_search_say_what_they_take():
    cut = cut_list(VENEERED)
    assert [piece.wood for piece in cut.fretboard] == ["wenge", "indian_rosewood"]
    assert [1e3 * piece.planed.depth for piece in cut.fretboard] == pytest.approx([0.6, 5.4])
    assert cut.fretboard[0].sawn.depth == cut.fretboard[0].planed.depth < cut.fretboard[1].sawn.depth - 0.005
    assert [need.use for need in cut.boards].count("fretboard") == 2
    bare = cut_list(BARE)
    assert bare.fretboard == () and bare.slots[0].below == 0.006
    for design, words in ((VENEERED, "2 layers given"), (BARE, "none given")):
        with pytest.raises(ValueError, match=words):
            layup_of(design)


# a neck without a fretboard whose halves dry one before the other

def test_a_block_drier_above_bends_to_an_arc_of_its_swelling():
    """By hand: one wood, moisture straight over the depth: curvature = swelling x slope, hollow on the dry
    side; the gap over a chord L is curvature L^2 / 8."""
    neck = example_neck(**{**NONE, "channel": None}, body_start=None)
    moved = movement(neck, 0.08, 0.08)
    chord = neck.end - float(neck.fret(1))
    expected = MAPLE.swelling_along(0) * 1.5 * chord**2 / 8
    assert with_gradient(moved, -1.5).relief == pytest.approx(expected, rel=2e-3)
    assert with_gradient(moved, 1.5).relief == pytest.approx(-expected, rel=2e-3)


def test_unlike_stripes_drier_above_bend_as_the_sums_over_the_section_say():
    """The sums with a straight free strain in every piece, which finite elements check elsewhere."""
    stripes = tuple(Stripe(replace(board, swelling=(C, 0.2, 0.3)), 0.020)
                    for board, C in ((MAPLE, 0.004), (WENGE, 0.007), (MAPLE, 0.004)))
    neck = example_neck(layup=Layup(stripes), **NONE)
    moved = movement(neck, 0.08, 0.08)
    slopes = [np.zeros((2, 3, 3)) for _ in stripes]
    for slope, stripe in zip(slopes, stripes, strict=True):
        slope[1, 0, 0] = stripe.board.swelling[0] * -1.5 / 1e-6         # for a change of moisture of 1e-6
    start = np.full(3, 0.08)
    whole = uneven_response(moved.here, start, start + 1e-6, [None] * 3, slopes).curvature
    found = with_gradient(moved, -1.5).response.curvature - moved.response.curvature
    np.testing.assert_allclose(found, whole, rtol=0.02)


def test_without_a_fretboard_the_faces_decide_where_the_bow_goes():
    """Tight back, bare top: hollow above in the dry of winter; exchanged, the other way; alike, next to
    nothing. Relief known to come from nothing else: one wood swells evenly."""
    neck, tight = BARE.neck(), "epoxy, two-part"
    one = replace(neck, layup=Layup(tuple(replace(s, board=MAPLE) for s in neck.layup.stripes)), bars=())
    relief = {faces: year(one, "Chicago", back_finish=faces[0], board_finish=faces[1], points=13).relief
              for faces in ((tight, "bare"), ("bare", tight), (tight, tight))}
    up, down, even = relief.values()
    assert up[2] > 4e-5 and down[2] < -4e-5 and np.abs(even).max() < 0.3 * up.max()


def test_halves_tell_the_slope_of_the_moisture_nearly_as_many_layers_do():
    """First moment of the moisture in twelve layers against the two halves, by month of a dry winter."""
    halves = column(BARE.neck(), "epoxy, two-part", "bare")
    depth, count = 2 * halves.thickness[0], 12
    many = replace(halves, thickness=(depth / count,) * count, diffusivity=(halves.diffusivity[0],) * count,
                   density=(halves.density[0],) * count, cells=2)
    days, air = np.linspace(0, 180, 7), np.array([.085, .075, .065, .06, .06, .065, .07])
    m = many.follow(days * 86400.0, air, 0.085)
    z = (np.arange(count) + 0.5) / count - 0.5
    slope = (m @ z) / (z @ z) / depth
    two = halves.follow(days * 86400.0, air, 0.085)
    np.testing.assert_allclose((two[:, 1] - two[:, 0]) / (depth / 2), slope, rtol=0.1, atol=0.01)
