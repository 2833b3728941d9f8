"""Three invented clients, each from the brief in a file to a searched lay-up that becomes a Design."""

from dataclasses import replace
from html import escape

import numpy as np
import pytest

from tonewood.brief.balance import strap_balance, weigh
from tonewood.brief.brief import load
from tonewood.brief.compare import side_by_side
from tonewood.brief.scoring import drawn, score
from tonewood.brief.search import search
from tonewood.lesson.shared.clients import CLIENTS, client, looking, the_rack
from tonewood.lesson.shared.sheets.build_sheet import build_sheet
from tonewood.lesson.shared.sheets.client_sheet import Words, client_sheet
from tonewood.lesson.shared.wood_colours import lightness
from tonewood.tables import data_folder
from tonewood.wood.facts import protected
from tonewood.wood.species import species

each = pytest.mark.parametrize("key", CLIENTS)


@each
def test_brief_to_lay_up(key):
    """Brief from its file, a search of every tenth lay-up, the best one a Design of that geometry, its chance
    counted anew, its woods within what the brief allows and the rack holds."""
    one = client(key)
    assert one.brief == load(data_folder() / "clients" / f"{key}.json")
    space, job = one.space(), one.job(draws=40)
    assert len(space) > 500
    few = space.__class__(**{name: getattr(space, name) for name in space.__dataclass_fields__} | {
        "main": space.main[:2], "accent": space.accent[:1], "centre": space.centre[:1],
        "fretboards": space.fretboards[:1]})
    found = search(few, job)
    best = int(np.argmax(found.scores.chance))
    design = few[best].design(one.base)
    assert design.town == one.brief.town and design.strings == one.brief.strings
    fresh = score(replace(job, terms=replace(job.terms, draws=200, seed=9001)), [few[best]])
    assert float(fresh.chance[0]) == pytest.approx(found.scores.chance[best], abs=0.3)
    woods = {s.wood for s in design.stripes} | {design.fretboard.wood}
    assert woods <= set(the_rack().by_wood)
    if one.brief.avoid != "nothing":
        assert not any(protected(w, threatened="threatened" in one.brief.avoid) for w in space.woods)


@each
def test_balance_search_compare_and_sheets(key, tmp_path):
    """The whole way of one client: weighed as built, the two likeliest lay-ups of a few side by side, both
    sheets with the client's words, the woods' botanical names and a cut list of every stripe."""
    one = client(key)
    weighed = weigh(one.base, one.whole)
    strap = strap_balance(weighed.centre, *one.whole.buttons)
    assert 2.0 < weighed.mass < 6.0 and abs(float(strap.margin)) < 0.3
    space = one.space()
    layups = [space[i] for i in range(0, len(space), len(space) // 12)]
    chances = score(one.job(draws=40), layups).chance
    first, second = (layups[i].design(one.base, f"lay-up {i}") for i in np.argsort(-chances)[:2])
    pair, = side_by_side({"a": first, "b": second}, one.whole, draws=60).values()
    assert {"weight", "balance", "stiffness", "seasons"} <= {d.quantity for d in pair}
    page = client_sheet(first, Words(client=one.brief.client, why=one.brief.words)).html
    assert escape(one.brief.words)[:60] in page
    for wood in {s.wood for s in first.stripes} | {first.fretboard.wood}:
        assert species(wood).botanical.split()[0] in page
    build = build_sheet(first).save(tmp_path / "build.html")[0].read_text(encoding="utf-8")
    assert all(f">{i + 1}<" in build or f"stripe {i + 1}" in build.lower() for i in range(len(first.stripes)))


@each
def test_limits_can_be_moved_afterwards(key):
    one = client(key)
    layups = [one.space()[i] for i in (0, 50)]
    job = one.job(draws=30)
    values = drawn(job, layups)
    must = [t.met(values[t.quantity]) for t in job.targets if t.must]
    assert values["weight"].shape == (2, 30)
    assert np.mean(np.logical_and.reduce(must), axis=1) == pytest.approx(score(job, layups).chance)


def test_looks_are_by_lightness():
    # CIE lightness of white, black and of grey #777777, which is 50 by the published formula
    assert [round(lightness(c), 2) for c in ("#ffffff", "#000000", "#777777")] == [1.0, 0.0, 0.5]
    assert looking(("hard_maple", "wenge", "sapele"), "dark") == ("wenge", "sapele")
    assert looking(("hard_maple",), "dark") == ("hard_maple",)
    with pytest.raises(ValueError, match="client"):
        client("nobody")
