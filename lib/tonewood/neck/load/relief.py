"""Relief: the gap under a straightedge on the frets when the strings are on, positive for forward bow.

relief(neck, strings) gives the slack-rod relief; rod.py adds the rod to it. Model: Euler-Bernoulli beam,
string moment T e, the strings staying straight between nut and bridge (second order), the body's stiffness
added from the joint on. Shear deflection is below 1 % and left out. Expect about 30 % either way on a neck
whose boards were not measured: modulus, slot fill, heights, tension.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from tonewood.checks import draw_count, length, number
from tonewood.draws import Array, Draws, band
from tonewood.neck.layup.neck import Neck, example_neck
from tonewood.neck.load.bow import bending, chord_matrix, second_order, stations_checked
from tonewood.neck.load.joint import Joint
from tonewood.neck.load.setup import Setup, string_moment
from tonewood.neck.section.stations import AtStations, at_stations
from tonewood.strings.sets import string_set
from tonewood.strings.wire import StringSet

if TYPE_CHECKING:
    import pandas

_STEP = 1e-6                # m: half width of the jump in stiffness at the body joint


@dataclass(frozen=True, kw_only=True)
class Strung:
    """A neck under its strings, ready to bend. S stations from nut to bridge, F frets.

    x (S,), EI (…, S) with the body and freed sideways (N m2), z_bar (…, S), own: share of EI that is the
    neck's (…, S), moment (…, S) of the strings (N m), pull (…) of all strings (N), frets (F,), bridge: x (m),
    shown: how many stations lie on the neck, extra: other curvature (…, S) 1/m, side_curvature (…, S) 1/m, EA
    (…, S) N, second: the strings act on the bowed neck, joint: x (m) of the body joint or None, neck:
    the Neck or None, here: its section at the stations on the neck, or None.
    """

    x: Array
    EI: Array
    z_bar: Array
    EA: Array
    moment: Array
    pull: Draws
    frets: Array
    bridge: float
    shown: int | None = None
    own: Draws = 1.0
    extra: Draws = 0.0
    side_curvature: Draws = 0.0
    second: bool = True
    joint: float | None = None
    neck: Neck | None = field(default=None, repr=False, compare=False)
    here: AtStations | None = field(default=None, repr=False, compare=False)


@dataclass(frozen=True, kw_only=True)
class Relief:
    """Relief of one neck or of D draws. S stations on the neck, F frets; metres, positive for forward bow.

    x (S,); deflection (…, S) under the straightedge on the first and last fret; fret_positions (F,); at_fret
    (…, F); maximum (…): the largest gap between first and last fret, with its sign; moment (…, S): strings
    less rod, N m; curvature (…, S), 1/m; pull_share (…): string pull over the buckling load; side_at_fret
    (…, F): side bow, positive when the middle of the neck moves to the treble; strung: what was bent.
    """

    x: Array
    deflection: Array
    fret_positions: Array
    at_fret: Array
    maximum: Array
    moment: Array
    curvature: Array
    pull_share: Array
    side_at_fret: Array
    strung: Strung = field(repr=False, compare=False)

    def at(self, fret: int) -> Array:
        """Relief (…), m, at one fret. Raises ValueError for a fret that is not on the board."""
        if fret != int(fret) or not 1 <= fret <= self.fret_positions.size:
            raise ValueError(f"fret: {fret} given; accepted: a whole number from 1 to "
                             f"{self.fret_positions.size}, the frets on this board")
        return self.at_fret[..., int(fret) - 1]

    def table(self) -> pandas.DataFrame:
        """One row a fret, mm; median and 90 % band when there are draws."""
        import pandas

        columns = {"fret": np.arange(1, self.fret_positions.size + 1),
                   "from the nut (mm)": 1e3 * self.fret_positions}
        if self.at_fret.ndim == 1:
            columns.update({"relief (mm)": 1e3 * self.at_fret, "side bow (mm)": 1e3 * self.side_at_fret})
        else:
            low, middle, high = 1e3 * band(self.at_fret)
            side = np.median(np.broadcast_to(self.side_at_fret, self.at_fret.shape), axis=0)
            columns.update({"relief, median (mm)": middle, "relief, 5 % (mm)": low, "relief, 95 % (mm)": high,
                            "side bow, median (mm)": 1e3 * side})
        return pandas.DataFrame(columns)


def bend(strung: Strung, rod_moment: Draws = 0.0, strings: float = 1.0) -> Relief:
    """Bend a Strung neck. rod_moment (…, S): moment of a rod, N m, positive towards back bow; strings: 1 with
    the string moment, 0 without (the pull stays: this gives the response to the rod alone). Raises ValueError
    if the pull would buckle the neck.

    >>> x = np.linspace(0.0, 0.648, 40)
    >>> even = Strung(x=x, EI=350.0 + 0 * x, z_bar=0 * x, EA=12e6 + 0 * x, moment=5.28 + 0 * x, pull=0.0,
    ...               bridge=0.648, frets=np.array([0.04, 0.25, 0.46]))
    >>> (1e3 * bend(even).at_fret).round(3).tolist()
    [0.0, 0.333, 0.0]
    """
    s = strung
    moment = strings * s.moment - np.asarray(rod_moment)
    curvature = moment / s.EI + strings * s.extra
    share = np.zeros(curvature.shape[:-1])
    if s.second:
        curvature, _, share = second_order(s.x, curvature, 1.0 / s.EI, s.pull, 0.0, s.bridge)
    shown, first, last = s.x[:s.shown], s.frets[0], s.frets[-1]
    deflection = curvature @ chord_matrix(s.x, shown, first, last).T
    to_frets = chord_matrix(s.x, s.frets, first, last).T
    at_fret = curvature @ to_frets
    every = np.concatenate([deflection[..., (shown >= first) & (shown <= last)], at_fret], -1)
    maximum = np.take_along_axis(every, np.argmax(np.abs(every), -1)[..., None], -1)[..., 0]
    flat = np.zeros(s.x.size)
    return Relief(x=shown, deflection=deflection, fret_positions=s.frets, at_fret=at_fret, maximum=maximum,
                  moment=(moment + flat)[..., :s.shown], curvature=curvature[..., :s.shown],
                  pull_share=share, strung=s,
                  side_at_fret=strings * ((s.side_curvature + flat) @ to_frets))


Extra = Draws | tuple[Draws, Draws]
"""Curvature besides the strings', 1/m: a number, (D,) all along the neck, or (places, values (…, P))."""


def _curvature_at(curvature: Extra, x: Array) -> Array:
    """Given curvature brought to stations x: (S,) or (D, S)."""
    if not isinstance(curvature, tuple):
        return np.asarray(number("extra curvature", curvature, -1.0, 1.0, "1/m"))[..., None] * np.ones(x.size)
    places = stations_checked(curvature[0])
    values = np.asarray(number("extra curvature", curvature[1], -1.0, 1.0, "1/m"))
    if values.ndim not in (1, 2) or values.shape[-1] != places.size:
        raise ValueError(f"extra curvature: values of shape {values.shape} given for {places.size} places; "
                         "accepted: one value a place, draws first")
    return values @ np.stack([np.interp(x, places, row) for row in np.eye(places.size)])


def strung_neck(neck: Neck, strings: StringSet, setup: Setup = Setup(), joint: Joint | None = None,
                curvature: Extra = 0.0, second_order: bool = True, count: int = 40) -> Strung:
    """Bring a neck, its strings and its body together. See relief for the arguments (SI). Raises ValueError.

    >>> strung_neck(example_neck(), string_set("six")).moment[:1].round(2).tolist()
    [4.99]
    """
    joint = joint or Joint()
    bridge = neck.scale_length
    begins = neck.end if neck.body_start is None else neck.body_start
    begins = min(begins if joint.start is None else joint.start, bridge)
    steps = np.array([s + e for s in (begins, begins + joint.length, neck.end) for e in (-_STEP, _STEP)])
    on_neck = np.union1d(np.linspace(0.0, neck.end, count), steps[(steps > 0) & (steps < neck.end)])
    beyond = np.union1d(np.linspace(neck.end, bridge, 8)[1:], steps[(steps > neck.end) & (steps < bridge)])
    x, n = np.concatenate([on_neck, beyond]), on_neck.size

    def held(value: Array, beyond: float | None = None) -> Array:
        """On the neck (…, n) and beyond it, as at its end or as given: (…, S)."""
        found = np.empty((*value.shape[:-1], x.size))
        found[..., :n], found[..., n:] = value, value[..., -1:] if beyond is None else beyond
        return found

    here = at_stations(neck, on_neck)
    s = here.section
    tension = np.asarray(strings.tension)
    extra = _curvature_at(curvature, x)
    draw_count(**{"the neck": neck.draws and np.empty(neck.draws), "tension": tension[..., 0],
                  "extra curvature": extra[..., 0]})
    z_bar = held(s.z_bar)
    moment = string_moment(tension, setup.heights(neck, x, len(strings)), z_bar)
    side_moment = string_moment(tension, setup.places(neck, x, len(strings)), held(s.y_bar))
    side = np.asarray(bending(s.EI, s.EI_side, s.EI_cross, moment[..., :n], side_moment[..., :n])[1])
    # Free to bow sideways too, a lopsided section is a little softer in the plane of the strings.
    lean = s.EI_cross / s.EI_side
    bare = held(s.EI - s.EI_cross * lean, 0.0)
    moment = moment - held(lean) * side_moment
    EI = joint.stiffness(x, begins, bare)
    own = bare / EI
    return Strung(x=x, EI=EI, z_bar=z_bar, EA=held(s.EA), moment=moment, pull=tension.sum(-1), bridge=bridge,
                  frets=np.asarray(neck.fret(np.arange(1, neck.frets + 1))), shown=n, own=own, joint=begins,
                  extra=extra * own + _turn(joint, x, begins, moment), second=second_order, neck=neck,
                  side_curvature=held(side * (on_neck < begins), 0.0), here=here)


def _turn(joint: Joint, x: Array, begins: float, moment: Array) -> Draws:
    """Curvature (…, S) that stands for the kink of a joint which turns under the moment; zero if it does not
    turn or lies at the nut."""
    if joint.turn == 0.0 or not 0.0 < begins < x[-1]:
        return 0.0
    k = int(np.searchsorted(x, begins))
    # The two stations beside the joint carry the angle, shared so that its centre lies at the joint.
    before, after = x[k - 1] - x[k - 2], x[k + 1] - x[k]
    share = np.zeros(x.size)
    share[k - 1] = 2.0 * after / (before + after) / (x[k] - x[k - 2])
    share[k] = 2.0 * before / (before + after) / (x[k + 1] - x[k - 1])
    return joint.turn * moment * share


def relief(neck: Neck, strings: StringSet, setup: Setup = Setup(), joint: Joint | None = None,
           curvature: Extra = 0.0, second_order: bool = True, count: int = 40) -> Relief:
    """Relief of a strung neck with the rod slack.

    setup: heights of the strings; joint: Joint to the body (None: set neck, from where the neck says).
    Multi-scale strings enter by their tension only; heights follow the neck's own scale. curvature: what the
    neck would have without strings (forward bow positive), as from moisture or frets; the body holds back its
    part of it. second_order: False leaves out the strings acting on the bowed neck. count: stations. Raises
    ValueError.

    >>> round(1e3 * float(relief(example_neck(), string_set("six")).at(8)), 3)
    0.338
    """
    return bend(strung_neck(neck, strings, setup, joint, curvature, second_order, count))


def example_relief() -> Relief:
    """Relief (m) of the example neck under a set of six strings, rod slack: for examples.

    >>> round(1e3 * float(example_relief().maximum), 3)
    0.338
    """
    return relief(example_neck(), string_set("six"))


def fret_wedge(neck: Neck, interference: Draws, count: int = 40) -> tuple[Array, Array]:
    """Curvature from fret tangs thicker than their slots, ready for relief(curvature=...): (x (S,), values
    (S,) or (D, S)), negative: back bow.

    interference: tang less slot (m), one number or (D,). Estimated: the slotted layer, with the stiffness its
    slots leave it, would like to be longer by interference / fret pitch. Raises ValueError.

    >>> fret_wedge(example_neck(), 1e-5)[1][:1].round(4).tolist()
    [-0.0089]
    """
    interference = np.asarray(length("interference of the tang", interference, -1e-4, 3e-4, open_low=False))
    here = at_stations(neck, neck.stations(count))
    parts, s = here.regions, here.section
    if parts.slotted is None:
        raise ValueError("fret slot depth: 0 m given; accepted: above 0 m when tangs are to wedge the slots")
    cut = list(parts.slotted)
    E = here.moduli[..., cut, None] * here.slots[..., None, :]
    push = E * interference[..., None, None] / neck.fret_pitch(here.x)
    arm = parts.Sz[cut] - s.z_bar[..., None, :] * parts.area[cut]
    return here.x, -np.sum(push * arm, axis=-2) / s.EI
