"""One board: a species or the builder's own measurements, how the grain runs, and how moist it is.

Sources of the laws: wood.elastic, wood.moisture and wood.loss.
"""

from __future__ import annotations

from dataclasses import KW_ONLY, dataclass, fields
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np

from tonewood import checks
from tonewood.remember import remember
from tonewood.wood import loss as damping
from tonewood.wood import moisture as water
from tonewood.wood.elastic import modulus_along, orientation, rotate_compliance, swelling_tensor
from tonewood.wood.facts import rule
from tonewood.wood.species import Species

if TYPE_CHECKING:
    from collections.abc import Sequence

    from tonewood.draws import Array, Draws
    from tonewood.wood.elastic import Elastic


class Seen:
    """One wood's constants at 12 % moisture seen from the neck through three angles. It holds nothing that
    draws of stiffness along the grain, density or moisture change, so that a thousand boards of one cut are
    turned once."""

    def __init__(self, elastic: Elastic, group: str, ring_angle: Draws, run_out: Draws, slope: Draws) -> None:
        self.elastic, self.group, self.Q = elastic, group, orientation(ring_angle, run_out, slope)
        self.Q.setflags(write=False)

    @cached_property
    def lengthwise(self) -> Draws:
        """E along the neck over E along the grain."""
        return modulus_along(self.elastic, self.Q[..., 0, :]) / self.elastic.E_L

    @cached_property
    def crosswise(self) -> tuple[Draws, Draws]:
        """Young's moduli across the neck and up through it, Pa."""
        across, up = (modulus_along(self.elastic, self.Q[..., axis, :]) for axis in (1, 2))
        return across, up

    @cached_property
    def compliance(self) -> Array:
        """Compliance in neck axes (..., 6, 6), 1/Pa."""
        found = rotate_compliance(self.elastic.compliance, self.Q)
        found.setflags(write=False)
        return found

    @cached_property
    def shear(self) -> tuple[Array, Draws]:
        """Shear stiffness along the neck with no other stress, C_xy, C_xz and cross term, (..., 3), and G_yz,
        Pa."""
        S = self.compliance
        xz, xy, cross = S[..., 4, 4], S[..., 5, 5], S[..., 4, 5]
        return np.stack([xz, xy, -cross], -1) / (xz * xy - cross**2)[..., None], 1 / S[..., 3, 3]

    @cached_property
    def loss_share(self) -> Draws:
        """Loss factor along the neck over that along the grain: each direction's loss is a fixed multiple of
        the grain's."""
        return damping.off_axis_loss(self.elastic, self.Q[..., 0, :], 0.01, self.group) / 0.01


# A slider step asks for the same few cuts and woods again and again.
_kept = remember(512)(Seen)
_modulus_at = remember(512)(water.modulus_at)
_density_at = remember(512)(water.density_at)
_loss_at = remember(512)(damping.loss_at)


@dataclass(frozen=True)
class Board:
    """A straight piece of one wood.

    species: Species. ring_angle, run_out, slope: radians (see wood.elastic). moisture: fraction of ovendry
    mass. Own values, each a float or (D,) draws, replace the table's: density (kg/m3) and modulus (E_L, Pa)
    as measured at `moisture`; loss (loss factor along the grain); swelling (C_L, C_R, C_T) per unit moisture
    fraction; constants (Elastic at 12 % with the wood's E_L: only its ratios count). density_error,
    modulus_error: relative standard uncertainty of own measurements (the rules of those names unless given).
    Raises ValueError for values out of range or with mismatched draws.
    """

    species: Species
    ring_angle: Draws = 0.0
    run_out: Draws = 0.0
    slope: Draws = 0.0
    _: KW_ONLY
    moisture: Draws = 0.08
    density: Draws | None = None
    modulus: Draws | None = None
    loss: Draws | None = None
    swelling: tuple[Draws, Draws, Draws] | None = None
    constants: Elastic | None = None
    density_error: float = None  # type: ignore[assignment]
    modulus_error: float = None  # type: ignore[assignment]

    def __post_init__(self) -> None:
        if not isinstance(self.species, Species):
            raise ValueError(f"board: species {self.species!r} given; "
                             "accepted: a Species, as returned by species(name)")
        checks.angle("ring angle", self.ring_angle, np.pi)
        checks.angle("run-out", self.run_out, np.pi / 4)
        checks.angle("slope of grain", self.slope, np.pi / 4)
        checks.moisture("moisture content", self.moisture, self.species.fibre_saturation)
        if self.density is not None:
            checks.density("density", self.density)
        if self.modulus is not None:
            checks.modulus("modulus along the grain", self.modulus)
        if self.loss is not None:
            checks.number("loss factor", self.loss, 0.0, 1.0, open_low=True, open_high=True)
        if self.swelling is not None:
            object.__setattr__(self, "swelling", tuple(self.swelling))
            if len(self.swelling) != 3:
                raise ValueError(f"swelling: {len(self.swelling)} numbers given; accepted: three, along L, R "
                                 "and T")
            for name, value in zip(("C_L", "C_R", "C_T"), self.swelling, strict=True):
                checks.swelling(f"swelling {name}", value)
        if (self.constants is not None
                and np.max(np.abs(self.constants.E_L / self.species.modulus - 1)) > 1e-5):
            raise ValueError(f"constants: E_L {np.mean(self.constants.E_L):.4g} Pa given; accepted: that of "
                             f"{self.species.name}, {self.species.modulus:.4g} Pa. A board's own stiffness "
                             "is its modulus")
        for name in ("density_error", "modulus_error"):
            if getattr(self, name) is None:
                object.__setattr__(self, name, rule(name).value)
            checks.fraction(name.replace("_", " "), getattr(self, name), high=0.5)
        _ = self.draws                                                  # refuses draws that disagree

    @cached_property
    def draws(self) -> int | None:
        """Number of draws this board carries, or None."""
        C_L, C_R, C_T = self.swelling or (None, None, None)
        return checks.draw_count(ring_angle=self.ring_angle, run_out=self.run_out, slope=self.slope,
                                 moisture=self.moisture, density=self.density, modulus=self.modulus,
                                 loss=self.loss, C_L=C_L, C_R=C_R, C_T=C_T, constants=self.ratios.G_LR)

    @cached_property
    def rho(self) -> Draws:
        """Density at the board's moisture content, kg/m3."""
        if self.density is not None:
            return self.density
        return _density_at(self.species.density, self.moisture, *self.species.swelling)

    @cached_property
    def E_L(self) -> Draws:
        """Modulus along the grain at the board's moisture content, Pa."""
        wood = self.species
        return (_modulus_at(wood.modulus, wood.green_ratio, self.moisture, wood.mp)
                if self.modulus is None else self.modulus)

    @property
    def ratios(self) -> Elastic:
        """The nine constants at 12 % moisture and the wood's E_L: its own, or the wood's."""
        return self.species.elastic if self.constants is None else self.constants

    @property
    def scale(self) -> Draws:
        """By how much this board is stiffer than `ratios`."""
        return self.E_L / self.species.modulus

    @cached_property
    def elastic(self) -> Elastic:
        """All nine constants at the board's moisture content. The wood's ratios are kept: moisture and own
        modulus scale every modulus alike."""
        return self.ratios.scaled(self.scale)

    @cached_property
    def seen(self) -> Seen:
        """Its wood seen from the neck; the same one for all boards of one cut, unless the angles are drawn.
        """
        wood, angles = (self.ratios, self.species.group), (self.ring_angle, self.run_out, self.slope)
        if any(map(np.ndim, angles)):
            return Seen(*wood, *angles)
        return _kept(*wood, *map(float, angles))

    @property
    def Q(self) -> Array:
        """Orientation matrix (..., 3, 3), columns L, R, T in neck axes."""
        return self.seen.Q

    @cached_property
    def E_x(self) -> Draws:
        """Modulus along the neck, Pa: full tensor, free to warp."""
        return self.seen.lengthwise * self.E_L

    @property
    def G_xz(self) -> Draws:
        """Shear modulus in the side-view plane, Pa."""
        return self.scale / self.seen.compliance[..., 4, 4]

    @property
    def G_xy(self) -> Draws:
        """Shear modulus in the face-view plane, Pa."""
        return self.scale / self.seen.compliance[..., 5, 5]

    @cached_property
    def swelling_xyz(self) -> Array:
        """Swelling tensor in neck axes per unit moisture fraction, (..., 3, 3)."""
        return swelling_tensor(*(self.swelling or self.species.swelling), self.Q)

    def swelling_along(self, axis: int) -> Draws:
        """Swelling per unit moisture fraction along neck axis 0 (x), 1 (y) or 2 (z): the diagonal of
        `swelling_xyz`.
        >>> from tonewood.wood.species import species
        >>> round(float(Board(species("hard maple")).swelling_along(2)), 4)
        0.165
        """
        q = self.Q[..., axis, :] ** 2
        return sum(C * q[..., k] for k, C in enumerate(self.swelling or self.species.swelling))

    @cached_property
    def eta_L(self) -> Draws:
        """Loss factor along the grain, with the estimated change with moisture."""
        return self.loss if self.loss is not None else _loss_at(self.species.loss.value, self.moisture)

    @property
    def loss_band(self) -> float:
        """90 % band of the loss factor as a factor: the value times and divided by it."""
        return rule("loss_own_band").value if self.loss is not None else self.species.loss.band

    @cached_property
    def eta(self) -> Draws:
        """Loss factor along the neck: each term of the rotated compliance carries its own loss."""
        return self.seen.loss_share * self.eta_L

    def at(self, moisture: Draws) -> Board:
        """The same board at another moisture content (fraction); own measurements and draws are carried over
        by the same laws, and stop at what a board accepts (checks.MODULUS_LIMITS, checks.DENSITY_LIMITS).
        Raises ValueError.

        >>> from tonewood.wood.species import species
        >>> round(Board(species("hard maple"), moisture=0.08, density=700.0).at(0.12).rho)
        711
        """
        there = checks.moisture("moisture content", moisture, self.species.fibre_saturation)
        wood, own = self.species, dict[str, Any](moisture=there)
        if self.modulus is not None:
            stiff, was = (_modulus_at(1.0, wood.green_ratio, m, wood.mp) for m in (there, self.moisture))
            own["modulus"] = np.clip(self.modulus * (stiff / was), *checks.MODULUS_LIMITS)
        if self.density is not None:
            dense, was = (_density_at(1.0, m, *wood.swelling) for m in (there, self.moisture))
            own["density"] = np.clip(self.density * (dense / was), *checks.DENSITY_LIMITS)
        # The rest was checked when this board was made, and moisture does not turn the grain.
        level = not (np.ndim(self.moisture) or np.ndim(there))
        made = self.trusted(("seen", "swelling_xyz", *("draws",) * level), **own)
        _ = made.draws
        return made

    def trusted(self, kept: Sequence[str] = (), **own: Any) -> Board:
        """The same board with own values by field name that are known to be in order, since a law that stops
        at what a board accepts made them: no check is run again. kept: results that they do not touch.

        >>> from tonewood.wood.species import species
        >>> Board(species("hard maple")).trusted(density=700.0).rho
        700.0
        """
        made = object.__new__(Board)
        vars(made).update({name: value for name, value in vars(self).items()
                           if name in _FIELDS or name in kept}, **own)
        return made


_FIELDS = {f.name for f in fields(Board)}
