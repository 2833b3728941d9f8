"""Which way an angle above 0 leans: words, drawings, table, file and sheet say what the physics does."""

import json
import re
from xml.etree import ElementTree

import numpy as np
import pytest

from tonewood.lesson.shared.shop import NECK_12
from tonewood.lesson.shared.signs import SHOWN, drawing, legend
from tonewood.lesson.shared.stripe_table import COLUMNS, LINES
from tonewood.neck.design_file import SIGNS, from_text, to_text
from tonewood.neck.layup.neck import edges_at
from tonewood.wood.board import Board
from tonewood.wood.species import species

MAPLE, SMALL = species("hard maple"), 0.05


def drawn(name):
    """Slope of the drawn lines, up for each step to the right, and the words at top, left and right."""
    svg = ElementTree.fromstring(drawing(name))
    tag = "{http://www.w3.org/2000/svg}"
    line = next(svg.iter(f"{tag}line"))
    x1, y1, x2, y2 = (float(line.get(k)) for k in ("x1", "y1", "x2", "y2"))
    return -(y2 - y1) / (x2 - x1), [text.text for text in svg.iter(f"{tag}text")]


def test_grain_and_rings_are_drawn_as_the_stiffest_direction_and_the_movement_say():
    """Stiffest along the grain: pull up-and-forward beats pull down-and-forward where the grain rises to the
    body. A ring that falls to the treble moves, in shear of y against z, as its tangent swells most."""
    up, words = drawn("run-out")
    assert up == pytest.approx(np.tan(SHOWN), rel=0.01) and words == ["strings", "head", "body"]
    assert Board(MAPLE, 0.0, SMALL).Q[2, 0] > 0 and "rises to the strings" in SIGNS["run-out"]
    up, words = drawn("slope of grain")
    assert up == pytest.approx(np.tan(SHOWN), rel=0.01) and words == ["treble", "head", "body"]
    assert Board(MAPLE, slope=SMALL).Q[1, 0] > 0 and "runs to the treble" in SIGNS["slope of grain"]
    up, words = drawn("ring angle")
    assert up == pytest.approx(-np.tan(SHOWN), rel=0.01) and words == ["strings", "bass", "treble"]
    assert Board(MAPLE, SMALL).swelling_xyz[1, 2] < 0 and "fall towards the treble" in SIGNS["ring angle"]


def test_glue_lines_are_drawn_as_the_layup_moves_them():
    widths = (0.02, 0.02)
    def line(lean, taper, x, z):
        return edges_at(widths, (lean,), (taper,), x, z)[1]
    assert line(SMALL, 0.0, 0.0, -0.01) > line(SMALL, 0.0, 0.0, 0.0)            # lower end to the treble
    assert line(0.0, SMALL, 0.4, 0.0) > line(0.0, SMALL, 0.0, 0.0)              # body end to the treble
    up, words = drawn("line leans")
    assert up < -1 and words == ["strings", "bass", "treble"]
    assert "lower end lies to the treble" in SIGNS["line leans"]
    up, words = drawn("line tapers")
    assert up == pytest.approx(np.tan(SHOWN), rel=0.01) and words == ["treble", "head", "body"]


def test_table_and_file_state_them_where_they_are_typed():
    said = re.sub("<[^>]+>", " ", legend())
    for words in (*COLUMNS.values(), *LINES.values()):
        name = words if isinstance(words, str) else words[0]
        name = name.split(",")[0]
        assert name == "width" or SIGNS[name] in said
    text = to_text(NECK_12)
    assert json.loads(text)["signs"] == SIGNS and from_text(text) == NECK_12
