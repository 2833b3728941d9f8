"""The text of a log that spreadsheets write and read: cut into rows, each kept as it stood, and put together
again.

Cells are parted by commas, semicolons or tabs; text may stand in double quotes. A row that cannot be cut (a
quote that never closes) costs itself alone: reading goes on with the next line. Text that a spreadsheet would
take for a formula is written behind an apostrophe, and read without it. Source: RFC 4180 for the form;
otherwise the definition is this file.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

SEPARATORS = ",;\t"
LONGEST = 100
"""Lines that one row may span; a quote that is still open then was a slip."""

_FORMULA = re.compile(r"'*[=+\-@\t\r\n\uff1d\uff0b\uff0d\uff20]")
_NUMBER = re.compile(r"[+-]?\d+([.,]\d+)?([eE][+-]?\d+)?")


class Row(NamedTuple):
    """One row of a file: the number of its first line, its text with the line end, its cells (None where it
    cannot be cut)."""

    line: int
    text: str
    cells: list[str] | None


class _Feed:
    """Lines handed out one by one, from `at` up to `limit`."""

    def __init__(self, lines: Sequence[str], at: int) -> None:
        self.lines, self.at, self.limit = lines, at, min(len(lines), at + LONGEST)

    def __iter__(self) -> _Feed:
        return self

    def __next__(self) -> str:
        if self.at >= self.limit:
            raise StopIteration
        self.at += 1
        return self.lines[self.at - 1]


def rows(text: str, separator: str, width: int | None = None) -> Iterator[Row]:
    """The rows of a text, blank ones included; joined again, their texts are the text.

    width: number of cells of a whole row; one of another number that spans several lines is taken as a quote
    too many, and its first line as a row that cannot be cut.
    >>> [row.cells for row in rows('a,"b;c"\\n"d,e\\nf,g\\n', ",")]
    [['a', 'b;c'], None, ['f', 'g']]
    """
    lines, start = list(io.StringIO(text, newline="")), 0
    while start < len(lines):
        feed = _Feed(lines, start)
        try:
            for cells in csv.reader(feed, delimiter=separator, strict=True):
                if feed.at - start > 1 and width not in (None, len(cells)):
                    raise csv.Error("a quote too many")
                yield Row(start + 1, "".join(lines[start:feed.at]), cells)
                start, feed.limit = feed.at, min(len(lines), feed.at + LONGEST)
        except csv.Error:
            yield Row(start + 1, lines[start], None)
            start += 1


def separator_of(header: str) -> str:
    """What parts the cells of a file, from its first line: the commonest of comma, semicolon and tab outside
    quotes.

    >>> separator_of('date;board;"length, mm"')
    ';'
    """
    bare = re.sub(r'"[^"]*"', "", header)
    return max(SEPARATORS, key=bare.count)


def line_end_of(text: str) -> str:
    """The line end that a text uses; that of spreadsheets (CR LF) where it has none.
    >>> line_end_of("a;b\\nc")
    '\\n'
    """
    found = re.search(r"\r\n|\n|\r", text)
    return found[0] if found else "\r\n"


def joined(cells: Iterable[str], separator: str, end: str) -> str:
    """One row as text; cells that need quotes are put in quotes.
    >>> joined(["a", "b,c"], ",", "")
    'a,"b,c"'
    """
    special = re.compile(rf'[{re.escape(separator)}"\r\n]|^\s|\s$')
    return separator.join('"' + cell.replace('"', '""') + '"' if special.search(cell) else cell
                          for cell in cells) + end


def guarded(text: str) -> str:
    """Text as it is written into a cell: what a spreadsheet would take for a formula stands behind an
    apostrophe, plain numbers excepted.

    >>> guarded("=1+1"), guarded("-0.5"), guarded("maple")
    ("'=1+1", '-0.5', 'maple')
    """
    return f"'{text}" if _FORMULA.match(text) and not _NUMBER.fullmatch(text) else text


def unguarded(text: str) -> str:
    """Text of a cell as it was before `guarded`.
    >>> unguarded("'=1+1"), unguarded("'tis maple")
    ('=1+1', "'tis maple")
    """
    return text[1:] if text[:1] == "'" and _FORMULA.match(text) else text
