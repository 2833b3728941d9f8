"""Claims about string pull and truss rods, each with its calculation, on neck No. 12 unless told else."""

from __future__ import annotations

import numpy as np

from tonewood.draws import band, written
from tonewood.lesson.shared.shop import NECK_12, ROOM, changed, truss_rod
from tonewood.lesson.shared.strung import wedged
from tonewood.lesson.string_pull.model import READ, build, gap_of, pulled, slack
from tonewood.neck.layup.neck import Bar, Neck
from tonewood.neck.load.headstock import head_load
from tonewood.neck.load.rod import Rod
from tonewood.neck.load.setup import fretboard_glue_shear
from tonewood.neck.report.evaluation import even_stiffness
from tonewood.neck.seasons.movement import movement
from tonewood.neck.section.section import section
from tonewood.neck.section.twist import bending_twist, between
from tonewood.panel.verdict import Verdict
from tonewood.strings.wire import tension_change
from tonewood.wood.facts import rule
from tonewood.wood.moisture import equilibrium_moisture
from tonewood.wood.species import species

LOOSE, TIGHT = "open: tangs loose", "bearing: tangs seated tight"
DOWN = "six strings, whole step down"


def more(value: float, base: float) -> str:
    """By how many per cent a value lies over another, with its sign."""
    return f"{written(100 * (value / base - 1), 0, sign=True)} %"


def pull_stresses_glue() -> Verdict:
    """Does string pull stress the glue line under the fretboard?"""
    strings, setup = NECK_12.string_set(), NECK_12.setup()
    neck, open_slots = (build(slots=fit).neck() for fit in (TIGHT, LOOSE))
    tight, loose = (fretboard_glue_shear(made, strings, setup) for made in (neck, open_slots))
    low, high = (1e-3 * of([of(tight.stress), of(loose.stress)]) for of in (np.min, np.max))
    middle = len(tight.x) // 2
    twenty = 1e-3 * 20.0 * float(tight.stress[middle] / tight.shear_force[middle])
    end = float(np.max(tight.fretboard_force) / (2 * neck.fretboard.thickness * tight.width[0]))
    # wenge: no figure was read
    strength = {name: species(name).fact("shear_parallel")
                for name in ("hard maple", "black walnut", "Indian rosewood")}
    name, weakest = min(strength.items(), key=lambda item: item[1].value)
    dry = movement(neck, NECK_12.shop_moisture, equilibrium_moisture(ROOM, 0.30))
    moist = 1e-6 * float(np.max(np.abs(dry.joint_stress)))
    return Verdict("string pull works on the glue lines and opens them in time.",
                   f"the strings run so nearly along the neck that only {tight.shear_force.min():.1f} to "
                   f"{loose.shear_force.max():.1f} N of the {strings.total_tension:.0f} N shear the glue "
                   f"line under the fretboard: {low:.1f} to {high:.1f} kPa along the body of the neck. A "
                   f"shear force of 20 N would make {twenty:.0f} kPa. Even if all the compression of the "
                   f"fretboard entered within two board thicknesses of its end: {1e-6 * end:.1f} MPa. The "
                   f"weakest of this neck's woods with a printed figure, {name}, shears along the grain at "
                   f"{weakest.value:.1f} MPa (published, {weakest.place}). Moisture, from 45 % to 30 % "
                   f"humidity with the joints held flush, elastic: up to {moist:.1f} MPa across the grain.",
                   "no. Along the neck a sound glue line hardly knows that the strings are on: a thousandth "
                   "of its strength. Only the last centimetre of the fretboard carries a share worth naming, "
                   "so glue that end well. Moisture strains the joints about as much, and across the grain.",
                   "medium",
                   "for the day it is glued the margin is wide; how the line gives in time is not computed "
                   "(white glue creeps when warm), nor the stress beside a rod anchor. The glue is taken to "
                   "be as strong as the wood beside it (common practice)")


def rod_untwists(slope: float = 3.0) -> Verdict:
    """Can a rod take out a twist? The rod at its limit on straight grain and on grain at `slope` degrees."""
    neck, leaning = NECK_12.neck(), changed(NECK_12, slope=np.radians(slope)).neck()
    rod, width = truss_rod(neck), 1e3 * float(neck.outline.width(neck.end))
    straight, turned = (abs(twist_of(made, rod)) for made in (neck, leaning))
    return Verdict("one more turn of the rod takes the twist out of a neck.",
                   f"half a degree of twist lifts one end of the last fret {width * np.radians(0.5):.2f} mm "
                   "over the other. The rod at its limit turns the last fret against the nut by "
                   f"{straight:.3f}° with straight grain, and by {turned:.3f}° if every stripe's grain "
                   f"slanted {slope:.0f}° the same way.",
                   "no. A rod bends the neck in one plane; bass and treble side move alike. Twist is for the "
                   "plane, for heat and clamps (common practice), or for a new neck.",
                   "medium", "a rod off the centre line, or two of them set unequally, are not in the model")


def twist_of(neck: Neck, rod: Rod) -> float:
    """Twist (degrees) of the last fret against the nut from the rod's couple at its limit."""
    x = neck.stations()
    return float(np.degrees(between(x, bending_twist(neck, -rod.limit * rod.covered(x), x=x), 0.0, neck.end)))


def head_angle_matters(angles: tuple[float, ...] = (0, 4, 14, 17)) -> Verdict:
    """Does the headstock's angle change the bow? Moments of the forces on nut and tuners."""
    neck, strings = NECK_12.neck(), NECK_12.string_set()
    x = np.array([0.0, float(neck.fret(READ))])
    nut, here = (NECK_12.setup().heights(neck, x, len(strings)) - section(neck, x).z_bar).T
    found = {angle: head_load(strings.tension, np.radians(angle), nut, here, x[1]) for angle in angles}
    cases = "; ".join(f"{angle}°: nut {written(f.from_nut.sum(), 1, sign=True)} N·m, tuners "
                      f"{written(f.from_tuner.sum(), 1, sign=True)} N·m, together {f.moment.sum():.2f} N·m, "
                      + (f"nut pressed by {f.on_nut.sum():.0f} N" if f.on_nut.sum() > 0
                         else "nut not pressed, the strings lift off it") for angle, f in found.items())
    return Verdict("a steeper headstock pulls the neck forward more.",
                   f"moments at fret {READ} of all six strings, headstock leaning back {cases}.",
                   "no. What the nut gains the tuners take back: the neck only feels pull times height. The "
                   "angle sets how hard the nut is pressed, and how much short grain a one-piece head has.",
                   "high", "friction in the nut changes the two parts, not their sum")


def heavier_strings() -> Verdict:
    """How relief follows gauge and tuning."""
    base, pull = gap_of(), NECK_12.string_set().total_tension
    cases = {"every gauge 10 % thicker": {"gauge": 110.0}, "a whole step down": {"tuned": DOWN},
             "both": {"gauge": 110.0, "tuned": DOWN}}
    pulls = {name: build(**change).string_set().total_tension for name, change in cases.items()}
    words = "; ".join(f"{name}: pull {more(pulls[name], pull)}, gap {more(gap_of(**change), base)}"
                      for name, change in cases.items())
    return Verdict("heavier strings bow the neck, lower tuning lets it back.",
                   f"gap at fret {READ}, rod slack, {base:.2f} mm at {pull:.0f} N; {words}.",
                   "yes, in proportion to the pull and a shade more. Pull grows with gauge squared and pitch "
                   "squared: a heavier set tuned lower can pull as hard as the old one did.",
                   "high", "wound strings are good to about 5 % in mass (from memory)")


def stiff_neck_tightens() -> Verdict:
    """Does a stiffer neck make the strings tighter?"""
    strings = NECK_12.string_set()
    stiffness, tensions, nearer, lost = [], [], [], []
    for depth, fit in ((20.0, LOOSE), (25.0, TIGHT)):
        design = build(depth=depth, slots=fit)
        bent, pull = slack(design), strings.total_tension
        s = section(design.neck(), bent.x)
        stiffness.append(float(even_stiffness(design.neck())))
        tensions.append(design.string_set().total_tension)
        # Nut and bridge come nearer by string height above the axis times curvature, summed along the neck,
        # and by the squeeze of the wood.
        nearer.append(float(np.trapezoid(bent.moment / pull * bent.curvature + pull / s.EA, bent.x)))
        lost.append(-float(tension_change(strings.axial_stiffness[-1], nearer[-1], strings.length[-1])))
    return Verdict("a stiff neck makes the strings tighter.",
                   f"necks of {stiffness[0]:.0f} and {stiffness[1]:.0f} N·m², same strings in tune: "
                   f"{tensions[0]:.0f} and {tensions[1]:.0f} N. While tuning up, nut and bridge come nearer "
                   f"by {1e3 * nearer[0]:.2f} and {1e3 * nearer[1]:.2f} mm and the first string would lose "
                   f"{lost[0]:.1f} and {lost[1]:.1f} N, were it not tuned again.",
                   "no. Mass, length and pitch alone set the tension of a string in tune. A soft neck only "
                   "asks for more rounds of tuning, and gives more when a note is bent.",
                   "medium",
                   "sure for the tension of a string in tune. What a player calls tight is not computed: it "
                   "also hangs on action, relief and the length behind nut and bridge")


def stripes_or_fretboard() -> Verdict:
    """What moves the gap most: thin stripes, fretboard wood, slot fit, thickness of the board."""
    base, whole = gap_of(), 1e3 * (NECK_12.back.depth_nut + NECK_12.fretboard.thickness)
    cases = {"wenge stripes made of maple": changed(NECK_12, accent="hard maple"),
             "fretboard of hard maple": build(fretboard="hard_maple"),
             "of African ebony": build(fretboard="african_ebony"),
             "tangs loose": build(slots=LOOSE), "tangs bearing fully": build(slots=TIGHT),
             "board 4 mm, whole depth kept": build(thickness=4.0),
             "whole depth 1 mm more": build(depth=whole + 1.0)}
    words = "; ".join(f"{name} {more(gap_of(design), base)}" for name, design in cases.items())
    return Verdict("the thin dark stripes are what stiffens a laminated neck.",
                   f"gap at fret {READ}, rod slack, {base:.2f} mm with half-bearing tangs; changed by: "
                   f"{words}.",
                   "no. Thin stripes count by their small share of the width. The fit of the tangs, a stiff "
                   "fretboard and one millimetre of depth each do about ten times as much.",
                   "high", "the direction is sure; how far tangs bear in a real neck is not known")


def tight_tangs() -> Verdict:
    """Do tight frets stiffen a neck? Tangs wider than their slots, with and without crushing, and one slot by
    hand."""
    neck, base = NECK_12.neck(), gap_of()
    bearing, wedge = gap_of(slots=TIGHT), 1e3 * float(wedged(neck, NECK_12, 1e-5, 1.0, READ))
    least = wedge * rule("tang_kept").limits[0]
    rows = []
    for tang in (0.005, 0.01, 0.02):
        low, middle, high = 1e3 * band(pulled(tang=tang).slack.at(READ))
        rows.append(f"{tang:.3f} mm wider, {written(middle)} mm ({written(low)} to {written(high)})")
    place = float(neck.fret(READ))
    s, board = section(neck, [place]), neck.fretboard
    width, depth = float(neck.outline.width(place)), board.slot_depth
    arm = board.thickness - depth / 2 - float(s.z_bar[0])
    push = board.board.E_x * width * depth * 1e-5 / float(neck.fret_pitch(place))
    length = neck.end - float(neck.fret(1))
    by_hand = 1e3 * push * arm * length**2 / (8 * float(s.EI[0]))
    stress = 1e-6 * push / (width * depth)
    crush = species(NECK_12.fretboard.wood).fact("compression_parallel")
    return Verdict(
        "tight frets stiffen a neck.",
        f"gap at fret {READ}, rod slack: {base:.2f} mm with half-bearing tangs, {bearing:.2f} mm when they "
        f"just bear; {'; '.join(rows)} (90 of 100 necks). A hundredth of a millimetre in every slot, nothing "
        f"crushed, bends the board back by {abs(wedge):.2f} mm; by hand, {written(push, 0)} N pushing "
        f"{1e3 * arm:.1f} mm above the axis of an even beam, {by_hand:.2f} mm. Where "
        f"{100 * rule('tang_kept').limits[0]:.0f} % of the width is left, by {abs(least):.2f} mm. The wood "
        f"between the slots is pressed with {stress:.0f} MPa; it crushes along the grain at "
        f"{crush.value:.0f} MPa ({crush.status}).",
        "a little, and they bend it back a lot: two dozen small wedges. A hundredth of a millimetre can "
        "outweigh all the strings. Refretting with wider tangs straightens a neck or bows it back, which no "
        "single-acting rod can undo: try tang and slot on an offcut of the board, plane the board with the "
        "rod slack, and fit the tang to the slot.",
        "medium", "the direction is sure, the size is not: how much the barbs crush is a judgement (30 to "
        "100 % of the width left), and the wood's slow giving, which adds relief in time, is left out")


def bar_places() -> Verdict:
    """Where carbon bars do their work. Two bars of 3 x 6 mm at several depths."""
    neck = NECK_12.neck()
    plain, base, words = float(even_stiffness(neck)), gap_of(), []
    for below in (0.0, 0.002, 0.007):
        design = NECK_12.changed(bars=[Bar(side * 0.0085, depth=0.006, below=below) for side in (-1, 1)])
        words.append(f"their top {1e3 * below:.0f} mm below it: stiffness "
                     f"{more(float(even_stiffness(design.neck())), plain)}, gap {more(gap_of(design), base)}")
    axis = -1e3 * float(section(neck, [float(neck.fret(READ))]).z_bar[0])
    low, _, high = 1e3 * band(pulled().slack.at(READ))
    return Verdict("carbon bars make a neck stiff.",
                   f"two bars 3 × 6 mm, bonded; the axis of no strain lies {axis:.1f} mm below the glue "
                   f"line. Bars with {'; '.join(words)}. The unknown boards and slots alone spread the gap "
                   f"over {high - low:.2f} mm.",
                   "only if they lie deep. Just under the fretboard they lie near the axis that neither "
                   "stretches nor shrinks. Deep bars draw that axis away from the strings, whose longer arm "
                   "takes back part of the gain. And a bar cannot be adjusted: it does not replace the rod.",
                   "high",
                   "the modulus of the bars, 130 GPa, is from memory; deep slots leave little wood below")
