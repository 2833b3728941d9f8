"""Section stiffness against numbers derived independently of the library.

Means: closed forms (beta-function integrals of the superellipse, parallel-axis sums), a general finite
element section package (sectionproperties) and plane orthotropic finite elements for the fret slots, all run
before the library was written. Round-number woods.
"""

from dataclasses import dataclass
from math import gamma
from types import SimpleNamespace

import numpy as np
import pytest

from tonewood.neck.layup.neck import Back, Bar, Channel, Fretboard, Layup, Neck, Outline, Stripe
from tonewood.neck.load.bow import glue_shear
from tonewood.neck.seasons.eigenstrain import rectangles
from tonewood.neck.section import stations
from tonewood.neck.section.regions import Regions, slot_share
from tonewood.neck.section.section import regions, section
from tonewood.neck.section.stations import AtStations
from tonewood.neck.section.torsion import rectangle_constant
from tonewood.neck.section.warping import unit_twist

MM, GPA = 1e-3, 1e9
NONE = 1e-9  # m: a fretboard that is not there


@dataclass(frozen=True)
class Known:
    """A wood of known modulus along the neck: all that the section sums ask of a board."""

    E_x: object
    rho: object = 700.0
    G_xz: float = 1e9
    draws: int = None
    constants = seen = None
    Q = np.eye(3)[None]     # as if drawn: what lies in the slots is asked of E and G themselves


def neck_of(widths, moduli, shape="C", half_width=22.0, depth=17.0, exponent=None, board=NONE / MM,
            board_modulus=14.0, channel=None, bars=()):
    """A neck without taper; sizes in mm, moduli in GPa."""
    stripes = [Stripe(Known(E * GPA), w * MM) for w, E in zip(widths, moduli, strict=False)]
    return Neck(Layup(stripes), Outline(2 * half_width * MM, 2 * half_width * MM),
                Back(shape, depth * MM, depth * MM, exponent=exponent),
                Fretboard(Known(board_modulus * GPA), board * MM, slot_depth=0.0), channel, bars)


def built(monkeypatch, blocks):
    """Section of glued rectangles: (E GPa, width, height, y, z in mm) each, put through the library's own
    sums."""
    E, width, height, y, z = np.array(blocks, dtype=float).T
    moments = rectangles(width * MM, height * MM, y * MM, z * MM)
    names = tuple(f"block {k}" for k in range(len(E)))
    x = np.array([0.1])
    parts = Regions(x=x, names=names, piece=tuple(range(len(E))), slotted=None,
                    **dict(zip(("area", "Sy", "Sz", "Syy", "Szz", "Syz"), moments, strict=True)))
    monkeypatch.setattr(stations, "area_moments", lambda geometry, x: parts)
    neck = SimpleNamespace(pieces=[Known(e * GPA) for e in E], bars=(), channel=None, geometry=None)
    return AtStations(neck, x).section, moments, E * GPA


def outline_moments(neck):
    """Area (mm2), depth of centroid (mm), second moment about it and about the centre line (mm4) of the wood
    under the glue line."""
    parts = regions(neck, [0.2])
    wood = slice(0, len(neck.layup.stripes))
    area, Sz, Szz, Syy = (getattr(parts, n)[wood, 0].sum() for n in ("area", "Sz", "Szz", "Syy"))
    return area / MM**2, -Sz / area / MM, (Szz - Sz**2 / area) / MM**4, Syy / MM**4


@pytest.mark.parametrize("shape, depth, exponent, expected", [
    ("C", 17, None, (587.478, 7.2150, 11863.2, 71084.8)), ("D", 17, 3.0, (660.723, 7.7573, 14284.0, 90508)),
    ("V", 18, None, (396.0, 6.0, 7128.0, None))], ids=["half ellipse", "superellipse", "triangle"])
@pytest.mark.parametrize("widths", [(60,), (14, 2, 28, 2, 14), (9, 2, 2.5, 33, 2.5, 2, 9)])
def test_back_shapes_whatever_the_stripes(shape, depth, exponent, expected, widths):
    found = outline_moments(neck_of(widths, [12.0] * len(widths), shape, depth=depth, exponent=exponent))
    wanted = [v for v in expected if v is not None]
    assert list(found)[:len(wanted)] == pytest.approx(wanted, rel=1e-4)


@pytest.mark.parametrize("p", [1.0, 1.4, 2.0, 2.3, 2.8, 4.0, 8.0])
def test_superellipse_moments_follow_the_beta_function(p):
    """Independently derived: integrals of |y/a|^p + |z/b|^p = 1 are beta functions."""
    def beta(u, v):
        return gamma(u) * gamma(v) / gamma(u + v)

    a, b = 22.0, 17.0
    area, first, second, side = (2 * a * b / p * beta(1 / p, 1 + 1 / p),
                                 2 * a * b**2 / p * beta(2 / p, 1 + 1 / p),
                                 2 * a * b**3 / p * beta(3 / p, 1 + 1 / p),
                                 2 * a**3 * b / (3 * p) * beta(1 / p, 1 + 3 / p))
    found = outline_moments(neck_of((12, 20, 12), (12, 12, 12), "C", a, b, p))
    assert list(found) == pytest.approx([area, first / area, second - first**2 / area, side], rel=2e-3)


def test_five_stripes_side_by_side(monkeypatch):
    s, _, _ = built(monkeypatch, [(12, 12, 20, -14, 10), (16, 2, 20, -7, 10), (10, 12, 20, 0, 10),
                                  (16, 2, 20, 7, 10), (12, 12, 20, 14, 10)])
    assert s.EA[0] == pytest.approx(9.440e6, rel=1e-6)
    assert s.EI[0] == pytest.approx(314.667, rel=1e-5)
    assert s.EI_side[0] == pytest.approx(1290.027, rel=1e-5)
    assert [s.y_bar[0], s.EI_cross[0]] == pytest.approx([0, 0], abs=1e-9)


def test_one_stiffer_outer_stripe_moves_the_axis_sideways(monkeypatch):
    s, _, _ = built(monkeypatch, [(12, 12, 20, -14, 10), (16, 2, 20, -7, 10), (10, 12, 20, 0, 10),
                                  (16, 2, 20, 7, 10), (14, 12, 20, 14, 10)])
    assert s.y_bar[0] / MM == pytest.approx(0.67742, rel=1e-4)
    assert s.EI[0] == pytest.approx(330.6667, rel=1e-6)
    assert s.EI_side[0] == pytest.approx(1385.314, rel=1e-5)


def above(moments, E, z_bar, line):
    """Sum of E z' dA over the blocks whose centre lies above the line."""
    area, _, Sz = moments[:3, :, 0]
    return sum(e * (sz - z_bar * a) for e, a, sz in zip(E, area, Sz, strict=False) if sz / a > line * MM)


def test_three_layers_and_the_shear_flow_in_their_glue_lines(monkeypatch):
    s, moments, E = built(monkeypatch, [(12, 40, 8, 0, 4), (9, 40, 4, 0, 10), (14, 40, 8, 0, 16)])
    assert s.z_bar[0] / MM == pytest.approx(10.39344, rel=1e-6)
    assert [s.EA[0], s.EI[0], s.EI_side[0]] == pytest.approx([9.76e6, 344.3025, 1301.333], rel=1e-6)
    flow = [glue_shear(20.0, above(moments, E, s.z_bar[0], line), s.EI[0]) for line in (8, 12)]
    assert np.array(flow) * MM == pytest.approx([1.42612, 1.45903], rel=1e-5)  # N/mm
    stress = [glue_shear(20.0, above(moments, E, s.z_bar[0], line), s.EI[0], 40 * MM) for line in (8, 12)]
    # kPa: strings do not open glue lines
    assert np.array(stress) / 1e3 == pytest.approx([35.7, 36.5], abs=0.06)


BAR = dict(width=3 * MM, depth=9 * MM, modulus=110 * GPA)
CHANNEL = Channel(6 * MM, 10 * MM, 0.0, 0.47)
CARBON = (Bar(-9 * MM, **BAR), Bar(9 * MM, **BAR))


@pytest.mark.parametrize("board, board_modulus, channel, bars, EI", [
    (NONE / MM, 14, None, (), 151.7), (NONE / MM, 14, CHANNEL, (), 141.0), (6, 14, None, (), 429.9),
    (6, 14, CHANNEL, (), 423.0), (6, 14, CHANNEL, CARBON, 460.2), (6, 7, CHANNEL, CARBON, 349.8)],
    ids=["bare", "channel", "fretboard", "channel and fretboard", "carbon", "carbon, soft fretboard"])
def test_what_channel_fretboard_and_carbon_do(board, board_modulus, channel, bars, EI):
    """Expected from sectionproperties; 0.3 %."""
    s = section(neck_of((15, 2, 26, 2, 15), (12, 10, 12, 10, 12), "D", exponent=2.3, board=board,
                        board_modulus=board_modulus, channel=channel, bars=bars), [0.2])
    assert s.EI[0] == pytest.approx(EI, rel=3e-3)
    if board == 6 and channel and not bars:
        assert s.z_bar[0] / MM == pytest.approx(-3.849, rel=3e-3)
    if bars and board_modulus == 14:
        assert s.z_bar[0] / MM == pytest.approx(-4.070, rel=3e-3)
        assert [s.EA[0], s.EI_side[0]] == pytest.approx([1.5558e7, 1946], rel=3e-3)


def test_neck_with_fretboard(monkeypatch):
    s, moments, E = built(monkeypatch, [(12, 40, 16, 0, 8), (14, 42, 6, 0, 19)])
    assert s.z_bar[0] / MM == pytest.approx(11.4625, rel=1e-5)
    assert [s.EI[0], s.EI_side[0]] == pytest.approx([466.9383, 1542.616], rel=1e-5)
    ES = above(moments, E, s.z_bar[0], 16)
    assert glue_shear(20.0, ES, s.EI[0]) * MM == pytest.approx(1.13900, rel=1e-5)
    assert glue_shear(20.0, ES, s.EI[0], 40 * MM) / 1e3 == pytest.approx(28.5, abs=0.05)


def block(width, height, columns, rows, region, stiffness, low=0.0):
    """Unit twist of a block; column edges and row lines in mm."""
    lines = np.asarray(rows, dtype=float) * MM
    return unit_twist(np.asarray(columns, dtype=float) * MM, lambda y: lines[:, None] + 0 * y, region,
                      [[g * GPA, h * GPA, 0.0] for g, h in stiffness])


def test_torsion_of_five_stripes():
    """Bounds 53.704 to 53.716 N m2 from two finite element forms (stress and warping function);
    sectionproperties 53.713."""
    columns = np.unique(np.concatenate([np.linspace(a, b, n + 1) for a, b,
                                        n in ((-20, -8, 5), (-8, -6, 1), (-6, 6, 6), (6, 8, 1), (8, 20, 5))]))
    stripe = np.searchsorted([-8, -6, 6, 8], (columns[1:] + columns[:-1]) / 2)
    shear = [(0.8, 0.8), (1, 1), (0.6, 0.6), (1, 1), (0.8, 0.8)]
    found = block(40, 20, columns, np.linspace(0, 20, 11), stripe[:, None] * np.ones((1, 10), int), shear).GJ
    assert found == pytest.approx(53.710, rel=3e-4)
    assert 55.615 / found == pytest.approx(1.0355, abs=2e-3)  # the area-mean shear modulus overestimates


def test_torsion_of_two_layers():
    rows = [0, 4, 8, 12, 16, 19, 22]
    found = block(40, 22, np.linspace(-20, 20, 17), rows, np.ones((16, 1), int) * [0, 0, 0, 0, 1, 1],
                  [(0.7, 0.7), (1.2, 1.2)]).GJ
    assert found == pytest.approx(79.52, rel=5e-4)


def test_rectangle_constant_and_orthotropic_rectangle():
    """Series and finite elements agree with each other and with the independently summed series."""
    assert rectangle_constant(40 * MM, 20 * MM) / MM**4 == pytest.approx(73178.1, rel=1e-6)
    assert rectangle_constant(20 * MM, 40 * MM) == rectangle_constant(40 * MM, 20 * MM)
    found = block(40, 20, np.linspace(-20, 20, 17), np.linspace(-10, 10, 9), np.zeros((16, 8), int),
                  [(0.8, 1.3)]).GJ
    assert found == pytest.approx(64.2525, rel=1e-4)
    assert found > 64.2525 * (1 - 1e-6)  # a warping function comes from above


def test_torsion_constant_of_a_half_ellipse_with_board():
    """8.92e4 mm4 +-0.5 % from sectionproperties."""
    y = 22 * np.sin(np.linspace(-np.pi / 2, np.pi / 2, 25))

    def curves(at):
        floor = 17 * MM * np.sqrt(np.maximum(1 - (at / (22 * MM)) ** 2, 1e-6))
        return np.concatenate([-np.linspace(1, 0, 7)[:, None] * floor,
                               np.array([3, 6])[:, None] * MM + 0 * at])

    found = unit_twist(y * MM, curves, np.zeros((24, 8), int), [[1.0, 1.0, 0.0]]).GJ / MM**4
    assert found == pytest.approx(8.92e4, rel=5e-3)


@pytest.mark.parametrize("pitch, depth, open_share, EI_ratio",
                         [(25, 3.0, 0.272, 0.754), (35, 2.0, 0.541, 0.894), (14, 3.5, 0.112, 0.650)],
                         ids=["low frets", "wide", "narrow"])
def test_fret_slots_against_plane_finite_elements(pitch, depth, open_share, EI_ratio):
    """Fretboard 6 mm of 14 GPa on 17 mm of 12 GPa, shear modulus 1 GPa, slots 0.6 mm: the share the slotted
    layer keeps within 0.035, EI within 2.5 %."""
    share = slot_share(pitch * MM, depth * MM, 14.0, 0.0)
    assert share == pytest.approx(open_share, abs=0.035)

    def EI(keep):
        E, h = np.array([12, 14, 14 * keep]), np.array([17, 6 - depth, depth])
        z = np.cumsum(h) - h / 2
        axis = (E * h * z).sum() / (E * h).sum()
        return (E * h * ((z - axis) ** 2 + h**2 / 12)).sum()

    assert EI(share) / EI(1.0) == pytest.approx(EI_ratio, rel=0.025)
    assert EI(0.0) < EI(share) < EI(1.0)
    assert slot_share(pitch * MM, depth * MM, 14.0, 1.0) == 1.0


@pytest.mark.parametrize("fill", [0.0, 0.5, 1.0])
def test_slots_weaken_the_real_neck_by_the_share_of_the_layer(fill):
    """The neck's EI with slots equals that of a two-layer board whose top layer has the reduced modulus."""
    whole = neck_of((60,), (12,), "C", board=6)
    slotted = Neck(whole.layup, whole.outline, whole.back, Fretboard(Known(14 * GPA), 6 * MM, 2.5 * MM, fill))
    x = np.array([0.05, 0.2, 0.4])
    keep = slot_share((0.648 - x) * (1 - 2 ** (-1 / 12)), 2.5 * MM, 14.0, fill)
    area, first, second, _ = outline_moments(whole)
    second += area * first**2
    for found, share in zip(section(slotted, x).EI, keep, strict=False):
        E, low, high = np.array([14.0, 14.0 * share]), np.array([0.0, 3.5]), np.array([3.5, 6.0])
        EA, ES = 12 * area + (E * 44 * (high - low)).sum(), -12 * area * first + (E * 22
                                                                                  * (high**2 - low**2)).sum()
        EI = 12 * second + (E * 44 / 3 * (high**3 - low**3)).sum() - ES**2 / EA
        assert found == pytest.approx(EI * GPA * MM**4, rel=1e-4)


def test_bending_stiffness_from_any_other_line_is_that_about_the_axis():
    """Steiner's theorem: two blocks of 10 and 20 GPa, 40 x 10 mm, one above the other, by hand."""
    from types import SimpleNamespace

    from tonewood.neck.section.stations import bending_stiffness

    area, z = 40e-3 * 10e-3, np.array([-5e-3, 5e-3])
    own = 40e-3 * (10e-3) ** 3 / 12
    of_each = np.stack([area + 0 * z, 0 * z, area * z, 0 * z, own + area * z**2, 0 * z])
    parts = SimpleNamespace(slotted=None, integrals=of_each[..., None])
    E = np.array([10e9, 20e9])
    axis = E @ z / E.sum()
    by_hand = np.sum(E * (own + area * (z - axis) ** 2))
    assert bending_stiffness(parts, E, np.ones(1)) == pytest.approx([by_hand], rel=1e-12)
