"""Which way the grain runs: one board, three angles, and what they do to stiffness along and across, movement and damping."""

from functools import lru_cache
from types import SimpleNamespace

import numpy as np

from tonewood.panel import style
from tonewood.lesson.shared.board_view import BoardView
from tonewood.panel.controls import pick, slider
from tonewood.panel.live_figure import LiveFigure
from tonewood.wood.board import Board
from tonewood.wood.elastic import hankinson, modulus_along, orientation
from tonewood.wood.facts import rule
from tonewood.wood.loss import Losses, losses, off_axis_loss
from tonewood.wood.moisture import equilibrium_moisture
from tonewood.wood.ratios import draw_ratios
from tonewood.wood.species import all_species, species
from tonewood.wood.spread import mean_keeping_factor

ROOM, SHOP = 20.0, 45.0
WIDTH, THICKNESS = 60.0, 25.0
DRAWS, SEED = 200, 7
RUN_OUTS, RINGS = np.arange(0, 15.01, 0.5), np.arange(0, 90.1, 2.5)
EXAGGERATED = 15


def along(elastic, ring_angle, run_out, slope):
    """Modulus along the board over that along its grain. Angles in degrees; angles broadcast, draws of `elastic` come first."""
    ring, dive, sweep = (np.radians(a) for a in (ring_angle, run_out, slope))
    return _ratio(elastic, orientation(ring, dive, sweep)[..., 0, :])


def across(elastic, ring_angle, run_out, slope):
    """(width, thickness): moduli across the board over that along the grain. Angles in degrees."""
    Q = orientation(*(np.radians(a) for a in (ring_angle, run_out, slope)))
    return _ratio(elastic, Q[..., 1, :]), _ratio(elastic, Q[..., 2, :])


def _ratio(elastic, direction):
    if np.ndim(elastic.E_L):        # draws down, angles along
        elastic = SimpleNamespace(**{k: np.asarray(v)[:, None] for k, v in vars(elastic).items()})
        direction = direction.reshape(-1, 3)
    return modulus_along(elastic, direction) / elastic.E_L


def shortcut(elastic, ring_angle, run_out, slope, exponent):
    """The Hankinson value of the same ratio: from the angle between grain and board and the modulus straight across the grain in that tilt."""
    direction = orientation(*(np.radians(a) for a in (ring_angle, run_out, slope)))[..., 0, :]
    angle = np.arccos(np.clip(direction[..., 0], -1, 1))
    sideways = direction[..., 1:]
    length = np.linalg.norm(sideways, axis=-1, keepdims=True)
    unit = np.where(length > 1e-9, sideways / np.maximum(length, 1e-9), [1.0, 0.0])
    E_across = modulus_along(elastic, np.concatenate([np.zeros_like(length), unit], -1))
    return hankinson(elastic.E_L, E_across, angle, exponent) / elastic.E_L


def loss_along(wood, ring_angle, run_out, slope):
    """(low, middle, high) of the loss factor along the board over that along its grain: the stated ratios and their range."""
    direction = orientation(*(np.radians(a) for a in (ring_angle, run_out, slope)))[..., 0, :]
    R, LR = (rule(f"loss_{wood.group}_{name}_ratio") for name in ("R", "LR"))
    each = (Losses(1.0, R.low, R.low, LR.low, LR.low, R.low), losses(0.5, wood.group), Losses(1.0, R.high, R.high, LR.high, LR.high, R.high))
    return tuple(off_axis_loss(wood.elastic, direction, None, each=one) / one.L for one in each)


def moves(wood, ring_angle, moisture_change, draws=None):
    """(width, thickness) change in mm of a 60 x 25 mm straight-grained blank; with draws, both (D, angles). ring_angle in degrees."""
    _, C_R, C_T = wood.swelling
    if draws:
        z = np.random.default_rng([SEED, 6]).standard_normal((2, draws, 1))
        C_R, C_T = (C * mean_keeping_factor(x, wood.cov_swelling) for C, x in zip((C_R, C_T), z))
    s2 = np.sin(np.radians(ring_angle)) ** 2
    return WIDTH * moisture_change * (C_R * s2 + C_T * (1 - s2)), THICKNESS * moisture_change * (C_T * s2 + C_R * (1 - s2))


def moisture_change(home):
    """Change of moisture (fraction) from the shop's 45 % humidity to `home` (%), both at 20 °C and fully settled."""
    return equilibrium_moisture(ROOM, home / 100) - equilibrium_moisture(ROOM, SHOP / 100)


@lru_cache(maxsize=64)
def _drawn(key):
    return draw_ratios(species(key).elastic, DRAWS, SEED)


def edges(draws):
    """5 % and 95 % of draws along the first axis."""
    k = len(draws)
    low, high = int(0.05 * (k - 1)), int(np.ceil(0.95 * (k - 1)))
    order = np.partition(draws, (low, high), axis=0)
    return order[low], order[high]


PANELS = (("Stiffness along the board", "% of straight grain", "run-out (°)", (0, 15), (20, 118)), ("Stiffness across the board", "% of along the grain", "ring angle (°)", (0, 90), (0, 30)),
          ("Change of a 60 × 25 mm blank", "mm", "ring angle (°)", (0, 90), (-1.2, 2.0)), ("Damping along the board", "% of straight grain", "run-out (°)", (0, 15), (90, 320)))


def _setup(fig):
    grid = fig.add_gridspec(2, 3, width_ratios=(1.02, 1, 1), left=0.01, right=0.985, top=0.93, bottom=0.08, wspace=0.26, hspace=0.42)
    pictures = fig.add_subplot(grid[:, 0])
    pictures.set(xlim=(-3, 123), ylim=(-6, 196))
    view = BoardView(pictures, {"end": (30, 148, 0), "side": (0, 86, 120), "face": (0, 0, 120)}, WIDTH, THICKNESS, after=True)
    pictures.text(60, 138, f"dashed: once settled, movement × {EXAGGERATED}", fontsize=8.5, ha="center", va="top")
    axes = [fig.add_subplot(grid[i, j]) for i, j in ((0, 1), (0, 2), (1, 2), (1, 1))]
    for ax, (title, unit, x, xlim, ylim) in zip(axes, PANELS):
        ax.set(xlim=xlim, ylim=ylim, xticks=(0, 5, 10, 15) if xlim[1] == 15 else (0, 30, 60, 90))
        ax.set_title(title, fontsize=10, pad=16)
        ax.text(0, 1.015, unit, transform=ax.transAxes, fontsize=9, va="bottom")
        ax.set_xlabel(x, fontsize=9.5, labelpad=1)
        ax.tick_params(labelsize=9)
    second = {**style.NOW, "color": style.VERMILLION, "linestyle": "--"}
    art = SimpleNamespace(view=view, bands=[], lines=[], dots=[])
    for ax, pair in zip(axes, (("full calculation", "shortcut (Hankinson)"), ("width", "thickness"), ("width", "thickness"), (None, None))):
        x = RUN_OUTS if ax.get_xlim()[1] == 15 else RINGS
        for i, (name, look) in enumerate(zip(pair, (style.NOW, second))):
            if i and name is None:
                continue
            art.lines.append(ax.plot(x, 0 * x, **look, label=name)[0])
            art.dots.append(ax.plot([], [], "o", color=look["color"], ms=7, mec="white", mew=1)[0])
            if not (ax is axes[0] and i):
                art.bands.append(ax.fill_between(x, 0 * x, 0 * x, color=look["color"], alpha=0.16, lw=0))
        if pair[0]:
            ax.legend(loc="upper right", fontsize=8.5, handlelength=2.2, borderpad=0.1, labelspacing=0.25)
    axes[2].axhline(0, color=style.BLACK, lw=0.8)
    return art


def _change(art, wood, ring_angle, run_out, slope, exponent, home):
    found, drawn, dM = species(wood), _drawn(wood), moisture_change(home)
    art.view.show(Board(found, *np.radians([ring_angle, run_out, slope])), dM, EXAGGERATED)
    e = found.elastic
    here = [100 * along(e, ring_angle, run_out, slope), 100 * shortcut(e, ring_angle, run_out, slope, exponent), *(100 * v for v in across(e, ring_angle, run_out, slope)),
            *moves(found, ring_angle, dM), 100 * loss_along(found, ring_angle, run_out, slope)[1]]
    low_loss, loss, high_loss = (100 * v for v in loss_along(found, ring_angle, RUN_OUTS, slope))
    curves = [100 * along(e, ring_angle, RUN_OUTS, slope), 100 * shortcut(e, ring_angle, RUN_OUTS, slope, exponent), *(100 * v for v in across(e, RINGS, run_out, slope)),
              *moves(found, RINGS, dM), loss]
    spread = [edges(100 * along(drawn, ring_angle, RUN_OUTS, slope)), *(edges(100 * v) for v in across(drawn, RINGS, run_out, slope)),
              *(edges(v) for v in moves(found, RINGS, dM, DRAWS)), (low_loss, high_loss)]
    at = [run_out, run_out, ring_angle, ring_angle, ring_angle, ring_angle, run_out]
    for line, dot, x, curve, value in zip(art.lines, art.dots, at, curves, here):
        line.set_ydata(curve)
        dot.set_data([x], [value])
    xs = [RUN_OUTS, RINGS, RINGS, RINGS, RINGS, RUN_OUTS]
    for band, x, (low, high) in zip(art.bands, xs, spread):
        band.set_data(x, low, high)
    now = [*(np.interp(x, grid, edge) for x, grid, pair in zip([run_out, ring_angle, ring_angle, ring_angle, ring_angle, run_out], xs, spread) for edge in pair)]
    return sentence(found, dict(ring_angle=ring_angle, run_out=run_out, slope=slope, exponent=exponent, home=home), here, now)


def cut(ring_angle):
    """What a shop calls this ring angle (degrees): flat-sawn up to 25, rift up to 65, quarter-sawn above (common practice, no source)."""
    return "flat-sawn" if ring_angle <= 25 else "rift" if ring_angle < 65 else "quarter-sawn"


def sentence(wood, values, here, now):
    """The picture in words, with every number and its 90 % band."""
    E, short, wide, thick, width, thickness, loss = here
    gap = short - E
    says = "the same" if abs(gap) < 0.05 else f"{short:.1f} %, {abs(gap):.1f} points too {'high' if gap > 0 else 'low'}"
    return (f"{wood.name[0].upper() + wood.name[1:]}, rings at {values['ring_angle']:.0f}° ({cut(values['ring_angle'])}), run-out {values['run_out']:.1f}°, slope {values['slope']:.1f}°: along the board "
            f"{E:.1f} % of the straight-grained stiffness (90 of 100: {now[0]:.1f} to {now[1]:.1f}); the shortcut with exponent {values['exponent']:.1f} says {says}. "
            f"Across, in % of along the grain: width {wide:.1f} ({now[2]:.1f} to {now[3]:.1f}), "
            f"thickness {thick:.1f} ({now[4]:.1f} to {now[5]:.1f}). From {SHOP:.0f} % to {values['home']:.0f} % humidity a 60 × 25 mm blank changes {width:+.2f} mm in width "
            f"({now[6]:+.2f} to {now[7]:+.2f}) and {thickness:+.2f} mm in thickness ({now[8]:+.2f} to {now[9]:+.2f}). "
            f"Damping along the board {loss:.0f} % of straight grain ({now[10]:.0f} to {now[11]:.0f}, estimate).")


def start():
    """The start values of the sliders."""
    return dict(wood=species("hard maple").key, ring_angle=90.0, run_out=0.0, slope=0.0, exponent=2.0, home=30.0)


def controls():
    """The controls of the grain lesson, fresh: wood, the three angles, the shortcut's exponent, the air."""
    first = start()
    return {
        "wood": pick("Wood", sorted((w.name, w.key) for w in all_species()), first["wood"], "all woods of the tables"),
        "ring_angle": slider("Ring angle", first["ring_angle"], 0, 90, 5, "°", "0 flat-sawn, 90 quarter-sawn, between them rift"),
        "run_out": slider("Run-out", first["run_out"], 0, 15, 0.5, "°", "grain diving through the face; 3.8° is 1 in 15, 15° no neck would be made of"),
        "slope": slider("Slope of grain", first["slope"], 0, 15, 0.5, "°", "grain leaving the edge in the face view"),
        "exponent": slider("Exponent of the shortcut", first["exponent"], 1.5, 2.5, 0.1, "", "2 is used for stiffness; 1.5 to 2 belong to strength (from memory, unverified)"),
        "home": slider("Home humidity", first["home"], 20, 75, 1, "%", "where the blank will settle; it comes from a 45 % shop"),
    }


def which_way(place="above"):
    """The board with its three angles, ready to slide. Returns a LiveFigure; last line of a cell."""
    return LiveFigure(_setup, _change, controls(), inches=(10.0, 5.8), place=place,
                      alt="End, side and face view of a board with its grain, and four curves: stiffness along against run-out, stiffness across and movement against "
                          "ring angle, damping against run-out, with 90 % bands")
