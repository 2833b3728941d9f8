"""What the glue lines of a lay-up cost: thin layers of something softer than wood, in the wood's place.

Two separate effects. A glue line sheared by the strings' load or by twisting takes up energy that stiff wood
would not: its share of the neck's elastic energy is the share of flexibility it adds. And it fills a width
where wood could be: softer along the neck, it takes away stiffness by its own share of the width. Glue that
has soaked into the wood beside the line is not counted.

Source: composite beam with shear flow from the change of force along the neck; shear energy q^2 t / (2 G h)
of a layer of thickness t and height h. All of it linear and for a cured, sound joint; glue that creeps (PVA
under lasting load) is softer than its quick modulus.
"""

from dataclasses import dataclass

import numpy as np

from tonewood import checks
from tonewood.materials import material
from tonewood.neck.load.setup import Setup, fretboard_glue_shear, string_moment
from tonewood.neck.section.section import moduli, regions, section, slots

GLUES = ("pva_glue", "hide_glue", "epoxy")


@dataclass(frozen=True)
class GlueLines:
    """Shares (fractions) of one neck: lines: how many stand between stripes at the last fret; stress: largest
    shear in any of them under the strings (Pa).

    bending_share: of the energy of bending and compression under the strings that sits in all glue lines, the
    fretboard's too. twisting_share: an upper limit of what the lines between stripes add to the twist,
    against solid wood. width_loss: bending stiffness lost because glue stands where wood could be.
    """

    lines: int
    stress: float
    bending_share: float
    twisting_share: float
    width_loss: float

    def table(self):
        """DataFrame with units, one row."""
        import pandas as pd
        return pd.DataFrame({"lines between stripes (count)": [self.lines], "largest shear (kPa)": [1e-3 * self.stress], "energy in bending (%)": [100 * self.bending_share],
                             "added twist, at most (%)": [100 * self.twisting_share], "bending stiffness lost (%)": [100 * self.width_loss]}, index=[""
                                                                                                                                                     "value"])


def glue_lines(neck, strings, glue="pva_glue", thickness=0.0001, setup=Setup(), count=40):
    """Glue lines of a neck (single values, no draws) under `strings` (StringSet). Returns GlueLines.

    glue: one of GLUES, rows of data/materials.csv; thickness: of every line (m), 0.05 to 0.15 mm is common
    practice, no source. Raises ValueError.
    """
    if neck.draws is not None:
        raise ValueError(f"neck: one with {neck.draws} draws given; accepted: a neck of single values")
    found = material(checks.choice("glue", glue, GLUES))
    t = checks.length("glue line thickness", thickness, 0.0, 0.002, open_low=False)
    E_glue, G_glue = found["modulus"].value, found["shear_modulus"].value
    x = neck.stations(count)
    s, parts = section(neck, x), regions(neck, x)
    moment = string_moment(strings.tension, setup.heights(neck, x, len(strings)), s.z_bar)
    pull = float(np.sum(strings.tension))
    a, depth = neck.outline.width(x) / 2, neck.back.depth(x)
    E = moduli(neck, parts)[:, None] * np.ones(len(x))
    if parts.slotted is not None:
        E[parts.slotted] *= slots(neck, parts)

    energy, sheared, replaced, largest, lines = 0.0, 0.0, 0.0, 0.0, 0
    boards = [stripe.board for stripe in neck.layup.stripes]
    for j, y in enumerate(neck.layup.edges[1:-1]):
        there = np.abs(y) < a * (1 - 1e-6)
        if not there.any():
            continue
        height = np.where(there, -neck.back.surface(y, a, depth), 0.0)
        # Force in all that lies on the treble side of the line; what it gains along the neck has crossed the line (the fretboard above it helps, so at most this).
        share = np.array([np.clip((a - y) / (2 * a), 0, 1) if p == len(boards) else np.full(len(x), float(_side(neck, p, j))) for p in parts.piece])
        force = -pull * _sum(E, parts.area, share) / s.EA - moment / s.EI * (_sum(E, parts.Sz, share) - s.z_bar * _sum(E, parts.area, share))
        flow = np.gradient(force, x) * there
        stress = np.divide(flow, height, out=np.zeros_like(flow), where=height > 0)
        energy += np.trapezoid(stress**2 * height, x) * t / (2 * G_glue)
        largest = max(largest, float(np.abs(stress).max()))
        pair = boards[j], boards[j + 1]
        G_wood, E_wood = (np.mean([getattr(b, name) for b in pair]) for name in ("G_xy", "E_x"))
        sheared += np.trapezoid(height * t / s.area, x) * max(float(G_wood) / G_glue - 1, 0.0)
        replaced += np.trapezoid(t * ((height + s.z_bar) ** 3 - s.z_bar**3) / 3 * (float(E_wood) - E_glue) / s.EI, x)
        lines += bool(there[-1])
    top = fretboard_glue_shear(neck, strings, setup, x)
    energy += np.trapezoid(top.stress**2 * top.width, x) * t / (2 * G_glue)
    largest = max(largest, float(np.abs(top.stress).max()))
    whole = np.trapezoid(moment**2 / (2 * s.EI) + pull**2 / (2 * s.EA), x)
    return GlueLines(lines, largest, float(energy / whole), float(sheared / x[-1]), float(replaced / x[-1]))


def _sum(E, moments, share):
    return (E * moments * share).sum(0)


def _side(neck, piece, joint):
    """True when a region lies on the treble side of a joint: stripes by their place, bars (-1, -2, …) by
    their offset."""
    return piece > joint if piece >= 0 else neck.bars[-1 - piece].offset > neck.layup.edges[joint + 1]
