"""What a neck does when its pieces take up or lose moisture: bow, side bow, twist, cup, width, fret ends,
glue lines.

Model: every piece would change by its swelling tensor times its own change of moisture; glued together they
share one section (see seasons.eigenstrain for the sums and signs). Stiffness is taken half-way between the
two moisture contents, so drying exactly undoes wetting. Carbon and steel do not move. Elastic: slow
relaxation would reduce stresses, perhaps by half, and part of the bow.

Not predictable from names: the forward bow hangs on the small difference in lengthwise swelling between
fretboard and neck, whose sign no table gives. Use draws (layup.neck.spread) and look at the share of either
sign; only a measured strip or the neck's own history settles it.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike

from tonewood import checks
from tonewood.draws import Array, Draws, band_table, in_batches
from tonewood.neck.layup.neck import Neck
from tonewood.neck.load.bow import chord_matrix
from tonewood.neck.seasons.eigenstrain import Response, rectangles, response
from tonewood.neck.seasons.pieces import Moisture, moduli_at, piece_moisture, stiffening
from tonewood.neck.section.stations import AtStations, at_stations
from tonewood.neck.section.twist import ACROSS, LENGTH, UP, beside, between, twist_rate

if TYPE_CHECKING:
    import pandas


@dataclass(frozen=True)
class Movement:
    """Change of a neck from `start` to `end` moisture. Lengths in m, angles in rad, stress in Pa; each float
    or (D,) unless shaped below.

    here: the neck at stations (S,). start, end: moisture of every piece, in the order of neck.pieces, (P,) or
    (D, P); with T moments (D, T, P), and whatever is (D,) or (D, …) below is then (D, T) or (D, T, …).
    held: strain and curvatures (S,) or (D, S) where not the wood alone has its say (a rod); else None.
    """

    here: AtStations = field(repr=False, compare=False)
    start: Array
    end: Array
    held: Response | None = field(default=None, repr=False)

    # Each quantity is worked out when first asked for: a live figure asks for three of them, a table for all.
    @property
    def neck(self) -> Neck:
        """The neck."""
        return self.here.neck

    @property
    def x(self) -> Array:
        """Stations (S,), m."""
        return self.here.x

    @property
    def loose(self) -> Array:
        """1 at the stations (S,) that are free to bend, 0 beyond the body joint."""
        body = self.neck.body_start
        return np.ones_like(self.x) if body is None else (self.x <= body).astype(float)

    @cached_property
    def response(self) -> Response:
        """What the section does at the stations: as the wood alone moves it, or as it is `held`."""
        if self.held is not None:
            return self.held
        parts, (E, free) = self.here.regions, _lengthwise(self.here, self.start, self.end)
        bent = response(parts.integrals, E, free, parts.slotted, _slots(self.here, E))
        return Response(bent.centre, bent.curvature * self.loose, bent.side_curvature * self.loose)

    @cached_property
    def relief_at(self) -> Array:
        """Bow at each fret, m, (F,) or (D, F), positive forward: strings further from the middle."""
        return self._bow(-self.response.curvature, self.neck.fret(np.arange(1, int(self.neck.frets) + 1)))

    @cached_property
    def relief(self) -> Draws:
        """Largest bow between first and last fret, m, positive forward."""
        return _largest(self._bow(-self.response.curvature, self._places))

    @cached_property
    def side_bow(self) -> Draws:
        """Largest side bow, m, positive when the middle moves to the treble."""
        return _largest(self._bow(self.response.side_curvature, self._places))

    @cached_property
    def twist_rate(self) -> Array:
        """Twist per length at the stations, rad/m, (S,) or (D, S)."""
        return twist_rate(self.here, self.end - self.start) * self.loose

    @cached_property
    def twist(self) -> Draws:
        """Twist of the last fret against the first, rad, positive when the treble edge stands higher at the
        last fret."""
        return between(self.x, self.twist_rate, *self._chord)

    @cached_property
    def cup(self) -> Draws:
        """Hollow of the fretboard across its width at mid-length, m; rings straight (else add ring_cup)."""
        return -self._end_on(self.neck.end / 2).curvature[..., 0] * self._width(self.neck.end / 2) ** 2 / 8

    @cached_property
    def width_nut(self) -> Draws:
        """Change of width at the nut, at the glue line, m."""
        return self._end_on(0.0).centre[..., 0] * self._width(0.0)

    @cached_property
    def width_end(self) -> Draws:
        """Change of width at the last fret, at the glue line, m."""
        return self._at_last_fret.centre[..., 0] * self._width(self.neck.end)

    @cached_property
    def fret_end(self) -> Draws:
        """How far each fret end stands out at the last fret, m, the board held by the neck; negative: the
        board outgrew it."""
        strain = self._at_last_fret.strain(0.0, self.neck.fretboard.thickness)[..., 0]
        return -strain * self._width(self.neck.end) / 2

    @cached_property
    def fret_end_free(self) -> Draws:
        """The same if the glue did not hold the top of the board, the far limit, m; without a fretboard the
        neck's own."""
        free = self._wide[0][-1] if self.neck.fretboard.layers else self._strip(self.neck.end)[0]
        return -free * self._width(self.neck.end) / 2

    @cached_property
    def thickness(self) -> Draws:
        """Change of thickness on the centre line at mid-length, m."""
        neck, strains = self.neck, self._high[0]
        edges, count = self._edges(neck.end / 2), len(neck.layup.stripes)
        centre = int(np.clip(np.searchsorted(edges, 0.0, "right") - 1, 0, count - 1))
        return sum((free * layer.thickness for free, layer in
                    zip(strains[count:], neck.fretboard.layers, strict=True)),
                   strains[centre] * float(neck.back.depth(neck.end / 2)))

    @property
    def joints(self) -> tuple[str, ...]:
        """Names of the glue lines, (J)."""
        return self._joints[0]

    @property
    def step(self) -> Array:
        """What one piece would stand proud of the other at a joint if free, m, (J,) or (D, J); between
        stripes at full depth (half shows on either face), under the fretboard at one edge."""
        return self._joints[1]

    @property
    def joint_stress(self) -> Array:
        """Cross-grain stress in the pieces if held flush, elastic, Pa, (J,) or (D, J)."""
        return self._joints[2]

    @property
    def _chord(self) -> tuple[float, float]:
        return float(self.neck.fret(1)), self.neck.end

    @property
    def _places(self) -> Array:
        return np.linspace(*self._chord, 25)

    def _width(self, x: float) -> float:
        return float(self.neck.outline.width(x))

    def _bow(self, curvature: Array, places: Array) -> Array:
        """bow() a few hundred draws at a time: small products stay on one processor core, which is faster
        where cores are shared."""
        matrix = chord_matrix(self.x, places, *self._chord).T
        if curvature.ndim == 1:
            return curvature @ matrix
        flat = curvature.reshape(-1, len(self.x))
        found = np.concatenate(in_batches(lambda rows: flat[rows] @ matrix, len(flat)))
        return found.reshape(curvature.shape[:-1] + places.shape)

    @cached_property
    def _stiffening(self) -> list[Draws]:
        return stiffening(self.neck, (self.start + self.end) / 2)

    def _free(self, axis: int) -> tuple[list[Draws], list[Draws]]:
        """Free strain and modulus of every piece along one of the axes across the grain."""
        strains: list[Draws] = []
        moduli: list[Draws] = []
        change = self.end - self.start
        for i, piece in enumerate(self.neck.pieces):
            strains.append(beside(piece.swelling_along(axis), change) * change[..., i])
            scale = beside(piece.scale, change) * self._stiffening[i]
            moduli.append(beside(piece.seen.crosswise[axis - 1], change) * scale)
        return strains, moduli

    @cached_property
    def _wide(self) -> tuple[list[Draws], list[Draws]]:
        return self._free(ACROSS)

    @cached_property
    def _high(self) -> tuple[list[Draws], list[Draws]]:
        return self._free(UP)

    def _edges(self, x: float) -> Array:
        return self.neck.layup.edges_at(x, -float(self.neck.back.depth(x)) / 2)

    def _strip(self, x: float) -> tuple[Draws, Draws]:
        """Free strain and modulus across the neck wood at x: stripes one after another, each by the width it
        has there."""
        half, (strains, moduli) = self._width(x) / 2, self._wide
        share = np.diff(np.clip(self._edges(x), -half, half)) / (2 * half)
        return (sum(s * e for s, e in zip(share, strains, strict=False)),
                1 / sum(s / E for s, E in zip(share, moduli, strict=False)))

    def _end_on(self, x: float) -> Response:
        return response(*self.layers_across(x))

    def layers_across(self, x: float) -> tuple[Array, Array, Array]:
        """Neck and layers of the fretboard at x (m) seen from the end, a strip across the width, the neck as
        thick as its mean depth there: integrals, moduli (Pa), free strains, for eigenstrain.response."""
        strain, modulus = self._strip(x)
        there = at_stations(self.neck, [x])
        stripes_and_bars = np.delete(there.regions.area, there.fretboard_regions, axis=0)
        depth, count = float(stripes_and_bars.sum()) / self._width(x), len(self.neck.layup.stripes)
        thick = np.array([depth, *(layer.thickness for layer in self.neck.fretboard.layers)])
        E, free = (np.stack(np.broadcast_arrays(first, *others[count:]), -1)
                   for first, others in ((modulus, self._wide[1]), (strain, self._wide[0])))
        return rectangles(1.0, thick, 0.0, np.cumsum(thick) - thick / 2 - depth), E, free

    @cached_property
    def _at_last_fret(self) -> Response:
        return self._end_on(self.neck.end)

    @cached_property
    def _joints(self) -> tuple[tuple[str, ...], Array, Array]:
        """(names, steps (J,) or (D, J), stresses if held) of the glue lines at mid-length."""
        neck, middle = self.neck, self.neck.end / 2
        width, depth = self._width(middle), float(neck.back.depth(middle))
        names: list[str] = []
        steps: list[Draws] = []
        held: list[Draws] = []
        strains, moduli = self._high
        count = len(neck.layup.stripes)
        for i in range(count - 1):
            place = self._edges(middle)[i + 1]
            if abs(place) >= width / 2:
                continue
            gap = strains[i + 1] - strains[i]
            names.append(f"stripes {i + 1} and {i + 2}")
            steps.append(-gap * neck.back.surface(place, width / 2, depth))
            held.append(np.abs(gap) / (1 / moduli[i] + 1 / moduli[i + 1]))
        strain, modulus = self._strip(middle)
        for i, (above, stiff) in enumerate(zip(*(values[count:] for values in self._wide), strict=True)):
            gap = above - strain
            names.append(f"fretboard layers {i} and {i + 1}" if i else "fretboard and neck")
            steps.append(gap * width / 2)
            held.append(np.abs(gap) / (1 / stiff + 1 / modulus))
            strain, modulus = above, stiff
        if not names:
            return (), np.zeros(0), np.zeros(0)
        stacked = (np.stack(np.broadcast_arrays(*found), -1) for found in (steps, held))
        return tuple(names), next(stacked), next(stacked)

    def table(self) -> pandas.DataFrame:
        """DataFrame: one column per quantity with its unit; one row, or with draws the 5 %, 50 % and 95 %
        points."""
        columns = {"relief change (mm)": 1e3 * self.relief, "side bow (mm)": 1e3 * self.side_bow,
                   "twist (degrees)": np.degrees(self.twist), "cup (mm)": 1e3 * self.cup,
                   "width at nut (mm)": 1e3 * self.width_nut,
                   "width at last fret (mm)": 1e3 * self.width_end, "thickness (mm)": 1e3 * self.thickness,
                   "fret end, each side (mm)": 1e3 * self.fret_end,
                   "fret end if board were free (mm)": 1e3 * self.fret_end_free}
        for j, name in enumerate(self.joints):
            columns[f"step, {name} (mm)"] = 1e3 * self.step[..., j]
            columns[f"cross-grain stress if held, {name} (MPa)"] = 1e-6 * self.joint_stress[..., j]
        return band_table(columns)


def movement(neck: Neck | AtStations, start: Moisture, end: Moisture, x: ArrayLike | None = None) -> Movement:
    """Change of a neck whose pieces go from `start` to `end` moisture (fractions, see piece_moisture for the
    forms accepted).

    x: stations (S,) in m, from the nut to at least the last fret; None: neck.stations(). Beyond
    neck.body_start the body keeps the neck from bending. Returns Movement. Raises ValueError.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> round(1e3 * float(movement(example_neck(), 0.08, 0.06).width_end), 2)
    -0.33
    """
    here = at_stations(neck, x)
    neck, x = here.neck, here.x
    if neck.body_start is not None and x[0] < neck.body_start < x[-1]:
        here = at_stations(neck, np.unique(np.concatenate([x, [neck.body_start, neck.body_start + 1e-6]])))
    start, end = piece_moisture(neck, start, "start moisture"), piece_moisture(neck, end, "end moisture")
    checks.draw_count(start_moisture=start if start.ndim > 1 else None, end_moisture=end if end.ndim > 1
                      else None)
    return Movement(here, start, end)


def _lengthwise(here: AtStations, start: Array, end: Array) -> tuple[Array, Array]:
    """Modulus half-way and free strain along the neck of every region, (R,) or (D, R) each."""
    change = end - start
    free = [beside(piece.swelling_along(LENGTH), change) * change[..., i]
            for i, piece in enumerate(here.neck.pieces)]
    return moduli_at(here, (start + end) / 2), here.per_region(free, lambda bar: 0.0)


def _slots(here: AtStations, E: Array) -> Array:
    """Factor of the slots at the stations, ready to stand beside moduli E that may have moments: (S,), (D, S)
    or (D, 1, S)."""
    return here.slots[:, None] if here.slots.ndim > 1 and E.ndim == 3 else here.slots


def _largest(profile: Array) -> Draws:
    """The reading that is largest in size, with its sign: (M,) -> float, (D, M) -> (D,)."""
    where = np.argmax(np.abs(profile), axis=-1)
    found = np.take_along_axis(profile, where[..., None], -1)[..., 0]
    return float(found) if found.ndim == 0 else found
