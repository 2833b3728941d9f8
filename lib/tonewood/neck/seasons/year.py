"""A neck through its first year: from the workshop to the client's room, season after season.

The air of the room moves the moisture of fretboard and neck, each at its own pace (wood.diffusion: one
column, fretboard on neck, the glue letting moisture pass); the moistures move the neck (seasons.movement) and
change its stiffness. All changes are counted from the day it leaves the workshop.

Foreseen and chance. What can be foreseen is what the mean of the possible boards does: mostly that a bare
fretboard dries before a finished back, and what measured grain directions and bars do. The rest is chance:
the difference in lengthwise swelling between this fretboard and this neck, whose sign no table gives, and the
pace. `share_up` is the share of possible necks whose relief has gone up: near one half it is a coin toss. A
tight single-acting rod adds a part that can be foreseen, from the mean lengthwise movement of the wood along
it (seasons.rod_force): it slackens in dry air, which brings relief, and tightens in damp air.

A neck without a fretboard is followed as two halves, upper and lower, the upper under the finish of the
board: while one dries before the other it bends, hollow on the drier side (within_board.with_gradient).

Movement coefficients were measured between 6 and 14 % moisture; drier and damper rooms stretch them. Above
fibre saturation nothing moves.
Sources: those of wood.climate, wood.diffusion and neck.seasons.movement; the setup term is beam theory.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np

from tonewood import checks
from tonewood.constants import DAY
from tonewood.draws import Array, Draws, band, in_batches, single
from tonewood.neck.layup.neck import Neck, mean_appended
from tonewood.neck.load.bow import evened
from tonewood.neck.load.rod import Rod
from tonewood.neck.seasons.drying import column, drying_section
from tonewood.neck.seasons.movement import Movement, moduli_at, movement
from tonewood.neck.seasons.rod_force import with_rod
from tonewood.neck.seasons.within_board import with_gradient
from tonewood.neck.section.stations import AtStations, at_stations, bending_stiffness
from tonewood.wood.climate import MONTHS, Air, indoor, month_number, workshop
from tonewood.wood.diffusion import drawn_paces

if TYPE_CHECKING:
    import pandas

MONTH = 365.25 / 12


@dataclass(frozen=True, kw_only=True, eq=False)
class Year:
    """Twelve months after delivery. T moments; values (T,) or, with draws, (D, T); change since delivery, SI.
    What the neck does is worked out when first asked for.

    days (T,); month: name of the month at each moment; room: the Air at each moment; board_moisture,
    neck_moisture: fractions; moisture: of every piece, last axis P. What was given: here, the neck at its
    stations (and, as `many`, with the mean of its draws as one draw more, for which `ends` are the moistures
    of its pieces); start: moisture; setup_relief, rod, effort; warmer (T,) K.
    """

    here: AtStations = field(repr=False)
    days: Array
    month: tuple[str, ...]
    room: Air
    board_moisture: Array
    neck_moisture: Array
    many: AtStations = field(repr=False)
    start: float = field(repr=False)
    ends: Array = field(repr=False)
    setup_relief: Draws = field(repr=False)
    rod: Rod | None = field(repr=False)
    effort: Draws = field(repr=False)
    warmer: Array = field(repr=False)
    lean: Array | None = field(repr=False)

    @property
    def neck(self) -> Neck:
        """The neck."""
        return self.here.neck

    @property
    def moisture(self) -> Array:
        """Moisture of every piece, a fraction, (T, P) or (D, T, P)."""
        return self._necks(self.ends)

    def _necks(self, values: Array) -> Array:
        """Values of the draws without that of their mean."""
        return values if self.neck.draws is None else values[:-1]

    def _bent(self) -> tuple[Movement, Movement, Array]:
        """Movement as the wood alone would make it, and with the rod, and its force. Not kept: large."""
        free = movement(self.many, self.start, self.ends)
        free = free if self.lean is None else with_gradient(free, self.lean)
        if self.rod is None or self.rod.is_double:
            return free, free, np.zeros(self.ends.shape[:-1])
        mean = (lambda v: v) if self.neck.draws is None else mean_appended
        return free, *with_rod(free, self.rod, mean(self.effort), self.warmer)

    @cached_property
    def _stiffness(self) -> Array:
        found = _even_stiffness(self.many, self.ends)
        return found / found[..., :1]

    @cached_property
    def _relief(self) -> tuple[Array, Array]:
        """Relief change, and force of the rod, the mean of the draws among them."""
        _, moved, force = self._bent()
        return self._with_setup(moved), force

    def _with_setup(self, moved: Movement) -> Array:
        setup = self.setup_relief if self.neck.draws is None else mean_appended(self.setup_relief)
        return np.asarray(moved.relief + np.asarray(setup)[..., None] * (1 / self._stiffness - 1))

    @property
    def relief(self) -> Array:
        """Change of relief, m, with what the change of stiffness does to setup_relief, and what a tight
        single-acting rod does; sign as in Movement."""
        return self._necks(self._relief[0])

    @property
    def rod_force(self) -> Array:
        """Tension of a single-acting rod, N, else 0."""
        return self._necks(self._relief[1])

    @property
    def stiffness(self) -> Array:
        """Bending stiffness over that at delivery."""
        return self._necks(self._stiffness)

    @property
    def foreseen(self) -> Array:
        """Relief change (T,) of the mean neck, m."""
        return self._relief[0] if self.neck.draws is None else self._relief[0][-1]

    @cached_property
    def share_up(self) -> Array | None:
        """Share (T,) of draws with more relief than at delivery (nan while nothing has changed), None without
        draws."""
        if self.neck.draws is None:
            return None
        return np.where(np.all(np.abs(self.relief) < 1e-9, axis=0), np.nan, np.mean(self.relief > 0, axis=0))

    @cached_property
    def side_bow(self) -> Array:
        """Change of side bow, m; sign as in Movement."""
        return self._necks(np.broadcast_to(self._bent()[1].side_bow, self.ends.shape[:-1]))

    @cached_property
    def at_frets(self) -> Array:
        """Change of the gap at every fret, (T, F) or (D, T, F), m: the wood's own bow there, and what
        stiffness and rod change, alike at every fret."""
        free, moved, _ = self._bent()
        return self._necks(free.relief_at + (self._with_setup(moved) - free.relief)[..., None])

    @property
    def _wood(self) -> Movement:
        return movement(self.here, self.start, self.moisture)

    @cached_property
    def _last_fret(self) -> tuple[Array, Array]:
        moved, shape = self._wood, self.moisture.shape[:-1]
        return np.broadcast_to(moved.fret_end, shape), np.broadcast_to(moved.width_end, shape)

    @property
    def fret_end(self) -> Array:
        """How far each fret end stands out at the last fret, m, as in Movement."""
        return self._last_fret[0]

    @property
    def width(self) -> Array:
        """Change of width at the last fret, m."""
        return self._last_fret[1]

    @cached_property
    def twist(self) -> Array:
        """Twist, rad, worked out when first asked for."""
        return np.broadcast_to(self._wood.twist, self.moisture.shape[:-1])

    @property
    def chance(self) -> Array:
        """Relief change of each draw less the foreseen part, (D, T), m; zeros (T,) without draws."""
        return self.relief - self.foreseen if self.relief.ndim > 1 else np.zeros_like(self.relief)

    @property
    def widest(self) -> int:
        """Index of the moment when the relief differs most from delivery: widest 90 % band, or largest change
        without draws."""
        if self.relief.ndim == 1:
            return int(np.argmax(np.abs(self.relief)))
        return int(np.argmax(np.subtract(*self.band()[[2, 0]])))

    def band(self, name: str = "relief") -> Array:
        """5, 50 and 95 % points (3, T) of one of the values, SI. Without draws all three are the value.
        Raises ValueError."""
        options = ("relief", "side_bow", "twist", "fret_end", "width", "stiffness", "board_moisture",
                   "neck_moisture", "rod_force", "chance")
        value = getattr(self, checks.choice("value", name, options))
        return band(value) if value.ndim > 1 else np.stack([value] * 3)

    def table(self) -> pandas.DataFrame:
        """DataFrame: one row per moment; with draws the median, or the 95 % point of the size where the name
        says so."""
        import pandas as pd

        def shown(value: Array) -> Array:
            return single(value, how=np.median)

        def size(value: Array) -> Array:
            return single(np.abs(value), how=lambda sizes, axis: np.percentile(sizes, 95, axis=axis))

        low, middle, high = 1e3 * self.band()
        frame: dict[str, Any] = {"days after delivery": self.days, "month": self.month,
                 "room (% relative humidity)": 100 * self.room.humidity,
                 "fretboard (% moisture)": 100 * shown(self.board_moisture),
                 "neck (% moisture)": 100 * shown(self.neck_moisture),
                 "relief change, middle (mm)": middle, "relief change, 5 % (mm)": low,
                 "relief change, 95 % (mm)": high, "foreseen part (mm)": 1e3 * self.foreseen}
        if self.share_up is not None:
            frame["necks with more relief (of 100)"] = 100 * self.share_up
        return pd.DataFrame(frame | {"side bow, 95 % of size (mm)": 1e3 * size(self.side_bow),
            "twist, 95 % of size (degrees)": np.degrees(size(self.twist)),
            "fret ends, each side (mm)": 1e3 * shown(self.fret_end),
            "stiffness (% of delivery)": 100 * shown(self.stiffness),
            "tension of a single-acting rod (N)": shown(self.rod_force)})


def year(neck: Neck | AtStations, place: str | Air, delivered: int | str = "October", shop: Air | None = None,
         temperature: float | None = None, added: float | None = None, cooled: bool | None = None,
         held: tuple[float, float] | None = None,
         back_finish: str = "lacquer", board_finish: str = "bare", coats: int | None = None,
         setup_relief: Draws = 0.0002, rod: Rod | None = None, effort: Draws = 0.0,
         points: int | Sequence[float] | Array = 25,
         seed: int = 0, count: int = 40, cooled_to: float | None = None,
         whole_section: bool = False) -> Year:
    """The first year of a neck in a client's room. Returns Year.

    neck: with draws (layup.neck.spread) for bands and shares, or single; an AtStations brings its stations.
    place: a name of wood.climate.places() (the room then by wood.climate.indoor with temperature, added,
    cooled, held, cooled_to; None: as usual there), or an Air of twelve months, January first. delivered:
    month (number or name), counted from its middle. shop: Air of the workshop (None: 45 %, 20 C), where the
    whole neck had settled. setup_relief: the relief it left with (m). rod, effort: the rod and what it was
    set to (load.rod; only a single-acting one, in N, float or (D,), feels the wood change length). points:
    how many moments from delivery to a year later, or their days, the first 0. seed: whole number, for the
    paces of diffusion. count: stations along the neck. whole_section: moisture through the back, the top and
    the edges of the whole section (drying_section, slower) in place of layers. Raises ValueError.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> year(example_neck(), "Chicago", points=3).month
    ('October', 'April', 'October')
    """
    here = at_stations(neck, neck.stations(count) if isinstance(neck, Neck) else None)
    neck = here.neck
    shop = workshop() if shop is None else shop
    months = place if isinstance(place, Air) else indoor(
        place, None, temperature, added, cooled, held, cooled_to)
    if np.shape(months.moisture) != (12,):
        raise ValueError(f"room: air of shape {np.shape(months.moisture)} given; accepted: twelve months, "
                         "January first")
    setup_relief = checks.length("setup relief", setup_relief, -0.002, 0.005, open_low=False)
    first = month_number(delivered) - 1
    days = _days(points)
    into = np.asarray(first + days / MONTH)

    def at(values: Draws, into: Array = into) -> Array:
        return np.interp(into, np.arange(25), np.tile(values, 3)[:25])

    room = Air(at(months.temperature), at(months.humidity), at(months.moisture))
    # the break lines of the air lie between the points asked for: follow both
    every = np.union1d(days, np.arange(13) * MONTH)
    air, keep = at(months.moisture, first + every / MONTH), np.searchsorted(every, days)
    start = float(shop.moisture)

    warmer = np.where(days > 0.0, room.temperature - float(shop.temperature), 0.0)

    def follow(paces: tuple[Draws, Draws]) -> Array:
        dries = drying_section if whole_section else column
        made = dries(neck, back_finish, board_finish, coats, paces)
        return made.follow(every * DAY, air, start)[..., keep, :]

    layers = follow((1.0, 1.0))
    if neck.draws is not None:
        # the typical pace, and with it the mean of all boards, travels along as one more draw
        both, which = drawn_paces(neck.draws, seed)
        layers = np.concatenate([follow(both)[which], layers[None]])
    seen = layers if neck.draws is None else layers[:-1]
    names = tuple(MONTHS[int(np.floor(m + 0.5)) % 12] for m in into)
    return Year(here=here, many=here if neck.draws is None else here.with_mean, days=days, month=names,
                room=room, board_moisture=seen[..., 1], neck_moisture=seen[..., 0], start=start,
                ends=_pieces_moisture(neck, layers), setup_relief=setup_relief, rod=rod, effort=effort,
                warmer=warmer, lean=None if neck.fretboard.layers else
                (layers[..., 1] - layers[..., 0]) / column(neck).thickness[0])


def _days(points: int | Sequence[float] | Array) -> Array:
    if np.ndim(points) == 0:
        return np.linspace(0.0, 365.25, checks.whole("points", points, 2, 400))
    days = np.asarray(checks.number("days after delivery", points, 0.0, 366.0))
    if len(days) < 2 or days[0] or np.any(np.diff(days) <= 0):
        raise ValueError(f"days after delivery: {days.tolist()} given; accepted: at least 2, rising, the "
                         "first 0")
    return days


def _pieces_moisture(neck: Neck, layers: Array) -> Array:
    """Moisture of every piece, (…, P), from that of neck and fretboard, (…, 2)."""
    stripes, above = len(neck.layup.stripes), len(neck.fretboard.layers)
    full = [piece.species.fibre_saturation for piece in neck.pieces]
    lower = layers[..., :1] if above else np.mean(layers, axis=-1, keepdims=True)
    return np.minimum(np.concatenate([np.repeat(lower, stripes, -1), np.repeat(layers[..., 1:], above, -1)],
                                     -1), full)


def _even_stiffness(here: AtStations, moisture: Array) -> Array:
    """The even bending stiffness (N m2), (T,) or (D, T), with the pieces at `moisture`, (T, P) or (D, T,
    P)."""
    parts, E, slots, neck = here.regions, moduli_at(here, moisture), here.slots, here.neck
    flat = E.reshape(-1, E.shape[-1])
    many = np.repeat(slots, len(flat) // len(slots), axis=0) if slots.ndim > 1 else None

    EI = in_batches(lambda rows: bending_stiffness(parts, flat[rows], slots if many is None else many[rows]),
                    len(flat))
    return np.asarray(evened(here.x, np.concatenate(EI), float(neck.fret(1)), neck.end)).reshape(E.shape[:-1])
