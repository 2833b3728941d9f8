"""Claims about sustain and dead notes, each with the calculation behind it; and the two decay maps that
differ in stiffness only."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from matplotlib.figure import Figure

from tonewood.draws import band, written
from tonewood.lesson.ring_and_decay import model
from tonewood.lesson.ring_and_decay.decay_map import DecayMap, key
from tonewood.lesson.ring_and_decay.model import (
    BENDING,
    SECOND,
    STIFFER,
    D,
    dead_notes,
    note_place,
    ring_map,
    worst_fret,
    worst_note,
)
from tonewood.lesson.shared.shop import NECK_12, possible
from tonewood.panel import stacking
from tonewood.panel.live_figure import LiveFigure
from tonewood.panel.verdict import Verdict
from tonewood.remember import remember
from tonewood.sound.dead_notes import mode_names
from tonewood.sound.decay import Decay, decay
from tonewood.sound.instrument import Body
from tonewood.sound.modes import modes
from tonewood.tables import read_table
from tonewood.wood.facts import rule
from tonewood.wood.species import species

SOURCES = ("pate-2014", "pate-2013", "fleischer-1999", "woodhouse-2004", "mottola-2007", "christian-2011",
           "bremaud-2010")
"""What this lesson rests on beside the tables of woods."""

STACK = {"Start design": 608, "Stiffer": 608}
FACTORS = (1.0, 1.05, 1.1, 1.15, 1.2, 1.25, 1.3, 1.35, 1.4)
WOODS = ("hard maple", "mahogany", "sapele", "black walnut", "black cherry", "wenge", "African padauk")


def _percent(ratio: float) -> str:
    """A ratio as a change in %, signed: "+4", "−1"."""
    return written(100 * (float(ratio) - 1), 0, sign=True)


def _otherwise(**changes: object) -> Decay:
    """Decay of neck No. 12's instrument with other fields than the controls set."""
    return decay(replace(model.made().instrument, **changes), NECK_12.string_set(), setup=NECK_12.setup())


def stiff_neck_cures() -> Verdict:
    """Does a stiffer neck cure dead notes? All boards of the neck stiffer, nothing else changed."""
    maps = {factor: ring_map(stiffer=factor) for factor in FACTORS}
    before, after, last = maps[1.0], maps[STIFFER], maps[FACTORS[-1]]
    a, b, c = (worst_fret(m) for m in (before, after, last))
    counts = ", ".join(str(np.sum(m.dead)) for m in maps.values())
    read = {row["key"]: row["value"] for row in read_table("measured_guitars.csv")}
    return Verdict(
        "a stiff neck cures dead spots.",
        f"start design, D string up to the octave: weakest at fret {a}, T60 {before.t60[D, a]:.1f} s. All "
        f"boards {100 * (STIFFER - 1):.0f} % stiffer, same weight: fret {a} rings {after.t60[D, a]:.1f} s, "
        f"and fret {b} is the weakest with {after.t60[D, b]:.1f} s. Dead notes on the whole neck as it gets "
        f"stiffer in steps of 5 %, up to {100 * (FACTORS[-1] - 1):.0f} %: {counts}. At the last step the D "
        f"string's weakest fret is {c}, {last.t60[D, c]:.1f} s.",
        "no, it moves them. The mode rises, so the note that meets it lies higher. How many notes die and "
        "how badly depends on whether a mode falls on a fret or between two, and goes up and down without a "
        "trend.",
        "high", "that dead notes move is certain. On which fret they lie on a guitar in the hand is not: of "
        f"real guitars one second bending mode is published, {read['mode_2']:.0f} Hz, where this neck's is "
        f"{before.mode_frequency[SECOND]:.0f} Hz, and one dead fret of a D string, {read['dead_fret']:.0f}, "
        f"where this neck's weakest is {a}. The body here is a bar, stiffer than a real one seems to be; "
        "lesson 00 lays both beside the model's bands, and neither falls inside")


def stiff_neck_sustains() -> Verdict:
    """Does a stiffer neck ring longer? Median over all notes, and single notes."""
    base = ring_map().t60
    maps = [ring_map(stiffer=factor).t60 for factor in FACTORS[1:]]
    gains = [np.median(seconds) / np.median(base) for seconds in maps]
    worst = [np.min(seconds / base) for seconds in maps]
    k = FACTORS.index(STIFFER) - 1
    ratio = maps[k] / base
    return Verdict(
        "a stiff neck gives more sustain.",
        f"boards {100 * (STIFFER - 1):.0f} % stiffer: the median of all {base.size} notes changes by "
        f"{_percent(gains[k])} %; {np.sum(ratio > 1.02)} notes ring more than 2 % longer, "
        f"{np.sum(ratio < 0.98)} more than 2 % shorter, one falls to {100 * worst[k]:.0f} % of its time. "
        f"Over all steps from 5 to {100 * (FACTORS[-1] - 1):.0f} % stiffer the median changes by "
        f"{_percent(min(gains))} to {_percent(max(gains))} %, and in each of them some note falls to "
        f"{100 * max(worst):.0f} % or less.",
        "no, the typical note rings as long as before. Off resonance most of the loss is the string's own "
        "and the air's; a stiffer neck cannot give that back. Single notes can get much better, or much "
        "worse.",
        "medium", "strings' own losses are from memory and decide how much the neck can matter")


def clamp_moves() -> Verdict:
    """Does weight on the headstock move dead notes?"""
    maps = {weight: ring_map(clamp=float(weight)) for weight in (0, 50, 100, 200)}
    told = "; ".join(f"{weight} g: {m.mode_frequency[SECOND]:.0f} Hz, D string weakest at fret {f} "
                     f"({m.t60[D, f]:.1f} s{', dead' * bool(m.dead[D, f])})"
                     for weight, m in maps.items() for f in [worst_fret(m)])
    twist = model.made().modes.twist_frequency.size
    change = abs(maps[100].mode_frequency[-twist] - maps[0].mode_frequency[-twist])
    return Verdict(
        "a clamp or a heavier headstock changes dead spots.",
        f"clamp, second bending mode, weakest fret up to the octave: {told}. The first twisting mode moves "
        f"by {change:.0f} Hz: a clamp on the centre line adds nothing to twist, so weak notes made by twist "
        "stay.",
        "yes. Weight at the head lowers the bending modes, and the dead notes they make move down the board; "
        "half way between two frets a string may have none. It is the cheapest test there is.",
        "high")


def neck_through(step: float = 0.005) -> Verdict:
    """Does a neck-through ring longer? What all joints and hardware together could take, and the one test
    that was found."""
    base, none, twice = ring_map(), _otherwise(added_loss=0.0), _otherwise(added_loss=2 * step)
    f = worst_fret(base)
    gain, loss = (_percent(np.median(m.t60) / np.median(base.t60)) for m in (none, twice))
    return Verdict(
        "a neck-through sustains longer.",
        f"all that joint, hardware and hands lose is one number here, loss factor {1000 * step:.0f} "
        f"thousandths (from memory). With none at all the median of all notes rises by {gain.lstrip('+')} %; "
        f"with twice as much it changes by {loss} %. The dead note at D string fret {f}: "
        f"{none.t60[D, f]:.1f} s with none, {base.t60[D, f]:.1f} s, {twice.t60[D, f]:.1f} s with twice as "
        "much. One published controlled test was found, one instrument built neck-through, then bolted, then "
        "glued: listeners heard no difference, and the longest sustain was measured with the bolts (Mottola "
        "2007; abstract read only).",
        "not shown. A lossless joint could add a few percent on ordinary notes and more on dead ones; the "
        "one test found points the other way, and one instrument proves nothing either way.",
        "low", "n = 1, abstract only; the model knows the joint only as one lumped loss")


def species_voice() -> Verdict:
    """Does a species have a voice? Second bending mode of one-piece necks of several woods, against its
    spread within one."""
    drawn = {name: model.made(main=species(name).key, stripes=1.0).drawn for name in WOODS}
    bands = {name: band(many.all_at(0.0)[1])[:, SECOND] for name, many in drawn.items()}
    low, high = min(WOODS, key=lambda name: bands[name][1]), max(WOODS, key=lambda name: bands[name][1])
    inside, middle = bands[WOODS[0]], {name: band[1] for name, band in bands.items()}
    pairs = [(bands[a], bands[b]) for i, a in enumerate(WOODS) for b in WOODS[i + 1:]]
    overlap = sum(a[2] >= b[0] and b[2] >= a[0] for a, b in pairs)
    return Verdict(
        "each wood has a voice of its own in a solid instrument.",
        f"one-piece necks, second bending mode, middle of the draws: from {middle[low]:.0f} Hz ({low}) to "
        f"{middle[high]:.0f} Hz ({high}), {12 * np.log2(middle[high] / middle[low]):.1f} frets apart. Within "
        f"{WOODS[0]} alone, boards, fretboard and fret slots as they vary, 90 of 100 necks lie between "
        f"{inside[0]:.0f} and {inside[2]:.0f} Hz, {12 * np.log2(inside[2] / inside[0]):.1f} frets apart. Of "
        f"{len(pairs)} pairs of these woods {overlap} have overlapping bands.",
        "not established, and not disproved. Woods do shift the modes, measurably; the boards of one wood "
        "shift them as much. Two necks that sound different need not differ by their wood's name. No blind "
        "test was found in which listeners told woods apart on solid bodies.",
        "medium", "the search for listening tests was not complete; published pairs differ in dead notes "
        "(ebony and rosewood boards, one pair, Paté 2013, opening read)")


def heavy_body(softer: float = 4.0) -> Verdict:
    """Does a heavier body ring longer? Weight alone, and a body less stiff, which nothing here weighs."""
    def told(body: Body) -> str:
        m = _otherwise(body=body)
        f = worst_fret(m)
        lost = 100 * np.median(m.share_by_cause[3])
        return (f"{np.median(m.t60):.1f} s, share lost at the bridge {lost:.1f} %, D string weakest at fret "
                f"{f}, {m.t60[D, f]:.1f} s")

    plain = Body()
    low, high = rule("body_mass").limits
    masses = "; ".join(f"{mass:.1f} kg: {told(Body(mass=mass))}" for mass in (low, plain.mass, high))
    return Verdict(
        "a heavier body sustains longer.",
        f"bare body, median of all notes: {masses} (up to the octave). The same {plain.mass:.1f} kg at a "
        f"{softer:.0f}th of the stiffness: {told(Body(stiffness=plain.stiffness / softer))}.",
        "open. In this model weight hardly changes the typical note and moves the dead ones; but the model "
        "cannot lose much at the bridge whatever the body weighs, since it has no bridge that could give.",
        "low", "left out: the bridge, its springs, screws and saddles, and everything in the body but one "
        "stiff bar: its horns, hollows and joint, its stiffness unmeasured. Each of them could turn this")


def twist_mode() -> Verdict:
    """Which notes hang on the neck's twist: the map with and without it, and over the draws."""
    base, made = ring_map(), model.made()
    without = decay(made.instrument, NECK_12.string_set(), setup=NECK_12.setup(),
                    modes=modes(made.instrument, BENDING, 0))
    names = np.array(mode_names(made.modes))
    (s, f), (s2, f2) = worst_note(base), worst_note(without)
    lost = 60 / base.t60 - 60 / without.t60
    weak = sorted(np.argwhere((np.char.startswith(names[base.mode], "twist")) & (lost > 1)).tolist(),
                  key=lambda at: -lost[tuple(at)])
    told = "; ".join(f"{note_place(base, *at)} {base.t60[tuple(at)]:.1f} s with twist, "
                     f"{without.t60[tuple(at)]:.1f} s without" for at in weak)
    near = weak[-1]
    off = base.frequency[tuple(near)] / base.mode_frequency[base.mode[tuple(near)]] - 1
    draws = _drawn()
    worst = [names[mode[np.unravel_index(np.argmax(fall), fall.shape)]]
             for mode, fall in zip(draws.mode, draws.extra_fall, strict=True)]
    counts = ", ".join(f"{name} {worst.count(name)}" for name in sorted(set(worst), key=worst.count)[::-1])
    first = names.tolist().index("twist 1")
    low, _, high = band(made.drawn.all_at(0.0)[1][:, first])
    return Verdict(
        "only bending matters for dead spots.",
        f"weak notes that hang on twist 1 ({base.mode_frequency[first]:.0f} Hz, {low:.0f} to {high:.0f} Hz "
        f"in 90 of 100 necks): {told}. The worst note is {note_place(base, s, f)} with twist "
        f"({base.t60[s, f]:.1f} s) and {note_place(without, s2, f2)} without ({without.t60[s2, f2]:.1f} s). "
        f"Which mode makes the worst note of a neck, in {len(worst)} draws: {counts}.",
        "not quite. On this neck bending makes the dead notes, and twist weak ones on the low strings; where "
        "a twist falls right on a note it can make the worst of the neck.",
        "low", "twist hangs on the inertia of head and body across the strings, which are rough here; a mode "
        f"{100 * abs(off):.1f} % {'higher' if off > 0 else 'lower'} would lie right on "
        f"{note_place(base, *near)}")


@remember(1)
def _drawn() -> Decay:
    """Every note of necks that could be No. 12."""
    made = model.made()
    many = replace(made.instrument, neck=possible(made.instrument.neck, draws=model.DRAWS,
                                                  slot_fill=NECK_12.fretboard.slot_fill))
    return decay(many, NECK_12.string_set(), setup=NECK_12.setup(), modes=made.drawn)


def glue_lines() -> Verdict:
    """Do glue lines rob tone? Energy and loss in the fretboard's glue line, the one that is sheared when the
    neck bends."""
    modes = model.made().modes
    k = modes.causes.index("fretboard glue line")
    energy, loss = (100 * share[k, :4] for share in (modes.energy_share, modes.loss_share))
    wood = 100 * sum(share[1] for share, name in zip(modes.loss_share, modes.causes, strict=True)
                     if name.startswith(("stripe", "fretboard,", "shear")))
    return Verdict(
        "glue lines rob tone.",
        f"the fretboard's glue line, 0.1 mm of white glue, holds {energy.min():.3f} to {energy.max():.3f} % "
        f"of the energy of the first four bending modes and makes {loss.min():.2f} to {loss.max():.2f} % of "
        f"their loss; in the second mode the neck's wood makes {wood:.0f} %. The lines between stripes stand "
        "upright and are not sheared by this bending at all.",
        "no. A thin hard glue line is not strained enough to lose anything that counts.",
        "medium", "certain for stiffness; thick, soft or failed glue lines were not looked at, and the "
        "glue's loss factor is an estimate")


def stiffer_neck_maps(factor: float = STIFFER) -> LiveFigure:
    """Two decay maps one above the other: neck No. 12, and the same with every board `factor` times as stiff.
    No controls."""
    before, after = ring_map(), ring_map(stiffer=float(factor))
    a, b = worst_fret(before), worst_fret(after)
    more = f"{100 * (factor - 1):.0f} % stiffer"

    def setup(fig: Figure) -> list[tuple[DecayMap, ...]]:
        titles = ("Start design: seconds each note rings",
                  f"Every board of the neck {more}, nothing else changed")
        if not stacking.narrow(fig):
            upper, ax = fig.add_axes((0.049, 0.595, 0.941, 0.36)), fig.add_axes((0.049, 0.135, 0.941, 0.36))
            key(ax, span=False, earlier="dead in the map above")
            return [(DecayMap(upper, titles[0]),), (DecayMap(ax, titles[1]),)]
        made = []
        for part, title in zip(STACK, titles, strict=True):
            low, high = (fig.add_subplot(stacking.cell(fig, STACK, part, 34, 6, *edges))
                         for edges in ((46, 376), (258, 164)))
            key(high, span=False, earlier="dead before")
            made.append((DecayMap(low, title, 0), DecayMap(high, half=1)))
        return made

    def change(maps: list[tuple[DecayMap, ...]]) -> str:
        for first, second in zip(*maps, strict=True):
            first.show(before, chosen=(D, a))
            second.show(after, chosen=(D, b), earlier=before)
        return (f"Framed: the weakest note of the D string up to the octave, fret {a} before "
                f"({before.t60[D, a]:.1f} s), fret {b} after ({after.t60[D, b]:.1f} s). Dead before: "
                f"{dead_notes(before)}. Dead after: {dead_notes(after)}.")

    return LiveFigure(setup, change, {}, inches=(9.2, 7.2), place=None, narrow=STACK,
                      alt="Two maps of strings and frets with the seconds each note rings, before and after "
                          f"making the neck {more}")
