"""What is announced after a step of a control: the difference only, short."""

import doctest
import re

from tonewood.panel import spoken
from tonewood.panel.controls import slider
from tonewood.panel.live_figure import LiveFigure
from tonewood.panel.spoken import WORDS, difference

BEFORE = ("7 stripes (hard maple, wenge), fretboard of Indian rosewood: stiffness 101 % of the reference "
          "(85 to 118 %), relief 0.31 mm (0.25 to 0.38). From 45 % humidity in the shop to 30 % at home: "
          "relief 0.00 mm.")


def test_the_example_holds():
    assert doctest.testmod(spoken) == (0, 2)


def test_only_what_changed_is_said_and_numbers_are_not_cut_at_their_point():
    after = BEFORE.replace("0.31 mm (0.25 to 0.38)", "0.28 mm (0.22 to 0.35)")
    after = after.replace("relief 0.00", "relief −0.01")
    assert difference(BEFORE, after) == "Relief 0.28 mm, relief −0.01 mm."


def test_a_band_alone_is_said_with_what_it_belongs_to():
    assert difference(BEFORE, BEFORE.replace("85 to 118", "80 to 120")) == (
        "Stiffness 101 % of the reference (80 to 120 %).")


def test_a_sentence_of_a_hundred_new_words_is_said_in_a_few():
    after = re.sub(r"\d", "9", "; ".join(f"fret {n} is {n} mm high" for n in range(30))) + "."
    said = difference("Nothing set.", after)
    assert len(said.split()) <= WORDS + 3 and re.search(r", and \d+ more\.$", said)


def test_a_figure_announces_the_change_and_keeps_its_sentence():
    live = LiveFigure(lambda fig: fig.subplots().plot([0, 1]),
                      lambda art, n: f"Two boards, {n:g} mm thick, {2 * n:g} g.",
                      {"n": slider("N", 1, 0, 2, 1)}, inches=(2, 1), alt="A line")
    assert live.change_said.value == "" and "tonewood-whole" in live.caption._dom_classes
    live.set(n=2)
    assert "2 mm thick, 4 g." in live.change_said.value and "Two boards" not in live.change_said.value
    assert "Two boards, 2 mm thick, 4 g." in live.caption.value
    assert "tonewood-whole" not in live.change_said._dom_classes       # so the script makes it a live region
