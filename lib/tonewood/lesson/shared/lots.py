"""A client's lay-ups with every possible neck kept: limits can be moved and the necks counted anew."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tonewood.brief.brief import GIVES, HANDS, RANGE, ROD_RESERVE
from tonewood.brief.scoring import Job, drawn
from tonewood.brief.space import LayUp
from tonewood.draws import Array
from tonewood.lesson.shared.clients import CLIENTS, client
from tonewood.remember import remember

FEW, DRAWS = 96, 100
"""Lay-ups behind the sliders, spread over the whole space, and possible necks of each."""
START = "harbour"
RANGES = {"weight": (2.0, 6.0, 0.05), "swing": (0.02, 0.40, 0.01), "rod": (10.0, 100.0, 5.0),
          "soft": (100.0, 1400.0, 20.0), "stiff": (160.0, 2000.0, 20.0), "price": (5.0, 100.0, 1.0)}
"""Lowest, highest and step of the sliders, people's units."""
LIMITS = {"weight": ("weight", "too heavy"), "swing": ("seasons", "moves too much"),
          "rod": ("rod", "needs too much rod"), "soft": ("stiffness", "too soft"),
          "stiff": ("stiffness", "too stiff"), "price": ("price", "too dear")}
"""Of each slider: the quantity it limits, and what a neck is that misses it."""


@dataclass(frozen=True, eq=False)
class Lot:
    """Some lay-ups of one client: numbers in its space, lay-ups, every quantity in every neck (N, D), SI."""

    numbers: tuple[int, ...]
    layups: tuple[LayUp, ...]
    values: dict[str, Array]
    job: Job


@remember(6)
def lot(who: str = START, count: int = FEW, draws: int = DRAWS) -> Lot:
    """`count` lay-ups spread over a client's space, in `draws` possible necks each."""
    one = client(who)
    space, job = one.space(), one.job(draws=draws)
    # a fixed shuffle: neighbours in the space are alike
    order = np.random.default_rng(5).permutation(len(space))[:count]
    numbers = tuple(sorted(int(i) for i in order))
    layups = tuple(space[i] for i in numbers)
    return Lot(numbers, layups, drawn(job, layups), job)


def defaults(who: str = START) -> dict[str, Any]:
    """Start values of the controls: the client's own brief."""
    brief = client(who).brief
    low, high = GIVES[brief.give] or (100.0, 2000.0)
    factor = RANGE.get(brief.strings.set, 1.0)
    return {"who": who, "weight": brief.weight or 6.0, "swing": 1e3 * HANDS[brief.hand],
            "rod": 100 * ROD_RESERVE, "soft": round(low * factor / 20) * 20.0,
            "stiff": round(high * factor / 20) * 20.0, "price": 40.0}


def follow(who: str) -> dict[str, Any]:
    """What goes with a change of client."""
    return {name: value for name, value in defaults(who).items() if name != "who"}


@dataclass(frozen=True, eq=False)
class Counted:
    """Of the lay-ups of a lot: chance (N,) that a neck meets all limits; missed {slider: (N,) share of necks
    that miss that limit}; middle weight (kg) and stiffness (N m2), (N,); best: index of the likeliest."""

    lot: Lot
    chance: Array
    missed: dict[str, Array]
    weight: Array
    stiffness: Array

    @property
    def best(self) -> int:
        """Index in the lot of the likeliest lay-up."""
        return int(np.argmax(self.chance))

    @property
    def able(self) -> NDArray[np.intp]:
        """Indices of lay-ups with a chance of at least a half, likeliest first."""
        order = np.argsort(-self.chance, kind="stable")
        return order[self.chance[order] >= 0.5]


def counted(who: str, weight: float, swing: float, rod: float, soft: float, stiff: float,
            price: float) -> Counted:
    """The necks of a client's lay-ups counted against these limits (people's units)."""
    here = lot(who)
    v = here.values
    misses = {"weight": v["weight"] > weight, "swing": 1e3 * v["seasons"] > swing,
              "rod": 100 * v["rod"] > rod, "soft": v["stiffness"] < soft, "stiff": v["stiffness"] > stiff,
              "price": v["price"] > price}
    others = (v["dead notes"] > 0.5) | (v["protected"] > 0)
    good = ~np.logical_or.reduce([*misses.values(), others])
    return Counted(here, good.mean(-1), {name: miss.mean(-1) for name, miss in misses.items()},
                   np.median(v["weight"], -1), np.median(v["stiffness"], -1))


def start_table() -> list[tuple[str, float, float]]:
    """(client's title, best chance, share of its lay-ups with a chance of at least a half) by their own
    briefs."""
    found = []
    for who in CLIENTS:
        start = defaults(who)
        c = counted(**start)
        found.append((client(who).title, float(c.chance.max()), float(np.mean(c.chance >= 0.5))))
    return found
