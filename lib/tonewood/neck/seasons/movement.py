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
from tonewood.neck.load.bow import chord_matrix
from tonewood.neck.seasons.eigenstrain import Response, rectangles, response, stress
from tonewood.neck.section.section import regions, slots
from tonewood.neck.section.twist import twist_rate
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

    # Each quantity is worked out when first asked for: a live figure asks for three of them, a table for all.
    @cached_property
    def relief_at(self):
        """Bow at each fret, m, (F,) or (D, F)."""
        return self._bow(-self.response.curvature, self.neck.fret(np.arange(1, int(self.neck.frets) + 1)))

    @cached_property
    def relief(self):
        """Largest bow between first and last fret, m, positive forward."""
        return _largest(self._bow(-self.response.curvature, self._places))

    @cached_property
    def side_bow(self):
        """Largest side bow, m, positive when the middle moves to the treble."""
        return _largest(self._bow(self.response.side_curvature, self._places))

    @cached_property
    def twist_rate(self):
        """Twist per length at the stations, rad/m, (S,) or (D, S)."""
        turning = twist_rate(self.neck, self.x, self.end - self.start)
        return turning if self.neck.body_start is None else turning * (self.x <= self.neck.body_start)

    @cached_property
    def twist(self):
        """Twist of the last fret against the first, rad."""
        return between(self.x, self.twist_rate, *self._chord)

    @cached_property
    def cup(self):
        """Hollow of the fretboard across its width at mid-length, m."""
        return -self._end_on(self.neck.end / 2).curvature[..., 0] * float(self.neck.outline.width(self.neck.end / 2)) ** 2 / 8

    @cached_property
    def width_nut(self):
        """Change of width at the nut, m."""
        return self._end_on(0.0).centre[..., 0] * float(self.neck.outline.width(0.0))

    @cached_property
    def width_end(self):
        """Change of width at the last fret, m."""
        return self._at_last_fret.centre[..., 0] * float(self.neck.outline.width(self.neck.end))

    @cached_property
    def fret_end(self):
        """How far each fret end stands out at the last fret, m, the board held by the neck."""
        return -self._at_last_fret.strain(0.0, self.neck.fretboard.thickness)[..., 0] * float(self.neck.outline.width(self.neck.end)) / 2

    @cached_property
    def fret_end_free(self):
        """The same if the glue did not hold the board, m."""
        return -self._wide[0][-1] * float(self.neck.outline.width(self.neck.end)) / 2

    @cached_property
    def thickness(self):
        """Change of thickness on the centre line at mid-length, m."""
        neck = self.neck
        centre = int(np.clip(np.searchsorted(neck.layup.edges, 0.0, "right") - 1, 0, len(neck.pieces) - 2))
        return self._high[0][-1] * neck.fretboard.thickness + self._high[0][centre] * float(neck.back.depth(neck.end / 2))

    @property
    def joints(self):
        """Names of the glue lines, (J)."""
        return self._joints[0]

    @property
    def step(self):
        """What one piece would stand proud of the other, m, (J,) or (D, J)."""
        return self._joints[1]

    @property
    def joint_stress(self):
        """Cross-grain stress if held flush, Pa, (J,) or (D, J)."""
        return self._joints[2]

    @property
    def _chord(self):
        return float(self.neck.fret(1)), self.neck.end

    @property
    def _places(self):
        return np.linspace(*self._chord, 25)

    def _bow(self, curvature, places):
        return _bowed(self.x, curvature, places, *self._chord)

    @cached_property
    def _stiffening(self):
        return _stiffening(self.neck, (self.start + self.end) / 2)

    def _free(self, axis):
        """Free strain and modulus of every piece along one of the axes across the grain: two lists."""
        strains, moduli = [], []
        for i, piece in enumerate(self.neck.pieces):
            strains.append(piece.swelling_along(axis) * (self.end - self.start)[..., i])
            scale = piece.E_L / piece.species.modulus * self._stiffening[i]
            moduli.append(modulus_along(piece.species.elastic, piece.Q[..., axis, :]) * scale)
        return strains, moduli

    @cached_property
    def _wide(self):
        return self._free(ACROSS)

    @cached_property
    def _high(self):
        return self._free(UP)

    def _end_on(self, x):
        """Neck and fretboard at x seen from the end, a two-layer strip across the width."""
        return _two_layers(self.neck, x, _strip(self.neck, x, *self._wide), self._wide[0][-1], self._wide[1][-1])

    @cached_property
    def _at_last_fret(self):
        return self._end_on(self.neck.end)

    @cached_property
    def _joints(self):
        return _joints(self.neck, self._wide, self._high)

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
    E, free = _lengthwise(neck, parts, start, end)
    bent = response([parts.area, parts.Sy, parts.Sz, parts.Syy, parts.Szz, parts.Syz], E, free, parts.slotted, slots(neck, parts))
    if neck.body_start is not None:
        loose = x <= neck.body_start
        bent = Response(bent.centre, bent.curvature * loose, bent.side_curvature * loose)
    return Movement(neck, start, end, x, bent)


def _bowed(x, curvature, places, first, last):
    """bow() a few hundred draws at a time: small products stay on one processor core, which is faster where cores are shared."""
    matrix = chord_matrix(x, places, first, last).T
    if curvature.ndim == 1:
        return curvature @ matrix
    return np.concatenate([curvature[i:i + 250] @ matrix for i in range(0, len(curvature), 250)])


def _lengthwise(neck, parts, start, end, stiffening=None):
    """Modulus half-way and free strain along the neck of every region, (R,) or (D, R) each."""
    change = end - start
    free = [piece.swelling_along(LENGTH) * change[..., i] for i, piece in enumerate(neck.pieces)]
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


def _joints(neck, wide, high):
    """(names, steps (J,) or (D, J), stresses if held) of the glue lines at mid-length. wide, high: (free strains, moduli) of the pieces across and up."""
    middle = neck.end / 2
    width, depth = float(neck.outline.width(middle)), float(neck.back.depth(middle))
    strains, moduli = high
    names, steps, held = [], [], []
    for i in range(len(neck.pieces) - 2):
        place = neck.layup.edges[i + 1]
        if abs(place) >= width / 2:
            continue
        gap = strains[i + 1] - strains[i]
        names.append(f"stripes {i + 1} and {i + 2}")
        steps.append(-gap * neck.back.surface(place, width / 2, depth))
        held.append(np.abs(gap) / (1 / moduli[i] + 1 / moduli[i + 1]))
    strain, modulus = _strip(neck, middle, *wide)
    gap = wide[0][-1] - strain
    names.append("fretboard and neck")
    steps.append(gap * width / 2)
    held.append(np.abs(gap) / (1 / wide[1][-1] + 1 / modulus))
    return tuple(names), np.stack(np.broadcast_arrays(*steps), -1), np.stack(np.broadcast_arrays(*held), -1)


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
