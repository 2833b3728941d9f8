"""Three claims about necks and attack, the sizes of what else changes it, and what two necks do on one note, each with the calculation behind it."""

from dataclasses import dataclass
from functools import lru_cache
from html import escape

import numpy as np

from tonewood.lesson.first_moment.figure import STEP, defaults
from tonewood.lesson.first_moment.model import attack_design, ends_of, guitar, note_name, strings
from tonewood.lesson.first_moment.route_words import routes_said
from tonewood.lesson.first_moment.pair import FLEXIBLE, NECKS, STIFF, most_different, start_stroke, survey
from tonewood.panel.page import Shown
from tonewood.panel.verdict import Verdict
from tonewood.neck.report.evaluation import even_stiffness
from tonewood.sound.attack import TIMES, compare_attack
from tonewood.sound.early_decay import early_decay
from tonewood.sound.compliance import compliance_along
from tonewood.sound.glide import tension_glide
from tonewood.sound.partials import speaking_string

SOME = (0, 3, 5, 7, 9, 12)
"""Frets of the size table, on all six strings."""
HARD, HARD_PLACE = 0.003, 0.11
"""A hard stroke: 3 mm at 110 mm from the bridge (common practice, no source)."""
SOURCES = ("pate-2014", "pate-2013", "ray-2021", "soper", "mottola-2007", "carcagno-2018", "acoustics-2025", "woodhouse-2004", "jarvelainen-valimaki-2001",
           "jesteadt-1977", "tolonen-jarvelainen-2000")


@dataclass(frozen=True, eq=False)
class Tension:
    """Hard stroke on the six open strings: glide (6,) and what each neck takes of it (6,), share taken (6,), threshold (6,), all cents but the share."""

    glide: np.ndarray
    taken: dict
    share: dict
    threshold: np.ndarray


@lru_cache(maxsize=1)
def tension():
    """Tension of the two necks."""
    lines = [speaking_string(strings(), i) for i in range(6)]
    found = {name: [tension_glide(line, HARD, HARD_PLACE, compliance_along(guitar(**NECKS[name])[0], strings(), i)) for i, line in enumerate(lines)] for name in NECKS}
    each = lambda name, field: np.array([float(getattr(g, field)) for g in found[name]])  # noqa: E731
    return Tension(each(STIFF, "cents_mean"), {n: each(n, "cents_relieved") for n in NECKS}, {n: each(n, "relieved") for n in NECKS}, each(STIFF, "threshold"))


def give_compresses():
    """Does a flexible neck give with the string and so compress a hard attack? Returns a Verdict."""
    t = tension()
    k = int(np.argmax(np.abs(t.taken[FLEXIBLE] - t.taken[STIFF])))
    apart = float(t.taken[FLEXIBLE][k] - t.taken[STIFF][k])
    return Verdict("a flexible neck gives with the string and compresses a hard attack.",
                   f"stiffness EI {even_stiffness(guitar(**NECKS[STIFF])[0]):.0f} N·m² (wenge) and {even_stiffness(guitar(**NECKS[FLEXIBLE])[0]):.0f} N·m² (limba). A hard stroke, 3 mm, raises "
                   f"the pitch of the open strings by {t.glide.min():.1f} to {t.glide.max():.1f} cents while they swing wide. The give of the neck takes {100 * t.share[STIFF].min():.1f} to "
                   f"{100 * t.share[STIFF].max():.1f} % of that on the wenge neck and {100 * t.share[FLEXIBLE].min():.1f} to {100 * t.share[FLEXIBLE].max():.1f} % on the limba neck. The two necks "
                   f"differ by {apart:.2f} cents at most (string {6 - k}); listeners notice a glide from {t.threshold[k]:.0f} cents there (published).",
                   f"no. The neck does give, but about {round(t.threshold[k] / apart, -2):.0f} times less than listeners notice, on the string where the two differ most.",
                   "high", "slow give only; the ripple of the tension at twice the pitch is left out")


def wood_sets_attack():
    """Does stiff hard wood make a sharper attack, flexible wood a rounder one? Returns a Verdict."""
    a, b = survey(STIFF), survey(FLEXIBLE)
    level, apart = np.abs(b.level - a.level), b.fall - a.fall
    other = lambda s: np.roll(s.fall_draws, 1, axis=0)               # the next neck: draws of the same number are alike in both woods  # noqa: E731
    across = float(np.mean(np.abs(other(b) - a.fall_draws) > STEP))
    same = [float(np.mean(np.abs(other(s) - s.fall_draws) > STEP)) for s in (a, b)]
    mean = np.mean(other(b) - a.fall_draws, axis=(1, 2))
    low, middle, high = np.percentile(mean, [5, 50, 95])
    string, fret = most_different()
    return Verdict("stiff hard wood gives a sharper attack, flexible wood a rounder one.",
                   f"at 5 ms no note of 120 differs by more than {level.max():.2f} dB. From 5 to 200 ms the two necks of average boards differ by {np.median(np.abs(apart)):.2f} dB on the middle note; on "
                   f"{np.sum(np.abs(apart) > STEP)} of 120 notes by more than the {STEP:.1f} dB listeners notice, where a mode of one neck lies near the note: on {np.sum(apart > STEP)} of them the "
                   f"limba neck falls faster, on {np.sum(apart < -STEP)} the wenge neck. Most on {note_name(string, fret)}, string {string}, fret {fret}: {np.abs(apart).max():.1f} dB. "
                   f"Averaged over all notes limba falls {middle:.2f} dB more (90 of 100 pairs: {low:.2f} to {high:.2f}). Two drawn necks of different wood differ noticeably on {100 * across:.0f} % "
                   f"of their notes, two of the same wood on {100 * same[0]:.0f} % (wenge) and {100 * same[1]:.0f} % (limba).",
                   "not as a character of the wood. Single notes do lose level early, on either neck, and which notes they are changes from board to board. The average leans the way the trade "
                   "says, by less than anybody is known to notice.",
                   "medium", "mode frequencies are good to about 5 %, losses of joints and hands are guessed, and no listening was done here")


@dataclass(frozen=True)
class Size:
    """What one change does, as medians over 36 notes [dB]: level at 5 ms, balance of the first ten harmonics after matching the level, fall to 200 ms;
    tenth: the fall changes by more than this on one note in ten."""

    change: str
    level: float
    balance: float
    fall: float
    tenth: float


def _heard(design, age=0.0, **changes):
    neck, normal, along, *_ = guitar(**design)
    level, balance, fall = [], [], []
    for string in range(6, 0, -1):
        for fret in SOME:
            q = early_decay(speaking_string(strings(), 6 - string, fret, age), ends_of(neck, normal, string, fret), ends_of(neck, along, string, fret), harmonics=10, **start_stroke(**changes))
            power = q.harmonics(np.array([0.005, 0.05, 0.1, 0.15, 0.2])).mean(axis=-1)
            level.append(q.level([TIMES[0]])[0])
            balance.append(10 * np.log10(power / power.sum()))
            fall.append(q.fall([TIMES[-1]])[0])
    return np.array(level), np.array(balance), np.array(fall)


@lru_cache(maxsize=1)
def sizes():
    """A tuple of Size, largest change of balance first: stroke, pickup and strings beside wood and shape of the neck."""
    start = {name: defaults()[name] for name in ("wood", "stripes", "depth")}
    begin = _heard(start)
    changes = {
        "pickup from 150 to 45 mm": (begin, _heard(start, pickup=45.0)), "pick from 160 to 60 mm": (_heard(start, pick=160.0), _heard(start, pick=60.0)),
        "pick moved by 10 mm": (begin, _heard(start, pick=100.0)), "pull from 1 to 3 mm": (_heard(start, strength=1.0), _heard(start, strength=3.0)),
        "strings from new to well played": (begin, _heard(start, age=1.0)), "stroke from straight to 75° along the board": (_heard(start, direction=0.0), _heard(start, direction=75.0)),
        "one piece of wenge to one piece of limba": (_heard(NECKS[STIFF]), _heard(NECKS[FLEXIBLE])), "neck 2 mm deeper": (begin, _heard({**start, "depth": 22.5})),
        "seven stripes to one piece": (begin, _heard({**start, "stripes": 1.0})),
    }
    found = [Size(name, *(float(np.median(np.abs(y - x))) for x, y in zip(*pair)), float(np.percentile(np.abs(pair[1][2] - pair[0][2]), 90))) for name, pair in changes.items()]
    return tuple(sorted(found, key=lambda s: -max(s.level, s.balance)))


def size_table():
    """The sizes as a table to show, with a bar for the larger of level and balance."""
    most = max(max(s.level, s.balance) for s in sizes())
    rows = "".join(f"<tr><th scope='row' style='text-align:left;font-weight:normal'>{escape(s.change)}</th>" + "".join(f"<td style='text-align:right'>{v:.2f}</td>" for v in (s.level, s.balance, s.fall, s.tenth))
                   + f"<td style='text-align:left;min-width:160px'><div aria-hidden='true' style='background:#0072B2;height:10px;width:{max(1, 150 * max(s.level, s.balance) / most):.0f}px'></div></td></tr>"
                   for s in sizes())
    note = (f"Medians over 36 notes, dB, estimated by this lesson's model. A step of {STEP:.1f} dB between two tones is noticed (published). Bar: the larger of level and balance. "
            "The row on the stroke's direction rests on an assumed tenth of the sideways motion reaching the pickup.")
    head = "".join(f"<th scope='col' style='text-align:right'>{h}</th>" for h in ("level at 5 ms", "balance of harmonics", "fall to 200 ms", "fall, 1 note in 10: over")) + "<th scope='col'></th>"
    html = f"<table><caption style='caption-side:bottom;text-align:left'>{note}</caption><thead><tr><th scope='col' style='text-align:left'>change</th>{head}</tr></thead><tbody>{rows}</tbody></table>"
    plain = "\n".join(f"{s.change}: level {s.level:.2f} dB, balance {s.balance:.2f} dB, fall {s.fall:.2f} dB, on one note in ten over {s.tenth:.2f} dB" for s in sizes())
    return Shown(html, f"{plain}\n({note})")


def wood_matters_less():
    """In electrics the wood matters less than in acoustics, and pick, pickup and strings matter more? Returns a Verdict."""
    by = {s.change: s for s in sizes()}
    wood, pick, centimetre, pickup = (by[c] for c in ("one piece of wenge to one piece of limba", "pick from 160 to 60 mm", "pick moved by 10 mm", "pickup from 150 to 45 mm"))
    return Verdict("in an electric guitar the wood matters less than in an acoustic one; pick, pickup, strings and amplifier matter more.",
                   f"the balance of the first ten harmonics changes by {pick.balance:.1f} dB when the pick goes from 160 to 60 mm, {pickup.balance:.1f} dB when another pickup is chosen, "
                   f"{centimetre.balance:.1f} dB when the pick moves by one centimetre, and {wood.balance:.2f} dB when a wenge neck becomes a limba neck (medians over 36 notes). "
                   f"For the pickup the level changes by {pickup.level:.1f} dB too, for the wood by {wood.level:.2f} dB.",
                   f"the second half holds in this model: one centimetre of pick is {centimetre.balance / wood.balance:.0f} times as much as the wood of the neck. The first half was not computed: "
                   "there is no acoustic guitar in this model.",
                   "medium", "amplifier and loudspeaker are left out here, and they change more still; of the studies named below only abstracts were read")


def by_route(string=None, fret=None):
    """The two necks on one note (the one they differ on most, unless given), split by route: loss at neck modes, and tension. Returns something to show."""
    string, fret = most_different() if string is None else (int(string), int(fret))
    designs = [attack_design(name, NECKS[name], string, fret) for name in (STIFF, FLEXIBLE)]
    how = start_stroke(strength=3.0)
    found = compare_attack(speaking_string(strings(), 6 - string, fret), *designs, **how)
    words = [f"{note_name(string, fret)}, string {string}, fret {fret}, a hard stroke of 3 mm."] + routes_said(found)
    return Shown("<ul>" + "".join(f"<li>{escape(w)}</li>" for w in words) + "</ul>", "\n".join(f"- {w}" for w in words))
