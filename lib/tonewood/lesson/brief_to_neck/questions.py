"""Predictions and questions of lesson 11; outcomes and right answers are counted when they are asked for."""

from __future__ import annotations

import numpy as np

from tonewood.lesson.shared.clients import client
from tonewood.lesson.shared.lots import START, counted, defaults, lot, start_table
from tonewood.panel.questions import Prediction, Question, ask, ask_number, nearest, predict

_NAMES = {"weight": "the weight", "swing": "the swing over the year", "soft": "the stiffness at least",
          "stiff": "the stiffness at most", "price": "the price of the wood"}


def guess_dearest() -> Prediction:
    """Prediction: which of the harbour player's wishes costs the most necks."""
    now = counted(**defaults(START))
    cost = {name: 100 * float(now.missed[name].mean()) for name in _NAMES}

    def outcome(_: str) -> str:
        told = "; ".join(f"{_NAMES[name]} {share:.0f}" for name, share in cost.items())
        return f"Counted, necks of 100 that miss the limit: {told}."

    return predict(
        "A light six-string in cedar or spruce for a damp coast, even under the hand, a light hand, "
        "at most 2.9 kg. Which wish rules out the most necks?", list(_NAMES.values()), outcome,
        right=lambda: _NAMES[max(cost, key=cost.__getitem__)])


def guess_together() -> Prediction:
    """Prediction: how often nine-in-ten limits are met together."""
    sizes = {"about 90 of 100": 90.0, "about 75 of 100": 75.0, "about 60 of 100": 60.0}

    def outcome(_: str) -> str:
        told = "; ".join(f"{title}: {100 * best:.0f} of 100" for title, best, _ in start_table())
        return (
            f"Five limits of nine in ten make 0.9⁵ = {100 * 0.9**5:.0f} of 100 if they know nothing of each "
            f"other. The best lay-up of each client by the brief: {told}.")

    return predict(
        "Five limits, each met by 90 of 100 necks and none knowing of the others: how many necks meet "
        "all five?", list(sizes), outcome, right=lambda: nearest(sizes, 100 * 0.9**5))


def answer_give_way() -> Question:
    """Question: which limit to loosen for the most necks, counted."""
    start = defaults(START)
    base = float(counted(**start).chance.mean())
    moves = {"weight": {"weight": start["weight"] + 0.3}, "swing": {"swing": start["swing"] + 0.05},
             "stiff": {"stiff": start["stiff"] + 60.0}}
    labels = {"weight": "300 g more weight", "swing": "0.05 mm more swing over the year",
              "stiff": "60 N·m² more stiffness at most"}
    gain = {name: float(counted(**{**start, **move}).chance.mean()) - base for name, move in moves.items()}
    best = max(gain, key=lambda name: gain[name])
    told = "; ".join(f"{labels[name]}: {100 * base:.0f} → {100 * (base + more):.0f}"
                     for name, more in gain.items())
    return ask(
        "The harbour player may give way in one wish. Which gives the workshop the most choice (necks of "
        "100 that meet the brief, over all lay-ups)?", {words: "It does the most here." if name == best
                                                        else "Another one does more here."
                                                        for name, words in labels.items()},
        lambda: labels[best], "Move that one slider and watch how many rings fill.",
        f"Necks of 100 that meet every limit: {told}.")


def answer_error() -> Question:
    """Question: how well a chance from a hundred necks is known."""
    now = counted(**defaults(START))
    p = float(now.chance[now.best])
    n = lot(START).job.terms.draws
    return ask_number(
        f"A lay-up meets the brief in {100 * p:.0f} of {n} possible necks. How large is one standard "
        "error of that, in % of the necks?", lambda: 100 * float(np.sqrt(p * (1 - p) / n)), "%", 0.3,
        "The square root of p (1 − p) ÷ n, with p as a fraction.",
        f"√({p:.2f} × {1 - p:.2f} ÷ {n}) = {np.sqrt(p * (1 - p) / n):.3f}, that is "
        f"{100 * np.sqrt(p * (1 - p) / n):.1f} necks of 100: two lay-ups closer than twice that are "
        "not ranked by their chance.")


def answer_none() -> Question:
    """Question: what to do when the brief cannot be met; the share is counted."""
    start = {**defaults("theatre"), "weight": 3.2}
    chance = float(counted(**start).chance.max())
    right = "tell the client at once which wish the wood cannot meet" if chance < 0.05 else "build it"
    labels = {
        "tell the client at once which wish the wood cannot meet": (
            "Before a board is cut it costs nothing; the search shows which limit it is."),
        "draw more possible necks": "More draws know the chance better; they do not raise it.",
        "build it": "A chance of a few in a hundred is not a plan."}
    return ask(
        f"The theatre bass at most 3.2 kg: the best lay-up meets the brief in {100 * chance:.0f} of 100 "
        "necks. What now?", labels, lambda: right, "What does more counting change?",
        f"At {100 * chance:.0f} of 100 the limit stands against the wood: body and fittings of "
        f"{client('theatre').title[0].lower()}{client('theatre').title[1:]} weigh most of it already.")
