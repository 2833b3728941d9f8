"""Shear of a board along the neck in neck axes, its stiffness and what is lost in it, for torsion.

Source: the rotated compliance of wood.elastic, with no other stress than the two shears along the neck.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from tonewood import checks
from tonewood.draws import Array, Draws
from tonewood.neck.layup.neck import Neck, fret_pitch
from tonewood.neck.section.regions import slot_share, slotted_shear
from tonewood.remember import remember
from tonewood.wood.board import Board, Seen
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
    scale = np.asarray(board.scale)
    along, across = board.seen.shear
    return along * scale[..., None], across * scale


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


def kept_in_slots(neck: Neck, x: Array, twisted: bool = False) -> Draws:
    """Share of its stiffness that the slotted layer keeps at stations x (S,), m, in bending or twisted: (S,)
    or (D, S). Estimated: see section.regions. Raises ValueError.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> np.round(kept_in_slots(example_neck(), np.array([0.1, 0.4]), twisted=True), 2).tolist()
    [0.88, 0.75]
    """
    x = np.atleast_1d(checks.number("stations", x, unit="m"))
    top, boards = neck.fretboard, [board for board, _ in neck.in_slots]
    depth, fill = top.slot_depth, beside_stations(top.slot_fill)
    if all(board.seen is boards[0].seen for board in boards) and boards[0].Q.ndim == 2:
        return _kept_by(boards[0].seen, neck.scale_length, tuple(x.tolist()), depth, fill, twisted)
    ratio = twisting_ratio(neck) if twisted else (
        in_slots(neck, lambda wood: wood.E_x) / in_slots(neck, lambda wood: wood.G_xz))
    return _SHARES[twisted](neck.fret_pitch(x), depth, beside_stations(ratio), fill)


_SHARES = slot_share, slotted_shear


@remember(32)
def _kept_by(wood: Seen, scale_length: float, x: tuple[float, ...], depth: float, fill: Draws, twisted: bool
             ) -> Draws:
    """Of one wood alone, where a board's own stiffness makes no difference: found again by a slider that
    leaves what lies in the slots as it is."""
    along, across = wood.shear
    ratio = np.round(along[..., 0] / across, 2) if twisted else wood.compliance[..., 4, 4] / wood.compliance[
        ..., 0, 0]
    found = np.asarray(_SHARES[twisted](fret_pitch(scale_length, np.array(x)), depth, beside_stations(ratio),
                                        fill))
    found.setflags(write=False)
    return found


def twisting_ratio(neck: Neck) -> Draws:
    """G_xy/G_yz of what the slots cut, a number or (D,), rounded.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> float(twisting_ratio(example_neck()))
    3.97
    """
    return np.round(in_slots(neck, lambda wood: shear_stiffness(wood)[0][..., 0])
                    / in_slots(neck, lambda wood: shear_stiffness(wood)[1]), 2)


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
