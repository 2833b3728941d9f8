"""One thing has one name and one unit in every lesson."""

from collections import defaultdict
from importlib import import_module

import pytest

from tonewood.panel import style

LESSONS = ("whole_neck.figure", "one_board.figure", "grain.figure", "laying_up.figure", "string_pull.figure",
           "string_pull.faults", "client_year.figure", "shared.ledger_figure",
           "ring_and_decay.figure", "first_moment.figure")


def test_a_control_of_one_name_shows_one_unit():
    units = defaultdict(set)
    for lesson in LESSONS:
        for control in import_module(f"tonewood.lesson.{lesson}").controls().values():
            units[control.name].add(getattr(control, "_shown_unit", control.unit))
    assert {"Ring angle", "Stripes", "String age", "Neck depth at the nut"} <= set(units)
    assert {name: found for name, found in units.items() if len(found) > 1} == {}


def test_strings_are_listed_alike():
    ring, attack = (import_module(f"tonewood.lesson.{lesson}").controls()["string"] for lesson
                    in ("ring_and_decay.figure", "first_moment.figure"))
    assert [shown for shown, _ in ring.options] == [shown for shown, _ in attack.options]


def test_string_age_is_shown_in_percent_and_kept_as_a_fraction():
    age = import_module("tonewood.lesson.ring_and_decay.figure").controls()["age"]
    age._box.value = "40"
    assert age.value == pytest.approx(0.4) and age.shown == 40.0
    assert age.meaning().startswith("0 to 100 %: 0 new, 100 well played")


def test_a_number_keeps_its_percent_sign():
    assert style.together("from 3 % to 40 %.") == "from 3\u00a0% to 40\u00a0%."
