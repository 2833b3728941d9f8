"""How much may hang on a board that is bent to measure it: a share of what the weak ones bear.

Strengths scatter more than stiffness, and a bent board that breaks throws splinters. Model: straight grain
without knots, three-point bend, the middle's fibre stress. Left out, and each of them may halve the strength:
knots, grain that runs out, cracks and rot. Cautions belong beside every job that hangs a weight.
"""

from __future__ import annotations

from dataclasses import dataclass

from tonewood import checks
from tonewood.bench.measure import shear_share
from tonewood.constants import GRAVITY
from tonewood.draws import Z90
from tonewood.wood import moisture as water
from tonewood.wood.facts import rule
from tonewood.wood.species import Species
from tonewood.wood.temperature import temperature_factor


@dataclass(frozen=True, kw_only=True)
class SafeLoad:
    """load: N, the most to hang in the middle; mass: the same in kg; sag: m, how far a middle board of the
    wood gives under it; stress: Pa in its outermost fibres; mean, weak: bending strength (Pa) of the middle
    board and of the weak twentieth; cov: their coefficient of variation; status: of the strength, and of the
    scatter."""

    load: float
    sag: float
    stress: float
    mean: float
    weak: float
    cov: float
    status: tuple[str, str]

    @property
    def mass(self) -> float:
        """The load as a hung mass, kg."""
        return self.load / GRAVITY


def bending_strength(wood: Species, moisture: float = 0.12, temperature: float = 20.0) -> float:
    """Mean bending strength (Pa) of straight, clear boards at `moisture` (fraction) and `temperature` (C).
    Drier than 12 % it counts as at 12 %: dry wood is stronger, and more brittle. Wetter wood of a species
    without a green strength on file loses as the mean of the others does (rule strength_green_ratio). Raises
    ValueError, also for a wood without a strength on file. Source: Wood Handbook, Eq. 5-3 and Table 5-15.

    >>> from tonewood.wood.species import species
    >>> [round(bending_strength(species("hard maple"), m) / 1e6) for m in (0.08, 0.12, 0.20)]
    [109, 109, 79]
    """
    at_12 = _fact(wood, "bending_strength")
    if at_12 is None:
        raise ValueError(f"bending strength: {wood.name} given, which has none on file; accepted: a wood "
                         "that has one")
    green = _fact(wood, "bending_strength_green")
    ratio = rule("strength_green_ratio").value if green is None else at_12 / green
    wet = max(float(checks.moisture("moisture content", moisture)), 0.12)
    factor = temperature_factor("bending_strength", wet, temperature)
    return float(water.modulus_at(1e6 * at_12, ratio, min(wet, 0.30), wood.mp) * factor)


def _fact(wood: Species, name: str) -> float | None:
    try:
        return wood.fact(name).value
    except ValueError:
        return None


def scatter_of_strength(wood: Species) -> tuple[float, str]:
    """(coefficient of variation of the bending strength between clear pieces (a fraction), its status): the
    wood's own where one was published, else the rule cov_bending_strength. Raises ValueError.

    >>> from tonewood.wood.species import species
    >>> scatter_of_strength(species("European ash")), scatter_of_strength(species("hard maple"))[0]
    ((0.143, 'published'), 0.147)
    """
    fact = wood.fact("bending_strength")
    if fact.cov is not None:
        return fact.cov, fact.status
    general = rule("cov_bending_strength")
    return general.value, general.status


def safe_load(wood: Species, span: float, width: float, thickness: float, moisture: float = 0.12,
              temperature: float = 20.0, lasting: bool = False) -> SafeLoad:
    """The most that may hang in the middle of a straight, clear board on two supports: SafeLoad. span, width,
    thickness (in the direction of the bend) in m; moisture a fraction, temperature in C; lasting: it hangs
    for days or more. Raises ValueError.

    load = share x weak x 2 b t^2 / (3 s), weak: strength less 1.645 standard deviations, share: the rule
    safe_stress_share; lasting: the share ten_years_strength of that again. Source: beam theory; scatter as
    scatter_of_strength says, taken as normal.

    >>> from tonewood.wood.species import species
    >>> found = safe_load(species("hard maple"), 0.40, 0.045, 0.020)
    >>> round(found.load), round(found.mass), round(1e3 * found.sag, 1)
    (826, 84, 2.8)
    """
    s, b, t = (float(checks.length(name, value, high=3.0))
               for name, value in (("span", span), ("width", width), ("thickness", thickness)))
    checks.number("span over thickness", s / t, 6.0, slip="Bend a longer span: shear would hide the bending")
    mean, (cov, scatter) = bending_strength(wood, moisture, temperature), scatter_of_strength(wood)
    weak = mean * (1 - Z90 * cov)
    stress = rule("safe_stress_share").value * weak * (rule("ten_years_strength").value if lasting else 1.0)
    load = stress * 2 * b * t**2 / (3 * s)
    E = float(water.modulus_at(wood.modulus, wood.green_ratio, moisture, wood.mp))
    sag = load * s**3 / (4 * E * b * t**3) * (1 + shear_share(s / t))
    return SafeLoad(load=load, sag=float(sag), stress=stress, mean=mean, weak=weak, cov=cov,
                    status=(wood.fact("bending_strength").status, scatter))
