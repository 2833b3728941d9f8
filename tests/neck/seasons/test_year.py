"""A neck's first year: limits that must hold, directions, and the honest split into foreseen and chance."""

from dataclasses import replace

import numpy as np
import pytest

from tonewood.constants import DAY
from tonewood.neck.layup.neck import Back, Bar, Channel, Fretboard, Neck, Outline, spread, striped
from tonewood.neck.load.bow import bow
from tonewood.neck.seasons.drying import column
from tonewood.neck.seasons.movement import movement
from tonewood.neck.seasons.year import year
from tonewood.neck.section.section import section
from tonewood.wood.board import Board
from tonewood.wood.climate import Air, indoor, workshop
from tonewood.wood.moisture import modulus_at
from tonewood.wood.species import species

MAPLE, WALNUT, EBONY = species("hard_maple"), species("black_walnut"), species("african_ebony")
QUARTER = np.pi / 2


def player(count=7, board=None, wood=MAPLE, accent=None, **more):
    quarter = Board(wood, ring_angle=QUARTER)
    lay = striped(quarter, Board(accent or wood, ring_angle=QUARTER), quarter, count, accent_width=0.008,
                  centre_width=0.008)
    return Neck(lay, Outline(), Back(), Fretboard(board or Board(EBONY)), Channel(), **more)


@pytest.fixture(scope="module")
def many():
    return year(spread(player(), 800, 11), "Stockholm", points=13)


def steady(humidity, temperature=20.0):
    air = workshop(humidity, temperature)
    return Air(*(np.full(12, v) for v in (air.temperature, air.humidity, air.moisture)))


def test_a_room_like_the_workshop_changes_nothing():
    found = year(spread(player(), 50, 1), steady(0.45))
    assert np.max(np.abs(found.relief)) < 1e-9 and np.all(np.isnan(found.share_up))
    assert found.stiffness == pytest.approx(np.ones_like(found.stiffness), abs=1e-9)


def test_after_a_year_in_a_steady_room_it_is_where_movement_says():
    dry = workshop(0.30).moisture
    found = year(player(), steady(0.30), back_finish="bare", setup_relief=0.0)
    whole = movement(player(), workshop().moisture, dry)
    assert found.neck_moisture[-1] == pytest.approx(dry, abs=1e-5) and found.board_moisture[
        -1
    ] == pytest.approx(dry, abs=1e-5)
    assert found.relief[-1] == pytest.approx(whole.relief, abs=2e-8)
    assert found.fret_end[-1] == pytest.approx(whole.fret_end, abs=1e-7)


@pytest.mark.parametrize("draws", [None, 9])
def test_every_moment_is_what_movement_alone_gives(draws):
    """All moments are worked out at once; one by one through movement they must come out the same, slanting
    grain and bars included."""
    neck = player(3, bars=(Bar(0.008), Bar(-0.008)))
    neck = neck.with_pieces([Board(MAPLE, QUARTER, run_out=0.05), *neck.pieces[1:]])
    neck = neck if draws is None else spread(neck, draws, 3)
    found = year(neck, "Chicago", setup_relief=0.0, points=5)
    for t in range(5):
        ends = [found.moisture[..., t, p] for p in range(4)]
        moved = movement(neck, [found.moisture[..., 0, p] for p in range(4)], ends)
        for name in ("relief", "side_bow", "twist", "fret_end"):
            assert getattr(found, name)[..., t] == pytest.approx(getattr(moved, name), rel=1e-9, abs=1e-12)
        assert found.width[..., t] == pytest.approx(moved.width_end, rel=1e-9, abs=1e-12)
    if draws:
        mean = year(neck.with_pieces([replace(b, modulus=b.modulus.mean(), density=b.density.mean(),
                                              loss=None, swelling=tuple(np.mean(c) for c in b.swelling),
                                              constants=b.constants and b.constants.mapped(np.mean))
                                      for b in neck.pieces]), "Chicago", setup_relief=0.0, points=5)
        assert found.foreseen == pytest.approx(mean.relief, rel=1e-6, abs=1e-9)


def test_setup_relief_may_differ_from_draw_to_draw():
    neck = spread(player(), 4, 2)
    one, many = (year(neck, "Chicago", points=4, setup_relief=r)
                 for r in (0.0003, np.array([0.0003, 0.0, 0.0003, 0.0003])))
    assert many.relief[[0, 2, 3]] == pytest.approx(one.relief[[0, 2, 3]], abs=1e-15)
    assert np.max(np.abs(many.relief[1] - one.relief[1])) > 1e-6


def test_the_setup_bow_grows_as_the_neck_softens():
    """An even moment that bows the neck by the setup relief on delivery bows it by more when damp: the same
    moment over the damp woods' own section."""
    damp, shop = workshop(0.75), workshop(0.45)
    neck = player(bars=(Bar(0.008),))
    neck = neck.with_pieces([b.at(float(shop.moisture)) for b in neck.pieces])
    wet = neck.with_pieces([b.at(float(damp.moisture)) for b in neck.pieces])
    first, last = float(neck.fret(1)), neck.end
    x, middle = neck.stations(40), [(first + last) / 2]
    before, after = (float(bow(n.stations(40), 1.0 / section(n, x).EI, middle, first, last)[0])
                     for n in (neck, wet))
    with_setup, without = (year(neck, steady(0.75), back_finish="bare", shop=shop, setup_relief=r)
                           for r in (0.0004, 0.0))
    change = with_setup.relief[-1] - without.relief[-1]
    assert change > 1e-6 and change == pytest.approx(0.0004 * (after / before - 1), rel=1e-3)


def test_finish_changes_the_pace_not_the_end():
    """Epoxy against bare: slower all along, and a year on in the same steady room most of the way."""
    bare, epoxy = (year(player(), steady(0.30), back_finish=f) for f in ("bare", "epoxy, two-part"))
    assert np.all(epoxy.neck_moisture[1:-6] > bare.neck_moisture[1:-6])
    target = workshop(0.30).moisture
    long_run = column(player(), "epoxy, two-part").follow(np.array([0, 4000.0]) * DAY, [target, target],
                                                          0.085)
    assert long_run[-1] == pytest.approx([target, target], abs=1e-4)


def test_bare_board_on_a_sealed_back_bows_forward_first_in_a_dry_room():
    """Same wood, same swelling along the grain: what is left is timing, and that can be foreseen."""
    still = (5e-3, 0.165, 0.353)
    neck = player(1, Board(MAPLE, swelling=still)).with_pieces(
        [Board(MAPLE, QUARTER, swelling=still), Board(MAPLE, swelling=still)]
    )
    found = year(neck, steady(0.25), back_finish="epoxy, two-part", setup_relief=0.0, points=53)
    assert found.board_moisture[2] < found.neck_moisture[2] - 0.002
    assert found.relief[2] > 5e-6
    assert abs(found.relief[-1]) < np.max(found.relief) / 2, "it goes back as the neck follows"


def test_dry_winter_pushes_fret_ends_out_and_stiffens(many):
    winter = list(many.month).index("February")
    assert np.median(many.fret_end[:, winter]) > 1e-4
    assert np.median(many.stiffness[:, winter]) > 1.02
    ratio = modulus_at(1.0, MAPLE.green_ratio, np.median(many.neck_moisture[:, winter])) / modulus_at(
        1.0, MAPLE.green_ratio, workshop().moisture
    )
    assert np.median(many.stiffness[:, winter]) == pytest.approx(ratio, abs=0.01)


def test_sign_of_the_winter_change_is_near_a_coin_toss(many):
    """Against lore ("dry winter, more relief"): with swelling along the grain drawn from one printed range
    for both woods, either sign is common."""
    winter = list(many.month).index("January")
    assert 0.3 < many.share_up[winter] < 0.7
    assert many.share_up[winter] == np.mean(many.relief[:, winter] > 0)
    low, _, high = many.band()[:, winter]
    assert low < 0 < high
    assert abs(many.foreseen[winter]) < 0.3 * (high - low), "the foreseen part is small beside the chance"
    assert many.relief == pytest.approx(many.foreseen + many.chance)


def test_measuring_the_lengthwise_movement_removes_the_chance():
    blind = player()
    known = blind.with_pieces([replace(b, swelling=b.species.swelling) for b in blind.pieces])
    wide, narrow = (np.ptp(year(spread(n, 300, 4), "Chicago", points=13).band()[[0, 2]], axis=0).max()
                    for n in (blind, known))
    assert narrow < wide / 3


def test_seven_independent_pieces_scatter_less_than_one():
    """Less, not none: the fretboard is one piece in either neck, so the band shrinks by less than the root of
    the number of pieces."""
    one, seven = (year(spread(player(n), 800, 5), "Stockholm", points=13) for n in (1, 7))
    width, narrower = (np.ptp(found.band()[[0, 2], found.widest]) for found in (one, seven))
    assert width / np.sqrt(7) < narrower < 0.9 * width


def test_seven_slices_of_one_board_scatter_more_than_seven_boards():
    apart, sliced = (year(spread(player(7), 800, 5, kinship), "Stockholm", points=13)
                     for kinship in ("different trees", "same board"))
    at = apart.widest
    assert np.std(apart.relief[:, at]) < np.std(sliced.relief[:, at])


def test_one_piece_has_no_side_bow_and_seven_boards_have():
    """Where mechanics and lore part: stripes from unlike boards bring a little side bow that a single board
    does not have."""
    found = [year(spread(player(n), 200, 5), "Chicago", points=7) for n in (1, 7)]
    one, seven = (1e3 * np.ptp(each.band("side_bow")[[0, 2], each.widest]) for each in found)
    assert one < 1e-9 < 1e-3 < seven


def test_a_humidifier_narrows_the_band():
    neck = spread(player(), 300, 6)
    free, held = (np.ptp(year(neck, "Denver", points=13, held=h).band()[[0, 2]], axis=0).max()
                  for h in (None, (0.40, 0.50)))
    assert held < free / 3


def test_single_days_come_out_as_among_all_thirteen_and_every_fret_as_the_wood_bows_it(many):
    few = year(many.neck, "Stockholm", points=many.days[[0, 3, 9]])
    for name in ("relief", "share_up", "foreseen", "fret_end", "width", "stiffness", "side_bow", "at_frets"):
        all_of_them = np.moveaxis(getattr(many, name), 1 if getattr(many, name).ndim > 1 else 0, 0)[[0, 3, 9]]
        one = np.moveaxis(getattr(few, name), 1 if getattr(few, name).ndim > 1 else 0, 0)
        assert one == pytest.approx(all_of_them, rel=1e-9, abs=1e-15, nan_ok=True), name
    moved = movement(few.here, few.start, few.moisture)
    assert few.at_frets - few.relief[..., None] == pytest.approx(
        moved.relief_at - moved.relief[..., None], abs=1e-15)


def test_months_run_from_delivery(many):
    assert many.month[0] == "October" and many.month[3] == "January" and many.month[-1] == "October"
    january = indoor("Stockholm", 1)
    assert many.room.humidity[3] == pytest.approx(january.humidity, abs=1e-9)


def test_table_agrees_with_the_numbers(many):
    i, table = many.widest, many.table()
    assert len(table) == 13 and table["necks with more relief (of 100)"].iloc[i] == pytest.approx(
        100 * many.share_up[i])
    single = year(player(), "Lisbon", points=5)
    assert single.share_up is None and len(single.table()) == 5


def test_same_seed_same_year():
    neck = spread(player(), 60, 2)
    a, b, c = (year(neck, "Zurich", points=5, seed=s).relief for s in (1, 1, 2))
    assert np.array_equal(a, b) and not np.array_equal(a, c)


def test_bars_and_twist_travel_through_the_year():
    slant = Board(MAPLE, QUARTER, run_out=0.05)
    neck = player(3, bars=(Bar(0.008), Bar(-0.008)))
    pieces = list(neck.pieces)
    pieces[0] = slant
    found = year(neck.with_pieces(pieces), "Chicago", points=5)
    assert np.max(np.abs(found.twist)) > 1e-4


def test_wet_air_stops_at_fibre_saturation():
    wenge = Board(species("wenge"), QUARTER)
    neck = player(1, wenge).with_pieces([wenge, wenge])
    found = year(neck, steady(1.0), back_finish="bare", points=13)
    assert found.board_moisture[-1] > species("wenge").fibre_saturation
    assert found.fret_end[-1] == pytest.approx(movement(neck, workshop().moisture,
                                                        species("wenge").fibre_saturation).fret_end, rel=1e-6)


@pytest.mark.parametrize("call, words", [
    (lambda: year(player(), "Atlantis"), "place: 'Atlantis'"),
    (lambda: year(player(), "Phoenix, AZ"), "no temperature"),
    (lambda: year(player(), "Lisbon", delivered="Octember"), "month"),
    (lambda: year(player(), "Lisbon", back_finish="lacker"), "finish: 'lacker'"),
    (lambda: year(player(), "Lisbon", back_finish="shellac", coats=7), "coats of shellac"),
    (lambda: year(player(), "Lisbon", setup_relief=0.2), "did you mean 0.0002 m"),
    (lambda: year(player(), "Lisbon", points=1), "points"),
    (lambda: year(player(), "Lisbon", points=2.5), "whole number"),
    (lambda: year(player(), "Lisbon", points=[30.0, 60.0]), "the first 0"),
    (lambda: year(player(), "Lisbon", points=[0.0, 60.0, 60.0]), "rising"),
    (lambda: year(player(), workshop()), "twelve months"),
    (lambda: year(player(), "Lisbon", temperature=70), "Fahrenheit"),
    (lambda: year(player(), "Lisbon", points=3).band("bow"), "value: 'bow'")
])
def test_bad_input_is_named(call, words):
    with pytest.raises(ValueError, match=words):
        call()
