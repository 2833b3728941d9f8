"""Reading the tables in data/: each is checked whole against what schema.py declares; nothing is accepted in
part, and a refusal names file, line and column."""

from __future__ import annotations

import csv
import math
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from tonewood.remember import remember
from tonewood.schema import TABLES, Number, Table


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


def read_table(filename: str, columns: Mapping[str, Any] | None = None, required: Iterable[str] = (),
               folder: Path | str | None = None, once: tuple[str, ...] = ()) -> list[Row]:
    """Read one CSV table (UTF-8, commas; a byte order mark does no harm). Returns its rows, each a dict by
    column; an empty cell becomes None for numbers and "" otherwise.

    filename: name inside the data folder (or inside `folder`), as declared in TABLES. For a table that is not
    declared there: columns as in Table, required (columns that may not be empty), once (columns whose values
    may not occur together twice). Raises ValueError naming file, line and column.
    >>> read_table("rules.csv")[0]["value"]
    0.1167
    """
    if columns is None:
        declared = TABLES[filename]
    else:
        declared = Table(columns=columns, optional=tuple(columns.keys() - set(required)),
                         keys=(once,) if once else ())
    home = Path(folder or data_folder())
    rows = [_checked(Row(filename, line), raw, declared) for line, raw in _cells(home / filename, declared)]
    if len(rows) < declared.least:
        raise ValueError(f"{filename}: {len(rows)} rows below the header; accepted: at least {declared.least}"
                         "; was the file cut short?")
    for names in declared.keys:
        seen: dict[tuple[Any, ...], Row] = {}
        for row in rows:
            mark = tuple(row[name] for name in names)
            if (first := seen.setdefault(mark, row)) is not row:
                raise row.fault(names[0], f"each {' and '.join(names)} once; it stands in "
                                          f"{first.where.split(', ')[1]} already")
    for column, words in declared.needs.items():
        if missing := [word for word in words if all(row[column] != word for row in rows)]:
            raise ValueError(f"{filename}, column {column!r}: no row for {', '.join(map(repr, missing))}; "
                             "it is needed")
    for column, (table, key, more) in declared.refers.items():
        file = (home / table).stat()
        known = _words_of(table, key, folder, file.st_mtime_ns, file.st_size) | set(more)
        for row in rows:
            if row[column] not in known:
                raise row.fault(column, f"a key of {table}" + "".join(f", or {word!r}" for word in more))
    return rows


@remember(32)
def _words_of(table: str, key: str, folder: Path | str | None, *_as_of: int) -> frozenset[Any]:
    """What stands in a column of a table, read once as long as its file stays as it is."""
    return frozenset(row[key] for row in read_table(table, folder=folder))


def _cells(path: Path, declared: Table) -> list[tuple[int, dict[str, str]]]:
    """(line, {column: text}) of each row of a file whose header and shape are in order."""
    filename = path.name
    try:
        with open(path, encoding="utf-8-sig", newline="") as file:
            reader = csv.reader(file)
            header = [name.strip() for name in next(reader, [])]
            lines = [(reader.line_num, row) for row in reader if row]
    except FileNotFoundError:
        raise ValueError(f"{filename}: no such table in {path.parent}") from None
    except UnicodeDecodeError as problem:
        where = f"{problem.reason} at byte {problem.start}"
        raise ValueError(f"{filename}: not a UTF-8 text file ({where})") from None
    if missing := [name for name in declared.columns if name not in header]:
        slip = "; are the cells parted by semicolons? Accepted: commas" if ";" in "".join(header) else ""
        raise ValueError(f"{filename}, line 1: column {', '.join(map(repr, missing))} missing; "
                         f"the header has {', '.join(header)}{slip}")
    if doubled := {name for name in header if header.count(name) > 1}:
        raise ValueError(f"{filename}, line 1, column {', '.join(map(repr, sorted(doubled)))}: stands twice "
                         "in the header; accepted: once")
    for line, row in lines:
        if len(row) != len(header):
            raise ValueError(f"{filename}, line {line}: {len(header)} cells expected, another number found; "
                             "is a comma unquoted?")
    return [(line, dict(zip(header, row, strict=True))) for line, row in lines]


def _checked(row: Row, raw: dict[str, str], declared: Table) -> Row:
    """The row filled from its texts, each cell in order by itself and with its neighbours."""
    for name, kind in declared.columns.items():
        text = raw[name].strip()
        if not text and name not in declared.optional:
            raise ValueError(f"{row.where}, column {name!r}: empty; a value is required")
        if kind is str:
            row[name] = text
            continue
        row[name] = text if isinstance(kind, tuple) else _number(row, name, text)
        if isinstance(kind, Number):
            _within(row, name, kind)
        elif text and isinstance(kind, tuple) and text not in kind:
            raise row.fault(name, ", ".join(kind))
    if declared.quantity and (given := declared.quantities.get(row[declared.quantity])):
        if row["unit"] != given.unit:
            raise row.fault("unit", given.unit)
        for name in ("value", "low", "high"):
            if name in row:
                _within(row, name, given)
    if "low" in row and "high" in row:
        value = row.get("value")
        three = [float(v) for v in (row["low"], value, row["high"]) if v is not None]
        if three != sorted(three):
            name = "low" if row["low"] is not None and row["low"] > three[1] else "high"
            told = "" if value is None else f" {value:g}"
            raise row.fault(name, f"low at most, high at least the value{told}; are they exchanged?")
    if "source" in row and "status" in row:
        if (row["status"] == "from memory") != (row["source"] == "memory"):
            raise row.fault("status", "'from memory' exactly where the source is 'memory'")
    return row


def _within(row: Row, name: str, kind: Number) -> None:
    value = row[name]
    if value is None:
        return
    if not kind.low <= value <= kind.high:
        unit = "" if kind.unit == "1" else f" {kind.unit}"
        raise row.fault(name, f"{kind.low:g} to {kind.high:g}{unit}; is a unit or a decimal point wrong?")
    if kind.whole and value != int(value):
        raise row.fault(name, "a whole number")


def _number(row: Row, column: str, text: str) -> float | None:
    try:
        value = float(text) if text else None
    except ValueError:
        raise ValueError(f"{row.where}, column {column!r}: {text!r} given; a number is expected") from None
    if value is not None and not math.isfinite(value):
        raise ValueError(f"{row.where}, column {column!r}: {text!r} given; a finite number is expected")
    return value
