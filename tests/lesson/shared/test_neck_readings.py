"""Readings of a neck on the page: they agree with the lessons that ask for them, are kept in the log, narrow
the year, and a bad one changes nothing."""

import numpy as np
import pytest

from tonewood.bench import log
from tonewood.bench.coverage import bias, coverage, grouped
from tonewood.bench.foretold import foretell
from tonewood.bench.readings import KINDS, reading
from tonewood.bench.readings_log import delivery, readings_of, row_of
from tonewood.lesson.client_year.by_hand import glued_strip
from tonewood.lesson.shared import class_readings as many
from tonewood.lesson.shared.ledger import ledger
from tonewood.lesson.shared.made_necks import BAND, SOFT, TOLD, design_of, made_entries, made_necks
from tonewood.lesson.shared.neck_readings import LOG, kept, neck_readings
from tonewood.lesson.shared.shop import NECK_12, changed, truss_rod
from tonewood.neck import design_file


@pytest.fixture(autouse=True)
def own_folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)


def test_strip_and_winter_agree_with_lesson_06():
    one = foretell(changed(NECK_12, stripes=1), draws=2000)
    bow = one.predicted(reading("1", "strip bow", 0.1, "2026-09-20", humidity=0.30))
    assert np.percentile(bow, [5, 95]) == pytest.approx([(strip := glued_strip()).low, strip.high], rel=0.10)
    winter = np.percentile(foretell(NECK_12, truss_rod(NECK_12.neck())).gap()[:, 3], [5, 95])
    line = ledger(NECK_12, 0.2, 0.0, "Chicago").line("driest month", "double-acting")
    # the ledger has all the first year's creep in it, ours that of three months, the home and the reading
    assert np.ptp(winter) == pytest.approx(np.ptp(line.total[[0, 2]]), rel=0.2)
    assert np.mean(winter) == pytest.approx(np.mean(line.total[[0, 2]]), abs=3e-5)


def keep(page, kind, value, date, **told):
    page._kind.value = kind
    page._value.value, page._date.value = value, date
    for name, words in told.items():
        page._places[name].value = words
    page.keep()


def test_a_neck_is_read_from_blank_to_winter_and_its_year_narrows():
    page = neck_readings()
    assert "made data" in page.result.plain                     # until a reading is kept
    keep(page, "blank sag", "0,94 mm", "2026-09-01", load="10", span="700 mm", thickness="22")
    assert page.reply.startswith("Kept in my_boards.csv: sag of the blank")
    assert "made" not in page.result.plain
    keep(page, "gap, rod set", "0.25", "2026-11-02")
    assert str(page.after.necks.delivered) == "2026-11-02" and page.after.necks.left == 2.5e-4
    keep(page, "gap, rod set", "0.31", "2027-01-15")
    keep(page, "room humidity", "24 %", "2027-01-15")
    assert len(page.after.readings) == 3                        # the one it left with starts the year
    ratio = (np.ptp(page.after.ribbon()[[0, 2]], axis=0)
             / np.ptp(np.percentile(page.after.necks.gap(), [5, 95], axis=0), axis=0))
    assert ratio[2:5].max() < 0.6 and ratio.mean() < 0.8
    assert "after the readings" in page.result.plain and "alt='Gap at fret 8" in page.result.html
    again = neck_readings()                                     # another page reads the same log
    assert again.result.plain == page.result.plain
    assert len(log.read_log(LOG)) == 4


def test_a_reading_is_compared_without_being_kept_and_a_bad_one_changes_nothing():
    page = neck_readings("blank sag", blank_sag="0.94")
    page._date.value = "2026-09-01"
    page.compare()
    assert "0.94 mm" in page.result.plain and "inside? yes" in page.result.plain and not kept().readings
    before = page.result.plain
    for box, words, said in ((page._value, "940", "Did you mean 0.94 mm"), (page._date, "1.9.26", "date"),
                             (page._places["load"], "10000", "Grams"), (page._value, "", "nothing given")):
        good, box.value = box.value, words
        with pytest.raises(ValueError, match=said):
            page.keep()
        box.value = good
    assert page.result.plain == before and not kept().readings
    page._value.value = "1.35"
    page.compare()
    assert "no, above" in page.result.plain and "modulus of the stripes" in page.result.plain
    assert "Distrust first the reading" in page.result.plain


def test_every_kind_goes_through_the_log_and_back():
    told = {"load": 98.0665, "span": 0.7, "thickness": 0.022, "length": 0.75, "humidity": 0.3, "fret": 8,
            "string": 3}
    for kind, of in KINDS.items():
        made = reading("A", kind, max(of.low, 1.0), "2026-10-01",
                       **{name: told[name] for name in of.needs})
        log.add("a.csv", row_of(made))
        back = readings_of(log.read_log("a.csv").measurements)[0]["A"][-1]
        for name in ("kind", "value", "date", *of.needs):
            assert getattr(back, name) == pytest.approx(getattr(made, name)), (kind, name)
    assert delivery([made])[1] == 2e-4


def test_twenty_made_necks_hold_and_point_at_the_soft_wood():
    found = made_entries()
    assert coverage(found).holds and coverage(found).necks == 20
    later = made_entries("earlier")
    assert coverage(later).holds
    width = [np.mean([e.high - e.low for e in every if e.kind == "gap, rod set"]) for every in (found, later)]
    assert width[1] < 0.8 * width[0]
    sags = {wood: bias([e for e in mine if e.kind == "blank sag"])
            for wood, mine in grouped(found, lambda e: e.wood).items()}
    assert [wood for wood, (low, _, _) in sags.items() if low > 0] == [SOFT]
    left = bias([e for e in made_entries("stock") if e.kind == "blank sag"])
    assert left[0] < 0 < left[2] and left[1] < sags[SOFT][1] / 2      # eight measured boards take it away
    shown = many.made_shown().plain
    assert "Made data" in shown and "African mahogany (khaya): sag" in shown
    assert "these boards are softer than the table" in shown


@pytest.mark.parametrize("told", TOLD)
def test_the_table_of_made_necks_is_of_the_present_model(told):
    every = made_entries(told), TOLD[told]()
    for name in BAND.values():
        found, anew = ([getattr(e, name) for e in one] for one in every)
        assert found == pytest.approx(anew, rel=1e-6, abs=1e-8)
    found, anew = ([(e.neck, e.wood, e.kind, e.inside) for e in one] for one in every)
    assert found == anew


def test_the_logs_of_a_class_are_read_together(tmp_path):
    walnut = design_of("black_walnut")
    (tmp_path / "b/my_necks").mkdir(parents=True)
    (tmp_path / "a").mkdir()
    design_file.save(walnut, tmp_path / "b/my_necks/w.json")

    def rows(k, name):
        from dataclasses import replace
        return [row_of(replace(read, neck=name)) for read in made_necks()[k][1]]

    log.add("a/my_boards.csv", *rows(1, NECK_12.name))
    log.add("b/my_boards.csv", *rows(2, walnut.name), *rows(3, "unknown"))
    page = many.class_readings()
    page.paths.value = "a; b/my_boards.csv"
    page.read()
    assert "of 18" in page.result.plain
    assert "2 logs" in page.result.plain and "readings of 'unknown' are not compared" in page.result.plain
    before = page.result
    page.paths.value = "nowhere.csv"
    with pytest.raises(ValueError, match="no such file"):
        page.read()
    assert page.result is before


def test_own_boards_in_the_log_move_what_is_foretold():
    plain = neck_readings("blank sag").after.foretold[0]
    size = dict(length=0.45, width=0.045, thickness=0.02, wood="hard maple", date="2026-08-01",
                moisture=0.085, load=50.0, span=0.40)
    log.add(LOG, *[log.Measurement(board=label, measured="bend", deflection=1.0e-3 * off, **size)
                   for label, off in zip("ABCDE", (.205, .21, .2, .215, .205), strict=True)])
    page = neck_readings("blank sag")
    assert "hard maple: modulus (GPa)" in page.result.plain and "own boards" in page.result.plain
    assert page.after.foretold[0][1] > 1.05 * plain[1]


def test_strips_of_a_class_are_typed_and_pooled():
    page = many.strips_pooled()
    assert "15 strips of 3 boards" in page.result.plain and "Made data" in page.result.plain
    page.words.value = "A: 12,0 12.6; 11.4\nB: 10 10.5 9.5"
    assert "6 strips of 2 boards" in page.result.plain and "Made" not in page.result.plain
    page.words.value = "A 12 13"
    assert "line 1" in page._result.value and "6 strips" in page.result.plain
    assert many.strips_of("A: 1 2\nA: 3 4") == {"A": [1, 2], "A, line 2": [3, 4]}     # two learners' boards


def test_strips_are_read_out_of_logs():
    page = many.strips_pooled()
    with pytest.raises(ValueError, match="no such file"):
        page.read()
    size = dict(length=0.75, width=0.02, thickness=0.01, wood="hard maple", date="2026-08-01", moisture=0.085,
                load=9.80665, span=0.70)
    log.add(LOG, *[log.Measurement(board=label, measured="bend", deflection=1e-3 * sag, **size)
                   for label, sag in (("A7-1", 3.2), ("A7-2", 3.5), ("A7-3", 3.4), ("B", 3.3), ("C-1", 3.1))])
    page.read()
    values = many.strips_of(page.words.value)
    assert list(values) == ["A7"] and len(values["A7"]) == 3
    # by hand: F s^3 / (4 b h^3 d), shear less than 1 %
    assert values["A7"][0] == pytest.approx(9.80665 * 0.7**3 / (4 * 0.02 * 0.01**3 * 3.2e-3) / 1e9, rel=0.01)
    assert "3 strips of 1 board;" in page.result.plain
