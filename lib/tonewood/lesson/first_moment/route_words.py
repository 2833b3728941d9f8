"""Two necks on one note, split by route, in plain sentences built from the computed numbers."""

from __future__ import annotations

import numpy as np

from tonewood.draws import Draws, band
from tonewood.sound.attack import AttackComparison
from tonewood.sound.hearing import decay_noticed


def routes_said(found: AttackComparison) -> list[str]:
    """Sentences on resonance, tension and decay, and on what stays open."""
    first, second = found.names
    more = np.abs(np.asarray(found.drop[1]) - np.asarray(found.drop[0]))
    saved = np.abs(np.asarray(found.relieved[1]) - np.asarray(found.relieved[0]))
    ratio = np.asarray(found.early_decay[1]) / np.asarray(found.early_decay[0])
    noticed = np.mean(decay_noticed(ratio))
    part = f"outside in {100 * noticed:.0f} % of the draws of"
    inside = "inside" if noticed == 0 else "outside" if noticed == 1 else part
    resonance, tension = (np.median(np.abs(v[..., -1])) for v in (found.by_resonance, found.by_tension))
    if max(resonance, tension) < 0.05:
        larger = "Neither route changes the level at 200 ms by as much as 0.05 dB for this note."
    else:
        names = ("loss at neck modes", "tension relief")
        name, other = names if resonance >= tension else names[::-1]
        larger = (f"For this note the larger route is {name}: {max(resonance, tension):.2f} dB at 200 ms "
                  f"against {_small(min(resonance, tension))} by {other}.")
    return [
        f"Loss at neck modes: in the first 200 ms this note drops {_band(found.drop[0], 2)} dB on {first} "
        f"and {_band(found.drop[1], 2)} dB on {second}. The difference of {_band(more, 2)} dB "
        f"{_against(more, found.notice_level)} the {found.notice_level:.1f} dB step listeners notice "
        "between two tones.",
        f"Tension: the hard pluck raises the pitch by {_band(found.cents[0])} cents while the string swings "
        f"wide; the necks' give along the string relieves {_band(found.relieved[0], 3)} cents of it on "
        f"{first} and {_band(found.relieved[1], 3)} on {second}. That difference of {_band(saved, 3)} cents "
        f"{_against(saved, found.notice_cents)} the {found.notice_cents:.0f} cents of glide listeners "
        f"notice, and it changes the level by {_small(np.abs(found.by_tension).max())}.",
        f"T60 of the early decay: {_band(found.early_decay[0])} s on {first}, "
        f"{_band(found.early_decay[1])} s on {second}, ratio {_band(ratio, 2)}, {inside} the range 0.75 to "
        "1.40 that listeners took for the same.",
        f"{larger} Another note can tell another story. These are numbers of a model; whether a player "
        "hears them in music is not established."]


def _small(level: float) -> str:
    """A level change that may be far below what is worth printing."""
    return "less than 0.01 dB" if level < 0.01 else f"{level:.2f} dB"


def _band(values: Draws, decimals: int = 1) -> str:
    """A number, or the median with its 90 % band."""
    if np.size(values) == 1:
        return f"{np.ravel(values)[0]:.{decimals}f}"
    low, middle, high = band(values)
    return f"{middle:.{decimals}f} (90 % of draws {low:.{decimals}f} to {high:.{decimals}f})"


def _against(values: Draws, threshold: float) -> str:
    """How a difference, possibly with draws, stands against a threshold."""
    above = np.mean(np.asarray(values) > threshold)
    part = f"is above, in {100 * above:.0f} % of the draws,"
    return "stays below" if above == 0 else "is above" if above == 1 else part
