"""Glue lines: against thin stripes of glue in the section model, against a closed form, and directions."""

from dataclasses import replace

import numpy as np
import pytest

from tonewood.neck.layup.neck import Back, Bar, Channel, Fretboard, Layup, Neck, Outline, Stripe, spread, striped
from tonewood.neck.report.evaluation import even_stiffness
from tonewood.neck.load.glue_lines import GLUES, glue_lines
from tonewood.neck.load.setup import fretboard_glue_shear
from tonewood.materials import material
from tonewood.neck.load.relief import strung_neck
from tonewood.neck.section.section import section
from tonewood.strings.sets import string_set
from tonewood.wood.board import Board
from tonewood.wood.species import species

MAPLE, WENGE, ROSEWOOD = (species(name) for name in ("hard_maple", "wenge", "indian_rosewood"))
STRINGS = string_set("six")


def player(count=7, **more):
    maple, wenge = Board(MAPLE), Board(WENGE)
    return Neck(striped(maple, wenge, maple, count), Outline(), Back("D"), Fretboard(Board(ROSEWOOD)), Channel(), **more)


def block(widths, board_width=0.050):
    return Neck(Layup(tuple(Stripe(Board(MAPLE), w) for w in widths)), Outline(board_width, board_width), Back("D", 0.016, 0.016, exponent=20.0),
                Fretboard(Board(ROSEWOOD), 0.006, 0.0))


def test_width_loss_is_that_of_thin_stripes_of_glue():
    """Independently derived: the same neck laid up with 0.1 mm stripes of the glue's modulus, by the section model."""
    thickness, modulus = 1e-4, material("pva_glue")["modulus"].value
    solid = block([0.010] * 5)
    glued = [Stripe(Board(MAPLE), 0.010 - 2e-4 * (0 < i < 4) - 1e-4 * (i in (0, 4)) + 1e-4 * (0 < i < 4)) for i in range(5)]
    row = [piece for stripe in glued for piece in (stripe, Stripe(Board(MAPLE, modulus=modulus), thickness))][:-1]
    spare = 0.050 - sum(p.width for p in row)
    row[0], row[-1] = (replace(p, width=p.width + spare / 2) for p in (row[0], row[-1]))
    with_glue = replace(solid, layup=Layup(tuple(row)))
    # the section model's glue stops at the glue line under the fretboard, as here
    lost = 1 - float(even_stiffness(with_glue) / even_stiffness(solid))
    assert glue_lines(solid, STRINGS, thickness=thickness).width_loss == pytest.approx(lost, rel=0.03)


def test_equal_stripes_of_one_height_pass_nothing_across():
    """Side by side and alike, each stripe bends as far as its neighbour on its own: only the fretboard's line is sheared."""
    neck = block([0.010] * 5)
    found, top, s = glue_lines(neck, STRINGS), fretboard_glue_shear(neck, STRINGS), section(neck)
    assert found.lines == 4 and found.stress == pytest.approx(np.abs(top.stress).max(), rel=1e-6)
    in_the_line = np.trapezoid(top.stress**2 * top.width, top.x) * 1e-4 / (2 * material("pva_glue")["shear_modulus"].value)
    strung = strung_neck(neck, STRINGS)
    moment = np.interp(s.x, strung.x, strung.moment)
    whole = np.trapezoid(moment**2 / (2 * s.EI) + float(STRINGS.tension.sum()) ** 2 / (2 * s.EA), s.x)
    assert found.bending_share == pytest.approx(in_the_line / whole, rel=0.01)


def test_small_for_every_glue_and_grows_with_thickness():
    for glue in GLUES:
        thin, thick = (glue_lines(player(), STRINGS, glue, t) for t in (5e-5, 1.5e-4))
        for name in ("bending_share", "twisting_share", "width_loss"):
            assert getattr(thick, name) == pytest.approx(3 * getattr(thin, name), rel=1e-9)
        assert 0 < thick.bending_share < 1e-3 and 0 <= thick.twisting_share < 0.06 and 0 < thick.width_loss < 0.02
    assert glue_lines(player(), STRINGS, thickness=0.0).width_loss == 0


def test_stiffer_glue_costs_less_and_more_lines_cost_more():
    pva, epoxy = (glue_lines(player(), STRINGS, glue) for glue in ("pva_glue", "epoxy"))
    assert epoxy.bending_share < pva.bending_share and epoxy.twisting_share < pva.twisting_share and epoxy.width_loss < pva.width_loss
    one, three, eleven = (glue_lines(player(n), STRINGS) for n in (1, 3, 11))
    assert (one.lines, three.lines, eleven.lines) == (0, 2, 10)
    assert one.width_loss == one.twisting_share == 0 < three.width_loss < eleven.width_loss
    assert one.bending_share > 0                              # the fretboard's own line


def test_stress_is_far_below_strength():
    """Neck glue lines see tens of kPa under the strings (independently derived: shear-flow formula of C2.8), glues hold several MPa."""
    assert 5e3 < glue_lines(player(), STRINGS).stress < 2e5


def test_bars_count_on_their_side():
    assert glue_lines(player(bars=(Bar(-0.0085), Bar(0.0085))), STRINGS).bending_share > 0


def test_table_and_refusals():
    assert all("(" in c for c in glue_lines(player(), STRINGS).table().columns)
    for call, words in ((lambda: glue_lines(player(), STRINGS, "paste"), "glue: 'paste'"), (lambda: glue_lines(player(), STRINGS, thickness=0.1), "did you mean 0.0001 m"),
                        (lambda: glue_lines(spread(player(), 5), STRINGS), "5 draws")):
        with pytest.raises(ValueError, match=words):
            call()
