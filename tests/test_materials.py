"""Metals, fibres and glues: one unit system, limits round the value, and what their names promise."""

import csv

import pytest

from tonewood.materials import material
from tonewood.schema import STATUSES
from tonewood.tables import data_folder

with open(data_folder() / "materials.csv", encoding="utf-8", newline="") as file:
    ROWS = list(csv.DictReader(file))
NAMES = sorted({row["material"] for row in ROWS})


@pytest.mark.parametrize("name", NAMES)
def test_every_property_is_si_within_its_limits_and_of_known_standing(name):
    for key, found in material(name).items():
        assert found.low <= found.value <= found.high, key
        assert found.unit in ("Pa", "kg/m3", "1/K", "1"), key
        assert found.status in STATUSES and found.source, key


def test_one_row_a_property():
    assert len({(row["material"], row["property"]) for row in ROWS}) == len(ROWS)


def test_units_of_the_table_become_si():
    """Worked: 195 GPa and 250 MPa; a row without limits is its own low and high."""
    steel = material("steel")
    assert (steel["modulus"].value, steel["yield_stress"].value) == (195e9, 250e6)
    assert steel["shear_modulus"].low == steel["shear_modulus"].high == 80e9


@pytest.mark.parametrize("name", NAMES)
def test_shear_modulus_agrees_with_modulus_and_poisson(name):
    """Theory of elasticity: G = E / (2 (1 + nu)) of an isotropic material; fibre bars are not."""
    found = material(name)
    if {"modulus", "shear_modulus", "poisson"} <= set(found) and "bar" not in name:
        E, G, nu = (found[key].value for key in ("modulus", "shear_modulus", "poisson"))
        assert G == pytest.approx(E / (2 * (1 + nu)), rel=0.12)


def test_bad_input_is_named():
    with pytest.raises(ValueError, match="music_wire"):
        material("music wire")


def test_the_copy_handed_out_is_ones_own():
    material("steel").clear()
    assert material("steel")
