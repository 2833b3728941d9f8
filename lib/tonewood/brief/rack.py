"""The rack: which woods are there, how much of each, and what they cost.

Prices are the builder's own, in whatever money; nothing here knows a price.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from tonewood import checks
from tonewood.brief.space import LayUp
from tonewood.neck.design import Design
from tonewood.tables import Number, read_table
from tonewood.wood.species import species

KERF, PLANING, OVERSIZE = 0.0025, 0.0015, 0.004
"""What a stripe needs besides its finished width (a saw cut, planing of both faces), and the blank besides
its finished depth (m): common practice, no source."""
LENGTH_OVER = 0.05
"""Length (m) a blank gets beyond the finished piece: common practice, no source."""
HEAD = 0.19
"""Length (m) of the head, sawn with the blank."""


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
        (27, 0.0)
        """
        price = lack = 0.0
        for wood, volume in rough_volumes(layup, base).items():
            shelf = self.by_wood.get(wood)
            price += volume * shelf.price if shelf else 0.0
            if shelf is None or shelf.volume is not None:
                lack += max(volume - (shelf.volume or 0.0 if shelf else 0.0), 0.0)
        return price, lack


def rough_volumes(layup: LayUp, base: Design) -> dict[str, float]:
    """Rough volume (m3) of every wood of a lay-up: stripes with kerf and planing, as deep as the blank and as
    long as neck and head (to the tail when neck-through), and the fretboard.

    >>> from tonewood.brief.space import layup_of
    >>> from tonewood.neck.design import example_design
    >>> {wood: round(1e6 * v) for wood, v in rough_volumes(layup_of(example_design()), example_design()).items()}
    {'hard_maple': 2235, 'wenge': 1117, 'indian_rosewood': 453}
    """
    deep = max(base.back.depth_nut, base.back.depth_end) + OVERSIZE
    through = base.joint == "neck-through"
    if through:
        deep = max(deep, 0.045 + OVERSIZE)
    long = HEAD + LENGTH_OVER + (base.scale_length + 0.18 if through else base.neck().end)
    found: dict[str, float] = {}
    for wood, width in layup.stripes:
        found[wood] = found.get(wood, 0.0) + (width + KERF + PLANING) * deep * long
    top = base.fretboard
    wide = base.outline.width(base.neck().end) + 0.006
    sawn = (top.thickness + KERF + PLANING) * float(wide) * (base.neck().end + 0.02)
    found[layup.fretboard] = found.get(layup.fretboard, 0.0) + sawn
    return found


def read_rack(path: str | Path) -> Rack:
    """The rack from a CSV file with columns wood, price_per_m3, and, if wanted, volume_m3 (empty: always
    enough). Raises ValueError naming file, line and column."""
    path = Path(path)
    rows = read_table(path.name, {"wood": str, "price_per_m3": Number(0, 1e7, "per m3"),
                                  "volume_m3": Number(0, 50, "m3")}, ("wood", "price_per_m3"), path.parent)
    shelves = []
    for row in rows:
        try:
            shelves.append(Shelf(row["wood"], row["price_per_m3"], row["volume_m3"]))
        except ValueError as fault:
            raise row.fault("wood", str(fault)) from None
    return Rack(tuple(shelves))
