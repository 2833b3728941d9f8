"""Claims about sustain and dead notes, each with the calculation behind it; and the two decay maps that differ in stiffness only."""

from dataclasses import replace

import numpy as np

from tonewood.lesson.ring_and_decay.decay_map import DecayMap, key
from tonewood.panel.live_figure import LiveFigure
from tonewood.lesson.ring_and_decay.figure import STRING_NAMES, _instrument, _design, build, defaults, found, ring_map, string_word, strings
from tonewood.panel.verdict import Verdict
from tonewood.sound.decay import decay
from tonewood.wood.species import species

SOURCES = ("pate-2014", "pate-2013", "fleischer-1999", "woodhouse-2004", "mottola-2007", "christian-2011", "bremaud-2010")
"""What this lesson rests on beside the tables of woods."""

D = 2
"""The D string."""

STIFFER = 1.2
FACTORS = (1.0, 1.05, 1.1, 1.15, 1.2, 1.25, 1.3, 1.35, 1.4)
WOODS = ("hard maple", "mahogany", "sapele", "black walnut", "black cherry", "wenge", "African padauk")


def worst_fret(found_map, s=D):
    """Fret of string s that falls furthest short of the string alone."""
    return int(np.argmin(found_map.t60[s] / found_map.alone[s]))


def dead_notes(found_map):
    """Dead notes in words: "D string fret 5 (3.9 s)"."""
    words = [f"{string_word(s)} {f'fret {f}' if f else 'open'} ({found_map.t60[s, f]:.1f} s)" for s, f in np.argwhere(found_map.dead)]
    return ", ".join(words) if words else "none"


def stiff_neck_cures():
    """Does a stiffer neck cure dead notes? All boards of the neck stiffer, nothing else changed. Returns a Verdict."""
    maps = {factor: ring_map(stiffer=factor) for factor in FACTORS}
    before, after = maps[1.0], maps[STIFFER]
    a, b = worst_fret(before), worst_fret(after)
    counts = [int(np.sum(maps[f].dead)) for f in FACTORS]
    same = maps[FACTORS[-1]].t60[D, worst_fret(maps[FACTORS[-1]])]
    return Verdict("a stiff neck cures dead spots.",
                   f"start design, D string: weakest at fret {a}, T60 {before.t60[D, a]:.1f} s. All boards {100 * (STIFFER - 1):.0f} % stiffer, same weight: fret {a} rings "
                   f"{after.t60[D, a]:.1f} s, and fret {b} is the weakest with {after.t60[D, b]:.1f} s. Dead notes on the whole neck as it gets stiffer in steps of 5 %, up to "
                   f"{100 * (FACTORS[-1] - 1):.0f} %: {', '.join(map(str, counts))}. At the last step the D string's weakest fret is {worst_fret(maps[FACTORS[-1]])}, {same:.1f} s.",
                   "no, it moves them. The mode rises, so the note that meets it lies higher. How many notes die and how badly depends on whether a mode falls on a fret "
                   "or between two, and goes up and down without a trend.",
                   "high", "that dead notes move is certain; the fret is right within one or two")


def stiff_neck_sustains():
    """Does a stiffer neck ring longer? Median over all notes, and single notes. Returns a Verdict."""
    base, rows = ring_map().t60, []
    for factor in FACTORS[1:]:
        ratio = ring_map(stiffer=factor).t60 / base
        rows.append((np.median(ring_map(stiffer=factor).t60) / np.median(base), np.sum(ratio > 1.02), np.sum(ratio < 0.98), ratio.min()))
    gain, longer, shorter, worst = (np.array(v) for v in zip(*rows))
    k = FACTORS.index(STIFFER) - 1
    return Verdict("a stiff neck gives more sustain.",
                   f"boards {100 * (STIFFER - 1):.0f} % stiffer: the median of all 138 notes changes by {100 * (gain[k] - 1):+.0f} %; {longer[k]} notes ring more than 2 % longer, {shorter[k]} "
                   f"more than 2 % shorter, one falls to {100 * worst[k]:.0f} % of its time. Over all steps from 5 to {100 * (FACTORS[-1] - 1):.0f} % stiffer the median changes by "
                   f"{100 * (gain.min() - 1):+.0f} to {100 * (gain.max() - 1):+.0f} %, and in each of them some note falls to {100 * worst.max():.0f} % or less.",
                   "hardly, and only on average. Off resonance most of the loss is the string's own and the air's; a stiffer neck cannot give that back. Single notes can get "
                   "much worse.",
                   "medium", "strings' own losses are from memory and decide how much the neck can matter")


def clamp_moves():
    """Does weight on the headstock move dead notes? Returns a Verdict."""
    weights = (0, 50, 100, 200)
    maps = [ring_map(clamp=float(w)) for w in weights]
    told = "; ".join(f"{w} g: {m.mode_frequency[4]:.0f} Hz, D string weakest at fret {worst_fret(m)} ({m.t60[D, worst_fret(m)]:.1f} s)" for w, m in zip(weights, maps))
    twist = len(maps[0].mode_frequency) - 3
    change = abs(maps[2].mode_frequency[twist] - maps[0].mode_frequency[twist])
    return Verdict("a clamp or a heavier headstock changes dead spots.",
                   f"clamp, second bending mode, weakest fret: {told}. The first twisting mode moves by {change:.0f} Hz: a clamp on the centre line adds nothing to twist, so dead notes "
                   "made by twist stay.",
                   "yes. Weight at the head lowers the bending modes, and the dead notes they make move down the board. Moved, not removed; it is the cheapest test there is.",
                   "high")


def neck_through(step=0.005):
    """Does a neck-through ring longer? What all joints and hardware together could take, and the one test that was found. Returns a Verdict."""
    instrument = build(**defaults())
    base = ring_map()
    maps = {loss: decay(replace(instrument, added_loss=loss), strings()) for loss in (0.0, 2 * step)}
    change = {loss: 100 * (np.median(m.t60) / np.median(base.t60) - 1) for loss, m in maps.items()}
    s, f = D, worst_fret(base)
    return Verdict("a neck-through sustains longer.",
                   f"all that joint, hardware and hands lose is one number here, loss factor {1000 * step:.0f} thousandths (from memory). With none at all the median of all notes rises by "
                   f"{change[0.0]:.0f} %; with twice as much it changes by {change[2 * step]:+.0f} %. The dead note at D string fret {f}: {maps[0.0].t60[s, f]:.1f} s with none, "
                   f"{base.t60[s, f]:.1f} s, {maps[2 * step].t60[s, f]:.1f} s with twice as much. One published controlled test was found, one instrument built neck-through, "
                   "then bolted, then glued: listeners heard no difference, and the longest sustain was measured with the bolts (Mottola 2007; abstract read only).",
                   "not shown. A lossless joint could add a few percent on ordinary notes and more on dead ones; the one test found points the other way, and one instrument "
                   "proves nothing either way.",
                   "low", "n = 1, abstract only; the model knows the joint only as one lumped loss")


def species_voice():
    """Does a species have a voice? Second bending mode of one-piece necks of several woods, against its spread within one. Returns a Verdict."""
    middle, bands = {}, {}
    for name in WOODS:
        one = found(main=species(name).key, stripes=1)
        middle[name] = float(np.median(one.drawn.frequency[:, 1]))
        bands[name] = np.percentile(one.drawn.frequency[:, 1], [5, 95])
    low, high = min(middle, key=middle.get), max(middle, key=middle.get)
    inside = bands[WOODS[0]]
    overlap = sum(bands[a][1] >= bands[b][0] and bands[b][1] >= bands[a][0] for i, a in enumerate(WOODS) for b in WOODS[i + 1:])
    pairs = len(WOODS) * (len(WOODS) - 1) // 2
    return Verdict("each wood has a voice of its own in a solid instrument.",
                   f"one-piece necks, second bending mode, middle of the draws: from {middle[low]:.0f} Hz ({low}) to {middle[high]:.0f} Hz ({high}), "
                   f"{12 * np.log2(middle[high] / middle[low]):.1f} frets apart. Within {WOODS[0]} alone, boards, fretboard and fret slots as they vary, 90 of 100 necks lie between {inside[0]:.0f} and {inside[1]:.0f} Hz, "
                   f"{12 * np.log2(inside[1] / inside[0]):.1f} frets apart. Of {pairs} pairs of these woods {overlap} have overlapping bands.",
                   "not established, and not disproved. Woods do shift the modes, measurably; the boards of one wood shift them as much. Two necks that sound different "
                   "need not differ by their wood's name. No blind test was found in which listeners told woods apart on solid bodies.",
                   "medium", "the search for listening tests was not complete; published pairs differ in dead notes (ebony and rosewood boards, one pair, Paté 2013, opening read)")


def heavy_body():
    """Does a heavier body ring longer? Returns a Verdict."""
    from tonewood.sound.instrument import Body
    instrument = build(**defaults())
    masses = (1.6, 2.2, 3.6)
    maps = [decay(replace(instrument, body=Body(mass=m)), strings()) for m in masses]
    told = "; ".join(f"{m:.1f} kg: {np.median(x.t60):.1f} s, share lost at the bridge {100 * np.median(x.share_by_cause[3]):.1f} %, weakest fret of the D string {worst_fret(x)}"
                     for m, x in zip(masses, maps))
    return Verdict("a heavier body sustains longer.",
                   f"bare body, median of all notes: {told}.",
                   "hardly. So little is lost at the bridge end of a solid body that its weight cannot matter much; what does change is the pitch of the modes, so dead notes "
                   "move.",
                   "medium", "the body is a plain stiff bar here; hollow bodies and soft bridges are another matter")


def glue_lines():
    """Do glue lines rob tone? Energy and loss in the fretboard's glue line, the one that is sheared when the neck bends. Returns a Verdict."""
    modes = _instrument(_design(defaults()))[1]
    k = modes.causes.index("fretboard glue line")
    energy, loss = (100 * share[k, :4] for share in (modes.energy_share, modes.loss_share))
    wood = 100 * sum(modes.loss_share[i, 1] for i, name in enumerate(modes.causes) if name.startswith(("stripe", "fretboard,", "shear")))
    return Verdict("glue lines rob tone.",
                   f"the fretboard's glue line, 0.1 mm of white glue, holds {energy.min():.3f} to {energy.max():.3f} % of the energy of the first four bending modes and makes "
                   f"{loss.min():.2f} to {loss.max():.2f} % of their loss; in the second mode the neck's wood makes {wood:.0f} %. The lines between stripes stand upright and are not "
                   "sheared by this bending at all.",
                   "no. A thin hard glue line is not strained enough to lose anything that counts.",
                   "medium", "certain for stiffness; thick, soft or failed glue lines were not looked at, and the glue's loss factor is an estimate")


def stiffer_neck_maps(factor=STIFFER):
    """Two decay maps one above the other: the start design, and the same with every board of the neck `factor` times as stiff. A picture without controls."""
    before, after = ring_map(), ring_map(stiffer=float(factor))
    names = [name.replace(" · ", " ").replace("low ", "").replace("high ", "") for name in STRING_NAMES]

    def setup(fig):
        upper = DecayMap(fig.add_axes((0.045, 0.595, 0.945, 0.36)), names, 22, "Start design: seconds each note rings", 8.5)
        ax = fig.add_axes((0.045, 0.135, 0.945, 0.36))
        lower = DecayMap(ax, names, 22, f"Every board of the neck {100 * (factor - 1):.0f} % stiffer, nothing else changed", 8.5)
        key(ax, span=False, earlier="dead in the map above")
        return upper, lower

    def change(maps):
        maps[0].show(before, chosen=(D, worst_fret(before)))
        maps[1].show(after, chosen=(D, worst_fret(after)), earlier=before)
        return (f"Framed: the weakest note of the D string, fret {worst_fret(before)} before ({before.t60[D, worst_fret(before)]:.1f} s), fret {worst_fret(after)} after "
                f"({after.t60[D, worst_fret(after)]:.1f} s). Dead before: {dead_notes(before)}. Dead after: {dead_notes(after)}.")

    return LiveFigure(setup, change, {}, inches=(10.0, 7.2), place=None,
                      alt=f"Two maps of strings and frets with the seconds each note rings, before and after making the neck {100 * (factor - 1):.0f} % stiffer")
