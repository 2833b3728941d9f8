"""How fast and how near: one design with 1,000 possible necks, the library against a plain loop and against a
finite element package.

Run: python tests/benchmarks/section_speed.py   (about a minute; needs the test extras). Prints times and
ratios; asserts nothing.

Compared with: the same sums written as plain Python loops over draws, stations and regions (section only);
the library asked one neck at
a time; and sectionproperties (R. van Leeuwen, JOSS 9 (2024) 6105), a general finite element package for
composite sections, for the same
outlines, timed without and with drawing and meshing. The package solves one section for one set of moduli;
its time for a whole
design is that time x stations x draws.
"""

import math
import os
import platform
import time
from dataclasses import replace
from types import SimpleNamespace

os.environ.setdefault(
    "OPENBLAS_NUM_THREADS", "1"
)  # small matrices: more threads cost time, most of all on a busy machine

import numpy as np
from sectionproperties.analysis import Section
from sectionproperties.pre import Geometry, Material
from sectionproperties.pre.geometry import CompoundGeometry
from shapely import Polygon, box

from tonewood.neck.layup.neck import Back, Bar, Channel, Fretboard, Neck, Outline, spread, striped
from tonewood.neck.report.evaluation import evaluate
from tonewood.neck.section.regions import slot_share, slotted_shear
from tonewood.neck.section.section import section, torsion
from tonewood.neck.section.shear import shear_stiffness
from tonewood.neck.section.torsion import _solved
from tonewood.strings.sets import string_set
from tonewood.wood.board import Board
from tonewood.wood.species import species

DRAWS, STATIONS = 1000, 40
ACROSS_NOTE = (
    "the package takes wood as isotropic in shear, so for GJ both are given the mean of G_xy and G_xz")


def best(task, repeat):
    """Shortest of `repeat` times, s; the first run is not counted."""
    task()
    times = []
    for _ in range(repeat):
        begin = time.perf_counter()
        task()
        times.append(time.perf_counter() - begin)
    return min(times)


def one_of(neck, draw):
    """A single neck out of many."""

    def single(board):
        swelling = board.swelling and tuple(float(np.broadcast_to(c, DRAWS)[draw]) for c in board.swelling)
        own = {name: (None if getattr(board, name) is None
                      else float(np.broadcast_to(getattr(board, name), DRAWS)[draw]))
               for name in ("density", "modulus", "loss")}
        return Board(board.species, board.ring_angle, board.run_out, board.slope, moisture=board.moisture,
                     swelling=swelling, **own)

    return neck.with_pieces([single(b) for b in neck.pieces])


def plain_loop(neck, moduli, slices=60):
    """EA, axis and EI of one neck at all stations, as one would first write it: strips in y, loops, no
    arrays. moduli: stripes, then fretboard."""
    out = []
    edges = [float(e) for e in neck.layup.edges]
    fretboard, channel = neck.fretboard, neck.channel
    ratio = float(neck.fretboard.board.E_x / neck.fretboard.board.G_xz)
    for i in range(STATIONS):
        x = float(neck.end) * i / (STATIONS - 1)
        a, depth = float(neck.outline.width(x)) / 2, float(neck.back.depth(x))
        EA = ES = EI = 0.0
        for stripe in range(len(edges) - 1):
            low, high = max(edges[stripe], -a), min(edges[stripe + 1], a)
            for k in range(slices):
                dy = (high - low) / slices
                y = low + (k + 0.5) * dy
                floor = -depth * (1 - abs(y / a) ** neck.back.exponent) ** (1 / neck.back.exponent)
                spans = [(floor, 0.0, moduli[stripe])]
                if abs(y) < channel.width / 2 and channel.start <= x <= channel.end:
                    spans = [(floor, -channel.depth, moduli[stripe])]
                for bar in neck.bars:
                    if abs(y - bar.offset) < bar.width / 2:
                        spans = [(floor, -bar.depth, moduli[stripe]), (-bar.depth, 0.0, bar.modulus)]
                for bottom, top, E in spans:
                    EA += E * (top - bottom) * dy
                    ES += E * (top**2 - bottom**2) / 2 * dy
                    EI += E * (top**3 - bottom**3) / 3 * dy
        kappa = (
            (neck.scale_length - x) * (1 - 2 ** (-1 / 12)) / (
                2 * 3.8 * (ratio / 14) ** 0.2 * fretboard.slot_depth))
        keep = 1 - math.tanh(kappa) / kappa
        keep = keep + fretboard.slot_fill * (1 - keep)
        solid, top = fretboard.thickness - fretboard.slot_depth, fretboard.thickness
        for low, high, E in ((0.0, solid, moduli[-1]), (solid, top, moduli[-1] * keep)):
            EA += E * (high - low) * 2 * a
            ES += E * (high**2 - low**2) * a
            EI += E * (high**3 - low**3) / 3 * 2 * a
        out.append((EA, ES / EA, EI - ES**2 / EA))
    return out


def drawn(neck, x, twist):
    """The section at x for the package, mm and MPa: shapely outlines with the moduli for bending, or the
    shear moduli for twisting."""
    a, b = 1e3 * float(neck.outline.width(x)) / 2, 1e3 * float(neck.back.depth(x))
    t, p = np.linspace(0, np.pi, 121), neck.back.exponent
    y, z = a * np.sign(np.cos(t)) * np.abs(np.cos(t)) ** (2 / p), -b * np.sin(t) ** (2 / p)
    z[[0, -1]] = 0.0
    wood, parts = Polygon(np.stack([y, z], 1)), []

    def modulus(board):
        return float(shear_stiffness(board)[0][0]) if twist else float(board.E_x)

    for bar in neck.bars:
        hole = box(1e3 * (bar.offset - bar.width / 2), -1e3 * bar.depth, 1e3 * (bar.offset + bar.width / 2),
                   0)
        parts.append((hole, bar.shear_modulus if twist else bar.modulus))
        wood = wood.difference(hole)
    wood = wood.difference(box(-500 * neck.channel.width, -1e3 * neck.channel.depth, 500 * neck.channel.width,
                               0))
    edges = 1e3 * neck.layup.edges
    for stripe, low, high in zip(neck.layup.stripes, edges, edges[1:], strict=False):
        piece = wood.intersection(box(low, -50, high, 50))
        parts += [(q, modulus(stripe.board)) for q in getattr(piece, "geoms", [piece]) if q.area > 1e-6]
    f = neck.fretboard
    depth, pitch = 1e3 * f.slot_depth, neck.fret_pitch(x)
    if twist:
        C, G_yz = shear_stiffness(f.board)
        keep = slotted_shear(pitch, f.slot_depth, float(C[0] / G_yz), f.slot_fill)
    else:
        keep = slot_share(pitch, f.slot_depth, float(f.board.E_x / f.board.G_xz), f.slot_fill)
    parts += [(box(-a, 0, a, 1e3 * f.thickness - depth), modulus(f.board)),
              (box(-a, 1e3 * f.thickness - depth, a, 1e3 * f.thickness), modulus(f.board) * keep)]
    return CompoundGeometry([Geometry(q, Material(str(k), 1e-6 * E, 0.3, 1.0, 1.0, "grey"))
                             for k, (q, E) in enumerate(parts)])


def package_section(neck, x, twist, size):
    """(answer, solve time, whole time) of the package: EI in N m2, or GJ."""
    begin = time.perf_counter()
    geometry = drawn(neck, x, twist)
    geometry.create_mesh(size)
    meshed = time.perf_counter()
    found = Section(geometry)
    found.calculate_geometric_properties()
    if twist:
        found.calculate_warping_properties()
    end = time.perf_counter()
    return 1e-6 * (found.get_ej() if twist else found.get_eic()[0]), end - meshed, end - begin


def isotropic(neck):
    """The same neck with one shear modulus along the neck for every board, which is all that the package
    can take."""

    def even(board):
        C = shear_stiffness(board)[0]
        G = (C[0] + C[1]) / 2
        wood = replace(board.species.elastic, G_LR=G, G_LT=G)
        return SimpleNamespace(ratios=wood, scale=1.0, constants=None, Q=board.Q, E_x=board.E_x,
                               G_xz=board.G_xz, rho=board.rho, draws=None)

    return neck.with_pieces([even(b) for b in neck.pieces])


def report():
    maple, dark, rosewood = (Board(species(key)) for key in ("hard_maple", "wenge", "indian_rosewood"))
    neck = Neck(striped(maple, dark, maple, 5), Outline(), Back("C"), Fretboard(rosewood), Channel(),
                (Bar(-0.010, depth=0.006), Bar(0.010, depth=0.006)))
    strings, many = string_set(), spread(neck, DRAWS, seed=1)
    print(
        f"{platform.processor() or platform.machine()}, Python {platform.python_version()}, NumPy"
        f" {np.__version__}; {DRAWS} draws, {STATIONS} stations, {len(neck.pieces)} boards, channel, 2 bars"
    )

    def moved():
        """As after a slider: new boards, nothing remembered but the geometry."""
        return many.with_pieces([b.at(0.08) for b in many.pieces])

    def anew(same):
        """The same neck with nothing of its section remembered (a neck keeps its own section)."""
        return same.with_pieces(same.pieces)

    def whole(necks):
        return evaluate(necks, strings, 0.08, 0.06)

    print("\nthe library, 1,000 necks at once")
    times = {"spread": best(lambda: spread(neck, DRAWS, seed=1), 7),
             "section": best(lambda: section(moved()), 15), "torsion": best(lambda: torsion(moved()), 15),
             "whole evaluation": best(lambda: whole(moved()), 25)}
    for name, seconds in times.items():
        print(f"  {name:18s} {1e3 * seconds:8.2f} ms")

    def fresh():
        _solved.cache_clear()
        torsion(neck)

    print(f"  torsion of a new outline (before any is remembered): {1e3 * best(fresh, 9):.1f} ms")
    singles = [one_of(many, d) for d in range(50)]
    at_once, single = whole(many), [whole(n) for n in singles]
    print(
        "  one at a time agrees with all at once to"
        f" {max(abs(s.relief / r - 1) for s, r in zip(single, at_once.relief, strict=False)):.1e} in relief"
    )

    print("\n(a) one neck at a time")
    each = best(lambda: [whole(anew(n)) for n in singles], 2) / len(singles)
    print(f"  library, whole evaluation    {1e3 * each:8.2f} ms a neck, {each * DRAWS:7.2f} s for all   x"
          f" {each * DRAWS / times['whole evaluation']:.0f}")
    moduli = [[float(b.E_x) for b in n.pieces] for n in singles[:3]]
    begin = time.perf_counter()
    loops = [plain_loop(n, m) for n, m in zip(singles, moduli, strict=False)]
    loop = (time.perf_counter() - begin) / len(loops)
    gap = max(np.abs(np.array(rows)[:, 2] / section(n).EI - 1).max()
              for n, rows in zip(singles, loops, strict=False))
    print(f"  plain loops, section only    {1e3 * loop:8.2f} ms a neck, {loop * DRAWS:7.2f} s for all   x"
          f" {loop * DRAWS / times['section']:.0f}   (EI differs {100 * gap:.2f} %)")

    print("\n(b) finite element section package, per section, and for all stations and draws")
    even, places = isotropic(neck), (0.1, 0.25, 0.4)
    for name, twist, size, ours, seconds in (
        ("bending", False, 5.0, section(neck, places).EI, times["section"]),
        ("torsion", True, 5.0, torsion(even, places).GJ, times["torsion"]),
    ):
        found = [package_section(even if twist else neck, x, twist, size) for x in places for _ in range(3)]
        answers = np.array([f[0] for f in found]).reshape(3, -1)[:, 0]
        solve, complete = min(f[1] for f in found), min(f[2] for f in found)
        gap = 100 * np.abs(ours / answers - 1).max()
        print(f"  {name:8s} solve {1e3 * solve:6.1f} ms (with outline and mesh {1e3 * complete:6.1f} ms);"
              f" {solve * STATIONS * DRAWS:7.0f} s for all   x {solve * STATIONS * DRAWS / seconds:,.0f};"
              f" differs by at most {gap:.2f} %")
        one = best(lambda: torsion(anew(even), [0.2]) if twist else section(anew(neck), [0.2]), 15)
        print(f"           one section, one neck: {1e3 * one:.2f} ms here   x {solve / one:.0f}")
    print(f"  ({ACROSS_NOTE})")


if __name__ == "__main__":
    report()
