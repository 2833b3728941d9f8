"""Checks on input, in one place so that every refusal reads the same.

Each function returns the checked value (float or float array) or raises ValueError with a sentence that names
the quantity, the value given, what is accepted with its unit, and the likely slip where one can be guessed.
"""

from difflib import get_close_matches

import numpy as np


def _within(value, low, high, open_low, open_high):
    """The value as float or float array if it is plainly in order, else None: the quick way for what nearly always holds."""
    if type(value) in (float, int):
        smallest = largest = value = float(value)
    elif type(value) is np.ndarray and value.dtype == np.float64 and value.size and value.ndim:
        smallest, largest = value.min(), value.max()
    else:
        return None
    if not (smallest - smallest == 0 and largest - largest == 0):       # not a number, or infinite
        return None
    if low is not None and not (smallest > low if open_low else smallest >= low):
        return None
    if high is not None and not (largest < high if open_high else largest <= high):
        return None
    return value


def number(name, value, low=None, high=None, unit="", slip=None, open_low=False, open_high=False):
    """A finite number or array of numbers within [low, high].

    name: the quantity as a person would say it; unit: shown behind the limits; open_low/open_high exclude the limit;
    slip: sentence added to the message, or a function value -> sentence or None. Returns float (for a scalar) or float array.
    Raises ValueError.
    """
    good = _within(value, low, high, open_low, open_high)
    if good is not None:
        return good
    unit = f" {unit}" if unit else ""
    try:
        array = np.asarray(value, dtype=float)
    except (TypeError, ValueError):
        raise ValueError(f"{name}: {value!r} given; a number{unit and ' in' + unit} is expected") from None
    if array.size == 0:
        raise ValueError(f"{name}: an empty array given; at least one number{unit and ' in' + unit} is expected")
    wrong = ~np.isfinite(array)
    if low is not None:
        wrong = wrong | (array <= low if open_low else array < low)
    if high is not None:
        wrong = wrong | (array >= high if open_high else array > high)
    if wrong.any():
        if low is not None and high is not None:
            accepted = (f"{'above' if open_low else 'from'} {low:g} {'and below' if open_high else 'to'} {high:g}{unit}")
        elif low is not None:
            accepted = f"{'above' if open_low else 'at least'} {low:g}{unit}"
        elif high is not None:
            accepted = f"{'below' if open_high else 'at most'} {high:g}{unit}"
        else:
            accepted = f"any finite number{unit and ' in' + unit}"
        worst = array[wrong].reshape(-1)[0] if array.ndim else float(array)
        where = f" (element {int(np.flatnonzero(wrong)[0])} of {array.size})" if array.size > 1 else ""
        hint = slip(worst) if callable(slip) else slip
        raise ValueError(f"{name}: {worst:g}{unit} given{where}; accepted: {accepted}" + (f". {hint}" if hint else ""))
    return float(array) if array.ndim == 0 else array


def length(name, value, low=0.0, high=None, open_low=True, open_high=False):
    """A length in metres within [low, high], 0 itself refused unless open_low=False; a value that only fits as millimetres
    is told so. Returns float or float array. Raises ValueError."""
    def slip(v):
        fits = high is None or low <= v / 1000 <= high
        return f"Lengths are in metres here; did you mean {v / 1000:g} m ({v:g} mm)?" if fits and v > (high or 0.2) else None
    return number(name, value, low, high, "m", slip, open_low, open_high)


def whole(name, value, low, high):
    """A whole number within [low, high], returned as int. Raises ValueError."""
    if int(number(name, value, low, high)) != value:
        raise ValueError(f"{name}: {value:g} given; accepted: a whole number from {low:g} to {high:g}")
    return int(value)


def fraction(name, value):
    """A fraction from 0 to 1; a number above 1 is taken to be a percentage by mistake. Raises ValueError."""
    return number(name, value, 0.0, 1.0, "(a fraction)",
                  lambda v: f"Did you mean {v / 100:g}?" if 1 < v <= 100 else None)


def percent(name, value):
    """A percentage from 0 to 100 as people type it; a number strictly between 0 and 1 is taken to be a fraction. Raises ValueError."""
    array = np.asarray(number(name, value, 0.0, 100.0, "%"))
    slipped = (array > 0) & (array < 1)
    if slipped.any():
        v = float(array[slipped].reshape(-1)[0])
        raise ValueError(f"{name}: {v:g} % given; accepted: 1 to 100 %. Did you mean {100 * v:g} %?")
    return float(array) if array.ndim == 0 else array


def angle(name, value, limit=np.pi / 2):
    """An angle in radians, no larger than `limit` either way. Raises ValueError that suspects degrees."""
    return number(name, value, -limit - 1e-12, limit + 1e-12, "rad",
                  lambda v: f"Is that in degrees? {v:g} degrees is {np.radians(v):.4g} rad (numpy.radians)" if abs(v) <= 360 else None)


def moisture(name, value, high=0.30):
    """Moisture content as a fraction of ovendry mass, from 0 to `high` (fibre saturation unless told). Raises ValueError."""
    def slip(v):
        if 1 <= v <= 100 * high:
            return f"Did you mean {v / 100:g}?"
        if high < v < 1:
            return "Above fibre saturation wood no longer swells or stiffens with moisture; this model stops there"
        return None
    return number(name, value, 0.0, high, "(fraction of ovendry mass)", slip)


def draw_count(**arrays):
    """The common number of draws (length of the leading axis) of the arrays given by name; None if all are single numbers.

    An entry that is None is passed over. Raises ValueError that names the two quantities that disagree.
    """
    found = None
    for name, value in arrays.items():
        if value is None or np.ndim(value) == 0:
            continue
        count = np.shape(value)[0]
        if found is None:
            found = (name, count)
        elif found[1] != count:
            raise ValueError(f"draws: {found[0]} has {found[1]} draws, {name} has {count}; "
                             "accepted: single numbers, or arrays with the same number of draws along the first axis")
    return None if found is None else found[1]


def choice(name, value, options):
    """One of the words in `options`. Raises ValueError that lists them and suggests the nearest."""
    options = list(options)
    if value in options:
        return value
    near = get_close_matches(str(value), [str(o) for o in options], 1, 0.5)
    hint = f". Did you mean {near[0]!r}?" if near else ""
    raise ValueError(f"{name}: {value!r} given; accepted: {', '.join(map(repr, options))}{hint}")


def choice_of(name, given, options):
    """Every word of `given` must be one of `options`. Raises ValueError that lists them and suggests the nearest."""
    for word in given:
        choice(name, word, options)
