"""Shear of a board along the neck in neck axes, its stiffness and what is lost in it, for torsion.

Source: the rotated compliance of wood.elastic, with no other stress than the two shears along the neck.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from tonewood import checks
from tonewood.draws import Array, Draws
from tonewood.neck.layup.neck import Neck
from tonewood.remember import remember
from tonewood.wood.board import Board
from tonewood.wood.elastic import Elastic, rotate_compliance
from tonewood.wood.loss import losses, lossy_compliance


def shear_stiffness(board: Board) -> tuple[Array, Draws]:
    """Shear stiffness of a board in neck axes with no other stress: C_xy, C_xz and cross term, Pa, (3,) or
    (D, 3); and G_yz (Pa).

    The cross term is there when the rings are neither flat nor square: shear across then also shears along.

    >>> from tonewood.wood.species import species
    >>> (1e-9 * shear_stiffness(Board(species("hard maple")))[0]).round(2).tolist()
    [0.92, 1.62, -0.0]
    """
    S = compliance_in_neck_axes(board)
    xz, xy, cross = S[..., 4, 4], S[..., 5, 5], S[..., 4, 5]
    scale = np.asarray(board.scale)
    C = np.stack([xz, xy, -cross], -1) / (xz * xy - cross**2)[..., None] * scale[..., None]
    return C, scale / S[..., 3, 3]


def compliance_in_neck_axes(board: Board) -> Array:
    """Compliance (..., 6, 6), 1/Pa, of the board's wood, not scaled to the board, in neck axes.

    >>> from tonewood.wood.species import species
    >>> compliance_in_neck_axes(Board(species("hard maple"))).shape
    (6, 6)
    """
    elastic, Q = board.ratios, board.Q
    return _rotated(elastic, Q.tobytes()) if Q.ndim == 2 else rotate_compliance(elastic.compliance, Q)


@remember(256)
def _rotated(elastic: Elastic, Q: bytes) -> Array:
    S = rotate_compliance(elastic.compliance, np.frombuffer(Q).reshape(3, 3))
    S.setflags(write=False)
    return S


def beside_stations(value: Draws) -> Draws:
    """A number as it is, draws (D,) as (D, 1): ready to stand beside stations. Raises ValueError.

    >>> beside_stations(np.ones(5)).shape
    (5, 1)
    """
    value = checks.number("value of the draws", value)
    return value if np.ndim(value) == 0 else np.asarray(value)[:, None]


def inverted(shear: Array) -> Array:
    """Shear compliance (..., 3), 1/Pa, from shear stiffness (C_xy, C_xz, cross), Pa, or back: a 2 x 2
    inverse.

    >>> inverted(np.array([2.0, 4.0, 0.0])).tolist()
    [0.5, 0.25, -0.0]
    """
    xy, xz, cross = (shear[..., k] for k in range(3))
    return np.stack([xz, xy, -cross], -1) / (xy * xz - cross**2)[..., None]


def in_slots(neck: Neck, value: Callable[[Board], Draws]) -> Draws:
    """A value of the boards that the fret slots cut, each by its share; a number, or (D,) where the constants
    of one of them are drawn: what they leave of the slotted layer then differs between necks.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> round(float(in_slots(example_neck(), lambda board: board.E_x / board.G_xz)), 1)
    11.1
    """
    drawn = any(board.constants is not None for board, _ in neck.in_slots)
    each = ((share, np.asarray(value(board))) for board, share in neck.in_slots)
    return sum((share * (found if drawn else found.mean()) for share, found in each), np.zeros(()))


def lost_in_shear(board: Board) -> Array:
    """What a board loses in shear along the neck: the loss part of its compliances (xy, xz, cross), 1/Pa,
    (3,) or (D, 3). Divided by the compliance it is the loss factor of that shear.

    >>> from tonewood.wood.species import species
    >>> board = Board(species("hard maple"))
    >>> round(float(lost_in_shear(board)[1] * board.G_xz / board.eta_L), 9)
    2.0
    """
    elastic, group, Q = board.ratios, board.species.group, board.Q
    unit = _lossy(elastic, group, Q.tobytes()) if Q.ndim == 2 else _turned(elastic, group, Q)
    return unit * np.asarray(board.eta_L * board.species.modulus / board.E_L)[..., None]


@remember(256)
def _lossy(elastic: Elastic, group: str, Q: bytes) -> Array:
    return _turned(elastic, group, np.frombuffer(Q).reshape(3, 3))


def _turned(elastic: Elastic, group: str, Q: Array) -> Array:
    """The loss part of the shear compliances in neck axes, 1/Pa, per loss factor along the grain."""
    turned = rotate_compliance(lossy_compliance(elastic, losses(0.5, group)), Q) / 0.5
    return np.stack([turned[..., 5, 5], turned[..., 4, 4], turned[..., 4, 5]], -1)
