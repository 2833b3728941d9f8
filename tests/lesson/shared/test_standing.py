"""What a lesson's numbers rest on: marks follow the status in the tables, cautions and sources are all there,
text is escaped."""

import pytest

from tonewood.lesson.shared.standing import LEGEND, MARKS, cautions_for, sources, standing
from tonewood.wood.facts import citation, general_cautions
from tonewood.wood.species import species


def test_marks_follow_the_tables():
    shown = standing("black walnut", "wenge")
    walnut, wenge = species("black walnut"), species("wenge")
    marked = f"{1000 * walnut.fact('loss_factor').value:.1f}{MARKS[walnut.status('loss_factor')]}"
    assert f"black walnut {marked}" in shown.plain
    assert walnut.status("loss_factor") == "from memory" and wenge.status("loss_factor") == "published"
    assert f"wenge {1000 * wenge.fact('loss_factor').value:.1f}\n" in shown.plain
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
