"""The glossary: one sentence a word, a fold in every lesson that holds exactly the words the lesson uses."""

import re
from pathlib import Path

import nbformat
import pytest

from tonewood.lesson.shared.glossary import glossary, terms
from tonewood.sound.decay import DEAD, RINGING

NOTEBOOKS = sorted((Path(__file__).parents[3] / "notebooks").glob("*.ipynb"))
LESSONS = [path for path in NOTEBOOKS if not path.stem.startswith("00")]

TERMS = {"loss factor", "T60", "run-out", "ring angle", "relief", "creep", "shear", "torsion", "moisture",
         "EI", "fundamental", "dead note", "conductance", "half-time", "unbeaten", "rod effort", "decibel"}
"""Words that plain English has in no other sense: where a lesson's text has one, so has its fold."""


def words_of(path):
    """The text of a lesson, without the fold itself: (what its author wrote, what it showed as well)."""
    cells = [c for c in nbformat.read(path, 4).cells if "glossary" not in c.source]
    written = "\n".join(c.source for c in cells if c.cell_type == "markdown")
    shown = "\n".join(str(o.get("text", "")) + str(o.get("data", {}).get("text/plain", ""))
                      for c in cells for o in c.get("outputs", []))
    return written, written + shown


def pattern(term):
    """A pattern for any of a row's words, alone or as several."""
    more = {"decibel": "dB", "cent": "cents", "dead note": "dead", "ringing note": "ringing", "torsion": "GJ",
            "stiffness axis": "neutral axis|axis that neither", "draw": "draws"}
    either = "|".join(map(re.escape, term.split(", "))) + "|" * (term in more) + more.get(term, "")
    return re.compile(rf"(?<![\w-])({either})(s|es|ed)?(?![\w-])", re.I if term not in ("EI", "GJ") else 0)


def test_a_word_stands_once_with_its_sentence():
    rows = terms()
    assert [r["term"] for r in rows] == sorted((r["term"] for r in rows), key=str.casefold)
    for row in rows:
        assert row["meaning"][0].isupper() and row["meaning"].endswith(".") and len(row["meaning"]) < 230
        assert {int(n) for n in row["lessons"].split()} <= set(range(1, 13))
    assert {"loss factor", "T60", "run-out", "ring angle", "relief", "bow", "creep", "swing", "band", "draw",
            "shear", "torsion", "moisture"} <= {r["term"] for r in rows}


@pytest.mark.parametrize("path", LESSONS, ids=lambda p: p.stem)
def test_a_lesson_folds_the_words_it_uses_near_its_head(path):
    number, (written, shown) = int(path.stem[:2]), words_of(path)
    at, cell = next((i, c) for i, c in enumerate(nbformat.read(path, 4).cells) if "glossary" in c.source)
    assert at <= 3 and f"glossary({number}" in cell.source
    assert cell.outputs[0]["data"]["text/plain"] == glossary(number).plain
    for row in terms(number):
        assert pattern(row["term"]).search(shown), f"{row['term']}: not in this lesson"
    here = {row["term"] for row in terms(number)}
    for row in terms():
        if row["term"] in TERMS - here:
            assert not pattern(row["term"]).search(written), f"{row['term']}: used, not in the fold"


def test_dead_and_ringing_are_what_the_calculation_calls_so():
    meant = {row["term"]: row["meaning"] for row in terms()}
    assert f"at least {DEAD:.0f} dB" in meant["dead note"]
    assert "above four fifths" in meant["ringing note"] and RINGING == 4 / 5


def test_the_first_lesson_has_them_all_and_the_words_are_safe():
    shown = glossary()
    assert f"({len(terms())})" in shown.html and shown.html.startswith("<details><summary>")
    assert not set(shown.plain) & set("<>")
