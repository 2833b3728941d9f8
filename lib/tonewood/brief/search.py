"""Search: every lay-up of a Space worked out, here or by any executor.

Lay-ups are independent of each other, and each meets the same possible necks: the answer is the same whatever
executor works them out, with however many workers, in whatever order. Model of each: brief.quick.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, Executor, Future, wait
from threading import Event

import numpy as np

from tonewood import checks
from tonewood.brief.found import Found
from tonewood.brief.scoring import QUANTITIES, Job, Scores, score
from tonewood.brief.space import Space

Progress = Callable[[int, int, float], None]
"""Called with lay-ups done, lay-ups in all, and the seconds that are left by the pace so far."""
TRIES = 5       # times that dead workers are made anew


def search(space: Space, job: Job, executor: Executor | Callable[[], Executor] | None = None,
           progress: Progress | None = None, stop: Event | None = None, bundle: int = 100,
           at_once: int = 16, earlier: Found | None = None) -> Found:
    """Work out every lay-up of `space`. Returns Found; when stopped, with what was done.

    executor: any concurrent.futures.Executor, or a function that makes one (a new one is then made when its
    workers die; it is closed at the end), or None: here and now. progress: called after every bundle. stop:
    set it from elsewhere to stop. bundle: lay-ups a task; at_once: tasks handed out at a time. earlier: a
    stopped search of the same space and job, whose results are kept. Raises BrokenExecutor when the workers
    of an executor that cannot be made anew have died, ValueError for an earlier search of something else, and
    whatever a lay-up itself raised.

    >>> example_search().whole
    True
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
                stopped: Callable[[], bool], at_once: int) -> int:
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
                if own is None or broken > TRIES:
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


def example_search() -> Found:
    """A search of two lay-ups, for examples.

    >>> len(example_search().space)
    2
    """
    from tonewood.brief.quick import Terms
    from tonewood.brief.scoring import Target
    from tonewood.neck.design import example_design

    base = example_design()
    space = Space(base=base, main=("hard maple",), accent=("wenge",), centre=("wenge",),
                  fretboards=("Indian rosewood",), counts=(1, 3), ring_angles=(0.0,))
    terms = Terms(base=base, woods=space.woods, draws=50, modes=0)
    return search(space, Job(terms=terms, targets=(Target(quantity="stiffness", low=300.0),)))
