"""What the trade says about neck dive, weighed on four instruments."""

from __future__ import annotations

from tonewood.lesson.weight_and_balance.model import (
    NAMES,
    Balanced,
    defaults,
    limit_doubt,
    middle,
    moved,
    on_strap,
)
from tonewood.panel.verdict import Verdict
from tonewood.wood.species import all_species, species

GRAMS = 10.0


def lightest() -> str:
    """Key of the lightest wood listed for necks."""
    return min((w for w in all_species() if "neck" in w.uses), key=lambda w: w.density).key


def _shift(after: Balanced, before: Balanced) -> float:
    """How far (m) the balance moves towards the tail."""
    return middle(after.centre - before.centre)


def lighter_neck_cures_dive() -> Verdict:
    """Does a lighter neck wood cure neck dive?"""
    told, most, wood = [], 0.0, lightest()
    for who, name in NAMES.items():
        start = moved(who, main="hard_maple")
        by_wood = _shift(moved(who, main=wood), start)
        lighter = moved(who, main="hard_maple", tuner=defaults(who)["tuner"] - GRAMS)
        most = max(most, by_wood)
        told.append(f"{name} {1e3 * by_wood:.0f} mm, and {1e3 * _shift(lighter, start):.0f} mm by tuners "
                    f"{GRAMS:.0f} g lighter each")
    answer = ("not by itself: no instrument here is moved as far as the limit of the strap is uncertain"
              if most < limit_doubt() else "it depends on the instrument: some are moved further than the "
              "limit is uncertain")
    return Verdict(
        "a lighter neck wood cures neck dive.",
        f"main wood of the neck from hard maple to {species(wood).name}, the lightest on file for necks, "
        "moves the balance towards the tail: " + "; ".join(told) + ".",
        f"{answer} (±{1e3 * limit_doubt():.0f} mm). It helps least in a neck-through, whose blank runs on "
        "behind the balance.",
        "medium",
        "friction of strap and shirt is from memory; the player's hands and the width of the strap are left "
        "out; four instruments only")


def chambers_make_neck_heavy() -> Verdict:
    """Do chambers make an instrument neck-heavy?"""
    told, shifts, turned = [], [], 0
    for who, name in NAMES.items():
        solid, hollow = moved(who, chambers=False), moved(who, chambers=True)
        shifts.append(_shift(hollow, solid))
        turned += on_strap(solid.strap) != on_strap(hollow.strap)
        told.append(f"{name} {1e3 * -shifts[-1]:.0f} mm for {1e3 * middle(solid.mass - hollow.mass):.0f} g "
                    f"less, margin on the strap {1e3 * middle(solid.strap.margin):.0f} to "
                    f"{1e3 * middle(hollow.strap.margin):.0f} mm")
    if max(shifts) >= 0:
        answer = "it depends on where they lie"
    elif turned or -min(shifts) > limit_doubt():
        answer = "yes, where the margin was small"
    else:
        answer = "a little: the balance moves towards the head each time, and no verdict of the strap turns"
    return Verdict(
        "chambers make an instrument neck-heavy.",
        "chambers on, towards the head: " + "; ".join(told) + ".",
        f"{answer}. The wood they take lies behind the balance; what they save in weight costs margin.",
        "medium",
        "one plan of chambers each; friction of strap and shirt is from memory; the player's hands are left "
        "out")
