"""What the glue lines of a lay-up cost: thin layers of something softer than wood, in the wood's place.

Two separate effects. A glue line sheared by the strings' load or by twisting takes up energy that stiff wood
would not: its share of the neck's elastic energy is the share of flexibility it adds. And it fills a width
where wood could be: softer along the neck, it takes away stiffness by its own share of the width. Glue that
has soaked into the wood beside the line is not counted.

Source: composite beam with shear flow from the change of force along the neck; shear energy q^2 t / (2 G h)
of a layer of thickness t and height h. All of it linear and for a cured, sound joint; glue that creeps (PVA
under lasting load) is softer than its quick modulus.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from tonewood import checks
from tonewood.materials import material
from tonewood.neck.layup.neck import Neck
from tonewood.neck.load.setup import Setup, fretboard_glue_shear, string_moment
from tonewood.neck.section.stations import at_stations
from tonewood.strings.wire import StringSet

if TYPE_CHECKING:
    import pandas

GLUES = ("pva_glue", "hide_glue", "epoxy")


@dataclass(frozen=True)
class GlueLines:
    """Shares (fractions) of one neck. lines: how many stand between stripes at the last fret; stress: largest
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

    def table(self) -> pandas.DataFrame:
        """DataFrame with units, one row."""
        import pandas

        return pandas.DataFrame({"lines between stripes (count)": [self.lines],
                                 "largest shear (kPa)": [1e-3 * self.stress],
                                 "energy in bending (%)": [100 * self.bending_share],
                                 "added twist, at most (%)": [100 * self.twisting_share],
                                 "bending stiffness lost (%)": [100 * self.width_loss]}, index=["value"])


def glue_lines(neck: Neck, strings: StringSet, glue: str = "pva_glue", thickness: float = 0.0001,
               setup: Setup = Setup(), count: int = 40) -> GlueLines:
    """Glue lines of a neck (single values, no draws) under `strings`. Raises ValueError.

    glue: one of GLUES, rows of data/materials.csv; thickness: of every line (m), 0.05 to 0.15 mm is common
    practice, no source.

    >>> from tonewood.neck.layup.neck import example_neck
    >>> from tonewood.strings.sets import string_set
    >>> found = glue_lines(example_neck(), string_set("six"))
    >>> found.lines, round(found.stress)
    (0, 4984)
    """
    if neck.draws is not None:
        raise ValueError(f"neck: one with {neck.draws} draws given; accepted: a neck of single values")
    found = material(checks.choice("glue", glue, GLUES))
    t = checks.length("glue line thickness", thickness, 0.0, 0.002, open_low=False)
    E_glue, G_glue = found["modulus"].value, found["shear_modulus"].value
    here = at_stations(neck, neck.stations(count))
    x, s, parts, E = here.x, here.section, here.regions, here.moduli_here
    moment = string_moment(strings.tension, setup.heights(neck, x, len(strings)), s.z_bar)
    pull = float(np.sum(strings.tension))
    a, depth = neck.outline.width(x) / 2, neck.back.depth(x)
    boards, count = neck.pieces, len(neck.layup.stripes)

    top = fretboard_glue_shear(here, strings, setup)
    # each line between layers of a fretboard counts like the lowest, which holds most
    energy = len(neck.fretboard.layers) * float(np.trapezoid(top.stress**2 * top.width, x)) * t / (2 * G_glue)
    largest, sheared, replaced, lines = float(np.abs(top.stress).max()), 0.0, 0.0, 0
    for j, y in enumerate(neck.layup.edges_at(x, -depth / 2).T[1:-1]):
        height = np.where(np.abs(y) < a * (1 - 1e-6), -neck.back.surface(y, a, depth), 0.0)
        # Share of each region on the treble side of the line: what the force in them all gains along the neck
        # has crossed the line (the fretboard above it helps, so at most this).
        beyond = {p: np.clip((a - y) / (2 * a), 0, 1) for p in parts.piece if p >= count}
        for p in set(parts.piece) - set(beyond):
            beyond[p] = np.full(x.size, p > j if p >= 0 else neck.bars[-1 - p].offset > y, dtype=float)
        share = np.stack([beyond[p] for p in parts.piece])
        EA, ES = (np.sum(E * moments * share, 0) for moments in (parts.area, parts.Sz))
        force = -pull * EA / s.EA - moment / s.EI * (ES - s.z_bar * EA)
        stress = np.divide(np.gradient(force, x), height, out=np.zeros_like(x), where=height > 0)
        energy += float(np.trapezoid(stress**2 * height, x)) * t / (2 * G_glue)
        largest = max(largest, float(np.abs(stress).max()))
        G_wood, E_wood = (float(np.mean([getattr(b, name) for b in boards[j:j + 2]]))
                          for name in ("G_xy", "E_x"))
        sheared += float(np.trapezoid(height * t / s.area, x)) * max(G_wood / G_glue - 1, 0.0)
        second = (height > 0) * ((height + s.z_bar) ** 3 - s.z_bar**3) / 3
        replaced += float(np.trapezoid(t * second * (E_wood - E_glue) / s.EI, x))
        lines += bool(height[-1] > 0)
    whole = np.trapezoid(moment**2 / (2 * s.EI) + pull**2 / (2 * s.EA), x)
    return GlueLines(lines, largest, float(energy / whole), float(sheared / x[-1]), float(replaced / x[-1]))
