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

Movement coefficients were measured between 6 and 14 % moisture; drier and damper rooms stretch them. Above
fibre saturation nothing moves.
Sources: those of wood.climate, wood.diffusion and neck.seasons.movement; the setup term is beam theory.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np

from tonewood import checks
from tonewood.draws import Array, Draws, band, in_batches, single
from tonewood.neck.layup.neck import Neck, mean_appended
from tonewood.neck.load.bow import evened
from tonewood.neck.load.rod import Rod
from tonewood.neck.seasons.drying import column, drying_section
from tonewood.neck.seasons.movement import moduli_at, movement
from tonewood.neck.seasons.rod_force import with_rod
from tonewood.neck.section.stations import AtStations, at_stations, bending_stiffness
from tonewood.wood.climate import MONTHS, Air, indoor, month_number, workshop
from tonewood.wood.diffusion import DAY

if TYPE_CHECKING:
    import pandas

MONTH = 365.25 / 12
PACES = np.exp(np.log(3.0) * np.array([-1.2816, -0.5244, 0.0, 0.5244, 1.2816]) / 1.6449)
"""Five equally likely paces of diffusion: the 10, 30, 50, 70 and 90 % points of a lognormal whose 90 % band
is times and divided by three."""


@dataclass(frozen=True, kw_only=True)
class Year:
    """Twelve months after delivery. T moments; values (T,) or, with draws, (D, T); change since delivery, SI.

    days (T,); month: name of the month at each moment; room: the Air at each moment; board_moisture,
    neck_moisture: fractions. relief, side_bow (m), fret_end (m, each side), width (m, at the last fret):
    signs as in Movement; relief holds what stiffness change does to setup_relief, and what a tight
    single-acting rod does. rod_force: N in such a rod, else 0. stiffness: bending stiffness over that at
    delivery. moisture: of every piece, last axis P. foreseen (T,): relief change of
    the mean neck. share_up (T,): share of draws with more relief than at delivery (nan while nothing has
    changed), None without draws.
    """

    neck: Neck = field(repr=False, compare=False)
    days: Array
    month: tuple[str, ...]
    room: Air
    board_moisture: Array
    neck_moisture: Array
    relief: Array
    side_bow: Array
    fret_end: Array
    width: Array
    stiffness: Array
    rod_force: Array
    moisture: Array = field(repr=False)
    foreseen: Array
    share_up: Array | None

    @cached_property
    def twist(self) -> Array:
        """Twist, rad, worked out when first asked for."""
        start = self.moisture[..., :1, :] + np.zeros_like(self.moisture)
        return np.broadcast_to(movement(self.neck, start, self.moisture).twist, self.relief.shape)

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
         setup_relief: Draws = 0.0002, rod: Rod | None = None, effort: Draws = 0.0, points: int = 25,
         seed: int = 0, count: int = 40, cooled_to: float | None = None,
         whole_section: bool = False) -> Year:
    """The first year of a neck in a client's room. Returns Year.

    neck: with draws (layup.neck.spread) for bands and shares, or single; an AtStations brings its stations.
    place: a name of wood.climate.places() (the room then by wood.climate.indoor with temperature, added,
    cooled, held, cooled_to; None: as usual there), or an Air of twelve months, January first. delivered:
    month (number or name), counted from its middle. shop: Air of the workshop (None: 45 %, 20 C), where the
    whole neck had settled. setup_relief: the relief it left with (m). rod, effort: the rod and what it was
    set to (load.rod; only a single-acting one, in N, float or (D,), feels the wood change length). points:
    moments from delivery to a year later. seed: whole number, for the paces of diffusion. count: stations
    along the neck. whole_section: moisture through the back, the top and the edges of the whole section
    (drying_section, slower) in place of layers. Raises ValueError.

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
    points = checks.whole("points", points, 2, 400)
    setup_relief = checks.length("setup relief", setup_relief, -0.002, 0.005, open_low=False)
    first = month_number(delivered) - 1
    days = np.linspace(0.0, 365.25, points)
    into = np.asarray(first + days / MONTH)

    def at(values: Draws, into: Array = into) -> Array:
        return np.interp(into, np.arange(25), np.tile(values, 3)[:25])

    room = Air(at(months.temperature), at(months.humidity), at(months.moisture), np.zeros(len(days), bool))
    # the break lines of the air lie between the points asked for: follow both
    every = np.union1d(days, np.arange(13) * MONTH)
    air, keep = at(months.moisture, first + every / MONTH), np.searchsorted(every, days)
    start = float(shop.moisture)

    warmer = np.where(days > 0.0, room.temperature - float(shop.temperature), 0.0)

    def follow(paces: tuple[Draws, Draws]) -> Array:
        dries = drying_section if whole_section else column
        made = dries(neck, back_finish, board_finish, coats, paces)
        return made.follow(every * DAY, air, start)[..., keep, :]

    layers, share = follow((1.0, 1.0)), None
    if neck.draws is None:
        found = _changes(here, start, layers, setup_relief, rod, effort, warmer)
        foreseen = found["relief"]
    else:
        # the typical pace, and with it the mean of all boards, travels along as one more draw
        pick = np.random.default_rng([seed, 7]).integers(len(PACES), size=(2, neck.draws))
        low, high = (np.ravel(p) for p in np.meshgrid(PACES, PACES, indexing="ij"))
        layers = np.concatenate([follow((low, high))[pick[0] * len(PACES) + pick[1]], layers[None]])
        many = _changes(here.with_mean, start, layers, mean_appended(setup_relief), rod,
                        mean_appended(effort), warmer)
        layers, foreseen = layers[:-1], many["relief"][-1]
        found = {name: value[:-1] for name, value in many.items()}
        share = np.where(np.all(np.abs(found["relief"]) < 1e-9, axis=0), np.nan,
                         np.mean(found["relief"] > 0, axis=0))
    names = tuple(MONTHS[int(np.floor(m + 0.5)) % 12] for m in into)
    return Year(neck=neck, days=days, month=names, room=room, board_moisture=layers[..., 1],
                neck_moisture=layers[..., 0], foreseen=foreseen, share_up=share, **found)


def _changes(here: AtStations, start: float, layers: Array, setup_relief: Draws, rod: Rod | None,
             effort: Draws, warmer: Draws) -> dict[str, Array]:
    """Movement and stiffness at every moment; layers (T, 2) or (D, T, 2): moisture of neck and fretboard.
    Values (T,) or (D, T), pieces' moisture with a last axis P. All moments are worked out in one go."""
    neck, stripes, above = here.neck, len(here.neck.layup.stripes), len(here.neck.fretboard.layers)
    full = [piece.species.fibre_saturation for piece in neck.pieces]
    lower = layers[..., :1] if above else np.mean(layers, axis=-1, keepdims=True)
    end = np.minimum(np.concatenate([np.repeat(lower, stripes, -1), np.repeat(layers[..., 1:], above, -1)],
                                    -1), full)
    moved, shape = movement(here, start, end), end.shape[:-1]
    force = np.zeros(shape)
    if rod is not None and not rod.is_double:
        moved, force = with_rod(moved, rod, effort, warmer)
    stiffness = _even_stiffness(here, end)
    ratio = stiffness / stiffness[..., :1]
    setup = np.asarray(setup_relief)[..., None]
    return {"relief": moved.relief + setup * (1 / ratio - 1),
            "side_bow": np.broadcast_to(moved.side_bow, shape),
            "fret_end": np.broadcast_to(moved.fret_end, shape),
            "width": np.broadcast_to(moved.width_end, shape), "stiffness": ratio, "rod_force": force,
            "moisture": end}


def _even_stiffness(here: AtStations, moisture: Array) -> Array:
    """The even bending stiffness (N m2), (T,) or (D, T), with the pieces at `moisture`, (T, P) or (D, T,
    P)."""
    parts, E, slots, neck = here.regions, moduli_at(here, moisture), here.slots, here.neck
    flat = E.reshape(-1, E.shape[-1])
    many = np.repeat(slots, len(flat) // len(slots), axis=0) if slots.ndim > 1 else None

    def evened_here(rows: slice) -> Draws:
        EI = bending_stiffness(parts, flat[rows], slots if many is None else many[rows])
        return evened(here.x, EI, float(neck.fret(1)), neck.end)

    return np.concatenate(in_batches(evened_here, len(flat))).reshape(E.shape[:-1])
