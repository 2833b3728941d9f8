"""Results kept for reuse: a figure asks for the same setting again and again."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache, wraps
from typing import Any, ParamSpec, TypeVar

P = ParamSpec("P")
R = TypeVar("R")


def remember(most: int = 64, leave_out: tuple[str, ...] = ()
             ) -> Callable[[Callable[P, R]], Callable[P, R]]:
    """Decorator that keeps the `most` latest results of a function of hashable arguments, whatever their
    order.

    leave_out: keywords that make no difference and are not handed on (the units shown). The kept function has
    `.cache_clear()`.

    >>> @remember(2)
    ... def total(**v): return sum(v.values())
    >>> total(a=2, b=1), total(b=1, a=2), total.cache_info().misses
    (3, 3, 1)
    """
    def decorate(function: Callable[P, R]) -> Callable[P, R]:
        @lru_cache(maxsize=most)
        def kept(places: tuple[Any, ...], items: tuple[tuple[str, Any], ...]) -> R:
            return function(*places, **dict(items))

        @wraps(function)
        def asked(*places: P.args, **values: P.kwargs) -> R:
            given: dict[str, Any] = values
            items = tuple(sorted((n, v) for n, v in given.items() if n not in leave_out)) if given else ()
            try:
                hash((places, items))
            except TypeError:                       # a list for a number: let the function itself refuse it
                return function(*places, **dict(items))
            return kept(places, items)

        asked.cache_clear, asked.cache_info = kept.cache_clear, kept.cache_info  # type: ignore[attr-defined]
        return asked
    return decorate
