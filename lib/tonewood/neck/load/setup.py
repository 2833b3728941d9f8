"""What the strings do to the neck: how high they run, the moment they make, the shear in the fretboard's glue
line.

Cut neck and strings at any station: nothing outside acts on the piece beyond the cut, so the wood carries -T
along its axis and the moment T e, with e the height of the string above the E-weighted axis. Headstock angle
and the forces on nut and bridge do not enter.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tonewood.checks import length, number, whole
from tonewood.draws import Array, Draws
from tonewood.neck.layup.neck import Neck
from tonewood.neck.load.bow import glue_shear
from tonewood.neck.section.stations import AtStations, at_stations
from tonewood.strings.wire import StringSet


@dataclass(frozen=True)
class Setup:
    """How the strings lie over the board, as it is measured at the bench (m). Defaults: common practice, no
    source.

    action: gap between string and top of fret `action_fret`, neck straight; one number, (bass, treble) or one
    per string. nut_height: string above the fretboard surface at the nut. fret_height: fret above the board.
    nut_spread, bridge_spread: distance from the bass to the treble string. Raises ValueError.
    """

    action: float | tuple[float, ...] = (0.0020, 0.0016)
    action_fret: int = 12
    nut_height: float = 0.0016
    fret_height: float = 0.0011
    nut_spread: float = 0.035
    bridge_spread: float = 0.052

    def __post_init__(self) -> None:
        length("action", self.action, 0.0, 0.02)
        if length("nut height", self.nut_height, -0.02, 0.02, open_low=False) < 0:
            number("nut height", self.nut_height, 0.0, 0.02, "m", "The string would run below the fretboard")
        length("fret height", self.fret_height, 0.0, 0.005, open_low=False)
        whole("action fret", self.action_fret, 1, 48)
        length("string spread at the nut", self.nut_spread, 0.0, 0.2, open_low=False)
        length("string spread at the bridge", self.bridge_spread, 0.0, 0.2, open_low=False)

    def heights(self, neck: Neck, x: Draws, strings: int) -> Array:
        """Height (m) of each of `strings` strings above the glue line at x (S,): (strings, S), straight lines
        from nut to bridge.

        Raises ValueError if the action fret is beyond the board, the actions do not fit the strings, or a
        string would lie on a fret.

        >>> from tonewood.neck.layup.neck import example_neck
        >>> Setup().heights(example_neck(), [0.0, 0.324], 2).round(4).tolist()
        [[0.0076, 0.0091], [0.0076, 0.0087]]
        """
        whole("action fret", self.action_fret, 1, neck.frets)
        action = np.atleast_1d(np.asarray(self.action, dtype=float))
        if action.size not in (1, 2, strings):
            raise ValueError(f"action: {action.size} values given for {strings} strings; accepted: one, "
                             "(bass, treble), or one a string")
        if action.size in (1, 2):
            action = np.linspace(action[0], action[-1], strings)
        slope = (self.fret_height + action - self.nut_height) / float(neck.fret(self.action_fret))
        gap = self.nut_height + slope[:, None] * neck.fret(np.arange(1, neck.frets + 1)) - self.fret_height
        if np.any(gap <= 0):
            string, fret = np.argwhere(gap <= 0)[0]
            raise ValueError(f"string height: string {string + 1} from the bass side lies on fret {fret + 1} "
                             f"({1e3 * gap[string, fret]:.2f} mm above it with the neck straight); accepted: "
                             "above every fret. Raise the nut height or the action")
        return neck.fretboard.thickness + self.nut_height + slope[:, None] * np.asarray(x)

    def places(self, neck: Neck, x: Draws, strings: int) -> Array:
        """Distance (m) of each string from the centre line at x (S,), treble side positive: (strings, S).

        >>> from tonewood.neck.layup.neck import example_neck
        >>> Setup().places(example_neck(), [0.0, 0.648], 3).round(4).tolist()
        [[-0.0175, -0.026], [0.0, 0.0], [0.0175, 0.026]]
        """
        spread = self.nut_spread + (self.bridge_spread - self.nut_spread) * np.asarray(x) / neck.scale_length
        return (np.linspace(-0.5, 0.5, strings) if strings > 1 else np.zeros(1))[:, None] * spread


def string_moment(tension: Draws, height: Array, axis: Draws) -> Array:
    """Moment (N m) of the strings about an axis: sum of T (height - axis). Raises ValueError for a negative
    tension.

    tension (n,) or (D, n), N; height (n, S), m; axis (S,) or (D, S), m. Returns (S,) or (D, S).

    >>> string_moment([80.0, 70.0], np.array([[0.010], [0.012]]), np.array([-0.003])).round(3).tolist()
    [2.09]
    """
    tension = np.asarray(number("string tension", tension, 0.0, unit="N"))
    height, axis = (np.asarray(number(name, value, unit="m"))
                    for name, value in (("height of the strings", height), ("height of the axis", axis)))
    return tension @ height - tension.sum(-1)[..., None] * axis


@dataclass(frozen=True)
class GlueShear:
    """Shear of the fretboard's glue line under the strings: x (S,), shear_force (N), flow (N/m), width (S,)
    (m), stress (Pa); (S,) or (D, S).

    fretboard_force (…, S), N: compression the fretboard carries; it enters and leaves near the ends of the
    board, where this model does not look.
    """

    x: Array
    shear_force: Array
    flow: Array
    width: Array
    stress: Array
    fretboard_force: Array


def fretboard_glue_shear(neck: Neck | AtStations, strings: StringSet, setup: Setup = Setup(),
                         x: Draws | None = None) -> GlueShear:
    """Shear stress (Pa) in the glue line under the fretboard from string pull, at stations x (m; None: the
    neck's). Raises ValueError.

    The shear force is dM/dx: the strings are not quite parallel to the axis. Plane-section value for the body
    of the neck; within a few fretboard thicknesses of the ends and beside a rod anchor the stress is higher
    and this model does not see it. Between layers of a fretboard it is less; without a fretboard 0.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> from tonewood.strings.sets import string_set
    >>> round(float(fretboard_glue_shear(example_neck(), string_set("six")).stress.max()))
    4984
    """
    here = at_stations(neck, x)
    neck, x, s, parts = here.neck, here.x, here.section, here.regions
    moment = string_moment(strings.tension, setup.heights(neck, x, len(strings)), s.z_bar)
    force = np.gradient(moment, x, axis=-1)
    E = here.moduli * np.isin(np.arange(len(parts.piece)), here.fretboard_regions)
    stiffness = here.summed(E, parts.area)
    first_moment = here.summed(E, parts.Sz) - s.z_bar * stiffness
    width, channel = neck.outline.width(x), neck.channel
    if channel is not None:
        open_top = (x >= channel.start) & (x <= channel.end) & (channel.below == 0)
        width = width - channel.width * open_top
    carried = np.asarray(strings.tension).sum(-1)[..., None] * stiffness / s.EA + moment * first_moment / s.EI
    flow = glue_shear(force, first_moment, s.EI)
    return GlueShear(x, force, flow, width, flow / width, carried)
