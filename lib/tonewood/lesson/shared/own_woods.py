"""The learner's own woods and measured boards, as the lessons list them: kept in lesson 09, summed up from
the log of measurements, and brought along by whatever design was opened. All files stand beside the
notebooks."""

from __future__ import annotations

import os

from tonewood.bench.log import read_log
from tonewood.neck import own_file
from tonewood.remember import remember
from tonewood.wood.own import OwnWood, keep, stated
from tonewood.wood.species import Species, own_species, species

FILE = "my_woods.json"
"""Own woods and boards of the learner, on the learner's own disk only."""
LOG = "my_boards.csv"
"""Measurements of boards and necks, one row a measurement."""
PUT_AWAY = ", put away"
"""Ends the label of a board in LOG that no list shows."""


def _mark(path: str) -> tuple[int, int] | None:
    """What changes when the file does; None where there is none."""
    try:
        there = os.stat(path)
    except OSError:
        return None
    return there.st_mtime_ns, there.st_size


@remember(8)
def _in_file(path: str, mark: tuple[int, int] | None) -> tuple[tuple[OwnWood, ...], str]:
    """(own woods of the file, what is wrong with it)."""
    try:
        return tuple(own for wood in own_file.load(path) if (own := stated(wood))), ""
    except ValueError as problem:
        return (), f"Your own woods are not listed: {problem}."


@remember(8)
def _in_log(path: str, mark: tuple[int, int] | None) -> tuple[tuple[OwnWood, ...], tuple[str, ...]]:
    """(boards of the log of which something was measured, why the others do not stand in a list)."""
    if mark is None:
        return (), ()
    try:
        found = read_log(path).boards()
    except ValueError as problem:
        return (), (f"The boards of your log are not listed: {problem}.",)
    boards, left = [], []
    for board in found:
        if not board.label.endswith(PUT_AWAY) and (
                board.density or board.modulus or board.loss or board.twist_modulus):
            try:
                boards.append(board.own_board().own())
            except ValueError as problem:
                left.append(f"Board {board.label} of {path} is not listed: {problem}.")
    return tuple(boards), tuple(left)


def own_woods() -> list[Species]:
    """Own boards, then own woods: those of FILE, boards of LOG that are not in it, and those that an opened
    design brought along. A file that cannot be read hides nothing else; `trouble` says so."""
    mine, _ = _in_file(os.path.abspath(FILE), _mark(FILE))
    names = {own.name for own in mine}
    logged, _ = _in_log(os.path.abspath(LOG), _mark(LOG))
    for own in (*(own for own in logged if own.name not in names), *mine):
        keep(own)
    return [*own_species(), *own_species(earlier=True)]


def trouble() -> str:
    """What is wrong with FILE, one sentence, or ""."""
    return _in_file(os.path.abspath(FILE), _mark(FILE))[1]


def left_out() -> tuple[str, ...]:
    """Which boards of LOG do not stand in the lists, and why, one sentence each."""
    return _in_log(os.path.abspath(LOG), _mark(LOG))[1]


def label(wood: Species) -> str:
    """How an own wood stands in a list: its name, and what it is."""
    if (own := stated(wood)) and own.one_board:
        kind = "own board, " + (species(own.like).name if own.like else "wood not known")
    else:
        kind = "own wood"
    older = "" if wood in own_species() else ", earlier readings"
    return f"{wood.name} ({kind}{older})"
