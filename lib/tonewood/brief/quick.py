"""One lay-up with all its possible boards, worked out fast enough for a search: weight, stiffness, rod,
seasons, loss factor, mode frequencies.

The sums are those of neck.section, neck.load.relief, neck.load.rod, neck.seasons.movement and
neck.section.damping, taken at few stations and without checks; tests hold them to those rooms' results. Two
things are shortened, and said: relief over the year is what the fretboard does alone plus what the neck does
alone, each in proportion to its change of moisture (the median swing within 6 % of neck.seasons.movement),
and a mode moves from the base neck's by the first-order rule. The swing of the width leaves the stripes
free; the fretboard changes it by up to a third. Run-out, twist, what the change of stiffness does to the set
relief and what a tight single-acting rod adds over the year are left out. Work out the few lay-ups that are
kept in full.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from tonewood import checks
from tonewood.brief.mode_shift import shifted_modes
from tonewood.brief.space import LayUp, one_layer
from tonewood.constants import DAY
from tonewood.draws import Array, Draws
from tonewood.neck.design import Design
from tonewood.neck.load.bow import chord_matrix, second_order
from tonewood.neck.load.relief import Strung, strung_neck
from tonewood.neck.load.rod import Rod
from tonewood.neck.load.usual_rod import usual_rod
from tonewood.neck.seasons.drying import column
from tonewood.neck.seasons.eigenstrain import solve
from tonewood.neck.seasons.year import MONTH
from tonewood.neck.section.regions import Regions, slot_share
from tonewood.neck.section.shear import beside_stations
from tonewood.neck.section.twist import ACROSS, LENGTH
from tonewood.remember import remember
from tonewood.wood.board import Board
from tonewood.wood.climate import indoor
from tonewood.wood.diffusion import drawn_paces
from tonewood.wood.facts import rule
from tonewood.wood.moisture import modulus_at
from tonewood.wood.species import Species, species
from tonewood.wood.spread import draw_boards

OUT = 9.0
"""Stands for a rod setting that does not exist: far beyond the limit."""
BINS = 10.0
"""Step (kg/m3) in which densities are rounded before the moisture of the layers is followed."""
TARGET, FRET = 0.0002, 8
"""Relief (m) that the rod is set to, and the fret at which it is read."""
DELIVERED, STATIONS = 10, 10
"""Month (October) in which a neck goes to its home; stations along it."""


@dataclass(frozen=True, kw_only=True)
class Terms:
    """What all lay-ups of one search share. Raises ValueError.

    base: Design; woods: keys in the order of their streams of chance; draws: possible necks a lay-up, seed;
    modes: how many bending modes are followed (0: none).
    """

    base: Design
    woods: tuple[str, ...]
    draws: int = 200
    seed: int = 1
    modes: int = 3

    def __post_init__(self) -> None:
        one_layer(self.base)
        checks.whole("draws", self.draws, 2, 100_000)
        checks.whole("modes", self.modes, 0, 8)
        checks.whole("reading fret", FRET, 2, self.base.frets - 1)

    @property
    def rod(self) -> Rod | None:
        """The usual rod of the base neck, None if it has none."""
        return None if self.base.rod == "none" else usual_rod(self.base.neck(), self.base.rod)


@dataclass(frozen=True, kw_only=True)
class Measured:
    """One lay-up in its possible necks, each (D,).

    mass of the neck from nut to last fret (kg), its first moment about the nut (kg m), mean density of the
    blank (kg/m3), even bending stiffness (N m2), relief with the rod slack (m), effort over the rod's limit,
    swing of relief over the year at the reading fret (m), swing of the width at the last fret (m, every
    stripe free to move across), loss factor in bending; modes (D, K): frequencies, Hz. Without a rod the
    effort is 0 where the relief lies within rule relief_usual, else OUT.
    """

    mass: Array
    moment: Array
    blank: Array
    stiffness: Array
    relief: Array
    effort: Array
    swing: Array
    width: Array
    loss: Array
    modes: Array


@dataclass(frozen=True, eq=False, kw_only=True)
class _Wood:
    """What the sums need of one drawn board: modulus (Pa), density (kg/m3), swelling along the neck and
    across it, loss factor, E/G, each (D,); mean ovendry density (kg/m3); its wood."""

    E: Draws
    rho: Draws
    swelling: Draws
    across: Draws
    eta: Draws
    slot_ratio: Draws
    dry: float
    species: Species

    def stiffer(self, start: float, change: float) -> float:
        """Modulus half-way through a change of moisture over that at the start."""
        wood = self.species
        between, here = (modulus_at(1.0, wood.green_ratio, m, wood.mp) for m in (start + change / 2, start))
        return float(between / here)


@dataclass(frozen=True, eq=False, kw_only=True)
class _Frame:
    """What one geometry needs: S stations x from nut to bridge, n of them on the neck, R regions."""

    strung: Strung
    parts: Regions
    integrals: Array
    pitch: Array
    rod_mass: Array
    share: Array
    length: Array
    middle: Array
    row: Array
    loose_row: Array
    lift: Array
    aside: Array
    covered: Array
    wide: float


class Quick:
    """The sums for one set of Terms: what lay-ups share is worked out once and kept. Call it with a LayUp.

    >>> from tonewood.brief.space import layup_of
    >>> from tonewood.neck.design import example_design
    >>> terms = Terms(base=example_design(), woods=layup_of(example_design()).woods, draws=50, modes=0)
    >>> Quick(terms)(layup_of(example_design())).mass.shape
    (50,)
    """

    def __init__(self, terms: Terms) -> None:
        """Ready for lay-ups of these terms."""
        self.terms, base = terms, terms.base
        self.rod, self.start = terms.rod, base.shop_moisture
        self._woods: dict[tuple[str, float, int, bool], _Wood] = {}
        self._frames: dict[tuple[object, ...], _Frame] = {}
        self._layers: dict[tuple[float, ...], tuple[Array, Array]] = {}
        months, first = indoor(base.town), DELIVERED - 1
        self._days = np.union1d(np.linspace(0.0, 365.25, 53), np.arange(13) * MONTH)
        self._air = np.interp(first + self._days / MONTH, np.arange(25), np.tile(months.moisture, 3)[:25])
        self._fill = np.random.default_rng(terms.seed).random(terms.draws)
        self._paces, self._pick = drawn_paces(terms.draws, terms.seed)
        self._pull = np.asarray(base.string_set().tension)

    def wood(self, key: str, ring_angle: float, stream: int, ripped: bool = False) -> _Wood:
        """A drawn board (SI); stream number 0 is the fretboard, 1 … the stripes from the bass. ripped: the
        lay-up has more pieces of it."""
        if (at := (key, ring_angle, stream, ripped)) not in self._woods:
            terms, top = self.terms, self.terms.base.neck().fretboard.board
            angles = (top.run_out, top.slope) if stream == 0 else (0.0, 0.0)
            plain = Board(species(key), ring_angle, *angles, moisture=self.start)
            drawn, = draw_boards([plain], terms.draws, terms.seed, streams=[stream],
                                 woods=terms.woods, ripped=ripped)
            self._woods[at] = _Wood(
                E=drawn.E_x, rho=drawn.rho, swelling=drawn.swelling_along(LENGTH),
                across=drawn.swelling_along(ACROSS), eta=drawn.eta, slot_ratio=drawn.E_x / drawn.G_xz,
                dry=float(np.mean(drawn.rho / (1 + np.asarray(drawn.moisture)))), species=drawn.species)
        return self._woods[at]

    def frame(self, layup: LayUp) -> _Frame:
        """What the geometry of a lay-up needs."""
        if (key := (layup.widths, layup.bars)) not in self._frames:
            base = self.terms.base
            strings, setup, neck = base.string_set(), base.setup(), layup.neck(base)
            s = strung_neck(neck, strings, setup, base.body_joint(), count=STATIONS)
            assert s.here is not None and s.shown is not None
            p, x, on, frets = s.here.regions, s.x, s.x[:s.shown], s.frets
            c = neck.channel
            ends = float(frets[0]), float(frets[-1])
            self._frames[key] = _Frame(
                strung=s, parts=p,
                integrals=np.stack([p.area, p.Sy, p.Sz, p.Syy, p.Szz, p.Syz], 1).reshape(len(p.piece), -1),
                pitch=np.asarray(neck.fret_pitch(on), dtype=np.float64),
                rod_mass=np.where((on >= c.start) & (on <= c.end), c.rod_mass, 0.0) if c else 0.0 * on,
                share=np.array(layup.widths) / sum(layup.widths),
                length=np.convolve(np.diff(on), (0.5, 0.5)),
                middle=chord_matrix(on, sum(ends) / 2, *ends)[0],
                row=chord_matrix(x, frets[FRET - 1], *ends)[0],
                loose_row=chord_matrix(on, frets[FRET - 1], *ends)[0] * (on <= (s.joint or np.inf)),
                lift=self._pull @ setup.heights(neck, x, len(strings)),
                aside=self._pull @ setup.places(neck, x, len(strings)),
                covered=np.zeros(len(x)) if self.rod is None else self.rod.covered(x),
                wide=float(neck.outline.width(neck.end)))
        return self._frames[key]

    def layers(self, neck: float, board: float) -> tuple[Array, Array]:
        """Change of moisture over the year of neck and fretboard of these ovendry densities, at every pair of
        paces, (25, N) each."""
        if (key := (BINS * round(neck / BINS), BINS * round(board / BINS))) not in self._layers:
            found = column(self.terms.base.neck(), paces=self._paces, dry_density=key).follow(
                self._days * DAY, self._air, float(self.start)) - self.start
            self._layers[key] = found[..., 0], found[..., 1]
        return self._layers[key]

    def __call__(self, layup: LayUp) -> Measured:
        """Measured values of a lay-up in every possible neck, SI."""
        f, terms = self.frame(layup), self.terms
        s, parts, D = f.strung, f.parts, terms.draws
        n = len(f.pitch)
        x, on = s.x, s.x[:n]
        keys = [*(key for key, _ in layup.stripes), layup.fretboard]
        angles = [*len(layup.stripes) * [layup.ring_angle], float(terms.base.fretboard.ring_angle)]
        woods = [self.wood(key, angle, (1 + i) % len(keys), keys.count(key) > 1)
                 for i, (key, angle) in enumerate(zip(keys, angles, strict=True))]
        values = np.empty((3, D, len(parts.piece)))
        for r, p in enumerate(parts.piece):
            own = (woods[p].E, woods[p].rho, woods[p].eta) if p >= 0 else (
                (b := layup.bars[-1 - p]).modulus, b.density, b.loss)
            for row, value in zip(values, own, strict=True):
                row[:, r] = value
        E, rho, eta = values
        less = None
        if parts.slotted is not None:
            less = np.asarray(slot_share(f.pitch, terms.base.fretboard.slot_depth,
                                         beside_stations(woods[-1].slot_ratio), self._fill[:, None])) - 1

        def summed(values: Array, count: int = 6) -> Array:
            """(count, D, n): the first integrals times the values, summed over regions, slots taken off."""
            found = (values @ f.integrals[:, :count * n]).reshape(len(values), count, n)
            if less is not None:
                cut = less if len(values) == D else np.concatenate([less, less])
                slotted, = parts.slotted or ()
                found += values[:, slotted, None, None] * (
                    f.integrals[slotted, :count * n].reshape(count, n) * cut[:, None])
            return found.transpose(1, 0, 2)

        EA, ESy, ESz, EIyy, EIzz, EIyz = summed(E)
        y_bar, z_bar = ESy / EA, ESz / EA
        EI, side, cross = EIzz - ESz * z_bar, EIyy - ESy * y_bar, EIyz - ESy * z_bar
        per_length = rho @ parts.area + f.rod_mass

        # strings and rod: as neck.load.relief and neck.load.rod
        held = np.minimum(np.arange(x.size), n - 1)
        axis, pull = z_bar[:, held], self._pull.sum()
        lean = (cross / side)[:, held]
        moment = f.lift - pull * axis - lean * (f.aside - pull * y_bar[:, held])
        bare = (EI - cross * cross / side)[:, held]
        bare[:, n:] = 0.0
        soft = 1 / terms.base.body_joint().stiffness(x, s.joint, bare)  # type: ignore[arg-type]
        arm = 0.0 * axis if self.rod is None else f.covered * (
            np.ones_like(axis) if self.rod.is_double else axis - self.rod.height(x))
        both = np.concatenate([moment * soft, -arm * soft])
        pulled, unit = (second_order(x, both, np.concatenate([soft, soft]), pull, 0.0, s.bridge)[0] @ f.row
                        ).reshape(2, D)
        if self.rod is None:
            low, high = rule("relief_usual").limits
            effort = np.where((1e3 * pulled >= low) & (1e3 * pulled <= high), 0.0, OUT)
        else:
            effort = (TARGET - pulled) / unit / self.rod.limit
            if not self.rod.is_double:
                effort = np.where(effort < 0, OUT, effort)

        lost = summed(E * eta, 5)
        lost_here = lost[4] - 2 * z_bar * lost[2] + z_bar**2 * lost[0]
        weight = f.middle
        layers = self.layers(float(f.share @ [w.dry for w in woods[:-1]]), woods[-1].dry)
        across = sum(share * w.across for share, w in zip(f.share, woods, strict=False))
        return Measured(
            mass=per_length @ f.length, moment=per_length @ (f.length * on),
            blank=sum(share * w.rho for share, w in zip(f.share, woods, strict=False)) + np.zeros(D),
            stiffness=float(weight.sum()) / ((1 / EI) @ weight), relief=pulled, effort=np.abs(effort),
            loss=np.trapezoid(lost_here / EI**2, on, axis=-1) / np.trapezoid(1 / EI, on, axis=-1),
            width=across * np.ptp(layers[0], axis=-1)[self._pick] * f.wide,
            swing=self._swing(f, woods, E, summed, layers),
            modes=shifted_modes(terms.base, terms.modes, EI, per_length, on))

    def _swing(self, f: _Frame, woods: list[_Wood], E: Array, summed: Callable[..., Array],
               layers: tuple[Array, Array]) -> Array:
        """Highest less lowest change of relief (m) at the reading fret over the year, (D,)."""
        top, D = len(woods) - 1, len(E)
        probes = [float(change.flat[np.abs(change).argmax()]) or 1e-4 for change in layers]
        middle, free = np.concatenate([E, E]), np.zeros((2 * D, E.shape[1]))
        for r, p in enumerate(f.parts.piece):
            if p >= 0:
                layer = int(p == top)
                rows, wood, probe = slice(layer * D, (layer + 1) * D), woods[p], probes[layer]
                middle[rows, r] *= wood.stiffer(self.start, probe)
                free[rows, r] = wood.swelling * probe
        bend = -solve(*summed(middle), *summed(middle * free, 3)).curvature @ f.loose_row
        total = sum((bend[i * D:(i + 1) * D] / probes[i])[:, None] * layers[i][self._pick] for i in (0, 1))
        return np.maximum(np.max(total, -1), 0.0) - np.minimum(np.min(total, -1), 0.0)


@remember(2)
def quick_for(terms: Terms) -> Quick:
    """The Quick of these terms, kept: a worker gets many bundles of one search.

    >>> from tonewood.neck.design import example_design
    >>> terms = Terms(base=example_design(), woods=("wenge",), draws=50, modes=0)
    >>> quick_for(terms) is quick_for(terms)
    True
    """
    return Quick(terms)
