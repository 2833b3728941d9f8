"""Relief: the gap under a straightedge on the frets when the strings are on, positive for forward bow.

relief(neck, strings) gives the slack-rod relief; rod.py adds the rod to it. Model: Euler-Bernoulli beam, string moment T e, the strings staying
straight between nut and bridge (second order), the body's stiffness added from the joint on. Shear deflection is below 1 % and left out.
Expect about 30 % either way on a neck whose boards were not measured: modulus, slot fill, heights, tension.
"""

from dataclasses import dataclass, field, replace

import numpy as np

from tonewood.checks import draw_count, number
from tonewood.neck.load.bow import bending, chord_matrix, second_order, stations_checked
from tonewood.neck.load.joint import Joint
from tonewood.neck.load.setup import Setup, string_moment
from tonewood.neck.section.section import moduli, regions, section, slots

STRAIGHT = 0.00002          # m: below this a straightedge shows nothing; common practice, no source
_STEP = 1e-6                # m: half width of the jump in stiffness at the body joint


@dataclass(frozen=True)
class Strung:
    """A neck under its strings, ready to bend. S stations from nut to bridge, F frets.

    x (S,), EI (…, S) with the body and freed sideways (N m2), z_bar (…, S), own: share of EI that is the neck's (…, S), moment (…, S) of the
    strings (N m), pull (…) of all strings (N), frets (F,), bridge: x (m), shown: how many stations lie on the neck, extra: other curvature
    (…, S) 1/m, side_curvature (…, S) 1/m, EA (…, S) N or None, second: the strings act on the bowed neck, joint: x (m) of the body joint or
    None, neck: the Neck or None.
    """
    x: np.ndarray
    EI: np.ndarray
    z_bar: np.ndarray
    moment: np.ndarray
    pull: float | np.ndarray
    frets: np.ndarray
    bridge: float
    shown: int = None
    own: float | np.ndarray = 1.0
    extra: float | np.ndarray = 0.0
    side_curvature: float | np.ndarray = 0.0
    EA: float | np.ndarray = None
    second: bool = True
    joint: float = None
    neck: object = field(default=None, repr=False, compare=False)


@dataclass(frozen=True)
class Relief:
    """Relief of one neck or of D draws. S stations on the neck, F frets; metres, positive for forward bow.

    x (S,); deflection (…, S) under the straightedge on the first and last fret; fret_positions (F,); at_fret (…, F); maximum (…): the
    largest gap between first and last fret, with its sign; moment (…, S): strings less rod, N m; curvature (…, S), 1/m; amplification (…):
    by the strings acting on the bowed neck; pull_share (…): string pull over the buckling load; side_at_fret (…, F): side bow,
    positive when the middle of the neck moves to the treble; strung: what was bent.
    """
    x: np.ndarray
    deflection: np.ndarray
    fret_positions: np.ndarray
    at_fret: np.ndarray
    maximum: np.ndarray
    moment: np.ndarray
    curvature: np.ndarray
    amplification: np.ndarray
    pull_share: np.ndarray
    side_at_fret: np.ndarray
    strung: Strung = field(repr=False, compare=False)

    def at(self, fret):
        """Relief (…), m, at one fret. Raises ValueError for a fret that is not on the board."""
        if fret != int(fret) or not 1 <= fret <= self.fret_positions.size:
            raise ValueError(f"fret: {fret} given; accepted: a whole number from 1 to {self.fret_positions.size}, the frets on this board")
        return self.at_fret[..., int(fret) - 1]

    @property
    def maximum_at(self):
        """x (…), m, of the largest gap."""
        between = (self.x >= self.fret_positions[0]) & (self.x <= self.fret_positions[-1])
        return self.x[between][np.argmax(np.abs(self.deflection[..., between]), -1)]

    @property
    def direction(self):
        """"forward bow", "back bow", "s-curve" or "straight" (within 0.02 mm) for each draw: a word, or an array of words (D,)."""
        up, down = self.at_fret.max(-1) > STRAIGHT, self.at_fret.min(-1) < -STRAIGHT
        words = np.select([up & down, up, down], ["s-curve", "forward bow", "back bow"], "straight")
        return str(words) if words.ndim == 0 else words

    def table(self):
        """One row a fret, mm; median and 90 % band when there are draws."""
        import pandas
        columns = {"fret": np.arange(1, self.fret_positions.size + 1), "from the nut (mm)": 1e3 * self.fret_positions}
        if self.at_fret.ndim == 1:
            columns.update({"relief (mm)": 1e3 * self.at_fret, "side bow (mm)": 1e3 * self.side_at_fret})
        else:
            low, middle, high = np.percentile(self.at_fret, [5, 50, 95], axis=0)
            columns.update({"relief, median (mm)": 1e3 * middle, "relief, 5 % (mm)": 1e3 * low, "relief, 95 % (mm)": 1e3 * high,
                            "side bow, median (mm)": 1e3 * np.median(np.broadcast_to(self.side_at_fret, self.at_fret.shape), axis=0)})
        return pandas.DataFrame(columns)


def bend(strung, rod_moment=0.0, strings=1.0):
    """Bend a Strung neck. rod_moment (…, S): moment of a rod, N m, positive towards back bow; strings: 1 with the string moment, 0 without
    (the pull stays: this gives the response to the rod alone). Returns Relief. Raises ValueError if the pull would buckle the neck.
    """
    s = strung
    moment = strings * s.moment - rod_moment
    curvature = moment / s.EI + strings * s.extra
    if s.second:
        curvature, amplification, share = second_order(s.x, curvature, 1.0 / s.EI, s.pull, 0.0, s.bridge)
    else:
        amplification, share = np.ones(curvature.shape[:-1]), np.zeros(curvature.shape[:-1])
    shown = s.x[:s.shown]
    ends = s.frets[0], s.frets[-1]
    at_stations = curvature @ chord_matrix(s.x, shown, *ends).T
    to_frets = chord_matrix(s.x, s.frets, *ends)
    at_fret = curvature @ to_frets.T
    between = at_stations[..., (shown >= ends[0]) & (shown <= ends[1])]
    every = np.concatenate([between, at_fret], -1)
    maximum = np.take_along_axis(every, np.argmax(np.abs(every), -1)[..., None], -1)[..., 0]
    side = np.broadcast_to(s.side_curvature, s.x.shape) if np.ndim(s.side_curvature) == 0 else s.side_curvature
    return Relief(shown, at_stations, s.frets, at_fret, maximum, (moment + np.zeros(s.x.size))[..., :s.shown], curvature[..., :s.shown],
                  amplification, share, strings * (side @ to_frets.T), strung)


def _curvature_at(curvature, x):
    """Given curvature brought to stations x: a number, (D,) uniform along the neck, or (places, values (P,) or (D, P))."""
    if not isinstance(curvature, tuple):
        value = np.asarray(number("extra curvature", curvature, -1.0, 1.0, "1/m"))
        return value[..., None] * np.ones(x.size)
    places, values = curvature
    places = stations_checked(places)
    values = np.asarray(number("extra curvature", values, -1.0, 1.0, "1/m"))
    if values.ndim not in (1, 2) or values.shape[-1] != places.size:
        raise ValueError(f"extra curvature: values of shape {values.shape} given for {places.size} places; accepted: one value a place, draws first")
    hat = np.stack([np.interp(x, places, row) for row in np.eye(places.size)])
    return values @ hat


def strung_neck(neck, strings, setup=Setup(), joint=None, curvature=0.0, second_order=True, count=40):
    """Bring a neck, its strings and its body together. See relief for the arguments. Returns Strung."""
    joint = joint or Joint()
    begins = joint.start if joint.start is not None else neck.end if neck.body_start is None else neck.body_start
    begins, length = min(begins, neck.scale_length), neck.scale_length
    steps = np.array([s + e for s in (begins, begins + joint.length, neck.end) for e in (-_STEP, _STEP)])
    on_neck = np.union1d(np.linspace(0.0, neck.end, count), steps[(steps > 0) & (steps < neck.end)])
    beyond = np.union1d(np.linspace(neck.end, length, 8)[1:], steps[(steps > neck.end) & (steps < length)])
    x = np.concatenate([on_neck, beyond])

    s = section(neck, on_neck)
    height = setup.heights(neck, x, len(strings))
    tension = np.asarray(strings.tension)
    extra = _curvature_at(curvature, x)
    draw_count(**{"the neck": neck.draws and np.empty(neck.draws), "tension": tension if tension.ndim > 1 else None,
                  "extra curvature": extra if extra.ndim > 1 else None})
    hold = lambda value: np.concatenate([value, np.broadcast_to(value[..., -1:], value.shape[:-1] + (beyond.size,))], -1)
    z_bar, y_bar, EA = hold(s.z_bar), hold(s.y_bar), hold(s.EA)
    moment = string_moment(tension, height, z_bar)
    side_moment = string_moment(tension, setup.places(neck, x, len(strings)), y_bar)
    _, side = bending(s.EI, s.EI_side, s.EI_cross, moment[..., :on_neck.size], side_moment[..., :on_neck.size])
    # Free to bow sideways too, a lopsided section is a little softer in the plane of the strings.
    lean = s.EI_cross / s.EI_side
    in_plane = s.EI - s.EI_cross * lean
    bare = np.concatenate([in_plane, np.zeros(in_plane.shape[:-1] + (beyond.size,))], -1)
    EI = joint.stiffness(x, begins, bare)
    own = bare / EI
    side = np.concatenate([side, np.zeros(side.shape[:-1] + (beyond.size,))], -1) * (x < begins)
    moment_eff = moment - hold(lean) * side_moment
    extra = extra * own + _turn(joint, x, begins, moment_eff)
    return Strung(x, EI, z_bar, moment_eff, tension.sum(-1), np.asarray(neck.fret(np.arange(1, neck.frets + 1))), length, on_neck.size, own, extra,
                  side, EA, second_order, begins, neck)


def _turn(joint, x, begins, moment):
    """Curvature (…, S) that stands for the kink of a joint which turns under the moment; zero if it does not turn or lies at the nut."""
    if joint.turn == 0.0 or not 0.0 < begins < x[-1]:
        return 0.0
    k = int(np.searchsorted(x, begins))
    # The two stations beside the joint carry the angle, shared so that its centre lies at the joint.
    before, after = x[k - 1] - x[k - 2], x[k + 1] - x[k]
    share = np.zeros(x.size)
    share[k - 1] = 2.0 * after / (before + after) / (x[k] - x[k - 2])
    share[k] = 2.0 * before / (before + after) / (x[k + 1] - x[k - 1])
    return joint.turn * moment * share


def relief(neck, strings, setup=Setup(), joint=None, curvature=0.0, second_order=True, count=40):
    """Relief of a strung neck with the rod slack. Returns Relief.

    neck: Neck; strings: StringSet; setup: heights of the strings; joint: Joint to the body (None: set neck, from where the neck says). Multi-scale
    strings enter by their tension only; heights follow the neck's own scale. curvature: what the neck would have without strings (1/m,
    forward bow positive), as from moisture or frets: a number, (D,) or (places, values); the body holds back its part of it.
    second_order: False leaves out the strings acting on the bowed neck. count: stations. Raises ValueError.
    """
    return bend(strung_neck(neck, strings, setup, joint, curvature, second_order, count))


def slot_fill_band(neck, strings, **settings):
    """Relief with open, half-bearing and fully bearing fret slots (fill 0, 0.5, 1): a tuple of three. How far tangs bear is not known, so the
    spread between them belongs beside every figure. settings: as for relief.
    """
    return tuple(relief(replace(neck, fretboard=replace(neck.fretboard, slot_fill=fill)), strings, **settings) for fill in (0.0, 0.5, 1.0))


def fret_wedge(neck, interference, count=40):
    """Curvature from fret tangs thicker than their slots, ready for relief(curvature=...): (x (S,), values (S,) or (D, S)), negative: back bow.

    interference: tang less slot (m), one number or (D,). Estimated: the slotted layer, with the stiffness its slots leave it, would like to be longer by
    interference / fret pitch. Raises ValueError.
    """
    interference = np.asarray(number("interference of the tang", interference, -0.1e-3, 0.3e-3, "m", lambda v: f"Did you mean {v / 1000:g} m?"))
    parts = regions(neck, np.linspace(0.0, neck.end, count))
    if parts.slotted is None:
        raise ValueError("fret slot depth: 0 m given; accepted: above 0 m when tangs are to wedge the slots")
    s = section(neck, parts.x)
    E = moduli(neck, parts)[..., parts.slotted, None] * slots(neck, parts)
    pitch = (neck.scale_length - parts.x) * (1.0 - 2.0 ** (-1.0 / 12.0))
    push = E * interference[..., None] / pitch
    return parts.x, -push * (parts.Sz[parts.slotted] - s.z_bar * parts.area[parts.slotted]) / s.EI
