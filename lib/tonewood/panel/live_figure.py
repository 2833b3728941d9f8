"""LiveFigure: the one way a figure follows the sliders.

The artists are made once and changed in place. All that does not move (axes, ticks, legend, references) is
drawn once and kept as a backdrop; a step restores the backdrop and draws the moving artists on it. The
picture goes to the page as a PNG. No pyplot, so no global state and no second copy of the picture.
"""

from __future__ import annotations

import inspect
import sys
import threading
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from functools import partial
from typing import TYPE_CHECKING, Any

from matplotlib.figure import Figure

from tonewood import checks
from tonewood.panel import chosen, stacking, style
from tonewood.panel.controls import Control
from tonewood.panel.figure_page import Shown
from tonewood.panel.figure_units import FigureUnits
from tonewood.panel.painting import Painted, artists_in
from tonewood.panel.reruns import let_go, replace_older
from tonewood.panel.spoken import difference
from tonewood.panel.theme import ThemedCanvas
from tonewood.remember import remember

if TYPE_CHECKING:
    from threadpoolctl import ThreadpoolController


@remember(2)
def _blas(scipy_too: bool) -> ThreadpoolController:
    """The linear algebra libraries loaded so far. The products of a figure are small: several threads only
    get in each other's way (five times slower on a busy two-core machine); setting one takes 0.2 ms."""
    from threadpoolctl import ThreadpoolController  # sets a variable of the environment when imported

    return ThreadpoolController().select(user_api="blas")


class LiveFigure(Shown, Painted):
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
    top)} in fractions of the picture; a page of middle width shows one of them at a time, as wide as itself.
    narrow: {name: height in pixels} of the parts that a telephone shows, one at a time: `setup` is called
    once more, with a figure for which `stacking.narrow(fig)` is true, and places each in its
    `stacking.cell`. subject: what the figure is about beside its controls (a
    design); `.take` puts another one in its place. follow:
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
                 narrow: stacking.Stack | None = None, subject: Any = None,
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
        self._follow, self.parts = dict(follow or {}), dict(parts or {})
        self.first = list(self.controls if first is None else first)
        self._lock, self._waiting, self._batch, self.closed = threading.RLock(), False, 0, False
        self.held, self.error, self.sentence, self.png = None, None, "", b""
        self._setup, self._dpi, self.narrow, self.stacked = setup, dpi, dict(narrow or {}), False
        self._other: dict[str, Any] | None = None
        self._set_up(inches)
        self._fine, self._timer = False, None
        self._build(place, first)
        self.refresh()
        for name, control in self.controls.items():
            control.observe(partial(self._set_by_someone, name), names="value")
        chosen.follow(self)
        replace_older(self)

    def _set_up(self, inches: tuple[float, float]) -> None:
        with style.look():
            self.fig = Figure(figsize=inches, dpi=self._dpi)
            self.canvas = ThemedCanvas(self.fig)
            self.art = self._setup(self.fig)
        self._units = FigureUnits(self.fig)
        self._moving = artists_in(self.art)
        if not self._moving:
            raise ValueError("setup: returned no matplotlib artist; accepted: the artists that `change` will "
                             "move")
        order = {axes: rank for rank, axes in enumerate(self.fig.axes)}
        self._moving.sort(key=lambda a: (order.get(a.axes, len(order)), a.get_zorder()))
        for artist in self._moving:
            artist.set_animated(True)
        self.stagings, self._backdrop, self._sharp_backdrop = 0, None, (0, None)

    def in_units(self) -> None:
        """Be drawn and told anew, in the units chosen now."""
        self.refresh()

    # ---- state and how to drive it
    @property
    def values(self) -> dict[str, Any]:
        """The present control values, {name: value}."""
        return {name: control.value for name, control in self.controls.items()}

    def set(self, **values: Any) -> None:
        """Set several controls at once and redraw once. Raises what a control or the drawing refuses, with
        controls and picture left as they were."""
        self._still_open()
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
        self._still_open()
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
        self._still_open()
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
            self.fig.clear()
            lock = self._lock
            let_go(self)
            self._lock, self.controls, self._moving, self.png = lock, {}, [], b""

    def _still_open(self) -> None:
        if self.closed:
            raise ValueError("figure: closed when its cell ran again; accepted: the one now under that cell")

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

    def _drawn(self) -> tuple[str | None, bytes]:
        """What `change` says of the present values, and the picture."""
        given = self.values
        if self._takes_held:
            given["held"] = self.held
        if self._takes_subject:
            given["subject"] = self.subject
        with _blas("scipy.linalg" in sys.modules).limit(limits=1):
            said = self._change(self.art, **given)
            self._units.show_in(chosen.now())
            return said, self._draw()

    def refresh(self) -> None:
        """Ask `change` for the present values and draw. Raises whatever `change` raises, after showing it
        under the picture."""
        with self._lock:
            self._waiting = False
            self._still_open()
            values = self.values
            for control in self.controls.values():
                if isinstance(control, Control):
                    control.ask(values)
            try:
                sentence, png = self._drawn()
            except Exception as error:
                self.error = error
                told = str(error) or type(error).__name__
                self.alert.value = style.alarm(f"{told}. The picture still shows the last setting that "
                                               f"worked.")
                raise
            if self.error is not None:
                self.error, self.alert.value = None, ""
            self.png = png
            self._show()
            before, self.sentence = self.sentence, chosen.said(str(sentence or ""))
            if before:
                self.change_said.value = style.says(difference(before, self.sentence))
            self.caption.value = style.says(self.sentence)
            self._wait_for_rest()
