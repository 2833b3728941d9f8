"""What a player asks for, in plain choices, and what that means in numbers.

The scales are this project's convention: what "firm" means in N m2 is common practice put into a number by
judgement, no source; each target says why. What wood cannot deliver is found by `doubts`: keys and numbers,
the words are the lesson's.
"""

from __future__ import annotations

import os
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tonewood import checks, files
from tonewood.brief.balance import Instrument, Rest, rest_of, strap_balance
from tonewood.brief.quick import Terms, quick_for
from tonewood.brief.rack import Rack
from tonewood.brief.scoring import Target
from tonewood.brief.space import LayUp, Space
from tonewood.neck.design import Design, StringPlan
from tonewood.neck.design_file import closed, made, opened, plain
from tonewood.wood.climate import place
from tonewood.wood.facts import protected
from tonewood.wood.species import species

SCHEMA, VERSION = "tonewood brief", 1
HANDS = {"light": 0.00010, "medium": 0.00015, "hard": 0.00020}
"""How hard they play, and by how much (m) the relief may swing over the year before that player must turn the
rod: low action leaves less room. Judgement, no source."""
ACTIONS = {"light": (0.0018, 0.0014), "medium": (0.0020, 0.0016), "hard": (0.0023, 0.0018)}
"""The action (m) of bass and treble string that such a hand is given; common practice, no source."""
HIGHER = 0.0005
"""What a bass has more of it (m); common practice, no source."""
GIVES = {"soft": (200.0, 340.0), "even": (320.0, 440.0), "firm": (420.0, 580.0), "very firm": (540.0, 1200.0),
         "any": None}
"""How the neck should feel under the hand, and its even bending stiffness (N m2) for a guitar's scale.
Judgement, no source: No. 12 is at the firm end of even."""
ATTACKS = {"rounder": (0.0075, None), "sharper": (None, 0.0070), "any": None}
"""The attack wished for, and the loss factor of the neck that leans that way. Judgement, no source; the pick
and its place do far more."""
LOOKS = ("pale", "warm", "dark", "any")
AVOID = ("nothing", "woods with permits", "threatened woods too")
ROD_RESERVE = 0.6
"""Share of the rod's limit a new neck may use: the rest is for creep and for other strings. Judgement."""
EDGES = 0.0004
"""Swing of the width (m) over the year from which fret ends are felt on both sides: judgement, no source."""
RANGE = {"bass four": 2.6, "bass five": 2.8, "eight": 1.5, "seven": 1.2}
"""Factor on the stiffness scale for wider and longer necks: a hand feels the neck of its own kind. Judgement.
"""


@dataclass(frozen=True, kw_only=True)
class Brief:
    """A player's wishes. Raises ValueError.

    client: what to call them; words: what they said; strings: StringPlan; scale_length (m); hand: of HANDS;
    give: of GIVES; attack: of ATTACKS; alive: notes that must not die, (string from 1 at the bass, fret);
    weight: of the whole instrument at most, kg, None: no limit; level: whether it must hang level on a strap;
    look: of LOOKS, of the neck's main wood; fretboard_look; figure: whether stripes should show; town; avoid:
    of AVOID; budget: for the neck's wood at most, in the rack's money, None: no limit.
    """

    client: str
    words: str = ""
    strings: StringPlan = StringPlan()
    scale_length: float = 0.648
    hand: str = "medium"
    give: str = "even"
    attack: str = "any"
    alive: tuple[tuple[int, ...], ...] = ()
    weight: float | None = None
    level: bool = True
    look: str = "any"
    fretboard_look: str = "any"
    figure: bool = True
    town: str = "Chicago"
    avoid: str = "nothing"
    budget: float | None = None

    def __post_init__(self) -> None:
        if not str(self.client).strip():
            raise ValueError("client: nothing given; accepted: a few words to call them by")
        checks.length("scale length", self.scale_length, 0.2, 1.2)
        for name, options in (("hand", HANDS), ("give", GIVES), ("attack", ATTACKS), ("look", LOOKS),
                              ("fretboard_look", LOOKS), ("avoid", AVOID)):
            checks.choice(name.replace("_", " "), getattr(self, name), options)
        object.__setattr__(self, "alive", tuple(tuple(note) for note in self.alive))
        strings = len(self.strings_of())
        for note in self.alive:
            if len(note) != 2:
                raise ValueError(f"note that must not die: {note!r} given; accepted: (string, fret)")
            checks.whole("string of a note that must not die (1 is the bass-most)", note[0], 1, strings)
            checks.whole("fret of a note that must not die", note[1], 0, 36)
        if self.weight is not None:
            checks.number("weight of the instrument", self.weight, 0.5, 12.0, "kg", lambda v:
                          f"Did you mean {v / 1000:g} kg ({v:g} g)?" if v >= 500 else None)
        if self.budget is not None:
            checks.number("budget for the neck's wood", self.budget, 0.0, open_low=True)
        place(self.town)

    def strings_of(self) -> tuple[str, ...]:
        """Notes of the open strings, names from bass to treble.

        >>> Brief(client="a friend").strings_of()[0]
        'E2'
        """
        from tonewood.strings.pitch import TUNINGS, notes

        return notes(TUNINGS[self.strings.tuning])

    def base(self, design: Design) -> Design:
        """A design with what the brief settles: strings, scale length, town, and action by the hand (m).

        >>> from tonewood.neck.design import example_design
        >>> Brief(client="a friend", hand="light").base(example_design()).action_bass
        0.0018
        """
        bass, treble = ACTIONS[self.hand]
        if self.strings.set.startswith("bass"):
            bass, treble = bass + HIGHER, treble + HIGHER
        return design.changed(strings=self.strings, scale_length=self.scale_length, town=self.town,
                              action_bass=bass, action_treble=treble)


def targets(brief: Brief, whole: Instrument | None = None) -> tuple[Target, ...]:
    """The targets of a brief in SI, hard limits first, each with its reason. whole: the instrument, for
    weight and balance (None: these two are left out). Raises ValueError.

    >>> [t.quantity for t in targets(Brief(client="a friend", weight=3.5))]
    ['rod', 'seasons', 'stiffness', 'width']
    """
    found = [Target(quantity="rod", high=ROD_RESERVE, why="the rod keeps room for creep and other strings"),
             Target(quantity="seasons", high=HANDS[brief.hand],
                    why=f"a {brief.hand} hand notices more than that over the year in {brief.town}")]
    if whole is not None and brief.weight is not None:
        found.append(Target(quantity="weight", high=brief.weight, why="the weight asked for"))
    if whole is not None and brief.level:
        limit = strap_balance(0.5, *whole.buttons).limit
        found.append(Target(quantity="balance", low=limit, why="level on a strap, by the belt rule"))
    if brief.alive:
        found.append(Target(quantity="dead notes", high=0.5, why="these notes must ring"))
    if brief.avoid != "nothing":
        found.append(Target(quantity="protected", high=0.0, why=f"without {brief.avoid}"))
    if brief.budget is not None:
        found.append(Target(quantity="price", high=brief.budget, why="the budget"))
        found.append(Target(quantity="stock", high=0.0, why="from the boards on the rack"))
    scale = GIVES[brief.give]
    if scale is not None:
        factor = RANGE.get(brief.strings.set, 1.0)
        found.append(Target(quantity="stiffness", low=scale[0] * factor, high=scale[1] * factor, must=False,
                            why=f"{brief.give} under the hand"))
    found.append(Target(quantity="width", high=EDGES, must=False, why="edges that stay with their frets"))
    lean = ATTACKS[brief.attack]
    if lean is not None:
        found.append(Target(quantity="loss factor", low=lean[0], high=lean[1], must=False,
                            why=f"leans to a {brief.attack} attack; the pick does more"))
    return tuple(found)


def allowed(brief: Brief, woods: Iterable[str]) -> tuple[str, ...]:
    """Those of the woods (keys or names) that the brief does not rule out by protection; own woods stay.

    >>> allowed(Brief(client="a friend", avoid="threatened woods too"), ["wenge", "hard_maple"])
    ('hard_maple',)
    """
    if brief.avoid == "nothing":
        return tuple(woods)
    return tuple(w for w in woods if not protected(species(w).key, threatened=brief.avoid == AVOID[2]))


@dataclass(frozen=True)
class Doubt:
    """Something wood cannot deliver, or not alone: its key (the lesson has the words) and its numbers."""

    key: str
    numbers: dict[str, Any]


def doubts(brief: Brief, space: Space, whole: Instrument | None = None, rack: Rack | None = None
           ) -> tuple[Doubt, ...]:
    """What a brief asks that wood cannot give at all, found before any search by the far ends of the space.

    Keys: "attack" (always, where one is wished: wood is the smaller part), "too heavy" (least and asked, kg),
    "head dives" (best and needed, m), "stiffness" (softest and stiffest, N m2), "notes" (a dead note moves
    rather than goes), "seasons" (least swing and asked, m), "money" (least, asked). Estimated on the lay-ups
    at the far ends of the space by their middle values.

    >>> from tonewood.brief.search import example_search
    >>> [doubt.key for doubt in doubts(Brief(client="a friend", attack="sharper"), example_search().space)]
    ['attack', 'stiffness']
    """
    found = []
    if brief.attack != "any":
        found.append(Doubt("attack", {"wish": brief.attack}))
    if brief.alive:
        found.append(Doubt("notes", {"count": len(brief.alive)}))
    terms = Terms(base=space.base, woods=space.woods, draws=20, modes=0)
    quick = quick_for(terms)
    tried = _ends(space)
    values = [quick(layup) for layup in tried]
    if whole is not None:
        rest: Rest = rest_of(space.base, whole)
        weighed = [rest.total(v.mass, v.moment, v.blank) for v in values]
        least = min(float(m.mean()) for m, _ in weighed)
        if brief.weight is not None and least > brief.weight:
            found.append(Doubt("too heavy", {"least": least, "asked": brief.weight, "rest": rest.mass}))
        limit, best = strap_balance(0.5, *whole.buttons).limit, max(float(c.mean()) for _, c in weighed)
        if brief.level and best < limit:
            found.append(Doubt("head dives", {"best": best, "needed": limit}))
    scale = GIVES[brief.give]
    if scale is not None:
        factor = RANGE.get(brief.strings.set, 1.0)
        soft, stiff = (f(float(v.stiffness.mean()) for v in values) for f in (min, max))
        if stiff < scale[0] * factor or soft > scale[1] * factor:
            found.append(Doubt("stiffness", {"softest": soft, "stiffest": stiff, "low": scale[0] * factor,
                                             "high": scale[1] * factor}))
    if rack is not None and brief.budget is not None:
        cheapest = min(rack.price_and_lack(layup, space.base)[0] for layup in tried)
        if cheapest > brief.budget:
            found.append(Doubt("money", {"least": cheapest, "asked": brief.budget}))
    swing = min(float(v.swing.mean()) for v in values)
    if swing > HANDS[brief.hand]:
        found.append(Doubt("seasons", {"least": swing, "asked": HANDS[brief.hand]}))
    return tuple(found)


def _ends(space: Space) -> list[LayUp]:
    """Lay-ups at the far ends: every main wood with every fretboard and bar set, fewest and most stripes."""
    found: dict[tuple[Any, ...], LayUp] = {}
    for layup in space:
        key = layup.stripes[0][0], layup.fretboard, layup.bars, len(layup.stripes) in (min(space.counts),
                                                                                     max(space.counts))
        found.setdefault(key, layup)
    return list(found.values())


def to_text(brief: Brief) -> str:
    """The brief as JSON text, the unit in every key of a size.

    >>> from_text(to_text(Brief(client="a friend"))) == Brief(client="a friend")
    True
    """
    return closed(SCHEMA, VERSION, plain(brief))


def from_text(text: str, where: str = "brief") -> Brief:
    """The Brief of a JSON text. Raises ValueError naming `where`, the field and what is accepted.

    >>> from_text('{"schema": "tonewood brief", "version": 9}')
    Traceback (most recent call last):
    ValueError: brief, version: 9 given; accepted: up to 1. A newer edition of these lessons wrote it; open \
it there, or bring this one up to date
    """
    data = opened(text, where, SCHEMA, VERSION)
    return made(Brief, {key: value for key, value in data.items() if key != "version"}, where)


def save(brief: Brief, path: str | os.PathLike[str]) -> Path:
    """Write a brief to a file, whole or not at all; the version before is kept. Returns the path. Raises
    ValueError.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     load(save(Brief(client="a friend"), Path(folder) / "brief.json")).client
    'a friend'
    """
    return files.write(path, to_text(brief))


def load(path: str | os.PathLike[str]) -> Brief:
    """The Brief kept in a file. Raises ValueError that names the file and the field.

    >>> load("nowhere.json")
    Traceback (most recent call last):
    ValueError: nowhere.json: no such file; accepted: a file that was kept before
    """
    return from_text(files.read(path), Path(path).name)
