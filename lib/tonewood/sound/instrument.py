"""The whole instrument as one free beam: headstock with tuners, neck, body. Nothing is clamped, so the body
moves too.

Station by station the neck's section gives stiffness and mass; headstock and body are plain rectangles, stiff
and heavy enough that their detail hardly matters to the modes of the neck. The break angle of the headstock
and the set angle of the neck are left out. Sizes are examples of common practice, no source; change them to
the instrument in hand.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from tonewood import checks
from tonewood.draws import Array, Draws
from tonewood.materials import material
from tonewood.neck.layup.neck import Neck
from tonewood.neck.load.bow import glue_shear
from tonewood.neck.section.damping import loss_factor, stripe_shares, twisting_loss
from tonewood.neck.section.stations import AtStations, at_stations
from tonewood.neck.section.torsion import rectangle_constant
from tonewood.sound.beam import Beam, Cause, Lump, locate
from tonewood.wood.board import Board
from tonewood.wood.facts import rule
from tonewood.wood.loss import losses


def _given(name: str) -> Any:
    """A field that holds the value of a rule unless another is given."""
    return field(default_factory=lambda: rule(name).value)


@dataclass(frozen=True, kw_only=True)
class Headstock:
    """The head beyond the nut, of the same boards as the blank: a rectangle, the tuners as one lump, perhaps
    something clamped on. Raises ValueError.

    length, width, thickness: m. tuner_mass: all tuners, kg, centred tuner_place behind the nut (m).
    clamp_mass: kg at clamp_place (m): what a player clamps on to shift a dead note. mass and stiffness: own
    values instead of the rectangle's (kg/m, N m2), floats or (D,).
    """

    length: float = 0.170
    width: float = 0.070
    thickness: float = 0.0145
    tuner_mass: float = 0.220
    tuner_place: float = 0.095
    clamp_mass: float = 0.0
    clamp_place: float = 0.150
    mass: Draws | None = None
    stiffness: Draws | None = None

    def __post_init__(self) -> None:
        for name in ("length", "width", "thickness"):
            checks.length(f"headstock {name}", getattr(self, name), high=1.0)
        for name in ("tuner", "clamp"):
            checks.number(f"{name} mass", getattr(self, f"{name}_mass"), 0.0, 5.0, "kg",
                          lambda v: f"Did you mean {v / 1000:g} kg?" if v > 5 else None)
            checks.length(f"{name} place behind the nut", getattr(self, f"{name}_place"), 0.0, self.length,
                          open_low=False)
        for name, unit in (("mass", "kg/m"), ("stiffness", "N·m²")):
            if getattr(self, name) is not None:
                checks.number(f"headstock {name}", getattr(self, name), 0.0, None, unit, open_low=True)


@dataclass(frozen=True, kw_only=True)
class Body:
    """The body as a stiff, heavy bar. Numbers may be (D,). Raises ValueError.

    length: beyond the neck joint, m; mass: of the bare body, kg; stiffness, side_stiffness: EI out of and
    along the plane of the body, N m2, the neck's part in it included; width: m, for twist; twist_stiffness:
    GJ, N m2; loss: loss factor; hardware: of Lump (place measured from the nut, m), such as bridge and
    pickups. Values left out: data/rules.csv.
    """

    length: float = 0.44
    mass: Draws = _given("body_mass")
    stiffness: Draws = _given("body_bending_stiffness")
    width: float = 0.33
    twist_stiffness: Draws = _given("body_twist_stiffness")
    loss: Draws = _given("body_loss")
    hardware: tuple[Lump, ...] = ()
    side_stiffness: Draws = _given("body_side_stiffness")

    def __post_init__(self) -> None:
        checks.length("body length", self.length, high=1.0)
        checks.length("body width", self.width, high=1.0)
        checks.mass("body mass", self.mass)
        for name in ("stiffness", "twist_stiffness", "side_stiffness"):
            checks.number(f"body {name.replace('_', ' ')}", getattr(self, name), 0.0, None, "N·m²",
                          open_low=True)
        loss_factor("loss factor of the body", self.loss)
        object.__setattr__(self, "hardware", tuple(self.hardware))


@dataclass(frozen=True)
class Instrument:
    """A neck with its headstock and body. Raises ValueError.

    joint: x (m) where the body takes over; None: neck.body_start or the last fret. added_loss: loss factor
    added to every mode for joints, hardware and the player's hands. Values left out: data/rules.csv.
    """

    neck: Neck
    headstock: Headstock = Headstock()
    body: Body = field(default_factory=Body)
    joint: float | None = None
    added_loss: float = _given("instrument_added_loss")

    def __post_init__(self) -> None:
        loss_factor("added loss factor", self.added_loss)
        bridge = self.neck.scale_length
        checks.length("neck joint", self.start, 0.05, bridge, open_low=False)
        if self.start + self.body.length < bridge:
            raise ValueError(f"body length: {self.body.length:g} m given; accepted: at least "
                             f"{bridge - self.start:.3f} m, so that the bridge at {bridge:g} m from the nut "
                             "stands on the body")

    @property
    def start(self) -> float:
        """x (m) where the body begins."""
        return float(self.joint if self.joint is not None else self.neck.body_start or self.neck.end)


def instrument_beam(instrument: Instrument, element: float = 0.015, twist: bool = True,
                    direction: str = "normal") -> Beam:
    """Beam description (SI) of an instrument.

    element: length of the elements (m), nodes fall on nut and joint; twist: with torsion; direction: "normal"
    to the fretboard or "in-plane", the sideways bending that a pickup hardly senses. Returns sound.beam.Beam.
    Raises ValueError.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> beam = instrument_beam(Instrument(example_neck()), 0.05)
    >>> round(float(beam.x[0]), 3), round(float(np.sum(beam.mass_per_length * beam.h)), 2)
    (-0.17, 2.64)
    """
    normal = checks.choice("direction", direction, ("normal", "in-plane")) == "normal"
    element = float(checks.length("element length", element, 0.002, 0.1, open_low=False))
    neck, head, body, start = instrument.neck, instrument.headstock, instrument.body, instrument.start
    ends = (-head.length, 0.0, start, start + body.length)
    counts = [max(int(round((b - a) / element)), 2) for a, b in zip(ends, ends[1:], strict=False)]
    x = np.concatenate([[ends[0]], *(np.linspace(a, b, n + 1)[1:]
                                     for a, b, n in zip(ends, ends[1:], counts, strict=False))])
    here = at_stations(neck, ((x[1:] + x[:-1]) / 2)[counts[0]:counts[0] + counts[1]])

    def along(head_value: Any, neck_value: Any, body_value: Any) -> Array:
        return _joined(counts, head_value, neck_value, body_value)

    def blank(value: Callable[[Board], Draws]) -> Array:
        """Mean of a value of the blank's boards, by their widths."""
        parts = [s.width / neck.layup.width * np.asarray(value(s.board)) for s in neck.layup.stripes]
        return np.asarray(sum(parts))

    s, a, b = here.section, head.width, head.thickness
    neck_EI, body_EI, stiff = ((s.EI, body.stiffness, head.stiffness) if normal
                               else (s.EI_side, body.side_stiffness, None))
    head_EI = blank(lambda w: w.E_x) * (a * b**3 if normal else a**3 * b) / 12 if stiff is None else stiff
    head_mass = blank(lambda w: w.rho) * a * b if head.mass is None else head.mass
    body_mass = np.asarray(body.mass) / body.length
    compliance, sheared = _shear(here, normal)
    names, share = stripe_shares(here, across="z" if normal else "y")
    eta = here.per_region(lambda board: board.eta, lambda bar: bar.loss)
    lumps = [Lump(-head.tuner_place, head.tuner_mass, polar=head.tuner_mass * a**2 / 4, name="tuners")]
    if head.clamp_mass:
        lumps.append(Lump(-head.clamp_place, head.clamp_mass, name="clamp"))
    extra = {}
    if twist and normal:
        few = np.linspace(here.x[0], here.x[-1], 8)
        e, t = locate(few, here.x)
        twisted = at_stations(neck, few)
        GJ, twist_loss = ((1 - t) * v[..., e] + t * v[..., e + 1]
                          for v in (twisted.torsion.GJ, twisting_loss(twisted)))
        shear_loss = blank(lambda w: w.G_xz * _shear_loss(w)) / blank(lambda w: w.G_xz)
        # Gyration radii squared of the neck, as if density went with modulus.
        neck_polar = s.mass_per_length * (s.EI / s.EA + s.EI_side / s.EA)
        extra = {"GJ": along(blank(lambda w: w.G_xy) * rectangle_constant(a, b),
                             GJ, body.twist_stiffness),
                 "polar": along(head_mass * (a**2 + b**2) / 12, neck_polar, body_mass * body.width**2 / 12),
                 "torsion_loss": along(shear_loss, twist_loss, body.loss)}
    only_head, only_body = along(1.0, 0.0, 0.0), along(0.0, 0.0, 1.0)
    causes = [*(Cause(name, along(0.0, share[..., r, :], 0.0), eta[..., r]) for r, name in enumerate(names)),
              *(Cause(name, 0.0, 0.0, along(0.0, part, 0.0), loss) for name, part, loss in sheared),
              Cause("headstock", only_head, blank(lambda w: w.eta), only_head, 0.0),
              Cause("body", only_body, body.loss, only_body, 0.0)]
    return Beam(x, along(head_EI, neck_EI, body_EI), along(head_mass, s.mass_per_length, body_mass),
                shear_compliance=along(0.0, compliance, 0.0), lumps=(*lumps, *body.hardware),
                rotary=along(0.0, s.mass_per_length * neck_EI / s.EA, 0.0), causes=tuple(causes), **extra)


def _joined(counts: list[int], *values: ArrayLike) -> Array:
    """Values along all elements, (n,) or (D, n): headstock and body each a number or (D,), neck a number,
    (n,), (D, 1) or (D, n)."""
    out = []
    for i, given in enumerate(values):
        value = np.asarray(given, dtype=float)
        if value.ndim == 0 or (i != 1 and value.ndim == 1):   # headstock and body are even along their length
            value = value[..., None]
        out.append(value)
    lead = np.broadcast_shapes(*(v.shape[:-1] for v in out))
    return np.concatenate([np.broadcast_to(v, (*lead, n)) for n, v in zip(counts, out, strict=True)], axis=-1)


def _shear_loss(board: Board) -> Draws:
    """Loss factor of a board in shear along the grain."""
    return losses(board.eta_L, board.species.group).LT


def _shear(here: AtStations, normal: bool) -> tuple[Array, list[tuple[str, Draws, Draws]]]:
    """Shear compliance per length of the neck and who loses there: (..., n), [(name, share (..., n), loss
    factor)].

    Wood: 1 / (kappa sum of G A). Fretboard's glue lines: the compliance of a thin layer under the shear flow
    ES/EI per unit force.
    """
    G = here.per_region(lambda board: board.G_xz if normal else board.G_xy, lambda bar: bar.shear_modulus)
    loss = here.per_region(_shear_loss, lambda bar: bar.loss)
    parts, s, GA = here.regions, here.section, G @ here.regions.area
    solid = 1 / (rule("shear_factor_rectangle").value * GA)
    eta = np.mean((G * loss) @ parts.area / GA, axis=-1)
    if not normal:
        return solid, [("shear in the wood", 1.0, eta)]
    above = here.fretboard_regions
    arm = parts.Sz[above] - s.z_bar[..., None, :] * parts.area[above]
    flow = glue_shear(1.0, np.sum(here.moduli_here[..., above, :] * arm, axis=-2), s.EI)
    glue = material("pva_glue")
    width = here.neck.outline.width(here.x)
    lines = len(here.neck.fretboard.layers)             # each counts like the lowest, which gives most
    soft = lines * flow**2 * rule("glue_line_thickness").value / (glue["shear_modulus"].value * width)
    total = solid + soft
    return total, [("shear in the wood", solid / total, eta),
                   ("fretboard glue line", soft / total, glue["loss_factor"].value)]
