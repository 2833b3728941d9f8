"""Readings of a neck: against formulas by hand; the update against known truths; what is refused."""

import numpy as np
import pytest

from tonewood.bench import measure
from tonewood.bench.coverage import Entry, bias, coverage, entries
from tonewood.bench.foretold import foretell
from tonewood.bench.readings import KINDS, Reading, reading
from tonewood.bench.update import MOVED, NOTHING, WEIGHTS, update
from tonewood.lesson.shared.shop import NECK_12, changed, truss_rod
from tonewood.neck.load.relief import relief
from tonewood.neck.load.rod import relief_with_rod, set_rod

ROD = truss_rod(NECK_12.neck())
PLAIN = foretell(NECK_12, ROD, draws=2000)
WHEN = "2026-09-20"
SIZE = dict(span=0.70, thickness=0.022)


def middle(kind, date=WHEN, necks=PLAIN, **circumstances):
    shown = KINDS[kind].low if KINDS[kind].low > 0 else 0.1
    return np.median(necks.predicted(reading("12", kind, shown, date, **circumstances)))


def test_a_blank_of_one_wood_sags_and_weighs_as_by_hand():
    one = foretell(changed(NECK_12, main="hard maple", stripes=1), draws=400)
    sag = one.predicted(reading("1", "blank sag", 0.9, WHEN, load=98.1, **SIZE))
    board = one.neck.pieces[0]
    by_hand = measure.bend_modulus(98.1, sag, 0.70, 0.060, 0.022, board.E_x / board.G_xz)
    assert by_hand == pytest.approx(board.E_x, rel=1e-9)
    mass = one.predicted(reading("1", "blank weight", 800, WHEN, length=0.75, thickness=0.022))
    assert measure.density(mass, 0.75, 0.060, 0.022) == pytest.approx(board.rho, rel=1e-9)


def test_the_gap_under_the_strings_is_the_relief_model_s():
    plain = NECK_12.neck()
    alone = relief(plain, NECK_12.string_set(), NECK_12.setup(), NECK_12.body_joint())
    for fret in (5, 8, 12):
        assert middle("gap, strings on", fret=fret) == pytest.approx(float(alone.at(fret)), rel=0.03)


def test_the_first_day_at_home_is_the_gap_as_it_was_set():
    first = PLAIN.predicted(reading("12", "gap, rod set", 0.2, "2026-10-15", fret=8))
    misread = PLAIN.unknowns["gap it left with, as misread"]
    assert first == pytest.approx(2e-4 + misread, abs=1e-9)


def test_a_turn_does_what_the_rod_model_says_over_its_share():
    turns = PLAIN.predicted(reading("12", "rod turns", 0.3, WHEN))
    share = PLAIN.unknowns["share of a turn that reaches the rod"]
    plain = relief(NECK_12.neck(), NECK_12.string_set(), NECK_12.setup(), NECK_12.body_joint())
    assert np.median(turns * share) == pytest.approx(float(set_rod(plain, ROD, 2e-4, 8).turns), rel=0.08)
    left = relief_with_rod(plain, ROD, turns=float(np.median(turns * share))).at(8)
    assert left == pytest.approx(2e-4, abs=1e-5)


def test_twist_of_one_misread_stripe_is_that_of_the_movement_model():
    from dataclasses import replace

    from tonewood.neck.seasons.movement import movement
    from tonewood.neck.section.stations import at_stations

    neck, slant = NECK_12.neck(), 0.02
    boards = list(neck.pieces)
    boards[0] = replace(boards[0], run_out=slant)
    year = PLAIN._years[0][1]
    moved = movement(at_stations(neck.with_pieces(boards), neck.stations(16)), NECK_12.shop_moisture, 0.06)
    only = {name: np.zeros(2) for name in PLAIN.unknowns} | {"run-out of stripe 1": np.full(2, slant)}
    two = replace(PLAIN, unknowns=only)
    moisture = np.stack([np.full((2, len(neck.pieces)), m) for m in (NECK_12.shop_moisture, 0.06)], 1)
    object.__setattr__(two, "_years", ([replace(year, ends=moisture[[0, 1, 1]])] * 3, []))
    across = neck.outline.width(neck.end) * np.tan(float(moved.twist))
    assert two._twist[0, 1] == pytest.approx(across, rel=0.03)


def test_half_a_year_is_the_first_half_of_a_year():
    half, whole = (foretell(NECK_12, draws=100, delivered="2026-10-15", months=n) for n in (6, 12))
    assert half.days == pytest.approx(whole.days[:7])
    assert half.gap(5) == pytest.approx(whole.gap(5)[:, :7], rel=1e-9, abs=1e-12)
    with pytest.raises(ValueError, match="the first 6 months"):
        half.predicted(reading("12", "gap, rod set", 0.3, "2027-06-01", fret=8))
    with pytest.raises(ValueError, match="months at home"):
        foretell(NECK_12, draws=100, months=0)


def truth(necks, i, rng, kinds):
    """Readings of draw i as if it were the neck built."""
    made = []
    for kind, date, circumstances in kinds:
        blank = reading("12", kind, 0.1 if KINDS[kind].low < 0.1 else KINDS[kind].low, date, **circumstances)
        value = float(necks.predicted(blank)[i])
        error = Reading(neck="12", kind=kind, value=value, date=date, **circumstances).doubt
        made.append(Reading(neck="12", kind=kind, value=value + error * rng.standard_normal(), date=date,
                            **circumstances))
    return made


SOME = [("gap, strings on", WHEN, {"fret": 8}), ("gap, rod set", "2027-01-15", {"fret": 8})]
MANY = [("blank sag", WHEN, dict(load=98.1, **SIZE)), ("gap, strings off", WHEN, {"fret": 8}),
        ("strip bow", WHEN, {"humidity": 0.30}), *SOME, ("room humidity", "2027-01-15", {}),
        ("rod turns", WHEN, {}), ("gap, rod set", "2026-12-01", {"fret": 8})]


@pytest.mark.parametrize("kinds, method", [(SOME, WEIGHTS), (MANY, MOVED)])
def test_updated_bands_hold_nine_in_ten_true_necks_and_are_narrower(kinds, method):
    """Simulation-based: a draw of the prior is the truth, its readings are made with their errors, the others
    are weighed; the rest of its year must lie in the updated 90 % band nine times in ten."""
    rng = np.random.default_rng(8)
    ribbon, known = PLAIN.gap(), np.percentile(PLAIN.gap(), [5, 95], axis=0)
    inside, widths, methods, n = [], [], [], 120
    for i in range(n):
        found = update(PLAIN, truth(PLAIN, i, rng, kinds))
        keep = found.weights.copy()
        keep[i] = 0.0                               # the truth itself must not vote
        object.__setattr__(found, "weights", keep / keep.sum())
        low, _, high = found.band(ribbon)
        inside.append((low <= ribbon[i]) & (ribbon[i] <= high))
        widths.append(high - low)
        methods.append(found.method)
    share, later = np.mean(inside, axis=0), [5, 6, 8, 10, 12]
    assert np.mean(np.array(methods) == method) > 0.7
    assert 0.84 < np.mean(share[later]) < 0.96 and share[later].min() > 0.80, share
    ratio = np.mean(widths, axis=0) / np.ptp(known, axis=0)
    assert ratio[later].max() < (0.85 if kinds is SOME else 0.75), ratio


def test_weights_and_regression_agree_where_both_stand():
    readings = truth(PLAIN, 7, np.random.default_rng(2), SOME)
    weighed, moved = update(PLAIN, readings, 1), update(PLAIN, readings, 1e9)
    assert (weighed.method, moved.method) == (WEIGHTS, MOVED)
    width = np.ptp(weighed.ribbon()[[0, 2]], axis=0)
    assert np.all(np.abs(weighed.ribbon() - moved.ribbon()) < 0.15 * width)


def test_one_normal_unknown_is_updated_as_the_textbook_says():
    """Bow without strings ~ N(0, s²) read with error u: mean s²/(s²+u²) y, in closed form."""
    read = reading("12", "gap, strings off", 0.06, WHEN, fret=8)
    s, u = PLAIN.unknowns["bow without strings"].std(), read.doubt
    for fewest in (1, 1e9):
        found = update(PLAIN, [read], fewest)
        assert found.mean(PLAIN.unknowns["bow without strings"]) == pytest.approx(
            s**2 / (s**2 + u**2) * read.value, rel=0.06)
        half = np.ptp(found.band(PLAIN.unknowns["bow without strings"])[[0, 2]]) / 2
        assert half == pytest.approx(1.645 * s * u / np.hypot(s, u), rel=0.08)


def test_nothing_read_changes_nothing_and_a_misfit_says_so():
    none = update(PLAIN, [])
    assert none.method == NOTHING and none.fits and none.effective == 2000
    assert none.ribbon()[1] == pytest.approx(np.median(PLAIN.gap(), axis=0))
    soft = [reading("12", "blank sag", 1.30, WHEN, load=98.1, **SIZE)]
    found = update(PLAIN, soft)
    assert not found.fits and list(found.shifts)[0] == "modulus of the stripes"
    assert found.shifts["modulus of the stripes"] < -2 and not entries(found)[0].inside


def test_coverage_has_a_band_of_its_own():
    rng = np.random.default_rng(3)
    def made(neck, value):
        return Entry(neck=neck, wood="hard_maple", kind="blank sag", low=-1.645, middle=0.0, high=1.645,
                     value=value)
    caught, worth = 0, []
    for _ in range(200):
        together = rng.standard_normal(20).repeat(5) * 0.8 + 0.6 * rng.standard_normal(100)
        found = coverage([made(str(k // 5), v) for k, v in enumerate(together)])
        caught += found.holds
        worth.append(found.worth)
    assert caught / 200 > 0.80 and np.mean(worth) < 75
    assert bias([made(str(k), 1.0) for k in range(20)])[0] > 0.5


@pytest.mark.parametrize("call, said", [
    (lambda: reading("12", "blank sag", 940, WHEN, load=98.1, **SIZE), "0.01 to 20 mm. Did you mean 0.94 mm"),
    (lambda: reading("12", "gap, strings on", 3e-4, WHEN, fret=8), "Did you mean 0.3 mm"),
    (lambda: reading("12", "blank sag", 0.9, WHEN, load=10000, **SIZE), "Grams. 10000 g pull with 98.1 N"),
    (lambda: reading("12", "blank sag", 0.9, WHEN, load=98.1, span=700, thickness=22), "millimetres|mm"),
    (lambda: reading("12", "blank sag", 0.9, WHEN, load=98.1, span=0.7), "no thickness given"),
    (lambda: reading("12", "room humidity", 0.31, WHEN), "percentage as a fraction"),
    (lambda: reading("12", "gap, strings on", 0.3, "3.10.2026", fret=8), "as in 2026-11-27"),
    (lambda: reading("12", "gap", 0.3, WHEN), "kind of reading: 'gap' given"),
    (lambda: reading("", "rod turns", 0.3, WHEN), "no name given"),
    (lambda: reading("12", "rod turns", float("nan"), WHEN), "nan"),
    (lambda: PLAIN.predicted(reading("12", "gap, rod set", 0.3, "2025-12-01", fret=8)), "before the deliver"),
    (lambda: PLAIN.predicted(reading("12", "gap, rod set", 0.3, "2028-12-01", fret=8)), "the first year"),
    (lambda: PLAIN.predicted(reading("12", "gap, rod set", 0.3, WHEN, fret=22)), "before|accepted"),
    (lambda: PLAIN.predicted(reading("12", "dead note", 8, "2027-01-01", string=7)), "string"),
    (lambda: foretell(NECK_12, None).predicted(reading("12", "rod turns", 0.3, WHEN)), "no truss rod"),
    (lambda: update(PLAIN, [reading(n, "rod turns", 0.3, WHEN) for n in "AB"]), "of 2 necks"),
    (lambda: coverage([]), "none given")])
def test_slips_are_refused(call, said):
    with pytest.raises(ValueError, match=said):
        call()


def test_readings_of_a_neck_that_go_together_are_worth_fewer():
    """Four necks of five readings, 5, 4, 3 and 2 inside: the ratio estimator of cluster sampling by hand,
    4/3 x (1.5^2 + 0.5^2 + 0.5^2 + 1.5^2) / 20^2 = 1/60 against 0.7 x 0.3 / 20, so 20 are worth 12.6."""
    found = coverage([Entry(neck=str(k), wood="wenge", kind="mass", low=0.0, middle=0.5, high=1.0,
                            value=0.5 if i < 5 - k else 2.0) for k in range(4) for i in range(5)])
    assert (found.inside, found.readings, found.necks) == (14, 20, 4)
    assert found.worth == pytest.approx(12.6)
