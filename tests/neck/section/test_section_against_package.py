"""Whole neck sections against sectionproperties, a general finite element package for composite cross
sections.

Robbie van Leeuwen, "sectionproperties: a Python package for the analysis of arbitrary cross-sections using
the finite element method", Journal of Open Source Software 9 (2024) 6105. The outlines are drawn here from
their own equations, not taken from the library. The package takes every region as isotropic, so the woods
here have one shear modulus; for GJ it is given G in place of E.
"""

from dataclasses import dataclass, replace

import numpy as np
import pytest
from sectionproperties.analysis import Section
from sectionproperties.pre import Geometry, Material
from sectionproperties.pre.geometry import CompoundGeometry
from shapely import Polygon, box

from tonewood.neck.layup.neck import Back, Bar, Channel, Fretboard, Layup, Neck, Outline, Stripe
from tonewood.neck.layup.shapes import FretboardLayer
from tonewood.neck.section.regions import slot_share, slotted_shear
from tonewood.neck.section.section import section, torsion
from tonewood.wood.board import Seen
from tonewood.wood.elastic import Elastic, orientation

MM, GPA = 1e-3, 1e9
X = 0.2


@dataclass(frozen=True)
class Wood:
    """A round-number wood with one shear modulus for both planes of torsion."""

    E: float
    G: float
    rho: float = 700.0
    draws: int = None
    Q = orientation(0.0)

    @property
    def species(self):
        return self

    @property
    def elastic(self):
        return Elastic(E_L=self.E, E_R=1.6 * GPA, E_T=0.8 * GPA, G_LR=self.G, G_LT=self.G, G_RT=0.25 * GPA,
                       nu_LR=0.40, nu_LT=0.48, nu_RT=0.70)

    @property
    def seen(self):
        return Seen(self.elastic, "hardwood", 0.0, 0.0, 0.0)

    constants, scale = None, 1.0       # the wood's own

    @property
    def modulus(self):
        return self.E

    E_L = E_x = modulus

    @property
    def G_xz(self):
        return self.G


MAPLE, DARK, SOFT, EBONY = (Wood(12 * GPA, 1.0 * GPA), Wood(16 * GPA, 1.4 * GPA), Wood(8 * GPA, 0.6 * GPA),
                            Wood(18 * GPA, 1.5 * GPA))
CHANNEL = Channel(6 * MM, 10 * MM, 0.0, 0.44)


def neck(stripes, back, channel=None, bars=(), slot=0.0, board=EBONY):
    return Neck(Layup([Stripe(w, width * MM) for w, width in stripes]), Outline(0.043, 0.056, 0.470), back,
                Fretboard(board, 6 * MM, slot * MM, 0.5), channel, bars)


ONE = [(MAPLE, 60)]
FIVE = [(MAPLE, 18), (DARK, 2), (SOFT, 20), (DARK, 2), (MAPLE, 18)]
SEVEN = [(MAPLE, 12), (DARK, 1.5), (SOFT, 10), (MAPLE, 13), (SOFT, 10), (DARK, 1.5), (MAPLE, 12)]
UNEVEN = [(SOFT, 20), (DARK, 6), (MAPLE, 34)]
CARBON = tuple(Bar(y * MM, width=3 * MM, depth=7 * MM, below=1 * MM) for y in (-9, 9))
NECKS = {"C, one piece": neck(ONE, Back("C")), "D, one piece": neck(ONE, Back("D")),
         "V, one piece": neck(ONE, Back("V", 0.019, 0.022)),
         "C, five stripes, channel": neck(FIVE, Back("C"), CHANNEL),
         "D, seven stripes, channel, carbon": neck(SEVEN, Back("D"), CHANNEL, CARBON),
         "V, five stripes, carbon": neck(FIVE, Back("V", 0.020, 0.023), None, CARBON),
         "D, uneven stripes, one bar": neck(UNEVEN, Back("D"), CHANNEL, CARBON[1:]),
         "C, five stripes, slots": neck(FIVE, Back("C"), CHANNEL, slot=2.5),
         "D, five stripes, three layers": replace(
             neck(FIVE, Back("D"), CHANNEL), fretboard=Fretboard(EBONY, 6 * MM, 0.0, 0.5, (
                 FretboardLayer(DARK, 1 * MM), FretboardLayer(SOFT, 2 * MM)))),
         "C, five stripes, no fretboard": replace(
             neck(FIVE, Back("C", 0.0205, 0.023)), fretboard=Fretboard(slot_depth=0.0),
             channel=Channel(6 * MM, 15 * MM, 0.0, 0.44, below=5 * MM))}


def outside(neck, torsion):
    """The same section drawn again in mm and solved by the package; moduli in MPa, E for bending, G for
    torsion."""
    a, b = 1e3 * (0.043 + 0.013 * X / 0.470) / 2, 1e3 * (
        neck.back.depth_nut + (neck.back.depth_end - neck.back.depth_nut) * X / 0.470
    )
    p = neck.back.exponent
    t = np.linspace(0, np.pi, 121)
    y, z = a * np.sign(np.cos(t)) * np.abs(np.cos(t)) ** (2 / p), -b * np.sin(t) ** (2 / p)
    z[[0, -1]] = 0.0  # the corners lie on the glue line exactly, or the package would see a crack
    parts, cut = [], []
    for bar in neck.bars:
        hole = box(1e3 * (bar.offset - bar.width / 2), -1e3 * (bar.below + bar.depth),
                   1e3 * (bar.offset + bar.width / 2), -1e3 * bar.below)
        parts.append((hole, bar.shear_modulus if torsion else bar.modulus))
        cut.append(hole)
    if neck.channel is not None:
        cut.append(box(-3, -1e3 * neck.channel.depth, 3, -1e3 * neck.channel.below))
    body = Polygon(np.stack([y, z], 1))
    fine = np.linspace(-a, a, 200001)
    true = np.trapezoid(b * np.clip(1 - np.abs(fine / a) ** p, 0, None) ** (1 / p), fine)
    assert body.area == pytest.approx(true, rel=1e-3)  # the polygon is a fair picture of the curve
    for hole in cut:
        body = body.difference(hole)
    left = -sum(1e3 * s.width for s in neck.layup.stripes) / 2
    for stripe in neck.layup.stripes:
        right = left + 1e3 * stripe.width
        piece = body.intersection(box(left, -50, right, 50))
        for polygon in getattr(piece, "geoms", [piece]):
            if polygon.area > 1e-6:
                parts.append((polygon, stripe.board.G if torsion else stripe.board.E))
        left = right
    depth, wood, low = 1e3 * neck.fretboard.slot_depth, neck.fretboard.board, 0.0
    for layer in neck.fretboard.layers:
        high = low + 1e3 * layer.thickness
        parts.append((box(-a, low, a, min(high, 6 - depth)), layer.board.G if torsion else layer.board.E))
        low = high
    if depth:
        pitch = (neck.scale_length - X) * (1 - 2 ** (-1 / 12))
        keep = (slotted_shear(pitch, depth * MM, wood.G / (0.25 * GPA), 0.5) if torsion
                else slot_share(pitch, depth * MM, wood.E / wood.G, 0.5))
        parts.append((box(-a, 6 - depth, a, 6), (wood.G if torsion else wood.E) * keep))
    shapes = [Geometry(shape, Material(f"{k}", modulus * 1e-6, 0.3, 1.0, 1.0, "grey"))
              for k, (shape, modulus) in enumerate(parts)]
    geometry = CompoundGeometry(shapes)
    geometry.create_mesh(2.0 if torsion else 4.0)
    found = Section(geometry)
    found.calculate_geometric_properties()
    return found


@pytest.mark.parametrize("name", NECKS)
def test_bending_stiffness_within_a_twentieth_of_a_percent(name):
    s, package = section(NECKS[name], [X]), outside(NECKS[name], torsion=False)
    ixx, iyy, ixy = package.get_eic()
    y_bar, z_bar = package.get_c()
    assert s.EI[0] == pytest.approx(ixx * 1e-6, rel=5e-4)
    assert s.EI_side[0] == pytest.approx(iyy * 1e-6, rel=5e-4)
    assert s.EI_cross[0] == pytest.approx(ixy * 1e-6, abs=5e-4 * s.EI[0])
    assert s.EA[0] == pytest.approx(package.get_ea(), rel=1e-3)
    assert [1e3 * s.y_bar[0], 1e3 * s.z_bar[0]] == pytest.approx([y_bar, z_bar], abs=0.01)  # mm


@pytest.mark.parametrize("name", NECKS)
def test_torsional_stiffness_within_half_a_percent(name):
    package = outside(NECKS[name], torsion=True)
    package.calculate_warping_properties()
    assert torsion(NECKS[name], [X]).GJ[0] == pytest.approx(package.get_ej() * 1e-6, rel=0.005)


def test_uneven_stripes_bend_sideways_too():
    """The case with a cross term is not an empty one."""
    s = section(NECKS["D, uneven stripes, one bar"], [X])
    assert abs(s.EI_cross[0]) > 0.01 * s.EI[0]
    assert abs(s.y_bar[0]) > 0.5 * MM
