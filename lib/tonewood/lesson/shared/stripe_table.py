"""A table for a neck stripe by stripe: wood, width, grain and half turn of each, and the fretboard's own;
what it says is put on show as a design, which the strip keeps and every lesson opens."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import ipywidgets
import numpy as np

from tonewood.lesson.shared.meant import meant
from tonewood.lesson.shared.shop import every_wood, woods
from tonewood.lesson.shared.signs import legend
from tonewood.neck.design import Design, FretboardPlan, LayerPlan, StripePlan
from tonewood.neck.layup.half_turns import TURNS
from tonewood.panel import units
from tonewood.panel.boxes import Answering, button, fold
from tonewood.panel.boxes import row as side_by_side
from tonewood.panel.live_figure import LiveFigure
from tonewood.wood.own import stated
from tonewood.wood.species import species

MOST = 15
"""Stripes that the table holds."""
COLUMNS = {"width": ("width, mm", 1e3), "ring_angle": ("ring angle, °", 180 / np.pi),
           "run_out": ("run-out, °", 180 / np.pi), "slope": ("slope of grain, °", 180 / np.pi)}
"""Numbers of a row: words, and people's units in one of SI; what their signs mean stands above the rows."""
LINES = {"leans": "line leans, °", "tapers": "line tapers, °"}
"""The glue line to the next stripe."""
NONE = "no fretboard: frets in the neck"
MIRRORED = {"as sawn": "about y", "about y": "as sawn", "about x": "about z", "about z": "about x"}
"""The half turn that makes a stripe of the same board the mirror image across the centre line."""
_ROW = {"align_items": "center", "width": "100%"}
_THICKNESS = "thickness, mm; the fretboard's with its layers"
_LOOK = """<style>.tonewood-stripes {container-type:inline-size}
.tonewood-stripe {border-top:1px solid var(--jp-border-color2,#ccc); padding:2px 0}
.tonewood-stripe input {min-width:4em} .tonewood-heads {display:none; font-size:12px}
@container (min-width:900px) {.tonewood-stripe, .tonewood-heads {display:grid !important; gap:0 8px;
  grid-template-columns:minmax(230px,2fr) repeat(4,minmax(64px,1fr)) minmax(96px,1.2fr)
  repeat(2,minmax(64px,1fr))}
  .tonewood-stripe {border:0} .tonewood-stripe > * {width:auto !important; min-width:0; margin:0}
  .tonewood-stripe > :not(:first-child) > .widget-label {position:absolute; clip-path:inset(50%)}
  .tonewood-stripe > :first-child > .widget-label {min-width:7.5em}
  .tonewood-heads > :last-child:nth-child(2) {grid-column:2 / span 7}}</style>"""
"""The rows side by side below their heads where there is room, else each box with its own words."""


class StripeTable(Answering):
    """The table under a figure. `.rows` (one dict of boxes a stripe, from bass to treble), `.top` (the
    fretboard's) and `.under` (one a layer below its top, the one on the neck first) can be set;
    `.design()` is what they say; `.show()`, `.add()`, `.drop()`, `.mirror()`, `.fill()`, `.layer()`,
    `.peel()` do what the buttons do; `.reply` is what it last said."""

    UNDONE = "The neck on show is as it was."

    def __init__(self, live: LiveFigure, shown: Callable[[], Design]) -> None:
        super().__init__()
        self._live, self._shown, self.rows = live, shown, []
        self.under: list[dict[str, Any]] = []
        self.buttons = {words: button(words, lambda action=action: self._act(action), why) for
                        words, action, why in (
            ("Show this neck", self.show, "Put the neck of this table into the figure"),
            ("As on show", self.fill, "Fill the table with the neck on show"),
            ("One stripe more", self.add, "Add a stripe at the treble side, like the last"),
            ("One less", self.drop, "Take the stripe at the treble side away"),
            ("Mirror", self.mirror, "Make the treble half the mirror image of the bass half"),
            ("Layer under the fretboard", self.layer, "Add a layer, a veneer say, right under its top"),
            ("One layer less", self.peel, "Take the layer right under the top away"))}
        self._box = ipywidgets.VBox(layout={"width": "100%"})
        pressed = side_by_side(list(self.buttons.values()), **_ROW)
        table = ipywidgets.VBox([ipywidgets.HTML(legend()), self._box, pressed, self._answer],
                                layout={"width": "100%"})
        opening, table = fold("Stripe by stripe", table)
        opening.on_click(lambda _: self._act(self.fill) if not self.rows else None)
        self.widget = ipywidgets.VBox([opening, table], layout={"width": "100%"})
        self.widget.add_class("tonewood-stripes")

    def fill(self, design: Design | None = None) -> None:
        """Fill the table with a design, or with the neck on show."""
        design = design or self._shown()
        if len(design.stripes) > MOST:
            raise ValueError(f"stripes: {len(design.stripes)} on show; accepted: up to {MOST} in this table")
        self.rows = [self._row(f"{i}", plan) for i, plan in enumerate(design.stripes, 1)]
        for name in LINES:
            for row, angle in zip(self.rows, getattr(design, name) or [0.0] * (len(self.rows) - 1),
                                  strict=False):
                row[name].value = f"{np.degrees(angle):.9g}"
        self.top = self._row("fretboard", design.fretboard)
        self.under = [self._row(f"layer {k}", layer) for k, layer in enumerate(design.fretboard.under, 1)]
        self._lay()
        self._say("")

    def _row(self, name: str, plan: StripePlan | FretboardPlan | LayerPlan) -> dict[str, Any]:
        listed = every_wood() if name != "fretboard" else [*woods("fretboard"), (NONE, "")]
        if (plan.wood or "") not in [key for _, key in listed]:
            listed = [(species(plan.wood).name, plan.wood), *listed]
        made: dict[str, Any] = {"wood": _box(ipywidgets.Dropdown, f"{name}: wood", 250, plan.wood or "",
                                             options=listed)}
        made["wood"].observe(lambda change: self._grain(made, change["new"]), names="value")
        for field, (words, factor) in COLUMNS.items():
            stripe = isinstance(plan, StripePlan)
            value = getattr(plan, field if stripe else field.replace("width", "thickness"))
            if not stripe:
                words = words.replace("width", "whole thickness" if name == "fretboard" else "thickness")
            made[field] = _box(ipywidgets.Text, words, 155, f"{float(value) * factor:.9g}")
        if isinstance(plan, StripePlan):
            made["turn"] = _box(ipywidgets.Dropdown, "turned", 150, plan.turn, options=list(TURNS))
            for line, words in LINES.items():
                made[line] = _box(ipywidgets.Text, words, 140, "0")
        return made

    @staticmethod
    def _grain(row: dict[str, Any], key: str) -> None:
        """An own board brings its grain."""
        if key and (own := stated(species(key))) and own.one_board:
            for field in ("ring_angle", "run_out", "slope"):
                row[field].value = f"{np.degrees(getattr(own, field)):.4g}"

    def _lay(self) -> None:
        for row in self.rows:                               # no glue line beyond the last stripe
            for line in LINES:
                row[line].layout.display = "none" if row is self.rows[-1] else None
        heads = ["", *(words for words, _ in COLUMNS.values()), "turned", *LINES.values()]
        made = [side_by_side(list(row.values()), **_ROW) for row in (*self.rows, *self.under, self.top)]
        for row in made:
            row.add_class("tonewood-stripe")
        self._box.children = [_heads(heads, _LOOK), *made[:len(self.rows)], _heads(["", _THICKNESS]),
                              *made[len(self.rows):]]

    def design(self) -> Design:
        """The Design that the table says, all else as on show. Raises ValueError that names the stripe."""
        base, stripes = self._shown(), []
        lines: dict[str, list[float]] = {name: [] for name in LINES}
        for i, row in enumerate(self.rows, 1):
            try:
                stripes.append(StripePlan(wood=row["wood"].value, turn=row["turn"].value,
                                          **self._numbers(row)))
                for name, words in LINES.items() if i < len(self.rows) else ():
                    angle = units.read(row[name].value, "°", words.split(", ")[0])
                    lines[name].append(float(np.radians(angle)))
            except ValueError as problem:
                raise ValueError(f"stripe {i} from the bass: {problem}") from None
        wood, top = self.top["wood"].value, self._numbers(self.top, "fretboard, ")
        if not wood:
            if count := len(self.under):
                raise ValueError(f"fretboard: none chosen above {count} layer{'s' * (count != 1)}; accepted: "
                                 "a wood on top, or no layers")
            plan = replace(base.fretboard, wood=None, under=())
        else:
            under = [LayerPlan(wood=row["wood"].value, thickness=numbers.pop("width"), **numbers)
                     for k, row in enumerate(self.under, 1)
                     for numbers in [self._numbers(row, f"layer {k}, ")]]
            plan = replace(base.fretboard, wood=wood, thickness=top.pop("width"), under=tuple(under), **top)
        if bool(plan.layers) != bool(base.fretboard.layers):
            base = base.with_fretboard(plan)
        return base.changed(stripes=tuple(stripes), fretboard=plan, **{
            name: tuple(angles) if any(angles) else () for name, angles in lines.items()})

    @staticmethod
    def _numbers(row: dict[str, Any], of: str = "") -> dict[str, float]:
        named = {field: row[field].description.split(", ") for field in COLUMNS}
        return {field: units.read(row[field].value, named[field][1], of + named[field][0]) / factor
                for field, (_, factor) in COLUMNS.items()}

    def show(self) -> None:
        """Put the neck of the table on show. Raises ValueError, with the neck on show as it was."""
        self._live.strip.show(design := self.design(), "of the table")
        width = 1e3 * sum(stripe.width for stripe in design.stripes)
        count = len(design.stripes)
        grain: dict[str, list[int]] = {}
        for i, stripe in enumerate(design.stripes, 1):
            told = ", ".join(f"{words} {meant(field, getattr(stripe, field))}" for field, words in
                             (("ring_angle", "rings"), ("run_out", "run-out"), ("slope", "slope")))
            grain.setdefault(told, []).append(i)
        self._say(f"On show: {count} stripe{'s' * (count != 1)}, {width:g} mm together. Grain: " + "; ".join(
            f"stripe {', '.join(map(str, which))}: {told}" for told, which in grain.items()) +
            ". Keep it under a name in the strip above; every lesson opens it from there.")

    def add(self) -> None:
        """One stripe more at the treble side, like the last. Raises ValueError beyond MOST."""
        if len(self.rows) >= MOST:
            raise ValueError(f"stripes: {len(self.rows)} there; accepted: up to {MOST}")
        plan = StripePlan(wood=self.rows[-1]["wood"].value, width=0.002)
        self.rows.append(self._row(f"{len(self.rows) + 1}", plan))
        for field in (*COLUMNS, "turn"):
            self.rows[-1][field].value = self.rows[-2][field].value
        self._lay()

    def drop(self) -> None:
        """Take the stripe at the treble side away. Raises ValueError for the last one."""
        if len(self.rows) == 1:
            raise ValueError("stripes: 1 there; accepted: at least 1")
        self.rows.pop()
        self._lay()

    def layer(self) -> None:
        """A layer right under the top of the fretboard: 0.6 mm of the wood of the outermost stripe. Raises
        ValueError where there is no fretboard."""
        if not self.top["wood"].value:
            raise ValueError("fretboard: none chosen; accepted: a wood, to lie on the layer")
        plan = LayerPlan(wood=self.rows[0]["wood"].value, thickness=0.0006)
        self.under.append(self._row(f"layer {len(self.under) + 1}", plan))
        self._lay()

    def peel(self) -> None:
        """Take the layer right under the top away. Raises ValueError where there is none."""
        if not self.under:
            raise ValueError("layers under the fretboard: 0 there; accepted: at least 1")
        self.under.pop()
        self._lay()

    def mirror(self) -> None:
        """Make the treble half the mirror image of the bass half: same wood, width and grain, turned about y,
        as two stripes sawn side by side from one board lie when the second is turned."""
        for i in range(len(self.rows) // 2):
            bass, treble = self.rows[i], self.rows[-1 - i]
            for field in ("wood", *COLUMNS):
                treble[field].value = bass[field].value
            treble["turn"].value = MIRRORED[bass["turn"].value]
            for line in LINES:                              # of the lines between them, seen from the middle
                other = self.rows[-2 - i][line]
                if other is not bass[line]:
                    other.value = "0" if (angle := bass[line].value.strip()) == "0" else (
                        angle[1:] if angle.startswith("-") else f"-{angle}")
        self._say("The treble half mirrors the bass half. Press “Show this neck” to see it.")


def _box(kind: Any, words: str, wide: int, value: str, **more: Any) -> Any:
    """A box of a row, its own words before it; wide: px."""
    return kind(value=value, description=words, layout={"width": f"{wide}px"},
                style={"description_width": "initial"}, **more)


def _heads(words: list[str], look: str = "") -> ipywidgets.HTML:
    """A line of heads over the boxes; their own words name them for screen readers."""
    cells = "".join(f"<span>{word}</span>" for word in words)
    return ipywidgets.HTML(f"{look}<div class='tonewood-heads' aria-hidden='true'>{cells}</div>",
                           layout={"width": "100%", "margin": "0"})


def with_stripes(live: LiveFigure, shown: Callable[[], Design]) -> LiveFigure:
    """The figure with the table folded below its strip, as `.stripes`; shown: the design as the controls
    stand. Returns the same LiveFigure."""
    live.stripes = StripeTable(live, shown)
    head, strip, *rest = live.widget.children
    live.widget.children = (head, strip, live.stripes.widget, *rest)
    return live
