"""Moisture spreading through a whole cross section at once: through top, back and the edges of the board.

The section stands on a flat glue line: wood below down to a curved back, a board above with edges of its own;
left and right are alike, so half of it is solved. Fick's law with one diffusivity a piece, as in
wood.diffusion, whose limits hold here too; the glue lets moisture pass. Linear triangles, lumped masses; the
modes of the balance are found once, then any history of the air is followed exactly.

Source of the method: finite elements as in any text; what checks it stands in tests/wood/test_drying.py.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from tonewood import checks
from tonewood.draws import Array, Draws
from tonewood.remember import remember
from tonewood.wood.diffusion import Drying

BELOW, ABOVE = 0, 1


@dataclass(frozen=True, kw_only=True)
class DryingSection(Drying):
    """A board glued on wood with a curved back, drying on every face.

    half_width: m. depths: m of wood under the glue line at `half_width` x sin(t), t from 0 to pi/2 in even
    steps, the last at the edge (0 or more). thickness: m of the board. diffusivity (m2/s), density (kg/m3):
    of wood and board, each a float or (K,) possibilities. back, top, edge: film coefficients (m/s, per
    moisture fraction of the wood it touches) of the back, the face of the board and the board's edges: 0
    sealed, infinite for none. rows: steps through wood and through board. Raises ValueError.

    >>> flat = DryingSection(half_width=0.02, depths=(0.01,) * 9, thickness=0.006, back=1e-7, top=1e-7,
    ...                      edge=1e-7, diffusivity=(1e-10, 1e-10), density=(600.0, 900.0))
    >>> flat.follow([0.0, 864000.0], [0.10, 0.10], 0.06)[1].round(3).tolist()
    [0.099, 0.099]
    """

    half_width: float
    depths: tuple[float, ...]
    thickness: float
    diffusivity: tuple[Draws, Draws]
    density: tuple[float, float]
    back: float
    top: float
    edge: float
    rows: tuple[int, int] = (9, 6)

    def __post_init__(self) -> None:
        checks.length("half width", self.half_width, high=0.2)
        checks.length("board thickness", self.thickness, high=0.05)
        checks.number("depths of wood", np.asarray(self.depths), 0.0, 0.2, "m")
        if len(self.depths) < 3:
            raise ValueError(f"depths of wood: {len(self.depths)} given; accepted: at least 3, from the "
                             "middle to the edge")
        for D in self.diffusivity:
            checks.number("diffusivity", D, 0.0, 1e-6, "m²/s", open_low=True)
        for rho in self.density:
            checks.number("density", rho, 0.0, 3000.0, "kg/m³", open_low=True)
        films = [float(np.asarray(checks.number("film coefficient", np.minimum(h, 1e30), 0.0, unit="m/s")))
                 for h in (self.back, self.top, self.edge)]
        if not any(films):
            raise ValueError("film coefficient: 0 m/s on every face given; accepted: at least one face open "
                             "to the air, or nothing ever changes")

    @cached_property
    def modes(self) -> tuple[Array, Array]:
        """Rates (..., n), 1/s, and weights (..., 2, n) of the means of wood and board."""
        mesh = _mesh(self.half_width, self.depths, self.thickness, self.rows)
        D = np.stack(np.broadcast_arrays(*(np.asarray(d, dtype=float) for d in self.diffusivity)), -1)
        rho = np.asarray(self.density)
        stiffness = np.einsum("...p,pij->...ij", D * rho, mesh.stiffness)
        # 1e-3 m/s is far above any film: as good as none
        for film, wall, piece in ((self.back, mesh.back, BELOW), (self.top, mesh.top, ABOVE),
                                  (self.edge, mesh.edge, ABOVE)):
            stiffness = stiffness + np.diag(min(film, 1e-3) * rho[piece] * wall)
        mass = rho @ mesh.volume
        root = 1 / np.sqrt(mass)
        rates, V = np.linalg.eigh(stiffness * root[:, None] * root)
        follow = np.einsum("...ik,i->...k", V, np.sqrt(mass))
        share = mesh.volume / mesh.volume.sum(-1, keepdims=True)
        weights = np.einsum("pi,...ik,...k->...pk", share * root, V, follow)
        return np.maximum(rates, 0.0), weights


@dataclass(frozen=True)
class _Mesh:
    """Per piece (2, ...): stiffness (n, n) per unit conductivity, volume (n,), walls (n,), m, lumped."""

    stiffness: Array
    volume: Array
    back: Array
    top: Array
    edge: Array


@remember(64)
def _mesh(half_width: float, depths: tuple[float, ...], thickness: float, rows: tuple[int, int]) -> _Mesh:
    columns, (below, above) = len(depths), rows
    y = half_width * np.sin(np.linspace(0, np.pi / 2, columns))
    fine = [(1 - np.cos(np.linspace(0, np.pi, n + 1))) / 2 for n in rows]
    over = np.outer(np.ones(columns), thickness * fine[1][1:])
    z = np.concatenate([-np.outer(depths, 1 - fine[0]), over], 1)
    nodes = np.arange(z.size).reshape(z.shape)
    for column, depth in enumerate(depths):
        if depth < 1e-9:                                # a sharp edge is one node
            nodes[column, :below] = nodes[column, below]
    yz = np.stack([np.repeat(y, z.shape[1]), z.ravel()], 1)
    a, b, c, d = nodes[:-1, :-1], nodes[1:, :-1], nodes[1:, 1:], nodes[:-1, 1:]
    triangles = np.concatenate([np.stack(t, -1).reshape(-1, 3) for t in ((a, b, d), (b, c, d))])
    piece = np.tile(np.broadcast_to(np.arange(below + above) >= below, a.shape).ravel(), 2).astype(int)
    corner = yz[triangles]
    side = np.roll(corner, -1, axis=1) - np.roll(corner, -2, axis=1)            # opposite each corner
    area = np.abs(side[:, 0, 0] * side[:, 1, 1] - side[:, 0, 1] * side[:, 1, 0]) / 2
    real = area > 1e-18
    triangles, piece, side, area = triangles[real], piece[real], side[real], area[real]
    used, flat = np.unique(triangles, return_inverse=True)
    triangles = flat.reshape(triangles.shape)
    n = len(used)
    stiffness, volume = np.zeros((2, n, n)), np.zeros((2, n))
    local = np.einsum("tik,tjk->tij", side, side) / (4 * area)[:, None, None]
    np.add.at(stiffness, (piece[:, None, None], triangles[:, :, None], triangles[:, None, :]), local)
    np.add.at(volume, (piece[:, None], triangles), (area / 3)[:, None])

    def wall(path: NDArray[np.intp]) -> Array:
        """Half the length of the two pieces of wall beside each node."""
        at = yz[path]
        half = np.hypot(*np.diff(at, axis=0).T) / 2
        found = np.zeros(z.size)
        np.add.at(found, path[:-1], half)
        np.add.at(found, path[1:], half)
        return found[used]

    back = np.concatenate([nodes[:, 0], nodes[-1, 1:below + 1]])
    return _Mesh(stiffness, volume, wall(back), wall(nodes[:, -1]), wall(nodes[-1, below:]))
