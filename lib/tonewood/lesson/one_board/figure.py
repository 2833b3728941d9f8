"""One board: what the tables tell about it, and how weighing and bending narrow that. Controls -> Board -> picture and sentence."""

from functools import lru_cache
from types import SimpleNamespace

import numpy as np
from matplotlib.collections import PolyCollection
from matplotlib.lines import Line2D
from matplotlib.patches import Patch

from tonewood.bench.knowledge import after, from_tables, learn
from tonewood.panel import style
from tonewood.lesson.shared.board_view import BoardView
from tonewood.panel.controls import pick, slider, switch
from tonewood.panel.live_figure import LiveFigure
from tonewood.panel.gauges import Gauges, Row
from tonewood.wood.board import Board
from tonewood.wood.facts import rule
from tonewood.wood.moisture import equilibrium_band, equilibrium_moisture, modulus_at
from tonewood.wood.species import all_species, species

DRAWS, SEED, ROOM = 1000, 5, 20.0
"""Draws of a band; seed; room temperature, degrees C."""

ROWS = (Row("Stiffness along the board", "GPa", 4, 32, 1), Row("Density", "kg/m3", 300, 1300, 0), Row("Moisture", "%", 2, 20, 1),
        Row("Width per 1 % moisture", "mm in 100", 0, 0.6, 2), Row("Thickness per 1 % moisture", "mm in 100", 0, 0.6, 2),
        Row("Damping estimate, loss factor", "1/1000", 0, 25, 1))


def plain_board(wood, ring_angle, run_out, humidity, **_):
    """The Board of one setting of the sliders before anything is measured. wood: key; angles in degrees, humidity in %."""
    return Board(species(wood), np.radians(ring_angle), np.radians(run_out), moisture=equilibrium_moisture(ROOM, humidity / 100))


def readings(weighed, density, bent, modulus, **_):
    """What was measured, as `learn` takes it: {'modulus': Pa or None, 'density': kg/m3 or None}."""
    return {"modulus": 1e9 * modulus if bent else None, "density": density if weighed else None}


@lru_cache(maxsize=32)
def _learned(items, measured):
    values = dict(items)
    board = plain_board(**values)
    return board, learn(board, draws=DRAWS, seed=SEED, **dict(measured))


def learned(measure=True, **values):
    """(plain Board, Board with draws) of one setting; measure=False leaves the readings out."""
    items = tuple((name, values[name]) for name in ("wood", "ring_angle", "run_out", "humidity"))
    found = readings(**values) if measure else {"modulus": None, "density": None}
    return _learned(items, tuple(found.items()))


def rows_of(drawn, humidity):
    """Draws of the six gauges in their own units (low, middle, high for the moisture)."""
    low, high = equilibrium_band(ROOM, humidity / 100)
    swelling = drawn.swelling_xyz
    return [1e-9 * drawn.E_x, drawn.rho, 100 * np.array([low, equilibrium_moisture(ROOM, humidity / 100), high]),
            swelling[:, 1, 1], swelling[:, 2, 2], 1e3 * drawn.eta]


def printed(board):
    """(moduli along the board in GPa, densities in kg/m3) that the sources read for this wood give, carried to the board's moisture."""
    wood = board.species
    bending = [wood.fact("bending_modulus"), *wood.alternatives.get("bending_modulus", ())]
    E = np.array([f.value for f in bending if f.status == "published"]) * rule("longitudinal_modulus").value * 1e9
    density = np.array([f.value for f in (wood.fact("density"), *wood.alternatives.get("density", ())) if f.status == "published"])
    return 1e-9 * E * (board.E_x / wood.modulus), density * (board.rho / wood.density)


@lru_cache(maxsize=1)
def _woods():
    found = all_species()
    return [np.array([getattr(w, name) for w in found]) for name in ("modulus", "green_ratio", "mp", "density")]


def _setup(fig):
    grid = fig.add_gridspec(2, 2, width_ratios=(1, 1), height_ratios=(2.6, 1), left=0.055, right=0.985, top=0.955, bottom=0.06, wspace=0.11, hspace=0.42)
    ax = fig.add_subplot(grid[0, 0])
    ax.set(xlim=(300, 1400), ylim=(4, 34))
    ax.set_title("Stiffness along the board (GPa) against density (kg/m3)", fontsize=10, pad=4)
    ax.tick_params(labelsize=9)
    woods, = ax.plot([], [], ".", color=style.GREY, ms=5, alpha=0.7)
    before, = ax.plot([], [], **style.HELD)
    now = PolyCollection([np.zeros((3, 2))], facecolors=[(0.0, 0.447, 0.698, 0.30)], edgecolors=style.BLUE, linewidths=1.6)
    ax.add_collection(now, autolim=False)
    name = ax.text(0, 0, "", fontsize=9, fontweight="bold", ha="center", va="top")
    own, = ax.plot([], [], "+", color=style.BLACK, ms=13, mew=2)
    ax.legend(handles=[Line2D([], [], **style.HELD, label="tables alone, 90 of 100 boards"),
                       Patch(facecolor=style.BLUE, alpha=0.35, edgecolor=style.BLUE, label="with what you measured"),
                       Line2D([], [], ls="none", marker="+", ms=9, mew=2, color=style.BLACK, label="best guess, once measured"),
                       Line2D([], [], ls="none", marker=".", color=style.GREY, label="middle of each wood")],
              loc="upper left", bbox_to_anchor=(-0.02, -0.07), ncol=2, fontsize=9, handlelength=1.8, borderpad=0.2, labelspacing=0.3, columnspacing=1.2)
    below = fig.add_subplot(grid[1, 0])
    below.set(xlim=(-2, 202), ylim=(-14, 34))
    view = BoardView(below, {"end": (0, 0, 0), "side": (78, 0, 122)})
    gauges = Gauges(fig, grid[:, 1], ROWS)
    sources = [gauges.bands[i].axes.plot([], [], "o", color=style.BLACK, ms=4.5, mfc="white", mew=1.2)[0] for i in (0, 1)]
    below.text(0, -3, "○ on a gauge: what one printed source says; dashed: tables alone", fontsize=8.5, va="top")
    return SimpleNamespace(woods=woods, before=before, now=now, name=name, own=own, view=view, gauges=gauges, sources=sources)


def _change(art, **values):
    board, drawn = learned(**values)
    _, untouched = learned(measure=False, **values)
    E, ratio, mp, density = _woods()
    art.woods.set_data(density, 1e-9 * modulus_at(E, ratio, board.moisture, mp))
    known, read = from_tables(board), readings(**values)
    left = after(known, **read)
    for knowledge, place in ((known, art.before.set_data), (left, lambda x, y: art.now.set_verts([np.column_stack([x, y])]))):
        modulus, rho = knowledge.ellipse()
        place(rho, 1e-9 * modulus)
    modulus, rho = known.ellipse()
    art.name.set_text(board.species.name)
    art.name.set_position((min(rho[np.argmin(modulus)], 1250), 1e-9 * modulus.min() - 0.3))
    modulus, rho = left.middle
    art.own.set_data(*([[rho], [1e-9 * modulus]] if read["modulus"] or read["density"] else [[], []]))
    art.view.show(board)
    for line, found in zip(art.sources, printed(board)):
        line.set_data(found, np.full(len(found), 0.5))
    bands = art.gauges.show(rows_of(drawn, values["humidity"]), rows_of(untouched, values["humidity"]))
    return sentence(values, board, bands, known, left, read)


def sentence(values, board, bands, known, left, read):
    """The picture in words, with every number and its 90 % band."""
    stiff, density, water, width, thick, loss = bands
    done = [word for word, value in (("weighed", read["density"]), ("bent", read["modulus"])) if value]
    name = board.species.name
    rests_on = "measured, published; too wide a band to rank woods" if board.species.loss.status == "published" else "an estimate that cannot rank woods"
    text = (f"{name[0].upper() + name[1:]}, {'as the tables have it' if not done else ' and '.join(done)}, at {values['humidity']:.0f} % humidity "
            f"(moisture {water[1]:.1f} %, {water[0]:.1f} to {water[2]:.1f}): stiffness {stiff[1]:.1f} GPa ({'90 % sure' if done else '90 of 100 such boards'}: {stiff[0]:.1f} to {stiff[2]:.1f}), "
            f"density {density[1]:.0f} kg/m3 ({density[0]:.0f} to {density[2]:.0f}); per 1 % moisture 100 mm of width move {width[1]:.2f} mm "
            f"({width[0]:.2f} to {width[2]:.2f}), 100 mm of thickness {thick[1]:.2f} mm ({thick[0]:.2f} to {thick[2]:.2f}); loss factor {loss[1]:.1f} thousandths "
            f"({loss[0]:.1f} to {loss[2]:.1f}, {rests_on}).")
    if done:
        text += f" Of the tables' uncertainty {100 * left.spread[0] / known.spread[0]:.0f} % is left in stiffness and {100 * left.spread[1] / known.spread[1]:.0f} % in density."
        share = known.outside(**read)
        if share < 0.02:
            text += (f" {'Fewer than 1 in 1000' if share < 0.001 else f'Only about {1000 * share:.0f} in 1000'} boards of {board.species.name} lie that far off: "
                     "check the readings, or the name.")
    return text


def start():
    """The start values of the sliders."""
    return dict(wood=species("wenge").key, ring_angle=90.0, run_out=0.0, humidity=45.0, weighed=False, density=900.0, bent=False, modulus=18.0)


def controls():
    """The controls of the board, fresh: wood, grain, air, own measurements."""
    first = start()
    return {
        "wood": pick("Wood", sorted((w.name, w.key) for w in all_species()), first["wood"], "all woods of the tables"),
        "ring_angle": slider("Ring angle", first["ring_angle"], 0, 90, 5, "°", "0 flat-sawn, 90 quarter-sawn, between them rift"),
        "run_out": slider("Run-out", first["run_out"], 0, 10, 0.5, "°", "0 straight grain; 3.8° is 1 in 15"),
        "humidity": slider("Room humidity", first["humidity"], 20, 80, 1, "%", "where the board has lain for weeks, at 20 °C"),
        "weighed": switch("I have weighed it", first["weighed"], "scale and caliper: density good to about 1 %"),
        "density": slider("Density by weighing", first["density"], 250, 1250, 5, "kg/m3", "weight over length × width × thickness; counts when the switch is on"),
        "bent": switch("I have bent it", first["bent"], "two supports, a known weight, a dial gauge: good to about 3 %"),
        "modulus": slider("Stiffness by bending", first["modulus"], 4, 32, 0.1, "GPa", "along the board as it is, run-out included; counts when the switch is on"),
    }


def one_board(place="above"):
    """The board in your hand, ready to slide. Returns a LiveFigure; last line of a cell."""
    return LiveFigure(_setup, _change, controls(), inches=(10.0, 6.0), place=place,
                      alt="Stiffness against density with the region the tables allow and the one your readings leave, the board's end and side, and six gauges with 90 % bands")
