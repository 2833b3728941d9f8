"""Three measurements of a straight board with even section: weigh it, bend it over two supports, tap it and
read its tone.

All sizes in m, masses in kg, loads in N, frequencies in Hz; floats or arrays that broadcast. Results are
those of the board as it lies there, at its present moisture and along its own length, run-out included;
modulus_at_12 and density_at_12 carry them to the tables' 12 %. `ratio` is E/G of the board in the plane of
bending, None for the mean of published woods. Readings out of range raise ValueError.
"""

from __future__ import annotations

from math import pi
from typing import Any

import numpy as np

from tonewood import checks
from tonewood.constants import GRAVITY
from tonewood.draws import Draws
from tonewood.neck.section.torsion import rectangle_constant
from tonewood.wood import moisture as water
from tonewood.wood.facts import rule

FREE_BEAM = 4.730040744862704
"""First root of cosh x cos x = 1: the free bar's lowest tone."""

NODES = (0.2242, 0.7758)
"""Where to support a board for its lowest tone, as shares of its length: there it does not move."""

POWERS = {"density": {"mass": 1, "length": 1, "width": 1, "thickness": 1},
          "bend": {"load": 1, "span": 3, "width": 1, "thickness": 3, "deflection": 1},
          "tap": {"mass": 1, "frequency": 2, "length": 3, "width": 1, "thickness": 3}}
"""How strongly the result follows each reading: 1 % in the thickness is 3 % in the modulus."""


def _sizes(**sizes: Draws) -> list[Any]:
    return [checks.length(name, value, high=3.0) for name, value in sizes.items()]


def _modulus_found(value: Draws, along: str = "modulus") -> Draws:
    return checks.number(f"{along} from these readings", value, 1e7, 1e11, "Pa",
                  "Look at the units: masses in kg, sizes and deflections in m, tones in Hz")


def _shear_ratio(value: Draws | None) -> Draws:
    return rule("modulus_over_shear").value if value is None else checks.number("ratio E/G", value, 0.0, 60.0)


def density(mass: Draws, length: Draws, width: Draws, thickness: Draws) -> Draws:
    """Density of a rectangular board, kg/m3: mass over volume. Raises ValueError. Source: definition.
    >>> round(density(0.2835, 0.45, 0.045, 0.020))
    700
    """
    m = checks.mass("mass", mass)
    L, b, t = _sizes(length=length, width=width, thickness=thickness)
    return checks.number("density from these readings", m / (L * b * t), *checks.DENSITY_LIMITS, "kg/m³",
                  "Look at the units: mass in kg, sizes in m; grams make it a thousand times too high")


def shear_share(span_to_thickness: Draws, ratio: Draws | None = None) -> Draws:
    """The share of E/E_apparent - 1 that comes from shear in a three-point bend: 1.2 (E/G)
    (thickness/span)^2.

    Raises ValueError. Source: Timoshenko beam, rectangular section.
    >>> round(shear_share(14.0, 16.0), 3)
    0.098
    """
    slender = checks.number("span over thickness", span_to_thickness, 0.0, open_low=True)
    return 1.2 * _shear_ratio(ratio) / slender**2


def bend_modulus(load: Draws, deflection: Draws, span: Draws, width: Draws, thickness: Draws,
                 ratio: Draws | None = None
                 ) -> Draws:
    """Modulus along the board (Pa) from a three-point bend: load (N, the difference of two loads, so that
    seating cancels), deflection (m) at mid-span between them, span (m) between the supports, thickness in the
    direction of bending.

    E = F s^3 / (4 b t^3 d) x [1 + 1.2 (E/G)(t/s)^2]; ratio 0 for the apparent modulus of the slender-beam
    formula. Raises ValueError; refuses a span below six thicknesses, where this is no beam. Source: beam
    theory.
    >>> round(bend_modulus(50.0, 1.1e-3, 0.4, 0.045, 0.020, ratio=15.0) / 1e9, 4)
    2.1111
    """
    F = checks.number("load", load, 0.0, 5000.0, "N", lambda v: f"Grams? {v:g} g pull with "
                      f"{v * 1e-3 * GRAVITY:.3g} N" if v > 5000 else None, open_low=True)
    d = checks.length("deflection", deflection, high=0.2)
    s, b, t = _sizes(span=span, width=width, thickness=thickness)
    slender = checks.number("span over thickness", s / t, 6.0,
                            slip="Bend a longer span: shear would hide the bending")
    return _modulus_found(F * s**3 / (4 * b * t**3 * d) * (1 + shear_share(slender, ratio)))


def slender_tap_modulus(mass: Draws, frequency: Draws, length: Draws, width: Draws,
                        thickness: Draws) -> Draws:
    """Modulus along the board (Pa) from its lowest free tone, by the slender-bar formula: too low for real
    boards, see wood_factor. E = 48 pi^2 / 4.73004^4 (m f^2 / b)(L / t)^3. Raises ValueError. Source:
    Euler-Bernoulli free bar (the form used in ASTM E1876).
    >>> round(slender_tap_modulus(0.300, 412.0, 0.45, 0.045, 0.020) / 1e9, 3)
    12.199
    """
    f, m = checks.frequency("frequency", frequency, 5.0, 20000.0), checks.mass("mass", mass)
    L, b, t = _sizes(length=length, width=width, thickness=thickness)
    checks.number("length over thickness", L / t, 8.0,
                  slip="Tap a longer or thinner piece: the formula is for bars")
    return _modulus_found(48 * pi**2 / FREE_BEAM**4 * (m * f**2 / b) * (L / t) ** 3)


def wood_factor(thickness_to_length: Draws, ratio: Draws | None = None) -> Draws:
    """The factor on the slender-bar modulus for rotation and shear of wood: 1 + (t/L)^2 (4.123 + 1.230 E/G).

    thickness_to_length: up to 0.125. Raises ValueError. Source: Timoshenko beam to first order, lowest tone,
    shear coefficient 5/6.
    >>> round(wood_factor(0.020 / 0.45, 15.0), 5)
    1.04459
    """
    x = checks.number("thickness over length", thickness_to_length, 0.0, 0.125)
    return 1 + x**2 * (4.123 + 1.230 * _shear_ratio(ratio))


def tap_modulus(mass: Draws, frequency: Draws, length: Draws, width: Draws, thickness: Draws,
                ratio: Draws | None = None
                ) -> Draws:
    """Modulus along the board (Pa) from its lowest free tone: the slender-bar formula times wood_factor;
    thickness in the direction of the tap. Board on soft supports at NODES of its length, tapped in the
    middle. Raises ValueError.

    A tap gives a few per cent more than a slow bend (rule tap_over_bend): do not compare one with the other
    unawares.
    >>> round(tap_modulus(0.300, 412.0, 0.45, 0.045, 0.020, ratio=15.0) / 1e9, 3)
    12.743
    """
    slender = slender_tap_modulus(mass, frequency, length, width, thickness)
    return slender * wood_factor(np.divide(thickness, length), ratio)


def twist_shape(width: Draws, thickness: Draws) -> Draws:
    """Shape factor R of the twisting tone: polar second moment over torsion constant of the rectangle (1 for
    a round bar).

    Raises ValueError. Source: Saint-Venant's series; the polynomial in ASTM E1876 is within 0.2 % of it at 45
    x 20 mm.
    >>> round(float(twist_shape(0.045, 0.020)), 4)
    2.104
    """
    b, t = _sizes(width=width, thickness=thickness)
    return b * t * (b**2 + t**2) / 12 / rectangle_constant(b, t)


def twist_modulus(mass: Draws, frequency: Draws, length: Draws, width: Draws, thickness: Draws) -> Draws:
    """Shear modulus (Pa) from the lowest twisting tone of the free board: G = 4 L m f^2 R / (b t). A mean of
    G_LR and G_LT. Raises ValueError. Source: Saint-Venant torsion of a free uniform bar.
    >>> round(float(twist_modulus(0.300, 700.0, 0.45, 0.045, 0.020)) / 1e9, 3)
    0.619
    """
    f, m = checks.frequency("frequency", frequency, 5.0, 20000.0), checks.mass("mass", mass)
    L, = _sizes(length=length)
    G = 4 * L * m * f**2 * twist_shape(width, thickness) / (width * thickness)
    return _modulus_found(G, "shear modulus")


def uncertainty(test: str, **readings: Draws) -> Draws:
    """Relative standard uncertainty of a result from those of its readings, as fractions.

    test: 'density', 'bend' or 'tap'; readings: any of POWERS[test], the others count as exact. Independent
    errors: squares of power x error add up. Raises ValueError. Source: propagation of uncertainty to first
    order.
    >>> round(float(uncertainty("tap", frequency=0.002, thickness=0.005)), 4)
    0.0155
    """
    powers = POWERS[checks.choice("test", test, POWERS)]
    total: Draws = 0.0
    for name, value in readings.items():
        power = powers[checks.choice("reading", name, powers)]
        total = total + (power * checks.fraction(f"uncertainty of {name}", value, high=0.5)) ** 2
    return np.sqrt(total)


def modulus_at_12(modulus: Draws, moisture: Draws, green_ratio: Draws, mp: Draws | None = None) -> Draws:
    """Modulus measured at `moisture` (fraction) carried to 12 %, same unit. green_ratio, mp: of the wood
    (Species.green_ratio, Species.mp). Raises ValueError. Source: Wood Handbook, FPL-GTR-282, Eq. 5-3.
    >>> round(modulus_at_12(12e9, 0.08, 1.25) / 1e9, 3)
    11.204
    """
    measured = checks.number("modulus", modulus, 0.0, open_low=True)
    return measured / water.modulus_at(1.0, green_ratio, moisture, mp)


def density_at_12(density: Draws, moisture: Draws,
                  swelling: tuple[Draws, Draws, Draws] = (0.0, 0.0, 0.0)) -> Draws:
    """Density measured at `moisture` (fraction) carried to 12 %, same unit. swelling: (C_L, C_R, C_T) of the
    wood (Species.swelling). Raises ValueError.
    >>> round(density_at_12(700.0, 0.08), 1)
    725.9
    """
    measured = checks.number("density", density, 0.0, open_low=True)
    return measured / water.density_at(1.0, moisture, *swelling)
