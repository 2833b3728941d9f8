"""The calculation sheet: each number is the one its own room gives, and what holds between necks holds in the
table."""

from dataclasses import replace

import numpy as np
import pytest

from tonewood.neck.layup.neck import Back, Channel, Fretboard, Neck, Outline, spread, striped
from tonewood.neck.load.joint import Joint
from tonewood.neck.load.relief import relief
from tonewood.neck.load.rod import Rod, relief_with_rod
from tonewood.neck.report.calculation_sheet import entries, rows
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
    return {name: entries(spread(neck(count), 600, 1), string_set("six"), "Chicago")
            for name, count in (("seven", 7), ("one", 1))}


def value(made, start):
    hits = [r for r in made if r.name.startswith(start)]
    assert len(hits) == 1, [r.name for r in hits]
    return hits[0].value


def test_numbers_are_those_of_the_rooms_they_come_from():
    drawn, strings, rod = spread(neck(7), 60, 3), string_set("six"), Rod()
    made = entries(drawn, strings, "Chicago", delivered="July", back_finish="shellac")
    slack = relief(drawn, strings, joint=Joint("neck-through"))
    assert value(made, "relief at fret 8") == pytest.approx(1e3 * slack.at(8))
    # independently derived from the gauges
    assert value(made, "pull of all strings") == pytest.approx(462.4, abs=0.5)
    after = relief_with_rod(slack, rod, value(made, "effort that leaves 0.20"))
    assert 1e3 * after.at(8) == pytest.approx(np.full(60, 0.2), abs=1e-9)
    assert value(made, "share of the limit") == pytest.approx(
        100 * np.abs(value(made, "effort that leaves 0.20")) / rod.limit
    )
    assert value(made, "their moment at fret 8") == pytest.approx(
        slack.moment[:, np.argmin(np.abs(slack.x - float(drawn.fret(8))))]
    )
    assert value(made, "turns from finger tight") * rod.effort(
        1.0, slack.strung.x, slack.strung.z_bar, slack.strung.EA, slack.strung.EI
    ) == pytest.approx(value(made, "effort that leaves 0.20"))
    gone = year(drawn, "Chicago", delivered="July", back_finish="shellac", points=13)
    assert value(made, "relief in January") == pytest.approx(0.2 + 1e3 * gone.relief[:, 6])
    assert value(made, "relief in July") == pytest.approx(np.full(60, 0.2))
    assert value(made, "relief a year on, July") == pytest.approx(0.2 + 1e3 * gone.relief[:, -1])
    i = gone.widest
    assert value(made, "predictable part") + value(made,
                                                 "coin-toss part") == pytest.approx(1e3 * gone.relief[:, i])
    assert value(made, "necks whose relief has risen") == pytest.approx(100 * np.mean(gone.relief[:, i] > 0))
    parts = section(drawn)
    assert value(made, "weight") == pytest.approx(1e3 * np.trapezoid(parts.mass_per_length, parts.x, axis=-1))


def test_seven_boards_scatter_less_than_one_all_along_the_sheet(found):
    def bands(step, start):
        (of,) = [of for at, name, _, of in rows(found) if at == step and name.startswith(start)]
        return of["seven"].band, of["one"].band

    for step, start in (
        ("boards", "stiffness along the grain, mean"),
        ("section", "weight"),
        ("year", "relief in August"),
        ("boards", "lengthwise movement"),
    ):
        seven, one = bands(step, start)
        assert seven[2] - seven[0] < 0.9 * (one[2] - one[0])
    # one wood, so the same neck in the middle: laminating buys predictability and not stiffness
    seven, one = bands("section", "bending stiffness EI, one")
    assert seven[1] == pytest.approx(one[1], rel=0.02)


def test_rows_hold_every_entry_and_bands_rise_from_low_to_high(found):
    listed = {(step, name, unit): of for step, name, unit, of in rows(found)}
    assert len(listed) == len(rows(found)) >= max(map(len, found.values()))
    for name, entered in found.items():
        for entry in entered:
            assert listed[entry.step, entry.name, entry.unit][name] is entry
            low, middle, high = entry.band
            assert low <= middle <= high and np.all(np.isfinite(entry.band))
    assert list(dict.fromkeys(step for step, *_ in listed)) == ["boards", "section", "strings", "rod", "year"]


def test_a_single_neck_has_no_bands_and_no_shares():
    listed = entries(neck(3), string_set("six"), "Lisbon")
    assert all(row.band[0] == row.band[2] for row in listed)
    assert not any("of 100" in row.name for row in listed)
