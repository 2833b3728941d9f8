"""Three claims about necks and attack, the sizes of what else changes it, and what two necks do on one note,
each with the calculation behind it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tonewood.draws import Array, band, written
from tonewood.lesson.first_moment.by_hand import HARD
from tonewood.lesson.first_moment.model import STRINGS, build
from tonewood.lesson.first_moment.pair import FLEXIBLE, NECKS, STIFF, Survey, most_different, survey
from tonewood.lesson.first_moment.route_words import routes_said
from tonewood.lesson.first_moment.view import STEP
from tonewood.lesson.shared.notes_played import first_moments, guitar, note, stroke
from tonewood.lesson.shared.shop import NECK_12
from tonewood.neck.design import Design
from tonewood.neck.report.evaluation import even_stiffness
from tonewood.panel.page import Shown, bullets, table
from tonewood.panel.verdict import Verdict
from tonewood.remember import remember
from tonewood.sound.attack import TIMES, compare_attack
from tonewood.sound.glide import tension_glide

SOME = (0, 3, 5, 7, 9, 12)
"""Frets of the size table, on all six strings."""
SOURCES = ("pate-2014", "pate-2013", "ray-2021", "soper", "mottola-2007", "carcagno-2018", "acoustics-2025",
           "woodhouse-2004", "jarvelainen-valimaki-2001", "jesteadt-1977", "tolonen-jarvelainen-2000")
WOOD, ONE_PIECE = "one piece of wenge to one piece of limba", "seven stripes to one piece"
PICK, CENTIMETRE, PICKUP = "pick from 160 to 60 mm", "pick moved by 10 mm", "pickup from 150 to 45 mm"


@dataclass(frozen=True, eq=False)
class Tension:
    """Hard stroke on the six open strings: glide (6,) and, by neck, what each takes of it (6,) and its share
    (6,), threshold (6,), all cents but the share."""

    glide: Array
    taken: dict[str, Array]
    share: dict[str, Array]
    threshold: Array

    def percent(self, name: str) -> str:
        """From which to which share of the glide a neck takes, in words."""
        return f"{100 * self.share[name].min():.1f} to {100 * self.share[name].max():.1f} %"


@remember(1)
def tension() -> Tension:
    """Tension of the two necks."""
    found = {}
    for name, design in NECKS.items():
        open_strings = [note(design, string, 0) for string in range(STRINGS, 0, -1)]
        glides = [tension_glide(n.line(), 1e-3 * HARD["strength"], 1e-3 * HARD["pick"], n.met().compliance)
                  for n in open_strings]
        found[name] = np.array([[float(v) for v in (g.cents_mean, g.cents_relieved, g.relieved, g.threshold)]
                                for g in glides]).T
    glide, _, _, threshold = found[STIFF]
    return Tension(glide, {n: v[1] for n, v in found.items()}, {n: v[2] for n, v in found.items()}, threshold)


def give_compresses() -> Verdict:
    """Does a flexible neck give with the string and so compress a hard attack? Returns a Verdict."""
    t = tension()
    k = int(np.argmax(np.abs(t.taken[FLEXIBLE] - t.taken[STIFF])))
    apart = float(t.taken[FLEXIBLE][k] - t.taken[STIFF][k])
    wenge, limba = (even_stiffness(guitar(NECKS[name])[0]) for name in (STIFF, FLEXIBLE))
    return Verdict(
        "a flexible neck gives with the string and compresses a hard attack.",
        f"stiffness EI {wenge:.0f} N·m² (wenge) and {limba:.0f} N·m² (limba). A hard stroke, 3 mm, raises "
        f"the pitch of the open strings by {t.glide.min():.1f} to {t.glide.max():.1f} cents while they swing "
        f"wide. The give of the neck takes {t.percent(STIFF)} of that on the wenge neck and "
        f"{t.percent(FLEXIBLE)} on the limba neck. The two necks differ by {apart:.2f} cents at most (string "
        f"{STRINGS - k}); listeners notice a glide from {t.threshold[k]:.0f} cents there (published).",
        f"no. The neck does give, but about {round(t.threshold[k] / apart, -2):.0f} times less than "
        "listeners notice, on the string where the two differ most.",
        "medium", "slow give only; the give at twice the pitch, where the tension ripples and a mode of the "
        "neck may lie, is left out")


def _other(s: Survey) -> Array:
    """Fall of the next neck: draws of the same number are alike in both woods."""
    return np.roll(s.fall_draws, 1, axis=0)


def wood_sets_attack() -> Verdict:
    """Does stiff hard wood make a sharper attack, flexible wood a rounder one? Returns a Verdict."""
    a, b = survey(STIFF), survey(FLEXIBLE)
    level, apart, worst = np.abs(b.level - a.level), b.fall - a.fall, most_different()
    across, wenge, limba = (100 * float(np.mean(np.abs(_other(s) - t.fall_draws) > STEP))
                            for s, t in ((b, a), (a, a), (b, b)))
    low, middle, high = band(np.mean(_other(b) - a.fall_draws, axis=(1, 2)))
    leans = "leans the way the trade says" if low > 0 else (
        "leans against what the trade says" if high < 0 else "may lean either way")
    return Verdict(
        "stiff hard wood gives a sharper attack, flexible wood a rounder one.",
        f"at 5 ms no note of 120 differs by more than {level.max():.2f} dB. From 5 to 200 ms the two necks "
        f"of average boards differ by {np.median(np.abs(apart)):.2f} dB on the middle note; on "
        f"{np.sum(np.abs(apart) > STEP)} of 120 notes by more than the {STEP:.1f} dB listeners notice, where "
        f"a mode of one neck lies near the note: on {np.sum(apart > STEP)} of them the limba neck falls "
        f"faster, on {np.sum(apart < -STEP)} the wenge neck. Most on {worst.name}, string {worst.string}, "
        f"fret {worst.fret}: {np.abs(apart).max():.1f} dB. Averaged over all notes limba falls "
        f"{written(middle)} dB more (90 of 100 pairs: {written(low)} to {written(high)}). Two drawn necks of "
        f"different wood differ noticeably on {across:.0f} % of their notes, two of the same wood on "
        f"{wenge:.0f} % (wenge) and {limba:.0f} % (limba).",
        "not as a character of the wood. Single notes do lose level early, on either neck, and which notes "
        f"they are changes from board to board. The average over all notes {leans}, by less than anybody is "
        "known to notice.",
        "medium", "of the four modes read of a real guitar two lie outside this model's band (lesson 00), "
        "losses of joints and hands are guessed, and no listening was done here")


@dataclass(frozen=True)
class Size:
    """What one change does, as medians over 36 notes, dB: level at 5 ms, balance of the first ten harmonics
    after matching the level, fall to 200 ms; tenth: the fall changes by more than this on one note in ten."""

    change: str
    level: float
    balance: float
    fall: float
    tenth: float

    @property
    def larger(self) -> float:
        """The larger of level and balance."""
        return max(self.level, self.balance)


def _heard(design: Design = NECK_12, age: float = 0.0, **changes: float) -> tuple[Array, Array, Array]:
    """Level, balance and fall of average boards over 36 notes. age in %; changes: of the stroke."""
    read = first_moments(design, SOME, False, age, **changes)
    power = read.harmonics([0.005, 0.05, 0.1, 0.15, 0.2]).mean(axis=-1)
    return (read.level([TIMES[0]]), 10 * np.log10(power / power.sum(axis=-1, keepdims=True)),
            read.fall([TIMES[-1]]))


@remember(1)
def sizes() -> tuple[Size, ...]:
    """The changes, largest first: stroke, pickup and strings beside wood and shape of the neck."""
    begin = _heard()
    changes = {PICKUP: (begin, _heard(pickup=45.0)), PICK: (_heard(pick=160.0), _heard(pick=60.0)),
               CENTIMETRE: (begin, _heard(pick=100.0)),
               "pull from 1 to 3 mm": (_heard(strength=1.0), _heard(strength=3.0)),
               "strings from new to well played": (begin, _heard(age=100.0)),
               "stroke from straight to 75° along the board": (_heard(direction=0.0), _heard(direction=75.0)),
               WOOD: (_heard(NECKS[STIFF]), _heard(NECKS[FLEXIBLE])),
               "neck 2 mm deeper": (begin, _heard(build(depth=22.5))),
               ONE_PIECE: (begin, _heard(build(stripes=1.0)))}
    found = []
    for name, (before, after) in changes.items():
        moved = [np.abs(y - x) for x, y in zip(before, after, strict=True)]
        found.append(Size(name, *(float(np.median(m)) for m in moved), float(np.percentile(moved[2], 90))))
    return tuple(sorted(found, key=lambda s: -s.larger))


def size_table() -> Shown:
    """The sizes as a table to show, with a bar for the larger of level and balance."""
    falls = sorted(sizes(), key=lambda s: -s.tenth)[:3]
    rows = [(s.change, *(f"{v:.2f}" for v in (s.level, s.balance, s.fall, s.tenth))) for s in sizes()]
    head = ("change", "level at 5 ms", "balance of harmonics", "fall to 200 ms", "fall, 1 note in 10: over")
    return table(head, rows,
                 f"Medians over 36 notes, dB, estimated by this lesson's model. A step of {STEP:.1f} dB "
                 "between two tones is noticed (published). Bar: the larger of level and balance. The row on "
                 "the stroke's direction rests on an assumed tenth of the sideways motion reaching the "
                 f"pickup. Largest by the last column: {'; '.join(s.change for s in falls)}.",
                 [s.larger / sizes()[0].larger for s in sizes()])


def wood_matters_less() -> Verdict:
    """In electrics the wood matters less than in acoustics, and pick, pickup and strings matter more? Returns
    a Verdict."""
    by = {s.change: s for s in sizes()}
    wood, pick, centimetre, pickup = (by[c] for c in (WOOD, PICK, CENTIMETRE, PICKUP))
    return Verdict(
        "in an electric guitar the wood matters less than in an acoustic one; pick, pickup, strings and "
        "amplifier matter more.",
        f"the balance of the first ten harmonics changes by {pick.balance:.1f} dB when the pick goes from "
        f"160 to 60 mm, {pickup.balance:.1f} dB when another pickup is chosen, {centimetre.balance:.1f} dB "
        f"when the pick moves by one centimetre, and {wood.balance:.2f} dB when a wenge neck becomes a limba "
        f"neck (medians over 36 notes). For the pickup the level changes by {pickup.level:.1f} dB too, for "
        f"the wood by {wood.level:.2f} dB. The fall from 5 to 200 ms changes by {wood.fall:.2f} dB for the "
        f"wood and {centimetre.fall:.2f} dB for the centimetre (medians); on one note in ten by more than "
        f"{wood.tenth:.1f} and {centimetre.tenth:.2f} dB, and {pick.tenth:.1f} dB for the whole way of the "
        "pick.", "it depends on what is measured. By the balance of harmonics one centimetre of pick is "
        f"{centimetre.balance / wood.balance:.0f} times the wood of the neck. By the fall the wood is "
        f"{wood.fall / centimetre.fall:.0f} times the centimetre on the middle note and "
        f"{wood.tenth / centimetre.tenth:.0f} times on the notes that change most. The pick colours every "
        "note; the wood decides which few notes die. With an acoustic guitar nothing was compared: there is "
        "none in this model.", "medium",
        "one pair of necks, one stroke; which of the two a player minds more was not asked; "
        "amplifier and loudspeaker are left out here, and they change more still; of the studies "
        "named below only abstracts were read")


def by_route(string: int | None = None, fret: int = 0) -> Shown:
    """The two necks on one note (the one they differ on most, unless given), split by route: loss at neck
    modes, and tension. Returns something to show."""
    worst = most_different()
    place = (worst.string, worst.fret) if string is None else (string, fret)
    stiff, flexible = (note(NECKS[name], *place) for name in (STIFF, FLEXIBLE))
    how = stroke(strength=HARD["strength"])
    found = compare_attack(stiff.line(), stiff.met(STIFF), flexible.met(FLEXIBLE), **how)
    return bullets([f"{stiff.name}, string {stiff.string}, fret {stiff.fret}, a hard stroke of 3 mm.",
                    *routes_said(found)])
