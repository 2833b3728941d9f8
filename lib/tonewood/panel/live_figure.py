"""LiveFigure: the one way a figure follows the sliders.

The artists are made once and changed in place. All that does not move (axes, ticks, legend, references) is
drawn once and kept as a backdrop; a step restores the backdrop and draws the moving artists on it. The
picture goes to the page as a PNG. No pyplot, so no global state and no second copy of the picture.
"""

from __future__ import annotations

import asyncio
import base64
import gc
import inspect
import io
import sys
import threading
import weakref
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from functools import lru_cache, partial
from typing import Any

import ipywidgets
import matplotlib
import numpy as np
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from PIL import Image
from threadpoolctl import ThreadpoolController

from tonewood import checks
from tonewood.panel import style
from tonewood.panel.controls import Control, buttons, fold, switch
from tonewood.panel.controls import panel as control_panel


def artists_in(thing: Any) -> list[Artist]:
    """All matplotlib artists inside dicts, lists, tuples, arrays and simple objects, each once, in order of
    appearance. Whole axes belong to the backdrop."""
    found: dict[int, Artist] = {}

    def look(item: Any) -> None:
        if isinstance(item, Axes):
            return
        if isinstance(item, Artist):
            found[id(item)] = item
        elif isinstance(item, dict):
            for value in item.values():
                look(value)
        elif isinstance(item, (list, tuple)) or (isinstance(item, np.ndarray) and item.dtype == object):
            for value in item:
                look(value)
        elif hasattr(item, "__dict__") and not callable(item) and not inspect.ismodule(item):
            for value in vars(item).values():
                look(value)

    look(thing)
    return list(found.values())


REST = 0.3
"""Seconds without a step after which a page with finer pixels gets a picture with twice as many."""

_MADE: dict[str, tuple[str, list[weakref.ref[LiveFigure]]]] = {}
"""Of each notebook cell: its latest run, and the figures made in it."""


def _cell_run() -> tuple[str, str] | None:
    """(cell, run) of the notebook cell now running; None in a callback and where the page names no cells."""
    shell = sys.modules["IPython"].get_ipython() if "IPython" in sys.modules else None
    asked = shell.get_parent() if hasattr(shell, "get_parent") else {}
    cell = asked.get("metadata", {}).get("cellId")
    return (cell, asked["header"]["msg_id"]) if cell else None


def _replace_older(live: LiveFigure) -> None:
    """Close the figures that an earlier run of the present cell has made. They would live on otherwise: the
    notebook's history of outputs and the widgets' own register hold them."""
    if where := _cell_run():
        cell, run = where
        before, made = _MADE.get(cell, (run, []))
        if before != run:
            for older in made:
                if (figure := older()) is not None:
                    figure.close()
            made = []
            gc.collect()          # pictures are large, and figure, artists and callbacks point at each other
        _MADE[cell] = run, [*made, weakref.ref(live)]


def _close(widget: ipywidgets.Widget) -> None:
    """Close a widget with its layout, its style and all that it holds."""
    for name in widget.keys:
        value = getattr(widget, name)
        for part in value if isinstance(value, (tuple, list)) else (value,):
            if isinstance(part, ipywidgets.Widget):
                _close(part)
    widget.close()


@lru_cache(maxsize=2)
def _blas(scipy_too: bool) -> ThreadpoolController:
    """The linear algebra libraries loaded so far. The products of a figure are small: several threads only
    get in each other's way (five times slower on a busy two-core machine); setting one takes 0.2 ms."""
    return ThreadpoolController().select(user_api="blas")


class LiveFigure:
    """A figure that follows its controls, says its numbers in a sentence, and can be driven from code.

    setup(fig) -> artists: draws once on a bare matplotlib Figure and returns all that will move (dict, list,
    namespace, nested).
        Fix the axis limits here; whatever is not returned belongs to the backdrop.
    change(artists, **values) -> str or None: sets data on the artists from the control values (set_data,
    set_xy, set_height,
        set_text …) and returns one sentence with the numbers. If it has a parameter named `held`, the learner
        can keep a setting: `held` is then the dict of kept values, or None, for drawing it as a ghost. If it
        has one named `subject`, it gets what the figure is about, and `held["subject"]` is the one the ghost
        was kept of.
    controls: {name: control}; a control has `.value` and `.observe` (tonewood.panel.controls; a plain widget
    will do). inches, dpi: size of the picture; alt: what the picture shows, one sentence, for those who
    cannot see it. place: "beside" the picture where the page is wide enough (above it where it is not),
    always "above", or None when you lay the controls out yourself. first: names of the controls the lesson is
    about, the others are folded under *More* (None: nothing is folded). parts: {name: (left, bottom, right,
    top)} in fractions of the picture; a narrow page shows one of them at a time, as wide as itself. subject:
    what the figure is about beside its controls (a design); `.take` puts another one in its place. follow:
    {control: value -> {other control: value}}, what moves along with a control (a town brings its rooms).

    `.values`, `.subject`, `.art`, `.png` (bytes), `.sentence`, `.error`, `.stagings` (how often the backdrop
    was drawn), `.held` tell the state; `.set(name=value, …)`, `.take(…)`, `.hold()`, `.release()`,
    `.reset()`, `.refresh()` drive it. Errors of `change` are shown under the picture and raised again. Make
    the controls in the same cell as the figure: when a notebook runs the cell again, the earlier figure is
    closed (`.close()`) with its controls and keeps no memory.
    """

    def __init__(self, setup: Callable[[Figure], Any], change: Callable[..., str | None],
                 controls: Mapping[str, Any],
                 inches: tuple[float, float] = (10.0, 3.6), alt: str = "", dpi: int = 100,
                 place: str | None = "beside", first: Sequence[str] | None = None,
                 parts: Mapping[str, tuple[float, float, float, float]] | None = None,
                 subject: Any = None,
                 follow: Mapping[str, Callable[[Any], Mapping[str, Any]]] | None = None) -> None:
        if not str(alt).strip():
            raise ValueError("alt: nothing given; accepted: one sentence that says what the picture shows")
        checks.choice("place", place, ["above", "beside", None])
        checks.choice_of("control", first or (), controls)
        self.controls, self.alt, self._change = dict(controls), str(alt).strip(), change
        takes = inspect.signature(change).parameters
        self._takes_held, self._takes_subject, self.subject = "held" in takes, "subject" in takes, subject
        for name, bearer in (("held", "the ghost"), ("subject", "what the figure is about")):
            if name in self.controls:
                raise ValueError(f"control: one named {name!r} given; accepted: any other name, {bearer} "
                                 f"goes by that one")
        self._follow = dict(follow or {})
        self._lock, self._waiting, self._batch = threading.RLock(), False, 0
        self.held, self.error, self.sentence, self.png, self.stagings = None, None, "", b"", 0
        with matplotlib.rc_context(style.FIGURE):
            self.fig = Figure(figsize=inches, dpi=dpi)
            self.canvas = FigureCanvasAgg(self.fig)
            self.art = setup(self.fig)
        self._moving = artists_in(self.art)
        if not self._moving:
            raise ValueError("setup: returned no matplotlib artist; accepted: the artists that `change` will "
                             "move")
        order = {axes: rank for rank, axes in enumerate(self.fig.axes)}
        self._moving.sort(key=lambda a: (order.get(a.axes, len(order)), a.get_zorder()))
        for artist in self._moving:
            artist.set_animated(True)
        self._fine, self._timer, self._sharp_backdrop = False, None, (0, None)
        self._build(place, first, parts or {})
        self.refresh()
        for name, control in self.controls.items():
            control.observe(partial(self._set_by_someone, name), names="value")
        self.closed = False
        _replace_older(self)

    # ---- what the learner sees
    def _build(self, place: str | None, first: Sequence[str] | None,
               parts: Mapping[str, tuple[float, float, float, float]]) -> None:
        width, height = self.canvas.get_width_height()
        # width and height let the browser keep the place of a picture while it swaps in the next one
        self.image = ipywidgets.Image(format="png", width=str(width), height=str(height))
        cut = ipywidgets.Box([self.image])
        cut.add_class("tonewood-cut")
        picture = ipywidgets.VBox([*self._choice_of_part(parts, cut), cut],
                                  layout={"max_width": f"{width}px"})
        page = ipywidgets.Text()        # where the script of the sheet writes how fine the pixels are
        page.add_class("tonewood-density")
        page.observe(self._told_density, names="value")
        self.alert = ipywidgets.HTML(layout={"margin": "0"})
        self.caption = ipywidgets.HTML(layout={"width": "auto"})
        seen = ipywidgets.VBox([picture, self.alert, self.caption, page])
        for widget, name in ((picture, "picture"), (self.alert, "alert"), (self.caption, "sentence"),
                             (seen, "seen")):
            widget.add_class(f"tonewood-{name}")
        head = ipywidgets.HTML(style.sheet(self.alt, style.cuts(parts, width / height)),
                               layout={"height": "0", "margin": "0"})
        shown = [seen] if place is None else [self._panel(first), seen]
        stage = ipywidgets.Box(shown)
        stage.add_class("tonewood-stage")
        if place == "beside":
            stage.add_class("tonewood-beside")
        self.widget = ipywidgets.VBox([head, stage], layout={"width": "100%"})
        self.widget.add_class("tonewood-live")

    def _choice_of_part(self, parts: Mapping[str, Any], cut: ipywidgets.Box) -> list[ipywidgets.Widget]:
        """The buttons a narrow page shows above the picture, and the class by which the sheet cuts it."""
        if not parts:
            return []
        names = {name: style.cut_name(box) for name, box in parts.items()}
        choice = ipywidgets.ToggleButtons(options=list(names), style={"button_width": "auto"},
                                          layout={"width": "auto"})
        choice.add_class("tonewood-parts")
        cut.add_class(names[choice.value])

        def choose(change: Any) -> None:
            cut.remove_class(names[change["old"]])
            cut.add_class(names[change["new"]])

        choice.observe(choose, names="value")
        return [choice]

    def _panel(self, first: Sequence[str] | None) -> ipywidgets.VBox:
        """The controls: those of `first` in sight, the others behind a button, then what acts on all."""
        named = self.controls if first is None else {name: self.controls[name] for name in first}
        rest = [control for name, control in self.controls.items() if name not in named]
        row = [buttons(Back_to_the_start_values=self.reset)]
        if self._takes_held:
            self.ghost = switch("Keep this design as a ghost")
            self.ghost.widget.layout.flex = "0 1 auto"
            self.ghost.observe(lambda change: self.hold() if change["new"] else self.release(), names="value")
            row.insert(0, self.ghost.widget)
        wrap = {"display": "flex", "flex_flow": "row wrap", "align_items": "center"}
        return control_panel(named.values(), *(fold("More", control_panel(rest)) if rest else ()),
                             ipywidgets.Box(row, layout=wrap))

    def words(self) -> str:
        """What the picture shows, in words: the alternative text and the present sentence."""
        return f"{self.alt.rstrip('.')}. {self.sentence}".strip()

    def _repr_mimebundle_(self, include: Any = None,
                          exclude: Any = None) -> tuple[dict[str, Any], dict[str, Any]]:
        data = {**self.widget._repr_mimebundle_(), "image/png": base64.b64encode(self._encode()).decode(),
                "text/plain": f"[figure: {self.words()}]"}
        width, height = self.canvas.get_width_height()
        return data, {"image/png": {"alt": self.words(), "width": width, "height": height}}

    # ---- state and how to drive it
    @property
    def values(self) -> dict[str, Any]:
        """The present control values, {name: value}."""
        return {name: control.value for name, control in self.controls.items()}

    def set(self, **values: Any) -> None:
        """Set several controls at once and redraw once. Raises what a control or the drawing refuses, with
        controls and picture left as they were."""
        checks.choice_of("control", values, self.controls)

        def put(wanted: Mapping[str, Any]) -> None:
            with self.batch():
                self._put(wanted)

        with self._lock:
            before = self.values
            try:
                put(values)
            except Exception:
                put(before)
                raise

    @contextmanager
    def batch(self) -> Iterator[LiveFigure]:
        """Inside `with live.batch():` the picture waits; it is drawn once at the end if something changed."""
        with self._lock:
            self._batch += 1
            try:
                yield self
            finally:
                self._batch -= 1
                if not self._batch and self._waiting:
                    self.refresh()

    def take(self, subject: Any, start: Mapping[str, Any]) -> None:
        """Be about another subject: the controls named in `start` go to these values, which are their start
        values from now on; one redraw; the ghost stays what it was. Raises what is refused, with everything
        as it was."""
        if not self._takes_subject:
            raise ValueError("subject: this figure is about nothing that can be exchanged; accepted: a "
                             "`change` function "
                             "with a parameter named subject")
        checks.choice_of("control", start, self.controls)
        with self._lock:
            own = {name: control.default for name, control in self.controls.items()
                   if isinstance(control, Control)}
            before = self.subject, self.values, own
            self._batch += 1
            try:
                self._stand_on(subject, start, {name: value for name, value in start.items() if name in own})
            except Exception:
                self._stand_on(*before)
                raise
            finally:
                self._batch -= 1

    def _stand_on(self, subject: Any, values: Mapping[str, Any], defaults: Mapping[str, Any]) -> None:
        self.subject = subject
        self._put(values)
        for name, value in defaults.items():
            self.controls[name].default = value
        self.refresh()

    def reset(self) -> None:
        """All controls back to the start values of the present subject and the ghost gone, in one redraw."""
        with self.batch():
            self._put({name: control.default for name, control in self.controls.items()
                       if isinstance(control, Control)})
            self.release()

    def hold(self) -> None:
        """Keep the present values as a ghost: `change` gets them as `held` from now on."""
        self._keep({**self.values, "subject": self.subject} if self._takes_subject else self.values)

    def release(self) -> None:
        """Let the ghost go."""
        self._keep(None)

    def _keep(self, held: dict[str, Any] | None) -> None:
        if not self._takes_held:
            if held is not None:
                raise ValueError("held: this figure draws no ghost; accepted: a `change` function with a "
                                 "parameter named held")
            return
        with self.batch():
            self._waiting = self._waiting or held != self.held
            self.held = held
            if hasattr(self, "ghost"):
                self.ghost.value = held is not None

    def close(self) -> None:
        """Let go of picture, artists, controls and widgets. The figure is at its end; its last words stay."""
        with self._lock:
            self.closed, self._fine = True, False
            self._wait_for_rest()                              # which stops the clock
            for control in self.controls.values():
                control.unobserve_all()
            _close(self.widget)
            self.fig.clear()
            self.fig = self.canvas = self.art = self.image = self._backdrop = self._sharp_backdrop = None
            self._moving, self.png = [], b""

    # ---- drawing
    def _put(self, values: Mapping[str, Any]) -> None:
        for name in sorted(values, key=lambda name: name not in self._follow):    # the leaders first
            self.controls[name].value = values[name]

    def _set_by_someone(self, name: str, change: Any) -> None:
        # callbacks may run on another thread than the cells, hence the lock of the batch; no timer: the page
        # sends only the latest value
        with self.batch():
            self._waiting = True
            if name in self._follow:
                self._put(self._follow[name](change["new"]))

    def refresh(self) -> None:
        """Ask `change` for the present values and draw. Raises whatever `change` raises, after showing it
        under the picture."""
        with self._lock:
            self._waiting = False
            if self.fig is None:
                raise ValueError("figure: closed when its cell ran again; accepted: the one now under that "
                                 "cell")
            values = self.values
            for control in self.controls.values():
                if isinstance(control, Control):
                    control.ask(values)
            if self._takes_held:
                values["held"] = self.held
            if self._takes_subject:
                values["subject"] = self.subject
            try:
                with _blas("scipy.linalg" in sys.modules).limit(limits=1):
                    sentence = self._change(self.art, **values)
                    png = self._draw()
            except Exception as error:
                self.error = error
                told = str(error) or type(error).__name__
                self.alert.value = style.alarm(f"{told}. The picture still shows the last setting that "
                                               f"worked.")
                raise
            if self.error is not None:
                self.error, self.alert.value = None, ""
            self.png, self.image.value = png, png
            self.sentence = "" if sentence is None else str(sentence)
            self.caption.value = style.says(self.sentence)
            self._wait_for_rest()

    def _told_density(self, change: Any) -> None:
        try:
            self._fine = float(change["new"]) >= 1.5
        except ValueError:
            return
        self._wait_for_rest()

    def _wait_for_rest(self) -> None:
        if self._timer:
            self._timer.cancel()
        if self._fine:
            try:
                self._timer = asyncio.get_running_loop().call_later(REST, self._show_sharp)
            except RuntimeError:            # driven from code without a page
                self._timer = None

    def _show_sharp(self) -> None:
        with self._lock:
            if not self.closed:
                self.image.value = self.sharp()

    def sharp(self) -> bytes:
        """The present picture with twice as many pixels each way, PNG."""
        with self._lock, matplotlib.rc_context(style.FIGURE):
            dpi, stale = self.fig.dpi, self.fig.stale
            drawn, backdrop = self._sharp_backdrop
            try:
                self.fig.dpi = 2 * dpi
                if drawn != self.stagings:
                    self.canvas.draw()
                    backdrop = self.canvas.copy_from_bbox(self.fig.bbox)
                    self._sharp_backdrop = self.stagings, backdrop
                return self._painted(backdrop)
            finally:
                self.fig.dpi = dpi
                self.fig.stale = stale

    def _draw(self) -> bytes:
        if self.fig.stale or not self.stagings:    # moving artists do not make it stale, all else does
            with matplotlib.rc_context(style.FIGURE):
                self.canvas.draw()
            self._backdrop = self.canvas.copy_from_bbox(self.fig.bbox)
            self.stagings += 1
        return self._painted(self._backdrop)

    def _painted(self, backdrop: Any) -> bytes:
        self.canvas.get_renderer()          # of the present size
        self.canvas.restore_region(backdrop)
        for artist in self._moving:
            self.fig.draw_artist(artist)
        return self._encode(colours=256, level=1)

    def _encode(self, colours: int | None = None, level: int = 9) -> bytes:
        # 256 colours: twice as fast and less than half the bytes, and no difference to be seen (at most 15 of
        # 255 on edge pixels)
        seen = self.canvas.buffer_rgba()
        picture = Image.frombuffer("RGBA", self.canvas.get_width_height(), seen, "raw", "RGBA", 0,
                                   1).convert("RGB")
        if colours:
            picture = picture.quantize(colours, method=Image.Quantize.FASTOCTREE, dither=Image.Dither.NONE)
        file = io.BytesIO()
        picture.save(file, "PNG", compress_level=level)
        return file.getvalue()
