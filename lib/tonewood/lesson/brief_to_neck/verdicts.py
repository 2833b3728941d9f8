"""What the trade says about choosing a lay-up for a client, counted over the lay-ups of three briefs."""

from __future__ import annotations

import numpy as np

from tonewood.lesson.shared.clients import CLIENTS, client
from tonewood.lesson.shared.lots import counted, defaults, lot
from tonewood.panel.verdict import Verdict


def one_right_recipe() -> Verdict:
    """Is there one right combination of woods for a brief?"""
    told, most = [], 0
    for who in CLIENTS:
        now = counted(**defaults(who))
        # as good as the best but for what a count of this many necks cannot tell
        best, n = float(now.chance.max()), lot(who).job.terms.draws
        error = np.sqrt(2 * max(best * (1 - best), 0.01) / n)
        alike = now.chance >= best - 2 * error
        woods = {now.lot.layups[i].stripes[0][0] for i in np.flatnonzero(alike)}
        most = max(most, int(alike.sum()))
        told.append(f"{client(who).title[0].lower()}{client(who).title[1:]}: {int(alike.sum())} of "
                    f"{len(alike)} lay-ups, main woods among them: {len(woods)}")
    answer = "no, several lay-ups do it equally well" if most > 1 else "yes, within this rack"
    return Verdict("for every player there is one right combination of woods.",
                   "lay-ups whose chance to meet the brief cannot be told from the best one's by counting: "
                   + "; ".join(told) + ".",
                   f"{answer}, by what is counted here; looks, price and the boards on the rack may choose "
                   "among them.",
                   "medium", "the ear and the eye of the client are not in the count")


def dear_is_better() -> Verdict:
    """Does a dearer neck meet the brief more likely?"""
    told, signs = [], []
    for who in CLIENTS:
        now = counted(**{**defaults(who), "price": 100.0})
        price = now.lot.values["price"][:, 0]
        both = [float(now.chance[price >= np.median(price)].mean()),
                float(now.chance[price < np.median(price)].mean())]
        signs.append(both[0] - both[1])
        told.append(f"{client(who).title[0].lower()}{client(who).title[1:]}: {100 * both[0]:.0f} and "
                    f"{100 * both[1]:.0f} of 100")
    dearer = sum(s > 0.05 for s in signs)
    answer = {0: "no", len(signs): "yes"}.get(dearer, "it depends on the brief")
    return Verdict("the dearer wood makes the better neck.",
                   "necks that meet the brief among the dearer and the cheaper half of the lay-ups: "
                   + "; ".join(told) + ".",
                   f"{answer}: what counts is whether the wood's stiffness and weight suit the brief.",
                   "medium",
                   "prices of the rack are invented; looks and what a buyer later pays are left out")
