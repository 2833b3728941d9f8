"""How a live figure stands on the page: controls beside the picture, the sentence under it, the picture in
parts where the page is narrow."""

from __future__ import annotations

import base64
from collections.abc import Sequence
from typing import Any

import ipywidgets

from tonewood.panel import chosen, stacking, style
from tonewood.panel.boxes import buttons, fold, row
from tonewood.panel.boxes import panel as control_panel
from tonewood.panel.controls import switch
from tonewood.panel.units_pick import UnitsPick


class Shown:
    """What the learner sees of a LiveFigure: its widgets, and its words where nothing runs."""

    def _build(self, place: str | None, first: Sequence[str] | None) -> None:
        width, height = self.canvas.get_width_height()
        # width and height let the browser keep the place of a picture while it swaps in the next one
        self.image = ipywidgets.Image(format="png", width=str(width), height=str(height))
        self._cut = ipywidgets.Box([self.image])
        self._cut.add_class("tonewood-cut")
        self._choice = ipywidgets.ToggleButtons(style={"button_width": "auto"}, layout={"width": "auto"})
        self._choice.observe(self._choose, names="value")
        self._offer_parts()
        self.change_said = ipywidgets.HTML()        # announced, and read where the whole sentence is below
        self.change_said.add_class("tonewood-spoken")
        picture = ipywidgets.VBox([self._choice, self._cut, self.change_said],
                                  layout={"max_width": f"{width}px"})
        page = ipywidgets.Text()        # where the script of the sheet writes how fine and dark the page is
        page.add_class("tonewood-density")
        page.observe(self._told_of_page, names="value")
        self.alert = ipywidgets.HTML(layout={"margin": "0"})
        self.caption = ipywidgets.HTML(layout={"width": "auto"})
        self.caption.add_class("tonewood-whole")
        seen = ipywidgets.VBox([picture, self.alert, self.caption, page])
        for widget, name in ((picture, "picture"), (self.alert, "alert"), (self.caption, "sentence"),
                             (self.change_said, "sentence"), (seen, "seen")):
            widget.add_class(f"tonewood-{name}")
        cuts = style.cuts(self.parts, width / height) + style.cuts(
            stacking.boxes(self.narrow), stacking.WIDE / max(sum(self.narrow.values()), 1), stacked=True)
        head = ipywidgets.HTML(style.sheet(chosen.said(self.alt), cuts),
                               layout={"height": "0", "margin": "0"})
        shown = [seen] if place is None else [self._panel(first), seen]
        stage = ipywidgets.Box(shown)
        stage.add_class("tonewood-stage")
        if place == "beside":
            stage.add_class("tonewood-beside")
        self.widget = ipywidgets.VBox([head, stage], layout={"width": "100%"})
        self.widget.add_class("tonewood-live")

    def _offer_parts(self) -> None:
        """Buttons above the picture, one a part of the present layout, for pages that show one at a time."""
        self._choice.options = list(self._boxes)
        (self._choice.add_class if len(self._boxes) > 1 else self._choice.remove_class)("tonewood-parts")
        self._choice.layout.display = None if len(self._boxes) > 1 else "none"
        self._choice.value = next(iter(self._boxes), None)
        self._choose({"new": self._choice.value})

    @property
    def _boxes(self) -> dict[str, tuple[float, float, float, float]]:
        return stacking.boxes(self.narrow) if self.stacked else self.parts

    def _choose(self, change: Any) -> None:
        """The class by which the sheet cuts the picture to the part chosen."""
        for name in [name for name in self._cut._dom_classes if name.startswith("tonewood-cut-")]:
            self._cut.remove_class(name)
        if change["new"] in self._boxes:
            self._cut.add_class(style.cut_name(self._boxes[change["new"]]))

    def _show(self) -> None:
        """Put the present picture on the page."""
        self.image.value = self.png
        if self.stacked == ("tonewood-stacked" in self.widget._dom_classes):
            return
        self.image.width, self.image.height = map(str, self.canvas.get_width_height())
        (self.widget.add_class if self.stacked else self.widget.remove_class)("tonewood-stacked")
        self._offer_parts()

    def _panel(self, first: Sequence[str] | None) -> ipywidgets.VBox:
        """The controls: those of `first` in sight, the others behind a button, then what acts on all."""
        named = self.controls if first is None else {name: self.controls[name] for name in first}
        rest = [control for name, control in self.controls.items() if name not in named]
        self.units = UnitsPick()
        shown = [*named.values(), *([] if rest else [self.units])]
        acting = [buttons(Back_to_the_start_values=self.reset)]
        if self._takes_held:
            self.ghost = switch("Keep this design as a ghost")
            self.ghost.widget.layout.flex = "0 1 auto"
            self.ghost.observe(lambda change: self.hold() if change["new"] else self.release(), names="value")
            acting.insert(0, self.ghost.widget)
        return control_panel(shown, *(fold("More", control_panel([*rest, self.units])) if rest else ()),
                             row(acting, align_items="center"))

    def words(self) -> str:
        """What the picture shows, in words: the alternative text and the present sentence."""
        return f"{chosen.said(self.alt).rstrip('.')}. {self.sentence}".strip()

    def _repr_mimebundle_(self, include: Any = None,
                          exclude: Any = None) -> tuple[dict[str, Any], dict[str, Any]]:
        data = {**self.widget._repr_mimebundle_(), "image/png": base64.b64encode(self.stored()).decode(),
                "text/plain": f"[figure: {self.words()}]"}
        width, height = self.canvas.get_width_height()
        narrow = {"narrow": base64.b64encode(self.laid_out(True)).decode()} if self.narrow else {}
        return data, {"image/png": {"alt": self.words(), "width": width, "height": height, **narrow}}
