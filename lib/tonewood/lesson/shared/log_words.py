"""Words of the log in the page: which boxes a kind of measurement asks for, their names, a row in words."""

from __future__ import annotations

from tonewood.bench.log_columns import BY_NAME, COLUMNS, Measurement
from tonewood.draws import written
from tonewood.lesson.shared.meant import meant

SIZES = ("length", "width", "thickness")
ASKS = {"weigh": ("mass", *SIZES, "ring_angle", "run_out"),
        "bend": ("load", "deflection", "span", "width", "thickness"),
        "tap": ("frequency", "loss", "mass", *SIZES), "twist tap": ("frequency", "mass", *SIZES),
        "slanted strip": ("value", "slope", "ring_angle"), "moisture meter": ("moisture", "temperature"),
        "oven-dry": ("mass", "value"), "blank weight": ("value", "length", "thickness"),
        "blank sag": ("value", "load", "span", "thickness"), "strip bow": ("value", "humidity"),
        "dead note": ("value", "string", "fret"), "free note": ("value", "string", "fret"),
        "twist": ("value",), "rod turns": ("value",), "room humidity": ("value",)}
"""Boxes of each kind of measurement; of the kinds not named here: value and fret."""

_LABELS = {"frequency": "Tone (Hz)", "deflection": "Bend under the load (mm)", "who": "Who (initials)",
           "load": "Load (kg)", "wood": "Wood, if known"}


def told(m: Measurement) -> str:
    """What was read, in words and the units people read: "load 10 kg, span 700 mm", what angles and
    temperatures mean with them."""
    said = []
    for column in COLUMNS:
        given = getattr(m, column.name)
        if column.type in ("number", "whole") and given is not None:
            unit = m.unit if column.name == "value" else column.unit
            means = f"({meaning})" if (meaning := meant(column.name, given)) else ""
            said.append(f"{column.words or column.name} {written(given / column.si, None)} {unit} {means}"
                        .strip())
    return ", ".join(said)


def named(name: str) -> str:
    """The name of a column's box."""
    header = _LABELS.get(name, BY_NAME[name].header)
    return header[0].upper() + header[1:]


def who(m: Measurement) -> str:
    """The board or neck of a row."""
    return " / ".join(filter(None, (m.board, m.neck)))
