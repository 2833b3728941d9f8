"""Predictions and questions of the seasons lesson; outcomes and right answers are computed when they are
asked for."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from tonewood.lesson.client_year.model import JANUARY, MANY, SEED, SET, TOWN, gone, leaves, spread_at
from tonewood.lesson.client_year.verdicts import of_maple
from tonewood.lesson.shared.shop import NECK_12, RODS, possible
from tonewood.neck.seasons.year import year
from tonewood.panel.questions import Prediction, Question, ask, ask_number, lowest, nearest, predict
from tonewood.wood.climate import workshop
from tonewood.wood.moisture import equilibrium_moisture
from tonewood.wood.species import species


def guess_winter() -> Prediction:
    """Prediction: relief in a dry winter. It opens the figure."""
    labels = ["risen", "fallen", "nobody can tell from the names"]

    def right() -> str:
        rises = gone(draws=MANY, rod="double-acting").share_up[JANUARY]
        return labels[0 if rises > 0.9 else 1 if rises < 0.1 else 2]

    def outcome(_: str) -> str:
        found, single = (gone(draws=MANY, rod=kind) for kind in RODS)
        return (f"Computed for neck No. 12 in {TOWN}, room at {100 * found.room.humidity[JANUARY]:.0f} % in "
                f"January: relief is higher than at delivery in {100 * found.share_up[JANUARY]:.0f} of 100 "
                "such necks and lower in the others: the names do not tell. With a single-acting rod it "
                f"would be {100 * single.share_up[JANUARY]:.0f} of 100: there the steel tells. The figure is "
                "open below.")
    return predict("Neck No. 12, double-acting rod, leaves the workshop in October at 45 % humidity and "
                   "meets a heated, dry winter. From the names of its woods, relief in January will have …",
                   labels, outcome, right=right)


def guess_finish() -> Prediction:
    """Prediction: where the wood under lacquer ends up."""
    shares = {"hardly at all": 0.1, "about half as much as bare wood": 0.5,
              "nearly as much as bare wood": 0.95}

    def share() -> float:
        bare, coated = (gone(draws=MANY, back=name) for name in ("bare", "lacquer"))
        left, least = coated.neck_moisture[0, 0], np.median(bare.neck_moisture[:, JANUARY])
        return float((left - np.median(coated.neck_moisture[:, JANUARY])) / (left - least))

    def outcome(_: str) -> str:
        return (f"Computed for {TOWN}: by January the neck under lacquer has made {100 * share():.0f} % of "
                "the change of a bare one.")
    return predict("The back of the neck has two coats of lacquer. By January, three months after delivery, "
                   "the wood under it has dried "
                   "…", list(shares), outcome, right=lambda: nearest(shares, share()))


def guess_pieces() -> Prediction:
    """Prediction: what seven pieces do to the seasonal band."""
    shares = {"a third": 1 / 3, "three quarters": 0.75, "just": 1.0}

    def found() -> tuple[str, float]:
        one, seven = gone(draws=MANY, stripes=1.0), gone(of_maple(), MANY)
        return one.month[one.widest], spread_at(seven, one.widest) / spread_at(one, one.widest)

    def outcome(_: str) -> str:
        month, share = found()
        return (f"Computed for {TOWN} in {month}, all hard maple: the band of seven stripes from seven trees "
                f"is {100 * share:.0f} % as wide as that of one piece. The fretboard is one board in both.")
    return predict("Seven stripes of maple from seven trees instead of one piece, same fretboard. The band "
                   "within which relief wanders over the year is about … as "
                   "wide.", list(shares), outcome, right=lambda: nearest(shares, found()[1]))


LEVERS = {"eleven stripes instead of seven": {"stripes": 11.0},
          "two-part epoxy on the back instead of lacquer": {"back": "epoxy, two-part"},
          "a humidifier that never lets the room below 40 %": {"humidifier": "room never below 40 %"},
          "an air conditioner for the summer": {"cooled": True}}


def lever_left(label: str) -> float:
    """Share of necks that leave the usual range in a home without cooling with one of LEVERS pulled."""
    return leaves(gone(draws=MANY, **{"cooled": False, **LEVERS[label]}))


def answer_lever() -> Question:
    """Question: what keeps the rod key in the drawer."""
    reasons = ("Most of the averaging is done by seven; the fretboard's part stays.",
               "It makes the back lag behind the bare fretboard, which bends the neck.",
               "It calms the winter. The widest month of this home is August.",
               "It dries the damp summer air, and the summer is what takes this room far from the shop.")
    return ask(f"Ines lives in {TOWN}, in one of the few homes there that are not cooled, and does not want "
               "to touch the rod. Which one change keeps relief within 0.1 to 0.3 mm in 95 of 100 necks?",
               dict(zip(LEVERS, reasons, strict=True)),
               lambda: {label: lever_left(label) <= 0.05 for label in LEVERS},
               "Switch *Cooled in summer* off, set each one alone and read how many of 100 leave the range.",
               "The room is farthest from the workshop's 45 % in the damp month. Necks that leave the range, "
               f"of 100: {'; '.join(f'{each} {100 * lever_left(each):.0f}' for each in LEVERS)}.")


def answer_fret_end() -> Question:
    """Question: the size of a fret end by hand."""
    wood, wide = species("African ebony"), 56.0
    start, end = workshop().moisture, equilibrium_moisture(20.0, 0.30)

    def right() -> float:
        return wide * wood.swelling[2] * (start - end) / 2
    return ask_number(
        f"A flat-sawn ebony fretboard is {wide:.0f} mm wide at the last fret and dries from "
        f"{100 * start:.1f} to {100 * end:.1f} % moisture. Ebony moves {wood.swelling[2]:.2f} % in width per "
        "1 % of moisture on the flat. How far does each fret end stand out, board free?", right, "mm", 0.05,
        "Width × movement × change of moisture, then half for each side.",
        f"{wide:.0f} mm × {wood.swelling[2]:.2f} % × {100 * abs(start - end):.1f} ÷ 100 ÷ 2 = "
        f"{right():.2f} mm.",
        slips=[(lambda: 2 * right(), "That is both ends together: half of it shows on each side."),
               (lambda: wide * wood.swelling[1] * (start - end) / 2,
                "That takes the movement on the quarter; the board is flat-sawn.")], relative=True)


def answer_knowledge() -> Question:
    """Question: which knowledge makes the coin toss smaller."""
    labels = {
        "the weight of every board":
            "Weight says something about stiffness, nothing about movement along the grain.",
        "how every board bends under a weight":
            "Stiffness shares the load but does not say which way the boards move.",
        "a strip of the neck wood glued to a strip of the fretboard, left in a dry place":
            "Its bow shows the very difference that bends the neck."}
    measured = (lambda b: {"density": b.rho}, lambda b: {"modulus": b.E_L},
                lambda b: {"swelling": b.species.swelling})

    def left(label: str) -> float:
        neck, known = NECK_12.neck(), measured[list(labels).index(label)]
        told = neck.with_pieces([replace(board, **known(board)) for board in neck.pieces])
        many = possible(told, "different trees", MANY, SEED)
        days = np.linspace(0.0, 365.25, 13)[[0, JANUARY]]
        return spread_at(year(many, TOWN, setup_relief=SET, points=days, seed=SEED, count=16), 1)
    wide = {each: left(each) for each in labels}
    return ask("The offcuts of neck and fretboard are still in the bin. Which measurement tells you most "
               "about next winter's relief?", labels, lambda: lowest(wide),
               "What is the coin toss made of? Look at the sentence under the verdict on dry winters.",
               "The coin toss is the unknown difference of movement along the grain. A glued strip magnifies "
               "it. Width of the band of January's relief: "
               f"{'; '.join(f'{share:.2f} mm knowing {each}' for each, share in wide.items())}.")
