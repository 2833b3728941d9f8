"""What the variation within its boards does to a neck: a one-piece neck with a bark side and a pith side bows
sideways and twists by itself.

The swelling of each piece changes evenly across it (wood.within, taken straight about the middle of the
piece), so its share of bow and twist follows from moments that the section and its torsion hold already.
Glued faces inside one board need no strips: a piece cut up and glued back as it lay is the same piece.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from tonewood import checks
from tonewood.draws import Array, Draws, plain
from tonewood.neck.layup.neck import Neck
from tonewood.neck.seasons.eigenstrain import Response, solve
from tonewood.neck.seasons.movement import Movement
from tonewood.neck.seasons.pieces import moduli_at
from tonewood.neck.section.damping import stripe_shares
from tonewood.neck.section.stations import AtStations
from tonewood.neck.section.twist import ACROSS, LENGTH, UP
from tonewood.wood.within import Growth, piece_at, swelling_slopes


def middles(neck: Neck) -> Array:
    """(P, 2): y and z (m) of the middle of every piece, for the stripes at half the depth at mid-length.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> middles(example_neck()).round(4).tolist()
    [[0.0, -0.0079], [0.0, 0.003]]
    """
    low = -float(neck.back.depth(neck.end / 2)) / 2
    edges = neck.layup.edges_at(neck.end / 2, low)
    stripes = [(y, low) for y in (edges[1:] + edges[:-1]) / 2]
    thick = np.array([layer.thickness for layer in neck.fretboard.layers])
    return np.array([*stripes, *((0.0, z) for z in np.cumsum(thick) - thick / 2)])


def slopes_of(neck: Neck, growth: Sequence[Growth | None]) -> list[Array]:
    """Of every piece how its swelling changes across it, 1/m (see wood.within.swelling_slopes), nothing where
    its growth is None: P arrays (2, 3, 3) or (2, D, 3, 3). Raises ValueError for a wrong number.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> [found.shape for found in slopes_of(example_neck(), [Growth(), None])]
    [(2, 3, 3), (2, 3, 3)]
    """
    pieces = neck.pieces
    if len(growth) != len(pieces):
        raise ValueError(f"growth: {len(growth)} given; accepted: one, or None, for each of the "
                         f"{len(pieces)} pieces")
    return [np.zeros((2, 3, 3)) if grown is None else swelling_slopes(board, grown)
            for board, grown in zip(pieces, growth, strict=True)]


def _slopes(here: AtStations, change: Array, each: Sequence[Array], axis: int) -> list[Array]:
    """How the free strain (xx, or shear xy or xz by `axis`) of every region changes with y and with z, per m,
    each (R,) or (D, R)."""
    times = 1 if axis == LENGTH else 2
    return [here.per_region([times * slope[k, ..., LENGTH, axis] * change[..., i]
                             for i, slope in enumerate(each)], lambda bar: 0.0) for k in (0, 1)]


def _middle_of_regions(here: AtStations) -> tuple[Array, Array]:
    centre = np.array([*middles(here.neck), *[(0.0, 0.0)] * len(here.neck.bars)])
    y, z = centre[list(here.regions.piece), :, None].transpose(1, 0, 2)
    return y, z


def uneven_response(here: AtStations, start: Array, end: Array, growth: Sequence[Growth | None],
                    slopes: Sequence[Array] | None = None) -> Response:
    """Strain and curvatures that the variation within the boards adds to a change of moisture: a Response of
    shape (S,) or (D, S).

    here: the neck at stations; start, end: moisture of every piece, (P,) or (D, P); growth: one for each
    piece in the order of neck.pieces, as it lies in the neck, None for an even one; slopes: `slopes_of` neck
    and growth, if already found. Raises ValueError for a wrong number. Source: the sums of
    seasons.eigenstrain with a free strain that is a straight line across.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> from tonewood.neck.section.stations import at_stations
    >>> here, m = at_stations(example_neck(), [0.2]), np.array([0.08, 0.08])
    >>> uneven_response(here, m, m - 0.02, [Growth(fall=-0.02), None]).curvature.round(6).tolist()
    [0.000116]
    """
    parts, (y, z) = here.regions, _middle_of_regions(here)
    start = np.asarray(checks.moisture("start moisture", start))
    end = np.asarray(checks.moisture("end moisture", end))
    E = moduli_at(here, (start + end) / 2)
    each = slopes_of(here.neck, growth) if slopes is None else slopes
    with_y, with_z = (E * slope for slope in _slopes(here, end - start, each, LENGTH))
    loads = [here.summed(with_y, once_y - y * own) + here.summed(with_z, once_z - z * own)
             for own, once_y, once_z in ((parts.area, parts.Sy, parts.Sz), (parts.Sy, parts.Syy, parts.Syz),
                                         (parts.Sz, parts.Syz, parts.Szz))]
    return solve(*np.broadcast_arrays(*here.summed(E, parts.integrals), *loads))


def uneven_twist(here: AtStations, change: Array, growth: Sequence[Growth | None],
                 slopes: Sequence[Array] | None = None) -> Array:
    """Rate of twist (rad/m), (S,) or (D, S), that the variation within the boards adds: arguments as for
    uneven_response, change (P,) or (D, P) of moisture. Source: reciprocity, as in section.twist. Raises
    ValueError.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> from tonewood.neck.section.stations import at_stations
    >>> change = np.array([-0.02, -0.02])
    >>> here, grown = at_stations(example_neck(), [0.2]), [Growth(spiral=0.05), None]
    >>> uneven_twist(here, change, grown).round(4).tolist()
    [0.0008]
    """
    unit, (y, z) = here.torsion, _middle_of_regions(here)
    change = np.asarray(checks.moisture_change("change of moisture", change))
    each = slopes_of(here.neck, growth) if slopes is None else slopes
    rate: Any = 0.0
    for axis, flow, flow_y, flow_z in ((ACROSS, unit.shear_xy, unit.shear_xy_y, unit.shear_xy_z),
                                       (UP, unit.shear_xz, unit.shear_xz_y, unit.shear_xz_z)):
        with_y, with_z = _slopes(here, change, each, axis)
        rate = rate + (with_y @ (flow_y - y * flow) + with_z @ (flow_z - z * flow)) / unit.reference
    return rate


def ring_cup(moved: Movement, growth: Sequence[Growth | None]) -> Draws:
    """Hollow of the fretboard across its width (m) that slanting and round rings add to moved.cup, at
    mid-length; float or (D,).

    Slanting rings make a piece want to shear, y against z: stripes turn into diamonds, and round rings make
    the wish grow across the width. A layer left alone would rise by half the integral of that shear from the
    middle outward; glued, each layer brings its part of the stiffness about the glue line. growth: as for
    uneven_response, None for straight rings; moistures (P,) or (D, P). Raises ValueError. Left out: that
    round rings lower the mean swelling towards the edges. Source: two-layer strip with free shear and no
    shear force, derived; checked by finite elements.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> from tonewood.neck.seasons.movement import movement
    >>> grown = [Growth(pith=0.04), None]
    >>> round(1e3 * float(ring_cup(movement(example_neck(), 0.08, 0.06), grown)), 3)
    0.037
    """
    neck, x = moved.neck, moved.neck.end / 2
    if len(growth) != len(neck.pieces):
        raise ValueError(f"growth: {len(growth)} given; accepted: one, or None, for each of the "
                         f"{len(neck.pieces)} pieces")
    half, change = float(neck.outline.width(x)) / 2, moved.end - moved.start
    edges = np.clip(neck.layup.edges_at(x, -float(neck.back.depth(x)) / 2), -half, half)
    count = len(neck.layup.stripes)
    rises: list[Draws] = [0.0] * (1 + len(neck.fretboard.layers))
    for i, (board, grown) in enumerate(zip(neck.pieces, growth, strict=True)):
        layer = max(0, i + 1 - count)
        low, high = (-half, half) if layer else (float(edges[i]), float(edges[i + 1]))
        for start, end in ((low, min(high, 0.0)), (max(low, 0.0), high)):
            for at, weight in zip(*np.polynomial.legendre.leggauss(3), strict=True):
                if end > start:
                    y = (start + end) / 2 + at * (end - start) / 2
                    here = board if grown is None else piece_at(board, grown, y - (low + high) / 2, 0.0)[0]
                    wish = 2 * here.swelling_xyz[..., ACROSS, UP] * change[..., i]
                    rises[layer] = rises[layer] + np.sign(y) * wish * weight * (end - start) / 4
    (area, _, first, _, second, _), E, _ = moved.layers_across(x)
    area, first, second = area[:, 0], first[:, 0], second[:, 0]
    centre = ((E @ first) / (E @ area))[..., None]
    part = E * (second - centre * first)
    return plain(np.sum(part * np.stack(np.broadcast_arrays(*rises), -1), -1) / np.sum(part, -1))


def with_gradient(moved: Movement, slope: Draws) -> Movement:
    """The same change of a neck whose stripes are wetter above than below: bow (m) besides.

    slope: change of moisture with height that has come since it was built (fraction per m), with the leading
    shape of moved.relief. Each stripe would curve by its lengthwise swelling times the slope; the neck by
    their mean, weighted by what each holds of the bending stiffness at the start. Bars do not swell. Beyond
    the body joint nothing bends. Raises ValueError. Source: a free strain that is a straight line across
    leaves one wood free of stress; for several the sums of seasons.eigenstrain, the shift of the axis left
    out.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> from tonewood.neck.seasons.movement import movement
    >>> dried = with_gradient(movement(example_neck(), 0.08, 0.08), -1.0)
    >>> round(1e3 * float(dried.relief), 3)
    0.115
    """
    slope = np.asarray(checks.number("slope of moisture", slope, -30.0, 30.0, "per m"))
    here = moved.here
    swells = here.per_region(lambda board: board.swelling_along(LENGTH), lambda bar: 0.0)
    share = stripe_shares(here)[1]
    each = np.sum(swells[..., None] * share, axis=-2)                               # (S,) or (D, S)
    many = each[:, None] if each.ndim > 1 and slope.ndim > 1 else each              # beside moments
    bent = moved.response
    return replace(moved, held=Response(bent.centre, bent.curvature + slope[..., None] * many * moved.loose,
                                        bent.side_curvature))


def with_uneven(moved: Movement, growth: Sequence[Growth | None], slopes: Sequence[Array] | None = None
                ) -> Movement:
    """The same change of a neck whose boards vary within: bow and side bow (m); its twist stays that of
    even boards (add uneven_twist). slopes: as for uneven_response. Beyond the body joint nothing bends.
    Raises ValueError.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> from tonewood.neck.seasons.movement import movement
    >>> grown = [Growth(fall=-0.02), None]
    >>> round(1e6 * float(with_uneven(movement(example_neck(), 0.08, 0.06), grown).relief
    ...                   - movement(example_neck(), 0.08, 0.06).relief), 1)
    -2.9
    """
    more, bent = uneven_response(moved.here, moved.start, moved.end, growth, slopes), moved.response
    return replace(moved, held=Response(
        bent.centre + more.centre, bent.curvature + moved.loose * more.curvature,
        bent.side_curvature + moved.loose * more.side_curvature))
