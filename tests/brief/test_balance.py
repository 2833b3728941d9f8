"""Weight and balance against closed forms: areas by the shoelace formula, centres by hand, Euler's belt
rule."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tonewood.brief.balance import (
    Head,
    Instrument,
    Part,
    Weighed,
    pull_of_10_grams,
    rest_of,
    seat_balance,
    strap_balance,
    weigh,
)
from tonewood.brief.body import (
    BodyPlan,
    Chamber,
    example_outline,
    outline_from_csv,
    outline_from_svg_path,
)
from tonewood.lesson.shared.shop import NECK_12, possible
from tonewood.lesson.weight_and_balance.model import on_strap
from tonewood.neck.layup.neck import Outline
from tonewood.neck.section.stations import at_stations

BODY = BodyPlan(outline=example_outline())
BOX = BodyPlan(outline=((0.4, -0.15), (0.8, -0.15), (0.8, 0.15), (0.4, 0.15)), thickness=0.045, density=600.0)


def shoelace(points):
    """Area (m2) and x of the centre (m) of a polygon: textbook formula, by hand."""
    x, y = np.array(points).T
    cross = x * np.roll(y, -1) - np.roll(x, -1) * y
    area = cross.sum() / 2
    return abs(area), ((x + np.roll(x, -1)) * cross).sum() / (6 * area)


def test_worked_case_of_five_parts():
    """Masses and places of a worked example, x turned to run from the nut's side: m 3.97 kg, x 0.06793 m,
    ratio e^(0.25 pi) = 2.1933, limit 0.03466 m (level) and, with the button moved 80 mm back, 0.08961 m
    (dives)."""
    parts = [Part(str(i), m, -x) for i, (m, x) in enumerate(
        ((2.40, -0.20), (0.75, 0.20), (0.12, 0.44), (0.25, 0.48), (0.45, -0.25)))]
    found = Weighed(tuple(parts))
    assert found.mass == pytest.approx(3.97) and found.centre == pytest.approx(0.06793, abs=1e-5)
    near, far = strap_balance(found.centre, -0.10, 0.33), strap_balance(found.centre, -0.02, 0.33)
    assert near.limit == pytest.approx(0.03466, abs=1e-5) and near.margin > 0
    assert far.limit == pytest.approx(0.08961, abs=1e-5) and far.margin < 0
    assert (on_strap(near), on_strap(far)) == ("level", "probably dives")


def test_the_strap_slips_exactly_where_the_belt_rule_says():
    for friction in (0.2, 0.25, 0.3):
        limit = strap_balance(0.5, 0.36, 0.83, friction).limit
        at = strap_balance(limit, 0.36, 0.83, friction)
        front = (0.83 - limit) / (0.83 - 0.36)            # of the weight, by moments about the rear button
        assert front / (1 - front) == pytest.approx(np.exp(friction * np.pi))      # T_A / T_B, Euler's belt
        assert at.margin == pytest.approx(0.0, abs=1e-15)


def test_a_neck_of_denser_wood_by_hand():
    """620 to 720 kg/m3 over 700 mm2 and 460 mm: 32 g."""
    assert 1e3 * (720 - 620) * 700e-6 * 0.460 == pytest.approx(32.2)
    heavy = possible(NECK_12.neck(), draws=5)
    boards = [b.__class__(b.species, b.ring_angle, moisture=b.moisture, density=np.asarray(b.rho) + 100.0)
              for b in heavy.pieces[:-1]] + [heavy.pieces[-1]]
    here = at_stations(heavy)
    wood = sum(a for a, p in zip(here.regions.area, here.regions.piece, strict=True) if 0 <= p < 7)
    more = weigh(NECK_12, Instrument(body=BODY), heavy.with_pieces(boards)).parts[0].mass
    less = weigh(NECK_12, Instrument(body=BODY), heavy).parts[0].mass
    np.testing.assert_allclose(more - less, 100.0 * np.trapezoid(wood, here.x), rtol=1e-9)


def test_area_and_centre_are_those_of_the_shoelace_formula():
    area, x = shoelace(BODY.outline)
    volume, centre = BODY.wings()
    assert volume == pytest.approx(area * BODY.thickness) and centre == pytest.approx(x)


def test_wings_core_and_pocket_by_hand():
    volume, x = BOX.wings(core=0.06)
    assert volume == pytest.approx(0.4 * 0.24 * 0.045) and x == pytest.approx(0.6)
    volume, x = BOX.wings(pocket=(0.4, 0.06, 0.056, 0.016))
    cut = 0.06 * 0.056 * 0.016
    assert volume == pytest.approx(0.4 * 0.3 * 0.045 - cut)
    assert x == pytest.approx((0.4 * 0.3 * 0.045 * 0.6 - cut * 0.43) / volume)
    chamber = Chamber(((0.5, 0.05), (0.6, 0.05), (0.6, 0.1), (0.5, 0.1)), 0.03)
    hollow = BodyPlan(outline=BOX.outline, chambers=(chamber,))
    assert hollow.wings()[0] == pytest.approx(0.4 * 0.3 * 0.045 - 0.1 * 0.05 * 0.03)


@pytest.mark.parametrize("joint", ["neck-through", "set", "bolt-on"])
def test_all_wood_of_the_body_is_there_once(joint):
    """With one density for everything, blank and wings fill the box whatever the joint."""
    neck, x0 = NECK_12.neck(), NECK_12.neck().body_start
    box = BodyPlan(outline=((x0, -0.15), (x0 + 0.4, -0.15), (x0 + 0.4, 0.15), (x0, 0.15)), density=600.0)
    boards = [b.__class__(b.species, moisture=b.moisture, density=600.0) for b in neck.pieces]
    design = NECK_12.changed(joint=joint)
    found = weigh(design, Instrument(body=box), design.neck().with_pieces(boards)).parts
    in_body = sum(p.mass for p in found if p.name in ("body wings", "blank through the body", "body"))
    under = (neck.end - x0) * float(neck.outline.width(neck.end)) * float(neck.back.depth(neck.end))
    assert in_body == pytest.approx((0.4 * 0.3 * 0.045 - under) * 600.0)


def test_ten_grams_move_the_balance_as_a_second_weighing_shows():
    found = weigh(NECK_12, Instrument(body=BODY))
    for i, part in enumerate(found.parts):
        more = Weighed((*found.parts[:i], Part(part.name, part.mass + 0.010, part.x), *found.parts[i + 1:]))
        assert more.centre - found.centre == pytest.approx(pull_of_10_grams(found, part), rel=0.01, abs=1e-9)


@given(st.floats(0.40, 0.65), st.floats(2.0, 5.0))
def test_seated_moments_balance(centre, mass):
    """The moments of weight and forearm about the edge of the thigh cancel."""
    found, edge = seat_balance(mass, centre, 0.60, 0.72), 0.60 - 0.07
    if centre < edge:
        assert found.press * (0.72 - edge) == pytest.approx(9.80665 * mass * (edge - centre))
    else:
        assert found.press <= 0


def test_strings_tuners_and_scale_follow_the_instrument():
    four = NECK_12.strings.__class__(set="bass four", tuning="bass four")
    bass = NECK_12.changed(scale_length=0.864, strings=four, outline=Outline(0.041, 0.056, 0.62))
    whole = Instrument(body=BodyPlan(outline=example_outline(joint=0.62)), head=Head(tuner="tuner_bass"),
                       buttons=(0.55, 1.04), waist=0.80, arm=0.92)
    parts = {p.name: p for p in weigh(bass, whole).parts}
    assert parts["tuners"].mass == pytest.approx(4 * 0.095)
    six = {p.name: p for p in weigh(NECK_12, Instrument(body=BODY)).parts}
    assert parts["strings"].mass > six["strings"].mass


def test_what_stays_and_what_changes_add_up_to_the_whole():
    whole = Instrument(body=BODY)
    drawn = possible(NECK_12.neck(), draws=40)
    full = weigh(NECK_12, whole, drawn)
    blank = sum(s.width / drawn.layup.width * np.asarray(s.board.rho) for s in drawn.layup.stripes)
    neck = full.parts[0]
    mass, centre = rest_of(NECK_12, whole).total(neck.mass, neck.mass * neck.x, blank)
    np.testing.assert_allclose(mass, full.mass, rtol=1e-12)
    np.testing.assert_allclose(centre, full.centre, rtol=1e-12)


def test_outlines_from_files(tmp_path):
    file = tmp_path / "body.csv"
    file.write_text("\ufeffX_mm;Y_mm\n0;-150\n400,0;-150\n400;150\n0;150\n", encoding="utf-8")
    assert outline_from_csv(file, 0.4) == BOX.outline
    drawn = outline_from_svg_path("M 0 -150 H 400 V 150 H 0 Z", start=0.4)
    assert shoelace(drawn)[0] == pytest.approx(0.12)
    circle = outline_from_svg_path("M 0 0 A 100 100 0 1 1 200 0 A 100 100 0 1 1 0 0 Z")
    assert shoelace(circle)[0] == pytest.approx(np.pi * 0.01, rel=1e-3)
    refused = (("x_mm,y_mm\n0,0\n1,0\n", "3 points"), ("a,b\n1,2\n", "line 1"),
               ("x_mm,y_mm\n0,0\n1,x\n2,2\n", "line 3, column 'y_mm'"))
    for text, words in refused:
        file.write_text(text, encoding="utf-8")
        with pytest.raises(ValueError, match=words):
            outline_from_csv(file)
    with pytest.raises(ValueError, match="none.csv: no such file"):
        outline_from_csv(tmp_path / "none.csv")
    with pytest.raises(ValueError, match="SVG path"):
        outline_from_svg_path("M 0 0 L banana")
    with pytest.raises(ValueError, match="several"):
        outline_from_svg_path("M 0 0 L 10 0 L 10 10 Z M 20 20 L 30 20 L 30 30 Z")


def test_bodies_and_parts_that_cannot_be_are_refused():
    square = BOX.outline
    for change, words in (({"outline": (square[0], square[2], square[1], square[3])}, "Self-intersection"),
                          ({"thickness": 45.0}, "45 mm"), ({"density": 0.6}, "600"),
                          ({"chambers": [Chamber(((0.5, 0.05), (0.9, 0.05), (0.9, 0.1)), 0.03)]}, "leaves"),
                          ({"chambers": [Chamber(((0.5, 0.05), (0.6, 0.05), (0.6, 0.1)), 0.05)]}, "deep")):
        with pytest.raises(ValueError, match=words):
            BodyPlan(**{"outline": square, "thickness": 0.045, **change})
    with pytest.raises(ValueError, match="0.036 kg"):
        Part("tuner", 36.0, 0.1)
    with pytest.raises(ValueError, match="0.44 m"):
        Part("tuner", 0.036, 440.0)
    with pytest.raises(ValueError, match="nearer"):
        strap_balance(0.5, 0.8, 0.4)
    with pytest.raises(ValueError, match="fitting"):
        Instrument(body=BODY, fittings={"propeller": 0.5})
    with pytest.raises(ValueError, match="forearm"):
        Instrument(body=BODY, waist=0.8)
