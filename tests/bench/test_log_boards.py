"""What a log knows of each board, against boards whose truth is known and weighted means by hand."""

from dataclasses import replace
from datetime import date, timedelta
from math import hypot, log, pi

import numpy as np
import pytest

from tonewood.bench import measure
from tonewood.bench.log import add, read_log
from tonewood.bench.log_boards import Mean, boards, table
from tonewood.bench.log_columns import Measurement
from tonewood.bench.moisture_readings import by_meter
from tonewood.wood.board import Board
from tonewood.wood.facts import rule
from tonewood.wood.species import species

MAPLE = species("hard maple")
RATIO = float(Board(MAPLE).E_x / Board(MAPLE).G_xz)
E, RHO, G, SIZES = 12.4e9, 705.0, 0.9e9, {"length": 0.5, "width": 0.05, "thickness": 0.022}
MASS = RHO * 0.5 * 0.05 * 0.022
DAY = date(2026, 11, 27)


def made(measured, days=0, **given):
    return Measurement(date=DAY + timedelta(days), board="A7", wood="hard maple", measured=measured, **given)


def beam(load, span, modulus=E):
    """What a bar of SIZES bends by, by hand: bending and shear of a simply supported beam."""
    b, t = SIZES["width"], SIZES["thickness"]
    inertia, shear = b * t**3 / 12, modulus / RATIO
    return load * span**3 / (48 * modulus * inertia) + load * span / (4 * (5 / 6) * shear * b * t)


def tone(modulus):
    """Lowest tone of the free bar of SIZES, found by trial from the modulus it gives."""
    low, high = 50.0, 1000.0
    for _ in range(80):
        middle = (low + high) / 2
        low, high = (middle, high) if measure.tap_modulus(MASS, middle, **SIZES, ratio=RATIO) < modulus else (
            low, middle)
    return middle


WEIGH = made("weigh", mass=MASS, **SIZES)
BEND = made("bend", load=98.0, span=0.4, deflection=beam(98.0, 0.4))
TAP = made("tap", frequency=tone(E * rule("tap_over_bend").value), loss=0.008)


def test_a_board_whose_truth_is_known_is_found(tmp_path):
    twist = made("twist tap", frequency=(G * SIZES["width"] * SIZES["thickness"] / (
        4 * 0.5 * MASS * measure.twist_shape(0.05, 0.022))) ** 0.5)
    meter = made("moisture meter", moisture=0.085)
    [board] = read_log(add(tmp_path / "log.csv", WEIGH, BEND, TAP, twist, meter)).boards()
    assert board.species is MAPLE and board.unused == () and board.count == 5
    assert board.density.value == pytest.approx(RHO) and board.modulus.value == pytest.approx(E, rel=1e-9)
    assert board.twist_modulus.value == pytest.approx(G, rel=1e-9)
    assert board.loss == Mean(pytest.approx(0.008), pytest.approx(0.008 * log(1.1) / 1.6448536), 1)
    assert board.moisture == Mean(pytest.approx(0.085), pytest.approx(0.015), 1)
    assert board.thickness == Mean(0.022, pytest.approx(5e-5), 1) and board.mass.u == pytest.approx(5e-4)
    shown = table([board]).iloc[0]
    assert shown["density (kg/m³)"] == "705 ± 7" and shown["modulus (GPa)"].startswith("12.40 ± 0.")


def test_weights_by_hand():
    """A bend counts by 1/0.03², a tap by the scatter of tap_over_bend as well; repeats of one kind do not
    count as new knowledge of what they share."""
    bend, over = rule("modulus_error").value, rule("tap_over_bend")
    tap = hypot(bend, over.sd / over.value)
    two = boards([WEIGH, BEND, replace(TAP, frequency=tone(1.04 * E * over.value))])[0].modulus
    weights = np.array([bend**-2, tap**-2])
    assert two.value == pytest.approx(E * 1.04 ** (weights[1] / weights.sum()))
    assert two.relative == pytest.approx(weights.sum() ** -0.5) and two.count == 2
    assert boards([WEIGH, *[BEND] * 9])[0].modulus == Mean(pytest.approx(E), pytest.approx(bend * E), 9)


def test_what_quarrels_is_less_sure():
    bend = rule("modulus_error").value
    high = replace(TAP, frequency=tone(1.3 * E * rule("tap_over_bend").value))
    far = boards([WEIGH, BEND, high])[0].modulus
    one, tap = log(far.value / E), log(1.3 * E / far.value)
    error = hypot(bend, rule("tap_over_bend").sd / rule("tap_over_bend").value)
    birge = ((one / bend) ** 2 + (tap / error) ** 2) ** 0.5
    assert birge > 4 and far.relative == pytest.approx((bend**-2 + error**-2) ** -0.5 * birge)
    rough = [replace(BEND, deflection=BEND.deflection * factor) for factor in (0.8, 1.0, 1.25)]
    assert boards([WEIGH, *rough])[0].modulus.relative == pytest.approx(log(1.25) / 3**0.5)


def test_a_planed_board_is_not_reckoned_with_its_earlier_mass():
    planed = made("tap", 3, frequency=300.0, thickness=0.018)
    [board] = boards([WEIGH, BEND, planed])
    assert board.mass is None and board.thickness.value == 0.018 and board.modulus.count == 1
    assert board.unused == ("line 0, tap: mass not known; accepted: on this line, or an earlier one of the "
                            "same board",)
    assert boards([WEIGH, planed, made("weigh", 4, mass=0.3)])[0].density.value == pytest.approx(
        (0.3 / (0.5 * 0.05 * 0.018) * RHO) ** 0.5)


def test_readings_at_other_moisture_are_carried_to_the_latest():
    wet = replace(BEND, moisture=0.12, deflection=beam(
        98.0, 0.4, E * measure.modulus_at_12(1.0, 0.08, MAPLE.green_ratio, MAPLE.mp)))
    [board] = boards([WEIGH, wet, made("moisture meter", 30, moisture=0.08)])
    assert board.modulus.value == pytest.approx(E) and board.moisture.value == 0.08
    [unknown] = boards([replace(m, wood="my tree") for m in (WEIGH, wet)])
    assert unknown.species is None and unknown.modulus.value == pytest.approx(
        measure.bend_modulus(98.0, wet.deflection, 0.4, 0.05, 0.022))


def test_moisture_by_drying_outweighs_the_meter_and_old_readings_do_not_count():
    rows = [made("moisture meter", moisture=0.20), made("moisture meter", 40, moisture=0.10),
            made("oven-dry", 41, mass=0.0109, value=10.0, unit="g")]
    moisture = boards(rows)[0].moisture
    weights = np.array([0.015**-2, 0.003**-2])
    assert moisture == Mean(pytest.approx(weights @ [0.10, 0.09] / weights.sum()),
                            pytest.approx(weights.sum() ** -0.5), 2)


def test_one_bad_row_among_many_costs_itself_alone():
    short = replace(BEND, span=0.1)
    many = boards([replace(m, board=f"B{k}") for k in range(40) for m in (WEIGH, short if k == 23 else BEND)])
    assert len(many) == 40 and [b.label for b in many if b.unused] == ["B23"]
    assert "span over thickness: 4.54545 given" in next(b for b in many if b.unused).unused[0]
    assert sum(b.modulus is not None for b in many) == 39


def test_labels_woods_and_what_has_no_board():
    neck = Measurement(date=DAY, neck="No. 12", measured="rod turns", value=0.5, unit="turns")
    assert boards([neck]) == () and len(table([])) == 0
    [board] = boards([WEIGH, replace(BEND, wood="wenge")])
    assert board.wood == "wenge" and "hard maple, wenge stand on different lines" in board.unused[0]


def test_a_board_of_the_log_narrows_what_the_tables_say():
    [board] = boards([WEIGH, BEND, TAP, made("moisture meter", moisture=0.085)])
    own = board.own_board(ring_angle=pi / 2)
    assert own.modulus == pytest.approx(E) and own.moisture == 0.085 and own.ring_angle == pi / 2
    assert own.modulus_u < 0.03 and own.known.spread[0] < own.tables.spread[0] / 3
    for given, words in (([WEIGH], "moisture of board A7: none"),
                         ([replace(WEIGH, wood="?")], "wood of board")):
        with pytest.raises(ValueError, match=words):
            boards(given)[0].own_board()


def test_a_meter_with_its_temperature_is_corrected_and_the_offcut_is_not_the_board():
    """by_meter, checked on its own, is what the log calls; without a temperature the reading stays."""
    def row(measured, **more):
        return Measurement(date="2026-11-27", board="A7", wood="black walnut", measured=measured, **more)

    sizes = {"length": 0.45, "width": 0.045, "thickness": 0.02}
    weighed = row("weigh", mass=0.2835, ring_angle=np.pi / 4, run_out=0.05, **sizes)
    offcut = row("oven-dry", mass=0.0542, value=50.0, unit="g")
    for told, expected in (({"temperature": 10.0}, by_meter(0.12, species("black walnut"), 10.0).value),
                           ({}, 0.12)):
        board = boards([weighed, row("moisture meter", moisture=0.12, **told)])[0]
        assert board.moisture.value == pytest.approx(expected)
    wet = boards([weighed, row("moisture meter", moisture=0.5, temperature=10.0), offcut])[0]
    assert "moisture meter" in " ".join(wet.unused) and wet.moisture.value == pytest.approx(0.084)
    assert wet.mass.value == pytest.approx(0.2835) and wet.grain == {"ring_angle": np.pi / 4, "run_out": 0.05}
    own = wet.own_board()
    assert (own.ring_angle, own.run_out) == (np.pi / 4, 0.05) and wet.own_board(run_out=0.0).run_out == 0
