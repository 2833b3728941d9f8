"""Units for people: millimetres or inches, grams or ounces, percent, degrees. The models below use SI only;
this is the border.

Conversion factors are exact by definition (tonewood.constants).
"""

from __future__ import annotations

import re
from fractions import Fraction
from math import floor, log10, pi

from tonewood import checks, constants
from tonewood.draws import Draws, written

METRIC, INCH = "metric", "inches and ounces"

# unit: (kind, size in the SI unit of that kind)
UNITS = {
    "m": ("length", 1.0), "cm": ("length", 0.01), "mm": ("length", 0.001), "µm": ("length", 1e-6),
    "in": ("length", constants.INCH), "ft": ("length", 0.3048),
    "kg": ("mass", 1.0), "g": ("mass", 0.001), "oz": ("mass", constants.POUND / 16),
    "lb": ("mass", constants.POUND),
    "": ("fraction", 1.0), "%": ("fraction", 0.01), "rad": ("angle", 1.0), "°": ("angle", pi / 180),
    "N·m": ("torque", 1.0), "lbf·in": ("torque", constants.INCH * constants.POUND * constants.GRAVITY),
    "N": ("force", 1.0), "lbf": ("force", constants.POUND * constants.GRAVITY), "Pa": ("pressure", 1.0),
    "GPa": ("pressure", 1e9), "MPa": ("pressure", 1e6),
    "s": ("time", 1.0), "ms": ("time", 0.001), "Hz": ("frequency", 1.0), "kHz": ("frequency", 1000.0),
    "kg/m³": ("density", 1.0), "g/cm³": ("density", 1000.0), "cents": ("interval", 1.0),
    "boards": ("count", 1.0),
}
_SPELLINGS = {
    "inch": "in", "inches": "in", '"': "in", "″": "in", "ounce": "oz", "ounces": "oz", "pound": "lb",
    "pounds": "lb",
    "deg": "°", "degree": "°", "degrees": "°", "percent": "%", "millimetre": "mm", "millimetres": "mm",
    "gram": "g",
    "grams": "g", "um": "µm", "second": "s", "seconds": "s", "sec": "s", "kg/m3": "kg/m³", "kg/m^3": "kg/m³",
    "g/cm3": "g/cm³", "g/cm^3": "g/cm³", "g/cc": "g/cm³", "cent": "cents", "board": "boards",
    "kilogram": "kg", "kilograms": "kg"}
_POWERS = str.maketrans("²³", "23")
_COUNTERPART = {"m": "ft", "cm": "in", "mm": "in", "kg": "lb", "g": "oz", "N": "lbf", "N·m": "lbf·in"}
_WORDS = {"millimetres": "inches", "grams": "ounces", "in": "inches"}
# what a sentence holds: numbers, a unit behind them, a band in brackets after it; and units alone
_NUMBER = r"[+−-]?(?<![\w.])\d+(?:\.\d+)?(?![\w.]*\d)"
_NUMBERS = rf"{_NUMBER}(?:(?:–|…|[ ](?:to|and|or|of|by|×|±|…)[ ]){_NUMBER})*"
_UNIT = r"(?:mm|cm|m|kg|g|N·m|N)(?![\w·⁻²³⁴/]|\)[²³])"
_SAID = re.compile(rf"""({_NUMBERS}(?:[ ]\({_NUMBERS}\))?)(\s)({_UNIT})         # 60 × 25 mm; 3 (2 to 4) kg
                        (?:([^.;:()\d]{{0,40}}\((?:[^():]*:\s)?)({_NUMBERS})(?=[,;)]))?""",   # (0.1 to 0.3)
                   re.VERBOSE)
_ALONE = re.compile(r"(?<=\()(mm|cm|kg|g|N·m|N)(?=\))|(?<![\w·/])(mm|kg|N·m)(?![\w·⁻²³⁴/])")
_SI = {"m": ("mm", 1e3), "rad": ("°", 180 / pi), "Pa": ("GPa", 1e-9)}
_SI_NUMBER = r"[+−-]?\d+(?:\.\d+)?(?:e[+-]?\d+)?"
_SI_MEANT = re.compile(r"\. (?:Lengths are in metres here|Is that in degrees|"
                       r"Did you mean [^.]* GPa, ).*")
_TYPED = re.compile(r'''\s*([-+]?)\s*(?:(\d+)[ -]+)?                  # sign, whole inches before a fraction
                        (\d+\s*/\s*\d+|(?:\d+[.,]?\d*|[.,]\d+)(?:[eE][-+]?\d+)?)\s*  # fraction or decimal
                        ([^\d\s.,/].*?)?\s*''', re.VERBOSE)                # unit


def unit(word: str) -> str:
    """The unit as this package writes it ("in" for "inches"). Raises ValueError for an unknown one."""
    word = _SPELLINGS.get(str(word).strip(), str(word).strip())
    return checks.choice("unit", word, UNITS)


def convert(value: Draws, given: str, wanted: str) -> Draws:
    """value in unit `given` -> the same in unit `wanted`. Raises ValueError when the two measure different
    things."""
    (kind, size), (other, target) = UNITS[unit(given)], UNITS[unit(wanted)]
    if kind != other:
        raise ValueError(f"unit: {given!r} measures {kind}, {wanted!r} {other}; accepted: two units of one "
                         f"kind")
    return value * (size / target) if size != target else value


def in_system(word: str, system: str) -> str:
    """The unit in which a person using `system` (METRIC or INCH) reads a quantity given in `word`."""
    checks.choice("units", system, [METRIC, INCH])
    word = unit(word)
    return _COUNTERPART.get(word, word) if system == INCH else word


def nice_step(step: float) -> float:
    """A step of 1, 2 or 5 times a power of ten, near `step` and not much above it."""
    step = checks.number("step", step, 0, open_low=True)
    power = 10.0 ** floor(log10(step))
    return power * max(k for k in (1, 2, 5, 10) if k <= 1.3 * step / power)


def text(value: float, word: str = "", decimals: int = 2, system: str = METRIC, sign: bool = False) -> str:
    """A number with its unit for reading: text(0.25, "mm") -> "0.25 mm"; in the inch system with the decimals
    that keep the precision.

    value: a finite number in unit `word`; decimals: for that unit; sign: a plus before a positive one. Raises
    ValueError.
    """
    value, word = checks.number("number", value, unit=word), unit(word)
    wanted = in_system(word, system)
    if wanted != word:
        factor = convert(1.0, word, wanted)
        value, word, decimals = value * factor, wanted, _decimals([value * factor], decimals, factor)
    shown = written(value, decimals, sign)
    return (f"{shown}{word}" if word == "°" else f"{shown} {word}").strip()


def _decimals(values: list[float], decimals: int, factor: float) -> int:
    """Decimals that keep the precision after multiplying by `factor`, and never spoil the largest of the
    values by more than a tenth (1 mm is not 0.0 in)."""
    most, found = max(map(abs, values)), max(0, decimals + round(-log10(factor)))
    while most and found < 6 and abs(round(most, found) - most) > 0.1 * most:
        found += 1
    return found


def converted(words: str, word: str, system: str) -> str:
    """Every number of `words`, given in unit `word`, as someone who uses `system` reads it.

    >>> converted("0.10 to 0.24", "mm", INCH), converted("dead, 650", "mm", INCH)
    ('0.004 to 0.009', 'dead, 25.6')
    """
    wanted = in_system(word, system)
    if wanted == word:
        return words
    factor, numbers = convert(1.0, word, wanted), re.findall(_NUMBER, words)
    shown = [factor * float(number.replace("−", "-")) for number in numbers]
    places = max((len(number.partition(".")[2]) for number in numbers), default=0)
    places = _decimals(shown, places, factor) if shown else 0
    told = (written(value, places, number[0] == "+") for value, number in zip(shown, numbers, strict=True))
    return re.sub(_NUMBER, lambda _: next(told), words)


def said(words: str, system: str) -> str:
    """A sentence, label or title with its lengths, weights and forces as someone who uses `system` reads
    them: numbers with their unit, a band in brackets after them, units alone in brackets. Units without a
    counterpart stay.

    >>> said("relief 0.25 mm (90 of 100: 0.20 to 0.31), 12 GPa", INCH)
    'relief 0.010 in (90 of 100: 0.008 to 0.012), 12 GPa'
    >>> said("gap (mm)", INCH), said("neck of 21.6 × 42 mm", INCH), said("3.2 kg", METRIC)
    ('gap (in)', 'neck of 0.85 × 1.65 in', '3.2 kg')
    """
    if system == METRIC:
        return words
    if words in ("mm", "in mm"):
        return words.replace("mm", "inches")

    def one(found: re.Match[str]) -> str:
        numbers, space, word, between, band = found.groups()
        told = converted(f"{numbers}\n{band or ''}", word, system).split("\n")
        return f"{told[0]}{space}{in_system(word, system)}{between or ''}{told[1]}"

    words = _ALONE.sub(lambda found: in_system(found[0], system), _SAID.sub(one, words))
    words = re.sub(r"(?:(?<= in )|(?<=many ))(?:millimetres|grams)\b|(?<=, )in$",
                   lambda found: _WORDS[found[0]], words)
    return re.sub(r"\bin in\b", "in inches", re.sub(r"(?<=\d) in in\b", " inches in", words))


def typed(refusal: object) -> str:
    """What the library refused in metres, radians or pascals, as a sentence for someone who typed
    millimetres, degrees or gigapascals: without its guess that just those were meant.

    >>> typed("lean: 0.85 m given; accepted: above 0 to 0.05 m. Lengths are in metres here; did you mean …?")
    'lean: 850 mm given; accepted: above 0 to 50 mm.'
    """
    words = _SI_MEANT.sub("", str(refusal))

    def one(found: re.Match[str]) -> str:
        word, factor = _SI[found[2]]
        told = re.sub(_SI_NUMBER, lambda number: written(float(
            f"{factor * float(number[0].replace('−', '-')):.5g}"), None), found[1])
        return f"{told}{'' if word == '°' else ' '}{word}"

    words = re.sub(rf"({_SI_NUMBER}(?: (?:to|and below) {_SI_NUMBER})?) (m|rad|Pa)(?![\w·/²³])", one, words)
    return words if words.endswith((".", "?")) else f"{words}."


def read(words: str, wanted: str = "", name: str = "number") -> float:
    """What a person typed -> number in unit `wanted`: "0.25", "0,25 mm", "3/8 in", "1 1/2 in". A bare number
    is taken to be in `wanted`; name: of the quantity, for the refusal. Comma and point both begin the
    decimals. Raises ValueError that says what was expected."""
    match = _TYPED.fullmatch(str(words).replace("−", "-"))
    example = f"0.25{'' if wanted == '°' else ' '}{wanted}".strip()
    fraction = ' or "3/8 in"' if UNITS.get(wanted, ("",))[0] == "length" else ""
    given = f"{words!r} given" if str(words).strip() else "nothing given"
    refusal = ValueError(f'{name}: {given}; accepted: a number such as "{example}"{fraction}')
    if not match or (match[2] and "/" not in match[3]):
        raise refusal
    try:
        size = float(Fraction(match[3].replace(" ", "")) if "/" in match[3] else match[3].replace(",", "."))
    except ZeroDivisionError:
        raise refusal from None
    value = (-1 if match[1] == "-" else 1) * (int(match[2] or 0) + size)
    if not match[4] or match[4].translate(_POWERS) == wanted.translate(_POWERS):
        return value
    if wanted not in UNITS:
        raise refusal
    try:
        return convert(value, match[4], wanted)
    except ValueError as problem:           # no such unit, or one of another kind
        raise ValueError(f"{name}: {given}; {problem}") from None
