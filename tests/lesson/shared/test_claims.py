"""The register of claims and the lessons say the same; no verdict is called sure while its model leaves out
what the claim itself says."""

import re
import shutil
from dataclasses import replace
from importlib import import_module
from pathlib import Path

import nbformat
import pytest

from tonewood.lesson.shared.claims import (
    HEAD,
    LESSONS,
    Claim,
    claims,
    faults,
    what_the_trade_says,
)
from tonewood.panel.verdict import Verdict
from tonewood.tables import data_folder

MADE = Claim(key="tall_tale", lesson="string_pull", claim="a tale.", causes=("weather", "the moon"),
             contains=("weather",), leaves_out=("the moon", "tides"), answer="no", sure="medium")
SAID = "It is said (common practice, no source)"
TOLD = Verdict("a tale.", "1 mm.", "no. Not at all.", "medium")


@pytest.fixture(scope="module")
def page():
    shown = what_the_trade_says()
    shown.compute()
    return shown


def judged_in(lesson):
    """The functions of a lesson's folder that return a Verdict."""
    home = import_module(f"tonewood.lesson.{lesson}")
    for path in sorted(Path(home.__path__[0]).glob("[!_]*.py")):
        module = import_module(f"{home.__name__}.{path.stem}")
        yield from (name for name, thing in vars(module).items()
                    if getattr(thing, "__module__", "") == module.__name__ and not name.startswith("_")
                    and getattr(thing, "__annotations__", {}).get("return") == "Verdict")


def test_every_verdict_of_every_lesson_stands_in_the_register_and_the_other_way_round():
    judged = {name: lesson for lesson in LESSONS for name in judged_in(lesson)}
    assert {claim.key: claim.lesson for claim in claims()} == judged
    assert len(judged) > 40


def test_a_notebook_shows_no_verdict_that_is_not_in_the_register():
    shown = set()
    for path in sorted((Path(__file__).parents[3] / "notebooks").glob("*.ipynb")):
        for cell in nbformat.read(path, 4).cells:
            for output in cell.get("outputs", []):
                if "".join(output.get("data", {}).get("text/plain", "")).startswith(SAID):
                    shown.add(re.fullmatch(r"(?:.*\n)*(\w+)\(.*\)", cell.source)[1])
    assert shown == {claim.key for claim in claims()}


def test_claims_answers_and_sureness_are_those_computed_and_none_is_surer_than_its_model(page):
    assert faults(page.verdicts, claims()) == []
    assert all(verdict.key == key for key, verdict in page.verdicts.items())


def test_a_sure_verdict_on_a_model_without_the_claims_own_cause_is_caught():
    assert faults({"tall_tale": TOLD}, [MADE]) == []
    sure = replace(MADE, sure="high")
    said = faults({"tall_tale": replace(TOLD, sure="high")}, [sure])
    assert len(said) == 1 and "own cause: the moon" in said[0] and "tides" not in said[0]
    whole = replace(sure, contains=("weather", "the moon"), leaves_out=("tides",))
    assert faults({"tall_tale": replace(TOLD, sure="high")}, [whole]) == []


@pytest.mark.parametrize("row, verdict, words", [
    (MADE, replace(TOLD, claim="another tale."), "claim"), (MADE, replace(TOLD, sure="low"), "sureness"),
    (MADE, replace(TOLD, verdict="yes."), "answer"), (replace(MADE, key="other"), TOLD, "judged in no lesson")
])
def test_register_and_lesson_that_differ_are_caught(row, verdict, words):
    assert any(words in said for said in faults({"tall_tale": verdict}, [row]))


@pytest.mark.parametrize("column, text, words", [
    ("lesson", "cooking", "accepted: whole_neck"), ("causes", "the moon", "either contains or leaves_out"),
    ("contains", "a; a", "each once"), ("leaves_out", "a; ; b", "none empty"),
    ("sure", "very", "high, medium, low")
])
def test_a_spoilt_register_is_refused_by_file_line_and_column(column, text, words, tmp_path):
    for name in ("claims.csv", "sources.csv"):
        shutil.copy(data_folder() / name, tmp_path / name)
    path = tmp_path / "claims.csv"
    head, first, *rest = path.read_text("utf-8").splitlines()
    names = head.split(",")
    plain = dict(zip(names, ["quarter_sawn_stiffer", "whole_neck", "it is.", "a", "a", "b", "no", "high",
                             "common", "common practice"], strict=True))
    path.write_text("\n".join([head, ",".join({**plain, column: text}.values()), *rest]), "utf-8")
    with pytest.raises(ValueError, match=f"claims.csv, line 2, column '{column}'.*{words}"):
        claims(tmp_path)
    path.write_text("\n".join([head, ",".join(plain.values()), *rest]), "utf-8")
    assert claims(tmp_path)[0].leaves_out == ("b",)


def test_a_claim_without_a_verdict_is_refused():
    with pytest.raises(ValueError, match="tall_tale.*no verdict"):
        MADE.computed()


def test_the_page_counts_what_it_shows_and_marks_what_was_left_out(page):
    rows = claims()
    assert page.counted.startswith(f"{len(rows)} claims")
    omitted = [claim for claim in rows if claim.omitted]
    assert f"in {len(omitted)} the model" in page.counted and omitted
    assert all(claim.sure != "high" for claim in omitted)
    shown = page._repr_mimebundle_()
    assert shown["text/html"].count("(the claim&#x27;s own cause)") == sum(len(c.omitted) for c in omitted)
    for claim in rows:
        assert claim.claim in shown["text/plain"]
    assert all(title in shown["text/plain"] for title in LESSONS.values()) and HEAD[2] in shown["text/plain"]
    assert "verdicts computed" in page._said.value and "as stored" in page._said.value
