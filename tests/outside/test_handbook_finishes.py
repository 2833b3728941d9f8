"""One film resistance per finish, against finishes that were not used to set anything up.

Wood Handbook, FPL-GTR-190 (2010), Table 16-3: moisture-excluding effectiveness (%) after 1, 7 and 14 days on
ponderosa pine, read in an open copy. The film is taken from the 7-day value alone; days 1 and 14 are
predicted.
"""

from functools import cache

import numpy as np

from tonewood.tables import read_table
from tonewood.wood.finish import effectiveness

TABLE = {("latex primer wall paint", 1): (78, 37, 20), ("latex primer wall paint", 2): (86, 47, 27),
         ("latex primer wall paint", 3): (88, 55, 33), ("acrylic latex house primer", 2): (66, 14, 2),
         ("acrylic latex flat", 2): (77, 28, 11), ("acrylic latex flat", 3): (84, 39, 16),
         ("solid-color oil-based stain", 2): (84, 48, 26), ("solid-color oil-based stain", 3): (90, 64, 42),
         ("alkyd house primer", 1): (85, 46, 24), ("alkyd house primer", 2): (93, 70, 49),
         ("alkyd house primer", 3): (95, 78, 60), ("urethane varnish", 2): (83, 43, 23),
         ("urethane varnish", 3): (90, 64, 44), ("urethane varnish", 5): (93, 72, 57),
         ("urethane varnish", 6): (93, 76, 62), ("polyurethane paint", 1): (91, 66, 44),
         ("polyurethane paint", 2): (94, 79, 62), ("polyurethane paint", 3): (96, 86, 74)}


@cache
def film_from_day_7(value):
    low, high = 1e-12, 1e-5
    for _ in range(60):
        middle = np.sqrt(low * high)
        low, high = (middle, high) if effectiveness(middle, 7) > value else (low, middle)
    return np.sqrt(low * high)


def test_days_1_and_14_follow_from_day_7():
    """One-sided on day 1: a real film first fills itself, which the model leaves out, so that it lets in too
    much, most with poor barriers."""
    wrong = []
    for row, values in TABLE.items():
        read = np.array(values) / 100
        off = effectiveness(film_from_day_7(read[1]), np.array([1, 7, 14])) - read
        if not (-0.17 < off[0] < 0.01 and abs(off[1]) < 1e-6 and abs(off[2]) <= 0.06):
            wrong.append((row, off))
    assert wrong == []


def test_typical_miss():
    misses = np.array([effectiveness(film_from_day_7(b / 100), np.array([1, 14])) - np.array([a, c]) / 100
                       for a, b, c in TABLE.values()])
    assert np.sqrt(np.mean(misses[:, 1] ** 2)) < 0.035 and np.sqrt(np.mean(misses[:, 0] ** 2)) < 0.07


def test_our_urethane_row_is_the_same_test():
    ours = [row["effectiveness"] for row in read_table("finishes.csv")
            if (row["finish"], row["coats"]) == ("urethane varnish", 2)]
    assert tuple(ours) == TABLE["urethane varnish", 2]
