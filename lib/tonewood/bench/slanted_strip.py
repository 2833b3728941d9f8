"""Two strips of one board, one sawn along the grain, one at an angle in the board's face: what bending both
tells of the stiffness that slope of grain leaves, and what the wood's constants foretell of it.

The board's own stiffness drops out of the comparison; what is left in doubt is how unlike two strips of one
board are (rule kinship_same_board), how well each is read (modulus_error), and the wood's ratios.
"""

from __future__ import annotations

import numpy as np

from tonewood import checks
from tonewood.bench.measure import bend_modulus
from tonewood.draws import Array
from tonewood.neck.section.torsion import rectangle_constant
from tonewood.wood.board import Board
from tonewood.wood.elastic import modulus_along, off_axis, orientation
from tonewood.wood.facts import rule
from tonewood.wood.ratios import draw_ratios
from tonewood.wood.species import Species
from tonewood.wood.spread import filled_ratios, likeness, mean_keeping_factor

Strip = tuple[float, float, float]
"""Width, thickness and deflection (m) of a strip."""


def stiffness_left(wood: Species, ring_angle: float, slope: float, load: float, span: float, straight: Strip,
                   slanted: Strip) -> float:
    """Modulus of the slanted strip over that of the straight one, from a bend of each flatwise under the same
    load (N) over the same span (m); angles in rad. Raises ValueError. Source: bench.measure.bend_modulus.

    >>> from tonewood.wood.species import species
    >>> round(stiffness_left(species("hard maple"), 0.0, 0.1745, 9.8, 0.4, (0.02, 0.006, 0.0030),
    ...                      (0.02, 0.006, 0.0042)), 3)
    0.714
    """
    found = []
    for angle, (width, thickness, deflection) in ((0.0, straight), (slope, slanted)):
        board = Board(wood, ring_angle, slope=angle)
        found.append(float(bend_modulus(load, deflection, span, width, thickness,
                                        float(board.E_x / board.G_xz))))
    return float(checks.number("stiffness left from these readings", found[1] / found[0], 0.02, 1.5, "",
                               "Are the two strips, or their thicknesses, exchanged?"))


def foretold_left(wood: Species, ring_angle: float, slope: float, draws: int = 2000) -> Array:
    """What `stiffness_left` would read, (draws,): the wood's ratios drawn, times the scatter between two
    strips of one board and of two bends. Angles in rad. Raises ValueError. Source: wood.elastic, by linear
    elasticity.

    >>> from tonewood.wood.species import species
    >>> round(float(np.median(foretold_left(species("hard maple"), 0.0, 0.1745))), 2)
    0.7
    """
    elastic = draw_ratios(wood.elastic, draws, 3, filled=filled_ratios(wood))
    along = modulus_along(elastic, orientation(ring_angle, 0.0, slope)[0]) / elastic.E_L
    apart = np.hypot(wood.cov_modulus * np.sqrt(1 - likeness("same board")), rule("modulus_error").value)
    z = np.random.default_rng([3, 1]).standard_normal(draws)
    return np.asarray(along * mean_keeping_factor(z, float(np.sqrt(2) * apart)))


def held_flat(wood: Species, ring_angle: float, slope: float, width: float, thickness: float) -> float:
    """By what factor a slanted strip reads too stiff if both supports hold it flat across its width (m): it
    wants to twist as it bends. Angles in rad. Raises ValueError.

    With S the compliance turned into the strip's axes, one constant torque undoes the twist from support to
    support: a share 3/4 S16^2 / (S11 S66) of the sag goes, times the strip's torsion constant over that of a
    thin one. Source: coupled bending and twisting of a narrow strip, by Castigliano's theorem.
    >>> from tonewood.wood.species import species
    >>> round(held_flat(species("hard maple"), 0.0, 0.1745, 0.02, 0.006), 2)
    1.16
    """
    b, t = (float(checks.length(name, value, high=1.0)) for name, value in
            (("width", width), ("thickness", thickness)))
    turned = off_axis(wood.elastic, orientation(ring_angle, 0.0, slope))
    coupled = float(turned.coupling_xy**2 * turned.G_xy / turned.E_x)
    return 1 / (1 - 0.75 * coupled * float(rectangle_constant(b, t)) / (b * t**3 / 3))
