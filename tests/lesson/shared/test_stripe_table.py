"""The table of stripes in lesson 01: it says the neck on show, what is typed becomes it, slips are named.
"""

import re

import numpy as np
import pytest

from tonewood.bench.own_board import OwnBoard
from tonewood.lesson.shared import own_woods
from tonewood.lesson.shared.shop import NECK_12
from tonewood.lesson.shared.stripe_table import MOST
from tonewood.lesson.whole_neck.figure import bench
from tonewood.lesson.whole_neck.model import BUILT, build
from tonewood.neck import design_file, own_file
from tonewood.neck.layup.half_turns import turned_angles
from tonewood.wood import species as register


@pytest.fixture(autouse=True)
def empty_folder(monkeypatch, tmp_path):
    monkeypatch.setattr(register, "_OWN", {})
    monkeypatch.chdir(tmp_path)


@pytest.fixture(scope="module")
def live():
    return bench()


@pytest.fixture
def table(live):
    live.strip.open()
    live.stripes.fill()
    return live.stripes


def test_the_table_says_the_neck_on_show(table):
    assert len(table.rows) == 7
    design = table.design()
    assert design.neck().layup.edges == pytest.approx(NECK_12.neck().layup.edges, abs=1e-9)
    assert [(s.wood, s.turn) for s in design.stripes] == [(s.wood, s.turn) for s in NECK_12.stripes]
    assert design.stripes[0].ring_angle == pytest.approx(np.pi / 2) and (
        design.fretboard.thickness == pytest.approx(0.006))


def test_any_stripe_is_its_own_and_the_figure_follows(live, table):
    board = own_file.add(own_woods.FILE, OwnBoard(label="Mill maple 3", wood="hard maple", moisture=0.085,
                                                  modulus=12e9, ring_angle=1.0, run_out=0.05).own())
    table.fill()
    before = live.sentence
    row = table.rows[2]
    row["wood"].value = board.key
    assert (row["ring_angle"].value, row["run_out"].value) == ("57.3", "2.865")      # an own board's grain
    row["turn"].value, table.rows[1]["width"].value = "about x", "0,6 mm"             # a veneer
    table.top["ring_angle"].value, table.top["width"].value = "30", "7"
    table.show()
    shown = live.subject
    assert live.error is None and live.sentence != before
    assert shown.stripes[2].wood == board.key and shown.stripes[2].turn == "about x"
    assert shown.stripes[1].width == pytest.approx(0.0006)
    assert shown.stripes[2].run_out == pytest.approx(0.05, 1e-3)
    assert shown.fretboard.ring_angle == pytest.approx(np.radians(30)) and shown.fretboard.thickness == 0.007
    assert "of the table" in live.strip.shown
    assert design_file.load(live.strip.keep("My stripes")).stripes == shown.stripes


def test_one_to_fifteen_stripes(live, table):
    while len(table.rows) < MOST:
        table.add()
    for row in table.rows:
        row["width"].value = "4"
    table.show()
    assert len(live.subject.stripes) == 15 and live.error is None
    with pytest.raises(ValueError, match="up to 15"):
        table.add()
    while len(table.rows) > 1:
        table.drop()
    table.rows[0]["width"].value = "60"
    table.show()
    assert len(live.subject.stripes) == 1 and live.error is None
    with pytest.raises(ValueError, match="at least 1"):
        table.drop()


def test_mirrored_halves_are_mirror_images(table):
    row = table.rows[0]
    row["ring_angle"].value, row["run_out"].value, row["turn"].value = "30", "4", "about x"
    table.mirror()
    design = table.design()
    for bass, treble in zip(design.stripes[:3], design.stripes[:3:-1], strict=True):
        one, other = (turned_angles(s.ring_angle, s.run_out, s.slope, s.turn) for s in (bass, treble))
        assert (bass.wood, bass.width) == (treble.wood, treble.width)
        assert other == pytest.approx((-one[0], one[1], -one[2]))


@pytest.mark.parametrize("field, words, said", [
    ("width", "", "stripe 3 from the bass: width: nothing given"),
    ("width", "60 m", "stripe 3 from the bass"),
    ("ring_angle", "quarter", "stripe 3 from the bass: ring angle"),
    ("run_out", "80", "stripe 3 from the bass: run-out"), ("width", "0", "stripe 3 from the bass"),
    ("width", "5000", "stripe width: 5000 mm given; accepted: above 0 to 200 mm"),
    ("leans", "80", "80° given; accepted: from −45 to 45°. The neck"),
    ("width", "1", "accepted: at least 55.9 mm, the widest part")])
def test_a_slip_is_named_and_changes_nothing(live, table, field, words, said):
    before = live.subject, live.sentence
    table.rows[2][field].value = words
    if field == "width" and words == "1":
        table.rows[0]["width"].value = "1"
    table.buttons["Show this neck"].click()
    assert re.search(said, table.reply) and "as it was" in table.reply
    assert (live.subject, live.sentence) == before


def test_slope_layers_and_glue_lines_from_the_table(live, table):
    table.rows[0]["slope"].value, table.rows[0]["leans"].value = "-1,5", "3"
    table.rows[5]["tapers"].value = "0,2"
    table.layer()
    table.under[0]["wood"].value, table.under[0]["run_out"].value = "hard_maple", "2"
    table.show()
    shown = live.subject
    assert live.error is None and shown.stripes[0].slope == pytest.approx(np.radians(-1.5))
    assert shown.leans == pytest.approx([np.radians(3), 0, 0, 0, 0, 0]) and shown.tapers[5] > 0
    layer, = shown.fretboard.under
    assert (layer.wood, layer.thickness) == ("hard_maple", 0.0006) and layer.run_out > 0
    assert "over hard maple" in live.sentence
    table.fill()
    assert table.design().leans == pytest.approx(shown.leans) and len(table.under) == 1
    table.top["wood"].value = ""
    table.buttons["Show this neck"].click()
    assert "none chosen above 1 layer;" in table.reply
    table.peel()
    table.show()
    assert "no fretboard" in live.sentence and live.subject.channel.below == 0.006
    assert live.subject.back.depth_nut == pytest.approx(0.0205)
    with pytest.raises(ValueError, match="at least 1"):
        table.peel()


def test_how_the_fretboard_is_built_and_lines_that_lean(live, table):
    for built, layers in BUILT.items():
        live.set(built=built, veneer="black_walnut", lean=10, stripes=11)
        made = build(live.subject, **live.values)
        assert live.error is None and len(made.fretboard.layers) == layers
        assert made.leans == pytest.approx(np.radians(10) * np.sign(made.neck().layup.edges[1:-1]))
        assert live.art.swatches["veneer"].get_visible() == (layers > 1)
        assert live.art.swatches["fretboard"].get_visible() == (layers > 0)
    live.reset()
