"""The body as a builder draws it: outline, thickness, chambers, and what of it is neck wood.

The outline is a polygon in the face view, x from the nut towards the tail, y to the treble side, in metres.
Areas and centres are those of plane geometry (shapely); a body is taken as of one thickness with square
edges, so roundings and carves make it lighter than told.
"""

from __future__ import annotations

import csv
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from tonewood import checks, files
from tonewood.wood.species import species

if TYPE_CHECKING:
    from shapely import Polygon

Points = tuple[tuple[float, float], ...]
@dataclass(frozen=True)
class Chamber:
    """A hollow in the body: its outline (points in m, as the body's) and depth (m). Raises ValueError."""

    outline: Points
    depth: float

    def __post_init__(self) -> None:
        object.__setattr__(self, "outline", _points("chamber", self.outline))
        checks.length("depth of the chamber", self.depth, high=0.1)
STEP = 0.002         # m: pieces of a drawn curve


@dataclass(frozen=True, kw_only=True)
class BodyPlan:
    """A body. outline: points (x, y) in m, x from the nut; thickness (m); wood: of the wings, or of the whole
    body; density (kg/m3) as weighed, None: the wood's; chambers. Raises ValueError for an outline that
    crosses itself or a chamber that leaves the body."""

    outline: Points
    thickness: float = 0.045
    wood: str = "limba"
    density: float | None = None
    chambers: tuple[Chamber, ...] = ()

    def __post_init__(self) -> None:
        object.__setattr__(self, "outline", _points("body outline", self.outline))
        object.__setattr__(self, "chambers", tuple(self.chambers))
        object.__setattr__(self, "wood", species(self.wood).key)
        checks.length("body thickness", self.thickness, 0.01, 0.12)
        if self.density is not None:
            checks.density("density of the body", self.density)
        _ = self.polygon      # refuses an outline that crosses itself
        for i, chamber in enumerate(self.chambers, 1):
            if chamber.depth >= self.thickness:
                raise ValueError(f"chamber {i}: {1e3 * chamber.depth:g} mm deep given; accepted: less than "
                                 f"{1e3 * self.thickness:g} mm, the thickness of the body")
            if not self.polygon.covers(_polygon(f"chamber {i}", chamber.outline)):
                raise ValueError(f"chamber {i}: it leaves the body; accepted: an outline inside the body's")
            for j, other in enumerate(self.chambers[:i - 1], 1):
                if _polygon("", chamber.outline).intersection(_polygon("", other.outline)).area > 1e-9:
                    raise ValueError(f"chamber {i}: it overlaps chamber {j}; accepted: chambers clear of "
                                     "each other")

    @cached_property
    def polygon(self) -> Polygon:
        """The outline as a polygon (shapely), m."""
        return _polygon("body outline", self.outline)

    @property
    def rho(self) -> float:
        """Density, kg/m3, at the shop's moisture."""
        from tonewood.wood.board import Board

        return float(self.density or Board(species(self.wood)).rho)

    def wings(self, core: float = 0.0, pocket: tuple[float, float, float, float] | None = None
              ) -> tuple[float, float]:
        """Volume (m3) and its centre (m from the nut) of the body's own wood.

        core: width (m) of a neck-through blank that runs down the middle, 0 for none; pocket: (start, length,
        width, depth) of a neck pocket, m. Raises ValueError.

        >>> square = BodyPlan(outline=((0.4, -0.1), (0.8, -0.1), (0.8, 0.1), (0.4, 0.1)), thickness=0.05)
        >>> [round(v, 6) for v in square.wings()]
        [0.004, 0.6]
        """
        from shapely import box

        outline, left = self.polygon, self.polygon
        if core:
            x0, _, x1, _ = outline.bounds
            left = outline.difference(box(x0 - 1, -core / 2, x1 + 1, core / 2))
        parts = [(left.area * self.thickness, left.centroid.x if left.area else 0.0)]
        for chamber in self.chambers:
            hollow = _polygon("chamber", chamber.outline).intersection(left)
            parts.append((-hollow.area * chamber.depth, hollow.centroid.x if hollow.area else 0.0))
        if pocket is not None:
            start, length, width, depth = pocket
            cut = left.intersection(box(start, -width / 2, start + length, width / 2))
            parts.append((-cut.area * depth, cut.centroid.x if cut.area else 0.0))
        volume = sum(v for v, _ in parts)
        if volume <= 0:
            raise ValueError("body: chambers and core leave no wood; accepted: a body of more than 0 m3")
        return volume, sum(v * x for v, x in parts) / volume

    def core(self, width: float, from_x: float) -> tuple[float, float]:
        """Volume (m3) and centre (m from the nut) of what a blank of this `width` (m) fills of the body from
        `from_x` (m) to the tail.

        >>> square = BodyPlan(outline=((0.4, -0.1), (0.8, -0.1), (0.8, 0.1), (0.4, 0.1)), thickness=0.05)
        >>> [round(v, 6) for v in square.core(0.06, 0.5)]
        [0.0009, 0.65]
        """
        from shapely import box

        x1 = self.polygon.bounds[2]
        inside = self.polygon.intersection(box(from_x, -width / 2, x1 + 1, width / 2))
        return inside.area * self.thickness, inside.centroid.x if inside.area else from_x


def example_outline(joint: float = 0.41, length: float = 0.42, width: float = 0.33) -> Points:
    """A plain rounded body, (N, 2) points in m, for examples: a superellipse from `joint` (m from the nut),
    drawn in a little at the waist. Sizes common practice, no source.

    >>> x, y = np.array(example_outline()).T
    >>> [round(float(v), 2) for v in (x.min(), x.max(), y.max())]
    [0.41, 0.83, 0.16]
    """
    turn = np.linspace(0, 2 * np.pi, 73)[:-1]
    c, s = np.cos(turn), np.sin(turn)
    x = joint + length / 2 * (1 + np.sign(c) * np.abs(c) ** 0.8)
    y = width / 2 * np.sign(s) * np.abs(s) ** 0.8 * (1 - 0.18 * np.exp(-((c + 0.1) / 0.25) ** 2))
    return tuple(zip(np.round(x, 5).tolist(), np.round(y, 5).tolist(), strict=True))


def outline_from_csv(path: str | Path, start: float = 0.0) -> Points:
    """An outline from a CSV file with the columns x_mm and y_mm, one point a row; `start` (m) is added to x.
    Returns points in m. Raises ValueError naming file, line and what is accepted.

    >>> from tempfile import TemporaryDirectory
    >>> with TemporaryDirectory() as folder:
    ...     file = Path(folder) / "body.csv"
    ...     _ = file.write_text("x_mm,y_mm\\n0,0\\n400,0\\n400,300\\n")
    ...     outline_from_csv(file)[1]
    (0.4, 0.0)
    """
    text, path = files.read(path), Path(path)
    head = text.splitlines()[:1] or [""]
    delimiter = ";" if ";" in head[0] else ","
    rows = list(csv.reader(text.splitlines(), delimiter=delimiter))
    names = [cell.strip().lower() for cell in rows[0]] if rows else []
    if not {"x_mm", "y_mm"} <= set(names):
        raise ValueError(f"{path.name}, line 1: columns {', '.join(names) or 'none'} given; accepted: x_mm "
                         "and y_mm, one point of the outline a row")
    found = []
    for line, row in enumerate(rows[1:], 2):
        if not any(cell.strip() for cell in row):
            continue
        point = []
        for name in ("x_mm", "y_mm"):
            cell = row[names.index(name)].strip() if names.index(name) < len(row) else ""
            try:
                point.append(float(cell.replace(",", ".") if delimiter == ";" else cell) / 1e3)
            except ValueError:
                raise ValueError(f"{path.name}, line {line}, column {name!r}: {cell!r} given; accepted: a "
                                 "number of mm") from None
        found.append((point[0] + start, point[1]))
    return _points(path.name, found)


def outline_from_svg_path(d: str, mm_per_unit: float = 1.0, start: float = 0.0) -> Points:
    """An outline from the `d` text of an SVG path (x to the tail, y to the treble), curves cut into pieces of
    about STEP. mm_per_unit: of the drawing; start (m) is added to x. Returns points in m. Raises
    ValueError.

    >>> len(outline_from_svg_path("M 0 0 L 400 0 L 400 300 L 0 300 Z"))
    4
    """
    from svg.path import Close, Line, Move, parse_path  # type: ignore[import-untyped, unused-ignore]

    scale = float(checks.number("mm per unit", mm_per_unit, 0.0, unit="mm", open_low=True)) / 1e3
    try:
        drawn = parse_path(d)
        # by 32 chords: the parser's own length of a curve takes seconds, and this only sets the step
        chords = [np.array([part.point(t) for t in np.linspace(0, 1, 33)]) for part in drawn]
        lengths = [float(np.abs(np.diff(points)).sum()) for points in chords]
    except Exception as fault:      # the parser raises what it likes on a broken text
        raise ValueError(f"SVG path: {d[:40]!r} given; accepted: the d attribute of a path, such as "
                         f"'M 0 0 L 400 0 L 400 300 Z' ({fault.__class__.__name__})") from None
    if sum(isinstance(part, Move) for part in drawn) > 1:
        raise ValueError("SVG path: several separate outlines given; accepted: one; draw chambers as paths "
                         "of their own")
    found: list[tuple[float, float]] = []
    for part, length in zip(drawn, lengths, strict=True):
        if isinstance(part, Move) or length == 0:
            continue
        pieces = 1 if isinstance(part, (Line, Close)) else max(int(np.ceil(length * scale / STEP)), 2)
        for k in range(pieces):
            at = part.point(k / pieces)
            found.append((at.real * scale + start, at.imag * scale))
    return _points("SVG path", found)


def _points(name: str, given: Sequence[Sequence[float]]) -> Points:
    array = np.asarray(checks.number(f"{name}, point", np.asarray(given, dtype=float), -3.0, 3.0, "m",
                                     lambda v: f"Did you mean {v / 1e3:g} m ({v:g} mm)?"))
    if array.ndim != 2 or array.shape[1] != 2 or len(array) < 3:
        raise ValueError(f"{name}: an array of shape {array.shape} given; accepted: at least 3 points (x, y)")
    if np.allclose(array[0], array[-1]):
        array = array[:-1]
    return tuple((float(x), float(y)) for x, y in array)


def _polygon(name: str, points: Points) -> Any:
    from shapely import Polygon, is_valid_reason

    found = Polygon(points)
    if not found.is_valid or found.area <= 0:
        raise ValueError(f"{name}: {is_valid_reason(found)}; accepted: points in order round an outline that "
                         "does not cross itself")
    return found
