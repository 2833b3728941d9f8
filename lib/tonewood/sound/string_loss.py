"""What a string loses by itself: to the air, by bending, by rubbing inside. The loss factor eta = 1/Q on ends that do not give way.

eta is the part of the vibration's energy lost in each radian of a cycle. The amplitude falls as exp(-pi f eta t), so the level drops 60 dB in
T60 = ln(1000) / (pi f eta).
"""

from dataclasses import dataclass

import numpy as np

from tonewood import checks
from tonewood.neck.section.damping import loss_factor

LN_1000 = float(np.log(1000.0))
AIR_VISCOSITY = 1.8e-5      # Pa s, near 20 degrees Celsius (dry-air property tables)
AIR_DENSITY = 1.2           # kg/m3, near 20 degrees Celsius at sea level


def t60(frequency, loss):
    """Seconds for a level drop of 60 dB: ln(1000) / (pi f eta). frequency in Hz; a loss factor of 0 gives infinity. Arrays broadcast."""
    frequency = checks.number("frequency", frequency, 0.0, unit="Hz", open_low=True)
    loss = checks.number("loss factor", loss, 0.0)
    with np.errstate(divide="ignore"):
        return LN_1000 / (np.pi * np.asarray(frequency) * np.asarray(loss))


def loss_from_t60(frequency, seconds):
    """Loss factor from a measured T60 (s) at a frequency (Hz). Arrays broadcast. Raises ValueError."""
    frequency = checks.number("frequency", frequency, 0.0, unit="Hz", open_low=True)
    return LN_1000 / (np.pi * np.asarray(frequency) * np.asarray(checks.number("T60", seconds, 0.0, unit="s", open_low=True)))


def air_resistance(diameter, frequency, viscosity=AIR_VISCOSITY, density=AIR_DENSITY):
    """Viscous drag of the air per length of string and per velocity, kg/(m s).

    R = 2 pi eta_v + 2 pi d sqrt(pi eta_v rho f), the two-term form of Stokes' solution for an oscillating cylinder. Within about 3 % of the
    exact solution (air_resistance_exact) for guitar strings. diameter in m, frequency in Hz; arrays broadcast. Raises ValueError.
    """
    diameter = np.asarray(checks.number("string diameter", diameter, 0.0, 0.01, "m", open_low=True,
                                        slip=lambda v: f"Did you mean {v / 1000:g} m ({v:g} mm)?" if v > 0.01 else None))
    frequency = np.asarray(checks.number("frequency", frequency, 0.0, unit="Hz", open_low=True))
    return 2 * np.pi * viscosity + 2 * np.pi * diameter * np.sqrt(np.pi * viscosity * density * frequency)


def air_resistance_exact(diameter, frequency, viscosity=AIR_VISCOSITY, density=AIR_DENSITY):
    """The same drag from Stokes' solution with Bessel functions (a rigid cylinder shaken across its length in still, viscous air), kg/(m s)."""
    from scipy.special import kve
    omega = 2 * np.pi * np.asarray(frequency, dtype=float)
    radius = np.asarray(diameter, dtype=float) / 2
    k = np.sqrt(1j * omega * density / viscosity) * radius
    return np.real(1j * omega * np.pi * density * radius**2 * (1 + 4 * kve(1, k) / (k * kve(0, k))))


def air_loss(mass_per_length, diameter, frequency):
    """Loss factor from the air: R / (2 pi mu f). kg/m, m, Hz; arrays broadcast. Raises ValueError."""
    mass_per_length = np.asarray(checks.number("string mass per length", mass_per_length, 0.0, unit="kg/m", open_low=True))
    return air_resistance(diameter, frequency) / (2 * np.pi * mass_per_length * np.asarray(frequency))


def bending_share(bending_stiffness, tension, length, harmonic=1):
    """Bending energy of the n-th harmonic over its tension energy: EI (n pi / L)^2 / T. N m2, N, m; arrays broadcast."""
    return np.asarray(bending_stiffness) * (np.asarray(harmonic) * np.pi / np.asarray(length)) ** 2 / np.asarray(tension)


def three_part_loss(tension, bending_stiffness, length, harmonic, frequency, air, friction, bending):
    """Loss factor of a stiff string from three fitted constants.

    eta = [T (friction + air / omega) + EI bending (n pi / L)^2] / [T + EI (n pi / L)^2], omega = 2 pi f. air in 1/s, friction and bending
    without unit. Form: Woodhouse, Acta Acustica united with Acustica 90 (2004), for nylon strings. SI, arrays broadcast.
    """
    share = bending_share(bending_stiffness, tension, length, harmonic)
    omega = 2 * np.pi * np.asarray(frequency, dtype=float)
    return (friction + air / omega + share * bending) / (1 + share)


@dataclass(frozen=True)
class StringLoss:
    """What rubs and bends inside a steel string: loss factors at no bending (friction) and of the bent wire (bending), with bands.

    friction_band, bending_band: the value times and divided by the band is where the truth is thought to lie (90 %, judgement).
    """

    friction: float
    bending: float
    friction_band: float = 2.0
    bending_band: float = 1.6
    status: str = "from memory, unverified"
    note: str = ""

    def __post_init__(self):
        loss_factor("string friction loss", self.friction)
        loss_factor("string bending loss", self.bending)
        for name in ("friction_band", "bending_band"):
            checks.number(name.replace("_", " "), getattr(self, name), 1.0, 100.0)


# Ends of the string-age slider: new and well-played strings.
STEEL = {
    "plain": (StringLoss(1e-4, 4e-3, note="steel wire, 1 to 3e-4 remembered"), StringLoss(3e-4, 4e-3, note="worn, rusty, dirty")),
    "wound": (StringLoss(2.5e-4, 5e-3, 2.5, note="rubbing of the windings is the main extra (Savart Journal 2011, abstract); size from memory"),
              StringLoss(1e-3, 8e-3, 2.5, note="dirt between the windings")),
}


def steel_loss(kind="plain", age=0.0):
    """StringLoss of a steel string. kind: "plain" or "wound"; age: 0 new to 1 well played (values run geometrically between).

    All constants are from memory, unverified, and carry their bands. Raises ValueError.
    """
    new, old = STEEL[checks.choice("kind of string", kind, STEEL)]
    age = checks.fraction("string age", age)
    mix = lambda a, b: float(a ** (1 - age) * b**age)
    return StringLoss(mix(new.friction, old.friction), mix(new.bending, old.bending), new.friction_band, new.bending_band, new.status,
                      new.note if age < 0.5 else old.note)


def steel_string_loss(mass_per_length, diameter, tension, bending_stiffness, length, harmonic, frequency, friction, bending):
    """Loss factor of a steel string split in two: (air, string). air by Stokes; string = friction + bending share x bending loss.

    SI; everything broadcasts. Returns two arrays.
    """
    share = bending_share(bending_stiffness, tension, length, harmonic)
    return air_loss(mass_per_length, diameter, frequency), np.asarray(friction) + share * np.asarray(bending)
