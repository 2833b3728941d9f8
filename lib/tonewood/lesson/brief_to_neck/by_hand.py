"""One chance by hand: how two limits that are each met nine times in ten are met together."""

from __future__ import annotations

import numpy as np

from tonewood.lesson.shared.lots import LIMITS, START, counted, defaults, lot

Line = tuple[str, float, str, int, str]


def chance_by_hand(who: str = START) -> list[Line]:
    """The likeliest lay-up: limits one by one, what they would give if they knew nothing of each other, and
    the count.

    Rows for panel.page.say_all."""
    now = counted(**defaults(who))
    i, here = now.best, lot(who)
    met = {name: 1 - float(missed[i]) for name, missed in now.missed.items() if missed[i] > 0}
    label = f"counted over {here.job.terms.draws} possible necks"
    rows: list[Line] = [(f'necks not \"{LIMITS[name][1]}\"', 100 * share, "%", 0, label)
                        for name, share in met.items()]
    rows.append(("if the limits knew nothing of each other, the product",
                 100 * float(np.prod(list(met.values()))), "%", 0, "by hand"))
    rows.append(("necks that pass all at once", 100 * float(now.chance[i]), "%", 0, label))
    n = here.job.terms.draws
    error = float(np.sqrt(now.chance[i] * (1 - now.chance[i]) / n))
    rows.append(("one standard error of such a share, √(p (1 − p) ÷ n)", 100 * error, "%", 0, "by hand"))
    return rows


def draws_matter(who: str = START) -> list[Line]:
    """The same luck for every lay-up: how far apart two lay-ups lie with common draws and without."""
    here = lot(who)
    a, b = (counted(**defaults(who)).able.tolist() + [0, 1])[:2]
    stiff = here.values["stiffness"]
    common = float(np.std(stiff[a] - stiff[b]))
    apart = float(np.hypot(np.std(stiff[a]), np.std(stiff[b])))
    return [("scatter of the difference in stiffness (N·m²), each lay-up with its own luck", apart, "", 0,
             "estimated by the scatter of the boards"),
            ("the same (N·m²) with one luck for both", common, "", 0,
             "estimated by the scatter of the boards")]
