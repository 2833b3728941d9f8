"""The search against exhaustive reckoning with the full rooms, the definition of a non-dominated set, fresh
draws, and executors whose workers die."""

import os
from concurrent.futures import BrokenExecutor, ProcessPoolExecutor, ThreadPoolExecutor
from dataclasses import replace
from threading import Event

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tonewood.brief import search as searching
from tonewood.brief.balance import Instrument, rest_of, weigh
from tonewood.brief.body import BodyPlan, example_outline
from tonewood.brief.dead_windows import windows_for
from tonewood.brief.found import Found
from tonewood.brief.quick import Terms, quick_for
from tonewood.brief.rack import Rack, Shelf
from tonewood.brief.scoring import QUANTITIES, Job, Scores, Target, score
from tonewood.brief.search import search
from tonewood.brief.space import Space
from tonewood.lesson.shared.shop import NECK_12
from tonewood.neck.load.relief import relief
from tonewood.neck.load.rod import set_rod
from tonewood.neck.report.evaluation import even_stiffness
from tonewood.sound.decay import decay
from tonewood.sound.instrument import Instrument as Sounding
from tonewood.sound.modes import modes
from tonewood.wood.spread import draw_boards

SPACE = Space(base=NECK_12, main=("hard maple", "sapele", "sitka spruce"), accent=("wenge", "black walnut"),
              centre=("black walnut",), fretboards=("ebony", "hard maple"), counts=(1, 3, 5))
TARGETS = (Target(quantity="weight", high=3.75), Target(quantity="rod", high=0.5),
           Target(quantity="stiffness", low=380.0, high=470.0),
           Target(quantity="loss factor", high=0.0075, must=False))
WHOLE = Instrument(body=BodyPlan(outline=example_outline()))
TERMS = Terms(base=NECK_12, woods=SPACE.woods, draws=60, modes=0)
JOB = Job(terms=TERMS, targets=TARGETS, rest=rest_of(NECK_12, WHOLE),
          rack=Rack(tuple(Shelf(wood=w, price=4000.0 + 500 * i) for i, w in enumerate(SPACE.woods))))


@pytest.fixture(scope="module")
def found():
    return search(SPACE, JOB)


def same(one, other):
    return all(np.array_equal(getattr(one.scores, n), getattr(other.scores, n))
               for n in ("chance", "each", "bands", "done"))


def test_every_lay_up_is_different_and_has_a_number():
    layups = list(SPACE)
    assert len(layups) == len(SPACE) == len(set(layups))
    assert [SPACE.place(layup) for layup in layups] == list(range(len(SPACE)))
    # by hand: main x ring angles x fretboards of 1 piece; with centre of 3; with accents of 5
    assert len(SPACE) == (3 + 3 * 1 + 3 * 2 * 1) * 2 * 2
    with pytest.raises(ValueError, match="lay-up"):
        SPACE.place(replace(layups[0], stripes=(("teak", 0.06),)))
    with pytest.raises(ValueError, match="fretboard"):
        SPACE.place(replace(layups[0], fretboard="teak"))


def test_chances_are_those_of_the_full_rooms(found):
    """Exhaustive: every lay-up of a small space reckoned by the load and section rooms and a weighing."""
    for number, layup in enumerate(SPACE):
        if layup.ring_angle:
            continue                # no bearing on these quantities; half the work
        neck = layup.neck(NECK_12)
        drawn = neck.with_pieces(draw_boards(neck.pieces, TERMS.draws, TERMS.seed, woods=SPACE.woods,
                                             streams=[*range(1, len(layup.stripes) + 1), 0]))
        drawn = replace(drawn, fretboard=replace(drawn.fretboard, slot_fill=quick_for(TERMS)._fill))
        slack = relief(drawn, NECK_12.string_set(), NECK_12.setup(), NECK_12.body_joint(), count=24)
        rod = set_rod(slack, TERMS.rod)
        heavy, effort = np.asarray(weigh(NECK_12, WHOLE, drawn).mass), np.abs(rod.effort) / rod.limit
        stiff = even_stiffness(drawn)
        met = (heavy <= 3.75) & (effort <= 0.5) & (stiff >= 380) & (stiff <= 470)
        assert found.scores.chance[number] == pytest.approx(np.mean(met), abs=2.1 / TERMS.draws)


def test_the_unbeaten_are_those_of_the_definition(found):
    values, names = found.aims
    assert names == ("all hard limits", "loss factor, wish", "price")
    able = found.scores.chance > 0
    beaten = [any(np.all(values[j] >= values[i]) and np.any(values[j] > values[i])
                  for j in np.flatnonzero(able)) for i in range(len(SPACE))]
    assert set(found.unbeaten.tolist()) == {i for i in np.flatnonzero(able) if not beaten[i]}
    assert np.all(np.diff(found.scores.chance[found.unbeaten]) <= 0)
    for i in range(len(SPACE)):
        assert (found.beaten_by(i).size > 0) == any(
            np.all(values[j] >= values[i]) and np.any(values[j] > values[i]) for j in range(len(SPACE)))


@settings(deadline=None, max_examples=60)
@given(st.lists(st.tuples(*[st.integers(0, 4)] * 3), min_size=1, max_size=24))
def test_non_dominated_for_any_scores(rows):
    """Property: moocore's set is the definition's, ties kept, for any table of chances."""
    table = np.array(rows, dtype=float) / 4
    count, wish = len(rows), Target(quantity="loss factor", high=0.01, must=False)
    job = Job(terms=TERMS, targets=(wish, replace(wish, quantity="seasons")))
    scores = Scores(chance=table[:, 0], each=table[:, 1:], bands=np.zeros((count, 3, len(QUANTITIES))),
                    done=np.ones(count, dtype=bool))
    found = Found(space=SPACE, job=job, scores=scores, seconds=0.0)
    able = table[:, 0] > 0
    wanted = {i for i in np.flatnonzero(able) if not any(
        np.all(table[j] >= table[i]) and np.any(table[j] > table[i]) for j in np.flatnonzero(able))}
    assert set(found.unbeaten.tolist()) == wanted


def on_fresh_draws(found, number):
    job = replace(found.job, terms=replace(found.job.terms, draws=1500, seed=9001))
    return float(score(job, [found.space[number]]).chance[0])


def test_chance_against_a_count_on_fresh_draws(found):
    """Standard error of a share over 60 and over 1500 draws: within four of them."""
    for number in found.unbeaten[:3].tolist():
        told, counted = found.scores.chance[number], on_fresh_draws(found, number)
        error = np.sqrt(max(counted * (1 - counted), 0.01) * (1 / 60 + 1 / 1500))
        assert abs(told - counted) < 4 * error


def test_why_not_this_one(found):
    for number in range(len(SPACE)):
        said = found.why_not(number)
        assert (said == []) == (number in found.unbeaten)
    beaten = np.setdiff1d(np.arange(len(SPACE)), found.unbeaten)
    heavy = int(beaten[np.argmin(found.scores.each[beaten, 0])])
    assert found.scores.each[heavy, 0] < 1
    said = found.why_not(SPACE[heavy])
    missed = 100 * (1 - found.scores.each[heavy, 0])
    assert said[0].startswith("weight: ") and "asked at most 3.75 kg" in said[0]
    assert f"missed in {missed:.0f} of 100 necks" in said[0]
    assert any(line.startswith("beaten by ") and "worse in nothing" in line for line in said)


def test_any_executor_gives_the_same(found):
    with ThreadPoolExecutor(3) as threads:
        assert same(search(SPACE, JOB, threads, bundle=5), found)
    assert same(search(SPACE, JOB, lambda: ProcessPoolExecutor(2), bundle=7), found)
    assert same(search(SPACE, JOB, bundle=1), found)


def deadly(job, layups):
    """As score, but the first worker that comes here dies without a word."""
    try:
        os.close(os.open(os.environ["TONEWOOD_TEST_MARK"], os.O_CREAT | os.O_EXCL))
    except FileExistsError:
        return score(job, layups)
    os._exit(1)


def test_a_worker_killed_in_mid_run_loses_nothing(found, tmp_path, monkeypatch):
    monkeypatch.setenv("TONEWOOD_TEST_MARK", str(tmp_path / "mark"))
    monkeypatch.setattr(searching, "score", deadly)
    again = search(SPACE, JOB, lambda: ProcessPoolExecutor(2), bundle=6)
    assert again.again >= 1 and same(again, found)
    os.remove(tmp_path / "mark")
    with ProcessPoolExecutor(1) as pool, pytest.raises(BrokenExecutor):
        search(SPACE, JOB, pool, bundle=6)


def test_stop_keeps_what_is_done_and_a_later_search_goes_on(found):
    stop, seen = Event(), []

    def progress(done, total, left):
        seen.append((done, total, left))
        if done >= 10:
            stop.set()

    half = search(SPACE, JOB, progress=progress, stop=stop, bundle=5)
    assert not half.whole and half.scores.done.sum() == 10
    assert [s[0] for s in seen] == [5, 10] and all(s[1] == len(SPACE) and s[2] > 0 for s in seen)
    assert half.why_not(len(SPACE) - 1) == ["not worked out: the search was stopped before"]
    assert set(half.unbeaten.tolist()) <= set(range(10))
    assert same(search(SPACE, JOB, bundle=4, earlier=half), found)
    with pytest.raises(ValueError, match="earlier"):
        search(SPACE, replace(JOB, targets=TARGETS[:1]), earlier=half)


def test_a_fault_in_a_lay_up_is_told_and_not_swallowed(monkeypatch):
    def broken(job, layups):
        raise RuntimeError("the wood split")

    monkeypatch.setattr(searching, "score", broken)
    with ThreadPoolExecutor(1) as threads, pytest.raises(RuntimeError, match="split"):
        search(SPACE, JOB, threads)


@pytest.mark.filterwarnings("ignore")
def test_a_real_cluster_with_a_worker_killed(found):
    """A local Dask cluster of two worker processes, one of them killed while it works."""
    import distributed

    with distributed.LocalCluster(n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None,
                                  silence_logs=50) as cluster, distributed.Client(cluster) as client:
        killed = []

        def kill(done, total, left):
            if done >= 6 and not killed:
                victim = next(iter(client.run(os.getpid).values()))
                killed.append(victim)
                os.kill(victim, 9)

        with client.get_executor() as executor:
            over = search(SPACE, JOB, executor, progress=kill, bundle=3, at_once=6)
        assert killed and same(over, found)


def test_the_dead_windows_hold_against_the_whole_map():
    """A note named dead by the window is dead on the map of sound.decay, and one well outside is not."""
    terms = replace(TERMS, modes=3)
    sounding = modes(Sounding(NECK_12.neck()), 8, 0)
    full = decay(Sounding(NECK_12.neck()), NECK_12.string_set(), setup=NECK_12.setup(), modes=sounding)
    places = [(s, f) for s in (1, 2, 3) for f in (3, 5, 7, 9, 11)]
    windows = windows_for(places, terms)
    told = {f"string {s + 1}, fret {f}": bool(full.dead[s, f]) for s, f in places}
    for note, dead in told.items():
        inside = any(w.low <= sounding.frequency[w.mode] <= w.high for w in windows if w.note == note)
        assert inside == dead, note
    assert any(told.values()) or windows
    with pytest.raises(ValueError, match="string"):
        windows_for([(6, 3)], terms)


def test_targets_refuse_what_cannot_be():
    for wrong in ({"quantity": "beauty", "high": 1.0}, {"quantity": "weight"},
                  {"quantity": "weight", "low": 4.0, "high": 3.0}, {"quantity": "weight", "high": np.nan}):
        with pytest.raises(ValueError, match="accepted|expected"):
            Target(**wrong)
    with pytest.raises(ValueError, match="counts"):
        replace(SPACE, counts=())
    with pytest.raises(ValueError, match="woods for main"):
        replace(SPACE, main=())
