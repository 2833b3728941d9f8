"""From curvature to bow: the kernel behind relief, free of any neck, string or rod.

Only curvature matters; how the neck is held does not, because relief is read against a straightedge laid on
the frets. Curvature and bow are positive for forward bow (hollow towards the strings). Curvature is taken as
straight between stations and integrated exactly, so one matrix (points x stations) turns any number of
curvatures into bows. Source: Euler-Bernoulli beam, unit-load integral.
"""

from __future__ import annotations

import numpy as np

from tonewood.checks import finite, length, number
from tonewood.draws import Array, Draws
from tonewood.remember import remember

EI_MOST, USUAL = 1e5, (20.0, 2e4)
"""N m2: more than any neck or body has, and what necks and bodies have, to tell which unit was meant."""
_TERMS = 4          # of the second-order series before its tail is summed; see second_order


def stations_checked(x: Draws) -> Array:
    """Stations as a strictly rising float array (S,), m. Raises ValueError.

    >>> stations_checked([0, 0.1]).tolist()
    [0.0, 0.1]
    """
    x = np.atleast_1d(np.asarray(number("station", x, unit="m"), dtype=float))
    if x.ndim != 1 or x.size < 2 or np.any(np.diff(x) <= 0):
        raise ValueError(f"stations: {x.size} given, not all rising; accepted: at least 2 distances from the "
                         "nut in m, each larger than the one before")
    return x


def stiffness_in_bending(name: str, value: Draws) -> Draws:
    """A bending stiffness EI (N m2), float or (D,), from 1 to EI_MOST. Raises ValueError that suspects N mm2,
    kN m2 or a factor of a thousand.

    >>> stiffness_in_bending("bending stiffness", 457.0)
    457.0
    """
    def slip(v: float) -> str | None:
        for unit, size in (("kN·m²", 1e3), ("N·mm²", 1e-6), ("thousandths of a N·m²", 1e-3)):
            if USUAL[0] <= v * size <= USUAL[1]:
                return f"Is it in {unit}? {v:g} {unit} is {v * size:g} N·m²"
        return None

    return number(name, value, 1.0, EI_MOST, "N·m²", slip)


@remember(64)
def _double_integral(stations: tuple[float, ...], at: tuple[float, ...]) -> Array:
    x, points = np.array(stations), np.array(at)
    a, h = x[:-1], np.diff(x)
    inside = np.clip(points[:, None] - a, 0.0, h)                     # (P, S-1): interval left of a point
    beyond = np.clip(points[:, None] - a - h, 0.0, None) * h / 2.0    # lever beyond a whole interval
    far = inside**3 / (6.0 * h)
    result = np.zeros((points.size, x.size))
    result[:, :-1] += inside**2 / 2.0 - far + beyond                  # weight of the interval's left station
    result[:, 1:] += far + beyond                                     # and of its right one
    return result


@remember(64)
def _chord(x: tuple[float, ...], points: tuple[float, ...], first: float, last: float) -> Array:
    ends = _double_integral(x, (first, last))
    share = ((np.array(points) - first) / (last - first))[:, None]
    matrix = ends[0] * (1.0 - share) + ends[1] * share - _double_integral(x, points)
    matrix.setflags(write=False)
    return matrix


def chord_matrix(x: Draws, points: Draws, first: float, last: float) -> Array:
    """Matrix (P, S): curvature (1/m) at stations x -> gap (m) under a straightedge that touches at `first`
    and `last`, at `points`.

    x (S,) rising and covering first, last and points (m); outside the chord the gap continues, negative where
    the wood rises above the line. Kept for reuse. Raises ValueError.

    >>> chord_matrix([0.0, 1.0], 0.5, 0.0, 1.0).round(4).tolist()
    [[0.0625, 0.0625]]
    """
    x = stations_checked(x)
    low, high = x[0] - 1e-12, x[-1] + 1e-12
    points = np.atleast_1d(np.asarray(number("point on the neck", points, low, high, "m"), dtype=float))
    number("first point of the straightedge", first, low, high, "m")
    number("last point of the straightedge", last, first, high, "m", open_low=True)
    return _chord(tuple(x.tolist()), tuple(points.tolist()), float(first), float(last))


def bow(x: Draws, curvature: Draws, points: Draws, first: float, last: float) -> Array:
    """Gap (m) under a straightedge from `first` to `last` at `points` (P,): curvature (..., S) 1/m gives
    (..., P). Raises ValueError.

    >>> bow([0.0, 1.0], [0.008, 0.008], 0.5, 0.0, 1.0).round(4).tolist()
    [0.001]
    """
    return np.asarray(number("curvature", curvature, unit="1/m")) @ chord_matrix(x, points, first, last).T


def second_order(x: Draws, curvature: Draws, flexibility: Draws, load: Draws, first: float, last: float
                 ) -> tuple[Array, Array, Array]:
    """Curvature with the string pull acting on the already bowed neck (P-delta).

    The strings stay straight between nut (`first`) and bridge (`last`), so a bow w adds the moment P w:
    curvature = c0 + P w / EI, with w the bow that very curvature makes. x (S,); curvature c0 (..., S), 1/m;
    flexibility 1/EI (..., S), 1/(N m2); load P (...), N, 0 or more. The series in P is summed term by term;
    its tail is geometric (the first buckling shape) and is summed in closed form, which leaves less than 1e-6
    of the bow for P up to half the buckling load.

    Returns (curvature (..., S), amplification (...), share (...)): amplification = largest bow nut to bridge
    over the one without this effect; share = estimate of P over the buckling load. Raises ValueError if the
    strings would buckle the neck.

    >>> x = np.linspace(0.0, 0.648, 40)
    >>> _, amplification, share = second_order(x, np.full(40, 0.015), np.full(40, 1 / 350), 440.0, 0.0, 0.648)
    >>> round(float(amplification), 3), round(float(share), 3)
    (1.058, 0.053)
    """
    load = np.asarray(number("string pull", load, 0.0, unit="N"))[..., None]
    curvature = np.asarray(number("curvature", curvature, unit="1/m"))
    flexibility = number("flexibility", flexibility, 0.0, unit="1/(N·m²)")
    matrix = chord_matrix(x, x, first, last).T
    first_order = curvature @ matrix
    term, total = first_order, first_order
    ratio = np.zeros(np.broadcast_shapes(first_order.shape[:-1], load.shape[:-1]))[..., None]
    factor = load * np.asarray(flexibility)
    size = np.sum(term * term, -1, keepdims=True)
    for _ in range(_TERMS):
        following = (factor * term) @ matrix
        ratio = np.sum(following * term, -1, keepdims=True) / np.where(size > 0, size, 1.0)
        term, total = following, total + following
        size = np.sum(term * term, -1, keepdims=True)
    worst = float(np.max(ratio))
    if worst >= 0.95:
        raise ValueError(f"string pull: {float(np.max(load)):.4g} N given, about {worst:.2f} of the load "
                         "that buckles this neck between nut and bridge; accepted: below 0.95. Is the "
                         "bending stiffness in N·m²?")
    total = total + term * ratio / (1.0 - ratio)
    peak = np.max(np.abs(first_order), -1)
    amplification = np.where(peak > 0, np.max(np.abs(total), -1) / np.where(peak > 0, peak, 1.0), 1.0)
    return curvature + factor * total, amplification, np.broadcast_to(ratio[..., 0], amplification.shape)


def bending(EI: Draws, EI_side: Draws, EI_cross: Draws, moment: Draws, side_moment: Draws
            ) -> tuple[Draws, Draws]:
    """Curvatures of a section that need not be symmetric, under a moment in each plane. All broadcast.

    EI, EI_side, EI_cross (N m2); moment (N m): pull times height above the axis; side_moment: pull times
    distance to the treble side of the axis. Returns (forward-bow curvature, side curvature d strain / dy),
    1/m: the latter is positive when the middle of the neck moves to the treble. Raises ValueError.

    >>> [round(c, 5) for c in bending(340.0, 1500.0, 90.0, 5.5, 0.4)]
    [0.01637, 0.00072]
    """
    EI = stiffness_in_bending("bending stiffness", EI)
    EI_side = stiffness_in_bending("sideways bending stiffness", EI_side)
    finite(cross_stiffness=EI_cross, moment=moment, side_moment=side_moment)
    determinant = EI * EI_side - EI_cross**2
    number("EI EI_side less EI_cross squared", determinant, 0.0, unit="N2 m4", open_low=True)
    return ((EI_side * moment - EI_cross * side_moment) / determinant,
            (EI_cross * moment - EI * side_moment) / determinant)


def glue_shear(shear_force: Draws, first_moment: Draws, EI: Draws, width: Draws | None = None
               ) -> Array:
    """Shear in a glue line that lies across the section: flow q = V ES / EI (N/m); with its width (m) the
    stress q / b (Pa).

    shear_force V (N); first_moment ES: sum of E z' dA on one side of the line, z' from the E-weighted axis (N
    m); EI (N m2). Composite-beam shear formula, any strength-of-materials text. All broadcast. Raises
    ValueError.

    >>> round(float(glue_shear(20.0, 24550.0, 344.3, 0.04)))
    35652
    """
    EI = stiffness_in_bending("bending stiffness", EI)
    finite(shear_force=shear_force, first_moment=first_moment)
    flow = np.asarray(shear_force) * first_moment / EI
    return flow if width is None else flow / length("width of the glue line", width, high=1.0)


def evened(x: Array, EI: Draws, first: float, last: float) -> Draws:
    """The even bending stiffness (N m2), a float or (D,), that bows as much at mid-span between `first` and
    `last` (m) as EI (S,) or (D, S) at stations x. Source: unit-load integral of Euler-Bernoulli bending under
    an even moment. Raises ValueError.

    >>> round(float(evened(np.linspace(0.0, 0.5, 6), np.full(6, 40.0), 0.1, 0.4)), 6)
    40.0
    """
    finite(first_point=first, last_point=last)
    stiffness = np.asarray(stiffness_in_bending("bending stiffness", EI))
    sag = (1 / stiffness) @ chord_matrix(x, (first + last) / 2, first, last)[0]
    return (last - first) ** 2 / 8 / sag
