"""Vapour pressure, room air and towns against figures from elsewhere.

Saturation pressure: steam tables, 0.6117, 1.2282, 2.3393, 4.2470 kPa at 0.01, 10, 20, 30 C (IAPWS values as
printed in thermodynamics texts; remembered). Indoor humidity: vapour averaged hour by hour against the
monthly means only. Statement of Brown and Rose, APT Bulletin 27(3) (1997): in most of the northern hemisphere
above 35 degrees north, heating to 18 C takes rooms without humidifiers below 20 % for part of the winter.
Outdoor equilibrium of US cities: table of Mitchell (NC State), normals 1981 to 2010, against the towns'
temperature and humidity. Hours of cooling: typical years gone through hour by hour (IWEC). Humidity measured
in homes: data/indoor_humidity.csv.
"""

import numpy as np
import pytest

from tonewood.tables import read_table
from tonewood.wood.climate import (
    cooling_hours,
    indoor,
    place,
    places,
    room,
    saturation_pressure,
)

MEASURED = [place(name) for name in places()]


def test_saturation_pressure_against_steam_tables():
    found = saturation_pressure(np.array([0.01, 10, 20, 30]))
    assert found == pytest.approx([611.7, 1228.2, 2339.3, 4247.0], rel=4e-3)


def test_room_humidity_from_monthly_means():
    gap = np.concatenate([(p.humidity * saturation_pressure(p.temperature) - p.vapour_pressure)
                          / saturation_pressure(np.maximum(p.temperature, 20.0))
                          for p in MEASURED if not np.isnan(p.vapour).any()])
    assert len(gap) > 850
    assert abs(gap.mean()) < 0.005 and gap.std() < 0.015 and np.abs(gap).max() < 0.06


def test_rooms_below_twenty_percent_for_part_of_the_winter():
    north_cold = ["Helsinki", "Stockholm", "Chicago", "Denver", "Boston", "Pittsburgh", "Montreal", "Beijing"]
    driest = {name: np.min(place(name).vapour_pressure) / saturation_pressure(18.0) for name in north_cold}
    assert max(driest.values()) < 0.22 and sum(v < 0.20 for v in driest.values()) >= 7


SINGLE = "single months of one typical year"
EXCEPTIONS = {"Atlanta": (1.9, SINGLE), "Charlotte": (1.6, SINGLE), "Dallas": (1.9, SINGLE),
              "Denver": (2.6, SINGLE), "Honolulu": (2.2, SINGLE), "Memphis": (2.1, SINGLE),
              "Portland": (2.7, SINGLE), "Seattle": (1.8, SINGLE),
              "San Francisco": (2.5, "generated year, damp summer fog missed"),
              "Los Angeles": (5.6, "airport on the coast, the published row is the town's")}
"""Towns whose equilibrium leaves the published one by more than 1.5 % moisture in a month: how far, why."""


def test_towns_against_the_published_equilibrium_of_the_same_city():
    published = {name.split(",")[0]: place(name).moisture for name in places(indoor=False) if ", " in name}
    found = {p.name: 100 * (p.moisture - published[p.name]) for p in MEASURED if p.name in published}
    assert len(found) == 20
    for name, gap in found.items():
        limit = EXCEPTIONS.get(name, (1.5, ""))[0]
        assert np.abs(gap).max() < limit + 0.06, name
        assert name == "Los Angeles" or abs(gap.mean()) < 1.15, name
    assert sorted(EXCEPTIONS) == sorted(name for name, gap in found.items() if np.abs(gap).max() > 1.55)


def test_denver_in_winter_is_as_dry_as_its_published_equilibrium():
    """Published 10.1 % in January, which is air near 53 %; the station used before said 74 %."""
    assert place("Denver, CO").moisture[0] == pytest.approx(0.101)
    assert 0.45 < place("Denver").humidity[0] < 0.55


HOURLY = {"Seville": ([11.7, 12.4, 13.9, 17.8, 22.1, 28.6, 29.4, 29.8, 26.1, 23.1, 15.1, 11.9],
                      [3, 9, 12, 40, 70, 97, 100, 100, 92, 85, 23, 4],
                      [1136, 1139, 1245, 1385, 1436, 1812, 2003, 1830, 1498, 1789, 1319, 1211],
                      [1131, 1139, 1243, 1353, 1357, 1391, 1398, 1385, 1271, 1446, 1260, 1208]),
          "Sydney": ([22.0, 22.9, 21.3, 18.7, 15.9, 13.4, 12.3, 13.6, 15.3, 18.4, 19.8, 21.2],
                     [90, 97, 87, 50, 28, 5, 6, 15, 19, 44, 71, 81],
                     [1770, 1968, 1875, 1588, 1376, 1079, 922, 992, 1141, 1209, 1463, 1798],
                     [1395, 1403, 1427, 1430, 1310, 1077, 921, 992, 1123, 1155, 1271, 1387]),
          "Gatwick": ([4.4, 3.9, 6.8, 8.3, 12.5, 15.0, 17.3, 16.7, 13.8, 10.6, 7.8, 5.1],
                      [0, 0, 0, 0, 13, 20, 39, 34, 11, 1, 0, 0],
                      [699, 701, 783, 841, 1049, 1182, 1451, 1402, 1177, 1114, 946, 805],
                      [699, 701, 783, 841, 1042, 1163, 1397, 1363, 1176, 1112, 946, 805])}
"""Typical years by month: mean temperature (C), hours above 18 C (%), mean vapour (Pa), mean vapour with the
hours above 18 C limited to a dew point of 12 C (Pa)."""


@pytest.mark.parametrize("name", HOURLY)
def test_cooling_hours_against_hour_by_hour(name):
    outside, hours, vapour, capped = np.array(HOURLY[name], dtype=float)
    assert cooling_hours(outside, 24.0) == pytest.approx(hours / 100, abs=0.145)
    found = room(outside, vapour, 20.0, 0.0, 24.0)
    gap = (found.humidity * saturation_pressure(found.temperature) - capped) / saturation_pressure(24.0)
    assert np.all(gap < 0.055) and np.all(gap > -0.005) and gap.mean() < 0.02


MISSED = {("Delhi", "summer"), ("Mumbai", "hot/wet"), ("Midland", "winter"), ("Wollongong", "autumn"),
          ("Wollongong", "summer")}


def test_rooms_against_homes_measured():
    """The room without cooling against the middle four fifths of the readings (or the range told): 18 of 23
    inside. Missed: summer in Delhi (months assumed: April to July), the monsoon in Mumbai (72 %, not 84),
    flats of the English Midlands in winter (62 %, not 41), a home for the aged in summer and autumn. Homes
    with a conditioner used now and then (mixed mode) mostly read damper than cooling all day would make them;
    no home cooled all day was measured."""
    rows = read_table("indoor_humidity.csv")
    missed, between = set(), []
    for row in rows:
        pick = np.array([int(month) for month in row["months"].split(";")]) - 1
        bare, cooled = (100 * indoor(row["town"], cooled=on).humidity[pick].mean() for on in (False, True))
        if not row["low"] <= bare <= row["high"]:
            missed.add((row["measured_in"], row["season"]))
        if row["conditioning"] == "mixed mode":
            between.append(row["humidity"] - cooled)
    assert len(rows) == 23 and missed == MISSED
    assert np.mean(np.array(between) > 0) > 0.6
