"""The billets without a label: made as the files say, read back as they were, and questions about them."""

import re

import numpy as np
import pytest
import soundfile

from tonewood.bench import measure
from tonewood.lesson.measure_a_board import questions, rack
from tonewood.tables import data_folder, read_table
from tonewood.wood.facts import rule
from tonewood.wood.species import all_species, species


@pytest.mark.parametrize("name", rack.MADE)
def test_the_files_are_as_they_were_made(name):
    row, taps = rack.make(name)
    stored = next(r for r in read_table("billets.csv") if r["billet"] == name)
    assert {k: stored[k] for k in row} == row and "made" in stored["note"]
    samples, rate = soundfile.read(data_folder() / row["recording"])
    assert rate == taps.rate and np.abs(samples - taps.samples).max() < 1e-4


@pytest.mark.parametrize("name", rack.MADE)
def test_a_billet_reads_back_as_the_board_it_is(name):
    b, board = rack.billet(name), rack.drawn_board(name)
    assert b.taps.usable and b.density == pytest.approx(board.rho, rel=0.001)
    assert b.modulus == pytest.approx(board.E_x, rel=0.02)                 # E/G of its wood is not known
    assert b.taps.loss == pytest.approx(float(board.eta), rel=0.02)
    assert b.tapped / b.modulus == pytest.approx(rule("tap_over_bend").value)
    assert b.wood().modulus == pytest.approx(measure.modulus_at_12(
        b.modulus, b.moisture, rule("hardwood_green_ratio").value))
    shown = rack.on_the_slip(name)
    assert f"weight (g) {1e3 * b.mass:.0f}" in shown.plain and "Made data" in shown.plain
    assert "<audio" in shown.html and "alt='The end of billet" in shown.html


@pytest.mark.parametrize("name", rack.MADE)
def test_tone_excludes_more_woods_than_weight_alone(name):
    weight, both = ({f.species.key for f in rack.billet_fits(tapped, name) if f.fits}
                    for tapped in (False, True))
    hidden = species(rack.MADE[name][0]).key
    assert hidden in both and hidden in weight and len(both) < len(weight) < len(all_species()) / 2
    shown = rack.the_label(name)
    assert f"weight alone {len(weight)} woods" in shown.plain
    assert f"weight and tone {len(both)}" in shown.plain
    assert int(shown.plain.split("at place ")[1].split()[0]) > 1        # the best fit is not the right name
    assert "<details>" in shown.html and "as for all wood dust" not in shown.html


def test_woods_without_cautions_and_listed_woods_are_called_so_on_the_label():
    shown = rack.the_label().html
    assert "none on file here; treat as hazardous" in shown and "CITES Appendix I" in shown
    count = int(re.search(r"(\d+) of those that fit stand on a trade list", rack.the_label().plain)[1])
    assert count == sum(any("CITES Appendix" in c.statement for c in f.species.cautions)
                        for f in rack.billet_fits() if f.fits) > 0
    with pytest.raises(ValueError, match="rack 9, rack 14"):
        rack.billet("rack 10")


@pytest.mark.parametrize(("make", "right"), [(questions.guess_tap, "about a fifth"),
                                             (questions.guess_neck, "about three quarters")])
def test_predictions_tell_the_computed_outcome(make, right):
    said = set()
    for label in make().labels:
        guess = make()
        guess.answer = label
        guess.commit()
        said.add(guess.outcome(label))
    assert len(said) == 1
    number = float(re.search(r"(\d+) %", said.pop())[1])
    nearest = {"about a fifth": 20, "about half": 50, "about four fifths": 80, "about a tenth": 10,
               "about a third": 33, "about three quarters": 75}
    assert min(make().labels, key=lambda label: abs(nearest[label] - number)) == right


def test_excluded_wood_is_the_only_one_that_does_not_fit():
    question = questions.answer_exclude()
    fits = {f.species.name: f.fits for f in rack.billet_fits()}
    assert [label for label in question.answers if not fits[label]] == [question.right]


@pytest.mark.parametrize("make", [questions.answer_density, questions.answer_stiffness])
def test_numbers_right_wrong_and_slips(make):
    question = make()
    question.answer = f"{question.right:.2f}"
    assert question.check() is True
    for value, reason in question.slips:
        question.answer = repr(float(value))
        assert question.check() is False and reason in question.reply
    question.answer = "twelve"
    assert question.check() is None


def test_stiffness_of_the_billet_by_the_hint():
    """The hint's own formula, with its rounded constants, lands within the tolerance."""
    b, question = rack.billet(), questions.answer_stiffness()
    length, width, thickness = b.sizes.values()
    slender = 0.9465 * b.mass * b.tone**2 / width * (length / thickness) ** 3
    value = slender * (1 + (thickness / length) ** 2 * (4.12 + 1.23 * 13.6)) / 1e9
    assert value == pytest.approx(question.right, abs=0.1)
    assert 13.6 == rule("modulus_over_shear").value
