"""What the brief asks of one lay-up, and how likely it is met: targets, chances and bands of every quantity.

Every lay-up is worked out in the same possible necks (common random numbers: a stripe's chance depends on its
place and its wood alone), so differences between lay-ups are free of the luck of the draw. Source of every
number: the rooms that brief.quick is taken from.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tonewood import checks
from tonewood.brief.balance import Rest
from tonewood.brief.dead_windows import Window
from tonewood.brief.quick import Measured, Terms, quick_for
from tonewood.brief.rack import Rack
from tonewood.brief.space import LayUp
from tonewood.draws import Array, band
from tonewood.wood.facts import protected

QUANTITIES = {"weight": ("kg", 1.0), "neck weight": ("g", 1e3), "balance": ("mm", 1e3),
              "stiffness": ("N·m²", 1.0), "rod": ("% of its limit", 100.0), "seasons": ("mm", 1e3),
              "width": ("mm", 1e3), "loss factor": ("thousandths", 1e3),
              "dead notes": ("of the named ones", 1.0), "price": ("", 1.0), "protected": ("woods", 1.0),
              "stock": ("m³ short", 1.0)}
"""What a target can ask for: its unit as people see it, and the factor from SI. weight: of the whole
instrument; balance: how far its centre lies from the nut; rod: effort to reach the set relief; seasons: swing
of relief over the year; width: swing of the width at the last fret, stripes free; dead notes: how many of the
named notes die; price: of the neck's wood; stock: wood missing on the rack."""
PLAIN = ("price", "protected", "stock")
"""Quantities without draws."""


@dataclass(frozen=True, kw_only=True)
class Target:
    """What the brief asks of one quantity (SI): between low and high (None: open). must: a hard limit, else a
    wish; why: the reason in a few words. Raises ValueError."""

    quantity: str
    low: float | None = None
    high: float | None = None
    must: bool = True
    why: str = ""

    def __post_init__(self) -> None:
        checks.choice("quantity of a target", self.quantity, QUANTITIES)
        if self.low is None and self.high is None:
            raise ValueError(f"target for {self.quantity}: no limit given; accepted: a lowest or a highest "
                             "value, or both")
        for value in (self.low, self.high):
            if value is not None:
                checks.number(f"target for {self.quantity}", value)
        if self.low is not None and self.high is not None and self.low > self.high:
            raise ValueError(f"target for {self.quantity}: from {self.low:g} to {self.high:g} given; "
                             "accepted: the lower value first")

    def met(self, value: Array) -> NDArray[np.bool_]:
        """Where a value (SI unit of the quantity) lies within.

        >>> Target(quantity="weight", high=3.5).met(np.array([3.4, 3.6])).tolist()
        [True, False]
        """
        found = np.ones(np.shape(value), dtype=bool)
        if self.low is not None:
            found &= value >= self.low
        if self.high is not None:
            found &= value <= self.high
        return found


@dataclass(frozen=True, kw_only=True)
class Job:
    """All a worker needs besides the lay-ups. rest: of the instrument, None: weight and balance are of the
    neck alone."""

    terms: Terms
    targets: tuple[Target, ...]
    rest: Rest | None = None
    rack: Rack | None = None
    windows: tuple[Window, ...] = ()

    def values(self, layup: LayUp) -> dict[str, Array]:
        """Every quantity of one lay-up: (D,), or a number for those in PLAIN, SI.

        >>> from tonewood.brief.space import layup_of
        >>> from tonewood.neck.design import example_design
        >>> layup = layup_of(example_design())
        >>> job = Job(terms=Terms(base=example_design(), woods=layup.woods, draws=50, modes=0), targets=())
        >>> job.values(layup)["stiffness"].shape
        (50,)
        """
        m: Measured = quick_for(self.terms)(layup)
        whole, centre = m.mass, m.moment / m.mass
        if self.rest is not None:
            whole, centre = self.rest.total(m.mass, m.moment, m.blank)
        dead = np.zeros(len(m.mass))
        for note in dict.fromkeys(w.note for w in self.windows):
            hit = np.zeros(len(m.mass), dtype=bool)
            for w in self.windows:
                if w.note == note:
                    hit |= (m.modes[:, w.mode] >= w.low) & (m.modes[:, w.mode] <= w.high)
            dead += hit
        price, short = self.rack.price_and_lack(layup, self.terms.base) if self.rack else (0.0, 0.0)
        return {"weight": whole, "neck weight": m.mass, "balance": centre, "stiffness": m.stiffness,
                "rod": m.effort, "seasons": m.swing, "width": m.width, "loss factor": m.loss,
                "dead notes": dead,
                "price": np.asarray(price), "stock": np.asarray(short),
                "protected": np.asarray(float(sum(protected(wood) for wood in layup.woods)))}


@dataclass(frozen=True, eq=False, kw_only=True)
class Scores:
    """Of N lay-ups: chance (N,) that all hard limits are met at once; each (N, T): chance of every target by
    itself; bands (N, 3, Q): 5, 50 and 95 % points of every quantity in the order of QUANTITIES, SI; done
    (N,): whether the lay-up was worked out."""

    chance: Array
    each: Array
    bands: Array
    done: NDArray[np.bool_]


def score(job: Job, layups: Sequence[LayUp]) -> Scores:
    """Scores of a bundle of lay-ups: what a worker does.

    >>> from tonewood.brief.space import layup_of
    >>> from tonewood.neck.design import example_design
    >>> layup = layup_of(example_design())
    >>> job = Job(terms=Terms(base=example_design(), woods=layup.woods, draws=50, modes=0),
    ...           targets=(Target(quantity="stiffness", low=100.0),))
    >>> score(job, [layup]).chance.tolist()
    [1.0]
    """
    chance, each, bands = [], [], []
    with _one_thread():
        for layup in layups:
            values = job.values(layup)
            met = [np.broadcast_to(t.met(values[t.quantity]), (job.terms.draws,)) for t in job.targets]
            must = [m for m, t in zip(met, job.targets, strict=True) if t.must]
            chance.append(np.mean(np.logical_and.reduce(must)) if must else 1.0)
            each.append([float(np.mean(m)) for m in met])
            drawn = np.empty((job.terms.draws, len(QUANTITIES)))
            for k, name in enumerate(QUANTITIES):
                drawn[:, k] = values[name]
            bands.append(band(drawn))
    return Scores(chance=np.array(chance), each=np.array(each).reshape(len(layups), len(job.targets)),
                  bands=np.array(bands), done=np.ones(len(layups), dtype=bool))


def drawn(job: Job, layups: Sequence[LayUp]) -> dict[str, Array]:
    """Every quantity of some lay-ups in every possible neck, (N, D) each, SI: where limits are to be moved
    afterwards.

    >>> from tonewood.brief.space import layup_of
    >>> from tonewood.neck.design import example_design
    >>> layup = layup_of(example_design())
    >>> job = Job(terms=Terms(base=example_design(), woods=layup.woods, draws=50, modes=0), targets=())
    >>> drawn(job, [layup])["stiffness"].shape
    (1, 50)
    """
    with _one_thread():
        found = [job.values(layup) for layup in layups]
    return {name: np.array([np.broadcast_to(v[name], (job.terms.draws,)) for v in found])
            for name in QUANTITIES}


def _one_thread() -> Any:
    """One thread for the small sums of a lay-up where the tool for it is there: workers share the cores."""
    from contextlib import nullcontext
    try:
        from threadpoolctl import threadpool_limits
    except ImportError:
        return nullcontext()
    return threadpool_limits(1)
