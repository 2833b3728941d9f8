"""Moisture three ways and the safe bend as a learner reads them: the table says what the bench computes,
boxes work it out anew, and a bad reading stands below them in its own words."""

import re

import pytest

from tonewood.bench.moisture_readings import by_meter, modulus_at_12, oven_dry
from tonewood.bench.safe_load import safe_load
from tonewood.lesson.shared.moisture_by_hand import moisture_by_hand, own_moisture, own_safe_bend
from tonewood.wood.species import species

MAPLE = species("hard maple")


def test_the_table_says_what_the_bench_computes():
    lines = own_moisture().result.plain.splitlines()
    oven, meter = oven_dry(0.0542, 0.0500, 0.00005), by_meter(0.085, MAPLE, 15.0)
    for line, read in zip(lines, (oven, meter), strict=False):
        at_12 = modulus_at_12(12.6e9, read, MAPLE)
        assert f"{100 * read.value:.1f} (" in line and f"GPa {at_12.value / 1e9:.2f}" in line
        assert read.status in line
    assert len(lines) == 4 and "from memory" in lines[1] and "invented" in lines[3]
    assert "103 °C" in lines[3] and "gloves" in lines[3]


def test_boxes_work_it_out_anew_and_show_a_refusal():
    boxes = own_moisture()
    boxes.controls["meter"].value = 12.0
    assert f"{100 * by_meter(0.12, MAPLE, 15.0).value:.1f} (" in boxes.result.plain
    boxes.controls["dry"].value = 60.0
    assert "mass after drying" in boxes._result.value and "swapped" in boxes._result.value
    with pytest.raises(ValueError, match="mass after drying"):
        moisture_by_hand(**boxes.values)


def test_the_safe_bend_with_its_cautions():
    found = safe_load(MAPLE, 0.7, 0.062, 0.022, 0.085)
    boxes = own_safe_bend()
    said = boxes.result.plain
    assert f"at most, kg {int(found.mass)};" in said and "eye protection" in said and "knot" in said
    assert "source key wood-handbook-2010" in said and "judgement" in said
    kilos = float(re.search(r"at most, kg ([\d.]+)", boxes.result.plain)[1])
    boxes.controls["thickness"].value = 11.0
    assert float(re.search(r"at most, kg ([\d.]+)", boxes.result.plain)[1]) == pytest.approx(
        kilos / 4, abs=1)
    boxes.controls["wood"].value = "osage_orange"
    assert "has none on file" in boxes._result.value
