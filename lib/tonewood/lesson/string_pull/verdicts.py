"""Claims about string pull and truss rods, each with the calculation behind it. All on neck No. 12 with six strings unless the words say otherwise."""

from dataclasses import replace

import numpy as np

from tonewood.lesson.shared.shop import truss_rod
from tonewood.lesson.string_pull.model import MONTH, READ, TEN_YEARS, build, crept, defaults, pulled, reachable, setup_for, strung
from tonewood.panel.verdict import Verdict
from tonewood.neck.load.creep import DAY
from tonewood.neck.layup.neck import Bar
from tonewood.neck.report.evaluation import even_stiffness
from tonewood.neck.load.headstock import head_load
from tonewood.neck.load.joint import Joint
from tonewood.neck.load.setup import fretboard_glue_shear
from tonewood.neck.seasons.movement import between, movement
from tonewood.neck.load.relief import relief
from tonewood.neck.section.section import section
from tonewood.strings.wire import tension_change
from tonewood.neck.section.twist import bending_twist
from tonewood.wood.facts import rule
from tonewood.wood.moisture import equilibrium_moisture
from tonewood.wood.species import species

SIX = "six strings"


def made(**changes):
    """(Neck, StringSet, Setup, Instrument, Joint) of the start design with changes, single values."""
    v = {**defaults(), **changes}
    strings, instrument = strung(v["tuned"], v["gauge"])
    return build(instrument, **v), strings, setup_for(v["action"], instrument), instrument, Joint(v["joint"])


def _bent(**changes):
    neck, strings, setup, _, joint = made(**changes)
    return relief(neck, strings, setup, joint)


def gap_of(**changes):
    """Gap (mm) at the reading fret, rod slack."""
    return 1e3 * float(_bent(**changes).at(READ))


def pull_stresses_glue():
    """Does string pull stress the glue line under the fretboard? Returns a Verdict."""
    neck, strings, setup, *_ = made(slots="bearing: tangs seated tight")
    found = fretboard_glue_shear(neck, strings, setup)
    softer = fretboard_glue_shear(made(slots="open: tangs loose")[0], strings, setup)
    low, high = 1e-3 * min(found.stress.min(), softer.stress.min()), 1e-3 * max(found.stress.max(), softer.stress.max())
    middle = len(found.x) // 2
    twenty = 1e-3 * 20.0 * float(found.stress[middle] / found.shear_force[middle])
    end = float(np.max(found.fretboard_force) / (2 * neck.fretboard.thickness * found.width[0]))
    strength = {k: species(k).fact("shear_parallel") for k in ("hard maple", "black walnut", "Indian rosewood")}                # wenge: no figure was read
    name, weakest = min(strength.items(), key=lambda item: item[1].value)
    wet = movement(neck, equilibrium_moisture(20.0, 0.45), equilibrium_moisture(20.0, 0.30))
    moist = 1e-6 * float(np.max(np.abs(wet.joint_stress)))
    return Verdict("string pull works on the glue lines and opens them in time.",
                   f"the strings run so nearly along the neck that only {found.shear_force.min():.1f} to {softer.shear_force.max():.1f} N of the {strings.total_tension:.0f} N shear the "
                   f"glue line under the fretboard: {low:.1f} to {high:.1f} kPa along the body of the neck. A shear force of 20 N would make {twenty:.0f} kPa. Even if all the "
                   f"compression of the fretboard entered within two board thicknesses of its end: {1e-6 * end:.1f} MPa. The weakest of this neck's woods with a printed figure, {name}, shears along the grain "
                   f"at {weakest.value:.1f} MPa (published, {weakest.place}). Moisture, from 45 % to 30 % humidity with the joints held flush, elastic: up to {moist:.1f} MPa across the grain.",
                   "no. Along the neck a sound glue line hardly knows that the strings are on: a thousandth of its strength. Only the last centimetre of the fretboard carries a share "
                   "worth naming, so glue that end well. Moisture strains the joints at least as much, and across the grain.",
                   "high", "beside a rod anchor the model does not see; the glue is taken to be as strong as the wood beside it (common practice); white glue creeps when warm")


def rod_untwists(slope=3.0):
    """Can a rod take out a twist? Half a degree of it, and the rod at its limit on grain that slants by `slope` degrees. Returns a Verdict."""
    neck = made()[0]
    rod = truss_rod(neck)
    straight = _bending_twist(neck, rod)
    slanted = neck.with_pieces([replace(b, slope=np.radians(slope)) for b in neck.pieces[:-1]] + [neck.pieces[-1]])
    turned = _bending_twist(slanted, rod)
    width = 1e3 * float(neck.outline.width(neck.end))
    return Verdict("one more turn of the rod takes the twist out of a neck.",
                   f"half a degree of twist lifts one end of the last fret {width * np.radians(0.5):.2f} mm over the other. The rod at its limit turns the last fret against the "
                   f"nut by {abs(straight):.3f}° with straight grain, and by {abs(turned):.3f}° if every stripe's grain slanted {slope:.0f}° the same way.",
                   "no. A rod bends the neck in one plane; bass and treble side move alike. Twist is for the plane, for heat and clamps (common practice), or for a new neck.",
                   "high", "a double rod lying off the centre line is not in the model")


def _bending_twist(neck, rod):
    """Twist (degrees) of the last fret against the nut from the rod's couple at its limit."""
    x = neck.stations()
    rate = bending_twist(neck, -rod.limit * rod.covered(x), x=x)
    return float(np.degrees(between(x, rate, 0.0, neck.end)))


def head_angle_matters(angles=(0, 4, 14, 17)):
    """Does the headstock's angle change the bow? Moments of the forces on nut and tuners at the reading fret. Returns a Verdict."""
    neck, strings, setup, *_ = made()
    x = np.array([0.0, float(neck.fret(READ))])
    axis = section(neck, x).z_bar
    pull = strings.tension
    nut, here = (setup.heights(neck, x, len(strings)) - axis).T
    found = [head_load(pull, np.radians(a), nut, here, x[1]) for a in angles]
    cases = "; ".join(f"{a}°: nut {f.from_nut.sum():+.1f}, tuners {f.from_tuner.sum():+.1f}, together {f.moment.sum():.2f} N·m, nut pressed by {f.on_nut.sum():.0f} N"
                      for a, f in zip(angles, found))
    return Verdict("a steeper headstock pulls the neck forward more.",
                   f"moments at fret {READ} of all six strings, headstock leaning back {cases}.",
                   "no. What the nut gains the tuners take back: the neck only feels pull times height. The angle sets how hard the nut is pressed, and how much short grain a "
                   "one-piece head has.", "high", "friction in the nut changes the two parts, not their sum")


def heavier_strings():
    """How relief follows gauge and tuning. Returns a Verdict."""
    base, pull = gap_of(), strung(SIX, 100)[0].total_tension
    cases = [("every gauge 10 % thicker", dict(gauge=110.0)), ("a whole step down", dict(tuned="six strings, whole step down")),
             ("both", dict(gauge=110.0, tuned="six strings, whole step down"))]
    words = []
    for name, change in cases:
        more = strung(change.get("tuned", SIX), change.get("gauge", 100.0))[0].total_tension / pull
        words.append(f"{name}: pull {100 * (more - 1):+.0f} %, gap {100 * (gap_of(**change) / base - 1):+.0f} %")
    return Verdict("heavier strings bow the neck, lower tuning lets it back.",
                   f"gap at fret {READ}, rod slack, {base:.2f} mm at {pull:.0f} N; " + "; ".join(words) + ".",
                   "yes, in proportion to the pull and a shade more. Pull grows with gauge squared and pitch squared: a heavier set tuned lower can pull as hard as the old one did.",
                   "high", "wound strings are good to about 5 % in mass (from memory)")


def stiff_neck_tightens():
    """Does a stiffer neck make the strings tighter? Returns a Verdict."""
    soft, stiff = (made(depth=d, slots=s) for d, s in ((20.0, "open: tangs loose"), (25.0, "bearing: tangs seated tight")))
    stiffness = [float(even_stiffness(m[0])) for m in (soft, stiff)]
    strings = soft[1]
    tensions = [m[1].total_tension for m in (soft, stiff)]
    # Nut and bridge come nearer by string height above the axis times curvature, summed along the neck, and by the squeeze of the wood.
    nearer, lost = [], []
    for neck, _, setup, _, joint in (soft, stiff):
        bent = relief(neck, strings, setup, joint)
        s = section(neck, bent.x)
        nearer.append(float(np.trapezoid(bent.moment / strings.total_tension * bent.curvature + strings.total_tension / s.EA, bent.x)))
        lost.append(-float(tension_change(strings.axial_stiffness[-1], nearer[-1], strings.length[-1])))
    return Verdict("a stiff neck makes the strings tighter.",
                   f"necks of {stiffness[0]:.0f} and {stiffness[1]:.0f} N·m², same strings in tune: {tensions[0]:.0f} and {tensions[1]:.0f} N. While tuning up, nut and bridge come "
                   f"nearer by {1e3 * nearer[0]:.2f} and {1e3 * nearer[1]:.2f} mm and the first string would lose {lost[0]:.1f} and {lost[1]:.1f} N, were it not tuned again.",
                   "no. Mass, length and pitch alone set the tension of a string in tune. A soft neck only asks for more rounds of tuning, and gives more when a note is bent.",
                   "high", "how a string feels under the finger also hangs on action, relief and the length behind nut and bridge")


def stripes_or_fretboard():
    """What moves the gap most: thin stripes, fretboard wood, slot fit, thickness of the board. Returns a Verdict."""
    base = gap_of()
    changed = [("wenge stripes made of maple", dict(accent="hard maple")), ("fretboard of hard maple", dict(fretboard="hard_maple")), ("of African ebony", dict(fretboard="african_ebony")),
               ("tangs loose", dict(slots="open: tangs loose")), ("tangs bearing fully", dict(slots="bearing: tangs seated tight")),
               ("board 4 mm, whole depth kept", dict(thickness=4.0)), ("whole depth 1 mm more", dict(depth=defaults()["depth"] + 1.0))]
    words = "; ".join(f"{name} {100 * (gap_of(**change) / base - 1):+.0f} %" for name, change in changed)
    return Verdict("the thin dark stripes are what stiffens a laminated neck.",
                   f"gap at fret {READ}, rod slack, {base:.2f} mm with half-bearing tangs; changed by: {words}.",
                   "no. Thin stripes count by their small share of the width. The fit of the tangs, a stiff fretboard and one millimetre of depth each do about ten times as much.",
                   "high", "the direction is sure; how far tangs bear in a real neck is not known")


def bar_places():
    """Where carbon bars do their work. Two bars of 3 x 6 mm at several depths. Returns a Verdict."""
    plain, base = float(even_stiffness(made()[0])), gap_of()
    words, neck = [], made()[0]
    for below in (0.0, 0.002, 0.007):
        bars = tuple(Bar(side * 0.0085, depth=0.006, below=below) for side in (-1, 1))
        words.append(f"their top {1e3 * below:.0f} mm below it: stiffness {100 * (even_stiffness(made(bars=bars)[0]) / plain - 1):+.0f} %, gap {100 * (gap_of(bars=bars) / base - 1):+.0f} %")
    axis = -1e3 * float(section(neck, [float(neck.fret(READ))]).z_bar[0])
    spread = 1e3 * np.ptp(np.percentile(pulled().slack.at(READ), [5, 95]))
    return Verdict("carbon bars make a neck stiff.",
                   f"two bars 3 × 6 mm, bonded; the axis of no strain lies {axis:.1f} mm below the glue line. Bars with " + "; ".join(words) +
                   f". The unknown boards and slots alone spread the gap over {spread:.2f} mm.",
                   "only if they lie deep. Just under the fretboard they lie near the axis that neither stretches nor shrinks. Deep bars draw that axis away from the strings, whose longer arm "
                   "takes back part of the gain. And a bar cannot be adjusted: it does not replace the rod.",
                   "high", "the modulus of the bars, 130 GPa, is from memory; deep slots leave little wood below")


def neck_settles():
    """Does a new neck give under its strings? The creep band after a day, a month and ten years, rod slack and rod set. Returns a Verdict."""
    found = pulled()
    times = np.array([DAY, MONTH, TEN_YEARS])
    words = []
    for name, gap in (("rod slack", found.slack.at(READ)), ("rod set", reachable(found)[:, READ - 1])):
        low, _, high = (1e3 * v for v in crept(gap, times))
        words.append(f"{name}, {1e3 * np.median(gap):.2f} mm at first: " + ", ".join(f"{a:.2f} to {b:.2f} mm {when}" for a, b, when in zip(low, high, ("after a day", "after a month", "after ten years"))))
    return Verdict("a new neck settles under its strings; read the relief again after a day.",
                   "; ".join(words) + ".",
                   f"yes. By this law half of the first month's change comes in the first {30 * 0.5 ** (1 / rule('creep_exponent').value):.0f} days. A neck held near straight by its rod has less bow to grow. How much is not to be foretold closer "
                   "than a factor of two, and damp and dry spells add to it.", "low",
                   "from memory, unverified: structural-timber practice and a plain display law; true values within about a factor of 2")
