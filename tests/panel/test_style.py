"""Colours: contrast by the Web Content Accessibility Guidelines' formula, and what colour-blind readers can
tell apart.

Simulation matrices: Machado, Oliveira and Fernandes (2009), IEEE Trans. Visualization and Computer Graphics
15(6), severity 1.0. """

from itertools import combinations

import numpy as np
import pytest
from matplotlib.colors import to_rgb

from tonewood.panel import style, theme

SIGHT = {"full": np.eye(3), "no red cones": np.array([[0.152286, 1.052583, -0.204868],
                                                      [0.114503, 0.786281, 0.099216],
                                                      [-0.003882, -0.048116, 1.051998]]),
         "no green cones": np.array([[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413],
                                     [-0.011820, 0.042940, 0.968881]])}


def linear(colour):
    c = np.array(to_rgb(colour))
    return np.where(c <= 0.04045, c / 12.92, ((c + 0.055) / 1.055) ** 2.4)


def lab(rgb):
    xyz = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722],
                    [0.0193, 0.1192, 0.9505]]) @ np.clip(rgb, 0, 1) / np.array([0.9505, 1.0, 1.089])
    f = np.where(xyz > 216 / 24389, np.cbrt(xyz), (24389 / 27 * xyz + 16) / 116)
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


def contrast(colour, other="white"):
    dark, light = sorted(float(np.dot([0.2126, 0.7152, 0.0722], linear(c))) for c in (colour, other))
    return (light + 0.05) / (dark + 0.05)


COLOURS = {name: getattr(style, name) for name in ("BLUE", "VERMILLION", "GREEN", "PURPLE", "BLACK", "GREY")}


THEMES = {"light": COLOURS, "dark": {name: theme.in_dark(colour) for name, colour in COLOURS.items()}}


@pytest.mark.parametrize("name", COLOURS)
def test_lines_stand_out_against_the_paper_of_either_theme(name):
    assert contrast(COLOURS[name]) >= 3.0
    assert contrast(THEMES["dark"][name], theme.PAPER) >= 4.5


@pytest.mark.parametrize("ink", ["#000000", "#222222", "#444444", "#555555", style.GREY, style.LIMIT_WORDS,
                                 style.BLUE])
def test_words_are_read_in_either_theme(ink):
    assert contrast(ink) >= 4.5
    assert contrast(theme.in_dark(ink), theme.PAPER) >= 4.5


@pytest.mark.parametrize("colours", THEMES.values(), ids=THEMES)
@pytest.mark.parametrize("sight", SIGHT)
def test_no_two_lines_look_alike(sight, colours):
    for a, b in combinations(colours, 2):
        seen = [lab(SIGHT[sight] @ linear(colours[name])) for name in (a, b)]
        apart = np.linalg.norm(seen[0] - seen[1])
        assert apart > 10, (a, b, apart)


def test_woods_keep_their_tones_and_greys_turn_round():
    from tonewood.lesson.shared.wood_colours import TONES
    for tone in TONES.values():
        assert theme.in_dark(tone) == pytest.approx(to_rgb(tone))
    assert theme.in_dark("white") == pytest.approx(to_rgb(theme.PAPER))
    assert theme.in_dark((0, 0, 0, 0.5)) == pytest.approx((*to_rgb(theme.INK), 0.5))


def test_roles_differ_without_colour():
    roles = [style.NOW, style.HELD, style.LIMIT, style.REFERENCE]
    assert len({str(r["linestyle"]) for r in roles}) == len(roles)


def test_sheet_escapes_the_words():
    assert "<script>" not in style.sheet("<script>alert(1)</script>\" onload=\"x")
    assert "data-alt=\"&lt;script&gt;" in style.sheet("<script>alert(1)</script>")


@pytest.mark.parametrize("name", ["BLACK", "GREY", "BLUE", "PURPLE", "LIMIT_WORDS"])
def test_words_in_these_colours_are_legible_on_white(name):
    """Contrast of small text, WCAG 2.2 success criterion 1.4.3: at least 4.5 to 1."""
    rgb = np.array(to_rgb(getattr(style, name)))
    linear = np.where(rgb <= 0.04045, rgb / 12.92, ((rgb + 0.055) / 1.055) ** 2.4)
    assert 1.05 / (linear @ [0.2126, 0.7152, 0.0722] + 0.05) >= 4.5
