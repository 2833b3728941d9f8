"""The learner's own woods and measured boards, as the lessons list them: from one file beside the notebooks,
and from whatever design was opened."""

from __future__ import annotations

from tonewood.neck import own_file
from tonewood.wood.species import Species, own_species, species

FILE = "my_woods.json"
"""Own woods and boards of the learner, in the folder of the notebooks; on the learner's own disk only."""


def own_woods() -> list[Species]:
    """Own boards, then own woods: those of FILE, and those that an opened design brought along. A file that
    cannot be read hides nothing else; `trouble` says so."""
    try:
        own_file.load(FILE)
    except ValueError:
        pass
    return [*own_species(), *own_species(earlier=True)]


def trouble() -> str:
    """What is wrong with FILE, one sentence, or ""."""
    try:
        own_file.load(FILE)
    except ValueError as problem:
        return f"Your own woods are not listed: {problem}."
    return ""


def label(wood: Species) -> str:
    """How an own wood stands in a list: its name, and what it is."""
    if wood.one_board:
        kind = "own board, " + (species(wood.own.like).name if wood.own.like else "wood not known")
    else:
        kind = "own wood"
    older = "" if wood in own_species() else ", earlier readings"
    return f"{wood.name} ({kind}{older})"
