"""What a finish does: it slows moisture down. It never changes where the wood ends up (Wood Handbook, chapter 16).

The published measure is the moisture-excluding effectiveness: how much less a coated piece has gained than a bare one after some days in damp air
(100 none got in, 0 as bare). Model: the film is a resistance in series with that of the air, one number per finish and number of coats, fitted to the
published days; a slab of the test's size is followed with and without it. Good to 6 points of effectiveness after a week or two; on the first day it lets
in too much (up to 17 points, poor barriers most), because a real film first fills itself.

Carried from the test to a room: the film passes a certain mass, so on denser wood the moisture fraction changes more slowly (coefficient x 400 / density).
Cooler air (20 against 27 C) slows it by a third; the gentler slope of the sorption curve at middle humidity quickens it by about as much: left out.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from tonewood import checks
from tonewood.tables import read_table
from tonewood.wood.diffusion import DAY, uptake
from tonewood.wood.facts import rule

BARE = "bare"


@dataclass(frozen=True)
class Finish:
    """A finish as a resistance to moisture.

    coefficient: of the film alone on the test wood, m/s per moisture fraction, infinite for bare wood. days, published, fitted: (n,) the rows used and
    what the model gives for them (effectiveness, fractions). status, source: of the rows; the coefficient itself is estimated.
    """

    name: str
    coats: int
    coefficient: float
    days: np.ndarray
    published: np.ndarray
    fitted: np.ndarray
    source: str

    def film(self, density):
        """Film and still air together on wood of `density` (kg/m3), m/s per moisture fraction. Raises ValueError."""
        density = checks.number("density", density, 50.0, 1500.0, "kg/m3")
        air = rule("surface_emission").value
        return 1 / (1 / air + 1 / self.coefficient) * rule("finish_test_density").value / density

    def table(self):
        """DataFrame: published and fitted effectiveness by day."""
        import pandas as pd
        return pd.DataFrame({"days": self.days, "published effectiveness (%)": 100 * self.published, "model (%)": 100 * self.fitted})


def effectiveness(coefficient, days):
    """Moisture-excluding effectiveness (fraction) of a film after `days`, by the model of this module. Broadcasts. Raises ValueError."""
    coefficient = np.asarray(checks.number("film coefficient", np.minimum(coefficient, 1e30), 0.0, unit="m/s", open_low=True))
    a, D, air = rule("finish_test_thickness").value / 2, rule("finish_test_diffusivity").value, rule("surface_emission").value
    fourier = D * DAY * np.asarray(checks.number("days", days, 0.0, unit="days", open_low=True)) / a**2
    value = 1 - uptake(fourier, a / D / (1 / air + 1 / coefficient)) / uptake(fourier, a * air / D)
    return float(value) if np.ndim(value) == 0 else value


@lru_cache(maxsize=1)
def _rows():
    columns = dict(finish=str, coats=float, days=float, effectiveness=float, source=str, status=str)
    return tuple(read_table("finishes.csv", columns, required=tuple(columns)))


def finishes():
    """The finishes that have published rows, as (name, coats) pairs, bare wood first."""
    return ((BARE, 0),) + tuple(dict.fromkeys((r["finish"], int(r["coats"])) for r in _rows() if r["finish"] != "unfinished"))


@lru_cache(maxsize=64)
def finish(name, coats=None):
    """The Finish called `name` ('bare' for none). coats: as tested; None takes the number of coats tested on most days.

    A finish whose published effectiveness is below 5 % on every day counts as no barrier. Raises ValueError with near names.
    """
    if name in (None, BARE, "unfinished"):
        return Finish(BARE, 0, np.inf, *(np.zeros(0),) * 3, "")
    checks.choice("finish", name, [n for n, _ in finishes()])
    tested = [c for n, c in finishes() if n == name]
    if coats is None:
        coats = max(tested, key=lambda c: sum(r["finish"] == name and r["coats"] == c for r in _rows()))
    elif coats not in tested:
        raise ValueError(f"coats of {name}: {coats:g} given; accepted: {', '.join(map(str, tested))}, the numbers that were tested")
    rows = [r for r in _rows() if r["finish"] == name and r["coats"] == coats]
    days, published = (np.array([r[k] for r in rows]) for k in ("days", "effectiveness"))
    published = published / 100
    if np.all(published < 0.05):
        return Finish(name, coats, np.inf, days, published, np.zeros_like(days), rows[0]["source"])
    grid = np.geomspace(1e-11, 1e-5, 400)
    for _ in range(2):  # least squares on a grid, then on a finer one round the best
        miss = np.sum((effectiveness(grid[:, None], days) - published) ** 2, -1)
        best = grid[np.argmin(miss)]
        step = grid[1] / grid[0]
        grid = np.geomspace(best / step, best * step, 81)
    return Finish(name, coats, float(best), days, published, effectiveness(best, days), rows[0]["source"])
