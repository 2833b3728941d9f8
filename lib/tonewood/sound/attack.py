"""Two necks, one hard pluck: how the first 200 ms differ, and by which route.

Two routes are followed apart. Tension: the neck gives a little along the string and so relieves some of the
tension rise. Resonance: the neck takes energy from partials that lie near its own modes. Model: sound.pluck
and sound.glide.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from tonewood.draws import Array, Draws
from tonewood.sound.glide import tension_glide
from tonewood.sound.hearing import glide_threshold, level_step
from tonewood.sound.partials import RIGID_ENDS, EndModes, SpeakingString
from tonewood.sound.pluck import TIMES, Pluck, pluck
from tonewood.sound.stroke import Stroke


@dataclass(frozen=True, eq=False)
class AttackDesign:
    """A neck as a pluck meets it: name; normal, parallel: EndModes out of and along the fretboard plane;
    compliance: give along the string, m/N, float or (D,)."""

    name: str
    normal: EndModes = RIGID_ENDS
    parallel: EndModes = RIGID_ENDS
    compliance: Draws = 0.0


@dataclass(frozen=True, eq=False, kw_only=True)
class AttackComparison:
    """One pluck on two designs; every pair below is (first, second), each with a leading draw axis where it
    has draws.

    names; levels: pair of (..., 3) at 5, 50 and 200 ms, dB re 1 m/s; drop: pair, level at 5 ms less level at
    200 ms, dB; early_decay: pair, s; cents: pair, pitch rise while swinging; relieved: pair, pitch taken away
    by the neck's give, cents; by_resonance, by_tension: change of `levels` from first to second when only
    that route changes, dB, (..., 3); notice_cents, notice_level (dB): what attentive listeners notice;
    frequency of the note, Hz.
    """

    names: tuple[str, str]
    levels: tuple[Array, ...]
    drop: tuple[Array, ...]
    early_decay: tuple[Draws, ...]
    cents: tuple[Array, ...]
    relieved: tuple[Draws, ...]
    by_resonance: Array
    by_tension: Array
    notice_cents: float
    notice_level: float
    frequency: float


def compare_attack(string: SpeakingString, first: AttackDesign, second: AttackDesign, *,
                   height: float = 0.003, duration: float = 0.25, **how: Any) -> AttackComparison:
    """Pluck the same string the same way on two designs and split the difference by route.

    string: with axial_stiffness; height, m; duration, s; further keywords as for pluck (not glide or
    neck_compliance, which the designs set). Draws of the two designs, where both have them, are paired.
    Returns AttackComparison. Raises ValueError.

    >>> string = SpeakingString(0.65, 1e-3, 70.0, axial_stiffness=1e4, loss=1e-3)
    >>> found = compare_attack(string, AttackDesign("stiff"), AttackDesign("soft", compliance=1e-6))
    >>> round(float(found.relieved[1]), 3)
    0.062
    """
    for word in ("glide", "neck_compliance"):
        if word in how:
            raise ValueError(f"{word}: given; accepted: none, since the attack comparison always lets the "
                             "pitch glide and takes the compliance from each design")
    if duration < TIMES[-1] + 0.001:
        raise ValueError(f"duration: {duration:g} s given; accepted: at least {TIMES[-1] + 0.001:g} s, for "
                         "the level at 200 ms")

    def sound(ends: AttackDesign, compliance: Draws) -> Pluck:
        return pluck(string, ends.normal, ends.parallel, height=height, duration=duration, glide=True,
                     neck_compliance=compliance, **how)

    both = first, second
    plucks = [sound(design, design.compliance) for design in both]
    levels = tuple(p.level_at() for p in plucks)
    pick = how.get("pick", Stroke().pick)
    glides = [tension_glide(string, height, pick, design.compliance) for design in both]
    return AttackComparison(
        names=(first.name, second.name), levels=levels, drop=tuple(v[..., 0] - v[..., -1] for v in levels),
        early_decay=tuple(p.early_decay_time for p in plucks),
        cents=tuple(p.cents_at(0.0)[..., 0] for p in plucks),
        relieved=tuple(g.cents_relieved for g in glides),
        by_resonance=sound(second, first.compliance).level_at() - levels[0],
        by_tension=sound(first, second.compliance).level_at() - levels[0],
        notice_cents=float(glide_threshold(string.fundamental)), notice_level=float(level_step()),
        frequency=string.fundamental)
