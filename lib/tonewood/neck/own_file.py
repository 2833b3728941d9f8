"""The learner's own woods and boards in one file of their own folder: JSON in the form in which a design
takes them along (neck.design_file). Definition of the form: this file.

Writers wait for one another (tonewood.files), so that two notebooks open at once lose nothing; the version
before is kept.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

from tonewood import files
from tonewood.neck.design_file import closed, made, opened, plain
from tonewood.wood.own import OwnWood, keep, stated
from tonewood.wood.species import Species

SCHEMA = "tonewood own woods"
VERSION = 1


def to_text(woods: tuple[OwnWood, ...]) -> str:
    """Own woods as JSON text.
    >>> to_text(()).splitlines()[1]
    ' "schema": "tonewood own woods",'
    """
    return closed(SCHEMA, VERSION, {"woods": plain(woods)})


def from_text(text: str, where: str = "own woods") -> tuple[Species, ...]:
    """The own woods of a JSON text, made known in the order they stand in. Raises ValueError that names
    `where`, the wood, the field, what was given and what is accepted.
    >>> from_text(to_text(()))
    ()
    """
    woods = opened(text, where, SCHEMA, VERSION).get("woods")
    if not isinstance(woods, list):
        raise ValueError(f"{where}, woods: {woods!r} given; accepted: a list, empty where there is none")
    return tuple(keep(made(OwnWood, wood, f"{where}, woods[{i}]")) for i, wood in enumerate(woods, 1))


def load(path: str | os.PathLike[str]) -> tuple[Species, ...]:
    """The own woods of a file, made known; none where there is no file yet. Raises ValueError.
    >>> load("nowhere.json")
    ()
    """
    return from_text(files.read(path), Path(path).name) if os.path.lexists(path) else ()


Woods = tuple[OwnWood, ...]


def _change(path: str | os.PathLike[str], change: Callable[[Woods], Woods]) -> None:
    def anew(old: str | None) -> str:
        known = () if old is None else from_text(old, Path(path).name)
        return to_text(change(tuple(own for wood in known if (own := stated(wood)))))
    files.update(path, anew)


def add(path: str | os.PathLike[str], own: OwnWood) -> Species:
    """Keep an own wood in the file, in the place of one of the same name, and make it known. Returns the
    Species. Raises ValueError, with the file as it was.
    >>> import tempfile
    >>> from tonewood.wood.species import forget
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     wood = add(f"{folder}/woods.json", OwnWood(name="Mill maple", like="hard maple"))
    ...     load(f"{folder}/woods.json") == (wood,)
    True
    >>> forget(wood)
    """
    wood = keep(own)
    _change(path, lambda known: (*(old for old in known if old.name != own.name), own))
    return wood


def remove(path: str | os.PathLike[str], name: str) -> None:
    """Take an own wood of this name out of the file; designs that name it carry it still. Raises ValueError
    where there is none.
    >>> remove("nowhere.json", "Mill maple")
    Traceback (most recent call last):
    ValueError: nowhere.json: no own wood 'Mill maple'; it holds none
    """
    known = [wood.name for wood in load(path)]
    if name not in known:
        raise ValueError(f"{Path(path).name}: no own wood {name!r}; it holds {', '.join(known) or 'none'}")
    _change(path, lambda woods: tuple(own for own in woods if own.name != name))
