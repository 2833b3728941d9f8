"""What a typed angle or temperature means is said back, so that radians and °F show."""

import datetime

import numpy as np
import pytest

from tonewood.bench.log_columns import Measurement
from tonewood.lesson.shared.log_words import told
from tonewood.lesson.shared.meant import meant
from tonewood.lesson.whole_neck.figure import bench


@pytest.mark.parametrize("name, value, said", [
    ("ring_angle", np.pi / 2, "quarter-sawn"), ("ring_angle", np.radians(90) * 1.9, "flat-sawn"),
    ("ring_angle", np.radians(1.57), "flat-sawn; if 1.57 was in radians, it is 90.0°"),
    ("ring_angle", 0.0, "flat-sawn"), ("ring_angle", np.radians(45), "rift"),
    ("run_out", np.arctan(1 / 15), "1 in 15"), ("slope", 0.0, "straight"),
    ("slope", np.radians(-0.05), "1 in 1146; if −0.05 was in radians, it is −2.9°"),
    ("temperature", 32.0, "90 °F"), ("mass", 1.0, "")])
def test_meaning_by_hand(name, value, said):
    assert meant(name, float(value)) == said


def test_the_log_says_it_with_the_row():
    row = Measurement(date=datetime.date(2026, 3, 1), board="A7", measured="moisture meter", moisture=0.09,
                      temperature=32.0)
    assert "32 °C (90 °F)" in told(row)
    row = Measurement(date=datetime.date(2026, 3, 1), board="A7", measured="weigh", mass=0.4,
                      ring_angle=float(np.radians(1.5)))
    assert "1.5 degrees (flat-sawn; if 1.5 was in radians, it is 85.9°)" in told(row)


def test_the_table_of_stripes_says_it_when_the_neck_is_shown():
    table = bench().stripes
    table.fill()
    for row in table.rows[:2]:
        row["ring_angle"].value = "1.57"
    table.show()
    assert ("stripe 1, 2: rings flat-sawn; if 1.57 was in radians, it is 90.0°, run-out straight, slope "
            "straight; stripe 3, 4, 5, 6, 7: rings quarter-sawn") in table.reply
