"""Three measurements of a straight board with even section: weigh it, bend it over two supports, tap it and read its tone.

All sizes in m, masses in kg, loads in N, frequencies in Hz; floats or arrays that broadcast. Results are those of the board as it lies there, at its
present moisture and along its own length, run-out included; modulus_at_12 and density_at_12 carry them to the tables' 12 %.
"""

from math import pi

import numpy as np

from tonewood import checks
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


def _size(name, value, high=3.0):
    return checks.number(name, value, 0.0, high, "m", lambda v: f"Millimetres? {v:g} mm is {v / 1000:g} m" if v > high else None, open_low=True)


def _positive(name, value, unit, high=None):
    return checks.number(name, value, 0.0, high, unit, open_low=True)


def _shear_ratio(value):
    return rule("modulus_over_shear").value if value is None else checks.number("ratio E/G", value, 0.0, 60.0)


def density(mass, length, width, thickness):
    """Density of a rectangular board, kg/m3: mass over volume. Raises ValueError. Source: definition."""
    mass = checks.number("mass", mass, 0.0, 100.0, "kg", lambda v: f"Grams? {v:g} g is {v / 1000:g} kg" if v > 100 else None, open_low=True)
    return mass / (_size("length", length) * _size("width", width) * _size("thickness", thickness))


def shear_share(span_to_thickness, ratio=None):
    """How much of E/E_apparent - 1 comes from shear in a three-point bend: 1.2 (E/G) (thickness/span)^2.

    ratio: E/G of the board in the plane of bending; None for the mean of published woods. Source: Timoshenko beam, rectangular section.
    """
    return 1.2 * _shear_ratio(ratio) / _positive("span over thickness", span_to_thickness, "") ** 2


def bend_modulus(load, deflection, span, width, thickness, ratio=None):
    """Modulus along the board (Pa) from a three-point bend: load (N, the difference of two loads, so that seating cancels), deflection (m) at mid-span
    between them, span (m) between the supports, width and thickness (m), thickness in the direction of bending.

    E = F s^3 / (4 b t^3 d) x [1 + 1.2 (E/G)(t/s)^2]; ratio: E/G, 0 for the apparent modulus of the slender-beam formula, None for the mean of published
    woods. Raises ValueError; refuses a span below six thicknesses, where this is no beam. Source: beam theory.
    """
    F, d = _positive("load", load, "N", 5000.0), _size("deflection", deflection, 0.2)
    s, b, t = _size("span", span), _size("width", width), _size("thickness", thickness)
    slender = checks.number("span over thickness", s / t, 6.0, None, "", "Bend a longer span: shear would hide the bending")
    apparent = F * s**3 / (4 * b * t**3 * d)
    return apparent * (1 + shear_share(slender, ratio))


def slender_tap_modulus(mass, frequency, length, width, thickness):
    """Modulus along the board (Pa) from its lowest free tone (Hz), by the slender-bar formula: too low for real boards, see wood_factor.

    E = 48 pi^2 / 4.73004^4 (m f^2 / b)(L / t)^3. Source: Euler-Bernoulli free bar (the form used in ASTM E1876).
    """
    f = _positive("frequency", frequency, "Hz", 20000.0)
    m, L = _positive("mass", mass, "kg", 100.0), _size("length", length)
    b, t = _size("width", width), _size("thickness", thickness)
    checks.number("length over thickness", L / t, 8.0, None, "", "Tap a longer or thinner piece: the formula is for bars")
    return 48 * pi**2 / FREE_BEAM**4 * (m * f**2 / b) * (L / t) ** 3


def wood_factor(thickness_to_length, ratio=None):
    """What the slender-bar modulus is multiplied by for rotation and shear of wood: 1 + (t/L)^2 (4.123 + 1.230 E/G).

    thickness_to_length: up to 0.125; ratio: E/G in the plane of bending, None for the mean of published woods. Raises ValueError.
    Source: Timoshenko beam to first order, lowest tone, shear coefficient 5/6.
    """
    x = checks.number("thickness over length", thickness_to_length, 0.0, 0.125)
    return 1 + x**2 * (4.123 + 1.230 * _shear_ratio(ratio))


def metal_factor(thickness_to_length, poisson=0.3):
    """The correction that test standards give for metal and ceramic bars: wrong for wood, which shears far more easily. Shown to be compared.

    Source: polynomial of ASTM E1876, from memory; agrees with a Timoshenko beam with E/G = 2 (1 + poisson).
    """
    x = checks.number("thickness over length", thickness_to_length, 0.0, 0.125)
    n = checks.number("Poisson's ratio", poisson, 0.0, 0.5)
    return (1 + 6.585 * (1 + 0.0752 * n + 0.8109 * n**2) * x**2 - 0.868 * x**4
            - 8.340 * (1 + 0.2023 * n + 2.173 * n**2) * x**4 / (1 + 6.338 * (1 + 0.1408 * n + 1.536 * n**2) * x**2))


def tap_modulus(mass, frequency, length, width, thickness, ratio=None):
    """Modulus along the board (Pa) from its lowest free tone (Hz): the slender-bar formula times wood_factor. thickness: in the direction of the tap.

    Board on soft supports at NODES of its length, tapped in the middle. A tap gives a few per cent more than a slow bend (rule tap_over_bend):
    do not compare one with the other unawares. Raises ValueError.
    """
    slender = slender_tap_modulus(mass, frequency, length, width, thickness)
    return slender * wood_factor(np.divide(thickness, length), ratio)


def twist_shape(width, thickness):
    """Shape factor R of the twisting tone: polar second moment over torsion constant of the rectangle (1 for a round bar).

    Source: Saint-Venant's series; the polynomial in ASTM E1876 is within 0.2 % of it at 45 x 20 mm.
    """
    b, t = _size("width", width), _size("thickness", thickness)
    return b * t * (b**2 + t**2) / 12 / rectangle_constant(b, t)


def twist_modulus(mass, frequency, length, width, thickness):
    """Shear modulus (Pa) from the lowest twisting tone (Hz) of the free board: G = 4 L m f^2 R / (b t). A mean of G_LR and G_LT. Raises ValueError.

    Source: Saint-Venant torsion of a free uniform bar.
    """
    f = _positive("frequency", frequency, "Hz", 20000.0)
    m, L = _positive("mass", mass, "kg", 100.0), _size("length", length)
    return 4 * L * m * f**2 * twist_shape(width, thickness) / (width * thickness)


def loss_from_decay(first, later, cycles):
    """Loss factor from amplitudes of one tone: ln(first / later) / (pi cycles), `cycles` apart. Amplitudes in any one unit. Raises ValueError.

    Source: logarithmic decrement over pi. It holds the losses of supports and air as well: an upper limit for the wood.
    """
    a, n = _positive("first amplitude", first, ""), _positive("number of cycles", cycles, "")
    b = checks.number("later amplitude", later, 0.0, None, "", open_low=True)
    if np.any(np.asarray(b) >= a):
        raise ValueError(f"later amplitude: {np.max(b):g} given after {np.min(a):g}; accepted: less than the first, the tone dies away")
    return np.log(a / b) / (pi * n)


def loss_from_width(width, frequency):
    """Loss factor from the width (Hz) of the tone's peak 3 dB below its top: width / frequency. Raises ValueError. Source: half-power points."""
    f = _positive("frequency", frequency, "Hz", 20000.0)
    return checks.number("width of the peak", width, 0.0, 0.3 * np.min(f), "Hz", open_low=True) / f


def uncertainty(test, **readings):
    """Relative standard uncertainty of a result from those of its readings, as fractions: uncertainty('tap', frequency=0.002, thickness=0.005).

    test: 'density', 'bend' or 'tap'; readings: any of POWERS[test], the others count as exact. Independent errors: squares of power x error add up.
    Raises ValueError. Source: propagation of uncertainty to first order.
    """
    powers = POWERS[checks.choice("test", test, POWERS)]
    total = 0.0
    for name, value in readings.items():
        power = powers[checks.choice("reading", name, powers)]
        total = total + (power * checks.number(f"uncertainty of {name}", value, 0.0, 0.5, "(fraction)", lambda v: f"Per cent? Did you mean {v / 100:g}?")) ** 2
    return np.sqrt(total)


def modulus_at_12(modulus, moisture, green_ratio, mp=0.25):
    """Modulus measured at `moisture` (fraction) carried to 12 %, same unit. green_ratio, mp: of the wood (Species.green_ratio, Species.mp).

    Source: Wood Handbook, FPL-GTR-282, Eq. 5-3. Raises ValueError.
    """
    return modulus / water.modulus_at(1.0, green_ratio, moisture, mp)


def density_at_12(density, moisture, swelling=(0.0, 0.0, 0.0)):
    """Density measured at `moisture` (fraction) carried to 12 %. swelling: (C_L, C_R, C_T) of the wood (Species.swelling). Raises ValueError."""
    return density / water.density_at(1.0, moisture, *swelling)
