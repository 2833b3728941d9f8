"""What people read is written as print writes it: powers raised, a true minus, no minus nought, one unit for
one quantity. Every literal of the library that is no docstring, every table of data, every notebook."""

import ast
import csv
import html
import json
import re
from pathlib import Path

import pytest

import tonewood
from tonewood.tables import TABLES, data_folder

LIB = Path(tonewood.__file__).parent
NOTEBOOKS = sorted((Path(__file__).parents[2] / "notebooks").glob("*.ipynb"))
FAULTS = {
    "a power not raised": r"\b[kmµ]?g/c?m3\b|\b[cmµ]?m2/s\b|\b(?:kg|N)[ ·]m2|\bmm[234]\b|\dm\^\d|/m\^",
    "a hyphen for a minus": r"(?<![\w.)\]}/:'\"#-])-(?=\d)",
    "minus nought": r"[-−]0(?:\.0+)?(?![\d.,])",
    "a for an": r"\b[Aa] (?:angle|inch|ounce|hour|edge|end|error|estimate|instrument|offcut|accent|even)\b",
    "noughts behind a percentage": r"\d\.00+ %",
    "another unit of the loss factor": r"1/1000|‰|per (?:thousand|mille)",
}
KEYS = {"unit", "key", "place", "place_in_source", "period", "citation", "months", "year", "count"}
"""Columns of data that programs read, or that name a place in a source as it is printed there."""
NOT_READ = {"panel/units.py": "spellings a person may type", "schema.py": "units as data has them",
            "panel/page.py": "a unit of data as it is turned into print",
            "panel/keys.py": "script", "panel/search.py": "script"}
"""Files whose literals are no sentences, and why."""
NO_SENTENCE = re.compile(r"kg/m3|M 0 0 .*")
"""Literals that are none: a unit as data has it, an outline's path."""


def faults(text):
    """(what is wrong, where) of a text that people read."""
    return [(what, text[max(0, m.start() - 25):m.end() + 15])
            for what, pattern in FAULTS.items() for m in re.finditer(pattern, text)]


def literals(tree):
    """The literals of a module without its docstrings, an f-string as one with {} where values go."""
    nodes = list(ast.walk(tree))
    told = {id(node.value) for node in nodes if isinstance(node, ast.Expr)}
    for node in nodes:
        if isinstance(node, ast.JoinedStr):
            told |= {id(part) for part in node.values}
            yield "".join(str(v.value) if isinstance(v, ast.Constant) else "{}" for v in node.values)
        elif isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in told:
            yield node.value


def test_what_the_library_says():
    found = [(path.name, *fault) for path in sorted(LIB.rglob("*.py"))
             if path.relative_to(LIB).as_posix() not in NOT_READ
             for text in literals(ast.parse(path.read_text(encoding="utf-8")))
             if not NO_SENTENCE.fullmatch(text) for fault in faults(text)]
    assert found == []


def test_what_the_tables_say():
    found = []
    for name, table in TABLES.items():
        words = {column for column, kind in table.columns.items() if kind is str} - KEYS
        with open(data_folder() / name, encoding="utf-8", newline="") as file:
            found += [(name, *fault) for row in csv.DictReader(file) for column in words
                      for fault in faults(row[column] or "")]
    assert found == []


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda p: p.stem)
def test_what_the_lessons_say(path):
    found = []
    for cell in json.loads(path.read_text(encoding="utf-8"))["cells"]:
        shown = [("".join(out.get("text", "")), "".join(out.get("data", {}).get("text/plain", "")),
                  html.unescape(re.sub(r"<(style|script|svg).*?</\1>|<[^>]*>", " ",
                                       "".join(out.get("data", {}).get("text/html", "")), flags=re.S)))
                 for out in cell.get("outputs", [])]
        written = [] if cell["cell_type"] == "code" else ["".join(cell["source"])]
        found += [fault for text in sum(shown, tuple(written)) for fault in faults(text)]
    assert found == []


@pytest.mark.parametrize("wrong", ["700 kg/m3", "350 N m2", "5 mm2", "from -5 to 3", "−0.00 mm", "a angle",
                                   "70.00 % of it", "8 1/1000"])
def test_the_rule_notices(wrong):
    assert faults(wrong) and not faults("700 kg/m³, −5 °C, an angle, 70 %, 2026-11-27, −0.02, 8 thousandths")
