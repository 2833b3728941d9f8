"""What a truss rod cannot mend: twist, side bow, S-curve, a kink at the body joint, bow outside its length,
more than its limit, and adding relief if single-acting.

A rod bends the neck in one plane and in one shape, nearly constant curvature over its own length. Whatever is
left after the best single setting is for the fretboard plane or a new neck, not for the rod. From what size a
fault shows: rows bow_shows and twist_shows of data/rules.csv.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tonewood import checks
from tonewood.draws import Array, Draws
from tonewood.neck.load.bow import bow
from tonewood.neck.load.relief import Relief
from tonewood.neck.load.rod import Rod, target_checked, unit_response
from tonewood.wood.facts import rule

SHOWS = rule("bow_shows").value
"""Unevenness at the frets that a builder notices, mm."""


@dataclass(frozen=True)
class Limit:
    """One thing the rod does not mend. name; amount (…) in unit, which stays whatever the rod does; matters
    (…): large enough to notice; share: of the draws in which it matters.
    """

    name: str
    amount: Array
    unit: str
    matters: np.ndarray
    share: float


def _limit(name: str, amount: Draws, shows: float = SHOWS, unit: str = "mm") -> Limit:
    amount = np.asarray(amount, dtype=float)
    matters = amount > shows + 1e-9
    return Limit(name, amount, unit, matters, float(np.mean(matters)))


def _best(shape: Array, unit_shape: Array) -> Array:
    """Least-squares amount (…, 1) of unit_shape (…, F) that cancels shape (…, F)."""
    return -np.sum(shape * unit_shape, -1, keepdims=True) / np.sum(unit_shape**2, -1, keepdims=True)


def _shape(slack: Relief, shape: Draws | None) -> Array:
    """Gap (…, F), m, at the frets: measured, or the computed relief."""
    if shape is None:
        return slack.at_fret
    measured = np.asarray(checks.number("measured shape", shape, -0.02, 0.02, "m"))
    if measured.shape[-1:] != slack.fret_positions.shape:
        raise ValueError(f"measured shape: an array of shape {measured.shape} given; accepted: one value for "
                         f"each of the {slack.fret_positions.size} frets")
    return measured


def best_setting(slack: Relief, rod: Rod, shape: Draws | None = None) -> tuple[Array, Array]:
    """The setting within the rod's limit that makes a neck as flat as this rod can: (effort (…), gap left at
    the frets (…, F), m).

    slack: Relief with the rod slack; shape (…, F), m: gap measured at the frets, in place of its own. effort
    in rod.unit, positive towards back bow; a single-acting rod only pulls. Source: least squares over the
    frets, a parabola in the effort, so the nearest end of the range is best beyond it. Raises ValueError.

    >>> from tonewood.neck.load.relief import example_relief
    >>> round(float(best_setting(example_relief(), Rod())[0]), 2)
    5.18
    """
    unit, gap = unit_response(slack, rod).at_fret, _shape(slack, shape)
    effort = np.clip(_best(gap, unit), rod.lowest_effort, rod.limit)
    return effort[..., 0], gap + effort * unit


def rod_limits(slack: Relief, rod: Rod, target: float = 0.0002, fret: int = 8, twist: Draws = 0.0,
               kink: Draws = 0.0, shape: Draws | None = None) -> tuple[Limit, ...]:
    """What this rod cannot mend on this neck: a tuple of Limit, one for each possible fault, whether it
    matters here or not.

    slack: Relief with the rod slack. target (m) wanted at `fret`. twist (rad, nut to last fret) and kink
    (rad, at the body joint, far end rising) are given, not computed here; float or (D,). shape (…, F), m: gap
    measured at the frets, in place of the computed relief. Raises ValueError.

    >>> from tonewood.neck.load.relief import example_relief
    >>> [limit.name for limit in rod_limits(example_relief(), Rod()) if limit.matters]
    []
    """
    twist = np.asarray(checks.angle("twist", twist, 0.5))
    kink = np.asarray(checks.angle("kink at the body joint", kink, 0.2))
    target, gap = target_checked(target), _shape(slack, shape)
    frets = slack.fret_positions
    first, last = frets[0], frets[-1]
    unit = unit_response(slack, rod).at_fret

    def left_over(gap: Array) -> Array:
        return 1e3 * np.max(np.abs(gap + _best(gap, unit) * unit), -1)

    low, high = (slack.at(fret) + effort * unit[..., fret - 1] for effort in (rod.limit, rod.lowest_effort))
    joint, hinge = slack.strung.joint, np.zeros(frets.size)
    if joint is not None and first < joint < last:
        rising, falling = (frets - first) * (last - joint), (joint - first) * (last - frets)
        hinge = np.minimum(rising, falling) / (last - first)
    outside = bow(slack.x, slack.curvature * (1.0 - rod.covered(slack.x)), frets, first, last)
    return (_limit("adding relief", 1e3 * np.maximum(target - high, 0.0), 0.0),
            _limit("taking relief away", 1e3 * np.maximum(low - target, 0.0), 0.0),
            _limit("twist", np.degrees(np.abs(twist)), rule("twist_shows").value, "degrees"),
            _limit("side bow", 1e3 * np.max(np.abs(slack.side_at_fret), -1)),
            _limit("s-curve", left_over(gap)), _limit("kink at the body joint",
                                                      left_over(kink[..., None] * hinge)),
            _limit("bow outside the rod", 1e3 * np.max(np.abs(outside), -1)))
