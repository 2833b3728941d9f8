"""Results kept for reuse: the same question is worked out once, whatever the order it is put in."""

import pytest

from tonewood.remember import remember


@pytest.fixture
def asked():
    """A kept function, and what it was really asked."""
    seen = []

    @remember(2, leave_out=("units",))
    def total(first, **values):
        """Sum."""
        seen.append((first, *sorted(values)))
        if first is None:
            raise ValueError("first: nothing given")
        return [first + sum(values.values())]

    return total, seen


def test_the_same_is_worked_out_once_in_any_order_and_units(asked):
    total, seen = asked
    assert total(1, a=2, b=3) is total(1, b=3, a=2, units="inches") and seen == [(1, "a", "b")]
    assert total.__doc__ == "Sum." and total.__name__ == "total"


def test_only_the_latest_are_kept(asked):
    total, seen = asked
    for first in (1, 2, 1, 3, 1, 2):
        total(first)
    assert [one for one, in seen] == [1, 2, 3, 2]
    total.cache_clear()
    total(2)
    assert len(seen) == 5


def test_what_cannot_be_kept_is_worked_out_or_refused_each_time(asked):
    total, seen = asked
    assert sum(total(1, a=one)[0] for one in (2, 2)) == 6 and len(seen) == 1
    for _ in range(2):
        with pytest.raises(TypeError):
            total(1, a=[2])
        with pytest.raises(ValueError, match="nothing given"):
            total(None)
    assert len(seen) == 5
