"""The opening notebook: one slider, how to read a band, and what the marks mean."""

from types import SimpleNamespace

import numpy as np

from tonewood.panel import style
from tonewood.panel.controls import slider, switch
from tonewood.panel.live_figure import LiveFigure
from tonewood.panel.gauges import band
from tonewood.panel.page import Shown
from tonewood.panel.questions import ask, predict
from tonewood.wood.board import Board
from tonewood.wood.facts import STATUSES
from tonewood.wood.species import all_species, species
from tonewood.wood.spread import draw_boards

WOOD, MOST, SEED = "hard maple", 200, 3


def _boards(count, measured=False):
    """Moduli (GPa) of `count` boards; measured: one board bent at 13 GPa, as the measurement leaves it uncertain."""
    board = Board(species(WOOD), modulus=13e9) if measured else Board(species(WOOD))
    return 1e-9 * draw_boards([board], MOST, SEED)[0].E_L[:int(count)]


def _band(measured=False):
    return band(1e-9 * draw_boards([Board(species(WOOD), modulus=13e9) if measured else Board(species(WOOD))], 4000, SEED)[0].E_L)


def first_slider():
    """Dots for boards and the 90 % bar; a number of boards and a switch. Returns a LiveFigure."""
    def setup(fig):
        ax = fig.subplots()
        fig.subplots_adjust(left=0.03, right=0.98, bottom=0.27, top=0.86)
        ax.set(xlim=(7, 21), ylim=(0, 1), yticks=[], xlabel="stiffness along the grain (GPa)")
        ax.set_title("Boards of hard maple: each dot is one board, the bar holds 90 of 100")
        ax.spines["left"].set_visible(False)
        bar, = ax.plot([], [], color=style.BLUE, alpha=0.35, lw=22, solid_capstyle="butt")
        middle, = ax.plot([], [], color=style.BLUE, lw=3)
        dots, = ax.plot([], [], "o", color=style.BLACK, ms=4, alpha=0.6)
        return SimpleNamespace(bar=bar, middle=middle, dots=dots)

    height = 0.15 + 0.3 * np.random.default_rng(1).random(MOST)

    def change(art, boards, measured):
        E, (low, mid, high) = _boards(boards, measured), _band(measured)
        art.bar.set_data([low, high], [0.75, 0.75])
        art.middle.set_data([mid, mid], [0.62, 0.88])
        art.dots.set_data(E, height[:len(E)])
        inside = int(np.sum((E >= low) & (E <= high)))
        what = "one board, measured by bending, as often as you might measure it again" if measured else f"{len(E)} board{'' if len(E) == 1 else 's'} of hard maple"
        return f"{what}: middle {mid:.1f} GPa, 90 of 100 from {low:.1f} to {high:.1f} GPa; {inside} of these {len(E)} dots lie inside the bar."

    return LiveFigure(setup, change, {"boards": slider("Boards", 20, 1, MOST, 1, "", "how many you look at"),
                                      "measured": switch("I have measured my board", False, "a bending test is good to about 3 %")},
                      inches=(10.0, 2.6), alt="Dots for boards along a stiffness scale, and a bar that holds 90 of 100")


def guess_band():
    """Prediction: how different two boards of one wood can be."""
    def outcome(_):
        low, _, high = _band()
        return f"Computed from the published scatter: 90 of 100 boards of hard maple lie between {low:.1f} and {high:.1f} GPa, a ratio of {high / low:.2f}."
    return predict("Take 100 boards of hard maple and set the 5 softest and 5 stiffest aside. The stiffest left is stiffer than the softest left by about …",
                   ["5 %", "20 %", "60 %", "200 %"], outcome)


def count_standing():
    """How many of the numbers in the tables are published, estimated or remembered. Returns something to show."""
    counts = dict.fromkeys(STATUSES, 0)
    for wood in all_species():
        for fact in wood.facts.values():
            counts[fact.status] += 1
    text = f"{len(all_species())} woods, {sum(counts.values())} numbers in use: " + ", ".join(f"{n} {status}" for status, n in counts.items() if n) + "."
    return Shown(f"<p>{text}</p>", text)


def read_a_band():
    """Question: what a 90 % band says."""
    low, _, high = _band()
    stiff = high + 0.2
    labels = {"it is impossible": "Five of 100 boards lie above the band.", "it happens, about once in 20 boards or less": "Five of 100 lie above the band, five below.",
              "the band is wrong": "One board outside a 90 % band is expected sooner or later."}

    def right():
        share = np.mean(1e-9 * draw_boards([Board(species(WOOD))], 4000, SEED + 1)[0].E_L > stiff)
        return list(labels)[0 if share == 0 else 1 if share < 0.06 else 2]
    return ask(f"The band runs from {low:.1f} to {high:.1f} GPa. Your board measures {stiff:.1f} GPa. What does that tell you?", labels, right,
               "How many of 100 boards fall outside a 90 % band?", "A band of 90 % leaves 5 boards of 100 above and 5 below.")


def which_number():
    """Question: which number of a wood is the least sure."""
    wood = species("black walnut")
    labels = {"its density": "Published, and you can weigh the board.", "its movement on the quarter": "Published in a handbook table.",
              "its loss factor": "No source was read for it: a remembered relation with a wide band."}

    def right():
        rank = {"published": 0, "estimated": 1, "common practice": 2, "from memory": 3}
        return max(zip(labels, ("density", "movement_radial", "loss_factor")), key=lambda pair: rank[wood.status(pair[1])])[0]
    return ask("Black walnut: which of its numbers should you trust least?", labels, right, "Look at the marks in the table above.",
               "The mark (m) means from memory, unverified.")
