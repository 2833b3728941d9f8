"""What a log knows of each board: its measurements brought to one moisture and averaged by their weights.

Each row is turned into a result by bench.measure, with the sizes and the mass last read of the board where
the row gives none, and carried to the board's latest moisture where its wood is known. Rows of one kind share
caliper, supports and hand: their mean is at best as good as the rule of one of them (density_error,
modulus_error, loss_own_band), at worst as their scatter leaves it. Kinds (a slow bend; a tap, brought to the
level of a bend by tap_over_bend) are averaged by their weights, and where they quarrel more than their errors
explain, the uncertainty grows by their quarrel (Birge's ratio). Source: weighted means, as in any text on
measurement; the rules stand in data/rules.csv. All results are along the board, run-out included.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np

from tonewood.bench import measure
from tonewood.bench.log_columns import BY_NAME, Measurement
from tonewood.bench.log_means import Mean, mean_of, moisture_of
from tonewood.bench.own_board import OwnBoard
from tonewood.draws import Array
from tonewood.remember import remember
from tonewood.wood.board import Board
from tonewood.wood.facts import rule
from tonewood.wood.species import Species, species

if TYPE_CHECKING:
    import pandas

_SIZES = ("length", "width", "thickness")
_SHOWN = {"density": ("kg/m³", 1.0, 0), "modulus": ("GPa", 1e-9, 2), "twist_modulus": ("GPa", 1e-9, 3),
          "loss": ("thousandths", 1e3, 2), "moisture": ("%", 100.0, 1)}
_DIGITS = {"width": 2, "thickness": 2}


@dataclass(frozen=True, kw_only=True)
class MeasuredBoard:
    """One board of a log. label; wood: as written last; species: None where it is not known; count: of its
    measurements; length, width, thickness (m) and mass (kg) as last read; density (kg/m3), modulus (Pa, of a
    slow bend), twist_modulus (Pa), loss (loss factor), moisture (fraction): each a Mean, None where it was
    not measured; grain: ring_angle, run_out and slope (rad) as last read; unused: what could not be used, and
    why."""

    label: str
    wood: str
    species: Species | None
    count: int
    length: Mean | None = None
    width: Mean | None = None
    thickness: Mean | None = None
    mass: Mean | None = None
    density: Mean | None = None
    modulus: Mean | None = None
    twist_modulus: Mean | None = None
    loss: Mean | None = None
    moisture: Mean | None = None
    grain: dict[str, float] = field(default_factory=dict)
    unused: tuple[str, ...] = ()

    def own_board(self, **grain: float) -> OwnBoard:
        """The board as an OwnBoard, which narrows what the tables say and stands wherever a wood is named.

        grain: other angles than the log's: ring_angle, run_out, slope and their uncertainties (rad). Raises
        ValueError where the wood or the moisture is not known, or the readings fit no board.
        """
        if self.species is None:
            raise ValueError(f"wood of board {self.label}: {self.wood!r} given; accepted: the name of a wood "
                             "of the tables or an own wood")
        if self.moisture is None:
            raise ValueError(f"moisture of board {self.label}: none measured; accepted: a meter's reading, "
                             "an oven-dry weighing, or the moisture noted beside another measurement")
        given: dict[str, Any] = {"moisture": self.moisture.value, "moisture_u": min(self.moisture.u, 0.05)}
        for name, doubt in (("density", "density_u"), ("modulus", "modulus_u"), ("loss", "loss_u"),
                            ("twist_modulus", "twist_u")):
            if mean := getattr(self, name):
                given |= {name: mean.value, doubt: min(mean.relative, 0.5)}
        return OwnBoard(label=self.label, wood=self.species.key, **given, **(self.grain | grain))


def boards(measurements: Iterable[Measurement]) -> tuple[MeasuredBoard, ...]:
    """A summary of each board label, in the order of the labels; SI units.

    >>> weighed = Measurement(date="2026-11-27", board="A7", measured="weigh", mass=0.2835, length=0.45,
    ...                       width=0.045, thickness=0.02)
    >>> round(boards([weighed])[0].density.value)
    700
    """
    by_label: dict[str, list[Measurement]] = {}
    for m in measurements:
        if m.board:
            by_label.setdefault(m.board, []).append(m)
    lines = {label: _lines(sorted(there, key=lambda m: m.date)) for label, there in by_label.items()}
    for kind, result in _RESULTS.items():
        _tell(kind, result, [line for there in lines.values() for line in there if line.m.measured == kind])
    return tuple(_board(label, lines[label]) for label in sorted(lines))


def table(found: Sequence[MeasuredBoard]) -> pandas.DataFrame:
    """The boards as a DataFrame in the units people read: value, and ± its standard uncertainty.
    >>> list(table(boards([])).columns)[:3]
    ['board', 'wood', 'measurements']
    """
    import pandas as pd

    heads = {n: BY_NAME[n].header for n in (*_SIZES, "mass")} | {
        n: f"{n.replace('_', ' ')} ({unit})" for n, (unit, *_) in _SHOWN.items()}
    lines = []
    for b in found:
        line: dict[str, Any] = {"board": b.label, "wood": b.wood, "measurements": b.count}
        for name, head in heads.items():
            mean = getattr(b, name)
            si, digits = _SHOWN[name][1:] if name in _SHOWN else (1 / BY_NAME[name].si, _DIGITS.get(name, 1))
            line[head] = f"{mean.value * si:.{digits}f} ± {mean.u * si:.{digits}f}" if mean else ""
        lines.append(line)
    return pd.DataFrame(lines, columns=["board", "wood", "measurements", *heads.values()])


@remember(200)
def _wood(name: str) -> Species | None:
    try:
        return species(name) if name else None
    except ValueError:
        return None


@remember(200)
def _ratio(wood: Species | None) -> float:
    """E/G of a straight board of this wood in the plane of bending; the mean of published woods for none."""
    if wood is None:
        return rule("modulus_over_shear").value
    board = Board(wood)
    return float(board.E_x / board.G_xz)


@dataclass
class _Line:
    """One measurement with what is known of its board at that time, and what it tells."""

    m: Measurement
    known: dict[str, float]
    wood: Species | None
    now: Mean | None                    # the board's latest moisture
    value: float | None = None
    why: str = ""


def _lines(there: list[Measurement]) -> list[_Line]:
    """Rows of one board by date, with the sizes and the mass last read where a row does not give them (the
    first read, where none came before). Other sizes than before make an earlier mass worthless."""
    wood = _wood(next((m.wood for m in reversed(there) if m.wood), ""))
    moisture, unused = moisture_of(there, wood)
    sized = [{name: getattr(m, name) for name in (*_SIZES, "mass") if getattr(m, name) is not None
              and m.measured != "oven-dry"} for m in there]          # an offcut goes into the oven
    last = {name: value for given in reversed(sized) for name, value in given.items()}
    out = []
    for k, (m, given) in enumerate(zip(there, sized, strict=True)):
        if any(abs(given[name] / last[name] - 1) > 0.005 for name in _SIZES if name in given):
            last.pop("mass", None)
        last |= given
        out.append(_Line(m, dict(last), wood, moisture, why=unused.get(k, "")))
    return out


def _read(lines: list[_Line], *names: str) -> list[Array]:
    """Readings (lines,) each, SI units. Raises ValueError where one is not known."""
    found = [[line.known.get(name, getattr(line.m, name)) for line in lines] for name in names]
    if lacking := [name for name, values in zip(names, found, strict=True) if None in values]:
        raise ValueError(f"{', '.join(lacking)} not known; accepted: on this line, or an earlier one of the "
                         "same board")
    return [np.array(values, dtype=float) for values in found]


def _ratios(lines: list[_Line]) -> Array:
    return np.array([_ratio(line.wood) for line in lines])


def _density(lines: list[_Line]) -> Array:
    return np.asarray(measure.density(*_read(lines, "mass", *_SIZES)))


def _bend(lines: list[_Line]) -> Array:
    load, deflection, span, b, t = _read(lines, "load", "deflection", "span", "width", "thickness")
    return np.asarray(measure.bend_modulus(load, deflection, span, b, t, _ratios(lines)))


def _tap(lines: list[_Line]) -> Array:
    mass, tone, L, b, t = _read(lines, "mass", "frequency", *_SIZES)
    return np.asarray(measure.tap_modulus(mass, tone, L, b, t, _ratios(lines))) / rule("tap_over_bend").value


def _twist(lines: list[_Line]) -> Array:
    return np.asarray(measure.twist_modulus(*_read(lines, "mass", "frequency", *_SIZES)))


_RESULTS: dict[str, Callable[[list[_Line]], Array]] = {"weigh": _density, "bend": _bend, "tap": _tap,
                                                       "twist tap": _twist}
_QUANTITY = {"weigh": "density", "bend": "modulus", "tap": "modulus", "twist tap": "twist_modulus"}


def _tell(kind: str, result: Callable[[list[_Line]], Array], lines: list[_Line]) -> None:
    """Give each line its value at the board's latest moisture, or the reason why it has none: all at once,
    and by halves where one of them is refused."""
    if not lines:
        return
    try:
        for line, value, factor in zip(lines, result(lines), _carried(kind, lines), strict=True):
            line.value = float(value * factor)
    except ValueError as problem:
        if len(lines) == 1:
            lines[0].why = f"line {lines[0].m.line}, {kind}: {problem}"
            return
        for half in (lines[:len(lines) // 2], lines[len(lines) // 2:]):
            _tell(kind, result, half)


def _carried(kind: str, lines: list[_Line]) -> Array:
    """Factors (lines,) from each row's moisture to the board's latest; 1 where wood or moisture is not
    known."""
    out = np.ones(len(lines))
    there = [i for i, line in enumerate(lines) if line.wood and line.m.moisture is not None and line.now]
    if there:
        woods = [lines[i].wood for i in there]
        then, now = (np.array([value(lines[i]) for i in there]) for value in
                     (lambda line: line.m.moisture, lambda line: line.now.value))
        if kind == "weigh":
            along, ray, ring = np.array([w.swelling for w in woods if w]).T
            out[there] = (measure.density_at_12(1.0, then, (along, ray, ring))
                          / np.asarray(measure.density_at_12(1.0, now, (along, ray, ring))))
        else:
            green, mp = (np.array([getattr(w, name) for w in woods]) for name in ("green_ratio", "mp"))
            out[there] = (measure.modulus_at_12(1.0, then, green, mp)
                          / np.asarray(measure.modulus_at_12(1.0, now, green, mp)))
    return out


def _board(label: str, lines: list[_Line]) -> MeasuredBoard:
    there = [line.m for line in lines]
    names = list(dict.fromkeys(m.wood for m in there if m.wood))
    unused = [f"wood: {', '.join(names)} stand on different lines; the last counts"] * (len(names) > 1)
    values: dict[str, list[tuple[float, str]]] = {}
    for line in lines:
        if line.value is not None:
            values.setdefault(_QUANTITY[line.m.measured], []).append((line.value, line.m.measured))
        if line.m.loss is not None and line.m.measured == "tap":
            values.setdefault("loss", []).append((line.m.loss, "loss"))
    errors = dict.fromkeys(("width", "thickness"), rule("caliper_reading").value) | {
        "length": rule("length_reading").value, "mass": rule("scale_reading").value}
    sizes = {name: Mean(value, 1e-3 * errors[name], sum(getattr(m, name) is not None for m in there))
             for name, value in lines[-1].known.items()}
    grain = {name: getattr(m, name) for m in there for name in ("ring_angle", "run_out", "slope")
             if m.measured != "slanted strip" and getattr(m, name) is not None}
    return MeasuredBoard(label=label, wood=names[-1] if names else "", species=lines[-1].wood,
                         grain=grain, count=len(lines), **sizes,
                         moisture=lines[0].now,
                         unused=(*unused, *(line.why for line in lines if line.why)),
                         **{name: mean_of(found) for name, found in values.items()})
