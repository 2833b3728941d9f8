"""One board: a species or the builder's own measurements, how the grain runs, and how moist it is."""

from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

import numpy as np

from tonewood import checks
from tonewood.wood import loss as damping
from tonewood.wood import moisture as water
from tonewood.wood.elastic import modulus_along, off_axis, orientation, swelling_tensor
from tonewood.wood.species import Species


@lru_cache(maxsize=512)
def _turned(ring_angle, run_out, slope):
    """Orientation matrix of single angles; a slider step asks for the same few again and again."""
    Q = orientation(ring_angle, run_out, slope)
    Q.setflags(write=False)
    return Q


@lru_cache(maxsize=512)
def _lengthwise_share(species, ring_angle, run_out, slope):
    """E along the neck over E along the grain, single angles."""
    return float(modulus_along(species.elastic, _turned(ring_angle, run_out, slope)[0])) / species.modulus


@lru_cache(maxsize=512)
def _seen_from_neck(species, ring_angle, run_out, slope):
    return off_axis(species.elastic, _turned(ring_angle, run_out, slope))


@lru_cache(maxsize=512)
def _loss_share(species, ring_angle, run_out, slope):
    """Loss factor along the neck over that along the grain, single angles: every direction's loss is a fixed multiple of the grain's."""
    return damping.off_axis_loss(species.elastic, _turned(ring_angle, run_out, slope)[0], 0.01, species.group) / 0.01


@dataclass(frozen=True)
class Board:
    """A straight piece of one wood.

    species: Species. ring_angle, run_out, slope: radians (see wood.elastic). moisture: fraction of ovendry mass.
    Own values, each a float or (D,) draws, replace the table's: density (kg/m3) and modulus (E_L, Pa) as measured at `moisture`; loss
    (loss factor along the grain); swelling (C_L, C_R, C_T) per unit moisture fraction.
    density_error, modulus_error: relative standard uncertainty of own measurements (1 % and 3 % unless given; estimated).
    Raises ValueError for values out of range or with mismatched draws.
    """

    species: Species
    ring_angle: object = 0.0
    run_out: object = 0.0
    slope: object = 0.0
    moisture: object = 0.08
    density: object = None
    modulus: object = None
    loss: object = None
    swelling: tuple = None
    density_error: float = 0.01
    modulus_error: float = 0.03

    def __post_init__(self):
        if not isinstance(self.species, Species):
            raise ValueError(f"board: species {self.species!r} given; accepted: a Species, as returned by species(name)")
        checks.angle("ring angle", self.ring_angle, np.pi)
        checks.angle("run-out", self.run_out, np.pi / 4)
        checks.angle("slope of grain", self.slope, np.pi / 4)
        checks.moisture("moisture content", self.moisture, self.species.fibre_saturation)
        if self.density is not None:
            checks.number("density", self.density, 50.0, 1500.0, "kg/m3", lambda v: f"Did you mean {1000 * v:g} kg/m3?" if v < 2 else None)
        if self.modulus is not None:
            checks.number("modulus along the grain", self.modulus, 1e9, 60e9, "Pa", lambda v: f"Did you mean {v:g} GPa, that is {v * 1e9:g} Pa?" if v < 100 else None)
        if self.loss is not None:
            checks.number("loss factor", self.loss, 0.0, 1.0, "", open_low=True, open_high=True)
        if self.swelling is not None:
            for name, value in zip(("C_L", "C_R", "C_T"), self.swelling, strict=True):
                checks.number(f"swelling {name}", value, -0.2, 1.0, "per unit moisture fraction")
        self.draws

    @cached_property
    def draws(self):
        """Number of draws this board carries, or None."""
        swelling = self.swelling or (None, None, None)
        return checks.draw_count(ring_angle=self.ring_angle, run_out=self.run_out, slope=self.slope, moisture=self.moisture, density=self.density,
                                 modulus=self.modulus, loss=self.loss, C_L=swelling[0], C_R=swelling[1], C_T=swelling[2])

    @cached_property
    def rho(self):
        """Density at the board's moisture content, kg/m3."""
        return self.density if self.density is not None else water.density_at(self.species.density, self.moisture, *self.species.swelling)

    @cached_property
    def E_L(self):
        """Modulus along the grain at the board's moisture content, Pa."""
        if self.modulus is not None:
            return self.modulus
        wood = self.species
        return water.modulus_at(wood.modulus, wood.green_ratio, self.moisture, wood.mp)

    @cached_property
    def elastic(self):
        """All nine constants at the board's moisture content. The wood's ratios are kept: moisture and own modulus scale every modulus alike."""
        return self.species.elastic.scaled(self.E_L / self.species.modulus)

    @cached_property
    def Q(self):
        """Orientation matrix (..., 3, 3), columns L, R, T in neck axes."""
        return orientation(*self._angles) if self._single is None else _turned(*self._single)

    @property
    def _angles(self):
        return self.ring_angle, self.run_out, self.slope

    @cached_property
    def _single(self):
        """The three angles as floats, or None if any of them is drawn."""
        return None if any(np.ndim(a) for a in self._angles) else tuple(float(a) for a in self._angles)

    @cached_property
    def E_x(self):
        """Modulus along the neck, Pa: full tensor, free to warp."""
        # The factor of the unscaled wood does not depend on the draws of E_L, so the rotation is done once.
        if self._single is not None:
            return _lengthwise_share(self.species, *self._single) * self.E_L
        return modulus_along(self.species.elastic, self.Q[..., 0, :]) * (self.E_L / self.species.modulus)

    @cached_property
    def _off_axis(self):
        return off_axis(self.species.elastic, self.Q) if self._single is None else _seen_from_neck(self.species, *self._single)

    @property
    def G_xz(self):
        """Shear modulus in the side-view plane, Pa."""
        return self._off_axis.G_xz * (self.E_L / self.species.modulus)

    @property
    def G_xy(self):
        """Shear modulus in the face-view plane, Pa."""
        return self._off_axis.G_xy * (self.E_L / self.species.modulus)

    @cached_property
    def swelling_xyz(self):
        """Swelling tensor in neck axes per unit moisture fraction, (..., 3, 3)."""
        return swelling_tensor(*(self.swelling or self.species.swelling), self.Q)

    def swelling_along(self, axis):
        """Swelling per unit moisture fraction along neck axis 0 (x), 1 (y) or 2 (z): the diagonal of `swelling_xyz`, without the rest of it."""
        q = self.Q[..., axis, :] ** 2
        return sum(C * q[..., k] for k, C in enumerate(self.swelling or self.species.swelling))

    @cached_property
    def eta_L(self):
        """Loss factor along the grain, with the estimated change with moisture."""
        return self.loss if self.loss is not None else damping.loss_at(self.species.loss.value, self.moisture)

    @cached_property
    def loss_band(self):
        """90 % band of the loss factor as a factor: the value times and divided by it."""
        return 1.1 if self.loss is not None else self.species.loss.band

    @cached_property
    def eta(self):
        """Loss factor along the neck: each term of the rotated compliance carries its own loss."""
        if self._single is not None:
            return _loss_share(self.species, *self._single) * self.eta_L
        return damping.off_axis_loss(self.species.elastic, self.Q[..., 0, :], self.eta_L, self.species.group)

    def at(self, moisture):
        """The same board at another moisture content (fraction); own measurements are carried over by the same laws."""
        wood = self.species
        changed = {"moisture": moisture}
        if self.modulus is not None:
            ratio = water.modulus_at(1.0, wood.green_ratio, moisture, wood.mp) / water.modulus_at(1.0, wood.green_ratio, self.moisture, wood.mp)
            changed["modulus"] = self.modulus * ratio
        if self.density is not None:
            changed["density"] = self.density * (water.density_at(1.0, moisture, *wood.swelling) / water.density_at(1.0, self.moisture, *wood.swelling))
        return replace(self, **changed)
