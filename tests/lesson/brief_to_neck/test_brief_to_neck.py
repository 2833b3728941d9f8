"""Lesson 11: movable limits count the same necks, the brief's form keeps and opens, the search on the page
starts, stops, goes on, answers why not, compares and writes."""

import numpy as np
import pytest

from tonewood.brief.brief import load
from tonewood.brief.scoring import score
from tonewood.lesson.brief_to_neck import searching
from tonewood.lesson.brief_to_neck.briefs import BriefForm, doubts_told, targets_table, told
from tonewood.lesson.brief_to_neck.by_hand import chance_by_hand, draws_matter
from tonewood.lesson.brief_to_neck.figure import from_brief_to_neck
from tonewood.lesson.brief_to_neck.searching import SearchBox, time_left
from tonewood.lesson.shared.clients import CLIENTS, client
from tonewood.lesson.shared.lots import LIMITS, counted, defaults, lot
from tonewood.neck import design_file


def test_a_count_is_the_search_s_own_chance():
    """With the sliders at the limits of the brief, but for those the search adds or takes as wishes."""
    here = lot("studio", 12, 40)
    v = here.values
    by_search = score(here.job, here.layups).chance
    must = [t.met(v[t.quantity]) for t in here.job.targets if t.must]
    np.testing.assert_allclose(by_search, np.mean(np.logical_and.reduce(must), -1))


@pytest.mark.parametrize("name, worse", [("weight", -0.5), ("swing", -0.05), ("rod", -30.0), ("soft", 60.0),
                                         ("stiff", -60.0), ("price", -20.0)])
def test_a_tighter_limit_never_gains_a_neck(name, worse):
    start = defaults("harbour")
    loose, tight = counted(**start), counted(**{**start, name: start[name] + worse})
    assert np.all(tight.chance <= loose.chance) and np.all(tight.missed[name] >= loose.missed[name])


def test_the_hand_calculation_ends_in_the_count():
    rows = {row[0]: row[1] for row in chance_by_hand()}
    now = counted(**defaults("harbour"))
    assert rows["necks that pass all at once"] == pytest.approx(100 * now.chance.max())
    product = next(v for k, v in rows.items() if "product" in k)
    shares = [v for k, v in rows.items() if k.startswith("necks not")]
    assert product == pytest.approx(100 * np.prod(np.array(shares) / 100))
    apart, common = (row[1] for row in draws_matter())
    assert common < apart


def test_the_figure_follows_the_client_and_says_when_nothing_is_left():
    live = from_brief_to_neck()
    assert "of 96 lay-ups" in live.sentence
    live.set(who="theatre")
    assert live.values["weight"] == client("theatre").brief.weight
    live.set(weight=2.0)
    assert live.sentence.startswith("None of these") and "give way" in live.sentence
    assert set(LIMITS) <= set(live.values)
    live.close()


@pytest.mark.parametrize("who", CLIENTS)
def test_every_doubt_has_kind_words_and_every_target_a_row(who):
    assert doubts_told(who).plain
    plain = targets_table(client(who).brief, client(who).whole).plain
    assert plain.count("why ") == len(client(who).job(draws=2).targets)
    for key, numbers in {"too heavy": {"least": 4.0, "asked": 3.0, "rest": 3.5},
                         "head dives": {"best": 0.45, "needed": 0.5},
                         "stiffness": {"softest": 1.0, "stiffest": 2.0, "low": 3.0, "high": 4.0},
                         "seasons": {"least": 0.0002, "asked": 0.0001},
                         "money": {"least": 9.0, "asked": 3.0}}.items():
        from tonewood.brief.brief import Doubt
        assert len(told(Doubt(key, numbers))) > 40


def test_a_brief_is_changed_kept_and_opened(tmp_path):
    form = BriefForm("harbour", tmp_path / "briefs")
    form.controls["hand"].value = "hard"
    form.controls["weight"].value = 3.3
    form.keep()
    assert load(tmp_path / "briefs" / "my_client.json").weight == 3.3
    form.controls["client"].value = "theatre"
    assert form.brief.client == "the theatre bassist"
    form.open()
    assert form.brief.hand == "hard" and form.brief.client == "the harbour player"
    form.controls["tuning"].value = "eight"
    form.controls["gauge"].value = 110
    form.alive.value = "8/3, 2/5"
    assert form.brief.strings.set == "eight" and form.brief.alive == ((8, 3), (2, 5))
    assert form.brief.strings.gauge == 1.1
    for wrong, words in (("9/3", "string"), ("low E", "string/fret"), ("3-7", "string/fret")):
        form.alive.value = wrong
        assert words in form.said.value
        with pytest.raises(ValueError, match=words):
            form.keep()
    form.open()
    assert form.alive.value == "3/7, 3/5" and form.brief.strings.set == "six" and form.said.value
    form.file.value = "none.json"
    with pytest.raises(ValueError, match="none.json"):
        form.open()
    assert form.brief.hand == "hard"


@pytest.fixture
def box(tmp_path, monkeypatch):
    """A search over few lay-ups."""
    one = client("harbour")
    small = one.__class__(**{**vars(one), "main": one.main[:2], "accent": one.accent[:1],
                             "fretboards": one.fretboards[:2], "counts": (3, 5)})
    monkeypatch.setattr(searching, "client", lambda key: small if key == "harbour" else client(key))
    return SearchBox("harbour", tmp_path / "necks")


def test_search_stop_go_on_ask_compare_keep_and_write(box, tmp_path):
    box.start()
    box.stop()
    box._thread.join()
    first = box.found
    assert first is not None
    assert "failed" not in box.told.value
    box.start(wait=True)
    assert box.found.whole and box.bar.value == 1.0 and "lay-ups tried." in box.told.value
    assert len(box.one.options) == min(len(box.found.unbeaten), searching.SHOWN)
    box.asked.index = 1
    assert "beaten by" in box.why.value or "missed in" in box.why.value
    box.side_by_side()
    assert "Middle and 90 of 100 such necks" in box.apart.value and "weight of the guitar" in box.apart.value
    box.keep()
    kept = design_file.load(tmp_path / "necks" / "harbour.json")
    assert kept == box.chosen()
    for kind, words in (("client sheet", "possible necks meet the brief"), ("build sheet", "build sheet")):
        box.sheets.kind.value = kind
        box.sheets.button.click()
        page, = (path.read_text(encoding="utf-8") for path in box.sheets.written)
        assert words in page and box.sheets.written[0].parent == tmp_path / "necks"
        assert (client("harbour").brief.words[:30] in page) == (kind == "client sheet")


def test_before_a_search_nothing_can_be_kept(box):
    with pytest.raises(ValueError, match="after a search"):
        box.keep()


def test_time_left_in_words():
    assert time_left(3) == "a few seconds" and time_left(40) == "about 40 seconds"
    assert time_left(600) == "about 10 minutes"
