"""The board log: what a shop measured of its boards and necks, in a table that any spreadsheet opens.

One row a measurement; UTF-8; units in the header; dates as 2026-11-27; columns and kinds in log_columns. A
file may have its cells parted by commas, semicolons or tabs, decimal points or commas, any line ends, columns
in any order and columns of the learner's own: it stays as it is, new rows follow its form. A row that cannot
be read is named with line and column and stays in the file as it stood. Writers wait for one another
(tonewood.files). Definition of the form: these files.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tonewood import checks, files
from tonewood.bench.log_columns import BY_NAME, COLUMNS, Measurement, column_of, kind_of
from tonewood.bench.log_form import Fault, Form
from tonewood.bench.log_text import Row, guarded, joined, rows

if TYPE_CHECKING:
    import pandas

    from tonewood.bench.log_boards import MeasuredBoard

NEW = "\ufeff"
"""First in every log: the byte order mark by which spreadsheets know UTF-8."""

EMPTY = joined([column.header for column in COLUMNS], ",", "\r\n")
"""A log without measurements."""

@dataclass(frozen=True, eq=False)
class Log:
    """A log as it was read: path; text; form; rows (those that could be read); faults (those that could not,
    each named)."""

    path: Path
    text: str = field(repr=False)
    form: Form = field(repr=False)
    rows: tuple[Row, ...] = field(repr=False)
    faults: tuple[Fault, ...]

    def __len__(self) -> int:
        return len(self.rows)

    @cached_property
    def measurements(self) -> tuple[Measurement, ...]:
        """Every measurement that could be read, as they stand in the file."""
        return tuple(map(self.form.measurement, self.rows))

    def __iter__(self) -> Iterator[Measurement]:
        return iter(self.measurements)

    def add(self, *measurements: Measurement) -> Log:
        """Keep measurements in the file; the log read anew, with what others added. Raises ValueError."""
        add(self.path, *measurements)
        return read_log(self.path)

    def edit(self, line: int, **changes: Any) -> Log:
        """Change fields of the row that stands at `line` (of a Measurement or a Fault), in SI as in
        Measurement; all else of it stays. Returns the log read anew. Raises ValueError, with the file as it
        was, for a row that somebody else changed since, and for values that are not accepted."""
        for name in changes:
            checks.choice("column", name, BY_NAME)
        return self._rewrite([line], lambda line: changes)

    def label(self, lines: Iterable[int], board: str) -> Log:
        """Give the rows at these lines the board label `board`. Returns the log read anew. Raises
        ValueError."""
        if not str(board).strip():
            raise ValueError("board: nothing given; accepted: a label, such as the number on its end")
        return self._rewrite(list(lines), lambda line: {"board": board})

    def remove(self, lines: Iterable[int]) -> Log:
        """Take the rows at these lines out of the file; NAME.before holds them still, and `add` brings a
        measurement back. Returns the log read anew. Raises ValueError as `edit` does."""
        return self._rewrite(list(lines), lambda line: None)

    def search(self, words: str = "", measured: str = "", board: str = "", neck: str = ""
               ) -> tuple[Measurement, ...]:
        """The measurements in whose row every one of `words` stands, capitals or not; of one kind, board,
        neck. Raises ValueError for a kind that is not known."""
        wanted = {name: value for name, value in (("board", board), ("neck", neck)) if value}
        if measured:
            wanted["measured"] = kind_of(measured)
        needles = " ".join([words, *wanted.values()]).replace('"', " ").casefold().split()
        found = (self.form.measurement(row) for row in self.rows
                 if all(needle in text for text in [row.text.casefold()] for needle in needles))
        return tuple(m for m in found if all(getattr(m, name) == value for name, value in wanted.items()))

    def boards(self) -> tuple[MeasuredBoard, ...]:
        """One summary for each board label, in the order of the labels."""
        from tonewood.bench.log_boards import boards

        return boards(self.measurements)

    def _rewrite(self, lines: list[int], changes: Callable[[int], dict[str, Any] | None]) -> Log:
        """The file with these rows changed; those without changes (None) are gone."""
        bad = {fault.line for fault in self.faults} & set(lines)
        asked = rows(self.text, self.form.separator, len(self.form.header)) if bad else self.rows
        mine = {row.line: row.text.rstrip("\r\n") for row in asked}
        for line in lines:
            if line not in mine or line <= self.form.line:
                raise ValueError(f"{self.path.name}, line {line}: no measurement stands there")

        def change(text: str | None) -> str:
            form = Form.of(text or "", self.path.name).wider(
                name for line in lines for name, value in (changes(line) or {}).items()
                if value not in (None, ""))
            there = list(rows(text or "", form.separator, len(form.header)))
            places = {row.line: k for k, row in enumerate(there)}
            texts = [row.text for row in there]
            for line in lines:
                k = places.get(line, 0)
                if texts[k].rstrip("\r\n") != mine[line]:
                    same = [k for k, t in enumerate(texts) if t.rstrip("\r\n") == mine[line]]
                    if len(same) != 1:
                        raise ValueError(f"{self.path.name}, line {line}: somebody else changed this row "
                                         "since it was read; read the log again")
                    k = same[0]
                given = changes(line)
                texts[k] = "" if given is None else self._changed(form, there[k], given)
            return NEW + form.headed("".join(texts))

        files.update(self.path, change)
        return read_log(self.path)

    def _changed(self, form: Form, row: Row, changes: dict[str, Any]) -> str:
        if row.cells is None:
            raise ValueError(f"{self.path.name}, {form.fault(row)}; mend it in a spreadsheet or an editor")
        cells = [*row.cells, *[""] * (len(form.header) - len(row.cells))]
        for i, found in enumerate(form.columns):
            if found and found[0].name in changes:
                given = changes[found[0].name]
                if found[0].type in ("number", "whole") and given is not None:
                    given = checks.number(found[0].words or found[0].name, given)
                cells[i] = form.cell(i, given)
            else:
                cells[i] = guarded(cells[i])
        if fault := form.fault(row._replace(cells=cells)):
            raise ValueError(f"{self.path.name}, {fault}")
        return joined(cells, form.separator, form.end)

    def table(self, measurements: Sequence[Measurement] | None = None) -> pandas.DataFrame:
        """The measurements (all unless told) as a DataFrame, in the units people read, without columns that
        are empty in all."""
        import pandas as pd

        there = self.measurements if measurements is None else measurements
        shown = {"line": [m.line for m in there]}
        for column in COLUMNS:
            values = [getattr(m, column.name) for m in there]
            if column.type in ("number", "whole"):
                values = [None if v is None else float(f"{v / column.si:.12g}") for v in values]
            if any(v not in (None, "") for v in values):
                shown[column.header] = values
        return pd.DataFrame(shown)


def add(path: str | os.PathLike[str], *measurements: Measurement) -> Path:
    """Keep measurements in the log at `path`, which is made if there is none. Returns the path. Raises
    ValueError, with the file as it was: see tonewood.files, and for a file that is no log.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     made = Measurement(date="2026-11-27", board="A7", measured="weigh", mass=0.412, note="=heavy")
    ...     [m.note for m in read_log(add(f"{folder}/boards.csv", made))]
    ['=heavy']
    """
    found, name = files.place(path), Path(path).name
    names = {c.name for c in COLUMNS for m in measurements if getattr(m, c.name) not in (None, "")}
    own = [header for m in measurements for header, _ in m.more]
    for header in own:
        if not header.strip() or column_of(header):
            raise ValueError(f"column {header!r}: no name for a column of your own; accepted: one that the "
                             "log does not use itself")

    def longer(text: str | None) -> str:
        text = text if text and text.strip() else EMPTY
        form = Form.of(text, name).wider(names, own)
        whole = text if text.endswith(("\n", "\r")) else text + form.end
        return NEW + form.headed(whole) + "".join(form.row(m) for m in measurements)

    files.update(found, longer)
    return Path(path)


def read_log(path: str | os.PathLike[str]) -> Log:
    """The log in a file. Rows that cannot be read are named in `faults`, all others are there.

    Raises ValueError for a file that is not there (the first measurement added makes it), cannot be read or
    is no log.
    >>> read_log("nowhere.csv")
    Traceback (most recent call last):
    ValueError: nowhere.csv: no such file; accepted: a file that was kept before
    """
    text = files.read(path)
    text = text if text.strip() else EMPTY
    form = Form.of(text, Path(path).name)
    good, faults = [], []
    for row in rows(text, form.separator, len(form.header)):
        if row.line > form.line and row.text.strip(' "\r\n\t' + form.separator):
            if fault := form.fault(row):
                faults.append(fault)
            else:
                good.append(row)
    return Log(Path(path), text, form, tuple(good), tuple(faults))
