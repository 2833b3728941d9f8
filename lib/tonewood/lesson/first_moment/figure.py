"""The attack: what happens in the first fifth of a second. Controls -> Found -> picture and sentence."""

from dataclasses import dataclass

import numpy as np

from tonewood.panel import style
from tonewood.lesson.first_moment.model import CURVE, found, guitar, played, strings
from tonewood.lesson.shared.shop import woods
from tonewood.panel.controls import pick, slider
from tonewood.panel.live_figure import LiveFigure
from tonewood.panel.gauges import Gauges, Row, band
from tonewood.sound.attack import TIMES
from tonewood.sound.glide import neck_compliance, share_relieved, tension_at_release
from tonewood.sound.hearing import level_step
from tonewood.wood.species import species

STEP = float(level_step())
"""Level step listeners notice between two tones, dB: Jesteadt, Wier and Green 1977, see sound.hearing."""

STRING_NAMES = (("1 · high E", 1), ("2 · B", 2), ("3 · G", 3), ("4 · D", 4), ("5 · A", 5), ("6 · low E", 6))
LEVELS, FALLS, CENTS = (-50, 25), (-9.0, 0.7), (0, 100)
ROWS = (Row("Level at 5 ms", "dB, 0 is 1 m/s", *LEVELS, 1), Row("Fall from 5 to 50 ms", "dB", -1, 9, 2), Row("Fall from 5 to 200 ms", "dB", -1, 9, 2),
        Row("Early decay, as a 60 dB time", "s", 0, 40, 1), Row("Late decay, as a 60 dB time", "s", 0, 60, 1),
        Row("Pitch glide at the start", "cents", *CENTS, 1))


class _Gauges(Gauges):
    """Gauges whose mark and number are those of average boards, not of the middle neck: they belong to what is drawn and heard."""

    def show(self, values, held=None):
        super().show([draws for _, draws in values], None if held is None else [draws for _, draws in held])
        for i, (row, (value, draws)) in enumerate(zip(self.rows, values)):
            low, _, high = band(draws)
            inside = min(max(value, row.low), row.high)
            self.marks[i].set_data([inside, inside], [0.02, 0.98])
            arrow = " ▸" if value > row.high else (" ◂" if value < row.low else "")
            shown = [_number(v, row.decimals) for v in (value, low, high)]
            self.numbers[i].set_text(f"{shown[0]}  ({shown[1]} to {shown[2]}){arrow}".replace("-", "−"))


def _rows(f):
    return [(f.at[0], f.level_draws), (f.fall50, f.fall50_draws), (f.fall200, f.fall200_draws), (f.early_decay, f.early_draws),
            (f.late_decay, f.late_draws), (f.cents[0], f.cents[0] + f.relieved - f.relieved_draws)]


@dataclass
class _Art:
    level: object
    level_ghost: object
    marks: object
    fall: object
    fall_ghost: object
    band: object
    cents: object
    cents_ghost: object
    threshold: object
    gauges: Gauges


def _setup(fig):
    grid = fig.add_gridspec(1, 2, width_ratios=(1.15, 1), left=0.062, right=0.975, top=0.95, bottom=0.085, wspace=0.1)
    left = grid[0].subgridspec(3, 1, height_ratios=(1, 1.2, 0.8), hspace=0.36)
    top, middle, bottom = (fig.add_subplot(left[i]) for i in range(3))
    for ax, title, ends in ((top, "Level under the pickup (dB; 0 is a string speed of 1 m/s)", LEVELS), (middle, "The same, fall since 5 ms (dB)", FALLS),
                            (bottom, "Pitch above the later note (cents)", CENTS)):
        ax.set(xlim=(0, 204), ylim=ends)
        ax.set_title(title, fontsize=10, pad=3)
        ax.set_xticks((5, 50, 100, 150, 200))
        ax.tick_params(labelsize=9)
        if ax is not bottom:
            ax.tick_params(labelbottom=False)
    top.set_yticks((-40, -20, 0, 20))
    middle.set_yticks((-8, -6, -4, -2, 0))
    bottom.set_yticks((0, 25, 50, 75, 100))
    bottom.set_xlabel("after release (ms)", fontsize=10, labelpad=1)
    x = 1e3 * CURVE
    flat = x * 0
    middle.plot([6, 6], [-8.3, -8.3 + STEP], color=style.BLACK, lw=3, solid_capstyle="butt")
    middle.text(9, -8.3 + STEP / 2, f"{STEP:.1f} dB: a step noticed between two tones (published)", fontsize=8.5, va="center")
    shade = middle.fill_between(x[::10], flat[::10], flat[::10], **style.BAND)
    threshold, = bottom.plot([0, 204], [0, 0], **style.LIMIT)
    ghosts = [ax.plot([], [], **style.HELD)[0] for ax in (top, middle, bottom)]
    now = [ax.plot(x, flat, **style.NOW)[0] for ax in (top, middle, bottom)]
    marks, = top.plot(1e3 * np.array(TIMES), np.zeros(3), "o", color=style.BLUE, ms=6)
    top.legend([now[0], shade, ghosts[0]], ["average boards, as heard", "90 of 100 such necks", "ghost"], loc="lower left", fontsize=8.5,
               ncols=3, borderaxespad=0.2, handlelength=1.8, columnspacing=1.2)
    bottom.legend([threshold], ["a glide from here is noticed (published)"], loc="upper right", fontsize=8.5, borderaxespad=0.0, handlelength=1.8)
    return _Art(now[0], ghosts[0], marks, now[1], ghosts[1], shade, now[2], ghosts[2], threshold, _Gauges(fig, grid[1], ROWS))


def _change(art, held=None, **values):
    f = found(**values)
    earlier = found(**held) if held else None
    x = 1e3 * CURVE
    art.level.set_data(x, f.level)
    art.marks.set_ydata(f.at)
    start = f.at[0]
    art.fall.set_data(x, f.level - start)
    art.band.set_data(x[::10], f.spread[0] - start, f.spread[1] - start)
    art.cents.set_data(x, f.cents)
    art.threshold.set_ydata([f.threshold] * 2)
    for line, curve in ((art.level_ghost, earlier and earlier.level), (art.fall_ghost, earlier and earlier.level - earlier.at[0]), (art.cents_ghost, earlier and earlier.cents)):
        line.set_data(*([], []) if earlier is None else (x, curve))
    art.gauges.show(_rows(f), None if earlier is None else _rows(earlier))
    return sentence(values, f, earlier)


def sentence(values, f, earlier=None):
    """The picture in words, with every number, and the comparison with the ghost if there is one."""
    count = int(values["stripes"])
    low, _, high = band(f.fall200_draws)
    text = (f"{f.note}, string {values['string']}, fret {values['fret']:.0f}, {f.frequency:.0f} Hz, on a neck of {'one piece' if count == 1 else f'{count} stripes'}, main wood "
            f"{species(values['wood']).name}. Level at 5, 50 and 200 ms: {_number(f.at[0])}, {_number(f.at[1])} and {_number(f.at[2])} dB. It falls by {f.fall200:.2f} dB from 5 to 200 ms "
            f"(90 of 100 such necks: {low:.2f} to {high:.2f}). Early decay {f.early_decay:.1f} s, late decay {f.late_decay:.1f} s. The pitch starts {f.cents[0]:.1f} cents high, "
            f"{'above' if f.cents[0] > f.threshold else 'below'} the {f.threshold:.0f} cents of glide listeners notice (published); the give of the neck takes "
            f"{f.relieved:.2f} cents of it away.")
    if earlier is None:
        return text
    fall = f.fall200 - earlier.fall200
    return (f"{text} Against the ghost{'' if earlier.note == f.note else f' ({earlier.note}, another note)'}: level at 5 ms {_number(f.at[0] - earlier.at[0], 1, '+')} dB, fall to 200 ms "
            f"{_number(fall, 2, '+')} dB, {'above' if abs(fall) > STEP else 'below'} the step of {STEP:.1f} dB listeners notice; early decay "
            f"{_number(f.early_decay - earlier.early_decay, 1, '+')} s; pitch at the start {_number(f.cents[0] - earlier.cents[0], 1, '+')} cents; taken by the neck "
            f"{_number(f.relieved - earlier.relieved, 2, '+')} cents.")


def _number(value, decimals=1, sign=""):
    """A number without minus zero."""
    shown = f"{value:{sign}.{decimals}f}"
    return shown.replace("-", "") if float(shown) == 0 else shown


def defaults():
    """Start values of the sliders: the invented neck No. 12, D string at the fifth fret."""
    return dict(string=4, fret=5.0, pick=110.0, strength=2.0, direction=45.0, pickup=150.0, wood=species("hard maple").key, stripes=7.0, depth=20.5, age=0.0)


def controls():
    """The controls, fresh, in the order note, stroke, pickup, neck, string."""
    start = defaults()
    return {
        "string": pick("String", STRING_NAMES, start["string"], "six strings, round generic gauges (common practice, no source)"),
        "fret": slider("Fret", start["fret"], 0, 19, 1, "", "0 is the open string; beyond 19 the pick would stand over the fretting hand"),
        "pick": slider("Pick, from the bridge", start["pick"], 40, 180, 5, "mm", "from beside the bridge to the end of the fretboard"),
        "strength": slider("Pull of the pick", start["strength"], 0.5, 3, 0.25, "mm", "how far the string is pulled aside; 3 mm is a hard stroke (common practice, no source)"),
        "direction": slider("Direction of the stroke", start["direction"], 0, 90, 5, "°", "0 away from the fretboard, 90 along it"),
        "pickup": slider("Pickup, from the bridge", start["pickup"], 30, 170, 5, "mm", "about 45 mm is a bridge pickup, about 150 mm a neck pickup (common practice, no source)"),
        "wood": pick("Main wood", woods("neck"), start["wood"], "accents of wenge, 2 mm, from 4 stripes on; centre of black walnut, 10 mm, if the number is odd and at least 3"),
        "stripes": slider("Stripes", start["stripes"], 1, 11, 1, "", "1 is one piece of the main wood; this slider draws when you let go", continuous=False),
        "depth": slider("Neck depth at the nut", start["depth"], 18, 26, 0.5, "mm", "with a 6 mm fretboard; it grows by 2.5 mm to the last fret; draws when you let go", continuous=False),
        "age": slider("String age", start["age"], 0, 100, 10, "%", "0 new, 100 well played; the steel's losses are from memory, unverified"),
    }


def attack(place="above"):
    """The first fifth of a second, ready to slide. Returns a LiveFigure; last line of a cell."""
    return LiveFigure(_setup, _change, controls(), inches=(10.0, 5.8), place=place,
                      alt="Three curves over the first 200 ms after the pick lets go: level, fall since 5 ms with its 90 % band, and pitch; beside them five gauges of level, fall and decay")


@dataclass(frozen=True)
class ByHand:
    """One hard stroke by hand and by the library: rise (N) at release, tension (N), cents by hand and by the library's swinging string; give (m/N) of the
    neck by one even beam and by the library; share of the rise it takes, by hand; cents it takes, by hand and by the library; threshold (cents)."""

    rise: float
    tension: float
    cents: float
    cents_by_library: float
    give: float
    give_by_library: float
    share: float
    taken: float
    taken_by_library: float
    threshold: float


def glide_by_hand(**changes):
    """The pitch glide of the open low E, pulled 3 mm at 110 mm, and what the start neck (or with `changes`) takes of it. Returns ByHand."""
    from tonewood.neck.load.setup import Setup
    from tonewood.neck.section.section import section
    from tonewood.sound.compliance import compliance_along

    values = {**defaults(), "string": 6, "fret": 0.0, "strength": 3.0, "direction": 0.0, **changes}
    design = {name: values[name] for name in ("wood", "stripes", "depth")}
    line, note = played(design, values["string"], 0, 0.0, 0.25, **{name: values[name] for name in ("pick", "strength", "direction", "pickup")})
    neck = guitar(**design)[0]
    middle = section(neck, [neck.end / 2])
    arm = float(Setup().heights(neck, np.array([neck.end / 2]), len(strings()))[0, 0] - middle.z_bar[0])
    rise = float(tension_at_release(1e-3 * values["strength"], 1e-3 * values["pick"], line.length, line.axial_stiffness))
    cents = 866 * rise / 2 / line.tension
    give = float(neck_compliance(neck.end, float(middle.EA[0]), arm, float(middle.EI[0])))
    share = float(share_relieved(give, line.length, line.axial_stiffness))
    f = found(**values)
    return ByHand(rise, line.tension, cents, float(note.cents_at(0.0)[0]), give, compliance_along(neck, strings(), 0), share, share * cents, f.relieved, f.threshold)
