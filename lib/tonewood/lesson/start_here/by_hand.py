"""How many of the numbers in use are published, estimated or remembered."""

from __future__ import annotations

from collections import Counter

from tonewood.panel.page import Shown
from tonewood.schema import STATUSES
from tonewood.wood.species import all_species


def count_standing() -> Shown:
    """The numbers in the tables, counted by what they rest on. Returns something to show."""
    counts = Counter(fact.status for wood in all_species() for fact in wood.facts.values())
    text = f"{len(all_species())} woods, {counts.total()} numbers in use: " + ", ".join(
        f"{counts[status]} {status}" for status in STATUSES if counts[status]) + "."
    return Shown(f"<p>{text}</p>", text)
