"""What a screen reader is told when a figure follows the hand: what has changed, not all of it anew."""

from __future__ import annotations

import re

WORDS = 24
"""About so many words are spoken after a step; the whole sentence stands below the picture to be read."""

_PARTS = re.compile(r"(?<=[,;:.])\s+(?![^(]*\))")          # where a clause ends, not inside brackets
_BRACKETS = re.compile(r"\s*\([^()]*\)")


def difference(before: str, after: str) -> str:
    """The clauses of `after` that were not in `before`, without what stands in brackets unless that alone has
    changed; the first of them, about WORDS long, and how many more there are.

    >>> difference("EI 101 %, relief 0.3 mm (0.2 to 0.4).", "EI 101 %, relief 0.28 mm (0.2 to 0.3).")
    'Relief 0.28 mm.'
    >>> difference("Relief 0.31 mm.", "Relief 0.31 mm.")
    'The numbers stay as they were.'
    """
    old, new = _PARTS.split(before), _PARTS.split(after)
    bare = {_without(part) for part in old}
    changed = [_without(part) for part in new if _without(part) not in bare]
    changed = changed or [part.rstrip(" ,;:.") for part in new if part not in old]
    if not changed:
        return "The numbers stay as they were."
    said: list[str] = []
    while changed and (not said or len(" ".join([*said, changed[0]]).split()) <= WORDS):
        said.append(changed.pop(0))
    more = f", and {len(changed)} more" if changed else ""
    told = ", ".join(said) + more
    return f"{told[:1].upper()}{told[1:]}."


def _without(part: str) -> str:
    return _BRACKETS.sub("", part).rstrip(" ,;:.")
