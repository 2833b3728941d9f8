"""What the strings do to the neck: how high they run, the moment they make, the shear in the fretboard's glue line.

Cut neck and strings at any station: nothing outside acts on the piece beyond the cut, so the wood carries -T along its axis and the moment
T e, with e the height of the string above the E-weighted axis. Headstock angle and the forces on nut and bridge do not enter.
"""

from dataclasses import dataclass

import numpy as np

from tonewood.checks import number
from tonewood.neck.load.bow import glue_shear
from tonewood.neck.section.section import moduli, regions, section, slots


def _millimetre_slip(value):
    return f"Did you mean {value / 1000:g} m ({value:g} mm)?" if 0.1 < value < 1000 else None


@dataclass(frozen=True)
class Setup:
    """How the strings lie over the board, as it is measured at the bench (m). Defaults: common practice, no source.

    action: gap between string and top of fret `action_fret`, neck straight; one number, (bass, treble) or one per string.
    nut_height: string above the fretboard surface at the nut. fret_height: fret above the board.
    nut_spread, bridge_spread: distance from the bass to the treble string. Raises ValueError.
    """
    action: float | tuple = (0.0020, 0.0016)
    action_fret: int = 12
    nut_height: float = 0.0016
    fret_height: float = 0.0011
    nut_spread: float = 0.035
    bridge_spread: float = 0.052

    def __post_init__(self):
        number("action", self.action, 0.0, 0.02, "m", _millimetre_slip, open_low=True)
        number("nut height", self.nut_height, 0.0, 0.02, "m",
               lambda v: "The string would run below the fretboard" if v < 0 else _millimetre_slip(v))
        number("fret height", self.fret_height, 0.0, 0.005, "m", _millimetre_slip)
        number("action fret", self.action_fret, 1, 48)
        for name in ("nut_spread", "bridge_spread"):
            number(f"string {name.replace('_', ' at the ')}", getattr(self, name), 0.0, 0.2, "m", _millimetre_slip)

    def heights(self, neck, x, strings):
        """Height (m) of each of `strings` strings above the glue line at x (S,): (strings, S), straight lines from nut to bridge.

        Raises ValueError if the action fret is beyond the board, the actions do not fit the strings, or a string would lie on a fret.
        """
        if self.action_fret > neck.frets:
            raise ValueError(f"action fret: {self.action_fret} given; accepted: 1 to {neck.frets}, the frets on this board")
        action = np.atleast_1d(np.asarray(self.action, dtype=float))
        if action.size not in (1, 2, strings):
            raise ValueError(f"action: {action.size} values given for {strings} strings; accepted: one, (bass, treble), or one a string")
        if action.size in (1, 2):
            action = np.linspace(action[0], action[-1], strings)
        at_fret = self.fret_height + action
        slope = (at_fret - self.nut_height) / float(neck.fret(self.action_fret))
        frets = neck.fret(np.arange(1, neck.frets + 1))
        gap = self.nut_height + slope[:, None] * frets - self.fret_height
        if np.any(gap <= 0):
            string, fret = np.argwhere(gap <= 0)[0]
            raise ValueError(f"string height: string {string + 1} from the bass side lies on fret {fret + 1} ({1e3 * gap[string, fret]:.2f} mm above it with the "
                             "neck straight); accepted: above every fret. Raise the nut height or the action")
        return neck.fretboard.thickness + self.nut_height + slope[:, None] * np.asarray(x)

    def places(self, neck, x, strings):
        """Distance (m) of each string from the centre line at x, treble side positive: (strings, S)."""
        x = np.asarray(x)
        spread = self.nut_spread + (self.bridge_spread - self.nut_spread) * x / neck.scale_length
        return (np.linspace(-0.5, 0.5, strings) if strings > 1 else np.zeros(1))[:, None] * spread


def string_moment(tension, height, axis):
    """Moment (N m) of the strings about an axis: sum of T (height - axis).

    tension (n,) or (D, n), N; height (n, S), m; axis (S,) or (D, S), m. Returns (S,) or (D, S). Raises ValueError for a negative tension.
    """
    tension = np.asarray(number("string tension", tension, 0.0, unit="N"))
    return tension @ height - tension.sum(-1)[..., None] * axis


@dataclass(frozen=True)
class GlueShear:
    """Shear of the fretboard's glue line under the strings: x (S,), shear_force (N), flow (N/m), width (S,) (m), stress (Pa); (S,) or (D, S).

    fretboard_force (…, S), N: compression the fretboard carries; it enters and leaves near the ends of the board, where this model does not look.
    """
    x: np.ndarray
    shear_force: np.ndarray
    flow: np.ndarray
    width: np.ndarray
    stress: np.ndarray
    fretboard_force: np.ndarray

    def table(self):
        """One row a station; the mean over draws if there are any."""
        import pandas
        mean = lambda v: v.mean(0) if np.ndim(v) > 1 else v
        return pandas.DataFrame({"x (mm)": 1e3 * self.x, "shear force (N)": mean(self.shear_force), "shear flow (N/mm)": 1e-3 * mean(self.flow),
                                 "width glued (mm)": 1e3 * self.width, "shear stress (kPa)": 1e-3 * mean(self.stress),
                                 "compression in the fretboard (N)": mean(self.fretboard_force)})


def fretboard_glue_shear(neck, strings, setup=Setup(), x=None):
    """Shear stress in the glue line under the fretboard from string pull. Returns GlueShear.

    The shear force is dM/dx: the strings are not quite parallel to the axis. Plane-section value for the body of the neck; within a few
    fretboard thicknesses of the ends and beside a rod anchor the stress is higher and this model does not see it.
    """
    s = section(neck, x)
    moment = string_moment(strings.tension, setup.heights(neck, s.x, len(strings)), s.z_bar)
    force = np.gradient(moment, s.x, axis=-1)
    parts = regions(neck, s.x)
    E = moduli(neck, parts)
    factor = slots(neck, parts)
    stiffness, first_moment = 0.0, 0.0
    for r in [r for r, piece in enumerate(parts.piece) if piece == len(neck.pieces) - 1]:
        modulus = E[..., r, None] * (factor if r == parts.slotted else 1.0)
        stiffness = stiffness + modulus * parts.area[r]
        first_moment = first_moment + modulus * (parts.Sz[r] - s.z_bar * parts.area[r])
    width = neck.outline.width(s.x)
    if neck.channel is not None:
        width = width - neck.channel.width * ((s.x >= neck.channel.start) & (s.x <= neck.channel.end))
    carried = np.asarray(strings.tension).sum(-1)[..., None] * stiffness / s.EA + moment * first_moment / s.EI
    return GlueShear(s.x, force, glue_shear(force, first_moment, s.EI), width, glue_shear(force, first_moment, s.EI, width), carried)
