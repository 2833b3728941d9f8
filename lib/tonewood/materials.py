"""Metals, fibres and glues: the rows of data/materials.csv, each with its limits, source and status, in SI units."""

from collections import namedtuple
from functools import lru_cache

from tonewood.checks import choice
from tonewood.tables import read_table

Constant = namedtuple("Constant", "value low high unit status note source", defaults=("",))
_TO_SI = {"GPa": (1e9, "Pa"), "MPa": (1e6, "Pa")}


@lru_cache(maxsize=1)
def _all():
    columns = dict(material=str, property=str, value=float, low=float, high=float, unit=str, source=str, status=str, note=str)
    found = {}
    for row in read_table("materials.csv", columns, required=("material", "property", "value", "unit", "status")):
        factor, unit = _TO_SI.get(row["unit"], (1.0, row["unit"]))
        low, high = (row["value"] if row[k] is None else row[k] for k in ("low", "high"))
        found.setdefault(row["material"], {})[row["property"]] = Constant(factor * row["value"], factor * low, factor * high, unit,
                                                                          row["status"], row["note"], row["source"])
    return found


def material(name):
    """Properties of a material by its key in data/materials.csv: {property: Constant(value, low, high, unit, status, note, source)}, SI.

    Raises ValueError for an unknown material.
    """
    return dict(_all()[choice("material", name, _all())])
