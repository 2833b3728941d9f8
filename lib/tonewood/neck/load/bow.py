"""From curvature to bow: the kernel behind relief, free of any neck, string or rod.

Only curvature matters; how the neck is held does not, because relief is read against a straightedge laid on the frets. Curvature and bow
are positive for forward bow (hollow towards the strings). Curvature is taken as straight between stations and integrated exactly, so one
matrix (points x stations) turns any number of curvatures into bows. Source: Euler-Bernoulli beam, unit-load integral.
"""

from functools import lru_cache

import numpy as np

from tonewood.checks import number

_TERMS = 4          # of the second-order series before its tail is summed; see second_order


def stations_checked(x):
    """Stations as a strictly rising float array (S,), m. Raises ValueError."""
    x = np.atleast_1d(np.asarray(number("station", x, unit="m"), dtype=float))
    if x.ndim != 1 or x.size < 2 or np.any(np.diff(x) <= 0):
        raise ValueError(f"stations: {x.size} given, not all rising; accepted: at least 2 distances from the nut in m, each larger than the one before")
    return x


@lru_cache(maxsize=64)
def _double_integral(x, points):
    x, points = np.array(x), np.array(points)
    a, h = x[:-1], np.diff(x)
    inside = np.clip(points[:, None] - a, 0.0, h)                        # (P, S-1) part of each interval left of the point
    beyond = np.clip(points[:, None] - a - h, 0.0, None) * h / 2.0       # lever beyond a whole interval
    near = inside**2 / 2.0 - inside**3 / (6.0 * h) + beyond              # weight of the interval's left station
    far = inside**3 / (6.0 * h) + beyond                                 # of its right station
    result = np.zeros((points.size, x.size))
    result[:, :-1] += near
    result[:, 1:] += far
    return result


@lru_cache(maxsize=64)
def _chord(x, points, first, last):
    ends = _double_integral(x, (first, last))
    share = ((np.array(points) - first) / (last - first))[:, None]
    matrix = ends[0] * (1.0 - share) + ends[1] * share - _double_integral(x, points)
    matrix.setflags(write=False)
    return matrix


def chord_matrix(x, points, first, last):
    """Matrix (P, S): curvature (1/m) at stations x -> gap (m) under a straightedge that touches at `first` and `last`, at `points`.

    x (S,) rising and covering first, last and points (m); outside the chord the gap continues, negative where the wood rises above the
    line. Kept for reuse. Raises ValueError.
    """
    x = stations_checked(x)
    points = np.atleast_1d(np.asarray(number("point on the neck", points, x[0] - 1e-12, x[-1] + 1e-12, "m"), dtype=float))
    first = number("first point of the straightedge", first, x[0] - 1e-12, x[-1] + 1e-12, "m")
    last = number("last point of the straightedge", last, first, x[-1] + 1e-12, "m", open_low=True)
    return _chord(tuple(x.tolist()), tuple(points.tolist()), first, last)


def bow(x, curvature, points, first, last):
    """Gap (m) under a straightedge from `first` to `last` at `points`: curvature (..., S) 1/m gives (..., P). Raises ValueError."""
    return np.asarray(curvature) @ chord_matrix(x, points, first, last).T


def second_order(x, curvature, flexibility, load, first, last):
    """Curvature with the string pull acting on the already bowed neck (P-delta).

    The strings stay straight between nut (`first`) and bridge (`last`), so a bow w adds the moment P w: curvature = c0 + P w / EI, with w
    the bow that very curvature makes. x (S,); curvature c0 (..., S), 1/m; flexibility 1/EI (..., S), 1/(N m2); load P (...), N, 0 or
    more. The series in P is summed term by term; its tail is geometric (the first buckling shape) and is summed in closed form,
    which leaves less than 1e-6 of the bow for P up to half the buckling load.

    Returns (curvature (..., S), amplification (...), share (...)): amplification = largest bow nut to bridge over the one without this
    effect; share = estimate of P over the buckling load. Raises ValueError if the strings would buckle the neck.
    """
    load = np.asarray(number("string pull", load, 0.0, unit="N"))[..., None]
    curvature = np.asarray(curvature, dtype=float)
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
        raise ValueError(f"string pull: {float(np.max(load)):.4g} N given, about {worst:.2f} of the load that buckles this neck between nut and bridge; "
                         "accepted: below 0.95. Is the bending stiffness in N m2?")
    total = total + term * ratio / (1.0 - ratio)
    peak = np.max(np.abs(first_order), -1)
    amplification = np.where(peak > 0, np.max(np.abs(total), -1) / np.where(peak > 0, peak, 1.0), 1.0)
    return curvature + factor * total, amplification, np.broadcast_to(ratio[..., 0], amplification.shape)


def bending(EI, EI_side, EI_cross, moment, side_moment):
    """Curvatures of a section that need not be symmetric, under a moment in each plane.

    EI, EI_side, EI_cross (N m2); moment (N m, pull times height above the axis), side_moment (pull times distance to the treble side of the
    axis). Returns (forward-bow curvature, side curvature d strain / dy), 1/m: the latter is positive when the middle of the neck
    moves to the treble. All broadcast.
    """
    determinant = EI * EI_side - EI_cross**2
    return ((EI_side * moment - EI_cross * side_moment) / determinant,
            (EI_cross * moment - EI * side_moment) / determinant)


def glue_shear(shear_force, first_moment, EI, width=None):
    """Shear in a glue line that lies across the section: flow q = V ES / EI (N/m); with its width (m) the stress q / b (Pa).

    shear_force V (N); first_moment ES: sum of E z' dA on one side of the line, z' from the E-weighted axis (N m); EI (N m2). Composite-beam
    shear formula, any strength-of-materials text. All broadcast.
    """
    flow = np.asarray(shear_force) * first_moment / number("bending stiffness", EI, 0.0, unit="N m2", open_low=True)
    return flow if width is None else flow / number("width of the glue line", width, 0.0, unit="m", open_low=True)
