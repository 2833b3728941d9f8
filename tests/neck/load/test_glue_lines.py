"""Glue lines: against thin stripes of glue in the section model, against a closed form, and directions."""

from dataclasses import replace

import numpy as np
import pytest

from tonewood.materials import material
from tonewood.neck.layup.neck import (
    Back,
    Bar,
    Channel,
    Fretboard,
    Layup,
    Neck,
    Outline,
    Stripe,
    spread,
    striped,
)
from tonewood.neck.load.glue_lines import GLUES, glue_lines
from tonewood.neck.load.relief import strung_neck
from tonewood.neck.load.setup import fretboard_glue_shear
from tonewood.neck.report.evaluation import even_stiffness
from tonewood.neck.section.section import section
from tonewood.strings.sets import string_set
from tonewood.wood.board import Board
from tonewood.wood.species import species

MAPLE, WENGE, ROSEWOOD = (species(name) for name in ("hard_maple", "wenge", "indian_rosewood"))
STRINGS = string_set("six")


def player(count=7, **more):
    maple, wenge = Board(MAPLE), Board(WENGE)
    return Neck(layup=striped(maple, wenge, maple, count), outline=Outline(), back=Back("D"),
                fretboard=Fretboard(Board(ROSEWOOD)), channel=Channel(), **more)


def block(widths, board_width=0.050):
    return Neck(layup=Layup(tuple(Stripe(Board(MAPLE), w) for w in widths)),
                outline=Outline(board_width, board_width), back=Back("D", 0.016, 0.016, exponent=20.0),
                fretboard=Fretboard(Board(ROSEWOOD), 0.006, 0.0))


def test_width_loss_is_that_of_thin_stripes_of_glue():
    """Independently derived: the same neck laid up with 0.1 mm stripes of the glue's modulus, by the section
    model."""
    thickness, modulus = 1e-4, material("pva_glue")["modulus"].value
    solid = block([0.010] * 5)
    row = [Stripe(Board(MAPLE), 0.0099), Stripe(Board(MAPLE, modulus=modulus), thickness)] * 5
    row = row[:-1]
    spare = 0.050 - sum(p.width for p in row)
    row[0], row[-1] = (replace(p, width=p.width + spare / 2) for p in (row[0], row[-1]))
    with_glue = replace(solid, layup=Layup(tuple(row)))
    # the section model's glue stops at the glue line under the fretboard, as here
    lost = 1 - float(even_stiffness(with_glue) / even_stiffness(solid))
    assert glue_lines(solid, STRINGS, thickness=thickness).width_loss == pytest.approx(lost, rel=0.03)


def test_equal_stripes_of_one_height_pass_nothing_across():
    """Side by side and alike, each stripe bends as far as its neighbour on its own: only the fretboard's line
    is sheared."""
    neck = block([0.010] * 5)
    found, top, s = glue_lines(neck, STRINGS), fretboard_glue_shear(neck, STRINGS), section(neck)
    assert found.lines == 4 and found.stress == pytest.approx(np.abs(top.stress).max(), rel=1e-6)
    glue = material("pva_glue")["shear_modulus"].value
    in_the_line = np.trapezoid(top.stress**2 * top.width, top.x) * 1e-4 / (2 * glue)
    strung = strung_neck(neck, STRINGS)
    moment = np.interp(s.x, strung.x, strung.moment)
    whole = np.trapezoid(moment**2 / (2 * s.EI) + float(STRINGS.tension.sum()) ** 2 / (2 * s.EA), s.x)
    assert found.bending_share == pytest.approx(in_the_line / whole, rel=0.01)


def test_added_twist_is_that_of_soft_layers_in_series():
    """Closed form: slabs of wood and thin layers of glue one beside the other, sheared by the same stress,
    give way by t / G each; below the fretboard, which the lines do not cut."""
    t, glue, wood = 1e-4, material("hide_glue")["shear_modulus"].value, Board(MAPLE).G_xy
    neck, lines, width = block([0.010] * 5), 4, 0.050
    cut = 0.016 / (0.016 + 0.006)
    in_series = (lines * t / glue + (width - lines * t) / wood) / (width / wood) - 1
    found = glue_lines(neck, STRINGS, "hide_glue", t)
    assert found.twisting_share == pytest.approx(cut * in_series, rel=0.02)


def test_stress_and_energy_of_a_line_are_those_of_the_force_that_crosses_it():
    """Independently derived: strips of the section, strained as a plane; what the treble side of the one line
    carries more from station to station has crossed it."""
    bass, treble, top = Board(MAPLE), Board(species("mahogany")), Board(ROSEWOOD)
    bar = Bar(0.0085, width=0.004)
    neck = Neck(layup=Layup((Stripe(bass, 0.035), Stripe(treble, 0.025))), outline=Outline(), back=Back("D"),
                fretboard=Fretboard(top, slot_depth=0.0), channel=None, bars=(bar,))
    x, joint, t = neck.stations(60), 0.005, neck.fretboard.thickness
    a = neck.outline.width(x)[:, None] / 2
    cells = np.clip(np.linspace(-0.03, 0.03, 2401), -a, a)  # edges of bar and joint fall on them
    y, dy = (cells[:, 1:] + cells[:, :-1]) / 2, np.diff(cells)
    floor = neck.back.surface(y, a, neck.back.depth(x)[:, None])
    in_bar = np.abs(y - bar.offset) < bar.width / 2
    E = np.where(y < joint, bass.E_x, treble.E_x)
    layers = [(E, floor, 0 * y), (top.E_x, 0 * y, t + 0 * y),
              (np.where(in_bar, bar.modulus - E, 0.0), 0 * y - bar.below - bar.depth, 0 * y - bar.below)]
    pull = STRINGS.tension
    heights = t + 0.0016 + (0.0011 + np.linspace(0.0020, 0.0016, 6) - 0.0016)[:, None] * x / neck.fret(12)
    one, z, zz = (sum(E * (high**n - low**n) / n for E, low, high in layers) * dy for n in (1, 2, 3))
    EA, axis = one.sum(1), z.sum(1) / one.sum(1)
    EI = zz.sum(1) - EA * axis**2
    moment = pull @ heights - pull.sum() * axis
    force = ((-pull.sum() / EA + moment / EI * axis)[:, None] * one - (moment / EI)[:, None] * z)
    height = -neck.back.surface(joint, a[:, 0], neck.back.depth(x))
    stress = np.gradient(np.where(y > joint, force, 0.0).sum(1), x) / height
    found, glue = glue_lines(neck, STRINGS, count=60), material("pva_glue")["shear_modulus"].value
    shear = fretboard_glue_shear(neck, STRINGS, x=x)
    energy = np.trapezoid(stress**2 * height + shear.stress**2 * shear.width, x) * 1e-4 / (2 * glue)
    whole = np.trapezoid(moment**2 / EI + pull.sum() ** 2 / EA, x) / 2
    assert found.stress == pytest.approx(max(np.abs(stress).max(), np.abs(shear.stress).max()), rel=0.01)
    assert np.abs(stress).max() > np.abs(shear.stress).max()
    assert found.bending_share == pytest.approx(energy / whole, rel=0.02)


def test_small_for_every_glue_and_grows_with_thickness():
    for glue in GLUES:
        thin, thick = (glue_lines(player(), STRINGS, glue, t) for t in (5e-5, 1.5e-4))
        for name in ("bending_share", "twisting_share", "width_loss"):
            assert getattr(thick, name) == pytest.approx(3 * getattr(thin, name), rel=1e-9)
        assert 0 < thick.bending_share < 1e-3 and 0 < thick.width_loss < 0.02
        assert 0 <= thick.twisting_share < 0.06
    assert glue_lines(player(), STRINGS, thickness=0.0).width_loss == 0


def test_stiffer_glue_costs_less_and_more_lines_cost_more():
    pva, epoxy = (glue_lines(player(), STRINGS, glue) for glue in ("pva_glue", "epoxy"))
    for name in ("bending_share", "twisting_share", "width_loss"):
        assert getattr(epoxy, name) < getattr(pva, name)
    one, three, eleven = (glue_lines(player(n), STRINGS) for n in (1, 3, 11))
    assert (one.lines, three.lines, eleven.lines) == (0, 2, 10)
    assert one.width_loss == one.twisting_share == 0 < three.width_loss < eleven.width_loss
    assert one.bending_share > 0                              # the fretboard's own line


def test_lines_outside_the_neck_are_not_counted():
    """Stripes of a wide blank: lines 26 mm from the middle fall to the saw where the neck is 50 mm wide."""
    found = glue_lines(block([0.020, 0.052, 0.020]), STRINGS)
    assert found.lines == 0 and found.width_loss == found.twisting_share == 0


def test_stress_is_far_below_strength():
    """Neck glue lines see tens of kPa under the strings (independently derived: the shear-flow formula),
    glues hold several MPa."""
    assert 5e3 < glue_lines(player(), STRINGS).stress < 2e5


def test_bars_count_on_their_side():
    assert glue_lines(player(bars=(Bar(-0.0085), Bar(0.0085))), STRINGS).bending_share > 0


def test_table_and_refusals():
    assert all("(" in c for c in glue_lines(player(), STRINGS).table().columns)
    for call, words in ((lambda: glue_lines(player(), STRINGS, "paste"), "glue: 'paste'"),
                        (lambda: glue_lines(player(), STRINGS, thickness=0.1), "did you mean 0.0001 m"),
                        (lambda: glue_lines(spread(player(), 5), STRINGS), "5 draws")):
        with pytest.raises(ValueError, match=words):
            call()
