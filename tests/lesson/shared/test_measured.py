"""What others measured stands beside the model as it is in the tables, and the share inside is counted from
it."""

import csv

import numpy as np
import pytest

from tonewood.bench.boards import board_tests
from tonewood.lesson.shared.measured import (
    Compared,
    compared,
    guitars,
    measured_figure,
    others_measured,
    sample_scatter,
    tally,
)
from tonewood.tables import data_folder, read_table
from tonewood.wood.moisture import equilibrium_moisture


def _rows(name):
    with open(data_folder() / name, encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_every_figure_of_the_tables_is_shown_once_as_it_stands_there():
    rows = compared()
    told = {row["what"]: float(row["value"]) for row in _rows("measured_guitars.csv") if row["compared"]}
    assert {row.what.removeprefix("guitar: "): row.measured for row in rows
            if row.what.startswith("guitar")} == told and len(told) == 5
    homes = [row for row in _rows("indoor_humidity.csv") if row["humidity"]]
    wood = [100 * equilibrium_moisture(float(row["temperature"]), float(row["humidity"]) / 100)
            for row in homes]
    assert [row.measured for row in rows if row.what.startswith("homes")] == pytest.approx(wood)
    assert len(homes) > 15
    assert len({row.what for row in rows}) == len(rows)


def test_the_boards_by_hand():
    boards = {row.what: row for row in compared() if row.what.startswith("30 boards")}
    slow, quick = board_tests()["static_a"], board_tests()["vibration"]
    assert boards["30 boards: scatter, first slow test"].measured == pytest.approx(
        100 * np.std(slow, ddof=1) / np.mean(slow))
    assert boards["30 boards: vibration over first slow test"].measured == pytest.approx(
        np.mean(quick) / np.mean(slow))
    slope, height = np.polyfit(quick, slow, 1)
    rest = np.sqrt(np.sum((slow - slope * quick - height) ** 2) / 28) / np.mean(slow)
    left = boards["30 boards: first slow test, left unknown by a vibration"].measured
    assert left == pytest.approx(100 * rest)


def test_the_band_of_a_sample_by_drawing_samples():
    low, high = sample_scatter(0.14, 30)
    drawn = np.std(0.14 * np.random.default_rng(5).standard_normal((40_000, 30)), ddof=1, axis=1)
    assert (low, high) == pytest.approx(tuple(np.percentile(drawn, (5, 95))), rel=0.01)


def test_the_share_inside_is_counted_and_hits_and_misses_are_both_shown():
    rows = compared()
    inside = [row.low <= row.measured <= row.high for row in rows]
    assert 0 < sum(inside) < len(rows)
    assert f"{sum(inside)} of {len(rows)} figures, {100 * np.mean(inside):.0f} %" in tally()
    made = (Compared(what="a: x", measured=1, low=0, high=2, unit="1", source="s"),
            Compared(what="b: y", measured=3, low=0, high=2, unit="1", source="s"))
    assert tally(made).startswith("Inside the model's 90 % band: 1 of 2 figures, 50 %")
    assert "a 1 of 1, b 0 of 1" in tally(made)


def test_what_could_not_be_compared_is_told_with_a_reason():
    shown = others_measured()
    rest = [row for row in read_table("measured_guitars.csv") if not row["compared"]]
    assert f"Read and not compared: {len(rest)} findings" in shown.html
    for row in rest:
        assert row["note"] and f"{row['what']}: " in shown.plain and row["note"] in shown.plain
    assert tally() in shown.plain and "(from memory)" in shown.plain
    assert shown.plain.count("inside yes") == sum(row.inside for row in compared())


def test_the_guitars_scatter_and_modes_stand_in_order():
    found = guitars()
    assert len(set(map(len, found.values()))) == 1 and len(found["bending 1"]) >= 90
    assert np.all(found["bending 1"] < found["bending 2"]) and np.all(found["bending 2"] < found["bending 3"])
    assert np.ptp(found["dead fret, D string"]) >= 3


def test_the_figure_says_the_tally():
    live = measured_figure()
    assert live.sentence == tally() and tally() in live.words()


def test_the_two_misses_that_lesson_07_names_are_misses_and_lie_lower():
    """Its verdict on dead notes says that neither the second mode nor the dead fret falls inside the band."""
    rows = {row.what: row for row in compared()}
    for what in ("guitar: second bending", "guitar: fret of the D string that dies"):
        assert rows[what].measured < rows[what].low, what
