"""Hard picking: how far the string's tension rises, how the pitch glides, and how much of it the neck can relieve.

A string pulled aside is longer, so its tension is higher while it swings wide. At release the whole rise is there; once the string
swings, its mean over a cycle is half of that, and it dies away with twice the decay rate of the amplitude.
"""

from dataclasses import dataclass

import numpy as np

from tonewood import checks


def cents(relative_tension):
    """Pitch rise for a relative rise of tension dT/T: 600 log2(1 + dT/T) [cents], about 866 dT/T."""
    return 600 * np.log2(1 + np.asarray(relative_tension, float))


def _place(length, pick):
    length = checks.number("speaking length", length, 0.0, 2.0, "m", open_low=True)
    pick = checks.number("pick position (distance from the bridge)", pick, 0.0, None, "m", open_low=True)
    if np.any(np.asarray(pick) >= length):
        raise ValueError(f"pick position (distance from the bridge): {np.max(pick):g} m given; the speaking length ends at {np.min(length):g} m")
    return length, pick


def tension_at_release(height, pick, length, axial_stiffness):
    """Tension rise of a string pulled to a triangle [N]: EA h^2/(2 L^2 b (1 - b)), b = pick/length.

    height [m]; pick: distance from the bridge [m]; length [m]; axial_stiffness: EA of the core [N] (on a wound string only the core
    carries tension). Floats or arrays. Second-order geometry of a shallow triangle. Raises ValueError.
    """
    length, pick = _place(length, pick)
    height = checks.number("pluck height", height, 0.0, 0.02, "m", lambda v: f"Did you mean {v / 1000:g} m?" if v <= 20 else None)
    axial_stiffness = checks.number("string axial stiffness", axial_stiffness, 0.0, None, "N", open_low=True)
    return axial_stiffness * height**2 / (2 * pick * (length - pick))


def single_mode_shift(amplitude, length, tension, axial_stiffness):
    """Relative rise of frequency of one swinging mode: (3/32) EA pi^2 a^2/(T L^2).

    amplitude a of the first mode [m]; length [m]; tension [N]; axial_stiffness EA [N]. String equation with the tension following the
    mean slope (Kirchhoff 1883, Carrier 1945: from memory); the 3/32 holds the mean tension (2/32) and its ripple (1/32).
    """
    amplitude = checks.number("amplitude", amplitude, 0.0, 0.02, "m", lambda v: f"Did you mean {v / 1000:g} m?" if v <= 20 else None)
    length = checks.number("speaking length", length, 0.0, 2.0, "m", open_low=True)
    tension = checks.number("string tension", tension, 0.0, None, "N", open_low=True)
    return 3 / 32 * checks.number("string axial stiffness", axial_stiffness, 0.0, None, "N") * np.pi**2 * amplitude**2 / (tension * length**2)


def neck_compliance(length, EA, offset, EI):
    """Give of the neck along the string per newton of string pull [m/N]: L/EA + e^2 L/EI.

    length: free neck from nut to body [m]; EA [N]; offset e: height of the string above the neck's neutral axis [m]; EI [N m2].
    Uniform beam under an eccentric pull. Raises ValueError.
    """
    length = checks.number("free neck length", length, 0.0, 1.5, "m", open_low=True)
    EA = checks.number("neck axial stiffness EA", EA, 1e4, None, "N")
    offset = checks.number("height of the string above the neutral axis", offset, 0.0, 0.1, "m",
                           lambda v: f"Did you mean {v / 1000:g} m?" if v <= 100 else None)
    EI = checks.number("neck bending stiffness EI", EI, 1.0, None, "N m2", lambda v: f"Did you mean a stiffness above 1 N m2; {v:g} N m2 is limp")
    return length / EA + offset**2 * length / EI


def share_relieved(compliance, length, axial_stiffness):
    """k C with k = EA/L: the neck's give as a share of the string's own [-]. Small: 0.4 % plain, 1.2 % wound. Raises ValueError."""
    compliance = checks.number("neck compliance along the string", compliance, 0.0, 1e-4, "m/N")
    return checks.number("string axial stiffness", axial_stiffness, 0.0, None, "N") / length * compliance


def lateral_stiffness(tension, pick, length):
    """Force per displacement at the pick of a string pulled aside [N/m]: T L/(x (L - x)). Raises ValueError."""
    length, pick = _place(length, pick)
    return checks.number("string tension", tension, 0.0, None, "N", open_low=True) * length / (pick * (length - pick))


@dataclass(frozen=True, eq=False)
class TensionGlide:
    """What a pluck does to tension and pitch.

    rise, rise_mean [N] at release and averaged over the first cycles; cents_static, cents_mean: pitch if the string were held, and as it
    swings; relieved: share of the rise the neck takes away; cents_relieved: what that is in pitch; threshold [cents]: weakest glide most
    listeners notice (Jarvelainen & Valimaki 2001); force [N] under the pick; energy [J] stored. Floats or (draws,).
    """

    rise: float
    rise_mean: float
    cents_static: float
    cents_mean: float
    relieved: float
    cents_relieved: float
    threshold: float
    force: float
    energy: float

    def table(self):
        """One row per draw with units in the column names."""
        import pandas
        columns = {"tension rise at release [N]": self.rise, "mean tension rise while swinging [N]": self.rise_mean,
                   "pitch rise if held [cents]": self.cents_static, "pitch rise while swinging [cents]": self.cents_mean,
                   "share relieved by the neck [%]": 100 * np.asarray(self.relieved), "relieved pitch [cents]": self.cents_relieved,
                   "noticeable glide [cents]": self.threshold, "pick force [N]": self.force, "energy [mJ]": 1000 * np.asarray(self.energy)}
        return pandas.DataFrame(dict(zip(columns, np.broadcast_arrays(*(np.atleast_1d(v) for v in columns.values())))))


def tension_glide(string, height, pick, compliance=0.0):
    """Tension rise and pitch glide of one pluck.

    string: SpeakingString with axial_stiffness; height [m]; pick: distance from the bridge [m]; compliance: of the neck along the
    string [m/N], float or (draws,). Returns TensionGlide. Raises ValueError.
    """
    from tonewood.sound.hearing import glide_threshold
    if string.axial_stiffness is None:
        raise ValueError("pitch glide: the string has no axial_stiffness; give EA of the core in N (E times core area)")
    share = share_relieved(compliance, string.length, string.axial_stiffness)
    rise = tension_at_release(height, pick, string.length, string.axial_stiffness)
    with_neck = rise / (1 + share)
    mean, mean_with_neck = cents(rise / 2 / string.tension), cents(with_neck / 2 / string.tension)
    stiffness = lateral_stiffness(string.tension, pick, string.length)
    return TensionGlide(with_neck, with_neck / 2, cents(with_neck / string.tension), mean_with_neck, share / (1 + share), mean - mean_with_neck,
                        glide_threshold(string.fundamental), stiffness * height, stiffness * np.asarray(height)**2 / 2)
