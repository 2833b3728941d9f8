"""Own boards stand first in every list of woods, in every lesson, and a figure stands on one."""

import json

import numpy as np
import pytest

from tonewood.bench import log
from tonewood.bench.log_columns import Measurement
from tonewood.bench.own_board import OwnBoard
from tonewood.lesson.grain.figure import controls as grain_controls
from tonewood.lesson.one_board.figure import controls as board_controls
from tonewood.lesson.shared import own_woods, shop
from tonewood.lesson.shared.wood_colours import TONES, tone
from tonewood.lesson.whole_neck import model as whole
from tonewood.lesson.whole_neck.figure import bench as whole_neck
from tonewood.neck import own_file
from tonewood.neck.design_file import from_text, to_text
from tonewood.panel.controls import Pick
from tonewood.wood import species as register
from tonewood.wood.own import own_wood


@pytest.fixture(autouse=True)
def empty_folder(monkeypatch, tmp_path):
    monkeypatch.setattr(register, "_OWN", {})
    monkeypatch.chdir(tmp_path)


def keep(density=700.0):
    board = OwnBoard(label="Mill maple 3", wood="hard maple", moisture=0.085, density=density, modulus=12.5e9)
    return own_file.add(own_woods.FILE, board.own())


def test_own_boards_come_first_then_own_woods_then_the_tables():
    plain = shop.woods("neck")
    board, plum = keep(), own_wood("Orchard plum", density=760.0)
    assert shop.woods("fretboard")[:2] == [("Mill maple 3 (own board, hard maple)", board.key),
                                           ("Orchard plum (own wood)", plum.key)]
    assert shop.woods("neck")[2:] == plain
    assert tone(board) == TONES["hard_maple"] and tone(plum) in TONES.values()


def test_a_list_made_before_finds_a_board_measured_since():
    lists = [board_controls()["wood"], grain_controls()["wood"],
             *(c for c in whole_neck().controls.values() if isinstance(c, Pick) and "wenge" in dict(
                 (v, n) for n, v in c.options))]
    assert len(lists) >= 7
    board = keep()
    for control in lists:
        control.look()
        assert control.options[0][1] == board.key and control.value != board.key
        control.value = board.key
        assert control._list.value == board.key


def test_the_band_of_the_neck_narrows_when_its_wood_is_the_measured_board():
    board = keep()
    live = whole_neck()
    live.set(accent="hard_maple", centre="hard_maple")
    before = live.sentence
    live.set(main=board.key, accent=board.key, centre=board.key)

    def stiffness(key):
        design = shop.changed(shop.NECK_12, main=key, accent=key, centre=key)
        found = whole.worked(design, "different trees", "one delivery", 30.0)
        low, _, high = np.percentile(found.stiffness, (5, 50, 95))
        return high - low
    assert before != live.sentence and live.error is None
    assert stiffness(board.key) < 0.95 * stiffness("hard_maple")


def test_readings_done_anew_do_not_change_a_kept_design():
    old = keep()
    text = to_text(shop.changed(shop.NECK_12, main=old.key))
    new = keep(density=720.0)
    assert [key for _, key in shop.woods("neck")][:2] == [new.key, old.key]
    assert shop.woods("neck")[1][0] == "Mill maple 3 (own board, hard maple, earlier readings)"
    register._OWN.clear()
    assert from_text(text).stripes[0].wood == old.key


def test_a_board_of_the_log_stands_in_the_lists_and_a_useless_one_is_told():
    rows = [{"measured": "weigh", "board": "A7", "wood": "hard maple", "mass": 0.571, "length": 0.6,
             "width": 0.062, "thickness": 0.022, "moisture": 0.085},
            {"measured": "tap", "board": "A7", "wood": "hard maple", "frequency": 271.0, "loss": 0.009},
            {"measured": "weigh", "board": "B2", "wood": "mystery", "mass": 0.4, "length": 0.6,
             "width": 0.06, "thickness": 0.02, "moisture": 0.08}]
    log.add(own_woods.LOG, *(Measurement(date="2026-11-27", **row) for row in rows))
    first, second = shop.woods("neck")[:2]
    assert first[0] == "A7 (own board, hard maple)" and "own board" not in second[0]
    wood = register.species(first[1])
    assert wood.cov_modulus < 0.04 and wood.status("modulus") == "measured"
    assert len(own_woods.left_out()) == 1 and "Board B2" in own_woods.left_out()[0]
    log.add(own_woods.LOG, Measurement(date="2026-11-28", measured="weigh", board="A7", mass=0.580))
    assert register.species("A7").density > wood.density or shop.woods("neck")[0][1] != first[1]
    kept = OwnBoard(label="A7", wood="hard maple", moisture=0.085, density=650.0).own()
    own_file.add(own_woods.FILE, kept)
    shop.woods("neck")
    assert register.species("A7").own == kept                                  # with its grain


def test_a_damaged_file_is_told_and_hides_no_other_wood():
    with open(own_woods.FILE, "w") as file:
        json.dump({"schema": "something else"}, file)
    assert len(shop.woods("neck")) > 100
    assert "my_woods.json" in own_woods.trouble() and "my_woods.json" in whole_neck().strip._told.value
