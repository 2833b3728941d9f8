"""The rack: which woods are there, how much of each, and what they cost.

Prices are the builder's own, in whatever money; nothing here knows a price.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path

from tonewood import checks, files
from tonewood.brief.cut_list import Allowances, Size, blank_size, sawn
from tonewood.brief.space import LayUp
from tonewood.neck.design import Design
from tonewood.remember import remember
from tonewood.tables import Number, read_table
from tonewood.wood.species import species


@dataclass(frozen=True)
class Shelf:
    """One wood on the rack: price per m3, volume there (m3; None: always enough). Raises ValueError."""

    wood: str
    price: float = 0.0
    volume: float | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "wood", species(self.wood).key)
        checks.number(f"price of {self.wood}", self.price, 0.0, unit="per m³")
        if self.volume is not None:
            checks.number(f"volume of {self.wood}", self.volume, 0.0, 50.0, "m³",
                          lambda v: f"Did you mean {v / 1e3:g} m³ ({v:g} litres)?" if v <= 50_000 else None)


@dataclass(frozen=True)
class Rack:
    """The woods there are. Raises ValueError for a wood named twice."""

    rows: tuple[Shelf, ...]

    def __post_init__(self) -> None:
        object.__setattr__(self, "rows", tuple(self.rows))
        names = [row.wood for row in self.rows]
        for name in names:
            if names.count(name) > 1:
                raise ValueError(f"rack: {species(name).name} given twice; accepted: one line a wood")

    @cached_property
    def by_wood(self) -> dict[str, Shelf]:
        """The lines of the rack by the key of their wood."""
        return {row.wood: row for row in self.rows}

    def price_and_lack(self, layup: LayUp, base: Design) -> tuple[float, float]:
        """What the rough wood of a lay-up costs, and how much of it (m3) is not there; a wood that is not on
        the rack is missing whole.

        >>> from tonewood.brief.space import layup_of
        >>> from tonewood.neck.design import example_design
        >>> shelf = (Shelf("hard maple", 4000.0), Shelf("wenge", 9000.0), Shelf("Indian rosewood", 20000.0))
        >>> price, lack = Rack(shelf).price_and_lack(layup_of(example_design()), example_design())
        >>> round(price), lack
        (21, 0.0)
        """
        price = lack = 0.0
        for wood, volume in rough_volumes(layup, base).items():
            shelf = self.by_wood.get(wood)
            price += volume * shelf.price if shelf else 0.0
            if shelf is None or shelf.volume is not None:
                lack += max(volume - (shelf.volume or 0.0 if shelf else 0.0), 0.0)
        return price, lack


@remember(8)
def _allowed(base: Design) -> tuple[Allowances, Size, Size]:
    a, neck = Allowances(), base.neck()
    over = neck.end + a.beyond_board
    return a, blank_size(base, a), Size(over, float(neck.outline.width(over)), base.fretboard.thickness)


def rough_volumes(layup: LayUp, base: Design) -> dict[str, float]:
    """Volume (m3) of the boards of every wood that a lay-up is sawn from: those of its cut list with usual
    allowances.

    >>> from tonewood.brief.space import layup_of
    >>> from tonewood.neck.design import example_design
    >>> found = rough_volumes(layup_of(example_design()), example_design())
    >>> {wood: round(1e6 * volume) for wood, volume in found.items()}
    {'hard_maple': 1949, 'wenge': 972, 'indian_rosewood': 243}
    """
    a, blank, face = _allowed(base)
    found: dict[str, float] = {}
    last = len(layup.stripes) - 1
    sizes = [(wood, replace(blank, width=width - a.glue * ((i > 0) + (i < last)) / 2))
             for i, (wood, width) in enumerate(layup.stripes)]
    for wood, planed in [*sizes, (layup.fretboard, face)]:
        size = sawn(planed, a)
        found[wood] = found.get(wood, 0.0) + size.length * (size.width + a.kerf) * size.depth
    return found


def read_rack(path: str | Path) -> Rack:
    """The rack from a CSV file with columns wood, price_per_m3, and, if wanted, volume_m3 (empty: always
    enough). Raises ValueError naming file, line and column.

    >>> from tempfile import TemporaryDirectory
    >>> with TemporaryDirectory() as folder:
    ...     file = Path(folder) / "rack.csv"
    ...     _ = file.write_text("wood,price_per_m3,volume_m3\\nwenge,9000,0.02\\n")
    ...     read_rack(file).rows[0].volume
    0.02
    """
    path = Path(path)
    files.read(path)                            # refuses what is no file of text
    rows = read_table(path.name, {"wood": str, "price_per_m3": Number(0, 1e7, "per m3"),
                                  "volume_m3": Number(0, 50, "m3")}, ("wood", "price_per_m3"), path.parent)
    shelves = []
    for row in rows:
        try:
            shelves.append(Shelf(row["wood"], row["price_per_m3"], row["volume_m3"]))
        except ValueError as fault:
            raise row.fault("wood", str(fault)) from None
    return Rack(tuple(shelves))
