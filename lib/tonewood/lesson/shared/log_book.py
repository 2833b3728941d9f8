"""The log in the page: write down a measurement, find it again, mend it, give a board its label, and what the
log knows of each board.

The file lies beside the notebooks, on the learner's own disk only; any spreadsheet opens it. What is typed is
read as a cell of the file is: in the units that stand beside the boxes, with a decimal point or comma.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from datetime import date
from typing import Any

import ipywidgets

from tonewood.bench import log as kept
from tonewood.bench.log_boards import table as board_table
from tonewood.bench.log_columns import BY_NAME, COLUMNS, MEASURED, Measurement
from tonewood.bench.log_form import Form
from tonewood.bench.log_text import unguarded
from tonewood.lesson.shared.log_words import ASKS, SIZES, named, told, who
from tonewood.lesson.shared.own_woods import FILE as WOODS
from tonewood.neck import own_file
from tonewood.panel import style
from tonewood.panel.boxes import FULL, Answering, button, cell, fold, panel, prose, relist, row
from tonewood.panel.page import table
from tonewood.panel.reckoning import LOOK
from tonewood.panel.reruns import replace_older
from tonewood.wood.species import all_species

FILE = "my_boards.csv"
"""The learner's log, in the folder of the notebooks."""

PAGE = 8
_ALWAYS = ("date", "board", "neck", "wood")
_ASIDE = ("moisture", "temperature", "humidity", "who", "note")
_TYPED = {**FULL, "continuous_update": False}
_CELLS = Form.of(kept.EMPTY, FILE)
_PLACE = {column.name: i for i, column in enumerate(COLUMNS)}


class LogBook(Answering):
    """The log in the page. `.boxes` (by column), `.kind`, `.find`, `.row`, `.label`, `.units`, `.shelf` are
    what can be set; `.add()`, `.edit()`, `.save()` and so on do what the buttons do; `.reply` is what it last
    said, `.log` the log as read (None: no file yet), `.found` what was found."""

    UNDONE = "The log is as it was."

    def __init__(self, path: str | os.PathLike[str] = FILE) -> None:
        super().__init__()
        self.path, self.log, self.found, self._page = os.fspath(path), None, (), 0
        self._line: int | None = None
        self._gone: Measurement | None = None
        woods = [wood.name for wood in all_species()]
        self.kind = ipywidgets.Dropdown(options=[(f"{name}: {kind.words}", name) for name, kind in
                                                 MEASURED.items()], description="Measured", **FULL)
        self.boxes: dict[str, Any] = {
            name: ipywidgets.Combobox(options=woods, ensure_option=False, description=named(name), **_TYPED)
            if name == "wood" else ipywidgets.Text(description=named(name), **_TYPED)
            for name in (*_ALWAYS, *(c.name for c in COLUMNS if c.type in ("number", "whole")), "unit", "who",
                         "note")}
        self.boxes["date"].value = date.today().isoformat()
        self.units = ipywidgets.Dropdown(description="Unit", **FULL)
        self._cells = {name: cell("tonewood-entry", [box]) for name, box in self.boxes.items()}
        self._cells["units"] = cell("tonewood-entry", [self.units])
        self.find = ipywidgets.Text(description="Find", placeholder="any words of a row: A7 bend", **_TYPED)
        self.row = ipywidgets.Dropdown(description="Row", **FULL)
        self.shelf = ipywidgets.Dropdown(description="Board for the shelf", **FULL)
        self.label = ipywidgets.Text(description="Board label for all found", **_TYPED)
        self._told, self._faults = (ipywidgets.HTML(layout={"width": "auto"}) for _ in range(2))
        self._list, self._boards = prose("reckoned"), prose("reckoned")
        self._build()
        self.kind.observe(lambda change: self._ask(), names="value")
        self.find.observe(lambda change: self._show(first=True), names="value")
        self._ask()
        self._say("")
        self._act(self.look)
        replace_older(self)

    def _build(self) -> None:
        def do(words: str, action: Callable[[], Any], why: str) -> ipywidgets.Button:
            return button(words, lambda: self._act(action), why)

        def line(*children: ipywidgets.Widget) -> ipywidgets.Box:
            return row(children, width="100%", align_items="center")

        self.buttons = {name: do(name, action, why) for name, action, why in (
            ("Add to the log", self.add, "Write this measurement down as a new row"),
            ("Save the change", self.save, "Write the changed row"),
            ("Leave it as it was", self.leave, "Empty the boxes, change nothing"),
            ("Edit this row", self.edit, "Put the row into the boxes above"),
            ("Delete this row", self.delete, "Take the row out of the file"),
            ("Bring it back", self.bring_back, "Write the row deleted last as a new row"),
            ("Label all found", self.label_found, "Give every row that was found this board label"),
            ("Put it on the shelf", self.put_on_shelf, "List this board with its values in every lesson"),
            ("Newer", lambda: self.turn(-1), "The rows written later"),
            ("Older", lambda: self.turn(1), "The rows written earlier"),
            ("Read the file again", self.look, "Take over what a spreadsheet or another page changed"))}
        b = self.buttons
        head, aside = ([self._cells[name] for name in names] for names in (_ALWAYS, _ASIDE))
        asked = [holder for name, holder in self._cells.items() if name not in (*_ALWAYS, *_ASIDE)]
        self._faults_button, self._faulty = fold("Rows that could not be read", self._faults)
        shelf = cell("tonewood-entry", [self.shelf, b["Put it on the shelf"]])
        boards, self._summed = fold("What the log knows of each board",
                                    ipywidgets.VBox([self._boards, line(shelf)], layout={"width": "100%"}))
        self.widget = panel(
            [], self._told, line(cell("tonewood-entry", [self.kind]), *head), line(*asked), line(*aside),
            line(b["Add to the log"], b["Save the change"], b["Leave it as it was"],
                 b["Read the file again"]), self._answer,
            line(cell("tonewood-entry", [self.find])), self._list, line(b["Newer"], b["Older"]),
            line(cell("tonewood-entry", [self.row, b["Edit this row"], b["Delete this row"],
                                         b["Bring it back"]]),
                 cell("tonewood-entry", [self.label, b["Label all found"]])),
            self._faults_button, self._faulty, boards, self._summed, explain=False)

        self.widget.add_class("tonewood-log")
        self._summed.layout.observe(lambda change: self._sum(), names="display")

    # ---- what the buttons do
    def add(self) -> None:
        """Write what stands in the boxes as a new row. Raises ValueError, with the file as it was."""
        new = Measurement(**self._values())
        kept.add(self.path, new)
        self._emptied()
        self.look(first=True)
        self._say(f"Kept: {who(new)}, {new.measured}, {told(new)}. It stands in {self.path}.")

    def edit(self) -> None:
        """Put the chosen row into the boxes."""
        chosen = self._chosen()
        self._line, self.kind.value = chosen.line, chosen.measured
        for name, box in self.boxes.items():
            box.value = unguarded(_CELLS.cell(_PLACE[name], getattr(chosen, name)))
        self._ask()
        self.units.value = chosen.unit if chosen.unit in self.units.options else None
        self._say(f"Line {chosen.line} stands in the boxes above. Change what is wrong, then save it.")

    def save(self) -> None:
        """Write the changed row in its place. Raises ValueError, with the file as it was."""
        if self._line is None or self.log is None:
            raise ValueError("row: none is being changed; accepted: choose one below and press Edit this row")
        line, values = self._line, self._values()
        Measurement(**values)
        self.log = self.log.edit(line, **{name: values.get(name) for name in (*self.boxes, "measured")})
        self._emptied()
        self.look()
        self._say(f"Line {line} is changed; {self.path}.before holds the version before.")

    def leave(self) -> None:
        """Empty the boxes; nothing is changed."""
        self._emptied()
        self._say("Nothing was changed.")

    def delete(self) -> None:
        """Take the chosen row out of the file. Raises ValueError, with the file as it was."""
        gone = self._chosen()
        assert self.log is not None
        self.log, self._gone = self.log.remove([gone.line]), gone
        self._emptied()
        self.look()
        self._say(f"Deleted: {who(gone)}, {gone.measured}, {told(gone)}. “Bring it back” writes it anew; "
                  f"{self.path}.before holds the version before.")

    def bring_back(self) -> None:
        """Write the row deleted last as a new row. Raises ValueError where none was deleted."""
        if self._gone is None:
            raise ValueError("row: none was deleted here; accepted: after a row was deleted")
        back, self._gone = self._gone, None
        kept.add(self.path, back)
        self.look(first=True)
        self._say(f"Back again: {who(back)}, {back.measured}, {told(back)}, as the newest row.")

    def _chosen(self) -> Measurement:
        chosen = next((m for m in self.found if m.line == self.row.value), None)
        if chosen is None:
            raise ValueError("row: none chosen; accepted: one of those found")
        return chosen

    def label_found(self) -> None:
        """Give every row that was found the board label. Raises ValueError, with the file as it was."""
        if self.log is None or not self.found:
            raise ValueError("rows: none found; accepted: words that find the rows of one board")
        if not self.find.value.strip():
            raise ValueError("find: nothing given, so that every row of the log would get this label; "
                             "accepted: words that find the rows of one board")
        count, label = len(self.found), self.label.value.strip()
        self.log = self.log.label([m.line for m in self.found], label)
        self.label.value = ""
        self.look()
        self._say(f"{count} {'row carries' if count == 1 else 'rows carry'} the label {label} now.")

    def put_on_shelf(self) -> None:
        """Keep the chosen board as an own board. Raises ValueError: wood or moisture is not known."""
        there = {board.label: board for board in (self.log.boards() if self.log else ())}
        if (board := there.get(self.shelf.value)) is None:
            raise ValueError("board: none chosen; accepted: one that was measured")
        wood = own_file.add(WOODS, board.own_board().own())
        self._say(f"{wood.name} is on the shelf ({WOODS}): it stands first in the wood lists of every lesson "
                  "from now on (“Look again” there finds it).")

    def turn(self, pages: int) -> None:
        """Show older (1) or newer (-1) rows."""
        self._page = max(0, min(self._page + pages, (len(self.found) - 1) // PAGE))
        self._show()

    def look(self, first: bool = False) -> None:
        """Read the file anew. Raises ValueError where it cannot be read; what is shown stays."""
        self.log = kept.read_log(self.path) if os.path.lexists(self.path) else None
        log, count = self.log, len(self.log or ())
        self._told.value = style.says(
            f"The log is the file {self.path} beside this notebook; any spreadsheet opens it. "
            + (f"It holds {count} measurement{'s' * (count != 1)}." if log is not None else
               "It is made with the first measurement."))
        faults = () if log is None else log.faults
        self._faults_button.layout.display = "" if faults else "none"
        if not faults:
            self._faulty.layout.display = "none"
        more = f" and {len(faults) - 20} more" if len(faults) > 20 else ""
        self._faults.value = "".join(style.says(f"{self.path}, {fault}.") for fault in faults[:20]) + (
            style.says(f"They stay in the file as they stand{more}; mend them there.") if faults else "")
        self._sum()
        self._show(first)

    # ---- what is shown
    def _sum(self) -> None:
        """Sum up the boards, if that is looked at: ten thousand of them take some seconds."""
        if self._summed.layout.display == "none":
            return
        found = () if self.log is None else self.log.boards()
        frame, chosen = board_table(found[:200]), self.shelf.value
        relist(self.shelf, [b.label for b in found], chosen)
        summed = style.says("No board was measured yet.") if not found else table(
            list(frame.columns), frame.values.tolist(), "± one standard uncertainty; modulus: of a slow "
            "bend; at the board's latest moisture where its wood is known.").html
        self._boards.value = summed + "".join(style.says(f"{b.label}: not used, {why}.")
                                              for b in found[:200] for why in b.unused)

    def _ask(self) -> None:
        """Show the boxes that this kind of measurement asks for."""
        kind, name = MEASURED[self.kind.value], self.kind.value
        asked = {"value", "unit", "fret"} if name == "other" else set(ASKS.get(name, ("value", "fret")))
        board = list(MEASURED).index(name) < list(MEASURED).index("blank weight")
        shown = asked | {"date", "wood", *_ASIDE} | ({"board"} if board else {"neck"})
        shown |= {"board", "neck"} if name == "other" else set()
        if self._line is not None:
            shown |= {n for n, box in self.boxes.items() if box.value}      # what a row holds never hides
        for n, holder in self._cells.items():
            holder.layout.display = "" if n in shown else "none"
        self._cells["units"].layout.display = "" if len(kind.units) > 1 else "none"
        if kind.units:
            self._cells["unit"].layout.display = "none"
        relist(self.units, kind.units, self.units.value)
        self.boxes["value"].description = f"Value ({kind.units[0]})" if len(kind.units) == 1 else "Value"

    def _values(self) -> dict[str, Any]:
        """What stands in the boxes, in SI. Raises ValueError that names the box."""
        values: dict[str, Any] = {"measured": self.kind.value}
        for name, box in self.boxes.items():
            text = box.value.strip()
            if text and name != "unit" and self._cells[name].layout.display != "none":
                try:
                    values[name] = text if BY_NAME[name].type == "text" else _CELLS.value(_PLACE[name], text)
                except ValueError as problem:
                    raise ValueError(f"{named(name)}: {str(problem).removeprefix('date: ')}") from None
        if "date" not in values:
            raise ValueError("date: nothing given; accepted: year, month and day as in 2026-11-27")
        units = MEASURED[self.kind.value].units
        unit = self.units.value if len(units) > 1 else units[0] if units else self.boxes["unit"].value.strip()
        return values | ({"unit": unit} if unit and "value" in values else {})

    def _emptied(self) -> None:
        """Ready for the next row: date, labels, wood and room stay, readings go."""
        self._line = None
        for name, box in self.boxes.items():
            if name not in (*_ALWAYS, *_ASIDE, *SIZES) or name == "note":
                box.value = ""
        self._ask()

    def _show(self, first: bool = False) -> None:
        self.found = () if self.log is None else self.log.search(self.find.value)
        self._page = 0 if first else max(0, min(self._page, (len(self.found) - 1) // PAGE))
        newest = self.found[::-1][self._page * PAGE:(self._page + 1) * PAGE]
        relist(self.row, [(f"{m.line}: {who(m)}, {m.measured}", m.line) for m in newest], self.row.value)
        rows = [(who(m), f"{m.measured}, {m.date}, line {m.line}",
                 told(m) + (f". {m.note}" if m.note else "")) for m in newest]
        start = self._page * PAGE
        words = (f"{start + 1} to {start + len(newest)} of {len(self.found)} found, newest first."
                 if newest else "Nothing found." if self.log else "Nothing is written down yet.")
        self._list.value = (f"{LOOK}<div role='status'>{style.says(words)}</div>" + (table(
            ("board or neck", "measured", "read"), rows, wrap="24em").html
            if newest else ""))
        self.buttons["Newer"].disabled = self._page == 0
        self.buttons["Older"].disabled = start + PAGE >= len(self.found)

    def _say(self, words: str, trouble: bool = False) -> None:
        super()._say(words, trouble)
        editing = self._line is not None
        self.buttons["Bring it back"].layout.display = "none" if self._gone is None else ""
        for name in ("Add to the log", "Save the change", "Leave it as it was"):
            self.buttons[name].layout.display = "" if editing != name.startswith("Add") else "none"

    def _refused(self, problem: Exception) -> str:
        return f"{problem}{'' if str(problem).endswith('?') else '.'}"

    def words(self) -> str:
        """The log in words for a reader without the page."""
        return f"The log {self.path}: {len(self.log or ())} measurements; boxes to add, find and change them."

    def _repr_mimebundle_(self, include: Any = None, exclude: Any = None) -> tuple[dict[str, Any], dict]:
        return {**self.widget._repr_mimebundle_(), "text/plain": f"[{self.words()}]"}, {}


def log_book(path: str | os.PathLike[str] = FILE) -> LogBook:
    """The log of boards and necks in the page; last line of a cell. path: its file, made with the first
    measurement; what is wrong with the file is said in the page."""
    return LogBook(path)
