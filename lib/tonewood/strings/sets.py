"""Ready string sets with round generic gauges (common practice, no source). They are nobody's product: change them to the set in hand."""

from dataclasses import replace

import numpy as np

from tonewood.checks import choice, number
from tonewood.strings.pitch import TUNINGS, notes
from tonewood.strings.wire import GAUGE_STATUS, StringSet, plain, wound

# (outer, core) in mm, bass to treble; a single number is a plain string. Second entry: usual speaking length in m.
_SIX = ((1.168, 0.450), (0.914, 0.400), (0.660, 0.340), 0.432, 0.330, 0.254)
_SEVEN = ((1.50, 0.50),) + _SIX
_BASS = ((2.65, 0.90), (2.15, 0.80), (1.65, 0.65), (1.15, 0.50))
_SETS = {
    "six": (_SIX, 0.648),
    "seven": (_SEVEN, 0.648),
    "eight": (((1.90, 0.60), (1.45, 0.50), (1.10, 0.44), (0.86, 0.39), (0.62, 0.33), 0.406, 0.305, 0.241), 0.686),
    "bass four": (_BASS, 0.864),
    "bass five": (((3.30, 1.05),) + _BASS, 0.864),
}
SETS = tuple(_SETS)


def string_set(name="six", tuning=None, length=None, wrap="nickel-plated steel"):
    """A ready StringSet: name "six", "seven", "eight", "bass four" or "bass five".

    tuning: a name in pitch.TUNINGS, note names bass to treble, or None for the usual one. length: speaking length in m, one number or
    one per string (multi-scale, see fan), or None for the usual one. wrap: a key of strings.WRAP_DENSITY. Raises ValueError.
    """
    gauges, usual = _SETS[choice("string set", name, SETS)]
    strings = [plain(g * 1e-3) if np.ndim(g) == 0 else wound(g[0] * 1e-3, g[1] * 1e-3, wrap) for g in gauges]
    return StringSet(tuple(strings), notes(tuning or TUNINGS[name]), usual if length is None else length, GAUGE_STATUS)


def scaled(strings, factor):
    """The same StringSet with every diameter (core too) multiplied by `factor`, tuned to the same notes: tension grows with factor squared.

    factor: 0.5 to 2. Returns StringSet. Raises ValueError.
    """
    factor = number("factor on the gauges", factor, 0.5, 2.0, "", lambda v: f"Did you mean {v / 100:g}, that is {v:g} %?" if v > 2 else None)
    thicker = tuple(replace(string, diameter=factor * string.diameter, core=factor * string.core) for string in strings.strings)
    return replace(strings, strings=thicker)


def fan(bass_length, treble_length, count):
    """Speaking lengths (m) of a multi-scale instrument, evenly stepped from the bass to the treble string. Returns (count,)."""
    slip = lambda v: f"Did you mean {v / 1000:g} m?" if v < 2000 else None
    bass_length = number("bass speaking length", bass_length, 0.2, 1.5, "m", slip)
    treble_length = number("treble speaking length", treble_length, 0.2, 1.5, "m", slip)
    if int(count) < 2:
        raise ValueError(f"number of strings: {count} given; accepted: at least 2")
    return np.linspace(bass_length, treble_length, int(count))
