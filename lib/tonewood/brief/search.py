"""Search: which lay-ups of a Space meet the brief, how likely, and which of them no other beats in everything.

Every lay-up is worked out in the same possible necks (common random numbers: a stripe's chance depends on its
place and its wood alone), so differences between lay-ups are free of the luck of the draw. Lay-ups are
independent of each other: the answer is the same whatever executor works them out, in whatever order.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Mapping, Sequence
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, Executor, Future, wait
from dataclasses import dataclass, field, replace
from threading import Event
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from tonewood import checks
from tonewood.brief.balance import Rest
from tonewood.brief.quick import Measured, Terms, quick_for
from tonewood.brief.rack import Rack
from tonewood.brief.space import LayUp, Space
from tonewood.draws import Array, band
from tonewood.wood.facts import protected

if TYPE_CHECKING:
    import pandas

QUANTITIES = {
    "weight": ("kg", 1.0), "neck weight": ("g", 1e3), "balance": ("mm", 1e3), "stiffness": ("N·m²", 1.0),
    "rod": ("% of its limit", 100.0), "seasons": ("mm", 1e3), "loss factor": ("‰", 1e3),
    "dead notes": ("of the named ones", 1.0), "price": ("", 1.0), "protected": ("woods", 1.0),
    "stock": ("m³ short", 1.0)}
"""What a target can ask for: its unit as people see it, and the factor from SI. weight: of the whole
instrument; balance: how far its centre lies from the nut; rod: effort to reach the set relief; seasons: swing
of relief over the year; dead notes: how many of the named notes die; price: of the neck's wood; stock: wood
missing on the rack."""
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
        """Where a value lies within.

        >>> Target(quantity="weight", high=3.5).met(np.array([3.4, 3.6])).tolist()
        [True, False]
        """
        found = np.ones(np.shape(value), dtype=bool)
        if self.low is not None:
            found &= value >= self.low
        if self.high is not None:
            found &= value <= self.high
        return found


@dataclass(frozen=True)
class Window:
    """A named note dies while bending mode `mode` (from 0) lies between these frequencies, Hz."""

    note: str
    mode: int
    low: float
    high: float


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
                "rod": m.effort, "seasons": m.swing, "loss factor": m.loss, "dead notes": dead,
                "price": np.asarray(price), "stock": np.asarray(short),
                "protected": np.asarray(float(sum(protected(wood) for wood in layup.woods)))}


@dataclass(frozen=True, eq=False, kw_only=True)
class Scores:
    """Of N lay-ups: chance (N,) that all hard limits are met at once; each (N, T): chance of every target by
    itself; bands (N, 3, Q): 5, 50 and 95 % points of every quantity in the order of QUANTITIES, SI; done (N,):
    whether the lay-up was worked out."""

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
            bands.append(np.stack([band(values[q]) for q in QUANTITIES], -1))
    return Scores(chance=np.array(chance), each=np.array(each).reshape(len(layups), len(job.targets)),
                  bands=np.array(bands), done=np.ones(len(layups), dtype=bool))


def _one_thread() -> Any:
    """One thread for the small sums of a lay-up where the tool for it is there: workers share the cores."""
    from contextlib import nullcontext
    try:
        from threadpoolctl import threadpool_limits
    except ImportError:
        return nullcontext()
    return threadpool_limits(1)


@dataclass(frozen=True, eq=False, kw_only=True)
class Found:
    """What a search found: scores of every lay-up of the space, in its order, and how long it took (s)."""

    space: Space
    job: Job
    scores: Scores
    seconds: float
    again: int = 0
    """Bundles that were handed out again because a worker died."""
    _kept: dict[str, Any] = field(default_factory=dict, repr=False)

    @property
    def whole(self) -> bool:
        """Whether every lay-up was worked out."""
        return bool(self.scores.done.all())

    @property
    def aims(self) -> tuple[Array, tuple[str, ...]]:
        """(values (N, A), names): what lay-ups are compared in, more is better: the chance of all hard limits,
        of each wish, and the price with a minus sign if there is a rack."""
        s, wishes = self.scores, [i for i, t in enumerate(self.job.targets) if not t.must]
        columns, names = [s.chance], ["all hard limits"]
        for i in wishes:
            columns.append(s.each[:, i])
            names.append(f"{self.job.targets[i].quantity}, wish")
        if self.job.rack is not None:
            columns.append(-s.bands[:, 1, list(QUANTITIES).index("price")])
            names.append("price")
        return np.stack(columns, -1), tuple(names)

    @property
    def unbeaten(self) -> NDArray[np.intp]:
        """Numbers of the lay-ups that none beats in everything, likeliest to meet the brief first; lay-ups
        with no chance at all are left out. Non-dominated set: moocore."""
        if "unbeaten" not in self._kept:
            import moocore

            values, _ = self.aims
            able = np.flatnonzero(self.scores.done & (self.scores.chance > 0))
            if able.size:
                front = moocore.is_nondominated(np.ascontiguousarray(values[able]), maximise=True,
                                                keep_weakly=True)
                able = able[front]
            order = np.lexsort([*(-values[able, k] for k in range(values.shape[1] - 1, -1, -1))])
            self._kept["unbeaten"] = able[order]
        return self._kept["unbeaten"]  # type: ignore[no-any-return]

    def beaten_by(self, number: int) -> NDArray[np.intp]:
        """Numbers of the lay-ups at least as good in every aim and better in one."""
        values, _ = self.aims
        there = self.scores.done & np.all(values >= values[number], axis=1)
        return np.flatnonzero(there & np.any(values > values[number], axis=1))

    def why_not(self, layup: LayUp | int) -> list[str]:
        """Why a lay-up is not among the unbeaten, one line each: the hard limits it fails and in how many of a
        hundred necks, and the lay-up that beats it with what it does better. Empty if it is among them.
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
        """5, 50 and 95 % points (3,) of a quantity of a lay-up, in the unit people see."""
        at = list(QUANTITIES).index(checks.choice("quantity", quantity, QUANTITIES))
        return self.scores.bands[number, :, at] * QUANTITIES[quantity][1]

    @staticmethod
    def asked(target: Target) -> str:
        """A target's limits in words and people's unit."""
        unit, factor = QUANTITIES[target.quantity]
        low, high = (None if v is None else v * factor for v in (target.low, target.high))
        if low is None:
            return f"at most {high:.4g} {unit}".strip()
        return f"at least {low:.4g} {unit}".strip() if high is None else f"{low:.4g} to {high:.4g} {unit}".strip()

    def table(self, most: int = 20) -> pandas.DataFrame:
        """DataFrame: the unbeaten lay-ups, likeliest first, their chance (of 100 necks) and the middle of every
        quantity that is asked for."""
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


Progress = Callable[[int, int, float], None]
"""Called with lay-ups done, lay-ups in all, and the seconds that are left by the pace so far."""


def search(space: Space, job: Job, executor: Executor | Callable[[], Executor] | None = None,
           progress: Progress | None = None, stop: Event | None = None, bundle: int = 100,
           at_once: int = 16, earlier: Found | None = None) -> Found:
    """Work out every lay-up of `space`. Returns Found; when stopped, with what was done.

    executor: any concurrent.futures.Executor, or a function that makes one (a new one is then made when its
    workers die; it is closed at the end), or None: here and now. progress: called after every bundle. stop:
    set it from elsewhere to stop. bundle: lay-ups a task; at_once: tasks handed out at a time. earlier: a
    stopped search of the same space and job, whose results are kept. Raises BrokenExecutor when the workers
    of an executor that cannot be made anew have died, and whatever a lay-up itself raised.
    """
    checks.whole("bundle", bundle, 1, 100_000)
    checks.whole("tasks at once", at_once, 1, 10_000)
    N, T, begun = len(space), len(job.targets), time.monotonic()
    scores = Scores(chance=np.zeros(N), each=np.zeros((N, T)), bands=np.zeros((N, 3, len(QUANTITIES))),
                    done=np.zeros(N, dtype=bool))
    if earlier is not None:
        if earlier.space != space or earlier.job != job:
            raise ValueError("earlier search: of another space or another brief; accepted: one of the same")
        scores = Scores(**{name: np.array(v) for name, v in vars(earlier.scores).items()})
    left = [i for i in range(N) if not scores.done[i]]
    bundles = [left[i:i + bundle] for i in range(0, len(left), bundle)]
    again = 0

    def kept(numbers: Sequence[int], found: Scores) -> None:
        for name in ("chance", "each", "bands", "done"):
            getattr(scores, name)[numbers] = getattr(found, name)
        if progress is not None:
            done = int(scores.done.sum())
            fresh = done - (N - len(left))
            pace = (time.monotonic() - begun) / max(fresh, 1)
            progress(done, N, pace * (N - done))

    def stopped() -> bool:
        return stop is not None and stop.is_set()

    if executor is None:
        for numbers in bundles:
            if stopped():
                break
            kept(numbers, score(job, [space[i] for i in numbers]))
    else:
        again = _handed_out(space, job, executor, bundles, kept, stopped, at_once)
    return Found(space=space, job=job, scores=scores, seconds=time.monotonic() - begun, again=again)


def _handed_out(space: Space, job: Job, executor: Executor | Callable[[], Executor],
                bundles: list[list[int]], kept: Callable[[Sequence[int], Scores], None],
                stopped: Callable[[], bool], at_once: int, tries: int = 5) -> int:
    """Hand bundles to an executor, a few at a time; those of dead workers again. Returns how many."""
    own = None if isinstance(executor, Executor) else executor
    pool = executor if isinstance(executor, Executor) else executor()
    waiting, again, broken = list(reversed(bundles)), 0, 0
    running: dict[Future[Scores], list[int]] = {}
    try:
        while (waiting or running) and not stopped():
            try:
                while waiting and len(running) < at_once:
                    running[pool.submit(score, job, [space[i] for i in waiting[-1]])] = waiting[-1]
                    waiting.pop()
                done, _ = wait(running, timeout=0.2, return_when=FIRST_COMPLETED)
                for future in done:
                    found = future.result()
                    kept(running.pop(future), found)
            except BrokenExecutor:
                broken += 1
                if own is None or broken > tries:
                    raise
                for future, numbers in running.items():
                    if future.done() and not future.cancelled() and future.exception() is None:
                        kept(numbers, future.result())
                    else:
                        waiting.append(numbers)
                        again += 1
                running.clear()
                pool.shutdown(wait=False, cancel_futures=True)
                pool = own()
    finally:
        for future in running:
            future.cancel()
        if own is not None:
            pool.shutdown(wait=False, cancel_futures=True)
    return again


def chance_on_fresh_draws(found: Found, number: int, draws: int = 2000, seed: int = 9001) -> float:
    """The chance (fraction) that a lay-up meets all hard limits, counted anew on other possible necks."""
    terms = replace(found.job.terms, draws=draws, seed=seed)
    return float(score(replace(found.job, terms=terms), [found.space[number]]).chance[0])


def windows_for(notes: Iterable[tuple[int, int]], terms: Terms, steps: int = 41) -> tuple[Window, ...]:
    """The Windows of named notes (string from 0 at the bass, fret): where each of the first modes would have to
    lie for the note to be dead (sound.decay), found by moving one mode at a time over 2 semitones either way.
    The loss of other lay-ups is taken as the base neck's. Raises ValueError for a note that is not there."""
    from tonewood.sound.dead_notes import note_decay
    from tonewood.sound.instrument import Instrument
    from tonewood.sound.modes import modes
    from tonewood.strings.pitch import note_frequency, note_number

    base = terms.base
    neck, strings, setup = base.neck(), base.string_set(), base.setup()
    plain = modes(Instrument(neck), max(terms.modes, 1), 0)
    found = []
    for string, fret in notes:
        checks.whole("string (0 is the bass-most)", string, 0, len(strings) - 1)
        checks.whole("fret", fret, 0, base.frets)
        pitch = float(note_frequency(note_number(strings.tuning[string]) + fret))
        places = pitch * 2 ** (np.linspace(-2, 2, steps) / 12)
        for k in range(terms.modes):
            if not 0.5 < pitch / plain.frequency[k] < 2.0:
                continue
            tried = np.repeat(plain.frequency[None], steps, axis=0)
            tried[:, k] = places
            many = replace(plain, frequency=tried, **{
                name: np.repeat(np.asarray(getattr(plain, name))[None], steps, axis=0)
                for name in ("loss_factor", "shape", "slope", "mass", "centre", "inertia", "energy_share",
                             "loss_share")})
            dead = note_decay(many, neck, strings, string, fret, setup=setup).dead[:, 0, 0]
            if dead.any():
                at = places[dead]
                found.append(Window(f"string {string + 1}, fret {fret}", k, float(at.min()), float(at.max())))
    return tuple(found)


def with_prices(prices: Mapping[str, float]) -> Rack:
    """A Rack of woods by price per m3 alone, of which there is always enough.

    >>> with_prices({"wenge": 9000.0}).rows[0].price
    9000.0
    """
    from tonewood.brief.rack import Shelf

    return Rack(tuple(Shelf(wood=wood, price=price) for wood, price in prices.items()))
