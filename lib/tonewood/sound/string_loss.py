"""What a string loses by itself: to the air, by bending, by rubbing inside. The loss factor eta = 1/Q on ends
that do not give way.

eta is the part of the vibration's energy lost in each radian of a cycle. The amplitude falls as exp(-pi f eta
t), so the level drops 60 dB in T60 = ln(1000) / (pi f eta). Constants of steel and air: data/rules.csv, with
source and status.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from tonewood import checks
from tonewood.draws import Draws
from tonewood.neck.section.damping import loss_factor
from tonewood.strings.wire import String, inharmonicity, line_mass
from tonewood.wood.facts import rule

LN_1000 = float(np.log(1000.0))


def decay_time(rate: Any) -> Any:
    """T60 (s) of an amplitude that falls as exp(-rate t), rate in 1/s: ln(1000) / rate; infinite without
    loss.

    Arrays broadcast; by definition of 60 dB. Raises ValueError.

    >>> round(float(decay_time(3.4539)), 4)
    2.0
    """
    rate = np.asarray(checks.number("rate of decay", rate, unit="1/s"))
    return np.where(rate > 0, LN_1000 / np.maximum(rate, 1e-300), np.inf)[()]


def t60(frequency: Draws, loss: Draws) -> Draws:
    """T60 (s) at a frequency (Hz) with a loss factor; arrays broadcast. Raises ValueError.

    >>> round(float(t60(110.0, 1e-3)), 2)
    19.99
    """
    frequency = checks.frequency("frequency", frequency)
    return decay_time(np.pi * np.asarray(frequency) * np.asarray(checks.number("loss factor", loss, 0.0)))


def loss_from_t60(frequency: Draws, seconds: Draws) -> Draws:
    """Loss factor from a measured T60 (s) at a frequency (Hz); arrays broadcast. Raises ValueError.

    >>> round(float(loss_from_t60(110.0, 20.0)), 5)
    0.001
    """
    frequency, seconds = checks.frequency("frequency", frequency), checks.seconds("T60", seconds)
    return LN_1000 / (np.pi * np.asarray(frequency) * np.asarray(seconds))


def air_resistance(diameter: Draws, frequency: Draws) -> Draws:
    """Viscous drag of the air per length of string and per velocity, kg/(m s); diameter in m, frequency in
    Hz.

    R = 2 pi v + 2 pi d sqrt(pi v rho f), v the viscosity: the two-term form of Stokes' solution for an
    oscillating cylinder, within about 3 % of the exact one for guitar strings (tests). Arrays broadcast.
    Raises ValueError.

    >>> round(1e4 * float(air_resistance(0.254e-3, 330.0)), 2)
    3.52
    """
    diameter = np.asarray(checks.length("string diameter", diameter, high=0.01))
    frequency = np.asarray(checks.frequency("frequency", frequency))
    viscosity, density = rule("air_viscosity").value, rule("air_density").value
    return 2 * np.pi * viscosity + 2 * np.pi * diameter * np.sqrt(np.pi * viscosity * density * frequency)


def air_loss(mass_per_length: Draws, diameter: Draws, frequency: Draws) -> Draws:
    """Loss factor from the air, R / (2 pi mu f); kg/m, m, Hz; arrays broadcast. Raises ValueError.

    >>> round(1e4 * float(air_loss(0.398e-3, 0.254e-3, 330.0)), 2)
    4.26
    """
    mass = line_mass(mass_per_length)
    return air_resistance(diameter, frequency) / (2 * np.pi * np.asarray(mass) * np.asarray(frequency))


def three_part_loss(tension: Draws, bending_stiffness: Draws, length: Draws, harmonic: Draws,
                    frequency: Draws, air: float, friction: float, bending: float) -> Draws:
    """Loss factor of a stiff string from three fitted constants: for strings whose constants were published,
    as nylon.

    eta = [T (friction + air / omega) + EI bending (n pi / L)^2] / [T + EI (n pi / L)^2], omega = 2 pi f. air
    in 1/s, friction and bending without unit. Form: source woodhouse-2004. SI, arrays broadcast. Raises
    ValueError.

    >>> round(1e3 * float(three_part_loss(71.6, 57e-6, 0.65, 1, 82.4, 1.2, 2e-5, 0.02)), 2)
    2.34
    """
    share = _bending_share(bending_stiffness, tension, length, harmonic, friction, bending)
    omega = 2 * np.pi * np.asarray(checks.frequency("frequency", frequency))
    checks.number("loss to the air", air, 0.0, 1e3, "1/s")
    return (friction + air / omega + share * bending) / (1 + share)


def _bending_share(bending_stiffness: Draws, tension: Draws, length: Draws, harmonic: Draws, friction: Draws,
                   bending: Draws) -> Draws:
    """Share of the bending energy in the n-th harmonic, the two losses within the string checked too."""
    loss_factor("string friction loss", friction)
    loss_factor("string bending loss", bending)
    n = np.asarray(checks.whole_numbers("harmonic", harmonic, 1))
    return inharmonicity(bending_stiffness, tension, length) * n**2


@dataclass(frozen=True)
class StringLoss:
    """What rubs and bends inside a string: loss factors at no bending (friction) and of the bent wire
    (bending).

    band: the friction times and divided by it is where the truth is thought to lie, 90 %; status of these
    numbers. Raises ValueError.
    """

    friction: float
    bending: float
    band: float = 2.0
    status: str = "given"

    def __post_init__(self) -> None:
        loss_factor("string friction loss", self.friction)
        loss_factor("string bending loss", self.bending)
        checks.number("band of the string friction", self.band, 1.0, 100.0)


def steel_loss(kind: str = "plain", age: float = 0.0) -> StringLoss:
    """StringLoss of a steel string, kind "plain" or "wound"; age: a number from 0 (new) to 1 (well played),
    values run geometrically between.

    Source: data/rules.csv, all from memory, with their bands. Raises ValueError.

    >>> steel_loss("plain", 1.0).friction
    0.0003
    """
    checks.choice("kind of string", kind, ("plain", "wound"))
    age = float(checks.fraction("string age", age))
    friction, bending = rule(f"string_friction_{kind}_new"), rule(f"string_bending_{kind}_new")
    aged = [new.value ** (1 - age) * rule(new.name.replace("new", "played")).value ** age
            for new in (friction, bending)]
    band = (friction.high or np.inf) / friction.value
    return StringLoss(aged[0], aged[1], band, f"{friction.status}, unverified")


def wire_loss(wire: String, age: float = 0.0) -> StringLoss:
    """steel_loss of one string of a set (strings.wire.String) at an age from 0 to 1. Raises ValueError.

    >>> from tonewood.strings.wire import plain
    >>> wire_loss(plain(0.254e-3)) == steel_loss("plain")
    True
    """
    return steel_loss("wound" if wire.wrap else "plain", age)


def steel_string_loss(mass_per_length: Draws, diameter: Draws, tension: Draws, bending_stiffness: Draws,
                      length: Draws, harmonic: Draws, frequency: Draws, friction: Draws, bending: Draws
                      ) -> tuple[Draws, Draws]:
    """Loss factor of a steel string split in two, (air, string): air by Stokes; string = friction + share x
    bending.

    The share of bending energy in the n-th harmonic is EI (n pi / L)^2 / T. SI; all arrays broadcast. Raises
    ValueError.

    >>> air, own = steel_string_loss(4e-4, 0.254e-3, 72.6, 4e-5, 0.648, 3, 990.0, 1e-4, 4e-3)
    >>> round(1e4 * float(air), 2), round(1e4 * float(own), 2)
    (2.12, 1.0)
    """
    share = _bending_share(bending_stiffness, tension, length, harmonic, friction, bending)
    return air_loss(mass_per_length, diameter, frequency), np.asarray(friction) + share * np.asarray(bending)
