"""A neck through its first year: from the workshop to the client's room, season after season.

The air of the room moves the moisture of fretboard and neck, each at its own pace (wood.diffusion: one column, fretboard on neck, the glue
letting moisture pass); the moistures move the neck (neck.movement) and change its stiffness. All changes are counted from the day it leaves the workshop.

Foreseen and chance. What can be foreseen is what the mean of the possible boards does: mostly that a bare fretboard dries before a finished back, and what
measured grain directions and bars do. The rest is chance: the difference in lengthwise swelling between this fretboard and this neck, whose sign no table
gives, and the pace. `share_up` is the share of possible necks whose relief has gone up: near one half it is a coin toss. The trade
says that dry winter air brings more relief (or, elsewhere, less); mechanics says that it depends on the two boards.

Movement coefficients were measured between 6 and 14 % moisture; drier and damper rooms stretch them. Above fibre saturation nothing moves.
"""

from collections import deque
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from tonewood import checks
from tonewood.neck.load.bow import chord_matrix
from tonewood.neck.layup.neck import Layup
from tonewood.neck.seasons.movement import moduli_at, movement
from tonewood.neck.section.section import regions, slots, weighted
from tonewood.wood.climate import ADDED, MONTHS, Air, indoor, month_number, workshop
from tonewood.wood.diffusion import DAY, Column, diffusivity
from tonewood.wood.finish import finish

MONTH = 365.25 / 12
PACES = np.exp(np.log(3.0) * np.array([-1.2816, -0.5244, 0.0, 0.5244, 1.2816]) / 1.6449)
"""Five equally likely paces of diffusion: the 10, 30, 50, 70 and 90 % points of a lognormal whose 90 % band is times and divided by three."""


@dataclass(frozen=True)
class Year:
    """Twelve months after delivery. T moments; values (T,) or, with draws, (D, T); change since delivery, SI.

    days (T,); month: name of the month at each moment; room: the Air at each moment; board_moisture, neck_moisture: fractions.
    relief, side_bow (m), twist (rad), fret_end (m, each side), width (m, at the last fret): signs as in Movement; relief holds what stiffness change
    does to setup_relief. twist is worked out when first asked for. stiffness: bending stiffness over that at delivery. moisture: of every piece,
    last axis P. foreseen (T,): relief change of the mean neck. share_up (T,): share of draws with more relief than at delivery (nan while nothing
    has changed), None without draws.
    """

    neck: object = field(repr=False, compare=False)
    days: np.ndarray
    month: tuple
    room: Air
    board_moisture: np.ndarray
    neck_moisture: np.ndarray
    relief: np.ndarray
    side_bow: np.ndarray
    fret_end: np.ndarray
    width: np.ndarray
    stiffness: np.ndarray
    moisture: np.ndarray = field(repr=False)
    foreseen: np.ndarray
    share_up: np.ndarray

    @cached_property
    def twist(self):
        at = [value if value.ndim > 1 else list(value) for value in np.moveaxis(self.moisture, -2, 0)]
        return np.stack([movement(self.neck, at[0], end).twist + np.zeros(self.relief.shape[:-1]) for end in at], -1)

    @property
    def chance(self):
        """Relief change of each draw less the foreseen part, (D, T), m; zeros (T,) without draws."""
        return self.relief - self.foreseen if self.relief.ndim > 1 else np.zeros_like(self.relief)

    @property
    def widest(self):
        """Index of the moment when the relief differs most from delivery: widest 90 % band, or largest change without draws."""
        if self.relief.ndim == 1:
            return int(np.argmax(np.abs(self.relief)))
        return int(np.argmax(np.subtract(*np.percentile(self.relief, [95, 5], axis=0))))

    def band(self, name="relief"):
        """5, 50 and 95 % points (3, T) of one of the values, SI. Without draws all three are the value. Raises ValueError."""
        options = ("relief", "side_bow", "twist", "fret_end", "width", "stiffness", "board_moisture", "neck_moisture", "chance")
        value = getattr(self, checks.choice("value", name, options))
        return np.percentile(value, [5, 50, 95], axis=0) if value.ndim > 1 else np.stack([value] * 3)

    def sentence(self):
        """What to tell the client, in one or two sentences, from the numbers."""
        i = self.widest
        if self.share_up is None:
            return f"By {self.month[i]} relief has changed by {1e3 * self.relief[i]:+.2f} mm if the wood is as assumed."
        low, middle, high = 1e3 * self.band()[:, i]
        up = round(100 * self.share_up[i])
        return (f"By {self.month[i]}, in {up} of 100 such necks relief has gone up and in {100 - up} down; the middle one by {middle:+.2f} mm, nine in ten "
                f"between {low:+.2f} and {high:+.2f} mm. What can be foreseen of that is {1e3 * self.foreseen[i]:+.2f} mm; the rest is chance until the "
                "lengthwise movement of these boards is measured.")

    def table(self):
        """DataFrame: one row per moment."""
        import pandas as pd

        def shown(value):
            return value if value.ndim == 1 else np.median(value, axis=0)
        frame = {"days after delivery": self.days, "month": self.month, "room (% relative humidity)": 100 * self.room.humidity,
                 "fretboard (% moisture)": 100 * shown(self.board_moisture), "neck (% moisture)": 100 * shown(self.neck_moisture)}
        low, middle, high = 1e3 * self.band()
        frame |= {"relief change, middle (mm)": middle, "relief change, 5 % (mm)": low, "relief change, 95 % (mm)": high, "foreseen part (mm)": 1e3 * self.foreseen}
        if self.share_up is not None:
            frame["necks with more relief (of 100)"] = 100 * self.share_up
        frame |= {"side bow, 95 % of size (mm)": 1e3 * (np.abs(self.side_bow) if self.side_bow.ndim == 1 else np.percentile(np.abs(self.side_bow), 95, axis=0)),
                  "twist, 95 % of size (degrees)": np.degrees(np.abs(self.twist) if self.twist.ndim == 1 else np.percentile(np.abs(self.twist), 95, axis=0)),
                  "fret ends, each side (mm)": 1e3 * shown(self.fret_end), "stiffness (% of delivery)": 100 * shown(self.stiffness)}
        return pd.DataFrame(frame)


def column(neck, back_finish="lacquer", board_finish="bare", coats=None, paces=(1.0, 1.0)):
    """Fretboard on neck as a Column, at mid-length; moisture fractions of neck, then fretboard.

    back_finish, board_finish: names of finishes() or 'bare'; coats: of the back. paces: factors on the diffusivity of neck and fretboard, floats
    or arrays (K,). The neck counts as a layer of its mean depth, its back film taken by the true length of the curve. Raises ValueError.
    """
    x = neck.end / 2
    width = float(neck.outline.width(x))
    y = width / 2 * np.sin(np.linspace(-np.pi / 2, np.pi / 2, 201))
    z = neck.back.surface(y, width / 2, float(neck.back.depth(x)))
    curve, mean_depth = float(np.sum(np.hypot(np.diff(y), np.diff(z)))), float(-np.trapezoid(z, y)) / width
    share = np.diff(np.clip(neck.layup.edges, -width / 2, width / 2)) / width
    dry = [np.mean(piece.rho / (1 + np.asarray(piece.moisture))) for piece in neck.pieces]
    density = float(share @ dry[:-1]), float(dry[-1])
    D = [diffusivity(rho) * np.asarray(pace) for rho, pace in zip(density, paces)]
    return Column((mean_depth, neck.fretboard.thickness), tuple(D), density, finish(back_finish, coats).film(density[0]) * curve / width,
                  finish(board_finish, None).film(density[1]))


def year(neck, place, delivered="October", shop=None, temperature=20.0, added=ADDED, cooled=False, held=None, back_finish="lacquer", board_finish="bare",
         coats=None, setup_relief=0.0002, points=25, seed=0, count=40):
    """The first year of a neck in a client's room. Returns Year.

    neck: with draws (neck.design.spread) for bands and shares, or single. place: a name of wood.climate.places() (the room then by wood.climate.indoor with
    temperature, added, cooled, held), or an Air of twelve months, January first. delivered: month (number or name), counted from its middle.
    shop: Air of the workshop (None: 45 %, 20 C), where the whole neck had settled. setup_relief: the relief it left with (m). points: moments from
    delivery to a year later. seed: whole number, for the paces of diffusion. count: stations along the neck. Raises ValueError.
    """
    shop = workshop() if shop is None else shop
    months = place if isinstance(place, Air) else indoor(place, None, temperature, added, cooled, held)
    if np.shape(months.moisture) != (12,):
        raise ValueError(f"room: air of shape {np.shape(months.moisture)} given; accepted: twelve months, January first")
    if int(checks.number("points", points, 2, 400)) != points:
        raise ValueError(f"points: {points:g} given; accepted: a whole number from 2 to 400")
    setup_relief = checks.number("setup relief", setup_relief, -0.002, 0.005, "m", lambda v: f"Did you mean {v / 1000:g} m?")
    first = month_number(delivered) - 1
    days = np.linspace(0.0, 365.25, int(points))
    into = np.asarray(first + days / MONTH)

    def at(values):
        return np.interp(into, np.arange(25), np.tile(values, 3)[:25])

    room = Air(at(months.temperature), at(months.humidity), at(months.moisture), np.zeros(len(days), bool))
    # the break lines of the air lie between the points asked for: follow both
    every = np.union1d(days, np.arange(13) * MONTH)
    air = np.interp(first + every / MONTH, np.arange(25), np.tile(months.moisture, 3)[:25])
    keep = np.searchsorted(every, days)
    start = float(shop.moisture)

    def follow(paces):
        return column(neck, back_finish, board_finish, coats, paces).follow(every * DAY, air, start)[..., keep, :]

    layers, share = follow((1.0, 1.0)), None
    if neck.draws is not None:
        # the typical pace, and with it the mean of all boards, travels along as one more draw
        pick = np.random.default_rng([seed, 7]).integers(len(PACES), size=(2, neck.draws))
        grid = follow(tuple(np.ravel(p) for p in np.meshgrid(PACES, PACES, indexing="ij")))
        layers = np.concatenate([grid[pick[0] * len(PACES) + pick[1]], layers[None]])
    found = _changes(neck, start, layers, setup_relief, neck.stations(count))
    foreseen = found["relief"]
    if neck.draws is not None:
        foreseen, layers, found = foreseen[-1], layers[:-1], {name: value[:-1] for name, value in found.items()}
        share = np.where(np.all(np.abs(found["relief"]) < 1e-9, axis=0), np.nan, np.mean(found["relief"] > 0, axis=0))
    names = tuple(MONTHS[int(np.floor(m + 0.5)) % 12] for m in into)
    return Year(neck, days, names, room, layers[..., 1], layers[..., 0], **found, foreseen=foreseen, share_up=share)


def _changes(neck, start, layers, setup_relief, x):
    """Movement and stiffness at every moment; layers (T, 2), or (D + 1, T, 2) with the mean of the draws last: moisture of neck and fretboard. Values
    (T,) or (D + 1, T), pieces' moisture with a last axis P. All moments are worked out in one go, as if each were a draw."""
    stripes, moments = len(neck.pieces) - 1, layers.shape[-2]
    full = [piece.species.fibre_saturation for piece in neck.pieces]
    end = np.minimum(np.concatenate([np.repeat(layers[..., :1], stripes, -1), layers[..., 1:]], -1), full)
    many = neck if neck.draws is None else _with_mean_at_moments(neck, moments)
    flat = end.reshape(-1, stripes + 1)
    moved, shape = movement(many, start, flat, x), end.shape[:-1]
    stiffness, relief, side_bow, fret_end, width = (np.broadcast_to(value, len(flat)).reshape(shape) for value in (
        _even_stiffness(many, flat, x), moved.relief, moved.side_bow, moved.fret_end, moved.width_end))
    ratio = stiffness / stiffness[..., :1]
    setup = setup_relief if np.ndim(setup_relief) == 0 else _with_mean(setup_relief)[:, None]
    return {"relief": relief + setup * (1 / ratio - 1), "side_bow": side_bow, "fret_end": fret_end, "width": width, "stiffness": ratio, "moisture": end}


_RECENT = deque(maxlen=4)


def _with_mean(values):
    return np.append(values, np.mean(values))


def _with_mean_at_moments(neck, moments):
    """The neck with the mean of its draws as one draw more, each draw `moments` times. The last few are kept: a live figure asks for the same neck
    again and again."""
    for known, count, many in tuple(_RECENT):
        if known is neck and count == moments:
            return many
    many = _each(neck, lambda values: np.repeat(_with_mean(values), moments))
    _RECENT.append((neck, moments, many))
    return many


def _even_stiffness(neck, moisture, x):
    """The even bending stiffness (N m2) that bows as much as the neck between first and last fret, pieces at `moisture` (P,) or (D, P)."""
    parts = regions(neck, x)
    E, share = moduli_at(neck, parts, moisture), slots(neck, parts)
    first, last = float(neck.fret(1)), neck.end
    bend = chord_matrix(parts.x, [(first + last) / 2], first, last)[0]

    def sag(E, share):
        EA, ES, EI = (weighted(E, m, parts.slotted, share) for m in (parts.area, parts.Sz, parts.Szz))
        return (1 / (EI - ES**2 / EA)) @ bend
    if E.ndim == 1 and share.ndim == 1:
        return (last - first) ** 2 / 8 / sag(E, share)
    draws = max(len(v) for v in (E, share) if v.ndim > 1)
    E, share = np.broadcast_to(E, (draws, E.shape[-1])), share if share.ndim == 1 else np.broadcast_to(share, (draws, share.shape[-1]))
    # a few hundred draws at a time stay in the processor's cache
    parts_of = [slice(i, i + 250) for i in range(0, draws, 250)]
    return (last - first) ** 2 / 8 / np.concatenate([sag(E[rows], share if share.ndim == 1 else share[rows]) for rows in parts_of])


def _each(neck, change):
    """The neck with every drawn value of its boards, and of the slot fill, put through `change`; single values stay."""
    def one(value):
        return value if value is None or np.ndim(value) == 0 else change(value)

    boards = []
    for b in neck.pieces:
        named = {n: one(getattr(b, n)) for n in ("ring_angle", "run_out", "slope", "moisture", "density", "modulus", "loss")}
        boards.append(replace(b, **named, swelling=None if b.swelling is None else tuple(one(c) for c in b.swelling)))
    stripes = tuple(replace(s, board=b) for s, b in zip(neck.layup.stripes, boards))
    return replace(neck, layup=Layup(stripes), fretboard=replace(neck.fretboard, board=boards[-1], slot_fill=one(neck.fretboard.slot_fill)))


def compare(years):
    """Necks side by side at the moment each is furthest from delivery. years: {name: Year}. Returns a DataFrame. Raises ValueError if empty."""
    import pandas as pd

    if not years:
        raise ValueError("necks to compare: 0 given; accepted: at least one Year by name")
    rows = {}
    for name, found in years.items():
        i = found.widest
        low, middle, high = 1e3 * found.band()[:, i]
        rows[name] = {"month": found.month[i], "relief change, middle (mm)": middle, "5 % (mm)": low, "95 % (mm)": high, "width of the band (mm)": high - low,
                      "foreseen part (mm)": 1e3 * found.foreseen[i],
                      "necks with more relief (of 100)": np.nan if found.share_up is None else 100 * found.share_up[i],
                      "side bow, band (mm)": float(1e3 * np.subtract(*found.band("side_bow")[[2, 0], i]))}
    return pd.DataFrame.from_dict(rows, orient="index")
