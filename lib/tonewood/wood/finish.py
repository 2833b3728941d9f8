"""What a finish does: it slows moisture down. It never changes where the wood ends up (Wood Handbook, chapter
16).

The published measure is the moisture-excluding effectiveness: how much less a coated piece has gained than a
bare one after some days in damp air (100 none got in, 0 as bare). Model: the film is a resistance in series
with that of the air, one number per finish and number of coats, fitted to the published days; a slab of the
test's size is followed with and without it. Good to 6 points of effectiveness after a week or two; on the
first day it lets in too much (up to 17 points, poor barriers most), because a real film first fills itself.

Carried from the test to a room: the film passes a certain mass, so on denser wood the moisture fraction
changes more slowly (coefficient x 400 / density). Cooler air (20 against 27 C) slows it by a third; the
gentler slope of the sorption curve at middle humidity quickens it by about as much: left out.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tonewood import checks
from tonewood.constants import DAY
from tonewood.draws import Array, Draws, plain
from tonewood.remember import remember
from tonewood.tables import Row, read_table
from tonewood.wood.diffusion import uptake
from tonewood.wood.facts import rule

BARE = "bare"


@dataclass(frozen=True, kw_only=True)
class Finish:
    """A finish as a resistance to moisture.

    coefficient: of the film alone on the test wood, m/s per moisture fraction, infinite for bare wood;
    estimated, fitted to the rows of `source`.
    """

    name: str
    coats: int
    coefficient: float
    source: str

    def film(self, density: Draws) -> Draws:
        """Film and still air together on wood of `density` (kg/m3), m/s per moisture fraction. Raises
        ValueError.
        >>> f"{finish('lacquer').film(650.0):.3g}"
        '1.18e-08'
        """
        density, air = checks.density("density", density), rule("surface_emission").value
        return 1 / (1 / air + 1 / self.coefficient) * rule("finish_test_density").value / density


def effectiveness(coefficient: Draws, days: Draws) -> Draws:
    """Moisture-excluding effectiveness (fraction) of a film (coefficient, m/s per moisture fraction) after
    `days`, by the model of this module. Broadcasts. Raises ValueError.
    >>> round(effectiveness(1e-8, 7.0), 3)
    0.518
    """
    film = np.asarray(checks.unbounded("film coefficient", coefficient, 1e30, "m/s", open_low=True))
    a, D, air = (rule(name).value
                 for name in ("finish_test_thickness", "finish_test_diffusivity", "surface_emission"))
    a = a / 2
    fourier = D * DAY * np.asarray(checks.number("days", days, 0.0, unit="days", open_low=True)) / a**2
    return plain(1 - uptake(fourier, a / D / (1 / air + 1 / film)) / uptake(fourier, a * air / D))


@remember(1)
def _rows() -> dict[tuple[str, int], list[Row]]:
    """The rows of each (finish, coats), in table order."""
    found: dict[tuple[str, int], list[Row]] = {}
    for row in read_table("finishes.csv"):
        if row["finish"] != "unfinished":
            found.setdefault((row["finish"], int(row["coats"])), []).append(row)
    return found


def finishes() -> tuple[tuple[str, int], ...]:
    """The finishes that have published rows, as (name, coats) pairs, bare wood first.
    >>> finishes()[:2]
    (('bare', 0), ('paraffin wax, dipped', 1))
    """
    return ((BARE, 0), *_rows())


def _tested(name: str) -> dict[int, list[Row]]:
    """The rows of each number of coats of a finish that was tested."""
    checks.choice("finish", name, dict(finishes()))
    return {c: rows for (n, c), rows in _rows().items() if n == name}


def coats_tested(name: str) -> int:
    """The number of coats of a finish that was tested on most days; 0 for bare wood. Raises ValueError.
    >>> coats_tested("shellac")
    2
    """
    tested = _tested(name)
    return max(tested, key=lambda c: len(tested[c])) if tested else 0


@remember(64)
def finish(name: str | None, coats: int | None = None) -> Finish:
    """The Finish called `name` ('bare' or None for none). coats: as tested; None takes the number tested on
    most days.

    A finish whose published effectiveness is below 5 % on every day counts as no barrier. Raises ValueError
    with near names. Derived: least squares over the published days.
    >>> finish("shellac").coats
    2
    """
    if name in (None, BARE, "unfinished"):
        return Finish(name=BARE, coats=0, coefficient=np.inf, source="")
    tested = _tested(name)
    if coats is None:
        coats = coats_tested(name)
    elif coats not in tested:
        raise ValueError(f"coats of {name}: {coats:g} given; accepted: {', '.join(map(str, tested))}, "
                         "the numbers that were tested")
    rows = tested[coats]
    days, percent = (np.array([r[k] for r in rows]) for k in ("days", "effectiveness"))
    best = _fitted_film(days, percent / 100) if np.any(percent >= 5) else np.inf
    return Finish(name=name, coats=coats, coefficient=best, source=rows[0]["source"])


def _fitted_film(days: Array, published: Array) -> float:
    """Film coefficient (m/s) of least squares: on a grid, then on a finer one round the best."""
    grid = np.geomspace(1e-11, 1e-5, 400)
    for _ in range(2):
        miss = np.sum((effectiveness(grid[:, None], days) - published) ** 2, -1)
        best = grid[np.argmin(miss)]
        step = grid[1] / grid[0]
        grid = np.geomspace(best / step, best * step, 81)
    return float(best)
