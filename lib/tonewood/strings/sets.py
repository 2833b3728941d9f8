"""Ready string sets with round generic gauges (common practice, no source). They are nobody's product: change
them to the set in hand.
"""

from __future__ import annotations

from collections.abc import Iterable

from tonewood import checks
from tonewood.draws import Draws
from tonewood.remember import remember
from tonewood.strings.pitch import TUNINGS, notes
from tonewood.strings.wire import StringSet, plain, wound

# (outer, core) in mm, bass to treble; a single number is a plain string.
_SIX = ((1.168, 0.450), (0.914, 0.400), (0.660, 0.340), 0.432, 0.330, 0.254)
_EIGHT = ((1.90, 0.60), (1.45, 0.50), (1.10, 0.44), (0.86, 0.39), (0.62, 0.33), 0.406, 0.305, 0.241)
_BASS = ((2.65, 0.90), (2.15, 0.80), (1.65, 0.65), (1.15, 0.50))
# Gauges and usual speaking length in m.
_SETS = {"six": (_SIX, 0.648), "seven": (((1.50, 0.50), *_SIX), 0.648), "eight": (_EIGHT, 0.686),
         "bass four": (_BASS, 0.864), "bass five": (((3.30, 1.05), *_BASS), 0.864)}
SETS = tuple(_SETS)


@remember(16)
def string_set(name: str = "six", tuning: str | Iterable[str] | None = None, length: Draws | None = None,
               wrap: str = "nickel-plated steel", gauge: float = 1.0) -> StringSet:
    """A ready StringSet: name "six", "seven", "eight", "bass four" or "bass five". Raises ValueError.

    tuning: a name in pitch.TUNINGS, note names bass to treble, or None for the usual one. length: speaking
    length in m, one number or one per string (multi-scale), or None for the usual one. wrap: one of
    wire.WRAPS. gauge: factor (0.5 to 2) on every diameter, cores too; tension grows with its square.

    >>> round(string_set("six").total_tension), round(string_set("six", gauge=1.1).total_tension)
    (462, 560)
    """
    checks.fraction("factor on the gauges", gauge, 0.5, 2.0, "")
    gauges, usual = _SETS[checks.choice("string set", name, SETS)]
    size = 1e-3 * gauge
    strings = tuple(plain(size * g) if isinstance(g, float) else wound(size * g[0], size * g[1], wrap)
                    for g in gauges)
    return StringSet(strings, notes(tuning or TUNINGS[name]), usual if length is None else length)
