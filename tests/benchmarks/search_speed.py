"""How many lay-ups a minute the search works out: here and now, by threads, by processes and, where it is
installed, by a local Dask cluster, with 1, 2 and more workers; and how the time grows with draws, lay-ups and
stripes. Prints counts and ratios; nothing passes or fails.

    python tests/benchmarks/search_speed.py [lay-ups] [draws]
"""

import os
import sys
import time
from concurrent.futures import ProcessPoolExecutor, ThreadPoolExecutor
from functools import partial

from tonewood.brief.balance import rest_of
from tonewood.brief.quick import Terms
from tonewood.brief.scoring import Job, Target, score
from tonewood.brief.search import search
from tonewood.brief.space import Space
from tonewood.lesson.shared.clients import client
from tonewood.lesson.shared.shop import NECK_12


def space(counts=(3, 5, 7)):
    return Space(base=NECK_12, main=("hard maple", "sapele", "Sitka spruce", "mahogany", "black walnut"),
                 accent=("wenge", "black walnut", "hard maple"),
                 centre=("black walnut", "hard maple", "wenge"),
                 fretboards=("ebony", "Indian rosewood", "hard maple", "wenge"), counts=counts)


def job(of, draws=200):
    whole = client("harbour").whole
    return Job(terms=Terms(base=of.base, woods=of.woods, draws=draws), rest=rest_of(of.base, whole),
               targets=(Target(quantity="weight", high=3.7), Target(quantity="rod", high=0.6),
                        Target(quantity="seasons", high=1e-4),
                        Target(quantity="stiffness", low=400, must=False)))


def each(of, draws=200, most=150):
    """CPU time of one lay-up, ms, once what they share has been worked out."""
    layups = [of[i] for i in range(0, len(of), max(len(of) // most, 1))]
    work = job(of, draws)
    score(work, layups)
    begun = time.process_time()
    score(work, layups)
    return 1e3 * (time.process_time() - begun) / len(layups)


def main():
    draws = int(sys.argv[2]) if len(sys.argv) > 2 else 200
    of = space()
    if len(sys.argv) > 1:
        of = space(tuple(range(3, 3 + max(int(sys.argv[1]) // 400, 1))))
    print(f"{len(of)} lay-ups, {draws} draws, {os.cpu_count()} cores")
    one = each(of, draws)
    print(f"CPU time of one lay-up: {one:.2f} ms, {60e3 / one:.0f} lay-ups a minute and core")
    for n in (50, 100, 200, 400, 800):
        print(f"  {n} draws: {each(of, n):.2f} ms")
    for counts in ((3,), (5,), (7,), (9,), (11,)):
        print(f"  {counts[0]} stripes and a fretboard: {each(space(counts), draws):.2f} ms")
    ways = {"here": None}
    for n in (1, 2, 4):
        ways[f"{n} threads"] = partial(ThreadPoolExecutor, n)
        ways[f"{n} processes"] = partial(ProcessPoolExecutor, n)
    base = None
    for name, executor in ways.items():
        found = search(of, job(of, draws), executor)
        pace = 60 * len(of) / found.seconds
        base = base or pace
        print(f"{name}: {found.seconds:.1f} s, {pace:.0f} lay-ups a minute, {pace / base:.2f} of here")
    try:
        import distributed
    except ImportError:
        return
    for n in (1, 2, 4):
        with distributed.LocalCluster(n_workers=n, threads_per_worker=1, dashboard_address=None,
                                      silence_logs=50) as cluster, distributed.Client(cluster) as at:
            with at.get_executor() as executor:
                found = search(of, job(of, draws), executor)
        pace = 60 * len(of) / found.seconds
        print(f"Dask, {n} workers: {found.seconds:.1f} s, {pace:.0f} lay-ups a minute, "
              f"{pace / base:.2f} of here")


if __name__ == "__main__":
    main()
