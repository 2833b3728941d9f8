"""Three invented clients of the invented Quillmere workshop: each a brief in a file, an instrument to build
on, and the lay-ups the workshop is willing to make for it.

Nobody of that description is meant. Sizes are round numbers, common practice, no source; prices of the rack
are invented, in crowns.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from tonewood.brief.balance import Head, Instrument, rest_of
from tonewood.brief.body import BodyPlan, Chamber, example_outline
from tonewood.brief.brief import Brief, Doubt, allowed, doubts, load, targets
from tonewood.brief.dead_windows import windows_for
from tonewood.brief.quick import Terms
from tonewood.brief.rack import Rack, read_rack
from tonewood.brief.scoring import Job
from tonewood.brief.space import Space
from tonewood.checks import choice
from tonewood.lesson.shared.shop import CHANNEL, NECK_12, REINFORCEMENT
from tonewood.lesson.shared.wood_colours import lightness, tone
from tonewood.neck.design import Design
from tonewood.neck.layup.neck import Back, Bar, Outline
from tonewood.remember import remember
from tonewood.tables import data_folder
from tonewood.wood.species import species

DRAWS = 100
"""Possible necks a lay-up in the lessons' searches: the share of a hundred necks is good to ±10 then."""
BARS = REINFORCEMENT["two shallow carbon bars (3 × 6 mm)"]
WIDE_BARS = (Bar(-0.0115, depth=0.008), Bar(0.0115, depth=0.008))
LIGHT_FROM = {"pale": (0.70, 1.0), "warm": (0.36, 0.72), "dark": (0.0, 0.40), "any": (0.0, 1.0)}
"""Lightness (0 to 1) of a drawing tone that counts as pale, warm or dark: judgement, by eye."""


@dataclass(frozen=True, kw_only=True)
class Client:
    """One client: key, title, brief, base Design with all that is settled, whole Instrument, woods for main
    (and centre), accent and fretboard, counts of stripes, sets of bars."""

    key: str
    title: str
    brief: Brief
    base: Design
    whole: Instrument
    main: tuple[str, ...]
    accent: tuple[str, ...]
    fretboards: tuple[str, ...]
    counts: tuple[int, ...]
    bars: tuple[tuple[Bar, ...], ...]

    def space(self) -> Space:
        """The lay-ups to search: the woods, less those the brief rules out by protection or look."""
        brief = self.brief
        main, boards = (looking(allowed(brief, given), look) for given, look in (
            (self.main, brief.look), (self.fretboards, brief.fretboard_look)))
        return Space(base=self.base, main=main, accent=allowed(brief, self.accent),
                     centre=tuple(dict.fromkeys((*main, *allowed(brief, self.accent)))), fretboards=boards,
                     counts=self.counts, bars=self.bars, ring_angles=(0.0, np.pi / 2))

    def job(self, draws: int = DRAWS, rack: Rack | None = None) -> Job:
        """What a search of it works out."""
        space, brief = self.space(), self.brief
        terms = Terms(base=self.base, woods=space.woods, draws=draws)
        return Job(terms=terms, targets=targets(brief, self.whole), rest=rest_of(self.base, self.whole),
                   rack=rack or the_rack(),
                   windows=windows_for([(string - 1, fret) for string, fret in brief.alive], terms))

    def doubts(self) -> tuple[Doubt, ...]:
        """What wood cannot give this client."""
        return doubts(self.brief, self.space(), self.whole, the_rack())


def has_look(look: str, woods: Iterable[str]) -> bool:
    """Whether any of the woods is drawn as pale, warm or dark as asked."""
    low, high = LIGHT_FROM[choice("look", look, LIGHT_FROM)]
    return any(low <= lightness(tone(species(w))) <= high for w in woods)


def looking(woods: tuple[str, ...], look: str) -> tuple[str, ...]:
    """Those of the woods that are drawn as pale, warm or dark as asked; all of them if none is."""
    return tuple(w for w in woods if has_look(look, [w])) or woods


@remember(1)
def the_rack() -> Rack:
    """The workshop's rack: data/clients/rack.csv, invented."""
    return read_rack(data_folder() / "clients" / "rack.csv")


def _harbour() -> Client:
    brief = load(data_folder() / "clients" / "harbour.json")
    base = brief.base(NECK_12).changed(name="the harbour six-string", joint="set", joint_fret=17)
    hollow = (Chamber(((0.50, 0.06), (0.72, 0.06), (0.72, 0.125), (0.50, 0.125)), 0.030),
              Chamber(((0.50, -0.125), (0.60, -0.125), (0.60, -0.06), (0.50, -0.06)), 0.030))
    whole = Instrument(body=BodyPlan(outline=example_outline(), wood="western redcedar", chambers=hollow),
                       head=Head(length=0.150, width=0.062, tuner_mass=0.028), buttons=(0.33, 0.83),
                       fittings={"bridge": 0.66, "pickup": 0.60, "pickup_single": 0.50, "controls": 0.72,
                                 "strap_buttons": 0.58, "finish": 0.62})
    return Client(key="harbour", title="A light six-string in softwood for a damp coast", brief=brief,
                  base=base, whole=whole,
                  main=("yellow cedar", "Port Orford cedar", "Douglas fir", "Sitka spruce", "western larch",
                        "western redcedar"),
                  accent=("black walnut", "hard maple", "wenge"),
                  fretboards=("hard maple", "pau ferro", "katalox", "jatoba"), counts=(3, 5, 7),
                  bars=((), BARS, WIDE_BARS))


def _studio() -> Client:
    brief = load(data_folder() / "clients" / "studio.json")
    base = brief.base(NECK_12.changed(
        outline=Outline(0.056, 0.074, 0.5), back=Back("D", 0.0150, 0.0175, 0.5), frets=24, joint_fret=20,
        stripes=tuple(replace(s, width=s.width * 78 / 60) for s in NECK_12.stripes), nut_spread=0.048,
        bridge_spread=0.0735, channel=replace(CHANNEL, end=0.5))).changed(name="the studio eight-string")
    whole = Instrument(body=BodyPlan(outline=example_outline(0.47, 0.44, 0.34), wood="limba"),
                       head=Head(length=0.215, width=0.085, tuner_place=0.115), buttons=(0.36, 0.91),
                       fittings={"bridge": 0.70, "pickup": 0.66, "pickup_bass": 0.55, "controls": 0.78,
                                 "strap_buttons": 0.62, "finish": 0.68}, waist=0.66, arm=0.79)
    return Client(key="studio", title="An eight-string for a dry inland winter", brief=brief, base=base,
                  whole=whole, main=("hard maple", "wenge", "sapele", "black walnut", "white ash"),
                  accent=("wenge", "hard maple", "purpleheart"), fretboards=("ebony", "katalox", "pau ferro"),
                  counts=(5, 7, 9), bars=((), WIDE_BARS))


def _theatre() -> Client:
    brief = load(data_folder() / "clients" / "theatre.json")
    base = brief.base(NECK_12.changed(
        outline=Outline(0.041, 0.062, 0.62), back=Back("C", 0.0180, 0.0215, 0.62), frets=21, joint_fret=16,
        joint="bolt-on", stripes=tuple(replace(s, width=s.width * 66 / 60) for s in NECK_12.stripes),
        nut_spread=0.032, bridge_spread=0.057, channel=replace(CHANNEL, end=0.60))).changed(
            name="the theatre bass")
    whole = Instrument(body=BodyPlan(outline=example_outline(0.60, 0.45, 0.31), wood="okoume",
                                     thickness=0.042),
                       head=Head(length=0.200, width=0.085, tuner="tuner_bass", tuner_mass=0.058,
                                 tuner_place=0.110), buttons=(0.41, 1.05),
                       fittings={"bridge_bass": 0.87, "pickup_bass": 0.78, "controls": 0.93,
                                 "strap_buttons": 0.75, "finish": 0.82}, waist=0.80, arm=0.93)
    return Client(key="theatre", title="A bass without protected species", brief=brief, base=base,
                  whole=whole, main=("hard maple", "white ash", "black walnut", "bubinga", "purpleheart",
                                     "jatoba", "black cherry"),
                  accent=("hard maple", "black walnut", "wenge", "Indian rosewood", "panga panga"),
                  fretboards=("pau ferro", "katalox", "Indian rosewood", "hard maple", "ebony"),
                  counts=(3, 5, 7), bars=((), WIDE_BARS))


CLIENTS = {"harbour": _harbour, "studio": _studio, "theatre": _theatre}


@remember(3)
def client(key: str) -> Client:
    """A client by key. Raises ValueError."""
    return CLIENTS[choice("client", key, CLIENTS)]()
