"""Claims about seasons, each with the calculation behind it: 2000 possible necks No. 12, delivered in
October, unless the words say otherwise."""

from __future__ import annotations

import numpy as np

from tonewood.constants import DAY
from tonewood.draws import written
from tonewood.lesson.client_year.by_hand import DRY
from tonewood.lesson.client_year.model import (
    AUGUST,
    JANUARY,
    MANY,
    TOWN,
    gone,
    leaves,
    mm,
    spread_at,
    town_words,
)
from tonewood.lesson.shared.shop import NECK_12, REINFORCEMENT, RODS, changed, truss_rod
from tonewood.neck.design import Design
from tonewood.neck.seasons.drying import column
from tonewood.neck.seasons.movement import movement
from tonewood.neck.seasons.rod_force import held_back
from tonewood.neck.section.section import section
from tonewood.panel.verdict import Verdict
from tonewood.wood.climate import workshop
from tonewood.wood.facts import rule
from tonewood.wood.finish import BARE
from tonewood.wood.moisture import dimension_change, equilibrium_band, equilibrium_moisture, humidity_for
from tonewood.wood.species import species


def of_maple() -> Design:
    """Neck No. 12 with all its stripes of hard maple."""
    return changed(NECK_12, accent="hard maple", centre="hard maple")


def finish_stops_movement() -> Verdict:
    """Does a finish stop the neck from moving? Pace and end in a dry room, and what a tight back does to
    relief."""
    start, dry = workshop().moisture, equilibrium_moisture(20.0, DRY)
    coats = ("bare", "nitrocellulose lacquer", "lacquer", "polyurethane varnish", "epoxy, two-part")
    neck, times = NECK_12.neck(), np.array([0.0, 7.0, 30.0, 90.0, 3650.0]) * DAY
    paths = {name: column(neck, name, "bare").follow(times, np.full(5, dry), start)[:, 0] for name in coats}
    shares = {name: ", ".join(f"{100 * (start - m) / (start - dry):.0f}" for m in path[1:4])
              for name, path in paths.items()}
    made = "; ".join(f"{name} {share} %" for name, share in shares.items())
    ends = [100 * path[-1] for path in paths.values()]
    turned = [100 * leaves(gone(draws=MANY, back=back, board=board, cooled=False)) for back, board in (
        ("lacquer", BARE), ("epoxy, two-part", BARE), ("epoxy, two-part", "epoxy, two-part"))]
    return Verdict(
        "finish the neck well and it will not move.",
        f"from {100 * start:.1f} % moisture into a room at {100 * DRY:.0f} % humidity, fretboard bare; the "
        f"wood under each finish has made this share of its change after 7, 30 and 90 days: {made}. Ten "
        f"years on every one is at {np.mean(ends):.1f} % (they differ by "
        f"{'less than 0.01' if np.ptp(ends) < 0.005 else written(np.ptp(ends), 2)} %). A year in "
        f"{TOWN}, home not cooled: relief leaves 0.1 to 0.3 mm in {turned[0]:.0f} of 100 necks with lacquer "
        f"on the back, in {turned[1]:.0f} of 100 with two-part epoxy there, in {turned[2]:.0f} of 100 with "
        "epoxy on back and fretboard.",
        "no. A finish slows moisture down, and some goes out through the bare fretboard; where the wood ends "
        "up is the same. A very tight back under a bare fretboard even adds bow, because the two faces then "
        "follow the seasons at different times. Only a film as tight on every face would smooth the seasons.",
        "high", "times are good to a factor of three; fret slots and end grain, which leak, are left out")


def dry_winter_more_relief() -> Verdict:
    """Does relief rise in a dry winter? Share of necks in January in four towns with dry rooms, by kind of
    rod."""
    winter, summer = 1, 2                                  # places among the moments worked out
    towns = {name: [gone(draws=MANY, only=moments, place=name, rod=kind, cooled=False) for kind in RODS]
             for name, moments in ((TOWN, (JANUARY, AUGUST)), ("Denver", (JANUARY,)),
                                   ("Helsinki", (JANUARY,)), ("Stockholm", (JANUARY,)))}
    rows = [f"{town_words(name)} ({100 * kinds[0].room.humidity[winter]:.0f} % humidity) "
            f"{' and '.join(f'{100 * found.share_up[winter]:.0f}' for found in kinds)} of 100"
            for name, kinds in towns.items()]

    def told(moment: int) -> str:
        bands = (found.band()[:, moment] for found in towns[TOWN])
        return " and ".join(f"{mm(middle)} mm ({mm(low)} to {mm(high)})" for low, middle, high in bands)

    august = [100 * found.share_up[summer] for found in towns[TOWN]]
    neck, pull = NECK_12.neck(), towns[TOWN][1].rod_force
    rod = truss_rod(neck, "single-acting")
    at_first, dry, damp = (written(np.median(pull[:, moment]), 0) for moment in (0, winter, summer))
    friction = 1 - np.exp(-rule("rod_friction").limits[1] * rod.turned)
    spring = float(held_back(truss_rod(neck), neck.stations(), section(neck).EI))
    return Verdict(
        "in a dry winter relief goes up.",
        "homes not cooled; necks whose relief is higher in January than at delivery in October, with a "
        f"double-acting and with a single-acting rod: {'; '.join(rows)}. The change in {TOWN}, either rod: "
        f"January {told(winter)}, August {told(summer)}, higher then in {august[0]:.0f} and "
        f"{august[1]:.0f} of 100. Along the single-"
        "acting rod the wood changes by its mean lengthwise movement and the steel does not: its pull of "
        f"{at_first} N falls to {dry} N in January, to nothing in {100 * np.mean(pull[:, winter] == 0):.0f} "
        f"of 100 necks, and rises to {damp} N in August, beyond the {written(rod.limit, 0)} N to plan with "
        f"in {100 * np.mean(pull[:, summer] > rod.limit):.0f} of 100.",
        "with a single-acting rod, yes, as a rule: the wood shrinks away from the rod, which slackens and "
        "lets the strings bow the neck; damp summers do the reverse, so ease such a rod before them. With a "
        "double-acting rod it is close to a coin toss: up where the fretboard shrinks more lengthwise than "
        "the neck under it, down where it shrinks less, and no table says which.",
        "medium", "both woods' lengthwise movement is drawn from one printed range, 0.1 to 0.2 % green to "
        f"ovendry. Left out: friction along the rod (at most {100 * friction:.0f} % of its pull), wood that "
        "gives under the rod in time, and that a tight double-acting rod, as a spring, holds back about "
        f"{100 * spring:.0f} % of any change")


def quarter_sawn_width() -> Verdict:
    """Does quarter-sawn move less? In width and in relief."""
    wood, start, dry = species("hard maple"), workshop().moisture, equilibrium_moisture(20.0, DRY)
    flat, quarter = (dimension_change(0.056, start, dry, coefficient=wood.swelling[k]) for k in (2, 1))
    one = [changed(NECK_12, stripes=1, ring_angle=angle).neck() for angle in (0.0, np.pi / 2)]
    glued = [float(movement(neck, start, dry).width_end) for neck in one]
    spread = [1e3 * spread_at(gone(draws=MANY, only=(JANUARY,), ring_angle=angle), 1)
              for angle in (0.0, 90.0)]
    return Verdict(
        "a quarter-sawn neck moves less.",
        f"56 mm of hard maple from {100 * start:.1f} to {100 * dry:.1f} % moisture: flat-sawn {mm(flat)} mm, "
        f"quarter-sawn {mm(quarter)} mm, a ratio of {quarter / flat:.2f}; as a neck with a rosewood "
        f"fretboard glued on {mm(glued[0])} and {mm(glued[1])} mm, {glued[1] / glued[0]:.2f}. Relief in "
        f"{TOWN} in January, width of the 90 % band: flat-sawn {spread[0]:.2f} mm, quarter-sawn "
        f"{spread[1]:.2f} mm.",
        "in width yes, about half as much in the wood alone, about two thirds with a fretboard that moves "
        "less glued on top. In relief no: that comes from movement along the grain, which the rings do not "
        "change in even wood.",
        "medium", "sure for the width. Left out of the relief: swelling that changes from pith to bark "
        "within a board (lesson 04): through the depth of a flat-sawn neck, which bows it, and across the "
        "width of a quarter-sawn one")


def carbon_stops_seasons() -> Verdict:
    """Do carbon bars stop the seasons? Band, predictable part, with and without."""
    found = {name: gone(changed(NECK_12, bars=bars), MANY, cooled=False)
             for name, bars in REINFORCEMENT.items()}
    at = found["rod only"].widest
    rows = "; ".join(f"{name}: band {1e3 * spread_at(y, at):.2f} mm, predictable {mm(y.foreseen[JANUARY])} "
                     f"mm in January and {mm(y.foreseen[at])} mm in "
                     f"{y.month[at]}" for name, y in found.items())
    return Verdict(
        "carbon bars stop the neck from moving with the seasons.",
        f"{TOWN}, home not cooled, width of the 90 % band in {found['rod only'].month[at]} and the "
        f"predictable part: {rows}.",
        "no. The coin toss stays as wide, give or take a few percent. And because carbon does not shrink "
        "while the wood around it does, bars off the neck's axis make a bow of their own.",
        "high", "the bars' stiffness is from memory; sizes as on the bench page")


def fret_sprout() -> Verdict:
    """How far do fret ends stand out, and why?"""
    start = workshop().moisture
    rows, parts = [], []
    for name in ("Indian rosewood", "African ebony", "hard maple"):
        design = changed(NECK_12, fretboard=name)
        found, neck = gone(design, MANY, only=(JANUARY,)), design.neck()
        low, middle, high = found.band("fret_end")[:, 1]
        rows.append(f"{name} {mm(middle, '')} mm ({mm(low, '')} to {mm(high, '')})")
        dried = [*[start] * (len(neck.pieces) - 1), float(np.median(found.board_moisture[:, 1]))]
        parts.append(100 * movement(neck, start, dried).fret_end / middle)
    kept = np.median(gone(draws=MANY, humidifier="room never below 40 %").fret_end, axis=0).max()
    return Verdict(
        "in winter the frets grow out of the board.",
        f"{TOWN} in January, each side, flat-sawn boards: {'; '.join(rows)}. Drying the fretboard alone, the "
        f"neck held as it was, gives {min(parts):.0f} to {max(parts):.0f} % of that. With a humidifier that "
        f"never lets the room below 40 %: {mm(kept, '')} mm at most on the rosewood board.",
        "the other way round: steel takes up no water, the board shrinks back from it, mostly by its own "
        "movement across the grain; the quarter-sawn neck under it holds it back.",
        "high", "board to board about 15 % either way; what a fingertip notices is judgement")


def trade_rule_moisture() -> Verdict:
    """Is wood at 6 to 8 % where the air is at 40 to 45 %? The curve."""
    curve = ", ".join(f"{100 * equilibrium_moisture(20.0, h):.1f} % moisture at {100 * h:.0f} % "
                      "humidity" for h in (0.40, 0.45))
    back = ", ".join(f"{100 * m:.0f} % belongs to {100 * humidity_for(20.0, m):.0f} %" for m in (0.06, 0.08))
    low, high = equilibrium_band(20.0, 0.45)
    return Verdict(
        "build at 40 to 45 % humidity and the wood is at 6 to 8 %.",
        f"the sorption curve at 20 °C: {curve}. The other way: {back} humidity. Band at 45 %: "
        f"{100 * low:.1f} to {100 * high:.1f} %.",
        "the 8 % end fits, the 6 % end does not: it belongs to air near 30 %. Aim at the humidity, which you "
        "can read on the wall; the moisture follows.",
        "medium", "one curve for all woods, good to about 1 % moisture; oily tropical woods lie lower. Left "
        "out: wood that comes from the dry side, as after the kiln, settles lower than wood that comes from "
        "the damp side")
