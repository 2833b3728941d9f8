"""Billets without a label on the rack of the invented shop: weight, size, end and a recording of taps, made
data in data/billets.csv; each is one drawn board of a wood that is not told."""

from __future__ import annotations

import base64
from dataclasses import dataclass
from html import escape
from pathlib import Path
from typing import Any

import numpy as np
from matplotlib.figure import Figure

from tonewood.bench import measure
from tonewood.bench.knowledge import Fit, which_woods
from tonewood.bench.made_taps import made_taps
from tonewood.bench.taps import Taps, tap_tones
from tonewood.lesson.shared.board_view import BoardView
from tonewood.lesson.shared.shop import ROOM
from tonewood.lesson.shared.standing import NONE_ON_FILE
from tonewood.lesson.shared.tap_reader import told
from tonewood.panel.page import Shown, table
from tonewood.panel.still import still
from tonewood.remember import remember
from tonewood.sound.recording_file import read_recording
from tonewood.tables import data_folder, read_table
from tonewood.wood.board import Board
from tonewood.wood.facts import rule
from tonewood.wood.moisture import equilibrium_moisture
from tonewood.wood.own import OwnWood
from tonewood.wood.species import Species, species
from tonewood.wood.spread import draw_boards

FIRST = "rack 9"
MADE = {"rack 9": ("bocote", 12, (0.560, 0.068, 0.024), 70.0, 45.0),
        "rack 14": ("wamara", 12, (0.620, 0.055, 0.022), 25.0, 55.0)}
"""How each was made: wood, seed of the draw, sizes (m), ring angle (degrees), humidity of its room (%)."""
WEIGHED = 0.01
"""Relative uncertainty of the density: rule density_error, scale and caliper."""


@dataclass(frozen=True, kw_only=True)
class Billet:
    """What scale, caliper and microphone say: sizes (m) as the bench formulas take them, mass (kg), ring
    angle (degrees), humidity (%), moisture (fraction), taps as read; density (kg/m³), modulus by the tap and
    as a slow bend would give it (Pa)."""

    name: str
    sizes: dict[str, float]
    mass: float
    ring_angle: float
    humidity: float
    moisture: float
    recording: Path
    taps: Taps
    density: float
    tapped: float
    modulus: float

    @property
    def tone(self) -> float:
        """Lowest tone, Hz."""
        return self.taps.frequency

    def wood(self) -> Species:
        """The billet as a wood of which nothing but these readings is known; the rest by the rules."""
        E_u, _ = errors()
        own = OwnWood(name=f"billet {self.name}", loss_class="tropical", one_board=True,
                      density=float(measure.density_at_12(self.density, self.moisture)),
                      E_L=float(measure.modulus_at_12(self.modulus, self.moisture,
                                                      rule("hardwood_green_ratio").value)),
                      modulus_error=E_u, density_error=WEIGHED, correlation=0.0, loss=self.taps.loss,
                      ring_angle=float(np.radians(self.ring_angle)))
        return own.wood()


def errors() -> tuple[float, float]:
    """Relative uncertainties of (modulus, density): sizes, tone, and the step from a tap to a slow bend."""
    excess = rule("tap_over_bend")
    read = float(measure.uncertainty("tap", thickness=0.003, width=0.002, mass=0.001, frequency=0.002))
    return float(np.hypot(read, (excess.sd or 0.0) / excess.value)), WEIGHED


@remember(4)
def billet(name: str = FIRST) -> Billet:
    """A billet of the rack, its recording read. Raises ValueError for one that is not there."""
    rows = {row["billet"]: row for row in read_table("billets.csv")}
    if name not in rows:
        raise ValueError(f"billet: {name!r} given; accepted: {', '.join(rows)}")
    row = rows[name]
    sizes = {side: 1e-3 * row[side] for side in ("length", "width", "thickness")}
    mass, path = 1e-3 * row["mass"], data_folder() / row["recording"]
    taps = tap_tones(read_recording(path))
    tapped = float(measure.tap_modulus(mass, taps.frequency, **sizes))
    return Billet(name=name, sizes=sizes, mass=mass, ring_angle=row["ring_angle"], humidity=row["humidity"],
                  moisture=float(equilibrium_moisture(ROOM, row["humidity"] / 100)), recording=path,
                  taps=taps, density=float(measure.density(mass, **sizes)), tapped=tapped,
                  modulus=tapped / rule("tap_over_bend").value)


def drawn_board(name: str = FIRST) -> Board:
    """The board that a billet is, single values."""
    wood, seed, _, ring, humidity = MADE[name]
    moisture = float(equilibrium_moisture(ROOM, humidity / 100))
    drawn = draw_boards([Board(species(wood), np.radians(ring), moisture=moisture)], 1, seed)[0]
    return Board(species(wood), np.radians(ring), moisture=moisture, modulus=float(drawn.E_L[0]),
                 density=float(drawn.rho[0]), loss=float(drawn.loss[0]))


def make(name: str) -> tuple[dict[str, Any], Any]:
    """(row of billets.csv, Recording) of a billet, as the files in data/ were made."""
    wood, seed, sizes, ring, humidity = MADE[name]
    board, (length, width, thickness) = drawn_board(name), sizes
    mass = round(1e3 * board.rho * np.prod(sizes)) / 1e3
    E = rule("tap_over_bend").value * board.E_x
    per_hertz = 1e-4 * measure.tap_modulus(mass, 100.0, length, width, thickness, ratio=E / board.G_xz)
    tone = float(np.sqrt(E / per_hertz))
    file = f"billet_{name.split()[1]}_taps.wav"
    taps = made_taps(tone, float(board.eta), taps=4, gap=0.8, rate=8000.0, noise=3e-3, seed=seed,
                     others=[(2.68 * tone, 1.4 * float(board.eta), 0.12)])
    row = {"billet": name, **dict(zip(("length", "width", "thickness"), (round(1e3 * v, 1) for v in sizes),
                                      strict=True)),
           "mass": round(1e3 * mass), "humidity": humidity, "ring_angle": ring, "recording": file,
           "drawn_as": species(wood).key, "note": f"made: one board drawn with seed {seed}, tapped by "
                                                  "arithmetic"}
    return row, taps


def on_the_slip(name: str = FIRST) -> Shown:
    """What is on the slip of paper, the end of the billet, and its taps to listen to."""
    b = billet(name)
    slip = table(("", "size (mm)", "weight (g)", "ring angle (°)", "room humidity (%)"),
                 [(f"billet {b.name}", " × ".join(f"{1e3 * v:.0f}" for v in b.sizes.values()),
                   f"{1e3 * b.mass:.0f}", f"{b.ring_angle:.0f}", f"{b.humidity:.0f}")],
                 "Made data: a board drawn by chance, weighed and tapped by arithmetic. No such billet "
                 "exists.")
    sound = base64.b64encode(b.recording.read_bytes()).decode()
    listen = ("<p>Its taps: <audio controls preload='none' aria-label='four taps on billet "
              f"{escape(b.name)}' src='data:audio/wav;base64,{sound}'></audio></p>")
    return Shown(f"{end_picture(b)}{slip.html}{listen}", slip.plain)


def end_picture(b: Billet) -> str:
    """The end of the billet with its rings, to scale, as mark-up."""
    _, width, thickness = (1e3 * v for v in b.sizes.values())

    def draw(fig: Figure) -> None:
        fig.set_layout_engine("none")
        ax = fig.add_axes((0.02, 0.02, 0.96, 0.96))
        ax.set(xlim=(-2, width + 2), ylim=(-2, thickness + 8))
        BoardView(ax, {"end": (0, 0, 0)}, width, thickness).show(Board(b.wood(), np.radians(b.ring_angle)))

    return still(draw, f"The end of billet {b.name}, {width:.0f} by {thickness:.0f} mm, its rings at "
                       f"{b.ring_angle:.0f} degrees to the wide face.", (3.4, 1.6))


def what_the_taps_say(name: str = FIRST) -> Shown:
    """The billet's recording, read: picture, numbers, reasons."""
    b = billet(name)
    return told(read_recording(b.recording), b.taps, f"Read from {b.recording.name}, made taps.")


@remember(8)
def billet_fits(tapped: bool = True, name: str = FIRST) -> tuple[Fit, ...]:
    """Fits of every wood to the billet, best first, by weight and tone, or by weight alone."""
    b = billet(name)
    return which_woods(b.modulus if tapped else None, b.density, b.moisture, errors=errors())


def the_label(name: str = FIRST) -> Shown:
    """What the billet was and which woods fit it, best first, folded: to be opened after the questions."""
    fits, hidden = [fit for fit in billet_fits(True, name) if fit.fits], species(MADE[name][0])
    rows = [(fit.species.name, f"{100 * fit.share:.0f}", f"{fit.species.swelling[1]:.2f}",
             ", ".join(dict.fromkeys(c.kind for c in fit.species.cautions)) or NONE_ON_FILE,
             listed(fit.species))
            for fit in fits]
    every = table(("wood", "of 100 boards, further off", "movement per 1 % moisture, radial (%)", "cautions",
                   "trade"), rows, wrap="16em")
    words = (f"Billet {name} was drawn as {hidden.name}. By weight alone "
             f"{sum(fit.fits for fit in billet_fits(False, name))} woods of the tables fit, by weight and "
             f"tone {len(fits)}; the right one stands at place "
             f"{[fit.species for fit in fits].index(hidden) + 1} of them. "
             f"{sum(bool(row[-1]) for row in rows)} of those that fit stand on a trade list as read.")
    return Shown("<details><summary>The label, and every wood that fits: open it after your "
                 f"answers</summary><p>{escape(words)}</p>{every.html}</details>", f"[folded: {words}]")


def listed(wood: Species) -> str:
    """What is on file of trade in this wood where a list restricts it, or ""."""
    return " ".join(c.statement for c in wood.cautions
                    if c.kind == "trade" and "CITES Appendix" in c.statement)
