"""Readings of many necks together, one's own log or the logs of a class: do the 90 % bands hold, which wood
lies off its table; and strips of a class pooled to the scatter within a board."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import ipywidgets
import numpy as np

from tonewood.bench import log
from tonewood.bench.coverage import Entry, entries
from tonewood.bench.pooled import strip_scatter
from tonewood.bench.stock import Stock
from tonewood.lesson.shared.made_necks import EACH, SOFTER, WOODS, made_entries, made_stock
from tonewood.lesson.shared.neck_readings import LOG, compared, designs, kept
from tonewood.lesson.shared.readings_view import POOLED, bias_table, coverage_table, stock_table, together
from tonewood.panel import boxes, style, units
from tonewood.panel.page import Shown, bullets, table
from tonewood.panel.reckoning import Below
from tonewood.panel.reruns import replace_older
from tonewood.wood.facts import rule

DRAWS = 1000
BANDS = ("Foretold from each neck's drawing, and the shop's own measured boards where its log has them. "
         "Readings of one neck hang together: they count as fewer than they are in the band of the share "
         "(Clopper and Pearson, design effect).")
BIAS = ("0 where the band is right; each neck counts once. One line in ten lies outside its band by chance: "
        "“perhaps”; without it, one in a hundred. Where a wood lies off, measure its boards before the next "
        "neck: a measured board beats the table.")


def made_shown() -> Shown:
    """Coverage and bias of the twenty made necks."""
    found = made_entries()
    said = (f"Made data: {len(WOODS)} woods, {EACH} necks each, drawn from the model, but the African "
            f"mahogany {100 * (1 - SOFTER):.0f} % softer than the tables say. ")
    stock = made_stock()
    return together([coverage_table(found, made_entries("earlier"), said + BANDS),
                     bias_table(found, said + BIAS),
                     stock_table([stock], f"Made data: {len(stock.moduli)} boards of the soft stock, "
                                          f"measured before the necks were built. {POOLED}"),
                     bias_table(made_entries("stock"), "The same necks of the soft wood, foretold from the "
                                                       "drawing and those boards.")])


def entries_of(path: str) -> tuple[list[Entry], list[Entry], list[str], list[Stock]]:
    """Every reading of one log beside its band, the same with what earlier readings told, what was not
    compared, in words, and the woods of its own boards. Drawings are looked
    for in the folder of necks beside the log. Raises ValueError for a file that is no log."""
    place = Path(path)
    if not place.exists():
        raise ValueError(f"{path}: no such file; accepted: a log such as {LOG}, or a folder with logs")
    there = kept(path)
    drawings, found, later = designs(str(place.parent)), [], []
    said = [f"{path}, line {row.line}: {row.why}" for row in there.left]
    for neck, mine in there.readings.items():
        if neck not in drawings:
            said.append(f"{path}: {len(mine)} readings of {neck!r} are not compared; no drawing of that "
                        "name lies in its folder of necks")
            continue
        after, refused = compared(drawings[neck], mine, DRAWS, there.stock)
        said += [f"{path}: {row.why}" for row in refused]
        for every, earlier in ((found, False), (later, True)):
            every += [replace(entry, neck=f"{path}: {entry.neck}") for entry in entries(after, earlier)]
    return found, later, said, [one for one in there.stock if one.enough("modulus") or one.enough("density")]


def files_of(paths: Sequence[str]) -> list[str]:
    """The logs at these paths; a folder stands for every CSV file in it."""
    return [str(file) for path in paths for file in (
        sorted(Path(path).glob("**/*.csv")) if Path(path).is_dir() else [path])]


def typed_paths(words: str) -> list[str]:
    """Paths from a box, parted by semicolons; one's own log where none is typed."""
    return [p.strip() for p in words.split(";") if p.strip()] or [LOG]


def class_shown(paths: Sequence[str]) -> Shown:
    """Coverage and bias over the logs at these paths; a folder stands for every CSV file in it. Raises
    ValueError."""
    every = files_of(paths)
    found: list[Entry] = []
    later: list[Entry] = []
    said: list[str] = []
    stock: list[Stock] = []
    for path in every:
        for whole, more in zip((found, later, said, stock), entries_of(path), strict=True):
            whole.extend(more)  # type: ignore[arg-type]
    if not found:
        why = f": {said[0]}" if said else ""
        raise ValueError(f"logs: {len(every)} read, no reading of a neck in them that can be compared{why}")
    told = f"{len(every)} logs. " if len(every) > 1 else ""
    parts = [coverage_table(found, later, told + BANDS), bias_table(found, told + BIAS)]
    parts += [stock_table(stock)] if stock else []
    return together([*parts, bullets(said)] if said else parts)


def paths_box() -> ipywidgets.Text:
    """A box for the paths that `typed_paths` reads."""
    return ipywidgets.Text(description="Logs or folders, parted by ;", placeholder=LOG, **boxes.FULL)


class ClassReadings(Below):
    """A box for the logs to read together, and what they show. Made by `class_readings`; `.read()` does what
    its button does."""

    def __init__(self) -> None:
        super().__init__()
        self.paths = paths_box()
        self.widget = boxes.panel([boxes.cell("tonewood-entry", [self.paths])],
                                  boxes.buttons(Read=self.read), self._result, explain=False)
        self._put(made_shown())
        replace_older(self)

    def read(self) -> None:
        """Read the logs named, one's own where none is. Raises ValueError, with the tables as they were."""
        self._put(class_shown(typed_paths(self.paths.value)))


def class_readings() -> ClassReadings:
    """Readings of many necks together; made ones until logs are read. Last line of a cell."""
    return ClassReadings()


STRIPS = "A: 11.4 12.9 13.4 11.8 12.6\nB: 9.8 11.4 10.9 10.1 11.3\nC: 14.4 12.5 13.6 14.9 13.1"
"""Made data: stiffness (GPa) of five strips each of three boards."""


def strips_of(words: str) -> dict[str, list[float]]:
    """{board: values} from lines such as 'A: 11.9 12.6'; decimal points or commas; parted by spaces or
    semicolons. Each line is a board of its own, since two learners may both call theirs A. Raises ValueError
    that names the line.

    >>> strips_of("A: 11,9 12.6; 13")
    {'A': [11.9, 12.6, 13.0]}
    """
    found: dict[str, list[float]] = {}
    for number, line in enumerate(words.splitlines(), 1):
        if not line.strip():
            continue
        board, colon, values = line.partition(":")
        if not colon or not board.strip() or not values.strip():
            raise ValueError(f"line {number}: {line.strip()!r} given; accepted: the board, a colon, and the "
                             "value of each of its strips, such as A: 11.9 12.6 13.1")
        name = board.strip() if board.strip() not in found else f"{board.strip()}, line {number}"
        found[name] = [units.read(value, "", f"line {number}, board {board.strip()}")
                       for value in values.replace(";", " ").split()]
    return found


def strips_in(paths: Sequence[str]) -> str:
    """Lines as for strips_of, stiffness in GPa, out of logs: strips are boards whose labels differ only
    behind the last -, as A7-1 and A7-2, bent or tapped. Raises ValueError where there are none."""
    lines = []
    for path in files_of(paths):
        groups: dict[str, list[float]] = {}
        for board in log.read_log(path).boards():
            name, dash, _ = board.label.rpartition("-")
            if dash and board.modulus is not None:
                groups.setdefault(name, []).append(board.modulus.value / 1e9)
        lines += [f"{name.replace(':', ' ')}: {' '.join(f'{value:.2f}' for value in values)}"
                  for name, values in groups.items() if len(values) > 1]
    if not lines:
        raise ValueError("strips: none found; accepted: logs with bends of strips labelled after their "
                         "board, such as A7-1, A7-2, at least two of one board")
    return "\n".join(lines)


def strips_shown(words: str) -> Shown:
    """Scatter within and between the boards of these strips, beside what the lesson expects. Raises
    ValueError."""
    boards = strips_of(words)
    found = strip_scatter(boards)
    means = [float(np.mean(values)) for values in boards.values()]
    cov, alike = rule("hardwood_cov_modulus").value, rule("kinship_same_board").value
    expected = cov * np.sqrt(1 - alike)
    rows = [("within one board", f"{100 * found.cov:.1f}",
             f"{100 * found.low:.1f} to {100 * found.high:.1f}", f"{100 * expected:.0f} (judgement)")]
    if len(means) > 1:
        rows.append(("between the boards' means", f"{100 * np.std(means, ddof=1) / np.mean(means):.1f}", "",
                     f"{100 * cov:.0f} or less (estimated from published lots)"))
    inside = found.low <= expected <= found.high
    verdict = ("These strips cannot tell the scatter within a board from the judgement." if inside else
               "The scatter within a board is another than judged: trust these strips, if sizes and readings "
               "were checked.")
    return table(("scatter", "%", "true scatter, 90 of 100 (%)", "expected (%)"), rows,
                 f"{found.strips} strips of {found.boards} board{'s' * (found.boards > 1)}; deviations from "
                 "each board's own mean, squared, added up, divided by strips less boards, root; band by "
                 f"chi-square. {verdict}")


class StripsPooled(Below):
    """A box for the strips of a class and their scatter. Made by `strips_pooled`; `.read()` fills it from
    logs, as its button does."""

    def __init__(self) -> None:
        super().__init__()
        self.words = ipywidgets.Textarea(value=STRIPS, description="Board: stiffness of its strips, any unit",
                                         continuous_update=False, rows=5, **boxes.FULL)
        self.paths = paths_box()
        self.widget = boxes.panel([boxes.cell("tonewood-entry", [box]) for box in (self.words, self.paths)],
                                  boxes.buttons(Read_strips=self.read), self._result, explain=False)
        self.words.observe(lambda change: self._show(), names="value")
        self._show()
        replace_older(self)

    def read(self) -> None:
        """Fill the box with the strips of the logs named. Raises ValueError, with the box as it was."""
        self.words.value = strips_in(typed_paths(self.paths.value))

    def _show(self) -> None:
        try:
            shown = strips_shown(self.words.value)
        except ValueError as problem:
            self._result.value = style.alarm(f"{problem}.")
            return
        made = "Made data until you set your own. " if self.words.value == STRIPS else ""
        self._put(Shown(f"<p>{made}</p>{shown.html}" if made else shown.html, made + shown.plain))


def strips_pooled() -> StripsPooled:
    """Strips of a class pooled; made ones until others are typed. Last line of a cell."""
    return StripsPooled()
