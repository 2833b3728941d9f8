"""A stroke and where it is heard: the shape a pick pulls the string to, and what a pickup sees of each
partial."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tonewood import checks
from tonewood.draws import Array
from tonewood.sound.partials import SpeakingString


def _part(name: str, position: float, string: SpeakingString) -> float:
    """A distance from the bridge strictly within the speaking length, as a share of it."""
    name = f"{name} (distance from the bridge)"
    return float(checks.length(name, position, high=string.length, open_high=True)) / string.length


def initial_shape(string: SpeakingString, height: float, pick: float, width: float = 0.0, modes: int = 60
                  ) -> Array:
    """Sine coefficients of the string pulled aside by a pick, m, (modes,).

    height, m, at the pick; pick: distance from the bridge, m; width: contact width of the pick, m, which
    rounds the corner by exp(-(n width/L)^2). Geometry, a triangle: q_n = 2 h sin(n pi b)/(n^2 pi^2 b (1 -
    b)), b = pick/L. Raises ValueError.

    >>> (1e3 * initial_shape(SpeakingString(0.65, 1e-3, 70.0), 0.002, 0.13, modes=3)).round(3).tolist()
    [1.489, 0.602, 0.268]
    """
    part = _part("pick position", pick, string)
    checks.length("pull of the pick", height, -0.05, 0.05, open_low=False)
    checks.length("width of the pick", width, high=0.05, open_low=False)
    n = np.arange(1, checks.whole("string terms", modes, 1, 10_000) + 1)
    triangle = 2 * height * np.sin(n * np.pi * part) / (n**2 * np.pi**2 * part * (1 - part))
    return triangle * np.exp(-((n * width / string.length) ** 2))


def pickup_weights(string: SpeakingString, pickup: float, width: float = 0.0, modes: int = 60) -> Array:
    """What share of each sine term a pickup sees, (modes,): sin(n pi x/L), averaged over the width of its
    field.

    pickup: distance of its centre from the bridge, m; width, m. Geometry. Raises ValueError.

    >>> pickup_weights(SpeakingString(0.65, 1e-3, 70.0), 0.325, 0.02, 3).round(3).tolist()
    [1.0, 0.0, -0.996]
    """
    part = _part("pickup position", pickup, string)
    checks.length("width of the pickup", width, high=0.1, open_low=False)
    n = np.arange(1, checks.whole("string terms", modes, 1, 10_000) + 1)
    return np.sin(n * np.pi * part) * np.sinc(n * width / (2 * string.length))


@dataclass(frozen=True, kw_only=True)
class Stroke:
    """How a string is struck, and heard by one pickup. Raises ValueError.

    height, m: pull of the pick at release; direction, rad: 0 away from the fretboard, pi/2 along it; pick,
    pickup: distances from the bridge, m; pick_width, pickup_width, m; sideways: share of the motion along the
    fretboard that the pickup senses (a pickup senses mainly the normal motion: source pate-2014, abstract;
    the size 0.1 is an assumption). Positions, widths and the 2 mm pull are examples of common practice, no
    source.
    """

    height: float = 0.002
    direction: float = 0.0
    pick: float = 0.13
    pick_width: float = 0.002
    pickup: float = 0.16
    pickup_width: float = 0.02
    sideways: float = 0.1

    def __post_init__(self) -> None:
        checks.length("pluck height", self.height, high=0.01)
        checks.angle("pluck direction", self.direction)
        for name, place in (("pick", self.pick), ("pickup", self.pickup)):
            checks.length(f"{name} position (distance from the bridge)", place, high=2.0)
        checks.length("pick width", self.pick_width, high=0.05, open_low=False)
        checks.length("pickup width", self.pickup_width, high=0.1, open_low=False)
        checks.number("share of parallel motion sensed", self.sideways, -1.0, 1.0)

    def ways(self, string: SpeakingString, modes: int) -> list[tuple[Array, Array]]:
        """(sine coefficients at release, m, and share of each that is sensed), (modes,) each, of the motion
        out of the fretboard plane and, if there is any, along it. Raises ValueError for a pick or pickup off
        the string."""
        shape = initial_shape(string, self.height, self.pick, self.pick_width, modes)
        seen = pickup_weights(string, self.pickup, self.pickup_width, modes)
        along = np.sin(self.direction)
        both = [(np.cos(self.direction) * shape, seen), (along * shape, self.sideways * seen)]
        return both if along != 0 else both[:1]
