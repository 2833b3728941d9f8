"""Moisture in wood: what the air brings it to, and what that does to stiffness, density and size.

Relative humidity and moisture content are fractions (0.45, 0.08); temperature in degrees Celsius. Everything takes floats or arrays that broadcast.
"""

import numpy as np

from tonewood import checks
from tonewood.wood.facts import rule

LINEAR_LOW, LINEAR_HIGH = 0.06, 0.14
"""Range of moisture in which the movement coefficients C_R, C_T hold (Wood Handbook, FPL-GTR-190, Table 13-5)."""


def _out(value):
    return float(value) if np.ndim(value) == 0 else value


def _temperature(value):
    return checks.number("temperature", value, -20.0, 100.0, "degrees C", lambda v: f"Fahrenheit? {v:g} F is {(v - 32) / 1.8:.0f} C" if 100 < v <= 250 else None)


def _sorption(t, h):
    """Two-hydrate sorption formula, moisture fraction. t in C, h fraction, no checks."""
    W = 349 + 1.29 * t + 0.0135 * t**2
    K = 0.805 + 0.000736 * t - 0.00000273 * t**2
    K1 = 6.27 - 0.00938 * t - 0.000303 * t**2
    K2 = 1.91 + 0.0407 * t - 0.000293 * t**2
    kh = K * h
    return 18 / W * (kh / (1 - kh) + (K1 * kh + 2 * K1 * K2 * kh**2) / (1 + K1 * kh + K1 * K2 * kh**2))


def equilibrium_moisture(temperature, humidity):
    """Moisture content (fraction) that wood reaches in air of `temperature` (C, -20 to 100) and relative `humidity` (fraction).

    One curve for all woods, good to about +-0.01 (see equilibrium_band). Raises ValueError. Source: Wood Handbook, FPL-GTR-282, Eq. 4-5;
    Simpson, FPL-RN-0268 (simpson-1998 in data/sources.csv).
    """
    t, h = np.asarray(_temperature(temperature)), np.asarray(checks.fraction("relative humidity", humidity))
    return _out(_sorption(t, h))


def equilibrium_band(temperature, humidity):
    """(low, high) of the equilibrium moisture content: the curve less and plus 0.01, for spread between woods and between wetting and drying.

    The width is from memory, unverified; oily tropical woods lie below the curve. Fractions; never below 0.
    """
    middle, half = equilibrium_moisture(temperature, humidity), rule("equilibrium_band").value
    return _out(np.maximum(middle - half, 0.0)), _out(middle + half)


def humidity_for(temperature, moisture):
    """Relative humidity (fraction) of the air in which wood settles at `moisture` (fraction): the inverse of equilibrium_moisture.

    Raises ValueError for a moisture no air of that temperature can give. Bisection to 1e-12.
    """
    t = np.asarray(_temperature(temperature))
    m = np.asarray(checks.moisture("moisture content", moisture))
    t, m = np.broadcast_arrays(t, m)
    top = _sorption(t, 1.0)
    if np.any(m > top):
        at = np.flatnonzero((m > top).ravel())[0]
        raise ValueError(f"moisture content: {m.ravel()[at]:g} given at {t.ravel()[at]:g} C; accepted: 0 to {top.ravel()[at]:.3f}, the most that damp air gives")
    low, high = np.zeros(m.shape), np.ones(m.shape)
    for _ in range(42):
        middle = 0.5 * (low + high)
        below = _sorption(t, middle) < m
        low, high = np.where(below, middle, low), np.where(below, high, middle)
    return _out(0.5 * (low + high))


def equilibrium_moisture_glass(temperature, humidity):
    """The same by another published fit, as a cross-check: [A T (1 - T/Tc)^B ln(1 - h)]^(C T^D), T in kelvin. Humidity below 1.

    Source: Wood Handbook, FPL-GTR-282, Eq. 4-6 (Glass and others 2014). Differs from the usual curve by up to about 0.01 indoors.
    """
    T = np.asarray(_temperature(temperature)) + 273.15
    h = np.asarray(checks.number("relative humidity", checks.fraction("relative humidity", humidity), high=1.0, open_high=True))
    return _out((-0.000612 * T * (1 - T / 647.1) ** 2.43 * np.log1p(-h)) ** (0.0577 * T**0.430))


def modulus_at(modulus_12, green_ratio, moisture, mp=0.25):
    """Modulus at `moisture` (fraction) from the modulus at 12 %: P = P12 ratio^((0.12 - M)/(mp - 0.12)), level between mp and fibre saturation.

    green_ratio: modulus at 12 % over green; mp: moisture fraction where stiffening begins. Same unit out as in. Raises ValueError above 0.30.
    Source: Wood Handbook, FPL-GTR-190 and FPL-GTR-282, Eq. 5-3.
    """
    ratio = checks.number("ratio of dry to green modulus", green_ratio, 0.8, 3.0)
    mp = checks.number("intersection moisture content", mp, 0.15, 0.40, "(fraction)", lambda v: f"Did you mean {v / 100:g}?" if v > 1 else None)
    m = np.minimum(checks.moisture("moisture content", moisture), mp)
    return _out(modulus_12 * ratio ** ((0.12 - m) / (mp - 0.12)))


def density_at(density_12, moisture, C_L=0.0, C_R=0.0, C_T=0.0, reference=0.12):
    """Density (kg/m3) at `moisture` from that at `reference` (12 % unless told): water gained, less the swelling of the three directions.

    C_L, C_R, C_T: swelling per unit moisture fraction. Raises ValueError above 0.30. Source: conservation of ovendry mass; Handbook Eq. 4-14 at 12 %.
    """
    m = np.asarray(checks.moisture("moisture content", moisture))
    ref = checks.moisture("reference moisture content", reference)
    volume = (1 + C_L * (m - ref)) * (1 + C_R * (m - ref)) * (1 + C_T * (m - ref))
    return _out(density_12 * (1 + m) / (1 + ref) / volume)


def shrinkage_to(moisture, shrinkage, fibre_saturation=0.30):
    """Shrinkage from green to `moisture`, fraction of the green size: S (1 - M / M_fs), none above fibre saturation.

    shrinkage: green to ovendry, fraction. Source: Wood Handbook, FPL-GTR-282, Eq. 4-9. Raises ValueError.
    """
    S = checks.number("shrinkage", shrinkage, 0.0, 0.3, "(fraction of green size)", lambda v: f"Did you mean {v / 100:g}?" if 0.3 < v <= 30 else None)
    fs = checks.number("fibre saturation", fibre_saturation, 0.1, 0.4, "(fraction)", lambda v: f"Did you mean {v / 100:g}?" if v > 1 else None)
    m = np.asarray(checks.moisture("moisture content", moisture, high=1.0))
    return _out(S * (1 - np.minimum(m / fs, 1.0)))


def dimension_change(dimension, initial, final, coefficient=None, shrinkage=None, fibre_saturation=0.30):
    """Change of a dimension (its own unit) when moisture goes from `initial` to `final` (fractions); positive is swelling.

    coefficient: C_R or C_T per unit moisture fraction, for 0.06 to 0.14 (Wood Handbook, FPL-GTR-190, Table 13-5: dD = D C dM).
    shrinkage: green to ovendry, fraction, for any moisture up to fibre saturation: dD = D dM / (M_fs/S - M_fs + M_initial), the straight line of Eq. 4-9.
    With both given the coefficient is used inside its range and the line outside. Raises ValueError when neither fits.
    """
    if coefficient is None and shrinkage is None:
        raise ValueError("dimension change: neither a movement coefficient nor a shrinkage given; accepted: at least one of them")
    D = checks.number("dimension", dimension, 0.0)
    m0, m1 = (np.asarray(checks.moisture(f"{which} moisture content", value)) for which, value in (("initial", initial), ("final", final)))
    inside = (np.minimum(m0, m1) >= LINEAR_LOW - 1e-12) & (np.maximum(m0, m1) <= LINEAR_HIGH + 1e-12)
    if coefficient is not None:
        C = checks.number("movement coefficient", coefficient, -0.2, 1.0, "per unit moisture fraction")
        linear = D * C * (m1 - m0)
        if np.all(inside):
            return _out(linear)
        if shrinkage is None:
            raise ValueError(f"moisture content: {np.min(np.minimum(m0, m1)):g} to {np.max(np.maximum(m0, m1)):g} given; accepted with a movement coefficient: "
                             f"{LINEAR_LOW:g} to {LINEAR_HIGH:g}. Give the shrinkage as well (shrinkage=...) and the straight line to fibre saturation is used")
    S = checks.number("shrinkage", shrinkage, 0.0, 0.3, "(fraction of green size)", lambda v: f"Did you mean {v / 100:g}?" if 0.3 < v <= 30 else None,
                      open_low=True)
    fs = checks.number("fibre saturation", fibre_saturation, 0.1, 0.4, "(fraction)", lambda v: f"Did you mean {v / 100:g}?" if v > 1 else None)
    m0, m1 = np.minimum(m0, fs), np.minimum(m1, fs)
    line = D * (m1 - m0) / (fs / S - fs + m0)
    return _out(line if coefficient is None else np.where(inside, linear, line))
