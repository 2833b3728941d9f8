"""Twenty necks that nobody built: made readings, to show what coverage and bias look like before a shop has
readings of its own.

Four designs, five necks each, every neck a draw of the model itself with readings made by its own procedure
and the reading errors of the bench. One stock is not as the tables say, on purpose: the African mahogany is
15 % softer. So the bands must hold on three woods, and the table must point at the fourth.
"""

from __future__ import annotations

import csv
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from datetime import date as Day

import numpy as np

from tonewood.bench.coverage import Entry, entries
from tonewood.bench.foretold import Foretold, foretell
from tonewood.bench.readings import KINDS, Reading, reading
from tonewood.bench.stock import Stock
from tonewood.bench.update import Updated, update
from tonewood.constants import GRAVITY
from tonewood.lesson.shared.shop import NECK_12, changed, truss_rod
from tonewood.neck.design import Design
from tonewood.remember import remember
from tonewood.tables import data_folder, read_table
from tonewood.wood.board import Board
from tonewood.wood.facts import rule
from tonewood.wood.species import species
from tonewood.wood.spread import draw_boards

WOODS = ("hard_maple", "black_walnut", "sapele", "african_mahogany")
SOFT, SOFTER = "african_mahogany", 0.85
EACH, SEED, DRAWS = 5, 5, 1000
DELIVERED = Day(2026, 10, 15)
BLANK = {"length": 0.75, "thickness": 0.022}
JOBS = (("blank weight", Day(2026, 9, 1), BLANK),
        ("blank sag", Day(2026, 9, 1), {"load": 10 * GRAVITY, "span": 0.70, "thickness": 0.022}),
        ("gap, strings off", Day(2026, 10, 10), {"fret": 8}),
        ("gap, strings on", Day(2026, 10, 11), {"fret": 8}),
        ("rod turns", Day(2026, 10, 12), {}),
        ("gap, rod set", Day(2026, 12, 1), {"fret": 8}),
        ("room humidity", Day(2027, 1, 15), {}),
        ("gap, rod set", Day(2027, 1, 15), {"fret": 8}),
        ("gap, rod set", Day(2027, 4, 15), {"fret": 8}))
"""What is read on every made neck, when, and how."""


def design_of(wood: str) -> Design:
    """Neck No. 12 with this main wood."""
    made = changed(NECK_12, main=wood)
    return made if wood == "hard_maple" else made.changed(name=f"No. 12 in {wood.replace('_', ' ')}")


def necks_of(design: Design, seed: int, draws: int = DRAWS, stock: tuple[Stock, ...] = ()) -> Foretold:
    """Possible necks of a made design, delivered in October with 0.2 mm, up to the last of JOBS in April."""
    return foretell(design, truss_rod(design.neck(), design.rod), DELIVERED, 0.0002, draws, seed, stock,
                    months=6)


def softened(necks: Foretold, share: float) -> Foretold:
    """The same necks with every stripe of the main wood at `share` of its stiffness."""
    pieces = [replace(b, modulus=share * np.asarray(b.E_L)) if b.species.key == SOFT else b
              for b in necks.neck.pieces]
    return replace(necks, neck=necks.neck.with_pieces(pieces))


def made_readings(necks: Foretold, k: int, name: str, seed: int = SEED) -> list[Reading]:
    """The readings of draw k as if it were the neck built; values as gauges show them."""
    rng, made = np.random.default_rng([seed, k]), []
    for kind, date, told in JOBS:
        of = KINDS[kind]
        start = max(of.low, 0.02) * of.si
        found = Reading(neck=name, kind=kind, value=start, date=date, **told)  # type: ignore[arg-type]
        value = float(necks.predicted(found)[k])
        read = value + replace(found, value=value).doubt * rng.standard_normal()
        step = {"mm": 0.01, "g": 1.0, "%": 1.0, "turns": 0.05}[of.unit] * of.si
        made.append(replace(found, value=float(np.clip(round(read / step) * step, of.low * of.si, None)),
                            note="made data"))
    return made


def made_stock() -> Stock:
    """Eight boards of the soft wood that were measured before the necks were built: made data."""
    wood, boards = species(SOFT), 8
    drawn, = draw_boards([Board(wood, moisture=0.12)], boards, SEED)
    error = np.exp(rule("modulus_error").value * np.random.default_rng(SEED).standard_normal(boards))
    return Stock(SOFT, tuple((f"made {k + 1}", float(SOFTER * E)) for k, E in enumerate(drawn.E_L * error)),
                 tuple((f"made {k + 1}", float(rho)) for k, rho in enumerate(np.asarray(drawn.rho))))


def _after(wood: str, stock: tuple[Stock, ...] = ()) -> list[Updated]:
    """The made necks of one wood after their readings."""
    design, place = design_of(wood), WOODS.index(wood)
    truth = necks_of(design, SEED + 100 + place, 100)
    truth = softened(truth, SOFTER) if wood == SOFT else truth
    necks = necks_of(design, SEED, stock=stock)
    return [update(necks, made_readings(truth, k, f"{wood} {k + 1}", SEED + place)) for k in range(EACH)]


TOLD: dict[str, Callable[[], list[Entry]]] = {
    "drawing": lambda: [e for wood in WOODS for found in _kept(wood) for e in entries(found)],
    "earlier": lambda: [e for wood in WOODS for found in _kept(wood) for e in entries(found, True)],
    "stock": lambda: [e for found in _after(SOFT, (made_stock(),)) for e in entries(found)]}
"""What a made reading was foretold from, and every reading beside that band, worked out: the drawing alone;
the earlier readings of its neck too; for the soft wood, the drawing and made_stock."""
KEPT = "made_necks.csv"
BAND = {"low": "low", "middle": "middle", "high": "high", "read": "value"}


@remember(4)
def _kept(wood: str) -> list[Updated]:
    return _after(wood)


@remember(3)
def made_entries(told: str = "drawing") -> tuple[Entry, ...]:
    """Every made reading beside its band as foretold from one of TOLD, worked out beforehand: made_necks.csv
    is made anew by `python -m tonewood.lesson.shared.made_necks`; a test works it out again."""
    return tuple(Entry(neck=row["neck"], wood=row["wood"], kind=row["kind"],
                       **{name: row[column] for column, name in BAND.items()})
                 for row in read_table(KEPT) if row["told"] == told)


def made_necks() -> tuple[tuple[str, tuple[Reading, ...]], ...]:
    """(name, readings) of each made neck of NECK_12, the gap it left with among them, for a page that has no
    readings yet."""
    left = reading("made", "gap, rod set", 0.2, DELIVERED, fret=8, note="made data")
    read = [entry.value for entry in made_entries() if entry.wood == WOODS[0]]
    necks = []
    for k in range(EACH):
        name, values = f"made {k + 1}", read[k * len(JOBS):(k + 1) * len(JOBS)]
        necks.append((name, (replace(left, neck=name), *(
            Reading(neck=name, kind=kind, value=value, date=date, note="made data", **told)
            for (kind, date, told), value in zip(JOBS, values, strict=True)))))
    return tuple(necks)


def _keep() -> None:
    """Work out what made_necks.csv keeps."""
    with open(data_folder() / KEPT, "w", encoding="utf-8", newline="") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow(["told", "neck", "wood", "number", "kind", *BAND, "source", "status"])
        for told, worked_out in TOLD.items():
            numbers: Counter[str] = Counter()
            for e in worked_out():
                numbers[e.neck] += 1
                values = [f"{getattr(e, name):.10g}" for name in BAND.values()]
                out.writerow([told, e.neck, e.wood, numbers[e.neck], e.kind, *values, "derived", "estimated"])


if __name__ == "__main__":
    _keep()
