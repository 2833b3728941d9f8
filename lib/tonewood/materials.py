"""Metals, fibres and glues: the rows of data/materials.csv, each with its limits, source and status, in SI
units."""

from __future__ import annotations

from typing import NamedTuple

from tonewood.checks import choice
from tonewood.remember import remember
from tonewood.tables import read_table

_TO_SI = {"GPa": (1e9, "Pa"), "MPa": (1e6, "Pa")}


class Constant(NamedTuple):
    """One property of one material: value, low and high in `unit` (SI), status, note and source key."""

    value: float
    low: float
    high: float
    unit: str
    status: str
    note: str
    source: str = ""


@remember(1)
def _all() -> dict[str, dict[str, Constant]]:
    found: dict[str, dict[str, Constant]] = {}
    for row in read_table("materials.csv"):
        factor, unit = _TO_SI.get(row["unit"], (1.0, row["unit"]))
        value, low, high = (factor * row["value" if row[k] is None else k] for k in ("value", "low", "high"))
        found.setdefault(row["material"], {})[row["property"]] = Constant(
            value, low, high, unit, row["status"], row["note"], row["source"])
    return found


def material(name: str) -> dict[str, Constant]:
    """Properties of a material by its key in data/materials.csv, SI. Raises ValueError for an unknown
    material.

    >>> material("steel")["modulus"][:4]
    (195000000000.0, 190000000000.0, 210000000000.0, 'Pa')
    """
    return dict(_all()[choice("material", name, _all())])
