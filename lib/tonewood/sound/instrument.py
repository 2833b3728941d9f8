"""The whole instrument as one free beam: headstock with tuners, neck, body. Nothing is clamped, so the body moves too.

Station by station the neck's section gives stiffness and mass; headstock and body are plain rectangles, stiff and heavy enough that their
detail hardly matters to the modes of the neck. The break angle of the headstock and the set angle of the neck are left out. Sizes are
examples of common practice, no source; change them to the instrument in hand.
"""

from dataclasses import dataclass

import numpy as np

from tonewood import checks
from tonewood.neck.section.damping import loss_factor, stripe_shares
from tonewood.neck.layup.neck import Neck
from tonewood.materials import material
from tonewood.neck.section.section import by_region, moduli, regions, section, slots, torsion
from tonewood.neck.section.torsion import rectangle_constant
from tonewood.sound.beam import Beam, Cause, Lump
from tonewood.wood.loss import losses

SHEAR_FACTOR = 5 / 6          # Timoshenko's shear coefficient of a rectangle (any mechanics text)
GLUE_THICKNESS = 0.1e-3       # m, estimated: a clamped joint


def _metres(value):
    return f"Lengths are in metres here; did you mean {value / 1000:g} m?" if value >= 1 else None


@dataclass(frozen=True)
class Headstock:
    """The head beyond the nut, of the same boards as the blank: a rectangle, the tuners as one lump, perhaps something clamped on.

    length, width, thickness: m. tuner_mass: all tuners, kg, centred tuner_place behind the nut (m). clamp_mass: kg at clamp_place (m): what a
    player clamps on to shift a dead note. mass and stiffness: own values instead of the rectangle's (kg/m, N m2).
    """

    length: float = 0.170
    width: float = 0.070
    thickness: float = 0.0145
    tuner_mass: float = 0.220
    tuner_place: float = 0.095
    clamp_mass: float = 0.0
    clamp_place: float = 0.150
    mass: object = None
    stiffness: object = None

    def __post_init__(self):
        for name in ("length", "width", "thickness"):
            checks.number(f"headstock {name}", getattr(self, name), 0.0, 1.0, "m", _metres, open_low=True)
        for name in ("tuner", "clamp"):
            checks.number(f"{name} mass", getattr(self, f"{name}_mass"), 0.0, 5.0, "kg", lambda v: f"Did you mean {v / 1000:g} kg?" if v > 5 else None)
            checks.number(f"{name} place behind the nut", getattr(self, f"{name}_place"), 0.0, self.length, "m", _metres)
        for name, unit in (("mass", "kg/m"), ("stiffness", "N m2")):
            if getattr(self, name) is not None:
                checks.number(f"headstock {name}", getattr(self, name), 0.0, None, unit, open_low=True)


@dataclass(frozen=True)
class Body:
    """The body as a stiff, heavy bar. Numbers may be (D,).

    length: beyond the neck joint, m; mass: of the bare body, kg; stiffness: EI, N m2, the neck's part in it included; width: m, for twist;
    twist_stiffness: GJ, N m2; loss: loss factor; hardware: of Lump (place measured from the nut, m), such as bridge and pickups.
    """

    length: float = 0.44
    mass: object = 2.2
    stiffness: object = 6000.0
    width: float = 0.33
    twist_stiffness: object = 4000.0
    loss: object = 0.008
    hardware: tuple = ()
    side_stiffness: object = 3e5

    def __post_init__(self):
        checks.number("body length", self.length, 0.0, 1.0, "m", _metres, open_low=True)
        checks.number("body width", self.width, 0.0, 1.0, "m", _metres, open_low=True)
        for name, unit in (("mass", "kg"), ("stiffness", "N m2"), ("twist_stiffness", "N m2"), ("side_stiffness", "N m2")):
            checks.number(f"body {name.replace('_', ' ')}", getattr(self, name), 0.0, None, unit, open_low=True)
        loss_factor("loss factor of the body", self.loss)
        object.__setattr__(self, "hardware", tuple(self.hardware))


def solid_body(board, length=0.44, width=0.33, thickness=0.044, mass_left=0.85, stiffness_left=0.4, hardware=()):
    """A Body cut from a board (wood.board.Board): a rectangle of mean width (m), with parts taken away.

    mass_left, stiffness_left: what routing, waist and belly carve leave of the full rectangle (estimated; stiffness loses more, cavities lie
    across its whole width). Returns Body. Raises ValueError.
    """
    mass_left, stiffness_left = checks.fraction("mass left", mass_left), checks.fraction("stiffness left", stiffness_left)
    EI = board.E_x * width * thickness**3 / 12
    return Body(length, board.rho * length * width * thickness * mass_left, EI * stiffness_left, width,
                board.G_xy * rectangle_constant(width, thickness) * stiffness_left, board.eta, hardware, board.E_x * thickness * width**3 / 12 * stiffness_left)


@dataclass(frozen=True)
class Instrument:
    """A neck with its headstock and body.

    joint: x (m) where the body takes over; None: neck.body_start or the last fret. added_loss: loss factor added to every mode for joints,
    hardware and the player's hands: instruments show 0.01 to 0.03 altogether (from memory, unverified), wood alone gives less.
    """

    neck: Neck
    headstock: Headstock = Headstock()
    body: Body = Body()
    joint: float = None
    added_loss: float = 0.005

    def __post_init__(self):
        loss_factor("added loss factor", self.added_loss)
        checks.number("neck joint", self.start, 0.05, self.neck.scale_length, "m", _metres)
        if self.start + self.body.length < self.neck.scale_length:
            raise ValueError(f"body length: {self.body.length:g} m given; accepted: at least {self.neck.scale_length - self.start:.3f} m, so that the bridge "
                             f"at {self.neck.scale_length:g} m from the nut stands on the body")

    @property
    def start(self):
        """x (m) where the body begins."""
        return float(self.joint if self.joint is not None else self.neck.body_start or self.neck.end)

    @property
    def draws(self):
        """Number of draws, or None."""
        body, head = self.body, self.headstock
        return checks.draw_count(neck=None if self.neck.draws is None else np.empty(self.neck.draws), body_mass=body.mass, body_stiffness=body.stiffness,
                                 body_loss=body.loss, headstock_mass=head.mass, headstock_stiffness=head.stiffness)


def instrument_beam(instrument, element=0.015, twist=True, direction="normal"):
    """Beam description of an instrument.

    element: length of the elements (m), nodes fall on nut and joint; twist: with torsion; direction: "normal" to the fretboard or "in-plane", the
    sideways bending that a pickup hardly senses. Returns sound.beam.Beam. Raises ValueError.
    """
    checks.choice("direction", direction, ("normal", "in-plane"))
    element = checks.number("element length", element, 0.002, 0.1, "m", _metres)
    neck, head, body, start = instrument.neck, instrument.headstock, instrument.body, instrument.start
    normal = direction == "normal"
    ends = (-head.length, 0.0, start, start + body.length)
    x = np.concatenate([[ends[0]]] + [np.linspace(a, b, max(int(round((b - a) / element)), 2) + 1)[1:] for a, b in zip(ends, ends[1:])])
    middle = (x[1:] + x[:-1]) / 2
    counts = [int(np.sum((middle > a) & (middle < b))) for a, b in zip(ends, ends[1:])]
    here = middle[counts[0]:counts[0] + counts[1]]
    s = section(neck, here)
    along = lambda head_value, neck_value, body_value: _joined(counts, head_value, neck_value, body_value)

    wood = [(stripe.width / neck.layup.width, stripe.board) for stripe in neck.layup.stripes]
    mean = lambda value: sum(share * np.asarray(value(board)) for share, board in wood)
    a, b = head.width, head.thickness
    head_EI = mean(lambda w: w.E_x) * (a * b**3 if normal else a**3 * b) / 12 if head.stiffness is None or not normal else head.stiffness
    head_mass = mean(lambda w: w.rho) * a * b if head.mass is None else head.mass
    neck_EI, neck_other = (s.EI, s.EI_side) if normal else (s.EI_side, s.EI)
    body_mass = np.asarray(body.mass) / body.length
    compliance, shear_causes = _shear(neck, here, s, normal)
    names, share = stripe_shares(neck, here, "z" if normal else "y")
    parts = regions(neck, here)
    eta = by_region(neck, parts, lambda board: board.eta, lambda bar: bar.loss)
    causes = [Cause(name, along(0.0, share[..., r, :], 0.0), eta[..., r]) for r, name in enumerate(names)]
    causes += [Cause(name, 0.0, 0.0, along(0.0, part, 0.0), loss) for name, part, loss in shear_causes]
    causes += [Cause("headstock", along(1.0, 0.0, 0.0), mean(lambda w: w.eta), along(1.0, 0.0, 0.0), 0.0),
               Cause("body", along(0.0, 0.0, 1.0), body.loss, along(0.0, 0.0, 1.0), 0.0)]
    lumps = [Lump(-head.tuner_place, head.tuner_mass, polar=head.tuner_mass * a**2 / 4, name="tuners")]
    if head.clamp_mass:
        lumps.append(Lump(-head.clamp_place, head.clamp_mass, name="clamp"))
    radius = s.EI / s.EA                                                     # gyration radius squared, as if density went with modulus
    extra = {}
    if twist and normal:
        few = np.linspace(here[0], here[-1], 8)
        GJ = torsion(neck, few).GJ
        head_GJ = mean(lambda w: w.G_xy) * rectangle_constant(a, b)
        extra = {"GJ": along(head_GJ, _interpolate(here, few, GJ), body.twist_stiffness),
                 "polar": along(head_mass * (a**2 + b**2) / 12, s.mass_per_length * (radius + s.EI_side / s.EA), body_mass * body.width**2 / 12),
                 "torsion_loss": along(_shear_loss(wood), np.asarray(_shear_loss(wood))[..., None], body.loss)}
    return Beam(x, along(head_EI, neck_EI, body.stiffness if normal else body.side_stiffness), along(head_mass, s.mass_per_length, body_mass),
                along(0.0, compliance, 0.0), along(0.0, s.mass_per_length * neck_EI / s.EA, 0.0), lumps=tuple(lumps) + body.hardware,
                causes=tuple(causes), **extra)


def _joined(counts, *values):
    """Values along all elements, (n,) or (D, n): headstock and body each a number or (D,), neck a number, (n,), (D, 1) or (D, n)."""
    out = []
    for i, (count, value) in enumerate(zip(counts, values)):
        value = np.asarray(value, dtype=float)
        if value.ndim == 0 or (i != 1 and value.ndim == 1):                  # headstock and body are even along their length
            value = value[..., None]
        out.append(value)
    lead = np.broadcast_shapes(*(v.shape[:-1] for v in out))
    return np.concatenate([np.broadcast_to(v, lead + (count,)) for count, v in zip(counts, out)], axis=-1)


def _interpolate(x, places, values):
    """Linear interpolation along the last axis of values (..., P)."""
    i = np.clip(np.searchsorted(places, x, side="right") - 1, 0, len(places) - 2)
    t = (x - places[i]) / (places[i + 1] - places[i])
    return (1 - t) * values[..., i] + t * values[..., i + 1]


def _shear_loss(wood):
    """Loss factor in shear of the blank, weighted by width and shear modulus."""
    total = sum(share * np.asarray(w.G_xz) for share, w in wood)
    return sum(share * np.asarray(w.G_xz) * losses(w.eta_L, w.species.group).LT for share, w in wood) / total


def _shear(neck, x, s, normal):
    """Shear compliance per length of the neck and who loses there: (..., n), [(name, share (..., n), loss factor)].

    Wood: 1 / (5/6 sum of G A). Fretboard's glue line: the compliance of a layer t_g thick under the shear flow ES/EI per unit force.
    """
    parts = regions(neck, x)
    G = by_region(neck, parts, lambda board: board.G_xz if normal else board.G_xy, lambda bar: bar.shear_modulus)
    loss = by_region(neck, parts, lambda board: losses(board.eta_L, board.species.group).LT, lambda bar: bar.loss)
    GA = G @ parts.area
    solid = 1 / (SHEAR_FACTOR * GA)
    eta = np.mean((G * loss) @ parts.area / GA, axis=-1)
    if not normal:
        return solid, [("shear in the wood", 1.0, eta)]
    E = moduli(neck, parts)
    above = [r for r, piece in enumerate(parts.piece) if piece == len(neck.pieces) - 1]
    factor = slots(neck, parts)
    first = sum(E[..., r, None] * (factor if r == parts.slotted else 1.0) * (parts.Sz[r] - s.z_bar * parts.area[r]) for r in above)
    glue = material("pva_glue")
    soft = (first / s.EI) ** 2 * GLUE_THICKNESS / (glue["shear_modulus"].value * neck.outline.width(x))
    total = solid + soft
    return total, [("shear in the wood", solid / total, eta), ("fretboard glue line", soft / total, glue["loss_factor"].value)]
