"""How a neck dries: as layers, board on neck, or through its whole section.

The layers are what the year is worked out with. For neck No. 12 the whole section, which dries through the
edges of the board and along the curve of the back too, moves the edge of the year's ribbon by a few
hundredths of its width (lesson 06 computes it). End grain is in neither.
Sources: wood.diffusion, wood.drying, wood.finish.
"""

from __future__ import annotations

import numpy as np

from tonewood.draws import Draws
from tonewood.neck.layup.neck import Neck
from tonewood.wood.diffusion import Column, diffusivity
from tonewood.wood.drying import DryingSection
from tonewood.wood.finish import finish


def column(neck: Neck, back_finish: str = "lacquer", board_finish: str = "bare", coats: int | None = None,
           paces: tuple[Draws, Draws] = (1.0, 1.0), dry_density: tuple[float, float] | None = None) -> Column:
    """Fretboard on neck as a Column, at mid-length; moisture fractions of neck, then fretboard.

    back_finish, board_finish: names of finishes() or 'bare'; coats: of the back. paces: factors on the
    diffusivity of neck and fretboard, floats or arrays (K,). The neck counts as a layer of its mean depth,
    its back film taken by the true length of the curve. dry_density: ovendry mass per volume of neck and
    fretboard, kg/m3; None: their own, mean over the layers. Without a fretboard the two are the lower and the
    upper half of the neck. Raises ValueError.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> [round(1e3 * t, 1) for t in column(example_neck()).thickness]
    [12.4, 6.0]
    """
    x = neck.end / 2
    width = float(neck.outline.width(x))
    y = width / 2 * np.sin(np.linspace(-np.pi / 2, np.pi / 2, 201))
    z = neck.back.surface(y, width / 2, float(neck.back.depth(x)))
    curve, mean_depth = float(np.sum(np.hypot(np.diff(y), np.diff(z)))), float(-np.trapezoid(z, y)) / width
    layers, count = neck.fretboard.layers, len(neck.layup.stripes)
    if dry_density is None:
        share = np.diff(np.clip(neck.layup.edges_at(x, -mean_depth / 2), -width / 2, width / 2)) / width
        dry = [np.mean(piece.rho / (1 + np.asarray(piece.moisture))) for piece in neck.pieces]
        thick = [layer.thickness for layer in layers]
        of_neck = float(share @ dry[:count])
        dry_density = of_neck, float(np.average(dry[count:], weights=thick)) if layers else of_neck
    density, depths = dry_density, (mean_depth, neck.fretboard.thickness)
    if not layers:
        depths, paces = (mean_depth / 2, mean_depth / 2), (paces[0], paces[0])
    D = tuple(diffusivity(rho) * np.asarray(pace) for rho, pace in zip(density, paces, strict=True))
    return Column(depths, D, density,
                  finish(back_finish, coats).film(density[0]) * curve / width,
                  finish(board_finish, None).film(density[1]))


def drying_section(neck: Neck, back_finish: str = "lacquer", board_finish: str = "bare",
                   coats: int | None = None, paces: tuple[Draws, Draws] = (1.0, 1.0)) -> DryingSection:
    """Fretboard on neck as a DryingSection (m), at mid-length: the true back, the edges of the board open.

    Arguments as for column; the edges of the board carry the finish of its face. Raises ValueError.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> drying_section(example_neck()).modes[1].sum(-1).round(6).tolist()
    [1.0, 1.0]
    """
    if not neck.fretboard.layers:
        raise ValueError("drying through the whole section: a neck without a fretboard given; accepted: one "
                         "with a fretboard. Follow this one as layers")
    x, layered = neck.end / 2, column(neck, back_finish, board_finish, coats, paces)
    half = float(neck.outline.width(x)) / 2
    y = half * np.sin(np.linspace(0, np.pi / 2, 9))
    back, top = finish(back_finish, coats), finish(board_finish, None)
    wood, board = (float(np.mean(rho)) for rho in layered.density)
    return DryingSection(
        half_width=half, depths=tuple((-neck.back.surface(y, half, float(neck.back.depth(x)))).tolist()),
        thickness=neck.fretboard.thickness, diffusivity=(layered.diffusivity[0], layered.diffusivity[1]),
        density=(wood, board), back=float(np.mean(back.film(wood))), top=float(np.mean(top.film(board))),
        edge=float(np.mean(top.film(board))))
