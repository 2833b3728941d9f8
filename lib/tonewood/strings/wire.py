"""Strings: from diameter and pitch to mass, tension and stiffness.

Everything here follows from geometry and the ideal-string law T = mu (2 L f)^2 (any acoustics textbook). Density and modulus of the wire are
the "music_wire" rows of data/materials.csv; the constants that table lacks are listed here with their status. Strings are always listed
bass to treble.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from tonewood.checks import choice, number
from tonewood.materials import Constant, material
from tonewood.strings.pitch import note_frequency, notes

CONSTANTS = {
    "wire strength": Constant(2200e6, 2200e6, 2900e6, "Pa", "from memory", "thin music wire, low end used; unverified"),
    "core share": Constant(0.42, 0.35, 0.55, "1", "from memory", "core over outer diameter of wound strings; used only when no core is given"),
}
WRAP_DENSITY = {
    "nickel-plated steel": Constant(7850.0, 7850.0, 8000.0, "kg/m3", "from memory", "plating neglected"),
    "nickel": Constant(8800.0, 8800.0, 8900.0, "kg/m3", "published", "8800 in App. 4A", "norton-karczub-2003"),
    "stainless steel": Constant(7900.0, 7900.0, 8000.0, "kg/m3", "from memory", ""),
    "phosphor bronze": Constant(8800.0, 8700.0, 8900.0, "kg/m3", "from memory", ""),
}
GAUGE_STATUS = "round generic gauges, common practice, no source"


def _millimetre_slip(value):
    return f"Did you mean {value / 1000:g} m ({value:g} mm)?" if value < 5000 else None


# --- the string laws -------------------------------------------------------------------------------------------------------------

def tension_for(mass_per_length, length, frequency):
    """Tension (N) that tunes a string of mass_per_length (kg/m) and speaking length (m) to frequency (Hz): T = mu (2 L f)^2.

    Arrays broadcast. Bending stiffness lowers it by less than 0.1 % for plain guitar strings and is left out. Raises ValueError.
    """
    mass_per_length = number("mass per length", mass_per_length, 0.0, unit="kg/m", open_low=True)
    length = number("speaking length", length, 0.1, 2.0, "m", _millimetre_slip)
    frequency = number("frequency", frequency, 0.0, unit="Hz", open_low=True)
    return mass_per_length * (2.0 * length * frequency) ** 2


def frequency_for(tension, mass_per_length, length):
    """Pitch (Hz) of an ideal string: f = sqrt(T / mu) / (2 L). Arrays broadcast. Raises ValueError."""
    tension = number("string tension", tension, 0.0, unit="N")
    mass_per_length = number("mass per length", mass_per_length, 0.0, unit="kg/m", open_low=True)
    length = number("speaking length", length, 0.1, 2.0, "m", _millimetre_slip)
    return np.sqrt(tension / mass_per_length) / (2.0 * length)


def inharmonicity(bending_stiffness, tension, length):
    """B of f_n = n f_0 sqrt(1 + B n^2), pinned stiff string: B = pi^2 EI / (T L^2). EI in N m2, T in N, L in m."""
    return np.pi ** 2 * np.asarray(bending_stiffness) / (np.asarray(tension) * np.asarray(length) ** 2)


def tension_change(axial_stiffness, shortening, total_length):
    """Change of tension (N) when the string's two ends come `shortening` (m) nearer: -EA dL / L_total; negative = slacker.

    total_length (m) includes the string behind nut and bridge if it slides there.
    """
    return -np.asarray(axial_stiffness) * np.asarray(shortening) / np.asarray(total_length)


def cents(tension_ratio):
    """Pitch change in cents when tension is multiplied by tension_ratio: 600 log2(T1 / T0)."""
    return 600.0 * np.log2(number("ratio of tensions", tension_ratio, 0.0, open_low=True))


def nut_force(tension, break_angle):
    """Force (N) of a string on the nut for a break angle (rad): 2 T sin(angle / 2), along the bisector. It adds nothing to relief."""
    return 2.0 * np.asarray(tension) * np.sin(np.asarray(break_angle) / 2.0)


# --- one string ------------------------------------------------------------------------------------------------------------------

@dataclass(frozen=True)
class String:
    """One string as geometry and material (SI).

    diameter: outer (m); core: core diameter (m), across flats if hexagonal, equal to diameter for a plain string; wrap: name in
    WRAP_DENSITY or "" for plain; core_shape: "round" or "hexagonal"; density (kg/m3), modulus and strength (Pa) of the wire, of music wire
    unless given. Only the core carries tension. A wound string is modelled as one
    close layer of round wire: mu = rho_c A_c + rho_w (pi^2/4) d_w (d_c + d_w), good to about 5 % (from memory).
    """
    diameter: float
    core: float
    wrap: str = ""
    core_shape: str = "round"
    density: float = None
    modulus: float = None
    strength: float = CONSTANTS["wire strength"].value

    def __post_init__(self):
        for name in ("density", "modulus"):
            if getattr(self, name) is None:
                object.__setattr__(self, name, material("music_wire")[name].value)
        number("string diameter", self.diameter, 0.1e-3, 6e-3, "m", _millimetre_slip)
        number("core diameter", self.core, 0.1e-3, 6e-3, "m", _millimetre_slip)
        choice("core shape", self.core_shape, ("round", "hexagonal"))
        number("density of the string wire", self.density, 500.0, 25000.0, "kg/m3")
        number("modulus of the string wire", self.modulus, 1e8, 1e12, "Pa", lambda v: "Is that in GPa?" if v < 1000 else None)
        number("strength of the string wire", self.strength, 1e7, 1e10, "Pa", lambda v: "Is that in MPa?" if v < 1e5 else None)
        if self.wrap:
            choice("wrap", self.wrap, WRAP_DENSITY)
            if self._core_width >= self.diameter:
                raise ValueError(f"core diameter: {self.core:g} m given; accepted: small enough to leave room for a wrap inside the outer "
                                 f"diameter of {self.diameter:g} m")
        elif self.core != self.diameter:
            raise ValueError(f"core diameter: {self.core:g} m given for a plain string of {self.diameter:g} m; accepted: the same as the "
                             "diameter. Did you mean wound(...)?")

    @property
    def _core_width(self):
        """Diameter the wrap sits on: the round core, or the corners of a hexagonal one."""
        return self.core if self.core_shape == "round" else 2.0 / np.sqrt(3.0) * self.core

    @property
    def core_area(self):
        """m2; hexagon (sqrt(3)/2) s^2."""
        return np.pi / 4.0 * self.core ** 2 if self.core_shape == "round" else np.sqrt(3.0) / 2.0 * self.core ** 2

    @property
    def mass_per_length(self):
        """kg/m."""
        mass = self.density * self.core_area
        if self.wrap:
            wire = (self.diameter - self._core_width) / 2.0
            mass += WRAP_DENSITY[self.wrap].value * np.pi ** 2 / 4.0 * wire * (self._core_width + wire)
        return mass

    @property
    def axial_stiffness(self):
        """EA of the core, N."""
        return self.modulus * self.core_area

    @property
    def bending_stiffness(self):
        """EI of the core, N m2 (a lower limit for wound strings: what the wrap adds is not known)."""
        shape = np.pi / 64.0 if self.core_shape == "round" else 5.0 * np.sqrt(3.0) / 144.0
        return self.modulus * shape * self.core ** 4


def plain(diameter, **material):
    """A plain steel string; diameter in m. `material`: density, modulus, strength of another wire."""
    return String(diameter, diameter, **material)


def wound(diameter, core=None, wrap="nickel-plated steel", core_shape="round"):
    """A wound string; diameter and core in m. Without a core the usual share of the diameter is used (from memory, see CONSTANTS)."""
    if core is None:
        core = CONSTANTS["core share"].value * number("string diameter", diameter, 0.1e-3, 6e-3, "m", _millimetre_slip)
    return String(diameter, core, wrap, core_shape)


# --- a tuned set -----------------------------------------------------------------------------------------------------------------

@dataclass(frozen=True)
class StringSet:
    """Strings tuned to notes, bass to treble. length: speaking length(s) in m, one number or one per string.

    All properties are arrays (strings,) in SI. Tension is set by pitch: it does not change when the neck bows and is retuned.
    """
    strings: tuple
    tuning: tuple
    length: float | np.ndarray = 0.648
    status: str = GAUGE_STATUS

    def __post_init__(self):
        strings = tuple(self.strings)
        names = notes(self.tuning)
        if not strings:
            raise ValueError("strings: none given; at least one is expected")
        if len(names) != len(strings):
            raise ValueError(f"tuning: {len(names)} notes given for {len(strings)} strings; accepted: one note a string, bass to treble")
        length = np.asarray(number("speaking length", self.length, 0.1, 2.0, "m", _millimetre_slip))
        if length.ndim > 1 or (length.ndim == 1 and length.size != len(strings)):
            raise ValueError(f"speaking length: {length.size} lengths given for {len(strings)} strings; accepted: one, or one a string")
        object.__setattr__(self, "strings", strings)
        object.__setattr__(self, "tuning", names)
        object.__setattr__(self, "length", np.broadcast_to(length, (len(strings),)).copy())

    def __len__(self):
        return len(self.strings)

    def _each(self, attribute):
        return np.array([getattr(string, attribute) for string in self.strings])

    @cached_property
    def frequency(self):
        """Hz."""
        return np.array([note_frequency(name) for name in self.tuning])

    @cached_property
    def mass_per_length(self):
        """kg/m."""
        return self._each("mass_per_length")

    @cached_property
    def tension(self):
        """N."""
        return tension_for(self.mass_per_length, self.length, self.frequency)

    @property
    def total_tension(self):
        """N, all strings."""
        return float(self.tension.sum())

    @property
    def impedance(self):
        """Wave impedance sqrt(T mu), kg/s."""
        return np.sqrt(self.tension * self.mass_per_length)

    @property
    def axial_stiffness(self):
        """EA of the cores, N."""
        return self._each("axial_stiffness")

    @property
    def bending_stiffness(self):
        """EI of the cores, N m2."""
        return self._each("bending_stiffness")

    @property
    def inharmonicity(self):
        """B of f_n = n f_0 sqrt(1 + B n^2)."""
        return inharmonicity(self.bending_stiffness, self.tension, self.length)

    @property
    def core_stress(self):
        """Pa."""
        return self.tension / self._each("core_area")

    @property
    def tension_breaking_share(self):
        """Core stress over the strength of music wire (low end of a range from memory, unverified): a caution, not a design value."""
        return self.core_stress / self._each("strength")

    @property
    def cautions(self):
        """Sentences to show beside the set; empty when no string is near its strength."""
        said = []
        for name, share in zip(self.tuning, self.tension_breaking_share):
            if share > 0.8:
                said.append(f"{name}: the core is at {100 * share:.0f} % of the strength remembered for music wire (unverified). "
                            "A string may break and whip while tuning: wear eye protection, tune up slowly.")
        return tuple(said)

    def table(self):
        """One row a string, numbered as players count (1 = thinnest side), units in the column names."""
        import pandas
        return pandas.DataFrame({
            "string": np.arange(len(self), 0, -1), "note": self.tuning, "frequency (Hz)": self.frequency,
            "kind": ["wound" if s.wrap else "plain" for s in self.strings], "diameter (mm)": 1e3 * self._each("diameter"),
            "core (mm)": 1e3 * self._each("core"), "speaking length (mm)": 1e3 * self.length,
            "mass per length (g/m)": 1e3 * self.mass_per_length, "tension (N)": self.tension, "impedance (kg/s)": self.impedance,
            "inharmonicity B (-)": self.inharmonicity, "share of strength, caution (%)": 100 * self.tension_breaking_share})
