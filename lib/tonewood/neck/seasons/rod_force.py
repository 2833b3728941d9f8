"""A tight single-acting rod through the seasons: steel keeps its length, the wood between its anchors does
not.

Two bars between the same two anchors: the wood along the rod's centre line would swell by its own strain
there (seasons.movement: mean lengthwise movement, and the bow at the rod's depth), the steel only by its
warmth. Force shares the difference, by the flexibility of both: wood that swells tightens the rod, wood that
shrinks slackens it, down to no force at all and no further. The force bows the neck as a turn of the nut
does. A double-acting rod holds itself together and is not stretched between anchors. Source: two bars between
one pair of ends, and the composite beam, as in any strength-of-materials text.

Left out: friction along a curved rod (Rod.turned; some 3 % of the force), slow giving of the squeezed wood
(takes part of every tightening away in time), string pull on the added bow (some 5 % more of it), change of
the neck's own stiffness in sharing the force (some 3 %).
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from tonewood.checks import number
from tonewood.draws import Array, Draws
from tonewood.materials import material
from tonewood.neck.load.bow import bending
from tonewood.neck.load.rod import Rod
from tonewood.neck.seasons.eigenstrain import Response
from tonewood.neck.seasons.movement import Movement
from tonewood.wood.facts import rule


def held_back(rod: Rod, x: Draws, EI: Draws) -> Draws:
    """Share (…) of any change of bow that a tight double-acting rod takes upon itself as a spring: gap^2 / EI
    over its whole flexibility. x (S,) m, EI (…, S) N m2. Raises ValueError.

    >>> round(float(held_back(Rod(), [0.0, 0.2, 0.44], np.full(3, 450.0))), 3)
    0.064
    """
    bend = rod.gap**2 / np.asarray(number("bending stiffness", EI, 0.0, unit="N·m²", open_low=True))
    steel, wood = (np.trapezoid(part * rod.covered(x), x, axis=-1) for part in (
        2.0 / rod.axial_stiffness + 0.0 * bend, bend))
    number("steel and wood under the rod", steel + wood, 0.0, open_low=True)
    return wood / (steel + wood)


def with_rod(moved: Movement, rod: Rod, pull: Draws, warmer: Draws = 0.0) -> tuple[Movement, Array]:
    """The movement of a neck that holds a rod under tension, and the tension after it.

    moved: the Movement without a rod. pull: tension before, N, a number or (D,); warmer: end less start
    temperature, K, a number or, with moments, (T,). Returns (Movement, tension N), shaped as moved.relief. A
    double-acting rod changes nothing; its tension is then 0. Raises ValueError for a pull below 0.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> from tonewood.neck.seasons.movement import movement
    >>> dry, force = with_rod(movement(example_neck(), 0.08, 0.06), Rod.single(), 700.0)
    >>> round(1e3 * float(dry.relief), 3), round(float(force))
    (0.043, 455)
    """
    shape, here = moved.response.centre.shape[:-1], moved.here
    if rod.is_double:
        return moved, np.zeros(shape)
    pull = np.asarray(number("rod tension", pull, 0.0, unit="N"))
    s, x, height, along = here.section, here.x, rod.height(here.x), rod.covered(here.x)
    arm = s.z_bar - height
    forward, side = bending(s.EI, s.EI_side, s.EI_cross, -arm, -s.y_bar)
    back, side = -moved.loose * along * forward, moved.loose * along * side
    unit = Response(-along / s.EA - back * s.z_bar - side * s.y_bar, back, side)

    def length(response: Response) -> Array:
        """Lengthening (m) of the wood between the anchors, at the rod."""
        return np.asarray(np.trapezoid(response.strain(0.0, height) * along, x, axis=-1))

    def beside(values: Array) -> Array:
        """(…) or (D,) beside moments, ready for (D, T)."""
        return values[..., None] if values.ndim and len(shape) > values.ndim else values

    steel = float(np.trapezoid(along, x)) / rod.axial_stiffness
    # what the warmth adds to the wood over what it adds to steel, mostly negative
    warm = (rule("thermal_expansion_lengthwise").value - material("steel")["expansion"].value) * np.asarray(
        number("warmer by", warmer, -60.0, 60.0, "K"))
    stretch = length(moved.response) + warm * float(np.trapezoid(along, x))
    before = beside(pull)
    force = np.maximum(before + stretch / beside(steel - length(unit)), 0.0) + np.zeros(shape)
    more = (force - before)[..., None]
    together = Response(*(getattr(moved.response, name) + more * (
        value[:, None] if value.ndim > 1 and len(shape) > 1 else value)
        for name, value in vars(unit).items()))
    return replace(moved, held=together), force
