"""No words of a figure are too small, leave its picture or part, or lie on others: all figures as they are
set up, in the wide layout and in the narrow one."""

import importlib
import inspect
import itertools
from pathlib import Path

import matplotlib
import pytest
from matplotlib.figure import Figure
from matplotlib.legend import Legend
from matplotlib.text import Text

import tonewood.lesson
from tonewood.panel import stacking, style
from tonewood.panel.live_figure import LiveFigure
from tonewood.panel.theme import ThemedCanvas

HOME = Path(tonewood.lesson.__file__).parent
MODULES = sorted(".".join(path.relative_to(HOME.parent).with_suffix("").parts) for path in HOME.rglob("*.py")
                 if " LiveFigure(" in path.read_text() and "sheets" not in path.parts)
# pixels that the picture, or a part of it, gets from the page: at 1280 (no higher than 549), at 800, at 390
LAPTOP, HIGHEST, MIDDLE, TELEPHONE = 898, 549, 684, 284


class Caught(Exception):
    pass


@pytest.fixture
def figures(monkeypatch):
    """figures(module) -> what each of its functions gives LiveFigure; nothing is worked out or drawn."""
    def caught(self, *given, **named):
        raise Caught(inspect.signature(LiveFigure._init).bind(self, *given, **named))

    monkeypatch.setattr(LiveFigure, "_init", LiveFigure.__init__, raising=False)
    monkeypatch.setattr(LiveFigure, "__init__", caught)

    def of(name):
        module, found = importlib.import_module(f"tonewood.{name}"), []
        for make in vars(module).values():
            if inspect.isfunction(make) and make.__module__ == module.__name__ and (
                    " LiveFigure(" in inspect.getsource(make)):
                try:
                    make()
                except Caught as bound:
                    bound.args[0].apply_defaults()
                    found.append(bound.args[0].arguments)
        return found

    return of


def words_of(fig):
    """(words, box in pixels) of all that is written on a figure once it is set up."""
    canvas = ThemedCanvas(fig)
    canvas.draw()
    renderer, found = canvas.get_renderer(), []
    for legend in fig.findobj(Legend):
        found.append(("legend " + legend.get_texts()[0].get_text(), legend.get_window_extent(renderer)))
    hidden = {id(text) for legend in fig.findobj(Legend) for text in legend.findobj(Text)}
    for axes in fig.axes:
        for axis in (axes.xaxis, axes.yaxis):
            shown = {id(part) for tick in axis._update_ticks() for part in tick.findobj(Text)}
            hidden |= {id(text) for text in axis.findobj(Text)} - (shown | {id(axis.label)} if axes.axison
                                                                   else set())
    for text in fig.findobj(Text):
        if text.get_visible() and text.get_text().strip() and id(text) not in hidden:
            found.append((text.get_text(), text.get_window_extent(renderer)))
    return found


def problems(given, narrow):
    stack = given["narrow"]
    inches = stacking.inches(stack) if narrow else given["inches"]
    with matplotlib.rc_context(style.FIGURE):
        fig = Figure(figsize=inches, dpi=100)
        given["setup"](fig)
        found = words_of(fig)
    width, height = 100 * fig.get_size_inches()
    parts = stacking.boxes(stack) if narrow else given["parts"] or {"picture": (0, 0, 1, 1)}
    rooms = list(parts.values())        # a page of middle width shows the parts of the wide layout one by one
    wrong = []
    for words, box in found:
        if not any(box.x0 >= left * width - 1 and box.x1 <= right * width + 1 and box.y0 >= low * height - 1
                   and box.y1 <= high * height + 1 for left, low, right, high in rooms):
            wrong.append(f"{words!r} leaves its place: {box.x0:.0f} to {box.x1:.0f}, {box.y0:.0f} to "
                         f"{box.y1:.0f} of {width:.0f} × {height:.0f}")
    for (one, a), (other, b) in itertools.combinations(found, 2):
        across, up = min(a.x1, b.x1) - max(a.x0, b.x0), min(a.y1, b.y1) - max(a.y0, b.y0)
        if across > 1 and up > 3:
            wrong.append(f"{one!r} lies on {other!r}")
    return wrong


@pytest.mark.parametrize("module", MODULES)
def test_words_are_legible_and_keep_to_their_places(figures, module):
    pixels = style.SMALL * 100 / 72
    for given in figures(module):
        width, height = (100 * edge for edge in given["inches"])
        laptop = min(LAPTOP / width, HIGHEST / height if given["place"] == "beside" else 9)
        assert round(pixels * laptop, 1) >= 13.3, f"{pixels * laptop:.1f} px on a laptop"
        assert given["parts"] or pixels * MIDDLE / width >= 11, "too small on a page of 800"
        for left, low, right, high in (given["parts"] or {}).values():
            middle = min(MIDDLE / (right - left) / width, 480 / (high - low) / height)
            assert pixels * middle >= 11, f"{pixels * middle:.1f} px on a page of 800"
        assert given["narrow"], "nothing for a telephone"
        for name, tall in given["narrow"].items():
            assert pixels * min(TELEPHONE / stacking.WIDE, 480 / tall) >= 11, name
        wrong = {layout: problems(given, layout == "narrow") for layout in ("wide", "narrow")}
        assert not any(wrong.values()), wrong
