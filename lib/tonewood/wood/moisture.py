"""Moisture in wood: what the air brings it to, and what that does to stiffness, density and size.

Relative humidity and moisture content are fractions (0.45, 0.08); temperature in degrees Celsius. Everything
takes floats or arrays that broadcast.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from tonewood import checks
from tonewood.draws import Array, Draws, bisect, plain
from tonewood.wood.facts import rule


def _temperature(value: Draws) -> Array:
    return np.asarray(checks.temperature("temperature", value, -20.0, 60.0))


def _fibre_saturation(value: Draws | None) -> Draws:
    given = rule("fibre_saturation").value / 100 if value is None else value
    return checks.fraction("fibre saturation", given, 0.1, 0.4)


def _shrinkage(value: Draws | None) -> Draws:
    return checks.fraction("shrinkage", value, 0.0, 0.3, "(fraction of green size)", open_low=True)


def _sorption(t: Any, h: Any) -> Array:
    """Two-hydrate sorption formula, moisture fraction. t in C, h fraction, no checks."""
    W = 349 + 1.29 * t + 0.0135 * t**2
    K = 0.805 + 0.000736 * t - 0.00000273 * t**2
    K1 = 6.27 - 0.00938 * t - 0.000303 * t**2
    K2 = 1.91 + 0.0407 * t - 0.000293 * t**2
    kh = K * h
    return 18 / W * (kh / (1 - kh) + (K1 * kh + 2 * K1 * K2 * kh**2) / (1 + K1 * kh + K1 * K2 * kh**2))


def equilibrium_moisture(temperature: Draws, humidity: Draws) -> Draws:
    """Moisture content (fraction) that wood reaches in air of `temperature` (C, -20 to 60) and relative
    `humidity` (fraction).

    One curve for all woods, good to about +-0.01 (see equilibrium_band). Raises ValueError. Source: Wood
    Handbook, FPL-GTR-282, Eq. 4-5; Simpson, FPL-RN-0268 (simpson-1998 in data/sources.csv).
    >>> round(equilibrium_moisture(20.0, 0.45), 4)
    0.0849
    """
    return plain(_sorption(_temperature(temperature),
                           np.asarray(checks.fraction("relative humidity", humidity))))


def equilibrium_band(temperature: Draws, humidity: Draws) -> tuple[Draws, Draws]:
    """(low, high) of the equilibrium moisture content, fractions, never below 0: the curve less and plus the
    rule equilibrium_band, for spread between woods and between wetting and drying; oily tropical woods lie
    below the curve.
    >>> low, high = equilibrium_band(20.0, 0.45)
    >>> round(low, 4), round(high, 4)
    (0.0749, 0.0949)
    """
    middle, half = equilibrium_moisture(temperature, humidity), rule("equilibrium_band").value
    return plain(np.maximum(middle - half, 0.0)), plain(middle + half)


def humidity_for(temperature: Draws, moisture: Draws) -> Draws:
    """Relative humidity (fraction) of the air in which wood settles at `moisture` (fraction): the inverse of
    equilibrium_moisture, to 1e-12. Raises ValueError for a moisture no air of that temperature can give.
    >>> round(humidity_for(20.0, 0.08), 4)
    0.4183
    """
    t, m = np.broadcast_arrays(_temperature(temperature),
                               np.asarray(checks.moisture("moisture content", moisture)))
    top = _sorption(t, 1.0)
    if np.any(m > top):
        at = np.flatnonzero((m > top).ravel())[0]
        raise ValueError(f"moisture content: {m.ravel()[at]:g} given at {t.ravel()[at]:g} C; accepted: 0 to "
                         f"{top.ravel()[at]:.3f}, the most that damp air gives")
    return plain(bisect(lambda h: _sorption(t, h) < m, np.zeros(m.shape), np.ones(m.shape), 42))


def modulus_at(modulus_12: Draws, green_ratio: Draws, moisture: Draws, mp: Draws | None = None) -> Draws:
    """Modulus at `moisture` (fraction) from the modulus at 12 %: P = P12 ratio^((0.12 - M)/(mp - 0.12)),
    level between mp and fibre saturation.

    green_ratio: modulus at 12 % over green; mp: moisture fraction where stiffening begins (the rule
    intersection_moisture if None). Same unit out as in. Raises ValueError above fibre saturation. Source:
    Wood Handbook, FPL-GTR-190 and FPL-GTR-282, Eq. 5-3.
    >>> round(modulus_at(12e9, 1.25, 0.08) / 1e9, 3)
    12.853
    """
    ratio = checks.number("ratio of dry to green modulus", green_ratio, 0.8, 3.0)
    given = rule("intersection_moisture").value / 100 if mp is None else mp
    modulus_12 = checks.number("modulus at 12 % moisture", modulus_12, 0.0, open_low=True)
    mp = checks.fraction("intersection moisture content", given, 0.15, 0.40)
    m = np.minimum(checks.moisture("moisture content", moisture), mp)
    return plain(modulus_12 * ratio ** ((0.12 - m) / (mp - 0.12)))


def density_at(density_12: Draws, moisture: Draws, C_L: Draws = 0.0, C_R: Draws = 0.0, C_T: Draws = 0.0,
               reference: float = 0.12) -> Draws:
    """Density (kg/m3) at `moisture` from that at `reference` (12 % unless told): water gained, less the
    swelling of the three directions.

    C_L, C_R, C_T: swelling per unit moisture fraction. Raises ValueError above fibre saturation. Source:
    conservation of ovendry mass; Handbook Eq. 4-14 at 12 %.
    >>> round(density_at(700.0, 0.08, 0.005, 0.165, 0.353), 1)
    689.4
    """
    m = np.asarray(checks.moisture("moisture content", moisture))
    density_12 = checks.number("density at the reference", density_12, 0.0, open_low=True)
    C_L, C_R, C_T = (checks.swelling(f"swelling {name}", c)
                     for name, c in (("C_L", C_L), ("C_R", C_R), ("C_T", C_T)))
    ref = checks.moisture("reference moisture content", reference)
    volume = (1 + C_L * (m - ref)) * (1 + C_R * (m - ref)) * (1 + C_T * (m - ref))
    return plain(density_12 * (1 + m) / (1 + ref) / volume)


def most_moisture(specific_gravity: Draws) -> Draws:
    """The most moisture that wood can hold, a fraction of ovendry mass: every hollow full of water. Raises
    ValueError.

    specific_gravity: ovendry mass over green volume and water. Source: Wood Handbook, FPL-GTR-282, Eq. 4-3,
    with 1.54 for the cell wall.
    >>> round(most_moisture(0.30), 2)
    2.68
    """
    G = np.asarray(checks.number("specific gravity, green", specific_gravity, 0.05, 1.3))
    return plain((1.54 - G) / (1.54 * G))


def green_gravity(density_12: Draws, C_L: Draws = 0.0, C_R: Draws = 0.0, C_T: Draws = 0.0) -> Draws:
    """Ovendry mass over green volume and water, from the density (kg/m3) at 12 % and the swelling per unit
    moisture fraction. Raises ValueError. Source: conservation of ovendry mass, swelling to fibre saturation.
    >>> round(green_gravity(705.6, 0.005, 0.165, 0.353), 2)
    0.57
    """
    full = rule("fibre_saturation").value / 100
    return density_at(density_12, full, C_L, C_R, C_T) / (1 + full) / 1000


def dimension_change(dimension: Draws, initial: Draws, final: Draws, coefficient: Draws | None = None,
                     shrinkage: Draws | None = None, fibre_saturation: Draws | None = None) -> Draws:
    """Change of a dimension (its own unit) when moisture goes from `initial` to `final` (fractions); positive
    is swelling.

    coefficient: C_R or C_T per unit moisture fraction, inside the rule movement_range (Wood Handbook,
    FPL-GTR-190, Table 13-5: dD = D C dM). shrinkage: green to ovendry, fraction, for any moisture up to fibre
    saturation: dD = D dM / (M_fs/S - M_fs + M_initial), the straight line of Eq. 4-9. With both given the
    coefficient is used inside its range and the line outside. Raises ValueError when neither fits.
    >>> round(dimension_change(60.0, 0.06, 0.09, coefficient=0.353), 3)
    0.635
    """
    if coefficient is None and shrinkage is None:
        raise ValueError("dimension change: neither a movement coefficient nor a shrinkage given; "
                         "accepted: at least one of them")
    D = checks.number("dimension", dimension, 0.0)
    m0, m1 = (np.asarray(checks.moisture(f"{which} moisture content", value))
              for which, value in (("initial", initial), ("final", final)))
    if coefficient is not None:
        C = checks.number("movement coefficient", coefficient, -0.2, 1.0, "per unit moisture fraction")
        linear = D * C * (m1 - m0)
        driest, dampest = np.minimum(m0, m1), np.maximum(m0, m1)
        low, high = (limit / 100 for limit in rule("movement_range").limits)
        inside = (driest >= low - 1e-12) & (dampest <= high + 1e-12)
        if np.all(inside):
            return plain(linear)
        if shrinkage is None:
            raise ValueError(f"moisture content: {np.min(driest):g} to {np.max(dampest):g} given; accepted "
                             f"with a movement coefficient: {low:g} to {high:g}. Give the shrinkage as well "
                             "(shrinkage=...) and the straight line to fibre saturation is used")
    S, fs = _shrinkage(shrinkage), _fibre_saturation(fibre_saturation)
    m0, m1 = np.minimum(m0, fs), np.minimum(m1, fs)
    line = D * (m1 - m0) / (fs / S - fs + m0)
    return plain(line if coefficient is None else np.where(inside, linear, line))
