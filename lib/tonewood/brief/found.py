"""What a search found: the lay-ups that none beats in everything, and why any other is not among them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from tonewood import checks
from tonewood.brief.scoring import PLAIN, QUANTITIES, Job, Scores, Target
from tonewood.brief.space import LayUp, Space
from tonewood.draws import Array

if TYPE_CHECKING:
    import pandas


@dataclass(frozen=True, eq=False, kw_only=True)
class Found:
    """What a search found: scores of every lay-up of the space, in its order, and how long it took (s)."""

    space: Space
    job: Job
    scores: Scores
    seconds: float
    again: int = 0
    """Bundles that were handed out again because a worker died."""

    @property
    def whole(self) -> bool:
        """Whether every lay-up was worked out."""
        return bool(self.scores.done.all())

    @property
    def aims(self) -> tuple[Array, tuple[str, ...]]:
        """(values (N, A), names): what lay-ups are compared in, more is better: the chance of all hard
        limits, of each wish, and the price with a minus sign if there is a rack."""
        s, wishes = self.scores, [i for i, t in enumerate(self.job.targets) if not t.must]
        columns, names = [s.chance], ["all hard limits"]
        for i in wishes:
            columns.append(s.each[:, i])
            names.append(f"{self.job.targets[i].quantity}, wish")
        if self.job.rack is not None:
            columns.append(-s.bands[:, 1, list(QUANTITIES).index("price")])
            names.append("price")
        return np.stack(columns, -1), tuple(names)

    @cached_property
    def unbeaten(self) -> NDArray[np.intp]:
        """Numbers of the lay-ups that none beats in everything, likeliest to meet the brief first; lay-ups
        with no chance at all are left out. Non-dominated set: moocore."""
        import moocore

        values, _ = self.aims
        able = np.flatnonzero(self.scores.done & (self.scores.chance > 0))
        if able.size:
            able = able[moocore.is_nondominated(np.ascontiguousarray(values[able]), maximise=True,
                                                keep_weakly=True)]
        return able[np.lexsort(-values[able].T[::-1])]

    def beaten_by(self, number: int) -> NDArray[np.intp]:
        """The number in the space of every lay-up at least as good in every aim and better in one: the
        definition of being dominated."""
        values, _ = self.aims
        there = self.scores.done & np.all(values >= values[number], axis=1)
        return np.flatnonzero(there & np.any(values > values[number], axis=1))

    def why_not(self, layup: LayUp | int) -> list[str]:
        """Why a lay-up is not among the unbeaten, one line each: the hard limits it fails and in how many of
        a hundred necks, and the lay-up that beats it with what it does better. Empty if it is among them.
        Raises ValueError for one that was not searched."""
        number = layup if isinstance(layup, int) else self.space.place(layup)
        if not self.scores.done[number]:
            return ["not worked out: the search was stopped before"]
        if number in self.unbeaten:
            return []
        said = []
        for i, t in enumerate(self.job.targets):
            missed = 1 - self.scores.each[number, i]
            if t.must and missed > 0:
                low, middle, high = self.shown(number, t.quantity)
                asked = self.asked(t)
                told = f"{middle:.4g}" if t.quantity in PLAIN else f"{middle:.4g} ({low:.4g} to {high:.4g})"
                said.append(f"{t.quantity}: {told} {QUANTITIES[t.quantity][0]}, asked {asked}; missed in "
                            f"{100 * missed:.0f} of 100 necks")
        if (others := self.beaten_by(number)).size:
            values, names = self.aims
            best = int(others[np.lexsort(-values[others].T[::-1])[0]])
            better = [f"{name} {abs(values[best, k]):.2f} beside {abs(values[number, k]):.2f}"
                      for k, name in enumerate(names) if values[best, k] > values[number, k]]
            said.append(f"beaten by {self.space[best].words()}: {', '.join(better)}, worse in nothing")
        return said

    def shown(self, number: int, quantity: str) -> Array:
        """5, 50 and 95 % points (3,) of a quantity of a lay-up, in the unit people see. Raises ValueError."""
        at = list(QUANTITIES).index(checks.choice("quantity", quantity, QUANTITIES))
        return self.scores.bands[number, :, at] * QUANTITIES[quantity][1]

    @staticmethod
    def asked(target: Target) -> str:
        """A target's limits in words and people's unit."""
        unit, factor = QUANTITIES[target.quantity]
        low, high = (None if v is None else v * factor for v in (target.low, target.high))
        if low is None:
            told = f"at most {high:.4g}"
        else:
            told = f"at least {low:.4g}" if high is None else f"{low:.4g} to {high:.4g}"
        return f"{told} {unit}".strip()

    def table(self, most: int = 20) -> pandas.DataFrame:
        """DataFrame: the unbeaten lay-ups, likeliest first, their chance (of 100 necks) and the middle of
        every quantity that is asked for."""
        import pandas as pd

        asked = list(dict.fromkeys(t.quantity for t in self.job.targets))
        rows = []
        for number in self.unbeaten[:most]:
            row: dict[str, Any] = {"lay-up": self.space[int(number)].words(),
                                   "meets the brief (of 100 necks)": 100 * self.scores.chance[number]}
            for q in asked:
                row[f"{q} ({QUANTITIES[q][0]})".replace(" ()", "")] = self.shown(int(number), q)[1]
            rows.append(row)
        return pd.DataFrame(rows)
