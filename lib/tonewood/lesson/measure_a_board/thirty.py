"""Thirty real boards tested four ways: the picture and the table of how well one test foretells another."""

from __future__ import annotations

from itertools import combinations

import numpy as np
from matplotlib.figure import Figure

from tonewood.bench.boards import TESTS, board_tests, forecast
from tonewood.draws import Z90
from tonewood.panel import stacking, style
from tonewood.panel.page import Shown, table
from tonewood.panel.still import WIDE, still

QUICK, SLOW = "vibration", "static_a"


def thirty_boards() -> Shown:
    """Each board's four readings over the mean of each test, and the quick test beside the slow one: a
    picture with a table below."""
    tests = board_tests()
    shares = np.array([tests[name] / tests[name].mean() for name in TESTS])
    place = [np.argsort(np.argsort(tests[name])) for name in (QUICK, SLOW)]
    apart = np.abs(place[0] - place[1])
    restless = int(apart.argmax())
    x, y = (tests[name] for name in (QUICK, SLOW))
    found = forecast(QUICK, SLOW)
    slope, start = np.polyfit(x, y, 1)
    wide = Z90 * found.left * y.mean()

    def draw(fig: Figure) -> None:
        lines, cloud = fig.subplots(*((2, 1) if stacking.narrow(fig) else (1, 2)))
        lines.plot(range(4), 100 * shares, color=style.GREY, lw=0.8, alpha=0.7)
        lines.plot(range(4), 100 * shares[:, restless], color=style.VERMILLION, ls="--", marker="s", ms=5)
        cloud.plot(x[restless], y[restless], "s", color=style.VERMILLION, ms=9, mfc="none", mew=2)
        lines.set_xticks(range(4), ["shock\nwave", "vibration", "slow,\nfirst", "slow,\nsecond"])
        lines.set(ylabel="% of the mean of the test", title="30 boards, four tests")
        ends = np.array([x.min(), x.max()])
        middle = start + slope * ends
        cloud.fill_between(ends, middle - wide, middle + wide, color=style.BLUE, alpha=0.2, lw=0)
        cloud.plot(ends, middle, color=style.BLUE)
        cloud.plot(ends, ends, **style.REFERENCE)
        cloud.plot(x, y, "o", color=style.BLACK, ms=4)
        cloud.set(xlabel="vibration (unit not printed)", ylabel="first slow test",
                  title="Quick and slow; dotted: equal")

    inside = int(np.sum(np.abs(y - start - slope * x) <= wide))
    alt = ("Thirty boards: readings of a quick vibration test beside a slow one lie along a line, "
           f"correlation {found.correlation:.2f}, {inside} of 30 within the 90 % band of the line; the slow "
           f"test reads {100 * (1 - found.ratio):.0f} % lower on average; one board changes its rank by "
           f"{apart[restless]} places.")
    rows = []
    for one, other in combinations(TESTS, 2):
        pair = forecast(one, other)
        rows.append((f"{TESTS[one]} → {TESTS[other]}", f"{pair.correlation:.2f}", f"{pair.ratio:.2f}",
                     f"{100 * pair.scatter:.0f}", f"{100 * pair.left:.0f}"))
    shown = table(("one test → another", "correlation", "other over one, means",
                   "scatter between boards (%)", "left once the first is known (%)"), rows,
                  "Johnson and Wichern, Table 4.3 (see Sources); no unit is printed there.")
    return Shown(still(draw, alt, (WIDE, 3.6), 6.4) + shown.html, f"{alt}\n{shown.plain}")
