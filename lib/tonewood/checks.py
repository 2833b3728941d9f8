"""Checks on input, in one place so that every refusal reads the same.

Each function returns the checked value (float or float array) or raises ValueError with a sentence that names
the quantity, the value given, what is accepted with its unit, and the likely slip where one can be guessed.
Limits are definitions, or wide bounds that catch a slip of the unit without doubting a real board.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from difflib import get_close_matches
from typing import TYPE_CHECKING, Any

import numpy as np

from tonewood.draws import readable

if TYPE_CHECKING:
    from tonewood.draws import Array, Draws

    Slip = str | Callable[[float], str | None] | None

DENSITY_LIMITS = 50.0, 2000.0
"""Densities accepted, kg/m3: from balsa past solid cell wall (1500) to a fretboard of glass and resin."""

SWELLING_LIMITS = -0.2, 1.0
"""Swelling accepted, strain per unit moisture fraction, along or across the grain."""

MODULUS_LIMITS = 1e9, 60e9
"""Moduli along the grain accepted, Pa."""

STIFFNESS_LIMITS = 1e6, 2e12
"""Moduli of any direction and solid accepted, Pa."""


def _within(value: Any, low: float | None, high: float | None, open_low: bool, open_high: bool
            ) -> Draws | None:
    """The value as float or float array if it is plainly in order, else None: the quick way."""
    if type(value) in (float, int, np.float64):
        smallest = largest = value = float(value)
    elif type(value) is np.ndarray and value.dtype == np.float64 and value.size and value.ndim:
        smallest, largest = np.minimum.reduce(value, axis=None), np.maximum.reduce(value, axis=None)
    else:
        return None
    if not (smallest - smallest == 0 and largest - largest == 0):       # not a number, or infinite
        return None
    if low is not None and not (smallest > low if open_low else smallest >= low):
        return None
    if high is not None and not (largest < high if open_high else largest <= high):
        return None
    return value


def _numbers(name: str, value: Any, in_unit: str) -> Array:
    """Whatever was given as a float array; text, truth values, nothing and what else is no number refused."""
    try:
        given = np.asarray(value)
    except ValueError:                                                  # a list of unequal lists
        given = None
    if given is None or given.dtype.kind not in "iuf":
        items = list(value) if isinstance(value, (list, tuple)) else [value]
        at, bad = next(((i, v) for i, v in enumerate(items)
                        if np.ndim(v) == 0 and np.asarray(v).dtype.kind not in "iuf"), (0, value))
        where = f" (element {at + 1} of {len(items)})" if len(items) > 1 else ""
        hint = ""
        if isinstance(bad, str) and bad.strip().replace(",", ".").replace(".", "", 1).isdigit():
            hint = f". It is text: leave out the quotes, {float(bad.strip().replace(',', '.')):g}"
        shown = "nothing (None)" if bad is None else repr(bad.item() if isinstance(bad, np.generic) else bad)
        raise ValueError(f"{name}: {shown} given{where}; a number{in_unit} is expected{hint}")
    return given.astype(float)


def number(name: str, value: Any, low: float | None = None, high: float | None = None, unit: str = "",
           slip: Slip = None, open_low: bool = False, open_high: bool = False) -> Draws:
    """A finite number or array of numbers within [low, high].

    name: the quantity as a person would say it; unit: shown behind the limits; open_low/open_high exclude the
    limit; slip: sentence added to the message, or a function value -> sentence or None. Returns float (for a
    scalar) or float array. Raises ValueError.
    >>> number("width", 0.06, 0, 1, "m")
    0.06
    """
    good = _within(value, low, high, open_low, open_high)
    if good is not None:
        return good
    unit, in_unit = (f" {unit}", f" in {unit}") if unit else ("", "")
    array = _numbers(name, value, in_unit)
    if array.size == 0:
        raise ValueError(f"{name}: an empty array given; at least one number{in_unit} is expected")
    wrong = ~np.isfinite(array)
    if low is not None:
        wrong = wrong | (array <= low if open_low else array < low)
    if high is not None:
        wrong = wrong | (array >= high if open_high else array > high)
    if wrong.any():
        if low is not None and high is not None:
            to = "and below" if open_high else "to"
            accepted = f"{'above' if open_low else 'from'} {low:g} {to} {high:g}{unit}"
        elif low is not None:
            accepted = f"{'above' if open_low else 'at least'} {low:g}{unit}"
        elif high is not None:
            accepted = f"{'below' if open_high else 'at most'} {high:g}{unit}"
        else:
            accepted = f"any finite number{in_unit}"
        worst = float(array[wrong].reshape(-1)[0] if array.ndim else array)
        where = f" (element {int(np.flatnonzero(wrong)[0]) + 1} of {array.size})" if array.size > 1 else ""
        hint = slip(worst) if callable(slip) else slip
        hint = f". {hint}" if hint else ""
        raise ValueError(readable(f"{name}: {worst:g}{unit} given{where}; accepted: {accepted}{hint}"))
    return float(array) if array.ndim == 0 else array


def finite(**values: Any) -> None:
    """Every value, by name (underscores read as spaces), in any unit, is finite. Raises ValueError.
    >>> finite(first_moment=1.0, shear_force=[1.0, 2.0])
    """
    for name, value in values.items():
        number(name.replace("_", " "), value)


def unbounded(name: str, value: Any, most: float = 1e30, unit: str = "", open_low: bool = False) -> Draws:
    """A number of 0 or more that may be infinite; what is above `most` comes back as that. Raises ValueError.
    >>> unbounded("film coefficient", np.inf)
    1e+30
    """
    array = np.asarray(value)
    return number(name, np.minimum(array, most) if array.dtype.kind in "iuf" else value, 0.0, unit=unit,
                  open_low=open_low)


def length(name: str, value: Any, low: float = 0.0, high: float | None = None, open_low: bool = True,
           open_high: bool = False) -> Draws:
    """A length in metres within [low, high], 0 itself refused unless open_low=False; a value that only fits
    as millimetres is told so. Returns float or float array. Raises ValueError.
    >>> length("thickness", 0.02, high=0.1)
    0.02
    """
    def slip(v: float) -> str | None:
        fits = (high is None or low <= v / 1000 <= high) and v > (high or 0.2)
        return f"Lengths are in metres here; did you mean {v / 1000:g} m ({v:g} mm)?" if fits else None
    return number(name, value, low, high, "m", slip, open_low, open_high)


def whole(name: str, value: Any, low: int, high: int | None = None) -> int:
    """A whole number within [low, high], returned as int. Raises ValueError.
    >>> whole("strings", 6.0, 1, 12)
    6
    """
    if np.ndim(value):
        raise ValueError(f"{name}: {np.size(value)} numbers given; accepted: one whole number")
    return int(whole_numbers(name, value, low, high))


def whole_numbers(name: str, value: Any, low: int, high: int | None = None) -> Draws:
    """Whole numbers within [low, high], as float or float array (a count: no unit). Raises ValueError.
    >>> whole_numbers("harmonic", [1, 2], 1).tolist()
    [1.0, 2.0]
    """
    found = number(name, value, low, high)
    if (between := np.atleast_1d(found % 1 != 0)).any():
        at = np.flatnonzero(between)[0]
        where = f" (element {at + 1} of {between.size})" if between.size > 1 else ""
        accepted = f"from {low} to {high}" if high is not None else f"of at least {low}"
        raise ValueError(f"{name}: {np.ravel(found)[at]:g} given{where}; accepted: a whole number {accepted}")
    return found


def fraction(name: str, value: Any, low: float = 0.0, high: float = 1.0, unit: str = "(a fraction)",
             open_low: bool = False, open_high: bool = False) -> Draws:
    """A fraction within [low, high]; a number that fits as a percentage is told so. Raises ValueError.
    >>> fraction("relative humidity", 0.45)
    0.45
    """
    def slip(v: float) -> str | None:
        return f"Did you mean {v / 100:g}?" if v > high and low <= v / 100 <= high else None
    return number(name, value, low, high, unit, slip, open_low, open_high)


def angle(name: str, value: Any, limit: float = np.pi / 2) -> Draws:
    """An angle in radians, no larger than `limit` either way. Raises ValueError that suspects degrees.
    >>> angle("ring angle", 0.5)
    0.5
    """
    return number(name, value, -limit - 1e-12, limit + 1e-12, "rad", lambda v: None if abs(v) > 360 else
                  f"Is that in degrees? {v:g} degrees is {np.radians(v):.4g} rad (numpy.radians)")


def moisture_change(name: str, value: Any) -> Draws:
    """A change of moisture content, a fraction from -0.4 to 0.4. Raises ValueError that suspects per cent.
    >>> moisture_change("change of moisture", -0.02)
    -0.02
    """
    return number(name, value, -0.4, 0.4, "(fraction of ovendry mass)",
                  lambda v: f"Did you mean {v / 100:g}?" if 0.5 <= abs(v) <= 40 else None)


def moisture(name: str, value: Any, high: float = 0.30) -> Draws:
    """Moisture content as a fraction of ovendry mass, from 0 to `high` (fibre saturation unless told). Raises
    ValueError.
    >>> moisture("moisture content", 0.08)
    0.08
    """
    def slip(v: float) -> str | None:
        if 1 <= v <= 100 * high:
            return f"Did you mean {v / 100:g}?"
        if high < v < 1:
            return ("Above fibre saturation wood no longer swells or stiffens with moisture; "
                    "this model stops there")
        return None
    return number(name, value, 0.0, high, "(fraction of ovendry mass)", slip)


def temperature(name: str, value: Any, low: float, high: float) -> Draws:
    """A temperature in degrees Celsius within [low, high]. Raises ValueError that suspects Fahrenheit.
    >>> temperature("room temperature", 20.0, 5, 35)
    20.0
    """
    return number(name, value, low, high, "°C",
                  lambda v: f"Fahrenheit? {v:g} F is {(v - 32) / 1.8:.0f} C" if high < v <= 250 else None)


def density(name: str, value: Any) -> Draws:
    """A density of wood in kg/m3 within DENSITY_LIMITS. Raises ValueError that suspects g/cm3.
    >>> density("density", 700.0)
    700.0
    """
    return number(name, value, *DENSITY_LIMITS, "kg/m³",
                  lambda v: f"Did you mean {1000 * v:g} kg/m³?" if 0 < v < 2 else None)


def swelling(name: str, value: Any) -> Draws:
    """Swelling in strain per unit moisture fraction within SWELLING_LIMITS. Raises ValueError that suspects a
    percentage.
    >>> swelling("C_T", 0.353)
    0.353
    """
    return number(name, value, *SWELLING_LIMITS, "per unit moisture fraction", lambda v:
                  f"In % per unit moisture? That is {v / 100:g} as a fraction" if 1 < v <= 100 else None)


def modulus(name: str, value: Any) -> Draws:
    """A modulus along the grain in Pa within MODULUS_LIMITS. Raises ValueError that suspects GPa.
    >>> modulus("modulus along the grain", 12e9)
    12000000000.0
    """
    return number(name, value, *MODULUS_LIMITS, "Pa", gigapascals)


def gigapascals(value: float) -> str | None:
    """The slip of a modulus in GPa or MPa where Pa are expected, as a sentence, or None.
    >>> gigapascals(12.0)
    'Did you mean 12 GPa, that is 1.2e+10 Pa?'
    """
    unit, size = ("GPa", 1e9) if value < 1000 else ("MPa", 1e6)
    return f"Did you mean {value:g} {unit}, that is {value * size:g} Pa?" if 0 < value < 1e6 else None


def stiffness(name: str, value: Any) -> Draws:
    """A modulus of any direction or solid in Pa within STIFFNESS_LIMITS. Raises ValueError that suspects GPa.
    >>> stiffness("shear modulus", 0.7e9)
    700000000.0
    """
    return number(name, value, *STIFFNESS_LIMITS, "Pa", gigapascals)


def mass(name: str, value: Any, high: float = 100.0) -> Draws:
    """A mass in kg above 0 and at most `high`. Raises ValueError that suspects grams.
    >>> mass("mass", 0.3)
    0.3
    """
    return number(name, value, 0.0, high, "kg",
                  lambda v: f"Grams? {v:g} g is {v / 1000:g} kg" if v > high else None, open_low=True)


def frequency(name: str, value: Any, low: float = 1.0, high: float = 1e9) -> Draws:
    """A frequency in Hz within [low, high]. Raises ValueError that suspects kHz.
    >>> frequency("frequency", 412.0)
    412.0
    """
    return number(name, value, low, high, "Hz",
                  lambda v: f"Kilohertz? {v:g} kHz is {1000 * v:g} Hz" if 0 < v < low else None)


def seconds(name: str, value: Any, high: float = 600.0) -> Draws:
    """A time in s above 0 and at most `high`. Raises ValueError that suspects milliseconds.
    >>> seconds("T60", 3.5)
    3.5
    """
    return number(name, value, 0.0, high, "s",
                  lambda v: f"Milliseconds? {v:g} ms is {v / 1000:g} s" if v > high else None, open_low=True)


def draw_count(**arrays: Any) -> int | None:
    """The common number of draws (length of the leading axis) of the arrays given by name; None if all are
    single numbers.

    An entry that is None is passed over. Raises ValueError that names the two quantities that disagree.
    >>> draw_count(modulus=np.ones(5), density=700.0, loss=None)
    5
    """
    counts = {name: np.shape(v)[0] for name, v in arrays.items() if v is not None and np.ndim(v)}
    first, common = next(iter(counts.items()), ("", None))
    for name, count in counts.items():
        if count != common:
            raise ValueError(f"draws: {first} has {common} draws, {name} has {count}; accepted: single "
                             "numbers, or arrays with the same number of draws along the first axis")
    return common


def choice(name: str, value: Any, options: Iterable[Any]) -> Any:
    """One of `options`, by name. Raises ValueError that lists them and suggests the nearest.
    >>> choice("finish", "oil", ["oil", "lacquer"])
    'oil'
    """
    options = list(options)
    if value in options:
        return value
    near = get_close_matches(str(value), [str(o) for o in options], 1, 0.5)
    hint = f". Did you mean {near[0]!r}?" if near else ""
    raise ValueError(readable(f"{name}: {value!r} given; accepted: {', '.join(map(repr, options))}{hint}"))


def choice_of(name: str, given: Iterable[Any], options: Iterable[Any]) -> None:
    """Every word of `given` must be one of `options`, by name. Raises ValueError that lists them and suggests
    the nearest.
    >>> choice_of("shown", ["width"], ["width", "depth"])
    """
    options = list(options)
    for word in given:
        choice(name, word, options)
