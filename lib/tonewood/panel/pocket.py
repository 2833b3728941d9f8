"""Pocket editions: any live figure over two or three of its controls as one file (see pocket_page), by one
call or one button.
"""

from __future__ import annotations

import base64
import itertools
from collections.abc import Callable, Mapping, Sequence
from html import escape
from pathlib import Path
from typing import Any

import ipywidgets

from tonewood import checks, files
from tonewood.draws import written
from tonewood.panel import stacking, style
from tonewood.panel.boxes import button, prose, row
from tonewood.panel.controls import Control, Pick, Slider
from tonewood.panel.live_figure import LiveFigure
from tonewood.panel.pocket_page import Dial, Frame, Viewer, document, settings

FINE = 40
"""Up to so many settings the pictures have twice as many pixels each way, as phones and fine screens show."""
Progress = Callable[[int, int], None]
"""Is told how many steps are done, and of how many."""


def frames_of(live: LiveFigure, chosen: Mapping[str, Sequence[Any]], progress: Progress | None = None,
              sharp: bool | None = None, stacked: bool = False) -> tuple[Frame, ...]:
    """The frames of a live figure at every combination of the chosen values, last control fastest; what the
    figure refuses becomes a sentence without a picture. sharp: with twice as many pixels each way; None: up
    to FINE settings. stacked: in the layout for telephones. The figure stands afterwards as it stood
    before."""
    before, made, every = live.values, [], list(itertools.product(*chosen.values()))
    sharp = len(every) <= FINE if sharp is None else sharp
    try:
        for done, values in enumerate(every):
            try:
                live.set(**dict(zip(chosen, values, strict=True)))
                made.append(Frame(live.laid_out(stacked, sharp), live.sentence))
            except ValueError as refusal:
                made.append(Frame(None, f"Not possible: {refusal}."))
            if progress:
                progress(done + 1, len(every))
    finally:
        live.set(**before)
    return tuple(made)


def values_of(control: Control, count: int = 5) -> tuple[Any, ...]:
    """About `count` values of a control that stand for all: of a slider both ends, steps between and its
    present value; of a list the present value and others from first to last; of a switch both."""
    if isinstance(control, Slider):
        steps = round((control.high - control.low) / control.step)
        at = {control.low + round(k * steps / (count - 1)) * control.step for k in range(count)}
        near = min(at - {control.low, control.high}, key=lambda v: abs(v - control.value), default=None)
        if near is not None and control.value not in at:
            at = at - {near} | {control.value}
        return tuple(sorted(round(v, 9) for v in at))
    if isinstance(control, Pick):
        values = [value for _, value in control.options]
        others = [value for value in values if value != control.value]
        last, wanted = len(others) - 1, min(count - 1, len(others))
        kept = [others[round(k * last / max(wanted - 1, 1))] for k in range(wanted)]
        return tuple(value for value in values if value == control.value or value in kept)
    return False, True


def dial_of(control: Control, values: Sequence[Any]) -> Dial:
    """The Dial of a control over these values, as the lesson writes them."""
    if isinstance(control, Slider):
        factor, unit = control._factor, control._shown_unit
        shown = [f"{written(round(v * factor, 9), None)}{'' if unit == '°' else ' '}{unit}".strip()
                 for v in values]
    elif isinstance(control, Pick):
        named = {value: words for words, value in control.options}
        shown = [named[control.accepted(value)] for value in values]
    else:
        shown = ["on" if value else "off" for value in values]
    start = list(values).index(control.value) if control.value in values else 0
    return Dial(control.name, tuple(shown), start, isinstance(control, Slider))


def viewer_of(live: LiveFigure, chosen: Mapping[str, Sequence[Any] | int] | Sequence[str] = (),
              progress: Progress | None = None) -> Viewer:
    """The Viewer of a live figure. chosen: {control: its values, or how many of them}, or names, or nothing
    for the first two in sight. Raises ValueError for a name that is not there, or too many settings."""
    if not chosen:
        chosen = live.first[:2]
    wanted = dict(chosen) if isinstance(chosen, Mapping) else dict.fromkeys(chosen, 5)
    checks.choice_of("control", wanted, live.controls)
    values = {name: values_of(live.controls[name], v) if isinstance(v, int) else tuple(v)
              for name, v in wanted.items()}
    dials = tuple(dial_of(live.controls[name], listed) for name, listed in values.items())
    settings(dials)
    stacked = bool(live.narrow)
    return Viewer(dials=dials, frames=frames_of(live, values, progress, stacked=stacked), alt=live.alt,
                  parts=stacking.boxes(live.narrow) if stacked else live.parts, stacked=stacked)


def pocket(live: LiveFigure, chosen: Mapping[str, Sequence[Any] | int] | Sequence[str] = (), title: str = "",
           about: str = "", progress: Progress | None = None) -> str:
    """A pocket edition of a lesson: its live figure over two or three controls as one file. title, about: its
    heading and a few plain words above; chosen, progress: as for viewer_of. Raises ValueError."""
    title = title or "Pocket edition"
    words = "".join(f"<p>{escape(piece)}</p>" for piece in about.split("\n\n") if piece.strip())
    view = viewer_of(live, chosen, progress)
    set_here = {dial.name for dial in view.dials}
    others = [dial_of(control, [control.value]) for control in live.controls.values()
              if control.name not in set_here]
    still = ", ".join(f"{dial.name}: {dial.shown[0]}" for dial in others)
    rest = f"<h2>Everything else stands at</h2><p>{escape(still)}.</p>" if still else ""
    return document(title, f"<p class='kind'>Pocket edition</p><h1>{escape(title)}</h1>{words}", view.html,
                    rest, "<p>Worked out beforehand; the lesson itself takes every value between.</p>")


def copy_link(name: str, data: bytes) -> str:
    """Mark-up of a link that saves a file from the page itself, for a reader who is not at this machine."""
    kind = {".html": "text/html", ".htm": "text/html", ".pdf": "application/pdf", ".png": "image/png"}
    of = kind.get(Path(name).suffix.lower(), "application/octet-stream")
    return (f"<a style='text-decoration:underline' download='{escape(Path(name).name, quote=True)}' "
            f"href='data:{of};base64,{base64.b64encode(data).decode()}'>Save a copy of "
            f"{escape(Path(name).name)}</a> ")


class Maker:
    """A name, a button and a reply: the button works something out, writes it and offers it to save.
    `.make()` does what the button does; `.name`, `.button`, `.reply` are its parts."""

    def __init__(self, label: str, tooltip: str, busy: str, **name: str) -> None:
        self._busy = busy
        self.name = ipywidgets.Text(**name, description="Name of the file", continuous_update=False,
                                    style={"description_width": "initial"}, layout={"width": "auto"})
        self.button, self.reply = button(label, self.make, tooltip), prose()

    def _write(self) -> tuple[Sequence[Path], str]:
        """The files written, and words about them. Raises ValueError."""
        raise NotImplementedError

    def make(self) -> None:
        """Work it out and write it; what is refused is told."""
        self.button.disabled, self.reply.value = True, style.says(self._busy)
        try:
            written, words = self._write()
        except ValueError as problem:
            self.reply.value = style.alarm(f"{problem}. Nothing was written.")
        else:
            self.reply.value = style.says(f"Written: {words}") + "".join(
                copy_link(path.name, path.read_bytes()) for path in written)
        finally:
            self.button.disabled = False


class PageMaker(Maker):
    """A Maker of a page beside the notebook, with a bar, `.bar`; `.widget` is the whole, `.path` the file
    written last."""

    def __init__(self, label: str, name: str, work: Callable[[Progress], str]) -> None:
        super().__init__(label, "Works every setting out, which takes a while", "Working it out …",
                         value=name)
        self._work, self.path = work, None
        self.bar = ipywidgets.IntProgress(value=0, min=0, max=1,
                                          layout={"width": "auto", "flex": "1 1 160px"})
        self.widget = ipywidgets.VBox([row([self.name, self.button, self.bar], align_items="center"),
                                       self.reply], layout={"width": "100%"})

    def _write(self) -> tuple[Sequence[Path], str]:
        name = self.name.value.strip()
        if not name.lower().endswith((".html", ".htm")):
            raise ValueError(f"name of the file: {name!r} given; accepted: one that ends in .html")
        page = self._work(self._tell)
        self.path = files.write(name, page)
        return [self.path], (f"{name}, {len(page.encode()) / 1e6:.1f} MB. It opens in any browser, without a "
                             "network.")

    def _tell(self, done: int, of: int) -> None:
        self.bar.max, self.bar.value = of, done

    def _repr_mimebundle_(self, include: Any = None, exclude: Any = None) -> dict[str, Any]:
        return {**self.widget._repr_mimebundle_(),
                "text/plain": f"[button: {self.button.description}, to {self.name.value}]"}
