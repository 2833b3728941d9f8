"""What to measure on the way from the boards to the strung neck, with the band the model expects: before
glue, on the glued blank, before and after the strings.

Values in SI inside, each a float or (D,) draws as the neck carries them; a Checkpoint holds them in the unit
a builder reads. Sources: beam theory (Timoshenko, shear included) for the blank's sag, neck.load for the gap.
Left out: the glue's own stiffness (below 1 % of the blank's), supports that give, a blank that is not
straight.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from tonewood import checks
from tonewood.brief.cut_list import CutList
from tonewood.draws import Array, Draws, band
from tonewood.materials import material
from tonewood.neck.layup.neck import Neck
from tonewood.neck.load.relief import relief
from tonewood.neck.load.rod import Rod, set_rod
from tonewood.wood.facts import rule

GRAVITY = 9.80665
"""m/s2, standard by definition."""
READ = 8
"""The fret at which the gap is read."""


@dataclass(frozen=True, kw_only=True)
class Checkpoint:
    """One thing to measure: key, under which the finding is kept; step of the work; what to do, with {} for
    each of `sizes`, (value, unit) a reader may want in other units; unit and
    decimals to write; value expected, a float or (D,), in that unit; aim: True where it is what to make,
    False where it is what the model expects of the boards."""

    key: str
    step: str
    what: str
    unit: str
    decimals: int
    value: Draws = field(repr=False)
    aim: bool = False
    sizes: tuple[tuple[float, str], ...] = ()

    @property
    def band(self) -> Array:
        """5, 50 and 95 % points (3,) in its unit."""
        return band(self.value)


def _stripes(neck: Neck, cut: CutList) -> list[tuple[Draws, Draws, Draws, float]]:
    """(modulus along, shear modulus, density, planed width) of every stripe."""
    if len(neck.layup.stripes) != len(cut.stripes):
        raise ValueError(f"stripes of the neck: {len(neck.layup.stripes)} given; accepted: "
                         f"{len(cut.stripes)}, those of the cut list")
    boards = [stripe.board for stripe in neck.layup.stripes]
    return [(b.E_x, b.G_xz, b.rho, p.planed.width) for b, p in zip(boards, cut.stripes, strict=True)]


def blank_weight(cut: CutList, neck: Neck) -> Draws:
    """Weight (kg) of the glued and trued blank, glue (PVA) included: float or (D,). Raises ValueError.

    >>> from tonewood.brief.cut_list import cut_list
    >>> from tonewood.neck.design import example_design
    >>> round(float(blank_weight(cut_list(example_design()), example_design().neck())), 2)
    1.63
    """
    area = cut.blank.length * cut.blank.depth
    glue = material("pva_glue")["density"].value * cut.glue_volume
    return sum(rho * width for _, _, rho, width in _stripes(neck, cut)) * area + glue


def blank_sag(cut: CutList, neck: Neck, weight: float = 10.0, span: float = 0.8) -> Draws:
    """How far (m) the glued and trued blank, lying on its back over two supports `span` (m) apart, goes down
    in the middle when `weight` (kg) is hung there: F s^3/48 EI and F s/4 kGA for shear. Float or (D,). Raises
    ValueError, too where the span is below six depths or longer than the blank.

    >>> from tonewood.brief.cut_list import cut_list
    >>> from tonewood.neck.design import example_design
    >>> round(1e3 * float(blank_sag(cut_list(example_design()), example_design().neck())), 3)
    0.219
    """
    depth = cut.blank.depth
    load = GRAVITY * checks.number("weight hung in the middle", weight, 0.0, 100.0, "kg", open_low=True)
    checks.length("span between the supports", span, 6 * depth, cut.blank.length, open_low=False)
    parts = _stripes(neck, cut)
    EI = sum(E * width for E, _, _, width in parts) * depth**3 / 12
    GA = sum(G * width for _, G, _, width in parts) * depth
    return load * span**3 / (48 * EI) + load * span / (4 * rule("shear_factor_rectangle").value * GA)


def checkpoints(cut: CutList, neck: Neck, rod: Rod | None = None, target: float = 0.0002,
                weight: float = 10.0, span: float = 0.8) -> tuple[Checkpoint, ...]:
    """Every Checkpoint in the order of the work. neck: of the design, with draws for bands; rod: for the last
    two lines; target: gap (m) the rod is set to; weight (kg), span (m): for the sag, the span brought down to
    what the blank is long enough for, in steps of 50 mm. Raises ValueError.

    >>> from tonewood.brief.cut_list import cut_list
    >>> from tonewood.neck.design import example_design
    >>> [c.key for c in checkpoints(cut_list(example_design()), example_design().neck())]
    ['moisture', 'blank_weight', 'blank_sag', 'gap_before', 'gap_after']
    """
    design = cut.design
    span = min(span, 0.05 * int((cut.blank.length - 0.02) / 0.05))
    slack = relief(neck, design.string_set(), design.setup(), design.body_joint())
    gap = slack.at(READ)
    found = [
        Checkpoint(key="moisture", step="before glue", what="Moisture of every board", unit="%", decimals=1,
                   value=100 * design.shop_moisture, aim=True),
        Checkpoint(key="blank_weight", step="glued blank, trued", what="Weigh the blank", unit="g",
                   decimals=0, value=1e3 * blank_weight(cut, neck)),
        Checkpoint(key="blank_sag", step="glued blank, trued", unit="mm", decimals=3,
                   what="Sag at mid-span under {} more, on supports {} apart, blank on its back",
                   sizes=((weight, "kg"), (1e3 * span, "mm")),
                   value=1e3 * blank_sag(cut, neck, weight, span)),
        Checkpoint(key="gap_before", step="fretted, no strings", unit="mm", decimals=2, value=0.0, aim=True,
                   what=f"Gap under the straightedge at fret {READ}, rod slack"),
        Checkpoint(key="gap_after", step="strung to pitch", unit="mm", decimals=2, value=1e3 * gap,
                   what=f"Gap at fret {READ}, rod still slack, less the gap before")]
    if rod is not None:
        setting = set_rod(slack, rod, target, READ)
        found += [
            Checkpoint(key="gap_set", step="rod set", unit="mm", decimals=2, value=1e3 * target, aim=True,
                       what=f"Gap at fret {READ} when the rod is set"),
            Checkpoint(key="rod_turns", step="rod set", unit="turns", decimals=2,
                       value=np.asarray(setting.turns), what="Turns of the nut from finger tight, at least")]
    return tuple(found)
