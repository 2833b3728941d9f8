"""The worked numbers of the one-board lesson: what the printed sources say, a bend by hand, where its error comes from, and the unlabelled billet."""

from dataclasses import dataclass
from functools import lru_cache
from html import escape

import numpy as np

from tonewood.bench import measure
from tonewood.bench.knowledge import which_woods
from tonewood.lesson.one_board.figure import ROOM
from tonewood.panel.page import Shown
from tonewood.wood.board import Board
from tonewood.wood.facts import rule
from tonewood.wood.moisture import equilibrium_moisture
from tonewood.wood.species import species
from tonewood.wood.spread import draw_boards

SHOP = 45.0
GRAVITY = 9.80665
TYPICAL = {"load": 0.002, "deflection": 0.01, "span": 0.0015, "width": 0.002, "thickness": 0.005}
"""Typical relative errors at a bench (common practice, no source): weighed jug, dial gauge to 0.01 mm, tape, caliper; the thickness of a planed board varies more
than a caliper reads."""


def printed_values(*names, properties=("density", "bending_modulus")):
    """DataFrame of what each source says about these woods: property, value, unit, status, source, place; main value first. Raises ValueError."""
    import pandas as pd

    rows = []
    for name in names:
        wood = species(name)
        for key in properties:
            for use, fact in [("used", wood.fact(key)), *(("also read", f) for f in wood.alternatives.get(key, ()))]:
                rows.append({"wood": wood.name, "property": key.replace("_", " "), "value": f"{fact.value:.4g} {fact.unit}", "role": use, "status": fact.status,
                             "source key": fact.source, "place": fact.place})
    return pd.DataFrame(rows).set_index(["wood", "property"])


@dataclass(frozen=True)
class Bend:
    """A bend worked step by step: readings and results in SI, error as a fraction, `table` the tables' modulus of the wood at 12 %."""

    load: float
    deflection: float
    span: float
    width: float
    thickness: float
    moisture: float
    apparent: float
    modulus: float
    error: float
    at_12: float
    table: float


def bend_by_hand(wood="hard maple", kilograms=10.0, deflection=0.00094, span=0.70, width=0.062, thickness=0.022, humidity=SHOP):
    """The blank for neck No. 12 (invented readings), hard maple, quarter-sawn, bent over two supports. Returns Bend."""
    maple, load, moisture = species(wood), kilograms * GRAVITY, equilibrium_moisture(ROOM, humidity / 100)
    board = Board(maple, np.pi / 2, moisture=moisture)
    sizes = (load, deflection, span, width, thickness)
    modulus = measure.bend_modulus(*sizes, ratio=board.E_x / board.G_xz)
    return Bend(*sizes, moisture, measure.bend_modulus(*sizes, ratio=0), modulus, float(measure.uncertainty("bend", **TYPICAL)),
                measure.modulus_at_12(modulus, moisture, maple.green_ratio, maple.mp), maple.modulus)


def where_the_error_comes_from():
    """DataFrame: each reading of a bend, its typical error at a bench, how strongly it counts, and the error it leaves in the modulus."""
    import pandas as pd

    powers = measure.POWERS["bend"]
    rows = [{"reading": name, "typical error (%)": f"{100 * error:.2f}", "counts": f"× {powers[name]}", "leaves in the stiffness (%)": f"{100 * powers[name] * error:.2f}"}
            for name, error in sorted(TYPICAL.items(), key=lambda item: -powers[item[0]] * item[1])]
    rows.append({"reading": "all together", "typical error (%)": "", "counts": "", "leaves in the stiffness (%)": f"{100 * measure.uncertainty('bend', **TYPICAL):.2f}"})
    return pd.DataFrame(rows).set_index("reading")


@dataclass(frozen=True)
class Billet:
    """The unlabelled billet: sizes (m), mass (kg), lowest tone (Hz) tapped flat on soft supports, ring angle (degrees), room humidity (%)."""

    length: float
    width: float
    thickness: float
    mass: float
    tone: float
    ring_angle: float
    humidity: float

    @property
    def sizes(self):
        """Keyword arguments of the bench formulas."""
        return {"length": self.length, "width": self.width, "thickness": self.thickness}

    @property
    def moisture(self):
        """Moisture it has settled at, fraction."""
        return equilibrium_moisture(ROOM, self.humidity / 100)

    @property
    def density(self):
        """Density as it lies there, kg/m3."""
        return measure.density(self.mass, **self.sizes)

    @property
    def tapped(self):
        """Modulus from the tap, Pa, wood unknown."""
        return measure.tap_modulus(self.mass, self.tone, **self.sizes)

    @property
    def modulus(self):
        """Modulus a slow bend would give, Pa: the tap's less the usual excess."""
        return self.tapped / rule("tap_over_bend").value

    def table(self):
        """What is on the slip of paper, one row."""
        import pandas as pd

        return pd.DataFrame({"size (mm)": [" × ".join(f"{1e3 * v:.0f}" for v in self.sizes.values())], "weight (g)": [f"{1e3 * self.mass:.0f}"],
                             "tap tone (Hz)": [f"{self.tone:.0f}"], "ring angle (°)": [f"{self.ring_angle:.0f}"], "room humidity (%)": [f"{self.humidity:.0f}"]},
                            index=["billet"])


HIDDEN = "ovangkol"


@lru_cache(maxsize=1)
def billet():
    """The billet on the rack of the invented shop: one drawn board of a wood not told, as scale and tuner would show it. Returns Billet."""
    length, width, thickness = 0.600, 0.062, 0.025
    drawn = draw_boards([Board(species(HIDDEN), np.pi / 2, moisture=equilibrium_moisture(ROOM, SHOP / 100))], 1, 12)[0]
    E, G, rho = float(drawn.E_x[0]) * rule("tap_over_bend").value, float(drawn.G_xz[0]), float(drawn.rho[0])
    mass = round(1e3 * rho * length * width * thickness) / 1e3
    per_hertz = measure.slender_tap_modulus(mass, 1.0, length, width, thickness) * measure.wood_factor(thickness / length, E / G)
    return Billet(length, width, thickness, mass, float(round(np.sqrt(E / per_hertz))), 90.0, SHOP)


def billet_fits(known=None):
    """Fits of every wood to the billet, best first; known: 'weight' alone, or both weight and tone (None). Returns tuple of Fit."""
    b, both = billet(), known != "weight"
    error = float(np.hypot(0.03, rule("tap_over_bend").sd))
    return which_woods(b.modulus if both else None, b.density, b.moisture, errors=(error, 0.01))


def woods_that_fit():
    """DataFrame of the woods whose boards the billet could be, best first: how many of 100 such boards lie further off, and what else to look at."""
    import pandas as pd

    rows = [{"wood": fit.species.name, "of 100 boards, further off": f"{100 * fit.share:.0f}", "width per 1 % moisture, quarter-sawn (%)": f"{fit.species.swelling[1]:.2f}",
             "cautions": ", ".join(dict.fromkeys(c.kind for c in fit.species.cautions)) or "as for all wood dust"} for fit in billet_fits() if fit.fits]
    return pd.DataFrame(rows).set_index("wood")


def the_label():
    """What the billet was and which woods fit it, folded: to be opened after the question. Returns something to show."""
    table = woods_that_fit()
    weight = sum(fit.fits for fit in billet_fits("weight"))
    words = (f"The billet was drawn as {species(HIDDEN).name}. By weight alone {weight} woods of the tables fit, by weight and tone {len(table)}; "
             f"the right one stands at place {list(table.index).index(species(HIDDEN).name) + 1} of them.")
    return Shown(f"<details><summary>The label, and every wood that fits: open it after your answer</summary><p>{escape(words)}</p>{table.to_html()}</details>",
                 f"[folded: {words}]")
