"""Hard picking: how far the string's tension rises, how the pitch glides, and how much of it the neck can
relieve.

A string pulled aside is longer, so its tension is higher while it swings wide. At release the whole rise is
there; once the string swings, its mean over a cycle is half of that, and it dies away with twice the decay
rate of the amplitude.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tonewood import checks
from tonewood.draws import Draws
from tonewood.neck.load.bow import stiffness_in_bending
from tonewood.sound.hearing import glide_threshold
from tonewood.sound.partials import SpeakingString
from tonewood.strings.wire import cents


def tension_at_release(height: Draws, pick: Draws, length: Draws, axial_stiffness: Draws) -> Draws:
    """Tension rise of a string pulled to a triangle (N): EA h^2/(2 L^2 b (1 - b)), b = pick/length.

    height, pick (distance from the bridge), length: m; axial_stiffness: EA of the core, N (on a wound string
    only the core carries tension). Floats or arrays. Second-order geometry of a shallow triangle. Raises
    ValueError.

    >>> round(float(tension_at_release(0.002, 0.13, 0.648, 1.01e4)), 2)
    0.3
    """
    length = checks.length("speaking length", length, high=2.0)
    pick = checks.length("pick position (distance from the bridge)", pick)
    if np.any(np.asarray(pick) >= length):
        raise ValueError(f"pick position (distance from the bridge): {np.max(pick):g} m given; accepted: "
                         f"above 0 and below {np.min(length):g} m, the speaking length")
    height = checks.length("pluck height", height, high=0.02, open_low=False)
    return checks.number("string axial stiffness", axial_stiffness, 0.0, None, "N") * height**2 / (
        2 * pick * (length - pick))


def neck_compliance(length: Draws, EA: Draws, offset: Draws, EI: Draws) -> Draws:
    """Approach of the ends of an even neck per newton of string pull (m/N): L/EA + e^2 L/EI.

    length: free neck from nut to body, m; EA, N; offset e: height of the string above the neck's neutral
    axis, m; EI, N m2. Uniform beam under an eccentric pull (beam theory). Raises ValueError.

    >>> round(1e7 * float(neck_compliance(0.45, 12e6, 0.0125, 350.0)), 2)
    2.38
    """
    length = checks.length("free neck length", length, high=1.5)
    EA = checks.number("neck axial stiffness EA", EA, 1e4, None, "N")
    offset = checks.length("height of the string above the neutral axis", offset, high=0.1, open_low=False)
    EI = stiffness_in_bending("neck bending stiffness EI", EI)
    return length / EA + offset**2 * length / EI


def share_relieved(compliance: Draws, length: Draws, axial_stiffness: Draws) -> Draws:
    """k C with k = EA/L: what the neck gives along the string (compliance C, m/N) as a share of what the
    string does.

    length, m; axial_stiffness, N. Derived: two springs in series. Raises ValueError.

    >>> round(float(share_relieved(2.4e-7, 0.648, 1.01e4)), 5)
    0.00374
    """
    compliance = checks.number("neck compliance along the string", compliance, 0.0, 1e-4, "m/N")
    own = checks.number("string axial stiffness", axial_stiffness, 0.0, None, "N") / np.asarray(
        checks.length("speaking length", length, high=2.0))
    return own * compliance


@dataclass(frozen=True, eq=False, kw_only=True)
class TensionGlide:
    """What a pluck does to tension and pitch; floats or (D,).

    rise: tension at release (N), half of it on average over the first cycles; cents_mean: pitch as it swings;
    relieved: share of the rise the neck takes away, cents_relieved: what that is in pitch; threshold (cents):
    weakest glide most listeners notice.
    """

    rise: Draws
    cents_mean: Draws
    relieved: Draws
    cents_relieved: Draws
    threshold: Draws


def tension_glide(string: SpeakingString, height: Draws, pick: Draws, compliance: Draws = 0.0
                  ) -> TensionGlide:
    """Tension rise and pitch glide of one pluck, from the geometry of the pull. Returns TensionGlide. Raises
    ValueError.

    string: SpeakingString with axial_stiffness; height, pick (distance from the bridge): m; compliance: of
    the neck along the string, m/N, float or (D,).

    >>> string = SpeakingString(0.648, 0.4e-3, 72.6, axial_stiffness=1.01e4)
    >>> round(float(tension_glide(string, 0.003, 0.13).cents_mean), 1)
    4.0
    """
    share = np.asarray(share_relieved(compliance, string.length, string.core))
    rise = tension_at_release(height, pick, string.length, string.core)
    with_neck = rise / (1 + share)
    mean, mean_with_neck = (cents(1 + r / 2 / string.tension) for r in (rise, with_neck))
    return TensionGlide(rise=with_neck, cents_mean=mean_with_neck, cents_relieved=mean - mean_with_neck,
                        relieved=share / (1 + share), threshold=glide_threshold(string.fundamental))
