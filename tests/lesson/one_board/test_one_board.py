"""Lesson 02: the board figure swept by machine, its numbers against the library, questions driven right and wrong, verdicts against their numbers."""

import re

import numpy as np
import pytest

from tonewood.bench import measure
from tonewood.bench.boards import board_tests
from tonewood.bench.knowledge import learn
from tonewood.lesson.one_board import figure as lesson
from tonewood.lesson.one_board import by_hand as board_bench
from tonewood.lesson.one_board import questions as board_questions
from tonewood.lesson.one_board import verdicts as board_verdicts
from tonewood.panel.gauges import band
from tonewood.panel.questions import Record
from tonewood.wood.board import Board
from tonewood.wood.facts import rule
from tonewood.wood.moisture import equilibrium_moisture
from tonewood.wood.species import all_species, species

CONTROLS = ("wood", "ring_angle", "run_out", "humidity", "weighed", "density", "bent", "modulus")
ON = {"density": {"weighed": True}, "modulus": {"bent": True}}


@pytest.fixture(scope="module")
def live():
    return lesson.one_board()


def values_to_try(control):
    if hasattr(control, "options"):
        return [value for _, value in control.options]
    if control.low is None:
        return [True, False]
    return [float(control.low + round(v / control.step) * control.step) for v in np.linspace(0, control.high - control.low, 5)]


def width(gauges, row):
    xs = gauges.bands[row].get_paths()[0].vertices[:, 0]
    return np.ptp(xs)


def test_has_the_controls_of_the_job(live):
    assert tuple(live.controls) == CONTROLS and live.values == lesson.start()


@pytest.mark.parametrize("name", CONTROLS)
def test_control_swept_from_end_to_end(live, name):
    live.reset()
    live.set(**ON.get(name, {}))
    before, start_png, staged, pictures = live.sentence, live.png, live.stagings, set()
    control = live.controls[name]
    for value in values_to_try(control):
        live.set(**{name: value})
        assert live.error is None and live.values[name] == value
        board, drawn = lesson.learned(**live.values)
        for draws in lesson.rows_of(drawn, live.values["humidity"]):
            assert np.all(np.isfinite(draws)) and np.all(np.asarray(draws) > 0)
        if value != control.default:
            assert live.sentence != before, (name, value)
            pictures.add(live.png)
    assert len(pictures - {start_png}) >= min(2, len(values_to_try(control)) - 1)
    assert live.stagings == staged, "moving a control redrew the backdrop"
    live.set(**{name: control.default})
    assert live.sentence == before and live.png == start_png


def test_every_wood_with_every_reading_at_its_ends(live):
    live.reset()
    live.set(weighed=True, bent=True)
    for wood in all_species():
        for density, modulus in ((250.0, 4.0), (1250.0, 32.0)):
            live.set(wood=wood.key, density=density, modulus=modulus)
            assert live.error is None
    assert "check the readings, or the name" in live.sentence


def test_a_slider_whose_switch_is_off_changes_nothing(live):
    live.reset()
    before = live.png, live.sentence
    live.set(density=500.0, modulus=10.0)
    assert (live.png, live.sentence) == before


def test_measuring_narrows_what_it_says_it_narrows(live):
    live.reset()
    g = live.art.gauges
    free = [width(g, i) for i in range(6)]
    live.set(weighed=True)
    weighed = [width(g, i) for i in range(6)]
    live.set(weighed=False, bent=True)
    bent = [width(g, i) for i in range(6)]
    assert weighed[1] < 0.2 * free[1] and weighed[0] < 0.95 * free[0]
    assert bent[0] < 0.3 * free[0] and bent[1] < 0.95 * free[1]
    for other in (weighed, bent):
        assert other[2:5] == free[2:5]                          # moisture and movement: no narrower
    assert weighed[5] == pytest.approx(free[5], rel=1e-9)       # damping neither


def test_ghost_outline_is_what_the_tables_alone_give(live):
    live.reset()
    live.set(weighed=True, bent=True, density=950.0, modulus=16.0)
    board = lesson.plain_board(**live.values)
    low, _, high = band(1e-9 * learn(board, draws=lesson.DRAWS, seed=lesson.SEED).E_x)
    ghost = live.art.gauges.ghosts[0].get_paths()[0].vertices[:, 0]
    assert (ghost.min(), ghost.max()) == pytest.approx((low, high))


def test_sentence_says_the_librarys_numbers(live):
    live.reset()
    low, middle, high = band(1e-9 * lesson.learned(**live.values)[1].E_x)
    assert f"stiffness {middle:.1f} GPa (90 of 100 such boards: {low:.1f} to {high:.1f})" in live.sentence
    assert f"moisture {100 * equilibrium_moisture(20.0, 0.45):.1f} %" in live.sentence
    live.reset()
    for wood in ("wenge", "hard maple"):
        live.set(wood=species(wood).key)
        assert ("measured, published;" in live.sentence) == (species(wood).loss.status == "published"), wood
    live.reset()


def test_run_out_is_felt_by_a_bend(live):
    live.reset()
    live.set(bent=True, modulus=15.0)
    before = live.art.gauges.numbers[0].get_text()
    live.set(run_out=10.0)
    middle = [float(re.match(r"[\d.]+", text)[0]) for text in (before, live.art.gauges.numbers[0].get_text())]
    assert middle[0] == pytest.approx(middle[1], abs=0.2)
    live.set(bent=False)
    low = float(re.match(r"[\d.]+", live.art.gauges.numbers[0].get_text())[0])
    live.set(run_out=0.0)
    assert low < 0.85 * float(re.match(r"[\d.]+", live.art.gauges.numbers[0].get_text())[0])


def test_circles_are_the_printed_sources():
    board = Board(species("African padauk"), moisture=0.12)
    E, rho = lesson.printed(board)
    assert len(E) == 5 and E.max() / E.min() == pytest.approx(15.87 / 10.76, rel=1e-6)
    assert E[0] == pytest.approx(1.10 * 11.41, rel=1e-6) and rho[0] == pytest.approx(745)
    osage = lesson.printed(Board(species("Osage-orange"), moisture=0.12))[0]
    assert len(osage) == 0                                      # nothing printed: no circle, only the estimate


def test_views_follow_the_grain(live):
    live.reset()
    live.set(ring_angle=0, run_out=10)
    rings = live.art.view.lines["end"].get_segments()
    grain = live.art.view.lines["side"].get_segments()
    assert all(abs(a[1] - b[1]) < 1e-9 for a, b in rings)
    for a, b in grain:
        assert np.degrees(np.arctan2(*(np.subtract(b, a)[::-1]))) % 180 == pytest.approx(10)


def test_slide_text_about_woods_holds():
    counts = {name: lesson.printed(Board(species(name)))[0] for name in ("wenge", "African padauk", "purpleheart", "hard maple")}
    assert max(len(v) for v in counts.values()) == 5 and len(counts["hard maple"]) == 1
    assert 1.4 < max(v.max() / v.min() for v in counts.values()) < 1.6
    assert 100 * equilibrium_moisture(20.0, 0.20) == pytest.approx(4.5, abs=0.1) and 100 * equilibrium_moisture(20.0, 0.80) == pytest.approx(16, abs=0.1)


# ---- worked numbers

def test_bend_by_hand_is_the_formula():
    b = board_bench.bend_by_hand()
    assert b.apparent == pytest.approx(b.load * b.span**3 / (4 * b.width * b.thickness**3 * b.deflection))
    assert b.apparent < b.modulus < 1.05 * b.apparent
    assert 100 * b.moisture == pytest.approx(8.5, abs=0.05)      # as the page says
    assert b.at_12 < b.modulus and abs(b.at_12 / b.table - 1) < 2 * species("hard maple").cov_modulus


def test_error_table_adds_up():
    table = board_bench.where_the_error_comes_from()
    parts = table["leaves in the stiffness (%)"].astype(float)
    assert parts.iloc[-1] == pytest.approx(np.sqrt((parts.iloc[:-1] ** 2).sum()), abs=0.02)
    assert table.index[0] == "thickness" and parts.iloc[-1] == pytest.approx(100 * board_bench.bend_by_hand().error, abs=0.01)


def test_printed_values_show_who_disagrees():
    table = board_bench.printed_values("wenge", "African padauk")
    assert {"value", "status", "source key", "place"} <= set(table.columns)
    assert len(table.loc[("wenge", "bending modulus")]) == 3 and (table["status"] == "published").all()
    with pytest.raises(ValueError, match="wengee"):
        board_bench.printed_values("wengee")


def test_billet_is_consistent():
    b = board_bench.billet()
    assert b.density == pytest.approx(b.mass / (b.length * b.width * b.thickness))
    # The hidden board's own stiffness comes back through the tap, within rounding of scale and tuner and the unknown E/G.
    drawn = board_bench.draw_boards([Board(species(board_bench.HIDDEN), np.pi / 2, moisture=b.moisture)], 1, 12)[0]
    assert b.modulus == pytest.approx(float(drawn.E_x[0]), rel=0.02)
    assert b.tapped / b.modulus == pytest.approx(rule("tap_over_bend").value)
    assert b.table().shape == (1, 5)


def test_tone_excludes_more_woods_than_weight_alone():
    weight, both = ({f.species.key for f in board_bench.billet_fits(k) if f.fits} for k in ("weight", None))
    hidden = species(board_bench.HIDDEN).key
    assert hidden in both and hidden in weight and len(both) < len(weight) < len(all_species()) / 2
    shown = repr(board_bench.the_label())
    assert f"weight alone {len(weight)} woods" in shown and f"weight and tone {len(both)}" in shown
    assert list(board_bench.woods_that_fit().index).index(species(hidden).name) > 0      # the best fit is not the right name
    assert "<details>" in board_bench.the_label().html


# ---- predictions and questions

@pytest.mark.parametrize(("make", "right"), [(board_questions.guess_weigh, "about four fifths"), (board_questions.guess_bend, "about a fifth"), (board_questions.guess_books, "30 %")])
def test_predictions_tell_the_computed_outcome(make, right):
    said = set()
    for label in make().labels:
        guess = make()
        guess._keep = Record()
        guess.answer = label
        guess.commit()
        said.add(guess.outcome(label))
        assert guess.committed and "Computed" in guess.reply
    assert len(said) == 1
    number = float(re.search(r"(\d+) %", said.pop())[1])
    nearest = {"about four fifths": 80, "about half": 50, "about a tenth": 10, "about a fifth": 20, "nearly all of it": 95, "2 %": 2, "10 %": 10, "30 %": 30}
    assert min(make().labels, key=lambda label: abs(nearest[label] - number)) == right


@pytest.mark.parametrize("make", [board_questions.answer_exclude, board_questions.answer_error])
def test_choices_right_and_wrong(make):
    for label in make().answers:
        question = make()
        question.answer = label
        assert question.check() is (label == question.right)
        assert question.answers[label] in question.reply
    question = make()
    assert question.check() is None and "No answer" in question.reply


def test_excluded_wood_is_the_only_one_that_does_not_fit():
    question = board_questions.answer_exclude()
    fits = {f.species.name: f.fits for f in board_bench.billet_fits()}
    assert [label for label in question.answers if not fits[label]] == [question.right]


@pytest.mark.parametrize("make", [board_questions.answer_density, board_questions.answer_stiffness])
def test_numbers_right_wrong_and_slips(make):
    question = make()
    question.answer = f"{question.right:.2f}"
    assert question.check() is True
    for value, reason in question.slips:
        question.answer = repr(float(value))
        assert question.check() is False and reason in question.reply
    question.answer = "twelve"
    assert question.check() is None
    question.answer = f"{10 * question.right}"
    assert question.check() is False and "too high" in question.reply


def test_stiffness_of_the_billet_by_the_hint():
    """The hint's own formula, with its rounded constants, lands within the tolerance."""
    b, question = board_bench.billet(), board_questions.answer_stiffness()
    value = 0.9465 * b.mass * b.tone**2 / b.width * (b.length / b.thickness) ** 3 * (1 + (b.thickness / b.length) ** 2 * (4.12 + 1.23 * 13.6)) / 1e9
    assert value == pytest.approx(question.right, abs=0.1)
    assert 13.6 == rule("modulus_over_shear").value


# ---- verdicts

def numbers(pattern, text):
    return [float(v) for v in re.search(pattern, text).groups()]


def test_heavier_is_stiffer_verdict():
    v = board_verdicts.heavier_is_stiffer()
    (often,), (left,) = numbers(r"in (\d+) of 100", v.found), numbers(r"leaves (\d+) %", v.found)
    rng = np.random.default_rng(3)
    r = rule("correlation_density_modulus").value
    a, b = rng.standard_normal((2, 100000)), rng.standard_normal((2, 100000))
    rho, E = a, r * a + np.sqrt(1 - r**2) * b
    assert often == pytest.approx(100 * np.mean((rho[0] > rho[1]) == (E[0] > E[1])), abs=1)      # independently: two boards drawn at random
    assert 50 < often < 85 and left > 70 and v.verdict.startswith("often, not always")


def test_wood_tells_stiffness_verdict():
    v = board_verdicts.wood_tells_stiffness()
    (mean,), (often,), (inside, between) = numbers(r"average (\d+) %", v.found), numbers(r"in (\d+) of 100", v.found), numbers(r"by (\d+) %.*by (\d+) %", v.found)
    assert mean > 0 and 55 < often < 80 and inside > mean and between > inside
    assert v.verdict.startswith("on average yes")


def test_tap_instead_of_bend_verdict():
    v = board_verdicts.tap_instead_of_bend()
    tests = board_tests()
    r = [np.corrcoef(tests[q], tests[s])[0, 1] for q in ("shock_wave", "vibration") for s in ("static_a", "static_b")]
    low, high = numbers(r"correlate by (0\.\d+) to (0\.\d+)", v.found)
    assert (low, high) == (round(min(r), 2), round(max(r), 2)) and low > 0.75
    scatter, left = numbers(r"scatter by (\d+) to", v.found)[0], numbers(r"leaves (\d+) to (\d+)", v.found)
    assert left[1] < scatter
    assert numbers(r"read (\d+) to (\d+) % lower", v.found)[1] > 15 and "differ in level" in v.verdict


def test_table_is_enough_verdict():
    v = board_verdicts.table_is_enough()
    low, high, apart = numbers(r"from ([\d.]+) to ([\d.]+) GPa, (\d+) %", v.found)
    assert apart == pytest.approx(100 * (high / low - 1), abs=1)
    before, after = (numbers(pattern, v.found)[0] for pattern in (r"tables leave ± (\d+)", r"bend leaves ± (\d+)"))
    assert after < before / 3 and v.verdict.startswith("no")


def test_tap_and_bend_agree_with_each_other_through_the_library():
    b = board_bench.billet()
    d = 100 * 0.5**3 / (48 * b.modulus * b.width * b.thickness**3 / 12)
    assert measure.bend_modulus(100, d, 0.5, b.width, b.thickness, ratio=0) == pytest.approx(b.modulus)
