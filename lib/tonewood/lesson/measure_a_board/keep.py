"""Keeping what was measured: a board on show, or a wood of one's own, into the learner's own file; the list
of what is there."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import Any

import ipywidgets
import numpy as np

from tonewood import checks
from tonewood.bench import log
from tonewood.draws import Z90
from tonewood.lesson.measure_a_board import model
from tonewood.lesson.shared.own_woods import FILE, LOG, PUT_AWAY, label, left_out, own_woods, trouble
from tonewood.neck import own_file
from tonewood.panel import style
from tonewood.panel.boxes import FULL, Answering, button, cell, prose, relist, row
from tonewood.panel.live_figure import LiveFigure
from tonewood.panel.page import table
from tonewood.panel.reckoning import LOOK
from tonewood.panel.reruns import replace_older
from tonewood.panel.units import read, typed
from tonewood.wood.own import OwnWood, stated
from tonewood.wood.species import Species, forget, species


class Shelf(Answering):
    """The box below the figure. `.keep(label)` and `.remove(name)` do what its buttons do; `.widget` is the
    box, `.reply` what it last said."""

    def __init__(self, live: LiveFigure) -> None:
        super().__init__()
        self._live, self._list = live, prose()
        self.label = ipywidgets.Text(description="Keep this board as", placeholder="what is written on it",
                                     **FULL)
        self.gone = ipywidgets.Dropdown(description="On the shelf", **FULL)
        self._list.add_class("tonewood-reckoned")
        self.buttons = {words: button(words, partial(self._act, action), tip) for words, tip, action in (
            ("Keep this board", f"Write it to {FILE}", lambda: self.keep(self.label.value)),
            ("Take it away", f"Take it out of {FILE}", lambda: self.remove(self.gone.value)))}
        kept, away = self.buttons.values()
        entries = row([cell("tonewood-entry", [self.label, kept]), cell("tonewood-entry", [self.gone, away])],
                      width="100%")
        self.widget = ipywidgets.VBox([entries, self._answer, self._list], layout={"width": "100%"})
        self.look()

    def keep(self, label: str) -> Species:
        """Write the board on show to the file. Raises ValueError, with the file as it was."""
        values = self._live.values
        if not any(values[name] for name in model.SWITCHES):
            raise ValueError("readings: none is ticked; accepted: at least one of weighed, tapped, bent, "
                             "twist tapped, loss factor. A board nobody measured is what the tables say")
        board = model.read(label=label.strip(), **values)
        own = board.own()                                   # refused before anything is written
        log.add(LOG, *model.rows(label.strip(), values))
        self._live.kept = own_file.add(FILE, own)
        self.label.value = ""
        self.look()
        low, middle, high = model.stiffness_band(board.known)
        self._say(f"Kept {board.label}: {board.species.name}, {middle:.1f} GPa ({low:.1f} to {high:.1f}). It "
                  "stands first in the wood lists of every lesson from now on (“Look again” there finds it).")
        return self._live.kept

    def remove(self, name: str) -> None:
        """Take a board or wood of this name off the shelf; its rows in the log stay under another label.
        Raises ValueError where there is none."""
        if not name:
            raise ValueError("shelf: nothing chosen; accepted: one of your own woods or boards")
        rows = [m.line for m in log.read_log(LOG).search(board=name)] if Path(LOG).exists() else []
        if rows:
            log.read_log(LOG).label(rows, name + PUT_AWAY)
        if name in [wood.name for wood in own_file.load(FILE)]:
            own_file.remove(FILE, name)
        forget(species(name))
        self.look()
        more = f" Its readings stay in {LOG}, labelled “{name}{PUT_AWAY}”." if rows else ""
        self._say(f"{name} is taken away.{more} Designs that you kept with it carry it still.")

    def look(self) -> None:
        """List the shelf anew."""
        there = own_woods()
        relist(self.gone, [("–", ""), *((wood.name, wood.name) for wood in there if stated(wood))])
        wrong = trouble()
        self._list.value = (style.alarm(wrong) if wrong else shelf(there) if there else style.says(
            "The shelf is empty: no board of yours was kept in this folder yet."))
        self._list.value += "".join(map(style.says, left_out()))

    def _refused(self, problem: Exception) -> str:
        return str(problem)


def shelf(woods: list[Species]) -> str:
    """Own woods and boards as a table, in mark-up."""
    rows = []
    for wood in woods:
        wide = Z90 * float(np.hypot(wood.cov_modulus, wood.cov_modulus_sources))
        low, middle, high = (1e-9 * wood.modulus * np.exp(k * wide) for k in (-1, 0, 1))
        what = label(wood).removeprefix(f"{wood.name} (").removesuffix(")")
        rows.append((wood.name, what, f"{middle:.1f} ({low:.1f} to {high:.1f})", wood.status("modulus"),
                     f"{wood.density:.0f}", f"{1000 * wood.loss.value:.1f}"))
    return table(("on the shelf", "what", "stiffness (GPa), 90 of 100", "rests on", "density (kg/m³)",
                  "loss factor (thousandths)"), rows, f"At 12 % moisture, along the grain; kept in "
                 f"{FILE}, the readings themselves in the log {LOG}.").html + LOOK


def with_keeping(live: LiveFigure) -> LiveFigure:
    """The figure with the shelf below it, as `.shelf`. Returns the same LiveFigure."""
    live.shelf = Shelf(live)
    head, picture, *rest = live.widget.children
    live.widget.children = (head, picture, *rest, live.shelf.widget)
    return live


def own_wood_form() -> Any:
    """Boxes for a wood that stands in no table, kept on the shelf by a button."""
    return OwnWoodForm()


class OwnWoodForm:
    """Name, what it resembles, density, stiffness, movement. `.keep()` does what its button does."""

    FIELDS = {"name": ("Name", "Orchard plum"), "like": ("Resembles (or empty)", "a wood of the tables"),
              "density": ("Density, kg/m³", "at 12 %"), "E_L": ("E along the grain, GPa", "empty: by rule"),
              "E_R": ("E across, radial, GPa", "empty: by rule"),
              "E_T": ("E across, tangential, GPa", "empty: by rule"),
              "G_LR": ("G, LR plane, GPa", "empty: by rule"), "G_LT": ("G, LT plane, GPa", "empty: by rule"),
              "G_RT": ("G, RT plane, GPa", "empty: by rule"),
              "nu_LR": ("Poisson's ratio LR", "empty: by rule"),
              "nu_LT": ("Poisson's ratio LT", "empty: by rule"),
              "nu_RT": ("Poisson's ratio RT", "empty: by rule"),
              "movement_radial": ("Radial movement, % per 1 %", "empty: by rule"),
              "movement_tangential": ("Tangential movement, % per 1 %", "empty: by rule"),
              "loss": ("Loss factor, thousandths", "empty: by rule")}
    SCALE = {**dict.fromkeys(("E_L", "E_R", "E_T", "G_LR", "G_LT", "G_RT"), 1e9), "loss": 1e-3}
    LIMITS = {"loss": (0.1, 500.0, "thousandths"),
              **dict.fromkeys(("movement_radial", "movement_tangential"), (*checks.SWELLING_LIMITS, "%"))}

    def __init__(self) -> None:
        self.boxes = {name: ipywidgets.Text(description=words, placeholder=hint, **FULL)
                      for name, (words, hint) in self.FIELDS.items()}
        self._answer = prose()
        entries = row([cell("tonewood-entry", [box]) for box in self.boxes.values()], width="100%")
        self.widget = ipywidgets.VBox([ipywidgets.HTML(style.sheet()), entries,
                                       ipywidgets.Box([button("Keep this wood", self._press)]),
                                       self._answer])
        self.widget.add_class("tonewood-panel")
        self.reply = ""
        replace_older(self)

    def keep(self) -> Species:
        """Keep the wood as the boxes describe it. Raises ValueError."""
        given: dict[str, Any] = {}
        for name, box in self.boxes.items():
            words = box.value.strip()
            if words and name in ("name", "like"):
                given[name] = words
            elif words:
                value = read(words, "", self.FIELDS[name][0])
                if name in self.LIMITS:
                    value = checks.number(self.FIELDS[name][0].split(",")[0], value, *self.LIMITS[name])
                given[name] = value * self.SCALE.get(name, 1.0)
        given.setdefault("name", "")
        return own_file.add(FILE, OwnWood(**given))

    def _press(self) -> None:
        try:
            wood = self.keep()
        except ValueError as problem:
            field, colon, why = typed(problem).partition(":")
            self.reply = f"{self.FIELDS.get(field, (field,))[0].removesuffix(', GPa')}{colon}{why}"
            self._answer.value = style.alarm(self.reply)
            return
        self.reply = f"Kept {wood.name}; what was left out is filled by the stated rules and marked."
        self._answer.value = style.says(self.reply) + shelf(own_woods())

    def _repr_mimebundle_(self, include: object = None, exclude: object = None) -> dict[str, Any]:
        words = "[boxes for a wood of your own: " + ", ".join(w for w, _ in self.FIELDS.values()) + "]"
        return {**self.widget._repr_mimebundle_(), "text/html": f"<p>{words}</p>", "text/plain": words}
