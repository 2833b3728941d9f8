"""Printed numbers, cautions, people's words."""

import pytest
from bs4 import BeautifulSoup

from tonewood.panel import chosen, page, units


def test_say(capsys):
    page.say("relief", 0.2134, "mm")
    page.say("relief", 0.2134, "mm", label="estimated by beam theory")
    page.say("ring angle", 45, "°", 0)
    with chosen.reading(units.INCH):
        page.say("depth", 25.4, "mm", 1)
    assert capsys.readouterr().out.splitlines() == [
        "relief: 0.21 mm", "relief: 0.21 mm [estimated by beam theory]", "ring angle: 45°", "depth: 1.00 in"]


@pytest.mark.parametrize("value", [float("nan"), "many"])
def test_say_refuses(value):
    with pytest.raises(ValueError, match="relief"):
        page.say("relief", value, "mm")


def test_noise_below_the_last_digit_changes_nothing(capsys):
    page.say("x", -1e-12, "mm")
    page.say("x", 1e-12, "mm")
    first, second = capsys.readouterr().out.splitlines()
    assert first == second == "x: 0.00 mm"


def test_caution_is_escaped_and_reads_as_text():
    shown = page.caution("Wear a mask.", "Never <more> than a quarter turn.")._repr_mimebundle_()
    assert "&lt;more&gt;" in shown["text/html"] and "role='note'" in shown["text/html"]
    assert shown["text/plain"] == "CAUTION\n- Wear a mask.\n- Never <more> than a quarter turn."
    with pytest.raises(ValueError):
        page.caution()


def test_notes_cannot_act_and_say_when_cut():
    shown = page.note("<img src=x onerror=alert(1)>" + "a" * 3000)
    assert "<img" not in shown.html and "&lt;img" in shown.html
    assert "1028 more characters not shown" in shown.plain


def test_worked_lines_are_printed_as_say_prints_them(capsys):
    page.say_all([("pull", 462.3, "N", 0, "estimated"), ("relief", 0.304, "mm", 2, "")])
    assert capsys.readouterr().out == "pull: 462 N [estimated]\nrelief: 0.30 mm\n"


def test_a_table_reads_as_mark_up_and_as_words():
    shown = page.table(("wood <i>", "E (GPa)", "standing"), [("maple & co", "12.6", "published"),
                                                             ("all of them",), ("<b>", "−1", "")], "At 12 %.")
    read = BeautifulSoup(shown.html, "html.parser")
    assert [[c.text for c in row.find_all(["th", "td"])] for row in read.find_all("tr")] == [
        ["wood <i>", "E (GPa)", "standing"], ["maple & co", "12.6", "published"], ["all of them"],
        ["<b>", "−1", ""]]
    assert [c["style"].split(";")[0] for c in read.thead.find_all("th")] == ["text-align:left",
                                                                             "text-align:right",
                                                                             "text-align:left"]
    assert {c.get("scope") for c in read.find_all("th")} == {"col", "row",
                                                             "colgroup"} and read.caption.text == "At 12 %."
    assert shown.plain.split("\n") == ["maple & co: E (GPa) 12.6; standing published", "all of them",
                                       "<b>: E (GPa) −1", "(At 12 %.)"]
    assert len(BeautifulSoup(page.table(("a", "b"), [("x", 1), ("y", 2)], bars=(0.5, 1)).html,
                             "html.parser").find_all("div", style=lambda s: "background" in s)) == 2
    with pytest.raises(ValueError, match="row 'x': 3 cells given; accepted: 2"):
        page.table(("a", "b"), [("x", 1, 2)])


def test_bullets():
    shown = page.bullets(["one <b>", "two"])
    assert shown.html == "<ul><li>one &lt;b&gt;</li><li>two</li></ul>" and shown.plain == "- one <b>\n- two"


@pytest.mark.parametrize("title, words", [
    ("Caution", "Caution: </strong>Dust."), ("Wear a mask.", "Wear a mask. </strong>Dust.")])
def test_a_single_caution_follows_its_title(title, words):
    assert words in page.caution("Dust.", title=title).html
    assert f"{title}</strong>" in page.caution("Dust.", "Blades.", title=title).html
