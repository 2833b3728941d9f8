"""What a neck does when its pieces take up or lose moisture: bow, side bow, twist, cup, width, fret ends, glue lines.

Model: every piece would change by its swelling tensor times its own change of moisture; glued together they share one section (see
neck.eigenstrain for the sums and signs). Stiffness is taken half-way between the two moisture contents, so drying exactly undoes wetting.
Carbon and steel do not move. Elastic: slow relaxation would reduce stresses, perhaps by half, and part of the bow.

Not predictable from names: the forward bow hangs on the small difference in lengthwise swelling between fretboard and neck, whose sign no
table gives. Use draws (neck.design.spread) and look at the share of either sign; only a measured strip or the neck's own history settles it.
"""

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from tonewood import checks
from tonewood.neck.bow import chord_matrix
from tonewood.neck.eigenstrain import Response, rectangles, response, stress
from tonewood.neck.section import regions, slots
from tonewood.neck.twist import twist_rate
from tonewood.wood.elastic import modulus_along
from tonewood.wood.moisture import modulus_at

LENGTH, ACROSS, UP = 0, 1, 2


@dataclass(frozen=True)
class Movement:
    """Change of a neck from `start` to `end` moisture. Lengths in m, angles in rad, stress in Pa; each float or (D,) unless shaped below.

    start, end: (P,) or (D, P) moisture of every piece, in the order of neck.pieces. x: stations (S,).
    response: strain and curvatures along the neck, (S,) or (D, S). twist_rate: rad/m, same shape.
    relief: largest bow between first and last fret, positive forward (strings further from the middle); relief_at: at each fret, (F,) or (D, F).
    side_bow: largest, positive when the middle moves to the treble. twist: of the last fret against the first, positive when
    the treble edge stands higher at the last fret. cup: of the fretboard across its width at mid-length, positive hollow.
    width_nut, width_end: change of width at the glue line. thickness: change on the centre line at mid-length.
    fret_end: how far each fret end stands out of the board at the last fret (negative: the board outgrew it), the board held by the neck;
    fret_end_free: the same if the glue did not hold it, the far limit.
    joints: names (J). step: what one piece would stand proud of the other at a joint if free, (J,) or (D, J); between stripes at full depth (half
    shows on either face), under the fretboard at one edge. joint_stress: cross-grain stress in the pieces if held flush, elastic.
    """

    neck: object = field(repr=False, compare=False)
    start: np.ndarray
    end: np.ndarray
    x: np.ndarray
    response: Response
    twist_rate: np.ndarray
    relief: object
    relief_at: np.ndarray
    side_bow: object
    twist: object
    cup: object
    width_nut: object
    width_end: object
    thickness: object
    fret_end: object
    fret_end_free: object
    joints: tuple
    step: np.ndarray
    joint_stress: np.ndarray

    @cached_property
    def stress(self):
        """Stress along the neck at the middle of every region, (R, S) or (D, R, S), Pa, tension positive; order of neck.section.regions;
        a slotted layer counts as the average over its slots."""
        parts = regions(self.neck, self.x)
        E, free = _lengthwise(self.neck, parts, self.start, self.end)
        with np.errstate(invalid="ignore", divide="ignore"):
            y, z = (np.where(parts.area > 1e-12, moment / parts.area, np.nan) for moment in (parts.Sy, parts.Sz))
        bent = Response(*(getattr(self.response, n)[..., None, :] for n in ("centre", "curvature", "side_curvature")))
        found = stress(bent, E[..., None], free[..., None], y, z)
        if parts.slotted is not None:
            found[..., parts.slotted, :] *= slots(self.neck, parts)
        return found

    def table(self):
        """DataFrame: one column per quantity with its unit; one row, or with draws the 5 %, 50 % and 95 % points."""
        import pandas as pd
        columns = {"relief change (mm)": 1e3 * self.relief, "side bow (mm)": 1e3 * self.side_bow, "twist (degrees)": np.degrees(self.twist),
                   "cup (mm)": 1e3 * self.cup, "width at nut (mm)": 1e3 * self.width_nut, "width at last fret (mm)": 1e3 * self.width_end,
                   "thickness (mm)": 1e3 * self.thickness, "fret end, each side (mm)": 1e3 * self.fret_end,
                   "fret end if board were free (mm)": 1e3 * self.fret_end_free}
        for j, name in enumerate(self.joints):
            columns[f"step, {name} (mm)"] = 1e3 * self.step[..., j]
            columns[f"cross-grain stress if held, {name} (MPa)"] = 1e-6 * self.joint_stress[..., j]
        if all(np.ndim(v) == 0 for v in columns.values()):
            return pd.DataFrame({k: [float(v)] for k, v in columns.items()}, index=["value"])
        return pd.DataFrame({k: np.percentile(v, [5, 50, 95]) for k, v in columns.items()}, index=["5 %", "50 %", "95 %"])


def piece_moisture(neck, value, name="moisture content"):
    """Moisture of every piece: (P,) or (D, P).

    value: one fraction for all pieces; a (D,) array of draws for all pieces; or a list with one entry (fraction or (D,) array) for every piece
    in the order of neck.pieces, stripes from bass to treble, then the fretboard. Raises ValueError.
    """
    pieces = neck.pieces
    if isinstance(value, (list, tuple)):
        if len(value) != len(pieces):
            raise ValueError(f"{name}: a list of {len(value)} given; accepted: one fraction, or {len(pieces)} of them "
                             f"({len(pieces) - 1} stripes from bass to treble, then the fretboard)")
        entries = list(value)
    elif np.ndim(value) == 2 and np.shape(value)[1] == len(pieces):
        entries = list(np.asarray(value).T)
    elif np.ndim(value) > 1:
        raise ValueError(f"{name}: an array of shape {np.shape(value)} given; accepted: one fraction, draws (D,), or a list with one entry per piece")
    else:
        entries = [value] * len(pieces)
    labels = [f"{name} of stripe {i + 1}" for i in range(len(pieces) - 1)] + [f"{name} of the fretboard"]
    entries = [np.asarray(checks.moisture(label, entry, piece.species.fibre_saturation)) for label, entry, piece in zip(labels, entries, pieces)]
    checks.draw_count(**dict(zip(labels, entries)), **{"the neck": neck.draws and np.empty(neck.draws)})
    return np.stack(np.broadcast_arrays(*entries), -1).astype(float)


def movement(neck, start, end, x=None):
    """Change of a neck whose pieces go from `start` to `end` moisture (fractions, see piece_moisture for the forms accepted).

    x: stations (S,) in m, from the nut to at least the last fret; None: neck.stations(). Beyond neck.body_start the body keeps the
    neck from bending. Returns Movement. Raises ValueError.
    """
    x = neck.stations() if x is None else np.atleast_1d(checks.number("station", x, 0.0, neck.scale_length, "m"))
    if neck.body_start is not None and x[0] < neck.body_start < x[-1]:
        x = np.unique(np.concatenate([x, [neck.body_start, neck.body_start + 1e-6]]))
    start, end = piece_moisture(neck, start, "start moisture"), piece_moisture(neck, end, "end moisture")
    checks.draw_count(start_moisture=start if start.ndim > 1 else None, end_moisture=end if end.ndim > 1 else None)
    parts = regions(neck, x)
    stiffening = _stiffening(neck, (start + end) / 2)
    E, free = _lengthwise(neck, parts, start, end, stiffening)
    bent = response([parts.area, parts.Sy, parts.Sz, parts.Syy, parts.Szz, parts.Syz], E, free, parts.slotted, slots(neck, parts))
    turning = twist_rate(neck, x, end - start)
    if neck.body_start is not None:
        loose = x <= neck.body_start
        bent = Response(bent.centre, bent.curvature * loose, bent.side_curvature * loose)
        turning = turning * loose

    first, last = float(neck.fret(1)), neck.end
    frets = neck.fret(np.arange(1, int(neck.frets) + 1))
    places = np.linspace(first, last, 25)
    forward, sideways = -bent.curvature, bent.side_curvature
    return Movement(neck, start, end, x, bent, turning, _largest(_bowed(x, forward, places, first, last)), _bowed(x, forward, frets, first, last),
                    _largest(_bowed(x, sideways, places, first, last)), between(x, turning, first, last), **_across(neck, end - start, stiffening))


def _bowed(x, curvature, places, first, last):
    """bow() a few hundred draws at a time: small products stay on one processor core, which is faster where cores are shared."""
    matrix = chord_matrix(x, places, first, last).T
    if curvature.ndim == 1:
        return curvature @ matrix
    return np.concatenate([curvature[i:i + 250] @ matrix for i in range(0, len(curvature), 250)])


def _lengthwise(neck, parts, start, end, stiffening=None):
    """Modulus half-way and free strain along the neck of every region, (R,) or (D, R) each."""
    change = end - start
    free = [piece.swelling_xyz[..., LENGTH, LENGTH] * change[..., i] for i, piece in enumerate(neck.pieces)]
    return moduli_at(neck, parts, (start + end) / 2, stiffening), _per_region(neck, parts, free, lambda bar: 0.0)


def moduli_at(neck, parts, moisture, stiffening=None):
    """Modulus along the neck (Pa) of every region of `parts`, (R,) or (D, R), with the pieces at `moisture`, (P,) or (D, P)."""
    stiffening = _stiffening(neck, moisture) if stiffening is None else stiffening
    return _per_region(neck, parts, [piece.E_x * s for piece, s in zip(neck.pieces, stiffening)], lambda bar: bar.modulus)


def _per_region(neck, parts, own, bar):
    values = [own[p] if p >= 0 else bar(neck.bars[-1 - p]) for p in parts.piece]
    return np.stack(np.broadcast_arrays(*values), -1).astype(float)


def _stiffening(neck, moisture):
    """For each piece, its modulus at `moisture` (P,) or (D, P) over that at its own moisture."""
    ratios = []
    for i, piece in enumerate(neck.pieces):
        law = piece.species.green_ratio, piece.species.mp
        ratios.append(modulus_at(1.0, law[0], moisture[..., i], law[1]) / modulus_at(1.0, law[0], piece.moisture, law[1]))
    return ratios


def _largest(profile):
    """The reading that is largest in size, with its sign: (M,) -> float, (D, M) -> (D,)."""
    where = np.argmax(np.abs(profile), axis=-1)
    found = np.take_along_axis(profile, where[..., None], -1)[..., 0]
    return float(found) if found.ndim == 0 else found


def between(x, rate, first, last):
    """Integral of a rate (S,) or (D, S), straight between the stations x (S,), from `first` to `last`: a float or (D,)."""
    points = np.concatenate([[first], x[(x > first) & (x < last)], [last]])
    weight = np.zeros(len(points))
    weight[:-1] += np.diff(points) / 2
    weight[1:] += np.diff(points) / 2
    return rate @ (np.array([np.interp(points, x, row) for row in np.eye(len(x))]) @ weight)


def _across(neck, change, stiffening):
    """Everything across the grain, from section sizes at the nut, at mid-length and at the last fret. change: of moisture, (P,) or (D, P)."""
    pieces = neck.pieces
    wide, high = [], []
    E_y, E_z = [], []
    for i, piece in enumerate(pieces):
        wide.append(piece.swelling_xyz[..., ACROSS, ACROSS] * change[..., i])
        high.append(piece.swelling_xyz[..., UP, UP] * change[..., i])
        scale = piece.E_L / piece.species.modulus * stiffening[i]
        E_y.append(modulus_along(piece.species.elastic, piece.Q[..., ACROSS, :]) * scale)
        E_z.append(modulus_along(piece.species.elastic, piece.Q[..., UP, :]) * scale)

    middle = neck.end / 2
    bands = {where: _strip(neck, x, wide, E_y) for where, x in (("nut", 0.0), ("middle", middle), ("end", neck.end))}
    board_thickness = neck.fretboard.thickness
    cupping, nut, end_ = (_two_layers(neck, x, bands[w], wide[-1], E_y[-1]) for w, x in (("middle", middle), ("nut", 0.0), ("end", neck.end)))
    width_middle, width_nut, width_end = (float(neck.outline.width(x)) for x in (middle, 0.0, neck.end))
    depth, centre = float(neck.back.depth(middle)), int(np.clip(np.searchsorted(neck.layup.edges, 0.0, "right") - 1, 0, len(pieces) - 2))

    joints, steps, held = [], [], []
    for i in range(len(pieces) - 2):
        gap = high[i + 1] - high[i]
        place = neck.layup.edges[i + 1]
        if abs(place) >= width_middle / 2:
            continue
        joints.append(f"stripes {i + 1} and {i + 2}")
        steps.append(-gap * neck.back.surface(place, width_middle / 2, depth))
        held.append(np.abs(gap) / (1 / E_z[i] + 1 / E_z[i + 1]))
    gap = wide[-1] - bands["middle"][0]
    joints.append("fretboard and neck")
    steps.append(gap * width_middle / 2)
    held.append(np.abs(gap) / (1 / E_y[-1] + 1 / bands["middle"][1]))

    return {"cup": -cupping.curvature[..., 0] * width_middle**2 / 8, "width_nut": nut.centre[..., 0] * width_nut,
            "width_end": end_.centre[..., 0] * width_end, "thickness": high[-1] * board_thickness + high[centre] * depth,
            "fret_end": -end_.strain(0.0, board_thickness)[..., 0] * width_end / 2, "fret_end_free": -wide[-1] * width_end / 2,
            "joints": tuple(joints), "step": np.stack(np.broadcast_arrays(*steps), -1), "joint_stress": np.stack(np.broadcast_arrays(*held), -1)}


def _strip(neck, x, strains, moduli):
    """Free strain and modulus across the neck wood at x: stripes one after another, each by the width it has there."""
    half = float(neck.outline.width(x)) / 2
    share = np.diff(np.clip(neck.layup.edges, -half, half)) / (2 * half)
    return sum(s * e for s, e in zip(share, strains)), 1 / sum(s / E for s, E in zip(share, moduli))


def _two_layers(neck, x, band, board_strain, board_modulus):
    """Fretboard on neck, seen from the end: a two-layer strip across the width, the neck as thick as its mean depth there."""
    width = float(neck.outline.width(x))
    parts = regions(neck, [x])
    depth = float(sum(parts.area[r, 0] for r, p in enumerate(parts.piece) if p != len(neck.pieces) - 1)) / width
    t = neck.fretboard.thickness
    pair = [np.stack(np.broadcast_arrays(a, b), -1) for a, b in ((band[1], board_modulus), (band[0], board_strain))]
    return response(rectangles(1.0, [depth, t], 0.0, [-depth / 2, t / 2]), *pair)
