"""Places, rooms and the workshop."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tonewood.wood.climate import (
    cooling_hours,
    indoor,
    place,
    places,
    room,
    saturation_pressure,
    workshop,
)
from tonewood.wood.facts import citation, rule
from tonewood.wood.moisture import equilibrium_moisture

MEASURED = [place(name) for name in places()]


def test_every_place_has_twelve_months_and_a_source():
    assert len(places()) == 80 and len(places(indoor=False)) == 116
    for name in places(indoor=False):
        moisture = place(name).moisture
        assert moisture.shape == (12,) and np.all((moisture > 0.02) & (moisture < 0.25))
        assert citation(place(name).source)


def test_towns_of_every_continent_by_continent_and_country():
    towns = [place(name) for name in places()]
    assert {"UK", "Ireland", "Canada", "France", "Italy", "Brazil", "Australia", "China", "South Korea",
            "USA"} <= {town.country for town in towns}
    order = [(town.continent, town.country, town.name) for town in towns]
    assert order == sorted(order) and len({continent for continent, *_ in order}) == 6
    assert {"Houston", "Atlanta", "Dallas", "Miami", "New Orleans", "Memphis"} <= set(places())
    assert not [town.name for town in towns if town.status == "from memory"]


def test_homes_as_usual_there():
    """Share of homes with cooling: the figure of the table decides; no figure, no cooling."""
    cooled = {name: place(name).home.cooled for name in (
        "Chicago", "Houston", "Tokyo", "Sydney", "London", "Stockholm", "Bogota", "Delhi")}
    assert [name for name, on in cooled.items() if on] == ["Chicago", "Houston", "Tokyo", "Sydney"]
    assert place("Chicago").home.cooled_share["value"] == 90 and place("Bogota").home.cooled_share is None
    assert place("London").home.heated == 19 and place("London").home.heated_to["status"] == "estimated"
    for name in ("Chicago", "London"):
        usual, said = indoor(name), indoor(name, temperature=place(name).home.heated, cooled=cooled[name])
        assert np.array_equal(usual.humidity, said.humidity)
    assert place("Denver, CO").home is None


def test_heated_in_winter_is_dry():
    """Vapour averaged hour by hour: Stockholm January 19 %, Chicago 15 %, Zurich January 24 % at 20 C with
    nobody in the room."""
    for name, month, humidity in (("Stockholm", 1, 0.19), ("Chicago", 1, 0.15), ("Zurich", 1, 0.24)):
        assert indoor(name, month, added=0.0).humidity == pytest.approx(humidity, abs=0.005)


def test_people_make_it_damper_and_by_no_more_than_they_add():
    bare, lived_in = indoor("Helsinki", added=0.0), indoor("Helsinki", added=0.10)
    gain = lived_in.humidity - bare.humidity
    assert np.all((gain > 0) & (gain <= 0.10 + 1e-12))
    assert gain[0] == pytest.approx(0.10) and gain[6] < 0.03


def test_colder_rooms_of_the_same_air_are_damper():
    assert indoor("Zurich", 1, temperature=16.0).humidity > indoor("Zurich", 1, temperature=22.0).humidity


COIL = saturation_pressure(rule("cooled_dew_point").value)


def test_summer_room_is_as_warm_as_outdoors_unless_cooled():
    hot = indoor("Singapore", 7, cooled=False)
    assert hot.temperature == pytest.approx(28.1) and hot.humidity == pytest.approx(0.83, abs=0.01)
    cool = indoor("Singapore", 7, cooled=True)
    assert cool.temperature == pytest.approx(24.0, abs=0.01)
    assert cool.humidity == pytest.approx(COIL / saturation_pressure(24.0), abs=0.005)


def test_ends_of_cooling():
    """No hours of cooling: the room without a conditioner. All hours: at the thermostat, vapour at the coil's
    dew point or below. Half the hours: half-way between in vapour."""
    cold, hot, half = 24.0 - 60.0, 24.0 + 40.0, 24.0 - rule("free_heat").value
    assert cooling_hours(np.array([cold, half, hot]), 24.0) == pytest.approx([0.0, 0.5, 1.0], abs=1e-12)
    with_it, without = (room(cold, 300.0, 20.0, 0.1, to) for to in (24.0, None))
    assert (with_it.humidity, with_it.temperature) == pytest.approx((without.humidity, without.temperature))
    for vapour in (900.0, 2500.0):
        found = room(45.0, vapour, 20.0, 0.1, 24.0)
        kept = min(vapour, COIL)
        assert found.temperature == pytest.approx(24.0, abs=1e-6)
        assert found.humidity == pytest.approx(kept / saturation_pressure(24.0), rel=1e-6)
    halved = room(half, 2000.0, 20.0, 0.0, 24.0)
    assert halved.humidity * saturation_pressure(halved.temperature) == pytest.approx((2000.0 + COIL) / 2)


def test_cooling_is_continuous_and_monotone():
    """Across thermostat and heating, 22 C among them: no jump between neighbouring tenths of a degree; warmer
    outdoors never damper indoors at the same vapour, more vapour outdoors never drier."""
    outside, vapour = np.linspace(-10.0, 35.0, 4501), np.array([[500.0], [1500.0], [2500.0]])
    for to in (22.0, 24.0):
        found = room(outside, vapour, 20.0, 0.1, to)
        assert np.abs(np.diff(found.humidity)).max() < 0.003 and np.all(np.diff(found.humidity) < 1e-12)
        assert np.all(np.diff(found.humidity, axis=0) > -1e-12)
        assert np.all(np.diff(found.temperature) > -1e-12)
        bare = room(outside, vapour, 20.0, 0.1)
        gain = (found.humidity * saturation_pressure(found.temperature)
                - bare.humidity * saturation_pressure(bare.temperature))
        assert np.all(gain[vapour <= saturation_pressure(outside)] < 1e-9), "cooling never adds vapour"


def test_a_house_cooled_to_22_degrees_has_no_saw_teeth():
    """Chicago: the mean of one summer month lies above 22 C, of the others below: switched by the mean it
    would read 59, 53, 73, 59 %."""
    summer = indoor("Chicago", temperature=22.0, cooled=True, cooled_to=22.0).humidity[5:9]
    assert np.ptp(summer) < 0.02 and 0.50 < summer.mean() < 0.58


def test_a_thermostat_below_the_heating_is_the_heating():
    assert room(26.0, 1800.0, 22.0, 0.1, 18.0).temperature == room(26.0, 1800.0, 22.0, 0.1, 22.0).temperature


def test_humidifier_holds_the_room():
    held = indoor("Denver", held=(0.40, 0.50))
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
    vapour = humidity * saturation_pressure(outside)
    found = room(outside, vapour, inside, added=0.0)
    full = saturation_pressure(found.temperature)
    assert found.humidity * full == pytest.approx(min(vapour, full), rel=1e-12)


def test_town_names_without_suffix():
    names = {given: place(given).name for given in ("denver", "Portland", "Chicago")}
    assert names == {"denver": "Denver", "Portland": "Portland", "Chicago": "Chicago"}
    assert place("Denver (Aurora)").name == "Denver" and place("Detroit").name == "Detroit, MI"


def test_tables_print():
    assert len(indoor("Lisbon").table()) == 12 and len(place("Phoenix, AZ").table()) == 12


@pytest.mark.parametrize("call, words", [
    (lambda: place("Stokholm"), "Did you mean 'Stockholm"),
    (lambda: place("Atlantis"), "one of the 116 places"),
    (lambda: indoor("Phoenix, AZ"), "no temperature; accepted for a room"),
    (lambda: indoor("Lisbon", 13), "month: 13"), (lambda: indoor("Lisbon", "Juni"), "January"),
    (lambda: indoor("Lisbon", 1.5), "whole number"), (lambda: indoor("Lisbon", 1, temperature=70),
                                                      "Fahrenheit"),
    (lambda: indoor("Lisbon", 1, cooled=True, cooled_to=75), "Fahrenheit"),
    (lambda: indoor("Lisbon", 1, added=10), "Did you mean 0.1"),
    (lambda: indoor("Lisbon", 1, held=(0.5, 0.4)), "lower value first"),
    (lambda: indoor("Lisbon", 1, held=(40, 50)), "Did you mean 0.4"),
    (lambda: workshop(45), "Did you mean 0.45"), (lambda: saturation_pressure(300), "temperature")
])
def test_bad_input_is_named(call, words):
    with pytest.raises(ValueError, match=words):
        call()
