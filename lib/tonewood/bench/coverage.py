"""Do the 90 % bands hold? Readings of many necks against what was foretold of each before it was read.

Of right bands 90 of 100 readings lie inside. How many truly do is known only as well as readings are many,
and readings of one neck hang together (its boards, its builder): the number of readings is divided by the
design effect, the variance of the share between necks over that of as many readings apart, before the exact
binomial band is taken. Source: Clopper and Pearson 1934; ratio estimate over clusters as in any text on
sampling.

Bias: where in its band a reading lies, in standard deviations of it: (value - middle) over the half of the
band towards it, times 1.645. Its mean over the necks of one wood is 0 for right bands. A wood whose blanks
all sag more than foretold has a table too stiff for the shop's boards (bench.pooled mends that).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from tonewood.bench.foretold import main_stripes
from tonewood.bench.update import Updated
from tonewood.draws import Z90, Array


@dataclass(frozen=True, kw_only=True)
class Entry:
    """One reading beside its band: neck, wood (key of its main wood), kind; low, middle, high of what was
    foretold and the value, in one unit."""

    neck: str
    wood: str
    kind: str
    low: float
    middle: float
    high: float
    value: float

    @property
    def inside(self) -> bool:
        """Whether the reading lies in its 90 % band."""
        return self.low <= self.value <= self.high

    @property
    def off(self) -> float:
        """How far from the middle, in standard deviations of the band, plus above."""
        half = self.high - self.middle if self.value >= self.middle else self.middle - self.low
        return Z90 * (self.value - self.middle) / max(half, 1e-12)


@dataclass(frozen=True, kw_only=True)
class Coverage:
    """inside of `readings` readings on `necks` necks; share; low and high: 90 % band of the true share;
    worth: number of readings apart that they tell as much as."""

    inside: int
    readings: int
    necks: int
    share: float
    low: float
    high: float
    worth: float

    @property
    def holds(self) -> bool:
        """Whether 90 % lies in the band of the share."""
        return self.low <= 0.90 <= self.high


def entries(found: Updated, earlier: bool = False) -> list[Entry]:
    """An Entry for each reading of one neck, in SI: foretold from its drawing alone, or, where told, with the
    readings of earlier days.

    >>> from tonewood.bench.foretold import foretell
    >>> from tonewood.bench.readings import reading
    >>> from tonewood.bench.update import update
    >>> from tonewood.neck.design import example_design
    >>> strung = reading("example", "gap, strings on", 0.35, "2026-10-01", fret=8)
    >>> [e.inside for e in entries(update(foretell(example_design(), draws=300), [strung]))]
    [True]
    """
    design = found.necks.design
    wood = design.stripes[main_stripes(design)[0]].wood
    bands = found.expected if earlier else found.foretold
    return [Entry(neck=read.neck, wood=wood, kind=read.kind, low=float(low), middle=float(middle),
                  high=float(high), value=read.value)
            for read, (low, middle, high) in zip(found.readings, bands, strict=True)]


def coverage(given: Iterable[Entry]) -> Coverage:
    """Coverage of the 90 % bands over entries: a share with its own 90 % band. Raises ValueError for none.

    >>> one = Entry(neck="A", wood="hard_maple", kind="blank sag", low=0.8, middle=0.9, high=1.0, value=0.85)
    >>> found = coverage([one] * 20)
    >>> found.inside, round(found.low, 2), found.high
    (20, 0.86, 1.0)
    """
    given = list(given)
    n = len(given)
    if n == 0:
        raise ValueError("readings: none given; accepted: at least one with its band")
    necks = sorted({entry.neck for entry in given})
    sizes = np.array([sum(e.neck == neck for e in given) for neck in necks])
    hits = np.array([sum(e.inside for e in given if e.neck == neck) for neck in necks])
    inside, effect = int(hits.sum()), 1.0
    share, K = inside / n, len(necks)
    if K > 1 and 0 < inside < n:
        between = K / (K - 1) * float(np.sum((hits - share * sizes) ** 2)) / n**2
        effect = min(max(1.0, between / (share * (1 - share) / n)), n / K)
    worth, k = n / effect, inside / effect
    from scipy.special import betaincinv

    low = float(betaincinv(k, worth - k + 1, 0.05)) if inside else 0.0
    high = float(betaincinv(k + 1, worth - k, 0.95)) if inside < n else 1.0
    return Coverage(inside=inside, readings=n, necks=K, share=share, low=low, high=high, worth=worth)


def grouped(given: Sequence[Entry], by: Callable[[Entry], str]) -> dict[str, list[Entry]]:
    """Entries by what `by` says of each (its kind, its wood: a name), the largest group first.

    >>> one = Entry(neck="A", wood="hard_maple", kind="blank sag", low=0.8, middle=0.9, high=1.0, value=0.85)
    >>> list(grouped([one], lambda entry: entry.wood))
    ['hard_maple']
    """
    found: dict[str, list[Entry]] = {}
    for entry in given:
        found.setdefault(by(entry), []).append(entry)
    return dict(sorted(found.items(), key=lambda item: -len(item[1])))


def bias(given: Iterable[Entry]) -> tuple[float, float, float]:
    """(low, mean, high): where in their bands the readings lie on average, in standard deviations, with its
    90 % band; each neck counts once, by its mean, and the band of one neck is that of right bands. Raises
    ValueError for none.

    >>> one = Entry(neck="A", wood="hard_maple", kind="blank sag", low=0.8, middle=0.9, high=1.0, value=0.95)
    >>> [round(v, 2) for v in bias([one])]
    [-0.82, 0.82, 2.47]
    """
    by_neck = [float(np.mean([e.off for e in mine])) for mine in
               grouped(list(given), lambda e: e.neck).values()]
    if not by_neck:
        raise ValueError("readings: none given; accepted: at least one with its band")
    values: Array = np.array(by_neck)
    half = Z90 * max(1.0, float(values.std(ddof=1)) if values.size > 2 else 1.0) / np.sqrt(values.size)
    return float(values.mean() - half), float(values.mean()), float(values.mean() + half)
