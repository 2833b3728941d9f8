"""Geometry of a neck and its refusals; limits of the section as properties."""

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
from tonewood.neck.section.section import regions, section
from tonewood.wood.board import Board
from tonewood.wood.species import species

MAPLE, WALNUT = Board(species("hard maple")), Board(species("black walnut"))


def neck(layup=None, **parts):
    return Neck(layup or striped(MAPLE, WALNUT, WALNUT, 5), parts.pop("outline", Outline()),
                parts.pop("back", Back()), parts.pop("fretboard", Fretboard(MAPLE)), **parts)


@pytest.mark.parametrize("build, words", [(lambda: Layup([]), ["lay-up", "0 stripes", "at least 1"]),
    (lambda: Stripe(MAPLE, 0.0), ["stripe width", "0 m", "above 0"]),
    (lambda: Stripe(MAPLE, 12), ["stripe width", "did you mean 0.012 m"]),
    (lambda: Fretboard(MAPLE, -0.006), ["fretboard thickness", "−0.006", "above 0"]),
    (lambda: Fretboard(MAPLE, float("nan")), ["fretboard thickness", "nan"]),
    (lambda: Fretboard(MAPLE, 0.006, 0.007), ["slot depth", "0.007", "0 to 0.006"]),
    (lambda: Fretboard(MAPLE, slot_fill=50), ["slot fill", "did you mean 0.5"]),
    (lambda: striped(MAPLE, WALNUT, WALNUT, 61),
     ["number of stripes", "61", "60 mm blank", "fewer or thinner"]),
    (lambda: striped(MAPLE, WALNUT, WALNUT, 2.5), ["number of stripes", "whole number"]),
    (lambda: striped(MAPLE, WALNUT, WALNUT, 0), ["number of stripes", "0"]),
    (lambda: neck(Layup([Stripe(MAPLE, 0.03)])), ["lay-up width", "30.0 mm", "at least 55.9 mm"]),
    (lambda: Back("W"), ["back shape", "'C', 'D', 'V'"]),
    (lambda: neck(channel=Channel(depth=0.015)), ["rod channel", "15.0 mm deep", "comes out of the back"]),
    (lambda: neck(bars=[Bar(0.017, depth=0.012)]), ["bar 1", "comes out of the back"]),
    (lambda: neck(bars=[Bar(0.022)]), ["bar 1", "edge of the neck"]),
    (lambda: neck(channel=Channel(), bars=[Bar(0.004)]), ["rod channel and bar 1 overlap"]),
    (lambda: neck(bars=[Bar(0.008), Bar(0.010)]), ["bar 1 and bar 2 overlap"]),
    (lambda: neck(scale_length=648), ["scale length", "did you mean 0.648 m"]),
    (lambda: neck().fret(23), ["fret", "23", "0 to 22"]),
    (lambda: section(neck(), [0.7]), ["station", "0.7"]),
    (lambda: neck().with_pieces([MAPLE]), ["boards", "1 given", "6"]),
    (lambda: neck(Layup([Stripe(Board(species("hard maple"), modulus=np.full(4, 12e9)), 0.03),
                         Stripe(Board(species("hard maple"), modulus=np.full(5, 12e9)), 0.03)])),
     ["draws", "4", "5"]),])
def test_refusals(build, words):
    with pytest.raises(ValueError) as refusal:
        build()
    for word in words:
        assert word.lower() in str(refusal.value).lower(), f"{word!r} not in {refusal.value}"


@pytest.mark.parametrize("count", range(1, 12))
def test_stripes_are_symmetric_and_fill_the_blank(count):
    layup = striped(MAPLE, WALNUT, WALNUT, count)
    assert len(layup.stripes) == count and layup.width == pytest.approx(0.060)
    widths = [s.width for s in layup.stripes]
    np.testing.assert_allclose(widths, widths[::-1])
    assert all(a.board is b.board for a, b in zip(layup.stripes, layup.stripes[::-1], strict=False))
    assert layup.stripes[0].board is MAPLE


def test_stripes_of_one_wood_are_one_piece():
    one, nine = (section(neck(striped(MAPLE, MAPLE, MAPLE, n), channel=Channel())) for n in (1, 9))
    for name in ("EA", "EI", "EI_side", "z_bar", "mass_per_length"):
        np.testing.assert_allclose(getattr(one, name), getattr(nine, name), rtol=1e-9)


@given(st.integers(1, 11), st.sampled_from(["C", "D", "V"]), st.floats(0.02, 0.45))
@settings(max_examples=40, deadline=None)
def test_symmetric_lay_up_has_no_side_axis_and_no_cross_term(count, shape, x):
    s = section(neck(striped(MAPLE, WALNUT, WALNUT, count), back=Back(shape)), [x])
    assert abs(s.y_bar[0]) < 1e-12 and abs(s.EI_cross[0]) < 1e-9 * s.EI[0]


@given(st.floats(0.5, 2.0))
@settings(max_examples=20, deadline=None)
def test_stiffness_follows_the_modulus(k):
    softer = Board(species("hard maple"), modulus=MAPLE.E_L * k)
    a, b = (section(neck(striped(m, m, m, 3), fretboard=Fretboard(m))) for m in (MAPLE, softer))
    np.testing.assert_allclose(b.EI, k * a.EI, rtol=1e-9)
    np.testing.assert_allclose(b.z_bar, a.z_bar, rtol=1e-9)


def test_regions_add_up_to_the_outline():
    """Independently derived: the area of a half ellipse and a rectangle, less the channel; bars replace
    wood."""
    n = neck(channel=Channel(), bars=[Bar(0.008), Bar(-0.008)])
    parts = regions(n, [0.1])
    width, depth = 0.043 + 0.013 * 0.1 / 0.47, 0.0145 + 0.0025 * 0.1 / 0.47
    assert parts.area.sum() == pytest.approx(np.pi / 4 * width * depth + 0.006 * width - 0.006 * 0.010,
                                             rel=1e-6)
    assert parts.area[[i for i, p in enumerate(parts.piece)
                       if p < 0]].sum() == pytest.approx(2 * 0.003 * 0.009, rel=1e-6)


def test_channel_ends_where_it_ends():
    n = neck(channel=Channel(start=0.01, end=0.40))
    area = regions(n, [0.005, 0.2, 0.42]).area.sum(0)
    whole = regions(neck(), [0.005, 0.2, 0.42]).area.sum(0)
    np.testing.assert_allclose(whole - area, [0, 6e-5, 0], atol=1e-9)


def test_spread_keeps_geometry_and_seed():
    a, b = spread(neck(), 10, 3), spread(neck(), 10, 3)
    assert a.draws == 10 and neck().draws is None and a.geometry == neck().geometry
    np.testing.assert_array_equal(section(a).EI, section(b).EI)


def test_default_bar_is_the_carbon_of_the_materials_table():
    from tonewood.materials import material
    carbon, bar = material("carbon_bar"), Bar(0.0)
    for name in ("modulus", "shear_modulus", "density"):
        assert getattr(bar, name) == pytest.approx(carbon[name].value), name
    assert carbon["loss_factor"].low <= bar.loss <= carbon["loss_factor"].high
