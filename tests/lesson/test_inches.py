"""Every lesson in inches and ounces: its figure, sentence, scales, ranges, lists. What stays metric has no
counterpart in use (panel.units): stiffness (N·m², GPa), density, damping, temperature; and the boxes of the
log and of the table of stripes, which name their own unit and take an inch typed as such."""

import re
from importlib import import_module

import pytest

from tonewood.panel import chosen, units
from tonewood.panel.figure_units import _worded, _words_of

METRIC_WORDS = re.compile(r"(?:(?<=\d\s)(?:cm|m|g|N)|(?<![\w·/])(?:mm|kg|N·m))(?![\w·⁻²³⁴/])")
FIGURES = {
    "00": ("start_here", "first_slider"), "01": ("whole_neck", "bench"), "02": ("one_board", "one_board"),
    "03": ("grain", "which_way"), "04": ("laying_up", "layup"), "05": ("string_pull", "string_pull"),
    "05, faults": ("string_pull", "rod_faults"), "05, ledger": ("string_pull", "relief_ledger"),
    "06": ("client_year", "seasons"), "07": ("ring_and_decay", "ring"), "08": ("first_moment", "attack"),
    "09": ("measure_a_board", "measured_board"), "10": ("weight_and_balance", "weight_and_balance"),
    "11": ("brief_to_neck", "from_brief_to_neck"), "12": ("client_talk", "your_neck")}


def shown(live):
    """All words of a figure and of its panel, what stands on the scales too."""
    for artist in _worded(live.fig):
        found = _words_of(artist)
        yield from found if isinstance(found, list) else [found]
    for ax in live.fig.axes:
        yield from (label.get_text() for axis in (ax.xaxis, ax.yaxis) for label in axis.get_ticklabels())
    for control in live.controls.values():
        yield f"{control.meaning()}; {getattr(control, '_shown_unit', '')}"
        yield from (words for words, _ in getattr(control, "options", ()))
    yield live.words()


@pytest.mark.parametrize("lesson", FIGURES)
def test_a_lesson_opened_in_inches_shows_no_metric(lesson):
    room, name = FIGURES[lesson]
    chosen.choose(units.INCH)
    live = getattr(import_module(f"tonewood.lesson.{room}"), name)()
    words = list(shown(live))
    assert [said for said in words if METRIC_WORDS.search(said)] == []
    assert live.units.value == units.INCH and (lesson in ("00", "02") or re.search(
        r"\d (in|inches|oz|lb|lbf)\b|\(in\)", " ".join(words)))
    live.close()
