"""The calculation sheet: each number is the one its own room gives, and what holds between necks holds in the
table."""

from dataclasses import replace

import numpy as np
import pytest

from tonewood.neck.layup.neck import Back, Channel, Fretboard, Neck, Outline, spread, striped
from tonewood.neck.load.joint import Joint
from tonewood.neck.load.relief import relief
from tonewood.neck.load.rod import Rod, relief_with_rod
from tonewood.neck.report.calculation_sheet import calculation_sheet, entries
from tonewood.neck.seasons.year import year
from tonewood.neck.section.section import section
from tonewood.strings.sets import string_set
from tonewood.wood.board import Board
from tonewood.wood.species import species

MAPLE = Board(species("hard maple"), ring_angle=np.pi / 2, moisture=0.085)


def neck(count):
    made = Neck(striped(MAPLE, MAPLE, MAPLE, count), Outline(), Back("D"),
                Fretboard(Board(species("Indian rosewood"), moisture=0.085)), Channel(rod_mass=0.2))
    return replace(made, body_start=float(made.fret(17)))


@pytest.fixture(scope="module")
def found():
    return calculation_sheet({"seven": spread(neck(7), 600, 1), "one": spread(neck(1), 600, 1)},
                             string_set("six"), "Chicago")


def value(rows, start):
    hits = [r for r in rows if r.name.startswith(start)]
    assert len(hits) == 1, [r.name for r in hits]
    return hits[0].value


def test_numbers_are_those_of_the_rooms_they_come_from():
    drawn, strings, rod = spread(neck(7), 60, 3), string_set("six"), Rod()
    rows = entries(drawn, strings, "Chicago", delivered="July", back_finish="shellac")
    slack = relief(drawn, strings, joint=Joint("neck-through"))
    assert value(rows, "relief at fret 8") == pytest.approx(1e3 * slack.at(8))
    # independently derived from the gauges
    assert value(rows, "pull of all strings") == pytest.approx(462.4, abs=0.5)
    after = relief_with_rod(slack, rod, value(rows, "effort that leaves 0.20"))
    assert 1e3 * after.at(8) == pytest.approx(np.full(60, 0.2), abs=1e-9)
    assert value(rows, "share of the limit") == pytest.approx(
        100 * np.abs(value(rows, "effort that leaves 0.20")) / rod.limit
    )
    assert value(rows, "their moment at fret 8") == pytest.approx(
        slack.moment[:, np.argmin(np.abs(slack.x - float(drawn.fret(8))))]
    )
    assert value(rows, "turns from finger tight") * rod.effort(
        1.0, slack.strung.x, slack.strung.z_bar, slack.strung.EA, slack.strung.EI
    ) == pytest.approx(value(rows, "effort that leaves 0.20"))
    gone = year(drawn, "Chicago", delivered="July", back_finish="shellac", points=13)
    assert value(rows, "relief in January") == pytest.approx(0.2 + 1e3 * gone.relief[:, 6])
    assert value(rows, "relief in July") == pytest.approx(np.full(60, 0.2))
    assert value(rows, "relief a year on, July") == pytest.approx(0.2 + 1e3 * gone.relief[:, -1])
    i = gone.widest
    assert value(rows, "predictable part") + value(rows,
                                                   "coin-toss part") == pytest.approx(1e3 * gone.relief[:, i])
    assert value(rows, "necks whose relief has risen") == pytest.approx(100 * np.mean(gone.relief[:, i] > 0))
    parts = section(drawn)
    assert value(rows, "weight") == pytest.approx(1e3 * np.trapezoid(parts.mass_per_length, parts.x, axis=-1))


def test_seven_boards_scatter_less_than_one_all_along_the_sheet(found):
    table = found.table()
    width = {name: table[name]["95 %"] - table[name]["5 %"] for name in ("seven", "one")}
    for step, start in (
        ("boards", "stiffness along the grain, mean"),
        ("section", "weight"),
        ("year", "relief in August"),
        ("boards", "lengthwise movement"),
    ):
        row = [key for key in table.index if key[0] == step and key[1].startswith(start)]
        assert len(row) == 1
        assert width["seven"][row[0]] < 0.9 * width["one"][row[0]]
    # one wood, so the same neck in the middle: laminating buys predictability and not stiffness
    even = [key for key in table.index if key[1].startswith("bending stiffness EI, one")][0]
    assert table["seven"]["middle"][even] == pytest.approx(table["one"]["middle"][even], rel=0.02)


def test_table_holds_every_entry_and_rises_from_low_to_high(found):
    table = found.table()
    assert table.shape == (len(found.rows()), 6) and table.index.is_unique
    assert len(found.rows()) >= max(len(rows) for rows in found.necks.values())
    for name, rows in found.necks.items():
        for row in rows:
            assert table[name].loc[(row.step, row.name, row.unit)].to_list() == pytest.approx(list(row.band))
            assert row.band[0] <= row.band[1] <= row.band[2] and np.all(np.isfinite(row.band))
    assert list(dict.fromkeys(key[0]
                              for key in table.index)) == ["boards", "section", "strings", "rod", "year"]


def test_a_single_neck_has_no_bands_and_no_shares():
    rows = entries(neck(3), string_set("six"), "Lisbon")
    assert all(row.band[0] == row.band[2] for row in rows)
    assert not any("of 100" in row.name for row in rows)


def test_no_neck_is_refused():
    with pytest.raises(ValueError, match="necks to compare"):
        calculation_sheet({}, string_set("six"), "Chicago")
