"""Lesson 00: its slider counts its own dots, its questions are driven right and wrong."""

import re
from pathlib import Path

import pytest

from tonewood.lesson.shared import claims, measured
from tonewood.lesson.start_here import by_hand, questions
from tonewood.lesson.start_here.figure import first_slider


@pytest.mark.parametrize("make, right",
                         [(questions.read_a_band, "it happens, to fewer than one board in 20"),
                                         (questions.which_number, "its loss factor")])
def test_choice_right_and_wrong(make, right):
    question = make()
    assert question.right == right
    for answer in question.answers:
        question.answer = answer
        assert question.check() is (answer == right)
        assert question.answers[answer] in question.reply
        assert ("Hint" in question.reply) is (answer != right)
    assert question.solved


def test_prediction_waits_for_an_answer_then_tells_the_computed_band():
    guess = questions.guess_band()
    guess.commit()
    assert not guess.committed
    guess.answer = guess.labels[0]
    guess.commit()
    low, high, ratio = map(float, re.search(r"between ([\d.]+) and ([\d.]+) GPa, a ratio of (\d+\.\d+)",
                                            guess.reply).groups())
    assert guess.committed and ratio == pytest.approx(high / low, abs=0.02) and 1.4 < ratio < 1.8


def test_first_slider_counts_its_own_dots():
    live = first_slider()

    def ends():
        return map(float, re.search(r"from ([\d.]+) to ([\d.]+) GPa", live.sentence).groups())

    for boards in (1, 20, 200):
        live.set(boards=boards)
        inside, shown = map(int, re.search(r"(\d+) of these (\d+) dots", live.sentence).groups())
        low, high = ends()
        x = live.art.dots.get_xdata()
        assert shown == boards == len(x) and inside == pytest.approx(((x >= low) & (x <= high)).sum(), abs=2)
    wide = high - low
    live.set(measured=True)
    low, high = ends()
    assert high - low < wide / 3


def test_numbers_are_counted_by_what_they_rest_on():
    woods, total, *counts = map(int, re.findall(r"\d+", repr(by_hand.count_standing())))
    assert woods > 50 and total == sum(counts)


def test_the_readme_tells_today_s_counts():
    readme = " ".join((Path(__file__).parents[3] / "README.md").read_text(encoding="utf-8").split())
    woods, total, *counts = map(int, re.findall(r"\d+", repr(by_hand.count_standing())))
    published, estimated, memory = (f"{100 * count / total:.0f} %" for count in counts)
    for words in (f"Of the {total} numbers in use for the {woods} woods, {published} are published, "
                  f"{estimated} estimated and {memory} from memory",
                  f"register of the {len(claims.claims())} claims",
                  "({} of {} inside".format(*re.findall(r"\d+", measured.tally())[1:3])):
        assert words in readme, words
