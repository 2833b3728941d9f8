"""Briefs: what plain wishes become in numbers, what wood cannot give, files that round-trip, refusals; two
designs side by side."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tonewood.brief import brief as briefs
from tonewood.brief.balance import Instrument, strap_balance
from tonewood.brief.body import BodyPlan, example_outline
from tonewood.brief.brief import ATTACKS, AVOID, GIVES, HANDS, LOOKS, Brief, allowed, doubts, targets
from tonewood.brief.compare import differences, in_full, side_by_side
from tonewood.brief.quick import Terms, quick_for
from tonewood.brief.rack import Rack, Shelf
from tonewood.brief.space import Space, layup_of
from tonewood.lesson.shared.shop import NECK_12, plan_stripes
from tonewood.neck.design import StringPlan
from tonewood.wood.climate import places

WHOLE = Instrument(body=BodyPlan(outline=example_outline()))
SPACE = Space(base=NECK_12, main=("hard maple", "sitka spruce"), accent=("wenge",), centre=("wenge",),
              fretboards=("ebony",), counts=(1, 3), ring_angles=(0.0,))

BRIEFS = st.builds(
    Brief, client=st.text(min_size=1).filter(str.strip), words=st.text(), hand=st.sampled_from(list(HANDS)),
    give=st.sampled_from(list(GIVES)), attack=st.sampled_from(list(ATTACKS)), look=st.sampled_from(LOOKS),
    alive=st.lists(st.tuples(st.integers(1, 6), st.integers(0, 22)), max_size=4).map(tuple),
    weight=st.none() | st.floats(0.5, 12.0), level=st.booleans(), avoid=st.sampled_from(AVOID),
    budget=st.none() | st.floats(1, 1e5), town=st.sampled_from(sorted(places())[:9]))


@settings(deadline=None, max_examples=60)
@given(BRIEFS)
def test_a_brief_comes_back_exactly_from_its_text(brief):
    assert briefs.from_text(briefs.to_text(brief)) == brief


@settings(deadline=None, max_examples=60)
@given(BRIEFS)
def test_every_wish_becomes_a_target_with_its_reason(brief):
    found = {t.quantity: t for t in targets(brief, WHOLE)}
    assert all(t.why for t in found.values())
    asked = {"rod", "seasons", "width"} | {q for q, there in (
        ("weight", brief.weight), ("balance", brief.level), ("dead notes", brief.alive),
        ("price", brief.budget), ("stock", brief.budget), ("stiffness", GIVES[brief.give]),
        ("loss factor", ATTACKS[brief.attack])) if there}
    assert set(found) == asked | ({"protected"} if brief.avoid != "nothing" else set())
    assert found["seasons"].high == HANDS[brief.hand]
    if brief.level:
        assert found["balance"].low == pytest.approx(strap_balance(0.5, *WHOLE.buttons).limit)


def test_the_instrument_to_build_on_carries_what_the_brief_settles():
    brief = Brief(client="a friend", hand="hard", town="Denver", scale_length=0.660,
                  strings=StringPlan(set="six", tuning="six, dropped D", gauge=1.1))
    base = brief.base(NECK_12)
    assert (base.town, base.scale_length, base.strings) == ("Denver", 0.660, brief.strings)
    assert base.action_bass > NECK_12.action_bass > Brief(client="a", hand="light").base(NECK_12).action_bass


def test_protected_woods_go_out():
    woods = ["hard_maple", "wenge", "indian_rosewood", "african_ebony"]
    assert allowed(Brief(client="a", avoid=AVOID[1]), ["Indian rosewood", "Wenge"]) == ("Wenge",)
    assert allowed(Brief(client="a"), woods) == tuple(woods)
    assert allowed(Brief(client="a", avoid=AVOID[1]), woods) == ("hard_maple", "wenge", "african_ebony")
    assert allowed(Brief(client="a", avoid=AVOID[2]), woods) == ("hard_maple",)


def test_what_wood_cannot_give_is_said_before_the_search():
    def keys(**wishes):
        rack = Rack(tuple(Shelf(wood=wood, price=5000.0) for wood in SPACE.woods))
        brief = Brief(client="a", **{"give": "any", "level": False} | wishes)
        return {d.key: d.numbers for d in doubts(brief, SPACE, WHOLE, rack)}

    assert keys(hand="hard") == {}
    heavy = keys(hand="hard", weight=2.0)["too heavy"]
    assert heavy["least"] > 2.0 and heavy["asked"] == 2.0
    assert "stiffness" in keys(hand="hard", give="very firm", strings=StringPlan())
    assert keys(hand="hard", budget=1.0)["money"]["least"] > 1.0
    assert {"attack", "notes"} <= set(keys(attack="sharper", alive=((1, 5),)))
    # said only where no lay-up of the space can do it
    least = heavy["least"]
    assert "too heavy" not in keys(hand="hard", weight=least * 1.01)


def test_a_file_that_is_no_brief_is_refused_naming_the_field(tmp_path):
    file = briefs.save(Brief(client="a friend", weight=3.4), tmp_path / "brief.json")
    text = file.read_text(encoding="utf-8")
    assert '"weight_kg": 3.4' in text and briefs.load(file).weight == 3.4
    for old, new, words in (('"weight_kg": 3.4', '"weight_kg": "light"', "weight_kg"),
                            ('"hand": "medium"', '"hand": "feathery"', "hand"),
                            ('"schema": "tonewood brief"', '"schema": "tonewood design"', "schema"),
                            ('"version": 1', '"version": 2', "newer edition"),
                            ('"client": "a friend",', "", "client missing")):
        assert old in text
        with pytest.raises(ValueError, match=words):
            briefs.from_text(text.replace(old, new), "brief.json")


@pytest.mark.parametrize("wrong, words", [
    ({"client": " "}, "client"), ({"weight": 3400.0}, "3.4 kg"), ({"scale_length": 648.0}, "0.648 m"),
    ({"alive": ((7, 5),)}, "string"), ({"alive": ((1, 2, 3),)}, "string, fret"), ({"hand": "firm"}, "hand"),
    ({"town": "Atlantis"}, "Atlantis"), ({"budget": -1.0}, "budget")])
def test_wishes_that_cannot_be_are_refused(wrong, words):
    with pytest.raises(ValueError, match=words):
        Brief(**{"client": "a friend", **wrong})


def test_two_designs_side_by_side():
    stiff = NECK_12.changed(name="stiff", stripes=plan_stripes("wenge", "wenge", "wenge", 7))
    soft = NECK_12.changed(name="soft", stripes=plan_stripes("western redcedar", "limba", "limba", 7))
    pair = {d.quantity: d for d in side_by_side({"stiff": stiff, "soft": soft}, WHOLE, 150)["stiff", "soft"]}
    assert pair["neck weight"].tells and pair["neck weight"].more == 1.0
    assert pair["stiffness"].tells
    same = side_by_side({"a": NECK_12, "b": NECK_12}, WHOLE, 150)["a", "b"]
    assert not any(d.tells for d in same) and all(0.3 < d.more < 0.7 for d in same)
    with pytest.raises(ValueError, match="two or three"):
        side_by_side({"a": NECK_12})


def test_more_is_the_share_of_all_pairs():
    rng = np.random.default_rng(3)
    one, other = rng.normal(1.0, 1.0, 40), rng.integers(0, 3, 30).astype(float)
    found, = differences({"stiffness": one}, {"stiffness": other})
    by_hand = np.mean([[(a > b) + 0.5 * (a == b) for b in other] for a in one])
    assert found.more == pytest.approx(by_hand)


def test_the_full_reckoning_agrees_with_the_quick_one():
    """Independent ways to the same middles: whole rooms here, a search's sums there."""
    full = in_full(NECK_12, WHOLE, 400)
    quick = quick_for(Terms(base=NECK_12, woods=layup_of(NECK_12).woods, draws=400, modes=0))(
        layup_of(NECK_12))
    for name, value, rel in (("stiffness", quick.stiffness, 0.03), ("rod", quick.effort, 0.1),
                             ("neck weight", quick.mass, 0.01), ("loss factor", quick.loss, 0.04),
                             ("seasons", quick.swing, 0.15)):
        assert np.median(full[name]) == pytest.approx(np.median(value), rel=rel), name
