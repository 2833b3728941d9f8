"""Reading the tables in data/: whole file first, every row checked, nothing accepted in part."""

from __future__ import annotations

import csv
import math
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any


class Row(dict[str, Any]):
    """One row of a table by column name, which knows the file and line it stands in."""

    def __init__(self, filename: str, line: int) -> None:
        """An empty row of `filename` at `line` of the file."""
        super().__init__()
        self.where = f"{filename}, line {line}"

    def fault(self, column: str, accepted: str, given: Any = None) -> ValueError:
        """The refusal of this row's cell (or of `given`, a part of it), naming file, line and column.
        >>> print(Row("woods.csv", 3).fault("group", "hardwood, softwood", "fruitwood"))
        woods.csv, line 3, column 'group': 'fruitwood' given; accepted: hardwood, softwood
        """
        given = self.get(column) if given is None else given
        return ValueError(f"{self.where}, column {column!r}: {given!r} given; accepted: {accepted}")


def data_folder() -> Path:
    """The folder that holds the tables: inside an installed package, or at the top of a checkout. Raises
    FileNotFoundError.
    >>> (data_folder() / "sources.csv").is_file()
    True
    """
    here = Path(__file__).resolve().parent
    for folder in (here / "data", here.parents[1] / "data"):
        if (folder / "sources.csv").is_file():
            return folder
    raise FileNotFoundError(f"the wood tables were not found beside {here} nor in {here.parents[1] / 'data'}"
                            "; reinstall the package")


def read_table(filename: str, columns: Mapping[str, Any], required: Iterable[str] = (),
               folder: Path | str | None = None, once: tuple[str, ...] = ()) -> list[Row]:
    """Read one CSV table. Returns its rows, each a dict by column.

    filename: name inside the data folder (or inside `folder`). columns: {name: float, str, or a tuple of the
    words accepted}; an empty cell becomes None for float and "" otherwise. required: columns that may not be
    empty. once: columns whose values may not occur together twice. Raises ValueError naming file, line and
    column.
    >>> read_table("rules.csv", {"rule": str, "value": float}, once=("rule",))[0]
    {'rule': 'hardwood_E_R_ratio', 'value': 0.1167}
    """
    path = Path(folder or data_folder()) / filename
    try:
        with open(path, encoding="utf-8", newline="") as file:
            reader = csv.DictReader(file)
            header = list(reader.fieldnames or [])
            lines = [(reader.line_num, row) for row in reader]
    except FileNotFoundError:
        raise ValueError(f"{filename}: no such table in {path.parent}") from None
    except UnicodeDecodeError as problem:
        where = f"{problem.reason} at byte {problem.start}"
        raise ValueError(f"{filename}: not a UTF-8 text file ({where})") from None
    if missing := [name for name in columns if name not in header]:
        raise ValueError(f"{filename}: column {', '.join(map(repr, missing))} missing; "
                         f"the header has {', '.join(header)}")
    rows, seen = [], set()
    for line, raw in lines:
        row = Row(filename, line)
        if None in raw or None in raw.values():
            raise ValueError(f"{row.where}: {len(header)} cells expected, another number found; "
                             "is a comma unquoted?")
        for name, kind in columns.items():
            text = raw[name].strip()
            if not text and name in required:
                raise ValueError(f"{row.where}, column {name!r}: empty; a value is required")
            row[name] = _number(row, name, text) if kind is float else text
            if text and isinstance(kind, tuple) and text not in kind:
                raise row.fault(name, ", ".join(kind))
        if once:
            mark = tuple(row[name] for name in once)
            if mark in seen:
                raise row.fault(once[-1], f"each {' and '.join(once)} once")
            seen.add(mark)
        rows.append(row)
    return rows


def _number(row: Row, column: str, text: str) -> float | None:
    try:
        value = float(text) if text else None
    except ValueError:
        raise ValueError(f"{row.where}, column {column!r}: {text!r} given; a number is expected") from None
    if value is not None and not math.isfinite(value):
        raise ValueError(f"{row.where}, column {column!r}: {text!r} given; a finite number is expected")
    return value
