"""Two or three designs side by side: what differs beyond the luck of the boards, and what does not.

Each design is worked out in full by the rooms of section, load, seasons and sound, in possible necks of its
own: two guitars are two sets of boards. A quantity tells two designs apart where in at least 19 of 20 pairs
of such guitars the same one has more of it (a definition). Left out: whatever the rooms leave out, above all
the player.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from tonewood.brief.balance import Instrument, weigh
from tonewood.brief.quick import FRET, TARGET
from tonewood.brief.scoring import QUANTITIES
from tonewood.draws import Array, band
from tonewood.neck.design import Design
from tonewood.neck.layup.neck import Neck, spread
from tonewood.neck.load.relief import relief
from tonewood.neck.load.rod import set_rod
from tonewood.neck.load.usual_rod import usual_rod
from tonewood.neck.report.evaluation import even_stiffness
from tonewood.neck.seasons.year import year
from tonewood.neck.section.damping import composite_loss
from tonewood.neck.section.stations import at_stations

SURE = 0.95
"""Share of pairs from which on two designs are told apart: definition."""


def possible_necks(design: Design, draws: int = 300, seed: int = 1) -> Neck:
    """The design's Neck as `draws` possible necks (seed: a whole number), fill of the fret slots anywhere
    between open and bearing.

    >>> from tonewood.neck.design import example_design
    >>> possible_necks(example_design(), 50).draws
    50
    """
    neck = spread(design.neck(), draws, seed)
    fill = np.random.default_rng(seed).random(draws)
    return replace(neck, fretboard=replace(neck.fretboard, slot_fill=fill))


def in_full(design: Design, whole: Instrument | None = None, draws: int = 300, seed: int = 1
            ) -> dict[str, Array]:
    """Quantities of a design by the full rooms, (D,) each, SI, by the names of scoring.QUANTITIES: weight and
    balance (with `whole`, else of the neck alone: neck weight), stiffness, rod, seasons, loss factor.

    The rod is set to a relief of TARGET at FRET. Raises ValueError.

    >>> from tonewood.neck.design import example_design
    >>> sorted(in_full(example_design(), draws=40))
    ['loss factor', 'neck weight', 'rod', 'seasons', 'stiffness']
    """
    neck = possible_necks(design, draws, seed)
    slack = relief(neck, design.string_set(), design.setup(), design.body_joint(), count=16)
    found = {"stiffness": even_stiffness(neck), "loss factor": composite_loss(neck)}
    if design.rod == "none":
        found["rod"] = np.zeros(draws)
        rod, effort = None, np.zeros(draws)
    else:
        rod = usual_rod(neck, design.rod)
        effort = set_rod(slack, rod, TARGET, FRET).effort
        found["rod"] = np.abs(effort) / rod.limit
    found["seasons"] = np.ptp(year(neck, design.town, setup_relief=TARGET, rod=rod, effort=effort,
                                   seed=seed, count=16).relief, axis=-1)
    here = neck.stations(16)
    found["neck weight"] = np.trapezoid(at_stations(neck, here).section.mass_per_length, here, axis=-1)
    if whole is not None:
        weighed = weigh(design, whole, neck)
        found |= {"weight": np.asarray(weighed.mass), "balance": np.asarray(weighed.centre)}
    return {name: np.broadcast_to(value, (draws,)) for name, value in found.items()}


@dataclass(frozen=True, kw_only=True)
class Difference:
    """One quantity of two designs: the bands (3,) of either in the unit people see, and the share of pairs of
    such guitars in which the first has more."""

    quantity: str
    unit: str
    one: Array
    other: Array
    more: float

    @property
    def tells(self) -> bool:
        """Whether it tells the two apart."""
        return self.more >= SURE or self.more <= 1 - SURE


def differences(one: dict[str, Array], other: dict[str, Array]) -> tuple[Difference, ...]:
    """The Difference of every quantity two designs have in common (values (D,), SI, of independent draws);
    those that tell come first, surest first. more: every pair is counted, half where equal.

    >>> found, = differences({"stiffness": np.array([1.0, 3.0])}, {"stiffness": np.array([2.0, 2.0])})
    >>> found.more, found.tells
    (0.5, False)
    """
    found = []
    for name, (unit, factor) in QUANTITIES.items():
        if name in one and name in other:
            a, b = np.asarray(one[name]), np.sort(np.asarray(other[name]))
            below, upto = np.searchsorted(b, a, "left"), np.searchsorted(b, a, "right")
            more = float(np.mean(below + upto) / (2 * len(b)))
            found.append(Difference(quantity=name, unit=unit, one=band(a) * factor, other=band(b) * factor,
                                    more=more))
    return tuple(sorted(found, key=lambda d: -abs(d.more - 0.5)))


def side_by_side(designs: Mapping[str, Design], whole: Instrument | None = None, draws: int = 300
                 ) -> dict[tuple[str, str], tuple[Difference, ...]]:
    """Every pair of two or three designs by name: {(one, other): its Differences}. Raises ValueError for
    another number of designs.

    >>> from tonewood.neck.design import example_design
    >>> found = side_by_side({"a": example_design(), "b": example_design()}, draws=60)
    >>> [d.quantity for d in found["a", "b"] if d.tells]
    []
    """
    if not 2 <= len(designs) <= 3:
        raise ValueError(f"designs to compare: {len(designs)} given; accepted: two or three")
    values = {name: in_full(design, whole, draws, seed=11 + i)
              for i, (name, design) in enumerate(designs.items())}
    names = list(designs)
    return {(a, b): differences(values[a], values[b]) for i, a in enumerate(names) for b in names[i + 1:]}
