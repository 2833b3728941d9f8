"""Two necks, one hard pluck: how the first 200 ms differ, and by which route.

Two routes are followed apart. Tension: the neck gives a little along the string and so relieves some of the tension rise. Resonance: the
neck takes energy from partials that lie near its own modes.
"""

from dataclasses import dataclass

import numpy as np

from tonewood.sound import hearing
from tonewood.sound.glide import tension_glide
from tonewood.sound.partials import EndModes
from tonewood.sound.pluck import pluck

TIMES = (0.005, 0.050, 0.200)


@dataclass(frozen=True, eq=False)
class AttackDesign:
    """A neck as a pluck meets it.

    name; normal, parallel: EndModes out of and along the fretboard plane; compliance: give along the string [m/N], float or (draws,).
    """

    name: str
    normal: EndModes = EndModes()
    parallel: EndModes = EndModes()
    compliance: float | np.ndarray = 0.0


@dataclass(frozen=True, eq=False)
class AttackComparison:
    """One pluck on two designs; every pair below is (first, second), each with a leading draw axis where the design has draws.

    names; levels: pair of (..., 3) at 5, 50 and 200 ms [dB re 1 m/s]; drop: pair, level at 5 ms less level at 200 ms [dB];
    early_decay: pair [s]; cents: pair, pitch rise while swinging; relieved: pair, pitch taken away by the neck's give [cents];
    by_resonance, by_tension: change of `levels` from first to second when only that route changes [dB], (..., 3);
    notice_cents, notice_level [dB]: what attentive listeners notice; frequency of the note [Hz].
    """

    names: tuple
    levels: tuple
    drop: tuple
    early_decay: tuple
    cents: tuple
    relieved: tuple
    by_resonance: np.ndarray
    by_tension: np.ndarray
    notice_cents: float
    notice_level: float
    frequency: float

    def table(self):
        """One row per design: medians over the draws, units in the column names."""
        import pandas
        rows = []
        for i, name in enumerate(self.names):
            level = np.median(np.reshape(self.levels[i], (-1, len(TIMES))), axis=0)
            rows.append({"design": name} | {f"level at {1000 * t:.0f} ms [dB re 1 m/s]": v for t, v in zip(TIMES, level)}
                        | {"drop from 5 to 200 ms [dB]": np.median(self.drop[i]), "early decay time [s]": np.median(self.early_decay[i]),
                           "pitch rise while swinging [cents]": np.median(self.cents[i]),
                           "pitch relieved by the neck [cents]": np.median(self.relieved[i])})
        return pandas.DataFrame(rows)

    def verdict(self):
        """Plain sentences built from the computed numbers, a list of str: resonance, tension, decay, what stays open."""
        first, second = self.names
        more = _difference(self.drop[1], self.drop[0])
        sentences = [f"Loss at neck modes: in the first 200 ms this note drops {_band(self.drop[0], 2)} dB on {first} and {_band(self.drop[1], 2)} dB on "
                     f"{second}. The difference of {_band(np.abs(more), 2)} dB {_against(np.abs(more), self.notice_level)} the "
                     f"{self.notice_level:.1f} dB step listeners notice between two tones."]
        saved = np.abs(_difference(self.relieved[1], self.relieved[0]))
        level = np.abs(self.by_tension).max(axis=-1)
        sentences.append(f"Tension: the hard pluck raises the pitch by {_band(self.cents[0])} cents while the string swings wide; the necks' give along "
                         f"the string relieves {_band(self.relieved[0], 3)} cents of it on {first} and {_band(self.relieved[1], 3)} on {second}. "
                         f"That difference of {_band(saved, 3)} cents {_against(saved, self.notice_cents)} the {self.notice_cents:.0f} cents of glide "
                         f"listeners notice, and it changes the level by {_small(np.max(level))}.")
        ratio = self._ratio()
        noticed = np.mean(hearing.decay_noticed(ratio))
        inside = "inside" if noticed == 0 else "outside" if noticed == 1 else f"outside in {100 * noticed:.0f} % of the draws of"
        sentences.append(f"Early decay time: {_band(self.early_decay[0])} s on {first}, {_band(self.early_decay[1])} s on {second}, "
                         f"ratio {_band(ratio, 2)}, {inside} the range 0.75 to 1.40 that listeners took for the same.")
        resonance = np.median(np.abs(self.by_resonance[..., -1]))
        tension = np.median(np.abs(self.by_tension[..., -1]))
        if max(resonance, tension) < 0.05:
            larger = "Neither route changes the level at 200 ms by as much as 0.05 dB for this note."
        else:
            name, other = ("loss at neck modes", "tension relief") if resonance >= tension else ("tension relief", "loss at neck modes")
            larger = (f"For this note the larger route is {name}: {max(resonance, tension):.2f} dB at 200 ms against "
                      f"{_small(min(resonance, tension))} by {other}.")
        sentences.append(f"{larger} Another note can tell another story. These are numbers of a model; whether a player hears them in music "
                         "is not established.")
        return sentences

    def _ratio(self):
        return np.asarray(self.early_decay[1]) / np.asarray(self.early_decay[0])


def compare_attack(string, first, second, *, height=0.003, duration=0.25, **how):
    """Pluck the same string the same way on two designs and split the difference by route.

    string: SpeakingString with axial_stiffness; first, second: AttackDesign; height [m]; further keywords as for pluck (not glide or
    neck_compliance, which the designs set). Draws of the two designs, where both have them, are paired. Returns AttackComparison.
    Raises ValueError.
    """
    for word in ("glide", "neck_compliance"):
        if word in how:
            raise ValueError(f"{word}: given; the attack comparison always lets the pitch glide and takes the compliance from each design")
    if duration < TIMES[-1] + 0.001:
        raise ValueError(f"duration: {duration:g} s given; the levels at 200 ms need at least {TIMES[-1] + 0.001:g} s")

    def sound(ends, compliance):
        return pluck(string, ends.normal, ends.parallel, height=height, duration=duration, glide=True, neck_compliance=compliance, **how)

    plucks = [sound(design, design.compliance) for design in (first, second)]
    glides = [tension_glide(string, height, how.get("pick", 0.13), design.compliance) for design in (first, second)]
    levels = [p.level_at(TIMES) for p in plucks]
    only_resonance = sound(second, first.compliance).level_at(TIMES)
    only_tension = sound(first, second.compliance).level_at(TIMES)
    return AttackComparison((first.name, second.name), tuple(levels), tuple(v[..., 0] - v[..., -1] for v in levels),
                            tuple(p.early_decay_time for p in plucks), tuple(p.cents_at(0.0)[..., 0] for p in plucks),
                            tuple(g.cents_relieved for g in glides), only_resonance - levels[0], only_tension - levels[0],
                            float(hearing.glide_threshold(string.fundamental)), float(hearing.level_step()), string.fundamental)


def _difference(second, first):
    return np.asarray(second) - np.asarray(first)


def _small(level):
    """A level change that may be far below what is worth printing."""
    return "less than 0.01 dB" if level < 0.01 else f"{level:.2f} dB"


def _band(values, decimals=1):
    """A number, or the median with its 90 % band."""
    values = np.asarray(values, float)
    if values.size == 1:
        return f"{values.reshape(-1)[0]:.{decimals}f}"
    low, middle, high = np.percentile(values, (5, 50, 95))
    return f"{middle:.{decimals}f} (90 % of draws {low:.{decimals}f} to {high:.{decimals}f})"


def _against(values, threshold):
    """How a difference, possibly with draws, stands against a threshold."""
    above = np.mean(np.asarray(values) > threshold)
    if above == 0:
        return "stays below"
    if above == 1:
        return "is above"
    return f"is above, in {100 * above:.0f} % of the draws,"
