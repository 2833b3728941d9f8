"""Reading the tables in data/: whole file first, every row checked, nothing accepted in part."""

import csv
import math
from pathlib import Path


def data_folder():
    """The folder that holds the tables: inside an installed package, or at the top of a checkout. Raises FileNotFoundError."""
    here = Path(__file__).resolve().parent
    for folder in (here / "data", here.parents[1] / "data"):
        if (folder / "sources.csv").is_file():
            return folder
    raise FileNotFoundError(f"the wood tables were not found beside {here} nor in {here.parents[1] / 'data'}; reinstall the package")


def read_table(filename, columns, required=(), folder=None):
    """Read one CSV table.

    filename: name inside the data folder (or inside `folder`). columns: {name: float | str}; an empty cell becomes None for float and
    "" for str. required: columns that may not be empty. Returns a list of dicts, one a row.
    Raises ValueError naming file, row (line of the file) and column.
    """
    path = Path(folder or data_folder()) / filename
    try:
        with open(path, encoding="utf-8", newline="") as file:
            reader = csv.DictReader(file)
            header = reader.fieldnames or []
            lines = [(reader.line_num, row) for row in reader]
    except FileNotFoundError:
        raise ValueError(f"{filename}: no such table in {path.parent}") from None
    except UnicodeDecodeError as problem:
        raise ValueError(f"{filename}: not a UTF-8 text file ({problem.reason} at byte {problem.start})") from None
    missing = [name for name in columns if name not in header]
    if missing:
        raise ValueError(f"{filename}: column {', '.join(map(repr, missing))} missing; the header has {', '.join(header)}")
    rows = []
    for line, raw in lines:
        if None in raw or None in raw.values():
            raise ValueError(f"{filename}, line {line}: {len(header)} cells expected, another number found; is a comma unquoted?")
        row = {}
        for name, kind in columns.items():
            text = raw[name].strip()
            if not text and name in required:
                raise ValueError(f"{filename}, line {line}, column {name!r}: empty; a value is required")
            if kind is float:
                try:
                    value = float(text) if text else None
                except ValueError:
                    raise ValueError(f"{filename}, line {line}, column {name!r}: {text!r} given; a number is expected") from None
                if value is not None and not math.isfinite(value):
                    raise ValueError(f"{filename}, line {line}, column {name!r}: {text!r} given; a finite number is expected")
                row[name] = value
            else:
                row[name] = text
        rows.append(row)
    return rows
