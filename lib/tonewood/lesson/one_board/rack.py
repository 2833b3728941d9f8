"""The unlabelled billet on the rack of the invented shop: one drawn board of a wood not told."""

from __future__ import annotations

from dataclasses import dataclass
from html import escape

import numpy as np

from tonewood.bench import measure
from tonewood.bench.knowledge import Fit, which_woods
from tonewood.lesson.shared.shop import shop_moisture
from tonewood.lesson.shared.standing import NONE_ON_FILE
from tonewood.panel.page import Shown, table
from tonewood.remember import remember
from tonewood.wood.board import Board
from tonewood.wood.facts import rule
from tonewood.wood.species import species
from tonewood.wood.spread import draw_boards

HIDDEN = "ovangkol"
SIZES = {"length": 0.600, "width": 0.062, "thickness": 0.025}


@dataclass(frozen=True, kw_only=True)
class Billet:
    """What scale and tuner say of a quarter-sawn billet tapped flat on soft supports in the shop's air: sizes
    (m) as the bench formulas take them, mass (kg), tone (Hz); density (kg/m³), modulus by the tap and as a
    slow bend would give it (Pa)."""

    sizes: dict[str, float]
    mass: float
    tone: float
    density: float
    tapped: float
    modulus: float

    def table(self) -> Shown:
        """What is on the slip of paper, one row."""
        return table(("", "size (mm)", "weight (g)", "tap tone (Hz)", "ring angle (°)", "room humidity (%)"),
                     [("billet", " × ".join(f"{1e3 * v:.0f}" for v in self.sizes.values()),
                       f"{1e3 * self.mass:.0f}", f"{self.tone:.0f}", "90", "45")])


def drawn_board() -> Board:
    """The board the billet is."""
    return draw_boards([Board(species(HIDDEN), np.pi / 2, moisture=shop_moisture())], 1, 12)[0]


@remember(1)
def billet() -> Billet:
    """The billet, weighed and tapped."""
    board, sizes, excess = drawn_board(), dict(SIZES), rule("tap_over_bend").value
    E, G, rho = excess * float(board.E_x[0]), float(board.G_xz[0]), float(board.rho[0])
    mass = round(1e3 * rho * np.prod(list(sizes.values()))) / 1e3
    per_hertz = (measure.slender_tap_modulus(mass, 1.0, **sizes)
                 * measure.wood_factor(sizes["thickness"] / sizes["length"], E / G))
    tone = float(round(np.sqrt(E / per_hertz)))
    tapped = measure.tap_modulus(mass, tone, **sizes)
    return Billet(sizes=sizes, mass=mass, tone=tone, density=measure.density(mass, **sizes), tapped=tapped,
                  modulus=tapped / excess)


def billet_fits(tapped: bool = True) -> tuple[Fit, ...]:
    """Fits of every wood to the billet, best first, by weight and tone, or by weight alone."""
    b, error = billet(), float(np.hypot(0.03, rule("tap_over_bend").sd))
    return which_woods(b.modulus if tapped else None, b.density, shop_moisture(), errors=(error, 0.01))


def the_label() -> Shown:
    """What the billet was and which woods fit it, best first, folded: to be opened after the question."""
    fits, name = [fit for fit in billet_fits() if fit.fits], species(HIDDEN).name
    rows = [(fit.species.name, f"{100 * fit.share:.0f}", f"{fit.species.swelling[1]:.2f}",
             ", ".join(dict.fromkeys(c.kind for c in fit.species.cautions)) or NONE_ON_FILE)
            for fit in fits]
    every = table(("wood", "of 100 boards, further off", "width per 1 % moisture, quarter-sawn (%)",
                   "cautions"), rows)
    words = (f"The billet was drawn as {name}. By weight alone "
             f"{sum(fit.fits for fit in billet_fits(tapped=False))} woods of the tables fit, by weight and "
             f"tone {len(fits)}; the right one stands at place {[row[0] for row in rows].index(name) + 1} of "
             "them.")
    return Shown("<details><summary>The label, and every wood that fits: open it after your "
                 f"answer</summary><p>{escape(words)}</p>{every.html}</details>", f"[folded: {words}]")
