"""The form of one log file, which may come from any spreadsheet: found out, read by and written by.

Cells may be parted by commas, semicolons or tabs, decimals stand behind a point or a comma; columns are known
by their headers (log_columns), in any order, with those of the learner's own among them. Definition: this
file.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterable
from dataclasses import dataclass, fields, replace
from functools import cached_property
from typing import Any

from tonewood.bench.log_columns import (
    BY_NAME,
    COLUMNS,
    MEASURED,
    Column,
    Measurement,
    column_of,
    day,
    kind_of,
    missing,
)
from tonewood.bench.log_text import Row, guarded, joined, line_end_of, rows, separator_of, unguarded

_COMMA, _THOUSANDS = re.compile(r"[+-]?\d+,\d+(e[+-]?\d+)?", re.I), re.compile(r"[+-]?[1-9]\d{0,2}[.,]\d{3}")
_POINT = r"(?:0\.\d+|\d+\.(?:\d{1,2}|\d{4,}))"               # 1.234 may be a thousand and more


_EMPTY = {f.name: f.default for f in fields(Measurement)}


@dataclass(frozen=True)
class Fault:
    """A row that was not read: its line in the file, the header of the column ("" for the whole row), why."""

    line: int
    column: str
    why: str

    def __str__(self) -> str:
        return f"line {self.line}" + (f", column {self.column!r}" if self.column else "") + f": {self.why}"


@dataclass(frozen=True)
class Form:
    """How a file is laid out: what parts its cells, whether decimals stand behind a comma, its line end, its
    header and the column of each (None: the learner's own), the line of the header."""

    separator: str
    comma: bool
    end: str
    header: tuple[str, ...]
    columns: tuple[tuple[Column, float, float] | None, ...]
    line: int

    @classmethod
    def of(cls, text: str, name: str) -> Form:
        """The form of a log's text; `name`: its file, for refusals. Raises ValueError for what is no log."""
        line, first = next(((k, r) for k, r in enumerate(io.StringIO(text, newline=""), 1)
                            if r.strip() and not r.startswith("sep=")), (1, ""))
        separator = separator_of(first)
        header = tuple(cell.strip() for cell in (next(rows(first, separator)).cells or ()))
        try:
            columns = tuple(column_of(cell) for cell in header)
        except ValueError as problem:
            raise ValueError(f"{name}, line {line}, column {problem}") from None
        there = [column[0].name for column in columns if column]
        for wanted in ("date", "measured"):
            if wanted not in there:
                raise ValueError(f"{name}, line {line}: no column {wanted!r}; accepted: a log of "
                                 "measurements, as kept by these lessons")
        if doubled := {n for n in there if there.count(n) > 1} | {c for c in header if c and
                                                                  header.count(c) > 1}:
            raise ValueError(f"{name}, line {line}, column {', '.join(sorted(doubled))}: stands twice in the "
                             "header; accepted: once")
        cell = rf"[{re.escape(separator)}\n]\s*[+-]?%s\s*[{re.escape(separator)}\r\n]"
        comma = separator != "," and (re.search(cell % r"\d+,\d+", text) is not None
                                      or (separator == ";" and not re.search(cell % _POINT, text)))
        return cls(separator, comma, line_end_of(text), header, columns, line)

    def cell(self, place: int, given: Any) -> str:
        """A measurement's value as text of the column at `place`."""
        if given is None or given == "":
            return ""
        found = self.columns[place]
        if found is None or found[0].type not in ("number", "whole"):
            return guarded(str(given).strip())
        column, factor, offset = found
        text, short = (f"{(given / column.si - offset) / factor:.{digits}g}" for digits in (12, 10))
        if f"{(float(short) * factor + offset) * column.si:.12g}" == f"{given:.12g}":
            text = short                                    # 90 rather than 89.9999999997 degrees
        return text.replace(".", ",") if self.comma else text

    def row(self, measurement: Measurement) -> str:
        """A measurement as a row of this form."""
        own = dict(measurement.more)
        cells = [self.cell(i, getattr(measurement, found[0].name) if found else own.get(self.header[i], ""))
                 for i, found in enumerate(self.columns)]
        return joined(cells, self.separator, self.end)

    def number(self, column: Column, text: str) -> float:
        """A cell as a number, a decimal comma understood. Raises ValueError for what is none, or may be
        two."""
        plain = text.strip().replace("\N{MINUS SIGN}", "-")
        two = _THOUSANDS.fullmatch(plain) and ("," in plain) != self.comma and (self.comma or "," in plain)
        if two:
            plain = ""
        elif _COMMA.fullmatch(plain):
            plain = plain.replace(",", ".")
        try:
            if "_" in plain:
                raise ValueError
            return float(plain)
        except ValueError:
            hint = ", without marks between thousands" if re.search(r"\d[., ']\d{3}", text) else ""
            raise ValueError(f"{text!r} given; accepted: {column.accepted()}{hint}") from None

    def value(self, place: int, cell: str) -> Any:
        """What a cell of the column at `place` holds, numbers in SI; None if it is empty. Raises ValueError.
        """
        found, cell = self.columns[place], unguarded(cell)
        if found is None or not cell:
            return cell or None
        column, factor, offset = found
        if column.type == "text":
            return cell
        if column.type not in ("number", "whole"):
            return day(cell) if column.type == "date" else kind_of(cell)
        typed = self.number(column, cell)
        shown = float(f"{typed * factor + offset:.12g}")
        if why := column.refused(shown, typed):
            raise ValueError(f"{cell!r} given; accepted: {why}")
        return int(shown) if column.type == "whole" else float(f"{shown * column.si:.12g}")

    @cached_property
    def _strict(self) -> tuple[tuple[int, dict[str, Any]], ...]:
        """Places of columns that are not mere text, each with what its cells were found to hold: most come
        again and again."""
        return tuple((i, {"": None}) for i, found in enumerate(self.columns) if found and
                     found[0].type != "text")

    @cached_property
    def _shapes(self) -> dict[Any, tuple[str, str] | None]:
        return {}

    def fault(self, row: Row) -> Fault | None:
        """Why a row cannot be read; None where it can."""
        if row.cells is None:
            return Fault(row.line, "", "a quote that is not closed, or one too many; accepted: text between "
                                       "two double quotes")
        cells, width = [cell.strip() for cell in row.cells], len(self.header)
        if any(cells[width:]):
            return Fault(row.line, "", f"{len(cells)} cells, the header has {width}; is a "
                                       f"{'comma' if self.separator == ',' else 'separator'} unquoted?")
        cells += [""] * (width - len(cells))
        for i, known in self._strict:
            if cells[i] not in known:
                try:
                    known[cells[i]] = self.value(i, cells[i])
                except ValueError as problem:
                    return Fault(row.line, self.header[i], re.sub(r"^(date|measured): ", "", str(problem)))
        places = self._places
        shape = (cells[places["measured"]], cells[places["unit"]] if "unit" in places else "",
                 tuple(map(bool, cells)))
        if shape not in self._shapes:
            self._shapes[shape] = self._lacking(cells)
        lacking = self._shapes[shape]
        return Fault(row.line, *lacking) if lacking else None

    def _lacking(self, cells: list[str]) -> tuple[str, str] | None:
        there = {name for name, i in self._places.items() if unguarded(cells[i])}
        for name in ("date", "measured"):
            if name not in there:
                kinds = "2026-11-27" if name == "date" else ", ".join(MEASURED)
                return self.header[self._places[name]], f"empty; accepted: {kinds}"
        unit = unguarded(cells[self._places["unit"]]) if "unit" in there else ""
        trouble = missing(kind_of(cells[self._places["measured"]]), there, unit)
        return trouble and (BY_NAME[trouble[0]].header, trouble[1])

    @cached_property
    def _places(self) -> dict[str, int]:
        return {found[0].name: i for i, found in enumerate(self.columns) if found}

    def measurement(self, row: Row) -> Measurement:
        """The measurement in a row that has no fault."""
        strict = dict(self._strict)
        made = object.__new__(Measurement)          # its cells were checked: not once more, field by field
        made.__dict__.update(_EMPTY, line=row.line)
        more = []
        for i, (found, cell) in enumerate(zip(self.columns, row.cells or (), strict=False)):
            cell = cell.strip()
            value = strict[i][cell] if i in strict else unguarded(cell)
            if found is None and value and self.header[i]:
                more.append((self.header[i], value))
            elif found is not None and value not in ("", None):
                made.__dict__[found[0].name] = value
        made.__dict__["more"] = tuple(more)
        return made

    def wider(self, names: Iterable[str], own: Iterable[str] = ()) -> Form:
        """This form with columns at its end for fields and own headers that it has no place for yet."""
        there = {found[0].name for found in self.columns if found}
        wanted = set(names) - there
        new = [(column, 1.0, 0.0) for column in COLUMNS if column.name in wanted]
        mine = [header for header in dict.fromkeys(own) if header not in self.header]
        return replace(self, header=(*self.header, *(column.header for column, *_ in new), *mine),
                       columns=(*self.columns, *new, *(None for _ in mine)))

    def headed(self, text: str) -> str:
        """A log's text with this form's header in place of its own, if columns came to it."""
        lines = list(io.StringIO(text, newline=""))
        old = next(rows(lines[self.line - 1], self.separator)).cells or []
        if len(old) == len(self.header):
            return text
        lines[self.line - 1] = joined([*old, *self.header[len(old):]], self.separator, self.end)
        return "".join(lines)
