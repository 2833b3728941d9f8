"""The one-look evaluation of a lay-up against the parts it is made of, at more stations, and against closed
forms."""

from dataclasses import replace

import numpy as np
import pytest

from tonewood.neck.layup.neck import Back, Channel, Fretboard, Layup, Neck, Outline, Stripe, spread, striped
from tonewood.neck.layup.stripe_order import arranged
from tonewood.neck.load.relief import strung_neck
from tonewood.neck.report.evaluation import even_stiffness
from tonewood.neck.report.straightness import straightness
from tonewood.neck.seasons.movement import movement
from tonewood.neck.section.section import section
from tonewood.neck.section.twist import bending_twist, between
from tonewood.strings.sets import string_set
from tonewood.wood.board import Board
from tonewood.wood.elastic import rotate_compliance
from tonewood.wood.species import species

MAPLE, WENGE, EBONY = (species(name) for name in ("hard_maple", "wenge", "african_ebony"))
STRINGS = string_set("six")


def slanting(draws=None):
    boards = [Board(wood, *np.radians((60, 4, 3))) for wood in (MAPLE, WENGE, MAPLE)]
    neck = Neck(striped(*boards, 5), Outline(), Back("D"), Fretboard(Board(EBONY)), Channel())
    return neck if draws is None else spread(arranged(neck, "every second about z"), draws, 2)


@pytest.mark.parametrize("draws", [None, 30])
def test_same_as_its_parts_at_many_stations(draws):
    neck = slanting(draws)
    found = straightness(neck, STRINGS, 0.085, 0.062)
    whole = movement(neck, 0.085, 0.062)
    first, last = float(neck.fret(1)), neck.end
    strung = strung_neck(neck, STRINGS)
    x = neck.stations(80)
    moment = np.stack([np.interp(x, strung.x, row) for row in np.atleast_2d(strung.moment)])
    pulled = between(x, bending_twist(neck, moment if draws else moment[0], float(STRINGS.tension.sum()), x),
                     first, last)
    s = section(neck, x)
    assert found.stiffness == pytest.approx(even_stiffness(s.here), rel=1e-3)
    assert found.twisting_stiffness == pytest.approx((last - first) / between(x, 1 / s.GJ, first, last),
                                                     rel=1e-3)
    assert found.twist == pytest.approx(whole.twist, rel=3e-3) and found.relief_change == pytest.approx(
        whole.relief, rel=3e-3, abs=1e-7
    )
    assert found.side_bow == pytest.approx(whole.side_bow, rel=3e-3, abs=1e-9)
    # the relief model lets a lopsided neck bow sideways within the moment itself, worth up to half a per cent
    assert found.load_twist == pytest.approx(pulled, rel=1e-2)
    # 56 mm wide at 470 mm
    assert found.twist_across == pytest.approx(0.056 * np.tan(found.twist), rel=0.01)


def test_load_twist_of_an_even_neck_of_one_sloping_wood():
    """|s16| M / (2 I) per length (Lekhnitskii), with the strings' moment and pull of this very neck; pull
    along the axis does not twist it."""
    board = Board(MAPLE, 0.0, 0.0, np.radians(4))
    neck = Neck(Layup((Stripe(board, 0.050),)), Outline(0.050, 0.050), Back("D", 0.016, 0.016),
                Fretboard(board, 0.006, 0.0))
    found = straightness(neck, STRINGS, 0.085, 0.085)
    S = rotate_compliance(board.elastic.compliance, board.Q)
    strung = strung_neck(neck, STRINGS)
    on_neck = slice(None, strung.shown)
    mean = between(strung.x[on_neck], strung.moment[on_neck], float(neck.fret(1)), neck.end)
    area_moment = float(section(neck).EI[0]) / board.E_x
    assert abs(found.load_twist) == pytest.approx(abs(S[5, 0]) * mean / (2 * area_moment), rel=0.02)
    assert found.twist == found.side_bow == found.relief_change == 0


def test_stripes_alone_are_the_neck_under_a_board_of_nothing():
    neck = slanting()
    nothing = replace(neck, fretboard=Fretboard(Board(EBONY, modulus=1.001e9), 1e-9, 0.0))
    assert straightness(neck, STRINGS, 0.085,
                        0.062).stripes_stiffness == pytest.approx(even_stiffness(nothing), rel=1e-3)


def test_table_names_its_units_and_holds_the_draws():
    one, many = (straightness(slanting(draws), STRINGS, 0.085, 0.062).table() for draws in (None, 40))
    assert list(one.columns) == list(many.columns) and all("(" in c for c in one.columns)
    assert list(many.index) == ["5 %", "50 %", "95 %"] and (many.loc["5 %"] <= many.loc["95 %"]).all()
    found = straightness(slanting(None), STRINGS, 0.085, 0.062)
    metres = {"twist with moisture": found.twist_across, "side bow": found.side_bow,
              "relief change": found.relief_change, "twist under": found.load_twist_across}
    for name, value in metres.items():
        column, = (c for c in one.columns if c.startswith(name))
        assert one[column].item() == pytest.approx(1e3 * value)


def test_bad_moisture_is_named():
    with pytest.raises(ValueError, match="start moisture"):
        straightness(slanting(), STRINGS, 8.5, 6.2)
