"""Places, rooms and the workshop."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tonewood.wood.climate import brought_indoors, indoor, place, places, saturation_pressure, workshop
from tonewood.wood.facts import citation, rule
from tonewood.wood.moisture import equilibrium_moisture

MEASURED = [place(name) for name in places()]


def test_every_place_has_twelve_months_and_a_source():
    assert len(places()) >= 15 and len(places(indoor=False)) >= 50
    for name in places(indoor=False):
        moisture = place(name).moisture
        assert moisture.shape == (12,) and np.all((moisture > 0.02) & (moisture < 0.25))
        assert citation(place(name).source)


def test_heated_in_winter_is_dry():
    """The table's own column: Stockholm January 19 %, Chicago 15 %, Denver December 13 %, Zurich January 24 %
    at 20 C with nobody in the room."""
    for name, month, humidity in (("Stockholm", 1, 0.19), ("Chicago", 1, 0.15),
                                  ("Denver (Aurora)", "December", 0.13), ("Zurich", 1, 0.24)):
        assert indoor(name, month, added=0.0).humidity == pytest.approx(humidity, abs=1e-9)


def test_people_make_it_damper_and_by_no_more_than_they_add():
    bare, lived_in = indoor("Helsinki", added=0.0), indoor("Helsinki", added=0.10)
    gain = lived_in.humidity - bare.humidity
    assert np.all((gain > 0) & (gain <= 0.10 + 1e-12))
    assert gain[0] == pytest.approx(0.10) and gain[6] < 0.03


def test_colder_rooms_of_the_same_air_are_damper():
    assert indoor("Zurich", 1, temperature=16.0).humidity > indoor("Zurich", 1, temperature=22.0).humidity


def test_summer_room_is_as_warm_as_outdoors_unless_cooled():
    hot = indoor("Singapore", 7)
    assert hot.temperature == pytest.approx(28.1) and hot.humidity == pytest.approx(0.83, abs=0.005)
    cool = indoor("Singapore", 7, temperature=22.0, cooled=True)
    assert cool.temperature == 22.0 and cool.dried
    coil = saturation_pressure(rule("cooled_dew_point").value)
    assert cool.humidity == pytest.approx(coil / saturation_pressure(22.0))


def test_humidifier_holds_the_room():
    held = indoor("Denver (Aurora)", held=(0.40, 0.50))
    assert np.all((held.humidity >= 0.40) & (held.humidity <= 0.50)) and held.humidity.min() == 0.40
    assert held.moisture == pytest.approx(equilibrium_moisture(held.temperature, held.humidity))


def test_workshop_targets():
    """Wood at the workshop's 45 % settles at 8.5 %, at 35 and 65 % at 7.0 and 12.0 (20 C)."""
    assert 100 * workshop().moisture == pytest.approx(8.485, rel=1e-3)
    assert 100 * workshop(np.array([0.35, 0.65])).moisture == pytest.approx([7.0, 12.0], abs=0.06)
    assert rule("workshop_humidity").limits == (0.35, 0.65) and workshop().humidity == 0.45


@settings(max_examples=50, deadline=None)
@given(st.floats(-20, 30), st.floats(0.05, 1.0), st.floats(10, 30))
def test_vapour_is_kept(outside, humidity, inside):
    h = brought_indoors(outside, humidity, inside)
    kept = humidity * saturation_pressure(outside)
    assert h * saturation_pressure(inside) == pytest.approx(min(kept, saturation_pressure(inside)), rel=1e-12)


def test_town_names_without_suffix():
    names = {given: place(given).name for given in ("denver", "Portland", "Chicago")}
    assert names == {"denver": "Denver (Aurora)", "Portland": "Portland, OR", "Chicago": "Chicago"}


def test_tables_print():
    assert len(indoor("Lisbon").table()) == 12 and len(place("Phoenix").table()) == 12


@pytest.mark.parametrize("call, words", [
    (lambda: place("Stokholm"), "Did you mean 'Stockholm"),
    (lambda: place("Atlantis"), "one of the 53 places"),
    (lambda: indoor("Phoenix"), "no temperature; accepted for a room"),
    (lambda: indoor("Lisbon", 13), "month: 13"),
    (lambda: indoor("Lisbon", "Juni"), "January"),
    (lambda: indoor("Lisbon", 1.5), "whole number"),
    (lambda: indoor("Lisbon", 1, temperature=70), "Fahrenheit"),
    (lambda: indoor("Lisbon", 1, added=10), "Did you mean 0.1"),
    (lambda: indoor("Lisbon", 1, held=(0.5, 0.4)), "lower value first"),
    (lambda: indoor("Lisbon", 1, held=(40, 50)), "Did you mean 0.4"),
    (lambda: workshop(45), "Did you mean 0.45"),
    (lambda: saturation_pressure(300), "temperature"),
    (lambda: brought_indoors(5, 80), "Did you mean 0.8"),
])
def test_bad_input_is_named(call, words):
    with pytest.raises(ValueError, match=words):
        call()
