"""The two strips of lesson 03: what is foretold and read, kept in the log, and pooled."""

import numpy as np
import pytest

from tonewood.bench import slanted_strip as strips
from tonewood.bench.log import read_log
from tonewood.lesson.grain import strip
from tonewood.wood.elastic import off_axis, orientation
from tonewood.wood.species import species

MAPLE = species("hard maple")


def test_a_slanted_strip_bends_as_the_constants_say():
    """By hand, flat-sawn: the closed form of the L-T plane; the bends put back give it again."""
    e, s = MAPLE.elastic, np.radians(10)
    c2, s2 = np.cos(s) ** 2, np.sin(s) ** 2
    by_hand = 1 / (c2**2 + s2 * c2 * (e.E_L / e.G_LT - 2 * e.nu_LT) + s2**2 * e.E_L / e.E_T)
    found = strips.foretold_left(MAPLE, 0.0, s, 4000)
    assert np.mean(found) == pytest.approx(by_hand, rel=0.02)
    one, two = (0.02, 0.006, 0.003), (0.019, 0.0058, 0.0045)
    read = strips.stiffness_left(MAPLE, 0.0, s, 10.0, 0.4, one, two)
    slender = (one[0] * one[1]**3 * one[2]) / (two[0] * two[1]**3 * two[2])
    assert read == pytest.approx(slender, rel=0.01)                      # shear is small at 67 thicknesses
    with pytest.raises(ValueError, match="exchanged"):
        strips.stiffness_left(MAPLE, 0.0, s, 10.0, 0.4, one, (0.02, 0.003, 0.003))


def test_supports_that_forbid_twist_make_it_too_stiff():
    """Independently: the energy of a thin strip under M(x) and one torque, least over the torque."""
    S = off_axis(MAPLE.elastic, orientation(0.0, 0.0, 0.2))
    s11, s66 = 1 / S.E_x, 1 / S.G_xy
    s16 = S.coupling_xy * s11
    x = np.linspace(0, 1, 20001)
    M = np.minimum(x, 1 - x) / 2

    def energy(t):
        return np.trapezoid(s11 * M**2 + 2 * s16 * M * t + s66 * t**2, x)

    low, zero, high = energy(-0.1), energy(0.0), energy(0.1)
    least = zero - (high - low) ** 2 / (8 * (high - 2 * zero + low))
    thin = strips.held_flat(MAPLE, 0.0, 0.2, 0.5, 0.001)
    assert thin == pytest.approx(zero / least, rel=2e-3)
    assert 1 < strips.held_flat(MAPLE, 0.0, 0.2, 0.02, 0.006) < thin


def test_strips_are_kept_and_pooled(tmp_path):
    found = strip.strip_readings(str(tmp_path / "log.csv"))
    assert "yes" in found.result.plain and "example" in found.result.plain
    found.board.value = "A7"
    found.keep()
    found.controls["slanted_sag"].value = 2.9
    assert "no, above" in found.result.plain and "example" not in found.result.plain
    found.keep()
    assert "1 of 2 inside" in found.kept.plain
    row = read_log(found.path).measurements[0]
    assert (row.board, row.measured, row.unit) == ("A7", "slanted strip", "%")
    assert row.value == pytest.approx(70.9, abs=0.5)
    assert np.degrees(row.slope) == pytest.approx(10.0)
    assert read_log(found.path).boards()[0].modulus is None    # none of the board's own
    found.board.value = " "
    with pytest.raises(ValueError, match="label of the board"):
        found.keep()
    found.paths.value = str(tmp_path)
    found.pool()
    assert "2 inside" in found.kept.plain.replace("1 of 2", "2")
