"""Lesson 08: the figure swept by machine, what the text promises at each move, verdicts against the numbers
behind them, questions driven right and wrong."""

import re
import time

import numpy as np
import pytest

from tonewood.draws import band, written
from tonewood.lesson.first_moment import (
    SOURCES,
    answer_dull_note,
    answer_glide,
    answer_nine,
    attack,
    by_route,
    give_compresses,
    glide_by_hand,
    guess_bigger,
    guess_fall,
    guess_give,
    size_table,
    trials_table,
    wood_matters_less,
    wood_sets_attack,
)
from tonewood.lesson.first_moment.figure import controls, sentence
from tonewood.lesson.first_moment.model import build, cannot, defaults, found
from tonewood.lesson.first_moment.pair import FLEXIBLE, NECKS, STIFF, most_different, survey
from tonewood.lesson.first_moment.questions import CHANGES, largest
from tonewood.lesson.first_moment.sounds import power_said
from tonewood.lesson.first_moment.verdicts import CENTIMETRE, ONE_PIECE, PICK, PICKUP, WOOD, sizes, tension
from tonewood.lesson.first_moment.view import ROWS, STEP
from tonewood.lesson.shared.notes_played import DRAWS, note
from tonewood.lesson.shared.shop import NECK_12, changed
from tonewood.neck.design import StringPlan
from tonewood.wood.facts import citation

CONTROLS = ("string", "fret", "pick", "strength", "direction", "pickup", "wood", "stripes", "depth", "age")
NUMBERS = ("level", "at", "level_draws", "fall50", "fall50_draws", "fall200", "fall200_draws", "early_decay",
           "early_draws", "late_decay", "late_draws", "cents", "relieved", "relieved_draws", "threshold")
MOVES = {"string": "frequency", "fret": "frequency", "pick": "at", "strength": "cents", "direction": "at",
         "pickup": "at", "wood": "fall200", "stripes": "fall200", "depth": "relieved", "age": "early_decay"}
LIMBA = {"wood": "limba", "stripes": 1.0}


@pytest.fixture(scope="module")
def live():
    return attack()


def values_to_try(control):
    if hasattr(control, "options"):
        every = [value for _, value in control.options]
        return every if len(every) < 8 else every[::6] + [every[-1]]
    span = np.linspace(control.low, control.high, 5)
    return [float(control.low + round((v - control.low) / control.step) * control.step) for v in span]


# ---- the figure
def test_has_the_controls_of_the_job(live):
    assert tuple(live.controls) == CONTROLS and live.values == defaults()


@pytest.mark.parametrize("name", CONTROLS)
def test_control_swept_from_end_to_end(live, name):
    live.reset()
    control = live.controls[name]
    start_sentence, start_png, staged, pictures = live.sentence, live.png, live.stagings, set()
    for value in values_to_try(control):
        live.set(**{name: value})
        assert live.error is None and live.values[name] == value
        f = found(**live.values)
        for field in NUMBERS:
            assert np.all(np.isfinite(getattr(f, field))), (name, value, field)
        assert len(f.fall200_draws) == len(f.relieved_draws) == DRAWS
        assert f.early_decay > 0 and f.late_decay > 0 and np.all(f.spread[0] <= f.spread[1] + 1e-9)
        if value != control.default:
            assert live.sentence != start_sentence, (name, value)
            pictures.add(live.png)
    assert len(pictures - {start_png}) >= min(2, len(values_to_try(control)) - 1)
    assert live.stagings == staged, "moving a control redrew the backdrop"
    live.set(**{name: control.default})
    assert live.sentence == start_sentence and live.png == start_png


@pytest.mark.parametrize("name, field", MOVES.items())
def test_control_reaches_the_model(name, field):
    other = [v for v in values_to_try(controls()[name]) if v != defaults()[name]][-1]
    assert not np.allclose(getattr(found(), field), getattr(found(**{name: other}), field), rtol=1e-6)


def test_corners_of_all_sliders_work(live):
    for end in ("low", "high"):
        live.set(**{name: getattr(control, end) for name, control in live.controls.items()
                    if control.low is not None})
        assert live.error is None and "nan" not in live.sentence and "inf" not in live.sentence
    live.set(string=6, pick=40.0, strength=3.0)
    assert found(**live.values).cents[0] > ROWS[-1].high
    assert live.art.gauges.numbers[-1].get_text().endswith("▸")     # beyond the scale the number still tells
    live.reset()


def test_marks_and_numbers_are_those_of_average_boards(live):
    live.set(fret=8)
    f = found(**live.values)
    low, middle, high = band(f.fall200_draws)
    assert live.art.gauges.numbers[2].get_text() == f"{f.fall200:.2f} ({low:.2f} to {high:.2f})"
    assert live.art.gauges.marks[2].get_xdata()[0] == pytest.approx(f.fall200)
    assert abs(middle - f.fall200) > 0.5                                # not the middle neck's number
    assert live.art.curves[1].get_ydata()[-1] == pytest.approx(-f.fall200, abs=0.1)
    live.reset()


def test_ghost_keeps_the_earlier_design_and_is_compared_in_words(live):
    live.reset()
    live.hold()
    live.set(pick=40)
    assert len(live.art.ghosts[0].get_xdata()) == len(live.art.curves[0].get_xdata())
    change = written(found(pick=40.0).at[0] - found().at[0], 1, sign=True)
    assert f"Against the ghost: level at 5 ms {change} dB" in live.sentence
    live.set(fret=9)
    assert "Against the ghost (A3, another note)" in live.sentence
    live.release()
    assert len(live.art.ghosts[0].get_xdata()) == 0 and "ghost" not in live.sentence
    live.reset()


def test_sentence_never_shows_minus_zero():
    words = sentence(found(), found(stripes=8.0))
    assert not re.search(r"[-−]0\.0+(?!\d)", words) and "level at 5 ms 0.0 dB" in words


def test_glide_is_called_above_or_below_the_threshold():
    hard = found(string=6, strength=3.0, pick=40.0, fret=12.0)
    assert "above the" in sentence(hard).split("cents high,")[1]
    assert "below the" in sentence(found()).split("cents high,")[1]


def test_one_step_is_quick(live):
    """A step of the stroke's sliders, model and drawing; several tries, since other programs share the
    machine."""
    best = 1.0
    for i in range(8):
        start = time.perf_counter()
        live.set(pick=50.0 + 5 * i)
        best = min(best, time.perf_counter() - start)
    live.reset()
    assert best < 0.15


# ---- other designs
def test_other_strings_and_frets_than_the_controls_know():
    bass = NECK_12.changed(strings=StringPlan(set="bass four", tuning="bass four"), frets=18, joint="bolt-on")
    said = " ".join(cannot(bass))
    assert "4 strings" in said and "ends at fret 17" in said and "bolt-on" in said and cannot(NECK_12) == []
    low = note(bass, 6, 19)
    assert (low.name, low.string, low.fret) == ("A2", 4, 17) and found(bass, string=6, fret=19.0).note == low


def test_a_size_off_the_sliders_stays_until_it_is_moved():
    deep = changed(NECK_12, depth=0.0271)
    assert build(deep, **defaults(deep)) == deep and "27.1 mm" in " ".join(cannot(deep))
    assert build(deep, **{**defaults(deep), "depth": 24.0}).back.depth_nut == pytest.approx(0.018)


# ---- what the text says under "Slide"
def test_moves_1_and_2_limba_leaves_the_level_and_moves_a_mode_by_one_fret():
    before, after = found(), found(**LIMBA)
    low, _, high = band(before.fall200_draws)
    assert abs(after.at[0] - before.at[0]) < 0.05
    assert before.fall200 == pytest.approx(1, abs=0.2) and 4 < after.fall200 < high and high - low > 4
    maple, limba = ([found(**neck, fret=float(fret)).fall200 for fret in range(6, 10)]
                    for neck in ({}, LIMBA))
    assert np.argmax(maple) == 2 and np.argmax(limba) == 1, "the mode of the limba neck lies a fret lower"
    assert maple[2] == pytest.approx(6, abs=0.3) and limba[2] == pytest.approx(1, abs=0.2)


def test_move_3_pick_and_pickup_change_the_level_by_decibels():
    start = found().at[0]
    changes = np.abs([found(**c).at[0] - start for c in ({"pick": 40.0}, {"pick": 180.0}, {"pickup": 45.0})])
    assert 0.7 < changes.min() and 4 < changes.max() < 4.5
    for string in (6, 3, 1):
        near, far, pickup = (abs(found(string=string, fret=12.0, **c).at[0]
                                 - found(string=string, fret=12.0).at[0])
                             for c in ({"pick": 40.0}, {"pick": 180.0}, {"pickup": 45.0}))
        assert 0.25 < far < near < 1.75 and pickup > 3.5


def test_move_4_harder_is_louder_and_sharper_with_the_same_fall():
    soft, hard = found(strength=0.5), found(strength=3.0)
    assert hard.at[0] - soft.at[0] > 10 and hard.cents[0] > 20 * soft.cents[0]
    assert abs(hard.fall200 - soft.fall200) < 0.1


def test_move_5_the_glide_passes_the_threshold_and_the_neck_does_not_matter():
    low, high = (found(string=6, strength=3.0, pick=40.0, fret=12.0, depth=d) for d in (18.0, 26.0))
    assert low.cents[0] > low.threshold and abs(high.cents[0] - low.cents[0]) < 0.5
    start = found(string=6, strength=3.0, pick=40.0, fret=12.0)
    assert f"{start.cents[0]:.0f} against {start.threshold:.0f} cents" == "67 against 44 cents"


def test_move_6_along_the_board_the_string_is_fainter_and_rings_longer():
    straight, between, along = (found(fret=8.0, direction=d) for d in (0.0, 75.0, 90.0))
    assert straight.at[0] - along.at[0] == pytest.approx(20, abs=0.5)
    assert along.early_decay > straight.early_decay
    assert between.late_decay > 1.5 * straight.late_decay                # two stages
    assert between.early_decay < between.late_decay / 3


def test_move_7_old_strings_fall_more_than_the_other_wood():
    start = found(fret=5.0).fall200
    assert found(fret=5.0, age=100.0).fall200 - start > 5 * abs(found(fret=5.0, **LIMBA).fall200 - start)


# ---- by hand
def test_by_hand_agrees_with_the_library():
    hand = glide_by_hand()
    assert hand.cents == pytest.approx(866 * hand.rise / 2 / hand.tension)
    assert hand.cents_by_library == pytest.approx(hand.cents, rel=0.05)
    assert hand.cents_by_library < hand.cents                           # the pick rounds the corner
    assert hand.give_by_library == pytest.approx(hand.give, rel=0.05)
    assert hand.taken_by_library == pytest.approx(hand.taken, rel=0.05)
    assert hand.taken < 0.02 * hand.cents < hand.threshold


# ---- verdicts
def numbers(words):
    return [float(n.replace("−", "-")) for n in re.findall(r"[-−+]?\d+\.?\d*", words)]


def test_two_necks_are_what_they_are_called():
    share = tension().share
    assert np.all(share[FLEXIBLE] > 1.2 * share[STIFF])
    for name, wood in ((STIFF, "wenge"), (FLEXIBLE, "limba")):
        assert NECKS[name] == changed(NECK_12, name=name, main=wood, stripes=1)
        assert [stripe.wood for stripe in NECKS[name].stripes] == [wood]


def test_tension_verdict_follows_the_numbers():
    t, shown = tension(), give_compresses()
    assert shown.verdict.startswith("no.") and shown.sure == "medium"
    for name in NECKS:                                        # a hundredth of the glide, not a tenth
        assert t.share[name].max() < 0.015
    assert t.share[FLEXIBLE].min() > 0.003
    apart = np.abs(t.taken[FLEXIBLE] - t.taken[STIFF])
    assert np.all(apart < t.threshold / 100)
    assert numbers(shown.verdict)[0] == pytest.approx((t.threshold / apart)[np.argmax(apart)], rel=0.05)
    assert f"{t.glide.min():.1f} to {t.glide.max():.1f} cents" in shown.found
    assert f"{apart.max():.2f} cents at most" in shown.found


def test_wood_verdict_follows_the_numbers():
    a, b, shown = survey(STIFF), survey(FLEXIBLE), wood_sets_attack()
    apart = b.fall - a.fall
    assert shown.verdict.startswith("not as a character of the wood")
    assert np.abs(b.level - a.level).max() < 0.1                        # the start
    assert np.median(np.abs(apart)) < STEP / 3                          # the middle note
    assert np.sum(apart > STEP) > 3 and np.sum(apart < -STEP) > 3              # single notes, on either neck
    assert f"on {np.sum(apart > STEP)} of them the limba neck" in shown.found
    assert f"on {np.sum(apart < -STEP)} the wenge neck" in shown.found
    other = np.roll(b.fall_draws, 1, axis=0)
    low, middle, high = band(np.mean(other - a.fall_draws, axis=(1, 2)))
    assert max(-low, high) < STEP and "by less than anybody is known to notice" in shown.verdict
    assert ("may lean either way" in shown.verdict) == (low <= 0 <= high)
    same, across = (100 * np.mean(np.abs(other - s.fall_draws) > STEP) for s in (b, a))
    assert f"{same:.0f} % (limba)" in shown.found and same > 0.5 * across
    worst = most_different()
    assert (f"{worst.name}, string {worst.string}, fret {worst.fret}: {np.abs(apart).max():.1f} dB"
            in shown.found)


def test_sizes_put_stroke_and_pickup_above_the_wood():
    by = {s.change: s for s in sizes()}
    wood, pull = by[WOOD], by["pull from 1 to 3 mm"]
    for change in (PICKUP, PICK, CENTIMETRE):
        assert by[change].balance > 10 * wood.balance and by[change].balance > STEP > wood.balance
    assert pull.level == pytest.approx(20 * np.log10(3), abs=0.01) and pull.balance < 1e-9
    assert by[ONE_PIECE].balance < wood.balance
    larger = [s.larger for s in sizes()]
    assert larger == sorted(larger, reverse=True)
    plain = repr(size_table())
    for s in sizes():
        assert (f"{s.change}: level at 5 ms {s.level:.2f}; balance of harmonics {s.balance:.2f}; "
                f"fall to 200 ms {s.fall:.2f}") in plain
    shown = wood_matters_less()
    assert f"{by[CENTIMETRE].balance / wood.balance:.0f} times" in shown.verdict
    assert "nothing was compared" in shown.verdict and "only abstracts were read" in shown.why
    # by the fall it is the other way round, on the middle note and more so on the few that change most
    near = by[CENTIMETRE]
    assert wood.fall > 3 * near.fall and wood.tenth > 10 * near.tenth and wood.tenth > STEP > near.tenth
    assert wood.tenth > by[PICK].tenth
    assert f"{wood.fall / near.fall:.0f} times the centimetre" in shown.verdict
    assert f"{wood.tenth / near.tenth:.0f} times on the notes" in shown.verdict
    assert f"Largest by the last column: {WOOD}" in plain


def test_routes_are_shown_with_both_sizes():
    words = repr(by_route())
    assert most_different().name in words and "Tension:" in words
    assert "Loss at neck modes" in words and "larger route is loss at neck modes" in words
    assert "stays below" in repr(by_route(4, 0)).split("Tension")[0]


def test_every_source_named_has_a_citation():
    assert all(len(citation(key)) > 30 for key in SOURCES)


# ---- predictions and questions
def test_each_measure_has_one_largest_change_and_they_differ():
    by = {s.change: s for s in sizes()}
    for measure, right in (("balance", CENTIMETRE), ("tenth", WOOD)):
        values = sorted((getattr(by[change], measure) for change in CHANGES.values()), reverse=True)
        assert values[0] > 3 * values[1] and CHANGES[largest(measure)] == right
    for guess, words in ((guess_bigger(), "balance"), (guess_fall(), "fall from 5 to 200 ms")):
        assert words in guess.question


def test_power_of_the_blind_test_is_told():
    """By hand: the binomial sum of 12 trials from 10 on."""
    from math import comb
    misses = 1 - sum(comb(12, k) * 0.75**k * 0.25**(12 - k) for k in (10, 11, 12))
    lucky = 2**12 / sum(comb(12, k) for k in (10, 11, 12))
    words = power_said(12)
    assert f"one guesser in {lucky:.0f} reaches" in words and f"fails in {100 * misses:.0f} of 100" in words
    assert (round(lucky), round(100 * misses)) == (52, 61)
    rows = repr(trials_table())
    assert "12: right needed 10" in rows and "23: right needed 16" in rows
    assert "23 trials are the fewest" in rows


@pytest.mark.parametrize("make", [guess_give, guess_bigger, guess_fall])
def test_predictions_tell_the_outcome(make):
    for label in make().labels:
        guess = make()
        guess.answer = label
        guess.commit()
        assert guess.committed and label in guess.reply and len(numbers(guess.reply)) >= 3


@pytest.mark.parametrize("make, right", [(answer_nine, "nothing yet, either way"),
                                         (answer_dull_note, "a neck 2 mm deeper")])
def test_choices_judge_each_answer(make, right):
    question = make()
    assert question.right == right
    assert question.check() is None                                     # nothing marked yet
    for label, reason in question.answers.items():
        question.answer = label
        assert question.check() == (label == right) and reason in question.reply
    assert question.solved


def test_number_question_judges_right_slip_and_nonsense():
    question = answer_glide()
    once = float(re.search(r"starts (\d+\.\d) cents", question.question)[1])
    assert question.right == pytest.approx(4 * once, rel=0.03)
    for answer, right, words in ((f"{question.right:.1f}", True, "is within"), ("400", False, "too high"),
                                 (f"{2 * once:.1f}", False, "not grow in proportion"),
                                 (f"{8 * once:.1f}", False, "not the cube"), ("much", None, "accepted")):
        question.answer = answer
        assert question.check() is right and words in question.reply, answer
