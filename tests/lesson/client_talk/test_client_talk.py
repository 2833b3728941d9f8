"""The client's page: four choices answered from the rack, wishes given up are said, two necks beside each
other."""

import numpy as np
import pytest

from tonewood.lesson.client_talk.figure import sentence, your_neck
from tonewood.lesson.client_talk.model import COLOURS, FEELS, WEIGHTS, answer, defaults, other
from tonewood.lesson.client_talk.talk import two_necks
from tonewood.lesson.shared.clients import CLIENTS, client
from tonewood.lesson.shared.lots import lot
from tonewood.wood.facts import protected


@pytest.mark.parametrize("who", CLIENTS)
def test_the_lightest_wish_is_lighter_and_no_wish_is_likelier_than_none(who):
    start = defaults(who)
    light, any_weight = (answer(**{**start, "weight": w}) for w in ("as light as can be", "I do not mind"))
    assert light.weight[1] <= any_weight.weight[1] + 1e-9
    assert answer(**{**start, "weight": "I do not mind"}).chance >= light.chance
    assert answer(**{**start, "feel": "I do not mind"}).chance >= answer(**start).chance


def test_the_chance_is_counted_from_the_same_necks():
    """By hand for one setting: the lot's necks, limit by limit."""
    start = {**defaults("studio"), "feel": "I do not mind", "weight": "I do not mind", "colour": "any colour"}
    v = lot("studio").values
    good = (v["seasons"] <= 0.0002) & (v["rod"] <= 0.6) & (v["protected"] == 0) & (v["dead notes"] < 0.5)
    assert answer(**start).chance == pytest.approx(good.mean(-1).max())


def test_every_setting_of_every_client_answers_with_woods_the_brief_allows():
    for who in CLIENTS:
        avoid = client(who).brief.avoid
        for feel in FEELS:
            for colour in COLOURS:
                now = answer(who, feel, list(WEIGHTS)[1], colour)
                woods = [s.wood for s in now.design.stripes]
                assert 0 <= now.chance <= 1 and np.all(np.diff(now.weight) >= 0)
                if avoid != "nothing":
                    assert not any(protected(w, threatened="threatened" in avoid) for w in woods)
                assert ("given up" in sentence(who, now)) == bool(now.given_up)


def test_a_wish_the_rack_cannot_meet_is_said():
    dark = answer("harbour", "in between", "light", "dark")
    assert "no wood of this rack" in dark.given_up
    firm = answer("theatre", "firm", "light", "any colour")
    assert firm.chance >= 0.05 or "thicker" in firm.given_up or not firm.given_up


def test_two_necks_are_compared_heard_and_taken_home():
    live = your_neck()
    talk = two_necks(live)
    names = list(talk.designs())
    assert len(names) == 2 and other(live.values["feel"]) in names[1]
    talk.differences()
    assert "these two apart" in talk.told.value or "of 100 pairs" in talk.told.value
    talk.listen()
    assert talk._heard.children and names[0] in str(talk._heard.children[0].children[2].children[0].value)
    talk.home()
    assert talk._home.children
    live.close()


def test_choices_move_the_picture_and_a_change_of_client_brings_their_wishes():
    live = your_neck()
    before = live.png
    live.set(who="theatre")
    assert live.png != before and live.values["colour"] == defaults("theatre")["colour"]
    assert "Lisbon" in live.sentence
    live.close()
