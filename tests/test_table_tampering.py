"""Every declared table is spoilt in every way a hand or a spreadsheet spoils a file; each spoilt copy is
refused with file, line and column, and each harmless copy is read as it was."""

import csv
import io
import math
import re
import shutil

import pytest

from tonewood.tables import TABLES, Number, data_folder, read_table


def _rows(name):
    with open(data_folder() / name, encoding="utf-8", newline="") as file:
        return list(csv.reader(file))


def _text(rows, delimiter=","):
    out = io.StringIO()
    csv.writer(out, delimiter=delimiter, lineterminator="\n").writerows(rows)
    return out.getvalue()


def _line(name, index):
    """Line of the file on which the row `index` ends, where quoted cells hold no line breaks."""
    return f"{name}, line {index + 1}"


def _with(rows, index, column, text):
    rows = [list(row) for row in rows]
    rows[index][rows[0].index(column)] = text
    return rows


def _range(declared, rows, index, column):
    kind = declared.columns[column]
    if declared.quantity and column in ("value", "low", "high"):
        return declared.quantities[rows[index][rows[0].index(declared.quantity)]]
    return kind if isinstance(kind, Number) else Number()


def tamperings(name):
    """(what was done, spoilt text, words of the refusal) for one table."""
    declared, rows = TABLES[name], _rows(name)
    header, count = rows[0], len(rows) - 1
    column_of = header.index
    yield "emptied to the header", _text(rows[:1]), [f"{name}: 0 rows"]
    yield "emptied wholly", "", [f"{name}, line 1", "missing"]
    yield "cut short by a tenth", _text(rows[:1 + count - max(1, count // 10)]), [name]
    yield "first row dropped", _text(rows[:1] + rows[2:]), [name]
    yield "row doubled", _text([*rows, rows[1]]), [f"{name}, line {count + 2}", "once"]
    yield "semicolons", _text(rows, ";"), [f"{name}, line 1", "commas"]
    yield "column doubled", _text([[*row, row[0]] for row in rows]), [f"{name}, line 1", f"'{header[0]}'"]
    yield "cell too many", _text([*rows[:2], [*rows[2], "x"], *rows[3:]]), [_line(name, 2), "cells"]
    yield "row of one cell", _text([*rows[:2], rows[2][:1], *rows[3:]]), [_line(name, 2), "cells"]
    key = declared.keys[0]
    doubled = rows
    for column in key:
        doubled = _with(doubled, 2, column, rows[1][column_of(column)])
    if declared.quantity in key:
        doubled = _with(doubled, 2, "unit", rows[1][column_of("unit")])
        for column in ("value", "low", "high"):
            if column in header:
                doubled = _with(doubled, 2, column, rows[1][column_of(column)])
    yield "key doubled", _text(doubled), [_line(name, 2), f"'{key[0]}'", "once"]
    for column, kind in declared.columns.items():
        without = [[cell for k, cell in enumerate(row) if k != column_of(column)] for row in rows]
        yield f"{column}: column gone", _text(without), [name, f"'{column}'", "missing"]
        filled = next((i for i in range(1, count + 1) if rows[i][column_of(column)]), 0)
        if not filled:
            continue
        where = [_line(name, filled), f"'{column}'"]
        if column not in declared.optional:
            yield f"{column}: emptied", _text(_with(rows, filled, column, "")), where
        if isinstance(kind, tuple):
            spoilt = _text(_with(rows, filled, column, "perhaps"))
            yield f"{column}: unknown word", spoilt, [*where, "accepted"]
        if column in declared.refers:
            spoilt = _text(_with(rows, filled, column, "nobody"))
            yield f"{column}: unknown key", spoilt, [*where, "accepted"]
        if not isinstance(kind, Number):
            continue
        for what, text in (("words", "about right"), ("decimal comma", "1,5"), ("not a number", "nan"),
                           ("infinite", "inf")):
            yield f"{column}: {what}", _text(_with(rows, filled, column, text)), [*where, "number"]
        reach = _range(declared, rows, filled, column)
        if reach.low >= 0:
            yield f"{column}: negative", _text(_with(rows, filled, column, "-7")), [*where, "accepted"]
        if math.isfinite(reach.high):
            far = repr(max(500.0, 1000 * reach.high))
            spoilt = _text(_with(rows, filled, column, far))
            yield f"{column}: far too large", spoilt, [*where, "accepted"]
        if reach.whole:
            half = _with(rows, filled, column, repr(float(rows[filled][column_of(column)]) + 0.5))
            yield f"{column}: half", _text(half), [_line(name, filled), f"'{column}'"]
    if "unit" in header:
        yield "unit wrong", _text(_with(rows, 1, "unit", "psi")), [_line(name, 1), "'unit'", "psi"]
    if {"low", "high"} <= set(header):
        i = next(i for i in range(1, count + 1) if rows[i][column_of("low")] and rows[i][column_of("high")])
        low, high = (rows[i][column_of(c)] for c in ("low", "high"))
        turned = _with(_with(rows, i, "low", high), i, "high", low)
        yield "low above high", _text(turned), [_line(name, i), "'low'"]
    if "status" in header:
        i = next(i for i in range(1, count + 1) if rows[i][column_of("status")] != "from memory")
        spoilt = _text(_with(rows, i, "source", "memory"))
        yield "memory called published", spoilt, [_line(name, i), "'status'"]
    for column, words in declared.needs.items():
        kept = [row for row in rows if row[column_of(column)] != words[-1]]
        yield f"{words[-1]} missing", _text(kept), [name]


@pytest.fixture
def folder(tmp_path):
    for path in data_folder().glob("*.csv"):
        shutil.copy(path, tmp_path / path.name)
    return tmp_path


@pytest.mark.parametrize("name", TABLES)
def test_every_tampering_is_refused_by_file_line_and_column(name, folder):
    loaded, misled, seen = [], [], 0
    for what, text, words in tamperings(name):
        (folder / name).write_text(text, encoding="utf-8")
        seen += 1
        try:
            read_table(name, folder=folder)
        except ValueError as refusal:
            if not all(re.search(re.escape(word), str(refusal)) for word in words):
                misled.append((what, str(refusal)))
        else:
            loaded.append(what)
    assert loaded == [] and misled == [] and seen > 15


@pytest.mark.parametrize("name", TABLES)
def test_a_byte_order_mark_and_windows_line_ends_do_no_harm(name, folder):
    was = read_table(name)
    (folder / name).write_bytes(b"\xef\xbb\xbf" + _text(_rows(name)).replace("\n", "\r\n").encode())
    assert read_table(name, folder=folder) == was


def test_a_table_saved_as_utf_16_is_refused(folder):
    (folder / "rules.csv").write_text(_text(_rows("rules.csv")), encoding="utf-16")
    with pytest.raises(ValueError, match="rules.csv: not a UTF-8 text file"):
        read_table("rules.csv", folder=folder)
