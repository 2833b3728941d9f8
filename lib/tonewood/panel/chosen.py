"""Which units the learner reads, metric or inches and ounces: one choice for all that stands on the page. It
is kept in a file beside the lessons, so that the next lesson opens with it."""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from typing import Any
from weakref import WeakSet

from tonewood import checks, files
from tonewood.panel import units

FILE = "my_settings.json"
"""Of the learner's own, beside the notebooks as the log is."""

_followers: WeakSet[Any] = WeakSet()
_chosen: list[str] = []


def now() -> str:
    """units.METRIC or units.INCH: what was chosen last; metric where nothing readable says otherwise."""
    if not _chosen:
        _chosen.append(_kept().get("units", units.METRIC))
        if _chosen[0] not in (units.METRIC, units.INCH):
            _chosen[0] = units.METRIC
    return _chosen[0]


def _kept() -> dict[str, Any]:
    """What the file holds; nothing where there is none, or a damaged one: a lesson opens all the same."""
    with suppress(ValueError, RecursionError):
        found = json.loads(files.read(FILE))
        return found if isinstance(found, dict) else {}
    return {}


def choose(system: str) -> None:
    """Choose for all that follows, and keep it; where nothing can be written it holds for this page alone.
    Raises ValueError for a choice there is none of."""
    checks.choice("units", system, [units.METRIC, units.INCH])
    if system == now():
        return
    _chosen[:] = [system]
    with suppress(ValueError):
        files.write(FILE, (json.dumps({**_kept(), "units": system}, indent=1) + "\n").encode())
    for thing in list(_followers):
        with suppress(Exception):       # one that is closed, or refuses and says so, keeps no other from it
            thing.in_units()


@contextmanager
def reading(system: str) -> Iterator[None]:
    """Inside `with reading(system):` words and pictures are made for someone who uses `system`, whatever is
    chosen: a sheet for another reader."""
    before, _chosen[:] = [now()], [system]
    try:
        yield
    finally:
        _chosen[:] = before


def follow(thing: Any) -> None:
    """Call thing.in_units() whenever another choice is made, as long as it lives."""
    _followers.add(thing)


def said(words: str) -> str:
    """Words of a lesson in the units chosen now (units.said)."""
    return units.said(words, now())


def converted(words: str, word: str) -> str:
    """Words that hold numbers in unit `word` without saying so, in the units chosen now; a unit not known
    here stays."""
    return units.converted(words, word, now()) if word in units.UNITS else words


def number(value: float, word: str, decimals: int = 2, sign: bool = False) -> str:
    """A number given in unit `word`, in the units chosen now, without its unit (units.text)."""
    return units.text(value, word, decimals, now(), sign).rpartition(" ")[0]
