"""How wet is this board? Three ways at the bench, what each leaves in doubt of a stiffness measured on it,
and how much may hang on it while it is bent."""

from __future__ import annotations

from tonewood.bench.moisture_readings import (
    by_meter,
    by_room,
    density_at_12,
    modulus_at_12,
    oven_dry,
)
from tonewood.bench.safe_load import safe_load
from tonewood.draws import written
from tonewood.lesson.shared.shop import wood_list
from tonewood.panel.controls import pick, slider
from tonewood.panel.page import Shown, table
from tonewood.panel.reckoning import Reckoning, reckon
from tonewood.wood.facts import rule
from tonewood.wood.moisture import green_gravity, most_moisture
from tonewood.wood.species import species

OVEN = ("The oven: an offcut at 103 °C until two weighings an hour apart agree. Only bare, clean wood, no "
        "glue, no finish, no resin; air the room, stay near, and take it out with gloves.")
METER = ("The meter: set to Douglas-fir, pins along the grain and a third of the thickness deep, away from "
         "the ends; no reading below 6 % or above 25 % counts.")
BEND = ("Wear eye protection, keep hands and face out from under the load, and lay a cushion below it: a "
        "board with a knot, a crack or grain that runs out may bear half of this.")


def moisture_by_hand(wood: str, moist: float, dry: float, scale: float, meter: float, warmth: float,
                     humidity: float, room: float, days: float, thickness: float, modulus: float,
                     density: float) -> Shown:
    """Moisture three ways and what it makes of a stiffness (GPa) and density (kg/m³) measured on the board,
    as a table. Masses in g, meter and humidity in %, temperatures in C, thickness in mm. Raises
    ValueError."""
    of, rows = species(wood), []
    for read in (oven_dry(moist / 1000, dry / 1000, scale / 1000), by_meter(meter / 100, of, warmth),
                 by_room(humidity / 100, room, of, thickness / 1000, days)):
        E, rho = modulus_at_12(1e9 * modulus, read, of), density_at_12(density, read, of)
        low, high = (100 * m for m in read.band)
        rows.append((read.how, f"{100 * read.value:.1f} ({low:.1f}\u00a0to\u00a0{high:.1f})",
                     f"{E.value / 1e9:.2f}", f"{100 * E.from_moisture:.1f}", f"{100 * E.error:.1f}",
                     f"{rho.value:.0f}", read.status))
    head = ("how", "moisture % (90 of 100)", "stiffness at 12 %, GPa", "error from the moisture, %",
            "error in all, %", "density at 12 %, kg/m³", "standing of the weakest step")
    most = most_moisture(green_gravity(rho.value, *of.swelling))
    return table(head, rows, f"Measured as it lies: {modulus:g} GPa and {density:g} kg/m³. Carried by Wood "
                 "Handbook, Eq. 5-3, and by the weight of the wood without its water. Fibre saturation of "
                 f"{of.name}: {100 * of.fibre_saturation:.0f} %; above it stiffness stays as it is, and at "
                 f"most about {100 * most:.0f} % fits in (Wood Handbook, Eq. 4-3). The readings are invented "
                 f"until you set your own. {OVEN} {METER}", wrap="16em")


def own_moisture() -> Reckoning:
    """Boxes for one's own readings: moisture three ways, from `moisture_by_hand`; the start values are
    invented."""
    return reckon(moisture_by_hand, wood=pick("Wood", wood_list("neck"), "hard_maple"),
                  moist=slider("Offcut before the oven", 54.2, 1, 500, 0.01, "g"),
                  dry=slider("Offcut dried", 50, 1, 500, 0.01, "g"),
                  scale=slider("The scale is good to", 0.05, 0.01, 5, 0.01, "g", "one standard error"),
                  meter=slider("Meter reads", 8.5, 6, 25, 0.1, "%", "where its lines hold"),
                  warmth=slider("Wood where the meter stood", 15, 0, 50, 0.5, "°C"),
                  humidity=slider("Room held at", 42, 5, 95, 1, "%"),
                  room=slider("Room temperature", 20, 5, 35, 0.5, "°C"),
                  days=slider("For how many days", 14, 1, 120, 0.5, "days"),
                  thickness=slider("Thickness", 25, 2, 60, 0.5, "mm"),
                  modulus=slider("Stiffness as measured", 12.6, 2, 40, 0.1, "GPa"),
                  density=slider("Density as measured", 695, 100, 1600, 5, "kg/m³"))


def safe_bend(wood: str, span: float, width: float, thickness: float, moisture: float, temperature: float
              ) -> Shown:
    """How much may hang on a straight, clear board that is bent to measure it, as a table: sizes in mm,
    moisture in %, temperature in C. Raises ValueError."""
    of, rows = species(wood), []
    for held, lasting in (("while it is read", False), ("for days or years", True)):
        found = safe_load(of, span / 1000, width / 1000, thickness / 1000, moisture / 100, temperature,
                          lasting)
        rows.append((held, f"{int(found.mass)}", f"{1e3 * found.sag:.1f}", f"{found.stress / 1e6:.0f}",
                     f"{found.weak / 1e6:.0f}", f"{found.mean / 1e6:.0f}"))
    head = ("hung in the middle", "at most, kg", "sag of a middle board, mm", "stress, MPa",
            "19 of 20 boards bear, MPa", "the middle board bears, MPa")
    share, lasts = rule("safe_stress_share").value, rule("ten_years_strength").value
    return table(head, rows, f"Strength of {of.name}: {found.status[0]}, source key "
                 f"{of.fact('bending_strength').source}; it scatters by {100 * found.cov:.0f} % between "
                 f"boards ({found.status[1]}). A bend for measuring takes {written(share, 2)} of what 19 of "
                 f"20 boards bear (judgement), a lasting one {written(lasts, 1)} of that again (read from a "
                 f"graph of the Wood Handbook). For straight grain without knots; kilograms are cut off, not "
                 f"rounded. {BEND}")


def own_safe_bend() -> Reckoning:
    """Boxes for one's own board: the most to hang on it, from `safe_bend`."""
    return reckon(safe_bend, wood=pick("Wood", wood_list("neck"), "hard_maple"),
                  span=slider("Span", 700, 100, 2000, 5, "mm"), width=slider("Width", 62, 5, 300, 0.5, "mm"),
                  thickness=slider("Thickness", 22, 1, 80, 0.5, "mm", "in the direction of the bend"),
                  moisture=slider("Moisture", 8.5, 0, 30, 0.5, "%"),
                  temperature=slider("Wood's temperature", 20, -10, 50, 1, "°C"))
