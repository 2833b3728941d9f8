"""Lesson 04: the figure swept by machine, tables and verdicts against their numbers, questions answered."""

import re
from dataclasses import replace

import numpy as np
import pytest

from tonewood.lesson.laying_up import by_hand, model, questions, verdicts
from tonewood.lesson.laying_up.figure import LESSON_NECK, ROWS, layup
from tonewood.lesson.laying_up.model import (
    FEW,
    TURNED,
    build,
    cannot,
    defaults,
    equal_stripes,
    evaluated,
    turns,
    with_turns,
)
from tonewood.lesson.shared.measured import sample_scatter
from tonewood.lesson.shared.shop import NECK_12
from tonewood.neck.layup.stripe_order import ARRANGEMENTS
from tonewood.wood.facts import rule

CONTROLS = ("stripes", "main", "accent", "centre", "ring_angle", "run_out", "slope", "origin", "supply",
            "part", "arrangement")
FIELDS = ("stiffness", "stripes_stiffness", "twisting_stiffness", "twist", "side_bow", "relief_change",
          "load_twist")
SLANTING = dict(run_out=3.0, slope=2.0, arrangement="every second about z")


@pytest.fixture(scope="module")
def live():
    return layup()


def values_to_try(control):
    if hasattr(control, "options"):
        keys = [value for _, value in control.options]
        return keys if len(keys) < 8 else keys[::7]
    span = np.linspace(control.low, control.high, 5)
    return [float(control.low + round((v - control.low) / control.step) * control.step) for v in span]


def numbers(text):
    return [float(n) for n in re.findall(r"[-+]?\d+\.?\d*", text.replace("−", "-"))]


def test_has_the_controls_of_the_job(live):
    assert tuple(live.controls) == CONTROLS


@pytest.mark.parametrize("start", [{}, SLANTING], ids=["straight grain", "slanting grain"])
@pytest.mark.parametrize("name", CONTROLS)
def test_control_swept_from_end_to_end(live, name, start):
    live.reset()
    live.set(**start)
    control, at_start = live.controls[name], live.values[name]
    start_sentence, start_png = live.sentence, live.png
    staged, pictures = live.stagings, set()
    for value in values_to_try(control):
        live.set(**{name: value})
        assert live.error is None and live.values[name] == value
        found = evaluated(FEW, **live.values)
        for field in FIELDS:
            assert np.all(np.isfinite(getattr(found, field))), (name, value, field)
        assert np.all(found.stiffness > found.stripes_stiffness) and np.all(found.stripes_stiffness > 0)
        assert np.all(found.twisting_stiffness > 0)
        assert len(live.art.view.cells.get_paths()) == 2 * live.values["stripes"]
        if value != at_start:
            assert live.sentence != start_sentence, (name, value)
            pictures.add(live.png)
    assert len(pictures - {start_png}) >= min(2, len(values_to_try(control)) - 1)
    assert live.stagings == staged, "moving a control redrew the backdrop"
    live.set(**{name: at_start})
    assert live.sentence == start_sentence and live.png == start_png


def test_corners_of_the_sliders_stay_inside_the_scales_or_say_so(live):
    live.reset()
    for count in (1, 2, 11):
        for arrangement in ARRANGEMENTS:
            live.set(stripes=count, main="mockernut_hickory", ring_angle=45, run_out=5, slope=5,
                     arrangement=arrangement)
            assert live.error is None
            for row, text in zip(ROWS, live.art.gauges.numbers, strict=True):
                middle = numbers(text.get_text())[0]
                assert row.low <= middle <= row.high or "▸" in text.get_text() or "◂" in text.get_text()


@pytest.mark.parametrize("name, value, start, field", [
    ("stripes", 1, {}, "stripes_stiffness"), ("main", "limba", {}, "stiffness"),
    ("accent", "limba", {}, "stiffness"),
    ("centre", "limba", {}, "twisting_stiffness"), ("ring_angle", 0.0, {}, "twisting_stiffness"),
    ("run_out", 4.0, {"arrangement": "every second about z"}, "twist"), ("slope", 4.0, {}, "load_twist"),
    ("origin", "same board", {}, "side_bow"), ("supply", "bought anywhere", {}, "stiffness"),
    ("part", "near the pith", {}, "relief_change"),
    ("arrangement", "mirrored pairs", {"slope": 3.0}, "twist")])
def test_control_reaches_the_model(name, value, start, field):
    before, after = (getattr(evaluated(FEW, **{**start, **more}), field) for more in ({}, {name: value}))
    assert not np.allclose(before, after, rtol=1e-6)


def test_arrows_tell_the_turn(live):
    live.reset()
    live.set(stripes=2, run_out=3, slope=2, arrangement="every second about z")
    shafts = [np.subtract(*segment[::-1]) for segment in live.art.view.arrows.get_segments()[::3]]
    side_1, above_1, side_2, above_2 = shafts
    # the second lies the other way
    assert side_1[0] > 0 and above_1[0] > 0 and side_2[0] < 0 and above_2[0] < 0
    tilt = [np.degrees(np.arctan(s[1] / s[0])) for s in shafts]
    # run-out opposed, four times 3 degrees
    assert tilt[0] == pytest.approx(12, abs=0.1) and tilt[2] == pytest.approx(-12, abs=0.1)
    assert tilt[1] == pytest.approx(tilt[3], abs=1e-6) and tilt[1] == pytest.approx(8, abs=0.1)
    frames = live.art.view.cells.get_linewidths()
    assert list(frames[:2]) == [min(frames)] * 2 and list(frames[2:]) == [max(frames)] * 2
    assert max(frames) > 2 * min(frames)


def test_arrows_stay_in_their_cells(live):
    live.reset()
    for count in (1, 6, 11):
        live.set(stripes=count, run_out=5, slope=5, arrangement="mirrored pairs")
        cells = [path.get_extents() for path in live.art.view.cells.get_paths()]
        for k, segment in enumerate(live.art.view.arrows.get_segments()):
            box = cells[k // 3]
            assert box.x0 <= min(p[0] for p in segment) and max(p[0] for p in segment) <= box.x1
            assert box.y0 <= min(p[1] for p in segment) and max(p[1] for p in segment) <= box.y1


def test_end_view_shows_the_mirrored_rings(live):
    live.reset()
    live.set(stripes=2, ring_angle=60, arrangement="mirrored pairs")
    lean = {np.sign(p[0] + q[0]): np.sign((q[1] - p[1]) / (q[0] - p[0]))
            for p, q in live.art.view.end.rings.get_segments() if p[1] < -0.1 and q[1] < -0.1}
    assert lean[1.0] == -lean[-1.0]


def test_ghost_keeps_the_earlier_lay_up(live):
    live.reset()
    live.hold()
    live.set(stripes=1)
    gauges = live.art.gauges
    ghost, now = (which[0].get_paths()[0].vertices for which in (gauges.ghosts, gauges.bands))
    assert np.ptp(now[:, 0]) > 1.5 * np.ptp(ghost[:, 0]) > 0
    live.reset()
    assert live.held is None and live.values == defaults()


def test_sentence_gives_every_number_and_no_minus_zero(live):
    live.reset()
    assert live.sentence.startswith(
        "7 stripes (hard maple, wenge, black walnut), all as sawn, stripes from different trees")
    assert live.sentence.count("(") == len(ROWS) + 2
    assert "−0.00 " not in live.sentence and "(−0.000 " not in live.sentence
    live.set(stripes=1)
    assert live.sentence.startswith(
        "One piece (hard maple); boards of one delivery, wood sound, away from the pith; rings 90°")
    live.set(stripes=4, arrangement="mirrored pairs", origin="same tree")
    assert "mirrored pairs, each pair from one board, pairs from the same tree" in live.sentence


def test_no_lay_up_without_wood():
    with pytest.raises(ValueError, match="number of stripes"):
        build(stripes=60)


def test_words_for_every_arrangement():
    assert list(TURNED) == list(ARRANGEMENTS)


def rows_of(shown):
    """{name of the row: its cells without their heads} of a table as plain words."""
    lines = [line.split(": ", 1) for line in shown.plain.splitlines()[:-1]]
    return {name: cells.split("; ") for name, cells in lines}


def test_table_of_turns_says_which_cancel():
    found = by_hand.turns_table()
    rows = [[cell.split()[-1] for cell in cells] for cells in rows_of(found).values()]
    assert list(rows_of(found)) == list(TURNED.values()) and "<table>" in found.html
    run_out, slope, pulled, side, _ = range(5)
    sawn, about_x, about_y, about_z, mirror = rows
    assert [sawn[run_out], about_y[run_out], mirror[run_out]] == ["none"] * 3
    assert about_x[run_out] == about_z[run_out] != "none" and sawn[slope] == about_z[slope] != "none"
    for column in (slope, pulled):
        assert [about_x[column], about_y[column], mirror[column]] == ["none"] * 3
    assert numbers(sawn[pulled])[0] != 0
    assert numbers(mirror[side])[0] < numbers(sawn[side])[0]          # pairs from one board


def test_table_of_one_piece_against_seven():
    rows = rows_of(by_hand.one_against_seven())
    bands = [[re.search(r"\(−?[\d.]+ to −?[\d.]+\)", cell)[0] for cell in cells] for cells in rows.values()]
    width = [[np.ptp(numbers(band)) for band in row] for row in bands]
    assert len(rows) == 6 and all(len(row) == 3 for row in width)
    assert width[0][1] < 0.6 * width[0][0]                          # stripes alone
    assert width[1][1] < width[1][0] and width[3][1] < width[3][0]
    assert 0 < width[4][2] < width[4][0] < width[4][1]   # side bow: pairs, one uneven board, seven trees


def test_square_root_rule_by_hand_agrees_with_the_draws():
    for stripes, near in ((1, 0.02), (3, 0.05), (7, 0.10)):
        hand = by_hand.scatter_by_hand(stripes)
        assert hand.by_widths == pytest.approx(hand.stripes_alone, rel=near)
        assert hand.by_rule <= hand.by_widths + 1e-12 and hand.effective <= stripes + 1e-9
    seven = by_hand.scatter_by_hand(7)
    assert seven.stripes_alone < seven.whole       # the fretboard's own scatter
    assert by_hand.scatter_by_hand(1).board == rule("hardwood_cov_modulus").value


def test_width_share_rule_by_hand_agrees_with_the_library():
    found = by_hand.accent_by_hand()
    assert found.accents == pytest.approx(4.0)
    assert found.by_hand == pytest.approx(found.accents / found.width * (found.ratio - 1))
    assert 0.7 < found.stripes_alone / found.by_hand < 1.3 and 0 < found.whole < found.stripes_alone
    softer = by_hand.accent_by_hand("limba")
    assert softer.by_hand < 0 and softer.whole < 0


def test_a_misread_stripe_twists_more_the_further_out_it_lies():
    found = by_hand.misread(1.0)
    assert abs(found.run_out[0]) > abs(found.run_out[2]) > abs(found.run_out[3])
    assert found.run_out[3] == pytest.approx(0, abs=1e-6)
    assert found.run_out == pytest.approx(-found.run_out[::-1], abs=1e-9)
    assert found.slope == pytest.approx(found.slope[::-1], rel=1e-6)
    assert by_hand.misread(2.0).twist == pytest.approx(2 * found.twist, rel=0.01)


def test_equal_stripes_fill_the_blank():
    assert [s.width for s in equal_stripes(5).stripes] == pytest.approx([0.012] * 5)


# ---- verdicts: the words against the numbers they print
def test_more_stripes_are_not_stiffer():
    v = verdicts.more_stripes_stiffer()
    means = [float(n) for n in re.findall(r"(?:piece|stripes) ([\d.]+)(?:,| N)", v.found)]
    assert len(means) == 7 and max(means) - min(means) < 0.2
    one, trees, board, glue = (float(n) for n in re.findall(r"([\d.]+) %", v.found))
    assert 0 < glue < 3
    assert trees < 0.55 * one and board > 0.8 * one and v.verdict.startswith("no.")


def test_a_thin_stripe_counts_by_its_share():
    v = verdicts.thin_stripe_stiffens()
    alone, whole = (float(re.search(p, v.found)[1]) for p in (r"alone gain ([\d.]+)", r"whole neck ([\d.]+)"))
    other = float(re.search(r"scatter ([\d.]+)", v.found)[1])
    assert 0.5 < whole < 2 < alone < 4 and other > 3 * whole and v.verdict.startswith("a little")


def test_one_piece_is_not_straight_by_nature():
    v = verdicts.many_pieces_do_not_warp()
    sound, pith = v.found.split("Wood from near the pith")
    one, twist, seven, seven_twist = (float(n) for n in re.findall(r"([\d.]+) mm", sound))
    pith, pith_seven, shuffled, wrong, right, misread = (float(n) for n in re.findall(r"([\d.]+) mm", pith))
    assert 0 < one < seven < rule("bow_shows").value and seven_twist < twist < 0.1 < misread
    assert pith > 3 * rule("bow_shows").value and pith > pith_seven > rule("bow_shows").value > 2 * shuffled
    assert wrong > 0.2 and right == 0 and v.verdict.startswith("partly") and v.sure == "medium"
    assert "reaction wood" in v.why


def test_cutting_up_one_board_and_gluing_it_back_changes_nothing():
    one, back = (by_hand.straying(model.cut_up(n)) for n in (1, 7))
    assert back == pytest.approx(one, rel=0.02)


def test_what_shuffling_and_turning_do_to_one_board():
    rows = {name: numbers(" ".join(cell.split("±")[1] for cell in cells))
            for name, cells in rows_of(by_hand.within_table()).items()}
    whole, back, mirror, bench, shuffled, trees = rows.values()
    assert len(by_hand.CUTS) == 5 and whole == back
    for column in (0, 3):                                    # side bow, sound and near the pith
        assert mirror[column] == pytest.approx(whole[column], rel=0.05)
        assert bench[column] == pytest.approx(whole[column], rel=0.05)
        assert shuffled[column] < 0.15 * whole[column]
    for column in (1, 4):                                    # twist
        assert trees[column] <= bench[column] < 0.6 * whole[column]
    # forward bow is nobody's to mend by turning
    assert min(back[2], mirror[2], bench[2], shuffled[2]) > 0.95 * whole[2]
    assert whole[5] > 10 * whole[2]


def test_range_of_a_sample_standard_deviation():
    """Outside check: chi-square tables, 4 degrees of freedom, 0.711 and 9.488 (any text on statistics); and a
    plain simulation of samples."""
    low, high = sample_scatter(1.0, 5)
    assert (low, high) == pytest.approx(((0.711 / 4) ** 0.5, (9.488 / 4) ** 0.5), rel=1e-3)
    samples = np.random.default_rng(3).standard_normal((40_000, 14)).std(axis=1, ddof=1)
    assert sample_scatter(1.0, 14) == pytest.approx(np.percentile(samples, (5, 95)), rel=0.01)
    needed = by_hand.strip_test().needed
    for strips, apart in ((needed - 1, False), (needed, True)):
        low, high = sample_scatter(1.0, strips)
        assert (14 * low > 7 * high) is apart


def test_strip_test_reads_a_sag_that_a_dial_can_read():
    """Outside check: a beam on two supports, F L^3 / 48 E I by hand, E 13.9 GPa at 12 %, more at 8."""
    test = by_hand.strip_test()
    assert test.sag == pytest.approx(1e3 * 9.81 * 0.7**3 / (48 * 14.5e9 * 0.02 * 0.01**3 / 12), rel=0.05)
    assert test.dial < 1 < test.caliper and test.thickness == pytest.approx(0.6)
    table = by_hand.strip_test_table().plain
    assert "5.9 to 21.6" in table and "4.7 to 9.2" in table


def test_nothing_singles_out_seven_or_nine():
    v = verdicts.seven_or_nine_are_best()
    alone, whole = ([float(n) for n in re.findall(r"\d+: (\d+\.\d)", part)]
                    for part in v.found.split("With the fretboard"))
    assert len(alone) == len(whole) == 7
    assert alone[3] / alone[0] == pytest.approx(0.5, abs=0.03)
    assert all(0 < step < 1 for step in -np.diff(alone[3:]))
    assert all(0 <= step < 0.5 for step in -np.diff(whole[3:]))
    # independently derived: c / sqrt(n); the outer stripes of a rounded back count less, so draws lie above
    for n, got in zip(verdicts.COUNTS, alone, strict=True):
        assert 14 / n**0.5 - 0.3 < got < 14 / n**0.5 * 1.16


def test_independent_stripes_need_less_adjusting():
    v = verdicts.less_adjusting()
    one, seven, board, floor = (float(re.search(p + r" ([\d.]+)", v.found)[1])
                                for p in ("one piece", "seven trees", "from one board", "removes:"))
    assert floor < seven < board < one and board > 0.9 * one and floor > 0.6 * one
    said = float(re.search(r"about (\d+) %", v.verdict)[1])
    assert said == pytest.approx(100 * (1 - seven / one), abs=3) and v.verdict.startswith("yes")


def test_glue_lines_cost_next_to_nothing():
    v = verdicts.glue_lines_rob()
    shares = [float(n) for n in re.findall(r"([\d.]+) millionths", v.found)]
    loss = float(re.search(r"could be: ([\d.]+)", v.found)[1])
    shear = float(re.search(r"([\d.]+) kPa", v.found)[1])
    assert shares[0] < 100 and 0 < loss < 1 and shear < 50 and "below one per cent" in v.verdict
    assert numbers(v.found)[0] == 12 and "6 lines" in v.found


def test_carbon_does_not_stop_movement():
    v = verdicts.carbon_stops_movement()
    shallow, deep = v.found.replace("−", "-").split("Two deep bars")
    told = re.findall(r"[+-]?\d+\.?\d*(?= %| to| mm)", shallow)
    gain_shallow, spread_shallow, start, moved = (float(n) for n in told)
    gain_deep, spread_deep, other_way = (float(n) for n in re.findall(r"[+-]\d+\.?\d*", deep))
    assert 0 < gain_shallow < gain_deep < 25 and -15 < spread_deep <= spread_shallow < 5
    assert moved < start < other_way and v.verdict.startswith("no.")


# ---- predictions and questions
def test_prediction_of_the_turn_opens_the_figure(live):
    guess = questions.guess_turn()
    gate = guess.then(live)
    assert not gate.opened
    guess.answer = questions.TURNS["about z"]
    guess.commit()
    assert gate.opened
    twist = dict(zip(questions.TURNS, re.findall(r"([\d.]+) mm", guess.reply), strict=True))
    twist = {turn: float(found) for turn, found in twist.items()}
    assert twist["about y"] == 0 < min(twist["about x"], twist["about z"])
    assert f"it is “{questions.TURNS['about y']}”." in guess.reply


def test_prediction_of_the_scatter_computes_both_shares():
    guess = questions.guess_scatter()
    guess.answer = 40.0
    guess.commit()
    alone, whole = (float(n) for n in re.findall(r"(\d+) %", guess.reply)[-2:])
    hand = by_hand.scatter_by_hand(7)
    one = by_hand.scatter_by_hand(1).stripes_alone
    assert alone == pytest.approx(100 * hand.stripes_alone / one, abs=0.51)
    assert alone < whole < 100
    assert "you said “40 %”" in guess.reply


def test_prediction_of_the_accents():
    guess = questions.guess_accent()
    guess.answer = "10 %"
    guess.commit()
    low, high = numbers(guess.labels[0])[:2]
    assert low <= float(re.search(r"neck \+([\d.]+)", guess.reply)[1]) <= high


@pytest.mark.parametrize("make, word", [(questions.answer_foretold, "measured to 3 %"),
                                        (questions.answer_middle, "middle")])
def test_choices_know_the_computed_answer(make, word):
    question = make()
    assert word in question.right
    for label in question.answers:
        question.answer = label
        assert question.check() is (label == question.right)
        assert question.answers[label] in question.reply


def test_square_root_question_judges_and_explains_slips():
    question = questions.answer_root()
    assert question.right == pytest.approx(14 / 5**0.5)             # independently derived: 14 % a board
    for words, right, hint in (("6.3", True, "is within"), ("2.8", False, "square root"),
                               ("14", False, "one piece"), ("9", False, "too high")):
        question.answer = words
        assert question.check() is right and hint in question.reply
    question.answer = "six"
    assert question.check() is None


# ---- other necks
def opened(turned=("about y", "as sawn", "as sawn"), **grain):
    """Three stripes that follow none of the usual orders unless told otherwise."""
    stripes = [replace(stripe, turn=turn, **grain) for stripe, turn in zip(
        equal_stripes(3).stripes, turned, strict=True)]
    return NECK_12.changed(name="Three of mine", stripes=stripes)


def test_another_neck_comes_with_its_own_lay_up_and_goes_again(live):
    live.reset()
    before = live.sentence, live.png
    mine = opened(("as sawn", "about x", "as sawn"), slope=np.radians(3.0))
    live.take(mine, LESSON_NECK.start(mine))
    assert live.values["arrangement"] == "every second about x" and live.values["slope"] == 3.0
    assert live.sentence.startswith(f"3 stripes (hard maple), {TURNED['every second about x']}")
    assert LESSON_NECK.keep(mine, live.values, "Kept") == mine.changed(name="Kept")
    live.set(arrangement="as sawn")
    assert turns(LESSON_NECK.keep(mine, live.values, "Kept")) == ("as sawn",) * 3
    live.take(NECK_12, LESSON_NECK.start(NECK_12))
    assert (live.sentence, live.png) == before


def test_what_the_controls_cannot_say_is_kept_and_told(live):
    assert cannot(NECK_12) == []
    mine = opened(run_out=np.radians(0.7))
    assert build(mine, **defaults(mine)) == mine
    told = " ".join(cannot(mine))
    for words in ("controls cannot make", "angles of its own", "an order of their own"):
        assert words in told
    live.take(mine, defaults(mine))
    assert "turned in an order of their own" in live.sentence and "run-out 0.7°" in live.sentence
    live.take(NECK_12, defaults())


def test_a_pair_that_is_not_alike_is_refused():
    uneven = NECK_12.changed(stripes=NECK_12.stripes[::-1][:6] + (replace(NECK_12.stripes[0], width=0.0123),))
    with pytest.raises(ValueError, match="accepted for a mirrored pair"):
        with_turns(uneven, "mirrored pairs")


def test_a_wide_neck_makes_the_picture_wider(live):
    wide = NECK_12.changed(outline=replace(NECK_12.outline, nut_width=0.056, end_width=0.060))
    live.take(wide, defaults(wide))
    assert live.art.view.ax.get_xlim()[1] > 500 * float(wide.outline.width(wide.neck().fret(7)))
    live.take(NECK_12, defaults())
