"""Strings: from diameter and pitch to mass, tension and stiffness.

Everything here follows from geometry and the ideal-string law T = mu (2 L f)^2 (any acoustics textbook).
Density, modulus and strength of the wires are rows of data/materials.csv. Strings are always listed bass to
treble.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np

from tonewood import checks
from tonewood.checks import number
from tonewood.draws import Array, Draws
from tonewood.materials import material
from tonewood.strings.pitch import note_frequency, notes
from tonewood.wood.facts import rule

if TYPE_CHECKING:
    import pandas

WRAPS = ("nickel-plated steel", "nickel", "stainless steel", "phosphor bronze")


def _speaking(length: Draws) -> Draws:
    return checks.length("speaking length", length, 0.1, 2.0, open_low=False)


def line_mass(value: Draws) -> Draws:
    """The mass of a string for each metre, kg/m, as given. Raises ValueError that suspects g/m.

    >>> line_mass(3.978e-4)
    0.0003978
    """
    return number("mass per length", value, 0.0, 0.2, "kg/m", lambda v:
                  f"In g/m? {v:g} g/m is {v / 1000:g} kg/m" if 0.2 < v < 200 else None, open_low=True)


# --- the string laws ----------------------------------------------------------------------------------------

def tension_for(mass_per_length: Draws, length: Draws, frequency: Draws) -> Draws:
    """Tension (N) that tunes a string of mass_per_length (kg/m) and speaking length (m) to frequency (Hz).

    T = mu (2 L f)^2. Arrays broadcast. Bending stiffness lowers it by less than 0.1 % for plain guitar
    strings and is left out. Raises ValueError.

    >>> round(tension_for(3.978e-4, 0.648, 329.63), 2)
    72.6
    """
    mass_per_length, frequency = line_mass(mass_per_length), checks.frequency("frequency", frequency)
    return mass_per_length * (2.0 * _speaking(length) * frequency) ** 2


def inharmonicity(bending_stiffness: Draws, tension: Draws, length: Draws) -> Draws:
    """B of f_n = n f_0 sqrt(1 + B n^2), pinned stiff string: pi^2 EI / (T L^2). EI in N m2, T in N, L in m
    (of a fretted string down to 10 mm). Arrays broadcast. Raises ValueError.

    >>> f"{inharmonicity(3.5e-4, 74.2, 0.648):.2e}"
    '1.11e-04'
    """
    EI = number("bending stiffness of the string", bending_stiffness, 0.0, 1.0, "N·m²")
    tension = number("string tension", tension, 0.0, unit="N", open_low=True)
    return np.pi**2 * EI / (tension * np.asarray(checks.length("speaking length", length, 0.01, 2.0)) ** 2)


def tension_change(axial_stiffness: Draws, shortening: Draws, total_length: Draws) -> Draws:
    """Change of tension (N) when the string's ends come `shortening` (m) nearer: -EA dL / L_total, negative =
    slacker.

    total_length (m) includes the string behind nut and bridge if it slides there. Arrays broadcast. Raises
    ValueError.

    >>> round(float(tension_change(10e3, 0.1e-3, 0.648)), 2)
    -1.54
    """
    EA = number("stretch stiffness of the string", axial_stiffness, 0.0, unit="N")
    nearer = checks.length("shortening of the string", shortening, -0.05, 0.05, open_low=False)
    return -np.asarray(EA) * nearer / checks.length("string length", total_length, 0.1, 3.0, open_low=False)


def cents(tension_ratio: Draws) -> Draws:
    """Pitch change in cents when tension is multiplied by tension_ratio: 600 log2(T1 / T0). Raises
    ValueError.

    >>> float(cents(0.25))
    -1200.0
    """
    return 600.0 * np.log2(number("ratio of tensions", tension_ratio, 0.0, open_low=True))


def nut_force(tension: Draws, break_angle: Draws) -> Draws:
    """Force (N) of a string on the nut for a break angle (rad, no larger than pi): 2 T sin(angle / 2), along
    the bisector; below 0 it lifts off. Arrays broadcast. Raises ValueError.

    >>> round(float(nut_force(80.0, 0.2)), 2)
    15.97
    """
    tension = number("string tension", tension, 0.0, unit="N")
    half = np.asarray(checks.angle("break angle", break_angle, np.pi)) / 2.0
    return 2.0 * np.asarray(tension) * np.sin(half)


# --- one string ---------------------------------------------------------------------------------------------

@dataclass(frozen=True, kw_only=True)
class String:
    """One string as geometry and material (SI). Raises ValueError.

    diameter: outer (m); core: core diameter (m), across flats if hexagonal, equal to diameter for a plain
    string; wrap: one of WRAPS or "" for plain; core_shape: "round" or "hexagonal"; density (kg/m3), modulus
    and strength (Pa) of the wire, of music wire unless given. Only the core carries tension. A wound string
    is modelled as one close layer of round wire: mu = rho_c A_c + rho_w (pi^2/4) d_w (d_c + d_w), good to
    about 5 % (from memory).
    """

    diameter: float
    core: float
    wrap: str = ""
    core_shape: str = "round"
    density: float = field(default_factory=lambda: material("music_wire")["density"].value)
    modulus: float = field(default_factory=lambda: material("music_wire")["modulus"].value)
    strength: float = field(default_factory=lambda: material("music_wire")["strength"].value)

    def __post_init__(self) -> None:
        checks.length("string diameter", self.diameter, 0.1e-3, 6e-3, open_low=False)
        checks.length("core diameter", self.core, 0.1e-3, 6e-3, open_low=False)
        checks.choice("core shape", self.core_shape, ("round", "hexagonal"))
        number("density of the string wire", self.density, 500.0, 25000.0, "kg/m³")
        number("modulus of the string wire", self.modulus, 1e8, 1e12, "Pa", checks.gigapascals)
        number("strength of the string wire", self.strength, 1e7, 1e10, "Pa",
               lambda v: "Is that in MPa?" if v < 1e5 else None)
        if self.wrap:
            checks.choice("wrap", self.wrap, WRAPS)
            if self._core_width >= self.diameter:
                raise ValueError(f"core diameter: {self.core:g} m given; accepted: small enough to leave "
                                 f"room for a wrap inside the outer diameter of {self.diameter:g} m")
        elif self.core != self.diameter:
            raise ValueError(f"core diameter: {self.core:g} m given for a plain string of {self.diameter:g} "
                             "m; accepted: the same as the diameter. Did you mean wound(...)?")

    @property
    def _core_width(self) -> float:
        """Diameter the wrap sits on: the round core, or the corners of a hexagonal one."""
        return self.core if self.core_shape == "round" else 2.0 / 3.0**0.5 * self.core

    @property
    def core_area(self) -> float:
        """m2; hexagon (sqrt(3)/2) s^2."""
        return (np.pi / 4.0 if self.core_shape == "round" else 3.0**0.5 / 2.0) * self.core**2

    @property
    def mass_per_length(self) -> float:
        """kg/m."""
        mass = self.density * self.core_area
        if self.wrap:
            wire = (self.diameter - self._core_width) / 2.0
            wrap = material(self.wrap.replace("-", "_").replace(" ", "_"))["density"].value
            mass += wrap * np.pi**2 / 4.0 * wire * (self._core_width + wire)
        return mass

    @property
    def axial_stiffness(self) -> float:
        """EA of the core, N."""
        return self.modulus * self.core_area

    @property
    def bending_stiffness(self) -> float:
        """EI of the core, N m2 (a lower limit for wound strings: what the wrap adds is not known)."""
        shape = np.pi / 64.0 if self.core_shape == "round" else 5.0 * 3.0**0.5 / 144.0
        return self.modulus * shape * self.core**4


def plain(diameter: float, **wire: Any) -> String:
    """A plain steel string; diameter in m. `wire`: density, modulus, strength of another wire. Raises
    ValueError.

    >>> round(1e3 * plain(0.254e-3).mass_per_length, 4)
    0.3978
    """
    return String(diameter=diameter, core=diameter, **wire)


def wound(diameter: float, core: float | None = None, wrap: str = "nickel-plated steel",
          core_shape: str = "round") -> String:
    """A wound string; diameter and core in m. Without a core its usual share of the diameter is used (from
    memory). Raises ValueError.

    >>> round(1e3 * wound(1.168e-3, 0.45e-3).mass_per_length, 3)
    6.874
    """
    checks.length("string diameter", diameter, high=6e-3)
    usual = rule("string_core_share").value * diameter
    return String(diameter=diameter, core=usual if core is None else core, wrap=wrap, core_shape=core_shape)


# --- a tuned set --------------------------------------------------------------------------------------------

@dataclass(frozen=True)
class StringSet:
    """Strings tuned to notes, bass to treble. length: speaking length(s) in m, one number or one per string.

    All properties are arrays (strings,) in SI. Tension is set by pitch: it does not change when the neck bows
    and is retuned. Raises ValueError.

    >>> StringSet((plain(0.254e-3),), ("E4",)).tension.round(2).tolist()
    [72.59]
    """

    strings: tuple[String, ...]
    tuning: tuple[str, ...]
    length: Draws = 0.648

    def __post_init__(self) -> None:
        strings, names = tuple(self.strings), notes(self.tuning)
        if not strings:
            raise ValueError("strings: none given; at least one is expected")
        if len(names) != len(strings):
            raise ValueError(f"tuning: {len(names)} notes given for {len(strings)} strings; accepted: one "
                             "note a string, bass to treble")
        length = np.asarray(_speaking(self.length))
        if length.ndim > 1 or (length.ndim == 1 and length.size != len(strings)):
            raise ValueError(f"speaking length: {length.size} lengths given for {len(strings)} strings; "
                             "accepted: one, or one a string")
        object.__setattr__(self, "strings", strings)
        object.__setattr__(self, "tuning", names)
        object.__setattr__(self, "length", np.broadcast_to(length, (len(strings),)).copy())

    def __len__(self) -> int:
        return len(self.strings)

    def _each(self, attribute: str) -> Array:
        return np.array([getattr(string, attribute) for string in self.strings])

    @cached_property
    def frequency(self) -> Array:
        """Hz."""
        return np.array([note_frequency(name) for name in self.tuning])

    @cached_property
    def mass_per_length(self) -> Array:
        """kg/m."""
        return self._each("mass_per_length")

    @cached_property
    def tension(self) -> Array:
        """N."""
        return np.asarray(tension_for(self.mass_per_length, self.length, self.frequency))

    @property
    def total_tension(self) -> float:
        """N, all strings."""
        return float(self.tension.sum())

    @property
    def axial_stiffness(self) -> Array:
        """EA of the cores, N."""
        return self._each("axial_stiffness")

    @property
    def bending_stiffness(self) -> Array:
        """EI of the cores, N m2."""
        return self._each("bending_stiffness")

    @property
    def tension_breaking_share(self) -> Array:
        """Core stress over the strength of the wire (low end of a range from memory, unverified): a caution,
        not a design value."""
        return self.tension / (self._each("core_area") * self._each("strength"))

    @property
    def cautions(self) -> tuple[str, ...]:
        """Sentences to show beside the set; empty when no string is near its strength."""
        return tuple(f"{name}: the core is at {100 * share:.0f} % of the strength remembered for music wire "
                     "(unverified). A string may break and whip while tuning: wear eye protection, tune up "
                     "slowly."
                     for name, share in zip(self.tuning, self.tension_breaking_share, strict=True)
                     if share > rule("string_breaking_caution").value)

    def table(self) -> pandas.DataFrame:
        """One row a string, numbered as players count (1 = thinnest side), units in the column names."""
        import pandas

        return pandas.DataFrame({
            "string": np.arange(len(self), 0, -1), "note": self.tuning, "frequency (Hz)": self.frequency,
            "kind": ["wound" if s.wrap else "plain" for s in self.strings],
            "diameter (mm)": 1e3 * self._each("diameter"), "core (mm)": 1e3 * self._each("core"),
            "speaking length (mm)": 1e3 * np.asarray(self.length),
            "mass per length (g/m)": 1e3 * self.mass_per_length, "tension (N)": self.tension,
            "impedance (kg/s)": np.sqrt(self.tension * self.mass_per_length),
            "inharmonicity B (-)": inharmonicity(self.bending_stiffness, self.tension, self.length),
            "share of strength, caution (%)": 100 * self.tension_breaking_share})
