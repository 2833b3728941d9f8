"""What surrounds the stripes: outline, back, fretboard, rod channel, bars. Sizes in metres, no mechanics.

Definition of the coordinates: x from the nut towards the body, y from bass to treble with 0 on the centre
line, z up with 0 on the glue line between neck and fretboard (wood of the neck below, fretboard above).
"""

from __future__ import annotations

from dataclasses import KW_ONLY, dataclass, field
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from tonewood import checks
from tonewood.draws import Array, Draws
from tonewood.materials import material
from tonewood.wood.board import Board

BACK_EXPONENTS = {"C": 2.0, "D": 2.8, "V": 1.0}


@dataclass(frozen=True)
class Outline:
    """Face view: width at the nut and at `length` from the nut (m), straight between and beyond. Raises
    ValueError for a neck under 20 mm wide, or narrower at the end than at the nut."""

    nut_width: float = 0.043
    end_width: float = 0.056
    length: float = 0.470

    def __post_init__(self) -> None:
        for name in ("nut_width", "end_width"):
            checks.length(name.replace("_", " "), getattr(self, name), 0.020, 0.2, open_low=False)
        checks.length("outline length", self.length, 0.1, 2.0, open_low=False)
        if self.end_width < self.nut_width:
            raise ValueError(f"end width: {1e3 * self.end_width:g} mm given beside a nut of "
                             f"{1e3 * self.nut_width:g} mm; accepted: at least as wide as the nut. "
                             "Are the two swapped?")

    def width(self, x: ArrayLike) -> Array:
        """Width (m) at x (m), same shape as x."""
        return self.nut_width + (self.end_width - self.nut_width) * np.asarray(x, dtype=float) / self.length


@dataclass(frozen=True)
class Back:
    """Shape of the back: 'C' (ellipse), 'D' (fuller superellipse), 'V' (triangle), and the depth of wood
    under the fretboard (m).

    Depth runs straight from the nut to `length`. exponent: of the superellipse |y/a|^p + |z/b|^p = 1, chosen
    from the shape unless given. Raises ValueError.
    """

    shape: str = "C"
    depth_nut: float = 0.0145
    depth_end: float = 0.0170
    length: float = 0.470
    exponent: float = None  # type: ignore[assignment]  # filled in from the shape

    def __post_init__(self) -> None:
        checks.choice("back shape", self.shape, BACK_EXPONENTS)
        for name in ("depth_nut", "depth_end"):
            checks.length(name.replace("_", " of wood at the "), getattr(self, name), 0.003, 0.1,
                          open_low=False)
        checks.length("length of the back", self.length, 0.1, 2.0, open_low=False)
        if self.exponent is None:
            object.__setattr__(self, "exponent", BACK_EXPONENTS[self.shape])
        checks.number("back exponent", self.exponent, 1.0, 20.0)

    def depth(self, x: ArrayLike) -> Array:
        """Depth of wood (m) on the centre line at x (m)."""
        return self.depth_nut + (self.depth_end - self.depth_nut) * np.asarray(x, dtype=float) / self.length

    def surface(self, y: ArrayLike, half_width: Draws, depth: Draws) -> Array:
        """z of the back (m, negative) at y for a section of that half width and depth (m); arrays
        broadcast."""
        inside = np.clip(1 - np.abs(np.asarray(y) / half_width) ** self.exponent, 0.0, None)
        return -depth * inside ** (1 / self.exponent)


@dataclass(frozen=True)
class FretboardLayer:
    """A layer of the fretboard under its top, a veneer or a board: wood and thickness (m). Raises
    ValueError."""

    board: Board
    thickness: float

    def __post_init__(self) -> None:
        checks.length("thickness of a fretboard layer", self.thickness, high=0.05)


@dataclass(frozen=True)
class Fretboard:
    """The board on top: wood of its top, mean thickness of the whole (m), and its fret slots.

    board: None for no fretboard, where the frets sit in the wood of the neck; the thickness is then 0.
    slot_depth (m): 0 for none. slot_fill: 0 open slots … 1 tangs that bear fully; float or (D,). The true
    value is not known from measurement, so results show its range. under: FretboardLayers below the top, the
    one on the neck first; their thickness counts in the whole. Raises ValueError.
    """

    board: Board = None  # type: ignore[assignment]
    thickness: float = 0.006
    slot_depth: float = 0.0025
    slot_fill: Draws = 0.5
    under: tuple[FretboardLayer, ...] = ()

    def __post_init__(self) -> None:
        object.__setattr__(self, "under", tuple(self.under))
        if self.board is None:
            object.__setattr__(self, "thickness", 0.0)
        whole_fretboard(self)
        object.__setattr__(self, "slot_fill", checks.fraction("slot fill", self.slot_fill))

    @property
    def layers(self) -> tuple[FretboardLayer, ...]:
        """All its FretboardLayers from the neck upwards; none where there is no fretboard."""
        if self.board is None:
            return ()
        top = self.thickness - sum(layer.thickness for layer in self.under)
        return (*self.under, FretboardLayer(self.board, top))


def whole_fretboard(top: Any) -> None:
    """Raises ValueError (lengths in mm) for a fretboard, or the plan of one, whose layers leave nothing for
    its top, whose slots cut through it, or that has layers and no top.

    >>> whole_fretboard(Fretboard())
    """
    none = (top.wood if hasattr(top, "wood") else top.board) is None
    under = float(sum(layer.thickness for layer in top.under))
    if none and top.under:
        raise ValueError(f"fretboard: {len(top.under)} layers given under no top; accepted: layers under the "
                         "wood that the frets sit in, or none")
    if not none:
        checks.length("fretboard thickness", top.thickness, high=0.05)
    checks.length("fret slot depth", top.slot_depth, high=0.005 if none else top.thickness, open_low=False)
    if under and under >= top.thickness - 1e-6:
        raise ValueError(f"layers under the top of the fretboard: {1e3 * under:g} mm together given; "
                         f"accepted: less than {1e3 * top.thickness:g} mm, its whole thickness")


@dataclass(frozen=True)
class Channel:
    """The truss-rod channel on the centre line: width, depth of its floor below the glue line, from `start`
    to `end` (m), and the rod's mass (kg/m).

    below: depth (m) of its roof. 0: cut from the top and closed by the fretboard; above 0: cut from the back
    and closed by a strip glued in under the rod, which counts as wood of the stripe it lies in. A rod in a
    loose sleeve adds weight but no bending stiffness.
    """

    width: float = 0.006
    depth: float = 0.010
    start: float = 0.0
    end: float = 0.470
    rod_mass: float = 0.0
    below: float = 0.0

    def __post_init__(self) -> None:
        for name in ("width", "depth"):
            checks.length(f"rod channel {name}", getattr(self, name), high=0.1)
        checks.length("roof of the rod channel below the glue line", self.below, high=self.depth - 0.001,
                      open_low=False)
        checks.length("rod channel start", self.start, -0.3, 3.0, open_low=False)
        checks.length("rod channel end", self.end, self.start, 3.0, open_low=False)
        checks.number("rod mass", self.rod_mass, 0.0, 5.0, "kg/m")


def _carbon(name: str) -> Any:
    """A field that is that of a pultruded carbon bar (data/materials.csv) unless given."""
    return field(default_factory=lambda: material("carbon_bar")[name].value)


@dataclass(frozen=True)
class Bar:
    """A stiffening bar bonded into a slot from the top: centre at y = offset, width, depth, top at z = -below
    (m); modulus and shear modulus Pa, density kg/m3, loss factor: of a pultruded carbon bar unless given.
    Raises ValueError."""

    offset: float
    _: KW_ONLY
    width: float = 0.003
    depth: float = 0.009
    below: float = 0.0
    modulus: float = _carbon("modulus")
    density: float = _carbon("density")
    loss: float = _carbon("loss_factor")
    shear_modulus: float = _carbon("shear_modulus")

    def __post_init__(self) -> None:
        checks.length("bar offset", self.offset, -0.1, 0.1, open_low=False)
        for name in ("width", "depth"):
            checks.length(f"bar {name}", getattr(self, name), high=0.05)
        checks.length("bar top below the glue line", self.below, high=0.05, open_low=False)
        for name in ("modulus", "shear_modulus"):
            checks.stiffness(f"bar {name.replace('_', ' ')}", getattr(self, name))
        checks.number("bar density", self.density, 20.0, 25000.0, "kg/m³", lambda v:
                      f"In g/cm³? {v:g} g/cm³ is {1000 * v:g} kg/m³" if 0 < v < 20 else None)
        checks.number("bar loss factor", self.loss, 0.0, 1.0, open_high=True)
