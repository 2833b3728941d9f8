"""What a truss rod cannot mend: twist, side bow, S-curve, a kink at the body joint, bow outside its length, more than its
limit, and adding relief if single-acting.

A rod bends the neck in one plane and in one shape, nearly constant curvature over its own length. Whatever is left after the best single setting is
for the fretboard plane or a new neck, not for the rod.
"""

from dataclasses import dataclass

import numpy as np

from tonewood.checks import number
from tonewood.neck.load.bow import bow
from tonewood.neck.load.rod import unit_response

SHOWS = 0.05            # mm at the frets that a builder notices; common practice, no source
TWIST_SHOWS = 0.1       # degrees, nut to last fret: about 0.05 mm at the edge of the last fret


@dataclass(frozen=True)
class Limit:
    """One thing the rod does not mend. name; amount (…) in unit, which stays whatever the rod does; matters (…): large enough to notice;
    share: of the draws in which it matters; text: a sentence for the builder, with the median over draws.
    """
    name: str
    amount: np.ndarray
    unit: str
    matters: np.ndarray
    share: float
    text: str


def _limit(name, amount, unit, shows, text):
    amount = np.asarray(amount, dtype=float)
    matters = amount > shows + 1e-9
    return Limit(name, amount, unit, matters, float(np.mean(matters)), f"{np.median(amount):.2f} {unit} {text}")


def _best(shape, unit_shape):
    """Least-squares amount (…, 1) of unit_shape (…, F) that cancels shape (…, F)."""
    return -np.sum(shape * unit_shape, -1, keepdims=True) / np.sum(unit_shape**2, -1, keepdims=True)


def flattest(slack, rod):
    """Gap (…, F), m, left at the frets by the setting that makes them as flat as this rod can (least squares; a single-acting rod only pulls)."""
    unit = unit_response(slack, rod).at_fret
    effort = _best(slack.at_fret, unit)
    return slack.at_fret + (np.maximum(effort, 0.0) if rod.action == "single" else effort) * unit


def best_setting(slack, rod, shape=None):
    """The setting within the rod's limit that makes a neck as flat as this rod can: (effort (…), gap left at the frets (…, F), m).

    slack: Relief with the rod slack; shape (…, F), m: gap measured at the frets, in place of its own. effort in rod.unit, positive towards back bow; a
    single-acting rod only pulls. Source: least squares over the frets, a parabola in the effort, so the nearest end of the range is best beyond it.
    """
    unit = unit_response(slack, rod).at_fret
    shape = slack.at_fret if shape is None else np.asarray(number("measured shape", shape, -0.02, 0.02, "m"))
    effort = np.clip(_best(shape, unit), 0.0 if rod.action == "single" else -rod.limit, rod.limit)
    return effort[..., 0], shape + effort * unit


def rod_limits(slack, rod, target=0.0002, fret=8, twist=0.0, kink=0.0, shape=None):
    """What this rod cannot mend on this neck: a tuple of Limit, one for each possible fault, whether it matters here or not.

    slack: Relief with the rod slack. target (m) wanted at `fret`. twist (rad, nut to last fret) and kink (rad, at the body joint, far end rising) are
    given, not computed here; float or (D,). shape (…, F), m: gap measured at the frets, in place of the computed relief. Raises ValueError.
    """
    degrees = lambda v: f"Is that in degrees? {v:g} degrees is {np.radians(v):.4g} rad"
    twist = np.asarray(number("twist", twist, -0.5, 0.5, "rad", degrees))
    kink = np.asarray(number("kink at the body joint", kink, -0.2, 0.2, "rad", degrees))
    target = number("wanted relief", target, -0.002, 0.005, "m", lambda v: f"Did you mean {v / 1000:g} m ({v:g} mm)?" if 0.005 < v < 10 else None)
    frets = slack.fret_positions
    first, last = frets[0], frets[-1]
    shape = slack.at_fret if shape is None else np.asarray(number("measured shape", shape, -0.02, 0.02, "m"))
    if shape.ndim == 0 or shape.shape[-1] != frets.size:
        raise ValueError(f"measured shape: an array of shape {shape.shape} given; accepted: one value for each of the {frets.size} frets")
    unit = unit_response(slack, rod).at_fret

    def left_over(gap):
        return 1e3 * np.max(np.abs(gap + _best(gap, unit) * unit), -1)

    span = rod.limit * np.abs(unit[..., fret - 1])
    low, high = slack.at(fret) - span, slack.at(fret) + (0.0 if rod.action == "single" else span)
    why = ("A single-acting rod only takes relief away: heavier strings or planing the board adds it." if rod.action == "single" else
           "The rod would be over its limit (from memory and estimate): do not force it.")
    joint = slack.strung.joint
    hinge = np.zeros(frets.size)
    if joint is not None and first < joint < last:
        hinge = np.where(frets <= joint, (frets - first) * (last - joint), (joint - first) * (last - frets)) / (last - first)
    outside = bow(slack.x, slack.curvature * (1.0 - rod.covered(slack.x)), frets, first, last)
    return (
        _limit("adding relief", 1e3 * np.maximum(target - high, 0.0), "mm", 0.0, f"of relief cannot be added. {why}"),
        _limit("taking relief away", 1e3 * np.maximum(low - target, 0.0), "mm", 0.0,
               "of relief cannot be taken away. The rod would be over its limit (from memory and estimate): do not force it."),
        _limit("twist", np.degrees(np.abs(twist)), "degrees", TWIST_SHOWS, "of twist stays. A rod bends the neck in one plane and cannot untwist it."),
        _limit("side bow", 1e3 * np.max(np.abs(slack.side_at_fret), -1), "mm", SHOWS,
               "of side bow stays. A rod works in the plane of the strings and cannot straighten a neck sideways."),
        _limit("s-curve", left_over(shape), "mm", SHOWS, "of hills and hollows stays at the best setting. A rod makes one even curve and cannot fit another shape."),
        _limit("kink at the body joint", left_over(kink[..., None] * hinge), "mm", SHOWS,
               "of a kink at the joint stays at the best setting. A rod bends evenly along its length and cannot take out a kink."),
        _limit("bow outside the rod", 1e3 * np.max(np.abs(outside), -1), "mm", SHOWS,
               "of the bow comes from beyond the ends of the rod. It cannot straighten that part, only bend its own length the other way."),
    )
