"""What a lesson's numbers rest on: marks follow the status in the tables, cautions and sources are all there,
text is escaped."""

from collections import Counter
from pathlib import Path

import pytest

from tonewood.lesson.shared.standing import (
    LEGEND,
    MARKS,
    NONE_ON_FILE,
    cautions_for,
    sources,
    standing,
    with_cautions,
)
from tonewood.lesson.shared.wood_colours import TONES, tone
from tonewood.panel.controls import pick
from tonewood.panel.live_figure import LiveFigure
from tonewood.wood.facts import citation, general_cautions
from tonewood.wood.species import all_species, species


def test_marks_follow_the_tables():
    shown = standing("black walnut", "wenge")
    walnut, wenge = species("black walnut"), species("wenge")
    marked = f"{1000 * walnut.fact('loss_factor').value:.1f}{MARKS[walnut.status('loss_factor')]}"
    assert f"black walnut {marked}" in shown.plain
    assert walnut.status("loss_factor") == "from memory" and wenge.status("loss_factor") == "estimated"
    assert f"wenge {1000 * wenge.fact('loss_factor').value:.1f} (e)\n" in shown.plain
    assert LEGEND in shown.plain and LEGEND in shown.html


def test_cautions_of_the_woods_and_of_all_dust():
    box = cautions_for("wenge", "Brazilian rosewood")
    for wood in ("wenge", "Brazilian rosewood"):
        for caution in species(wood).cautions:
            assert caution.statement in box.plain
    for caution in general_cautions():
        assert caution.statement in box.plain


def test_sources_once_each():
    again = next(iter(species("sapele").facts.values())).source
    shown = sources("wenge", "sapele", also=(again,))
    lines = shown.plain.split("\n")
    assert len(lines) == len(set(lines))
    for fact in species("wenge").facts.values():
        assert f"- {citation(fact.source)} [{fact.source}]" in lines


def test_unknown_wood_is_refused_with_a_hint():
    with pytest.raises(ValueError, match="Did you mean"):
        standing("black wallnut")


def test_a_wood_without_a_report_says_so_and_trade_says_when_it_was_read():
    box = cautions_for("hard maple", "African blackwood", "primavera")
    assert f"hard maple, dust and skin: {NONE_ON_FILE}" in box.plain
    assert f"primavera, dust and skin: {NONE_ON_FILE}" in box.plain
    assert f"African blackwood, dust and skin: {NONE_ON_FILE}" not in box.plain
    for line in box.plain.split("\n"):
        if ", trade: CITES" in line or ", trade: IUCN" in line or "Appendix" in line:
            assert "; check cites.org)" in line or "; check the IUCN list)" in line, line
            assert "read" in line.split("(")[-1], line


def test_every_list_statement_cites_its_list():
    for wood in all_species(made=True):
        for caution in wood.cautions:
            if "IUCN" in caution.statement:
                assert caution.statement.startswith("IUCN:") and caution.source in ("iucn-list", "memory")
            if "CITES" in caution.statement or "Appendix" in caution.statement:
                assert caution.kind == "trade" and caution.source != "iucn-list"
            assert (caution.read != "") == (caution.source not in ("memory", "common")), caution


def test_readme_says_the_share_that_is_published():
    """Counted anew over every number in use."""
    counts = Counter(fact.status for wood in all_species() for fact in wood.facts.values())
    share = {status: round(100 * count / counts.total()) for status, count in counts.items()}
    text = " ".join((Path(__file__).parents[3] / "README.md").read_text(encoding="utf-8").split())
    assert (f"Of the {counts.total()} numbers in use for the {len(all_species())} woods, "
            f"{share['published']} % are published, {share['estimated']} % estimated and "
            f"{share['from memory']} % from memory") in text


def test_every_wood_has_a_tone_of_its_own():
    tones = {wood.key: tone(wood) for wood in all_species(made=True)}
    assert len(set(tones.values())) == len(tones) and set(TONES) == set(tones)


def test_cautions_follow_the_wood_that_is_chosen():
    live = LiveFigure(lambda fig: fig.subplots().plot([0, 1], [0, 1]), lambda art, wood: None,
                      {"wood": pick("Wood", [(name, name) for name in ("wenge", "brazilian_rosewood")],
                                    "wenge")}, inches=(2, 2), alt="A board")
    with_cautions(live, lambda: [live.values["wood"]])
    assert "wenge, dust" in live.cautions.value and "rosewood" not in live.cautions.value
    live.set(wood="brazilian_rosewood")
    assert "CITES Appendix I:" in live.cautions.value and "wenge" not in live.cautions.value
    assert live.widget.children[-1] is live.cautions
